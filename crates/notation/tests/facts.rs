//! Every fact of every kind, read as the table says it is written.

use ampwright_notation::{
    Code, File, Flaw, Key, Kind, Thing,
    table::{FactRow, KindRow, Need, Shape, kinds},
    tree::Arg,
};

/// A head line with these facts, each on a line below it.
fn thing(row: &KindRow, facts: &[&str]) -> String {
    let mut text = format!("{} thing-1\n", row.word);
    if row.kind == Kind::Panel {
        text.push_str("    way 1 fuse 5 A\n");
    }
    for fact in facts {
        text.extend(["    ", fact, "\n"]);
    }
    if row.kind == Kind::Run {
        text.push_str("    a +\n    2.5 mm2 1 m\n    b +\n");
    }
    text
}

/// The facts that a kind must say, but those that `but` excludes.
fn needed(row: &KindRow, but: Option<&FactRow>) -> Vec<&'static str> {
    let excluded = |fact: &FactRow| {
        but.is_some_and(|but| but.key == fact.key || (but.group != 0 && but.group == fact.group))
    };
    let mut one_of = but.is_some_and(|but| but.need == Need::OneOf);
    let facts = row.facts().filter(|fact| !excluded(fact));
    facts
        .filter(|fact| match fact.need {
            Need::Optional => false,
            Need::Needed => true,
            Need::OneOf => !std::mem::replace(&mut one_of, true),
        })
        .map(|fact| fact.example)
        .collect()
}

fn every_fact() -> impl Iterator<Item = (&'static KindRow, &'static FactRow)> {
    kinds().flat_map(|row| row.facts().map(move |fact| (row, fact)))
}

fn read(text: &str, check: impl Fn(&Thing)) {
    let file = File::parse(text);
    assert_eq!(file.chunks.len(), 1, "{text}");
    check(&file.chunks[0].thing);
}

fn check_args(fact: &FactRow, args: &[Arg]) {
    let right = match (fact.shape, args) {
        (
            Shape::Bare(dimension) | Shape::Quantity(dimension) | Shape::Maybe(dimension),
            [Arg::Quantity(quantity)],
        ) => quantity.value.dimension == dimension,
        (Shape::Flag | Shape::Maybe(_), [])
        | (Shape::BareSize | Shape::Size, [Arg::Size(_)])
        | (Shape::BareName | Shape::Name(_), [Arg::Name(_)])
        | (Shape::Choice(_) | Shape::Word(_), [Arg::Word(_)])
        | (Shape::Count | Shape::CountBefore, [Arg::Count(_)])
        | (Shape::SizeAmps, [Arg::Size(_), Arg::Quantity(_)])
        | (Shape::CountAmps, [Arg::Count(_), Arg::Quantity(_)])
        | (Shape::AmpsTime, [Arg::Quantity(_), Arg::Quantity(_)]) => true,
        (Shape::Positions, positions) => positions.len() == 4,
        _ => false,
    };
    assert!(right, "{:?} {args:?}", fact.key);
}

#[test]
fn every_fact_is_read_below_its_head() {
    for (row, fact) in every_fact() {
        let mut facts = needed(row, Some(fact));
        facts.push(fact.example);
        read(&thing(row, &facts), |thing| {
            assert!(thing.flaws.is_empty(), "{} {:#?}", thing.text, thing.flaws);
            let said = thing
                .fact(fact.key)
                .unwrap_or_else(|| panic!("{} has no {:?}", thing.text, fact.key));
            assert_eq!(thing.text_of(said.span), fact.example);
            check_args(fact, &said.args);
        });
    }
}

#[test]
fn every_fact_is_read_on_its_head() {
    for (row, fact) in every_fact().filter(|(row, _)| !matches!(row.kind, Kind::Run | Kind::Panel))
    {
        let mut facts = needed(row, Some(fact));
        facts.insert(0, fact.example);
        read(
            &format!("{} thing-1 \"Title\" {}\n", row.word, facts.join(" ")),
            |thing| {
                assert!(thing.flaws.is_empty(), "{} {:#?}", thing.text, thing.flaws);
                assert!(thing.has(fact.key), "{}", thing.text);
                assert_eq!(
                    thing.title.as_ref().map(|title| &*title.value),
                    Some("Title")
                );
            },
        );
    }
}

#[test]
fn every_choice_is_read() {
    for (row, fact) in every_fact() {
        for choice in fact.choices() {
            let said = format!("{} {}", fact.word, choice.word);
            let mut facts = needed(row, Some(fact));
            facts.push(&said);
            read(&thing(row, &facts), |thing| {
                assert!(thing.flaws.is_empty(), "{} {:#?}", thing.text, thing.flaws);
                assert_eq!(thing.word(fact.key), Some(choice.word));
            });
        }
    }
}

#[test]
fn every_needed_fact_is_missed() {
    for (row, fact) in every_fact().filter(|(_, fact)| fact.need != Need::Optional) {
        let others = row
            .facts()
            .filter(|other| other.need == Need::Needed && other.key != fact.key);
        let others: Vec<&str> = others.map(|fact| fact.example).collect();
        read(&thing(row, &others), |thing| {
            let codes: Vec<Code> = thing.flaws.iter().map(|flaw| flaw.code).collect();
            assert_eq!(codes, [Code::MissingFact], "{}", thing.text);
            assert_eq!(thing.text_of(thing.flaws[0].span), "thing-1");
        });
    }
}

#[test]
fn what_is_like_another_lacks_nothing() {
    for row in kinds().filter(|row| row.kind.fact(Key::Like).is_some()) {
        read(&format!("{} thing-1 like other\n", row.word), |thing| {
            let codes: Vec<Code> = thing.flaws.iter().map(|flaw| flaw.code).collect();
            assert!(codes.is_empty(), "{} {codes:?}", thing.text);
        });
    }
}

#[test]
fn a_fact_said_twice_is_a_flaw_unless_it_repeats() {
    for (row, fact) in every_fact() {
        let mut facts = needed(row, Some(fact));
        facts.extend([fact.example, fact.example]);
        read(&thing(row, &facts), |thing| {
            assert_eq!(
                thing.flaws.is_empty(),
                fact.repeats,
                "{} {:#?}",
                thing.text,
                thing.flaws
            );
        });
    }
}

#[test]
fn a_slip_in_a_fact_is_mended() {
    for (row, fact) in every_fact()
        .filter(|(_, fact)| fact.word.len() > 5 && !matches!(fact.shape, Shape::CountBefore))
    {
        let mut facts = needed(row, Some(fact));
        let slip = fact.example.replacen(
            fact.word,
            &format!("{}{}", &fact.word[..2], &fact.word[3..]),
            1,
        );
        facts.push(&slip);
        read(&thing(row, &facts), |thing| {
            let mends: Vec<&str> = thing
                .flaws
                .iter()
                .flat_map(Flaw::mends)
                .map(|mend| mend.text.as_str())
                .collect();
            assert!(
                mends.contains(&fact.word),
                "{} {:#?}",
                thing.text,
                thing.flaws
            );
        });
    }
}

#[test]
fn every_example_of_a_kind_is_read_without_a_flaw() {
    for row in kinds() {
        let file = File::parse(&format!("{}\n", row.example));
        assert!(
            file.all_flaws().is_empty(),
            "{} {:#?}",
            row.example,
            file.all_flaws()
        );
        assert_eq!(file.chunks[0].thing.kind, Some(row.kind));
    }
}
