//! What a bank's batteries share, and the air round them.

use super::{Code, Entry, Family};
use crate::finding::Severity;

pub(super) const ENTRIES: [Entry; 4] = [
    Entry {
        code: Code::UnequalShare,
        word: "unequal-share",
        family: Family::Batteries,
        severity: Severity::Advice,
        title: "A battery of the bank gives far more, or far less, than its share.",
        why: "The battery nearest to the leads works for the others, wears out first and then drags the whole bank down.",
        rule: "common practice: within a fifth of its share of the ampere-hours",
        tag: "CP",
        mend: "Take + from one end of the bank and - from the other, or lead every battery to a common bar by equal cables.",
        caution: Some(
            "A battery's posts are live whatever is switched off: keep rings and loose tools away, and cover the other post while you work on one.",
        ),
    },
    Entry {
        code: Code::MixedBank,
        word: "mixed-bank",
        family: Family::Batteries,
        severity: Severity::Error,
        title: "Batteries that do not belong together form one bank.",
        why: "One charging voltage cannot suit two kinds, and in a row the smaller battery is emptied and overcharged by the larger: it gasses, overheats or dies.",
        rule: "plain logic",
        tag: "-",
        mend: "Make the bank of batteries of one kind, size and age, or charge the other kind by a source of its own.",
        caution: Some(
            "An overcharged battery gives off gas that explodes, and acid: no flame, no sparks, eyes covered, and part them with every charger and every load off.",
        ),
    },
    Entry {
        code: Code::BankLink,
        word: "bank-link",
        family: Family::Batteries,
        severity: Severity::Error,
        title: "A link between batteries is too long, or leaves their place, to go without a device.",
        why: "Both ends of a link are live with nothing to stop a fault: where it chafes through, both batteries feed the fire.",
        rule: "ABYC E-11, 72 in at the battery",
        tag: "D",
        mend: "Bring the batteries together in one place, or put a device at each battery's post.",
        caution: Some(
            "A link cannot be switched off: take it off at both its posts, the negative side first, before you work on it.",
        ),
    },
    Entry {
        code: Code::UnventilatedBattery,
        word: "unventilated-battery",
        family: Family::Batteries,
        severity: Severity::Error,
        title: "The air round a charging battery is too little, or nothing is known of it.",
        why: "A charging lead-acid battery gives off hydrogen, which gathers under the deck and explodes at the first spark; a sealed one does so when it is overcharged.",
        rule: "EN 50272-2, Q = 0.05 n Igas C / 1000 and A = 28 Q",
        tag: "S1",
        mend: "Give the place openings low down and high up to the open air, and write their free area.",
        caution: Some(
            "Hydrogen explodes and acid burns: air the place before you work in it, no flame or spark, goggles on, and charge only with the place open until it is mended.",
        ),
    },
];
