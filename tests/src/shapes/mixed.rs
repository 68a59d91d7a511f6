//! The third shape: a convoy of hulls that lie side by side and share one negative, each with a
//! system of its own. Everything a plan can say is in it somewhere: banks in parallel and in series,
//! three chemistries, sun, alternators, shore power, converters that charge the next hull's bank,
//! inverters, relays, loads in W with their hours, places, cases.
//!
//! `@` stands for the hull's number, `<` for that of the hull it is charged from.

/// The engine, and what all hulls share.
const HEAD: &str = "\
boat convoy \"Convoy\"
    system 12 V
    ambient 30 C
    hull grp
    fuel diesel
    cable flex
cable flex tinned
    insulation 105 C
cable house-wire copper
    insulation 70 C
place engine-room engine-space
    openings 150 cm2
battery engine flooded 110 Ah
    in engine-room
isolator engine-isolator 500 A
    in engine-room
load engine-starter starter 2 kW
    in engine-room
alternator engine-alternator 90 A
    1.5 h/day
    in engine-room
fuse alternator-fuse bolt-down 125 A
    breaks 10 kA
    in engine-room
busbar common-negative negative 500 A
    studs 4
run cranking \"Cranking\"
    engine +
    95 mm2 red 0.3 m in engine-room
    engine-isolator
    95 mm2 red 1 m in engine-room
    engine-starter
    back black to engine -
run alternator \"Alternator\"
    engine +
    35 mm2 red 0.15 m in engine-room
    alternator-fuse
    35 mm2 red 1.2 m in engine-room
    engine-alternator
    back black to engine -
run engine-negative
    engine -
    50 mm2 black 1 m in engine-room
    common-negative
";

/// Two AGM batteries in parallel, sun on the roof, a pump that works with everything switched off.
const PARALLEL: &str = "\
## Hull @: batteries side by side
place locker-@
    openings 60 cm2
place cabin-@
battery house-@ \"House\" agm 120 Ah
    charge-limit 40 A
    in locker-@
battery second-@ like house-@
fuse house-fuse-@ class-t 150 A
    in locker-@
isolator house-isolator-@ 250 A
    in locker-@
busbar positive-@ positive 250 A
    studs 6
    in locker-@
busbar negative-@ negative 250 A
    studs 12
    posts 12
    in locker-@
panel panel-@ 100 A
    way 1 fuse 5 A
    way 2 fuse {fuse} A
    way 3 fuse 10 A
    way 4 fuse 15 A
    way 5 breaker 10 A
    way 6 spare
    returns negative-@
    in cabin-@
solar roof-@ 120 W parallel 2
    voc 22.4 V
    isc 7.2 A
    4 h/day
controller sun-@ mppt 30 A
    max-input 75 V
    in locker-@
fuse sun-fuse-@ bolt-down 40 A
    breaks 10 kA
    in locker-@
load lights-@ \"Cabin lights\" lighting 6 x 2.4 W
    4 h/day
load instruments-@ electronics 14 W
    30 %
load fridge-@ refrigerator 48 W
    40 %
    minimum 10.8 V
load fresh-@ \"Fresh-water pump\" pump 72 W
    0.4 h/day
load bilge-@ bilge-pump 36 W
    0.2 h/day
switch float-@ 10 A automatic
fuse bilge-fuse-@ blade 10 A
    breaks 10 kA
    in locker-@
socket socket-@ 10 A
run link-@
    house-@ +
    50 mm2 red 0.3 m in locker-@
    second-@ +
run link-back-@
    house-@ -
    50 mm2 black 0.3 m in locker-@
    second-@ -
run feed-@ \"Feed\"
    house-@ +
    50 mm2 red 0.15 m in locker-@
    house-fuse-@
    50 mm2 red 0.5 m in locker-@
    house-isolator-@
    50 mm2 red 0.3 m in locker-@
    positive-@
    25 mm2 red 4 m
    panel-@
run return-@
    negative-@
    50 mm2 black 0.8 m in locker-@
    second-@ -
run common-@
    negative-@
    35 mm2 black 6 m
    {common}
run panels-@
    sun-@ pv +
    4 mm2 red 5 m
    roof-@
    back black to sun-@ pv -
run sun-@
    house-@ +
    10 mm2 red 0.15 m in locker-@
    sun-fuse-@
    10 mm2 red 1 m in locker-@
    sun-@ battery
    back black to negative-@
run lights-@
    panel-@ way 1
    twin {size} mm2 5 m house-wire
    lights-@
    back
run instruments-@
    panel-@ way 2
    twin 1.5 mm2 4 m
    instruments-@
    back
run fridge-@
    panel-@ way 3
    twin 4 mm2 {fridge} m in cabin-@
    fridge-@
    back
run fresh-@
    panel-@ way 4
    2.5 mm2 red 4 m
    fresh-@
    back black
