//! What charges them.

use super::{Code, Entry, Family};
use crate::finding::Severity;

pub(super) const ENTRIES: [Entry; 5] = [
    Entry {
        code: Code::AlternatorCutOff,
        word: "alternator-cut-off",
        family: Family::Charging,
        severity: Severity::Warning,
        title: "A switch can take the battery away from a running alternator.",
        why: "Without its battery an alternator's voltage leaps to many times the boat's: it ruins itself and whatever is switched on.",
        rule: "plain logic",
        tag: "-",
        mend: "Lead its + to the battery past every switch, with a fuse at the battery, or have its field cut first and say field-cut.",
        caution: Some(
            "Never open a switch between a running alternator and its battery, not even to try: stop the engine first.",
        ),
    },
    Entry {
        code: Code::ControllerCutOff,
        word: "controller-cut-off",
        family: Family::Charging,
        severity: Severity::Advice,
        title: "A solar controller can lose its battery while the panels are on.",
        why: "Many controllers take their own voltage from the battery: without it, in full sun, they may hand the panel's voltage on to the boat or fail.",
        rule: "common practice",
        tag: "CP",
        mend: "Lead the battery side to the battery past every switch, with a fuse at the battery.",
        caution: Some(
            "Panels are live whenever there is light: cover them, or open their side, before the battery side is taken off.",
        ),
    },
    Entry {
        code: Code::ControllerOvervoltage,
        word: "controller-overvoltage",
        family: Family::Charging,
        severity: Severity::Error,
        title: "On a cold day the panels give more volts than the controller stands.",
        why: "Cold panels give more volts than their label says; past its limit the controller is destroyed at once and can catch fire.",
        rule: "NEC 690.7(A), 1.10 at 0 °C",
        tag: "S1",
        mend: "Put fewer panels one after another, or take a controller for a higher voltage.",
        caution: Some(
            "Panels in a row can reach a voltage that injures, and they cannot be switched off: cover them before you touch their wires.",
        ),
    },
    Entry {
        code: Code::ControllerOvercurrent,
        word: "controller-overcurrent",
        family: Family::Charging,
        severity: Severity::Error,
        title: "The panels give more current than the controller is made for.",
        why: "A PWM controller passes all that the panels give and overheats; an MPPT holds back, and what it holds back is lost.",
        rule: "NEC 690.8, 1.25 times the short-circuit current",
        tag: "S2",
        mend: "Take a controller of a larger rating, or fewer panels side by side.",
        caution: Some(
            "Panels are live whenever there is light: cover them before you change the controller.",
        ),
    },
    Entry {
        code: Code::ChargeTooFast,
        word: "charge-too-fast",
        family: Family::Charging,
        severity: Severity::Error,
        title: "The batteries can be charged harder than they bear.",
        why: "A battery charged too hard, or for ever, heats up, gasses and dies early; in the worst case it bursts.",
        rule: "the maker's charge-limit; where none is said, common practice by kind",
        tag: "-",
        mend: "Limit the source, charge more batteries together, or write the maker's charge-limit where it is higher.",
        caution: Some(
            "An overcharged battery gives off gas that explodes, and acid: stop the charge before you go near, no sparks, eyes covered.",
        ),
    },
];
