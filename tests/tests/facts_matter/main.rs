//! Every fact of the table matters: said otherwise, it changes a finding, a computed value or the
//! summary. What nothing reads yet is listed by name, and the list stays honest both ways.
//!
//! One boat has one thing of each kind; a row says a thing's facts in two ways. What is compared
//! are outcomes alone. That a fact reaches the wiring graph, or is told again on hover, is no use of it.

mod boat;
mod outcomes;
mod rows;

use std::collections::BTreeSet;

use ampwright_notation::{Key, Kind, table::kinds};
use ampwright_plan::Plan;

use boat::{Row, instead, usual};
use outcomes::{finding, outcomes};
use rows::rows;

/// Facts that nothing reads yet, and what will.
const NOT_READ_YET: &[(Kind, Key, &str)] = &[];

/// What makes a row say nothing: its text is not what the table says one may write.
fn slips(plan: &Plan) -> Vec<String> {
    use ampwright_plan::Code;
    let slip = |code| {
        matches!(
            code,
            Code::Syntax
                | Code::UnknownKind
                | Code::UnknownFact
                | Code::WrongUnit
                | Code::MissingFact
                | Code::ImpossibleValue
                | Code::DuplicateName
                | Code::UnknownName
        )
    };
    plan.findings
        .iter()
        .filter(|found| slip(found.code))
        .map(finding)
        .collect()
}

#[test]
fn every_fact_has_one_row() {
    let rows = rows();
    for kind in kinds() {
        for fact in kind.facts() {
            let of = rows
                .iter()
                .filter(|row| (row.kind, row.key) == (kind.kind, fact.key));
            assert_eq!(of.count(), 1, "rows of {} {:?}", kind.word, fact.key);
        }
    }
    let has = |row: &Row| row.kind.fact(row.key).is_some();
    assert!(rows.iter().all(has), "a row of no fact");
}

#[test]
fn every_fact_changes_an_outcome_or_is_listed() {
    let mut silent = BTreeSet::new();
    for row in rows() {
        let (one, other) = (row.plan(&row.one), row.plan(&row.other));
        for plan in [&one, &other] {
            assert!(slips(plan).is_empty(), "{}: {:?}", row.name(), slips(plan));
        }
        if outcomes(&one) == outcomes(&other) {
            silent.insert(row.name());
        }
    }
    let listed = NOT_READ_YET
        .iter()
        .map(|(kind, key, _)| format!("{} {key:?}", kind.word()));
    assert_eq!(
        silent,
        listed.collect(),
        "left: what changes nothing; right: what is listed"
    );
}

/// Only in a boat without faults does a fact show that it makes one.
#[test]
fn the_boat_has_no_fault_of_its_own() {
    let row = instead(Kind::Boat, Key::System, usual(Kind::Boat));
    let plan = row.plan(&row.one);
    let found: Vec<String> = plan.findings.iter().map(finding).collect();
    assert!(found.is_empty(), "{found:#?}");
}
