//! One pass over all moments with given resistances.

use std::sync::Arc;

use ampwright_electrics::network::Settled;
use rustc_hash::FxHashMap;

use super::{Alone, Answer, Carried, Top, alone, network::Network, state::State, top};
use crate::{
    study::{
        Circuit,
        cables::DesignBy,
        moments::{Moment, Stand},
        rule::{ByRule, Solved},
    },
    wiring::{Device, Rest},
};

/// What tells one state from another: which contacts are closed, and the one bank that feeds.
type Key = (Arc<[bool]>, Option<u32>);

/// Prepared states kept at once: more than a boat has, few enough for memory.
const MOST_KEPT: usize = 16;

/// Times that diodes which would conduct backwards are opened and the rest settled again, at most.
const DIODE_ROUNDS: u32 = 8;

/// The states that have been asked for, each prepared once.
pub(super) struct Pass<'a> {
    pub(super) network: Network<'a>,
    rule: &'a ByRule,
    list: Vec<State>,
    known: FxHashMap<Key, usize>,
}

impl<'a> Pass<'a> {
    pub(super) fn new(circuit: &'a Circuit<'a>, rule: &'a ByRule, ohms: &'a [Option<f64>]) -> Self {
        Self {
            network: Network { circuit, ohms },
            rule,
            list: Vec::new(),
            known: FxHashMap::default(),
        }
    }

    /// A state, prepared when first asked for. Of very many not all are kept.
    pub(super) fn of(&mut self, closed: &Arc<[bool]>, only: Option<u32>) -> &State {
        let key = (closed.clone(), only);
        if self.list.len() >= MOST_KEPT && !self.known.contains_key(&key) {
            self.list.clear();
            self.known.clear();
        }
        let state = *self.known.entry(key).or_insert_with(|| {
            self.list.push(State::prepare(&self.network, closed, only));
            self.list.len() - 1
        });
        &self.list[state]
    }

    /// Every moment, and the largest current of each conductor over them, loads that run only
    /// briefly left out.
    pub(super) fn moments(&mut self) -> (Vec<Answer>, Vec<Carried>) {
        let rule = self.rule;
        let mut carried = vec![Carried::NOTHING; self.network.circuit.wiring.conductors.len()];
        let moments = rule.moments.iter().enumerate();
        let answers = moments
            .map(|(index, solved)| self.moment(index, solved, &mut carried))
            .collect();
        (answers, carried)
    }

    fn moment(&mut self, index: usize, solved: &Solved, carried: &mut [Carried]) -> Answer {
        let circuit = self.network.circuit;
        let moment = self.conducting(&solved.moment);
        let network = self.network;
        let state = self.of(&moment.closed, moment.only);
        let settled = state.settle(&network, &moment.draws, &moment.charging);
        let raise = |conductor: usize, amps| {
            carried[conductor].take(amps, DesignBy::Moment(index));
        };
        let is_brief = |&(draw, _): &(u32, f64)| circuit.brief[draw as usize].is_some();
        if moment.draws.iter().any(is_brief) {
            let steady = moment.draws.iter().copied();
            let steady: Vec<_> = steady.filter(|draw| !is_brief(draw)).collect();
            let without = state.settle(&network, &steady, &moment.charging);
            state.raise(circuit, &without, raise);
        } else {
            state.raise(circuit, &settled, raise);
        }
        state.answer(circuit, &moment, &solved.powered, &settled)
    }

    /// The moment with every diode open that current would have to pass backwards.
    fn conducting(&mut self, moment: &Moment) -> Moment {
        let mut moment = moment.clone();
        let network = self.network;
        for _ in 0..DIODE_ROUNDS {
            if !has_closed_diode(network.circuit, &moment) {
                break;
            }
            let state = self.of(&moment.closed, moment.only);
            let settled = state.settle(&network, &moment.draws, &moment.charging);
            let blocking = state.blocking(network.circuit, &settled);
            if blocking.is_empty() {
                break;
            }
            open(&mut moment, &blocking);
        }
        moment
    }

    /// For each draw what it gets alone, the contacts as where it loses the most by the rule.
    pub(super) fn alone(&mut self) -> Vec<Option<Alone>> {
        let (circuit, rule) = (self.network.circuit, self.rule);
        let mut found: Vec<Option<Alone>> = vec![None; circuit.wiring.draws.len()];
        let mut by_stand: Vec<(Stand, Vec<u32>)> = Vec::new();
        let draws = (0u32..).zip(&rule.ever_powered);
        for (draw, _) in draws.filter(|(_, powered)| **powered) {
            let stand = rule.alone_stand(draw);
            // Few stands differ, and neighbours mostly agree.
            match by_stand.iter_mut().rfind(|(known, _)| *known == stand) {
                Some((_, list)) => list.push(draw),
                None => by_stand.push((stand, vec![draw])),
            }
        }
        for (stand, draws) in by_stand {
            let mut closed = circuit.standing(stand);
            circuit.set(&mut closed, Rest::Momentary, true);
            let network = self.network;
            let state = self.of(&closed.into(), stand.only);
            for (draw, alone) in draws.iter().zip(alone::each(&network, state, &draws)) {
                found[*draw as usize] = alone.map(|alone| Alone { stand, ..alone });
            }
        }
        found
    }

    /// For each supply that can charge what it gives alone, A, in the first position of the
    /// selectors that joins it to anything.
    pub(super) fn charging(&mut self) -> Vec<Option<f64>> {
        let circuit = self.network.circuit;
        let supplies = &circuit.wiring.supplies;
        let mut found = vec![None; supplies.len()];
        for (_, mut closed) in circuit.states_of_charging() {
            let open: Vec<u32> = (0..supplies.len() as u32)
                .filter(|&supply| found[supply as usize].is_none())
                .filter(|&supply| self.rule.ever_charging[supply as usize])
                .filter(|&supply| supplies[supply as usize].kind.charges())
                .collect();
            if open.is_empty() {
                break;
            }
            circuit.set_charging(&mut closed, 0..supplies.len() as u32, |_| false);
            let state = self.of(&closed.into(), None);
            for (supply, amps) in open.iter().zip(alone::charging(circuit, state, &open)) {
                found[*supply as usize] = amps;
            }
        }
        found
    }

    /// What runs on top of a moment.
    pub(super) fn tops(&mut self, answers: &[Answer]) -> Vec<Top> {
        let rule = self.rule;
        top::tops(self, rule, answers)
    }
}

fn has_closed_diode(circuit: &Circuit<'_>, moment: &Moment) -> bool {
    let mut contacts = circuit.wiring.contacts.iter().zip(moment.closed.iter());
    contacts.any(|(contact, closed)| *closed && matches!(contact.device, Device::Diode(_)))
}

fn open(moment: &mut Moment, contacts: &[u32]) {
    let mut closed = moment.closed.to_vec();
    for &contact in contacts {
        closed[contact as usize] = false;
    }
    moment.closed = closed.into();
}

/// One moment by itself, with the state that it was settled in.
pub(super) fn settle(network: &Network<'_>, moment: &Moment) -> (State, Settled) {
    let mut moment = moment.clone();
    let mut round = 0;
    loop {
        let state = State::prepare(network, &moment.closed, moment.only);
        let settled = state.settle(network, &moment.draws, &moment.charging);
        let blocking = state.blocking(network.circuit, &settled);
        if blocking.is_empty() || round == DIODE_ROUNDS {
            return (state, settled);
        }
        open(&mut moment, &blocking);
        round += 1;
    }
}
