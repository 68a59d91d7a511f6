//! Made marks, written into the text: from then on nothing renumbers a tag that is tied.

use std::collections::BTreeMap;

use ampwright_notation::{
    Span,
    tree::{Back, Step},
};
use ampwright_plan::{Plan, Site, ThingRef};

use super::{Offer, Task, draft::edited, lines::Lines, rewrite};
use crate::cursor::Edit;

pub(super) fn offers(plan: &Plan, whose: ThingRef) -> Vec<Offer> {
    let made = |of: &dyn Fn(Site) -> bool| {
        let mut conductors = plan.wiring.conductors.iter();
        conductors.any(|conductor| conductor.mark_made && of(conductor.site))
    };
    let is_own = |site: Site| (site.file, site.thing) == (whose.file, whose.thing);
    if !made(&is_own) {
        return Vec::new();
    }
    let mut offers = vec![rewrite("Write this run's made marks", Task::Marks(whose))];
    if made(&|site| !is_own(site)) {
        offers.push(rewrite("Write every made mark of the plan", Task::AllMarks));
    }
    offers
}

/// Those of one run.
pub(super) fn of_run(plan: &Plan, whose: ThingRef) -> Result<Vec<Edit>, String> {
    written(plan, |site| {
        (site.file, site.thing) == (whose.file, whose.thing)
    })
}

/// Those of every run.
pub(super) fn all(plan: &Plan) -> Result<Vec<Edit>, String> {
    written(plan, |_| true)
}

fn written(plan: &Plan, takes: impl Fn(Site) -> bool) -> Result<Vec<Edit>, String> {
    let mut by_line: BTreeMap<Site, Vec<&str>> = BTreeMap::new();
    let conductors = plan.wiring.conductors.iter();
    for conductor in conductors.filter(|one| one.mark_made && takes(one.site)) {
        let marks = by_line.entry(conductor.site).or_default();
        // The two cores of a twin are tied with one mark, which its own line says.
        if !(conductor.made && conductor.twin) {
            marks.push(&conductor.mark);
        }
    }
    let single = by_line
        .iter()
        .filter_map(|(site, marks)| match marks.as_slice() {
            [mark] => on_line(plan, *site, mark),
            // One line that makes several has one word for all: theirs stay made.
            _ => None,
        });
    let edits: Vec<Edit> = single.collect();
    if edits.is_empty() {
        return Err(
            "The line that makes these conductors makes several: write the return out first."
                .to_owned(),
        );
    }
    if marks(plan) == marks(&edited(plan, &edits)) {
        Ok(edits)
    } else {
        Err(
            "The marks that stay made would be numbered anew: write the return out first."
                .to_owned(),
        )
    }
}

fn marks(plan: &Plan) -> Vec<&str> {
    let conductors = plan.wiring.conductors.iter();
    conductors.map(|conductor| &*conductor.mark).collect()
}

fn on_line(plan: &Plan, site: Site, mark: &str) -> Option<Edit> {
    let whose = ThingRef {
        file: site.file,
        thing: site.thing,
    };
    let lines = Lines::of(plan, whose)?;
    let (_, step) = lines.thing.step_at(site.span.start)?;
    let behind = match step {
        Step::Conductor(line) => line.span,
        Step::Back(back) => before_to(back),
        Step::Stop(_) | Step::Unread(_) => return None,
    };
    Some(lines.behind(behind, format!(" mark {mark}")))
}

/// The words of `back` that stand before its `to`.
fn before_to(back: &Back) -> Span {
    let word = Span::new(back.span.start, back.span.start + "back".len() as u32);
    let parts = [
        back.colour.map(|colour| colour.span),
        back.length.map(|length| length.span),
        back.core
            .as_ref()
            .map(|(number, of)| number.span.to(of.span)),
    ];
    parts.into_iter().flatten().fold(word, Span::to)
}
