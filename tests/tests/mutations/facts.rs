//! What is done to single facts: the figure that a part must bear, a word that was there for safety.

use ampwright_tests::whole::{Thing, Whole};

use crate::{Kind, Mutant, never, sound};

pub(crate) const KINDS: &[Kind] = &[
    Kind {
        name: "a place of which each opening is 1 cm2",
        shows: &["unventilated-battery"],
        make: |original| {
            written(&original.boat, "place", "openings", |_| {
                Some("openings 1 cm2".into())
            })
        },
        sound: sound::no_battery_there,
        silent: &[],
    },
    Kind {
        name: "a place of which no opening is known",
        shows: &["unventilated-battery"],
        make: |original| written(&original.boat, "place", "openings", |_| None),
        sound: sound::no_battery_there,
        silent: &[],
    },
    Kind {
        name: "a controller that stands 20 V",
        shows: &["controller-overvoltage"],
        make: |original| {
            written(&original.boat, "controller", "max-input", |_| {
                Some("max-input 20 V".into())
            })
        },
        sound: never,
        silent: &[],
    },
    Kind {
        name: "a battery that bears 1 A of charging",
        shows: &["charge-too-fast"],
        make: |original| {
            written(&original.boat, "battery", "charge-limit", |_| {
                Some("charge-limit 1 A".into())
            })
        },
        sound: never,
        silent: &[(
            "shoveler",
            "bow",
            "its relay holds it side by side with the house while something charges, and both together bear what the sources give",
        )],
    },
    Kind {
        name: "an alternator whose field is not cut",
        shows: &["alternator-cut-off"],
        make: |original| written(&original.boat, "alternator", "field-cut", |_| None),
        sound: never,
        silent: &[],
    },
    Kind {
        name: "a run that does not say that it goes round the isolator",
        shows: &["no-isolator"],
        make: |original| written(&original.boat, "run", "bypasses-isolator", |_| None),
        sound: never,
        silent: &[
            ("teal", "bilge", BILGE),
            ("whimbrel", "bilge", BILGE),
            ("shoveler", "bilge", BILGE),
        ],
    },
    Kind {
        name: "a contact made for 1 A",
        shows: &["device-overloaded"],
        make: |original| {
            let kinds = [
                "isolator", "switch", "panel", "relay", "shunt", "diode", "joint",
            ];
            kinds
                .iter()
                .flat_map(|kind| one_ampere(&original.boat, kind))
                .collect()
        },
        sound: sound::idle_contact,
        silent: &[(
            "whimbrel",
            "mast-plug",
            "its poles carry what lights take, 0.75 A at most",
        )],
    },
    Kind {
        name: "a bar made for 1 A",
        shows: &["bus-overflow"],
        make: |original| one_ampere(&original.boat, "busbar"),
        sound: never,
        silent: &[],
    },
    Kind {
        name: "a bar with one screw",
        shows: &["bus-overflow"],
        make: |original| {
            let screws = |word| {
                written(&original.boat, "busbar", word, move |_| {
                    Some(format!("{word} 1"))
                })
            };
            ["posts", "studs"].into_iter().flat_map(screws).collect()
        },
        sound: never,
        silent: &[],
    },
    Kind {
        name: "a bar whose posts take 1 mm2",
        shows: &["post-too-small"],
        make: |original| {
            written(&original.boat, "busbar", "takes", |_| {
                Some("takes 1 mm2".into())
            })
        },
        sound: never,
        silent: &[],
    },
    Kind {
        name: "a cable of which the insulation stands 60 C",
        shows: &["fuse-exceeds-conductor"],
        make: |original| {
            written(&original.boat, "cable", "insulation", |_| {
                Some("insulation 60 C".into())
            })
        },
        sound: never,
        silent: &[],
    },
    Kind {
        name: "one battery of a bank of another kind",
        shows: &["mixed-bank"],
        make: |original| {
            beside(&original.boat, |line| {
                line.replace(" lithium ", " agm ")
                    .replace(" agm ", " flooded ")
            })
        },
        sound: never,
        silent: &[],
    },
    Kind {
        name: "one battery of a bank of half the size",
        shows: &["mixed-bank"],
        make: |original| beside(&original.boat, halved),
        sound: never,
        silent: &[],
    },
    Kind {
        name: "one battery of a bank in another place",
        shows: &["bank-link"],
        make: |original| beside(&original.boat, |line| format!("{line} in bilge")),
        sound: never,
        silent: &[],
    },
    Kind {
        name: "a device that breaks 100 A",
        shows: &["breaking-capacity"],
        make: |original| {
            written(&original.boat, "fuse", "breaks", |_| {
                Some("breaks 100 A".into())
            })
        },
        sound: never,
        silent: &[],
    },
    Kind {
        name: "a device for 10 V",
        shows: &["breaking-capacity"],
        make: |original| {
            written(&original.boat, "fuse", "volts", |_| {
                Some("volts 10 V".into())
            })
        },
        sound: never,
        silent: &[],
    },
    Kind {
        name: "a part that may spark",
        shows: &["ignition-protection"],
        make: |original| {
            let kinds = ["load", "alternator"];
            kinds
                .iter()
                .flat_map(|kind| written(&original.boat, kind, "ignition-protected", |_| None))
                .collect()
        },
        sound: never,
        silent: &[(
            "shoveler",
            "bilge-pump",
            "it stands in the bilge under the cabin, parted from the engine room",
        )],
    },
];

