//! The registry of findings: one entry each. Reference, hovers, `explain` and tests are made from it.

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
    UnfusedRun,
    FuseExceedsConductor,
    FuseBelowLoad,
    DeviceInReturn,
    NoIsolator,
    BackFed,
    BusOverflow,
    PostTooSmall,
    CrowdedPost,
    WayReused,
    DeviceOverloaded,
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

/// Every finding, in the order of [`Code`].
pub static REGISTRY: &[Entry] = &[
    Entry {
        code: Code::Syntax,
        word: "syntax",
        family: Family::Reading,
        severity: Severity::Error,
        title: "This line cannot be read.",
        why: "A line that cannot be read is left out of everything computed, so the plan on paper is not the boat.",
        rule: "the notation",
        tag: "-",
        mend: "Write the line as the message says.",
        caution: None,
    },
    Entry {
        code: Code::UnknownKind,
        word: "unknown-kind",
        family: Family::Reading,
        severity: Severity::Error,
        title: "The first word of a thing is no kind.",
        why: "What the plan does not know it cannot check.",
        rule: "the notation",
        tag: "-",
        mend: "Use one of the kinds of the reference.",
        caution: None,
    },
    Entry {
        code: Code::UnknownFact,
        word: "unknown-fact",
        family: Family::Reading,
        severity: Severity::Error,
        title: "A thing of this kind has no such fact.",
        why: "A fact that is not understood is not counted, and the writer believes that it is.",
        rule: "the notation",
        tag: "-",
        mend: "Use a fact of this kind, or put the words into a comment.",
        caution: None,
    },
    Entry {
        code: Code::WrongUnit,
        word: "wrong-unit",
        family: Family::Reading,
        severity: Severity::Error,
        title: "The unit does not measure what the fact says.",
        why: "A fuse in volts or a length in amperes is a slip, and every figure computed from it would be wrong.",
        rule: "the notation",
        tag: "-",
        mend: "Write the number with a unit that fits.",
        caution: None,
    },
    Entry {
        code: Code::MissingFact,
        word: "missing-fact",
        family: Family::Reading,
        severity: Severity::Error,
        title: "A fact that the computation needs is missing.",
        why: "Without it the circuit cannot be computed, and what is not computed is not checked.",
        rule: "the notation",
        tag: "-",
        mend: "Add the fact.",
        caution: None,
    },
    Entry {
        code: Code::UnknownName,
        word: "unknown-name",
        family: Family::Reading,
        severity: Severity::Error,
        title: "No thing has this name.",
        why: "The circuit ends in nothing: what lies beyond cannot be checked.",
        rule: "the notation",
        tag: "-",
        mend: "Correct the name, or write the thing.",
        caution: None,
    },
    Entry {
        code: Code::DuplicateName,
        word: "duplicate-name",
        family: Family::Reading,
        severity: Severity::Error,
        title: "Two things have one name.",
        why: "A name on a label or in a run has to mean one thing.",
        rule: "the notation",
        tag: "-",
        mend: "Rename one of them.",
        caution: None,
    },
    Entry {
        code: Code::ReservedName,
        word: "reserved-name",
        family: Family::Reading,
        severity: Severity::Error,
        title: "This word means something else here.",
        why: "A part that is called like a word of a conductor line could not be told from it.",
        rule: "the notation",
        tag: "-",
        mend: "Choose another name.",
        caution: None,
    },
    Entry {
        code: Code::DuplicateMark,
        word: "duplicate-mark",
        family: Family::Reading,
        severity: Severity::Warning,
        title: "Two cables carry one mark.",
        why: "A mark tied on two cables sends the hand to the wrong one.",
        rule: "plain logic",
        tag: "-",
        mend: "Give one of them another mark.",
        caution: None,
    },
    Entry {
        code: Code::UnknownTerminal,
        word: "unknown-terminal",
        family: Family::Reading,
        severity: Severity::Error,
        title: "The part has no such terminal, or more than one would fit.",
        why: "A wire on the wrong terminal can be a short circuit or a dead lamp.",
        rule: "the notation",
        tag: "-",
        mend: "Name one of the terminals that the message lists.",
        caution: None,
    },
    Entry {
        code: Code::NotChecked,
        word: "not-checked",
        family: Family::Reading,
        severity: Severity::Advice,
        title: "Something could not be checked because of another finding.",
        why: "Silence would read as approval.",
        rule: "the notation",
        tag: "-",
        mend: "Mend the finding that stands on the same words; the check follows by itself.",
        caution: None,
    },
    Entry {
        code: Code::CannotUse,
        word: "cannot-use",
        family: Family::Reading,
        severity: Severity::Error,
        title: "The used file is not part of the plan.",
        why: "Whatever stands in it is neither computed nor checked.",
        rule: "the notation",
        tag: "-",
        mend: "Correct the path; it is relative to this file and stays inside the workspace.",
        caution: None,
    },
    Entry {
        code: Code::ImpossibleValue,
        word: "impossible-value",
        family: Family::Reading,
        severity: Severity::Error,
        title: "The value is one that no boat has.",
        why: "Every figure that is computed from it would be worthless.",
        rule: "the notation",
        tag: "-",
        mend: "Correct the number or its unit.",
        caution: None,
    },
    Entry {
        code: Code::UnusedAllowance,
        word: "unused-allowance",
        family: Family::Reading,
        severity: Severity::Advice,
        title: "An allowance accepts nothing.",
        why: "An acceptance of something that is not there hides the day when it comes back.",
        rule: "the notation",
        tag: "-",
        mend: "Take the line out.",
        caution: None,
    },
    Entry {
        code: Code::LapsedAllowance,
        word: "lapsed-allowance",
        family: Family::Reading,
        severity: Severity::Warning,
        title: "An allowance does not hold: the finding has grown past what was accepted, or the line lacks what it needs.",
        why: "Nobody has accepted what the boat is now.",
        rule: "the notation",
        tag: "-",
        mend: "Mend the finding, or have it accepted as it is: how far, where it measures something, and by whom, where it is a matter of protection.",
        caution: None,
    },
    Entry {
        code: Code::OpenCircuit,
        word: "open-circuit",
        family: Family::Wiring,
        severity: Severity::Error,
        title: "No closed way leads round this part.",
        why: "Current needs a way out and a way back: this part can never work.",
        rule: "plain logic",
        tag: "-",
        mend: "Wire its + and its - through to the + and the - of one source.",
        caution: None,
    },
    Entry {
        code: Code::ShortCircuit,
        word: "short-circuit",
        family: Family::Wiring,
        severity: Severity::Error,
        title: "Plus is joined to minus without a load between.",
        why: "A short circuit across a battery passes thousands of amperes: cable burns, metal melts, the battery may burst.",
        rule: "plain logic",
        tag: "-",
        mend: "Take out the conductor that joins the two sides.",
        caution: Some(
            "Disconnect the battery before you touch the wiring, keep rings and loose tools away from its posts, and have the mend checked by a competent person before it is connected again.",
        ),
    },
    Entry {
        code: Code::ReversedPolarity,
        word: "reversed-polarity",
        family: Family::Wiring,
        severity: Severity::Error,
        title: "The part is wired with + and - exchanged.",
        why: "Electronics are destroyed at once, and motors run backwards.",
        rule: "plain logic",
        tag: "-",
        mend: "Exchange the two ends.",
        caution: Some("Do not switch the circuit on to try it: the part may be destroyed at once."),
    },
    Entry {
        code: Code::WrongWay,
        word: "wrong-way",
        family: Family::Wiring,
        severity: Severity::Error,
        title: "A panel is fed through one of its ways.",
        why: "All that the panel feeds would then draw through one small device.",
        rule: "plain logic",
        tag: "-",
        mend: "Let the feeding run end at the bare panel.",
        caution: None,
    },
    Entry {
        code: Code::BypassedPart,
        word: "bypassed-part",
        family: Family::Wiring,
        severity: Severity::Error,
        title: "Current can go round this part.",
        why: "A fuse, switch or isolator with a way round it protects and switches nothing.",
        rule: "plain logic",
        tag: "-",
        mend: "Pass through the part by its bare name, or take the other way out.",
        caution: Some(
            "Until it is mended treat the circuit as unprotected and as live, whatever the switch says.",
        ),
    },
    Entry {
        code: Code::LoadsInSeries,
        word: "loads-in-series",
        family: Family::Wiring,
        severity: Severity::Error,
        title: "Loads are wired one after another.",
        why: "Loads in series share the voltage: none of them gets what it needs.",
        rule: "plain logic",
        tag: "-",
        mend: "Land on each load with +, and let back land on each -.",
        caution: None,
    },
    Entry {
        code: Code::UnusedCore,
        word: "unused-core",
        family: Family::Wiring,
        severity: Severity::Advice,
        title: "A core of this cable is not used.",
        why: "A core left open at both ends is forgotten, or worth a note.",
        rule: "common practice",
        tag: "CP",
        mend: "Add back, or write a single conductor.",
        caution: None,
    },
    Entry {
        code: Code::CoreReused,
        word: "core-reused",
        family: Family::Wiring,
        severity: Severity::Error,
        title: "One core is used by two runs.",
        why: "One core joins what should be apart.",
        rule: "plain logic",
        tag: "-",
        mend: "Use another core, or end the second circuit at the first one's -.",
        caution: None,
    },
    Entry {
        code: Code::MixedVoltage,
        word: "mixed-voltage",
        family: Family::Wiring,
        severity: Severity::Error,
        title: "Parts of different voltage are joined.",
        why: "A 12 V part on 24 V burns, and a 24 V part on 12 V does not work.",
        rule: "plain logic",
        tag: "-",
        mend: "Put a converter between, or correct the voltage.",
        caution: Some(
            "Do not connect it to try: the part can burn, and batteries of different voltage drive a very large current into each other.",
        ),
    },
    Entry {
        code: Code::TappedBank,
        word: "tapped-bank",
        family: Family::Wiring,
        severity: Severity::Error,
        title: "A part is joined between the blocks of a series bank.",
        why: "The tapped block is drained and overcharged against the others, and fails early.",
        rule: "plain logic",
        tag: "-",
        mend: "Feed it from the whole bank through a converter.",
        caution: Some(
            "An unevenly charged block can overheat and gas; have the bank checked before it is charged again.",
        ),
    },
    Entry {
        code: Code::UnwiredPart,
        word: "unwired-part",
        family: Family::Wiring,
        severity: Severity::Warning,
        title: "No run touches this part.",
        why: "It is bought, mounted and dead.",
        rule: "plain logic",
        tag: "-",
        mend: "Write its run, or say spare.",
        caution: None,
    },
    Entry {
        code: Code::NeverOn,
        word: "never-on",
        family: Family::Wiring,
        severity: Severity::Advice,
        title: "No case puts these loads on.",
        why: "What the cases leave out is in none of their sums.",
        rule: "the notation",
        tag: "-",
        mend: "Name each load in the case in which it runs.",
        caution: None,
    },
    Entry {
        code: Code::HullReturn,
        word: "hull-return",
        family: Family::Wiring,
        severity: Severity::Error,
        title: "Current comes home through the hull, the bonding or an engine block.",
        why: "Current in the hull or in an engine eats metal away, and no device sees it.",
        rule: "UK small commercial vessel code 8.2.1",
        tag: "S1",
        mend: "Give the load a conductor back to the negative bar.",
        caution: Some(
            "On a metal hull this eats plates and fittings below the waterline; have the hull checked where it has been so for long.",
        ),
    },
    Entry {
        code: Code::BondingLoop,
        word: "bonding-loop",
        family: Family::Wiring,
        severity: Severity::Advice,
        title: "The bonding is joined at more than one point.",
        why: "A ring in the bonding carries stray current, and stray current eats metal.",
        rule: "common practice",
        tag: "CP",
        mend: "Join the bonding to the negative at one point only.",
        caution: None,
    },
    Entry {
        code: Code::ShuntBypassed,
        word: "shunt-bypassed",
        family: Family::Wiring,
        severity: Severity::Warning,
        title: "Current reaches the battery past the shunt.",
        why: "What goes past the shunt is never counted, and the gauge lies.",
        rule: "plain logic",
        tag: "-",
        mend: "Land every negative on the system side of the shunt.",
        caution: None,
    },
    Entry {
        code: Code::ColourMismatch,
        word: "colour-mismatch",
        family: Family::Wiring,
        severity: Severity::Advice,
        title: "The colour says something else than the wire does.",
        why: "Whoever opens the panel next trusts the colour.",
        rule: "the rule set's colours; for red and black common practice",
        tag: "S2",
        mend: "Use the colour that the message names.",
        caution: None,
    },
    Entry {
        code: Code::ReturnLengthDiffers,
        word: "return-length-differs",
        family: Family::Wiring,
        severity: Severity::Advice,
        title: "The way back is much longer or shorter than the way out.",
        why: "It may be right; more often one of the two was measured wrong.",
        rule: "common practice",
        tag: "CP",
        mend: "Measure again.",
        caution: None,
    },
    Entry {
        code: Code::UndersizedConductor,
        word: "undersized-conductor",
        family: Family::Conductors,
        severity: Severity::Error,
        title: "The conductor carries more than it may.",
        why: "An overloaded conductor cooks its insulation, and the fire starts behind the lining.",
        rule: "the rule set's ampacity table",
        tag: "S2",
        mend: "A larger conductor, a cooler place, or less current.",
        caution: Some(
            "Do not run the load at its full until it is mended, and look along the cable for insulation that has gone brown or hard.",
        ),
    },
    Entry {
        code: Code::ExcessDrop,
        word: "excess-drop",
        family: Family::Conductors,
        severity: Severity::Warning,
        title: "Too much voltage is lost on the way.",
        why: "Lamps dim, pumps slow down, motors burn out, and the battery seems empty while it is half full.",
        rule: "the rule set's drop limit",
        tag: "S2",
        mend: "A larger or shorter conductor.",
        caution: None,
    },
    Entry {
        code: Code::BelowMinimumSize,
        word: "below-minimum-size",
        family: Family::Conductors,
        severity: Severity::Warning,
        title: "The conductor is thinner than the rule allows anywhere.",
        why: "Thin wire breaks where a boat shakes it.",
        rule: "the rule set's smallest size",
        tag: "S2",
        mend: "The smallest size that the message names.",
        caution: None,
    },
    Entry {
        code: Code::UnfusedRun,
        word: "unfused-run",
        family: Family::Protection,
        severity: Severity::Error,
        title: "Nothing interrupts a short circuit on this conductor.",
        why: "A chafed cable without a device glows until the boat burns.",
        rule: "33 CFR 183.455(b)",
        tag: "S1",
        mend: "A fuse or breaker where the message says.",
        caution: Some(
            "This is the commonest way for a boat to catch fire from its wiring: disconnect the cable at the battery until it has its device. Local codes rule; have the work checked by a competent person.",
        ),
    },
    Entry {
        code: Code::FuseExceedsConductor,
        word: "fuse-exceeds-conductor",
        family: Family::Protection,
        severity: Severity::Error,
        title: "The device lets through more than the conductor may carry.",
        why: "The fuse protects the cable, not the lamp: one that is too large lets the cable burn first.",
        rule: "the rule set's ceiling",
        tag: "S1",
        mend: "A smaller device or a larger conductor.",
        caution: Some(
            "Never fit a larger fuse than the cable allows in order to stop one from blowing.",
        ),
    },
    Entry {
        code: Code::FuseBelowLoad,
        word: "fuse-below-load",
        family: Family::Protection,
        severity: Severity::Error,
        title: "The device is smaller than the current it has to carry.",
        why: "It will open in use, and the next one put in will be too large.",
        rule: "plain logic",
        tag: "-",
        mend: "The next larger rating that the conductor still allows.",
        caution: Some("Do not fit a larger fuse before you know that the cable allows it."),
    },
    Entry {
        code: Code::DeviceInReturn,
        word: "device-in-return",
        family: Family::Protection,
        severity: Severity::Error,
        title: "A device interrupts the return and not the feed.",
        why: "With the return open the whole circuit stays live, and a chafed wire finds another way.",
        rule: "UK small commercial vessel code 8.2.3",
        tag: "S1",
        mend: "Move the device to the positive side.",
        caution: Some(
            "With this device open the part is still live: disconnect at the battery before you work on it.",
        ),
    },
    Entry {
        code: Code::NoIsolator,
        word: "no-isolator",
        family: Family::Protection,
        severity: Severity::Warning,
        title: "Nothing disconnects this from the battery.",
        why: "In a fire or a flood one handle has to make the boat dead.",
        rule: "UK inland waterways requirements 3.5",
        tag: "S1",
        mend: "An isolator in the positive, close to the battery.",
        caution: Some(
            "Local codes say where an isolator has to be and who must be able to reach it.",
        ),
    },
    Entry {
        code: Code::BackFed,
        word: "back-fed",
        family: Family::Protection,
        severity: Severity::Error,
        title: "A panel stays live with every isolator open.",
        why: "Whoever opens the isolator believes that the boat is dead.",
        rule: "UK inland waterways requirements 3.5",
        tag: "S1",
        mend: "Take the second feed out, or give it an isolator too.",
        caution: Some(
            "Do not trust the isolators: disconnect at every battery before you work on this panel.",
        ),
    },
    Entry {
        code: Code::BusOverflow,
        word: "bus-overflow",
        family: Family::Distribution,
        severity: Severity::Error,
        title: "More is on this bar than it has room or rating for.",
        why: "A conductor without a post of its own gets stacked, and a stacked terminal works loose and burns.",
        rule: "plain logic",
        tag: "-",
        mend: "A larger bar, or a second one.",
        caution: Some(
            "Stacked or overloaded terminals run hot: feel for warmth with the load on, and never with a ring on the finger.",
        ),
    },
    Entry {
        code: Code::PostTooSmall,
        word: "post-too-small",
        family: Family::Distribution,
        severity: Severity::Error,
        title: "The conductor does not fit the posts.",
        why: "A terminal trimmed to fit sits loose and grows hot.",
        rule: "plain logic",
        tag: "-",
        mend: "Use a stud, or a bar for larger conductors.",
        caution: None,
    },
    Entry {
        code: Code::CrowdedPost,
        word: "crowded-post",
        family: Family::Distribution,
        severity: Severity::Advice,
        title: "Several conductors share one terminal.",
        why: "The lowest terminal of a stack works loose where nobody sees it.",
        rule: "ABYC E-11",
        tag: "S1",
        mend: "A way or post for each.",
        caution: None,
    },
    Entry {
        code: Code::WayReused,
        word: "way-reused",
        family: Family::Distribution,
        severity: Severity::Error,
        title: "Several circuits start at one way.",
        why: "One device then protects circuits that it was never chosen for, and one fault darkens them all.",
        rule: "plain logic",
        tag: "-",
        mend: "A way for each circuit.",
        caution: None,
    },
    Entry {
        code: Code::DeviceOverloaded,
        word: "device-overloaded",
        family: Family::Distribution,
        severity: Severity::Error,
        title: "The part carries more current than it is rated for.",
        why: "Contacts that carry too much grow hot, weld together or burn.",
        rule: "plain logic",
        tag: "-",
        mend: "A part of a larger rating.",
        caution: Some(
            "A contact that has carried too much may have welded itself shut: try whether it still opens.",
        ),
    },
];

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
