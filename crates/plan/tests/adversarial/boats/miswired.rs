//! Boats whose parts are overloaded, passed round or wired wrongly.

use super::{BASE, Boat, HIGH};

pub(crate) const BOATS: &[Boat] = &[
    Boat {
        name: "panel backwards",
        base: BASE,
        instead: &[(
            "    16 mm2 flex red 3 m\n    cabin\n",
            "    16 mm2 flex red 3 m\n    cabin way 4\n",
        )],
        more: "",
        shows: &["wrong-way"],
        advises: &[],
    },
    Boat {
        name: "shunt bypassed",
        base: BASE,
        instead: &[(
            "run home\n    neg\n    16 mm2 flex black 3.5 m\n    house -\n",
            "run home\n    neg\n    16 mm2 flex black 3 m\n    meter\n    25 mm2 flex black 0.5 m\n    house -\n",
        )],
        more: "\
shunt meter 300 A
load fridge refrigerator 4 A
run fridge
    cabin way 2
    2.5 mm2 flex red 3 m
    fridge
    2.5 mm2 flex black 3 m
    house -
",
        shows: &["shunt-bypassed"],
        advises: &[],
    },
    Boat {
        name: "horn fuse small",
        base: BASE,
        instead: &[],
        more: "\
load horn other 8 A
switch button 10 A momentary
run horn
    cabin way 3
    2.5 mm2 flex red 3 m
    button
    2.5 mm2 flex red 3 m
    horn
    back black
",
        shows: &["fuse-below-load"],
        advises: &[],
    },
    Boat {
        name: "horn button small",
        base: BASE,
        instead: &[],
        more: "\
load horn other 8 A
switch button 3 A momentary
run horn
    cabin way 2
    2.5 mm2 flex red 3 m
    button
    2.5 mm2 flex red 3 m
    horn
    back black
",
        shows: &["device-overloaded"],
        advises: &[],
    },
    Boat {
        name: "relay contact small",
        base: BASE,
        instead: &[],
        more: "\
relay r 10 A
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
        shows: &["device-overloaded"],
        advises: &[],
    },
    Boat {
        name: "converter short",
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
    2.5 mm2 flex black 3 m
    neg
",
        shows: &["open-circuit"],
        advises: &[],
    },
    Boat {
        name: "spread fuse small",
        base: BASE,
        instead: &[],
        more: "\
load strip lighting 96 W
    spread 3 m
run strip
    cabin way 3
    4 mm2 flex red 5 m
    strip
    back black
",
        shows: &["fuse-below-load"],
        advises: &[],
    },
    Boat {
        name: "block return missing",
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
",
        shows: &["open-circuit"],
        advises: &[],
    },
    Boat {
        name: "24v 12v load",
        base: HIGH,
        instead: &[],
        more: "\
load radio electronics 12 V 24 W
run radio
    cabin way 3
    1.5 mm2 flex red 3 m
    radio
    back black
",
        shows: &["mixed-voltage"],
        advises: &[],
    },
    Boat {
        name: "24v watts",
        base: HIGH,
        instead: &[],
        more: "\
load heat heater 200 W
run heat
    cabin way 3
    2.5 mm2 flex red 3 m
    heat
    back black
",
        shows: &["fuse-below-load"],
        advises: &[],
    },
    Boat {
        name: "isolator bypass",
        base: BASE,
        instead: &[],
        more: "\
fuse aux bolt-down 60 A
run extra
    house +
    10 mm2 flex red 0.15 m
    aux
    10 mm2 flex red 3 m
    cabin
",
        shows: &["back-fed"],
        advises: &[],
    },
    Boat {
        name: "tapped bank",
        base: BASE,
        instead: &[
            ("system 12 V", "system 24 V"),
            ("agm 100 Ah", "agm 12 V 100 Ah"),
            ("run feed\n    house +", "run feed\n    top +"),
        ],
        more: "\
battery top agm 12 V 100 Ah
load radio electronics 12 V 2 A
fuse rf blade 5 A
run mid
    house +
    16 mm2 flex red 0.2 m
    top -
run radio
    house +
    1.5 mm2 flex red 0.1 m
    rf
    1.5 mm2 flex red 2 m
    radio
    back black to neg
",
        shows: &["tapped-bank"],
        advises: &[],
    },
    Boat {
        name: "loads series",
        base: BASE,
        instead: &[],
        more: "\
load l1 lighting 3 W
load l2 lighting 3 W
run two
    cabin way 3
    1.5 mm2 flex red 3 m
    l1
    1.5 mm2 flex red 1 m
    l2
    back black
",
        shows: &["loads-in-series"],
        advises: &[],
    },
    Boat {
        name: "hull return",
        base: BASE,
        instead: &[],
        more: "\
bond hull
load fan blower 2 A
run fan
    cabin way 3
    1.5 mm2 flex red 3 m
    fan
    1.5 mm2 flex black 1 m
    hull
run hb
    hull
    16 mm2 flex green 2 m
    neg
",
        shows: &["hull-return"],
        advises: &[],
    },
    Boat {
        name: "isolator bypassed",
        base: BASE,
        instead: &[],
        more: "\
run round
    cut feed
    16 mm2 flex red 0.3 m
    cut out
",
        shows: &["bypassed-part"],
        advises: &[],
    },
    Boat {
        name: "way bypassed",
        base: BASE,
        instead: &[],
        more: "\
run round
    cabin feed
    6 mm2 flex red 0.3 m
    cabin way 4
",
        shows: &["bypassed-part"],
        advises: &[],
    },
    Boat {
        name: "panel rating",
        base: BASE,
        instead: &[
            ("panel cabin 100 A", "panel cabin 50 A"),
            (
                "    way 5 fuse 5 A\n",
                "    way 5 fuse 5 A\n    way 6 breaker 70 A\n",
            ),
        ],
        more: "\
load heat heater 60 A
run heat
    cabin way 6
    25 mm2 flex red 3 m
    heat
    back black
",
        shows: &["device-overloaded"],
        advises: &[],
    },
    Boat {
        name: "return bar rating",
        base: BASE,
        instead: &[
            ("busbar neg negative 100 A", "busbar neg negative 40 A"),
            (
                "    way 5 fuse 5 A\n",
                "    way 5 fuse 5 A\n    way 6 breaker 70 A\n",
            ),
        ],
        more: "\
load heat heater 60 A
run heat
    cabin way 6
    25 mm2 flex red 3 m
    heat
    back black
",
        shows: &["bus-overflow"],
        advises: &[],
    },
    Boat {
        name: "isolator small",
        base: BASE,
        instead: &[
            ("isolator cut 250 A", "isolator cut 50 A"),
            (
                "    way 5 fuse 5 A\n",
                "    way 5 fuse 5 A\n    way 6 breaker 70 A\n",
            ),
        ],
        more: "\
load heat heater 60 A
run heat
    cabin way 6
    25 mm2 flex red 3 m
    heat
    back black
",
        shows: &["device-overloaded"],
        advises: &[],
    },
    Boat {
        name: "fuse sum",
        base: BASE,
        instead: &[
            ("main bolt-down 80 A", "main bolt-down 40 A"),
            (
                "    way 5 fuse 5 A\n",
                "    way 5 fuse 5 A\n    way 6 breaker 30 A\n",
            ),
        ],
        more: "\
load heat heater 28 A
load heat2 heater 28 A
run heat
    cabin way 4
    6 mm2 flex red 3 m
    heat
    back black
run heat2
    cabin way 6
    6 mm2 flex red 3 m
    heat2
    back black
",
        shows: &["fuse-below-load"],
        advises: &[],
    },
    Boat {
        name: "earthed starter thin",
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
    10 mm2 flex black 1.5 m
    house -
",
        shows: &["undersized-conductor"],
        advises: &[],
    },
    Boat {
        name: "device in return switch",
        base: BASE,
        instead: &[],
        more: "\
load fan blower 2 A
switch fs 5 A
run fan
    cabin way 3
    1.5 mm2 flex red 3 m
    fan
    1.5 mm2 flex black 2 m
    fs
    1.5 mm2 flex black 1 m
    neg
",
        shows: &["device-in-return"],
        advises: &[],
    },
    Boat {
        name: "isolator in return",
        base: BASE,
        instead: &[(
            "    16 mm2 flex black 3.5 m\n",
            "    16 mm2 flex black 3 m\n    ncut\n    16 mm2 flex black 0.5 m\n",
        )],
        more: "\
isolator ncut 250 A
",
        shows: &["device-in-return"],
        advises: &[],
    },
    Boat {
        name: "battery opposed",
        base: BASE,
        instead: &[],
        more: "\
battery b2 like house
run l1
    house +
    25 mm2 flex red 0.3 m
    b2 -
run l2
    house -
    25 mm2 flex black 0.3 m
    b2 +
",
        shows: &["short-circuit"],
        advises: &[],
    },
];
