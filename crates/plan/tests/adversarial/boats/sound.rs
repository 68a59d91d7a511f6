//! Boats that nobody should be troubled about.

use super::{BASE, Boat, HIGH, TWO};

pub(crate) const BOATS: &[Boat] = &[
    Boat {
        name: "shunt",
        base: BASE,
        instead: &[(
            "run home\n    neg\n    16 mm2 flex black 3.5 m\n    house -\n",
            "run home\n    neg\n    16 mm2 flex black 3 m\n    meter\n    25 mm2 flex black 0.5 m\n    house -\n",
        )],
        more: "\
shunt meter 300 A
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "solar",
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
fuse sf cartridge 20 A breaks 10 kA
run chg
    house +
    4 mm2 flex red 0.1 m
    sf
    4 mm2 flex red 2 m
    ctl battery
    back black to house -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "charger",
        base: BASE,
        instead: &[],
        more: "\
charger shore 20 A
fuse shf bolt-down 30 A breaks 10 kA
run shore
    house +
    6 mm2 flex red 0.15 m
    shf
    6 mm2 flex red 2 m
    shore
    back black to house -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "starter",
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
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "emergency link",
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
fuse lf1 bolt-down 200 A breaks 10 kA
fuse lf2 bolt-down 200 A breaks 10 kA
run link
    start +
    70 mm2 flex red 0.15 m
    lf1
    70 mm2 flex red 3 m
    link
    70 mm2 flex red 0.5 m
    lf2
    70 mm2 flex red 0.15 m
    house +
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "horn",
        base: BASE,
        instead: &[],
        more: "\
load horn other 4 A
switch button 10 A momentary
run horn
    cabin way 3
    2.5 mm2 flex red 3 m
    button
    2.5 mm2 flex red 3 m
    horn
    back black
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "relay",
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
    cabin way 4
    6 mm2 flex red 2 m
    r
    6 mm2 flex red 2 m
    winch
    back black
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "selector",
        base: TWO,
        instead: &[],
        more: "",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "converter",
        base: BASE,
        instead: &[],
        more: "\
converter dc isolated
    input 12 V
    output 24 V
    10 A
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
    2.5 mm2 flex red 2 m
    pos24
run dcoutback
    neg24
    2.5 mm2 flex black 2 m
    dc output -
run radar
    pos24
    2.5 mm2 flex red 3 m
    radar
    back black to neg24
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "converter charges",
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
    tender +
    2.5 mm2 flex red 0.15 m
    tf
    2.5 mm2 flex red 2 m
    dc output +
run dcoutback
    dc output -
    2.5 mm2 flex black 2 m
    tender -
fuse tf cartridge 15 A breaks 10 kA
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "multicore",
        base: BASE,
        instead: &[],
        more: "\
multicore mast 3 cores 2.5 mm2 flex 12 m
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
    2.5 mm2 flex black 0.2 m
    tri -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "two pole",
        base: BASE,
        instead: &[],
        more: "\
breaker tb 10 A two-pole
    breaks 5 kA
load heat heater 8 A
busbar pos positive 100 A
    posts 10
run cabpos
    cut out
    16 mm2 flex red 0.5 m
    pos
run heat
    pos
    twin 2.5 mm2 flex 0.1 m
    tb
    twin 2.5 mm2 flex 3 m
    heat
    back to neg
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "parallel",
        base: BASE,
        instead: &[(
            "16 mm2 flex red 3 m\n    cabin",
            "2 parallel 16 mm2 flex red 3 m\n    cabin",
        )],
        more: "",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "spread",
        base: BASE,
        instead: &[],
        more: "\
load strip lighting 24 W
    spread 3 m
run strip
    cabin way 3
    1.5 mm2 flex red 5 m
    strip
    back black
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "earthed",
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
    16 mm2 flex black 2 m
    neg
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "24v",
        base: HIGH,
        instead: &[],
        more: "\
load winch other 240 W
run winch
    cabin way 4
    6 mm2 flex red 3 m
    winch
    back black
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "bilge",
        base: BASE,
        instead: &[],
        more: "\
load bilge bilge-pump 5 A
switch float 10 A automatic
fuse bf cartridge 10 A breaks 10 kA
run bilge
    bypasses-isolator
    house +
    2.5 mm2 flex red 0.15 m
    bf
    2.5 mm2 flex red 3 m
    float
    2.5 mm2 flex red 1 m
    bilge
    back black to house -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "inverter",
        base: BASE,
        instead: &[],
        more: "\
inverter inv 1000 W
fuse invf class-t 150 A
isolator invcut 300 A
run inv
    house +
    50 mm2 flex red 0.15 m
    invf
    50 mm2 flex red 0.5 m
    invcut
    50 mm2 flex red 0.5 m
    inv
    50 mm2 flex black 1.2 m
    house -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "alternator",
        base: BASE,
        instead: &[],
        more: "\
alternator alt 60 A
    field-cut
run alt
    house +
    16 mm2 flex red 0.15 m
    af
    16 mm2 flex red 2 m
    alt +
run altback
    alt -
    16 mm2 flex black 2 m
    house -
fuse af bolt-down 80 A breaks 10 kA
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "bank",
        base: BASE,
        instead: &[],
        more: "\
battery b2 like house
run l1
    house +
    25 mm2 flex red 0.3 m
    b2 +
run l2
    house -
    25 mm2 flex black 0.3 m
    b2 -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "socket",
        base: BASE,
        instead: &[],
        more: "\
socket usb 10 A
run usb
    cabin way 2
    2.5 mm2 flex red 3 m
    usb
    back black
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "lamps",
        base: BASE,
        instead: &[],
        more: "\
load l1 lighting 3 W
load l2 lighting 3 W
run two
    cabin way 3
    1.5 mm2 flex red 3 m
    l1 +
    1.5 mm2 flex red 1 m
    l2
    back black
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "earthed alternator",
        base: BASE,
        instead: &[],
        more: "\
block engine
alternator alt 60 A
    earthed engine
    field-cut
fuse af bolt-down 80 A breaks 10 kA
run alt
    house +
    16 mm2 flex red 0.15 m
    af
    16 mm2 flex red 2 m
    alt +
run eng
    engine
    16 mm2 flex black 2 m
    house -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "earthed starter",
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
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "vsr",
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
    closes 13.3 V
    opens 12.8 V
fuse vf bolt-down 125 A breaks 10 kA
fuse vg bolt-down 125 A breaks 10 kA
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
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "isolator two pole",
        base: BASE,
        instead: &[
            ("isolator cut 250 A", "isolator cut 250 A two-pole"),
            ("    cut\n", "    cut pole 1\n"),
            (
                "    16 mm2 flex black 3.5 m\n",
                "    16 mm2 flex black 3 m\n    cut pole 2\n    16 mm2 flex black 0.5 m\n",
            ),
        ],
        more: "",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "bank diagonal",
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
    25 mm2 flex black 0.3 m
    b2 -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "main breaker",
        base: BASE,
        instead: &[("panel cabin 100 A\n", "panel cabin 100 A\n    main 60 A\n")],
        more: "",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "subpanel",
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
    6 mm2 flex black 4 m
    neg
run la
    aft way 1
    1.5 mm2 flex red 1 m
    la
    back black
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "bank of three",
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
    25 mm2 flex black 0.3 m
    b2 -
    25 mm2 flex black 0.3 m
    b3 -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "bank bar",
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
    25 mm2 flex black 0.3 m
    low
",
        shows: &[],
        advises: &[],
    },
];
