//! How banks share, what belongs together in them, and the air round them.

mod support;

use ampwright_plan::Plan;

/// Four equal batteries of 20 mohm, links of 1.5 mohm, 100 A: `land` is where the return lands.
fn four(land: &str) -> String {
    include_str!("../../../tests/plans/four-batteries.boat").replace(
        "25 mm2 black 1.5 m\n    one -",
        &format!("25 mm2 black 1.5 m\n    {land} -"),
    )
}

fn shares(text: &str) -> Vec<f64> {
    let plan = Plan::of_text(text);
    let shares = plan.study.shares.first().expect("a bank that shares");
    shares.shares.iter().map(|share| share.amps).collect()
}

fn assert_shares(text: &str, expected: [f64; 4]) {
    let found = shares(text);
    for (found, expected) in found.iter().zip(expected) {
        assert!(
            (found - expected).abs() < 0.006,
            "{found} is not {expected}"
        );
    }
    assert_eq!(found.len(), 4);
}

/// The exact nodal solution, derived: leads at one end, and at opposite corners.
#[test]
fn a_bank_shares_as_its_nodal_solution_says() {
    assert_shares(&four("one"), [35.75, 26.12, 20.40, 17.74]);
    assert_shares(&four("four"), [26.74, 23.26, 23.26, 26.74]);
}
