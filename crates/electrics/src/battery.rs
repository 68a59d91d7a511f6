//! Batteries: what one is taken to be where a plan is silent, and how long it lasts.
//!
//! Rest voltages differ between sources by 0.1 to 0.2 V at the same charge, that is by up to a
//! quarter of the charge: they are data with a source, never constants of nature. Voltages here
//! are of a block of 12 V; [`Block`] scales them. Knows no network.

use std::{fmt, str::FromStr};

use crate::{
    quantity::{AmpHours, Amperes, Ohms, Seconds, Volts},
    rules::UnknownWord,
    source::{Sourced, Tag},
};

/// What a battery is made of.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Chemistry {
    /// Lead and free acid, vented.
    Flooded,
    /// Lead and acid in glass mat, valve-regulated.
    Agm,
    /// Lead and gelled acid, valve-regulated.
    Gel,
    /// Lithium iron phosphate.
    Lithium,
}

/// How full a battery is taken to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Charge {
    /// For drops and the smallest fault.
    Half,
    /// For the largest fault.
    Full,
}

const REST_FLOODED: &str = "battery makers' tables of rest voltage, 12.20-12.24 V at half charge";
const REST_FLOODED_FULL: &str =
    "battery makers' tables of rest voltage, 12.60-12.68 V when full, rounded up";
const REST_AGM: &str = "battery makers' tables of rest voltage";
const REST_LITHIUM: &str = "a trade page on lithium iron phosphate, 12.9-13.3 V over most of its charge, 13.4-13.6 V near full";
const NOT_SEEN: &str = "no document was seen";
const PRACTICE: &str = "common practice, no source";

impl Chemistry {
    /// Every chemistry, in the order of the reference.
    pub const ALL: [Self; 4] = [Self::Flooded, Self::Agm, Self::Gel, Self::Lithium];

    /// Its word.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Flooded => "flooded",
            Self::Agm => "agm",
            Self::Gel => "gel",
            Self::Lithium => "lithium",
        }
    }

    /// Voltage of a 12 V block without current.
    pub const fn rest_volts(self, charge: Charge) -> Sourced<Volts> {
        match (self, charge) {
            (Self::Flooded, Charge::Half) => Sourced::new(Volts(12.2), Tag::S2, REST_FLOODED),
            (Self::Flooded, Charge::Full) => Sourced::new(Volts(12.7), Tag::D, REST_FLOODED_FULL),
            (Self::Agm, Charge::Half) => Sourced::new(Volts(12.3), Tag::S2, REST_AGM),
            (Self::Agm, Charge::Full) => Sourced::new(Volts(13.0), Tag::S2, REST_AGM),
            (Self::Gel, Charge::Half) => Sourced::new(Volts(12.3), Tag::M, NOT_SEEN),
            (Self::Gel, Charge::Full) => Sourced::new(Volts(13.0), Tag::M, NOT_SEEN),
            (Self::Lithium, Charge::Half) => Sourced::new(Volts(13.0), Tag::S1, REST_LITHIUM),
            (Self::Lithium, Charge::Full) => Sourced::new(Volts(13.6), Tag::S1, REST_LITHIUM),
        }
    }

    /// Inner resistance of a block of 12 V and 100 Ah.
    pub const fn resistance(self) -> Sourced<Ohms> {
        let ohms = match self {
            Self::Flooded => 0.006,
            Self::Gel => 0.005,
            Self::Agm => 0.004,
            Self::Lithium => 0.003,
        };
        Sourced::new(Ohms(ohms), Tag::M, NOT_SEEN)
    }

    /// The share of its capacity that is used before it is charged again.
    pub const fn usable(self) -> Sourced<f64> {
        let share = match self {
            Self::Flooded | Self::Agm | Self::Gel => 0.5,
            Self::Lithium => 0.8,
        };
        Sourced::new(share, Tag::CP, PRACTICE)
    }

    /// The charging current it bears, A per Ah of capacity. The lower end of what is usually said.
    pub const fn charge_acceptance(self) -> Sourced<f64> {
        let share = match self {
            Self::Flooded | Self::Gel => 0.2,
            Self::Agm => 0.3,
            Self::Lithium => 0.5,
        };
        Sourced::new(share, Tag::CP, PRACTICE)
    }

    /// Peukert's exponent: the upper end of what is usually said, so that it lasts no longer than computed.
    pub const fn peukert_exponent(self) -> Sourced<f64> {
        let exponent = match self {
            Self::Flooded => 1.3,
            Self::Agm => 1.15,
            Self::Gel => 1.25,
            Self::Lithium => 1.05,
        };
        Sourced::new(exponent, Tag::CP, PRACTICE)
    }
}

