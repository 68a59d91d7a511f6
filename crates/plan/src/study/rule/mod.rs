//! The by-rule answer: loads at nominal current, sources stiff, the rule's own resistance.
//!
//! With stiff sources and given currents the network is linear, so a source is one node and each
//! voltage is the loss since that source: the drop at a load is what its two ends differ by.

mod converters;
mod state;

use std::sync::Arc;

use ampwright_electrics::network::Alone;
use petgraph::graph::{EdgeIndex, NodeIndex};
use rustc_hash::FxHashSet;

use super::{
    Circuit,
    moments::{Label, Moment, Stand},
};
use crate::{
    finding::Finding,
    findings::registry::Code,
    wiring::{Rest, Supply, SupplyKind},
};
use state::{State, States};

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
    /// How the contacts stood, an index into [`ByRule::stands`].
    stand: Vec<u32>,
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
    /// All solar panels together in full sun, at their short-circuit currents.
    pub panels: OneByOne,
    /// All solar controllers together in full sun, at the battery's side.
    pub controllers: OneByOne,
    /// For each draw its largest drop alone, V.
    pub alone_drop: Vec<f64>,
    /// For each draw how the contacts stood then, an index into [`Self::stands`].
    alone_stand: Vec<u32>,
    /// How the contacts stood where loads and sources were taken alone.
    pub stands: Vec<Stand>,
    /// For each draw whether any state of the contacts gives it a closed way round.
    pub ever_powered: Vec<bool>,
    /// For each supply that charges whether it can.
    pub ever_charging: Vec<bool>,
    /// For each edge its largest steady current over the cases, A, and the case.
    in_cases: Vec<Option<(f64, u32)>>,
    /// The same over the variants of `everything`.
    in_everything: Vec<Option<(f64, u32)>>,
}

impl ByRule {
    /// Solves every moment; what cases get wrong is added to `wrong`.
    pub fn of(circuit: &Circuit<'_>, wrong: &mut Vec<Finding>) -> Self {
        let mut states = States::new(circuit);
        let mut answer = Self::unsolved(circuit);
        let room = room(circuit);
        let cases = 0..circuit.model.cases.list.len() as u32;
        answer.moments.extend(
            cases
                .take(room)
                .map(|index| states.solve(circuit.case(index, wrong))),
        );
        let mut everything = everything(circuit, room);
        wrong.extend(left_out(circuit, room, everything.len()));
        everything.truncate(room);
        answer.one_by_one(circuit, &mut states, &everything);
        answer
            .moments
            .extend(everything.into_iter().map(|moment| states.solve(moment)));
        answer.charge(circuit, &mut states);
        answer.in_cases = answer.largest_steady(Moment::is_case);
        answer.in_everything = answer.largest_steady(|moment| !moment.is_case());
        answer
    }

    /// Moment by moment rather than edge by edge: a moment's currents lie side by side, and a large
    /// plan has more of them than a cache holds.
    fn largest_steady(&self, wanted: impl Fn(&Moment) -> bool) -> Vec<Option<(f64, u32)>> {
        let mut largest: Vec<Option<(f64, u32)>> = Vec::new();
        for (moment, solved) in (0u32..).zip(&self.moments) {
            if !wanted(&solved.moment) {
                continue;
            }
            largest.resize(solved.steady().len(), None);
            for (largest, amps) in largest.iter_mut().zip(solved.steady()) {
                let next = (amps.abs(), moment);
                *largest = Some(largest.map_or(next, |best| larger(best, next)));
            }
        }
        largest
    }

    fn unsolved(circuit: &Circuit<'_>) -> Self {
        let edges = circuit.wiring.graph.edge_count();
        let draws = circuit.wiring.draws.len();
        Self {
            alone: OneByOne::nothing(edges),
            top: OneByOne::nothing(edges),
            brief: OneByOne::nothing(edges),
            charging: OneByOne::nothing(edges),
            panels: OneByOne::nothing(edges),
            controllers: OneByOne::nothing(edges),
            alone_drop: vec![0.0; draws],
            alone_stand: vec![0; draws],
            stands: vec![Stand::REST],
            ever_powered: vec![false; draws],
            ..Self::default()
        }
    }

