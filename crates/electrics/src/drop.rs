//! Voltage drop by a rule's own formula: what an examiner recomputes by hand.
//!
//! Two forms of one law. The constants are the rule sets' and differ from standard copper on
//! purpose: formula is compared with formula, never with a tolerance.

use crate::{
    conductor::{self, AwgAreas, Size, awg::CIRCULAR_MIL},
    quantity::{Amperes, Metres, SquareMillimetres, Volts, decimals, digits},
    source::Sourced,
};

/// One foot, m.
pub const FOOT: f64 = 0.3048;

/// The form of a drop formula.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DropForm {
    /// `E = c x I x L / S`, L the round trip in m, S in mm².
    Metric,
    /// `CM = K x I x L / E`, L the round trip in ft, CM circular mils.
    CircularMils,
}

/// A rule's drop formula.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DropFormula {
    /// Which form it has.
    pub form: DropForm,
    /// Its constant as printed, ohm mm²/m or ohm CM/ft.
    pub constant: Sourced<f64>,
}

impl DropFormula {
    /// The formula as it is printed, solved for the drop.
    pub fn text(&self) -> String {
        let constant = self.constant.value;
        match self.form {
            DropForm::Metric => {
                format!("E = {constant} \u{d7} I \u{d7} L / S (V, A, m there and back, mm\u{b2})")
            }
            DropForm::CircularMils => {
                format!(
                    "E = {constant} \u{d7} I \u{d7} L / CM (V, A, ft there and back, circular mils)"
                )
            }
        }
    }

    /// The constant in metric units, ohm mm²/m.
    pub fn ohm_mm2_per_metre(&self) -> f64 {
        match self.form {
            DropForm::Metric => self.constant.value,
            DropForm::CircularMils => self.constant.value * CIRCULAR_MIL / FOOT,
        }
    }

    /// The drop along a conductor's whole length, there and back for a pair.
    pub fn drop(&self, current: Amperes, length: Metres, area: SquareMillimetres) -> Volts {
        Volts(self.ohm_mm2_per_metre() * current.0 * length.0 / area.0)
    }

    /// The area that keeps the drop to `limit`.
    pub fn area_for(&self, current: Amperes, length: Metres, limit: Volts) -> SquareMillimetres {
        SquareMillimetres(self.ohm_mm2_per_metre() * current.0 * length.0 / limit.0)
    }

    /// The smallest size that is made, of the series of `like`, that keeps the drop to `limit`.
    pub fn size_for(
        &self,
        current: Amperes,
        length: Metres,
        limit: Volts,
        like: Size,
        areas: AwgAreas,
    ) -> Option<Size> {
        let needed = self.area_for(current, length, limit).0;
        conductor::series(like, areas).find(|&size| {
            let area = conductor::area(size, areas).0;
            area >= needed || conductor::same(area, needed)
        })
    }

    /// The formula with its numbers: "0.0164 × 7 A × 10 m / 2.5 mm² = 0.459 V".
    pub fn worked(&self, current: Amperes, length: Metres, size: Size, areas: AwgAreas) -> String {
        let area = conductor::area(size, areas);
        let drop = self.drop(current, length, area);
        let constant = self.constant.value;
        match self.form {
            DropForm::Metric => {
                format!("{constant} \u{d7} {current} \u{d7} {length} / {area} = {drop}")
            }
            DropForm::CircularMils => {
                let feet = decimals(length.0 / FOOT, 2);
                let mils = digits(area.0 / CIRCULAR_MIL);
                format!("{constant} \u{d7} {current} \u{d7} {feet} ft / {mils} CM = {drop}")
            }
        }
    }
}
