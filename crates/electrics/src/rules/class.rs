//! The classes of loads, from which a rule set takes drop limits, exemptions and colours.

use std::{fmt, str::FromStr};

/// What a load is, as far as rules care.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    serde::Serialize,
    serde::Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum LoadClass {
    /// Cabin and deck lights.
    Lighting,
    /// Navigation lights.
    Navigation,
    /// Any pump but the bilge's.
    Pump,
    /// Bilge pumps.
    BilgePump,
    /// Bilge blowers.
    Blower,
    /// Instruments, radios, plotters.
    Electronics,
    /// Windlasses, thrusters, winches.
    Motor,
    /// Heaters.
    Heater,
    /// Refrigerators.
    Refrigerator,
    /// Alarms and detectors.
    Alarm,
    /// What an instrument keeps alive when it is off.
    Memory,
    /// Engine starters.
    Starter,
    /// Anything else.
    #[default]
    Other,
}

impl LoadClass {
    /// Every class, in the order of the reference.
    pub const ALL: [Self; 13] = [
        Self::Lighting,
        Self::Navigation,
        Self::Pump,
        Self::BilgePump,
        Self::Blower,
        Self::Electronics,
        Self::Motor,
        Self::Heater,
        Self::Refrigerator,
        Self::Alarm,
        Self::Memory,
        Self::Starter,
        Self::Other,
    ];

    /// The class's word.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Lighting => "lighting",
            Self::Navigation => "navigation",
            Self::Pump => "pump",
            Self::BilgePump => "bilge-pump",
            Self::Blower => "blower",
            Self::Electronics => "electronics",
            Self::Motor => "motor",
            Self::Heater => "heater",
            Self::Refrigerator => "refrigerator",
            Self::Alarm => "alarm",
            Self::Memory => "memory",
            Self::Starter => "starter",
            Self::Other => "other",
        }
    }
}

impl fmt::Display for LoadClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

/// A word that names none of the things it was read for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownWord(pub String);

impl fmt::Display for UnknownWord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` is not known here", self.0)
    }
}

impl std::error::Error for UnknownWord {}

impl FromStr for LoadClass {
    type Err = UnknownWord;

    fn from_str(text: &str) -> Result<Self, UnknownWord> {
        Self::ALL
            .into_iter()
            .find(|class| class.as_str() == text)
            .ok_or_else(|| UnknownWord(text.into()))
    }
}
