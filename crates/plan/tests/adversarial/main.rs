//! The small boats under every rule set: nothing unsafe may pass in silence, and nothing sound may
//! be scolded.

use std::collections::BTreeSet;

use ampwright_plan::{Plan, Severity};

mod boats;

use boats::{Boat, RULES, SOUND, UNSAFE};

/// The codes of a boat's findings from some severity on.
fn codes(boat: &Boat, rules: &str, from: Severity) -> BTreeSet<&'static str> {
    let plan = Plan::of_text(&boat.text(rules));
    let heavy = plan.findings.iter();
    heavy
        .filter(|finding| finding.severity >= from)
        .map(|finding| finding.code.word())
        .collect()
}

#[test]
fn nothing_unsafe_passes_in_silence() {
    let mut silent = Vec::new();
    for boat in UNSAFE.into_iter().flatten() {
        for rules in RULES {
            let asked = [
                (boat.shows, codes(boat, rules, Severity::Warning)),
                (boat.advises, codes(boat, rules, Severity::Advice)),
            ];
            for (wanted, found) in asked {
                if !wanted.iter().all(|code| found.contains(code)) {
                    silent.push(format!(
                        "{} under {rules}: {wanted:?} in {found:?}",
                        boat.name
                    ));
                }
            }
        }
    }
    assert!(silent.is_empty(), "{silent:#?}");
}

#[test]
fn a_sound_boat_has_no_error_and_no_warning() {
    let mut scolded = Vec::new();
    for boat in SOUND.into_iter().flatten() {
        for rules in RULES {
            let found = codes(boat, rules, Severity::Warning);
            if !found.is_empty() {
                scolded.push(format!("{} under {rules}: {found:?}", boat.name));
            }
        }
    }
    assert!(scolded.is_empty(), "{scolded:#?}");
}

/// Each boat asks for something, and is told from the others by its name.
#[test]
fn every_boat_is_one_of_its_kind() {
    let unsafe_ones = UNSAFE.into_iter().flatten();
    let mut names = BTreeSet::new();
    for boat in unsafe_ones {
        assert!(names.insert(boat.name), "{} stands twice", boat.name);
        assert!(boat.shows.len() + boat.advises.len() > 0, "{}", boat.name);
    }
}
