//! `check` as a reader meets it.
#![allow(clippy::needless_raw_string_hashes)] // snapshots, as their tool writes them

mod support;

use expect_test::expect;
use support::{Folder, SOUND, code, root, transcript};

#[test]
fn a_sound_boat_in_full() {
    expect![[r#"
        Curlew, 12 V

        Rules: published figures only. Of the 72 figures that this plan rests on 6 are from memory; a limit among them makes no more than an advice.

        No findings.

        moment      loads together           worst drop
        evening             14.7 A    fresh-pump 5.04 %
        night               8.67 A     bilge-pump 1.6 %
        passage             11.1 A  cabin-lights 2.23 %
        noon                 4.5 A  refrigerator 1.45 %
        everything          22.3 A    fresh-pump 5.33 %

        Of 7 loads the nearest to its limit is tricolour: 0.203 V lost, 1.69 %, in passage.

        - Main feed of cabin-panel: 18.3 A in everything, 0.181 V lost there and back, 1.5 %

        - Bank house-1, house-2: 200 Ah at 12 V, 50 % of it usable (common practice), 2.3 days at anchor

        - solar-controller: 200 W × 95 % / 12 V = 15.8 A, limited to its own 15 A, for 3 h: 45 Ah a day

        A day takes 43.4 Ah and puts 45 Ah back.

        7 defaults used where the plan says nothing, 14 times in all.

        This plan is computed from what is written in it. Local codes rule, and a licensed or competent person checks the work before it is live.
        exit 0
    "#]].assert_eq(&transcript(&root(), &["check", "examples/curlew"]));
}

#[test]
fn a_missing_fuse_is_underlined_and_its_fuse_pointed_at() {
    expect![[r#"
        error[unfused-run]: No fuse or breaker stands between first + and this conductor, which reaches 0.45 m from it; within 0.178 m of the post there has to be one. main-fuse stands 4.3 m from the post: move it to within 0.178 m.
          --> tests/plans/dunlin-fuse-far.boat:44:5
           |
        44 |     10 mm2 red 0.45 m
           |     ^^^^^^^^^^^^^^^^^
        45 |     main-isolator
        46 |     10 mm2 red 3.85 m
           |     ----------------- nothing protects this either
           |
          ::: tests/plans/dunlin-fuse-far.boat:14:6
           |
        14 | fuse main-fuse bolt-down 50 A
           |      --------- the nearest device

        Dunlin, 12 V

        Rules: published figures only. Of the 45 figures that this plan rests on 4 are from memory: distance from the post that is an advice, inner resistance of agm batteries, slowest opening of a bolt-down fuse at 6 times its rating, slowest opening of a panel's fuse at 10 times its rating.

        Findings: 1 error, no warnings, no advices.

        moment      loads together         worst drop
        everything          6.92 A  water-pump 2.49 %

        Of 4 loads the nearest to its limit is anchor-light: 0.121 V lost, 1.01 %, in everything.

        - Main feed of panel: 6.92 A in everything, 0.102 V lost there and back, 0.85 %

        - Bank first, second: 180 Ah at 12 V, 50 % of it usable (common practice)

        4 loads do not say how long they run in a day.

        6 defaults used where the plan says nothing, 12 times in all.

        More about a finding: ampwright explain unfused-run

        This plan is computed from what is written in it. Local codes rule, and a licensed or competent person checks the work before it is live.
        exit 1
    "#]].assert_eq(&transcript(&root(), &["check", "tests/plans/dunlin-fuse-far.boat"]));
}

#[test]
fn several_plans_have_a_line_each() {
    expect![[r#"
        examples/first-light.boat: no findings
        examples/skerry.boat: no findings
        advice[excess-drop]: On the way to tricolour and back 0.483 V are lost in everything, 4.02 %; 3 % are allowed, and this conductor loses the most.
          --> tests/plans/curlew-domestic.boat:84:5
           |
        84 |     back core 3 of mast-cable to deck-plug pole 3
           |     ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^
           |
          ::: tests/plans/curlew-domestic.boat:76:6
           |
        76 | load tricolour navigation 10 W
           |      --------- tricolour loses 4.02 %

        tests/plans/curlew-domestic.boat: 1 piece of advice
        error[unfused-run]: No fuse or breaker stands between first + and this conductor, which reaches 0.45 m from it; within 0.178 m of the post there has to be one. main-fuse stands 4.3 m from the post: move it to within 0.178 m.
          --> tests/plans/dunlin-fuse-far.boat:44:5
           |
        44 |     10 mm2 red 0.45 m
           |     ^^^^^^^^^^^^^^^^^
        45 |     main-isolator
        46 |     10 mm2 red 3.85 m
           |     ----------------- nothing protects this either
           |
          ::: tests/plans/dunlin-fuse-far.boat:14:6
           |
        14 | fuse main-fuse bolt-down 50 A
           |      --------- the nearest device

        tests/plans/dunlin-fuse-far.boat: 1 error
        tests/plans/dunlin.boat: no findings
        advice[unequal-share]: one gives 36 A of the 100 A that its bank gives in everything, and its share by ampere-hours is 25 A: it wears out before the others.
          --> tests/plans/four-batteries.boat:12:9
           |
        12 | battery one agm 100 Ah
           |         ^^^
        13 |     resistance 20 mohm
        14 | battery two like one
           |         --- gives 26.1 A
        15 | battery three like one
           |         ----- gives 20.3 A
        16 | battery four like one
           |         ---- gives 17.6 A

        tests/plans/four-batteries.boat: 1 piece of advice

        More about a finding: ampwright explain unfused-run

        This plan is computed from what is written in it. Local codes rule, and a licensed or competent person checks the work before it is live.
        exit 1
    "#]].assert_eq(&transcript(&root(), &["check", "examples/first-light.boat", "examples/skerry.boat", "tests/plans"]));
}

#[test]
fn one_line_a_finding() {
    expect![[r#"
        tests/plans/curlew-domestic.boat:84:5: advice: On the way to tricolour and back 0.483 V are lost in everything, 4.02 %; 3 % are allowed, and this conductor loses the most. [excess-drop]
        tests/plans/dunlin-fuse-far.boat:44:5: error: No fuse or breaker stands between first + and this conductor, which reaches 0.45 m from it; within 0.178 m of the post there has to be one. main-fuse stands 4.3 m from the post: move it to within 0.178 m. [unfused-run]
        tests/plans/four-batteries.boat:12:9: advice: one gives 36 A of the 100 A that its bank gives in everything, and its share by ampere-hours is 25 A: it wears out before the others. [unequal-share]
        exit 1
    "#]].assert_eq(&transcript(&root(), &["check", "--format", "plain", "tests/plans"]));
}

#[test]
fn json_is_one_document_and_the_same_every_time() {
    let args = [
        "check",
        "--format",
        "json",
        "tests/plans",
        "examples/curlew",
    ];
    let first = support::program(&root()).args(args).output().unwrap();
    assert_eq!(
        first.stdout,
        support::program(&root())
            .args(args)
            .output()
            .unwrap()
            .stdout
    );
    let document: serde_json::Value = serde_json::from_slice(&first.stdout).unwrap();
    let plans = document["plans"].as_array().unwrap();
    assert_eq!(plans[0]["plan"], "examples/curlew/curlew.boat");
    assert_eq!(plans[0]["files"].as_array().unwrap().len(), 5);
    let far = plans
        .iter()
        .find(|plan| plan["plan"] == "tests/plans/dunlin-fuse-far.boat")
        .unwrap();
    assert_eq!(far["counts"]["error"], 1);
    let finding = &far["findings"][0];
    assert_eq!(finding["code"], "unfused-run");
    let text = std::fs::read_to_string(root().join("tests/plans/dunlin-fuse-far.boat")).unwrap();
    let bytes = |end: usize| finding["at"]["bytes"][end].as_u64().unwrap() as usize;
    assert_eq!(&text[bytes(0)..bytes(1)], "10 mm2 red 0.45 m");
    assert_eq!(
        finding["at"]["start"],
        serde_json::json!({ "line": 44, "column": 5 })
    );
    assert!(
        document["caution"]
            .as_str()
            .unwrap()
            .contains("competent person")
    );
}

#[test]
fn the_exit_code_follows_the_severity_that_fails() {
    // One advice, and nothing graver.
    let plan = "tests/plans/curlew-domestic.boat";
    let exit = |args: &[&str]| {
        let output = support::program(&root())
            .arg("check")
            .args(args)
            .output()
            .unwrap();
        code(&output)
    };
    assert_eq!(exit(&[plan]), 0);
    assert_eq!(exit(&[plan, "--fail-on", "warning"]), 0);
    assert_eq!(exit(&[plan, "--fail-on", "advice"]), 1);
    let far = "tests/plans/dunlin-fuse-far.boat";
    assert_eq!(exit(&[far, "--fail-on", "error"]), 1);
    assert_eq!(exit(&["no-such.boat"]), 2);
    assert_eq!(exit(&[far, "no-such.boat"]), 2);
}

#[test]
fn what_is_accepted_is_shown_and_does_not_fail() {
    let accepted = std::fs::read_to_string(root().join("tests/plans/dunlin-fuse-far.boat"))
        .unwrap()
        .replace(
            "    10 mm2 red 0.45 m\n",
            "    10 mm2 red 0.45 m\n    allow unfused-run up to 4.5 m \"in conduit all the way\" by \"the surveyor\"\n",
        );
    let folder = Folder::with(&[("far.boat", &accepted)]);
    let told = folder.transcript(&["check", "far.boat"]);
    expect![[r#"
        accepted error[unfused-run]: No fuse or breaker stands between first + and this conductor, which reaches 0.45 m from it; within 0.178 m of the post there has to be one. main-fuse stands 4.3 m from the post: move it to within 0.178 m.
          --> far.boat:44:5
           |
        44 |     10 mm2 red 0.45 m
           |     ^^^^^^^^^^^^^^^^^
        ...
        47 |     10 mm2 red 3.85 m
           |     ----------------- nothing protects this either
           |
          ::: far.boat:14:6
           |
        14 | fuse main-fuse bolt-down 50 A
           |      --------- the nearest device
           |
           = note: accepted by the surveyor: in conduit all the way"#]].assert_eq(&told[..told.find("\n\n").unwrap()]);
    assert!(told.ends_with("exit 0\n"), "{told}");
    let plain = folder.transcript(&["check", "--format", "plain", "far.boat"]);
    assert!(
        plain.starts_with("far.boat:44:5: accepted error: "),
        "{plain}"
    );
    let end = " (accepted by the surveyor: in conduit all the way) [unfused-run]\nexit 0\n";
    assert!(plain.ends_with(end), "{plain}");
    let json = folder.transcript(&["check", "--format", "json", "far.boat"]);
    for said in [
        "\"accepted\": 1",
        "\"by\": \"the surveyor\"",
        "\"reason\": \"in conduit all the way\"",
    ] {
        assert!(json.contains(said), "{said}: {json}");
    }
    let summary = "- unfused-run on run main, 4.3 m where 0.178 m are allowed, accepted by the surveyor: in conduit all the way\n";
    assert!(told.contains(summary), "{told}");
}

/// What has grown past its figure fails like the finding itself, and so does a line without a name.
#[test]
fn what_is_accepted_no_more_fails_again() {
    let far = std::fs::read_to_string(root().join("tests/plans/dunlin-fuse-far.boat")).unwrap();
    let told = |allow: &str| {
        let line = "    10 mm2 red 0.45 m\n";
        let text = far.replace(line, &format!("{line}    {allow}\n"));
        let folder = Folder::with(&[("far.boat", &text)]);
        folder.transcript(&["check", "--format", "plain", "far.boat"])
    };
    let lapsed = told("allow unfused-run up to 4 m \"in conduit\" by \"the surveyor\"");
    assert!(
        lapsed.contains(
            "warning: unfused-run was accepted up to 4 m and is now 4.3 m: mend it, or have that figure accepted. [lapsed-allowance]"
        ),
        "{lapsed}"
    );
    assert!(lapsed.contains(":44:5: error: "), "{lapsed}");
    assert!(lapsed.ends_with("exit 1\n"), "{lapsed}");
    assert!(told("allow unfused-run up to 5 m \"in conduit\"").ends_with("exit 1\n"));
    // An advice by itself fails only where it is asked for.
    let unused = told("allow excess-drop up to 1 % \"x\"");
    assert!(
        unused.contains("advice: Nothing here is excess-drop"),
        "{unused}"
    );
}

#[test]
fn colour_only_where_it_is_wanted() {
    let run = |args: &[&str], no_color: &str| {
        let mut command = support::program(&root());
        command
            .args(["check", "tests/plans/dunlin-fuse-far.boat"])
            .args(args);
        if !no_color.is_empty() {
            command.env("NO_COLOR", no_color);
        }
        String::from_utf8(command.output().unwrap().stdout).unwrap()
    };
    assert!(
        !run(&[], "").contains('\u{1b}'),
        "not where the output is no terminal"
    );
    assert!(run(&["--color", "always"], "").contains("\u{1b}["));
    assert!(
        run(&["--color", "always"], "1").contains("\u{1b}["),
        "what is asked for wins"
    );
    assert!(!run(&["--color", "never"], "").contains('\u{1b}'));
}

#[test]
fn files_without_a_boat_are_parts() {
    let folder = Folder::with(&[
        ("a.boat", &format!("{SOUND}\nuse \"part.boat\"\n")),
        ("part.boat", "place locker\n"),
        ("left-over.boat", "place attic\n"),
        ("slip.boat", "baot b\n"),
        (".hidden/b.boat", SOUND),
        ("deep/down/c.boat", SOUND),
    ]);
    expect![[r#"
        a.boat: no findings
        deep/down/c.boat: no findings
        error[unknown-kind]: `baot` is no kind of thing; did you mean `boat`?
         --> slip.boat:1:1
          |
        1 | baot b
          | ^^^^

        slip.boat: 1 error
        left-over.boat: part of no plan, and so not checked: no boat in it, and no plan here uses it

        More about a finding: ampwright explain unknown-kind

        This plan is computed from what is written in it. Local codes rule, and a licensed or competent person checks the work before it is live.
        exit 1
    "#]].assert_eq(&folder.transcript(&["check", "."]));
    // Asked for by itself, a part is checked in the plan beside it that uses it.
    let told = folder.transcript(&["check", "--format", "json", "part.boat"]);
    assert!(told.contains("\"plan\": \"a.boat\""), "{told}");
}

#[test]
fn an_empty_folder_and_a_missing_file_are_said() {
    let folder = Folder::new();
    expect![[r#"
        .: cannot be read: there is no .boat file in it
        gone.boat: cannot be read: there is no such file
        exit 2
    "#]]
    .assert_eq(&folder.transcript(&["check", ".", "gone.boat"]));
}
