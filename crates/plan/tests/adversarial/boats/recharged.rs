//! What a surveyor finds when charging is looked for: what stands side by side, what feeds it, and what that is not made for.

use super::{BASE, Boat, HIGH, TWO};

pub(crate) const BOATS: &[Boat] = &[
    Boat {
        name: "solar straight on the battery",
        base: BASE,
        instead: &[],
        more: "\
solar roof 100 W
    voc 22 V
    isc 5.9 A
fuse sf cartridge 15 A
    breaks 10 kA
run sun
    house +
    4 mm2 flex red 0.15 m
    sf
    4 mm2 flex red 3 m
    roof
    back black to house -
",
        shows: &["charge-too-fast"],
        advises: &[],
    },
    Boat {
        name: "a converter that is not said to charge on a battery",
        base: BASE,
        instead: &[],
        more: "\
battery start flooded 80 Ah
fuse cf cartridge 40 A
    breaks 10 kA
fuse cf2 cartridge 40 A
    breaks 10 kA
converter dc
    input 12 V
    output 12 V
    20 A
run ci
    start +
    10 mm2 flex red 0.15 m
    cf
    10 mm2 flex red 2 m
    dc input
    back black to start -
run co
    house +
    10 mm2 flex red 0.15 m
    cf2
    10 mm2 flex red 2 m
    dc output
    back black to house -
",
        shows: &["charge-too-fast"],
        advises: &[],
    },
    Boat {
        name: "a charging relay between lithium and lead",
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
relay vsr 140 A
    closes 13.3 V
    opens 12.8 V
fuse v1 bolt-down 80 A
    breaks 10 kA
fuse v2 class-t 80 A
run vsr
    start +
    25 mm2 flex red 0.15 m
    v1
    25 mm2 flex red 1 m
    vsr
    25 mm2 flex red 1 m
    v2
    25 mm2 flex red 0.15 m
    house +
run comm
    start -
    35 mm2 flex black 1 m
    house -
",
        shows: &["mixed-bank"],
        advises: &[],
    },
    Boat {
        name: "lithium and lead on a selector",
        base: TWO,
        instead: &[
            ("battery second agm 100 Ah", "battery second lithium 100 Ah"),
            (
                "fuse main2 bolt-down 80 A\n    breaks 10 kA",
                "fuse main2 class-t 80 A\n    breaks 20 kA",
            ),
        ],
        more: "",
        shows: &["mixed-bank"],
        advises: &[],
    },
    Boat {
        name: "an alternator on a panel's breaker",
        base: BASE,
        instead: &[],
        more: "\
alternator dyn 25 A
run dyn
    cabin way 4
    6 mm2 flex red 3 m
    dyn
    back black
",
        shows: &["alternator-cut-off"],
        advises: &[],
    },
    Boat {
        name: "an alternator only through a charging relay",
        base: BASE,
        instead: &[],
        more: "\
relay vsr 140 A
    closes 13.3 V
    opens 12.8 V
alternator dyn 60 A
fuse v2 bolt-down 80 A
    breaks 10 kA
run vsr
    house +
    25 mm2 flex red 0.15 m
    v2
    25 mm2 flex red 1 m
    vsr
    25 mm2 flex red 1 m
    dyn
    back black to house -
",
        shows: &["alternator-cut-off"],
        advises: &[],
    },
    Boat {
        name: "a controller that says nothing of its input",
        base: BASE,
        instead: &[],
        more: "\
solar roof 400 W
    voc 49 V
    isc 10.5 A
    series 3
controller ctl mppt 60 A
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
    6 mm2 flex red 6 m
    roof
    back black to ctl pv -
",
        shows: &[],
        advises: &["controller-overvoltage"],
    },
    Boat {
        name: "panels joined in a row by runs, cold",
        base: BASE,
        instead: &[],
        more: "\
solar pa 100 W
    voc 22.4 V
    isc 6 A
solar pb like pa
solar pc like pa
controller ctl mppt 30 A
    max-input 72 V
fuse sf bolt-down 40 A
    breaks 10 kA
run sun
    house +
    10 mm2 flex red 0.15 m
    sf
    10 mm2 flex red 1 m
    ctl battery
    back black to house -
run pv
    ctl pv +
    6 mm2 flex red 6 m
    pa +
run pv2
    pa -
    6 mm2 flex red 1 m
    pb +
run pv3
    pb -
    6 mm2 flex red 1 m
    pc +
run pv4
    pc -
    6 mm2 flex black 6 m
    ctl pv -
",
        shows: &["controller-overvoltage"],
        advises: &[],
    },
    Boat {
        name: "panels just below the input at 25 degrees",
        base: BASE,
        instead: &[],
        more: "\
solar pa 100 W
    voc 24.5 V
    isc 6 A
    series 2
controller ctl mppt 30 A
    max-input 50 V
fuse sf bolt-down 40 A
    breaks 10 kA
run sun
    house +
    10 mm2 flex red 0.15 m
    sf
    10 mm2 flex red 1 m
    ctl battery
    back black to house -
run pv
    ctl pv +
    6 mm2 flex red 6 m
    pa
    back black to ctl pv -
",
        shows: &["controller-overvoltage"],
        advises: &[],
    },
    Boat {
        name: "panels below the input at 0 but not at -20 degrees",
        base: BASE,
        instead: &[],
        more: "\
solar pa 100 W
    voc 22.6 V
    isc 6 A
    series 2
controller ctl mppt 30 A
    max-input 50 V
fuse sf bolt-down 40 A
    breaks 10 kA
run sun
    house +
    10 mm2 flex red 0.15 m
    sf
    10 mm2 flex red 1 m
    ctl battery
    back black to house -
run pv
    ctl pv +
    6 mm2 flex red 6 m
    pa
    back black to ctl pv -
",
        shows: &[],
        advises: &["controller-overvoltage"],
    },
    Boat {
        name: "three chargers that are modest each",
        base: BASE,
        instead: &[(
            "battery house agm 100 Ah\n",
            "battery house agm 100 Ah\n    charge-limit 30 A\n",
        )],
        more: "\
charger sh 20 A
fuse f1 bolt-down 30 A
    breaks 10 kA
fuse f2 bolt-down 30 A
    breaks 10 kA
alternator dyn 20 A
run sh
    house +
    6 mm2 flex red 0.15 m
    f1
    6 mm2 flex red 1 m
    sh
    back black to house -
run dyn
    house +
    6 mm2 flex red 0.15 m
    f2
    6 mm2 flex red 1 m
    dyn
    back black to house -
case motoring
    on dyn
    on sh
    on lamp
",
        shows: &[],
        advises: &["charge-too-fast"],
    },
    Boat {
        name: "lithium charged by a converter faster than it bears",
        base: BASE,
        instead: &[
            (
                "battery house agm 100 Ah\n",
                "battery house lithium 50 Ah\n    charge-limit 25 A\n",
            ),
            (
                "fuse main bolt-down 80 A\n    breaks 10 kA\n",
                "fuse main class-t 80 A\n",
            ),
        ],
        more: "\
battery start flooded 80 Ah
fuse cf bolt-down 60 A
    breaks 10 kA
fuse cf2 class-t 60 A
converter dc charges
    input 12 V
    output 12 V
    40 A
run ci
    start +
    16 mm2 flex red 0.15 m
    cf
    16 mm2 flex red 2 m
    dc input
    back black to start -
run co
    house +
    16 mm2 flex red 0.15 m
    cf2
    16 mm2 flex red 2 m
    dc output
    back black to house -
",
        shows: &["charge-too-fast"],
        advises: &[],
    },
    Boat {
        name: "an alternator of 100 A straight into lithium",
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
alternator dyn 100 A
fuse df class-t 150 A
run dyn
    house +
    50 mm2 flex red 0.15 m
    df
    50 mm2 flex red 1 m
    dyn
    back black to house -
",
        shows: &[],
        advises: &["charge-too-fast"],
    },
    Boat {
        name: "flooded batteries with no openings and a large charger",
        base: BASE,
        instead: &[(
            "battery house agm 100 Ah\n",
            "place locker\n    openings 2 cm2\nbattery house flooded 220 Ah\n    in locker\n",
        )],
        more: "\
charger sh 40 A
fuse f1 bolt-down 60 A
    breaks 10 kA
run sh
    house +
    16 mm2 flex red 0.15 m
    f1
    16 mm2 flex red 1 m
    sh
    back black to house -
",
        shows: &["unventilated-battery"],
        advises: &[],
    },
    Boat {
        name: "flooded batteries in a cabin that says nothing",
        base: BASE,
        instead: &[(
            "battery house agm 100 Ah\n",
            "place cabin-floor\nbattery house flooded 220 Ah\n    in cabin-floor\n",
        )],
        more: "\
charger sh 40 A
fuse f1 bolt-down 60 A
    breaks 10 kA
run sh
    house +
    16 mm2 flex red 0.15 m
    f1
    16 mm2 flex red 1 m
    sh
    back black to house -
",
        shows: &[],
        advises: &["unventilated-battery"],
    },
    Boat {
        name: "agm beside gel",
        base: BASE,
        instead: &[],
        more: "\
battery second gel 100 Ah
run lp
    house +
    35 mm2 flex red 0.3 m
    second +
run ln
    house -
    35 mm2 flex black 0.3 m
    second -
",
        shows: &["mixed-bank"],
        advises: &[],
    },
    Boat {
        name: "a row of lithium and agm",
        base: HIGH,
        instead: &[
            (
                "battery house agm 24 V 100 Ah\n",
                "battery house agm 12 V 100 Ah\nbattery low lithium 12 V 100 Ah\n",
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
",
        shows: &["mixed-bank"],
        advises: &[],
    },
    Boat {
        name: "an alternator on half a bank of 24 V",
        base: HIGH,
        instead: &[
            (
                "battery house agm 24 V 100 Ah\n",
                "battery house agm 12 V 100 Ah\nbattery low like house\n",
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
alternator dyn 12 V 60 A
fuse df bolt-down 80 A
    breaks 10 kA
run dyn
    low +
    25 mm2 flex red 0.15 m
    df
    25 mm2 flex red 1 m
    dyn
    back black to low -
",
        shows: &["tapped-bank"],
        advises: &[],
    },
];
