//! The energy of a day, against sums done by hand; and what arrives at loads as wired, as findings.

mod support;

use ampwright_plan::{
    Plan, Severity,
    findings::registry::Family,
    study::energy::{LoadDay, Making, SourceDay},
};
use support::{BASE, LAMP, check};

fn close(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-9, "{found} {expected}");
}

/// Two banks that a relay joins while anything charges, a converter to 24 V, an inverter, and a
/// source of each kind.
const BOAT: &str = "\
boat b
    system 12 V
battery house-1 agm 100 Ah
battery house-2 like house-1
battery engine flooded 80 Ah
    usable 40 %
relay combiner 100 A
    closes 13.3 V
busbar plus positive studs 20
busbar minus negative studs 20
load lamp lighting 12 W
    5 h/day
load ice-box refrigerator 4 A
    35 %
load plotter electronics 1 A
    24 h/day
load silent pump 5 A
converter up input 12 V output 24 V 5 A
load far lighting 48 W
    2 h/day
inverter inv 600 W
    0.5 h/day
solar roof 100 W
    parallel 2
    4 h/day
controller ctl mppt 15 A
alternator alt 50 A
    0.5 h/day
charger shore 10 A
    2 h/day
run link
    house-1 +
    35 mm2 0.3 m
    house-2 +
    35 mm2 1 m
    plus
run link-home
    house-1 -
    35 mm2 0.3 m
    house-2 -
    35 mm2 1 m
    minus
run engine
    engine +
    35 mm2 1 m
    combiner
    35 mm2 1 m
    plus
run engine-home
    engine -
    35 mm2 1 m
    minus
run lamp
    plus
    2.5 mm2 1 m
    lamp
    back to minus
run ice-box
    plus
    2.5 mm2 1 m
    ice-box
    back to minus
run plotter
    plus
    2.5 mm2 1 m
    plotter
    back to minus
run silent
    plus
    2.5 mm2 1 m
    silent
    back to minus
run up
    plus
    6 mm2 1 m
    up input
    back to minus
run far
    up output +
    2.5 mm2 1 m
    far
    back to up output -
run inv
    plus
    35 mm2 1 m
    inv
    back to minus
run roof
    ctl pv +
    4 mm2 1 m
    roof
    back to ctl pv -
run ctl
    plus
    4 mm2 1 m
    ctl battery
    back to minus
run alt
    alt +
    16 mm2 1 m
    engine +
run alt-home
    alt -
    16 mm2 1 m
    minus
run shore
    plus
    4 mm2 1 m
    shore
    back to minus
";

/// Lamp 1 A x 5 h = 5 Ah; ice box 4 A x 8.4 h = 33.6; plotter 24; the far lamp 2 A x 2 h = 4 Ah at
/// 24 V, 4 x 24 / (0.9 x 12) = 8.889 at 12 V (converter 90 %, common practice); inverter
/// 600 / 0.88 / 12 = 56.818 A x 0.5 h = 28.409 Ah (88 %, common practice). All of it out of the
/// house bank, since the relay is open at rest.
#[test]
fn a_day_takes_what_its_loads_take() {
    let energy = Plan::of_text(BOAT).study.energy;
    let takes = 5.0 + 33.6 + 24.0 + 4.0 * 24.0 / 0.9 / 12.0 + 600.0 / 0.88 / 12.0 / 2.0;
    close(energy.banks[0].takes, takes);
    close(energy.banks[1].takes, 0.0);
    assert_eq!(energy.silent.len(), 1);
    close(energy.loads.iter().map(LoadDay::takes).sum(), takes);
}

