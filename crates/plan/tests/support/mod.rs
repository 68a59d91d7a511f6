//! Plans with what is expected of them drawn in: `#! code` at the end of the line a finding stands on.

use ampwright_plan::{Plan, findings::registry::Family};

/// A battery, its fuse and isolator, a panel of six ways and its bar, fed and returned.
#[allow(dead_code)] // each test file uses what it needs of these
pub(crate) const BASE: &str = "\
boat curlew
    system 12 V
battery house agm 100 Ah
fuse main-fuse bolt-down 60 A breaks 10 kA
isolator main-switch 100 A
panel cabin 50 A
    way 1 fuse 5 A
    way 2 fuse 5 A
    way 3 fuse 5 A
    way 4 breaker 30 A
    returns neg
busbar neg negative 100 A
    posts 20
run feed
    house +
    10 mm2 red 0.15 m
    main-fuse
    10 mm2 red 1 m
    main-switch
    10 mm2 red 2 m
    cabin
run return
    neg
    10 mm2 black 3 m
    house -
";

/// Holds what a plan's findings of some families are against what is drawn into it.
#[allow(dead_code)] // each test file uses what it needs of these
#[track_caller]
pub(crate) fn check(families: &[Family], text: &str) {
    let plan = Plan::of_text(text);
    let mut found: Vec<(usize, &str)> = plan
        .findings
        .iter()
        .filter(|finding| families.contains(&finding.code.entry().family))
        .map(|finding| {
            let at = plan.sources.range(finding.site).start;
            (text[..at].matches('\n').count(), finding.code.word())
        })
        .collect();
    found.sort_unstable();
    let mut expected: Vec<(usize, &str)> = text
        .lines()
        .enumerate()
        .filter_map(|(line, text)| Some((line, text.split_once("#! ")?.1)))
        .flat_map(|(line, codes)| codes.split_whitespace().map(move |code| (line, code)))
        .collect();
    expected.sort_unstable();
    let told: Vec<String> = plan
        .findings
        .iter()
        .map(|finding| format!("{}: {}", finding.code.word(), finding.message))
        .collect();
    assert_eq!(found, expected, "{told:#?}");
}

/// A lamp on the first way of `BASE`'s panel.
#[allow(dead_code)] // each test file uses what it needs of these
pub(crate) const LAMP: &str = "\
load lamp lighting 6 W
run lamp
    cabin way 1
    1.5 mm2 red 3 m
    lamp
    back black
";
