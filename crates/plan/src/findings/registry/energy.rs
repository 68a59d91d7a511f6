//! What a day costs, and what arrives at a load.

use super::{Code, Entry, Family};
use crate::finding::Severity;

pub(super) const ENTRIES: [Entry; 4] = [
    Entry {
        code: Code::BudgetDeficit,
        word: "budget-deficit",
        family: Family::Energy,
        severity: Severity::Advice,
        title: "A day takes more out of the batteries than it puts back.",
        why: "The batteries run down a little further every day, and a lead-acid battery that is seldom full soon holds less.",
        rule: "plain logic",
        tag: "-",
        mend: "More hours of charging, more panels, or loads that run less.",
        caution: None,
    },
    Entry {
        code: Code::CannotDeliver,
        word: "cannot-deliver",
        family: Family::Energy,
        severity: Severity::Error,
        title: "The cables can never deliver what this load asks for.",
        why: "The further the voltage falls the more current such a load takes, until it stops and all of the warmth is in the cable.",
        rule: "plain logic",
        tag: "-",
        mend: "A larger or shorter conductor.",
        caution: Some(
            "Do not switch it on to try: the cable carries a large current while the load stands still.",
        ),
    },
    Entry {
        code: Code::LowVoltage,
        word: "low-voltage",
        family: Family::Energy,
        severity: Severity::Warning,
        title: "The load gets less voltage than it needs.",
        why: "A refrigerator that does not start, a radio that resets, a pump that stalls: each in the moment in which it is wanted.",
        rule: "the load's own minimum; where it says none, 10.5 V in a 12 V system as an advice",
        tag: "-",
        mend: "A larger or shorter conductor, or a larger battery.",
        caution: None,
    },
    Entry {
        code: Code::RunsLow,
        word: "runs-low",
        family: Family::Energy,
        severity: Severity::Advice,
        title: "The real cable loses far more than the rule's formula says.",
        why: "The formula knows no warm copper, no fuse and no crimp: a circuit can pass on paper and be dim on board.",
        rule: "common practice",
        tag: "CP",
        mend: "A larger conductor, or fewer and larger contacts on the way.",
        caution: None,
    },
];
