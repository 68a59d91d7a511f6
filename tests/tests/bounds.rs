//! Bad plans: each is answered with findings, never with a panic or a hang, and the same each time.
//!
//! What a plan claims may be absurd; what comes of it is a number, a finding, or both.

use std::sync::Arc;

use ampwright_notation::File;
use ampwright_plan::{Code, Finding, Plan, Sources};
use proptest::prelude::*;

/// A sound circuit, to which each test does its harm.
const SOUND: &str = "\
boat b system 12 V
battery house agm 30 Ah
fuse f blade 10 A
load lamp lighting 24 W
run lamp
    house +
    2.5 mm2 0.1 m
    f
    2.5 mm2 4 m
    lamp
    back to house -
";

/// Everything that anybody asks of a plan, and its findings.
fn asked(plan: &Plan) -> Vec<String> {
    for moment in 0..plan.study.rule.moments.len() {
        let _ = plan.as_wired(moment);
    }
    for draw in (0..plan.wiring.draws.len()).take(MOST_ASKED) {
        let _ = plan.as_wired_alone(draw as u32);
    }
    let summary = ampwright_assist::summary::summary(plan).doc().plain();
    let mut said: Vec<String> = plan.findings.iter().map(said).collect();
    said.push(summary);
    let no_number = |line: &&String| line.contains("NaN") || line.contains("inf ");
    assert_eq!(said.iter().find(no_number), None);
    assert!(said.iter().all(|line| line.len() < LONGEST), "{said:#?}");
    said
}

/// Bytes of what is said at once: a summary names the moments, a finding the things beside it.
const LONGEST: usize = 20_000;

/// Of very many loads these few are asked for one by one.
const MOST_ASKED: usize = 20;

fn said(finding: &Finding) -> String {
    format!(
        "{:?} {} {} {}",
        finding.site,
        finding.severity.word(),
        finding.code.word(),
        finding.message
    )
}

fn has(plan: &Plan, code: Code) -> bool {
    plan.findings.iter().any(|finding| finding.code == code)
}

/// The sound circuit with some words of it replaced.
fn harmed(from: &str, to: &str) -> Plan {
    let text = SOUND.replace(from, to);
    assert_ne!(text, SOUND, "no {from}");
    let plan = Plan::of_text(&text);
    asked(&plan);
    plan
}

#[test]
fn the_circuit_is_sound_before_it_is_harmed() {
    let plan = Plan::of_text(SOUND);
    let codes: Vec<&str> = plan
        .findings
        .iter()
        .map(|found| found.code.word())
        .collect();
    assert_eq!(codes, ["no-isolator"]);
}

#[test]
fn nothing_at_all() {
    for text in [
        "",
        "\n",
        "    \n\t\n",
        "#",
        "\u{feff}",
        "boat",
        "run",
        "run r\n    back\n",
        "\0",
    ] {
        asked(&Plan::of_text(text));
    }
}

#[test]
fn no_source() {
    let plan = harmed("battery house agm 30 Ah", "joint house poles 2");
    asked(&plan);
    let plan = Plan::of_text(
        "boat b system 12 V\nload l 5 A\nload m 5 A\nrun r\n    l +\n    2.5 mm2 1 m\n    m +\n",
    );
    asked(&plan);
    assert!(has(&plan, Code::OpenCircuit));
}

#[test]
fn no_load() {
    asked(&Plan::of_text("boat b system 12 V\nbattery h agm 30 Ah\n"));
}

#[test]
fn a_battery_across_itself() {
    let text = "boat b system 12 V\nbattery h agm 30 Ah resistance 0 ohm\nrun r\n    h +\n    70 mm2 1 m\n    h -\n";
    let plan = Plan::of_text(text);
    asked(&plan);
    assert!(has(&plan, Code::ShortCircuit));
}

/// Rings and meshes without any resistance: panel and bars joined by nothing but contacts.
#[test]
fn loops_without_resistance() {
    let more = "\
isolator a 10 A
isolator b1 10 A
joint p
joint q
run one
    p
    a
    q
run two
    p
    2 parallel 2.5 mm2 0 m
    q
run three
    q
    2.5 mm2 0 mm
    b1
    2.5 mm2 0 mm
    p
    2.5 mm2 0 mm
    p
run four
    house +
    2.5 mm2 0 m
    p
battery twin-1 agm 30 Ah resistance 0 ohm
battery twin-2 lithium 30 Ah resistance 0 ohm
run link-plus
    twin-1 +
    2.5 mm2 0 m
    twin-2 +
run link-minus
    twin-1 -
    2.5 mm2 0 m
    twin-2 -
";
    let plan = Plan::of_text(&format!("{SOUND}{more}"));
    asked(&plan);
}

