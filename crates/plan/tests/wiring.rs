//! The family *wiring*: what each finding says, and what it leaves alone.

mod support;

use ampwright_plan::findings::registry::Family;
use support::{BASE, LAMP};

#[track_caller]
fn with_base(more: &str) {
    check(&format!("{BASE}{more}"));
}

#[track_caller]
fn check(text: &str) {
    support::check(&[Family::Wiring], text);
}

#[test]
fn a_sound_boat_has_none() {
    with_base(LAMP);
}

// open-circuit

#[test]
fn loads_behind_one_missing_feed_are_one_finding() {
    let unfed = BASE.replace(
        "    10 mm2 red 2 m\n    cabin\n",
        "    10 mm2 red 2 m\n    spur\n",
    );
    check(&format!(
        "{unfed}joint spur
load lamp lighting 6 W #! open-circuit
load pump pump 3 A
run lamp
    cabin way 1
    1.5 mm2 red 3 m
    lamp
    back black
run pump
    cabin way 2
    1.5 mm2 red 3 m
    pump
    back black
"
    ));
}

#[test]
fn both_ends_on_one_side() {
    with_base(
        "busbar pos positive 50 A
    posts 4
run spur
    cabin
    10 mm2 red 1 m
    pos
load lamp lighting 6 W #! open-circuit
run lamp
    cabin way 1
    1.5 mm2 red 3 m
    lamp
    back black to pos
",
    );
}

#[test]
fn what_hangs_on_a_mistyped_name_is_not_called_open() {
    with_base(
        "load lamp lighting 6 W
run lamp
    cabn way 1
    1.5 mm2 red 3 m
    lamp
    1.5 mm2 black 3 m
    neg
",
    );
    // A run that is no run: what it would have joined is not known.
    with_base(
        "load lamp lighting 6 W
rum lamp
    cabin way 1
    1.5 mm2 red 3 m
    lamp
    back black
load pump pump 3 A
run pump
    cabin way 2
    1.5 mm2 red 3 m
    pump +
",
    );
}

#[test]
fn a_load_behind_a_diode_or_a_push_button_is_not_open() {
    with_base(
        "diode keeper 10 A
switch button 10 A momentary
load horn alarm 3 A
load radio electronics 1 A
run radio
    cabin way 1
    1.5 mm2 red 1 m
    keeper
    1.5 mm2 red 2 m
    radio
    1.5 mm2 black 3 m
    neg
run horn
    cabin way 2
    1.5 mm2 red 1 m
    button
    1.5 mm2 red 2 m
    horn
    back black
",
    );
}

#[test]
fn a_charger_that_charges_nothing_and_a_spare_part() {
    with_base(
        "charger shore 10 A #! open-circuit
load old-lamp lighting 6 W spare
run shore
    shore +
    4 mm2 red 1 m
    spur
joint spur
run shore-return
    shore -
    4 mm2 black 1 m
    neg
run old
    cabin way 1
    1.5 mm2 red 1 m
    old-lamp +
",
    );
}

#[test]
fn an_island_behind_an_isolated_converter_is_fed() {
    with_base(
        "converter dc-dc input 12 V output 24 V 5 A isolated
load radio electronics 1 A
run dc-dc
    cabin way 4
    6 mm2 red 1 m
    dc-dc input
    back black
run radio
    dc-dc output +
    2.5 mm2 red 1 m
    radio
    back black to dc-dc output -
",
    );
    with_base(
        "converter dc-dc input 12 V output 24 V 5 A isolated #! open-circuit
load radio electronics 1 A
run radio
    dc-dc output +
    2.5 mm2 red 1 m
    radio
    back black to dc-dc output -
",
    );
}

#[test]
fn a_battery_with_one_post_wired() {
    with_base(
        "battery spare-house agm 100 Ah #! open-circuit
run link
    spare-house +
    35 mm2 red 0.3 m
    house +
",
    );
}

// short-circuit

#[test]
fn posts_joined_directly_and_a_ring_of_batteries() {
    with_base(&format!(
        "{LAMP}run mistake
    house +
    35 mm2 red 0.3 m #! short-circuit
    house -
"
    ));
    with_base(
        "battery second like house
run link-positive
    house +
    35 mm2 red 0.3 m #! short-circuit
    second -
run link-negative
    house -
    35 mm2 black 0.3 m
    second +
",
    );
}

