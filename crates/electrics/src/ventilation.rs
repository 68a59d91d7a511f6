//! Air for a charging battery: how much hydrogen must be carried off, and through what opening.
//!
//! EN 50272-2 / IEC 62485-2, for batteries that stand still; on a boat its figures are a floor,
//! not a design. Gas that is not carried off explodes: the rules of the place and a competent
//! person decide.

use crate::{
    battery::Chemistry,
    quantity::{AmpHours, Volts},
    source::{Sourced, Tag},
};

/// m³/h of air per ampere of gassing current and cell: dilution 24, 0.42e-3 m³/Ah, safety 5.
pub const AIR_PER_GASSING: Sourced<f64> =
    Sourced::new(0.05, Tag::S2, "EN 50272-2, Q = 0.05 n Igas C / 1000");

/// cm² of free area, each for inlet and outlet, per m³/h of air.
pub const OPENING_PER_AIR: Sourced<f64> = Sourced::new(28.0, Tag::S2, "EN 50272-2, A = 28 Q");

/// What a charging source may be stronger than before batteries want a well-ventilated space, W.
pub const WELL_VENTILATED_ABOVE: Sourced<f64> =
    Sourced::new(200.0, Tag::S1, "UK inland small passenger boat code, 8.5.2");

/// What a charging source may be stronger than before batteries want a compartment of their own, or the deck, W.
pub const OWN_COMPARTMENT_ABOVE: Sourced<f64> = Sourced::new(
    2000.0,
    Tag::S1,
    "UK inland small passenger boat code, 8.5.2",
);

/// Air and openings that a battery wants.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ventilation {
    /// m³/h.
    pub air: Sourced<f64>,
    /// cm², each for inlet and outlet.
    pub opening: Sourced<f64>,
}

/// Gassing current while it is charged hard, mA per Ah of capacity. None where a cell gives off no gas in use.
pub const fn gassing(chemistry: Chemistry) -> Option<Sourced<f64>> {
    match chemistry {
        Chemistry::Flooded => Some(Sourced::new(
            20.0,
            Tag::S1,
            "EN 50272-2, vented lead-acid, boost charge",
        )),
        Chemistry::Agm | Chemistry::Gel => Some(Sourced::new(
            8.0,
            Tag::S1,
            "EN 50272-2, valve-regulated lead-acid, boost charge",
        )),
        Chemistry::Lithium => None,
    }
}

/// What a battery, or a bank of equal ones in parallel, wants. `nominal` tells its cells, 2 V each.
pub fn wanted(chemistry: Chemistry, capacity: AmpHours, nominal: Volts) -> Option<Ventilation> {
    let gassing = gassing(chemistry)?;
    let cells = nominal.0 / 2.0;
    let air = AIR_PER_GASSING.value * cells * gassing.value * capacity.0 / 1000.0;
    let of = |value, rule: Sourced<f64>| Sourced::new(value, gassing.tag, rule.source);
    Some(Ventilation {
        air: of(air, AIR_PER_GASSING),
        opening: of(air * OPENING_PER_AIR.value, OPENING_PER_AIR),
    })
}
