//! Whole boats of ordinary good practice, which nobody should be troubled about.

use super::Boat;

pub(crate) const BOATS: &[Boat] = &[
    Boat {
        name: "a small day sailer",
        base: "\
boat wren \"Wren\"
    system 12 V
    rules RULES
place locker open-air
battery house agm 60 Ah
    in locker
fuse main strip 40 A
    in locker
isolator cut 100 A
panel cabin 40 A switched
    way 1 fuse 5 A
    way 2 fuse 5 A
    way 3 fuse 7.5 A
    way 4 spare
    returns neg
busbar neg negative 60 A
    posts 10
run feed
    house +
    10 mm2 red 0.15 m
    main
    10 mm2 red 0.5 m
    cut
    10 mm2 red 1.5 m
    cabin
run home
    neg
    10 mm2 black 2 m
    house -
load lamps lighting 3 x 2 W
    3 h/day
load nav navigation 5 W
    1 h/day
load radio electronics 5 A
    0.2 h/day
run lamps
    cabin way 1
    1.5 mm2 red 2 m
    lamps
    back black
run nav
    cabin way 2
    1.5 mm2 red 5 m
    nav
    back black
run radio
    cabin way 3
    2.5 mm2 red 2 m
    radio
    back black
solar pan 30 W
    voc 22 V
    isc 1.9 A
    3 h/day
controller ctl pwm 5 A
    max-input 40 V
fuse sf cartridge 5 A
    breaks 10 kA
run pv
    ctl pv +
    twin 2.5 mm2 2 m
    pan
    back to ctl pv -
run sun
    house +
    2.5 mm2 red 0.15 m
    sf
    2.5 mm2 red 1 m
    ctl battery
    back black to house -
",
        instead: &[],
        more: "",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "an open boat with one blade fuse",
        base: "\
boat tern \"Tern\"
    system 12 V
    rules RULES
place well open-air
battery house agm 22 Ah
    in well
fuse main blade 10 A
isolator cut 50 A
load nav navigation 5 W
load sounder electronics 1 A
busbar pos positive 50 A
    posts 4
busbar neg negative 50 A
    posts 4
run feed
    house +
    2.5 mm2 red 0.15 m
    main
    2.5 mm2 red 0.5 m
    cut
    2.5 mm2 red 0.5 m
    pos
run nav
    pos
    1.5 mm2 red 2 m
    nav
    back black to neg
run sounder
    pos
    1.5 mm2 red 1 m
    sounder
    back black to neg
run home
    neg
    2.5 mm2 black 1 m
    house -
",
        instead: &[],
        more: "",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "a 24 V trawler with rows of blocks",
        base: "\
boat knot \"Knot\"
    system 24 V
    rules RULES
    fuel diesel
    hull steel
cable flex tinned
    insulation 105 C
place room engine-space
    openings 400 cm2
battery h1 agm 12 V 200 Ah
    in room
battery h2 like h1
battery h3 like h1
battery h4 like h1
battery s1 flooded 12 V 120 Ah
    in room
battery s2 like s1
run m1
    h1 +
    70 mm2 flex red 0.3 m
    h2 -
run m2
    h3 +
    70 mm2 flex red 0.3 m
    h4 -
run top
    h2 +
    70 mm2 flex red 0.3 m
    h4 +
run bottom
    h1 -
    70 mm2 flex black 0.3 m
    h3 -
run ms
    s1 +
    70 mm2 flex red 0.3 m
    s2 -
fuse main class-t 150 A
    in room
isolator cut 300 A two-pole
    in room
isolator scut 500 A two-pole
    in room
panel helm 150 A switched
    way 1 breaker 10 A
    way 2 breaker 10 A
    way 3 breaker 20 A
    way 4 spare
    returns hneg
busbar hneg negative 150 A
    posts 12
run feed
    h2 +
    50 mm2 flex red 0.15 m
    main
    50 mm2 flex red 0.5 m
    cut pole 1
    50 mm2 flex red 6 m
    helm
run home
    hneg
    50 mm2 flex black 6 m
    cut pole 2
    50 mm2 flex black 0.5 m
    h3 -
load lamps lighting 60 W
load heater heater 100 W
load radar electronics 120 W
run lamps
    helm way 1
    2.5 mm2 flex red 8 m
    lamps
    back black
run heater
    helm way 2
    2.5 mm2 flex red 6 m
    heater
    back black
run radar
    helm way 3
    4 mm2 flex red 9 m
    radar
    back black
load starter starter 4 kW
    in room
run crank
    s2 +
    70 mm2 flex red 0.8 m
    scut pole 1
    70 mm2 flex red 1 m
    starter
    70 mm2 flex black 1 m
    scut pole 2
    70 mm2 flex black 0.8 m
    s1 -
alternator dyn 60 A
    in room
diode split 80 A
    outputs 2
    in room
fuse d1 bolt-down 80 A
    breaks 10 kA
    in room
fuse d2 bolt-down 80 A
    breaks 10 kA
    in room
run dyn
    split feed
    25 mm2 flex red 1 m
    dyn
    back black to s1 -
run o1
    split out 1
    25 mm2 flex red 1 m
    d1
    25 mm2 flex red 0.15 m
    h2 +
run o2
    split out 2
    25 mm2 flex red 1 m
    d2
    25 mm2 flex red 0.15 m
    s2 +
run comm
    s1 -
    70 mm2 flex black 1 m
    h3 -
",
        instead: &[],
        more: "",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "a petrol runabout",
        base: "\
boat smew \"Smew\"
    system 12 V
    rules RULES
    fuel petrol
    hull grp
cable flex tinned
    insulation 105 C
place engine engine-space petrol-vapour
    openings 200 cm2
place helm open-air
battery start flooded 80 Ah
    in helm
isolator cut 300 A
    in helm
load starter starter 1.2 kW
    ignition-protected
    in engine
alternator dyn 55 A
    ignition-protected
    in engine
fuse dynf bolt-down 80 A
    breaks 10 kA
    in helm
fuse main bolt-down 50 A
    breaks 10 kA
    in helm
panel dash 50 A switched
    in helm
    way 1 fuse 5 A
    way 2 fuse 5 A
    way 3 fuse 7.5 A
    way 4 spare
    returns neg
busbar neg negative 100 A
    posts 10
    in helm
run crank
    start +
    50 mm2 flex red 0.3 m
    cut
    50 mm2 flex red 2 m
    starter
    back black to start -
run dyn
    start +
    25 mm2 flex red 0.15 m
    dynf
    25 mm2 flex red 2.5 m
    dyn
    back black to start -
run feed
    cut out
    10 mm2 flex red 0.15 m
    main
    10 mm2 flex red 2 m
    dash
run home
    neg
    10 mm2 flex black 2 m
    start -
load blower blower 3 A
    ignition-protected
    in engine
load nav navigation 10 W
load bp bilge-pump 3 A
    ignition-protected
    in engine
run blower
    dash way 1
    2.5 mm2 flex red 3 m
    blower
    back black
run nav
    dash way 2
    1.5 mm2 flex red 4 m
    nav
    back black
fuse bpf cartridge 5 A
    breaks 10 kA
    in helm
switch float 10 A automatic ignition-protected
    in engine
run bp
    bypasses-isolator
    start +
    2.5 mm2 flex red 0.1 m
    bpf
    2.5 mm2 flex red 3 m
    float
    2.5 mm2 flex red 0.3 m
    bp
    back black to start -
run horn
    dash way 3
    1.5 mm2 flex red 1 m
    hb
    1.5 mm2 flex red 2 m
    horn
    back black
switch hb 10 A momentary
    in helm
load horn other 4 A
    in helm
",
        instead: &[],
        more: "",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "a steel narrow boat with a charging relay",
        base: "\
boat coot \"Coot\"
    system 12 V
    rules RULES
    fuel diesel
    hull steel
cable flex
    insulation 70 C
place room engine-space
    openings 300 cm2
place cabin
battery h1 flooded 110 Ah
    in room
battery h2 like h1
battery h3 like h1
battery start flooded 110 Ah
    in room
run lp
    h1 +
    70 mm2 flex red 0.4 m
    h2 +
    70 mm2 flex red 0.4 m
    h3 +
run ln
    h1 -
    70 mm2 flex black 0.4 m
    h2 -
    70 mm2 flex black 0.4 m
    h3 -
fuse main bolt-down 125 A
    breaks 20 kA
    in room
isolator cut 300 A
    in room
isolator scut 300 A
    in room
panel p 150 A switched
    in cabin
    way 1 breaker 10 A
    way 2 breaker 16 A
    way 3 breaker 10 A
    way 4 breaker 10 A
    returns neg
busbar neg negative 150 A
    posts 12
    in cabin
run feed
    h1 +
    50 mm2 flex red 0.15 m
    main
    50 mm2 flex red 0.5 m
    cut
    50 mm2 flex red 4 m
    p
run home
    neg
    50 mm2 flex black 5 m
    h3 -
load lamps lighting 12 x 3 W
load pump pump 7 A
load fridge refrigerator 4 A
load heater heater 3 A
    starting 10 A 120 s
run lamps
    p way 1
    4 mm2 flex red 8 m
    lamps
    back black
run pump
    p way 2
    6 mm2 flex red 6 m
    pump
    back black
run fridge
    p way 3
    6 mm2 flex red 5 m
    fridge
    back black
run heater
    p way 4
    6 mm2 flex red 6 m
    heater
    back black
load starter starter 2 kW
    in room
run crank
    start +
    70 mm2 flex red 0.5 m
    scut
    70 mm2 flex red 1 m
    starter
    back black to start -
run comm
    start -
    70 mm2 flex black 1 m
    h3 -
alternator dyn 70 A
    in room
fuse dynf bolt-down 100 A
    breaks 20 kA
    in room
run dyn
    start +
    35 mm2 flex red 0.15 m
    dynf
    35 mm2 flex red 1 m
    dyn
    back black to start -
relay vsr 140 A
    closes 13.3 V
    opens 12.8 V
    in room
fuse v1 bolt-down 100 A
    breaks 20 kA
    in room
fuse v2 bolt-down 100 A
    breaks 20 kA
    in room
run vsr
    start +
    50 mm2 flex red 0.15 m
    v1
    50 mm2 flex red 0.5 m
    vsr
    50 mm2 flex red 0.5 m
    v2
    50 mm2 flex red 0.15 m
    h1 +
",
        instead: &[],
        more: "",
        shows: &[],
        advises: &[],
    },
];
