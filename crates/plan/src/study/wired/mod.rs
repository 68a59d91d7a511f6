//! The as-wired answer: the real network in every moment.
//!
//! Batteries stand at rest voltage behind their own resistance, conductors have their table's
//! resistance at the warmth that their own current gives them (`heat`), contacts, posts and crimps
//! add theirs, and each load follows its own law. The plan falls into pieces that do not feel each
//! other (`pieces`), each settled by itself; moments with equal contacts there share one
//! factorization (`state`); a load alone follows from what its terminals show of the network
//! (`alone`); what runs on top of a moment is settled with it (`top`). Of each moment the volts at
//! what draws are kept; all of one moment is computed when somebody asks for it.

mod alone;
mod network;
mod pass;
mod pieces;
mod state;
mod top;

use petgraph::graph::NodeIndex;
use rustc_hash::FxHashMap;

use super::{
    Circuit,
    cables::{Cable, DesignBy},
    heat::Heat,
    moments::Moment,
    rule::ByRule,
};
use crate::Plan;

use network::Network;

pub use alone::Alone;
pub use top::{Surge, Top};

/// A draw in a moment, as wired.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AtDraw {
    /// The draw, an index into the wiring's draws.
    pub draw: u32,
    /// V across it.
    pub volts: f64,
    /// A through it.
    pub amps: f64,
    /// V lost between the posts of what feeds it and itself.
    pub lost: f64,
}

/// What is kept of a moment, as wired.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Answer {
    /// What draws and has a closed way round.
    pub draws: Vec<AtDraw>,
    /// What each battery gives, A; below nothing where it takes. By its place in the supplies. Those
    /// left out have nothing on, as in the first moment in which they have not.
    pub batteries: Vec<(u32, f64)>,
    /// Draws whose cable can never deliver what they ask for. They count as the resistance that
    /// would take it at full voltage.
    pub undeliverable: Vec<u32>,
    /// The limits came to rest; where not, the figures are the last round's.
    pub settled: bool,
}

/// The largest steady current of a conductor, as wired.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Carried {
    /// A.
    pub amps: f64,
    /// What asks for it.
    pub by: DesignBy,
}

/// The least that a draw gets in moments in which nothing charges.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lowest {
    /// V across it.
    pub volts: f64,
    /// When.
    pub by: DesignBy,
    /// Not only in `everything`.
    pub certain: bool,
}

/// The as-wired answer in every moment.
#[derive(Clone, Debug, Default)]
pub struct AsWired {
    /// For each by-rule moment what is kept of it.
    pub moments: Vec<Answer>,
    /// For each draw what it gets alone, at its full.
    pub alone: Vec<Option<Alone>>,
    /// What short-time loads, starting currents and an inverter's peak get on top of a moment.
    pub tops: Vec<Top>,
    /// For each draw the least that it gets while nothing charges; `None` for one that nothing feeds.
    pub lowest: Vec<Option<Lowest>>,
    /// The same of the cases and of each load alone, without `everything`.
    pub lowest_certain: Vec<Option<Lowest>>,
    /// For each draw whether its cable can never deliver what it asks for, alone or in some moment.
    pub undeliverable: Vec<bool>,
    /// For each supply that charges what it gives alone, A.
    pub charging: Vec<Option<f64>>,
    /// For each conductor its largest steady current.
    pub carried: Vec<Carried>,
    /// For each conductor its resistance, ohm, at its warmth; `None` where size or length is unknown.
    pub ohms: Vec<Option<f64>>,
    /// For each conductor how warm its largest steady current makes it, °C.
    pub degrees: Vec<f64>,
    /// Currents and warmth agree. Where not, what draws more the less it gets heats its cables
    /// without end.
    pub at_rest: bool,
}

/// Rounds in which currents and warmth are brought to agree, at most. Two do on an ordinary boat.
const ROUNDS: u32 = 8;

impl AsWired {
    /// Settles every moment, conductors as warm as their own currents make them.
    pub fn of(circuit: &Circuit<'_>, rule: &ByRule, cables: &[Cable]) -> Self {
        let mut heat = Heat::guess(circuit, cables);
        let pieces = pieces::Pieces::of(circuit, rule);
        let mut round = 1;
        loop {
            let ohms = heat.ohms();
            let mut found = Self::nothing(circuit, rule);
            let pieces_at = pieces.list.iter();
            let mut passes: Vec<pass::Pass<'_>> = pieces_at
                .map(|piece| pass::Pass::new(circuit, rule, piece, &ohms))
                .collect();
            for pass in &mut passes {
                pass.moments(&mut found.moments, &mut found.carried);
                pass.alone(&pieces.stands, &mut found.alone);
                pass.charging(&pieces.charging, &mut found.charging);
            }
            for answer in &mut found.moments {
                answer.draws.sort_by_key(|at| at.draw);
                answer.batteries.sort_by_key(|(supply, _)| *supply);
                answer.undeliverable.sort_unstable();
            }
            let carried = found.one_by_one(circuit, rule);
            let at_rest = heat.warm(&carried);
            if at_rest || round == ROUNDS {
                let mut found = Self {
                    tops: tops(circuit, rule, &mut passes, &found.moments),
                    carried,
                    degrees: heat.degrees,
                    at_rest,
                    ..found
                };
                let least = Least::of(rule, &found);
                (found.lowest, found.lowest_certain) = (least.of_all, least.certain);
                found.undeliverable = found.cannot();
                found.ohms = ohms;
                return found;
            }
            round += 1;
        }
    }

