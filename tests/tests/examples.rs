//! The whole boats of `examples/` and the small plans beside these tests: what each must and must
//! not show. The plans that each show one finding are run elsewhere.

#![allow(
    clippy::unwrap_used,
    reason = "an example that cannot be read has failed"
)]

use std::path::{Path, PathBuf};

use ampwright_notation::{File, format};
use ampwright_plan::{Severity, wiring::Way};
use ampwright_tests::look::{codes, conductor, plan_of};

/// Boats that a newcomer reads first.
const SOUND: [&str; 6] = [
    "examples/curlew/curlew.boat",
    "examples/first-light.boat",
    "examples/skerry.boat",
    "examples/teal/teal.boat",
    "examples/whimbrel/whimbrel.boat",
    "examples/shoveler/shoveler.boat",
];

#[test]
fn sound_boats_carry_no_error_and_no_warning() {
    for path in SOUND {
        let plan = plan_of(path);
        let grave: Vec<_> = plan
            .findings
            .iter()
            .filter(|finding| finding.severity > Severity::Advice)
            .map(|finding| {
                (
                    finding.code.word(),
                    plan.sources.words(finding.site),
                    &finding.message,
                )
            })
            .collect();
        assert!(grave.is_empty(), "{path}: {grave:#?}");
    }
}

/// Curlew is what the notation is taught with: nothing is left to say about her.
#[test]
fn curlew_leaves_nothing_to_say() {
    assert_eq!(codes(&plan_of("examples/curlew/curlew.boat")), [""; 0]);
    assert_eq!(codes(&plan_of("examples/first-light.boat")), [""; 0]);
}

#[test]
fn examples_are_in_the_written_form() {
    let root = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/.."));
    let mut seen = 0;
    for path in boats(&root.join("examples"))
        .into_iter()
        .chain(boats(&root.join("tests/plans")))
    {
        // What shows a reading finding may be written as badly as it has to be.
        if path.components().any(|part| part.as_os_str() == "findings") {
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        assert_eq!(
            format::format(&File::parse(&text)),
            text,
            "{}",
            path.display()
        );
        seen += 1;
    }
    assert!(seen >= 22, "only {seen} files");
}

fn boats(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(boats(&path));
        } else if path.extension().is_some_and(|end| end == "boat") {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// Common practice, no source: a small boat as they are wired everywhere. Nothing in it is worth
/// an error or a warning; with the main device at the far end of the long run something is.
#[test]
fn a_device_moved_to_the_far_end_is_an_error() {
    assert_eq!(codes(&plan_of("tests/plans/dunlin.boat")), [""; 0]);
    let plan = plan_of("tests/plans/dunlin-fuse-far.boat");
    assert_eq!(codes(&plan), ["error unfused-run"]);
    let finding = &plan.findings[0];
    assert_eq!(plan.sources.words(finding.site), "10 mm2 red 0.45 m");
    // 0.45 + 3.85 m lie between the battery and the fuse that should stand at the battery.
    assert!(finding.message.contains("4.3 m"), "{}", finding.message);
    let beside: Vec<_> = finding
        .related
        .iter()
        .map(|related| plan.sources.words(related.site))
        .collect();
    assert_eq!(beside, ["main-fuse", "10 mm2 red 3.85 m"]);
}

/// Every circuit of every sound boat has a way home of its own, and every fuse stands before what
/// it protects.
#[test]
fn in_a_sound_boat_every_conductor_is_answered_for() {
    for path in SOUND.into_iter().chain(["tests/plans/dunlin.boat"]) {
        let plan = plan_of(path);
        let protection = &plan.study.protection;
        for (index, conductor) in plan.wiring.conductors.iter().enumerate() {
            let live = protection.sustained[index].is_some();
            let mark = &conductor.mark;
            assert!(
                live || plan.study.base.home[conductor.from.index()].is_some(),
                "{path}: {mark}"
            );
            let cable = &plan.study.cables[index];
            let may = cable.ampacity.as_ref().expect("a size").value.0;
            assert!(cable.design.amps <= may, "{path}: {mark}");
        }
    }
}

#[test]
fn the_bilge_pump_goes_round_the_isolator_behind_its_own_fuse() {
    let plan = plan_of("examples/curlew/curlew.boat");
    let after_fuse = conductor(&plan, "bilge+2");
    assert_eq!(plan.wiring.conductors[after_fuse].way, Way::Out);
    let sustained = plan.study.protection.sustained[after_fuse].expect("live");
    assert!((sustained.amps - 10.0).abs() < 1e-9);
}

/// Whole boats: whatever is left to say of one is accepted there, with a reason.
#[test]
fn what_is_said_of_a_whole_boat_is_accepted_with_a_reason() {
    for path in SOUND {
        let plan = plan_of(path);
        let open = plan.findings.iter().filter(|one| one.accepted.is_none());
        let open: Vec<_> = open.map(|one| (one.code.word(), &one.message)).collect();
        assert!(open.is_empty(), "{path}: {open:#?}");
    }
}
