//! Every finding has a plan that shows it and one that is mended by a single step; and the texts
//! of the registry read as sentences.

use std::{collections::BTreeMap, fs, path::PathBuf, sync::Arc};

use ampwright_notation::File;
use ampwright_plan::{
    Code, Finding, Plan, Severity, Sources,
    findings::registry::{Family, REGISTRY},
};

/// Pairs whose mend is more than one line, and why.
const MORE_THAN_ONE_LINE: &[(Code, usize, &str)] = &[(
    Code::ReversedPolarity,
    2,
    "two ends are exchanged, and each stands on its own line",
)];

/// Findings that a pair's mend takes away or brings besides its own, and why.
const BESIDES: &[(Code, Code, &str)] = &[
    (
        Code::NotChecked,
        Code::MissingFact,
        "what is not checked always has a cause with a finding of its own",
    ),
    (
        Code::WayReused,
        Code::CrowdedPost,
        "of three runs under one screw two are left",
    ),
];

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples/findings")
}

fn plan(code: Code, file: &str) -> Plan {
    let folder = folder().join(code.word());
    let read = |name: &str| {
        let text = fs::read_to_string(folder.join(name)).map_err(|why| why.to_string())?;
        Ok(Arc::new(File::parse(&text)))
    };
    Plan::of(Sources::gather(file, &read).unwrap_or_else(|why| {
        panic!("{}/{file}: {why}", code.word());
    }))
}

fn text(code: Code, file: &str) -> String {
    fs::read_to_string(folder().join(code.word()).join(file)).unwrap_or_default()
}

/// How often each finding stands in a plan; what was not checked follows from what is wrong.
fn counted(plan: &Plan, asked: Code) -> BTreeMap<Code, usize> {
    let mut counted = BTreeMap::new();
    for finding in &plan.findings {
        if finding.code != Code::NotChecked || asked == Code::NotChecked {
            *counted.entry(finding.code).or_default() += 1;
        }
    }
    counted
}

fn told(plan: &Plan) -> String {
    let line = |finding: &Finding| format!("{}: {}\n", finding.code.word(), finding.message);
    plan.findings.iter().map(line).collect()
}

/// Lines that differ, where one was changed, added or removed.
fn differing_lines(a: &str, b: &str) -> usize {
    let (a, b): (Vec<&str>, Vec<&str>) = (a.lines().collect(), b.lines().collect());
    if a.len() == b.len() {
        return a.iter().zip(&b).filter(|(a, b)| a != b).count();
    }
    let (short, long) = if a.len() < b.len() { (a, b) } else { (b, a) };
    let same = short.iter().zip(&long).take_while(|(a, b)| a == b).count();
    let added = long.len() - short.len();
    if short[same..] == long[same + added..] {
        added
    } else {
        usize::MAX
    }
}

#[test]
fn every_finding_has_its_pair_and_every_pair_its_finding() {
    for entry in REGISTRY {
        for file in ["shows.boat", "mended.boat"] {
            let path = folder().join(entry.word).join(file);
            assert!(path.is_file(), "{}", path.display());
        }
    }
    for found in fs::read_dir(folder()).unwrap() {
        let name = found.unwrap().file_name().into_string().unwrap();
        assert!(Code::from_word(&name).is_some(), "{name} is no finding");
    }
}

#[test]
fn a_pair_shows_its_finding_and_mends_that_alone() {
    for entry in REGISTRY {
        let (shows, mended) = (
            plan(entry.code, "shows.boat"),
            plan(entry.code, "mended.boat"),
        );
        let mut before = counted(&shows, entry.code);
        let mut after = counted(&mended, entry.code);
        assert!(
            before.remove(&entry.code).is_some(),
            "{} is not shown:\n{}",
            entry.word,
            told(&shows)
        );
        for (_, besides, _) in BESIDES.iter().filter(|(of, ..)| *of == entry.code) {
            before.remove(besides);
            after.remove(besides);
        }
        assert_eq!(
            before,
            after,
            "{}\n{}---\n{}",
            entry.word,
            told(&shows),
            told(&mended)
        );
    }
}

