//! What no line can see alone: facts that are missing, names that are reserved, and the order of
//! a run's steps.

mod order;

use super::{Draft, facts, thing::Head, trouble};
use crate::{
    flaw::{Code, Flaw},
    table::{FactRow, Key, Kind, Need, Shape},
    tree::{At, Name, Span},
    units::either,
};

/// Adds what is wrong with a thing as a whole.
pub(super) fn check(draft: &mut Draft, head: &Head, text: &str) {
    let Some(kind) = draft.kind else { return };
    let label = head.name.as_ref().map_or(head.kind_span, |name| name.span);
    if let Some(name) = &head.name {
        reserved(draft, kind, name);
    }
    facts::check_ways(&draft.ways, &mut draft.flaws);
    if !draft.is_unsure {
        missing(draft, kind, head, label);
    }
    if kind == Kind::Run {
        order::check(draft, label, text);
    }
}

fn reserved(draft: &mut Draft, kind: Kind, name: &At<Name>) {
    if let Some(message) = trouble::reserved(kind, &name.value) {
        draft
            .flaws
            .push(Flaw::new(Code::ReservedName, name.span, message));
    }
}

/// Facts that must be said and are not; what another thing is `like` may come from there.
fn missing(draft: &mut Draft, kind: Kind, head: &Head, label: Span) {
    if draft.says(Key::Like) {
        return;
    }
    let says = |key: Key| draft.says(key);
    let row = kind.row();
    let mut lacks: Vec<String> = row
        .facts()
        .filter(|fact| fact.need == Need::Needed && !says(fact.key))
        .map(asked)
        .collect();
    let group: Vec<&FactRow> = row
        .facts()
        .filter(|fact| fact.need == Need::OneOf)
        .collect();
    if !group.is_empty() && !group.iter().any(|fact| says(fact.key)) {
        let patterns: Vec<String> = group.iter().map(|fact| fact.pattern()).collect();
        let example = group.first().map_or("", |fact| fact.example);
        lacks.push(format!(
            "{}, such as `{example}`",
            either(patterns.iter().map(String::as_str))
        ));
    }
    if kind == Kind::Panel && draft.ways.is_empty() {
        lacks.push("at least one way, such as `way 1 fuse 5 A`".to_owned());
    }
    if lacks.is_empty() {
        return;
    }
    let forgotten = head
        .name
        .as_ref()
        .is_some_and(|name| trouble::is_choice(kind, &name.value));
    let message = missing_message(kind, &lacks, head.name.as_ref().filter(|_| forgotten));
    draft
        .flaws
        .push(Flaw::new(Code::MissingFact, label, message));
}

fn missing_message(kind: Kind, lacks: &[String], name: Option<&At<Name>>) -> String {
    let what = lacks.join(" and ");
    match name {
        Some(name) => format!(
            "`{}` stands where {} has its name: write a name before it; what is missing is {what}.",
            name.value,
            trouble::a(kind.word())
        ),
        None => format!(
            "{} needs {what}: write it here or on a line below.",
            trouble::sentence(&trouble::a(kind.word()))
        ),
    }
}

/// What to write for a fact that is missing.
fn asked(row: &FactRow) -> String {
    match row.shape {
        Shape::Choice(choices) => {
            format!(
                "{} ({})",
                either(choices.iter().map(|choice| choice.word)),
                row.help
            )
        }
        _ => format!("`{}` ({})", row.example, row.help),
    }
}
