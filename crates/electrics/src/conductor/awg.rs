//! American wire gauge: area and resistance of a gauge, by two conventions of its area.
//!
//! The gauge says a diameter, hence the resistance of a solid wire. A real conductor is stranded:
//! its wires lie in a helix and are longer than the cable, and tin conducts less than copper.
//! Both allowances are derived from published tables, the larger wherever they differ, so that
//! a drop is never understated.

use std::f64::consts::FRAC_PI_4;

use super::{COPPER_RESISTIVITY, Metal, iec60228};
use crate::{
    quantity::SquareMillimetres,
    source::{Sourced, Tag},
};

/// Which area a gauge means. A rule set's parameter.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    Hash,
    PartialOrd,
    Ord,
    serde::Serialize,
    serde::Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum AwgAreas {
    /// The wire gauge proper, by the diameters of ASTM B258.
    #[default]
    Astm,
    /// The areas of SAE conductors, 3 to 12 % smaller than the gauge of the same number.
    Sae,
}

/// One circular mil, mm²: a circle of a thousandth of an inch across.
pub const CIRCULAR_MIL: f64 = FRAC_PI_4 * 0.0254 * 0.0254;

/// SAE areas by gauge, circular mils. ABYC E-11, table of conductor areas; one quotation.
pub const SAE_CIRCULAR_MILS: [(i8, f64); 14] = [
    (18, 1_537.0),
    (16, 2_336.0),
    (14, 3_702.0),
    (12, 5_833.0),
    (10, 9_343.0),
    (8, 14_810.0),
    (6, 24_538.0),
    (4, 37_360.0),
    (2, 62_450.0),
    (1, 77_790.0),
    (0, 98_980.0),
    (-1, 125_100.0),
    (-2, 158_600.0),
    (-3, 205_500.0),
];

/// Extra length of stranded wires: the largest of NEC chapter 9 table 8 over solid copper at 75 °C.
pub const LAY: Sourced<f64> = Sourced::new(
    1.025,
    Tag::D,
    "NEC chapter 9, table 8, stranded copper over ASTM B258 areas: 2.0 to 2.5 %",
);

/// Diameter of a gauge, mm, by ASTM B258: each step is the 39th root of 92.
pub fn diameter_mm(gauge: i8) -> f64 {
    0.127 * 92_f64.powf((36.0 - f64::from(gauge)) / 39.0)
}

/// Cross-section of a gauge.
pub fn area(gauge: i8, areas: AwgAreas) -> SquareMillimetres {
    let proper = FRAC_PI_4 * diameter_mm(gauge).powi(2);
    SquareMillimetres(match areas {
        AwgAreas::Astm => proper,
        AwgAreas::Sae => sae_circular_mils(gauge)
            .map_or_else(|| proper * smallest_sae_share(), |mils| mils * CIRCULAR_MIL),
    })
}

/// The SAE area of a gauge, circular mils; `None` where the table leaves it out.
pub fn sae_circular_mils(gauge: i8) -> Option<f64> {
    SAE_CIRCULAR_MILS
        .iter()
        .find(|(of, _)| *of == gauge)
        .map(|(_, mils)| *mils)
}

/// SAE area over the gauge proper, the smallest of the table: for a gauge that it leaves out.
fn smallest_sae_share() -> f64 {
    let share = |&(gauge, mils): &(i8, f64)| mils * CIRCULAR_MIL / area(gauge, AwgAreas::Astm).0;
    SAE_CIRCULAR_MILS.iter().map(share).fold(1.0, f64::min)
}

/// Resistance of a solid, uncoated wire of this area at 20 °C, ohm/m.
pub fn solid_resistance_per_metre(gauge: i8, areas: AwgAreas) -> f64 {
    COPPER_RESISTIVITY.value / area(gauge, areas).0
}

/// Resistance of a stranded conductor at 20 °C, ohm/m: the solid wire's, longer by the lay, times tin.
///
/// No published allowance was found for strands finer than class 2; theirs is used for both.
pub fn resistance_per_metre(gauge: i8, metal: Metal, areas: AwgAreas) -> Sourced<f64> {
    let tin = if metal.tinned {
        iec60228::tin_allowance(metal.strands)
    } else {
        1.0
    };
    let source = match areas {
        AwgAreas::Astm => {
            "ASTM B258 diameter, IEC 60028 copper, 2.5 % lay (NEC table 8), tin as in IEC 60228"
        }
        AwgAreas::Sae => {
            "SAE circular mils, IEC 60028 copper, 2.5 % lay (NEC table 8), tin as in IEC 60228"
        }
    };
    Sourced::new(
        solid_resistance_per_metre(gauge, areas) * LAY.value * tin,
        Tag::D,
        source,
    )
}
