//! Small boats, each safe or unsafe in one way, held against the family *protection*.

use ampwright_plan::{Plan, Severity};

/// Codes and severities of the family, and every other error, with the words each stands on.
fn found(text: &str) -> Vec<String> {
    let plan = Plan::of_text(text);
    let wanted = plan.findings.iter().filter(|finding| {
        finding.code.entry().family.word() == "protection" || finding.severity == Severity::Error
    });
    wanted
        .map(|finding| {
            let words = plan.sources.words(finding.site);
            format!(
                "{} {} on {words}",
                finding.severity.word(),
                finding.code.word()
            )
        })
        .collect()
}

const BASE: &str = "
boat test
    system 12 V
battery house agm 100 Ah
fuse main bolt-down 80 A breaks 10 kA
isolator cut 250 A
busbar negative negative 100 A
    posts 10
busbar positive positive 100 A
    posts 10
fuse small blade 10 A breaks 10 kA
load lamp lighting 10 W
run home
    negative
    16 mm2 black 5 m
    house -
";

const FEED: &str = "
run feed
    house +
    16 mm2 red 0.15 m
    main
    16 mm2 red 0.4 m
    cut
    16 mm2 red 5 m
    positive
";

const LAMP: &str = "
run lamp
    positive
    2.5 mm2 red 0.15 m
    small
    2.5 mm2 red 4 m
    lamp
    back black to negative
";

fn check(parts: &[&str], expected: &[&str]) {
    assert_eq!(found(&parts.concat()), expected);
}

fn check_has(parts: &[&str], expected: &str) {
    let found = found(&parts.concat());
    assert!(found.iter().any(|line| line == expected), "{found:#?}");
}

#[test]
fn a_sound_boat_is_left_alone_and_a_short_tap_is_excused() {
    check(&[BASE, FEED, LAMP], &[]);
}

#[test]
fn a_tap_that_is_not_short_needs_its_device_where_it_begins() {
    let long = LAMP.replace("red 0.15 m", "red 0.5 m");
    check(
        &[BASE, FEED, &long],
        &["error fuse-exceeds-conductor on 2.5 mm2 red 0.5 m"],
    );
}

#[test]
fn a_fuse_moved_to_the_far_end_is_missed_once() {
    let moved = "
run feed
    house +
    16 mm2 red 0.15 m
    cut
    16 mm2 red 5 m
    main
    16 mm2 red 0.4 m
    positive
";
    check(
        &[BASE, moved, LAMP],
        &["error unfused-run on 16 mm2 red 5 m"],
    );
}

#[test]
fn one_missing_device_before_many_circuits_is_one_finding() {
    let mut text = FEED.replace("    main\n    16 mm2 red 0.4 m\n", "");
    for lamp in 1..=8 {
        let circuit = "load lamp-N lighting 5 W\nrun lamp-N\n    positive\n    2.5 mm2 red 4 m\n    lamp-N\n    back black to negative\n";
        text.push_str(&circuit.replace('N', &lamp.to_string()));
    }
    check(&[BASE, &text], &["error unfused-run on 16 mm2 red 5 m"]);
}

#[test]
fn a_circuit_without_a_fuse_of_its_own_is_held_against_the_main_one() {
    let bare = LAMP.replace("    2.5 mm2 red 0.15 m\n    small\n", "");
    check(
        &[BASE, FEED, &bare],
        &["error fuse-exceeds-conductor on 2.5 mm2 red 4 m"],
    );
}

#[test]
fn a_thin_return_behind_a_thick_feed_is_found() {
    let thin = BASE.replace("16 mm2 black 5 m", "4 mm2 black 5 m");
    check(
        &[&thin, FEED, LAMP],
        &["error fuse-exceeds-conductor on 4 mm2 black 5 m"],
    );
}

#[test]
fn two_fuses_in_parallel_add_up() {
    let second = "
fuse second bolt-down 80 A breaks 10 kA
run beside
    house +
    16 mm2 red 0.15 m
    second
    16 mm2 red 0.4 m
    cut feed
";
    check_has(
        &[BASE, FEED, LAMP, second],
        "error fuse-exceeds-conductor on 16 mm2 red 5 m",
    );
}

#[test]
fn a_stub_before_an_oversized_fuse_is_found() {
    let stub = FEED.replace("16 mm2 red 0.15 m", "2.5 mm2 red 0.15 m");
    check(
        &[BASE, &stub, LAMP],
        &["error fuse-exceeds-conductor on 2.5 mm2 red 0.15 m"],
    );
}

#[test]
fn what_hangs_on_a_post_without_any_device_is_found_however_short() {
    let direct = "
load clock electronics 0.1 A
run clock
    house +
    1.5 mm2 red 0.1 m
    clock
    1.5 mm2 black 0.1 m
    negative
";
    check_has(
        &[BASE, FEED, LAMP, direct],
        "error unfused-run on 1.5 mm2 red 0.1 m",
    );
}

const CRANKING: &str = "
boat test
    system 12 V
battery house agm 100 Ah
isolator cut 250 A
load starter starter 200 A
run starter
    house +
    50 mm2 red 1.5 m
    cut
    50 mm2 red 1 m
    starter
    50 mm2 black 2 m
    house -
