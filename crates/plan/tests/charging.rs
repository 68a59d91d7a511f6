//! What charges: cut off from its battery, beyond a controller's limits, harder than batteries bear;
//! and what panels, chargers, diodes, relays and converters carry in every moment.

mod support;

use ampwright_plan::{
    Code, Plan, Severity, findings::registry::Family, study::cables::contact_design,
};
use support::{BASE, LAMP, check};

#[track_caller]
fn charging(more: &str) {
    check(&[Family::Charging], &format!("{BASE}{LAMP}{more}"));
}

fn plan(more: &str) -> Plan {
    Plan::of_text(&format!("{BASE}{LAMP}{more}"))
}

/// The most severe finding of a code.
fn severity(code: Code, plan: &Plan) -> Option<Severity> {
    let found = plan.findings.iter().filter(|one| one.code == code);
    found.map(|one| one.severity).max()
}

/// What a conductor has to carry, by its mark, A.
#[track_caller]
fn design(plan: &Plan, mark: &str) -> f64 {
    let marks = plan.wiring.conductors.iter();
    let at = marks.map(|one| &*one.mark).position(|own| own == mark);
    assert!(at.is_some(), "no {mark}");
    plan.study.cables[at.unwrap_or(0)].design.amps
}

#[track_caller]
fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-6, "{found} is not {expected}");
}

// --- cut off

/// An alternator that lands here, with these things on board.
fn alternator(facts: &str, land: &str, more: &str) -> String {
    format!(
        "\
alternator alt 30 A{facts}
{more}run alt
    alt +
    16 mm2 1 m
    {land}
run alt-home
    alt -
    16 mm2 1 m
    house -
"
    )
}

fn cut_off(facts: &str, land: &str, more: &str) -> Option<Severity> {
    severity(
        Code::AlternatorCutOff,
        &plan(&alternator(facts, land, more)),
    )
}

#[test]
fn a_switch_between_an_alternator_and_its_battery_is_found() {
    assert_eq!(cut_off("", "main-switch out", ""), Some(Severity::Warning));
    assert_eq!(cut_off("", "main-switch feed", ""), None);
    assert_eq!(cut_off(" field-cut", "main-switch out", ""), None);
    // A panel's way behind the isolator, and a fuse alone.
    assert_eq!(cut_off("", "cabin way 4", ""), Some(Severity::Warning));
    let fuse = "fuse af bolt-down 60 A\nrun fused\n    house +\n    16 mm2 0.1 m\n    af feed\n";
    assert_eq!(cut_off("", "af out", fuse), None);
}

#[test]
fn what_a_coil_or_a_voltage_opens_is_a_switch_too() {
    for relay in [
        "relay r 60 A",
        "relay r 60 A normally-closed",
        "relay r 60 A closes 13 V",
    ] {
        let more = format!(
            "{relay}\nfuse rf bolt-down 60 A\nrun relayed\n    house +\n    16 mm2 0.1 m\n    rf\n    16 mm2 1 m\n    r feed\n"
        );
        assert_eq!(
            cut_off("", "r out", &more),
            Some(Severity::Warning),
            "{relay}"
        );
    }
}

/// A splitting diode is no switch; a selector without `off` may make before it breaks.
#[test]
fn diodes_never_open_and_selectors_do() {
    let diode = "diode d 60 A outputs 2\nfuse df bolt-down 60 A\nrun split\n    house +\n    16 mm2 0.1 m\n    df\n    16 mm2 1 m\n    d out 1\n";
    assert_eq!(cut_off("", "d feed", diode), None);
    let selector = |positions: &str| {
        format!(
            "selector s 100 A {positions}\nfuse sf bolt-down 60 A\nrun selected\n    house +\n    16 mm2 0.1 m\n    sf\n    16 mm2 1 m\n    s 1\n"
        )
    };
    let found = |positions| cut_off("", "s common", &selector(positions));
    assert_eq!(found("positions off 1 2 both"), Some(Severity::Warning));
    assert_eq!(found("positions 1 2 both"), Some(Severity::Advice));
}

