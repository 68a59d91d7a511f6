//! One pass over all moments with given resistances.

use std::sync::Arc;

use ampwright_electrics::network::Settled;
use rustc_hash::FxHashMap;

use super::{
    Alone, Answer, Carried, Top, alone, network::Network, pieces::Piece, state::State, top,
};
use crate::{
    study::{
        Circuit,
        cables::DesignBy,
        moments::{Moment, Stand},
        rule::ByRule,
    },
    wiring::Device,
};

/// What tells one state of a piece from another: which of its contacts are closed, and which of its
/// supplies feed.
type Key = (Vec<bool>, Vec<bool>);

/// What tells one moment of a piece from another besides: what draws and charges, amperes as bits.
type On = (Vec<(u32, u64)>, Vec<(u32, u64)>);

/// Prepared states kept at once: more than a boat has, few enough for memory.
const MOST_KEPT: usize = 16;

/// Times that diodes which would conduct backwards are opened and the rest settled again, at most.
const DIODE_ROUNDS: u32 = 8;

/// The states that have been asked for, each prepared once.
pub(super) struct Pass<'a> {
    pub(super) network: Network<'a>,
    rule: &'a ByRule,
    list: Vec<State<'a>>,
    known: FxHashMap<Key, usize>,
}

impl<'a> Pass<'a> {
    pub(super) fn new(
        circuit: &'a Circuit<'a>,
        rule: &'a ByRule,
        piece: &'a Piece,
        ohms: &'a [Option<f64>],
    ) -> Self {
        Self {
            network: Network {
                circuit,
                ohms,
                piece,
            },
            rule,
            list: Vec::new(),
            known: FxHashMap::default(),
        }
    }

    fn key(&self, closed: &[bool], only: Option<u32>) -> Key {
        let Network { circuit, piece, .. } = self.network;
        let closed = piece.contacts.iter().map(|&index| closed[index as usize]);
        let feeds = piece
            .supplies
            .iter()
            .map(|&index| circuit.feeds(index, only));
        (closed.collect(), feeds.collect())
    }

    /// A state, prepared when first asked for. Of very many not all are kept.
    pub(super) fn of(&mut self, closed: &[bool], only: Option<u32>) -> &State<'a> {
        let key = self.key(closed, only);
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

    /// Every moment, added to its answer, and the largest current of each conductor over them,
    /// loads that run only briefly left out. Moments that are the same in the piece are settled once.
    pub(super) fn moments(&mut self, answers: &mut [Answer], carried: &mut [Carried]) {
        let mut known: FxHashMap<(Key, On), Answer> = FxHashMap::default();
        for (index, moment) in &self.network.piece.moments {
            let bits = |list: &[(u32, f64)]| list.iter().map(|on| (on.0, on.1.to_bits())).collect();
            let on = (bits(&moment.draws), bits(&moment.charging));
            let found = known
                .entry((self.key(&moment.closed, moment.only), on))
                .or_insert_with(|| self.moment(*index, moment, carried));
            if let (Some(answer), Some(solved)) =
                (answers.get_mut(*index), self.rule.moments.get(*index))
            {
                answer.add(found, &solved.powered);
            }
        }
    }

    fn moment(&mut self, index: usize, moment: &Moment, carried: &mut [Carried]) -> Answer {
        let circuit = self.network.circuit;
        let moment = self.conducting(moment);
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
        state.answer(circuit, &moment, |_| true, &settled)
    }

    /// The moment with every diode open that current would have to pass backwards.
    fn conducting(&mut self, moment: &Moment) -> Moment {
        let mut moment = moment.clone();
        let network = self.network;
        for _ in 0..DIODE_ROUNDS {
            if !has_closed_diode(&network, &moment) {
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

    /// What each draw gets alone, the contacts as where it loses the most by the rule.
    pub(super) fn alone(&mut self, stands: &[(Stand, Arc<[bool]>)], found: &mut [Option<Alone>]) {
        let (network, rule) = (self.network, self.rule);
        let powered = |draw: &u32| rule.ever_powered[*draw as usize];
        let mut draws = network.piece.draws.clone();
        draws.retain(powered);
        while let Some(&first) = draws.first() {
            let stand = rule.alone_stand(first);
            let Some((_, closed)) = stands.iter().find(|(known, _)| *known == stand) else {
                return;
            };
            let same = |draw: &u32| rule.alone_stand(*draw) == stand;
            let (own, others): (Vec<u32>, Vec<u32>) = draws.into_iter().partition(same);
            let state = self.of(closed, stand.only);
            for (draw, alone) in own.iter().zip(alone::each(&network, state, &own)) {
                found[*draw as usize] = alone.map(|alone| Alone { stand, ..alone });
            }
            draws = others;
        }
    }

    /// For each supply that can charge what it gives alone, A, in the first position of the
    /// selectors that joins it to anything.
    pub(super) fn charging(&mut self, states: &[Arc<[bool]>], found: &mut [Option<f64>]) {
        let network = self.network;
        let supplies = &network.circuit.wiring.supplies;
        for closed in states {
            let own = network.piece.supplies.iter().copied();
            let open: Vec<u32> = own
                .filter(|&supply| found[supply as usize].is_none())
                .filter(|&supply| self.rule.ever_charging[supply as usize])
                .filter(|&supply| supplies[supply as usize].kind.charges())
                .collect();
            if open.is_empty() {
                break;
            }
            let state = self.of(closed, None);
            for (supply, amps) in open.iter().zip(alone::charging(&network, state, &open)) {
                found[*supply as usize] = amps;
            }
        }
    }

    /// What runs on top of a moment.
    pub(super) fn tops(&mut self, asking: Vec<top::Asks>) -> Vec<Top> {
        let rule = self.rule;
        top::tops(self, rule, asking)
    }
}

fn has_closed_diode(network: &Network<'_>, moment: &Moment) -> bool {
    let mut contacts = network.piece.contacts.iter().map(|&index| index as usize);
    contacts.any(|index| {
        let device = network.circuit.wiring.contacts[index].device;
        moment.closed[index] && matches!(device, Device::Diode(_))
    })
}

fn open(moment: &mut Moment, contacts: &[u32]) {
    let mut closed = moment.closed.to_vec();
    for &contact in contacts {
        closed[contact as usize] = false;
    }
    moment.closed = closed.into();
}

/// One moment by itself, with the state that it was settled in.
pub(super) fn settle<'a>(network: &Network<'a>, moment: &Moment) -> (State<'a>, Settled) {
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
