//! `unused-core`: the second core of a twin leads nowhere. (`core-reused` is found while runs are
//! followed.)

use ampwright_notation::tree::Step;
use rustc_hash::FxHashSet;

use super::{super::registry::Code, ground::Ground, open::Mute};
use crate::{finding::Finding, wiring::Way};

pub(super) fn find(ground: &Ground<'_>, mute: &Mute, found: &mut Vec<Finding>) {
    let plan = ground.desk.plan;
    let twins = || {
        plan.wiring
            .conductors
            .iter()
            .filter(|conductor| conductor.twin)
    };
    let home: FxHashSet<u32> = twins()
        .filter(|conductor| conductor.made && conductor.way == Way::Home)
        .map(|conductor| conductor.run)
        .collect();
    let mut said: FxHashSet<u32> = FxHashSet::default();
    for conductor in twins() {
        if home.contains(&conductor.run) || !said.insert(conductor.run) {
            continue;
        }
        if serves_an_open_part(ground, mute, conductor.to) || has_back(ground, conductor.run) {
            continue;
        }
        let message = "The second core of this twin leads nowhere: add back where it should lead home, or write a single conductor.";
        found.push(Finding::new(Code::UnusedCore, conductor.site, message));
    }
}

/// A `back` that could not be followed has its own finding.
fn has_back(ground: &Ground<'_>, run: u32) -> bool {
    let plan = ground.desk.plan;
    let thing = plan.sources.thing(plan.model.runs.list[run as usize].thing);
    thing.is_some_and(|thing| thing.steps.iter().any(|step| matches!(step, Step::Back(_))))
}

/// The load at its end lacks its way home: that finding speaks of it.
fn serves_an_open_part(ground: &Ground<'_>, mute: &Mute, end: petgraph::graph::NodeIndex) -> bool {
    ground
        .part(end)
        .is_some_and(|part| mute.open.contains(&part) || mute.parts.contains(&part))
}
