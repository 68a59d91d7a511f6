//! The whole boats with one thing wrong: each mutant gives a finding that its kind must give, or is
//! as sound as before and says by which figures, or stands in a list with its reason.
//!
//! The tables beside this file show what became of every single mutant.

use std::fmt::Write;

use ampwright_plan::Plan;
use ampwright_tests::whole::Whole;
use expect_test::{ExpectFile, expect_file};

mod facts;
mod kinds;
mod sound;

/// A boat with one thing wrong.
pub(crate) struct Mutant {
    /// What was done, for people: unique in its kind.
    pub(crate) what: String,
    pub(crate) boat: Whole,
}

/// What is known of the boat before anything is done to it.
pub(crate) struct Original {
    pub(crate) name: &'static str,
    pub(crate) boat: Whole,
    pub(crate) plan: Plan,
}

/// Why a mutant may be silent, worked out from the plan before and after.
pub(crate) type Sound = fn(&Original, &Mutant, &Plan) -> Option<String>;

/// A kind of mutation.
pub(crate) struct Kind {
    pub(crate) name: &'static str,
    /// Codes of which each mutant must give at least one more than the boat itself.
    pub(crate) shows: &'static [&'static str],
    pub(crate) make: fn(&Original) -> Vec<Mutant>,
    /// The figures by which a mutant is still sound.
    pub(crate) sound: Sound,
    /// Mutants that are silent for another reason: boat, what was done, why.
    pub(crate) silent: &'static [(&'static str, &'static str, &'static str)],
}

pub(crate) fn never(_: &Original, _: &Mutant, _: &Plan) -> Option<String> {
    None
}

/// How many open findings of a code.
fn count(plan: &Plan, code: &str) -> usize {
    let open = plan
        .findings
        .iter()
        .filter(|finding| finding.accepted.is_none());
    open.filter(|finding| finding.code.word() == code).count()
}

fn outcome(original: &Original, kind: &Kind, mutant: &Mutant) -> Result<String, String> {
    let plan = mutant.boat.plan();
    let more = |code: &&&str| count(&plan, code) > count(&original.plan, code);
    let shown: Vec<&str> = kind.shows.iter().filter(more).copied().collect();
    if !shown.is_empty() {
        return Ok(shown.join(" "));
    }
    if let Some(figures) = (kind.sound)(original, mutant, &plan) {
        return Ok(format!("still sound: {figures}"));
    }
    let known = |one: &&(&str, &str, &str)| (one.0, one.1) == (original.name, &*mutant.what);
    match kind.silent.iter().find(known) {
        Some((_, _, why)) => Ok(format!("silent: {why}")),
        None => Err(format!(
            "{}: {}: {}, says {:?}",
            original.name,
            kind.name,
            mutant.what,
            ampwright_tests::look::codes(&plan)
        )),
    }
}

fn check(name: &'static str, table: &ExpectFile) {
    let boat = Whole::read(name);
    let plan = boat.plan();
    let original = Original { name, boat, plan };
    let mut page = String::new();
    let mut silent = Vec::new();
    for kind in kinds::KINDS.iter().chain(facts::KINDS) {
        let _ = writeln!(page, "{}, any of {}", kind.name, kind.shows.join(" "));
        for mutant in (kind.make)(&original) {
            match outcome(&original, kind, &mutant) {
                Ok(told) => {
                    let _ = writeln!(page, "  {}: {told}", mutant.what);
                }
                Err(why) => silent.push(why),
            }
        }
    }
    assert!(silent.is_empty(), "{silent:#?}");
    table.assert_eq(&page);
}

#[test]
fn teal() {
    check("teal", &expect_file!["teal.txt"]);
}

#[test]
fn whimbrel() {
    check("whimbrel", &expect_file!["whimbrel.txt"]);
}

#[test]
fn shoveler() {
    check("shoveler", &expect_file!["shoveler.txt"]);
}

/// A reason for silence that nothing needs any more is taken out.
#[test]
fn every_listed_silence_is_of_a_mutant_that_there_is() {
    for kind in kinds::KINDS.iter().chain(facts::KINDS) {
        for &(name, what, _) in kind.silent {
            let boat = Whole::read(name);
            let plan = boat.plan();
            let original = Original { name, boat, plan };
            let known = (kind.make)(&original)
                .iter()
                .any(|mutant| mutant.what == what);
            assert!(known, "{name}: {}: {what}", kind.name);
        }
    }
}
