//! What ordinary sound boats have beside their domestic side, which nobody should be troubled about.

use super::{BASE, Boat, HIGH, TWO};

pub(crate) const BOATS: &[Boat] = &[
    Boat {
        name: "a charger of three outputs with one limited",
        base: BASE,
        instead: &[],
        more: "\
battery start flooded 80 Ah
place es engine-space
    openings 200 cm2
isolator startcut 300 A
load starter starter 1.2 kW
run crank
    start +
    50 mm2 flex red 0.5 m
    startcut
    50 mm2 flex red 1 m
    starter
    back black to start -
run comm
    start -
    50 mm2 flex black 0.5 m
    house -
charger sh 30 A
    outputs 3
    out 1 4 A
fuse s1 bolt-down 30 A
    breaks 10 kA
fuse s2 bolt-down 40 A
    breaks 10 kA
run o1
    start +
    6 mm2 flex red 0.15 m
    s1
    6 mm2 flex red 1 m
    sh out 1
run o2
    house +
    6 mm2 flex red 0.15 m
    s2
    6 mm2 flex red 1 m
    sh out 2
run ret
    sh -
    6 mm2 flex black 1 m
    house -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "a 12 V radio from 24 V",
        base: HIGH,
        instead: &[],
        more: "\
converter dc
    input 24 V
    output 12 V
    10 A
load radio electronics 5 A
fuse rf blade 10 A
run dc
    cabin way 2
    4 mm2 flex red 2 m
    dc input
    back black
run radio
    dc output +
    2.5 mm2 flex red 0.1 m
    rf
    2.5 mm2 flex red 1 m
    radio
    back black to dc output -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "a 24 V bow bank charged from 12 V",
        base: BASE,
        instead: &[(
            "16 mm2 flex red 3 m\n    cabin",
            "16 mm2 flex red 3 m\n    cabin",
        )],
        more: "\
battery bow agm 24 V 60 Ah
load thr motor 2 kW
    short-time 120 s
fuse bf class-t 150 A
isolator bc 300 A
run thr
    bow +
    50 mm2 flex red 0.15 m
    bf
    50 mm2 flex red 0.5 m
    bc
    50 mm2 flex red 1 m
    thr
    back black to bow -
converter up charges isolated
    input 12 V
    output 24 V
    8 A
fuse uf cartridge 40 A
    breaks 10 kA
fuse ui cartridge 15 A
    breaks 10 kA
run up
    cut out
    10 mm2 flex red 0.1 m
    uf
    10 mm2 flex red 2 m
    up input
    back black to neg
run upo
    bow +
    4 mm2 flex red 0.15 m
    ui
    4 mm2 flex red 1 m
    up output
    back black to bow -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "solar only, two panels side by side",
        base: BASE,
        instead: &[],
        more: "\
solar pan 100 W
    voc 22.5 V
    isc 6 A
    parallel 2
    4 h/day
controller ctl mppt 20 A
    max-input 75 V
fuse sf cartridge 25 A
    breaks 10 kA
run pv
    ctl pv +
    twin 4 mm2 4 m
    pan
    back to ctl pv -
run sun
    house +
    6 mm2 flex red 0.15 m
    sf
    6 mm2 flex red 1 m
    ctl battery
    back black to house -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "two strings of two with a fuse each",
        base: BASE,
        instead: &[],
        more: "\
solar pa 100 W
    voc 22.5 V
    isc 6 A
    series 2
solar pb like pa
fuse fa cartridge 15 A
fuse fb cartridge 15 A
busbar pp positive 40 A
    posts 4
busbar pn negative 40 A
    posts 4
controller ctl mppt 30 A
    max-input 100 V
fuse sf bolt-down 40 A
    breaks 10 kA
run pa
    pa +
    4 mm2 flex red 3 m
    fa
    4 mm2 flex red 0.2 m
    pp
run pb
    pb +
    4 mm2 flex red 3 m
    fb
    4 mm2 flex red 0.2 m
    pp
run pan
    pa -
    4 mm2 flex black 3 m
    pn
run pbn
    pb -
    4 mm2 flex black 3 m
    pn
run pv
    pp
    6 mm2 flex red 3 m
    ctl pv +
run pvn
    pn
    6 mm2 flex black 3 m
    ctl pv -
run sun
    house +
    10 mm2 flex red 0.15 m
    sf
    10 mm2 flex red 1 m
    ctl battery
    back black to house -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "a windlass on its breaker at the battery",
        base: BASE,
        instead: &[],
        more: "\
load wl motor 70 A
    short-time 90 s
breaker wb 100 A thermal
    breaks 5 kA
switch foot 150 A momentary
isolator wc 200 A
run wl
    house +
    50 mm2 flex red 0.15 m
    wb
    50 mm2 flex red 1 m
    wc
    50 mm2 flex red 5 m
    foot
    50 mm2 flex red 1 m
    wl
    back black to house -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "batteries with a fuse each, side by side",
        base: BASE,
        instead: &[
            (
                "battery house agm 100 Ah\n",
                "battery house agm 100 Ah\nbattery second like house\nfuse fh bolt-down 150 A\n    breaks 10 kA\nfuse fs bolt-down 150 A\n    breaks 10 kA\nbusbar pos positive 300 A\n    studs 4\nrun a\n    house +\n    50 mm2 flex red 0.15 m\n    fh\n    50 mm2 flex red 0.3 m\n    pos\nrun b\n    second +\n    50 mm2 flex red 0.15 m\n    fs\n    50 mm2 flex red 0.3 m\n    pos\nrun c\n    second -\n    50 mm2 flex black 0.4 m\n    house -\n",
            ),
            (
                "    house +\n    16 mm2 flex red 0.15 m\n    main\n",
                "    pos\n    16 mm2 flex red 0.15 m\n    main\n",
            ),
        ],
        more: "",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "a charging relay between two agm batteries",
        base: BASE,
        instead: &[],
        more: "\
battery start agm 80 Ah
place es engine-space
    openings 200 cm2
isolator startcut 300 A
load starter starter 1.2 kW
run crank
    start +
    50 mm2 flex red 0.5 m
    startcut
    50 mm2 flex red 1 m
    starter
    back black to start -
run comm
    start -
    50 mm2 flex black 0.5 m
    house -
relay vsr 140 A
    closes 13.3 V
    opens 12.8 V
fuse v1 bolt-down 80 A
    breaks 10 kA
fuse v2 bolt-down 80 A
    breaks 10 kA
run vsr
    start +
    35 mm2 flex red 0.15 m
    v1
    35 mm2 flex red 1 m
    vsr
    35 mm2 flex red 1 m
    v2
    35 mm2 flex red 0.15 m
    house +
alternator dyn 35 A
fuse df bolt-down 80 A
    breaks 10 kA
run dyn
    start +
    25 mm2 flex red 0.15 m
    df
    25 mm2 flex red 1 m
    dyn
    back black to start -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "a splitting diode with a fuse at each battery",
        base: BASE,
        instead: &[],
        more: "\
battery start flooded 80 Ah
place es engine-space
    openings 200 cm2
isolator startcut 300 A
load starter starter 1.2 kW
run crank
    start +
    50 mm2 flex red 0.5 m
    startcut
    50 mm2 flex red 1 m
    starter
    back black to start -
run comm
    start -
    50 mm2 flex black 0.5 m
    house -
alternator dyn 50 A
diode split 70 A
    outputs 2
fuse d1 bolt-down 80 A
    breaks 10 kA
fuse d2 bolt-down 80 A
    breaks 10 kA
run dyn
    split feed
    16 mm2 flex red 1 m
    dyn
    back black to house -
run o1
    split out 1
    16 mm2 flex red 1 m
    d1
    16 mm2 flex red 0.15 m
    house +
run o2
    split out 2
    16 mm2 flex red 1 m
    d2
    16 mm2 flex red 0.15 m
    start +
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "an inverter on a class-t fuse",
        base: BASE,
        instead: &[("battery house agm 100 Ah\n", "battery house agm 200 Ah\n")],
        more: "\
inverter inv 1000 W
fuse inf class-t 150 A
isolator invcut 300 A
run inv
    house +
    50 mm2 flex red 0.15 m
    inf
    50 mm2 flex red 0.4 m
    invcut
    50 mm2 flex red 1 m
    inv
    back black to house -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "a selector with an alternator whose field is cut",
        base: TWO,
        instead: &[
            ("    16 mm2 flex red", "    25 mm2 flex red"),
            ("    35 mm2 flex", "    50 mm2 flex"),
        ],
        more: "\
alternator dyn 30 A
    field-cut
fuse df bolt-down 50 A
    breaks 10 kA
run dyn
    sel common
    16 mm2 flex red 0.15 m
    df
    16 mm2 flex red 1 m
    dyn
    back black to house -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "an emergency link between lithium and the starting battery",
        base: BASE,
        instead: &[
            (
                "battery house agm 100 Ah\n",
                "battery house lithium 100 Ah\n",
            ),
            (
                "fuse main bolt-down 80 A\n    breaks 10 kA\n",
                "fuse main class-t 80 A\n",
            ),
        ],
        more: "\
battery start flooded 80 Ah
place es engine-space
    openings 200 cm2
isolator startcut 300 A
load starter starter 1.2 kW
run crank
    start +
    50 mm2 flex red 0.5 m
    startcut
    50 mm2 flex red 1 m
    starter
    back black to start -
run comm
    start -
    50 mm2 flex black 0.5 m
    house -
isolator link 300 A normally-open
fuse lf1 class-t 200 A
fuse lf2 bolt-down 200 A breaks 10 kA
run link
    start +
    70 mm2 flex red 0.15 m
    lf2
    70 mm2 flex red 3 m
    link
    70 mm2 flex red 0.5 m
    lf1
    70 mm2 flex red 0.15 m
    house +
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "lithium and lead apart on a selector of either",
        base: TWO,
        instead: &[
            ("positions off 1 2 both", "positions off 1 2"),
            ("battery second agm", "battery second lithium"),
            (
                "fuse main2 bolt-down 80 A\n    breaks 10 kA",
                "fuse main2 class-t 80 A",
            ),
        ],
        more: "",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "flooded batteries in the open air",
        base: BASE,
        instead: &[(
            "battery house agm 100 Ah\n",
            "place deck open-air\nbattery house flooded 110 Ah\n    in deck\n",
        )],
        more: "\
charger sh 20 A
fuse f1 bolt-down 30 A
    breaks 10 kA
run sh
    house +
    6 mm2 flex red 0.15 m
    f1
    6 mm2 flex red 1 m
    sh
    back black to house -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "an electric launch of 48 V",
        base: HIGH,
        instead: &[
            ("system 24 V", "system 48 V"),
            ("agm 24 V", "lithium 48 V"),
            (
                "fuse main bolt-down 80 A\n    breaks 10 kA\n",
                "fuse main class-t 80 A\n    volts 125 V\n",
            ),
        ],
        more: "\
load motor motor 2 kW
fuse mf class-t 80 A
run motor
    house +
    25 mm2 flex red 0.15 m
    mf
    25 mm2 flex red 0.5 m
    mc
    25 mm2 flex red 2 m
    motor
    back black to house -
isolator mc 200 A
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "a wiper and a horn through a relay",
        base: BASE,
        instead: &[(
            "load lamp lighting 12 W\nrun lamp\n    cabin way 1",
            "load lamp lighting 12 W\nrun lamp\n    cabin way 3",
        )],
        more: "\
relay rel 20 A
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
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "an autopilot that starts hard",
        base: BASE,
        instead: &[],
        more: "\
load pilot electronics 4 A
    starting 12 A 1 s
run pilot
    cabin way 2
    4 mm2 flex red 4 m
    pilot
    back black
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "a diesel heater that glows",
        base: BASE,
        instead: &[],
        more: "\
load heat heater 2 A
    starting 9 A 180 s
run heat
    cabin way 2
    4 mm2 flex red 4 m
    heat
    back black
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "a bilge pump past the isolator",
        base: BASE,
        instead: &[],
        more: "\
fuse bf blade 5 A
load bp bilge-pump 3 A
switch fl 10 A automatic
run bp
    bypasses-isolator
    house +
    2.5 mm2 flex red 0.15 m
    bf
    2.5 mm2 flex red 3 m
    fl
    2.5 mm2 flex red 0.5 m
    bp
    back black to house -
",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "a petrol outboard and an open well",
        base: BASE,
        instead: &[
            ("    system 12 V\n", "    system 12 V\n    fuel petrol\n"),
            (
                "isolator cut 250 A\n",
                "place well open-air\nisolator cut 250 A\n    in well\n",
            ),
        ],
        more: "",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "a hydrogenerator and a shore charger",
        base: BASE,
        instead: &[],
        more: "\
alternator hydro 8 A
fuse hf cartridge 15 A
    breaks 10 kA
run hydro
    house +
    6 mm2 flex red 0.15 m
    hf
    6 mm2 flex red 5 m
    hydro
    back black to house -
charger sh 20 A
fuse f1 bolt-down 30 A
    breaks 10 kA
run sh
    house +
    6 mm2 flex red 0.15 m
    f1
    6 mm2 flex red 1 m
    sh
    back black to house -
",
        shows: &[],
        advises: &[],
    },
];