";

#[test]
fn a_cranking_feed_is_exempt_and_what_is_tapped_off_it_is_not() {
    check(&[CRANKING], &[]);
    let tapped = "
load heater heater 5 A
run heater
    cut out
    2.5 mm2 red 2 m
    heater
    2.5 mm2 black 2 m
    house -
";
    check(
        &[CRANKING, tapped],
        &["error unfused-run on 2.5 mm2 red 2 m"],
    );
}

/// Published: a device within 7 in of the source (ABYC E-11, S2). Whether the stud of a cranking
/// cable is such a source no seen text says: an advice, where it would else be an error.
#[test]
fn a_short_tap_off_a_cranking_feed_that_ends_at_a_device_is_an_advice() {
    let tapped = "
fuse tap-fuse bolt-down 40 A breaks 10 kA
load heater heater 20 A
run heater
    cut out
    10 mm2 red 0.15 m
    tap-fuse
    10 mm2 red 3 m
    heater
    back black to house -
";
    let advice = "advice unfused-run on 10 mm2 red 0.15 m";
    check(&[CRANKING, tapped], &[advice]);
    // Too long, too thin for its device, or with something tapped off before it, it stays an error.
    let error = "error unfused-run on 10 mm2 red 0.3 m";
    let long = tapped.replace("0.15 m", "0.3 m");
    check(&[CRANKING, &long], &[error]);
    let thin = tapped.replace("10 mm2 red 0.15 m", "2.5 mm2 red 0.15 m");
    let exceeds = "error fuse-exceeds-conductor on 2.5 mm2 red 0.15 m";
    check_has(&[CRANKING, &thin], exceeds);
    let robbed = format!(
        "{tapped}{}",
        "
load horn other 2 A
run horn
    tap-fuse feed
    2.5 mm2 red 0.1 m
    horn
    back black to house -
"
    );
    let found = found(&[CRANKING, &robbed].concat());
    let errors = found
        .iter()
        .filter(|line| line.starts_with("error unfused-run"));
    assert!(errors.count() >= 1, "{found:#?}");
}

/// What is accepted is the whole stretch without a device, not its first conductor alone.
#[test]
fn an_accepted_tap_lapses_when_its_device_is_gone() {
    let tapped = "
fuse tap-fuse bolt-down 40 A
load heater heater 20 A
run heater
    cut out
    10 mm2 red 0.15 m
    allow unfused-run up to 1.7 m \"sleeved\" by \"the surveyor\"
    tap-fuse
    10 mm2 red 3 m
    heater
    back black to house -
";
    let open = |text: &str| {
        let plan = Plan::of_text(text);
        let unfused = |one: &&ampwright_plan::Finding| {
            one.code.word() == "unfused-run" && one.accepted.is_none()
        };
        plan.findings.iter().filter(unfused).count()
    };
    assert_eq!(open(&format!("{CRANKING}{tapped}")), 0);
    let gone = tapped.replace("fuse tap-fuse bolt-down 40 A", "joint tap-fuse");
    assert_eq!(open(&format!("{CRANKING}{gone}")), 1);
}

#[test]
fn a_boat_without_an_isolator_is_told_once() {
    let none = FEED.replace("    cut\n    16 mm2 red 5 m\n", "");
    check(&[BASE, &none, LAMP], &["advice no-isolator on lamp"]);
}

#[test]
fn a_feed_round_the_isolator_is_found() {
    let round = "
fuse other bolt-down 50 A breaks 10 kA
run round
    house +
    16 mm2 red 0.15 m
    other
    16 mm2 red 5 m
    positive
";
    check_has(&[BASE, FEED, LAMP, round], "error back-fed on positive");
}

#[test]
fn a_fuse_in_the_return_is_found() {
    let wrong = "
run lamp
    positive
    2.5 mm2 red 4 m
    lamp +
run lamp-home
    lamp -
    2.5 mm2 black 4 m
    small
    2.5 mm2 black 0.1 m
    negative
";
    check_has(&[BASE, FEED, wrong], "error device-in-return on small");
}

#[test]
fn a_fuse_that_opens_in_use_is_found() {
    let bright = BASE.replace("lighting 10 W", "lighting 150 W");
    check(&[&bright, FEED, LAMP], &["error fuse-below-load on small"]);
}

#[test]
fn a_charger_is_excused_at_its_own_end_only() {
    let charger = "
charger shore 20 A
run shore
    positive
    6 mm2 red 2 m
    shore +
run shore-home
    shore -
    6 mm2 black 2 m
    negative
";
    check_has(
        &[BASE, FEED, LAMP, charger],
        "error fuse-exceeds-conductor on 6 mm2 red 2 m",
    );
}

