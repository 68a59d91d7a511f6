//! By when a device has opened, and what it lets through until then: the slow edge of everything
//! that protects, as one bound.
//!
//! Limits are printed at a few multiples of a rating only. A fault of a larger current melts the
//! same element in less time and loses less warmth meanwhile, so that its `I² t` is never more
//! than at the printed multiple: between and beyond the multiples that bound holds. Where it rests
//! on memory it says so, and where nothing is known of a device there is no answer at all.

use super::Family;
use crate::{
    quantity::{Amperes, Seconds},
    source::{Sourced, Tag},
};

/// How a breaker trips.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Action {
    /// By warmth.
    Thermal,
    /// By a coil.
    Magnetic,
}

/// What opens a circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Opener {
    /// A fuse of a known family.
    Fuse(Family),
    /// A fuse of a panel, of which only the rating is known: the slower of blade and tube.
    SmallFuse,
    /// A breaker.
    Breaker(Action),
}

/// The slowest opening at a multiple of the rating.
#[derive(Clone, Copy, Debug)]
struct Slow {
    multiple: f64,
    seconds: f64,
    tag: Tag,
    source: &'static str,
}

const fn slow(multiple: f64, seconds: f64, tag: Tag, source: &'static str) -> Slow {
    Slow {
        multiple,
        seconds,
        tag,
        source,
    }
}

const PLUG_IN: &str = "ISO 8820, time limits of types C and F";
const HEAVY: &str = "ISO 8820, time limits of type E";
const TUBE: &str = "UL 248-14";
const TIME_LAG: &str = "slow-blow tube fuses as commonly made";
const BREAKER: &str = "small breakers as commonly made";

const BLADES: &[Slow] = &[
    slow(1.35, 600.0, Tag::M, PLUG_IN),
    slow(1.6, 50.0, Tag::M, PLUG_IN),
    slow(2.0, 5.0, Tag::M, PLUG_IN),
    slow(3.5, 0.5, Tag::M, PLUG_IN),
    slow(6.0, 0.1, Tag::M, PLUG_IN),
];

const STRIPS: &[Slow] = &[
    slow(1.35, 1800.0, Tag::M, HEAVY),
    slow(2.0, 60.0, Tag::M, HEAVY),
    slow(3.5, 7.0, Tag::M, HEAVY),
    slow(6.0, 1.0, Tag::M, HEAVY),
];

/// Up to 30 A. The standard prints two multiples; what such fuses do beyond them is from memory.
const SMALL_TUBES: &[Slow] = &[
    slow(1.35, 3600.0, Tag::S2, TUBE),
    slow(2.0, 120.0, Tag::S2, TUBE),
    slow(2.75, 10.0, Tag::M, TIME_LAG),
    slow(4.0, 4.0, Tag::M, TIME_LAG),
    slow(10.0, 0.3, Tag::M, TIME_LAG),
];

/// From 35 to 60 A.
const LARGE_TUBES: &[Slow] = &[
    slow(1.35, 3600.0, Tag::S2, TUBE),
    slow(2.0, 240.0, Tag::S1, TUBE),
    slow(2.75, 20.0, Tag::M, TIME_LAG),
    slow(4.0, 8.0, Tag::M, TIME_LAG),
    slow(10.0, 0.6, Tag::M, TIME_LAG),
];

const THERMAL: &[Slow] = &[
    slow(1.35, 3600.0, Tag::M, BREAKER),
    slow(2.0, 120.0, Tag::M, BREAKER),
    slow(3.0, 30.0, Tag::M, BREAKER),
    slow(4.0, 10.0, Tag::M, BREAKER),
    slow(6.0, 3.0, Tag::M, BREAKER),
    slow(10.0, 0.6, Tag::M, BREAKER),
];

const MAGNETIC: &[Slow] = &[
    slow(1.35, 3600.0, Tag::M, BREAKER),
    slow(2.0, 120.0, Tag::M, BREAKER),
    slow(3.0, 30.0, Tag::M, BREAKER),
    slow(4.0, 10.0, Tag::M, BREAKER),
    slow(6.0, 3.0, Tag::M, BREAKER),
    slow(12.0, 0.1, Tag::M, BREAKER),
];

fn limits(opener: Opener, rating: Amperes) -> Option<&'static [Slow]> {
    match opener {
        Opener::Fuse(Family::Blade) => Some(BLADES),
        Opener::Fuse(Family::Strip | Family::BoltDown) => Some(STRIPS),
        Opener::Fuse(Family::Cartridge) if rating.0 > 60.0 => None,
        Opener::Fuse(Family::Cartridge) | Opener::SmallFuse if rating.0 <= 30.0 => {
            Some(SMALL_TUBES)
        }
        Opener::Fuse(Family::Cartridge) | Opener::SmallFuse => Some(LARGE_TUBES),
        Opener::Fuse(Family::ClassT) => None,
        Opener::Breaker(Action::Thermal) => Some(THERMAL),
        Opener::Breaker(Action::Magnetic) => Some(MAGNETIC),
    }
}

