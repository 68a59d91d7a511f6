//! Protection: what devices are made, what they can break and when they open, and how much heat a
//! conductor bears meanwhile.
//!
//! No opinion here: the ceilings and distances are the rule sets'. A breaking capacity that is
//! overstated ends in an arc that does not go out; where a family's was not seen it says so.

pub mod adiabatic;
pub mod heating;
pub mod opening;
pub mod time;

use std::{fmt, str::FromStr};

use crate::{
    quantity::{Amperes, Volts},
    rules::UnknownWord,
    source::{Sourced, Tag},
};

/// A family of fuses.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Family {
    /// Plug-in fuses with blades, ISO 8820-3.
    Blade,
    /// Strips with holes for bolts, ISO 8820-5.
    Strip,
    /// Bolted on or on a single bolt, ISO 8820-4 and -6.
    BoltDown,
    /// Glass or ceramic tubes.
    Cartridge,
    /// Fast, of high breaking capacity, UL 248-15.
    ClassT,
}

/// The largest rating of ISO 8820-4's bolt-in fuses, A [S1].
const BOLTED_IN_UP_TO: f64 = 140.0;

impl Family {
    /// Every family, in the order of the reference.
    pub const ALL: [Self; 5] = [
        Self::Blade,
        Self::Strip,
        Self::BoltDown,
        Self::Cartridge,
        Self::ClassT,
    ];

    /// Its word.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Blade => "blade",
            Self::Strip => "strip",
            Self::BoltDown => "bolt-down",
            Self::Cartridge => "cartridge",
            Self::ClassT => "class-t",
        }
    }

    /// The current it can break at a rating where a plan does not say. `None` where nothing is known:
    /// not asked then. Up to 140 A two standards make bolt-down fuses, whose cases look alike: the
    /// lower figure counts.
    pub const fn breaking_capacity(self, rating: Amperes) -> Option<Sourced<Amperes>> {
        match self {
            Self::BoltDown if rating.0 <= BOLTED_IN_UP_TO => Some(Sourced::new(
                Amperes(1_000.0),
                Tag::S1,
                "ISO 8820-4; 2000 A if it is of ISO 8820-6",
            )),
            Self::Blade => Some(Sourced::new(Amperes(1_000.0), Tag::S1, "ISO 8820-3")),
            Self::Strip => Some(Sourced::new(Amperes(2_000.0), Tag::S1, "ISO 8820-5")),
            Self::BoltDown => Some(Sourced::new(Amperes(2_000.0), Tag::S1, "ISO 8820-6:2019")),
            Self::ClassT => Some(Sourced::new(
                Amperes(20_000.0),
                Tag::M,
                "UL 248-15, at 125 V direct current",
            )),
            Self::Cartridge => None,
        }
    }

    /// The voltage it is rated for where a plan does not say: the lower where a standard has two.
    pub const fn rated_volts(self) -> Option<Sourced<Volts>> {
        match self {
            Self::Blade => Some(Sourced::new(Volts(32.0), Tag::S1, "ISO 8820-3, 32 or 58 V")),
            Self::Strip => Some(Sourced::new(Volts(32.0), Tag::S1, "ISO 8820-5")),
            Self::BoltDown => Some(Sourced::new(Volts(32.0), Tag::S1, "ISO 8820-4, 32 or 58 V")),
            Self::ClassT => Some(Sourced::new(
                Volts(125.0),
                Tag::M,
                "UL 248-15, direct current",
            )),
            Self::Cartridge => None,
        }
    }

    /// The smallest and largest rating made, A; `None` where not known.
    pub const fn range(self) -> Option<Sourced<(f64, f64)>> {
        match self {
            Self::Blade => Some(Sourced::new(
                (1.0, 100.0),
                Tag::S1,
                "ISO 8820-3, up to 100 A",
            )),
            Self::Strip => Some(Sourced::new(
                (30.0, 500.0),
                Tag::S1,
                "ISO 8820-5, 30 to 500 A",
            )),
            Self::BoltDown => Some(Sourced::new(
                (0.0, 300.0),
                Tag::S1,
                "ISO 8820-6:2019, up to 300 A",
            )),
            Self::Cartridge | Self::ClassT => None,
        }
    }

    /// Whether a rating is one that is made; `None` where no series is known.
    ///
    /// Of blades above the printed series only the upper end is known, so any up to it passes.
    pub fn is_standard(self, rating: Amperes) -> Option<Sourced<bool>> {
        let range = self.range()?;
        if self == Self::Blade && rating.0 <= LARGEST_OF_SERIES {
            return Some(BLADE_RATINGS.map(|series| series.contains(&rating.0)));
        }
        Some(range.map(|(least, most)| (least..=most).contains(&rating.0)))
    }
}