#[test]
fn one_step_mends() {
    for entry in REGISTRY {
        let differ = differing_lines(
            &text(entry.code, "shows.boat"),
            &text(entry.code, "mended.boat"),
        );
        let allowed = MORE_THAN_ONE_LINE
            .iter()
            .find(|(code, ..)| *code == entry.code)
            .map_or(1, |(_, lines, _)| *lines);
        assert_eq!(differ, allowed, "{}", entry.word);
    }
}

#[test]
fn a_mended_plan_has_nothing_above_an_advice() {
    for entry in REGISTRY {
        let mended = plan(entry.code, "mended.boat");
        // What was accepted stays in the report as accepted.
        let left = mended
            .findings
            .iter()
            .filter(|finding| finding.severity > Severity::Advice && finding.accepted.is_none());
        let left: Vec<&str> = left.map(|finding| finding.code.word()).collect();
        assert_eq!(left, [""; 0], "{}", entry.word);
    }
}

/// An edit that a finding offers takes the finding away.
#[test]
fn an_edit_mends_its_own_finding() {
    let mut tried = 0;
    for entry in REGISTRY {
        let shows = plan(entry.code, "shows.boat");
        let text = text(entry.code, "shows.boat");
        for finding in shows.findings.iter().filter(|one| one.code == entry.code) {
            let Some(fix) = finding.fixes.first().filter(|fix| fix.site.file == 0) else {
                continue;
            };
            let mut edited = text.clone();
            edited.replace_range(shows.sources.range(fix.site), &fix.text);
            let after = Plan::of_text(&edited);
            let same = |one: &&Finding| one.code == entry.code;
            assert!(
                after.findings.iter().filter(same).count()
                    < shows.findings.iter().filter(same).count(),
                "{}: {}\n{}",
                entry.word,
                fix.label,
                told(&after)
            );
            tried += 1;
        }
    }
    assert!(tried > 12, "only {tried} pairs offer an edit");
}

#[test]
fn messages_are_one_sentence_for_people() {
    for entry in REGISTRY {
        for finding in &plan(entry.code, "shows.boat").findings {
            let message = &finding.message;
            assert!(message.ends_with(['.', '?']), "{}: {message}", entry.word);
            assert!(!message.contains("  "), "{}: {message}", entry.word);
            assert!(message.chars().count() < 260, "{}: {message}", entry.word);
        }
    }
}

#[test]
fn the_texts_of_the_registry_read_as_sentences() {
    for entry in REGISTRY {
        for (which, text) in [
            ("title", entry.title),
            ("why", entry.why),
            ("mend", entry.mend),
        ] {
            let name = format!("{} {which}", entry.word);
            assert!(text.ends_with('.'), "{name}: {text}");
            assert!(text.len() > 12, "{name}: {text}");
            assert!(
                text.starts_with(|first: char| first.is_uppercase()),
                "{name}: {text}"
            );
            assert!(!text.contains("  ") && text.trim() == text, "{name}");
        }
        assert!(
            !entry.rule.is_empty() && !entry.rule.ends_with('.'),
            "{}",
            entry.word
        );
        let tags = ["S1", "S2", "D", "CP", "M", "-"];
        assert!(tags.contains(&entry.tag), "{}", entry.word);
        if let Some(caution) = entry.caution {
            assert!(caution.ends_with('.'), "{}: {caution}", entry.word);
        }
    }
}

/// What can burn or injure carries the trade's caution.
#[test]
fn what_can_hurt_carries_a_caution() {
    let dangerous = REGISTRY.iter().filter(|entry| {
        entry.family == Family::Protection && entry.severity == Severity::Error
            || matches!(
                entry.code,
                Code::ShortCircuit | Code::UndersizedConductor | Code::BypassedPart
            )
    });
    for entry in dangerous {
        assert!(entry.caution.is_some(), "{}", entry.word);
    }
}

#[test]
fn the_pairs_stand_in_the_written_form() {
    for entry in REGISTRY {
        for file in ["shows.boat", "mended.boat"] {
            let text = text(entry.code, file);
            let written = ampwright_notation::format::format(&File::parse(&text));
            assert_eq!(written, text, "{}/{file}", entry.word);
        }
    }
}
