//! Each load and each source alone, from what its terminals show of the network.

use ampwright_electrics::network::{Fed, Law, Terminals};

use super::{network::Network, state::State};
use crate::study::{Circuit, moments::Stand};

/// What a load gets alone, at its full.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Alone {
    /// What its terminals show of the network, it being off.
    pub seen: Terminals,
    /// V across it; `None` where the cable can never deliver what it asks for.
    pub volts: Option<f64>,
    /// A through it.
    pub amps: Option<f64>,
    /// How the contacts stand: as where it loses the most by the rule.
    pub stand: Stand,
}

/// Each of some draws alone; `None` for one that this state does not feed.
pub(super) fn each(network: &Network<'_>, state: &State<'_>, draws: &[u32]) -> Vec<Option<Alone>> {
    let circuit = network.circuit;
    let ends = |&draw: &u32| {
        let wired = &circuit.wiring.draws[draw as usize];
        (network.id(wired.plus), network.id(wired.minus))
    };
    let mut pairs: Vec<(u32, u32)> = draws.iter().map(ends).collect();
    let islands: Vec<Option<u32>> = draws
        .iter()
        .map(|&draw| circuit.converter_behind(circuit.wiring.draws[draw as usize].plus))
        .collect();
    let mut legs = Vec::new();
    for ((plus, minus), island) in pairs.iter().zip(&islands) {
        if let Some(supply) = island {
            let supply = &circuit.wiring.supplies[*supply as usize];
            let (from, to) = (network.id(supply.plus), network.id(supply.minus));
            legs.extend([(*plus, from), (*minus, to)]);
        }
    }
    pairs.extend(legs);
    let seen = state.seen_from(&pairs);
    let mut legs = seen[draws.len()..].chunks_exact(2);
    let asked = draws.iter().zip(&islands).zip(&seen);
    asked
        .map(|((&draw, island), seen)| {
            let seen = match island {
                Some(supply) => behind(circuit, *supply, legs.next()?),
                None => *seen,
            };
            alone(network, draw, seen)
        })
        .collect()
}

/// A converter holds its volts at its own output; what lies behind it are its two cables.
fn behind(circuit: &Circuit<'_>, supply: u32, legs: &[Terminals]) -> Terminals {
    Terminals {
        volts: circuit.source_volts(&circuit.wiring.supplies[supply as usize]),
        ohms: legs.iter().map(|leg| leg.ohms).sum(),
    }
}

fn alone(network: &Network<'_>, draw: u32, seen: Terminals) -> Option<Alone> {
    if !(seen.volts > LEAST_VOLTS && seen.ohms.is_finite()) {
        return None;
    }
    let law = network.load(draw, network.circuit.nominal_amps(draw)).law;
    let asks = match law {
        Law::Current(x) | Law::Power(x) => x > 0.0 && x.is_finite(),
        Law::Resistance(ohms) => ohms >= 0.0,
    };
    let fed = if asks {
        seen.feed(law)
    } else {
        Some(Fed {
            volts: seen.volts,
            amps: 0.0,
        })
    };
    Some(Alone {
        seen,
        volts: fed.map(|fed| fed.volts),
        amps: fed.map(|fed| fed.amps),
        stand: Stand::REST,
    })
}

/// Less is no voltage, but what rounding leaves.
const LEAST_VOLTS: f64 = 1e-3;

/// What each of some sources gives alone, A; `None` for one that is joined to nothing.
pub(super) fn charging(
    network: &Network<'_>,
    state: &State<'_>,
    supplies: &[u32],
) -> Vec<Option<f64>> {
    let circuit = network.circuit;
    let all = &circuit.wiring.supplies;
    let ends = |&supply: &u32| {
        let supply = &all[supply as usize];
        (network.id(supply.plus), network.id(supply.minus))
    };
    let pairs: Vec<_> = supplies.iter().map(ends).collect();
    let seen = state.seen_from(&pairs);
    let gives = |(&supply, seen): (&u32, Terminals)| {
        let supply = &all[supply as usize];
        let joined = seen.ohms.is_finite();
        joined.then(|| seen.charge(circuit.source_volts(supply), circuit.most_of(supply)))
    };
    supplies.iter().zip(seen).map(gives).collect()
}
