//! `source-unprotected`: what charges a battery without a device that the battery's own current
//! would open.
//!
//! A cable past the distance at which a device has to stand is an `unfused-run` and no second
//! finding; here is what that one excuses, since the cable is short, though nothing on it is a
//! device at all. Every charging source of a plan gives no more than its A, so that it counts as one
//! that limits its own current: its own end is excused, and so is its device from the share of its
//! rating that a law asks of those that do not.

use petgraph::graph::{EdgeIndex, NodeIndex};
use rustc_hash::FxHashSet;

use super::super::{Desk, registry::Code};
use crate::{
    finding::{Finding, Severity},
    study::reach::{Net, way_to},
    wiring::Supply,
};

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let charges = |supply: &&Supply| supply.kind.charges();
    let mut charging = desk.plan.wiring.supplies.iter().filter(charges).peekable();
    if charging.peek().is_none() {
        return;
    }
    let unfused = desk.circuit.unfused_net();
    let told: FxHashSet<u32> = (desk.plan.study.protection.unfused.iter())
        .flat_map(|one| one.others.iter().copied().chain([one.conductor]))
        .collect();
    for supply in charging {
        found.extend(no_device(desk, &unfused, &told, supply));
    }
}

fn no_device(
    desk: &Desk<'_>,
    unfused: &Net,
    told: &FxHashSet<u32>,
    supply: &Supply,
) -> Option<Finding> {
    unfused[supply.plus.index()]?;
    let way: Vec<(EdgeIndex, NodeIndex)> = way_to(unfused, supply.plus).collect();
    let conductors: Vec<u32> = way
        .iter()
        .filter_map(|(edge, _)| desk.circuit.conductor_of(*edge))
        .collect();
    let &first = conductors.first()?;
    if conductors.iter().any(|index| told.contains(index)) {
        return None;
    }
    let (_, post) = way.last()?;
    // Close to a starter's cable, which may go without a device itself.
    let cranks = |index: &u32| desk.plan.study.protection.cranking.contains(index);
    let severity = if conductors.iter().any(cranks) {
        Severity::Advice
    } else {
        Severity::Error
    };
    let name = &desk.plan.model.get(supply.part).name;
    let message = format!(
        "No fuse or breaker stands between {} and {name}: short as the cable is, the battery feeds any fault on it; put one at the battery's end.",
        desk.node_name(*post),
    );
    let site = desk.plan.wiring.conductors[first as usize].site;
    Some(
        Finding::new(Code::SourceUnprotected, site, message)
            .at(severity)
            .beside(desk.name_site(supply.part), "the source"),
    )
}
