//! Solar panels: what the cold and a bright day add to a panel's printed figures.

use crate::{
    quantity::{Amperes, Celsius, Volts},
    source::{Sourced, Tag},
};

/// Change of open-circuit voltage per kelvin from 25 °C, as a share: crystalline panels.
pub const VOC_PER_KELVIN: Sourced<f64> =
    Sourced::new(-0.003, Tag::CP, "common practice, no source");

/// What the circuit of a panel is taken to carry, over its short-circuit current.
pub const CIRCUIT_CURRENT: Sourced<f64> = Sourced::new(1.25, Tag::S2, "NEC 690.8");

/// What conductor and device are chosen for, over the current of the circuit.
pub const CONTINUOUS: Sourced<f64> = Sourced::new(1.25, Tag::S2, "NEC 690.8");

/// Open-circuit voltage at a panel's temperature.
pub fn open_circuit(voc: Volts, panel: Celsius) -> Volts {
    voc * (1.0 + VOC_PER_KELVIN.value * (panel.0 - 25.0)).max(0.0)
}

/// The current that a panel's circuit is taken to carry.
pub fn circuit_current(short_circuit: Amperes) -> Sourced<Amperes> {
    CIRCUIT_CURRENT.map(|share| short_circuit * share)
}

/// The least rating of conductor and device in a panel's circuit.
pub fn least_rating(short_circuit: Amperes) -> Sourced<Amperes> {
    CONTINUOUS.map(|share| circuit_current(short_circuit).value * share)
}
