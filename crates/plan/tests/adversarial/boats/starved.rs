//! Boats in which a load gets too few volts, or a conductor grows too warm.

use super::{BASE, Boat};

pub(crate) const BOATS: &[Boat] = &[
    Boat {
        name: "a heavy load whose voltage collapses",
        base: BASE,
        instead: &[],
        more: "\
load heater heater 300 W
run heater
    cabin way 4
    2.5 mm2 flex red 14 m
    heater
    back black
",
        shows: &["cannot-deliver"],
        advises: &[],
    },
    Boat {
        name: "a load below its minimum",
        base: BASE,
        instead: &[],
        more: "\
load cooler refrigerator 5 A
    minimum 11.8 V
run cooler
    cabin way 2
    1.5 mm2 flex red 8 m
    cooler
    back black
",
        shows: &["low-voltage"],
        advises: &[],
    },
];