    fn nothing(circuit: &Circuit<'_>, rule: &ByRule) -> Self {
        let settled = Answer {
            settled: true,
            ..Answer::default()
        };
        Self {
            moments: vec![settled; rule.moments.len()],
            alone: vec![None; circuit.wiring.draws.len()],
            charging: vec![None; circuit.wiring.supplies.len()],
            carried: vec![Carried::NOTHING; circuit.wiring.conductors.len()],
            ..Self::default()
        }
    }

    /// The largest currents with those of loads and sources one at a time: by the rule, at what
    /// each draws or gives as wired. What runs on top of everything for minutes is held against
    /// ampacity as if for ever, but does not warm a cable through on top of all else.
    fn one_by_one(&self, circuit: &Circuit<'_>, rule: &ByRule) -> Vec<Carried> {
        let alone = |draw: u32| {
            let fed = self.alone.get(draw as usize).copied().flatten();
            let share = fed.and_then(|fed| Some(fed.amps? / circuit.nominal_amps(draw)));
            share.filter(|share| share.is_finite()).unwrap_or(1.0)
        };
        let charging = |supply: u32| {
            let gives = self.charging.get(supply as usize).copied().flatten();
            let most = circuit.most_of(&circuit.wiring.supplies[supply as usize]);
            gives.map_or(1.0, |amps| amps / most.max(f64::MIN_POSITIVE))
        };
        let conductors = circuit.wiring.conductors.iter().zip(&self.carried);
        conductors
            .map(|(conductor, carried)| {
                let most_of = |list| rule.most(list, conductor.edge);
                let mut most = *carried;
                if let Some((amps, draw, stand)) = most_of(&rule.alone) {
                    most.take(amps * alone(draw), DesignBy::Alone(draw, stand));
                }
                if let Some((amps, supply, stand)) = most_of(&rule.charging) {
                    most.take(amps * charging(supply), DesignBy::Charging(supply, stand));
                }
                if let Some((amps, supply, stand)) = most_of(&rule.panels) {
                    most.take(amps, DesignBy::Panels(supply, stand));
                }
                if let Some((amps, supply, stand)) = most_of(&rule.controllers) {
                    most.take(amps, DesignBy::Controllers(supply, stand));
                }
                most
            })
            .collect()
    }

    fn cannot(&self) -> Vec<bool> {
        let alone = |alone: &Option<Alone>| alone.is_some_and(|alone| alone.volts.is_none());
        let mut cannot: Vec<bool> = self.alone.iter().map(alone).collect();
        let moments = self.moments.iter();
        let together = moments.flat_map(|answer| answer.undeliverable.iter().copied());
        let tops = self.tops.iter().filter(|top| !top.delivered);
        for draw in together.chain(tops.map(|top| top.draw)) {
            cannot[draw as usize] = true;
        }
        cannot
    }

    /// A draw in each moment in which it is on and nothing charges.
    pub fn in_moments<'a>(
        &'a self,
        rule: &'a ByRule,
        draw: u32,
    ) -> impl Iterator<Item = (usize, AtDraw)> + 'a {
        let moments = rule.moments.iter().zip(&self.moments).enumerate();
        moments
            .filter(|(_, (solved, _))| solved.moment.charging.is_empty())
            .filter_map(move |(index, (_, answer))| {
                let at = answer.draws.iter().find(|at| at.draw == draw)?;
                Some((index, *at))
            })
    }
}

