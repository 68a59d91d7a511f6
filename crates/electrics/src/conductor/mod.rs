//! Conductors: sizes, areas, resistance.
//!
//! Metric sizes follow the table of maximum resistances of IEC 60228 (`iec60228`), American ones
//! their gauge (`awg`). Knows nothing of rules, cables in a plan, or text beyond a size's own spelling.

pub mod awg;
pub mod iec60228;

use std::{fmt, str::FromStr};

pub use awg::AwgAreas;

use crate::{
    quantity::{Celsius, SquareMillimetres, digits},
    source::{Sourced, Tag},
};

/// The size of one conductor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Size {
    /// Nominal area, mm².
    Mm2(f64),
    /// American wire gauge: 0 is 1/0, -1 is 2/0, -2 is 3/0, -3 is 4/0.
    Awg(i8),
}

/// How finely a conductor is stranded, by the classes of IEC 60228.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Strands {
    /// Class 5: fine wires, what belongs on a boat.
    #[default]
    Flexible,
    /// Class 2: a few thick wires.
    Stranded,
}

/// What a conductor is drawn from. Copper always.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Metal {
    /// How finely it is stranded.
    pub strands: Strands,
    /// Each wire coated with tin.
    pub tinned: bool,
}

impl Default for Metal {
    /// Tinned, class 5: what a plan that is silent is taken to use (common practice, no source).
    fn default() -> Self {
        crate::defaults::METAL.value
    }
}

/// Resistivity of copper at 20 °C, ohm mm²/m: 100 % IACS.
pub const COPPER_RESISTIVITY: Sourced<f64> = Sourced::new(0.017_241, Tag::S2, "IEC 60028");

/// Change of copper's resistance with temperature, per kelvin, from 20 °C.
pub const COPPER_ALPHA: Sourced<f64> = Sourced::new(0.003_93, Tag::S2, "IEC 60028");

/// Nominal areas that are made, mm², small to large.
pub const METRIC_SIZES: [f64; 18] = [
    0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0, 150.0,
    185.0, 240.0,
];

/// Gauges that are made, small to large.
pub const AWG_SIZES: [i8; 15] = [18, 16, 14, 12, 10, 8, 6, 4, 3, 2, 1, 0, -1, -2, -3];

/// Resistance of a conductor at 20 °C, ohm/m.
///
/// A metric size in the table of IEC 60228 has its maximum there; any other takes the largest
/// R x S of its column over S, which no size of the column exceeds. A gauge has its area filled
/// with copper, longer by the lay of its strands, and worse by its tin (see [`awg`]). A size that
/// is no area at all has infinite resistance.
pub fn resistance_per_metre(size: Size, metal: Metal, areas: AwgAreas) -> Sourced<f64> {
    match size {
        Size::Mm2(mm2) => iec60228::resistance_per_metre(mm2, metal),
        Size::Awg(gauge) => awg::resistance_per_metre(gauge, metal, areas),
    }
}

/// What a conductor's resistance at 20 °C is multiplied by at another temperature.
///
/// Never below zero, however cold: the line it follows is copper's from -50 °C up.
pub fn temperature_factor(at: Celsius) -> f64 {
    (1.0 + COPPER_ALPHA.value * (at.0 - 20.0)).max(0.0)
}

/// Cross-section of a size; a gauge's by the convention given.
pub fn area(size: Size, areas: AwgAreas) -> SquareMillimetres {
    match size {
        Size::Mm2(mm2) => SquareMillimetres(mm2),
        Size::Awg(gauge) => awg::area(gauge, areas),
    }
}

/// Whether a size is one that is made.
pub fn is_standard(size: Size) -> bool {
    match size {
        Size::Mm2(mm2) => METRIC_SIZES.iter().any(|&made| same(made, mm2)),
        Size::Awg(gauge) => AWG_SIZES.contains(&gauge),
    }
}

/// The sizes that are made next to one that is not: the next smaller and the next larger, of its own series.
pub fn nearest(size: Size) -> (Option<Size>, Option<Size>) {
    let with_area = |size| (size, area(size, AwgAreas::Astm).0);
    let of = area(size, AwgAreas::Astm).0;
    let differs = |area: f64| !same(area, of);
    let sizes: Vec<_> = series(size, AwgAreas::Astm).map(with_area).collect();
    let below = sizes.iter().rfind(|(_, area)| *area < of && differs(*area));
    let above = sizes.iter().find(|(_, area)| *area > of && differs(*area));
    (below.map(|(size, _)| *size), above.map(|(size, _)| *size))
}

