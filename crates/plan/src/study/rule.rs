//! The by-rule answer: loads at nominal current, sources stiff, the rule's own resistance.
//!
//! With stiff sources and given currents the network is linear, so a source is one node and each
//! voltage is the loss since that source: the drop at a load is what its two ends differ by.

use ampwright_electrics::{
    defaults,
    network::{Alone, Branch, Solution, Solver},
};
use ampwright_notation::Key;
use petgraph::graph::{EdgeIndex, NodeIndex};

use super::{
    Circuit,
    moments::{CaseFlaw, Label, Moment, Variant},
};
use crate::wiring::{DrawKind, Link, SupplyKind, Term};

/// A state of the contacts, prepared for solving.
pub struct State {
    /// For each contact whether it is closed.
    pub closed: Vec<bool>,
    only: Option<u32>,
    solver: Solver,
    /// For each edge of the graph its branch; [`NONE`] where nothing can flow.
    branch_of: Vec<u32>,
}

const NONE: u32 = u32::MAX;

/// A moment and its answer.
#[derive(Clone, Debug)]
pub struct Solved {
    /// The moment.
    pub moment: Moment,
    /// For each edge of the graph its current from source to target, A.
    pub amps: Vec<f64>,
    /// The same without loads that run only briefly, where the moment has any.
    pub steady: Option<Vec<f64>>,
    /// For each node its loss, V: below a source's `+` negative, above its `-` positive.
    pub volts: Vec<f64>,
    /// For each draw whether it has a closed way round.
    pub powered: Vec<bool>,
}

/// The largest current over loads or sources taken one at a time, for each edge.
#[derive(Clone, Debug, Default)]
pub struct OneByOne {
    /// A.
    pub amps: Vec<f64>,
    /// Which draw or supply.
    pub by: Vec<Option<u32>>,
}

/// The by-rule answer in every moment.
#[derive(Clone, Debug, Default)]
pub struct ByRule {
    /// The cases and the variants of `everything`.
    pub moments: Vec<Solved>,
    /// Each load alone, at its full, but the brief ones.
    pub alone: OneByOne,
    /// Each load that runs on top of everything, alone.
    pub top: OneByOne,
    /// Each load that runs only briefly, alone.
    pub brief: OneByOne,
    /// Each charging source alone, at its maximum.
    pub charging: OneByOne,
    /// For each draw its largest drop alone, V.
    pub alone_drop: Vec<f64>,
    /// For each draw whether any state of the contacts gives it a closed way round.
    pub ever_powered: Vec<bool>,
    /// For each supply that charges whether it can.
    pub ever_charging: Vec<bool>,
}

impl ByRule {
    /// Solves every moment.
    pub fn of(circuit: &Circuit<'_>, flaws: &mut Vec<CaseFlaw>) -> Self {
        let mut states = States {
            circuit,
            list: Vec::new(),
        };
        let mut answer = Self::default();
        let everything = circuit.states_of_everything();
        let draws = circuit.draws_of_everything();
        for index in 0..circuit.model.cases.list.len() {
            let moment = circuit.case(index as u32, flaws);
            answer.moments.push(states.solve(moment));
        }
        let mut alone: Vec<(Vec<bool>, Option<u32>)> = Vec::new();
        for (variant, closed) in everything {
            let banks = circuit.banks_joined(&closed);
            let apart = banks
                .into_iter()
                .map(|bank| (Variant::Bank(bank), Some(bank)));
            for (variant, only) in std::iter::once((variant, None)).chain(apart) {
                let moment = Moment {
                    label: Label::Everything(variant),
                    closed: closed.clone(),
                    only,
                    draws: draws.clone(),
                    charging: Vec::new(),
                };
                answer.moments.push(states.solve(moment));
                alone.push((closed.clone(), only));
            }
        }
        answer.one_by_one(circuit, &mut states, alone.into_iter());
        answer.charge(circuit, &mut states);
        answer
    }

