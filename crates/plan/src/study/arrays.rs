//! Solar arrays: the panels of each controller, side by side and one after another, and what they
//! bring to it.
//!
//! Panels written as `series` and panels that runs join + to - add their volts alike.

use ampwright_electrics::{
    defaults,
    quantity::{Celsius, Volts},
    solar::{self, Panel},
    source::{Sourced, Tag},
};
use ampwright_notation::Key;
use petgraph::{graph::NodeIndex, unionfind::UnionFind};
use rustc_hash::{FxHashMap, FxHashSet};

use super::Circuit;
use crate::wiring::{Link, Supply, SupplyKind, Term, Wiring, panel};

/// The panels of one controller.
#[derive(Clone, Debug, PartialEq)]
pub struct Array {
    /// The controller, an index into the wiring's supplies.
    pub controller: u32,
    /// Its panels, indices into the wiring's supplies, in the order of the text.
    pub panels: Vec<u32>,
    /// Their short-circuit currents side by side, A.
    pub short_circuit: f64,
    /// Their power, W.
    pub watts: f64,
    /// The open-circuit voltage of the longest string, V at 25 °C, and how it is known.
    pub open_circuit: Sourced<Volts>,
    /// What they give at the battery, A: a PWM passes their current, an MPPT converts their power
    /// to the island's nominal voltage, for the emptier the battery the more current comes.
    pub at_battery: f64,
    /// Where it is converted, the efficiency as a share of one and the voltage it is brought to, V.
    pub converted: Option<(f64, f64)>,
}

impl Array {
    /// The open-circuit voltage of a freezing morning by the published factor.
    pub fn freezing(&self) -> Sourced<Volts> {
        let published = solar::open_circuit_at_freezing(self.open_circuit.value);
        let tag = self.open_circuit.tag.worse(published.tag);
        Sourced { tag, ..published }
    }

    /// The open-circuit voltage on the coldest morning that is counted with, V.
    pub fn coldest(&self) -> Volts {
        solar::open_circuit(self.open_circuit.value, COLDEST)
    }
}

/// The coldest morning that is counted with.
pub const COLDEST: Celsius = solar::COLDEST.value;

/// Longer strings than this are cut: their voltage is beyond any controller anyway.
const LONGEST_STRING: usize = 32;

/// One panel, or equal ones written as one thing.
#[derive(Clone, Copy)]
struct Group {
    supply: u32,
    /// The piece that its `-` lies in.
    minus: u32,
    volts: Sourced<Volts>,
    amps: f64,
    watts: f64,
}

/// The panels of a plan by the pieces of wiring that they feed.
struct Roof {
    pieces: UnionFind<u32>,
    by_plus: FxHashMap<u32, Vec<Group>>,
}

impl Circuit<'_> {
    /// Each controller that panels reach, in the order of the text.
    pub(super) fn arrays_of(&self) -> Vec<Array> {
        if !self.wiring.supplies.iter().any(is_solar) {
            return Vec::new();
        }
        let roof = Roof::of(self);
        let supplies = self.wiring.supplies.iter().zip(0u32..);
        let controllers = supplies.filter(|(supply, _)| supply.kind == SupplyKind::Controller);
        controllers
            .filter_map(|(controller, index)| {
                let input = self.wiring.terminal(controller.part, Term::InPlus)?;
                roof.array(self, index, controller, input)
            })
            .collect()
    }

    /// Panels on whose `+` another panel's `-` hangs: they pass its current on.
    pub(super) fn panels_passed(&self) -> FxHashSet<u32> {
        let solar = || {
            self.wiring
                .supplies
                .iter()
                .zip(0u32..)
                .filter(|(one, _)| is_solar(one))
        };
        if solar().count() < 2 {
            return FxHashSet::default();
        }
        let pieces = pieces(self.wiring);
        let find = |node: NodeIndex| pieces.find(node.index() as u32);
        let minuses: FxHashSet<u32> = solar().map(|(one, _)| find(one.minus)).collect();
        let passed = solar().filter(|(one, _)| {
            let plus = find(one.plus);
            minuses.contains(&plus) && plus != find(one.minus)
        });
        passed.map(|(_, index)| index).collect()
    }

    fn group(&self, supply: u32, minus: u32) -> Group {
        let wired = &self.wiring.supplies[supply as usize];
        let facts = self.facts(wired.part);
        let panel = panel(&facts);
        let count = |key| f64::from(facts.count(key).unwrap_or(1));
        let (series, parallel) = (count(Key::Series), count(Key::Parallel));
        Group {
            supply,
            minus,
            volts: panel.open_volts().map(|volts| volts * series),
            amps: wired.amps,
            watts: panel.power.map_or(0.0, |watts| watts.0 * series * parallel),
        }
    }

    /// How an array's power is converted: the efficiency and the voltage it is brought to, V; `None`
    /// where its current is passed on.
    fn converts(&self, controller: &Supply, watts: f64) -> Option<(f64, f64)> {
        let facts = self.facts(controller.part);
        if facts.word(Key::Technology) == Some("pwm") || watts <= 0.0 {
            return None;
        }
        let share = facts
            .amount(Key::Efficiency)
            .map_or(defaults::MPPT.value, |percent| percent / 100.0);
        Some((share, self.volts_at(controller.plus)))
    }

    /// What a panel's thing says of one panel.
    pub fn panel_of(&self, supply: &Supply) -> Panel {
        panel(&self.facts(supply.part))
    }
}

