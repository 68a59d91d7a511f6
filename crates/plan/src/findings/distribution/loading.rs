//! `device-overloaded`, and `bus-overflow` by current: more than a part is rated for.
//!
//! What goes through a bar, a panel or a joint in one moment is half the sum of what its conductors
//! carry in it: all that comes in goes out. Moments are never mixed.

use std::collections::BTreeMap;

use ampwright_notation::{Key, Kind};
use petgraph::{
    graph::{EdgeIndex, NodeIndex},
    visit::EdgeRef,
};

use super::super::{Desk, registry::Code};
use crate::{
    finding::{Finding, Severity},
    model::PartId,
    say,
    study::{
        cables::{Design, DesignBy, contact_design},
        moments::{Label, Stand},
    },
    wiring::{DrawKind, Link, SupplyKind, Term},
};

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    contacts(desk, found);
    nodes(desk, found);
    diodes(desk, found);
    sockets(desk, found);
    converters(desk, found);
}

/// The most that asks of a part, and what it is rated for.
struct Asked {
    design: Design,
    rating: f64,
}

impl Asked {
    fn worst(worst: &mut Option<Self>, next: Self) {
        let over = |asked: &Self| {
            (
                asked.design.certain > asked.rating + 1e-6,
                asked.design.amps,
            )
        };
        if worst.as_ref().is_none_or(|known| over(&next) > over(known)) {
            *worst = Some(next);
        }
    }
}

/// Isolators, switches, selectors, relays, shunts, diodes and switched ways; one finding a part,
/// but one for each way of a panel.
fn contacts(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let mut worst: BTreeMap<(PartId, u32), (Option<Asked>, u32)> = BTreeMap::new();
    for (index, contact) in desk.plan.wiring.contacts.iter().enumerate() {
        let Some(rating) = contact.carries else {
            continue;
        };
        let design = contact_design(&desk.plan.study.rule, contact.edge);
        if design.amps <= rating + 1e-6 {
            continue;
        }
        let way = match contact.device {
            crate::wiring::Device::WaySwitch(way) => way,
            _ => 0,
        };
        let entry = worst
            .entry((contact.part, way))
            .or_insert((None, index as u32));
        Asked::worst(&mut entry.0, Asked { design, rating });
    }
    for (asked, index) in worst.into_values() {
        let contact = &desk.plan.wiring.contacts[index as usize];
        let name = desk.circuit.contact_name(contact);
        let Some(asked) = asked else { continue };
        found.push(overloaded(
            desk,
            Code::DeviceOverloaded,
            contact.site,
            &name,
            &asked,
        ));
    }
}

fn overloaded(
    desk: &Desk<'_>,
    code: Code,
    site: crate::site::Site,
    name: &str,
    asked: &Asked,
) -> Finding {
    let message = format!(
        "{name} is rated {} and carries {} in {}: use one of a larger rating, or put less on it.",
        say::amps(asked.rating),
        say::amps(asked.design.amps),
        desk.plan.asked_by(asked.design.by),
    );
    let severity = desk.soften_design(&asked.design, asked.rating, Severity::Error);
    Finding::new(code, site, message)
        .at(severity)
        .measuring(asked.design.amps, asked.rating, "A")
}

/// Splitting diodes: what comes in at `feed`, which no output alone has to carry.
fn diodes(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (id, part) in desk.plan.model.ids() {
        let facts = desk.circuit.facts(id);
        let several = facts.count(Key::Outputs).unwrap_or(1) > 1;
        let feed = desk.plan.wiring.terminal(id, Term::Feed(1));
        let Some((feed, rating)) = feed
            .filter(|_| part.kind == Kind::Diode && several)
            .zip(facts.amount(Key::Amps))
        else {
            continue;
        };
        let asked = Asked {
            design: through(desk, feed, 0.5),
            rating,
        };
        let outputs = desk.plan.wiring.contacts.iter();
        let told = outputs.filter(|contact| contact.part == id).any(|contact| {
            contact_design(&desk.plan.study.rule, contact.edge).amps > rating + 1e-6
        });
        if asked.design.amps > rating + 1e-6 && !told {
            let site = desk.name_site(id);
            let code = Code::DeviceOverloaded;
            found.push(overloaded(desk, code, site, &part.name, &asked));
        }
    }
}

/// Bars, panels and joints: what goes through the node.
fn nodes(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (id, part) in desk.plan.model.ids() {
        if !matches!(part.kind, Kind::Busbar | Kind::Panel | Kind::Joint) {
            continue;
        }
        let facts = desk.circuit.facts(id);
        let Some(rating) = facts.amount(Key::Amps) else {
            continue;
        };
        let poles = facts.count(Key::Poles);
        let mut worst = None;
        for term in terms(part.kind, poles) {
            if let Some(node) = desk.plan.wiring.terminal(id, term) {
                let design = through(desk, node, 0.5);
                Asked::worst(&mut worst, Asked { design, rating });
            }
        }
        let Some(asked) = worst.filter(|asked| asked.design.amps > rating + 1e-6) else {
            continue;
        };
        let code = if part.kind == Kind::Busbar {
            Code::BusOverflow
        } else {
            Code::DeviceOverloaded
        };
        found.push(overloaded(
            desk,
            code,
            desk.name_site(id),
            &part.name,
            &asked,
        ));
    }
}

