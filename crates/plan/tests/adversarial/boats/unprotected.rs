//! Boats in which something has no device where it ought to have one.

use super::{BASE, Boat, TWO};

pub(crate) const BOATS: &[Boat] = &[
    Boat {
        name: "fuse in return",
        base: BASE,
        instead: &[
            (
                "    house +\n    16 mm2 flex red 0.15 m\n    main\n",
                "    house +\n",
            ),
            (
                "    16 mm2 flex black 3.5 m\n",
                "    16 mm2 flex black 3.3 m\n    main\n    16 mm2 flex black 0.15 m\n",
            ),
        ],
        more: "",
        shows: &["device-in-return", "unfused-run"],
        advises: &[],
    },
    Boat {
        name: "fuse far end",
        base: BASE,
        instead: &[(
            "    house +\n    16 mm2 flex red 0.15 m\n    main\n    16 mm2 flex red 0.4 m\n    cut\n    16 mm2 flex red 3 m\n",
            "    house +\n    16 mm2 flex red 0.4 m\n    cut\n    16 mm2 flex red 3 m\n    main\n    16 mm2 flex red 0.15 m\n",
        )],
        more: "",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "branch before main",
        base: BASE,
        instead: &[],
        more: "\
load radio electronics 2 A
switch radio-sw 5 A
run radio
    main feed
    1.5 mm2 flex red 3 m
    radio-sw
    1.5 mm2 flex red 1 m
    radio
    1.5 mm2 flex black 4 m
    neg
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "solar unfused",
        base: BASE,
        instead: &[],
        more: "\
solar roof 100 W
    voc 22 V
    isc 6 A
controller ctl mppt 15 A
    max-input 50 V
run pv
    ctl pv +
    4 mm2 flex red 4 m
    roof
    back black to ctl pv -
run chg
    ctl battery +
    4 mm2 flex red 2 m
    house +
run chg-back
    ctl battery -
    4 mm2 flex black 2 m
    house -
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "solar fused wrong end",
        base: BASE,
        instead: &[],
        more: "\
solar roof 100 W
    voc 22 V
    isc 6 A
controller ctl mppt 15 A
    max-input 50 V
run pv
    ctl pv +
    4 mm2 flex red 4 m
    roof
    back black to ctl pv -
fuse sf blade 20 A
run chg
    ctl battery +
    4 mm2 flex red 0.1 m
    sf
    4 mm2 flex red 2 m
    house +
run chg-back
    ctl battery -
    4 mm2 flex black 2 m
    house -
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "charger unfused",
        base: BASE,
        instead: &[],
        more: "\
charger shore 20 A
run shore
    house +
    6 mm2 flex red 2 m
    shore
    back black to house -
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "second battery unfused",
        base: BASE,
        instead: &[],
        more: "\
battery second agm 100 Ah
isolator cut2 250 A
run feed2
    second +
    16 mm2 flex red 0.15 m
    cut2
    16 mm2 flex red 3 m
    cabin
run home2
    neg
    16 mm2 flex black 3.5 m
    second -
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "emergency link unfused",
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
run link
    startcut out
    16 mm2 flex red 3 m
    link
    16 mm2 flex red 0.5 m
    cut out
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "relay contact unfused",
        base: BASE,
        instead: &[],
        more: "\
relay r 40 A
    coil 0.15 A
load winch other 20 A
switch rb 5 A momentary
run coil
    cabin way 3
    1.5 mm2 flex red 2 m
    rb
    1.5 mm2 flex red 1 m
    r coil
    back black
run winch
    house +
    6 mm2 flex red 2 m
    r
    6 mm2 flex red 2 m
    winch
    back black to neg
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "selector 2 unfused",
        base: TWO,
        instead: &[
            ("    main2\n    16 mm2 flex red 0.4 m\n", ""),
            ("red 0.15 m\n    sel 2", "red 1 m\n    sel 2"),
            ("fuse main2 bolt-down 80 A\n    breaks 10 kA\n", ""),
        ],
        more: "",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "converter charges unfused",
        base: BASE,
        instead: &[],
        more: "\
battery tender agm 24 V 50 Ah
converter dc charges
    input 12 V
    output 24 V
    10 A
run dcin
    cabin way 4
    6 mm2 flex red 2 m
    dc input
    back black
run dcout
    dc output +
    2.5 mm2 flex red 2 m
    tender +
run dcoutback
    dc output -
    2.5 mm2 flex black 2 m
    tender -
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "allow no by",
        base: BASE,
        instead: &[],
        more: "\
charger shore 20 A
run shore
    house +
    6 mm2 flex red 2 m
    allow unfused-run up to 3 m \"short enough\"
    shore
    back black to house -
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "allow lapsed",
        base: BASE,
        instead: &[],
        more: "\
charger shore 20 A
run shore
    house +
    6 mm2 flex red 2 m
    allow unfused-run up to 1 m \"short enough\" by \"A. Surveyor\"
    shore
    back black to house -
",
        shows: &["lapsed-allowance", "unfused-run"],
        advises: &[],
    },
    Boat {
        name: "bilge direct unfused",
        base: BASE,
        instead: &[],
        more: "\
load bilge bilge-pump 5 A
switch float 10 A automatic
run bilge
    bypasses-isolator
    house +
    2.5 mm2 flex red 3 m
    float
    2.5 mm2 flex red 1 m
    bilge
    back black to house -
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "alternator unfused",
        base: BASE,
        instead: &[],
        more: "\
alternator alt 60 A
    field-cut
run alt
    alt +
    16 mm2 flex red 2 m
    house +
run altback
    alt -
    16 mm2 flex black 2 m
    house -
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "diode outs unfused",
        base: BASE,
        instead: &[],
        more: "\
alternator alt 60 A
    field-cut
battery start flooded 70 Ah
diode split 100 A
    outputs 2
run alt
    alt +
    16 mm2 flex red 2 m
    split feed
run o1
    split out 1
    16 mm2 flex red 1 m
    house +
run o2
    split out 2
    16 mm2 flex red 1 m
    start +
run altback
    alt -
    16 mm2 flex black 2 m
    house -
run ss
    start -
    16 mm2 flex black 1 m
    house -
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "fuse after tee",
        base: BASE,
        instead: &[(
            "    house +\n    16 mm2 flex red 0.15 m\n    main\n",
            "    house +\n    16 mm2 flex red 0.1 m\n    tee\n    16 mm2 flex red 0.05 m\n    main\n",
        )],
        more: "\
joint tee
load radio electronics 2 A
fuse rf blade 5 A
run radio
    tee
    1.5 mm2 flex red 2 m
    rf
    1.5 mm2 flex red 1 m
    radio
    1.5 mm2 flex black 4 m
    neg
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "accessory off starter",
        base: BASE,
        instead: &[],
        more: "\
block engine
load starter starter 1 kW
    short-time 10 s
    earthed engine
isolator startcut 500 A
run crank
    house +
    50 mm2 flex red 0.5 m
    startcut
    50 mm2 flex red 1 m
    starter +
run eng
    engine
    50 mm2 flex black 1.5 m
    house -
load gauge electronics 1 A
switch ign 5 A
run gauge
    starter +
    1 mm2 flex red 2 m
    ign
    1 mm2 flex red 1 m
    gauge
    1 mm2 flex black 3 m
    engine
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "normally open normally closed relay",
        base: BASE,
        instead: &[],
        more: "\
relay r 40 A normally-closed
    coil 0.15 A
load buzz alarm 0.5 A
run coil
    cabin way 3
    1.5 mm2 flex red 2 m
    r coil
    back black
run buzz
    house +
    1.5 mm2 flex red 2 m
    r
    1.5 mm2 flex red 2 m
    buzz
    back black to neg
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "vsr unfused second",
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
relay vsr 100 A
    coil 0.1 A
    closes 13.3 V
    opens 12.8 V
fuse vf bolt-down 125 A
run vsr
    house +
    35 mm2 flex red 0.15 m
    vf
    35 mm2 flex red 1 m
    vsr
    35 mm2 flex red 1 m
    start +
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "charger two outputs",
        base: BASE,
        instead: &[],
        more: "\
charger shore 20 A
    outputs 2
battery start flooded 70 Ah
fuse c1 bolt-down 30 A
run o1
    house +
    6 mm2 flex red 0.15 m
    c1
    6 mm2 flex red 2 m
    shore out 1
run o2
    start +
    6 mm2 flex red 2 m
    shore out 2
run cn
    shore -
    6 mm2 flex black 2 m
    house -
run ns
    start -
    6 mm2 flex black 0.5 m
    house -
",
        shows: &["unfused-run"],
        advises: &[],
    },
];
