//! The largest currents: the whole network at once, copper cold, batteries full.

use ampwright_electrics::{
    defaults,
    network::{Branch, Resistance, Solver},
    quantity::Volts,
};
use ampwright_notation::Key;
use petgraph::graph::NodeIndex;
use rustc_hash::FxHashMap;

use super::{
    AtDevice, Home, Largest,
    copper::{self, Warmth},
    hot::Hot,
    ways::Ways,
};
use crate::{
    model::Facts,
    study::{Circuit, MOST_AMPS, cables::Cable},
    wiring::{Contact, Link, SupplyKind},
};

/// The whole network, cold, with every battery in it.
pub(super) struct Cold {
    solver: Solver,
    /// Volts of each node with nothing joined.
    volts: Vec<f64>,
    /// What is known of each live net.
    nets: FxHashMap<u32, Net>,
}

/// What feeds one live net.
#[derive(Clone, Copy, Debug, Default)]
struct Net {
    /// What sources that limit their current give together, A.
    limited: f64,
    /// The highest voltage that a charging source holds, V; 0 where there is none.
    charged_at: f64,
    /// A battery whose inner resistance is not the plan's own.
    from_memory: bool,
}

impl Cold {
    pub(super) fn of(circuit: &Circuit<'_>, cables: &[Cable], hot: &Hot) -> Self {
        let conductors = copper::conductors(circuit, cables, Warmth::Cold);
        let mut nets: FxHashMap<u32, Net> = FxHashMap::default();
        let mut branches = Vec::with_capacity(circuit.wiring.graph.edge_count());
        for edge in circuit.wiring.graph.raw_edges() {
            let (ohms, emf) = match edge.weight {
                Link::Conductor(conductor) => (conductors[conductor as usize], 0.0),
                Link::Contact(_) | Link::Gap | Link::Inside => (0.0, 0.0),
                Link::Supply(supply) => {
                    let supply = &circuit.wiring.supplies[supply as usize];
                    if supply.kind != SupplyKind::Battery {
                        continue;
                    }
                    let inside = copper::battery(circuit, supply);
                    let net = nets.entry(hot.component(supply.plus)).or_default();
                    net.from_memory |= inside.from_memory;
                    (inside.least, inside.full)
                }
                Link::Draw(_) => continue,
            };
            branches.push(Branch {
                from: edge.source().index() as u32,
                to: edge.target().index() as u32,
                ohms,
                emf,
            });
        }
        limited(circuit, hot, &mut nets);
        let solver = Solver::new(circuit.wiring.graph.node_count() as u32, &branches);
        let volts = solver.solve(&[]).volts;
        Self {
            solver,
            volts,
            nets,
        }
    }

    /// For each bank what flows in a short circuit of its posts, A.
    pub(super) fn banks(&self, circuit: &Circuit<'_>) -> Vec<f64> {
        let posts = |bank: &crate::study::banks::Bank| {
            let ends = bank.tops.first().zip(bank.bottoms.first());
            ends.map_or((0, 0), |(top, bottom)| {
                (top.index() as u32, bottom.index() as u32)
            })
        };
        let pairs: Vec<(u32, u32)> = circuit.banks.list.iter().map(posts).collect();
        let found = self.solver.resistances(&pairs);
        let amps = |(&(a, b), ohms): (&(u32, u32), &Resistance)| self.short(a, b, *ohms).0;
        pairs.iter().zip(&found).map(amps).collect()
    }