/// Solar 200 W x 95 % / 12 V = 15.83 A, limited to 15 A, 4 h: 60 Ah. Alternator 50 x 0.5 = 25 Ah,
/// charger 20 Ah. While they charge the relay joins 200 Ah and 80 Ah, so the house gets 5/7.
#[test]
fn a_day_gives_what_its_sources_give_shared_by_ampere_hours() {
    let plan = Plan::of_text(BOAT);
    let energy = &plan.study.energy;
    let given: Vec<f64> = energy.sources.iter().map(SourceDay::gives).collect();
    assert_eq!(given.len(), 3);
    let all: f64 = given.iter().sum();
    close(all, 60.0 + 25.0 + 20.0);
    close(energy.banks[0].gives, all * 200.0 / 280.0);
    close(energy.banks[1].gives, all * 80.0 / 280.0);
    let solar = energy
        .sources
        .iter()
        .find(|source| source.making != Making::Rated);
    let whole = solar.and_then(|solar| solar.making.whole()).unwrap();
    close(whole, 200.0 * 0.95 / 12.0);
    // Joined while they charge, they are balanced together.
    let balances = energy.balances();
    assert_eq!(balances.len(), 1);
    close(balances[0].lacks(), (balances[0].takes - all).max(0.0));
}

/// The house holds 200 Ah, half of it usable (common practice). The inverter's 56.8 A is far above
/// the rated 10 A: by Peukert, exponent 1.15 (common practice), the bank would last
/// 20 x (200 / (56.8 x 20))^1.15 = 2.7125 h, so half an hour takes 0.1843 of it and not 0.142.
/// What draws less than 10 A counts as its ampere-hours.
#[test]
fn days_at_anchor_count_large_currents_by_peukert() {
    let plan = Plan::of_text(BOAT);
    let house = plan.study.energy.banks[0];
    let amps = 600.0 / 0.88 / 12.0;
    let lasts = 20.0 * (200.0f64 / (amps * 20.0)).powf(1.15);
    assert!((lasts - 2.7125).abs() < 5e-4, "{lasts}");
    let small = (5.0 + 33.6 + 24.0 + 4.0 * 24.0 / 0.9 / 12.0) / 200.0;
    close(house.share, small + 0.5 / lasts);
    close(house.days(), 0.5 / house.share);
    assert!((house.days() - 0.923).abs() < 2e-3, "{}", house.days());
    // The engine's says what is used of it, and nothing draws on it.
    let engine = plan.study.energy.banks[1];
    close(engine.store.usable, 0.4);
    assert!(engine.usable_said && engine.days().is_infinite());
}

/// PWM passes the panels' own working current, 2 x 5.4 A, whatever its efficiency.
#[test]
fn a_pwm_passes_its_panels_current() {
    let text = BOAT
        .replace("controller ctl mppt 15 A", "controller ctl pwm 15 A")
        .replace("    parallel 2\n", "    parallel 2\n    imp 5.4 A\n");
    let energy = Plan::of_text(&text).study.energy;
    let solar = energy
        .sources
        .iter()
        .find(|source| source.making != Making::Rated);
    close(solar.unwrap().gives(), 2.0 * 5.4 * 4.0);
}

/// A charging converter runs while the alternator does, up to 20 A x 1 h, but no longer than its
/// battery needs: the lamp's 10 Ah, and 10 x 12 / (0.9 x 12) = 11.1 Ah out of the engine's battery,
/// which gets 50. A lamp of 30 Ah has it run the whole hour.
#[test]
fn a_charging_converter_runs_with_what_charges_its_input() {
    let through = "\
boat b
    system 12 V
battery engine flooded 80 Ah
battery house agm 100 Ah
converter b2b input 12 V output 12 V 20 A
    charges
    isolated
alternator alt 50 A
    1 h/day
load lamp lighting 2 A
    5 h/day
run alt
    alt +
    16 mm2 1 m
    engine +
run alt-home
    alt -
    16 mm2 1 m
    engine -
run in
    engine +
    6 mm2 1 m
    b2b input
    back to engine -
run out
    house +
    6 mm2 1 m
    b2b output +
run out-home
    b2b output -
    6 mm2 1 m
    house -
run lamp
    house +
    2.5 mm2 1 m
    lamp
    back to house -
";
    let banks = |text: &str| Plan::of_text(text).study.energy.banks;
    let [engine, house] = banks(through)[..] else {
        panic!("two banks")
    };
    close(engine.takes, 10.0 / 0.9);
    close(engine.gives, 50.0);
    close(house.takes, 10.0);
    close(house.gives, 10.0);
    let long = banks(&through.replace("5 h/day", "15 h/day"));
    close(long[0].takes, 20.0 / 0.9);
    close(long[1].gives, 20.0);
}

