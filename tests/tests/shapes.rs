//! The generated plans are what the benchmarks take them for: of the size asked for, read without
//! a word of complaint, and with about as many findings as real plans have.

use std::collections::BTreeMap;

use ampwright_plan::{Code, Plan, registry::Family};
use ampwright_tests::shapes;

#[track_caller]
fn check(text: &str, lines: usize) {
    let count = text.lines().count();
    assert!(
        count.abs_diff(lines) <= lines / 10,
        "{count} lines for {lines}"
    );
    let plan = Plan::of_text(text);
    let mut by_code: BTreeMap<&str, (usize, &str)> = BTreeMap::new();
    for finding in &plan.findings {
        let code = by_code
            .entry(finding.code.word())
            .or_insert((0, &finding.message));
        code.0 += 1;
    }
    let wrong = |finding: &&ampwright_plan::Finding| {
        let family = finding.code.entry().family;
        matches!(family, Family::Reading | Family::Wiring) && finding.code != Code::NeverOn
    };
    let wrong: Vec<_> = plan
        .findings
        .iter()
        .filter(wrong)
        .map(|f| &f.message)
        .collect();
    assert!(wrong.is_empty(), "{wrong:?}");
    let found = plan.findings.len();
    assert!(
        (lines / 200..lines / 20).contains(&found),
        "{found}: {by_code:#?}"
    );
}

#[test]
fn a_convoy_of_every_kind_of_hull() {
    check(&shapes::mixed(1_000), 1_000);
    check(&shapes::mixed(5_000), 5_000);
}

#[test]
fn one_boat_in_which_everything_is_joined() {
    check(&shapes::connected(2_000), 2_000);
}
