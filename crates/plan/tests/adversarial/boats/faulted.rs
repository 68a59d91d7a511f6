//! Boats in which something is wrong with a short circuit, or with what is to stop it.

use super::{BASE, Boat, HIGH};

pub(crate) const BOATS: &[Boat] = &[
    Boat {
        name: "a fuse that can never blow",
        base: BASE,
        instead: &[],
        more: "\
load anchor lighting 2 A
run anchor
    cabin way 4
    2.5 mm2 flex red 12 m
    anchor
    back black
",
        shows: &[],
        advises: &["fault-not-cleared"],
    },
    Boat {
        name: "a fuse below the system's voltage",
        base: HIGH,
        instead: &[("    breaks 10 kA\n", "    breaks 10 kA\n    volts 16 V\n")],
        more: "",
        shows: &["breaking-capacity"],
        advises: &[],
    },
    Boat {
        name: "a blade fuse on a large bank",
        base: BASE,
        instead: &[(
            "battery house agm 100 Ah\n",
            "battery house lithium 400 Ah\n    resistance 1 mohm\n",
        )],
        more: "\
fuse pf blade 15 A
load pump bilge-pump 4 A
run pump
    bypasses-isolator
    house +
    2.5 mm2 flex red 0.1 m
    pf
    2.5 mm2 flex red 3 m
    pump
    back black to house -
",
        shows: &["breaking-capacity"],
        advises: &[],
    },
    Boat {
        name: "a main fuse that the bank would burst",
        base: BASE,
        instead: &[
            (
                "battery house agm 100 Ah\n",
                "battery house lithium 400 Ah\n    resistance 1 mohm\n",
            ),
            ("    breaks 10 kA\n", "    breaks 2 kA\n"),
        ],
        more: "",
        shows: &["breaking-capacity"],
        advises: &[],
    },
    Boat {
        name: "a bank that says what it gives",
        base: BASE,
        instead: &[(
            "battery house agm 100 Ah\n",
            "battery house agm 100 Ah\n    short-circuit 12000 A\n",
        )],
        more: "",
        shows: &["breaking-capacity"],
        advises: &[],
    },
    Boat {
        name: "a panel's way as large as the main fuse",
        base: BASE,
        instead: &[("    way 4 breaker 30 A\n", "    way 4 breaker 60 A\n")],
        more: "\
load heater heater 20 A
run heater
    cabin way 4
    10 mm2 flex red 3 m
    heater
    back black
",
        shows: &[],
        advises: &["no-selectivity"],
    },
    Boat {
        name: "a fuse that nobody makes",
        base: BASE,
        instead: &[],
        more: "\
fuse odd blade 12 A
load radio electronics 2 A
run radio
    cabin way 2
    2.5 mm2 flex red 0.5 m
    odd
    2.5 mm2 flex red 1 m
    radio
    back black
",
        shows: &["not-a-standard-rating"],
        advises: &[],
    },
    Boat {
        name: "an isolator among petrol vapour",
        base: BASE,
        instead: &[
            (
                "isolator cut 250 A\n",
                "isolator cut 250 A\n    in engine\nplace engine petrol-vapour\n",
            ),
            ("    system 12 V\n", "    system 12 V\n    fuel petrol\n"),
        ],
        more: "",
        shows: &["ignition-protection"],
        advises: &[],
    },
    Boat {
        name: "a pump among petrol vapour",
        base: BASE,
        instead: &[(
            "    system 12 V\n",
            "    system 12 V\n    fuel petrol\nplace engine petrol-vapour\n",
        )],
        more: "\
load pump bilge-pump 3 A
    in engine
run pump
    cabin way 2
    2.5 mm2 flex red 2 m
    pump
    back black
",
        shows: &["ignition-protection"],
        advises: &[],
    },
];
