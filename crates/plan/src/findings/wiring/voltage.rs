//! `mixed-voltage`: a part of one voltage joined to an island of another.

use ampwright_notation::Key;
use petgraph::graph::NodeIndex;
use rustc_hash::FxHashMap;

use super::{
    super::registry::Code,
    ground::Ground,
    ladder::{Ladder, Rung},
};
use crate::{
    finding::Finding,
    model::PartId,
    say,
    wiring::{DrawKind, SupplyKind},
};

/// What is joined to an island, and the island's voltage.
struct Joined {
    part: PartId,
    key: Key,
    own: f64,
    island: f64,
    /// What gives the island its voltage.
    by: PartId,
}

pub(super) fn find(ground: &Ground<'_>, found: &mut Vec<Finding>) {
    let mut list = blocks(ground);
    let islands = Islands::of(ground, &mut list);
    list.extend(loads(ground, &islands));
    list.extend(sources(ground, &islands));
    found.extend(
        list.iter()
            .filter(|joined| !same_class(joined.own, joined.island))
            .map(|joined| finding(ground, joined)),
    );
}

/// 12 V and 14.4 V are one class, 12 V and 24 V or 36 V and 48 V are two (common practice, no source).
fn same_class(a: f64, b: f64) -> bool {
    (0.78..=1.28).contains(&(a / b.max(f64::MIN_POSITIVE)))
}

fn finding(ground: &Ground<'_>, joined: &Joined) -> Finding {
    let desk = ground.desk;
    let message = format!(
        "{} is made for {} and joined to {}, which {} gives: put a converter between, or correct the voltage.",
        ground.name(joined.part),
        say::nominal(joined.own),
        say::nominal(joined.island),
        ground.name(joined.by),
    );
    let mut finding = Finding::new(
        Code::MixedVoltage,
        ground.desk.fact_site(joined.part, joined.key),
        message,
    )
    .measuring(joined.own, joined.island, "V");
    if joined.by != joined.part {
        finding = finding.beside(desk.name_site(joined.by), "gives the voltage");
    }
    finding
}

/// The voltage of each piece that a battery or a converter feeds.
struct Islands {
    of: FxHashMap<u32, (f64, PartId)>,
}

impl Islands {
    /// Two sources of one piece that differ are listed as they are met.
    fn of(ground: &Ground<'_>, list: &mut Vec<Joined>) -> Self {
        let plan = ground.desk.plan;
        let base = &plan.study.base;
        let banks = base.banks.list.iter().flat_map(|bank| {
            let part = bank.batteries.first().copied();
            let tops = bank.tops.iter();
            tops.filter_map(move |&top| Some((top, bank.volts, part?, Key::Volts)))
        });
        let taps = base
            .banks
            .taps
            .iter()
            .filter_map(|&(node, volts)| Some((node, volts, ground.part(node)?, Key::Volts)));
        let converters = plan
            .wiring
            .supplies
            .iter()
            .filter(|supply| supply.kind == SupplyKind::Converter)
            .filter_map(|supply| Some((supply.plus, supply.volts?, supply.part, Key::Output)));
        let mut islands = Self {
            of: FxHashMap::default(),
        };
        for (node, volts, part, key) in banks.chain(taps).chain(converters) {
            let (island, by) = *islands
                .of
                .entry(ground.solid[node.index()])
                .or_insert((volts, part));
            if by != part {
                list.push(Joined {
                    part,
                    key,
                    own: volts,
                    island,
                    by,
                });
            }
        }
        islands
    }

    fn at(&self, ground: &Ground<'_>, node: NodeIndex) -> Option<(f64, PartId)> {
        self.of.get(&ground.solid[node.index()]).copied()
    }
}

/// Blocks whose volts do not add up: side by side with another voltage, or across a row of others.
fn blocks(ground: &Ground<'_>) -> Vec<Joined> {
    let plan = ground.desk.plan;
    let supply = |index: u32| &plan.wiring.supplies[index as usize];
    let own = |index: u32| supply(index).volts.unwrap_or(plan.study.base.system);
    let part = |index: u32| supply(index).part;
    let mut list = Vec::new();
    for bank in &plan.study.base.banks.list {
        // A ring of blocks has no ends: it is a short, and found as one.
        if bank.tops.is_empty() || bank.supplies.len() < 2 {
            continue;
        }
        let rungs = bank.supplies.iter().map(|&index| Rung {
            block: index,
            minus: ground.bare[supply(index).minus.index()],
            plus: ground.bare[supply(index).plus.index()],
            volts: own(index),
        });
        let odd = Ladder::of(rungs.collect()).odd(same_class);
        list.extend(odd.into_iter().map(|odd| Joined {
            part: part(odd.block),
            key: Key::Volts,
            own: own(odd.block),
            island: odd.others,
            by: part(odd.by),
        }));
    }
    list
}

fn loads<'a>(
    ground: &'a Ground<'_>,
    islands: &'a Islands,
) -> impl Iterator<Item = Joined> + use<'a> {
    ground.desk.plan.wiring.draws.iter().filter_map(|draw| {
        let key = match draw.kind {
            DrawKind::Converter => Key::Input,
            DrawKind::Load | DrawKind::Socket => Key::Volts,
            DrawKind::Inverter | DrawKind::Coil => return None,
        };
        let (island, by) = islands.at(ground, draw.plus)?;
        let own = ground.desk.circuit.facts(draw.part).amount(key)?;
        Some(Joined {
            part: draw.part,
            key,
            own,
            island,
            by,
        })
    })
}

fn sources<'a>(
    ground: &'a Ground<'_>,
    islands: &'a Islands,
) -> impl Iterator<Item = Joined> + use<'a> {
    let supplies = ground.desk.plan.wiring.supplies.iter();
    supplies.filter_map(|supply| {
        let key = match supply.kind {
            SupplyKind::ChargingConverter => Key::Output,
            SupplyKind::Alternator | SupplyKind::Charger(_) | SupplyKind::Controller => Key::Volts,
            _ => return None,
        };
        let (island, by) = islands.at(ground, supply.plus)?;
        Some(Joined {
            part: supply.part,
            key,
            own: supply.volts?,
            island,
            by,
        })
    })
}