impl Roof {
    fn of(circuit: &Circuit<'_>) -> Self {
        let pieces = pieces(circuit.wiring);
        let find = |node: NodeIndex| pieces.find(node.index() as u32);
        let mut by_plus: FxHashMap<u32, Vec<Group>> = FxHashMap::default();
        for (supply, index) in circuit.wiring.supplies.iter().zip(0u32..) {
            if is_solar(supply) {
                let group = circuit.group(index, find(supply.minus));
                by_plus.entry(find(supply.plus)).or_default().push(group);
            }
        }
        Self { pieces, by_plus }
    }

    fn array(
        &self,
        circuit: &Circuit<'_>,
        index: u32,
        controller: &Supply,
        input: NodeIndex,
    ) -> Option<Array> {
        let strings = self.by_plus.get(&self.pieces.find(input.index() as u32))?;
        let mut array = Array {
            controller: index,
            panels: Vec::new(),
            short_circuit: strings.iter().map(|group| group.amps).sum(),
            watts: 0.0,
            open_circuit: Sourced::new(Volts(0.0), Tag::D, ""),
            at_battery: 0.0,
            converted: None,
        };
        for string in strings {
            let volts = self.follow(string, &mut array);
            if volts.value.0 > array.open_circuit.value.0 {
                array.open_circuit = volts;
            }
        }
        array.panels.sort_unstable();
        array.panels.dedup();
        array.converted = circuit.converts(controller, array.watts);
        array.at_battery = array
            .converted
            .map_or(array.short_circuit, |(share, volts)| {
                array.watts * share / volts
            });
        Some(array)
    }

    /// The voltage of a string from its first panel down, V. Of several below one the highest.
    fn follow(&self, first: &Group, array: &mut Array) -> Sourced<Volts> {
        let mut seen: FxHashSet<u32> = FxHashSet::default();
        let mut at = *first;
        let mut sum = Sourced::new(Volts(0.0), Tag::D, at.volts.source);
        while seen.insert(at.supply) && seen.len() <= LONGEST_STRING {
            array.panels.push(at.supply);
            array.watts += at.watts;
            let source = if at.volts.tag > sum.tag {
                at.volts.source
            } else {
                sum.source
            };
            sum = Sourced::new(
                sum.value + at.volts.value,
                sum.tag.worse(at.volts.tag),
                source,
            );
            let below = self.by_plus.get(&at.minus).into_iter().flatten();
            let next = below.copied().reduce(|high, next| {
                if next.volts.value.0 > high.volts.value.0 {
                    next
                } else {
                    high
                }
            });
            match next {
                Some(next) => at = next,
                None => break,
            }
        }
        sum
    }
}

fn is_solar(supply: &Supply) -> bool {
    supply.kind == SupplyKind::Solar
}

/// The pieces that conductors and contacts of any position join.
fn pieces(wiring: &Wiring) -> UnionFind<u32> {
    let mut pieces = UnionFind::new(wiring.graph.node_count());
    for edge in wiring.graph.raw_edges() {
        if matches!(
            edge.weight,
            Link::Conductor(_) | Link::Contact(_) | Link::Gap
        ) {
            pieces.union(edge.source().index() as u32, edge.target().index() as u32);
        }
    }
    pieces
}
