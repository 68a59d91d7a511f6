//! How long a conductor bears a current: the heat it takes up, less what it gives off.
//!
//! One body of copper that starts as hot as its insulation bears for ever and may reach what the
//! insulation bears for a short time. What it gives off follows from its own ampacity: at that
//! current it stays just as hot as it is. Two limits of this are the trade's: for a large current
//! it is `t = k² S² / I²` of IEC 60364-5-54, and up to a current a little above the ampacity it
//! lasts for ever. The formula alone, without the cooling, would call a mild overload of a minute
//! ruinous; with it the figure is right at both ends.

use super::adiabatic;
use crate::{
    quantity::{Amperes, Celsius, Seconds, SquareMillimetres},
    source::{Sourced, Tag},
};

/// The law, with where it comes from.
pub const LAW: Sourced<&str> = Sourced::new(
    "k\u{b2} S\u{b2} / I\u{b2}, and longer by what it gives off: at its ampacity as much as comes",
    Tag::D,
    "IEC 60364-5-54 and the conductor's own ampacity",
);

/// A conductor as far as its warmth goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Copper {
    /// All its copper: the equal conductors side by side together.
    pub area: SquareMillimetres,
    /// What its insulation bears for ever.
    pub insulation: Celsius,
    /// The temperature round it.
    pub ambient: Celsius,
    /// What it may carry for ever there.
    pub ampacity: Amperes,
}

const BETA: f64 = 234.5; // °C, the reciprocal of copper's coefficient at 0 °C
const HEAT: f64 = 3.45e-3; // J / (K mm³)
const RESISTIVITY: f64 = 17.241e-6; // ohm mm, at 20 °C

impl Copper {
    /// How long it bears a current; infinite for one it bears for ever.
    ///
    /// Never less than [`adiabatic::longest_time`] says, which is a bound that forgets the cooling.
    pub fn bears(&self, current: Amperes) -> Seconds {
        let k = adiabatic::k(self.insulation).value;
        let adiabatic = adiabatic::longest_time(current, self.area, k).0;
        if current.0 <= self.ampacity.0 {
            return Seconds(f64::INFINITY);
        }
        let cooled = self.cooled(current).unwrap_or(0.0);
        Seconds(if adiabatic.is_nan() {
            0.0
        } else {
            adiabatic.max(cooled)
        })
    }

    /// `du/dt = ((x² - 1) w + (x² w a - 1) u) / tau`, solved for the time to reach the limit: `u` is
    /// how much warmer than at first, `w` how much warmer than its surroundings it may be for ever,
    /// `x` the current over the ampacity, `a` the growth of the resistance per kelvin.
    fn cooled(&self, current: Amperes) -> Option<f64> {
        let start = self.insulation.0;
        let room = self.insulation - self.ambient;
        let limit = adiabatic::limit(self.insulation).0 - start.max(adiabatic::COOLEST_START);
        let growth = 1.0 / (BETA + start);
        let resistivity = RESISTIVITY * (BETA + start) / (BETA + 20.0);
        let tau = HEAT * self.area.0.powi(2) * room / (self.ampacity.0.powi(2) * resistivity);
        let x = (current.0 / self.ampacity.0).powi(2);
        let (gain, loss) = ((x - 1.0) * room, 1.0 - x * room * growth);
        if !(room > 0.0 && tau.is_finite() && gain > 0.0 && limit > 0.0) {
            return None;
        }
        let share = loss * limit / gain;
        Some(if share >= 1.0 {
            f64::INFINITY
        } else if loss.abs() < 1e-9 {
            tau * limit / gain
        } else {
            -tau / loss * (-share).ln_1p()
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const THIN: Copper = Copper {
        area: SquareMillimetres(2.5),
        insulation: Celsius(70.0),
        ambient: Celsius(30.0),
        ampacity: Amperes(33.0),
    };

    fn bears(amps: f64) -> f64 {
        THIN.bears(Amperes(amps)).0
    }

    /// For a large current it is the published formula, k = 115 [S1]: (115 x 2.5 / 1000)² = 82.7 ms.
    #[test]
    fn a_large_current_is_borne_as_the_formula_says() {
        assert!((bears(1000.0) - 0.0827).abs() < 0.0004);
    }

    /// Up to its ampacity for ever; and at 160 °C it would give off (160-30)/(70-30) x 304.5/394.5
    /// = 2.51 times the heat, so up to 1.58 times the ampacity it never gets there.
    #[test]
    fn a_small_overload_is_borne_for_ever() {
        assert!(bears(33.0).is_infinite() && bears(52.0).is_infinite());
        assert!(bears(52.5).is_finite());
    }

    #[test]
    fn more_current_is_borne_for_less_long_and_never_less_than_without_cooling() {
        let mut last = f64::INFINITY;
        for amps in 1..3000 {
            let current = f64::from(amps);
            let bound = adiabatic::longest_time(Amperes(current), THIN.area, 115.0).0;
            assert!(bears(current) <= last && bears(current) >= bound);
            last = bears(current);
        }
    }

    #[test]
    fn the_absurd_stays_a_number() {
        for area in [0.0, 1e300] {
            for ambient in [-300.0, 30.0, 70.0, 1e9] {
                for ampacity in [0.0, 1e-300, 1e300] {
                    for current in [0.0, 1.0, 1e300, f64::INFINITY] {
                        let copper = Copper {
                            area: SquareMillimetres(area),
                            ambient: Celsius(ambient),
                            ampacity: Amperes(ampacity),
                            ..THIN
                        };
                        let time = copper.bears(Amperes(current)).0;
                        assert!(!time.is_nan() && time >= 0.0, "{copper:?} {current}");
                    }
                }
            }
        }
    }
}
