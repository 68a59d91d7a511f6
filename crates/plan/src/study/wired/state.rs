//! A state of the contacts prepared for settling, and what is kept of a settled moment.

use ampwright_electrics::network::{Prepared, Settled, Terminals};
use petgraph::graph::{EdgeIndex, NodeIndex};

use super::{
    Answer, AtDraw, Wired,
    network::{NONE, Network},
    pieces::Piece,
};
use crate::{
    study::{Circuit, moments::Moment},
    wiring::{Device, Supply, SupplyKind},
};

/// A state of the contacts, prepared for settling.
pub(super) struct State<'a> {
    piece: &'a Piece,
    pub(super) prepared: Prepared,
    /// For each edge of the piece its branch; [`NONE`] where nothing can flow.
    branch_of: Vec<u32>,
}

impl<'a> State<'a> {
    pub(super) fn prepare(network: &Network<'a>, closed: &[bool], only: Option<u32>) -> Self {
        let (branches, branch_of) = network.branches(closed, only);
        Self {
            piece: network.piece,
            prepared: Prepared::new(network.nodes(), &branches),
            branch_of,
        }
    }

    /// The real network with these draws on, each at its by-rule amperes' share of its full.
    pub(super) fn settle(
        &self,
        network: &Network<'_>,
        draws: &[(u32, f64)],
        charging: &[(u32, f64)],
    ) -> Settled {
        let loads: Vec<_> = draws
            .iter()
            .map(|&(draw, amps)| network.load(draw, amps))
            .collect();
        self.prepared.settle(&loads, &network.limited(charging))
    }

    /// What a pair of nodes shows of the network, with nothing drawn; for each pair.
    pub(super) fn seen_from(&self, pairs: &[(u32, u32)]) -> Vec<Terminals> {
        let solver = self.prepared.solver();
        let open = solver.solve(&[]).volts;
        let volts = |node: u32| open.get(node as usize).copied().unwrap_or(0.0);
        let ohms = solver.resistances(pairs);
        let seen = pairs.iter().zip(ohms);
        seen.map(|(&(plus, minus), ohms)| Terminals {
            volts: volts(plus) - volts(minus),
            ohms: ohms.high,
        })
        .collect()
    }

    /// An edge's current in a settled moment, A, from source to target.
    pub(super) fn amps(&self, settled: &Settled, edge: EdgeIndex) -> f64 {
        let place = self.piece.place(edge);
        let branch = place.map_or(NONE, |place| self.branch_of[place]);
        let amps = settled.solution.amps.get(branch as usize);
        amps.copied().unwrap_or(0.0)
    }

    fn component(&self, supply: &Supply) -> u32 {
        self.prepared.solver().component(self.piece.id(supply.plus))
    }

    /// Splitting diodes that current would have to pass backwards: each is open then.
    pub(super) fn blocking(&self, circuit: &Circuit<'_>, settled: &Settled) -> Vec<u32> {
        let contact = |index: u32| &circuit.wiring.contacts[index as usize];
        let contacts = self.piece.contacts.iter().copied();
        contacts
            .filter(|&index| matches!(contact(index).device, Device::Diode(_)))
            .filter(|&index| self.amps(settled, contact(index).edge) < -BACKWARDS)
            .collect()
    }

    /// What is kept of a settled moment.
    pub(super) fn answer(
        &self,
        circuit: &Circuit<'_>,
        moment: &Moment,
        powered: impl Fn(u32) -> bool,
        settled: &Settled,
    ) -> Answer {
        let posts = self.posts(circuit, moment, settled);
        let answers = settled.load_volts.iter().zip(&settled.load_amps);
        let draws = moment.draws.iter().zip(answers);
        let at = |(&(draw, _), (&volts, &amps)): (&(u32, f64), (&f64, &f64))| {
            powered(draw).then(|| AtDraw {
                draw,
                volts,
                amps,
                lost: self.lost_from(circuit, draw, volts, &posts),
            })
        };
        let drawn = |index: &usize| moment.draws.get(*index).map(|&(draw, _)| draw);
        Answer {
            draws: draws.filter_map(at).collect(),
            batteries: self.batteries(circuit, settled),
            undeliverable: settled.undeliverable.iter().filter_map(drawn).collect(),
            settled: settled.settled,
        }
    }

    /// Lost between the posts of what feeds a draw and its terminals, V, where they have `volts`.
    pub(super) fn lost(
        &self,
        circuit: &Circuit<'_>,
        moment: &Moment,
        settled: &Settled,
        draw: u32,
        volts: f64,
    ) -> f64 {
        self.lost_from(circuit, draw, volts, &self.posts(circuit, moment, settled))
    }