    fn one_by_one(
        &mut self,
        circuit: &Circuit<'_>,
        states: &mut States<'_, '_>,
        everything: impl Iterator<Item = (Vec<bool>, Option<u32>)>,
    ) {
        let edges = circuit.wiring.graph.edge_count();
        for largest in [
            &mut self.alone,
            &mut self.top,
            &mut self.brief,
            &mut self.charging,
        ] {
            *largest = OneByOne {
                amps: vec![0.0; edges],
                by: vec![None; edges],
            };
        }
        self.alone_drop = vec![0.0; circuit.wiring.draws.len()];
        self.ever_powered = vec![false; circuit.wiring.draws.len()];
        let mut done: Vec<usize> = Vec::new();
        for (mut closed, only) in everything {
            circuit.set(&mut closed, crate::wiring::Rest::Momentary, true);
            let mut wide = closed.clone();
            circuit.set(&mut wide, crate::wiring::Rest::Open, true);
            circuit.set(&mut wide, crate::wiring::Rest::Charging, true);
            for state in [closed, wide] {
                let state = states.of(state, only);
                if !done.contains(&state) {
                    done.push(state);
                    self.alone_in(circuit, &states.list[state]);
                }
            }
        }
    }

    fn alone_in(&mut self, circuit: &Circuit<'_>, state: &State) {
        let all: Vec<u32> = (0..circuit.wiring.draws.len() as u32)
            .filter(|&draw| state.powers(circuit, draw))
            .collect();
        for &draw in &all {
            self.ever_powered[draw as usize] = true;
        }
        let pairs = |draws: &[u32]| -> Vec<(u32, u32, f64)> {
            let wired = |&draw: &u32| {
                let ends = &circuit.wiring.draws[draw as usize];
                (
                    ends.plus.index() as u32,
                    ends.minus.index() as u32,
                    circuit.nominal_amps(draw),
                )
            };
            draws.iter().map(wired).collect()
        };
        let is_brief = |&draw: &u32| circuit.brief[draw as usize].is_some();
        let (brief, all): (Vec<u32>, Vec<u32>) = all.into_iter().partition(is_brief);
        let alone = state.solver.largest_alone(&pairs(&all));
        self.alone.take(state, &alone, &all);
        self.take_drops(&alone, &all);
        let top: Vec<u32> = all
            .into_iter()
            .filter(|&draw| circuit.on_top[draw as usize])
            .collect();
        if !top.is_empty() {
            let alone = state.solver.largest_alone(&pairs(&top));
            self.top.take(state, &alone, &top);
        }
        if !brief.is_empty() {
            let alone = state.solver.largest_alone(&pairs(&brief));
            self.brief.take(state, &alone, &brief);
            self.take_drops(&alone, &brief);
        }
    }

    /// Keeps each draw's largest drop over the states of the contacts.
    fn take_drops(&mut self, alone: &Alone, of: &[u32]) {
        for (&draw, &drop) in of.iter().zip(&alone.drop) {
            let largest = &mut self.alone_drop[draw as usize];
            *largest = largest.max(drop);
        }
    }

    fn charge(&mut self, circuit: &Circuit<'_>, states: &mut States<'_, '_>) {
        let mut closed = circuit.at_rest();
        circuit.set_charging(&mut closed);
        let state = states.of(closed, None);
        let state = &states.list[state];
        let ends = |index: u32| {
            let supply = &circuit.wiring.supplies[index as usize];
            let sink = if supply.kind == SupplyKind::Solar {
                supply.amps
            } else {
                supply.amps.min(circuit.controller_most(supply))
            };
            (
                supply.minus.index() as u32,
                supply.plus.index() as u32,
                sink,
            )
        };
        let charging = |supply: &crate::wiring::Supply| {
            supply.kind.charges() || supply.kind == SupplyKind::Solar
        };
        let joined = |supply: &crate::wiring::Supply| state.joins(supply.plus, supply.minus);
        let supplies = &circuit.wiring.supplies;
        self.ever_charging = supplies
            .iter()
            .map(|supply| charging(supply) && joined(supply))
            .collect();
        let able: Vec<u32> = (0..supplies.len() as u32)
            .filter(|&index| self.ever_charging[index as usize])
            .collect();
        let pairs: Vec<(u32, u32, f64)> = able.iter().map(|&index| ends(index)).collect();
        self.charging
            .take(state, &state.solver.largest_alone(&pairs), &able);
    }