#[test]
fn figures_beyond_reason() {
    for amps in [
        "1e308 A",
        "1e400 A",
        "0 A",
        "-5 A",
        "99999999999999999999999 A",
    ] {
        harmed("24 W", amps);
        harmed("10 A", amps);
    }
    for volts in ["0 V", "-12 V", "1e-300 V", "1e308 V", "60 V"] {
        harmed("system 12 V", &format!("system {volts}"));
    }
    for metres in ["-4 m", "0 m", "1e308 m", "1e-308 m", "999999999999 m"] {
        harmed("4 m", metres);
    }
    for size in [
        "0 mm2",
        "-1 mm2",
        "1e-9 mm2",
        "1e308 mm2",
        "0000000 AWG",
        "99 AWG",
    ] {
        harmed("2.5 mm2 4", &format!("{size} 4"));
    }
    for hours in ["0 Ah", "1e-300 Ah", "-30 Ah", "1e308 Ah"] {
        harmed("30 Ah", hours);
    }
    for watts in [
        "1e-308 W",
        "1e6 W",
        "0 ohm",
        "1e-308 ohm",
        "1e6 ohm",
        "1000000 x 24 W",
    ] {
        harmed("24 W", watts);
    }
    harmed("2.5 mm2 4", "4294967295 parallel 2.5 mm2 4");
    harmed("2.5 mm2 4 m", "2.5 mm2 4 m bundled 4294967295");
    harmed(
        "battery house",
        "multicore m 4294967295 cores 1 mm2 1 m\nbattery house",
    );
    harmed(
        "battery house",
        "panel p\n    way 4294967295 fuse 5 A\nbattery house",
    );
    harmed(
        "battery house",
        "busbar n negative posts 4294967295\nbattery house",
    );
    harmed(
        "battery house",
        "charger c 10 A outputs 4294967295\nbattery house",
    );
}

#[test]
fn figures_too_large_to_be_read() {
    harmed("4 m\n", "1e400 m\n");
    harmed("back to", "back 1e400 m to");
    harmed("30 Ah", "30 Ah resistance 1e400 ohm");
    let case = "case evening\n    on lamp 1e400 A\n";
    asked(&Plan::of_text(&format!("{SOUND}{case}")));
}

#[test]
fn words_for_no_number() {
    for word in ["NaN", "inf", "-inf", "1e", "0x10", "1.2.3"] {
        let plan = Plan::of_text(&SOUND.replace("24 W", &format!("{word} A")));
        assert!(plan.findings.len() > 1, "{word}");
    }
}

#[test]
fn parts_like_one_another_in_a_circle() {
    let text = "boat b system 12 V\nload a like c\nload b like a\nload c like b\nload d like d\nplace p like q\nplace q like p\ncable x like x\n";
    let plan = Plan::of_text(text);
    asked(&plan);
    assert!(!plan.findings.is_empty());
}

#[test]
fn files_that_use_one_another() {
    let read = |path: &str| {
        let other = if path == "a.boat" { "b.boat" } else { "a.boat" };
        let text = format!("use \"{other}\"\nuse \"{path}\"\nboat b system 12 V\nload l 5 A\n");
        Ok(Arc::new(File::parse(&text)))
    };
    let plan = Plan::of(Sources::gather("a.boat", &read).expect("the root is there"));
    assert!(has(&plan, Code::DuplicateName));
    asked(&plan);
}

/// As many as nobody writes, to find what grows faster than the text.
const VERY_MANY: usize = 100_000;

#[test]
fn a_thing_very_many_times() {
    let lines = "load lamp lighting 24 W\n".repeat(VERY_MANY);
    let plan = Plan::of_text(&format!("{SOUND}{lines}"));
    let twice = plan
        .findings
        .iter()
        .filter(|found| found.code == Code::DuplicateName);
    assert_eq!(twice.count(), VERY_MANY);
    asked(&plan);
}

#[test]
fn a_fact_very_many_times() {
    let facts = "    minimum 11 V\n".repeat(VERY_MANY);
    let plan = Plan::of_text(&SOUND.replace("24 W\n", &format!("24 W\n{facts}")));
    assert!(!plan.findings.is_empty());
    asked(&plan);
}

#[test]
fn a_run_of_very_many_stops() {
    let stops = "    tee\n    2.5 mm2 1 m\n".repeat(VERY_MANY);
    let text = SOUND.replace("    lamp\n", &format!("{stops}    lamp\n"));
    asked(&Plan::of_text(&format!("{text}joint tee\n")));
}