/// What runs on top of moments, piece by piece, in the order of the wiring.
fn tops(
    circuit: &Circuit<'_>,
    rule: &ByRule,
    passes: &mut [pass::Pass<'_>],
    answers: &[Answer],
) -> Vec<Top> {
    let mut asking: FxHashMap<u32, Vec<top::Asks>> = FxHashMap::default();
    for asks in top::asking(circuit, rule, answers) {
        asking.entry(asks.draw).or_default().push(asks);
    }
    let mut found = Vec::new();
    for pass in passes {
        let draws = pass.network.piece.draws.iter();
        let asks: Vec<top::Asks> = draws
            .filter_map(|draw| asking.remove(draw))
            .flatten()
            .collect();
        if !asks.is_empty() {
            found.extend(pass.tops(asks));
        }
    }
    found.sort_by_key(|top| top.draw);
    found
}

impl Answer {
    /// Adds what another piece gives in the same moment.
    fn add(&mut self, piece: &Self, powered: &[bool]) {
        let is_powered = |at: &&AtDraw| powered[at.draw as usize];
        self.draws.extend(piece.draws.iter().filter(is_powered));
        self.batteries.extend(&piece.batteries);
        self.undeliverable.extend(&piece.undeliverable);
        self.settled &= piece.settled;
    }
}

/// The least that each draw gets, gathered in one sweep over all moments.
struct Least {
    of_all: Vec<Option<Lowest>>,
    certain: Vec<Option<Lowest>>,
}

impl Least {
    fn of(rule: &ByRule, wired: &AsWired) -> Self {
        let none = vec![None; wired.alone.len()];
        let mut least = Self {
            of_all: none.clone(),
            certain: none,
        };
        for (index, (solved, answer)) in rule.moments.iter().zip(&wired.moments).enumerate() {
            if solved.moment.charging.is_empty() {
                let (by, certain) = (DesignBy::Moment(index), solved.moment.is_case());
                for at in answer.draws.iter().filter(|at| at.amps > 0.0) {
                    least.take(at.draw, at.volts, by, certain);
                }
            }
        }
        for (draw, alone) in (0u32..).zip(&wired.alone) {
            if let Some((alone, volts)) = alone.and_then(|alone| Some((alone, alone.volts?))) {
                least.take(draw, volts, DesignBy::Alone(draw, alone.stand), true);
            }
        }
        for top in wired.tops.iter().filter(|top| top.delivered) {
            let moment = rule.moments.get(top.moment);
            let certain = moment.is_some_and(|solved| solved.moment.is_case());
            let by = DesignBy::OnTop(top.draw, top.moment);
            least.take(top.draw, top.volts, by, certain);
        }
        least
    }

    fn take(&mut self, draw: u32, volts: f64, by: DesignBy, certain: bool) {
        // No voltage is a way that is open or reversed, which is another finding's.
        if volts.is_nan() || volts <= 0.0 {
            return;
        }
        let next = Lowest { volts, by, certain };
        for list in [Some(&mut self.of_all), certain.then_some(&mut self.certain)] {
            if let Some(known) = list.and_then(|list| list.get_mut(draw as usize))
                && known.is_none_or(|known| volts < known.volts - 1e-9)
            {
                *known = Some(next);
            }
        }
    }
}

impl Carried {
    const NOTHING: Self = Self {
        amps: 0.0,
        by: DesignBy::Nothing,
    };

    /// Keeps the larger; on a tie what was there.
    fn take(&mut self, amps: f64, by: DesignBy) {
        if amps > self.amps + 1e-9 {
            *self = Self { amps, by };
        }
    }
}

/// All of one moment, as wired.
#[derive(Clone, Debug)]
pub struct Wired {
    /// For each node its voltage, V, against its island's reference.
    pub volts: Vec<f64>,
    /// For each edge of the graph its current from source to target, A; 0 where nothing flows.
    pub amps: Vec<f64>,
    /// For each draw that is on in this moment: the draw, its volts, its amperes.
    pub draws: Vec<(u32, f64, f64)>,
    /// Draws whose cable can never deliver their power.
    pub undeliverable: Vec<u32>,
    /// The limits settled; where not, the figures are the last round's.
    pub settled: bool,
}

impl Plan {
    /// The real network in a moment, an index into the by-rule moments.
    pub fn as_wired(&self, moment: usize) -> Option<Wired> {
        let solved = self.study.rule.moments.get(moment)?;
        Some(self.settle(&solved.moment))
    }

    /// The real network with one load alone at its full.
    pub fn as_wired_alone(&self, draw: u32) -> Option<Wired> {
        let moment = self.moment_alone(draw, self.study.rule.alone_stand(draw))?;
        Some(self.settle(&moment))
    }

    fn settle(&self, moment: &Moment) -> Wired {
        let circuit = self.circuit();
        let network = Network {
            circuit: &circuit,
            ohms: &self.study.wired.ohms,
            piece: &pieces::Piece::whole(&circuit),
        };
        let (state, settled) = pass::settle(&network, moment);
        state.whole(&circuit, moment, settled)
    }

    /// A conductor's resistance as wired, ohm: its table's at its own warmth, with a crimp at each
    /// end; `None` where its size or length is unknown.
    pub fn conductor_ohms(&self, index: u32) -> Option<f64> {
        self.study.wired.ohms.get(index as usize).copied().flatten()
    }
}

impl Circuit<'_> {
    /// Closes the momentary and automatic switches on a draw's way there and back.
    fn close_ways(&self, draw: u32, closed: &mut [bool]) {
        let wired = &self.wiring.draws[draw as usize];
        self.close_way(&self.live, wired.plus, closed);
        self.close_way(&self.home, wired.minus, closed);
    }

    /// The supply whose live net a node lies in, where that is a converter's output: an island that
    /// no battery of its own holds.
    fn converter_behind(&self, node: NodeIndex) -> Option<u32> {
        let source = self.live.get(node.index()).copied().flatten()?.source;
        let supply = self.wiring.supplies.get(source as usize)?;
        (supply.kind == crate::wiring::SupplyKind::Converter).then_some(source)
    }
}
