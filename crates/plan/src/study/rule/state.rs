//! A state of the contacts, prepared for solving: whatever draws in it, the factors are the same.

use std::sync::Arc;

use ampwright_electrics::network::{Alone, Branch, Solution, Solver};
use petgraph::graph::NodeIndex;
use rustc_hash::FxHashMap;

use super::Solved;
use crate::{
    study::{Circuit, moments::Moment},
    wiring::{Link, Supply},
};

/// A state of the contacts, prepared for solving.
pub(super) struct State {
    solver: Solver,
    /// For each edge of the graph its branch; [`NONE`] where nothing can flow.
    branch_of: Vec<u32>,
}

const NONE: u32 = u32::MAX;

/// What tells one state from another: which contacts are closed, and the one bank that feeds.
type Key = (Arc<[bool]>, Option<u32>);

/// The states that have been asked for, each prepared once.
pub(super) struct States<'a, 'b> {
    circuit: &'a Circuit<'b>,
    list: Vec<State>,
    known: FxHashMap<Key, usize>,
}

impl<'a, 'b> States<'a, 'b> {
    pub(super) fn new(circuit: &'a Circuit<'b>) -> Self {
        Self {
            circuit,
            list: Vec::new(),
            known: FxHashMap::default(),
        }
    }

    /// A state, prepared when first asked for. The many states of a plan with very many cases are
    /// not all kept: once there are [`MOST_KEPT`], all are let go.
    pub(super) fn of(&mut self, closed: &Arc<[bool]>, only: Option<u32>) -> &State {
        if self.list.len() >= MOST_KEPT && !self.known.contains_key(&(closed.clone(), only)) {
            self.list.clear();
            self.known.clear();
        }
        let state = *self.known.entry((closed.clone(), only)).or_insert_with(|| {
            self.list.push(State::prepare(self.circuit, closed, only));
            self.list.len() - 1
        });
        &self.list[state]
    }

    pub(super) fn solve(&mut self, moment: Moment) -> Solved {
        let circuit = self.circuit;
        self.of(&moment.closed, moment.only).solve(circuit, moment)
    }
}

/// Prepared states kept at once: more than a boat has, few enough for memory.
const MOST_KEPT: usize = 16;

impl State {
    fn prepare(circuit: &Circuit<'_>, closed: &[bool], only: Option<u32>) -> Self {
        let graph = &circuit.wiring.graph;
        let mut branches = Vec::with_capacity(graph.edge_count());
        let mut branch_of = vec![NONE; graph.edge_count()];
        for (edge, branch) in graph.raw_edges().iter().zip(&mut branch_of) {
            if let Some(ohms) = circuit.rule_resistance(edge.weight, closed, only) {
                *branch = branches.len() as u32;
                branches.push(Branch {
                    from: id(edge.source()),
                    to: id(edge.target()),
                    ohms,
                    emf: 0.0,
                });
            }
        }
        branches.extend(circuit.panel_sinks());
        Self {
            solver: Solver::new(graph.node_count() as u32, &branches),
            branch_of,
        }
    }

    /// The edges along which current can flow, each with its branch of the solver.
    pub(super) fn branches(&self) -> impl Iterator<Item = (usize, usize)> {
        let edges = self.branch_of.iter().enumerate();
        edges
            .filter(|(_, branch)| **branch != NONE)
            .map(|(edge, &branch)| (edge, branch as usize))
    }

    /// The largest current of each branch over draws taken one at a time, at their full.
    pub(super) fn largest_alone(&self, circuit: &Circuit<'_>, draws: &[u32]) -> Alone {
        let pair = |&draw: &u32| {
            let wired = &circuit.wiring.draws[draw as usize];
            (id(wired.plus), id(wired.minus), circuit.nominal_amps(draw))
        };
        self.solver
            .largest_alone(&draws.iter().map(pair).collect::<Vec<_>>())
    }

    /// The same over charging sources, at the most they give.
    pub(super) fn largest_charging(&self, circuit: &Circuit<'_>, supplies: &[u32]) -> Alone {
        let pair = |&supply: &u32| {
            let wired = &circuit.wiring.supplies[supply as usize];
            (id(wired.minus), id(wired.plus), circuit.most_of(wired))
        };
        self.solver
            .largest_alone(&supplies.iter().map(pair).collect::<Vec<_>>())
    }

