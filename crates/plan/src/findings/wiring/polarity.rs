//! `reversed-polarity` and `wrong-way`: what current would have to enter by the wrong side.

use std::collections::BTreeMap;

use ampwright_notation::Kind;
use petgraph::graph::NodeIndex;

use super::{
    super::registry::Code,
    ground::{Ground, Side, are},
    open::Mute,
};
use crate::{
    finding::Finding,
    model::PartId,
    say,
    site::Site,
    wiring::{Device, Link, SupplyKind, Term},
};

/// A part's `+` on the negative side and its `-` on the positive; several of one run, one finding.
pub(super) fn find(ground: &Ground<'_>, mute: &mut Mute, found: &mut Vec<Finding>) {
    let plan = ground.desk.plan;
    let draws = plan
        .wiring
        .draws
        .iter()
        .map(|draw| (draw.part, draw.plus, draw.minus));
    let supplies = plan.wiring.supplies.iter().filter(|supply| {
        !matches!(
            supply.kind,
            SupplyKind::Battery | SupplyKind::Solar | SupplyKind::Converter
        )
    });
    let supplies = supplies.map(|supply| (supply.part, supply.plus, supply.minus));
    let mut by_run: BTreeMap<u32, Vec<(PartId, NodeIndex)>> = BTreeMap::new();
    for (part, plus, minus) in draws.chain(supplies) {
        if ground.side(plus) == Side::Home && ground.side(minus) == Side::Live {
            add(ground, mute, &mut by_run, part, plus);
        }
    }
    for (part, plus) in reversed_panels(ground) {
        add(ground, mute, &mut by_run, part, plus);
    }
    for parts in by_run.into_values() {
        found.extend(reversed(ground, &parts));
    }
}

fn add(
    ground: &Ground<'_>,
    mute: &mut Mute,
    by_run: &mut BTreeMap<u32, Vec<(PartId, NodeIndex)>>,
    part: PartId,
    plus: NodeIndex,
) {
    let wiring = &ground.desk.plan.wiring;
    let run = wiring
        .conductors_at(plus)
        .map(|index| wiring.conductors[index as usize].run)
        .min();
    if mute.parts.insert(part) {
        by_run
            .entry(run.unwrap_or(u32::MAX))
            .or_default()
            .push((part, plus));
    }
}

fn reversed(ground: &Ground<'_>, parts: &[(PartId, NodeIndex)]) -> Option<Finding> {
    let desk = ground.desk;
    let &(first, plus) = parts.first()?;
    let names: Vec<PartId> = parts.iter().map(|&(part, _)| part).collect();
    let message = format!(
        "{} {} wired the wrong way round: + lies on the negative side and - on the positive; exchange the two ends.",
        ground.names(&names),
        are(names.len()),
    );
    let stop = ground.stops(first).find(|visit| visit.enter == plus);
    let site = stop.map_or_else(|| desk.name_site(first), |visit| visit.site);
    let mut finding = Finding::new(Code::ReversedPolarity, site, message);
    for &(part, _) in parts.iter().skip(1) {
        finding = finding.beside(desk.name_site(part), "the wrong way round too");
    }
    Some(finding)
}

/// Solar panels whose + is on a controller's `pv -` and whose - is on its `pv +`.
fn reversed_panels(ground: &Ground<'_>) -> Vec<(PartId, NodeIndex)> {
    let plan = ground.desk.plan;
    let sides = plan
        .model
        .ids()
        .filter(|(_, part)| part.kind == Kind::Controller)
        .filter_map(|(id, _)| {
            let piece = |term| {
                plan.wiring
                    .terminal(id, term)
                    .map(|node| ground.solid[node.index()])
            };
            Some((piece(Term::InMinus)?, piece(Term::InPlus)?))
        });
    let crossed: rustc_hash::FxHashSet<(u32, u32)> = sides.filter(|(a, b)| a != b).collect();
    let solar = plan
        .wiring
        .supplies
        .iter()
        .filter(|supply| supply.kind == SupplyKind::Solar);
    solar
        .filter(|supply| {
            let piece = |node: NodeIndex| ground.solid[node.index()];
            crossed.contains(&(piece(supply.plus), piece(supply.minus)))
        })
        .map(|supply| (supply.part, supply.plus))
        .collect()
}

/// A panel whose feed nothing reaches but one of its ways.
pub(super) fn wrong_way(ground: &Ground<'_>, found: &mut Vec<Finding>) {
    let plan = ground.desk.plan;
    for (id, part) in plan.model.ids() {
        if part.kind == Kind::Panel {
            found.extend(
                fed_through(ground, id).map(|(way, device)| backwards(ground, id, way, device)),
            );
        }
    }
}

/// The way through which a panel is fed, and its device.
fn fed_through(ground: &Ground<'_>, panel: PartId) -> Option<(NodeIndex, u32)> {
    let plan = ground.desk.plan;
    let live = &plan.study.base.live;
    let feed = plan.wiring.terminal(panel, Term::Feed(1))?;
    let by_contact = |node: NodeIndex| {
        let reach = live[node.index()]?;
        match plan.wiring.graph.edge_weight(reach.by?)? {
            Link::Contact(index) if plan.wiring.contacts[*index as usize].part == panel => {
                Some((reach.from, *index))
            }
            _ => None,
        }
    };
    let (mut from, mut contact) = by_contact(feed)?;
    if plan.wiring.contacts[contact as usize].device == Device::Main {
        (from, contact) = by_contact(from)?;
    }
    let way = matches!(
        plan.wiring.contacts[contact as usize].device,
        Device::WayFuse(_) | Device::WayBreaker(_) | Device::WaySwitch(_)
    );
    // A conductor at the feed that is live by another way feeds the panel too.
    let otherwise = plan.wiring.conductors_at(feed).any(|index| {
        let wired = &plan.wiring.conductors[index as usize];
        let other = if wired.from == feed {
            wired.to
        } else {
            wired.from
        };
        live[other.index()].is_some_and(|reach| reach.by != Some(wired.edge))
    });
    (way && !otherwise).then_some((from, contact))
}

fn backwards(ground: &Ground<'_>, panel: PartId, way: NodeIndex, device: u32) -> Finding {
    let desk = ground.desk;
    let contact = &desk.plan.wiring.contacts[device as usize];
    let name = ground.name(panel);
    let rating = contact
        .protects
        .or(contact.carries)
        .map_or_else(String::new, |amps| format!(" of {}", say::amps(amps)));
    let message = format!(
        "{name} is fed through its {}: all that it feeds draws through that one device{rating}. End the feeding run at {name} itself.",
        desk.node_name(way)
            .strip_prefix(name)
            .map_or_else(String::new, |rest| rest.trim().to_owned()),
    );
    let feeding = desk.plan.study.base.live[way.index()]
        .and_then(|reach| reach.by)
        .and_then(|edge| desk.circuit.conductor_of(edge))
        .map(|index| desk.plan.wiring.conductors[index as usize].run);
    let stop = ground
        .stops(panel)
        .find(|visit| visit.enter == way && Some(visit.run) == feeding);
    let site: Site = stop.map_or(contact.site, |visit| visit.site);
    let finding = Finding::new(Code::WrongWay, site, message).beside(contact.site, "the way");
    match stop {
        Some(visit) => finding.mended_by(format!("write {name}"), visit.site, name),
        None => finding,
    }
}
