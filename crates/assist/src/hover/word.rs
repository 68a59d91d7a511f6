//! Words of the notation: what they mean in the trade.

use ampwright_notation::{
    Key, Kind,
    table::{self, Entry, Role},
    tree::{Arg, Fact},
};
use ampwright_plan::Plan;

use crate::doc::{Doc, Line};

/// What a word means; where it means several things, first what it means to this kind.
pub(crate) fn word(word: &str, kind: Option<Kind>) -> Option<Doc> {
    let entries = table::explain(word);
    let fits = |entry: &&Entry| match (&entry.role, kind) {
        (Role::Fact(_, kinds) | Role::Choice(_, kinds), Some(kind)) => kinds.contains(&kind),
        (Role::Kind(own), Some(kind)) => *own == kind,
        _ => true,
    };
    let entry = entries.iter().find(fits).or_else(|| entries.first())?;
    let mut doc = Doc::default();
    say(&mut doc, entry);
    Some(doc)
}

/// One meaning of a word.
fn say(doc: &mut Doc, entry: &Entry) {
    doc.say(
        Line::default()
            .code(entry.word)
            .text(format!(": {}.", entry.meaning.trim_end_matches('.'))),
    );
    let first = entry.pattern.lines().next().unwrap_or_default();
    if first != entry.word && !first.is_empty() && entry.role != Role::Colour {
        doc.say(Line::from("Written ").code(first).text("."));
    }
    if !entry.default.is_empty() && entry.default != "not so" {
        doc.say(format!(
            "Where it is not said: {}.",
            with_tag_in_words(&entry.default)
        ));
    }
}

/// `30 C (S2)` as "30 C (two quotations)".
pub(crate) fn with_tag_in_words(text: &str) -> String {
    let tagged = text
        .strip_suffix(')')
        .and_then(|rest| rest.rsplit_once(" ("));
    match tagged {
        Some((rest, tag)) if !crate::phrase::tag(tag).is_empty() => {
            format!("{rest} ({})", crate::phrase::tag(tag))
        }
        _ => text.to_owned(),
    }
}

/// A fact: what it says, the word it chose, its number in other units.
pub(super) fn fact(plan: &Plan, kind: Kind, fact: &Fact, under: &str) -> Doc {
    let mut doc = Doc::default();
    if let Some(row) = kind.fact(fact.key) {
        doc.say(
            Line::default()
                .code(row.pattern())
                .text(format!(": {}.", row.help.trim_end_matches('.'))),
        );
        let chosen = fact.word().or_else(|| row.choice(under));
        let choice = row
            .choices()
            .iter()
            .find(|choice| Some(choice.word) == chosen);
        if let Some(choice) = choice {
            doc.say(
                Line::default()
                    .code(choice.word)
                    .text(format!(": {}.", choice.meaning.trim_end_matches('.'))),
            );
        }
        if !row.tag.is_empty() {
            doc.say(format!(
                "Where it is not said: {} ({}).",
                row.default,
                crate::phrase::tag(row.tag)
            ));
        }
    }
    for arg in &fact.args {
        match arg {
            Arg::Quantity(quantity) if draws(kind, fact.key) => {
                doc.join(super::quantity::drawn(plan, &quantity.value));
            }
            Arg::Quantity(quantity) => doc.join(super::quantity::doc(&quantity.value)),
            Arg::Size(size) => doc.join(super::quantity::size(size.value)),
            _ => {}
        }
    }
    doc
}

/// Whether a fact says what is drawn at the boat's voltage: elsewhere amperes times volts mean
/// nothing, as for a fuse's breaking capacity or a panel's short circuit.
const fn draws(kind: Kind, key: Key) -> bool {
    matches!(kind, Kind::Load | Kind::Socket | Kind::Inverter)
        && matches!(key, Key::Amps | Key::Watts)
}