const SUN: &str = "\
solar roof 100 W
    voc 22 V
    isc 6 A
    HOURS
controller ctl mppt 15 A
    max-input 50 V
fuse sf blade 20 A
run pv
    ctl pv +
    4 mm2 red 4 m
    roof
    back black to ctl pv -
run chg
    house +
    4 mm2 red 0.1 m
    sf
    4 mm2 red 2 m
    ctl battery
    back black to house -
";

fn codes(plan: &Plan, family: Family) -> Vec<(&'static str, Severity)> {
    let of = plan
        .findings
        .iter()
        .filter(|one| one.code.entry().family == family);
    of.map(|one| (one.code.word(), one.severity)).collect()
}

/// 100 W x 95 % / 12 V x 1 h = 7.9 Ah; the lamp's 0.5 A take 12 Ah in a day.
#[test]
fn a_deficit_is_found_only_where_a_source_says_its_hours() {
    let lamp = LAMP.replace("6 W", "6 W\n    24 h/day");
    let boat = |hours: &str| {
        Plan::of_text(&format!(
            "{BASE}{lamp}{}",
            SUN.replace("    HOURS\n", hours)
        ))
    };
    let short = boat("    1 h/day\n");
    assert_eq!(
        codes(&short, Family::Energy),
        [("budget-deficit", Severity::Advice)]
    );
    let said = &short
        .findings
        .iter()
        .find(|one| one.code.word() == "budget-deficit")
        .unwrap();
    let figure = said.figure.unwrap();
    close(figure.measured, 12.0);
    close(figure.allowed, 100.0 * 0.95 / 12.0);
    assert_eq!(codes(&boat("    2 h/day\n"), Family::Energy), []);
    assert_eq!(codes(&boat(""), Family::Energy), []);
}

/// A pump of 60 W at the end of 2 x 30 m of 1.5 mm² gets at most 12.3² / (4 x 0.88) = 43 W. That is
/// said once: neither the drop nor the low volts say it again.
#[test]
fn what_cannot_be_delivered_is_said_once() {
    check(
        &[Family::Energy, Family::Conductors],
        &format!(
            "{BASE}{}",
            "\
load far pump 60 W
run far
    cabin way 1
    1.5 mm2 red 30 m #! cannot-deliver
    far
    back black
"
        ),
    );
}

/// 4 A over 2 x 9 m of 1.5 mm²: 0.0164 x 4 x 18 / 1.5 = 0.79 V, 6.6 %, by the rule; as wired more
/// than a volt. Its own minimum is a warning on its words; the usual one is not reached.
#[test]
fn a_load_below_its_own_minimum_is_a_warning() {
    check(
        &[Family::Energy, Family::Conductors],
        &format!(
            "{BASE}{}",
            "\
load far pump 4 A
    minimum 11.5 V #! low-voltage
run far
    cabin way 1
    1.5 mm2 red 9 m
    far
    back black
"
        ),
    );
}

/// Only the start is too much: 4 A to run, 25 A to start, in the case in which it runs.
#[test]
fn a_start_that_sags_below_the_minimum_is_found() {
    let far = |starting: &str| {
        Plan::of_text(&format!(
            "{BASE}\
load far refrigerator 4 A
    minimum 10.8 V
{starting}run far
    cabin way 4
    4 mm2 red 6 m
    far
    back black
case on
    on far
"
        ))
    };
    assert_eq!(codes(&far(""), Family::Energy), []);
    let started = far("    starting 25 A 1 s\n");
    assert_eq!(
        codes(&started, Family::Energy),
        [("low-voltage", Severity::Warning)]
    );
    assert!(
        started
            .findings
            .iter()
            .any(|one| one.message.contains("while it starts in on"))
    );
}