#[test]
fn banks_in_parallel_and_in_series_are_no_shorts() {
    with_base(
        "battery second like house
run link-positive
    house +
    35 mm2 red 0.3 m
    second +
run link-negative
    house -
    35 mm2 black 0.3 m
    second -
",
    );
}

/// The wrong conductor is the one between the two lamps, far from the battery.
#[test]
fn a_short_is_found_where_the_sides_meet() {
    with_base(
        "load fore lighting 6 W
load aft lighting 6 W
run fore
    cabin way 1
    1.5 mm2 red 3 m
    fore
    back black
run aft
    cabin way 2
    1.5 mm2 red 3 m
    aft
    back black
run mistake
    fore +
    1.5 mm2 red 1 m #! short-circuit
    aft -
",
    );
}

// reversed-polarity, wrong-way

#[test]
fn sources_the_wrong_way_round() {
    with_base(
        "charger shore 10 A
run shore
    cabin way 4
    6 mm2 red 1 m
    shore - 
run shore-return
    shore + #! reversed-polarity
    6 mm2 black 1 m
    neg
",
    );
    with_base(
        "solar roof 50 W
controller mppt-box mppt 10 A
run roof-positive
    roof + #! reversed-polarity
    4 mm2 2 m
    mppt-box pv -
run roof-negative
    roof -
    4 mm2 2 m
    mppt-box pv +
run charge
    cabin way 4
    6 mm2 red 1 m
    mppt-box battery +
run charge-return
    mppt-box battery -
    6 mm2 black 1 m
    neg
",
    );
}

#[test]
fn several_loads_of_one_run_are_reversed_once() {
    with_base(
        "load fore lighting 6 W
load aft lighting 6 W
run lamps
    neg
    1.5 mm2 3 m
    fore + #! reversed-polarity
    1.5 mm2 1 m
    aft
    back to fore -
    1.5 mm2 3 m
    cabin way 1
",
    );
}

#[test]
fn a_panel_with_a_feed_of_its_own_is_not_fed_through_a_way() {
    with_base(
        "panel fore 20 A
    way 1 fuse 5 A
    way 2 fuse 5 A
run fore-feed
    cabin way 4
    6 mm2 red 3 m
    fore
load lamp lighting 6 W
run lamp
    fore way 1
    1.5 mm2 red 3 m
    lamp
    back black to neg
",
    );
    with_base(
        "panel fore 20 A
    main 20 A
    way 1 fuse 5 A
    way 2 breaker 20 A
run fore-feed
    cabin way 4
    6 mm2 red 3 m
    fore way 2 #! wrong-way
load lamp lighting 6 W
run lamp
    fore way 1
    1.5 mm2 red 3 m
    lamp
    back black to neg
",
    );
}

// bypassed-part

#[test]
fn a_chain_with_a_way_round_is_bypassed_once() {
    with_base(
        "fuse side-fuse blade 5 A #! bypassed-part
switch side-switch 10 A
run side
    cabin
    1.5 mm2 red 1 m
    side-fuse
    1.5 mm2 red 1 m
    side-switch
    1.5 mm2 red 1 m
    cabin
",
    );
}

#[test]
fn devices_side_by_side_and_links_are_not_bypassed() {
    with_base(
        "switch by-hand 10 A
switch float 10 A automatic
load bilge bilge-pump 3 A
run bilge
    cabin way 1
    1.5 mm2 red 1 m
    by-hand
    1.5 mm2 red 2 m
    bilge
    back black
run bilge-float
    cabin way 1
    1.5 mm2 red 1 m
    float
    1.5 mm2 red 2 m
    bilge +
isolator emergency 100 A normally-open
battery engine flooded 70 Ah
fuse engine-fuse bolt-down 40 A
run engine-feed
    engine +
    10 mm2 red 0.15 m
    engine-fuse
    10 mm2 red 1 m
    emergency
    10 mm2 red 1 m
    cabin
run engine-return
    engine -
    10 mm2 black 1 m
    neg
",
    );
}

#[test]
fn a_tee_at_a_device_that_current_passes_is_no_bypass() {
    with_base(
        "switch lamp-switch 10 A
load fore lighting 6 W
load aft lighting 6 W
run fore
    cabin way 1
    1.5 mm2 red 1 m
    lamp-switch
    1.5 mm2 red 2 m
    fore
    back black
run aft
    fore +
    1.5 mm2 red 1 m
    lamp-switch out
    1.5 mm2 red 1 m
    aft
    1.5 mm2 black 3 m
    neg
",
    );
}

