//! What a surveyor finds among petrol vapour.

use super::{BASE, Boat};

pub(crate) const BOATS: &[Boat] = &[
    Boat {
        name: "a petrol boat whose engine space says nothing of vapour",
        base: BASE,
        instead: &[
            ("    system 12 V\n", "    system 12 V\n    fuel petrol\n"),
            (
                "isolator cut 250 A",
                "place engine engine-space\nisolator cut 250 A\n    in engine",
            ),
        ],
        more: "",
        shows: &["ignition-protection"],
        advises: &[],
    },
    Boat {
        name: "a bilge switch among petrol vapour",
        base: BASE,
        instead: &[("    system 12 V\n", "    system 12 V\n    fuel petrol\n")],
        more: "\
place bilge petrol-vapour
switch float 10 A automatic
    in bilge
load bp bilge-pump 3 A
    ignition-protected
    in bilge
run bp
    cabin way 3
    2.5 mm2 flex red 3 m
    float
    2.5 mm2 flex red 1 m
    bp
    back black
",
        shows: &["ignition-protection"],
        advises: &[],
    },
    Boat {
        name: "a blade fuse among petrol vapour",
        base: BASE,
        instead: &[
            ("    system 12 V\n", "    system 12 V\n    fuel petrol\n"),
            (
                "fuse main bolt-down 80 A\n    breaks 10 kA\n",
                "fuse main bolt-down 80 A\n    breaks 10 kA\n    in bilge\n",
            ),
        ],
        more: "place bilge petrol-vapour\n",
        shows: &["ignition-protection"],
        advises: &[],
    },
    Boat {
        name: "an alternator among petrol vapour",
        base: BASE,
        instead: &[("    system 12 V\n", "    system 12 V\n    fuel petrol\n")],
        more: "\
place bilge petrol-vapour engine-space
alternator dyn 30 A
    in bilge
fuse df bolt-down 60 A
    breaks 10 kA
run dyn
    house +
    16 mm2 flex red 0.15 m
    df
    16 mm2 flex red 2 m
    dyn
    back black to house -
",
        shows: &["ignition-protection"],
        advises: &[],
    },
    Boat {
        name: "a socket among petrol vapour",
        base: BASE,
        instead: &[("    system 12 V\n", "    system 12 V\n    fuel petrol\n")],
        more: "\
place bilge petrol-vapour
socket sk 10 A
    in bilge
run sk
    cabin way 2
    2.5 mm2 flex red 3 m
    sk
    back black
",
        shows: &["ignition-protection"],
        advises: &[],
    },
    Boat {
        name: "a relay among petrol vapour",
        base: BASE,
        instead: &[("    system 12 V\n", "    system 12 V\n    fuel petrol\n")],
        more: "\
place bilge petrol-vapour
relay rel 20 A
    in bilge
    coil 0.2 A
load horn other 4 A
switch hb 5 A momentary
run hb
    cabin way 1
    1.5 mm2 flex red 2 m
    hb
    1.5 mm2 flex red 2 m
    rel coil
    back black
run horn
    cabin way 2
    2.5 mm2 flex red 2 m
    rel
    2.5 mm2 flex red 1 m
    horn
    back black
",
        shows: &["ignition-protection"],
        advises: &[],
    },
];
