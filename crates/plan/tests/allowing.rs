//! Allowances: what accepts a finding, how far, and by whom; and what is said of one that does not.

#![allow(
    clippy::expect_used,
    reason = "a fixture that lacks its finding has failed"
)]

use ampwright_plan::{Code, Finding, Plan, findings::registry::Family};

/// A masthead lamp of 2 A at the end of 11.1 m of 1.5 mm²: by the formula 0.0164 x I x L / S
/// (ISO 13297 Annex C, two quotations) 0.0164 x 2 x 22.2 / 1.5 = 0.4854 V, 4.045 %; 3 % are allowed.
const AVOCET: &str = "\
boat avocet
    system 12 V
battery house agm 30 Ah
fuse lamp-fuse blade 5 A
isolator lamp-switch 10 A
load mast-lamp navigation 24 W
run lamp
    house +
    1.5 mm2 red 0.1 m
    lamp-fuse
    1.5 mm2 red 2 m
    lamp-switch
    1.5 mm2 red 9 m
    mast-lamp
    back black to house -
";

/// The plan with an allowance below one of its lines.
fn under(line: &str, allow: &str) -> Plan {
    let text = AVOCET.replace(line, &format!("{line}    {allow}\n"));
    assert!(text.contains(allow), "no {line}");
    Plan::of_text(&text)
}

const BACK: &str = "    back black to house -\n";
const HEAD: &str = "run lamp\n";

fn of(plan: &Plan, code: Code) -> Vec<&Finding> {
    let findings = plan.findings.iter();
    findings.filter(|finding| finding.code == code).collect()
}

/// Every finding as `code: message`, accepted ones marked.
fn told(plan: &Plan) -> Vec<String> {
    let line = |finding: &Finding| {
        let accepted = finding.accepted.as_ref().map(|how| how.words() + ": ");
        format!(
            "{}{}: {}",
            accepted.unwrap_or_default(),
            finding.code.word(),
            finding.message
        )
    };
    plan.findings.iter().map(line).collect()
}

/// The plan's text with an edit done.
fn mended(plan: &Plan, finding: &Finding) -> Plan {
    let fix = finding.fixes.first().expect("an edit");
    let mut text = plan.sources.list[0].file.text();
    text.replace_range(plan.sources.range(fix.site), &fix.text);
    Plan::of_text(&text)
}

#[track_caller]
fn accepts(plan: &Plan) {
    let open: Vec<String> = told(plan)
        .into_iter()
        .filter(|line| !line.starts_with("accepted"))
        .collect();
    assert!(open.is_empty(), "{open:#?}");
    assert!(
        plan.findings.iter().any(|found| found.accepted.is_some()),
        "nothing is accepted"
    );
}

#[track_caller]
fn says(plan: &Plan, code: Code, message: &str) -> Finding {
    let found = of(plan, code);
    assert_eq!(found.len(), 1, "{:#?}", told(plan));
    assert_eq!(found[0].message, message);
    found[0].clone()
}

#[test]
fn an_allowance_accepts_up_to_its_figure() {
    let plan = under(BACK, "allow excess-drop up to 4.1 % \"inside the mast\"");
    accepts(&plan);
    let drop = of(&plan, Code::ExcessDrop)[0];
    let accepted = drop.accepted.as_ref().expect("accepted");
    assert_eq!(accepted.words(), "accepted: inside the mast");
    // On the run's head, and in another spelling of the unit's dimension.
    accepts(&under(
        HEAD,
        "allow excess-drop up to 5 % \"x\" by \"A. Surveyor\"",
    ));
}