// loads-in-series, unused-core

#[test]
fn a_row_in_series_is_one_finding() {
    with_base(
        "load one lighting 2 W
load two lighting 2 W
load three lighting 2 W
run row
    cabin way 1
    1.5 mm2 red 3 m
    one #! loads-in-series
    1.5 mm2 red 1 m
    two
    1.5 mm2 red 1 m
    three
    back black
",
    );
    with_base(
        "load one lighting 2 W
load two lighting 2 W
run row
    cabin way 1
    1.5 mm2 red 3 m
    one +
    1.5 mm2 red 1 m
    two
    back black
",
    );
}

#[test]
fn a_twin_that_comes_back_is_used_up() {
    with_base(
        "load lamp lighting 2 W
run lamp
    cabin way 1
    twin 1.5 mm2 3 m
    lamp
    back
",
    );
    // The missing way back is said at the lamp.
    with_base(
        "load lamp lighting 2 W #! open-circuit
run lamp
    cabin way 1
    twin 1.5 mm2 3 m
    lamp +
",
    );
}

/// An alternator's negative is no way home for what a battery feeds: with the engine's cable to the
/// battery gone the starter cannot turn, though the alternator lies beside it on the block.
#[test]
fn a_way_home_that_ends_at_an_alternator() {
    let engine = |home: &str, open: &str| {
        format!(
            "block engine
load starter starter 1 kW earthed engine{open}
alternator alternator 60 A earthed engine
run crank
    house +
    50 mm2 red 1 m
    starter +
run charge
    starter +
    16 mm2 red 0.5 m
    alternator +
{home}"
        )
    };
    let home = "run engine-home
    engine
    50 mm2 black 1 m
    house -
";
    with_base(&engine(home, ""));
    with_base(&engine("", " #! open-circuit"));
}

/// Of two strings side by side one has lost its way home: it gives nothing.
#[test]
fn a_string_of_blocks_with_one_end_wired() {
    check(
        "boat tern
    system 24 V
battery a agm 100 Ah 12 V #! open-circuit
battery b agm 100 Ah 12 V
battery c agm 100 Ah 12 V
battery d agm 100 Ah 12 V
fuse lamp-fuse blade 5 A
isolator main 10 A
load lamp lighting 6 W
run one
    a +
    25 mm2 red 0.3 m
    b -
run two
    c +
    25 mm2 red 0.3 m
    d -
run tops
    b +
    25 mm2 red 0.3 m
    d +
run lamp
    d +
    1.5 mm2 red 0.1 m
    lamp-fuse
    1.5 mm2 red 1 m
    main
    1.5 mm2 red 1 m
    lamp
    back black to c -
",
    );
}

// mixed-voltage, tapped-bank

#[test]
fn voltages_of_one_class_are_not_mixed() {
    with_base(
        "load radio electronics 1 A 13.8 V
charger shore 10 A 14.4 V
run radio
    cabin way 1
    1.5 mm2 red 1 m
    radio
    back black
run shore
    cabin way 4
    6 mm2 red 1 m
    shore
    back black
",
    );
}

#[test]
fn sources_of_another_voltage() {
    with_base(
        "charger shore 10 A
    28.8 V #! mixed-voltage
run shore
    cabin way 4
    6 mm2 red 1 m
    shore
    back black
",
    );
    with_base(
        "battery second agm 100 Ah
    24 V #! mixed-voltage
run link-positive
    house +
    35 mm2 red 0.3 m
    second +
run link-negative
    house -
    35 mm2 black 0.3 m
    second -
",
    );
}

/// Two strings of two blocks of 12 V; the links are written into each test.
const STRINGS: &str = "boat tern
    system 24 V
battery a agm 100 Ah 12 V
battery b agm 100 Ah 12 V
battery c agm 100 Ah 12 V
battery d agm 100 Ah 12 V
";

