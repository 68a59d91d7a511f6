//! Every word of the notation, looked up: what it is and what it means in plain words.

use super::{
    BACK_WORDS, CASE_WORDS, CONDUCTOR_WORDS, FactRow, KindRow, LINE_WORDS, STOP_WORDS, Shape,
    WordRow, kinds,
};
use crate::{
    colour::Basic,
    table::{Key, Kind},
    units::UNITS,
};

/// One meaning of a word.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The word.
    pub word: &'static str,
    /// What the word is.
    pub role: Role,
    /// How it is written: `minimum V`.
    pub pattern: String,
    /// What it means, in plain words.
    pub meaning: String,
    /// What holds where it is not said, with its tag; empty where nothing does.
    pub default: String,
}

/// What a word of the notation is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Role {
    /// A kind of thing.
    Kind(Kind),
    /// A fact of these kinds.
    Fact(Key, Vec<Kind>),
    /// A word that this fact of these kinds may choose.
    Choice(Key, Vec<Kind>),
    /// A word of a run's, a panel's or a case's lines.
    Line,
    /// A unit.
    Unit,
    /// A colour.
    Colour,
}

/// Every meaning of a word; none where the notation has no such word.
pub fn explain(word: &str) -> Vec<Entry> {
    let mut entries = Vec::new();
    for row in kinds() {
        entries.extend((row.word == word).then(|| kind_entry(row)));
    }
    for row in kinds() {
        row.facts()
            .for_each(|fact| add_fact(&mut entries, row.kind, fact, word));
    }
    entries.extend(line_words().filter(|row| row.word == word).map(line_entry));
    entries.extend(unit_entry(word));
    entries.extend(colour_entry(word));
    entries
}

/// Every word that [`explain`] knows, sorted and without repetition: what a slip is compared with.
pub fn every_word() -> Vec<&'static str> {
    let facts = || kinds().flat_map(KindRow::facts);
    let mut words: Vec<&'static str> = kinds()
        .map(|row| row.word)
        .chain(
            facts()
                .map(|fact| fact.word)
                .filter(|word| !word.is_empty()),
        )
        .chain(facts().flat_map(FactRow::choices).map(|choice| choice.word))
        .chain(line_words().map(|row| row.word))
        .chain(UNITS.iter().map(|row| row.ascii))
        .chain(
            Basic::ALL
                .iter()
                .flat_map(|basic| [basic.word(), basic.code()]),
        )
        .collect();
    words.sort_unstable();
    words.dedup();
    words
}

fn line_words() -> impl Iterator<Item = &'static WordRow> {
    LINE_WORDS
        .iter()
        .chain(&CONDUCTOR_WORDS)
        .chain(&BACK_WORDS)
        .chain(&STOP_WORDS)
        .chain(&CASE_WORDS)
}

fn kind_entry(row: &'static KindRow) -> Entry {
    Entry {
        word: row.word,
        role: Role::Kind(row.kind),
        pattern: row.example.to_owned(),
        meaning: row.meaning.to_owned(),
        default: String::new(),
    }
}

/// Adds one kind's fact, or its kind to the entry that says the same of another kind.
fn add_fact(entries: &mut Vec<Entry>, kind: Kind, fact: &'static FactRow, word: &str) {
    let Some(entry) = fact_entry(kind, fact, word) else {
        return;
    };
    let same =
        |other: &&mut Entry| other.meaning == entry.meaning && other.default == entry.default;
    match entries.iter_mut().find(same) {
        Some(Entry {
            role: Role::Fact(_, of) | Role::Choice(_, of),
            ..
        }) => of.push(kind),
        _ => entries.push(entry),
    }
}

fn fact_entry(kind: Kind, fact: &'static FactRow, word: &str) -> Option<Entry> {
    let (word, role, pattern, meaning) = match fact.shape {
        _ if fact.word == word && !word.is_empty() => (
            fact.word,
            Role::Fact(fact.key, vec![kind]),
            fact.pattern(),
            fact.help,
        ),
        Shape::Choice(choices) | Shape::Word(choices) => {
            let choice = choices.iter().find(|choice| choice.word == word)?;
            let pattern = format!("{} {}", fact.word, choice.word)
                .trim_start()
                .to_owned();
            (
                choice.word,
                Role::Choice(fact.key, vec![kind]),
                pattern,
                choice.meaning,
            )
        }
        _ => return None,
    };
    Some(Entry {
        word,
        role,
        pattern,
        meaning: meaning.to_owned(),
        default: fact.default_text(),
    })
}

impl FactRow {
    /// What holds where it is not said, with the tag of its source.
    pub fn default_text(&self) -> String {
        match self.tag {
            "" => self.default.to_owned(),
            tag => format!("{} ({tag})", self.default),
        }
    }
}

fn line_entry(row: &'static WordRow) -> Entry {
    Entry {
        word: row.word,
        role: Role::Line,
        pattern: row.pattern.to_owned(),
        meaning: row.meaning.to_owned(),
        default: String::new(),
    }
}

fn unit_entry(word: &str) -> Option<Entry> {
    let row = UNITS
        .iter()
        .find(|row| row.ascii == word || row.also.contains(&word))?;
    Some(Entry {
        word: row.ascii,
        role: Role::Unit,
        pattern: format!("7 {}", row.ascii),
        meaning: row.meaning.to_owned(),
        default: String::new(),
    })
}

fn colour_entry(word: &str) -> Option<Entry> {
    let basic = Basic::parse(word)?;
    Some(Entry {
        word: basic.word(),
        role: Role::Colour,
        pattern: format!("{} or {}", basic.word(), basic.code()),
        meaning: format!("the colour {}, {} in IEC 60757", basic.word(), basic.code()),
        default: String::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::{Role, every_word, explain};
    use crate::{Key, Kind};

    #[test]
    fn every_word_is_explained() {
        for word in every_word() {
            assert!(!explain(word).is_empty(), "{word}");
        }
        assert!(explain("flux-capacitor").is_empty());
        assert!(explain("").is_empty());
    }

    #[test]
    fn kinds_that_say_the_same_share_an_entry() {
        let entries = explain("two-pole");
        assert_eq!(entries.len(), 1);
        let kinds = vec![Kind::Isolator, Kind::Switch, Kind::Breaker];
        assert_eq!(entries[0].role, Role::Fact(Key::TwoPole, kinds));
    }

    #[test]
    fn a_word_of_several_roles_has_several_entries() {
        let roles: Vec<_> = explain("battery")
            .into_iter()
            .map(|entry| entry.role)
            .collect();
        assert_eq!(roles, [Role::Kind(Kind::Battery), Role::Line]);
    }
}