#[test]
fn a_switch_in_the_return_takes_the_battery_away_as_well() {
    let boat = alternator("", "main-switch feed", "isolator parting 100 A two-pole\n");
    let boat = boat.replace(
        "    alt -\n    16 mm2 1 m\n",
        "    alt -\n    16 mm2 1 m\n    parting pole 1\n    16 mm2 1 m\n",
    );
    assert_eq!(
        severity(Code::AlternatorCutOff, &plan(&boat)),
        Some(Severity::Warning)
    );
}

/// One way past the switch is enough.
#[test]
fn a_second_way_to_a_battery_excuses() {
    let more = "fuse af bolt-down 60 A\nrun second-way\n    house +\n    16 mm2 0.1 m\n    af\n    16 mm2 1 m\n    alt +\n";
    assert_eq!(cut_off("", "main-switch out", more), None);
}

// --- panels

/// Panels and a controller, straight to the battery.
fn solar(panels: &str, controller: &str) -> String {
    format!(
        "\
solar roof 100 W {panels}
controller ctl {controller}
fuse sf bolt-down 40 A
run pv
    roof +
    4 mm2 4 m
    ctl pv
    back to roof -
run chg
    house +
    10 mm2 0.1 m
    sf
    10 mm2 1 m
    ctl battery
    back to house -
"
    )
}

#[test]
fn a_controller_behind_the_isolator_is_an_advice() {
    let boat = solar("", "mppt 15 A").replace(
        "    house +\n    10 mm2 0.1 m\n    sf\n",
        "    main-switch out\n    10 mm2 0.1 m\n    sf\n",
    );
    assert_eq!(
        severity(Code::ControllerCutOff, &plan(&boat)),
        Some(Severity::Advice)
    );
    charging(&solar("", "mppt 15 A"));
}

/// NEC 690.7(A), one quotation: 2 x 22 V x 1.10 = 48.4 V. By the line of -0.3 %/K (common practice)
/// 44 V x 1.135 = 49.94 V at -20 C.
#[test]
fn cold_panels_are_held_to_what_the_controller_stands() {
    let found = |most: &str| {
        let boat = solar("voc 22 V series 2", &format!("mppt 20 A max-input {most}"));
        severity(Code::ControllerOvervoltage, &plan(&boat))
    };
    assert_eq!(found("48 V"), Some(Severity::Error));
    assert_eq!(found("49 V"), Some(Severity::Advice));
    assert_eq!(found("50 V"), None);
}

/// A guess from a silent label, 17 / 0.83 V from memory, makes no error.
#[test]
fn a_guessed_voltage_is_no_more_than_an_advice() {
    let boat = solar("series 2", "mppt 20 A max-input 40 V");
    assert_eq!(
        severity(Code::ControllerOvervoltage, &plan(&boat)),
        Some(Severity::Advice)
    );
}

/// Panels that runs join + to - add their volts as `series` does, and are no open circuit.
#[test]
fn panels_in_a_row_by_runs_add_up() {
    let boat = solar("voc 22 V isc 6 A", "mppt 20 A max-input 40 V")
        .replace("    back to roof -\n", "")
        + "\
solar aft 100 W voc 22 V isc 6 A
run between
    roof -
    4 mm2 1 m mark between
    aft +
run pv-home
    aft -
    4 mm2 4 m
    ctl pv -
";
    let boat = boat.replace("    ctl pv\n", "    ctl pv +\n");
    let plan = plan(&boat);
    assert_eq!(
        severity(Code::ControllerOvervoltage, &plan),
        Some(Severity::Error)
    );
    assert_eq!(severity(Code::OpenCircuit, &plan), None);
    assert_eq!(severity(Code::ShortCircuit, &plan), None);
    near(design(&plan, "between"), 6.0 * 1.5625);
    // 200 W at 95 % and 12 V.
    let array = plan.study.base.arrays.first();
    near(
        array.map_or(0.0, |array| array.at_battery),
        200.0 * 0.95 / 12.0,
    );
}