run socket-@
    panel-@ way 5
    twin 2.5 mm2 3 m in cabin-@
    socket-@
    back
run bilge-@
    house-@ +
    2.5 mm2 red 0.15 m in locker-@
    bilge-fuse-@
    2.5 mm2 red 3 m
    float-@
    2.5 mm2 red 0.5 m
    bilge-@
    back black 4 m to negative-@
case evening-@ \"Evening\"
    on lights-@
    on fridge-@
case passage-@ \"Under way\"
    on instruments-@
    on sun-@
";

/// Two blocks in series for 24 V, a charger from the shore, a converter to a small panel of 12 V.
const SERIES: &str = "\
## Hull @: batteries in a row
place bay-@ engine-space
    openings 80 cm2
battery low-@ flooded 12 V 150 Ah
    in bay-@
battery high-@ like low-@
fuse main-fuse-@ class-t 125 A
    volts 125 V
    in bay-@
isolator main-isolator-@ 200 A
    in bay-@
busbar positive-@ positive 200 A
    studs 8
    in bay-@
busbar negative-@ negative 200 A
    studs 12
    posts 10
    in bay-@
charger shore-@ 25 A
    28.8 V
    6 h/day
    in bay-@
fuse shore-fuse-@ bolt-down 40 A
    volts 58 V
    breaks 10 kA
    in bay-@
panel panel-@ 60 A
    way 1 fuse {fuse} A
    way 2 fuse 15 A
    returns negative-@
converter down-@ isolated
    input 24 V
    output 12 V
    15 A
fuse down-fuse-@ blade 15 A
    volts 58 V
busbar low-negative-@ negative 60 A
    posts 8
panel low-panel-@ 30 A
    way 1 fuse 5 A
    way 2 fuse 5 A
    way 3 fuse 5 A
    returns low-negative-@
load lamp-@ \"Deck light\" lighting 24 W
    24 V
    2 h/day
load winch-@ motor 300 W
    short-time 60 s
load radio-@ electronics 25 W
    3 h/day
load chart-@ electronics 18 W
    6 h/day
load anchor-@ navigation 3 W
    10 h/day
run middle-@
    low-@ +
    50 mm2 red 0.3 m in bay-@
    high-@ -
run feed-@ \"Feed\"
    high-@ +
    35 mm2 red 0.15 m in bay-@
    main-fuse-@
    35 mm2 red 0.5 m in bay-@
    main-isolator-@
    35 mm2 red 0.3 m in bay-@
    positive-@
    16 mm2 red 3 m
    panel-@
run return-@
    negative-@
    35 mm2 black 0.8 m in bay-@
    low-@ -
run common-@
    negative-@
    35 mm2 black 6 m
    {common}
run shore-@
    high-@ +
    10 mm2 red 0.15 m in bay-@
    shore-fuse-@
    10 mm2 red {charge} m in bay-@
    shore-@
    back black to low-@ -
run lamp-@
    panel-@ way 1
    twin {size} mm2 6 m
    lamp-@
    back
run winch-@
    panel-@ way 2
    twin 2.5 mm2 3 m
    winch-@
    back
run down-@
    positive-@
    4 mm2 red 0.15 m
    down-fuse-@
    4 mm2 red 1 m
    down-@ input
    back black to negative-@
run down-out-@
    down-@ output +
    4 mm2 red 1 m
    low-panel-@
run down-back-@
    low-negative-@
    4 mm2 black 1 m
    down-@ output -
run radio-@
    low-panel-@ way 1
    twin 1.5 mm2 2 m
    radio-@
    back
run chart-@
    low-panel-@ way 2
    twin 1.5 mm2 2 m
    chart-@
    back
run anchor-@
    low-panel-@ way 3
    twin 1.5 mm2 {mast} m
    anchor-@
    back
case watch-@ \"On watch\"
    on radio-@
    on chart-@
case berth-@ \"At the berth\"
    on shore-@
    on lamp-@
";

/// One lithium battery that the next hull's bank charges, an inverter, a windlass on a relay.
const LITHIUM: &str = "\
## Hull @: lithium
place under-berth-@
    openings 40 cm2
battery house-@ \"House\" lithium 280 Ah
    charge-limit 100 A
    in under-berth-@
fuse house-fuse-@ class-t 250 A
    in under-berth-@
isolator house-isolator-@ 350 A
    in under-berth-@
busbar positive-@ positive 350 A
    studs 8
    in under-berth-@
busbar negative-@ negative 350 A
    studs 16
    posts 8
    in under-berth-@
panel panel-@ 60 A
    way 1 fuse 10 A
    way 2 fuse {fuse} A
    way 3 fuse 5 A
    returns negative-@
inverter inverter-@ 1200 W
    0.5 h/day
    in under-berth-@
fuse inverter-fuse-@ class-t 200 A
    in under-berth-@