    /// The largest current of an edge over the cases (and which), and over `everything` alone.
    pub fn largest(
        &self,
        edge: EdgeIndex,
        wanted: impl Fn(&Label) -> bool,
    ) -> Option<(f64, usize)> {
        let moments = self
            .moments
            .iter()
            .enumerate()
            .filter(|(_, solved)| wanted(&solved.moment.label));
        let amps = |solved: &Solved| {
            solved
                .steady()
                .get(edge.index())
                .copied()
                .unwrap_or(0.0)
                .abs()
        };
        moments.map(|(index, solved)| (amps(solved), index)).fold(
            None,
            |best: Option<(f64, usize)>, next| {
                if best.is_none_or(|best| next.0 > best.0 + 1e-9) {
                    Some(next)
                } else {
                    best
                }
            },
        )
    }
}

impl Solved {
    /// Each edge's current without loads that run only briefly, A.
    pub fn steady(&self) -> &[f64] {
        self.steady.as_ref().unwrap_or(&self.amps)
    }

    /// The drop at a draw, V; negative never, 0 where it is not on.
    pub fn drop_at(&self, plus: NodeIndex, minus: NodeIndex) -> f64 {
        self.volts[minus.index()] - self.volts[plus.index()]
    }
}

impl OneByOne {
    fn take(&mut self, state: &State, alone: &Alone, of: &[u32]) {
        for (edge, &branch) in state.branch_of.iter().enumerate() {
            if branch == NONE {
                continue;
            }
            let amps = alone.amps[branch as usize];
            if amps > self.amps[edge] {
                self.amps[edge] = amps;
                self.by[edge] =
                    alone.pair[branch as usize].and_then(|pair| of.get(pair as usize).copied());
            }
        }
    }
}

struct States<'a, 'b> {
    circuit: &'a Circuit<'b>,
    list: Vec<State>,
}

impl States<'_, '_> {
    /// The prepared state.
    fn of(&mut self, closed: Vec<bool>, only: Option<u32>) -> usize {
        let same = |state: &State| state.only == only && state.closed == closed;
        if let Some(known) = self.list.iter().position(same) {
            return known;
        }
        self.list.push(State::prepare(self.circuit, closed, only));
        self.list.len() - 1
    }

    fn solve(&mut self, moment: Moment) -> Solved {
        let state = self.of(moment.closed.clone(), moment.only);
        self.list[state].solve(self.circuit, moment)
    }
}

impl State {
    fn prepare(circuit: &Circuit<'_>, closed: Vec<bool>, only: Option<u32>) -> Self {
        let graph = &circuit.wiring.graph;
        let mut branches = Vec::with_capacity(graph.edge_count());
        let mut branch_of = vec![NONE; graph.edge_count()];
        for (index, edge) in graph.raw_edges().iter().enumerate() {
            if let Some(ohms) = circuit.rule_resistance(edge.weight, &closed, only) {
                branch_of[index] = branches.len() as u32;
                branches.push(Branch {
                    from: edge.source().index() as u32,
                    to: edge.target().index() as u32,
                    ohms,
                    emf: 0.0,
                });
            }
        }
        branches.extend(circuit.panel_sinks());
        Self {
            solver: Solver::new(graph.node_count() as u32, &branches),
            closed,
            only,
            branch_of,
        }
    }

    fn joins(&self, a: NodeIndex, b: NodeIndex) -> bool {
        self.solver.component(a.index() as u32) == self.solver.component(b.index() as u32)
    }