#[test]
fn one_that_has_grown_lapses_and_says_both_figures() {
    let plan = under(BACK, "allow excess-drop up to 4 % \"inside the mast\"");
    let lapsed = says(
        &plan,
        Code::LapsedAllowance,
        "excess-drop was accepted up to 4 % and is now 4.05 %: mend it, or have that figure accepted.",
    );
    assert!(of(&plan, Code::ExcessDrop)[0].accepted.is_none());
    assert_eq!(lapsed.fixes[0].text, "4.05 %");
    accepts(&mended(&plan, &lapsed));
    // Who has put a name to 4 % has not put it to more: that is no edit for us to offer.
    let signed = under(BACK, "allow excess-drop up to 4 % \"x\" by \"A. Surveyor\"");
    assert!(of(&signed, Code::LapsedAllowance)[0].fixes.is_empty());
}

/// The figure offered is rounded up: 4.0453 % is shown as 4.05 % and would not be covered by 4.04 %.
#[test]
fn a_figure_that_is_missing_is_offered_so_that_it_accepts() {
    let plan = under(BACK, "allow excess-drop \"inside the mast\"");
    let lapsed = says(
        &plan,
        Code::LapsedAllowance,
        "excess-drop is 4.05 % here: say how far it is accepted, as in up to 4.05 %.",
    );
    accepts(&mended(&plan, &lapsed));
    let shorter = AVOCET.replace("9 m", "8.98 m");
    let text = shorter.replace(BACK, &format!("{BACK}    allow excess-drop \"x\"\n"));
    let plan = Plan::of_text(&text);
    // 0.0164 x 2 x 22.16 / 1.5 / 12 = 4.0380 %, which people read as 4.04 %.
    accepts(&mended(&plan, of(&plan, Code::LapsedAllowance)[0]));
}

#[test]
fn the_figure_s_unit_has_to_fit() {
    let plan = under(BACK, "allow excess-drop up to 0.6 V \"inside the mast\"");
    let lapsed = says(
        &plan,
        Code::LapsedAllowance,
        "excess-drop is measured in %, and is 4.05 % here: say in that how far it is accepted, as in up to 4.05 %.",
    );
    accepts(&mended(&plan, &lapsed));
    let plan = under(BACK, "allow excess-drop up to 5 \"inside the mast\"");
    accepts(&mended(&plan, of(&plan, Code::LapsedAllowance)[0]));
}

/// 0.75 mm² where 1 mm² is the least: the smaller, the worse. `up to` is down to.
#[test]
fn what_is_too_little_lapses_when_it_shrinks() {
    let thin = |size: &str, allow: &str| {
        Plan::of_text(&AVOCET.replace(
            "    1.5 mm2 red 2 m\n",
            &format!("    {size} red 2 m\n    {allow}\n"),
        ))
    };
    let open = |plan: &Plan| {
        let found = of(plan, Code::BelowMinimumSize);
        found.iter().filter(|one| one.accepted.is_none()).count()
    };
    let allow = "allow below-minimum-size up to 0.75 mm2 \"a pigtail\"";
    assert_eq!(open(&thin("0.75 mm2", allow)), 0);
    assert_eq!(open(&thin("0.5 mm2", allow)), 1);
    // An American gauge is a size as well: 18 AWG is 0.823 mm².
    let gauge = "allow below-minimum-size up to 18 AWG \"a pigtail\"";
    assert_eq!(open(&thin("0.75 mm2", gauge)), 1);
    let plan = thin("0.75 mm2", "allow below-minimum-size \"a pigtail\"");
    let mended = mended(&plan, of(&plan, Code::LapsedAllowance)[0]);
    assert_eq!(open(&mended), 0);
}

