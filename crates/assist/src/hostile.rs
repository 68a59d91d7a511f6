//! Nothing here panics, whatever the text and wherever the cursor: the example is broken at random
//! and every feature is asked at every kind of place.

use ampwright_plan::Plan;
use proptest::prelude::*;

use crate::{
    actions, colours, complete, definition, explain,
    fixture::CURLEW,
    folding, format, hierarchy, highlight, hints, hover, lens, linked, links, references, rename,
    selection, signature, summary, symbols, tokens, unfold,
    way::{Way, When, worst},
};

/// Asks everything that takes an offset.
fn ask(plan: &Plan, offset: usize) {
    let len = plan.sources.list[0].file.len();
    let inside = |range: &std::ops::Range<usize>| {
        assert!(range.start <= range.end && range.end <= len.max(offset));
    };
    if let Some(found) = hover::hover(plan, 0, offset) {
        inside(&found.at.range);
        found.doc.markdown();
        found.doc.plain();
    }
    for target in definition::definition(plan, 0, offset) {
        inside(&target.name.range);
        inside(&target.whole.range);
    }
    references::references(plan, 0, offset, true);
    highlight::highlight(plan, 0, offset);
    if rename::prepare(plan, 0, offset).is_ok() {
        let _ = rename::rename(plan, 0, offset, "another-name");
        let _ = rename::rename(plan, 0, offset, "red");
    }
    for item in complete::complete(plan, 0, offset) {
        inside(&item.edit.at.range);
        assert!(!item.label.is_empty());
    }
    let mut last = offset..offset;
    for range in selection::selections(plan, 0, offset) {
        assert!(range.start <= last.start && last.end <= range.end);
        last = range;
    }
    if let Some(item) = hierarchy::item(plan, 0, offset) {
        hierarchy::fed_by(plan, item.part);
        hierarchy::feeds(plan, item.part);
    }
    for offer in actions::offers(plan, 0, &(offset..offset + 1)) {
        assert!(!offer.title.is_empty());
        assert!(offer.mends.iter().all(|&index| index < plan.findings.len()));
    }
    format::indent_after(plan, 0, offset);
    for edit in format::begun(plan, 0, offset) {
        inside(&edit.at.range);
    }
    for range in linked::linked(plan, 0, offset) {
        inside(&range);
    }
    if let Some(told) = signature::signature(plan, 0, offset) {
        assert!(told.active.is_none_or(|active| active < told.parts.len()));
        assert!(
            told.parts
                .iter()
                .all(|part| part.at.end <= told.label.len())
        );
    }
    format::range(plan, 0, &(offset..offset));
}

/// Carries out what is offered at an offset. A trial computes the plan anew, so few are made.
fn act(plan: &Plan, offset: usize) {
    let len = plan.sources.list[0].file.len();
    let file = actions::of_file(plan, 0);
    for offer in actions::offers(plan, 0, &(offset..offset))
        .into_iter()
        .chain(file)
    {
        let trials = std::cell::Cell::new(0);
        let stop = || trials.replace(trials.get() + 1) > 2;
        for edit in
            actions::make(plan, offer.task, &stop).map_or_else(|_| Vec::new(), |made| made.edits)
        {
            assert!(edit.at.range.start <= edit.at.range.end && edit.at.range.end <= len);
        }
    }
}

/// Asks everything that takes a plan.
fn ask_whole(plan: &Plan) {
    symbols::document(plan, 0);
    symbols::workspace(plan, "ca", 10);
    folding::folds(plan, 0);
    let whole = 0..usize::MAX;
    for hint in hints::hints(plan, 0, &whole, hints::Options::default()) {
        assert!(hint.at <= plan.sources.list[0].file.len() && !hint.text.contains('\n'));
        hints::tell(plan, 0, hint.about);
    }
    colours::swatches(plan, 0);
    links::links(plan, 0);
    for lens in lens::lenses(plan, 0) {
        lens::title(plan, 0, lens.at.start);
    }
    let mut last = 0;
    for token in tokens::tokens(plan, 0, None) {
        assert!(last <= token.range.start && token.range.start < token.range.end);
        last = token.range.end;
    }
    format::file(plan, 0);
    summary::summary(plan).doc().markdown();
    summary::assumed(plan);
    take_apart(plan);
    for draw in 0..plan.wiring.draws.len() as u32 {
        for when in [
            worst(plan, draw),
            When::Alone,
            When::Moment(0),
            When::Moment(9_999),
        ] {
            if let Some(way) = Way::of(plan, draw, when) {
                way.with_wired(plan).table(plan).plain();
            }
        }
    }
}

