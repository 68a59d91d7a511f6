//! Boats in which something is wrong with banks, with what charges them, or with the air round them.

use super::{BASE, Boat, HIGH, TWO};

/// A second battery beside the first, linked to it by cables of this length.
macro_rules! second {
    ($battery:literal, $metres:literal) => {
        concat!(
            "battery second ",
            $battery,
            "\nrun link\n    house +\n    35 mm2 flex red ",
            $metres,
            " m\n    second +\nrun link-back\n    house -\n    35 mm2 flex black ",
            $metres,
            " m\n    second -\n"
        )
    };
}

/// Two panels behind a controller that charges the battery, with these facts.
macro_rules! solar {
    ($panels:literal, $controller:literal, $lands:literal) => {
        concat!(
            "solar roof ",
            $panels,
            "\ncontroller ctl ",
            $controller,
            "\nrun pv\n    ctl pv +\n    4 mm2 flex red 4 m\n    roof\n    back black to ctl pv -\nfuse sf blade 20 A\nrun chg\n    ",
            $lands,
            "\n    4 mm2 flex red 0.1 m\n    sf\n    4 mm2 flex red 2 m\n    ctl battery\n    back black to house -\n"
        )
    };
}

/// An alternator that lands here.
macro_rules! alternator {
    ($lands:literal) => {
        concat!(
            "alternator dynamo 30 A\nfuse dynamo-fuse bolt-down 60 A\n    breaks 10 kA\nrun dynamo\n    ",
            $lands,
            "\n    16 mm2 flex red 0.15 m\n    dynamo-fuse\n    16 mm2 flex red 2 m\n    dynamo\n    back black to house -\n"
        )
    };
}

