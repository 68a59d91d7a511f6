//! Bars, panels, posts and contacts.

use super::{Code, Entry, Family};
use crate::finding::Severity;

pub(super) const ENTRIES: [Entry; 5] = [
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
