//! What the conductors carry and lose.

use super::{Code, Entry, Family};
use crate::finding::Severity;

pub(super) const ENTRIES: [Entry; 4] = [
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
        code: Code::HotJoint,
        word: "hot-joint",
        family: Family::Conductors,
        severity: Severity::Warning,
        title: "The conductor grows nearly as hot as its insulation bears.",
        why: "Insulation that is always hot goes hard and cracks, and a crimp that is a little loose then has no room left before it chars.",
        rule: "the line of the ambient factors, within 5 °C of the insulation",
        tag: "D",
        mend: "A larger conductor, a cable with better insulation, a cooler place, or less current.",
        caution: Some(
            "Look along the cable and at its terminals for insulation that has gone brown or hard, with the circuit dead.",
        ),
    },
];
