//! The family *wiring*, continued: earth, shunts, colours, and the way home.

mod support;

use ampwright_plan::{Plan, Severity, findings::registry::Family};
use support::{BASE, LAMP};

#[track_caller]
fn with_base(more: &str) {
    check(&format!("{BASE}{more}"));
}

#[track_caller]
fn check(text: &str) {
    support::check(&[Family::Wiring], text);
}

const ENGINE: &str = "\
block engine
run engine-earth
    engine
    25 mm2 black 1 m
    house -
";

#[test]
fn what_is_earthed_on_its_block_returns_by_it() {
    with_base(&format!(
        "{ENGINE}load starter starter 60 A earthed engine
run starter
    house +
    25 mm2 red 1 m
    starter +
"
    ));
}

#[test]
fn a_house_load_on_an_engine_block_is_a_warning() {
    let more = format!(
        "{ENGINE}load lamp lighting 6 W
run lamp
    cabin way 1
    1.5 mm2 red 3 m
    lamp
    1.5 mm2 black 3 m #! hull-return
    engine
"
    );
    with_base(&more);
    let plan = Plan::of_text(&format!("{BASE}{more}"));
    assert_eq!(
        plan.findings
            .iter()
            .map(|finding| finding.severity)
            .collect::<Vec<_>>(),
        [Severity::Warning]
    );
}

#[test]
fn a_bonded_bar_is_no_hull_return_and_a_tree_no_loop() {
    with_base(&format!(
        "{LAMP}bond plate
bond shaft
run plate
    neg
    16 mm2 green 1 m
    plate
    16 mm2 green 1 m
    shaft
"
    ));
    with_base(
        "bond plate
block engine
run plate
    neg
    16 mm2 green 1 m
    plate
run engine-bond
    engine
    16 mm2 green 1 m #! bonding-loop
    plate
run engine-earth
    engine
    25 mm2 black 1 m
    house -
",
    );
}

/// The lamp and the charger of the house land before the shunt, the engine's own battery beyond it.
#[test]
fn a_shunt_counts_its_own_bank_only() {
    let shunted = BASE.replace(
        "    10 mm2 black 3 m\n    house -",
        "    10 mm2 black 3 m\n    gauge\n    10 mm2 black 0.3 m\n    house -",
    );
    check(&format!(
        "{shunted}shunt gauge 100 A
{LAMP}charger shore 10 A
run shore
    cabin way 4
    6 mm2 red 1 m
    shore +
run shore-return
    shore -
    6 mm2 black 1 m #! shunt-bypassed
    house -
battery engine flooded 70 Ah
load starter starter 100 A
run crank
    engine +
    35 mm2 red 1 m
    starter
    35 mm2 black 1 m
    engine -
run common
    engine -
    16 mm2 black 1 m
    gauge system
"
    ));
}

#[test]
fn a_shunt_passed_from_the_battery_is_the_same_shunt() {
    let outward = BASE.replace(
        "    neg\n    10 mm2 black 3 m\n    house -",
        "    house -\n    10 mm2 black 0.3 m\n    gauge\n    10 mm2 black 3 m\n    neg",
    );
    check(&format!(
        "{outward}shunt gauge 100 A
{LAMP}load radio electronics 1 A
run radio
    cabin way 2
    1.5 mm2 red 1 m
    radio
    1.5 mm2 black 1 m
    gauge system
load clock electronics 1 A
run clock
    cabin way 3
    1.5 mm2 red 1 m
    clock
    1.5 mm2 black 1 m #! shunt-bypassed
    gauge battery
"
    ));
}

// colour-mismatch, return-length-differs

#[test]
fn colours_of_the_rule_set() {
    with_base(
        "load pump pump 3 A
run pump
    cabin way 1
    1.5 mm2 brown 3 m #! colour-mismatch
    pump
    back yellow
load fan blower 3 A
run fan
    cabin way 2
    1.5 mm2 red/white 3 m
    fan
    back black/white
",
    );
    let abyc = BASE.replace("system 12 V\n", "system 12 V\n    rules abyc-e11\n");
    check(&format!(
        "{abyc}load pump pump 3 A
run pump
    cabin way 1
    1.5 mm2 brown 3 m
    pump
    back yellow
load lamp navigation 3 W
run lamp
    cabin way 2
    1.5 mm2 brown 3 m #! colour-mismatch
    lamp
    back black
"
    ));
}

#[test]
fn red_home_and_black_out_are_worth_an_advice_in_every_set() {
    let cfr = BASE.replace("system 12 V\n", "system 12 V\n    rules us-cfr-183\n");
    check(&format!(
        "{cfr}load pump pump 3 A
run pump
    cabin way 1
    1.5 mm2 black 3 m #! colour-mismatch
    pump
    back red #! colour-mismatch
load fan blower 3 A
run fan
    cabin way 2
    1.5 mm2 brown 3 m
    fan
    back white
"
    ));
}

#[test]
fn a_return_is_measured_against_its_own_way_out() {
    with_base(
        "load lamp lighting 2 W
load anchor lighting 2 W
load pump pump 1 A
run lamp
    cabin way 1
    1.5 mm2 red 4 m
    lamp
    1.5 mm2 black 4.9 m
    neg
run anchor
    cabin way 2
    1.5 mm2 red 8 m
    anchor
    1.5 mm2 black 0.2 m
    lamp -
run pump
    cabin way 3
    1.5 mm2 red 4 m
    pump
    back black 6 m #! return-length-differs
",
    );
}
