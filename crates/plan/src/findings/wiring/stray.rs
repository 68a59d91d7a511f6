//! Current where nobody looks for it: `hull-return`, `bonding-loop`, `shunt-bypassed`.

use std::collections::BTreeMap;

use ampwright_electrics::rules::LoadClass;
use ampwright_notation::Kind;
use petgraph::{
    graph::{EdgeIndex, NodeIndex},
    unionfind::UnionFind,
};
use rustc_hash::FxHashSet;

use super::{
    super::registry::Code,
    ground::{Ground, Side, are},
};
use crate::{
    finding::{Finding, Severity},
    model::PartId,
    study::reach::{Direction, Net, everything_closed, search, way_to},
    wiring::{Conductor, Device, DrawKind, Link, SupplyKind, Term},
};

/// The home net of every bank, without the edges that `avoids` names.
fn home_without(ground: &Ground<'_>, avoids: impl Fn(EdgeIndex, &Link) -> bool) -> Net {
    let plan = ground.desk.plan;
    let mut starts: Vec<(NodeIndex, u32, f64)> = Vec::new();
    for bank in &plan.study.base.banks.list {
        let bottoms = bank.bottoms.iter().zip(&bank.supplies);
        starts.extend(bottoms.map(|(&bottom, &supply)| (bottom, supply, 0.0)));
    }
    let supplies = plan.wiring.supplies.iter().enumerate();
    starts.extend(
        supplies
            .filter(|(_, supply)| supply.kind == SupplyKind::Converter)
            .map(|(index, supply)| (supply.minus, index as u32, 0.0)),
    );
    search(&plan.wiring, &starts, Direction::Home, |edge, link| {
        everything_closed(edge, link) && !avoids(edge, link)
    })
}

fn touches(ground: &Ground<'_>, edge: EdgeIndex, kinds: &[Kind]) -> bool {
    let ends = ground.desk.plan.wiring.graph.edge_endpoints(edge);
    ends.is_some_and(|(a, b)| {
        [a, b]
            .into_iter()
            .any(|end| ground.kind(end).is_some_and(|kind| kinds.contains(&kind)))
    })
}

fn has(ground: &Ground<'_>, kinds: &[Kind]) -> bool {
    let parts = &ground.desk.plan.model.parts;
    parts.iter().any(|part| kinds.contains(&part.kind))
}

/// Loads whose current comes home only through a bonding point, or through an engine block on
/// which they are not earthed. One finding for each such point.
pub(super) fn hull_return(ground: &Ground<'_>, found: &mut Vec<Finding>) {
    if !has(ground, &[Kind::Bond, Kind::Block]) {
        return;
    }
    let plan = ground.desk.plan;
    let base = &plan.study.base;
    let all = home_without(ground, |_, _| false);
    let no_bond = home_without(ground, |edge, _| touches(ground, edge, &[Kind::Bond]));
    let neither = home_without(ground, |edge, _| {
        touches(ground, edge, &[Kind::Bond, Kind::Block])
    });
    let mut by_point: BTreeMap<PartId, Vec<u32>> = BTreeMap::new();
    for (index, draw) in plan.wiring.draws.iter().enumerate() {
        let earthed = ground.kind(draw.minus) == Some(Kind::Block);
        let cranks = base.class[index] == LoadClass::Starter;
        let net = if earthed || cranks {
            &no_bond
        } else {
            &neither
        };
        if all[draw.minus.index()].is_none() || net[draw.minus.index()].is_some() {
            continue;
        }
        let kinds: &[Kind] = if earthed || cranks {
            &[Kind::Bond]
        } else {
            &[Kind::Bond, Kind::Block]
        };
        if let Some(point) = first_point(ground, &all, draw.minus, kinds) {
            by_point.entry(point).or_default().push(index as u32);
        }
    }
    for (point, draws) in by_point {
        found.extend(through(ground, &all, point, &draws));
    }
}

fn first_point(ground: &Ground<'_>, net: &Net, from: NodeIndex, kinds: &[Kind]) -> Option<PartId> {
    way_to(net, from)
        .map(|(_, node)| node)
        .chain(std::iter::once(from))
        .find(|&node| ground.kind(node).is_some_and(|kind| kinds.contains(&kind)))
        .and_then(|node| ground.part(node))
}

