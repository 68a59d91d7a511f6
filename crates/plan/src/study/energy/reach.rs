//! Which banks feed or are charged from where.

use std::sync::Arc;

use petgraph::{graph::NodeIndex, unionfind::UnionFind};
use rustc_hash::FxHashMap;

use super::Shares;
use crate::{
    study::Circuit,
    wiring::{DrawKind, Rest, SupplyKind},
};

/// Converters that feed converters, deeper than any boat has.
const MOST_CONVERTERS_IN_A_ROW: usize = 4;

/// The pieces of the wiring in one state of the contacts, and the banks and converters in each.
pub(super) struct Reached<'a> {
    circuit: &'a Circuit<'a>,
    pieces: UnionFind<u32>,
    /// By piece the banks in it, sharing by their ampere-hours.
    banks: FxHashMap<u32, Shares>,
    /// By piece a converter's output in it, an index into the supplies.
    converters: FxHashMap<u32, u32>,
}

impl<'a> Reached<'a> {
    /// Contacts at rest, but whatever a float, a thermostat or a finger closes for a load.
    pub(super) fn at_rest(circuit: &'a Circuit<'a>) -> Self {
        let mut closed = circuit.rest_of_everything();
        circuit.set(&mut closed, Rest::Momentary, true);
        Self::of(circuit, &closed)
    }

    /// Contacts as they stand while sources charge.
    pub(super) fn charging(circuit: &'a Circuit<'a>) -> Self {
        let mut closed = circuit.at_rest();
        let all = 0..circuit.wiring.supplies.len() as u32;
        circuit.set_charging(&mut closed, all, |_| false);
        Self::of(circuit, &closed)
    }

    fn of(circuit: &'a Circuit<'a>, closed: &[bool]) -> Self {
        let pieces = circuit.pieces(closed);
        let mut hours: FxHashMap<u32, Vec<(u32, f64)>> = FxHashMap::default();
        for (index, bank) in (0u32..).zip(&circuit.banks.list) {
            if let Some(top) = bank.tops.first() {
                let piece = pieces.find(top.index() as u32);
                let capacity = circuit.capacity_of(bank).0.max(0.0);
                hours.entry(piece).or_default().push((index, capacity));
            }
        }
        let supplies = (0u32..).zip(&circuit.wiring.supplies);
        let converters = supplies
            .filter(|(_, supply)| supply.kind == SupplyKind::Converter)
            .map(|(index, supply)| (pieces.find(supply.plus.index() as u32), index));
        Self {
            circuit,
            converters: converters.collect(),
            banks: hours
                .into_iter()
                .map(|(piece, banks)| (piece, shared(&banks)))
                .collect(),
            pieces,
        }
    }

    fn piece(&self, node: NodeIndex) -> u32 {
        self.pieces.find(node.index() as u32)
    }

    /// The banks joined to a node.
    pub(super) fn joined(&self, node: NodeIndex) -> Option<Shares> {
        self.banks.get(&self.piece(node)).cloned()
    }

    /// The banks that feed a node, and what one ampere there takes out of them: through as many
    /// converters as stand between. Where nothing is joined to it in this state, what would be.
    pub(super) fn feeding(&self, mut node: NodeIndex) -> Option<(Shares, f64)> {
        let mut per_amp = 1.0;
        for _ in 0..=MOST_CONVERTERS_IN_A_ROW {
            if let Some(banks) = self.joined(node) {
                return Some((banks, per_amp));
            }
            let converter = match self.converters.get(&self.piece(node)) {
                Some(&converter) => converter,
                None => match self.usual(node)? {
                    Usual::Bank(bank) => return Some((Arc::new([(bank, 1.0)]), per_amp)),
                    Usual::Converter(converter) => converter,
                },
            };
            let (input, ratio) = self.input_of(converter)?;
            (node, per_amp) = (input, per_amp * ratio);
        }
        None
    }

    /// What reaches a node with every contact closed.
    fn usual(&self, node: NodeIndex) -> Option<Usual> {
        let circuit = self.circuit;
        let source = circuit.live.get(node.index()).copied().flatten()?.source;
        let supply = circuit.wiring.supplies.get(source as usize)?;
        if supply.kind == SupplyKind::Converter {
            return Some(Usual::Converter(source));
        }
        let bank = circuit.banks.of_supply.get(&source)?;
        Some(Usual::Bank(*bank))
    }

    /// A converter's input, and what it takes there for one ampere at its output.
    pub(super) fn input_of(&self, converter: u32) -> Option<(NodeIndex, f64)> {
        let circuit = self.circuit;
        let supply = circuit.wiring.supplies.get(converter as usize)?;
        let draw = *circuit.draw_of.get(&supply.part)?;
        let wired = &circuit.wiring.draws[draw as usize];
        let ratio = circuit.nominal_amps(draw) / supply.amps;
        let sound = wired.kind == DrawKind::Converter && ratio.is_finite();
        sound.then_some((wired.plus, ratio))
    }
}

enum Usual {
    Bank(u32),
    Converter(u32),
}

/// Each bank's share by its ampere-hours; equal ones where none says any.
fn shared(banks: &[(u32, f64)]) -> Shares {
    let all: f64 = banks.iter().map(|(_, hours)| hours).sum();
    let share = |hours: f64| {
        if all > 0.0 && all.is_finite() {
            hours / all
        } else {
            1.0 / banks.len() as f64
        }
    };
    banks
        .iter()
        .map(|&(bank, hours)| (bank, share(hours)))
        .collect()
}

/// For each bank the first of those that are joined to it in any of some states.
pub(super) fn groups(circuit: &Circuit<'_>, states: &[&Reached<'_>]) -> Vec<u32> {
    let mut groups: UnionFind<u32> = UnionFind::new(circuit.banks.list.len());
    for state in states {
        for banks in state.banks.values() {
            for pair in banks.windows(2) {
                groups.union(pair[0].0, pair[1].0);
            }
        }
    }
    let mut first: FxHashMap<u32, u32> = FxHashMap::default();
    (0..circuit.banks.list.len() as u32)
        .map(|bank| *first.entry(groups.find(bank)).or_insert(bank))
        .collect()
}
