//! How banks share, what belongs together in them, and the air round them.

mod support;

use ampwright_plan::{Code, Plan, Severity, findings::registry::Family};
use support::{BASE, LAMP, check};

/// Holds the findings of the family against what is drawn in.
#[track_caller]
fn batteries(more: &str) {
    check(&[Family::Batteries], &format!("{BASE}{LAMP}{more}"));
}

/// The most severe finding of a code.
fn severity(code: Code, more: &str) -> Option<Severity> {
    let plan = Plan::of_text(&format!("{BASE}{LAMP}{more}"));
    let found = plan.findings.iter().filter(|one| one.code == code);
    found.map(|one| one.severity).max()
}

/// Four equal batteries of 20 mohm, links of 1.5 mohm, 1 A: `land` is where the return lands. A
/// hundredth of the published current, so that the links stay at the 20 °C of their 1.5 mohm.
fn four(land: &str) -> String {
    include_str!("../../../tests/plans/four-batteries.boat")
        .replace("heater 100 A", "heater 1 A")
        .replace(
            "25 mm2 black 1.5 m\n    one -",
            &format!("25 mm2 black 1.5 m\n    {land} -"),
        )
}

#[track_caller]
fn assert_shares(text: &str, expected: [f64; 4]) {
    let plan = Plan::of_text(text);
    let found: Vec<f64> = plan
        .study
        .shares
        .iter()
        .flat_map(|bank| bank.shares.iter().map(|share| 100.0 * share.amps))
        .collect();
    let near = found
        .iter()
        .zip(expected)
        .all(|(a, b)| (a - b).abs() < 0.006);
    assert!(near && found.len() == 4, "{found:?} is not {expected:?}");
}

/// The exact nodal solution, derived: leads at one end, and at opposite corners.
#[test]
fn a_bank_shares_as_its_nodal_solution_says() {
    assert_shares(&four("one"), [35.75, 26.12, 20.40, 17.74]);
    assert_shares(&four("four"), [26.74, 23.26, 23.26, 26.74]);
}

#[test]
fn leads_at_one_end_share_unequally_and_at_opposite_ends_do_not() {
    let found = |land| {
        let plan = Plan::of_text(&four(land));
        let found = plan.findings.iter().map(|one| one.code.word());
        found.collect::<Vec<_>>()
    };
    assert_eq!(found("one"), ["unequal-share"]);
    assert_eq!(found("four"), [""; 0]);
}

/// 10 A of twin strings: each block carries its string's current, and each string half of it.
#[test]
fn a_block_of_a_string_is_held_to_its_strings_share() {
    let text = "\
boat b system 24 V
battery low-1 agm 12 V 100 Ah
battery high-1 like low-1
battery low-2 like low-1
battery high-2 like low-1
fuse f bolt-down 40 A
isolator i 100 A
load l heater 10 A
run up-1
    low-1 +
    35 mm2 0.2 m
    high-1 -
run up-2
    low-2 +
    35 mm2 0.2 m
    high-2 -
run top
    high-1 +
    35 mm2 0.3 m
    high-2 +
run bottom
    low-1 -
    35 mm2 0.3 m
    low-2 -
run l
    high-1 +
    10 mm2 0.15 m
    f
    10 mm2 1 m
    i
    10 mm2 1 m
    l
    back to low-2 -
";
    let plan = Plan::of_text(text);
    let bank = plan.study.shares.first();
    let shares: Vec<(f64, f64)> = bank.map_or_else(Vec::new, |bank| {
        bank.shares.iter().map(|one| (one.amps, one.fair)).collect()
    });
    assert_eq!(shares.len(), 4);
    for (amps, fair) in shares {
        assert!((fair - 5.0).abs() < 1e-9, "{fair}");
        assert!((amps - 5.0).abs() < 0.5, "{amps}");
    }
}

/// Twice the ampere-hours behind half the resistance: each gives its share.
#[test]
fn a_larger_battery_gives_more_and_is_fair() {
    batteries(
        "\
battery second agm 200 Ah #! mixed-bank
run link
    house +
    50 mm2 0.2 m
    second +
run link-back
    house -
    50 mm2 0.2 m
    second -
",
    );
}

const LINKS: &str = "\
run link
    house +
    50 mm2 0.3 m
    second +
run link-back
    house -
    50 mm2 0.3 m
    second -
";

