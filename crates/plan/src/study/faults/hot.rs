//! The smallest currents: one source alone, its ways out and home through hot copper.
//!
//! Without its sources the network falls into the live nets and the way home, so that a fault's
//! resistance is that of the source and of two pairs of nodes: one factorization does for all.

use ampwright_electrics::network::{Branch, Resistance, Solver};
use petgraph::graph::NodeIndex;
use rustc_hash::FxHashMap;

use super::{AtConductor, Home, MOST_ORIGINS, Origin, Smallest, copper, ways::Ways};
use crate::{
    study::{Circuit, protect::Protection},
    wiring::{Link, Supply, SupplyKind},
};

/// The network without its sources, hot, with what each source alone drives through it.
pub(super) struct Hot {
    solver: Solver,
    pub(super) origins: Vec<Origin>,
    /// Of each component the sources that are taken alone.
    of_component: FxHashMap<u32, Vec<u32>>,
    pub(super) left_out: usize,
    /// For each conductor its resistance, ohm.
    pub(super) ohms: Vec<f64>,
    asked: Asked,
}

/// The resistances asked for: ways out by node, ways home by node and the component they serve;
/// each a stretch with one for each source of the component.
#[derive(Default)]
struct Asked {
    pairs: Vec<(u32, u32)>,
    found: Vec<Resistance>,
    out: FxHashMap<u32, u32>,
    home: FxHashMap<(u32, u32), u32>,
    /// How a fault at each node comes home, and what drives it less.
    homes: FxHashMap<u32, (Home, f64)>,
}

impl Hot {
    pub(super) fn of(circuit: &Circuit<'_>, ohms: Vec<f64>, ways: &Ways) -> Self {
        let branches = branches(circuit, &ohms, ways);
        let solver = Solver::new(circuit.wiring.graph.node_count() as u32, &branches);
        let mut hot = Self {
            solver,
            origins: Vec::new(),
            of_component: FxHashMap::default(),
            left_out: 0,
            ohms,
            asked: Asked::default(),
        };
        hot.take_origins(circuit);
        hot.ask(circuit, ways);
        hot
    }

    /// The piece that a node lies in once the sources are gone.
    pub(super) fn component(&self, node: NodeIndex) -> u32 {
        self.solver.component(node.index() as u32)
    }

    fn take_origins(&mut self, circuit: &Circuit<'_>) {
        let mut origins = origins(circuit, &self.solver);
        // The weakest first: beyond the bound they stand for the others.
        let alone = |origin: &Origin| (origin.volts / origin.ohms.max(1e-9)).min(origin.most);
        origins.sort_by(|a, b| alone(a).total_cmp(&alone(b)).then(a.supply.cmp(&b.supply)));
        for origin in origins {
            let component = self.component(origin.plus);
            let list = self.of_component.entry(component).or_default();
            if list.len() < MOST_ORIGINS {
                list.push(self.origins.len() as u32);
                self.origins.push(origin);
            } else {
                self.left_out += 1;
            }
        }
    }

    /// Asks for the ways of every end of a live conductor, and measures them all at once.
    fn ask(&mut self, circuit: &Circuit<'_>, ways: &Ways) {
        let mut asked = Asked::default();
        for conductor in &circuit.wiring.conductors {
            for node in [conductor.from, conductor.to] {
                let component = self.component(node);
                let Some(list) = self.of_component.get(&component) else {
                    continue;
                };
                if asked.homes.contains_key(&id(node)) || circuit.live[node.index()].is_none() {
                    continue;
                }
                let home = ways.home(circuit, node);
                asked
                    .homes
                    .insert(id(node), (home, ways.diodes[node.index()]));
                asked.out.insert(id(node), asked.pairs.len() as u32);
                let ends = |origin: &u32| &self.origins[*origin as usize];
                asked
                    .pairs
                    .extend(list.iter().map(|origin| (id(node), id(ends(origin).plus))));
                if let Home::From(from) | Home::Shared(from) = home {
                    let first = asked.pairs.len() as u32;
                    let known = asked.home.entry((id(from), component)).or_insert(first);
                    if *known == first {
                        asked
                            .pairs
                            .extend(list.iter().map(|origin| (id(from), id(ends(origin).minus))));
                    }
                }
            }
        }
        asked.found = self.solver.resistances(&asked.pairs);
        self.asked = asked;
    }

    /// For each conductor of the live net its smallest currents.
    pub(super) fn conductors(
        &self,
        circuit: &Circuit<'_>,
        protection: &Protection,
    ) -> Vec<Option<AtConductor>> {
        let at = |index: usize| {
            let sustained = protection.sustained.get(index).copied().flatten()?;
            let least = |a: Smallest, b: Smallest| if b.amps < a.amps { b } else { a };
            Some(AtConductor {
                smallest: self.faults(circuit, index).reduce(least),
                device: sustained.device,
                rating: 0.0,
                opens: None,
                bears: None,
                not_cleared: None,
                not_withstood: None,
            })
        };
        (0..circuit.wiring.conductors.len()).map(at).collect()
    }

