//! `explain` and `follow`, and what is said when they cannot.
#![allow(clippy::needless_raw_string_hashes)] // snapshots, as their tool writes them
#![allow(clippy::expect_used, reason = "a test that cannot begin has failed")]

mod support;

use expect_test::{Expect, expect};
use serde_json::Value;
use support::{program, root, transcript};

fn check(args: &[&str], expected: &Expect) {
    expected.assert_eq(&transcript(&root(), args));
}

#[test]
fn a_finding_is_explained() {
    check(
        &["explain", "unfused-run"],
        &expect![[r#"
        unfused-run, error of the family protection

        Nothing interrupts a short circuit on this conductor.

        A chafed cable without a device glows until the boat burns.

        Rule: 33 CFR 183.455(b) (one quotation).

        What mends it: A fuse or breaker where the message says.
        exit 0
    "#]],
    );
}

#[test]
fn a_word_is_explained() {
    check(
        &["explain", "isolator"],
        &expect![[r#"
            isolator, a kind of thing

            the main switch that takes everything off a battery.

                isolator house-isolator 250 A

            - A, needed: the most current it may carry for ever
            - two-pole: opens the positive and the negative together; wired by `pole 1` and `pole 2`
            - normally-open: is open unless someone closes it: an emergency link between two batteries
            - ignition-protected: built so that it lights no vapour around it
            - in NAME: the place where it stands
            - like NAME: takes over every fact of the other part that is not said again, its place too, but never `allow`, `spare`, a title or ways
            - spare: is on board but not wired yet, on purpose
            exit 0
        "#]],
    );
}

#[test]
fn a_slip_is_offered_the_nearest_word() {
    check(
        &["explain", "busbra"],
        &expect![[r#"
        stderr: ampwright: there is no finding and no word called busbra; did you mean busbar?
        exit 2
    "#]],
    );
    check(
        &["explain", "qwertyuiop"],
        &expect![[r#"
            stderr: ampwright: there is no finding and no word called qwertyuiop; to take a plan's values apart name what of it: ampwright explain PLAN NAME
            exit 2
        "#]],
    );
}

#[test]
fn a_pump_is_followed_through_the_evening() {
    check(
        &[
            "follow",
            "examples/curlew",
            "fresh-pump",
            "--case",
            "evening",
        ],
        &expect![[r#"
            fresh-pump, evening

            step                          current  lost here  up to here  of nominal     left  as wired     lost  left, as wired
            house-1 +                                            0.000 V         0 %  12.00 V                            12.27 V
            25 mm² red 0.15 m              14.7 A    0.001 V     0.001 V      0.01 %  12.00 V    14.7 A  0.005 V         12.26 V
            house-fuse 80 A                14.7 A                0.001 V      0.01 %  12.00 V    14.7 A  0.018 V         12.24 V
            25 mm² red 0.4 m               14.7 A    0.004 V     0.005 V      0.04 %  11.99 V    14.7 A  0.008 V         12.24 V
            house-isolator                 14.7 A                0.005 V      0.04 %  11.99 V    14.7 A  0.003 V         12.23 V
            25 mm² red 7 m                 14.7 A    0.068 V     0.073 V      0.61 %  11.93 V    14.7 A  0.095 V         12.14 V
            cabin-panel way 2, fuse 10 A      7 A                0.073 V      0.61 %  11.93 V       7 A  0.071 V         12.07 V
            twin 2.5 mm² 5 m                  7 A    0.230 V     0.302 V      2.52 %  11.70 V       7 A  0.298 V         11.77 V
            fresh-pump 7 A                    7 A                0.302 V      2.52 %  11.70 V       7 A                  11.77 V
            twin 2.5 mm² 5 m                  7 A    0.230 V     0.532 V      4.43 %  11.47 V       7 A  0.298 V         11.47 V
            cabin-negative                                       0.532 V      4.43 %  11.47 V                            11.47 V
            25 mm² black 7.5 m             14.7 A    0.072 V     0.604 V      5.04 %  11.40 V    14.7 A  0.101 V         11.37 V
            house-2 -                                            0.604 V      5.04 %  11.40 V                            11.37 V

            By the rule 0.604 V are lost on the way and back, 5.04 %; 11.40 V are left. The limit is 10 % (ABYC E-11, other lighting and non-critical circuits; two quotations). As wired, from a battery half charged, it gets 11.37 V.
            exit 0
        "#]],
    );
}

#[test]
fn a_load_behind_a_converter_is_followed_from_its_output() {
    check(
        &["follow", "examples/skerry.boat", "radio", "--case", "alone"],
        &expect![[r#"
            radio, alone

            step                   current  lost here  up to here  of nominal     left  as wired     lost  left, as wired
            radio-supply output +                         0.000 V         0 %  12.00 V                            12.00 V
            14 AWG red 0.152 m         5 A    0.007 V     0.007 V      0.05 %  11.99 V       5 A  0.008 V         11.99 V
            radio-fuse 7.5 A           5 A                0.007 V      0.05 %  11.99 V       5 A  0.067 V         11.93 V
            14 AWG red 0.914 m         5 A    0.039 V     0.046 V      0.38 %  11.95 V       5 A  0.043 V         11.88 V
            radio 5 A                  5 A                0.046 V      0.38 %  11.95 V       5 A                  11.88 V
            14 AWG black 1.067 m       5 A    0.046 V     0.092 V      0.76 %  11.91 V       5 A  0.050 V         11.83 V
            radio-supply output -                         0.092 V      0.76 %  11.91 V                            11.83 V

            By the rule 0.092 V are lost on the way and back, 0.76 %; 11.91 V are left. As wired, from a battery half charged, it gets 11.83 V.
            exit 0
        "#]],
    );
}

#[test]
fn what_cannot_be_followed_is_said() {
    check(
        &["follow", "examples/curlew", "pump"],
        &expect![[r#"
        stderr: ampwright: there is no load called pump; there are cabin-lights, tricolour, anchor-light, fresh-pump, bilge-pump, refrigerator, radio, chart-socket
        exit 2
    "#]],
    );
    check(
        &["follow", "examples/curlew", "fresh-pmup"],
        &expect![[r#"
        stderr: ampwright: there is no load called fresh-pmup; did you mean fresh-pump?
        exit 2
    "#]],
    );
    check(
        &["follow", "examples/curlew", "house-fuse"],
        &expect![[r#"
        stderr: ampwright: house-fuse is no load: follow a load, a socket or a converter
        exit 2
    "#]],
    );
    check(
        &["follow", "examples/curlew", "radio", "--case", "evning"],
        &expect![[r#"
        stderr: ampwright: there is no case called evning; did you mean evening?
        exit 2
    "#]],
    );
    check(
        &["follow", "examples/curlew", "radio", "--case", "evening"],
        &expect![[r#"
        stderr: ampwright: radio is off in evening; follow it in passage, everything, alone
        exit 2
    "#]],
    );
    check(
        &["follow", "examples", "radio"],
        &expect![[r#"
        stderr: ampwright: there are several plans in examples: name one, as in examples/curlew/curlew.boat
        exit 2
    "#]],
    );
    check(
        &["follow", "examples/gone.boat", "radio"],
        &expect![[r#"
        stderr: ampwright: cannot read examples/gone.boat: there is no such file
        exit 2
    "#]],
    );
}

#[test]
fn a_value_is_taken_apart() {
    let told = transcript(&root(), &["explain", "examples/curlew", "house-fuse"]);
    assert!(
        told.contains("smallest standard rating that carries it"),
        "{told}"
    );
    assert!(
        told.contains("Local codes rule") && told.ends_with("exit 0\n"),
        "{told}"
    );
    let args = ["explain", "examples/curlew", "house-1", "--format", "json"];
    let json = transcript(&root(), &args);
    assert!(json.contains("\"tag\": \"from memory\""), "{json}");
    let told = transcript(&root(), &["explain", "examples/curlew", "fresh-pmup"]);
    expect![[r#"
        stderr: ampwright: the plan has no mark, run, part or place called fresh-pmup; did you mean fresh-pump?
        exit 2
    "#]].assert_eq(&told);
    let told = transcript(&root(), &["explain", "examples/curlew", "cabin-negative"]);
    assert!(told.contains("through it, in"), "{told}");
    let told = transcript(&root(), &["explain", "no-such.boat", "x"]);
    assert!(
        told.contains("no-such.boat") && told.ends_with("exit 2\n"),
        "{told}"
    );
    // A word by itself is explained as ever.
    assert!(transcript(&root(), &["explain", "fuse"]).starts_with("fuse, a kind of thing"));
}

/// The keys that the README names, each in its place and no others.
#[test]
fn an_unfolding_as_json_has_the_keys_that_are_written_down() {
    let keys = |value: &Value| -> Vec<String> {
        let map = value.as_object().expect("an object");
        map.keys().cloned().collect()
    };
    let list = |value: &Value, key: &str| value[key].as_array().expect("a list").clone();
    let args = ["explain", "examples/curlew", "house-1", "--format", "json"];
    let printed = program(&root())
        .args(args)
        .output()
        .expect("it runs")
        .stdout;
    let document: Value = serde_json::from_slice(&printed).expect("one document");
    assert_eq!(keys(&document), ["caution", "things"]);
    for thing in list(&document, "things") {
        assert_eq!(keys(&thing), ["sections", "title"]);
        for section in list(&thing, "sections") {
            assert_eq!(keys(&section), ["steps", "title"]);
            for step in list(&section, "steps") {
                let all = ["cited", "formula", "found", "value", "what", "worked"];
                assert_eq!(keys(&step), all);
                for cited in list(&step, "cited") {
                    assert_eq!(keys(&cited), ["source", "tag"]);
                }
            }
        }
    }
}