/// The sizes that are made in the series of one, small to large; of gauges those that the
/// convention of areas lists.
pub fn series(of: Size, areas: AwgAreas) -> impl DoubleEndedIterator<Item = Size> {
    let metric = matches!(of, Size::Mm2(_));
    let metrics: &[f64] = if metric { &METRIC_SIZES } else { &[] };
    let gauges: &[i8] = if metric { &[] } else { &AWG_SIZES };
    let listed =
        move |gauge: &&i8| areas == AwgAreas::Astm || awg::sae_circular_mils(**gauge).is_some();
    let gauges = gauges.iter().filter(listed).map(|&gauge| Size::Awg(gauge));
    metrics.iter().map(|&mm2| Size::Mm2(mm2)).chain(gauges)
}

/// Whether two areas are the same as people write them.
pub(crate) fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-6 * a.abs().max(b.abs())
}

impl fmt::Display for Size {
    /// The printed form: "2.5 mm²", "10 AWG", "2/0 AWG".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::Mm2(mm2) => f.pad(&format!("{} mm\u{b2}", digits(mm2))),
            Self::Awg(gauge) if gauge <= 0 => f.pad(&format!("{}/0 AWG", 1 - i32::from(gauge))),
            Self::Awg(gauge) => f.pad(&format!("{gauge} AWG")),
        }
    }
}

/// What was read as a size and is none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotASize(pub String);

impl fmt::Display for NotASize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` is not a conductor size", self.0)
    }
}

impl std::error::Error for NotASize {}

impl FromStr for Size {
    type Err = NotASize;

    /// Reads `2.5 mm2`, `10 AWG`, `2/0 AWG`.
    fn from_str(text: &str) -> Result<Self, NotASize> {
        let read = || match text.split_once(' ')? {
            (number, "mm2") => number
                .parse()
                .ok()
                .filter(|mm2: &f64| mm2.is_finite() && *mm2 > 0.0)
                .map(Self::Mm2),
            (number, "AWG") => read_gauge(number).map(Self::Awg),
            _ => None,
        };
        read().ok_or_else(|| NotASize(text.into()))
    }
}

fn read_gauge(text: &str) -> Option<i8> {
    match text.strip_suffix("/0") {
        Some(aughts) => aughts
            .parse::<i8>()
            .ok()
            .filter(|n| (1..=4).contains(n))
            .map(|n| 1 - n),
        None => text.parse().ok().filter(|n| (0..=40).contains(n)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_read_and_print() {
        for (text, size, shown) in [
            ("2.5 mm2", Size::Mm2(2.5), "2.5 mm\u{b2}"),
            ("10 AWG", Size::Awg(10), "10 AWG"),
            ("1/0 AWG", Size::Awg(0), "1/0 AWG"),
            ("4/0 AWG", Size::Awg(-3), "4/0 AWG"),
        ] {
            assert_eq!(text.parse(), Ok(size));
            assert_eq!(size.to_string(), shown);
        }
        for wrong in [
            "", "2.5", "x AWG", "5/0 AWG", "-1 AWG", "0 mm2", "inf mm2", "2.5 cm2",
        ] {
            assert!(wrong.parse::<Size>().is_err(), "{wrong}");
        }
    }

    #[test]
    fn neighbours_come_from_the_own_series() {
        assert_eq!(
            nearest(Size::Mm2(3.0)),
            (Some(Size::Mm2(2.5)), Some(Size::Mm2(4.0)))
        );
        assert_eq!(nearest(Size::Mm2(0.1)), (None, Some(Size::Mm2(0.5))));
        assert_eq!(
            nearest(Size::Awg(5)),
            (Some(Size::Awg(6)), Some(Size::Awg(4)))
        );
        assert_eq!(nearest(Size::Awg(-3)), (Some(Size::Awg(-2)), None));
        assert!(
            is_standard(Size::Mm2(2.5))
                && !is_standard(Size::Mm2(3.0))
                && !is_standard(Size::Awg(5))
        );
    }
}
