//! What conductors, contacts and batteries oppose to a fault, hot and cold.

use std::sync::Arc;

use ampwright_electrics::{
    battery::Charge,
    conductor::{resistance_per_metre, temperature_factor},
    defaults,
    quantity::{Amperes, Celsius},
};
use ampwright_notation::Key;
use rustc_hash::FxHashMap;

use crate::{
    study::{Circuit, cables::Cable, size_key},
    wiring::{Contact, Device, Supply},
};

/// Cold copper, °C: the tables' own, or less where it lies colder.
const COLD: f64 = 20.0;

/// How warm the copper is.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Warmth {
    /// As hot as its insulation bears for ever, with a crimp at each end.
    Hot,
    /// Cold, and nothing but copper.
    Cold,
}

/// For each conductor its resistance from end to end, ohm; none where its size or length is unknown.
pub(super) fn conductors(circuit: &Circuit<'_>, cables: &[Cable], warmth: Warmth) -> Vec<f64> {
    let mut known: FxHashMap<((bool, u64), usize, u64), f64> = FxHashMap::default();
    let areas = circuit.rules.areas();
    let conductors = circuit.wiring.conductors.iter().zip(cables);
    conductors
        .map(|(conductor, cable)| {
            let (Some(size), Some(metres)) = (conductor.size, conductor.metres) else {
                return 0.0;
            };
            let (at, crimps) = match warmth {
                Warmth::Hot => (cable.stuff.insulation, 2.0 * defaults::POST.value.0),
                Warmth::Cold => (cable.ambient.min(COLD), 0.0),
            };
            let key = (
                size_key(size),
                Arc::as_ptr(&cable.stuff) as usize,
                at.to_bits(),
            );
            let per_metre = *known.entry(key).or_insert_with(|| {
                let cold = resistance_per_metre(size, cable.stuff.metal, areas).value;
                cold * temperature_factor(Celsius(at))
            });
            (per_metre * metres + crimps) / f64::from(conductor.parallel.max(1))
        })
        .collect()
}

/// A contact's resistance as wired, ohm.
pub(super) fn contact(circuit: &Circuit<'_>, contact: &Contact) -> f64 {
    match (contact.device, contact.protects) {
        (Device::Shunt, _) => {
            let volts = circuit.facts(contact.part).amount(Key::Volts);
            let volts = volts.unwrap_or(defaults::SHUNT.value.0);
            let amps = contact.carries.filter(|amps| *amps > 0.0);
            amps.map_or(0.0, |amps| volts / amps)
        }
        (_, Some(rating)) => defaults::device(Amperes(rating)).value.0,
        _ => defaults::SWITCH.value.0,
    }
}

/// What a diode takes for itself, V.
pub(super) fn diode_drop(circuit: &Circuit<'_>, contact: &Contact) -> f64 {
    let said = circuit.facts(contact.part).amount(Key::Drop);
    said.unwrap_or(defaults::DIODE.value.0)
}

/// A battery as a fault meets it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Inside {
    /// Full, V.
    pub(super) full: f64,
    /// Half empty, V.
    pub(super) half: f64,
    /// For the largest current, ohm.
    pub(super) least: f64,
    /// For the smallest, ohm.
    pub(super) most: f64,
    /// The plan says neither its resistance nor its short-circuit current.
    pub(super) from_memory: bool,
}

/// A short-circuit current from the data sheet gives the resistance, full volts over it; where both
/// stand there, the larger counts for the smallest current.
pub(super) fn battery(circuit: &Circuit<'_>, supply: &Supply) -> Inside {
    let facts = circuit.facts(supply.part);
    let block = circuit.block_of(supply);
    let volts = |charge| block.rest_volts(charge).value.0;
    let positive = |key| facts.amount(key).filter(|value| *value > 0.0);
    let by_short = positive(Key::ShortCircuit).map(|amps| volts(Charge::Full) / amps);
    let own = positive(Key::Resistance);
    let usual = || block.resistance().value.0;
    Inside {
        full: volts(Charge::Full),
        half: volts(Charge::Half),
        least: by_short.or(own).unwrap_or_else(usual),
        most: own
            .into_iter()
            .chain(by_short)
            .reduce(f64::max)
            .unwrap_or_else(usual),
        from_memory: own.is_none() && by_short.is_none(),
    }
}