    /// Each load alone, with every button pressed, and once more with every link closed. Of equal
    /// figures the first stays: the stands that need the least moved come first.
    fn one_by_one(
        &mut self,
        circuit: &Circuit<'_>,
        states: &mut States<'_, '_>,
        everything: &[Moment],
    ) {
        let mut done: FxHashSet<(Arc<[bool]>, Option<u32>)> = FxHashSet::default();
        for linked in [false, true] {
            for moment in everything {
                let Label::Everything(stand) = moment.label else {
                    continue;
                };
                let mut closed = moment.closed.to_vec();
                circuit.close_only_ways(&mut closed, 0..circuit.wiring.draws.len() as u32);
                circuit.set(&mut closed, Rest::Momentary, true);
                if linked {
                    circuit.link(&mut closed);
                }
                let closed: Arc<[bool]> = closed.into();
                if done.insert((closed.clone(), moment.only)) {
                    let linked = linked || stand.linked;
                    self.stands.push(Stand { linked, ..stand });
                    self.alone_in(circuit, states.of(&closed, moment.only));
                }
            }
        }
    }

    fn alone_in(&mut self, circuit: &Circuit<'_>, state: &State) {
        let powered: Vec<u32> = (0..circuit.wiring.draws.len() as u32)
            .filter(|&draw| state.powers(circuit, draw))
            .collect();
        for &draw in &powered {
            self.ever_powered[draw as usize] = true;
        }
        let is_brief = |&draw: &u32| circuit.brief[draw as usize].is_some();
        let (brief, mut long): (Vec<u32>, Vec<u32>) = powered.into_iter().partition(is_brief);
        let alone = state.largest_alone(circuit, &long);
        let stand = self.stands.len() as u32 - 1;
        self.alone.take(state, &alone, &long, stand);
        self.take_drops(&alone, &long);
        long.retain(|&draw| circuit.on_top[draw as usize]);
        if !long.is_empty() {
            let alone = state.largest_alone(circuit, &long);
            self.top.take(state, &alone, &long, stand);
        }
        if !brief.is_empty() {
            let alone = state.largest_alone(circuit, &brief);
            self.brief.take(state, &alone, &brief, stand);
            self.take_drops(&alone, &brief);
        }
    }

    /// Keeps each draw's largest drop over the states of the contacts.
    fn take_drops(&mut self, alone: &Alone, of: &[u32]) {
        let stand = self.stands.len() as u32 - 1;
        for (&draw, &drop) in of.iter().zip(&alone.drop) {
            let largest = &mut self.alone_drop[draw as usize];
            if drop > *largest + 1e-9 {
                *largest = drop;
                self.alone_stand[draw as usize] = stand;
            }
        }
    }

    /// Each charging source alone, at every position of every selector, with the charging relays
    /// closed and once more with them still open: a bank that is joined to another takes less.
    fn charge(&mut self, circuit: &Circuit<'_>, states: &mut States<'_, '_>) {
        let supplies = &circuit.wiring.supplies;
        self.ever_charging = vec![false; supplies.len()];
        let mut done: FxHashSet<Arc<[bool]>> = FxHashSet::default();
        let ways = [false, true].into_iter();
        let ways = ways.flat_map(|apart| circuit.states_of_charging().map(move |one| (apart, one)));
        for (apart, (stand, mut closed)) in ways {
            circuit.set_charging(&mut closed, 0..supplies.len() as u32, |_| apart);
            let closed: Arc<[bool]> = closed.into();
            if done.insert(closed.clone()) {
                self.stands.push(Stand { apart, ..stand });
                self.charge_in(circuit, states.of(&closed, None));
            }
        }
    }