impl fmt::Display for Family {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

impl FromStr for Family {
    type Err = UnknownWord;

    fn from_str(text: &str) -> Result<Self, UnknownWord> {
        Self::ALL
            .into_iter()
            .find(|family| family.as_str() == text)
            .ok_or_else(|| UnknownWord(text.into()))
    }
}

/// Ratings of blade fuses, A, small to large.
pub const BLADE_RATINGS: Sourced<[f64; 13]> = Sourced::new(
    [
        1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0,
    ],
    Tag::S2,
    "ISO 8820-3, rating series",
);

const LARGEST_OF_SERIES: f64 = 40.0;

/// Ratings of larger devices as they are commonly sold, A, small to large.
pub const LARGER_RATINGS: Sourced<[f64; 16]> = Sourced::new(
    [
        50.0, 60.0, 70.0, 80.0, 90.0, 100.0, 125.0, 150.0, 175.0, 200.0, 225.0, 250.0, 300.0,
        350.0, 400.0, 500.0,
    ],
    Tag::CP,
    "common practice, no source",
);

/// Every rating above, small to large, with how it is known.
pub fn ratings() -> impl DoubleEndedIterator<Item = Sourced<Amperes>> {
    let small = BLADE_RATINGS
        .value
        .into_iter()
        .map(|rating| BLADE_RATINGS.map(|_| Amperes(rating)));
    let large = LARGER_RATINGS
        .value
        .into_iter()
        .map(|rating| LARGER_RATINGS.map(|_| Amperes(rating)));
    small.chain(large)
}

/// The largest rating that is made and does not exceed a limit: what a message offers.
pub fn largest_within(limit: Amperes) -> Option<Sourced<Amperes>> {
    ratings().rfind(|rating| rating.value.0 <= limit.0 + ROUNDING)
}

/// The smallest rating that is made and not below a current.
pub fn smallest_above(current: Amperes) -> Option<Sourced<Amperes>> {
    ratings().find(|rating| rating.value.0 + ROUNDING >= current.0)
}

/// Limits are compared to a millionth.
const ROUNDING: f64 = 1e-6;

/// The colour of a blade fuse's body by its rating, in plain words. That of 35 A was not seen.
pub fn blade_colour(rating: Amperes) -> Option<Sourced<&'static str>> {
    let (_, colour) = BLADE_COLOURS
        .iter()
        .find(|(of, _)| (of - rating.0).abs() < ROUNDING)?;
    Some(Sourced::new(*colour, Tag::S2, "ISO 8820-3, colours"))
}

const BLADE_COLOURS: [(f64, &str); 12] = [
    (1.0, "black"),
    (2.0, "grey"),
    (3.0, "violet"),
    (4.0, "pink"),
    (5.0, "tan"),
    (7.5, "brown"),
    (10.0, "red"),
    (15.0, "blue"),
    (20.0, "yellow"),
    (25.0, "clear"),
    (30.0, "green"),
    (40.0, "orange"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ratings_are_found_on_either_side() {
        let within = |a| largest_within(Amperes(a)).map(|r| r.value.0);
        assert_eq!(
            (within(0.5), within(7.5), within(43.0), within(1e9)),
            (None, Some(7.5), Some(40.0), Some(500.0))
        );
        let above = |a| smallest_above(Amperes(a)).map(|r| r.value.0);
        assert_eq!(
            (above(0.1), above(11.0), above(40.1), above(501.0)),
            (Some(1.0), Some(15.0), Some(50.0), None)
        );
    }

    #[test]
    fn a_rating_outside_its_series_is_told() {
        let standard = |family: Family, a| family.is_standard(Amperes(a)).map(|s| s.value);
        assert_eq!(standard(Family::Blade, 12.0), Some(false));
        assert_eq!(standard(Family::Blade, 60.0), Some(true));
        assert_eq!(standard(Family::Blade, 120.0), Some(false));
        assert_eq!(standard(Family::Strip, 20.0), Some(false));
        assert_eq!(standard(Family::ClassT, 400.0), None);
    }

    #[test]
    fn words_read_back() {
        for family in Family::ALL {
            assert_eq!(family.as_str().parse(), Ok(family));
        }
        assert!("knife".parse::<Family>().is_err());
    }
}
