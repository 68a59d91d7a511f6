//! Finding the way: the shortest one where current flows, out from a source and home to the same one.

use ampwright_plan::{
    Plan,
    study::{
        reach::{Direction, Net, search, way_to},
        rule::Solved,
    },
    wiring::{Link, SupplyKind},
};
use petgraph::graph::{EdgeIndex, NodeIndex};

/// A source that holds its volts: a bank, a converter's output, a lone charging source.
pub(super) struct Origin {
    plus: Vec<NodeIndex>,
    minus: Vec<NodeIndex>,
    pub(super) volts: f64,
}

/// An edge of a way, from one node to the next as the current goes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hop {
    pub(super) edge: EdgeIndex,
    pub(super) from: NodeIndex,
    pub(super) to: NodeIndex,
}

impl Hop {
    /// The current along it, A; negative where it flows the other way.
    pub(super) fn along(self, plan: &Plan, amps: &[f64]) -> f64 {
        let amps = amps.get(self.edge.index()).copied().unwrap_or(0.0);
        let ends = plan.wiring.graph.edge_endpoints(self.edge);
        if ends.is_some_and(|(source, _)| source == self.from) {
            amps
        } else {
            -amps
        }
    }
}

/// Which edges a way may take in a moment.
pub(super) struct Passable<'a> {
    solved: &'a Solved,
}

impl<'a> Passable<'a> {
    pub(super) const fn new(solved: &'a Solved) -> Self {
        Self { solved }
    }

    fn passes(&self, edge: EdgeIndex, link: Link, flowing: bool) -> bool {
        let closed = &self.solved.moment.closed;
        let joins = match link {
            Link::Conductor(_) | Link::Gap | Link::Inside => true,
            Link::Contact(index) => closed.get(index as usize).copied().unwrap_or(false),
            Link::Draw(_) | Link::Supply(_) => false,
        };
        let amps = self.solved.amps.get(edge.index());
        joins && (!flowing || amps.is_some_and(|amps| amps.abs() > 1e-9))
    }

    /// The shortest way where current flows, else the shortest way at all.
    fn find(
        &self,
        plan: &Plan,
        starts: &[(NodeIndex, u32, f64)],
        direction: Direction,
        to: NodeIndex,
    ) -> Option<Net> {
        [true, false].into_iter().find_map(|flowing| {
            let passes = |edge, link: &Link| self.passes(edge, *link, flowing);
            let net = search(&plan.wiring, starts, direction, passes);
            net.get(to.index())
                .copied()
                .flatten()
                .is_some()
                .then_some(net)
        })
    }

    /// From the nearest source to a load's `+`.
    pub(super) fn out_to(&self, plan: &Plan, plus: NodeIndex) -> Option<(Origin, Vec<Hop>)> {
        let mut origins = origins(plan);
        let starts: Vec<(NodeIndex, u32, f64)> = origins
            .iter()
            .enumerate()
            .flat_map(|(index, origin)| {
                origin
                    .plus
                    .iter()
                    .map(move |&node| (node, index as u32, origin.volts))
            })
            .collect();
        let net = self.find(plan, &starts, Direction::Out, plus)?;
        let source = net.get(plus.index()).copied().flatten()?.source as usize;
        let mut hops: Vec<Hop> = hops(&net, plus).collect();
        hops.reverse();
        let hops = hops
            .into_iter()
            .map(|hop| Hop {
                from: hop.to,
                to: hop.from,
                ..hop
            })
            .collect();
        (source < origins.len()).then(|| (origins.swap_remove(source), hops))
    }

    /// Home to the source that the way came from.
    pub(super) fn home_from(
        &self,
        plan: &Plan,
        minus: NodeIndex,
        origin: &Origin,
    ) -> Option<Vec<Hop>> {
        let starts: Vec<(NodeIndex, u32, f64)> =
            origin.minus.iter().map(|&node| (node, 0, 0.0)).collect();
        let net = self.find(plan, &starts, Direction::Home, minus)?;
        Some(hops(&net, minus).collect())
    }
}

/// The edges from a node towards where its net began.
fn hops(net: &Net, from: NodeIndex) -> impl Iterator<Item = Hop> + '_ {
    let mut at = from;
    way_to(net, from).map(move |(edge, next)| Hop {
        edge,
        from: std::mem::replace(&mut at, next),
        to: next,
    })
}

fn origins(plan: &Plan) -> Vec<Origin> {
    let circuit = plan.circuit();
    let banks = circuit.banks.list.iter().map(|bank| Origin {
        plus: bank.tops.clone(),
        minus: bank.bottoms.clone(),
        volts: if bank.volts > 0.0 {
            bank.volts
        } else {
            circuit.system
        },
    });
    let others = plan
        .wiring
        .supplies
        .iter()
        .filter(|supply| supply.kind != SupplyKind::Battery && circuit.is_stiff(supply));
    let others = others.map(|supply| Origin {
        plus: vec![supply.plus],
        minus: vec![supply.minus],
        volts: supply.volts.unwrap_or(circuit.system),
    });
    banks.chain(others).collect()
}