fn terms(kind: Kind, poles: Option<u32>) -> Vec<Term> {
    match (kind, poles) {
        (Kind::Panel, _) => vec![Term::Feed(1)],
        (_, Some(poles)) => (1..=poles.min(MOST_POLES)).map(Term::Pole).collect(),
        _ => vec![Term::Bar],
    }
}

/// No connector has more.
const MOST_POLES: u32 = 256;

/// The largest current through a node: its conductors' and contacts' sum times a share, moment by
/// moment; a short-time load's comes on top of `everything`.
fn through(desk: &Desk<'_>, node: NodeIndex, share: f64) -> Design {
    let plan = desk.plan;
    let rule = &plan.study.rule;
    let edges: Vec<EdgeIndex> = plan
        .wiring
        .graph
        .edges(node)
        .filter(|edge| matches!(edge.weight(), Link::Conductor(_) | Link::Contact(_)))
        .map(|edge| edge.id())
        .collect();
    let mut design = Design {
        amps: 0.0,
        by: DesignBy::Nothing,
        certain: 0.0,
    };
    let at = |list: &[f64], edge: &EdgeIndex| list.get(edge.index()).copied().unwrap_or(0.0).abs();
    // One load or source alone goes in by one edge and out by another.
    let one = |list: &crate::study::rule::OneByOne| {
        edges.iter().filter_map(|&edge| rule.most(list, edge)).fold(
            None,
            |best: Option<(f64, u32, Stand)>, next| {
                if best.is_none_or(|best| next.0 > best.0 + 1e-9) {
                    Some(next)
                } else {
                    best
                }
            },
        )
    };
    let mut take = |amps: f64, by: DesignBy| {
        if amps > design.amps + 1e-9 {
            (design.amps, design.by) = (amps, by);
        }
    };
    if let Some((amps, draw, stand)) = one(&rule.alone) {
        take(amps, DesignBy::Alone(draw, stand));
    }
    if let Some((amps, supply, stand)) = one(&rule.charging) {
        take(amps, DesignBy::Charging(supply, stand));
    }
    if let Some((amps, supply, stand)) = one(&rule.controllers) {
        take(amps, DesignBy::Controllers(supply, stand));
    }
    let sums = |wanted: bool| {
        let moments = rule.moments.iter().enumerate();
        moments
            .filter(move |(_, solved)| matches!(solved.moment.label, Label::Case(_)) == wanted)
            .map(|(index, solved)| {
                let sum: f64 = edges.iter().map(|edge| at(&solved.amps, edge)).sum();
                (index, sum * share)
            })
            .collect::<Vec<_>>()
    };
    for (index, amps) in sums(true) {
        take(amps, DesignBy::Moment(index));
    }
    design.certain = design.amps;
    if let Some((amps, panels, stand)) = one(&rule.panels) {
        design.take_panels(amps, DesignBy::Panels(panels, stand));
    }
    let top = one(&rule.top);
    let mut take = |amps: f64, by: DesignBy| {
        if amps > design.amps + 1e-9 {
            (design.amps, design.by) = (amps, by);
        }
    };
    for (index, amps) in sums(false) {
        take(amps, DesignBy::Moment(index));
        if let Some((more, draw, _)) = top {
            take(amps + more, DesignBy::OnTop(draw, index));
        }
    }
    design
}

/// A case that takes more from a socket than the socket may give.
fn sockets(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let plan = desk.plan;
    let mut worst: BTreeMap<u32, (f64, usize)> = BTreeMap::new();
    for (index, solved) in plan.study.rule.moments.iter().enumerate() {
        for &(draw, amps) in &solved.moment.draws {
            if plan.wiring.draws[draw as usize].kind != DrawKind::Socket {
                continue;
            }
            let known = worst.entry(draw).or_insert((amps, index));
            if amps > known.0 + 1e-9 {
                *known = (amps, index);
            }
        }
    }
    for (draw, (amps, moment)) in worst {
        let part = plan.wiring.draws[draw as usize].part;
        let Some(rating) = desk.circuit.facts(part).amount(Key::Amps) else {
            continue;
        };
        if amps <= rating + 1e-6 {
            continue;
        }
        let asked = Asked {
            design: Design {
                amps,
                by: DesignBy::Moment(moment),
                certain: amps,
            },
            rating,
        };
        let name = &plan.model.get(part).name;
        found.push(overloaded(
            desk,
            Code::DeviceOverloaded,
            desk.name_site(part),
            name,
            &asked,
        ));
    }
}

/// Converters whose loads together take more than they give.
fn converters(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let supplies = desk.plan.wiring.supplies.iter();
    for supply in supplies.filter(|supply| supply.kind == SupplyKind::Converter) {
        let design = through(desk, supply.plus, 1.0);
        if design.amps <= supply.amps + 1e-6 {
            continue;
        }
        let asked = Asked {
            design,
            rating: supply.amps,
        };
        let name = &desk.plan.model.get(supply.part).name;
        found.push(overloaded(
            desk,
            Code::DeviceOverloaded,
            desk.name_site(supply.part),
            name,
            &asked,
        ));
    }
}