/// Takes apart what has a name, and one that has none.
fn take_apart(plan: &Plan) {
    let parts = plan.model.parts.iter().map(|part| part.name.to_string());
    let marks = plan.wiring.conductors.iter();
    let marks = marks.map(|wired| wired.mark.to_string());
    let places = plan.model.places.list.iter();
    let places = places.map(|place| place.name.to_string());
    for name in parts
        .take(MOST_TAKEN)
        .chain(marks.take(MOST_TAKEN))
        .chain(places)
    {
        if let unfold::Unfolded::Known(list) = unfold::unfold(plan, &name) {
            let told: Vec<String> = list.iter().map(|one| one.doc().plain()).collect();
            assert!(told.iter().all(|told| !told.contains("NaN")), "{told:?}");
        }
    }
    let _ = unfold::unfold(plan, "nobody way 2");
}

/// More things of a kind than this are not taken apart.
const MOST_TAKEN: usize = 24;

fn floor(text: &str, at: usize) -> usize {
    (0..=at.min(text.len()))
        .rev()
        .find(|&at| text.is_char_boundary(at))
        .unwrap_or(0)
}

/// The example with one span of it cut out, doubled, or all behind it gone, and some words put in.
fn broken() -> impl Strategy<Value = (String, usize)> {
    let words = prop_oneof![
        Just(""),
        Just(" "),
        Just("\n"),
        Just("\""),
        Just("#"),
        Just("way"),
        Just("back to "),
        Just("5"),
        Just("-"),
        Just("like "),
        Just("🌊é"),
        Just("run x\n  "),
        Just("0"),
        Just("99999999999 A"),
        Just("core 1 of mast-cable\n"),
    ];
    (
        0..CURLEW.len(),
        0..60usize,
        0..4u8,
        words,
        any::<prop::sample::Index>(),
    )
        .prop_map(|(at, len, how, words, cursor)| {
            let (start, end) = (floor(CURLEW, at), floor(CURLEW, at + len));
            let (before, span, after) = (&CURLEW[..start], &CURLEW[start..end], &CURLEW[end..]);
            let text = match how {
                0 => format!("{before}{words}{after}"),
                1 => format!("{before}{span}{words}{span}{after}"),
                2 => format!("{before}{words}"),
                _ => format!("{after}{words}{before}"),
            };
            let cursor = cursor.index(text.len() + 3);
            (text, cursor)
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    #[test]
    fn nothing_panics_on_a_broken_plan((text, cursor) in broken()) {
        let plan = Plan::of_text(&text);
        ask_whole(&plan);
        ask(&plan, cursor);
        act(&plan, cursor);
        for near in cursor.saturating_sub(4)..cursor + 4 {
            ask(&plan, near);
        }
    }

    #[test]
    fn nothing_panics_on_any_text(text in "[a-z \n\t\"#+0-9%.é-]{0,120}", cursor in 0..130usize) {
        let plan = Plan::of_text(&text);
        ask_whole(&plan);
        ask(&plan, cursor);
        act(&plan, cursor);
        explain::explain(&text);
    }
}

#[test]
fn every_offset_of_the_example() {
    let plan = Plan::of_text(CURLEW);
    for offset in 0..CURLEW.len() + 2 {
        ask(&plan, offset);
    }
    ask_whole(&plan);
}

#[test]
fn a_file_that_is_not_there() {
    let plan = Plan::of_text(CURLEW);
    assert!(hover::hover(&plan, 9, 0).is_none());
    assert!(complete::complete(&plan, 9, 0).is_empty());
    assert!(definition::definition(&plan, 9, 0).is_empty());
    assert!(symbols::document(&plan, 9).is_empty());
    assert!(folding::folds(&plan, 9).is_empty());
    assert!(selection::selections(&plan, 9, 0).is_empty());
    assert!(rename::prepare(&plan, 9, 0).is_err());
    assert!(tokens::tokens(&plan, 9, None).is_empty());
    assert!(hints::hints(&plan, 9, &(0..9), hints::Options::default()).is_empty());
    assert!(lens::lenses(&plan, 9).is_empty() && lens::title(&plan, 9, 0).is_none());
    assert!(colours::swatches(&plan, 9).is_empty() && links::links(&plan, 9).is_empty());
    assert!(linked::linked(&plan, 9, 0).is_empty());
    assert!(signature::signature(&plan, 9, 0).is_none());
    assert!(actions::offers(&plan, 9, &(0..1)).is_empty() && actions::of_file(&plan, 9).is_empty());
    assert!(format::begun(&plan, 9, 0).is_empty());
}

#[test]
fn the_same_plan_gives_the_same_words() {
    let (one, two) = (Plan::of_text(CURLEW), Plan::of_text(CURLEW));
    for offset in (0..CURLEW.len()).step_by(7) {
        assert_eq!(hover::hover(&one, 0, offset), hover::hover(&two, 0, offset));
        assert_eq!(
            complete::complete(&one, 0, offset),
            complete::complete(&two, 0, offset)
        );
    }
}