    /// What each branch carries while sources charge together, A, not negative.
    pub(super) fn charging_together(&self, circuit: &Circuit<'_>, supplies: &[u32]) -> Vec<f64> {
        let wired = supplies
            .iter()
            .map(|&supply| &circuit.wiring.supplies[supply as usize]);
        let pair = |supply: &Supply| {
            let amps = circuit.most_of(supply);
            [(id(supply.minus), -amps), (id(supply.plus), amps)]
        };
        let injections: Vec<(u32, f64)> = wired.flat_map(pair).collect();
        let solution = self.solver.solve(&injections);
        solution.amps.into_iter().map(f64::abs).collect()
    }

    /// Whether two terminals lie in one piece of what can conduct.
    pub(super) fn joins(&self, a: NodeIndex, b: NodeIndex) -> bool {
        self.solver.component(id(a)) == self.solver.component(id(b))
    }

    /// A draw has a closed way round: both its ends reach one source.
    pub(super) fn powers(&self, circuit: &Circuit<'_>, draw: u32) -> bool {
        let draw = &circuit.wiring.draws[draw as usize];
        draw.plus != draw.minus && self.joins(draw.plus, draw.minus)
    }

    fn solve(&self, circuit: &Circuit<'_>, mut moment: Moment) -> Solved {
        circuit.load_converters(&mut moment);
        let powered: Vec<bool> = (0..circuit.wiring.draws.len() as u32)
            .map(|draw| self.powers(circuit, draw))
            .collect();
        let on = |draw: u32| powered[draw as usize];
        let is_brief = |draw: u32| circuit.brief[draw as usize].is_some();
        let (volts, amps) = self.flow(circuit, &moment, on);
        let any_brief = moment.draws.iter().any(|&(draw, _)| is_brief(draw));
        let without = |draw| on(draw) && !is_brief(draw);
        let steady = any_brief.then(|| self.flow(circuit, &moment, without).1);
        Solved {
            moment,
            amps,
            steady,
            volts,
            powered,
        }
    }

    /// Each node's loss and each edge's current, with the wanted draws of a moment on.
    fn flow(
        &self,
        circuit: &Circuit<'_>,
        moment: &Moment,
        wanted: impl Fn(u32) -> bool,
    ) -> (Vec<f64>, Vec<f64>) {
        let injections = self.injections(circuit, moment, wanted);
        let Solution { volts, amps, .. } = self.solver.solve(&injections);
        let current = |&branch: &u32| amps.get(branch as usize).copied().unwrap_or(0.0);
        (volts, self.branch_of.iter().map(current).collect())
    }

    /// What each draw takes out of its `+` and gives back into its `-`, and each source the
    /// other way round.
    fn injections(
        &self,
        circuit: &Circuit<'_>,
        moment: &Moment,
        wanted: impl Fn(u32) -> bool,
    ) -> Vec<(u32, f64)> {
        let pair =
            |out: NodeIndex, into: NodeIndex, amps: f64| [(id(out), -amps), (id(into), amps)];
        let mut injections = Vec::with_capacity(2 * moment.draws.len());
        for &(draw, amps) in moment.draws.iter().filter(|(draw, _)| wanted(*draw)) {
            let draw = &circuit.wiring.draws[draw as usize];
            injections.extend(pair(draw.plus, draw.minus, amps));
        }
        for &(supply, amps) in &moment.charging {
            let supply = &circuit.wiring.supplies[supply as usize];
            if self.joins(supply.plus, supply.minus) {
                injections.extend(pair(supply.minus, supply.plus, amps));
            }
        }
        injections
    }
}

fn id(node: NodeIndex) -> u32 {
    node.index() as u32
}

impl Circuit<'_> {
    /// An edge's resistance by the rule; `None` where nothing can flow along it.
    fn rule_resistance(&self, link: Link, closed: &[bool], only: Option<u32>) -> Option<f64> {
        match link {
            Link::Conductor(index) if self.banks.link_of[index as usize].is_some() => Some(0.0),
            Link::Conductor(index) => Some(self.rule_ohms[index as usize].unwrap_or(0.0)),
            Link::Contact(index) => closed[index as usize].then_some(0.0),
            Link::Supply(index) if !self.feeds(index, only) => None,
            Link::Supply(index) if self.panels_passed.contains(&index) => Some(0.0),
            Link::Supply(index) => self
                .is_stiff(&self.wiring.supplies[index as usize])
                .then_some(0.0),
            Link::Gap | Link::Inside => Some(0.0),
            Link::Draw(_) => None,
        }
    }

    /// A battery of a bank that is taken away feeds nothing.
    pub(in crate::study) fn feeds(&self, supply: u32, only: Option<u32>) -> bool {
        let bank = self.banks.of_supply.get(&supply);
        only.is_none() || bank.is_none() || bank.copied() == only
    }
}