    fn lost_from(&self, circuit: &Circuit<'_>, draw: u32, volts: f64, posts: &[Posts]) -> f64 {
        let plus = self.piece.id(circuit.wiring.draws[draw as usize].plus);
        let component = self.prepared.solver().component(plus);
        let Some(fed) = posts.get(component as usize) else {
            return 0.0;
        };
        // What hangs between the blocks of a bank is not fed by its posts.
        let own = (fed.nominal - circuit.draw_volts(draw)).abs() < 0.1 * fed.nominal;
        if own {
            (fed.volts - volts).max(0.0)
        } else {
            0.0
        }
    }

    /// For each component of the bare network the highest volts between the posts of a bank or
    /// source in it.
    fn posts(&self, circuit: &Circuit<'_>, moment: &Moment, settled: &Settled) -> Vec<Posts> {
        let mut posts = vec![Posts::default(); self.prepared.solver().components() as usize];
        let volts = &settled.solution.volts;
        let at = |node: NodeIndex| volts.get(self.piece.id(node) as usize).copied();
        let mut raise = |component: u32, volts: f64, nominal: f64| {
            if let Some(known) = posts.get_mut(component as usize)
                && volts > known.volts
            {
                *known = Posts { volts, nominal };
            }
        };
        for bank in self
            .piece
            .banks
            .iter()
            .map(|&bank| &circuit.banks.list[bank])
        {
            let low = bank.bottoms.iter().filter_map(|&node| at(node));
            let low = low.fold(f64::INFINITY, f64::min);
            for &top in &bank.tops {
                let component = self.prepared.solver().component(self.piece.id(top));
                raise(component, at(top).unwrap_or(0.0) - low, bank.volts);
            }
        }
        let supplies = self.piece.supplies.iter();
        let supplies = supplies.map(|&supply| &circuit.wiring.supplies[supply as usize]);
        let on = moment.charging.iter();
        let on = on.map(|&(supply, _)| &circuit.wiring.supplies[supply as usize]);
        for supply in supplies
            .filter(|supply| supply.kind == SupplyKind::Converter)
            .chain(on)
        {
            let volts = at(supply.plus).unwrap_or(0.0) - at(supply.minus).unwrap_or(0.0);
            raise(self.component(supply), volts, circuit.volts_at(supply.plus));
        }
        posts
    }

    /// What each battery gives, A; below nothing where it takes.
    fn batteries(&self, circuit: &Circuit<'_>, settled: &Settled) -> Vec<(u32, f64)> {
        let supplies = self.piece.supplies.iter().copied();
        supplies
            .filter(|supply| circuit.banks.of_supply.contains_key(supply))
            .filter_map(|supply| {
                let edge = circuit.supply_edges.get(supply as usize)?;
                Some((supply, self.amps(settled, *edge)))
            })
            .collect()
    }

    /// All of a settled moment.
    pub(super) fn whole(&self, circuit: &Circuit<'_>, moment: &Moment, settled: Settled) -> Wired {
        let graph = &circuit.wiring.graph;
        let answers = settled.load_volts.iter().zip(&settled.load_amps);
        let drawn = |index: &usize| moment.draws.get(*index).map(|&(draw, _)| draw);
        Wired {
            amps: graph
                .edge_indices()
                .map(|edge| self.amps(&settled, edge))
                .collect(),
            draws: (moment.draws.iter().zip(answers))
                .map(|(&(draw, _), (&volts, &amps))| (draw, volts, amps))
                .collect(),
            undeliverable: settled.undeliverable.iter().filter_map(drawn).collect(),
            settled: settled.settled,
            volts: settled.solution.volts,
        }
    }

    /// Raises each conductor's largest current to what it carries here.
    pub(super) fn raise(
        &self,
        circuit: &Circuit<'_>,
        settled: &Settled,
        mut raise: impl FnMut(usize, f64),
    ) {
        for (&edge, &branch) in self.piece.edges.iter().zip(&self.branch_of) {
            if let (Some(index), true) = (circuit.conductor_of(edge), branch != NONE) {
                let amps = settled.solution.amps.get(branch as usize);
                raise(index as usize, amps.map_or(0.0, |amps| amps.abs()));
            }
        }
    }
}

/// The volts between the posts of what feeds a component, and its nominal ones.
#[derive(Clone, Copy, Default)]
struct Posts {
    volts: f64,
    nominal: f64,
}

/// Less than this is rounding, A.
const BACKWARDS: f64 = 1e-6;
