//! Whole boats converted to lithium as is good practice, which nobody should be troubled about.

use super::Boat;

pub(crate) const BOATS: &[Boat] = &[
    Boat {
        name: "a lithium conversion charged through a converter",
        base: "\
boat plover \"Plover\"
    system 12 V
    rules RULES
    fuel diesel
place locker
place engine engine-space
    openings 100 cm2
battery house lithium 200 Ah
    in locker
    charge-limit 100 A
battery start agm 80 Ah
    in engine
fuse main class-t 250 A
fuse panelfuse bolt-down 80 A
    breaks 10 kA
isolator cut 300 A
isolator startcut 300 A
busbar pos positive 300 A
    studs 8
busbar neg negative 300 A
    studs 10
panel cabin 100 A switched
    way 1 breaker 5 A
    way 2 breaker 10 A
    way 3 breaker 15 A
    way 4 spare
    returns cneg
busbar cneg negative 100 A
    posts 10
cable flex tinned
    insulation 105 C
run feed
    house +
    70 mm2 flex red 0.15 m
    main
    70 mm2 flex red 0.5 m
    cut
    70 mm2 flex red 0.5 m
    pos
run home
    neg
    70 mm2 flex black 1 m
    house -
run pfeed
    pos
    16 mm2 flex red 0.15 m
    panelfuse
    16 mm2 flex red 3 m
    cabin
run phome
    cneg
    16 mm2 flex black 3 m
    neg
load lamps lighting 10 x 2 W
    4 h/day
load fridge refrigerator 5 A
    40 %
load pump pump 7 A
    0.3 h/day
run lamps
    cabin way 1
    1.5 mm2 flex red 5 m
    lamps
    back black
run fridge
    cabin way 2
    4 mm2 flex red 4 m
    fridge
    back black
run pump
    cabin way 3
    4 mm2 flex red 5 m
    pump
    back black
inverter inv 1500 W
    0.5 h/day
run inv
    pos
    70 mm2 flex red 0.5 m
    inv
    back black to neg
load starter starter 1.5 kW
    in engine
run crank
    start +
    50 mm2 flex red 0.5 m
    startcut
    50 mm2 flex red 1 m
    starter
    back black to start -
run common
    start -
    70 mm2 flex black 2 m
    neg
alternator dyn 70 A
    1 h/day
    in engine
fuse dynf bolt-down 100 A
    breaks 10 kA
    in engine
run dyn
    start +
    25 mm2 flex red 0.15 m
    dynf
    25 mm2 flex red 1.5 m
    dyn
    back black to start -
converter dc charges
    input 12 V
    output 12 V
    30 A
fuse dcin bolt-down 50 A
    breaks 10 kA
    in engine
fuse dcout class-t 50 A
    in locker
run dcin
    bypasses-isolator
    start +
    16 mm2 flex red 0.15 m
    dcin
    16 mm2 flex red 3 m
    dc input
    back black to start -
run dcout
    house +
    16 mm2 flex red 0.15 m
    dcout
    16 mm2 flex red 1 m
    dc output
    back black to neg
solar pan 150 W
    voc 24 V
    isc 8 A
    series 2
    4 h/day
controller ctl mppt 30 A
    max-input 75 V
fuse sf class-t 40 A
run pv
    ctl pv +
    twin 6 mm2 5 m
    pan
    back to ctl pv -
run sun
    house +
    10 mm2 flex red 0.15 m
    sf
    10 mm2 flex red 1 m
    ctl battery
    back black to neg
charger shore 30 A
    14.2 V
fuse shf class-t 50 A
run shore
    house +
    16 mm2 flex red 0.15 m
    shf
    16 mm2 flex red 1 m
    shore
    back black to neg
case sailing
    on fridge
    on lamps
case cooking
    on inv
    on pump
    on fridge
case motoring
    on dyn
    on dc
    on fridge
",
        instead: &[],
        more: "",
        shows: &[],
        advises: &[],
    },
    Boat {
        name: "an inverter that charges in a lithium conversion",
        base: "\
boat plover \"Plover\"
    system 12 V
    rules RULES
    fuel diesel
place locker
place engine engine-space
    openings 100 cm2
battery house lithium 200 Ah
    in locker
    charge-limit 100 A
battery start agm 80 Ah
    in engine
fuse main class-t 250 A
fuse panelfuse bolt-down 80 A
    breaks 10 kA
isolator cut 300 A
isolator startcut 300 A
busbar pos positive 300 A
    studs 8
busbar neg negative 300 A
    studs 10
panel cabin 100 A switched
    way 1 breaker 5 A
    way 2 breaker 10 A
    way 3 breaker 15 A
    way 4 spare
    returns cneg
busbar cneg negative 100 A
    posts 10
cable flex tinned
    insulation 105 C
run feed
    house +
    70 mm2 flex red 0.15 m
    main
    70 mm2 flex red 0.5 m
    cut
    70 mm2 flex red 0.5 m
    pos
run home
    neg
    70 mm2 flex black 1 m
    house -
run pfeed
    pos
    16 mm2 flex red 0.15 m
    panelfuse
    16 mm2 flex red 3 m
    cabin
run phome
    cneg
    16 mm2 flex black 3 m
    neg
load lamps lighting 10 x 2 W
    4 h/day
load fridge refrigerator 5 A
    40 %
load pump pump 7 A
    0.3 h/day
run lamps
    cabin way 1
    1.5 mm2 flex red 5 m
    lamps
    back black
run fridge
    cabin way 2
    4 mm2 flex red 4 m
    fridge
    back black
run pump
    cabin way 3
    4 mm2 flex red 5 m
    pump
    back black
inverter inv 1500 W
    0.5 h/day
    charges 60 A
run inv
    pos
    70 mm2 flex red 0.5 m
    inv
    back black to neg
load starter starter 1.5 kW
    in engine
run crank
    start +
    50 mm2 flex red 0.5 m
    startcut
    50 mm2 flex red 1 m
    starter
    back black to start -
run common
    start -
    70 mm2 flex black 2 m
    neg
alternator dyn 70 A
    1 h/day
    in engine
fuse dynf bolt-down 100 A
    breaks 10 kA
    in engine
run dyn
    start +
    25 mm2 flex red 0.15 m
    dynf
    25 mm2 flex red 1.5 m
    dyn
    back black to start -
converter dc charges
    input 12 V
    output 12 V
    30 A
fuse dcin bolt-down 50 A
    breaks 10 kA
    in engine
fuse dcout class-t 50 A
    in locker
run dcin
    bypasses-isolator
    start +
    16 mm2 flex red 0.15 m
    dcin
    16 mm2 flex red 3 m
    dc input
    back black to start -
run dcout
    house +
    16 mm2 flex red 0.15 m
    dcout
    16 mm2 flex red 1 m
    dc output
    back black to neg
solar pan 150 W
    voc 24 V
    isc 8 A
    series 2
    4 h/day
controller ctl mppt 30 A
    max-input 75 V
fuse sf class-t 40 A
run pv
    ctl pv +
    twin 6 mm2 5 m
    pan
    back to ctl pv -
run sun
    house +
    10 mm2 flex red 0.15 m
    sf
    10 mm2 flex red 1 m
    ctl battery
    back black to neg
case sailing
    on fridge
    on lamps
case cooking
    on inv
    on pump
    on fridge
case motoring
    on dyn
    on dc
    on fridge
",
        instead: &[],
        more: "",
        shows: &[],
        advises: &[],
    },
];
