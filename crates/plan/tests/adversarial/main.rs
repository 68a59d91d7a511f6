//! Small boats, each unsafe in one way that is easily overlooked, and sound ones, under every rule
//! set: nothing unsafe may pass in silence, and nothing sound may be scolded.
//!
//! A boat is one of three bases with a few words put in place of others and a few lines more.

use std::collections::BTreeSet;

use ampwright_plan::{Plan, Severity};

mod miswired;
mod outgrown;
mod sound;
mod unprotected;

/// A boat and what must be said of it under every rule set.
pub(crate) struct Boat {
    name: &'static str,
    base: &'static str,
    instead: &'static [(&'static str, &'static str)],
    more: &'static str,
    shows: &'static [&'static str],
}

const RULES: [&str; 4] = ["baseline", "us-cfr-183", "iso-13297", "abyc-e11"];

impl Boat {
    fn text(&self, rules: &str) -> String {
        let mut text = self.base.to_owned();
        for (old, new) in self.instead {
            assert!(text.contains(old), "{}: {old}", self.name);
            text = text.replace(old, new);
        }
        (text + self.more).replace("RULES", rules)
    }

    /// The codes of its errors and warnings.
    fn troubles(&self, rules: &str) -> BTreeSet<&'static str> {
        let plan = Plan::of_text(&self.text(rules));
        let heavy = plan.findings.iter();
        heavy
            .filter(|finding| finding.severity != Severity::Advice)
            .map(|finding| finding.code.word())
            .collect()
    }
}

#[track_caller]
fn show(boats: &[Boat]) {
    let mut silent = Vec::new();
    for boat in boats {
        for rules in RULES {
            let found = boat.troubles(rules);
            if !boat.shows.iter().all(|code| found.contains(code)) {
                silent.push(format!("{} under {rules}: {found:?}", boat.name));
            }
        }
    }
    assert!(silent.is_empty(), "{silent:#?}");
}

#[test]
fn what_nothing_protects_is_shown() {
    show(unprotected::BOATS);
}

#[test]
fn what_its_device_does_not_protect_is_shown() {
    show(outgrown::BOATS);
}

#[test]
fn what_is_overloaded_or_wired_wrongly_is_shown() {
    show(miswired::BOATS);
}

#[test]
fn a_sound_boat_has_no_error_and_no_warning() {
    let mut scolded = Vec::new();
    for boat in sound::BOATS {
        for rules in RULES {
            let found = boat.troubles(rules);
            if !found.is_empty() {
                scolded.push(format!("{} under {rules}: {found:?}", boat.name));
            }
        }
    }
    assert!(scolded.is_empty(), "{scolded:#?}");
}

/// One battery, its fuse and isolator, a panel and its bar.
pub(crate) const BASE: &str = "\
boat test
    system 12 V
    rules RULES
cable flex tinned
    insulation 105 C
battery house agm 100 Ah
fuse main bolt-down 80 A
    breaks 10 kA
isolator cut 250 A
panel cabin 100 A
    way 1 fuse 5 A
    way 2 fuse 10 A
    way 3 fuse 5 A
    way 4 breaker 30 A
    way 5 fuse 5 A
    returns neg
busbar neg negative 100 A
    posts 20
run feed
    house +
    16 mm2 flex red 0.15 m
    main
    16 mm2 flex red 0.4 m
    cut
    16 mm2 flex red 3 m
    cabin
run home
    neg
    16 mm2 flex black 3.5 m
    house -
load lamp lighting 12 W
run lamp
    cabin way 1
    1.5 mm2 flex red 3 m
    lamp
    back black
";

/// Two batteries on a selector.
pub(crate) const TWO: &str = "\
boat test
    system 12 V
    rules RULES
cable flex tinned
    insulation 105 C
battery house agm 100 Ah
fuse main bolt-down 80 A
    breaks 10 kA
battery second agm 100 Ah
fuse main2 bolt-down 80 A
    breaks 10 kA
selector sel 250 A positions off 1 2 both
panel cabin 100 A
    way 1 fuse 5 A
    way 2 fuse 10 A
    way 3 fuse 5 A
    way 4 breaker 30 A
    way 5 fuse 5 A
    returns neg
busbar neg negative 100 A
    posts 20
run feed
    house +
    16 mm2 flex red 0.15 m
    main
    16 mm2 flex red 0.4 m
    sel 1
run feed2
    second +
    16 mm2 flex red 0.15 m
    main2
    16 mm2 flex red 0.4 m
    sel 2
run common
    sel common
    35 mm2 flex red 3 m
    cabin
run neglink
    house -
    35 mm2 flex black 0.5 m
    second -
run home
    neg
    35 mm2 flex black 3.5 m
    house -
load lamp lighting 12 W
run lamp
    cabin way 1
    1.5 mm2 flex red 3 m
    lamp
    back black
";

/// The same boat as the first on 24 V.
pub(crate) const HIGH: &str = "\
boat test
    system 24 V
    rules RULES
cable flex tinned
    insulation 105 C
battery house agm 24 V 100 Ah
fuse main bolt-down 80 A
    breaks 10 kA
isolator cut 250 A
panel cabin 100 A
    way 1 fuse 5 A
    way 2 fuse 10 A
    way 3 fuse 5 A
    way 4 breaker 30 A
    way 5 fuse 5 A
    returns neg
busbar neg negative 100 A
    posts 20
run feed
    house +
    16 mm2 flex red 0.15 m
    main
    16 mm2 flex red 0.4 m
    cut
    16 mm2 flex red 3 m
    cabin
run home
    neg
    16 mm2 flex black 3.5 m
    house -
load lamp lighting 12 W
run lamp
    cabin way 1
    1.5 mm2 flex red 3 m
    lamp
    back black
";
