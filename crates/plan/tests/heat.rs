//! How warm conductors grow: against an iteration by hand, and as findings.

mod support;

use ampwright_plan::{Plan, Severity, findings::registry::Family, study::cables::DesignBy};
use support::check;

/// A heater of constant power at the end of 10 m of 2.5 mm² each way, in a place of 40 °C.
const HEATER: &str = "\
boat b
    system 12 V
    ambient 40 C
    cable flex
cable flex tinned
    insulation 105 C
battery house agm 400 Ah
    resistance 1 mohm
fuse main blade 30 A
load far heater 150 W
run far
    house +
    2.5 mm2 0.1 m
    main
    2.5 mm2 9.9 m
    far
    2.5 mm2 10 m
    house -
";

/// 33 CFR 183.425 Table 5 [S2]: 2.5 mm² takes the row of 14 AWG, 35 A at 105 °C; so
/// theta = 40 + 75 (I / 35)². IEC 60228 [S2]: 8.21 ohm/km at 20 °C, alpha 0.00393 (IEC 60028 [S2]).
/// Six crimps of 0.1 mohm, the fuse 0.1 V at 30 A (common practice, no source), the battery 1 mohm
/// as stated and 12.3 V half charged [S2]. Iterated from cold until nothing moves.
#[test]
fn warmth_and_current_agree_with_an_iteration_by_hand() {
    let mut degrees = 40.0f64;
    let (mut amps, mut steps) = (0.0f64, Vec::new());
    for _ in 0..60 {
        let copper = 20.0 * 0.00821 * (1.0 + 0.00393 * (degrees - 20.0));
        let ohms = copper + 6.0 * 0.0001 + 0.1 / 30.0 + 0.001;
        let volts = f64::midpoint(12.3, (12.3f64 * 12.3 - 4.0 * ohms * 150.0).max(0.0).sqrt());
        amps = 150.0 / volts;
        degrees = 40.0 + 75.0 * (amps / 35.0).powi(2);
        steps.push(degrees);
    }
    // The hand's first three steps, so that the iteration itself is held to something.
    assert!(steps[0] > 55.0 && steps[0] < steps[1], "{steps:?}");
    assert!((steps[59] - steps[58]).abs() < 1e-9, "{steps:?}");
    let plan = Plan::of_text(HEATER);
    let wired = &plan.study.wired;
    assert!(wired.at_rest);
    for (found, carried) in wired.degrees.iter().zip(&wired.carried) {
        assert!((found - degrees).abs() < 0.02, "{found} {degrees}");
        assert!(
            (carried.amps - amps).abs() < 2e-3,
            "{} {amps}",
            carried.amps
        );
        assert!(matches!(
            carried.by,
            DesignBy::Moment(_) | DesignBy::Alone(..)
        ));
    }
    // The resistances that the volts were found with are those of that warmth.
    let long = plan.conductor_ohms(2).unwrap();
    let expected = 10.0 * 0.00821 * (1.0 + 0.00393 * (degrees - 20.0)) + 0.0002;
    assert!((long - expected).abs() < 1e-5, "{long} {expected}");
}

/// Without end: close to the most that the cable delivers a degree more takes more current, which
/// takes more degrees. It ends, says so or gives the load up, and every figure is a number.
#[test]
fn what_runs_away_ends_and_is_said() {
    for watts in [180, 190, 195, 200, 205, 210, 240, 1000] {
        let plan = Plan::of_text(&HEATER.replace("150 W", &format!("{watts} W")));
        let wired = &plan.study.wired;
        assert!(wired.degrees.iter().all(|degrees| degrees.is_finite()));
        let said = plan.findings.iter().any(|finding| {
            [
                "cannot-deliver",
                "undersized-conductor",
                "hot-joint",
                "not-checked",
                "excess-drop",
            ]
            .contains(&finding.code.word())
        });
        assert!(said, "{watts} W in silence");
    }
}