const BILGE: &str = "a bilge pump may go round the isolator behind its own fuse in each of these rule sets: the words are for the reader";

/// Each thing of a kind with the line of one fact changed, or left out.
fn written(
    boat: &Whole,
    kind: &str,
    word: &str,
    new: impl Fn(&str) -> Option<String>,
) -> Vec<Mutant> {
    let things = boat.things();
    let of_kind = things
        .iter()
        .filter(|thing| thing.kind_and_name().0 == kind);
    of_kind
        .filter_map(|thing| {
            let lines = boat.lines(&thing.path);
            let at = thing
                .lines
                .clone()
                .find(|&at| lines[at].split_whitespace().next() == Some(word))?;
            let fresh: Vec<String> = new(&lines[at])
                .map(|line| format!("    {line}"))
                .into_iter()
                .collect();
            Some(mutant(thing, boat.with(&thing.path, at..at + 1, &fresh)))
        })
        .collect()
}

fn mutant(thing: &Thing, boat: Whole) -> Mutant {
    Mutant {
        what: thing.kind_and_name().1.to_owned(),
        boat,
    }
}

/// Each thing of a kind that says on its head line what it may carry, made for 1 A.
fn one_ampere(boat: &Whole, kind: &str) -> Vec<Mutant> {
    let things = boat.things();
    let of_kind = things
        .iter()
        .filter(|thing| thing.kind_and_name().0 == kind);
    of_kind
        .filter_map(|thing| {
            let unit = thing.head.iter().position(|word| word == "A")?;
            let mut head = thing.head.clone();
            "1".clone_into(&mut head[unit - 1]);
            Some(mutant(
                thing,
                boat.with_line(&thing.path, thing.lines.start, head.join(" ")),
            ))
        })
        .collect()
}

/// Each battery that is like another, with its head line written out and changed.
fn beside(boat: &Whole, change: fn(&str) -> String) -> Vec<Mutant> {
    let things = boat.things();
    let batteries = things
        .iter()
        .filter(|thing| thing.kind_and_name().0 == "battery");
    batteries
        .filter_map(|thing| {
            let like = thing.head.iter().position(|word| word == "like")?;
            let first = boat.thing("battery", thing.head.get(like + 1)?)?;
            let name = thing.kind_and_name().1;
            let facts = &boat.lines(&first.path)[first.lines.clone()];
            let from = first
                .head
                .iter()
                .position(|word| ["lithium", "agm"].contains(&word.as_str()))?;
            let head = change(&format!("battery {name} {} ", first.head[from..].join(" ")));
            let place =
                |line: &&String| !(head.contains(" in ") && line.trim_start().starts_with("in "));
            let body = facts.iter().skip(1).filter(place).cloned();
            let lines: Vec<String> = std::iter::once(head.trim_end().to_owned())
                .chain(body)
                .collect();
            Some(mutant(
                thing,
                boat.with(&thing.path, thing.lines.clone(), &lines),
            ))
        })
        .collect()
}

fn halved(head: &str) -> String {
    head.replace("150 Ah", "75 Ah")
        .replace("200 Ah", "100 Ah")
        .replace("220 Ah", "110 Ah")
}
