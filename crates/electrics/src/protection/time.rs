//! When a fuse opens: the slow edge, by which it has, and the fast edge, before which it has not.
//!
//! Printed at a few multiples of the rating only. Between them an edge is taken on the cautious
//! side: the slow one from the smaller current, the fast one from the larger.

use super::Family;
use crate::{
    quantity::{Amperes, Seconds},
    source::{Sourced, Tag},
};

/// Fastest and slowest opening at a multiple of the rating, s.
struct Limit {
    multiple: f64,
    fast: f64,
    slow: f64,
}

const fn limit(multiple: f64, fast: f64, slow: f64) -> Limit {
    Limit {
        multiple,
        fast,
        slow,
    }
}

/// Types C and F.
const PLUG_IN: [Limit; 5] = [
    limit(1.35, 0.75, 600.0),
    limit(1.6, 0.25, 50.0),
    limit(2.0, 0.15, 5.0),
    limit(3.5, 0.04, 0.5),
    limit(6.0, 0.02, 0.1),
];

/// Type E.
const HEAVY: [Limit; 4] = [
    limit(1.35, 60.0, 1800.0),
    limit(2.0, 2.0, 60.0),
    limit(3.5, 0.2, 7.0),
    limit(6.0, 0.04, 1.0),
];

/// Supplementary fuses; no fast edge is printed.
const SMALL_TUBE: [Limit; 2] = [limit(1.35, 0.0, 3600.0), limit(2.0, 0.0, 120.0)];

/// The same from 35 A up.
const LARGE_TUBE: [Limit; 2] = [limit(1.35, 0.0, 3600.0), limit(2.0, 0.0, 240.0)];

/// What a rating carries for ever in every family, as a multiple.
const CARRIES: f64 = 1.0;

fn limits(family: Family, rating: Amperes) -> Option<Sourced<&'static [Limit]>> {
    match family {
        Family::Blade => Some(Sourced::new(
            &PLUG_IN,
            Tag::M,
            "ISO 8820, time limits of types C and F",
        )),
        Family::Strip | Family::BoltDown => Some(Sourced::new(
            &HEAVY,
            Tag::M,
            "ISO 8820, time limits of type E",
        )),
        Family::Cartridge if rating.0 <= 30.0 => {
            Some(Sourced::new(&SMALL_TUBE, Tag::S2, "UL 248-14"))
        }
        Family::Cartridge if rating.0 <= 60.0 => {
            Some(Sourced::new(&LARGE_TUBE, Tag::S1, "UL 248-14"))
        }
        Family::Cartridge | Family::ClassT => None,
    }
}

/// The time by which a fuse has opened. Infinite where it need not open at all; `None` where
/// nothing is known of the family.
pub fn slow_edge(family: Family, rating: Amperes, current: Amperes) -> Option<Sourced<Seconds>> {
    let limits = limits(family, rating)?;
    let multiple = current.0 / rating.0;
    let reached = limits
        .value
        .iter()
        .rfind(|limit| limit.multiple <= multiple);
    Some(limits.map(|_| Seconds(reached.map_or(f64::INFINITY, |limit| limit.slow))))
}

/// The time before which a fuse has not opened: what an inrush must stay below. Infinite up to
/// its rating; `None` where nothing is known of the family.
pub fn fast_edge(family: Family, rating: Amperes, current: Amperes) -> Option<Sourced<Seconds>> {
    let limits = limits(family, rating)?;
    let multiple = current.0 / rating.0;
    let next = limits.value.iter().find(|limit| limit.multiple >= multiple);
    let edge = if multiple <= CARRIES {
        f64::INFINITY
    } else {
        next.map_or(0.0, |limit| limit.fast)
    };
    Some(limits.map(|_| Seconds(edge)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edges_are_cautious_between_the_printed_multiples() {
        let slow = |a| {
            slow_edge(Family::Blade, Amperes(10.0), Amperes(a))
                .unwrap()
                .value
                .0
        };
        let fast = |a| {
            fast_edge(Family::Blade, Amperes(10.0), Amperes(a))
                .unwrap()
                .value
                .0
        };
        assert!(slow(12.0).is_infinite() && fast(10.0).is_infinite());
        for a in 0..1000 {
            let current = f64::from(a) / 10.0;
            assert!(fast(current) <= slow(current));
            assert!(slow(current + 0.1) <= slow(current) && fast(current + 0.1) <= fast(current));
        }
        assert!(slow_edge(Family::ClassT, Amperes(200.0), Amperes(400.0)).is_none());
    }
}
