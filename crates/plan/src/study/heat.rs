//! How warm each conductor grows under its largest steady current, and what that adds to its
//! resistance.
//!
//! Warmth and currents hang on each other: a warm conductor loses more, and a load of constant
//! power then draws more. They are brought to agree round by round; what does not come to rest is
//! a finding, never a hang.

use ampwright_electrics::{
    ampacity::Ampacity,
    conductor::{Size, resistance_per_metre, temperature_factor},
    defaults,
    heat::temperature,
    quantity::{Amperes, Celsius},
};
use rustc_hash::FxHashMap;

use super::{Circuit, cables::Cable, size_key, wired::Carried};
use crate::wiring::Conductor;

/// Every conductor's warmth.
pub struct Heat<'a> {
    cables: &'a [Cable],
    /// The ambient that the rule set's tables are for, °C.
    table_ambient: f64,
    /// For each conductor its copper at 20 °C and its crimps, ohm; `None` where unknown.
    cold: Vec<Option<(f64, f64)>>,
    /// For each conductor, °C.
    pub degrees: Vec<f64>,
}

/// Currents and warmth agree when no conductor's loss changes by more than this, V: over a whole
/// circuit that is less than a millivolt.
const REST: f64 = 2e-5;

impl<'a> Heat<'a> {
    /// As warm as the by-rule currents make them; the links of a bank share, so half of theirs.
    pub fn guess(circuit: &Circuit<'_>, cables: &'a [Cable]) -> Self {
        let mut heat = Self {
            cables,
            table_ambient: circuit.rules.ambient().value.0,
            cold: cold(circuit, cables),
            degrees: Vec::new(),
        };
        let links = &circuit.banks.link_of;
        let amps = cables.iter().zip(links).map(|(cable, link)| {
            let share = if link.is_some() { 0.5 } else { 1.0 };
            cable.design.amps * share
        });
        heat.degrees = cables
            .iter()
            .zip(amps)
            .map(|(cable, amps)| cable.degrees(heat.table_ambient, amps))
            .collect();
        heat
    }

    /// For each conductor its resistance at its warmth, with a crimp at each end.
    pub fn ohms(&self) -> Vec<Option<f64>> {
        let ohms = |(cold, &degrees): (&Option<(f64, f64)>, &f64)| {
            let (copper, crimps) = (*cold)?;
            Some(copper * temperature_factor(Celsius(degrees)) + crimps)
        };
        self.cold.iter().zip(&self.degrees).map(ohms).collect()
    }

    /// Warms each conductor by what it carries; true where that changed nothing that counts.
    pub fn warm(&mut self, carried: &[Carried]) -> bool {
        let mut at_rest = true;
        let conductors = self.cables.iter().zip(carried).zip(&self.cold);
        for (((cable, carried), cold), degrees) in conductors.zip(&mut self.degrees) {
            let next = cable.degrees(self.table_ambient, carried.amps);
            let copper = cold.map_or(0.0, |(copper, _)| copper);
            let factor = |degrees| temperature_factor(Celsius(degrees));
            let change = copper * (factor(next) - factor(*degrees)).abs() * carried.amps;
            at_rest &= change <= REST;
            *degrees = next;
        }
        at_rest
    }
}

fn cold(circuit: &Circuit<'_>, cables: &[Cable]) -> Vec<Option<(f64, f64)>> {
    let areas = circuit.rules.areas();
    let mut known: FxHashMap<((bool, u64), usize), f64> = FxHashMap::default();
    let mut per_metre = |size: Size, cable: &Cable| {
        let key = (
            size_key(size),
            std::sync::Arc::as_ptr(&cable.stuff) as usize,
        );
        *known
            .entry(key)
            .or_insert_with(|| resistance_per_metre(size, cable.stuff.metal, areas).value)
    };
    let cold = |(conductor, cable): (&Conductor, &Cable)| {
        let (size, _) = conductor.size.zip(conductor.metres)?;
        let parallel = f64::from(conductor.parallel.max(1));
        let copper = per_metre(size, cable) * conductor.drop_metres() / parallel;
        Some((copper, 2.0 * defaults::POST.value.0 / parallel))
    };
    let conductors = circuit.wiring.conductors.iter();
    conductors.zip(cables).map(cold).collect()
}

impl Circuit<'_> {
    /// How warm a current makes a conductor for ever by the tables that were seen, °C; `None` where
    /// all that is known of it is from memory.
    pub fn firm_degrees(&self, cable: &Cable, amps: f64) -> Option<f64> {
        let table_ambient = Celsius(self.rules.ambient().value.0);
        let tables = cable.ampacity.iter().chain(&cable.published);
        let firm = tables.filter(|ampacity| ampacity.tag().may_be_error());
        firm.map(|ampacity| temperature(ampacity, table_ambient, Amperes(amps)).0)
            .reduce(f64::max)
    }
}

impl Cable {
    /// How warm a current makes it for ever, °C: the warmer of what its own table and the published
    /// one say.
    fn degrees(&self, table_ambient: f64, amps: f64) -> f64 {
        let by =
            |ampacity: &Ampacity| temperature(ampacity, Celsius(table_ambient), Amperes(amps)).0;
        let tables = self.ampacity.iter().chain(&self.published);
        tables
            .map(|ampacity| by(ampacity))
            .fold(self.ambient, f64::max)
    }
}
