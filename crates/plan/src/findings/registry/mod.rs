//! The registry of findings: one entry each, in a file for each family. Reference, hovers, `explain` and
//! tests are made from it.

mod batteries;
mod charging;
mod conductors;
mod distribution;
mod energy;
mod protection;
mod reading;
mod wiring;

use crate::finding::Severity;

/// The family of a finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Family {
    /// What the text says.
    Reading,
    /// What is joined to what.
    Wiring,
    /// What the conductors carry and lose.
    Conductors,
    /// What interrupts a fault.
    Protection,
    /// Bars, panels, posts and contacts.
    Distribution,
    /// What a bank's batteries share, and the air round them.
    Batteries,
    /// What charges them.
    Charging,
    /// What a day costs, and what arrives at a load.
    Energy,
}

impl Family {
    /// The family's word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Reading => "reading",
            Self::Wiring => "wiring",
            Self::Conductors => "conductors",
            Self::Protection => "protection",
            Self::Distribution => "distribution",
            Self::Batteries => "batteries",
            Self::Charging => "charging",
            Self::Energy => "energy",
        }
    }
}

/// What the registry says of a finding.
#[derive(Clone, Copy, Debug)]
pub struct Entry {
    /// Its code in the type system.
    pub code: Code,
    /// Its code in words.
    pub word: &'static str,
    /// Its family.
    pub family: Family,
    /// Its severity at its worst.
    pub severity: Severity,
    /// What it says, in one sentence.
    pub title: &'static str,
    /// Why it matters, in one sentence for somebody who is not an electrician.
    pub why: &'static str,
    /// The rule behind it.
    pub rule: &'static str,
    /// The rule's tag: `S1`, `S2`, `D`, `CP`; `-` for plain logic and the notation itself.
    pub tag: &'static str,
    /// What mends it.
    pub mend: &'static str,
    /// The trade's caution, where the fault or its mend can hurt someone.
    pub caution: Option<&'static str>,
}

/// A finding's code. The registry explains each.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)] // each is its registry entry
pub enum Code {
    Syntax,
    UnknownKind,
    UnknownFact,
    WrongUnit,
    MissingFact,
    UnknownName,
    DuplicateName,
    ReservedName,
    DuplicateMark,
    UnknownTerminal,
    NotChecked,
    CannotUse,
    ImpossibleValue,
    UnusedAllowance,
    LapsedAllowance,
    OpenCircuit,
    ShortCircuit,
    ReversedPolarity,
    WrongWay,
    BypassedPart,
    LoadsInSeries,
    UnusedCore,
    CoreReused,
    MixedVoltage,
    TappedBank,
    UnwiredPart,
    NeverOn,
    HullReturn,
    BondingLoop,
    ShuntBypassed,
    ColourMismatch,
    ReturnLengthDiffers,
    UndersizedConductor,
    ExcessDrop,
    BelowMinimumSize,
    HotJoint,
    UnfusedRun,
    FuseExceedsConductor,
    FuseBelowLoad,
    DeviceInReturn,
    NoIsolator,
    BackFed,
    SourceUnprotected,
    FaultNotCleared,
    ConductorWithstand,
    BreakingCapacity,
    NoSelectivity,
    NotAStandardRating,
    IgnitionProtection,
    BusOverflow,
    PostTooSmall,
    CrowdedPost,
    WayReused,
    DeviceOverloaded,
    UnequalShare,
    MixedBank,
    BankLink,
    UnventilatedBattery,
    AlternatorCutOff,
    ControllerCutOff,
    ControllerOvervoltage,
    ControllerOvercurrent,
    ChargeTooFast,
    BudgetDeficit,
    CannotDeliver,
    LowVoltage,
    RunsLow,
}

impl Code {
    /// Its registry entry.
    pub const fn entry(self) -> &'static Entry {
        &REGISTRY[self as usize]
    }

    /// Its code in words.
    pub const fn word(self) -> &'static str {
        self.entry().word
    }

    /// The code of a word.
    pub fn from_word(word: &str) -> Option<Self> {
        REGISTRY
            .iter()
            .find(|entry| entry.word == word)
            .map(|entry| entry.code)
    }
}

/// The families' entries, in the order of [`Code`].
const FAMILIES: [&[Entry]; 8] = [
    &reading::ENTRIES,
    &wiring::ENTRIES,
    &conductors::ENTRIES,
    &protection::ENTRIES,
    &distribution::ENTRIES,
    &batteries::ENTRIES,
    &charging::ENTRIES,
    &energy::ENTRIES,
];

/// How many findings there are.
const COUNT: usize = {
    let (mut count, mut family) = (0, 0);
    while family < FAMILIES.len() {
        count += FAMILIES[family].len();
        family += 1;
    }
    count
};

/// Every finding, in the order of [`Code`].
pub static REGISTRY: &[Entry] = &one_after_another();

// Without iterators, which a constant cannot use.
const fn one_after_another() -> [Entry; COUNT] {
    let mut all = [FAMILIES[0][0]; COUNT];
    let (mut at, mut family) = (0, 0);
    while family < FAMILIES.len() {
        let mut entry = 0;
        while entry < FAMILIES[family].len() {
            all[at] = FAMILIES[family][entry];
            (at, entry) = (at + 1, entry + 1);
        }
        family += 1;
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_registry_stands_in_the_order_of_the_codes() {
        for (index, entry) in REGISTRY.iter().enumerate() {
            assert_eq!(entry.code as usize, index, "{}", entry.word);
            assert_eq!(Code::from_word(entry.word), Some(entry.code));
        }
    }

    #[test]
    fn an_error_or_warning_never_rests_on_memory_or_habit_alone() {
        for entry in REGISTRY {
            let capped = matches!(entry.tag, "CP" | "M");
            assert!(
                !capped || entry.severity == Severity::Advice,
                "{}",
                entry.word
            );
        }
    }
}
