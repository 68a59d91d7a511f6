//! What a surveyor finds when faults are looked for: devices that cannot stop what flows, cables that they do not keep, volts that do not arrive.

use super::{BASE, Boat, HIGH, TWO};

pub(crate) const BOATS: &[Boat] = &[
    Boat {
        name: "a lithium bank on a strip fuse",
        base: BASE,
        instead: &[
            (
                "battery house agm 100 Ah\n",
                "battery house lithium 300 Ah\n",
            ),
            (
                "fuse main bolt-down 80 A\n    breaks 10 kA\n",
                "fuse main strip 80 A\n",
            ),
        ],
        more: "",
        shows: &["breaking-capacity"],
        advises: &[],
    },
    Boat {
        name: "a bolt-down fuse before a bank that says 5 kA",
        base: BASE,
        instead: &[
            (
                "battery house agm 100 Ah\n",
                "battery house agm 100 Ah\n    short-circuit 5 kA\n",
            ),
            (
                "fuse main bolt-down 80 A\n    breaks 10 kA\n",
                "fuse main bolt-down 80 A\n",
            ),
        ],
        more: "",
        shows: &["breaking-capacity"],
        advises: &[],
    },
    Boat {
        name: "a main breaker that bursts",
        base: BASE,
        instead: &[
            (
                "fuse main bolt-down 80 A\n    breaks 10 kA\n",
                "breaker main 80 A\n    breaks 1.5 kA\n",
            ),
            (
                "battery house agm 100 Ah\n",
                "battery house lithium 200 Ah\n    short-circuit 4 kA\n",
            ),
        ],
        more: "",
        shows: &["breaking-capacity"],
        advises: &[],
    },
    Boat {
        name: "resistance given, fuse said",
        base: BASE,
        instead: &[(
            "battery house agm 100 Ah\n",
            "battery house agm 100 Ah\n    resistance 1 mohm\n",
        )],
        more: "",
        shows: &["breaking-capacity"],
        advises: &[],
    },
    Boat {
        name: "48 V behind a fuse for 32 V",
        base: HIGH,
        instead: &[
            ("system 24 V", "system 48 V"),
            ("agm 24 V", "lithium 48 V"),
            ("lamp lighting 12 W", "lamp lighting 12 W"),
            (
                "fuse main bolt-down 80 A\n    breaks 10 kA\n",
                "fuse main bolt-down 80 A\n    breaks 20 kA\n    volts 32 V\n",
            ),
        ],
        more: "",
        shows: &["breaking-capacity"],
        advises: &[],
    },
    Boat {
        name: "48 V behind a blade fuse",
        base: HIGH,
        instead: &[
            ("system 24 V", "system 48 V"),
            ("agm 24 V", "lithium 48 V"),
            (
                "fuse main bolt-down 80 A\n    breaks 10 kA\n",
                "fuse main blade 80 A\n    breaks 20 kA\n",
            ),
        ],
        more: "",
        shows: &[],
        advises: &["breaking-capacity"],
    },
    Boat {
        name: "two banks together on one branch fuse",
        base: BASE,
        instead: &[
            (
                "battery house agm 100 Ah\n",
                "battery house agm 100 Ah\nbattery second agm 100 Ah\nbattery third agm 100 Ah\nrun links\n    house +\n    35 mm2 flex red 0.3 m\n    second +\n    35 mm2 flex red 0.3 m\n    third +\nrun links-back\n    house -\n    35 mm2 flex black 0.3 m\n    second -\n    35 mm2 flex black 0.3 m\n    third -\n",
            ),
            (
                "battery house agm 100 Ah\n",
                "battery house agm 100 Ah\n    resistance 5 mohm\n",
            ),
            (
                "battery second agm 100 Ah\n",
                "battery second agm 100 Ah\n    resistance 5 mohm\n",
            ),
            (
                "battery third agm 100 Ah\n",
                "battery third agm 100 Ah\n    resistance 5 mohm\n",
            ),
            ("    breaks 10 kA", "    breaks 5 kA"),
        ],
        more: "",
        shows: &["breaking-capacity"],
        advises: &[],
    },
    Boat {
        name: "a blade fuse on the bar beside the bank",
        base: BASE,
        instead: &[(
            "battery house agm 100 Ah\n",
            "battery house lithium 280 Ah\n    short-circuit 6 kA\n",
        )],
        more: "\
busbar pos positive 200 A
    studs 4
fuse big class-t 200 A
    breaks 20 kA
fuse heat blade 20 A
load heater heater 8 A
run topos
    house +
    50 mm2 flex red 0.15 m
    big
    50 mm2 flex red 0.3 m
    pos
run heater
    pos
    4 mm2 flex red 0.15 m
    heat
    4 mm2 flex red 2 m
    heater
    back black to neg
",
        shows: &[],
        advises: &["breaking-capacity"],
    },
    Boat {
        name: "a blade fuse on the post of a 6 kA bank",
        base: BASE,
        instead: &[
            (
                "battery house agm 100 Ah\n",
                "battery house lithium 280 Ah\n    short-circuit 6 kA\n",
            ),
            (
                "breaks 10 kA",
                "breaks 10 kA\nload heater heater 8 A\nfuse heat blade 20 A\nrun heater\n    house +\n    4 mm2 flex red 0.1 m\n    heat\n    4 mm2 flex red 1 m\n    cut2\n    4 mm2 flex red 2 m\n    heater\n    back black to neg\nisolator cut2 100 A",
            ),
        ],
        more: "",
        shows: &["breaking-capacity"],
        advises: &[],
    },
    Boat {
        name: "a large slow fuse on a small battery",
        base: BASE,
        instead: &[
            ("battery house agm 100 Ah\n", "battery house agm 17 Ah\n"),
            (
                "fuse main bolt-down 80 A\n    breaks 10 kA\n",
                "fuse main bolt-down 100 A\n    breaks 10 kA\n",
            ),
            ("panel cabin 100 A", "panel cabin 130 A"),
            ("    way 4 breaker 30 A\n", "    way 4 breaker 50 A\n"),
        ],
        more: "\
load far heater 10 A
run far
    cabin way 4
    2.5 mm2 flex red 12 m
    far
    back black
",
        shows: &[],
        advises: &["fault-not-cleared"],
    },
    Boat {
        name: "three strings of panels without fuses",
        base: BASE,
        instead: &[],
        more: "\
solar roof 200 W
    voc 24 V
    isc 11 A
    parallel 4
controller ctl mppt 60 A
    max-input 100 V
fuse sf bolt-down 80 A
    breaks 10 kA
run sun
    house +
    25 mm2 flex red 0.15 m
    sf
    25 mm2 flex red 1 m
    ctl battery
    back black to house -
run pv
    ctl pv +
    4 mm2 flex red 6 m
    roof
    back black to ctl pv -
",
        shows: &["undersized-conductor"],
        advises: &[],
    },
    Boat {
        name: "two rows whose middles are joined",
        base: HIGH,
        instead: &[
            (
                "battery house agm 24 V 100 Ah\n",
                "battery house agm 12 V 100 Ah\nbattery low like house\nbattery house2 like house\nbattery low2 like house\n",
            ),
            (
                "    16 mm2 flex black 3.5 m\n    house -\n",
                "    16 mm2 flex black 3.5 m\n    low -\n",
            ),
        ],
        more: "\
run m1
    low +
    35 mm2 flex red 0.3 m
    house -
run m2
    low2 +
    35 mm2 flex red 0.3 m
    house2 -
run top
    house +
    35 mm2 flex red 0.3 m
    house2 +
run bot
    low -
    35 mm2 flex black 0.3 m
    low2 -
run mid
    low +
    2.5 mm2 flex red 0.3 m
    low2 +
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "a charger for 12 V across a bank of 24 V",
        base: HIGH,
        instead: &[],
        more: "\
charger sh 20 A
    14.4 V
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
        shows: &["mixed-voltage"],
        advises: &[],
    },
    Boat {
        name: "a charger for 24 V across a bank of 12 V",
        base: BASE,
        instead: &[],
        more: "\
charger sh 20 A
    28.8 V
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
        shows: &["mixed-voltage"],
        advises: &[],
    },
    Boat {
        name: "an inverter that charges and its thin lead",
        base: BASE,
        instead: &[],
        more: "\
inverter inv 1500 W
    charges 70 A
fuse inf class-t 200 A
isolator invcut 300 A
run inv
    house +
    50 mm2 flex red 0.15 m
    inf
    50 mm2 flex red 0.4 m
    invcut
    16 mm2 flex red 1 m
    inv
    50 mm2 flex black 2 m
    house -
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "an inverter that charges without a fuse",
        base: BASE,
        instead: &[],
        more: "\
inverter inv 800 W
    charges 40 A
isolator invcut 300 A
run inv
    house +
    50 mm2 flex red 0.15 m
    invcut
    50 mm2 flex red 2 m
    inv
    back black to house -
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "an inverter's peak over its fuse",
        base: BASE,
        instead: &[],
        more: "\
inverter inv 2000 W
    peak 4000 W
fuse inf class-t 125 A
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
        shows: &["fuse-below-load"],
        advises: &[],
    },
    Boat {
        name: "a converter back to front",
        base: BASE,
        instead: &[],
        more: "\
converter dc
    input 24 V
    output 12 V
    10 A
load radio electronics 5 A
fuse rf blade 10 A
run dc
    cabin way 4
    6 mm2 flex red 2 m
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
        shows: &["mixed-voltage"],
        advises: &[],
    },
    Boat {
        name: "two converters back to back",
        base: BASE,
        instead: &[],
        more: "\
battery start flooded 80 Ah
fuse a1 cartridge 40 A
    breaks 10 kA
fuse a2 cartridge 40 A
    breaks 10 kA
fuse b1 cartridge 40 A
    breaks 10 kA
fuse b2 cartridge 60 A
    breaks 10 kA
converter d1 charges
    input 12 V
    output 12 V
    20 A
converter d2 charges
    input 12 V
    output 12 V
    20 A
run i1
    start +
    10 mm2 flex red 0.15 m
    a1
    10 mm2 flex red 1 m
    d1 input
    back black to start -
run o1
    house +
    10 mm2 flex red 0.15 m
    a2
    10 mm2 flex red 1 m
    d1 output
    back black to house -
run i2
    house +
    10 mm2 flex red 0.15 m
    b1
    10 mm2 flex red 1 m
    d2 input
    back black to house -
run o2
    start +
    6 mm2 flex red 0.15 m
    b2
    1.5 mm2 flex red 1 m
    d2 output +
run o2m
    d2 output -
    6 mm2 flex black 1 m
    start -
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "a windlass on a cable that cannot feed it",
        base: BASE,
        instead: &[(
            "fuse main bolt-down 80 A\n    breaks 10 kA\n",
            "fuse main bolt-down 100 A\n    breaks 10 kA\n",
        )],
        more: "\
load wl motor 900 W
    short-time 60 s
    minimum 10 V
breaker wb 100 A thermal
run wl
    cut out
    25 mm2 flex red 0.15 m
    wb
    25 mm2 flex red 16 m
    wl
    25 mm2 flex black 17 m
    house -
",
        shows: &["low-voltage"],
        advises: &[],
    },
    Boat {
        name: "a distant load that cannot run",
        base: BASE,
        instead: &[],
        more: "\
load pump2 pump 120 W
run p2
    cabin way 4
    1.5 mm2 flex red 20 m
    pump2
    back black
",
        shows: &["cannot-deliver"],
        advises: &[],
    },
    Boat {
        name: "a fridge that starves",
        base: BASE,
        instead: &[],
        more: "\
load fridge refrigerator 5 A
    minimum 11.4 V
run fr
    cabin way 2
    2.5 mm2 flex red 9 m
    fridge
    back black
",
        shows: &["low-voltage"],
        advises: &[],
    },
    Boat {
        name: "cheap insulation in a hot engine space",
        base: BASE,
        instead: &[(
            "cable flex tinned\n    insulation 105 C",
            "cable hot tinned\n    insulation 60 C\ncable flex tinned\n    insulation 105 C",
        )],
        more: "\
place es engine-space
    ambient 60 C
load bl blower 4 A
run bl
    cabin way 3
    2.5 mm2 hot red 4 m in es
    bl
    back black
",
        shows: &["undersized-conductor"],
        advises: &[],
    },
    Boat {
        name: "the day takes more than the sun gives",
        base: BASE,
        instead: &[],
        more: "\
solar pa 50 W
    voc 22 V
    isc 3 A
    3 h/day
controller ctl mppt 10 A
    max-input 75 V
fuse sf bolt-down 30 A
    breaks 10 kA
run sun
    house +
    6 mm2 flex red 0.15 m
    sf
    6 mm2 flex red 1 m
    ctl battery
    back black to house -
run pv
    ctl pv +
    4 mm2 flex red 3 m
    pa
    back black to ctl pv -
load fridge refrigerator 5 A
    10 h/day
run fr
    cabin way 2
    4 mm2 flex red 3 m
    fridge
    back black
",
        shows: &[],
        advises: &["budget-deficit"],
    },
    Boat {
        name: "a charging relay's cable fused above itself",
        base: BASE,
        instead: &[],
        more: "\
battery start flooded 80 Ah
relay vsr 140 A
    closes 13.3 V
    opens 12.8 V
fuse v1 bolt-down 250 A
    breaks 10 kA
fuse v2 bolt-down 250 A
    breaks 10 kA
run vsr
    start +
    16 mm2 flex red 0.15 m
    v1
    16 mm2 flex red 1 m
    vsr
    16 mm2 flex red 1 m
    v2
    16 mm2 flex red 0.15 m
    house +
run comm
    start -
    50 mm2 flex black 1 m
    house -
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
    Boat {
        name: "a charging relay behind the house isolator",
        base: BASE,
        instead: &[],
        more: "\
battery start flooded 80 Ah
isolator stcut 250 A
load starter starter 1 kW
run crank
    start +
    50 mm2 flex red 0.5 m
    stcut
    50 mm2 flex red 1 m
    starter
    back black to start -
relay vsr 140 A
    closes 13.3 V
    opens 12.8 V
fuse v1 bolt-down 80 A
    breaks 10 kA
run vsr
    start +
    25 mm2 flex red 0.15 m
    v1
    25 mm2 flex red 1 m
    vsr
    25 mm2 flex red 1 m
    cut out
run comm
    start -
    50 mm2 flex black 1 m
    house -
",
        shows: &["back-fed"],
        advises: &[],
    },
    Boat {
        name: "a diode smaller than its alternator",
        base: BASE,
        instead: &[],
        more: "\
battery start flooded 80 Ah
alternator dyn 90 A
diode split 70 A
    outputs 2
fuse d1 bolt-down 125 A
    breaks 10 kA
fuse d2 bolt-down 125 A
    breaks 10 kA
run dyn
    split feed
    25 mm2 flex red 1 m
    dyn
    back black to house -
run o1
    split out 1
    25 mm2 flex red 1 m
    d1
    25 mm2 flex red 0.15 m
    house +
run o2
    split out 2
    25 mm2 flex red 1 m
    d2
    25 mm2 flex red 0.15 m
    start +
run comm
    start -
    50 mm2 flex black 1 m
    house -
",
        shows: &["device-overloaded"],
        advises: &[],
    },
    Boat {
        name: "a charger's second output without a fuse",
        base: BASE,
        instead: &[],
        more: "\
battery start flooded 80 Ah
charger sh 20 A
    outputs 2
fuse d1 bolt-down 40 A
    breaks 10 kA
run o1
    house +
    10 mm2 flex red 0.15 m
    d1
    10 mm2 flex red 1 m
    sh out 1
run o2
    start +
    10 mm2 flex red 1 m
    sh out 2
run ret
    sh -
    10 mm2 flex black 1 m
    house -
run comm
    start -
    50 mm2 flex black 1 m
    house -
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "a thruster's fuse at the far end",
        base: BASE,
        instead: &[("battery house agm 100 Ah\n", "battery house agm 200 Ah\n")],
        more: "\
load bow motor 250 A
    short-time 120 s
fuse bf class-t 300 A
isolator bc 400 A
run bow
    house +
    95 mm2 flex red 5 m
    bc
    95 mm2 flex red 1 m
    bf
    95 mm2 flex red 0.3 m
    bow
    back black to house -
",
        shows: &["unfused-run"],
        advises: &[],
    },
    Boat {
        name: "a windlass on the selector's common with the cranking cable's fuse gone",
        base: TWO,
        instead: &[],
        more: "\
load wl motor 80 A
    short-time 60 s
run wl
    sel common
    10 mm2 flex red 8 m
    wl
    back black to house -
",
        shows: &["fuse-exceeds-conductor"],
        advises: &[],
    },
];