/// What is counted is accepted by a count, which has no unit.
#[test]
fn a_count_is_accepted_by_a_count() {
    let bar = |allow: &str| {
        Plan::of_text(&format!(
            "boat b system 12 V\nbattery house agm 30 Ah\nfuse f blade 5 A\nisolator i 10 A\n\
             busbar bar negative posts 1\n    {allow}\nload lamp lighting 1 A\n\
             run a\n    house +\n    1.5 mm2 red 0.1 m\n    f\n    1.5 mm2 red 1 m\n    i\n    1.5 mm2 red 1 m\n    lamp\n    back to bar\n\
             run b\n    bar\n    1.5 mm2 black 1 m\n    house -\n"
        ))
    };
    accepts(&bar(
        "allow bus-overflow up to 2 \"two rings on one screw\"",
    ));
    let lapsed = bar("allow bus-overflow \"two rings on one screw\"");
    let fix = &of(&lapsed, Code::LapsedAllowance)[0].fixes[0];
    assert_eq!(fix.text, " up to 2");
    accepts(&mended(&lapsed, of(&lapsed, Code::LapsedAllowance)[0]));
    let wrong = bar("allow bus-overflow up to 2 A \"two rings on one screw\"");
    accepts(&mended(&wrong, of(&wrong, Code::LapsedAllowance)[0]));
}

#[test]
fn protection_needs_a_name_and_nobody_s_is_offered() {
    let far = AVOCET.replace(
        "    1.5 mm2 red 0.1 m\n",
        "    1.5 mm2 red 1.5 m\n    ALLOW\n",
    );
    let plan = |allow: &str| Plan::of_text(&far.replace("ALLOW", allow));
    let unsigned = plan("allow unfused-run up to 2 m \"in conduit\"");
    let lapsed = says(
        &unsigned,
        Code::LapsedAllowance,
        "unfused-run is a matter of protection: say who accepted it, as in by \"name\".",
    );
    assert!(lapsed.fixes.is_empty());
    assert!(of(&unsigned, Code::UnfusedRun)[0].accepted.is_none());
    let bare = plan("allow unfused-run \"in conduit\"");
    says(
        &bare,
        Code::LapsedAllowance,
        "unfused-run is a matter of protection: say who accepted it, as in by \"name\" and how far, as in up to 1.5 m.",
    );
    let signed = plan("allow unfused-run up to 2 m \"in conduit\" by \"A. Surveyor\"");
    let accepted = of(&signed, Code::UnfusedRun)[0].accepted.clone();
    assert_eq!(
        accepted.expect("accepted").words(),
        "accepted by A. Surveyor: in conduit"
    );
    // In feet, which is a length as well: 5 ft are 1.524 m.
    let feet = plan("allow unfused-run up to 5 ft \"in conduit\" by \"A. Surveyor\"");
    assert!(of(&feet, Code::UnfusedRun)[0].accepted.is_some());
}

#[test]
fn one_that_accepts_nothing_is_found() {
    let plan = under(
        "    1.5 mm2 red 2 m\n",
        "allow fuse-below-load up to 6 A \"x\" by \"y\"",
    );
    let unused = says(
        &plan,
        Code::UnusedAllowance,
        "Nothing here is fuse-below-load any more: take the line out.",
    );
    let mended = mended(&plan, &unused);
    assert!(of(&mended, Code::UnusedAllowance).is_empty());
}

/// The drop is laid to the longest piece. An allowance under another step, or on the load, is led there.
#[test]
fn one_whose_finding_stands_elsewhere_is_led_to_it() {
    for line in ["    1.5 mm2 red 2 m\n", "load mast-lamp navigation 24 W\n"] {
        let plan = under(line, "allow excess-drop up to 5 % \"inside the mast\"");
        let unused = says(
            &plan,
            Code::UnusedAllowance,
            "Nothing here is excess-drop any more, but \"back black to house -\" is: move this line to it, if that is what was accepted.",
        );
        assert_eq!(unused.related.len(), 1);
        assert!(of(&plan, Code::ExcessDrop)[0].accepted.is_none());
    }
}

