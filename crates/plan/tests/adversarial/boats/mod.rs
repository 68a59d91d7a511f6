//! Small boats, each unsafe in one way that is easily overlooked, and sound ones: a base with a few
//! words put in place of others and a few lines more.

mod charged;
mod converted;
mod faulted;
mod miswired;
mod ordinary;
mod outgrown;
mod recharged;
mod sound;
mod sparking;
mod starved;
mod surveyed;
mod unprotected;
mod whole;

/// A boat and what must be said of it under every rule set.
pub(crate) struct Boat {
    pub(crate) name: &'static str,
    base: &'static str,
    instead: &'static [(&'static str, &'static str)],
    more: &'static str,
    /// Codes of errors or warnings that it must give; none where it is sound.
    pub(crate) shows: &'static [&'static str],
    /// Codes that it must give, if only as an advice.
    pub(crate) advises: &'static [&'static str],
}

pub(crate) const RULES: [&str; 4] = ["baseline", "us-cfr-183", "iso-13297", "abyc-e11"];

/// What is unsafe, family by family.
pub(crate) const UNSAFE: [&[Boat]; 9] = [
    unprotected::BOATS,
    outgrown::BOATS,
    miswired::BOATS,
    charged::BOATS,
    faulted::BOATS,
    starved::BOATS,
    surveyed::BOATS,
    recharged::BOATS,
    sparking::BOATS,
];

/// What nobody should be troubled about.
pub(crate) const SOUND: [&[Boat]; 4] = [
    sound::BOATS,
    ordinary::BOATS,
    whole::BOATS,
    converted::BOATS,
];

impl Boat {
    /// Its text under a rule set.
    ///
    /// # Panics
    /// The base does not have what is to be replaced.
    pub(crate) fn text(&self, rules: &str) -> String {
        let mut text = self.base.to_owned();
        for (old, new) in self.instead {
            assert!(text.contains(old), "{}: {old}", self.name);
            text = text.replace(old, new);
        }
        (text + self.more).replace("RULES", rules)
    }
}

/// One battery, its fuse and isolator, a panel and its bar.
const BASE: &str = "\
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
const TWO: &str = "\
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
const HIGH: &str = "\
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
