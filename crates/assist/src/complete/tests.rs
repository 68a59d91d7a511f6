//! What is offered at the cursor of small, mostly broken plans.

use expect_test::{Expect, expect};

use super::{complete, resolve};
use crate::fixture::{CURLEW, pointed};

/// The first items at the cursor, with their details where `detail`.
fn check(fixture: &str, most: usize, expected: &Expect) {
    let here = pointed(fixture);
    let items = complete(&here.plan, 0, here.at);
    let shown: Vec<String> = items
        .iter()
        .take(most)
        .map(|item| format!("{} — {}", item.label, item.detail))
        .collect();
    expected.assert_eq(&shown.join("\n"));
}

/// Curlew with more text below it.
fn curlew(more: &str) -> String {
    format!("{CURLEW}{more}")
}

/// The text once the item of a label is taken.
fn taken(fixture: &str, label: &str) -> String {
    let here = pointed(fixture);
    let items = complete(&here.plan, 0, here.at);
    let item = items.iter().find(|item| item.label == label).unwrap();
    let mut text = here.text.clone();
    text.replace_range(item.edit.at.range.clone(), &item.edit.text);
    text
}

#[test]
fn kinds_at_the_margin() {
    check(
        "$0",
        3,
        &expect![[r#"
        boat — the boat: what holds for the whole plan; a plan has exactly one
        battery — stores the boat's electricity; nothing limits its current but what is wired to it
        fuse — melts when more than its rating flows, and so keeps the cable behind it from burning"#]],
    );
    check(
        &curlew("ba$0"),
        4,
        &expect![[r#"
        battery — stores the boat's electricity; nothing limits its current but what is wired to it
        fuse — melts when more than its rating flows, and so keeps the cable behind it from burning
        load — whatever uses electricity: a lamp, a pump, a plotter
        run — a wire written by following it: a stop, the conductor to the next stop, the next stop"#]],
    );
    assert_eq!(taken("ba$0", "battery"), "battery");
    assert!(
        taken(
            "boat b system 12 V\npanel p\n    way 1 fuse 5 A\nload l pump 5 A\n$0",
            "run, there and back"
        )
        .contains("${2:p} way ${3:1}")
    );
}

#[test]
fn facts_that_are_lacking() {
    check(
        "battery b $0",
        7,
        &expect![[r#"
        flooded — lead plates in liquid acid, with caps to top up; it gases, and must be aired
        agm — sealed lead-acid with the acid held in glass mats; gives high currents
        gel — sealed lead-acid with the acid set as a gel; charged slowly
        lithium — lithium iron phosphate with its own management; nearly all of it is usable, and its fault current is high
        100 Ah — how much it holds, as printed on it
        in — the place where it stands
        12 V — its own nominal voltage, needed where the system is not 12 V"#]],
    );
    check(
        "battery b agm 100 Ah\n    $0",
        3,
        &expect![[r#"
        in — the place where it stands
        12 V — its own nominal voltage, needed where the system is not 12 V
        resistance — its inner resistance, from the data sheet: it limits the fault current and drops volts under load"#]],
    );
    check(
        "cable c tinned\n    $0",
        4,
        &expect![[r#"
        insulation — the temperature the insulation stands, printed on the cable: it decides how much current it may carry
        flexible — fine strands (class 5 of IEC 60228), which stand vibration
        stranded — few thick strands (class 2 of IEC 60228)
        carries — the maker's own rated current at 30 °C for one size; one line for each size"#]],
    );
    check(
        "panel p\n    way 1 fuse 5 A\n    $0",
        2,
        &expect![[r#"
        way 2 — the panel's next way
        in — the place where it stands"#]],
    );
}

#[test]
fn names_that_fit_the_fact() {
    let bars = "busbar plus positive 9 A posts 2\nbusbar minus negative 9 A posts 2\n";
    check(
        &format!("{bars}panel p\n    returns $0"),
        9,
        &expect!["minus — busbar"],
    );
    check(
        "battery a agm 5 Ah\nfuse f blade 5 A\nbattery b like $0",
        9,
        &expect!["a — battery"],
    );
    check(
        "block engine\nbond hull\nalternator g 50 A earthed $0",
        9,
        &expect!["engine — block"],
    );
}

#[test]
fn values_and_units() {
    check(
        "load l pump\n    minimum $0",
        2,
        &expect!["11 V — the lowest voltage it works at"],
    );
    check(
        "load l pump\n    minimum 11$0",
        3,
        &expect![[r#"
        V — volt, the pressure that drives the current
        mV — millivolt, a thousandth of a volt"#]],
    );
    check(
        "load l pump 7 $0",
        4,
        &expect![[r#"
        A — ampere, how much current flows
        W — watt, power: volts times amperes
        ohm — ohm, resistance: volts for each ampere
        V — volt, the pressure that drives the current"#]],
    );
    check(
        "boat b\n    rules $0",
        4,
        &expect![[r#"
        baseline — only figures that a published source shows; what holds unless another set is named
        us-cfr-183 — the law of the United States for petrol boats, 33 CFR 183 subpart I
        iso-13297 — the international standard for electrical systems of small craft, where its figures are known
        abyc-e11 — the American boating council's standard E-11, by circular mils"#]],
    );
    check(
        "place bilge\nload l pump in $0",
        4,
        &expect!["bilge — place"],
    );
    assert_eq!(
        taken("load l pump\n    minimum 11$0", "V"),
        "load l pump\n    minimum 11 V"
    );
}

#[test]
fn steps_of_a_run() {
    check(
        &curlew("load fan other 2 A\nrun fan\n    $0"),
        4,
        &expect![[r#"
            house-1 + — battery
            house-1 - — battery
            house-2 + — battery
            house-2 - — battery"#]],
    );
    check(
        &curlew("load fan other 20 A\nrun fan\n    cabin-negative\n    $0"),
        3,
        &expect![[r#"
            0.5 mm2 — carries 12.1 A
            0.75 mm2 — carries 18.2 A
            1 mm2 — carries 20 A"#]],
    );
    check(
        &curlew("load fan other 20 A\nrun fan\n    house-1 +\n    2.5 mm2 2 m\n    $0"),
        4,
        &expect![[r#"
            fan — load
            fan + — load
            house-1 + — battery
            house-2 + — battery"#]],
    );
    check(
        &curlew("load fan other 20 A\nrun fan\n    house-1 +\n    2.5 mm2 2 m\n    fan\n    $0"),
        6,
        &expect![[r#"
            back — the way home along the way come
            1.5 mm2 — carries 21.3 A, 20 A are needed
            2.5 mm2 — carries 29.8 A, 20 A are needed
            4 mm2 — carries 38.3 A, 20 A are needed
            6 mm2 — carries 51 A, 20 A are needed
            10 mm2 — carries 68 A, 20 A are needed"#]],
    );
}

#[test]
fn parts_of_a_conductor() {
    check(
        &curlew("run x\n    house-1 -\n    2.5 mm2 $0"),
        5,
        &expect![[r#"
            2 m — its length, measured along the cable
            black — BK
            yellow — YE
            tinned-flex — cable
            brown — BN"#]],
    );
    check(
        &curlew("run x\n    house-1 -\n    2.5 mm2 2 m in $0"),
        3,
        &expect!["engine-bay — place"],
    );
    check(
        &curlew("run x\n    house-1 -\n    2.5 $0"),
        3,
        &expect![[r#"
            mm2 — square millimetre of copper, the size of a conductor
            AWG — American wire gauge: the smaller the number, the thicker the conductor (ASTM B258)
            0.5 mm2 — carries 12.1 A"#]],
    );
    check(
        &curlew("run x\n    house-1 -\n    core 1 of $0"),
        3,
        &expect!["mast-cable — multicore"],
    );
    check(
        &curlew("run x\n    house-1 -\n    2.5 mm2 3 $0"),
        2,
        &expect![[r#"
            m — metre
            cm — centimetre"#]],
    );
}

#[test]
fn terminals_ways_and_the_way_back() {
    check(
        &curlew("run x\n    house-1 $0"),
        3,
        &expect![[r#"
        + — a terminal
        - — a terminal"#]],
    );
    check(
        &curlew("run x\n    cabin-panel way $0"),
        3,
        &expect![[r#"
            1 — a way of the panel
            2 — a way of the panel
            3 — a way of the panel"#]],
    );
    check(
        &curlew("run x\n    cabin-negative $0"),
        3,
        &expect!["post 1 — a terminal"],
    );
    check(
        &curlew("run x\n    house-1 +\n    1 mm2 2 m\n    fresh-pump\n    back $0"),
        3,
        &expect![[r#"
            to — where the return ends, where it is not the panel's own bar
            black — BK
            yellow — YE"#]],
    );
    check(
        &curlew("run x\n    house-1 +\n    1 mm2 2 m\n    fresh-pump\n    back to $0"),
        3,
        &expect![[r#"
            cabin-negative — busbar
            house-1 - — battery
            house-2 - — battery"#]],
    );
}

#[test]
fn cases_ways_and_allowances() {
    check(
        &curlew("case c\n    on cabin-lights\n    on $0"),
        5,
        &expect![[r#"
            fresh-pump — load
            tricolour — load
            anchor-light — load
            cabin-lights — load"#]],
    );
    check(
        &curlew("case c\n    open $0"),
        3,
        &expect![[r#"
        house-fuse — fuse
        house-isolator — isolator
        cabin-panel — panel"#]],
    );
    check(
        "selector s 100 A positions off 1 2 both\ncase c\n    set s $0",
        5,
        &expect![[r#"
            off — a position of the selector
            1 — a position of the selector
            2 — a position of the selector
            both — a position of the selector"#]],
    );
    check(
        &CURLEW.replace("way 2 fuse 10 A", "way 2 fuse $010 A"),
        4,
        &expect![[r#"
            7.5 A — for 7 A
            10 A — for 7 A
            15 A — for 7 A
            20 A — for 7 A"#]],
    );
    check(
        "panel p\n    way 1 fuse 5 A\n    way $0",
        3,
        &expect!["2 — the next way"],
    );
    check(
        &CURLEW.replace(
            "back core 3 of mast-cable to deck-plug pole 3",
            "back core 3 of mast-cable to deck-plug pole 3\n    allow $0",
        ),
        2,
        &expect![[r#"
            syntax — This line cannot be read.
            excess-drop — Too much voltage is lost on the way."#]],
    );
}

#[test]
fn what_is_offered_is_explained() {
    let here = pointed(&curlew("run x\n    $0"));
    let items = complete(&here.plan, 0, here.at);
    assert!(!items.is_empty());
    for item in items.iter().filter(|item| !item.about.is_empty()) {
        assert!(resolve(&here.plan, &item.about).is_some(), "{}", item.about);
    }
    assert!(resolve(&here.plan, "part:nobody").is_none());
}

/// One part of every kind that a run can touch.
const EVERY_KIND: &str = "boat b system 12 V
battery house agm 100 Ah
solar roof 100 W
controller mppt mppt 20 A
alternator gen 80 A
charger one 20 A
charger two 30 A outputs 2
converter down 20 A input 24 V output 12 V
inverter inv 500 W
isolator iso 100 A
isolator both 100 A two-pole
switch sw 10 A
selector sel 100 A positions off 1 2 both
relay rel 30 A coil 0.2 A
fuse f bolt-down 80 A
breaker br 20 A
shunt sh 500 A
busbar minus negative 100 A posts 6 studs 2
panel p 50 A
    way 1 fuse 5 A
    way 2 spare
    returns minus
joint tee
joint plug
    poles 3
diode d 90 A outputs 2
load lamp lighting 12 W
socket so 10 A
block engine
bond hull
";

/// Whatever is offered as a stop is one that the plan accepts in that place.
fn accepted(before: &str, after: &str) {
    let here = pointed(&format!("{EVERY_KIND}run x\n{before}    $0\n{after}"));
    let items = complete(&here.plan, 0, here.at);
    let stops: Vec<_> = items
        .iter()
        .filter(|item| item.what == super::What::Name)
        .collect();
    assert!(stops.len() > 20, "{}", stops.len());
    for item in stops {
        let mut text = here.text.clone();
        text.replace_range(item.edit.at.range.clone(), &item.edit.text);
        let plan = ampwright_plan::Plan::of_text(&text);
        let line = text[..item.edit.at.range.start].matches('\n').count();
        for finding in &plan.findings {
            let at = text[..plan.sources.range(finding.site).start]
                .matches('\n')
                .count();
            let refuses = matches!(
                finding.code.word(),
                "syntax" | "unknown-terminal" | "unknown-name"
            );
            assert!(
                at != line || !refuses,
                "{}: {}",
                item.label,
                finding.message
            );
        }
    }
}

#[test]
fn every_first_stop_that_is_offered_is_one() {
    accepted("", "    10 mm2 1 m\n    tee\n");
}

#[test]
fn every_stop_in_the_middle_that_is_offered_is_one() {
    accepted("    tee\n    10 mm2 1 m\n", "    10 mm2 1 m\n    engine\n");
}