    /// The fault at a conductor's far end from each source alone.
    pub(super) fn faults<'a>(
        &'a self,
        circuit: &'a Circuit<'_>,
        conductor: usize,
    ) -> impl Iterator<Item = Smallest> + 'a {
        let wired = &circuit.wiring.conductors[conductor];
        let component = self.component(wired.from);
        let list = self
            .of_component
            .get(&component)
            .map_or(&[][..], Vec::as_slice);
        let ohms = self.ohms[conductor];
        list.iter().enumerate().filter_map(move |(slot, &origin)| {
            let from = self.out(wired.from, slot)?;
            let to = self.out(wired.to, slot)?;
            let far = if to >= from { wired.to } else { wired.from };
            // In a ring a point between the ends can be farther than either.
            let between = (ohms - (to - from).abs()).max(0.0) / 4.0;
            self.fault(far, from.max(to) + between, component, slot, origin)
        })
    }

    fn out(&self, node: NodeIndex, slot: usize) -> Option<f64> {
        let first = *self.asked.out.get(&id(node))?;
        let ohms = self.asked.found.get(first as usize + slot)?.high;
        ohms.is_finite().then_some(ohms)
    }

    fn fault(
        &self,
        at: NodeIndex,
        out_ohms: f64,
        component: u32,
        slot: usize,
        origin: u32,
    ) -> Option<Smallest> {
        let source = &self.origins[origin as usize];
        let &(home, diodes) = self.asked.homes.get(&id(at))?;
        let own = |from: NodeIndex| {
            let first = *self.asked.home.get(&(id(from), component))?;
            let ohms = self.asked.found.get(first as usize + slot)?.high;
            ohms.is_finite().then_some(ohms)
        };
        let home_ohms = match home {
            Home::From(from) => own(from).unwrap_or(out_ohms),
            Home::Shared(from) => own(from).unwrap_or(0.0).max(out_ohms),
            Home::AsOut | Home::Straight(_) => out_ohms,
        };
        let volts = (source.volts - diodes).max(0.0);
        let amps = volts / (source.ohms + out_ohms + home_ohms).max(1e-12);
        Some(Smallest {
            amps: amps.min(source.most),
            origin,
            volts,
            source_ohms: source.ohms,
            out_ohms,
            home_ohms,
            at,
            home,
        })
    }
}

fn id(node: NodeIndex) -> u32 {
    node.index() as u32
}

fn branches(circuit: &Circuit<'_>, conductors: &[f64], ways: &Ways) -> Vec<Branch> {
    let edges = circuit.wiring.graph.raw_edges().iter().enumerate();
    edges
        .filter_map(|(index, edge)| {
            let ohms = match edge.weight {
                Link::Conductor(conductor) => conductors[conductor as usize],
                Link::Contact(contact) => {
                    let contact = &circuit.wiring.contacts[contact as usize];
                    // A diode is a way only where the live net needs it: never backwards.
                    let leads = ways.live.up(contact.out).map(|(edge, _)| edge.index());
                    if contact.one_way && leads != Some(index) {
                        return None;
                    }
                    copper::contact(circuit, contact)
                }
                Link::Gap | Link::Inside => 0.0,
                Link::Draw(_) | Link::Supply(_) => return None,
            };
            Some(Branch {
                from: id(edge.source()),
                to: id(edge.target()),
                ohms,
                emf: 0.0,
            })
        })
        .collect()
}

/// Every source that may feed a fault alone.
fn origins(circuit: &Circuit<'_>, solver: &Solver) -> Vec<Origin> {
    let supplies = &circuit.wiring.supplies;
    let mut tops: FxHashMap<u32, u32> = FxHashMap::default();
    for (supply, index) in supplies.iter().zip(0u32..) {
        if supply.kind == SupplyKind::Battery {
            tops.entry(solver.component(id(supply.plus)))
                .or_insert(index);
        }
    }
    let mut links = Vec::new();
    let origin = |(supply, index): (&Supply, u32)| match supply.kind {
        SupplyKind::Battery => Some(string(circuit, solver, &tops, index, &mut links)),
        SupplyKind::Converter => Some(Origin {
            supply: index,
            plus: supply.plus,
            minus: supply.minus,
            volts: circuit.source_volts(supply),
            ohms: 0.0,
            most: supply.amps.max(0.0),
        }),
        _ => None,
    };
    let mut origins: Vec<Origin> = supplies.iter().zip(0u32..).filter_map(origin).collect();
    let pairs: Vec<(u32, u32)> = links.iter().map(|&(_, pair)| pair).collect();
    let place: FxHashMap<u32, usize> = origins
        .iter()
        .enumerate()
        .map(|(place, origin)| (origin.supply, place))
        .collect();
    for ((top, _), link) in links.iter().zip(solver.resistances(&pairs)) {
        if let Some(&place) = place.get(top).filter(|_| link.high.is_finite()) {
            origins[place].ohms += link.high;
        }
    }
    origins
}

/// A battery with those in series below it, down to a `-` that no battery's `+` is joined to. What
/// joins its blocks is added to `links` with the battery at its top.
fn string(
    circuit: &Circuit<'_>,
    solver: &Solver,
    tops: &FxHashMap<u32, u32>,
    top: u32,
    links: &mut Vec<(u32, (u32, u32))>,
) -> Origin {
    let supplies = &circuit.wiring.supplies;
    let first = &supplies[top as usize];
    let inside = copper::battery(circuit, first);
    let mut origin = Origin {
        supply: top,
        plus: first.plus,
        minus: first.minus,
        volts: inside.half,
        ohms: inside.most,
        most: f64::INFINITY,
    };
    for _ in 0..MOST_IN_SERIES {
        let below = tops.get(&solver.component(id(origin.minus)));
        let Some(below) = below.filter(|below| **below != top) else {
            break;
        };
        let next = &supplies[*below as usize];
        let inside = copper::battery(circuit, next);
        links.push((top, (id(origin.minus), id(next.plus))));
        origin.volts += inside.half;
        origin.ohms += inside.most;
        origin.minus = next.minus;
    }
    origin
}

/// Longer chains than this exceed any voltage this tool speaks of.
const MOST_IN_SERIES: usize = 8;