fn battery(load: &str, insulation: u32) -> String {
    format!(
        "\
boat b
    system 12 V
    cable flex
cable flex tinned
    insulation {insulation} C
battery house agm 400 Ah
fuse main class-t 125 A
isolator cut 250 A
{load}
run far
    house +
    25 mm2 red 0.15 m
    main
    25 mm2 red 0.5 m
    cut
    25 mm2 red 1 m #! hot-joint
    far
    back black to house -
"
    )
}

/// 25 mm² takes 4 AWG: 125 A at 75 °C. 30 + 45 x (120 / 125)² = 71.5 °C: within 5 °C, one advice for
/// the whole circuit. At 105 °C (160 A) 30 + 75 x (120 / 160)² = 72.2 °C, far below.
#[test]
fn within_five_degrees_of_its_insulation_is_one_advice() {
    let hot = battery("load far heater 120 A", 75);
    let plan = Plan::of_text(&hot);
    let of: Vec<_> = plan
        .findings
        .iter()
        .filter(|one| one.code.word() == "hot-joint")
        .collect();
    assert_eq!(of.len(), 1, "{:#?}", plan.findings);
    assert_eq!(of[0].severity, Severity::Advice);
    let figure = of[0].figure.unwrap();
    assert!((figure.measured - 71.472).abs() < 1e-3, "{figure:?}");
    let cool = Plan::of_text(&battery("load far heater 120 A", 105));
    assert!(
        cool.findings
            .iter()
            .all(|one| one.code.word() != "hot-joint")
    );
}

/// By the rule 118.4 A may flow; as wired the inverter draws 127 A out of a poor battery, more than
/// the cable bears, which the rule's formula does not see: a warning.
#[test]
fn past_its_insulation_as_wired_alone_is_a_warning() {
    let text = battery("inverter far 1290 W", 75)
        .replace("agm 400 Ah", "agm 400 Ah\n    resistance 8 mohm");
    let plan = Plan::of_text(&text);
    let of: Vec<_> = plan
        .findings
        .iter()
        .filter(|one| one.code.word() == "hot-joint")
        .collect();
    assert_eq!(of.len(), 1, "{:#?}", plan.findings);
    assert_eq!(of[0].severity, Severity::Warning, "{}", of[0].message);
}

/// One cause, one finding: where the conductor is undersized that stands for it.
#[test]
fn an_undersized_conductor_is_not_hot_as_well() {
    let text = battery("load far heater 140 A", 75);
    let plan = Plan::of_text(&text);
    let words: Vec<_> = plan.findings.iter().map(|one| one.code.word()).collect();
    assert!(
        words.contains(&"undersized-conductor") && !words.contains(&"hot-joint"),
        "{words:?}"
    );
}

/// A place as hot as the insulation leaves no room, whatever flows.
#[test]
fn a_place_as_hot_as_the_insulation_is_said() {
    check(
        &[Family::Conductors],
        "\
boat b
    system 12 V
    cable flex
cable flex tinned
    insulation 60 C
place oven
    ambient 57 C
battery house agm 100 Ah
fuse main bolt-down 5 A
isolator cut 100 A
load far lighting 1 A
run far
    house +
    6 mm2 red 0.15 m
    main
    6 mm2 red 1 m
    cut
    6 mm2 red 1 m in oven #! hot-joint
    far
    6 mm2 black 1 m
    house -
",
    );
}

/// A case that runs a short-time load by itself has it once: nothing of it runs on top again.
#[test]
fn what_a_case_has_on_does_not_run_on_top_of_it_again() {
    let text =
        format!("{HEATER}case warming\n    on far\n").replace("150 W", "150 W short-time 60 s");
    let plan = Plan::of_text(&text);
    let once = Plan::of_text(HEATER);
    let most = |plan: &Plan| {
        plan.study
            .wired
            .carried
            .iter()
            .map(|carried| carried.amps)
            .fold(0.0, f64::max)
    };
    assert!(
        (most(&plan) - most(&once)).abs() < 0.05,
        "{} {}",
        most(&plan),
        most(&once)
    );
}