relay windlass-relay-@ 150 A
    coil 1 A
    in under-berth-@
fuse windlass-fuse-@ bolt-down 125 A
    breaks 10 kA
    in under-berth-@
switch down-button-@ 5 A momentary
load windlass-@ motor 1000 W
    short-time 120 s
converter charge-@ charges
    input {volts} V
    output 12 V
    20 A
fuse charge-in-@ bolt-down 30 A
    volts 58 V
    breaks 10 kA
fuse charge-out-@ bolt-down 30 A
    breaks 10 kA
    in under-berth-@
load heater-@ heater 30 W
    starting 12 A 120 s
    8 h/day
load lights-@ lighting 8 x 3 W
    3 h/day
load sounder-@ electronics 6 W
    5 h/day
run feed-@ \"Feed\"
    house-@ +
    95 mm2 red 0.15 m in under-berth-@
    house-fuse-@
    95 mm2 red 0.4 m in under-berth-@
    house-isolator-@
    95 mm2 red 0.3 m in under-berth-@
    positive-@
    16 mm2 red 3 m
    panel-@
run return-@
    negative-@
    95 mm2 black 0.8 m in under-berth-@
    house-@ -
run common-@
    negative-@
    35 mm2 black 6 m
    {common}
run inverter-@
    positive-@
    70 mm2 red 0.15 m in under-berth-@
    inverter-fuse-@
    70 mm2 red 1 m in under-berth-@
    inverter-@
    back black to negative-@
run windlass-@
    positive-@
    50 mm2 red 0.15 m in under-berth-@
    windlass-fuse-@
    50 mm2 red 0.5 m in under-berth-@
    windlass-relay-@
    50 mm2 red {windlass} m
    windlass-@
    back black to negative-@
run coil-@
    panel-@ way 3
    1.5 mm2 red 4 m
    down-button-@
    1.5 mm2 red 4 m
    windlass-relay-@ coil +
run coil-back-@
    windlass-relay-@ coil -
    1.5 mm2 black 2 m
    negative-@
run charge-in-@
    {from}
    10 mm2 red 0.15 m
    charge-in-@
    10 mm2 red 6 m
    charge-@ input
    back black to {home}
run charge-out-@
    house-@ +
    10 mm2 red 0.15 m in under-berth-@
    charge-out-@
    10 mm2 red 1 m in under-berth-@
    charge-@ output
    back black to negative-@
run heater-@
    panel-@ way 1
    twin 2.5 mm2 4 m
    heater-@
    back
run lights-@
    panel-@ way 2
    twin {size} mm2 5 m house-wire
    lights-@
    back
run sounder-@
    negative-@
    1.5 mm2 black 3 m
    sounder-@ -
run sounder-feed-@
    positive-@
    1.5 mm2 red 0.1 m
    sounder-fuse-@
    1.5 mm2 red 3 m
    sounder-@ +
fuse sounder-fuse-@ blade 5 A
case anchor-@ \"At anchor\"
    on lights-@
    on heater-@
    on inverter-@
";

const HULLS: [&str; 3] = [PARALLEL, SERIES, LITHIUM];

/// One plan of about `lines` lines, made of whole hulls, three at least.
pub fn mixed(lines: usize) -> String {
    let mut count = HEAD.lines().count();
    let fits = |number: &usize| {
        count += hull(*number).lines().count();
        *number < 3 || count <= lines
    };
    convoy((0..=lines).take_while(fits).count())
}

/// So many hulls side by side.
pub fn convoy(hulls: usize) -> String {
    let hulls: String = (0..hulls).map(hull).collect();
    format!("{HEAD}{hulls}")
}

/// One hull; three kinds in turn. One in four has something too long, too thin or too large.
fn hull(number: usize) -> String {
    let ill = |part: usize| number % 20 == part * 4;
    // A lithium hull is charged from the hull before it, which has 24 V.
    let before = number.saturating_sub(1);
    // Four hulls to a stud would be too many: each hands the negative on to the next three.
    let common = match number {
        0..3 => "common-negative".to_owned(),
        _ => format!("negative-{}", number / 3 - 1),
    };
    let pick = |sick: bool, ill: &'static str, well: &'static str| if sick { ill } else { well };
    HULLS[number % HULLS.len()]
        .replace('@', &number.to_string())
        .replace("{common}", &common)
        .replace("{volts}", "24")
        .replace("{from}", &format!("positive-{before}"))
        .replace("{home}", &format!("negative-{before}"))
        .replace("{fuse}", pick(ill(0), "40", "5"))
        .replace("{size}", pick(ill(1), "0.5", "1.5"))
        .replace("{fridge}", pick(ill(2), "30", "4"))
        .replace("{mast}", pick(ill(2), "120", "14"))
        .replace("{windlass}", pick(ill(3), "25", "5"))
        .replace("{charge}", pick(ill(4), "30", "1"))
}