#[test]
fn of_two_that_speak_of_one_finding_the_second_is_needless() {
    let twice = "allow excess-drop up to 5 % \"a\"\n    allow excess-drop up to 5 % \"b\"";
    let plan = under(BACK, twice);
    says(
        &plan,
        Code::UnusedAllowance,
        "Another line accepts excess-drop here already: take this one out.",
    );
    // The nearer one counts; where it has lapsed, the run's own may still hold.
    let text = AVOCET
        .replace(
            HEAD,
            &format!("{HEAD}    allow excess-drop up to 5 % \"run\"\n"),
        )
        .replace(
            BACK,
            &format!("{BACK}    allow excess-drop up to 4 % \"step\"\n"),
        );
    let plan = Plan::of_text(&text);
    let accepted = of(&plan, Code::ExcessDrop)[0].accepted.clone();
    assert_eq!(accepted.expect("accepted").reason, "run");
    assert!(of(&plan, Code::LapsedAllowance).is_empty());
    let text = text.replace("up to 4 %", "up to 4.5 %");
    let accepted = of(&Plan::of_text(&text), Code::ExcessDrop)[0]
        .accepted
        .clone();
    assert_eq!(accepted.expect("accepted").reason, "step");
}

/// Two ways of one panel, both over their fuse: the panel's allowance covers both, up to the worse.
#[test]
fn one_allowance_covers_every_finding_of_its_code_on_its_thing() {
    let panel = |allow: &str| {
        Plan::of_text(&format!(
            "boat b system 12 V\nbattery house agm 30 Ah\nfuse main blade 40 A\nisolator i 100 A\n\
             panel p\n    way 1 fuse 5 A\n    way 2 fuse 5 A\n    returns neg\n    {allow}\n\
             busbar neg negative posts 6\nload one lighting 6 A\nload two lighting 7 A\n\
             run feed\n    house +\n    6 mm2 red 0.1 m\n    main\n    6 mm2 red 1 m\n    i\n    6 mm2 red 1 m\n    p\n\
             run return\n    neg\n    6 mm2 black 1 m\n    house -\n\
             run one\n    p way 1\n    2.5 mm2 red 1 m\n    one\n    back black\n\
             run two\n    p way 2\n    2.5 mm2 red 1 m\n    two\n    back black\n"
        ))
    };
    let accepted = |plan: &Plan| {
        let found = of(plan, Code::FuseBelowLoad);
        assert_eq!(found.len(), 2);
        found.iter().filter(|one| one.accepted.is_some()).count()
    };
    let by = "\"while the larger fuses come\" by \"owner\"";
    assert_eq!(
        accepted(&panel(&format!("allow fuse-below-load up to 7 A {by}"))),
        2
    );
    let between = panel(&format!("allow fuse-below-load up to 6.5 A {by}"));
    assert_eq!(accepted(&between), 1);
    says(
        &between,
        Code::LapsedAllowance,
        "fuse-below-load was accepted up to 6.5 A and is now 7 A: mend it, or have that figure accepted.",
    );
    let none = panel(&format!("allow fuse-below-load {by}"));
    let lapsed = of(&none, Code::LapsedAllowance);
    assert_eq!(lapsed.len(), 1, "one line, one finding");
    assert_eq!(lapsed[0].fixes[0].text, " up to 7 A");
    assert_eq!(accepted(&mended(&none, lapsed[0])), 2);
}

#[test]
fn what_is_not_read_is_not_accepted() {
    let plan = under(
        "load mast-lamp navigation 24 W\n",
        "allow unknown-fact \"mine\"\n    polished",
    );
    let found = of(&plan, Code::LapsedAllowance);
    assert_eq!(found.len(), 1, "{:#?}", told(&plan));
    assert!(
        found[0]
            .message
            .starts_with("unknown-fact cannot be accepted"),
        "{}",
        found[0].message
    );
    for finding in of(&plan, Code::UnknownFact) {
        assert!(finding.accepted.is_none());
    }
}

#[test]
fn a_figure_for_what_measures_nothing_goes() {
    let text = AVOCET.to_owned()
        + "load lost lighting 1 A\n    allow unwired-part up to 3 m \"in the spring\"\n";
    let plan = Plan::of_text(&text);
    let lapsed = says(
        &plan,
        Code::LapsedAllowance,
        "unwired-part measures nothing that could grow: take the figure out.",
    );
    let mended = mended(&plan, &lapsed);
    assert!(of(&mended, Code::UnwiredPart)[0].accepted.is_some());
}