#[test]
fn two_kinds_side_by_side_are_a_warning_and_in_a_row_an_error() {
    batteries(&format!(
        "battery second lithium 100 Ah #! mixed-bank\n{LINKS}"
    ));
    let side = format!("battery second lithium 100 Ah\n{LINKS}");
    assert_eq!(severity(Code::MixedBank, &side), Some(Severity::Warning));
    let row = "battery second gel 100 Ah\nrun up\n    house +\n    50 mm2 0.3 m\n    second -\n";
    assert_eq!(severity(Code::MixedBank, row), Some(Severity::Error));
}

/// A fuse between two batteries does not make one charging voltage suit both. A charging relay joins
/// lead to lead in ordinary use; beside lithium, whose rest voltage may hold it closed, it does not
/// bound what flows.
#[test]
fn two_kinds_round_fuses_are_found_and_round_a_relay_only_lithium_is() {
    let of_kind = |kind: &str, way: &str| {
        format!(
            "\
battery second {kind} 100 Ah
{way}
fuse f1 class-t 100 A
fuse f2 class-t 100 A
run join
    house +
    35 mm2 0.15 m
    f1
    35 mm2 1 m
    middle
    35 mm2 1 m
    f2
    35 mm2 0.15 m
    second +
run join-back
    house -
    35 mm2 1 m
    second -
"
        )
    };
    let relay = "relay middle 200 A closes 13.3 V opens 12.8 V";
    let found = |way| severity(Code::MixedBank, &of_kind("lithium", way));
    assert_eq!(found("joint middle"), Some(Severity::Warning));
    assert_eq!(found("isolator middle 200 A"), Some(Severity::Warning));
    assert_eq!(found("isolator middle 200 A normally-open"), None);
    assert_eq!(found(relay), Some(Severity::Warning));
    assert_eq!(severity(Code::MixedBank, &of_kind("flooded", relay)), None);
}

#[test]
fn sizes_in_a_row_have_to_match() {
    let row = |hours: &str| {
        format!("battery second agm {hours}\nrun up\n    house +\n    50 mm2 0.3 m\n    second -\n")
    };
    assert_eq!(
        severity(Code::MixedBank, &row("60 Ah")),
        Some(Severity::Error)
    );
    assert_eq!(severity(Code::MixedBank, &row("100 Ah")), None);
}

/// Two small blocks side by side below one of their sum: as much comes as goes.
#[test]
fn blocks_side_by_side_add_up_in_a_row() {
    let text = "\
boat b system 12 V
battery a agm 6 V 100 Ah
battery b like a
battery c agm 6 V 200 Ah
run ab
    a +
    35 mm2 0.3 m
    b +
run ab-back
    a -
    35 mm2 0.3 m
    b -
run up
    b +
    35 mm2 0.3 m
    c -
";
    let found = |text: &str| {
        let plan = Plan::of_text(text);
        let codes = plan.findings.iter().map(|one| one.code);
        codes.filter(|code| *code == Code::MixedBank).count()
    };
    assert_eq!(found(text), 0);
    assert_eq!(found(&text.replace("200 Ah", "100 Ah")), 1);
}

#[test]
fn a_link_past_72_inches_is_one_finding_and_no_unfused_run() {
    let boat = format!("{BASE}{LAMP}battery second like house\n{LINKS}");
    let long = boat.replacen("    50 mm2 0.3 m\n", "    50 mm2 1.9 m #! bank-link\n", 1);
    check(&[Family::Batteries, Family::Protection], &long);
    let just = boat.replacen("    50 mm2 0.3 m\n", "    50 mm2 1.82 m\n", 1);
    check(&[Family::Batteries, Family::Protection], &just);
}

#[test]
fn a_link_that_leaves_the_place_wants_devices() {
    let boat = format!(
        "{BASE}{LAMP}place locker\nplace bay\nbattery second agm 100 Ah\n    in bay\n{LINKS}"
    );
    let boat = boat.replace(
        "battery house agm 100 Ah\n",
        "battery house agm 100 Ah in locker\n",
    );
    let apart = boat.replacen("    50 mm2 0.3 m\n", "    50 mm2 0.5 m #! bank-link\n", 1);
    check(&[Family::Batteries, Family::Protection], &apart);
    // Closer than what needs no device anyhow.
    check(&[Family::Batteries, Family::Protection], &boat);
}

const CHARGER: &str = "\
charger shore 15 A
fuse cf bolt-down 20 A
run shore
    house +
    6 mm2 0.15 m
    cf
    6 mm2 1 m
    shore
    back to house -
";

/// A boat whose house battery is of this kind, in a locker that says this.
fn locker(kind: &str, place: &str, charger: &str) -> String {
    let boat = format!("{BASE}{LAMP}place locker {place}\n{charger}");
    boat.replace(
        "battery house agm 100 Ah",
        &format!("battery house {kind} in locker"),
    )
}

