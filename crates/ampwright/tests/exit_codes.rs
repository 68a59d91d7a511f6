//! Every small boat of the plan's tests, through the real program: an unsafe one fails the check,
//! a sound one passes it, also with its things shuffled and parted over files.
#![allow(clippy::expect_used, reason = "a test that cannot begin has failed")]

use std::{collections::BTreeSet, thread};

use ampwright_plan::{Plan, Severity};

// The same boats, so that what is found in-process and what the program answers cannot part ways.
#[path = "../../plan/tests/adversarial/boats/mod.rs"]
mod boats;
mod support;

use boats::{Boat, RULES, SOUND, UNSAFE};
use support::{Folder, code};

/// Boats are checked a few at a time: most of a run is the program's start.
const AT_ONCE: usize = 4;

/// What is wrong with the answers for some boats, each under every rule set.
fn wrong(
    boats: &[&Boat],
    judge: impl Fn(&Folder, &Boat, &str) -> Option<String> + Sync,
) -> Vec<String> {
    let share = boats.len().div_ceil(AT_ONCE).max(1);
    thread::scope(|scope| {
        let judge = &judge;
        let workers: Vec<_> = boats
            .chunks(share)
            .map(|boats| {
                scope.spawn(move || {
                    let folder = Folder::new();
                    let each = boats
                        .iter()
                        .flat_map(|boat| RULES.map(|rules| (boat, rules)));
                    each.filter_map(|(boat, rules)| {
                        let why = judge(&folder, boat, rules)?;
                        Some(format!("{} under {rules}: {why}", boat.name))
                    })
                    .collect::<Vec<_>>()
                })
            })
            .collect();
        workers
            .into_iter()
            .flat_map(|worker| worker.join().expect("a worker"))
            .collect()
    })
}

/// The program's exit code for the plan in a folder's `plan.boat`.
fn exit(folder: &Folder, fail_on: &str) -> i32 {
    code(&folder.run(&["check", "--fail-on", fail_on, "plan.boat"]))
}

#[test]
fn an_unsafe_boat_fails_the_check() {
    let boats: Vec<&Boat> = UNSAFE.into_iter().flatten().collect();
    let wrong = wrong(&boats, |folder, boat, rules| {
        let text = boat.text(rules);
        let plan = Plan::of_text(&text);
        let worst = plan.findings.iter().map(|finding| finding.severity).max();
        let least = if boat.shows.is_empty() && !boat.advises.is_empty() {
            Severity::Advice
        } else {
            Severity::Warning
        };
        let Some(worst) = worst.filter(|worst| *worst >= least) else {
            return Some(format!("no more than {worst:?}"));
        };
        folder.write("plan.boat", &text);
        let told = exit(folder, worst.word());
        (told != 1).then(|| format!("--fail-on {} exits {told}", worst.word()))
    });
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// A plan's things: each head line with what is indented below it.
fn things(text: &str) -> Vec<String> {
    let mut things: Vec<String> = Vec::new();
    for line in text.lines() {
        match things.last_mut().filter(|_| line.starts_with(' ')) {
            Some(thing) => thing.push_str(line),
            None => things.push(line.to_owned()),
        }
        things.last_mut().expect("just pushed").push('\n');
    }
    things
}

/// An order that is not the text's, the same each time.
fn shuffled(mut things: Vec<String>) -> Vec<String> {
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    for at in (1..things.len()).rev() {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        things.swap(at, (state >> 33) as usize % (at + 1));
    }
    things
}

#[test]
fn a_sound_boat_passes_in_any_order_and_over_several_files() {
    let boats: Vec<&Boat> = SOUND.iter().copied().flatten().collect();
    let wrong = wrong(&boats, |folder, boat, rules| {
        let things = shuffled(things(&boat.text(rules)));
        folder.write("plan.boat", things.concat());
        if exit(folder, "warning") != 0 {
            return Some("shuffled".to_owned());
        }
        let (boat_thing, others): (Vec<_>, Vec<_>) = things
            .into_iter()
            .partition(|thing| thing.starts_with("boat "));
        let (fore, aft) = others.split_at(others.len() / 2);
        folder.write("fore.boat", format!("use \"aft.boat\"\n{}", fore.concat()));
        folder.write("aft.boat", aft.concat());
        let root = format!("{}use \"fore.boat\"\n", boat_thing.concat());
        folder.write("plan.boat", root);
        (exit(folder, "warning") != 0).then(|| "parted over files".to_owned())
    });
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// The shuffle is one, and loses nothing.
#[test]
fn shuffling_moves_things_and_keeps_them() {
    let mut boats = SOUND.iter().copied().flatten();
    let text = boats.next().expect("a sound boat").text("baseline");
    let (before, after) = (things(&text), shuffled(things(&text)));
    assert_ne!(before, after);
    let all = |list: &[String]| list.iter().cloned().collect::<BTreeSet<_>>();
    assert_eq!(all(&before), all(&after));
    assert_eq!(before.concat(), text);
}
