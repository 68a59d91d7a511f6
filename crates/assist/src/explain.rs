//! A finding's code or a word of the notation, explained at length.

use ampwright_notation::{
    suggest,
    table::{self, Entry, Role},
};
use ampwright_plan::registry::{self, Code};

use crate::doc::{Doc, Line};

/// What there is to say of a code or word.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Explained {
    /// All that is known.
    Known(Doc),
    /// Nothing; the nearest word that is known, where one is near.
    Unknown(Option<&'static str>),
}

/// Explains a code or a word.
pub fn explain(word: &str) -> Explained {
    let word = word.trim();
    let mut doc = finding(word).unwrap_or_default();
    for entry in table::explain(word) {
        say(&mut doc, &entry);
    }
    if !doc.is_empty() {
        return Explained::Known(doc);
    }
    let codes = registry::REGISTRY.iter().map(|entry| entry.word);
    Explained::Unknown(suggest::nearest(word, codes.chain(table::every_word())))
}

/// A finding: what it says, why, by which rule, what mends it.
pub fn finding(word: &str) -> Option<Doc> {
    let entry = Code::from_word(word)?.entry();
    let mut doc = Doc::default();
    doc.heading(Line::default().code(entry.word).text(format!(
        ", {} of the family {}",
        entry.severity.word(),
        entry.family.word()
    )));
    doc.say(entry.title);
    doc.say(entry.why);
    doc.say(
        Line::default()
            .strong("Rule")
            .text(format!(": {}", with_tag(entry.rule, entry.tag))),
    );
    doc.say(
        Line::default()
            .strong("What mends it")
            .text(format!(": {}", entry.mend)),
    );
    Some(doc)
}

fn with_tag(rule: &str, tag: &str) -> String {
    let end = if rule.ends_with('.') { "" } else { "." };
    match crate::phrase::tag(tag) {
        "" => format!("{rule}{end}"),
        words => format!("{} ({words}).", rule.trim_end_matches('.')),
    }
}

fn say(doc: &mut Doc, entry: &Entry) {
    let of = |kinds: &[ampwright_notation::Kind]| {
        let words: Vec<&str> = kinds.iter().map(|kind| kind.word()).collect();
        words.join(", ")
    };
    let role = match &entry.role {
        Role::Kind(_) => "a kind of thing".to_owned(),
        Role::Fact(_, kinds) => format!("a fact of {}", of(kinds)),
        Role::Choice(_, kinds) => format!("a choice of {}", of(kinds)),
        Role::Line => "a word of a line".to_owned(),
        Role::Unit => "a unit".to_owned(),
        Role::Colour => "a colour".to_owned(),
    };
    doc.heading(Line::default().code(entry.word).text(format!(", {role}")));
    doc.say(format!("{}.", entry.meaning.trim_end_matches('.')));
    if !entry.default.is_empty() && entry.default != "not so" {
        doc.say(format!(
            "Where it is not said: {}.",
            crate::hover::with_tag_in_words(&entry.default)
        ));
    }
    if entry.pattern != entry.word && !entry.pattern.is_empty() {
        doc.code(&*entry.pattern);
    }
    if let Role::Kind(kind) = entry.role {
        facts(doc, kind);
    }
}

/// The facts of a kind, those it needs first.
fn facts(doc: &mut Doc, kind: ampwright_notation::Kind) {
    let needed = |row: &&table::FactRow| row.need != table::Need::Optional;
    let row = |row: &'static table::FactRow| {
        let must = if needed(&row) { ", needed" } else { "" };
        Line::default()
            .code(row.pattern())
            .text(format!("{must}: {}", row.help))
    };
    let rows: Vec<&table::FactRow> = kind.row().facts().collect();
    let (first, rest): (Vec<_>, Vec<_>) = rows.into_iter().partition(needed);
    doc.list(first.into_iter().chain(rest).map(row).collect());
}

#[cfg(test)]
mod tests {
    use ampwright_plan::registry::REGISTRY;
    use expect_test::{Expect, expect};

    use super::{Explained, explain};

    fn check(word: &str, expected: &Expect) {
        match explain(word) {
            Explained::Known(doc) => expected.assert_eq(&doc.plain()),
            Explained::Unknown(near) => expected.assert_eq(&format!("unknown, near {near:?}")),
        }
    }

    #[test]
    fn a_finding_a_word_and_a_slip() {
        check(
            "excess-drop",
            &expect![[r#"
            excess-drop, warning of the family conductors

            Too much voltage is lost on the way.

            Lamps dim, pumps slow down, motors burn out, and the battery seems empty while it is half full.

            Rule: the rule set's drop limit (two quotations).

            What mends it: A larger or shorter conductor."#]],
        );
        check(
            "class-t",
            &expect![[r#"
            class-t, a choice of fuse

            a fast, sealed fuse that can stop the huge fault current of a lithium bank."#]],
        );
        check(
            "shunt",
            &expect![[r#"
            shunt, a kind of thing

            a measured resistance in the negative by which a battery monitor counts amperes.

                shunt monitor-shunt 500 A

            - A, needed: the current it is made for
            - V: the volts across it at that current
            - in NAME: the place where it stands
            - like NAME: takes over every fact of the other part that is not said again, its place too, but never `allow`, `spare`, a title or ways
            - spare: is on board but not wired yet, on purpose"#]],
        );
        check("busbra", &expect![[r#"unknown, near Some("busbar")"#]]);
        check(
            "excess-drip",
            &expect![[r#"unknown, near Some("excess-drop")"#]],
        );
        check("qwertyuiop", &expect!["unknown, near None"]);
    }

    #[test]
    fn every_finding_is_explained() {
        for entry in REGISTRY {
            assert!(
                matches!(explain(entry.word), Explained::Known(_)),
                "{}",
                entry.word
            );
        }
    }
}
