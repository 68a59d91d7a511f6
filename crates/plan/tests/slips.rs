//! A newcomer's slip gives one finding on its own line and no false ones elsewhere.

use ampwright_plan::{Code, Plan, Severity};

const CURLEW: &str = include_str!("../../../tests/plans/curlew-domestic.boat");

/// Everything above an advice, as `code: words`, in the plan with one line changed.
fn slip(line: &str, slipped: &str) -> Vec<String> {
    assert!(CURLEW.contains(line), "{line}");
    let plan = Plan::of_text(&CURLEW.replacen(line, slipped, 1));
    let told: Vec<String> = plan
        .findings
        .iter()
        .filter(|finding| finding.severity > Severity::Advice)
        .map(|finding| {
            format!(
                "{}: {}",
                finding.code.word(),
                plan.sources.words(finding.site)
            )
        })
        .collect();
    told
}

fn not_checked(line: &str, slipped: &str) -> usize {
    let plan = Plan::of_text(&CURLEW.replacen(line, slipped, 1));
    plan.findings
        .iter()
        .filter(|finding| finding.code == Code::NotChecked)
        .count()
}

#[test]
fn the_plan_itself_has_nothing_above_an_advice() {
    assert_eq!(slip("\n", "\n"), [""; 0]);
}

#[test]
fn a_mistyped_kind() {
    assert_eq!(
        slip("battery house-1 agm", "batery house-1 agm"),
        ["unknown-kind: batery"]
    );
    assert_eq!(not_checked("battery house-1 agm", "batery house-1 agm"), 3);
}

#[test]
fn a_mistyped_stop() {
    assert_eq!(
        slip("    lights-switch\n", "    light-switch\n"),
        ["unknown-name: light-switch"]
    );
    assert_eq!(
        slip("    house-fuse\n", "    house-fus\n"),
        ["unknown-name: house-fus"]
    );
    assert_eq!(not_checked("    house-fuse\n", "    house-fus\n"), 1);
}

#[test]
fn a_missing_length_or_unit() {
    assert_eq!(
        slip("twin 2.5 mm2 5 m", "twin 2.5 mm2"),
        ["missing-fact: twin 2.5 mm2"]
    );
    assert_eq!(
        slip("16 mm2 red 7 m\n", "16 mm2 red 7\n"),
        ["wrong-unit: 7"]
    );
}

#[test]
fn a_missing_rating() {
    let line = "fuse house-fuse bolt-down 80 A";
    assert_eq!(
        slip(line, "fuse house-fuse bolt-down"),
        ["missing-fact: house-fuse"]
    );
}

#[test]
fn a_way_that_is_not_there() {
    let expected = ["unknown-terminal: cabin-panel way 12"];
    assert_eq!(
        slip("    cabin-panel way 2\n", "    cabin-panel way 12\n"),
        expected
    );
}

#[test]
fn a_mistyped_fact() {
    assert_eq!(
        slip("lighting 6 x", "lightning 6 x"),
        ["unknown-fact: lightning"]
    );
}

#[test]
fn a_way_home_that_cannot_be_followed() {
    assert_eq!(
        slip("    returns cabin-negative\n", ""),
        ["syntax: back black", "syntax: back"]
    );
    assert_eq!(slip("    back black\n", "    bak black\n"), ["syntax: bak"]);
}