fn through(ground: &Ground<'_>, net: &Net, point: PartId, draws: &[u32]) -> Option<Finding> {
    let desk = ground.desk;
    let plan = desk.plan;
    let wired = |draw: u32| &plan.wiring.draws[draw as usize];
    let parts: Vec<PartId> = draws.iter().map(|&draw| wired(draw).part).collect();
    let &first = draws.first()?;
    let bond = plan.model.get(point).kind == Kind::Bond;
    let what = if bond {
        "a bonding point, which carries no load's current"
    } else {
        "an engine block, which is a return only for what is earthed on it"
    };
    let message = format!(
        "The current of {} comes home only through {}, {what}: give {} a conductor back to the negative bar.",
        ground.names(&parts),
        ground.name(point),
        if parts.len() == 1 { "it" } else { "them" },
    );
    // The conductor that lands on the point, on the way home.
    let landing = way_to(net, wired(first).minus)
        .find(|&(_, node)| ground.part(node) == Some(point))
        .and_then(|(edge, _)| desk.circuit.conductor_of(edge));
    let site = landing.map_or_else(
        || desk.name_site(wired(first).part),
        |index| plan.wiring.conductors[index as usize].site,
    );
    let severity = if bond {
        Severity::Error
    } else {
        Severity::Warning
    };
    let mut finding = Finding::new(Code::HullReturn, site, message)
        .at(severity)
        .beside(desk.name_site(point), "carries the current");
    for &part in parts.iter().take(8) {
        finding = finding.beside(desk.name_site(part), "returns through it");
    }
    let bar = plan.model.ids().find(|&(id, part)| {
        part.kind == Kind::Busbar
            && plan
                .wiring
                .terminal(id, Term::Bar)
                .is_some_and(|node| ground.side(node) == Side::Home)
    });
    Some(match (bar, landing) {
        (Some((_, bar)), Some(index)) => {
            let wired = &plan.wiring.conductors[index as usize];
            let ends = [wired_end(ground, point, wired); 2];
            land_on(ground, finding, index, ends, || bar.name.to_string())
        }
        _ => finding,
    })
}

/// The end of a conductor that lies on a part.
fn wired_end(ground: &Ground<'_>, part: PartId, wired: &Conductor) -> NodeIndex {
    if ground.part(wired.from) == Some(part) {
        wired.from
    } else {
        wired.to
    }
}

/// Bonding conductors that close a ring: the bonding is joined to the negative, or to itself, twice.
pub(super) fn bonding_loop(ground: &Ground<'_>, found: &mut Vec<Finding>) {
    if !has(ground, &[Kind::Bond]) {
        return;
    }
    let desk = ground.desk;
    let wiring = &desk.plan.wiring;
    let mut sets = UnionFind::<u32>::new(wiring.graph.node_count());
    let bonding = |edge: EdgeIndex| touches(ground, edge, &[Kind::Bond]);
    for index in wiring.graph.edge_indices() {
        let (Some(link), Some((a, b))) = (
            wiring.graph.edge_weight(index),
            wiring.graph.edge_endpoints(index),
        ) else {
            continue;
        };
        if everything_closed(index, link) && !bonding(index) {
            sets.union(a.index() as u32, b.index() as u32);
        }
    }
    for conductor in &wiring.conductors {
        let ends = [conductor.from, conductor.to];
        let unread = ends
            .iter()
            .any(|&end| wiring.graph[end].term == Term::Unknown);
        if !bonding(conductor.edge) || unread {
            continue;
        }
        if !sets.union(ends[0].index() as u32, ends[1].index() as u32) {
            let message = format!(
                "This conductor joins {} to {} a second time and closes a ring in the bonding: join the bonding to the negative at one point only.",
                desk.node_name(ends[0]),
                desk.node_name(ends[1]),
            );
            found.push(Finding::new(Code::BondingLoop, conductor.site, message));
        }
    }
}

/// What comes home to a bank past its shunt, while other current goes through it.
pub(super) fn shunt_bypassed(ground: &Ground<'_>, found: &mut Vec<Finding>) {
    let plan = ground.desk.plan;
    let is_shunt = |link: &Link| {
        matches!(link, Link::Contact(index)
            if plan.wiring.contacts[*index as usize].device == Device::Shunt)
    };
    if !has(ground, &[Kind::Shunt]) {
        return;
    }
    let past = home_without(ground, |_, link| is_shunt(link));
    let shunts = Shunts::of(ground, &past);
    let mut by_landing: BTreeMap<u32, (u32, Vec<PartId>)> = BTreeMap::new();
    for (part, plus, minus) in users(ground) {
        let Some(shunt) = shunts.of_bank(ground, &past, plus, minus) else {
            continue;
        };
        if let Some(landing) = shunts.landing(ground, &past, minus) {
            let entry = by_landing.entry(landing).or_insert((shunt, Vec::new()));
            entry.1.push(part);
        }
    }
    for (landing, (shunt, parts)) in by_landing {
        found.push(past_the_shunt(ground, landing, shunt, &parts));
    }
}