fn strings(links: &[(&str, &str)], marked: &[&str]) {
    let link = |(at, (from, to)): (usize, &(&str, &str))| {
        format!("run link-{at}\n    {from}\n    25 mm2 0.3 m\n    {to}\n")
    };
    let links: String = links.iter().enumerate().map(link).collect();
    let mut text = format!("{STRINGS}{links}");
    for name in marked {
        let head = format!("battery {name} agm 100 Ah 12 V");
        text = text.replace(&head, &format!("{head} #! mixed-voltage"));
    }
    check(&text);
}

#[test]
fn blocks_whose_volts_do_not_add_up() {
    let strings_of = |middle, bottom| {
        [
            ("a +", "b -"),
            ("c +", middle),
            ("b +", "d +"),
            ("a -", bottom),
        ]
    };
    strings(&strings_of("d -", "c -"), &[]);
    // c alone stands across both blocks of the other string: 24 V across 12 V.
    strings(
        &[
            ("a +", "b -"),
            ("c +", "b +"),
            ("a -", "c -"),
            ("d +", "c +"),
            ("d -", "b -"),
        ],
        &["c"],
    );
    // The strings stand on one another: 36 V on one side of d, 12 V on the other.
    strings(&strings_of("d -", "c +"), &["d"]);
    // b and c in a row, 24 V, across a, which has d beside it.
    let across = [
        ("a -", "b -"),
        ("c +", "a +"),
        ("c -", "b +"),
        ("d +", "a +"),
        ("d -", "a -"),
    ];
    strings(&across, &["a"]);
}

#[test]
fn all_that_hangs_on_one_tap_is_one_finding() {
    check(
        "boat tern
    system 24 V
battery lower agm 100 Ah 12 V
battery upper agm 100 Ah 12 V
load fore lighting 6 W
load aft lighting 6 W
fuse lamp-fuse blade 5 A
isolator main 10 A
run link
    lower +
    25 mm2 red 0.3 m
    upper -
run lamps
    lower +
    1.5 mm2 red 0.1 m #! tapped-bank
    lamp-fuse
    1.5 mm2 red 1 m
    main
    1.5 mm2 red 1 m
    fore +
    1.5 mm2 red 1 m
    aft
    back black to lower -
",
    );
}

// unwired-part, never-on

#[test]
fn what_no_run_touches() {
    with_base(
        "block engine #! unwired-part
multicore mast 3 cores 1.5 mm2 8 m #! unwired-part
switch old 10 A spare
place locker
",
    );
    with_base(
        "load lamp lighting 2 W\nrun typo\n    cabin way 1\n    1.5 mm2 red 1 m\n    lmp +\n",
    );
}

#[test]
fn cases_leave_short_time_loads_alone() {
    with_base(&format!(
        "{LAMP}load pump pump 3 A #! never-on
load windlass motor 20 A
    short-time 60 s
run pump
    cabin way 2
    1.5 mm2 red 3 m
    pump
    back black
run windlass
    cabin way 4
    10 mm2 red 3 m
    windlass
    back black
case evening
    on lamp
"
    ));
}

// hull-return, bonding-loop, shunt-bypassed

/// Whatever a hand does to a plan's lines, it is judged: lines lost, doubled, exchanged, cut short.
mod torn {
    use ampwright_plan::Plan;
    use proptest::prelude::*;

    const PLANS: [&str; 3] = [
        include_str!("../../../examples/skerry.boat"),
        include_str!("../../../examples/findings/shunt-bypassed/shows.boat"),
        include_str!("../../../examples/findings/bonding-loop/shows.boat"),
    ];

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn a_torn_plan_is_judged(
            which in 0..PLANS.len(),
            tears in prop::collection::vec((0u8..4, any::<prop::sample::Index>(), any::<prop::sample::Index>()), 1..12),
        ) {
            let mut lines: Vec<&str> = PLANS[which].lines().collect();
            for (how, at, other) in tears {
                let (at, other) = (at.index(lines.len()), other.index(lines.len()));
                match how {
                    0 => { lines.remove(at); }
                    1 => { lines.insert(at, lines[other]); }
                    2 => lines.swap(at, other),
                    _ => lines[at] = lines[at].rsplit_once(' ').map_or("", |(kept, _)| kept),
                }
            }
            let plan = Plan::of_text(&lines.join("\n"));
            for finding in &plan.findings {
                prop_assert!(!finding.message.is_empty());
                let range = plan.sources.range(finding.site);
                prop_assert!(range.start <= range.end);
            }
        }
    }
}