#[test]
fn like_takes_over_no_allowance() {
    let text = AVOCET.to_owned()
        + "load lost lighting 1 A\n    allow unwired-part \"in the spring\"\nload other like lost\n";
    let plan = Plan::of_text(&text);
    let accepted: Vec<bool> = of(&plan, Code::UnwiredPart)
        .iter()
        .map(|finding| finding.accepted.is_some())
        .collect();
    assert_eq!(accepted, [true, false]);
}

/// With a gap in the plan the finding may only be withheld: the line that accepts it stays.
#[test]
fn nothing_is_called_unused_while_the_plan_has_a_gap() {
    let text = AVOCET.replace("    lamp-switch\n", "    lamp-swich\n");
    let text = text.replace(
        BACK,
        &format!("{BACK}    allow excess-drop up to 5 % \"x\"\n"),
    );
    let plan = Plan::of_text(&text);
    assert!(!of(&plan, Code::UnknownName).is_empty());
    assert!(of(&plan, Code::UnusedAllowance).is_empty());
}

#[test]
fn a_slip_in_the_code_gets_the_nearest() {
    let plan = under(BACK, "allow excess-drip up to 5 % \"x\"");
    let slip = says(
        &plan,
        Code::UnknownName,
        "There is no finding called excess-drip; did you mean excess-drop?",
    );
    accepts(&mended(&plan, &slip));
}

/// Figures that no boat has stay harmless.
#[test]
fn absurd_figures_are_harmless() {
    for load in ["1e300 W", "0 W", "1e12 A"] {
        for up_to in ["", "up to 1e300 %", "up to 0 %", "up to 4000000000"] {
            let text = AVOCET.replace("24 W", load).replace(
                BACK,
                &format!("{BACK}    allow excess-drop {up_to} \"x\"\n"),
            );
            let plan = Plan::of_text(&text);
            for finding in of(&plan, Code::LapsedAllowance) {
                assert!(finding.message.len() < 300, "{}", finding.message);
            }
        }
    }
}

#[test]
fn very_many_allowances_are_held_in_one_go() {
    let many = "    allow excess-drop up to 3 % \"again\"\n".repeat(3_000);
    let text = AVOCET.replace(BACK, &format!("{BACK}{many}"));
    let plan = Plan::of_text(&text);
    assert!(of(&plan, Code::ExcessDrop)[0].accepted.is_none());
}

/// Every finding can be accepted by a line that its own lapse would offer, but those of the text.
#[test]
fn every_figure_of_the_examples_can_be_accepted() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/findings");
    for entry in ampwright_plan::findings::registry::REGISTRY {
        let path = folder.join(entry.word).join("shows.boat");
        let Ok(text) = std::fs::read_to_string(path) else {
            continue;
        };
        let plan = Plan::of_text(&text);
        let protection = entry.family == Family::Protection;
        for finding in of(&plan, entry.code) {
            let Some(figure) = finding.figure else {
                continue;
            };
            let written = figure.written().expect("a figure to write");
            let by = if protection {
                " by \"A. Surveyor\""
            } else {
                ""
            };
            let allow = format!("allow {} up to {written} \"x\"{by}", entry.word);
            let end = plan.sources.range(finding.site).end;
            let line = text[end..].find('\n').map_or(text.len(), |at| end + at + 1);
            let mut with = text.clone();
            with.insert_str(line, &format!("    {allow}\n"));
            let plan = Plan::of_text(&with);
            let found = of(&plan, entry.code);
            assert!(
                found.iter().any(|found| found.accepted.is_some()),
                "{allow}: {:#?}",
                told(&plan)
            );
        }
    }
}