    /// A draw has a closed way round: both its ends reach one source.
    fn powers(&self, circuit: &Circuit<'_>, draw: u32) -> bool {
        let draw = &circuit.wiring.draws[draw as usize];
        draw.plus != draw.minus && self.joins(draw.plus, draw.minus)
    }

    fn solve(&self, circuit: &Circuit<'_>, mut moment: Moment) -> Solved {
        circuit.load_converters(&mut moment);
        let powered: Vec<bool> = (0..circuit.wiring.draws.len() as u32)
            .map(|draw| self.powers(circuit, draw))
            .collect();
        let (volts, amps) = self.flow(circuit, &moment, &powered, |_| true);
        let is_brief = |draw: u32| circuit.brief[draw as usize].is_some();
        let any_brief = moment.draws.iter().any(|&(draw, _)| is_brief(draw));
        let steady = any_brief.then(|| {
            self.flow(circuit, &moment, &powered, |draw| !is_brief(draw))
                .1
        });
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
        powered: &[bool],
        wanted: impl Fn(u32) -> bool,
    ) -> (Vec<f64>, Vec<f64>) {
        let mut injections: Vec<(u32, f64)> = Vec::with_capacity(2 * moment.draws.len());
        let mut inject = |out: NodeIndex, into: NodeIndex, amps: f64| {
            injections.push((out.index() as u32, -amps));
            injections.push((into.index() as u32, amps));
        };
        for &(draw, amps) in moment
            .draws
            .iter()
            .filter(|(draw, _)| powered[*draw as usize] && wanted(*draw))
        {
            let draw = &circuit.wiring.draws[draw as usize];
            inject(draw.plus, draw.minus, amps);
        }
        for &(supply, amps) in &moment.charging {
            let supply = &circuit.wiring.supplies[supply as usize];
            if self.joins(supply.plus, supply.minus) {
                inject(supply.minus, supply.plus, amps);
            }
        }
        let Solution { volts, amps, .. } = self.solver.solve(&injections);
        let current = |&branch: &u32| amps.get(branch as usize).copied().unwrap_or(0.0);
        (volts, self.branch_of.iter().map(current).collect())
    }
}

