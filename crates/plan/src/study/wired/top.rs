//! What runs briefly on top of a moment: short-time loads and those behind a push button, a load's
//! starting current, an inverter's peak.

use std::collections::BTreeMap;

use ampwright_electrics::network::{Law, Terminals};
use ampwright_notation::Key;

use super::{Answer, AtDraw, pass::Pass};
use crate::{
    study::{
        Circuit,
        moments::{Label, Moment, Stand},
        rule::ByRule,
    },
    wiring::{self, DrawKind},
};

/// Why a draw takes more, or at all, on top of a moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surge {
    /// It runs on top of everything.
    Runs,
    /// It starts.
    Starts,
    /// It gives its peak.
    Peaks,
}

/// A draw on top of a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Top {
    /// The draw.
    pub draw: u32,
    /// On top of which moment, an index into the by-rule moments.
    pub moment: usize,
    /// Why.
    pub surge: Surge,
    /// What it asks for by the rule, A.
    pub asks: f64,
    /// V across it; where it cannot be delivered, what would be left.
    pub volts: f64,
    /// V lost between the posts of what feeds it and itself.
    pub lost: f64,
    /// The cable delivers what it asks for.
    pub delivered: bool,
    /// Settled with all else; where not, `volts` is a bound below what it gets.
    pub exact: bool,
}

/// Draws of one piece settled on top of a moment, at most, and the nodes of all their networks
/// together. More than any boat has; what is beyond counts by a bound.
const MOST_SETTLED: usize = 32;
const MOST_NODES: usize = 200_000;

/// A draw that asks for more than it takes in a moment.
pub(super) struct Asks {
    pub(super) draw: u32,
    moment: usize,
    surge: Surge,
    amps: f64,
}

/// What asks in one piece.
pub(super) fn tops(pass: &mut Pass<'_>, rule: &ByRule, mut asking: Vec<Asks>) -> Vec<Top> {
    let most = (MOST_NODES / pass.network.piece.size().max(1)).clamp(1, MOST_SETTLED);
    let beyond = asking.split_off(asking.len().min(most));
    let mut found: Vec<Top> = asking
        .iter()
        .filter_map(|asks| settled(pass, rule, asks))
        .collect();
    let mut by_moment: BTreeMap<usize, Vec<Asks>> = BTreeMap::new();
    for asks in beyond {
        by_moment.entry(asks.moment).or_default().push(asks);
    }
    for asks in by_moment.values() {
        found.extend(bounded(pass, rule, asks));
    }
    found
}

/// What asks for more on top of a moment, and of which.
pub(super) fn asking(circuit: &Circuit<'_>, rule: &ByRule, answers: &[Answer]) -> Vec<Asks> {
    let (least, everything) = (least_of_each(circuit, rule, answers), everything(rule));
    let draws = (0u32..).zip(&circuit.wiring.draws);
    let asks = draws.filter_map(|(draw, wired)| {
        let full = circuit.nominal_amps(draw);
        let (surge, amps) = match (wired.kind, surge(circuit, draw)) {
            (DrawKind::Load, Some(amps)) => (Surge::Starts, amps),
            (DrawKind::Inverter, Some(amps)) => (Surge::Peaks, amps),
            _ if circuit.on_top[draw as usize] => (Surge::Runs, full),
            _ => return None,
        };
        let on_top = circuit.on_top[draw as usize].then_some(()).and(everything);
        let moment = on_top.or(least[draw as usize]).or(everything)?;
        let powered = rule.ever_powered.get(draw as usize).copied();
        (powered == Some(true) && amps > 0.0).then_some(Asks {
            draw,
            moment,
            surge,
            amps,
        })
    });
    asks.collect()
}

/// What a draw takes on starting or at its peak, A by the rule, where that is more than its full.
fn surge(circuit: &Circuit<'_>, draw: u32) -> Option<f64> {
    let wired = &circuit.wiring.draws[draw as usize];
    let full = circuit.nominal_amps(draw);
    let facts = circuit.facts(wired.part);
    let amps = match wired.kind {
        DrawKind::Load => facts.amount(Key::Starting),
        DrawKind::Inverter => {
            let share = facts.amount(Key::Peak).zip(facts.amount(Key::Watts));
            share.map(|(peak, watts)| full * peak / watts)
        }
        _ => None,
    };
    amps.filter(|amps| amps.is_finite() && *amps > full)
}

/// For each draw the case without charging in which it gets least.
fn least_of_each(circuit: &Circuit<'_>, rule: &ByRule, answers: &[Answer]) -> Vec<Option<usize>> {
    let mut least: Vec<Option<(f64, usize)>> = vec![None; circuit.wiring.draws.len()];
    let moments = rule.moments.iter().zip(answers).enumerate();
    let cases = moments
        .filter(|(_, (solved, _))| solved.moment.is_case() && solved.moment.charging.is_empty());
    for (index, (_, answer)) in cases {
        for at in &answer.draws {
            let known = &mut least[at.draw as usize];
            if known.is_none_or(|(volts, _)| at.volts < volts - 1e-9) {
                *known = Some((at.volts, index));
            }
        }
    }
    least
        .into_iter()
        .map(|known| known.map(|(_, index)| index))
        .collect()
}

/// Where `everything` at rest stands among the moments.
fn everything(rule: &ByRule) -> Option<usize> {
    let mut moments = rule.moments.iter();
    moments.position(|solved| solved.moment.label == Label::Everything(Stand::REST))
}