/// A PWM passes what the panels give: 6 A is 7.5 A by NEC 690.8 (two quotations).
#[test]
fn a_pwm_is_held_to_the_panels_and_an_mppt_holds_back() {
    let found = |panels: &str, controller: &str| {
        severity(
            Code::ControllerOvercurrent,
            &plan(&solar(panels, controller)),
        )
    };
    assert_eq!(found("isc 6 A", "pwm 5 A"), Some(Severity::Error));
    assert_eq!(found("isc 6 A", "pwm 7 A"), Some(Severity::Warning));
    assert_eq!(found("isc 6 A", "pwm 7.5 A"), None);
    // 400 W at 95 % and 14.4 V are 26.4 A.
    assert_eq!(found("parallel 4", "mppt 26 A"), Some(Severity::Advice));
    assert_eq!(found("parallel 4", "mppt 27 A"), None);
}

/// NEC 690.8, two quotations: conductor and device for 1.5625 times the short-circuit current;
/// 9.2 A, 14.375 A (derived).
#[test]
fn a_panels_circuit_is_chosen_for_more_than_it_gives() {
    let boat = solar("isc 9.2 A", "mppt 20 A").replace(
        "    4 mm2 4 m\n    ctl pv\n",
        "    4 mm2 1 m mark pv\n    pvf\n    4 mm2 3 m\n    ctl pv\n",
    );
    let with = |rating: &str| plan(&format!("{boat}fuse pvf blade {rating}\n"));
    near(design(&with("15 A"), "pv"), 9.2 * 1.5625);
    assert_eq!(severity(Code::FuseBelowLoad, &with("15 A")), None);
    // A bright day alone gives 11.5 A.
    assert_eq!(
        severity(Code::FuseBelowLoad, &with("14 A")),
        Some(Severity::Warning)
    );
    assert_eq!(
        severity(Code::FuseBelowLoad, &with("10 A")),
        Some(Severity::Error)
    );
}

/// The sun shines on all panels at once: what joins them carries the sum.
#[test]
fn arrays_side_by_side_add_up_in_what_joins_them() {
    let boat = "\
solar port 100 W isc 6 A
solar starboard 100 W isc 5 A
joint tee
joint tee-back
controller ctl mppt 15 A
fuse sf bolt-down 40 A
run port
    port +
    4 mm2 2 m mark port
    tee
run port-back
    port -
    4 mm2 2 m
    tee-back
run starboard
    starboard +
    4 mm2 2 m
    tee
run starboard-back
    starboard -
    4 mm2 2 m
    tee-back
run trunk
    tee
    4 mm2 4 m mark trunk
    ctl pv +
run trunk-back
    tee-back
    4 mm2 4 m mark home
    ctl pv -
run chg
    house +
    10 mm2 0.1 m
    sf
    10 mm2 1 m
    ctl battery
    back to house -
";
    let plan = plan(boat);
    near(design(&plan, "port"), 6.0 * 1.5625);
    near(design(&plan, "trunk"), 11.0 * 1.5625);
    near(design(&plan, "home"), 11.0 * 1.5625);
}

// --- how hard

fn charger(facts: &str, battery: &str) -> Plan {
    let more = format!(
        "charger shore {facts}\nfuse cf bolt-down 100 A\nrun shore\n    house +\n    35 mm2 0.1 m\n    cf\n    35 mm2 1 m\n    shore\n    back to house -\n"
    );
    let boat = format!("{BASE}{LAMP}{more}");
    Plan::of_text(&boat.replace(
        "battery house agm 100 Ah",
        &format!("battery house {battery}"),
    ))
}

/// Common practice, no source, where the plan says no charge-limit.
#[test]
fn a_charger_is_held_to_what_the_battery_bears() {
    let found =
        |facts: &str, battery: &str| severity(Code::ChargeTooFast, &charger(facts, battery));
    assert_eq!(found("30 A", "agm 100 Ah"), None);
    assert_eq!(found("31 A", "agm 100 Ah"), Some(Severity::Advice));
    assert_eq!(found("21 A", "gel 100 Ah"), Some(Severity::Advice));
    assert_eq!(found("50 A", "lithium 100 Ah"), None);
    assert_eq!(
        found("31 A", "agm 100 Ah charge-limit 30 A"),
        Some(Severity::Error)
    );
    assert_eq!(found("31 A", "agm 100 Ah charge-limit 31 A"), None);
    assert_eq!(
        found("31 A", "agm 100 Ah charge-limit 0 A"),
        Some(Severity::Error)
    );
}