    fn charge_in(&mut self, circuit: &Circuit<'_>, state: &State) {
        let can = |supply: &Supply| {
            (supply.kind.charges() || supply.kind == SupplyKind::Solar)
                && state.joins(supply.plus, supply.minus)
        };
        let supplies = (0u32..).zip(&circuit.wiring.supplies);
        let able: Vec<u32> = supplies
            .filter(|(_, supply)| can(supply))
            .map(|(index, _)| index)
            .collect();
        for &index in &able {
            self.ever_charging[index as usize] = true;
        }
        let kind = |&supply: &u32| circuit.wiring.supplies[supply as usize].kind;
        let (panels, able): (Vec<u32>, Vec<u32>) = able
            .into_iter()
            .partition(|supply| kind(supply) == SupplyKind::Solar);
        let alone = state.largest_charging(circuit, &able);
        let stand = self.stands.len() as u32 - 1;
        self.charging.take(state, &alone, &able, stand);
        let sunny = able
            .into_iter()
            .filter(|supply| kind(supply) == SupplyKind::Controller);
        let controllers: Vec<u32> = sunny.collect();
        self.panels.take_together(circuit, state, &panels, stand);
        if controllers.len() > 1 {
            self.controllers
                .take_together(circuit, state, &controllers, stand);
        }
    }

    /// How the contacts stood where a draw lost the most alone.
    pub fn alone_stand(&self, draw: u32) -> Stand {
        let stand = self.alone_stand.get(draw as usize);
        self.stand(stand.copied().unwrap_or(0))
    }

    fn stand(&self, index: u32) -> Stand {
        self.stands
            .get(index as usize)
            .copied()
            .unwrap_or(Stand::REST)
    }

    /// The load or source that asks the most of an edge in a list of this answer's own, A, and how
    /// the contacts stand then; `None` where none asks anything.
    pub fn most(&self, list: &OneByOne, edge: EdgeIndex) -> Option<(f64, u32, Stand)> {
        let at = edge.index();
        let by = list.by.get(at).copied().flatten()?;
        let stand = self.stand(list.stand.get(at).copied().unwrap_or(0));
        Some((list.amps.get(at).copied()?, by, stand))
    }

    /// The largest steady current of an edge over the cases, A, and which case's it is.
    pub fn in_cases(&self, edge: EdgeIndex) -> Option<(f64, usize)> {
        let (amps, moment) = self.in_cases.get(edge.index()).copied().flatten()?;
        Some((amps, moment as usize))
    }

    /// The largest steady current of an edge over all moments, A, and which moment's it is.
    pub fn largest(&self, edge: EdgeIndex) -> Option<(f64, usize)> {
        let both = [self.in_cases(edge), self.in_everything(edge)];
        both.into_iter().flatten().reduce(larger)
    }

    /// The same as [`Self::in_cases`] over the variants of `everything`.
    pub fn in_everything(&self, edge: EdgeIndex) -> Option<(f64, usize)> {
        let (amps, moment) = self.in_everything.get(edge.index()).copied().flatten()?;
        Some((amps, moment as usize))
    }

    /// The largest of some figure over the wanted moments, and which moment's it is; of equals the
    /// first.
    pub(super) fn largest_of(
        &self,
        figure: impl Fn(&Solved) -> f64,
        wanted: impl Fn(&Moment) -> bool,
    ) -> Option<(f64, usize)> {
        let moments = self.moments.iter().enumerate();
        moments
            .filter(|(_, solved)| wanted(&solved.moment))
            .map(|(index, solved)| (figure(solved), index))
            .reduce(larger)
    }
}

/// The larger of two figures, each with what it belongs to; of equals the first.
fn larger<T>(best: (f64, T), next: (f64, T)) -> (f64, T) {
    if next.0 > best.0 + 1e-9 { next } else { best }
}

