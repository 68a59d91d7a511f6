//! `source-unprotected`: what charges a battery without a device that the battery's own current
//! would open.
//!
//! A cable past the distance at which a device has to stand is an `unfused-run` and no second
//! finding; here is what that one excuses, since the cable is short, though nothing on it is a
//! device at all. Every charging source of a plan limits its own current, so its own end is excused.

use petgraph::graph::{EdgeIndex, NodeIndex};
use rustc_hash::FxHashSet;

use super::super::{Desk, protection::capital, registry::Code};
use crate::{
    finding::{Finding, Severity},
    say,
    study::reach::{Net, way_to},
    wiring::{Link, Supply, SupplyKind},
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
        found.extend(generator(desk, supply));
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

/// Where the rule set limits the device of an alternator by what the alternator gives.
fn generator(desk: &Desk<'_>, supply: &Supply) -> Option<Finding> {
    let share = desk.circuit.rules.generator_share()?;
    if supply.kind != SupplyKind::Alternator || supply.amps <= 0.0 {
        return None;
    }
    let device = way_to(&desk.circuit.live, supply.plus).find_map(|(edge, _)| {
        let Some(Link::Contact(index)) = desk.plan.wiring.graph.edge_weight(edge) else {
            return None;
        };
        let contact = &desk.plan.wiring.contacts[*index as usize];
        Some((contact, contact.protects?))
    });
    let (contact, rating) = device?;
    let allowed = share.value * supply.amps;
    if rating <= allowed + 1e-6 {
        return None;
    }
    let message = format!(
        "{} is rated {}, and of an alternator of {} that does not limit its own current it may be {} at most ({}, {}).",
        capital(&desk.circuit.contact_name(contact)),
        say::amps(rating),
        say::amps(supply.amps),
        say::amps(allowed),
        share.source,
        share.tag,
    );
    let severity = if share.tag.may_be_error() {
        Severity::Warning
    } else {
        Severity::Advice
    };
    Some(
        Finding::new(Code::SourceUnprotected, contact.site, message)
            .at(severity)
            .measuring(rating, allowed, "A"),
    )
}