impl fmt::Display for Chemistry {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

impl FromStr for Chemistry {
    type Err = UnknownWord;

    fn from_str(text: &str) -> Result<Self, UnknownWord> {
        Self::ALL
            .into_iter()
            .find(|chemistry| chemistry.as_str() == text)
            .ok_or_else(|| UnknownWord(text.into()))
    }
}

/// One battery as a plan states it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Block {
    /// What it is made of.
    pub chemistry: Chemistry,
    /// Its rated capacity.
    pub capacity: AmpHours,
    /// Its nominal voltage.
    pub nominal: Volts,
}

impl Block {
    /// Voltage without current, in proportion to its nominal voltage.
    pub fn rest_volts(&self, charge: Charge) -> Sourced<Volts> {
        self.chemistry
            .rest_volts(charge)
            .map(|volts| volts * self.twelves())
    }

    /// Inner resistance: by 1/Ah, and by the number of cells.
    pub fn resistance(&self) -> Sourced<Ohms> {
        self.chemistry
            .resistance()
            .map(|ohms| ohms * (100.0 / self.capacity.0 * self.twelves()))
    }

    /// The charging current it bears.
    pub fn charge_limit(&self) -> Sourced<Amperes> {
        self.chemistry
            .charge_acceptance()
            .map(|share| Amperes(share * self.capacity.0))
    }

    fn twelves(&self) -> f64 {
        self.nominal.0 / 12.0
    }
}

/// The hours for which capacities are rated unless a maker says otherwise.
pub const RATED_HOURS: Sourced<f64> = Sourced::new(20.0, Tag::CP, PRACTICE);

/// How long a battery lasts at a current: Peukert's law in the rated form, `t = H (C / (I H))^k`.
///
/// At the rated current `C / H` it lasts the rated hours `H`, whatever `k`. Infinite at no current.
pub fn lasts(capacity: AmpHours, rated_hours: f64, exponent: f64, current: Amperes) -> Seconds {
    if current.0 <= 0.0 {
        return Seconds(f64::INFINITY);
    }
    let share = capacity.0 / (current.0 * rated_hours);
    Seconds(rated_hours * share.powf(exponent) * 3600.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blocks_scale_with_cells_and_capacity() {
        let block = Block {
            chemistry: Chemistry::Agm,
            capacity: AmpHours(200.0),
            nominal: Volts(6.0),
        };
        let like = block.chemistry;
        let volts = like.rest_volts(Charge::Half).value;
        assert_eq!(block.rest_volts(Charge::Half).value, volts * 0.5);
        assert_eq!(block.resistance().value, like.resistance().value * 0.25);
        assert_eq!(
            block.charge_limit().value,
            Amperes(200.0 * like.charge_acceptance().value)
        );
    }

    #[test]
    fn at_its_rated_current_it_lasts_its_rated_hours() {
        for chemistry in Chemistry::ALL {
            let lasts = lasts(
                AmpHours(100.0),
                20.0,
                chemistry.peukert_exponent().value,
                Amperes(5.0),
            );
            assert!((lasts.0 - 72_000.0).abs() < 1e-6);
        }
        assert!(
            lasts(AmpHours(100.0), 20.0, 1.2, Amperes(0.0))
                .0
                .is_infinite()
        );
    }
}