pub(crate) const BOATS: &[Boat] = &[
    Boat {
        name: "link to another compartment",
        base: BASE,
        instead: &[(
            "battery house agm 100 Ah\n",
            "place fore\nplace aft\nbattery house agm 100 Ah\n    in fore\n",
        )],
        more: second!("agm 100 Ah\n    in aft", "1"),
        shows: &["bank-link"],
        advises: &[],
    },
    Boat {
        name: "link too long",
        base: BASE,
        instead: &[],
        more: second!("agm 100 Ah", "2.5"),
        shows: &["bank-link"],
        advises: &[],
    },
    Boat {
        name: "lithium beside lead",
        base: BASE,
        instead: &[],
        more: second!("lithium 100 Ah", "0.3"),
        shows: &["mixed-bank"],
        advises: &[],
    },
    Boat {
        name: "lithium beside lead behind fuses",
        base: BASE,
        instead: &[],
        more: "\
battery second lithium 100 Ah
fuse main2 bolt-down 80 A
    breaks 20 kA
run feed2
    second +
    16 mm2 flex red 0.15 m
    main2
    16 mm2 flex red 0.4 m
    cut feed
run home2
    neg
    35 mm2 flex black 3.5 m
    second -
",
        shows: &["mixed-bank"],
        advises: &[],
    },
    Boat {
        name: "small block in a row",
        base: HIGH,
        instead: &[
            (
                "battery house agm 24 V 100 Ah\n",
                "battery house agm 12 V 100 Ah\nbattery lower agm 12 V 60 Ah\nrun middle\n    lower +\n    35 mm2 flex red 0.3 m\n    house -\n",
            ),
            (
                "    16 mm2 flex black 3.5 m\n    house -\n",
                "    16 mm2 flex black 3.5 m\n    lower -\n",
            ),
        ],
        more: "",
        shows: &["mixed-bank"],
        advises: &[],
    },
    Boat {
        name: "other size side by side",
        base: BASE,
        instead: &[],
        more: second!("agm 60 Ah", "0.3"),
        shows: &[],
        advises: &["mixed-bank"],
    },
    Boat {
        name: "one block across a row of two",
        base: HIGH,
        instead: &[
            (
                "battery house agm 24 V 100 Ah\n",
                "battery house agm 12 V 100 Ah\nbattery lower agm 12 V 100 Ah\nbattery third agm 12 V 100 Ah\nrun middle\n    lower +\n    35 mm2 flex red 0.3 m\n    house -\nrun tops\n    house +\n    35 mm2 flex red 0.3 m\n    third +\nrun bottoms\n    lower -\n    35 mm2 flex black 0.3 m\n    third -\n",
            ),
            (
                "    16 mm2 flex black 3.5 m\n    house -\n",
                "    16 mm2 flex black 3.5 m\n    lower -\n",
            ),
        ],
        more: "",
        shows: &["mixed-voltage"],
        advises: &[],
    },
    Boat {
        name: "a bank drawn from one end",
        base: BASE,
        instead: &[],
        more: "\
battery second like house
battery third like house
battery fourth like house
run link
    house +
    25 mm2 flex red 0.6 m
    second +
    25 mm2 flex red 0.6 m
    third +
    25 mm2 flex red 0.6 m
    fourth +
run link-back
    house -
    25 mm2 flex black 0.6 m
    second -
    25 mm2 flex black 0.6 m
    third -
    25 mm2 flex black 0.6 m
    fourth -
load heater heater 25 A
run heater
    cabin way 4
    10 mm2 flex red 3 m
    heater
    back black
",
        shows: &[],
        advises: &["unequal-share"],
    },
    Boat {
        name: "battery in a closed box",
        base: BASE,
        instead: &[(
            "battery house agm 100 Ah\n",
            "place box\n    openings 1 cm2\nbattery house flooded 200 Ah\n    in box\n",
        )],
        more: "\
charger shore 40 A
fuse shf bolt-down 60 A
    breaks 10 kA
run shore
    house +
    16 mm2 flex red 0.15 m
    shf
    16 mm2 flex red 2 m
    shore
    back black to house -
",
        shows: &["unventilated-battery"],
        advises: &[],
    },
    Boat {
        name: "alternator behind an isolator",
        base: BASE,
        instead: &[],
        more: alternator!("cut out"),
        shows: &["alternator-cut-off"],
        advises: &[],
    },
    Boat {
        name: "alternator behind a selector",
        base: TWO,
        instead: &[],
        more: alternator!("sel common"),
        shows: &["alternator-cut-off"],
        advises: &[],
    },
    Boat {
        name: "cold panels above the controller's input",
        base: BASE,
        instead: &[],
        more: solar!(
            "100 W series 2\n    voc 24 V\n    isc 6 A",
            "mppt 15 A\n    max-input 50 V",
            "house +"
        ),
        shows: &["controller-overvoltage"],
        advises: &[],
    },
    Boat {
        name: "panels above the controller's current",
        base: BASE,
        instead: &[],
        more: solar!(
            "100 W parallel 3\n    voc 22 V\n    isc 6 A",
            "pwm 15 A\n    max-input 50 V",
            "house +"
        ),
        shows: &["controller-overcurrent"],
        advises: &[],
    },
    Boat {
        name: "controller behind the isolator",
        base: BASE,
        instead: &[],
        more: solar!(
            "100 W\n    voc 22 V\n    isc 6 A",
            "mppt 15 A\n    max-input 50 V",
            "cut out"
        ),
        shows: &[],
        advises: &["controller-cut-off"],
    },
    Boat {
        name: "controller without its battery",
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
run chg-back
    ctl battery -
    4 mm2 flex black 2 m
    house -
",
        shows: &["open-circuit"],
        advises: &[],
    },
    Boat {
        name: "charged faster than it bears",
        base: BASE,
        instead: &[(
            "battery house agm 100 Ah\n",
            "battery house agm 100 Ah\n    charge-limit 20 A\n",
        )],
        more: "\
charger shore 60 A
fuse shf bolt-down 80 A
    breaks 10 kA
run shore
    house +
    25 mm2 flex red 0.15 m
    shf
    25 mm2 flex red 2 m
    shore
    back black to house -
",
        shows: &[],
        advises: &["charge-too-fast"],
    },
];