/// 20 A each are within 30 A, together they are not.
#[test]
fn sources_add_up_and_outputs_of_one_charger_do_not() {
    let two = "\
charger shore 20 A outputs 2
charger spare-charger 20 A
fuse f1 bolt-down 40 A
fuse f2 bolt-down 40 A
fuse f3 bolt-down 40 A
run one
    house +
    10 mm2 0.1 m
    f1
    10 mm2 1 m
    shore out 1
run two
    house +
    10 mm2 0.1 m
    f2
    10 mm2 1 m
    shore out 2
run home
    shore -
    10 mm2 1 m
    house -
";
    let third = "run three\n    house +\n    10 mm2 0.1 m\n    f3\n    10 mm2 1 m\n    spare-charger\n    back to house -\n";
    let found = |more: &str| severity(Code::ChargeTooFast, &plan(more));
    assert_eq!(found(two), None);
    assert_eq!(found(&format!("{two}{third}")), Some(Severity::Advice));
}

/// 100 W straight onto 100 Ah of AGM: all above 8 mA/Ah (EN 50272-2, one quotation) gasses.
#[test]
fn panels_without_a_controller_charge_for_ever() {
    let bare = |panel: &str| {
        format!(
            "solar trickle {panel}\nfuse tf blade 10 A\nrun trickle\n    house +\n    2.5 mm2 0.1 m\n    tf\n    2.5 mm2 1 m\n    trickle\n    back to house -\n"
        )
    };
    let found = |panel: &str| severity(Code::ChargeTooFast, &plan(&bare(panel)));
    assert_eq!(found("100 W isc 6 A"), Some(Severity::Warning));
    assert_eq!(found("10 W isc 0.6 A"), None);
}

/// An engine's battery takes a moment's hard charge; with the house joined to it both are asked.
#[test]
fn an_alternator_may_charge_what_cranks() {
    let start = "\
battery start flooded 100 Ah charge-limit-or-none
load starter starter 1 kW
isolator cut 300 A
alternator alt 60 A
fuse af bolt-down 80 A
run crank
    start +
    50 mm2 0.5 m
    cut
    50 mm2 1 m
    starter
    50 mm2 1 m
    start -
run alt
    start +
    16 mm2 0.1 m
    af
    16 mm2 1 m
    alt
    back to start -
";
    let with = |limit: &str| plan(&start.replace(" charge-limit-or-none", limit));
    assert_eq!(severity(Code::ChargeTooFast, &with("")), None);
    let said = severity(Code::ChargeTooFast, &with(" charge-limit 20 A"));
    assert_eq!(said, Some(Severity::Advice));
}

// --- moments

/// Two banks, a charging relay between them, a charger of 20 A on the first.
const RELAYED: &str = "\
battery second agm 100 Ah
relay combiner 100 A closes 13.3 V opens 12.8 V
charger shore 20 A
fuse f1 bolt-down 60 A
fuse f2 bolt-down 60 A
fuse cf bolt-down 40 A
busbar rail positive studs 6
run lead
    house +
    16 mm2 0.1 m
    f1
    16 mm2 1 m mark lead
    rail
run join
    rail
    16 mm2 1 m
    combiner
    16 mm2 1 m
    f2
    16 mm2 0.1 m mark other
    second +
run home
    second -
    16 mm2 1 m
    house -
run shore
    rail
    10 mm2 0.1 m
    cf
    10 mm2 1 m
    shore
    back to house -
";

/// Before the relay closes the first bank takes all of it, afterwards each its part.
#[test]
fn a_bank_takes_all_before_the_relay_closes() {
    let plan = plan(RELAYED);
    near(design(&plan, "lead"), 20.0);
    let other = design(&plan, "other");
    assert!(other > 1.0 && other < 20.0, "{other}");
}

#[test]
fn a_relay_that_opens_no_lower_than_it_closes_is_impossible() {
    let opens = |volts: &str| plan(&RELAYED.replace("opens 12.8 V", &format!("opens {volts}")));
    let found = |volts: &str| severity(Code::ImpossibleValue, &opens(volts));
    assert_eq!(found("13.3 V"), Some(Severity::Error));
    assert_eq!(found("13.2 V"), None);
}