/// A chain of joints as long, each a part of its own, with a lamp at its end.
#[test]
fn a_chain_of_very_many_parts() {
    use std::fmt::Write as _;
    let (mut joints, mut stops) = (String::new(), String::new());
    for at in 0..VERY_MANY / 5 {
        let _ = writeln!(joints, "joint j{at}");
        let _ = writeln!(stops, "    j{at}\n    2.5 mm2 0.01 m");
    }
    let text = SOUND.replace("    lamp\n", &format!("{stops}    lamp\n"));
    let plan = Plan::of_text(&format!("{text}{joints}"));
    assert!(plan.wiring.conductors.len() > VERY_MANY / 5);
    asked(&plan);
}

#[test]
fn very_many_things_like_the_one_before() {
    use std::fmt::Write as _;
    let mut text = SOUND.to_owned();
    for at in 0..VERY_MANY / 10 {
        let before = if at == 0 {
            "lamp".to_owned()
        } else {
            format!("l{}", at - 1)
        };
        let _ = writeln!(text, "load l{at} like {before}");
    }
    asked(&Plan::of_text(&text));
}

/// The files of the larger example, its root first.
const CURLEW: [(&str, &str); 5] = [
    (
        "curlew.boat",
        include_str!("../../examples/curlew/curlew.boat"),
    ),
    (
        "cabin.boat",
        include_str!("../../examples/curlew/cabin.boat"),
    ),
    (
        "lights.boat",
        include_str!("../../examples/curlew/lights.boat"),
    ),
    (
        "solar.boat",
        include_str!("../../examples/curlew/solar.boat"),
    ),
    (
        "water.boat",
        include_str!("../../examples/curlew/water.boat"),
    ),
];

#[test]
fn the_example_is_whole_before_it_is_harmed() {
    let plan = plan_of(&CURLEW.map(|(name, text)| (name, text.to_owned())));
    assert!(plan.sources.unusable.is_empty() && plan.sources.list.len() == CURLEW.len());
}

/// One harm that a hand or a merge does to a text.
#[derive(Clone, Debug)]
enum Harm {
    Delete(usize, usize),
    Repeat(usize, usize),
    Cut(usize),
    SwapLines(usize, usize),
}

impl Harm {
    fn of(&self, text: &str) -> String {
        match *self {
            Self::Delete(at, length) => {
                let (at, to) = span(text, at, length);
                format!("{}{}", &text[..at], &text[to..])
            }
            Self::Repeat(at, length) => {
                let (at, to) = span(text, at, length);
                format!("{}{}", &text[..to], &text[at..])
            }
            Self::Cut(at) => text[..span(text, at, 0).0].to_owned(),
            Self::SwapLines(one, other) => {
                let mut lines: Vec<&str> = text.split_inclusive('\n').collect();
                let count = lines.len().max(1);
                if !lines.is_empty() {
                    lines.swap(one % count, other % count);
                }
                lines.concat()
            }
        }
    }
}

/// A span of a text, drawn back to where characters begin.
fn span(text: &str, at: usize, length: usize) -> (usize, usize) {
    let at = at % (text.len() + 1);
    let from = text.floor_char_boundary(at);
    (
        from,
        text.floor_char_boundary((from + length).min(text.len())),
    )
}

fn harm() -> impl Strategy<Value = Harm> {
    let (at, length) = (any::<usize>(), 0usize..80);
    prop_oneof![
        (at, length.clone()).prop_map(|(at, length)| Harm::Delete(at, length)),
        (at, length).prop_map(|(at, length)| Harm::Repeat(at, length)),
        at.prop_map(Harm::Cut),
        (at, at).prop_map(|(one, other)| Harm::SwapLines(one, other)),
    ]
}

fn plan_of(files: &[(&str, String)]) -> Plan {
    let read = |path: &str| {
        let file = files.iter().find(|(name, _)| *name == path);
        file.map(|(_, text)| Arc::new(File::parse(text)))
            .ok_or_else(|| format!("no {path}"))
    };
    let sources = Sources::gather(CURLEW[0].0, &read);
    Plan::of(sources.unwrap_or_else(|why| panic!("{why}")))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_harmed_plan_is_answered_and_the_same_each_time(
        harms in prop::collection::vec((any::<prop::sample::Index>(), harm()), 1..8),
    ) {
        let mut files = CURLEW.map(|(name, text)| (name, text.to_owned()));
        for (file, harm) in &harms {
            let at = file.index(files.len());
            let text = &mut files[at].1;
            *text = harm.of(text);
        }
        prop_assert_eq!(asked(&plan_of(&files)), asked(&plan_of(&files)));
    }
}
