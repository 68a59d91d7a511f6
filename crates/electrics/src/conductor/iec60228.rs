//! IEC 60228: the largest resistance a conductor of a nominal area may have at 20 °C.
//!
//! R x S is not constant over the table, and class 5 at 50 mm² is below class 2: the table is
//! never replaced by rho over S. Every figure: two quotations.

use super::{Metal, Strands, same};
use crate::source::{Sourced, Tag};

/// One size: nominal area in mm², then ohm/km at 20 °C.
struct Row {
    mm2: f64,
    class_2: Coating,
    class_5: Coating,
}

/// Ohm/km of plain and of tinned wires.
struct Coating {
    plain: f64,
    tinned: f64,
}

const fn row(mm2: f64, class_2: [f64; 2], class_5: [f64; 2]) -> Row {
    Row {
        mm2,
        class_2: Coating {
            plain: class_2[0],
            tinned: class_2[1],
        },
        class_5: Coating {
            plain: class_5[0],
            tinned: class_5[1],
        },
    }
}

/// Areas, then ohm/km: class 2 plain and tinned, class 5 plain and tinned.
const TABLE: [Row; 18] = [
    row(0.5, [36.0, 36.7], [39.0, 40.1]),
    row(0.75, [24.5, 24.8], [26.0, 26.7]),
    row(1.0, [18.1, 18.2], [19.5, 20.0]),
    row(1.5, [12.1, 12.2], [13.3, 13.7]),
    row(2.5, [7.41, 7.56], [7.98, 8.21]),
    row(4.0, [4.61, 4.70], [4.95, 5.09]),
    row(6.0, [3.08, 3.11], [3.30, 3.39]),
    row(10.0, [1.83, 1.84], [1.91, 1.95]),
    row(16.0, [1.15, 1.16], [1.21, 1.24]),
    row(25.0, [0.727, 0.734], [0.780, 0.795]),
    row(35.0, [0.524, 0.529], [0.554, 0.565]),
    row(50.0, [0.387, 0.391], [0.386, 0.393]),
    row(70.0, [0.268, 0.270], [0.272, 0.277]),
    row(95.0, [0.193, 0.195], [0.206, 0.210]),
    row(120.0, [0.153, 0.154], [0.161, 0.164]),
    row(150.0, [0.124, 0.126], [0.129, 0.132]),
    row(185.0, [0.0991, 0.100], [0.106, 0.108]),
    row(240.0, [0.0754, 0.0762], [0.0801, 0.0817]),
];

impl Row {
    const fn class(&self, strands: Strands) -> &Coating {
        match strands {
            Strands::Flexible => &self.class_5,
            Strands::Stranded => &self.class_2,
        }
    }

    /// Ohm/m of the column that a metal belongs to.
    fn ohm_per_metre(&self, metal: Metal) -> f64 {
        let class = self.class(metal.strands);
        (if metal.tinned {
            class.tinned
        } else {
            class.plain
        }) / 1000.0
    }
}

/// Largest resistance at 20 °C, ohm/m; a size in no row by the largest R x S of its column.
pub(super) fn resistance_per_metre(mm2: f64, metal: Metal) -> Sourced<f64> {
    match TABLE.iter().find(|row| same(row.mm2, mm2)) {
        Some(row) => Sourced::new(
            row.ohm_per_metre(metal),
            Tag::S2,
            "IEC 60228, maximum resistance at 20 \u{b0}C",
        ),
        None => Sourced::new(
            largest_product(metal) / mm2.max(0.0),
            Tag::D,
            "size not in IEC 60228: the largest resistance times area of its column, over the area",
        ),
    }
}

/// The largest R x S of a column, ohm mm²/m.
fn largest_product(metal: Metal) -> f64 {
    TABLE
        .iter()
        .map(|row| row.ohm_per_metre(metal) * row.mm2)
        .fold(0.0, f64::max)
}

/// The most that tin adds in a class: the largest ratio of tinned over plain.
pub(super) fn tin_allowance(strands: Strands) -> f64 {
    TABLE
        .iter()
        .map(|row| row.class(strands))
        .map(|class| class.tinned / class.plain)
        .fold(1.0, f64::max)
}