#[test]
fn sources_from_both_sides_add_up_only_beyond_where_they_meet() {
    let first = BASE.replace("bolt-down 80 A", "bolt-down 60 A");
    let second = "
battery reserve agm 100 Ah
fuse reserve-fuse bolt-down 60 A breaks 10 kA
isolator reserve-cut 250 A
run reserve
    reserve +
    16 mm2 red 0.15 m
    reserve-fuse
    16 mm2 red 0.4 m
    reserve-cut
    16 mm2 red 1 m
    cut out
run reserve-home
    negative
    16 mm2 black 5 m
    reserve -
";
    check(
        &[&first, FEED, LAMP, second],
        &["error fuse-exceeds-conductor on 16 mm2 red 5 m"],
    );
}

#[test]
fn the_way_home_of_a_charging_source_is_held_against_its_device() {
    let charger = "
charger shore 10 A
fuse shore-fuse bolt-down 60 A breaks 10 kA
run shore
    house +
    16 mm2 red 0.15 m
    shore-fuse
    16 mm2 red 2 m
    shore +
run shore-home
    shore -
    2.5 mm2 black 2 m
    negative
";
    check(
        &[BASE, FEED, LAMP, charger],
        &["error fuse-exceeds-conductor on 2.5 mm2 black 2 m"],
    );
}

#[test]
fn a_converter_s_output_is_an_island_with_a_source_of_its_own() {
    let island = "
converter up
    input 12 V
    output 24 V
    10 A
fuse up-fuse bolt-down 40 A breaks 10 kA
load radar electronics 5 A
run up
    positive
    10 mm2 red 0.15 m
    up-fuse
    10 mm2 red 1 m
    up input
    back black to negative
run radar
    up output +
    SIZE red 2 m
    radar
    back black to up output -
";
    check(&[BASE, FEED, LAMP, &island.replace("SIZE", "2.5 mm2")], &[]);
    // 0.5 mm² may carry less than the converter gives for ever.
    check_has(
        &[BASE, FEED, LAMP, &island.replace("SIZE", "0.5 mm2")],
        "error fuse-exceeds-conductor on 0.5 mm2 red 2 m",
    );
}

#[test]
fn a_short_circuit_is_one_finding() {
    let short = "\nrun short\n    positive\n    16 mm2 red 0.5 m\n    negative\n";
    check(
        &[BASE, FEED, LAMP, short],
        &["error short-circuit on 16 mm2 red 0.5 m"],
    );
}

const PAIR: &str = "
boat test
    system 12 V
battery one agm 100 Ah
battery two agm 100 Ah
fuse fuse-one bolt-down 20 A breaks 10 kA
fuse fuse-two bolt-down 20 A breaks 10 kA
isolator cut-one 250 A
isolator cut-two 250 A
joint plus
joint minus
load heater heater 18 A
run one
    one +
    6 mm2 red 0.15 m
    fuse-one
    6 mm2 red 0.5 m
    cut-one
    6 mm2 red 1 m
    plus
run two
    two +
    6 mm2 red 0.15 m
    fuse-two
    6 mm2 red 0.5 m
    cut-two
    6 mm2 red 1 m
    plus
run heater
    plus
    16 mm2 red 3 m
    heater
    RETURN black 3 m
    minus
run one-home
    minus
    6 mm2 black 1 m
    one -
run two-home
    minus
    6 mm2 black 1 m
    two -
";

#[test]
fn a_return_shared_by_two_banks_carries_what_both_let_through() {
    check(&[&PAIR.replace("RETURN", "16 mm2")], &[]);
    check(
        &[&PAIR.replace("RETURN", "6 mm2")],
        &["error fuse-exceeds-conductor on 6 mm2 black 3 m"],
    );
}

#[test]
fn a_shared_return_names_the_device_that_lets_the_most_through() {
    let text = PAIR.replace("RETURN", "6 mm2");
    for (old, new) in [("fuse-one", "fuse-two"), ("fuse-two", "fuse-one")] {
        let larger = format!("fuse {new} bolt-down 30 A");
        let text = text.replace(&format!("fuse {new} bolt-down 20 A"), &larger);
        let plan = Plan::of_text(&text);
        let message = plan
            .findings
            .iter()
            .find(|finding| finding.message.contains("50 A"));
        let message = &message.expect("both fuses let 50 A through").message;
        assert!(message.starts_with(new), "not {old}: {message}");
    }
}

#[test]
fn a_second_bank_does_not_hide_what_one_alone_has_to_carry() {
    // 18 A shared by two banks is 9 A each, but either may be switched off.
    let thin = PAIR.replace("RETURN", "16 mm2").replacen(
        "6 mm2 red 1 m\n    plus\nrun two",
        "1 mm2 red 1 m\n    plus\nrun two",
        1,
    );
    check_has(&[&thin], "error undersized-conductor on 1 mm2 red 1 m");
}

#[test]
fn a_link_between_batteries_bears_what_the_bank_s_device_lets_through() {
    let bank = "
battery spare like house
run link
    house +
    SIZE red 0.3 m
    spare +
run link-home
    house -
    35 mm2 black 0.3 m
    spare -
";
    check(&[BASE, FEED, LAMP, &bank.replace("SIZE", "35 mm2")], &[]);
    check(
        &[BASE, FEED, LAMP, &bank.replace("SIZE", "4 mm2")],
        &["error fuse-exceeds-conductor on 4 mm2 red 0.3 m"],
    );
}