/// What draws or charges, with its two terminals.
fn users<'a>(
    ground: &'a Ground<'_>,
) -> impl Iterator<Item = (PartId, NodeIndex, NodeIndex)> + use<'a> {
    let wiring = &ground.desk.plan.wiring;
    let draws = wiring
        .draws
        .iter()
        .filter(|draw| draw.kind != DrawKind::Coil)
        .map(|draw| (draw.part, draw.plus, draw.minus));
    let sources = wiring
        .supplies
        .iter()
        .filter(|supply| supply.kind.charges() && supply.kind != SupplyKind::InverterCharger)
        .map(|supply| (supply.part, supply.plus, supply.minus));
    draws.chain(sources)
}

/// The shunts in the negative, each with the bank it serves.
struct Shunts {
    /// For each bank its shunt's contact.
    of_bank: BTreeMap<u32, u32>,
    /// The way from each shunt's battery side to the battery.
    trunk: FxHashSet<NodeIndex>,
}

impl Shunts {
    fn of(ground: &Ground<'_>, past: &Net) -> Self {
        let plan = ground.desk.plan;
        let base = &plan.study.base;
        let mut shunts = Self {
            of_bank: BTreeMap::new(),
            trunk: FxHashSet::default(),
        };
        for (index, contact) in plan.wiring.contacts.iter().enumerate() {
            if contact.device != Device::Shunt {
                continue;
            }
            let near = contact.feed;
            let Some(reach) = past[near.index()] else {
                continue;
            };
            // The same bank on both sides: the shunt as a whole is bypassed.
            let beyond = past[contact.out.index()];
            if beyond.is_some_and(|beyond| beyond.source == reach.source) {
                continue;
            }
            let Some(&bank) = base.banks.of_supply.get(&reach.source) else {
                continue;
            };
            shunts.of_bank.entry(bank).or_insert(index as u32);
            shunts.trunk.insert(near);
            shunts
                .trunk
                .extend(way_to(past, near).map(|(_, node)| node));
            shunts
                .trunk
                .extend(base.banks.list[bank as usize].bottoms.iter());
        }
        shunts
    }

    /// The shunt that a current from `plus` home to `minus` goes past.
    fn of_bank(
        &self,
        ground: &Ground<'_>,
        past: &Net,
        plus: NodeIndex,
        minus: NodeIndex,
    ) -> Option<u32> {
        let base = &ground.desk.plan.study.base;
        let bank = |source: u32| base.banks.of_supply.get(&source).copied();
        let home = bank(past[minus.index()]?.source)?;
        let live = bank(base.live[plus.index()]?.source);
        // A charging source is its own live net where no battery feeds back to it.
        (live.is_none() || live == Some(home))
            .then(|| self.of_bank.get(&home).copied())
            .flatten()
    }

    /// The conductor by which a way home joins the trunk.
    fn landing(&self, ground: &Ground<'_>, past: &Net, minus: NodeIndex) -> Option<u32> {
        way_to(past, minus)
            .find(|(_, node)| self.trunk.contains(node))
            .and_then(|(edge, _)| ground.desk.circuit.conductor_of(edge))
    }
}

fn past_the_shunt(ground: &Ground<'_>, landing: u32, shunt: u32, parts: &[PartId]) -> Finding {
    let desk = ground.desk;
    let wiring = &desk.plan.wiring;
    let contact = &wiring.contacts[shunt as usize];
    let name = ground.name(contact.part);
    let mut all = parts.to_vec();
    all.dedup();
    let message = format!(
        "{} {} joined to the battery past {name}, which never counts it: land this conductor on the system side of {name}.",
        ground.names(&all),
        are(all.len()),
    );
    let wired = &wiring.conductors[landing as usize];
    let mut finding =
        Finding::new(Code::ShuntBypassed, wired.site, message).beside(contact.site, "the shunt");
    for &part in all.iter().take(8) {
        finding = finding.beside(desk.name_site(part), "not counted");
    }
    land_on(ground, finding, landing, [wired.from, wired.to], || {
        format!("{name} system")
    })
}

/// Adds the edit that lands a conductor's far end elsewhere: at the one of these terminals that
/// lies on a battery or a bar.
fn land_on(
    ground: &Ground<'_>,
    finding: Finding,
    conductor: u32,
    ends: [NodeIndex; 2],
    words: impl FnOnce() -> String,
) -> Finding {
    let run = ground.desk.plan.wiring.conductors[conductor as usize].run;
    let fixed = |&end: &NodeIndex| {
        matches!(
            ground.kind(end),
            Some(Kind::Battery | Kind::Busbar | Kind::Bond | Kind::Block)
        )
    };
    let stop = ends.iter().rev().copied().find(fixed).and_then(|end| {
        ground
            .stops(ground.part(end)?)
            .find(|visit| visit.run == run && visit.enter == end)
    });
    match stop {
        Some(visit) => {
            let words = words();
            finding.mended_by(format!("write {words}"), visit.site, words)
        }
        None => finding,
    }
}