/// Half-charged lead at the end of a long way within the rule: below 10.5 V is an advice, one for
/// all lamps behind the feeder that takes it.
#[test]
fn one_feeder_that_leaves_too_little_is_one_advice() {
    let text = "\
boat b
    system 12 V
battery house flooded 20 Ah
fuse main bolt-down 40 A
isolator cut 100 A
busbar plus positive posts 9
busbar minus negative posts 9
load one lighting 13 A
load two lighting 13 A
run feed
    house +
    16 mm2 red 0.15 m
    main
    16 mm2 red 1 m
    cut
    16 mm2 red 8 m
    plus
run home
    minus
    16 mm2 black 9 m
    house -
fuse f1 blade 15 A
fuse f2 blade 15 A
run one
    plus
    6 mm2 red 0.1 m
    f1
    6 mm2 red 4 m
    one
    back to minus
run two
    plus
    6 mm2 red 0.1 m
    f2
    6 mm2 red 4 m
    two
    back to minus
";
    let plan = Plan::of_text(text);
    let found = codes(&plan, Family::Energy);
    assert_eq!(
        found,
        [("low-voltage", Severity::Advice)],
        "{:#?}",
        plan.findings
    );
    let low = plan
        .findings
        .iter()
        .find(|one| one.code.word() == "low-voltage")
        .unwrap();
    assert_eq!(low.related.len(), 1);
}

/// By the rule 0.0164 x 2.8 x 12.4 / 2.5 and the feed, 1.97 %; with a 3 A fuse, warm tinned copper
/// and crimps more than half as much again, and over the 3 % of a navigation light.
#[test]
fn what_the_formula_does_not_see_runs_low() {
    check(
        &[Family::Energy, Family::Conductors],
        &format!(
            "{}{}",
            BASE.replace("way 1 fuse 5 A", "way 1 fuse 3 A"),
            "\
load stern navigation 2.8 A #! runs-low
run stern
    cabin way 1
    2.5 mm2 red 6.2 m
    stern
    back black
"
        ),
    );
}

/// The same boat beside a winch of 24 V whose negative lands on the same bar: what a light of 12 V
/// loses is measured against its own bank.
#[test]
fn a_bank_of_another_voltage_on_the_same_bar_hides_nothing() {
    check(
        &[Family::Energy, Family::Conductors],
        &format!(
            "{}{}",
            BASE.replace("way 1 fuse 5 A", "way 1 fuse 3 A"),
            "\
load stern navigation 2.8 A #! runs-low
run stern
    cabin way 1
    2.5 mm2 red 6.2 m
    stern
    back black
battery heavy agm 24 V 100 Ah
fuse heavy-fuse bolt-down 60 A
    breaks 10 kA
isolator heavy-switch 100 A
load winch motor 480 W
    24 V
run winch
    heavy +
    16 mm2 red 0.15 m
    heavy-fuse
    16 mm2 red 0.5 m
    heavy-switch
    16 mm2 red 1 m
    winch
    back black to minus
run heavy-negative
    minus
    16 mm2 black 1 m
    heavy -
"
        ),
    );
}

#[test]
fn absurd_days_stay_numbers() {
    for (old, new) in [
        ("5 h/day", "99 h/day"),
        ("lighting 12 W", "lighting 1e300 W"),
        ("agm 100 Ah", "agm 0 Ah"),
        ("agm 100 Ah", "agm 1e300 Ah"),
        ("output 24 V 5 A", "output 24 V 0 A"),
        ("100 W\n", "1e300 W\n"),
    ] {
        let plan = Plan::of_text(&BOAT.replacen(old, new, 1));
        for bank in &plan.study.energy.banks {
            assert!(
                bank.takes.is_finite() && bank.gives.is_finite(),
                "{new}: {bank:?}"
            );
            assert!(!bank.days().is_nan(), "{new}: {bank:?}");
        }
    }
}