/// The time by which a device has opened, infinite where it need not open at all; `None` where
/// nothing is known of it.
///
/// Its tag is that of the limit it rests on. A panel's fuse is never better known than from memory,
/// since its family is a guess.
pub fn opens_by(opener: Opener, rating: Amperes, current: Amperes) -> Option<Sourced<Seconds>> {
    let printed = printed(opener, rating, current)?;
    let seconds = |by: Option<Printed>| {
        by.map_or(f64::INFINITY, |by| {
            by.seconds * (by.multiple * rating.0 / current.0).powi(2)
        })
    };
    Some(printed.map(|by| Seconds(seconds(by))))
}

/// A printed limit: at so many times the rating it has opened within so long.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Printed {
    /// Of the rating.
    pub multiple: f64,
    /// s.
    pub seconds: f64,
}

/// The printed limit that [`opens_by`] rests on at a current, by `t = seconds x (multiple x rating /
/// current)²`: of those that are reached the one that ends it first. Nothing within where none is
/// reached; `None` where nothing is known of the device.
pub fn printed(
    opener: Opener,
    rating: Amperes,
    current: Amperes,
) -> Option<Sourced<Option<Printed>>> {
    let limits = limits(opener, rating)?;
    let first = limits.first()?;
    let time = |limit: &Slow| limit.seconds * (limit.multiple * rating.0 / current.0).powi(2);
    let reached = limits
        .iter()
        .filter(|limit| current.0 >= limit.multiple * rating.0 * ROUNDING && current.0 > 0.0)
        .min_by(|a, b| time(a).total_cmp(&time(b)));
    let by = reached.unwrap_or(first);
    let tag = match opener {
        Opener::SmallFuse => by.tag.worse(Tag::M),
        _ => by.tag,
    };
    let printed = reached.map(|limit| Printed {
        multiple: limit.multiple,
        seconds: limit.seconds,
    });
    Some(Sourced::new(printed, tag, by.source))
}

/// The currents at which a device's next printed limit begins, small to large. Just below each it
/// lets the most heat through for the current that flows.
pub fn steps(opener: Opener, rating: Amperes) -> impl Iterator<Item = Amperes> {
    let limits = limits(opener, rating).unwrap_or_default();
    limits
        .iter()
        .map(move |limit| Amperes(limit.multiple * rating.0))
}

/// A multiple is reached although its product is rounded.
const ROUNDING: f64 = 1.0 - 1e-9;

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Opener; 8] = [
        Opener::Fuse(Family::Blade),
        Opener::Fuse(Family::Strip),
        Opener::Fuse(Family::BoltDown),
        Opener::Fuse(Family::Cartridge),
        Opener::Fuse(Family::ClassT),
        Opener::SmallFuse,
        Opener::Breaker(Action::Thermal),
        Opener::Breaker(Action::Magnetic),
    ];

    /// UL 248-14: within an hour at 135 % (S2), within 2 min at 200 % up to 30 A (S2), within
    /// 4 min from 35 to 60 A (S1).
    #[test]
    fn a_tube_opens_within_what_is_printed() {
        let opens = |rating, current| {
            let by = opens_by(
                Opener::Fuse(Family::Cartridge),
                Amperes(rating),
                Amperes(current),
            )
            .unwrap();
            (by.value.0, by.tag)
        };
        assert_eq!(opens(20.0, 27.0), (3600.0, Tag::S2));
        assert_eq!(opens(20.0, 40.0), (120.0, Tag::S2));
        assert_eq!(opens(50.0, 100.0), (240.0, Tag::S1));
        // A quarter as much again: (4/5)² of the time, still by the published limit.
        let (seconds, tag) = opens(20.0, 50.0);
        assert!((seconds - 120.0 * 0.64).abs() < 1e-9 && tag == Tag::S2);
        assert_eq!(opens(20.0, 80.0).1, Tag::M);
        assert!(opens(20.0, 26.0).0.is_infinite());
    }

    #[test]
    fn more_current_opens_sooner_and_lets_no_more_through() {
        for opener in ALL {
            let mut last = (f64::INFINITY, f64::INFINITY);
            for tenths in 1..400 {
                let current = f64::from(tenths);
                let Some(by) = opens_by(opener, Amperes(20.0), Amperes(current)) else {
                    continue;
                };
                let heat = by.value.0 * current * current;
                assert!(
                    by.value.0 <= last.0 && heat <= last.1 * (1.0 + 1e-9),
                    "{opener:?}"
                );
                last = (by.value.0, heat);
            }
        }
    }

    #[test]
    fn what_is_absurd_opens_never_or_at_once() {
        for opener in ALL {
            for (rating, current) in [(0.0, 0.0), (1e300, 1e300), (10.0, 0.0), (0.0, 1e300)] {
                if let Some(by) = opens_by(opener, Amperes(rating), Amperes(current)) {
                    assert!(!by.value.0.is_nan() && by.value.0 >= 0.0);
                }
            }
        }
    }
}