/// AGM rests at 12.3 V half full (two quotations): a relay that opens at 12.0 V stays closed, and
/// what runs in `everything` is fed by both.
#[test]
fn a_relay_that_opens_late_stays_closed() {
    let names = |volts: &str| {
        let plan = plan(&RELAYED.replace("opens 12.8 V", &format!("opens {volts}")));
        let moments = 0..plan.study.rule.moments.len();
        moments.map(|at| plan.moment_name(at)).collect::<Vec<_>>()
    };
    let closed = "everything, combiner closed".to_owned();
    assert!(!names("12.8 V").contains(&closed));
    assert!(names("12.0 V").contains(&closed));
}

/// A load behind a diode works with nothing charging, and the diode carries it.
#[test]
fn a_diode_feeds_what_lies_behind_it() {
    let boat = "\
diode keep 10 A
load clock memory 2 A
run clock
    cabin way 2
    2.5 mm2 1 m
    keep
    2.5 mm2 1 m mark clock
    clock
    back to neg
case night
    on clock
";
    let plan = plan(boat);
    assert_eq!(severity(Code::OpenCircuit, &plan), None);
    near(design(&plan, "clock"), 2.0);
    let case = plan.study.rule.moments.first();
    assert!(case.is_some_and(|case| case.powered.iter().all(|on| *on)));
}

/// A splitting diode brings all of an alternator to either bank, and joins them in no moment
/// without charging.
#[test]
fn a_splitting_diode_brings_it_all_to_either_bank() {
    let boat = "\
battery second agm 100 Ah
alternator alt 30 A
diode split 60 A outputs 2
fuse f1 bolt-down 60 A
fuse f2 bolt-down 60 A
run alt
    alt +
    16 mm2 1 m mark alt
    split feed
run alt-home
    alt -
    16 mm2 1 m
    house -
run first
    house +
    16 mm2 0.1 m
    f1
    16 mm2 1 m
    split out 1
run second
    second +
    16 mm2 0.1 m
    f2
    16 mm2 1 m
    split out 2
run home
    second -
    16 mm2 1 m
    house -
";
    let plan = plan(boat);
    near(design(&plan, "alt"), 30.0);
    for rate in &plan.study.charging.rates {
        near(rate.amps, 30.0);
        assert_eq!(rate.banks.len(), 1);
    }
    assert_eq!(plan.study.charging.rates.len(), 2);
}

/// 30 A by two outputs, one limited to 10 A: alone each may carry its most, together they give 30 A.
#[test]
fn the_outputs_of_a_charger_share_what_it_gives() {
    let boat = "\
battery second agm 100 Ah
charger shore 30 A outputs 2 out 2 10 A
fuse f1 bolt-down 40 A
fuse f2 bolt-down 40 A
run first
    house +
    10 mm2 0.1 m
    f1
    10 mm2 1 m mark first
    shore out 1
run second
    second +
    10 mm2 0.1 m
    f2
    10 mm2 1 m mark second
    shore out 2
run shore-home
    shore -
    10 mm2 1 m mark home
    house -
run home
    second -
    10 mm2 1 m
    house -
case alongside
    on shore
case gently
    on shore 12 A
";
    let plan = plan(boat);
    near(design(&plan, "first"), 30.0);
    near(design(&plan, "second"), 10.0);
    near(design(&plan, "home"), 30.0);
    let amps = |case: usize| {
        let moment = plan.study.rule.moments.get(case).map(|one| &one.moment);
        let charging = moment.map_or(&[][..], |moment| &moment.charging);
        charging.iter().map(|(_, amps)| *amps).collect::<Vec<_>>()
    };
    assert_eq!(amps(0), [20.0, 10.0]);
    assert_eq!(amps(1), [6.0, 6.0]);
}