impl Circuit<'_> {
    /// An edge's resistance by the rule; `None` where nothing can flow along it.
    fn rule_resistance(&self, link: Link, closed: &[bool], only: Option<u32>) -> Option<f64> {
        match link {
            Link::Conductor(index) if self.banks.link_of[index as usize].is_some() => Some(0.0),
            Link::Conductor(index) => Some(self.rule_ohms[index as usize].unwrap_or(0.0)),
            Link::Contact(index) => closed[index as usize].then_some(0.0),
            Link::Supply(index) if !self.feeds(index, only) => None,
            Link::Supply(index) => self
                .is_stiff(&self.wiring.supplies[index as usize])
                .then_some(0.0),
            Link::Gap | Link::Inside => Some(0.0),
            Link::Draw(_) => None,
        }
    }

    /// A battery of a bank that is taken away feeds nothing.
    pub(super) fn feeds(&self, supply: u32, only: Option<u32>) -> bool {
        let bank = self.banks.of_supply.get(&supply);
        only.is_none() || bank.is_none() || bank.copied() == only
    }

    /// A solar controller takes what its panels give: its panel side is one node.
    fn panel_sinks(&self) -> Vec<Branch> {
        let controllers = self
            .wiring
            .supplies
            .iter()
            .filter(|supply| supply.kind == SupplyKind::Controller);
        controllers
            .filter_map(|supply| {
                let from = self.wiring.terminal(supply.part, Term::InPlus)?;
                let to = self.wiring.terminal(supply.part, Term::InMinus)?;
                Some(Branch {
                    from: from.index() as u32,
                    to: to.index() as u32,
                    ohms: 0.0,
                    emf: 0.0,
                })
            })
            .collect()
    }

    /// The most a controller gives: the smaller of its A and what its panels give at the battery.
    pub fn controller_most(&self, supply: &crate::wiring::Supply) -> f64 {
        if supply.kind != SupplyKind::Controller {
            return f64::INFINITY;
        }
        let Some(node) = self.wiring.terminal(supply.part, Term::InPlus) else {
            return f64::INFINITY;
        };
        let panels = self.panels_at(node);
        if panels.is_empty() {
            return f64::INFINITY;
        }
        let at_battery = |&panels: &u32| self.panel_amps_at_battery(panels, supply);
        panels.iter().map(at_battery).sum()
    }

    /// A PWM passes the panels' current; an MPPT converts their power to the island's nominal
    /// voltage, for the emptier the battery the more current comes.
    fn panel_amps_at_battery(&self, panels: u32, controller: &crate::wiring::Supply) -> f64 {
        let array = &self.wiring.supplies[panels as usize];
        let facts = self.facts(controller.part);
        if facts.word(Key::Technology) == Some("pwm") {
            return array.amps;
        }
        let share = facts
            .amount(Key::Efficiency)
            .map_or(defaults::MPPT.value, |percent| percent / 100.0);
        let one = self.facts(array.part);
        let count = |key| f64::from(one.count(key).unwrap_or(1));
        one.amount(Key::Watts).map_or(array.amps, |watts| {
            let power = watts * count(Key::Series) * count(Key::Parallel);
            power * share / self.volts_at(controller.plus)
        })
    }

    /// The solar panels joined to a controller's panel side.
    fn panels_at(&self, node: NodeIndex) -> Vec<u32> {
        let passes = super::reach::everything_closed;
        let net = super::reach::search(
            self.wiring,
            &[(node, 0, 0.0)],
            super::reach::Direction::Home,
            passes,
        );
        let solar = self
            .wiring
            .supplies
            .iter()
            .enumerate()
            .filter(|(_, supply)| supply.kind == SupplyKind::Solar);
        solar
            .filter(|(_, supply)| net[supply.plus.index()].is_some())
            .map(|(index, _)| index as u32)
            .collect()
    }

    /// Adds to a moment what its converters take for the loads behind them.
    fn load_converters(&self, moment: &mut Moment) {
        let converters: Vec<u32> = (0..self.wiring.draws.len() as u32)
            .filter(|&draw| self.wiring.draws[draw as usize].kind == DrawKind::Converter)
            .filter(|&draw| !moment.draws.iter().any(|&(other, _)| other == draw))
            .collect();
        // Innermost first: as many rounds as converters feed converters.
        for _ in 0..converters.len().min(MOST_CONVERTERS_IN_A_ROW) {
            for &draw in &converters {
                let amps = self.converter_takes(draw, moment);
                moment.draws.retain(|&(other, _)| other != draw);
                if amps > 0.0 {
                    moment.draws.push((draw, amps));
                }
            }
        }
    }

    fn converter_takes(&self, draw: u32, moment: &Moment) -> f64 {
        let part = self.wiring.draws[draw as usize].part;
        let Some((index, output)) = self
            .wiring
            .supplies
            .iter()
            .enumerate()
            .find(|(_, supply)| supply.part == part)
        else {
            return 0.0;
        };
        let behind = |&(other, amps): &(u32, f64)| {
            let reach = self.live[self.wiring.draws[other as usize].plus.index()];
            reach
                .filter(|reach| reach.source as usize == index)
                .map_or(0.0, |_| amps)
        };
        let out: f64 = moment.draws.iter().map(behind).sum::<f64>();
        let charging = moment
            .charging
            .iter()
            .filter(|(supply, _)| *supply as usize == index)
            .map(|(_, amps)| amps);
        let out = (out + charging.sum::<f64>()).min(output.amps);
        self.nominal_amps(draw) * out / output.amps.max(f64::MIN_POSITIVE)
    }
}

/// Converters that feed converters, deeper than any boat has.
const MOST_CONVERTERS_IN_A_ROW: usize = 4;
