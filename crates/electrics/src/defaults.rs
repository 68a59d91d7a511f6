//! What a plan that is silent is taken to mean, beyond batteries and rule sets.
//!
//! Each default carries its tag and is shown wherever it was used. By the rule no contact has a
//! resistance; these count as wired only.

use crate::{
    conductor::{Metal, Strands},
    quantity::{Amperes, Celsius, Ohms, Volts},
    source::{Sourced, Tag},
};

const PRACTICE: &str = "common practice, no source";

const fn practice<T: Copy>(value: T) -> Sourced<T> {
    Sourced::new(value, Tag::CP, PRACTICE)
}

/// A conductor whose cable says nothing: tinned, class 5.
pub const METAL: Sourced<Metal> = practice(Metal {
    strands: Strands::Flexible,
    tinned: true,
});

/// Its insulation.
pub const INSULATION: Sourced<Celsius> = practice(Celsius(70.0));

/// A post or crimp.
pub const POST: Sourced<Ohms> = practice(Ohms(0.0001));

/// A switch, isolator, selector or relay.
pub const SWITCH: Sourced<Ohms> = practice(Ohms(0.0002));

/// Drop of a fuse or breaker at its rating.
pub const DEVICE_DROP: Sourced<Volts> = practice(Volts(0.1));

/// Drop of a splitting diode.
pub const DIODE: Sourced<Volts> = practice(Volts(0.7));

/// Volts across a shunt at its rated current.
pub const SHUNT: Sourced<Volts> = practice(Volts(0.05));

/// Voltage of an alternator of 12 V.
pub const ALTERNATOR: Sourced<Volts> = practice(Volts(14.2));

/// Voltage of a charger or solar controller of 12 V.
pub const CHARGER: Sourced<Volts> = practice(Volts(14.4));

/// Efficiency of a solar controller that finds the panel's best point.
pub const MPPT: Sourced<f64> = practice(0.95);

/// Efficiency of a converter.
pub const CONVERTER: Sourced<f64> = practice(0.90);

/// Efficiency of an inverter.
pub const INVERTER: Sourced<f64> = practice(0.88);

/// Voltage below which a load is fed too low where it says no minimum, per 12 V of its island.
pub const LOW_VOLTS: Sourced<Volts> = practice(Volts(10.5));

/// Resistance of a fuse or breaker: what drops [`DEVICE_DROP`] at its rating. None for no rating.
pub fn device(rating: Amperes) -> Sourced<Ohms> {
    DEVICE_DROP.map(|drop| {
        if rating.0 > 0.0 {
            drop / rating
        } else {
            Ohms(0.0)
        }
    })
}

/// A voltage given per 12 V, at another nominal voltage.
pub fn at_nominal(per_twelve: Sourced<Volts>, nominal: Volts) -> Sourced<Volts> {
    per_twelve.map(|volts| volts * (nominal.0 / 12.0))
}