    /// For each contact that protects a live circuit what a short circuit asks of it.
    pub(super) fn devices(
        &self,
        circuit: &Circuit<'_>,
        ways: &Ways,
        hot: &Hot,
    ) -> Vec<Option<AtDevice>> {
        let metal = is_metal(circuit);
        let contacts = &circuit.wiring.contacts;
        let asked: Vec<Option<(NodeIndex, Home)>> = contacts
            .iter()
            .map(|contact| {
                contact.protects?;
                let at = output(ways, contact)?;
                Some((at, ways.shortest_home(circuit, at, metal)?))
            })
            .collect();
        let pair = |&(at, home): &(NodeIndex, Home)| (at.index() as u32, end_of(home, at));
        let pairs: Vec<(u32, u32)> = asked.iter().flatten().map(pair).collect();
        let mut found = pairs.iter().zip(self.solver.resistances(&pairs));
        let mut device = |(contact, asked): (&Contact, &Option<(NodeIndex, Home)>)| {
            let (at, home) = (*asked)?;
            let (&(a, b), ohms) = found.next()?;
            let (amps, volts) = self.short(a, b, ohms);
            let net = self
                .nets
                .get(&hot.component(at))
                .copied()
                .unwrap_or_default();
            let before = if at == contact.out {
                contact.feed
            } else {
                contact.out
            };
            Some(AtDevice {
                largest: Largest {
                    amps: (amps + net.limited).min(MOST_AMPS),
                    volts,
                    ohms: ohms.low,
                    added: net.limited,
                    at,
                    home,
                },
                smallest: None,
                upstream: ways.device[before.index()],
                charged_at: charged_at(circuit, net, at),
                from_memory: net.from_memory,
                behind: ways.behind[at.index()].count,
            })
        };
        contacts.iter().zip(&asked).map(&mut device).collect()
    }

    /// What flows between two nodes that are joined, A, and what drives it, V.
    fn short(&self, a: u32, b: u32, ohms: Resistance) -> (f64, f64) {
        let at = |node: u32| self.volts.get(node as usize).copied().unwrap_or(0.0);
        let volts = (at(a) - at(b)).abs();
        if !ohms.low.is_finite() || volts.is_nan() || volts <= 0.0 {
            return (0.0, 0.0);
        }
        ((volts / ohms.low.max(1e-12)).min(MOST_AMPS), volts)
    }
}

/// The other end of a fault's circuit; the fault's own place where there is none.
fn end_of(home: Home, at: NodeIndex) -> u32 {
    match home {
        Home::From(node) | Home::Shared(node) | Home::Straight(node) => node.index() as u32,
        Home::AsOut => at.index() as u32,
    }
}

fn charged_at(circuit: &Circuit<'_>, net: Net, at: NodeIndex) -> f64 {
    let nominal = Volts(circuit.volts_at(at));
    let usual = || defaults::at_nominal(defaults::CHARGER, nominal).value.0;
    if net.charged_at > 0.0 {
        net.charged_at
    } else {
        usual()
    }
}

/// A device's output: its side away from the source; none where it is not live.
fn output(ways: &Ways, contact: &Contact) -> Option<NodeIndex> {
    let both = [contact.feed, contact.out];
    if both.iter().any(|&node| !ways.live.reaches(node)) {
        return None;
    }
    let by = |node: &NodeIndex| ways.live.up(*node).map(|(edge, _)| edge);
    let far = both.into_iter().find(|node| by(node) == Some(contact.edge));
    Some(far.unwrap_or(contact.out))
}

/// Sources that limit their current: what they add, and what they charge with.
fn limited(circuit: &Circuit<'_>, hot: &Hot, nets: &mut FxHashMap<u32, Net>) {
    for supply in &circuit.wiring.supplies {
        if supply.kind == SupplyKind::Battery {
            continue;
        }
        let net = nets.entry(hot.component(supply.plus)).or_default();
        net.limited += circuit.most_of(supply).clamp(0.0, MOST_AMPS);
        if supply.kind != SupplyKind::Solar {
            net.charged_at = net.charged_at.max(circuit.source_volts(supply));
        }
    }
}

fn is_metal(circuit: &Circuit<'_>) -> bool {
    let boat = circuit.model.boat;
    let boat = boat.map(|boat| Facts::of(circuit.sources, boat, &[]));
    let hull = boat.and_then(|boat| boat.word(Key::Hull));
    matches!(hull, Some("steel" | "aluminium"))
}