/// The moment with the draw at what it asks for.
fn on_top(circuit: &Circuit<'_>, mut moment: Moment, asks: &Asks) -> Moment {
    moment.draws.retain(|&(draw, _)| draw != asks.draw);
    moment.draws.push((asks.draw, asks.amps));
    let mut closed = moment.closed.to_vec();
    circuit.close_ways(asks.draw, &mut closed);
    if closed[..] != moment.closed[..] {
        moment.closed = closed.into();
    }
    moment
}

fn settled(pass: &mut Pass<'_>, rule: &ByRule, asks: &Asks) -> Option<Top> {
    let network = pass.network;
    let circuit = network.circuit;
    let moment = on_top(circuit, network.piece.moment(rule, asks.moment)?, asks);
    let state = pass.of(&moment.closed, moment.only);
    let settled = state.settle(&network, &moment.draws, &moment.charging);
    let powered = |draw: u32| rule.ever_powered[draw as usize];
    let answer = state.answer(circuit, &moment, powered, &settled);
    let at = answer.draws.last().filter(|at| at.draw == asks.draw)?;
    let delivered = !answer.undeliverable.contains(&asks.draw);
    Some(asks.top(at.volts, at.lost, delivered, true))
}

/// Bounds below what some draws get on top of one moment, which is settled once: the network as
/// their terminals show it, the others drawing more the lower they fall, and none of them falls
/// further than the draw itself.
fn bounded(pass: &mut Pass<'_>, rule: &ByRule, asks: &[Asks]) -> Vec<Top> {
    let network = pass.network;
    let circuit = network.circuit;
    let first = asks.first();
    let Some(mut moment) = first.and_then(|asks| network.piece.moment(rule, asks.moment)) else {
        return Vec::new();
    };
    let mut closed = moment.closed.to_vec();
    for asks in asks {
        circuit.close_ways(asks.draw, &mut closed);
    }
    moment.closed = closed.into();
    let state = pass.of(&moment.closed, moment.only);
    let settled = state.settle(&network, &moment.draws, &moment.charging);
    let powered = |draw: u32| rule.ever_powered[draw as usize];
    let answer = state.answer(circuit, &moment, powered, &settled);
    let ends = |asks: &Asks| {
        let wired = &circuit.wiring.draws[asks.draw as usize];
        (network.id(wired.plus), network.id(wired.minus))
    };
    let pairs: Vec<(u32, u32)> = asks.iter().map(ends).collect();
    let own: BTreeMap<u32, &AtDraw> = answer.draws.iter().map(|at| (at.draw, at)).collect();
    let volts = |node: u32| {
        settled
            .solution
            .volts
            .get(node as usize)
            .copied()
            .unwrap_or(0.0)
    };
    let constant = |at: &&AtDraw| {
        matches!(
            circuit.wiring.draws[at.draw as usize].law,
            Some(wiring::Law::Watts(_))
        )
    };
    let rising: Vec<&AtDraw> = answer.draws.iter().filter(constant).collect();
    let rising = Rising::of(&rising);
    let bound = |(asks, (&(plus, minus), seen)): (&Asks, (&(u32, u32), Terminals))| {
        let own = own.get(&asks.draw);
        let before = own.map_or_else(|| volts(plus) - volts(minus), |at| at.volts);
        let drew = own.map_or(0.0, |at| at.amps);
        let law = circuit.law_at(asks.draw, asks.amps);
        let fall = fall(seen, law, before, drew, rising);
        let lost = state.lost(circuit, &moment, &settled, asks.draw, before) + fall;
        let left = before - fall;
        asks.top(left.max(0.0), lost, left > 0.0, false)
    };
    let seen = state.seen_from(&pairs);
    let seen = pairs.iter().zip(seen);
    asks.iter().zip(seen).map(bound).collect()
}

/// What draws more the lower its volts: their amperes together, and the lowest volts of any.
#[derive(Clone, Copy)]
struct Rising {
    amps: f64,
    volts: f64,
}

impl Rising {
    fn of(draws: &[&AtDraw]) -> Self {
        Self {
            amps: draws.iter().map(|at| at.amps).sum(),
            volts: draws
                .iter()
                .map(|at| at.volts)
                .fold(f64::INFINITY, f64::min),
        }
    }
}

/// By how much more a draw's volts fall at most, from `before`, when it draws by a law instead of
/// what it drew.
fn fall(seen: Terminals, law: Law, before: f64, drew: f64, rising: Rising) -> f64 {
    let mut fall = 0.0;
    for _ in 0..FALL_ROUNDS {
        let (volts, left) = (before - fall, rising.volts - fall);
        if volts <= 0.0 || left <= 0.0 {
            return f64::INFINITY;
        }
        let own = match law {
            Law::Current(amps) => amps,
            Law::Power(watts) => watts / volts,
            Law::Resistance(ohms) => before / ohms,
        };
        let more = if left.is_finite() {
            rising.amps * fall / left
        } else {
            0.0
        };
        fall = seen.ohms * (own - drew + more);
    }
    fall
}

/// Rounds of [`fall`]: each adds a part of the last that is as small as what is lost on the way.
const FALL_ROUNDS: u32 = 24;

impl Asks {
    fn top(&self, volts: f64, lost: f64, delivered: bool, exact: bool) -> Top {
        Top {
            draw: self.draw,
            moment: self.moment,
            surge: self.surge,
            asks: self.amps,
            volts,
            lost,
            delivered,
            exact,
        }
    }
}