/// A charging converter gives 10 A at 24 V and so takes 10 x 24 / 0.9 / 12 = 22.2 A.
#[test]
fn a_charging_converter_that_is_on_charges_and_draws() {
    let boat = "\
battery tender agm 24 V 50 Ah
converter dc charges input 12 V output 24 V 10 A
fuse tf blade 15 A
run dc-in
    cabin way 4
    6 mm2 1 m mark in
    dc input
    back to neg
run dc-out
    tender +
    4 mm2 0.1 m
    tf
    4 mm2 1 m mark out
    dc output +
run dc-out-home
    dc output -
    4 mm2 1 m
    tender -
case motoring
    on dc
case gently
    on dc 5 A
";
    let plan = plan(boat);
    let case = |at: usize, mark: &str| {
        let solved = plan.study.rule.moments.get(at);
        let mut conductors = plan.wiring.conductors.iter();
        let edge = conductors
            .find(|one| &*one.mark == mark)
            .map(|one| one.edge);
        let amps = solved
            .zip(edge)
            .and_then(|(solved, edge)| solved.amps.get(edge.index()));
        amps.map_or(0.0, |amps| amps.abs())
    };
    near(case(0, "out"), 10.0);
    near(case(0, "in"), 10.0 * 24.0 / 0.9 / 12.0);
    near(case(1, "out"), 5.0);
    near(case(1, "in"), 5.0 * 24.0 / 0.9 / 12.0);
    near(design(&plan, "out"), 10.0);
}

/// 24 V from a 12 V bank and 12 V from that again: each takes what the next one draws.
#[test]
fn converters_in_a_row_take_what_lies_behind_them() {
    let boat = "\
converter up input 12 V output 24 V 5 A efficiency 80 %
converter down input 24 V output 12 V 5 A efficiency 50 %
load radio electronics 2 A
run up
    cabin way 4
    6 mm2 1 m mark first
    up input
    back to neg
run down
    up output +
    4 mm2 1 m mark second
    down input
    back to up output -
run radio
    down output +
    4 mm2 1 m
    radio
    back to down output -
case listening
    on radio
";
    let plan = plan(boat);
    let solved = plan.study.rule.moments.first();
    let case = |mark: &str| {
        let mut conductors = plan.wiring.conductors.iter();
        let edge = conductors
            .find(|one| &*one.mark == mark)
            .map(|one| one.edge);
        let amps = solved
            .zip(edge)
            .and_then(|(solved, edge)| solved.amps.get(edge.index()));
        amps.map_or(0.0, |amps| amps.abs())
    };
    // 24 W at 50 % are 48 W, 2 A at 24 V; at 80 % 60 W, 5 A at 12 V.
    near(case("second"), 2.0);
    near(case("first"), 5.0);
}

/// A combined inverter and charger carries the larger of both ways, and charges.
#[test]
fn a_combined_inverter_carries_either_way() {
    let boat = |charges: &str| {
        format!(
            "\
inverter combi 600 W charges {charges}
fuse cf bolt-down 150 A
isolator ci 200 A
run combi
    house +
    35 mm2 0.1 m
    cf
    35 mm2 0.5 m
    ci
    35 mm2 0.5 m mark combi
    combi
    back to house -
"
        )
    };
    // 600 W at 88 % and 12 V are 56.8 A.
    near(design(&plan(&boat("20 A")), "combi"), 600.0 / 0.88 / 12.0);
    let strong = plan(&boat("70 A"));
    near(design(&strong, "combi"), 70.0);
    assert_eq!(
        severity(Code::ChargeTooFast, &strong),
        Some(Severity::Advice)
    );
    let isolators = strong.wiring.contacts.iter();
    let carried = isolators.map(|contact| contact_design(&strong.study.rule, contact.edge).amps);
    assert!(carried.fold(0.0, f64::max) > 69.9);
}

/// Figures that no source has stay figures, and nothing stops.
#[test]
fn absurd_sources_are_harmless() {
    for facts in ["0 A", "1e300 A", "-4 A"] {
        let boats = [
            solar(
                "voc 1e300 V series 4000000000",
                &format!("mppt {facts} max-input 0 V"),
            ),
            alternator("", "main-switch out", "").replace("30 A", facts),
            RELAYED.replace("20 A", facts).replace("12.8 V", "1e300 V"),
        ];
        for boat in boats {
            let plan = plan(&boat);
            let amps = plan.study.cables.iter().map(|cable| cable.design.amps);
            assert!(amps.into_iter().all(|amps| !amps.is_nan()), "{boat}");
        }
    }
}
