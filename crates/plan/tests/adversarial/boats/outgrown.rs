//! Boats in which a device is too large for what lies behind it.

use super::{BASE, Boat, TWO};

pub(crate) const BOATS: &[Boat] = &[
    Boat {
        name: "two fuses parallel",
        base: BASE,
        instead: &[],
        more: "\
fuse second bolt-down 125 A
run second
    house +
    16 mm2 flex red 0.15 m
    second
    16 mm2 flex red 0.4 m
    cut feed
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "thin return",
        base: BASE,
        instead: &[("16 mm2 flex black 3.5 m", "2.5 mm2 flex black 3.5 m")],
        more: "",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "thin lamp return",
        base: BASE,
        instead: &[
            (
                "    lamp\n    back black\n",
                "    lamp\n    0.75 mm2 flex black 3 m\n    neg\n",
            ),
            ("way 1 fuse 5 A", "way 1 fuse 40 A"),
            ("1.5 mm2 flex red 3 m", "6 mm2 flex red 3 m"),
        ],
        more: "",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "stub before big fuse",
        base: BASE,
        instead: &[(
            "    house +\n    16 mm2 flex red 0.15 m\n    main\n",
            "    house +\n    4 mm2 flex red 0.15 m\n    main\n",
        )],
        more: "",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "emergency link thin",
        base: BASE,
        instead: &[],
        more: "\
battery start flooded 70 Ah
load starter starter 1 kW
    short-time 10 s
isolator startcut 500 A
run crank
    start +
    50 mm2 flex red 0.5 m
    startcut
    50 mm2 flex red 1 m
    starter
    50 mm2 flex black 1.5 m
    start -
run comm
    start -
    50 mm2 flex black 0.5 m
    house -
isolator link 300 A normally-open
fuse lf1 bolt-down 200 A
fuse lf2 bolt-down 200 A
run link
    start +
    6 mm2 flex red 0.15 m
    lf1
    6 mm2 flex red 3 m
    link
    6 mm2 flex red 0.5 m
    lf2
    6 mm2 flex red 0.15 m
    house +
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "selector common thin",
        base: TWO,
        instead: &[("35 mm2 flex red 3 m", "10 mm2 flex red 3 m")],
        more: "",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "selector neglink thin",
        base: TWO,
        instead: &[("35 mm2 flex black 0.5 m", "4 mm2 flex black 0.5 m")],
        more: "",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "converter thin out",
        base: BASE,
        instead: &[],
        more: "\
converter dc isolated
    input 12 V
    output 24 V
    60 A
busbar pos24 positive 50 A
    posts 6
busbar neg24 negative 50 A
    posts 6
load radar electronics 60 W
run dcin
    cabin way 4
    6 mm2 flex red 2 m
    dc input
    back black
run dcout
    dc output +
    0.75 mm2 flex red 2 m
    pos24
run dcoutback
    neg24
    2.5 mm2 flex black 2 m
    dc output -
run radar
    pos24
    0.75 mm2 flex red 3 m
    radar
    back black to neg24
",
        shows: &["fuse-exceeds-conductor", "undersized-conductor"],
        advises: &[],
    },
    Boat {
        name: "multicore return thin",
        base: BASE,
        instead: &[
            ("way 3 fuse 5 A", "way 3 fuse 25 A"),
            ("way 5 fuse 5 A", "way 5 fuse 25 A"),
        ],
        more: "\
multicore mast 3 cores 1 mm2 flex 12 m
load tri navigation 10 W
load anch navigation 5 W
run tri
    cabin way 3
    core 1 of mast
    tri
    core 3 of mast
    neg
run anch
    cabin way 5
    core 2 of mast
    anch
    1 mm2 flex black 0.2 m
    tri -
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "two pole long stub",
        base: BASE,
        instead: &[],
        more: "\
breaker tb 10 A two-pole
    breaks 5 kA
load heat heater 8 A
busbar pos positive 100 A
    posts 10
run cabpos
    main out
    16 mm2 flex red 0.5 m
    pos
run heat
    pos
    twin 2.5 mm2 flex 2 m
    tb
    twin 2.5 mm2 flex 3 m
    heat
    back to neg
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "parallel one thin",
        base: BASE,
        instead: &[(
            "    16 mm2 flex red 3 m\n    cabin",
            "    2 parallel 1.5 mm2 flex red 3 m\n    cabin",
        )],
        more: "",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "earthed thin return",
        base: BASE,
        instead: &[],
        more: "\
block engine
load glow heater 20 A
    earthed engine
run glow
    cabin way 4
    6 mm2 flex red 2 m
    glow +
run engine-neg
    engine
    0.75 mm2 flex black 2 m
    neg
",
        shows: &["fuse-exceeds-conductor", "undersized-conductor"],
        advises: &[],
    },
    Boat {
        name: "like too big",
        base: BASE,
        instead: &[],
        more: "\
fuse aux like main
load pump pump 7 A
run pump
    cut out
    2.5 mm2 flex red 0.1 m
    aux
    2.5 mm2 flex red 4 m
    pump
    back black to neg
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "engine space",
        base: BASE,
        instead: &[],
        more: "\
place bay engine-space
    openings 60 cm2
load heat heater 25 A
run heat
    cabin way 4
    2.5 mm2 plain red 3 m in bay
    heat
    back black
cable plain copper
    insulation 70 C
",
        shows: &["fuse-exceeds-conductor", "undersized-conductor"],
        advises: &[],
    },
    Boat {
        name: "carries",
        base: BASE,
        instead: &[],
        more: "\
load heat heater 25 A
run heat
    cabin way 4
    4 mm2 plain red 3 m
    heat
    back black
cable plain copper
    insulation 105 C
    carries 4 mm2 15 A
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "way switch unfused",
        base: BASE,
        instead: &[(
            "    way 5 fuse 5 A\n",
            "    way 5 fuse 5 A\n    way 6 switch 10 A\n",
        )],
        more: "\
load fan blower 2 A
run fan
    cabin way 6
    1 mm2 flex red 3 m
    fan
    back black
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "inverter thin return",
        base: BASE,
        instead: &[],
        more: "\
inverter inv 1000 W
fuse invf class-t 150 A
run inv
    house +
    50 mm2 flex red 0.15 m
    invf
    50 mm2 flex red 1 m
    inv
    10 mm2 flex black 1.2 m
    house -
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "vsr comm thin",
        base: BASE,
        instead: &[],
        more: "\
battery start flooded 70 Ah
load starter starter 1 kW
    short-time 10 s
isolator startcut 500 A
run crank
    start +
    50 mm2 flex red 0.5 m
    startcut
    50 mm2 flex red 1 m
    starter
    50 mm2 flex black 1.5 m
    start -
run comm
    start -
    6 mm2 flex black 0.5 m
    house -
relay vsr 100 A
    closes 13.3 V
    opens 12.8 V
fuse vf bolt-down 125 A
fuse vg bolt-down 125 A
run vsr
    house +
    35 mm2 flex red 0.15 m
    vf
    35 mm2 flex red 1 m
    vsr
    35 mm2 flex red 1 m
    vg
    35 mm2 flex red 0.15 m
    start +
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "crossed bank neg thin",
        base: BASE,
        instead: &[(
            "    16 mm2 flex black 3.5 m\n    house -",
            "    16 mm2 flex black 3.5 m\n    b2 -",
        )],
        more: "\
battery b2 like house
run l1
    house +
    25 mm2 flex red 0.3 m
    b2 +
run l2
    house -
    4 mm2 flex black 0.3 m
    b2 -
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "subpanel thin return",
        base: BASE,
        instead: &[],
        more: "\
panel aft 50 A
    way 1 fuse 5 A
    returns neg2
busbar neg2 negative 50 A
    posts 6
load la lighting 5 W
run feedaft
    cabin way 4
    6 mm2 flex red 4 m
    aft
run retaft
    neg2
    1 mm2 plain black 4 m
    neg
run la
    aft way 1
    1.5 mm2 flex red 1 m
    la
    back black
cable plain copper
    insulation 60 C
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "bank of three neg thin",
        base: BASE,
        instead: &[(
            "    16 mm2 flex black 3.5 m\n    house -",
            "    16 mm2 flex black 3.5 m\n    b3 -",
        )],
        more: "\
battery b2 like house
battery b3 like house
run l1
    house +
    25 mm2 flex red 0.3 m
    b2 +
    25 mm2 flex red 0.3 m
    b3 +
run l2
    house -
    4 mm2 flex black 0.3 m
    b2 -
    25 mm2 flex black 0.3 m
    b3 -
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "bank bar lead thin",
        base: BASE,
        instead: &[(
            "    16 mm2 flex black 3.5 m\n    house -",
            "    16 mm2 flex black 3.5 m\n    low",
        )],
        more: "\
battery b2 like house
busbar low negative 200 A
    studs 6
run l1
    house +
    25 mm2 flex red 0.3 m
    b2 +
run l2
    house -
    25 mm2 flex black 0.3 m
    low
run l3
    low
    4 mm2 flex black 0.3 m
    b2 -
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "bank bar lead thin reversed",
        base: BASE,
        instead: &[(
            "    16 mm2 flex black 3.5 m\n    house -",
            "    16 mm2 flex black 3.5 m\n    low",
        )],
        more: "\
battery b2 like house
busbar low negative 200 A
    studs 6
run l1
    house +
    25 mm2 flex red 0.3 m
    b2 +
run l2
    house -
    25 mm2 flex black 0.3 m
    low
run l3
    b2 -
    4 mm2 flex black 0.3 m
    low
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
];
