//! What a plan may say for itself, and where it is not believed.

use ampwright_plan::{Code, Plan, Severity};

const LONG: &str = "
boat test
    system 12 V
    OWN
cable flex
    carries 2.5 mm2 CARRIES
battery house agm 100 Ah
fuse main blade 10 A
isolator cut 100 A
load lamp lighting 8 A
run lamp
    house +
    2.5 mm2 flex red 0.15 m
    main
    2.5 mm2 flex red 12 m
    cut
    2.5 mm2 flex red 0.5 m
    lamp
    back black to house -
";

fn severities(own: &str, carries: &str, code: Code) -> Vec<Severity> {
    let text = LONG.replace("OWN", own).replace("CARRIES", carries);
    let plan = Plan::of_text(&text);
    let found = plan.findings.iter().filter(|finding| finding.code == code);
    found.map(|finding| finding.severity).collect()
}

/// 0.0164 x 8 A x 25.3 m / 2.5 mm² = 1.328 V, 11.06 % of 12 V; the rule allows lights 10 % (ABYC E-11, S2).
#[test]
fn a_boat_s_own_looser_drop_does_not_silence_the_rule() {
    assert_eq!(
        severities("ambient 25 C", "20 A", Code::ExcessDrop),
        [Severity::Warning]
    );
    assert_eq!(
        severities("drop 15 %", "20 A", Code::ExcessDrop),
        [Severity::Advice]
    );
    assert_eq!(
        severities("drop 5 %", "20 A", Code::ExcessDrop),
        [Severity::Warning]
    );
}

/// 14 AWG, the row below 2.5 mm², has 45 A at most in any column (33 CFR 183.425 Table 5, S1).
#[test]
fn a_maker_s_current_above_every_column_is_not_believed() {
    assert_eq!(
        severities("ambient 25 C", "44 A", Code::ImpossibleValue),
        []
    );
    assert_eq!(
        severities("ambient 25 C", "46 A", Code::ImpossibleValue),
        [Severity::Error]
    );
}

/// Cases times size is bounded: what there is no room for says so instead of taking all memory.
#[test]
fn more_cases_than_there_is_room_for_are_said_and_not_computed() {
    let mut text = String::from(
        "boat test\n    system 12 V\nbattery house agm 100 Ah\nbusbar plus positive 100 A\n    posts 9000\n",
    );
    for lamp in 0..1_500 {
        let circuit = "load l-N lighting 1 W\nrun r-N\n    plus\n    twin 1.5 mm2 1 m\n    l-N\n    back to house -\n";
        text.push_str(&circuit.replace('N', &lamp.to_string()));
    }
    for case in 0..2_500 {
        let moment = "case c-N\n    on l-M\n".replace('N', &case.to_string());
        text.push_str(&moment.replace('M', &(case % 1_500).to_string()));
    }
    let plan = Plan::of_text(&text);
    let told: Vec<_> = plan
        .findings
        .iter()
        .filter(|finding| finding.message.contains("too many"))
        .collect();
    assert_eq!(told.len(), 1);
    assert!(plan.study.rule.moments.len() < 2_500);
}
