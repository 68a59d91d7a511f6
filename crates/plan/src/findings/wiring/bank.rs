//! `tapped-bank`: something joined between the blocks of a series bank.

use std::collections::BTreeMap;

use petgraph::graph::NodeIndex;
use rustc_hash::FxHashMap;

use super::{super::registry::Code, ground::Ground};
use crate::{
    finding::Finding, model::PartId, say, site::Site, study::reach::way_to, wiring::SupplyKind,
};

/// What hangs on one point between two blocks.
struct Tapped {
    volts: f64,
    node: NodeIndex,
    /// The parts, each with the terminal that lies at the tap.
    parts: Vec<(PartId, NodeIndex)>,
}

pub(super) fn find(ground: &Ground<'_>, found: &mut Vec<Finding>) {
    let plan = ground.desk.plan;
    let base = &plan.study.base;
    // A ring of blocks has no ends, so every point of it looks like a tap; it is a short.
    let rings = base.banks.list.iter().any(|bank| bank.tops.is_empty());
    if base.banks.taps.is_empty() || rings {
        return;
    }
    let mut taps: FxHashMap<u32, (NodeIndex, f64)> = FxHashMap::default();
    for &(node, volts) in &base.banks.taps {
        taps.entry(ground.solid[node.index()])
            .or_insert((node, volts));
    }
    let draws = plan
        .wiring
        .draws
        .iter()
        .map(|draw| (draw.part, draw.plus, draw.minus));
    let supplies = plan
        .wiring
        .supplies
        .iter()
        .filter(|supply| supply.kind != SupplyKind::Battery)
        .map(|supply| (supply.part, supply.plus, supply.minus));
    let mut tapped: BTreeMap<u32, Tapped> = BTreeMap::new();
    for (part, plus, minus) in draws.chain(supplies) {
        for terminal in [plus, minus] {
            let piece = ground.solid[terminal.index()];
            let Some(&(node, volts)) = taps.get(&piece) else {
                continue;
            };
            let entry = tapped.entry(piece).or_insert(Tapped {
                volts,
                node,
                parts: Vec::new(),
            });
            entry.parts.push((part, terminal));
            break;
        }
    }
    found.extend(tapped.into_values().map(|tapped| finding(ground, &tapped)));
}

fn finding(ground: &Ground<'_>, tapped: &Tapped) -> Finding {
    let desk = ground.desk;
    let mut parts: Vec<PartId> = tapped.parts.iter().map(|&(part, _)| part).collect();
    parts.dedup();
    let bank = desk.plan.study.base.banks.list.iter();
    let whole = bank
        .filter(|bank| {
            bank.supplies
                .iter()
                .any(|&s| desk.plan.wiring.supplies[s as usize].plus == tapped.node)
        })
        .map(|bank| bank.volts)
        .next()
        .unwrap_or(desk.circuit.system);
    let message = format!(
        "{} hangs on {}, at {} between the blocks of a {} bank: feed it from the whole bank, through a converter where it needs less.",
        ground.names(&parts),
        desk.node_name(tapped.node),
        say::nominal(tapped.volts),
        say::nominal(whole),
    );
    let first = tapped.parts.first();
    let own = first.map_or_else(Site::nowhere, |&(part, _)| desk.name_site(part));
    let site = first
        .and_then(|&(_, terminal)| leaving(ground, terminal))
        .unwrap_or(own);
    let mut finding = Finding::new(Code::TappedBank, site, message);
    for &part in &parts {
        finding = finding.beside(desk.name_site(part), "hangs between the blocks");
    }
    finding
}

/// The conductor by which the way to a terminal leaves the bank.
fn leaving(ground: &Ground<'_>, terminal: NodeIndex) -> Option<Site> {
    let plan = ground.desk.plan;
    let base = &plan.study.base;
    let own = |&index: &u32| base.banks.link_of[index as usize].is_none();
    let last = way_to(&base.live, terminal)
        .filter_map(|(edge, _)| ground.desk.circuit.conductor_of(edge))
        .filter(own)
        .last()?;
    Some(plan.wiring.conductors[last as usize].site)
}
