//! The heat a conductor bears in a short time: `I² t = k² S²`, IEC 60364-5-54.
//!
//! For times so short that no heat leaves the copper, up to five seconds.

use crate::{
    quantity::{Amperes, Celsius, Seconds, SquareMillimetres},
    source::{Sourced, Tag},
};

/// The longest time for which the formula holds.
pub const LONGEST: Sourced<Seconds> = Sourced::new(Seconds(5.0), Tag::S1, "IEC 60364-5-54");

/// The hottest that copper in PVC may get in a short time.
const PVC_LIMIT: Celsius = Celsius(160.0);

/// The hottest that copper in cross-linked polyethylene or rubber may get in a short time.
const XLPE_LIMIT: Celsius = Celsius(250.0);

/// k of copper between two temperatures, A s^½ / mm²: from the IEC formula.
pub fn k_between(initial: Celsius, limit: Celsius) -> f64 {
    const BETA: f64 = 234.5; // °C, the reciprocal of copper's coefficient at 0 °C
    const HEAT: f64 = 3.45e-3; // J / (K mm³)
    const RESISTIVITY: f64 = 17.241e-6; // ohm mm, at 20 °C
    let warmth = 1.0 + (limit - initial) / (BETA + initial.0);
    (HEAT * (BETA + 20.0) / RESISTIVITY * warmth.max(1.0).ln()).sqrt()
}

/// k of a conductor that starts as hot as its insulation bears.
///
/// Printed for PVC of 70 °C. Any other insulation is taken for PVC up to 125 °C, since a plan
/// says what it bears and not what it is made of and PVC ends first; above that as the better
/// kinds. A cooler insulation keeps the printed figure, although it starts cooler.
pub fn k(insulation: Celsius) -> Sourced<f64> {
    if insulation.0 <= 70.0 {
        Sourced::new(115.0, Tag::S1, "IEC 60364-5-54, PVC, 70 to 160 \u{b0}C")
    } else if insulation.0 <= 125.0 {
        let source =
            "IEC 60364-5-54, formula, from the insulation's limit to the 160 \u{b0}C of PVC";
        Sourced::new(k_between(insulation, PVC_LIMIT), Tag::D, source)
    } else {
        let source = "IEC 60364-5-54, formula, from the insulation's limit to 250 \u{b0}C";
        Sourced::new(k_between(insulation, XLPE_LIMIT), Tag::D, source)
    }
}

/// The coolest at which a conductor starts: the printed figure for PVC holds below it too.
pub(super) const COOLEST_START: f64 = 70.0;

/// The hottest that copper in an insulation may get in a short time.
pub(super) fn limit(insulation: Celsius) -> Celsius {
    if insulation.0 <= 125.0 {
        PVC_LIMIT
    } else {
        XLPE_LIMIT
    }
}

/// The smallest area that bears a current for a time.
pub fn least_area(current: Amperes, time: Seconds, k: f64) -> SquareMillimetres {
    SquareMillimetres(current.0 * time.0.max(0.0).sqrt() / k)
}

/// How long an area bears a current. Longer than [`LONGEST`] means: ask for its ampacity instead.
pub fn longest_time(current: Amperes, area: SquareMillimetres, k: f64) -> Seconds {
    Seconds((k * area.0 / current.0).powi(2))
}