/// How many moments there is room for: a plan of very many cases or positions is not computed
/// without bound.
fn room(circuit: &Circuit<'_>) -> usize {
    let graph = &circuit.wiring.graph;
    (MOST_NUMBERS / (graph.node_count() + graph.edge_count()).max(1)).max(FEWEST_MOMENTS)
}

/// Numbers kept over all moments, a current or voltage each.
const MOST_NUMBERS: usize = 12_000_000;
/// So many moments are computed whatever the size.
const FEWEST_MOMENTS: usize = 24;

/// What says that there was no room for every moment.
fn left_out(circuit: &Circuit<'_>, room: usize, everything: usize) -> Vec<Finding> {
    let mut findings = Vec::new();
    if let Some(case) = circuit.model.cases.list.get(room) {
        let more = circuit.model.cases.list.len() - room;
        let message = format!(
            "This case and what follows, {more} in all, were not computed: the plan has too many."
        );
        findings.push(Finding::new(
            Code::NotChecked,
            circuit.sources.name_site(case.thing),
            message,
        ));
    }
    if let Some((part, _)) = circuit
        .wiring
        .selectors
        .last()
        .filter(|_| everything > room)
    {
        let message = format!(
            "Only the first {room} positions of selectors and links were computed: the plan has too many."
        );
        let site = circuit.sources.name_site(circuit.model.get(*part).thing);
        findings.push(Finding::new(Code::NotChecked, site, message));
    }
    findings
}

/// The moments of `everything`: each state of the contacts, and in it each bank that the others
/// are taken away from.
fn everything(circuit: &Circuit<'_>, room: usize) -> Vec<Moment> {
    let draws = circuit.draws_of_everything();
    let mut moments = Vec::new();
    for (stand, closed) in circuit.states_of_everything() {
        let banks = circuit.banks_joined(&closed).into_iter().map(Some);
        let closed: Arc<[bool]> = closed.into();
        let moment = |only| Moment {
            label: Label::Everything(Stand { only, ..stand }),
            closed: closed.clone(),
            only,
            draws: draws.clone(),
            charging: Vec::new(),
        };
        moments.extend(std::iter::once(None).chain(banks).map(moment));
        if moments.len() > room {
            break; // one more than there is room for says so
        }
    }
    moments
}

impl Solved {
    /// One moment solved by itself.
    pub(super) fn of(circuit: &Circuit<'_>, moment: Moment) -> Self {
        States::new(circuit).solve(moment)
    }

    /// Each edge's current without loads that run only briefly, A.
    pub fn steady(&self) -> &[f64] {
        self.steady.as_ref().unwrap_or(&self.amps)
    }

    /// The drop between a draw's ends, V; 0 where it is not on.
    pub fn drop_at(&self, plus: NodeIndex, minus: NodeIndex) -> f64 {
        self.volts[minus.index()] - self.volts[plus.index()]
    }
}

impl OneByOne {
    fn nothing(edges: usize) -> Self {
        Self {
            amps: vec![0.0; edges],
            by: vec![None; edges],
            stand: vec![0; edges],
        }
    }

    /// Keeps the larger for each edge of what sources carry together, under the name of the one
    /// that gives the most of it.
    fn take_together(&mut self, circuit: &Circuit<'_>, state: &State, of: &[u32], stand: u32) {
        if of.is_empty() {
            return;
        }
        let alone = Alone {
            amps: state.charging_together(circuit, of),
            ..state.largest_charging(circuit, of)
        };
        self.take(state, &alone, of, stand);
    }

    /// Keeps the larger for each edge; `of` says which draw or supply each pair stands for.
    fn take(&mut self, state: &State, alone: &Alone, of: &[u32], stand: u32) {
        for (edge, branch) in state.branches() {
            let amps = alone.amps[branch];
            if amps > self.amps[edge] + 1e-9 {
                self.amps[edge] = amps;
                self.stand[edge] = stand;
                self.by[edge] = alone.pair[branch].and_then(|pair| of.get(pair as usize).copied());
            }
        }
    }
}