fn air(kind: &str, place: &str, charger: &str) -> Option<Severity> {
    let plan = Plan::of_text(&locker(kind, place, charger));
    let mut found = plan.findings.iter();
    let found = found.find(|one| one.code == Code::UnventilatedBattery)?;
    Some(found.severity)
}

/// EN 50272-2, Igas of one quotation: 100 Ah, 6 cells, boost: flooded 0.05 x 6 x 20 x 0.1 = 0.6 m3/h,
/// 16.8 cm2; valve-regulated 0.24 m3/h, 6.72 cm2.
#[test]
fn a_charged_battery_wants_its_openings() {
    assert_eq!(
        air("flooded 100 Ah", "openings 16 cm2", CHARGER),
        Some(Severity::Error)
    );
    assert_eq!(air("flooded 100 Ah", "openings 17 cm2", CHARGER), None);
    assert_eq!(
        air("agm 100 Ah", "openings 6 cm2", CHARGER),
        Some(Severity::Warning)
    );
    assert_eq!(air("agm 100 Ah", "openings 7 cm2", CHARGER), None);
    assert_eq!(
        air("flooded 100 Ah", "openings 1 cm2 open-air", CHARGER),
        None
    );
    assert_eq!(air("lithium 100 Ah", "", CHARGER), None);
}

#[test]
fn a_place_that_says_no_openings_is_told_how_large_they_have_to_be() {
    assert_eq!(air("flooded 100 Ah", "", CHARGER), Some(Severity::Warning));
    assert_eq!(air("gel 100 Ah", "", CHARGER), Some(Severity::Warning));
    // Up to 0.2 kW an inland code asks for nothing (one quotation).
    let weak = CHARGER.replace("shore 15 A", "shore 10 A");
    assert_eq!(air("flooded 100 Ah", "", &weak), Some(Severity::Advice));
    // What nothing charges gives off nothing that matters.
    assert_eq!(air("flooded 100 Ah", "", ""), None);
}

#[test]
fn without_a_place_open_cells_get_an_advice_and_sealed_ones_nothing() {
    let plan = |kind: &str| {
        let boat = format!("{BASE}{LAMP}{CHARGER}");
        let boat = boat.replace("battery house agm", &format!("battery house {kind}"));
        let plan = Plan::of_text(&boat);
        let mut found = plan.findings.iter();
        let found = found.find(|one| one.code == Code::UnventilatedBattery);
        found.map(|one| one.severity)
    };
    assert_eq!(plan("flooded"), Some(Severity::Advice));
    assert_eq!(plan("agm"), None);
}

/// 100 and 50 Ah want 16.8 and 8.4 cm2: one finding on the place, with the sum.
#[test]
fn batteries_of_one_place_add_up() {
    let boat = locker("flooded 100 Ah", "openings 20 cm2", CHARGER);
    let boat = boat
        + "\
battery second flooded 50 Ah in locker
charger aft 8 A
fuse af blade 10 A
run aft
    second +
    4 mm2 0.15 m
    af
    4 mm2 1 m
    aft
    back to second -
run negatives
    second -
    6 mm2 1 m
    house -
";
    let plan = Plan::of_text(&boat);
    let found = plan.findings.iter();
    let found: Vec<_> = found
        .filter(|one| one.code == Code::UnventilatedBattery)
        .collect();
    assert_eq!(found.len(), 1);
    let figure = found.first().and_then(|one| one.figure);
    let wanted = figure.map_or(0.0, |figure| figure.measured);
    assert!((wanted - 25.2).abs() < 1e-9, "{wanted}");
    let words = found.first().map(|one| plan.sources.words(one.site));
    assert_eq!(words, Some("openings 20 cm2"));
}

/// Figures that no battery has stay figures, and nothing stops.
#[test]
fn absurd_batteries_are_harmless() {
    for facts in [
        "agm 0 Ah",
        "agm 1e300 Ah",
        "flooded -5 Ah",
        "agm 100 Ah resistance 0 mohm",
        "agm 100 Ah resistance 1e300 mohm",
        "agm 100 Ah charge-limit 0 A",
        "agm 100 Ah charge-limit -3 A",
    ] {
        let boat = format!("{BASE}{LAMP}battery second {facts}\n{LINKS}{CHARGER}");
        let plan = Plan::of_text(&boat);
        let numbers = plan.study.shares.iter().flat_map(|bank| &bank.shares);
        for share in numbers {
            assert!(!share.amps.is_nan() && !share.fair.is_nan(), "{facts}");
        }
    }
}
