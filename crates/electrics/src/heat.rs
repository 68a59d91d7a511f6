//! How warm a conductor grows for ever under a current, by the law that the trade's ambient factors
//! follow: what it warms up by goes with the square of the current.
//!
//! A table's ampacity is the current at which a conductor by itself reaches what its insulation
//! bears, `T`, in an ambient of 30 °C. So in an ambient `a`, bundled, at the current `I`:
//!
//! `theta = a + (T - 30) (I / (table x bundling x parallel))²`
//!
//! At `I = table x sqrt((T - a) / (T - 30))`, the ambient factor's own line, that is `T`. The
//! growth of copper's resistance with its warmth is in the table already.

use crate::{
    ampacity::{Ampacity, Lookup},
    quantity::{Amperes, Celsius},
    source::{Sourced, Tag},
};

/// The law, with where it comes from.
pub const LAW: Sourced<&str> = Sourced::new(
    "ambient + (T - 30 \u{b0}C) \u{d7} (I / what it carries at 30 \u{b0}C)\u{b2}",
    Tag::D,
    "the line of the ambient factors of NEC 310.15(B)(1)",
);

/// Copper melts below this: nothing in a cable is hotter, whatever is asked of it.
pub const HOTTEST: Celsius = Celsius(1000.0);

/// How close to its insulation's limit a conductor counts as hot, K: no room is left for a loose
/// crimp or a hotter summer.
pub const MARGIN: Sourced<f64> = Sourced::new(5.0, Tag::CP, "common practice, no source");

/// What a conductor grows to for ever at a current.
///
/// `table_ambient` is the ambient that the table is for. Never below the ambient; [`HOTTEST`] where
/// the current or the ampacity is absurd.
pub fn temperature(ampacity: &Ampacity, table_ambient: Celsius, current: Amperes) -> Celsius {
    let ambient = ampacity.ask.ambient.0;
    let share = current.0.abs() / carries(ampacity).0;
    let rise = (reaches(ampacity).0 - table_ambient.0).max(0.0) * share * share;
    if current.0 == 0.0 {
        return Celsius(ambient.min(HOTTEST.0));
    }
    let degrees = ambient + rise;
    // Not a number, where nothing may be carried in no warmth at all, is as bad as too much.
    Celsius(if degrees < HOTTEST.0 {
        degrees
    } else {
        HOTTEST.0
    })
}

/// What it carries in the table's ambient, bundled and in parallel as it lies.
pub fn carries(ampacity: &Ampacity) -> Amperes {
    Amperes(ampacity.base.value * ampacity.bundling.value * f64::from(ampacity.parallel))
}

/// The temperature that the figure of the table stands for.
pub fn reaches(ampacity: &Ampacity) -> Celsius {
    match ampacity.lookup {
        Lookup::Maker => ampacity.ask.insulation,
        Lookup::Cell { column, .. } => column.used,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        ampacity::AmpacityAsk,
        conductor::Size,
        quantity::Volts,
        rules::{RuleName, RuleSet},
    };

    fn ampacity(insulation: f64, ambient: f64, bundled: u32) -> Ampacity {
        RuleSet::get(RuleName::Baseline).ampacity(&AmpacityAsk {
            size: Size::Awg(10),
            insulation: Celsius(insulation),
            ambient: Celsius(ambient),
            bundled,
            parallel: 1,
            system: Volts(12.0),
            carries: None,
        })
    }

    fn degrees(of: &Ampacity, amps: f64) -> f64 {
        temperature(of, Celsius(30.0), Amperes(amps)).0
    }

    /// 33 CFR 183.425 Table 5 [S2]: 10 AWG at 105 °C is 60 A at 30 °C. Half of it: 30 + 75 / 4.
    #[test]
    fn warmth_goes_with_the_square_of_the_current() {
        let free = ampacity(105.0, 30.0, 1);
        assert!((degrees(&free, 60.0) - 105.0).abs() < 1e-9);
        assert!((degrees(&free, 30.0) - 48.75).abs() < 1e-9);
        assert!((degrees(&free, 0.0) - 30.0).abs() < 1e-9);
        // Three in a bundle: 42 A.
        let bundled = ampacity(105.0, 30.0, 3);
        assert!((degrees(&bundled, 42.0) - 105.0).abs() < 1e-9);
    }

    /// At what it may carry where it lies, it is as hot as its insulation bears, or cooler where
    /// the printed factor is stricter than the line.
    #[test]
    fn at_its_ampacity_it_reaches_its_insulation() {
        for ambient in [30.0, 40.0, 50.0, 60.0, 70.0] {
            let of = ampacity(105.0, ambient, 1);
            let at = degrees(&of, of.value.0);
            assert!(at <= 105.0 + 1e-9 && at > 103.5, "{ambient}: {at}");
        }
    }

    #[test]
    fn absurd_currents_stay_numbers() {
        let of = ampacity(105.0, 30.0, 1);
        for amps in [1e300, f64::INFINITY, f64::NAN] {
            assert!((degrees(&of, amps) - HOTTEST.0).abs() < 1e-9);
        }
        assert!((degrees(&ampacity(20.0, 30.0, 1), 5.0) - HOTTEST.0).abs() < 1e-9);
    }
}
