//! Facts that a thing still lacks, and what follows each fact's word.

use ampwright_notation::{
    Key, Kind,
    table::{FactRow, Need, Shape, Space},
    units::Dimension,
};

use super::{
    List, What, fit,
    line::Word,
    rank::{FITS, NEEDED, POSSIBLE, RARE, USUAL},
};

impl List<'_> {
    /// What may follow these words of a thing's facts.
    pub(super) fn facts(&mut self, kind: Kind, words: &[Word<'_>]) {
        let Some(last) = words.last() else {
            return self.lacking(kind);
        };
        if last.is_number() {
            return self.behind_number(kind, words);
        }
        match kind
            .fact_of_word(last.text)
            .filter(|row| row.word == last.text && !row.word.is_empty())
        {
            Some(row) => self.value_of(kind, row),
            None => self.lacking(kind),
        }
    }

    /// Every fact that is not said yet, those that are needed first.
    fn lacking(&mut self, kind: Kind) {
        let said = |row: &FactRow| {
            self.line.thing.is_some_and(|thing| {
                let excluded = |fact: &ampwright_notation::tree::Fact| {
                    row.group != 0
                        && kind
                            .fact(fact.key)
                            .is_some_and(|other| other.group == row.group)
                };
                !row.repeats && (thing.has(row.key) || thing.facts.iter().any(excluded))
            })
        };
        let rows: Vec<&'static FactRow> = kind.row().facts().filter(|row| !said(row)).collect();
        for row in rows {
            self.fact(kind, row);
        }
        match kind {
            Kind::Panel => self.next_way(),
            Kind::Boat | Kind::Use => return,
            _ => {}
        }
        self.add_word("allow", RARE, "accepts a finding on purpose");
    }

    fn fact(&mut self, kind: Kind, row: &'static FactRow) {
        let rank = match (row.need, row.key) {
            (Need::Needed | Need::OneOf, _) => NEEDED,
            (Need::Optional, Key::Like | Key::Spare) => RARE,
            (Need::Optional, Key::In) => USUAL,
            (Need::Optional, _) => POSSIBLE,
        };
        match row.shape {
            Shape::Choice(choices) => {
                for choice in choices {
                    let about = format!("fact:{}:{}", kind.word(), choice.word);
                    self.add(choice.word, What::Word, rank, choice.meaning, about);
                }
            }
            Shape::Bare(Dimension::Current) if matches!(kind, Kind::Fuse | Kind::Breaker) => {
                self.ratings(rank, None);
            }
            Shape::Bare(_) | Shape::CountBefore => self.add_value(row.example, rank, row.help),
            Shape::BareSize => self.sizes("", rank),
            Shape::BareName => self.names(Space::Cable, rank),
            _ => {
                let about = format!("fact:{}:{}", kind.word(), row.word);
                self.add(row.word, What::Fact, rank, row.help, about);
            }
        }
    }

    /// What follows a fact's word.
    fn value_of(&mut self, kind: Kind, row: &'static FactRow) {
        let example = row
            .example
            .strip_prefix(row.word)
            .unwrap_or_default()
            .trim();
        match row.shape {
            Shape::Flag | Shape::CountBefore => self.lacking(kind),
            Shape::Word(choices) => {
                for choice in choices {
                    let about = format!("fact:{}:{}", kind.word(), choice.word);
                    self.add(choice.word, What::Word, FITS, choice.meaning, about);
                }
            }
            Shape::Name(space) => self.named(kind, row.key, space),
            Shape::Positions => {
                for word in ["off", "1", "2", "both"] {
                    self.add_word(word, FITS, "a position of the selector");
                }
            }
            Shape::Size | Shape::SizeAmps => self.sizes("", FITS),
            Shape::Quantity(Dimension::Potential) if row.key == Key::System => {
                for volts in ["12 V", "24 V", "48 V"] {
                    self.add_value(volts, FITS, row.help);
                }
            }
            Shape::Maybe(_) => {
                self.add_value(example, FITS, row.help);
                self.lacking(kind);
            }
            _ if example.is_empty() => {}
            _ => self.add_value(example, FITS, row.help),
        }
    }

    /// Units, and the words that stand behind a count.
    fn behind_number(&mut self, kind: Kind, words: &[Word<'_>]) {
        let [before @ .., _] = words else { return };
        let row = before
            .iter()
            .rev()
            .find(|word| !word.is_number())
            .and_then(|word| kind.fact_of_word(word.text));
        let directly = before.last().is_some_and(|word| !word.is_number());
        match row.filter(|_| directly).map(|row| (row, row.shape)) {
            Some((row, Shape::Quantity(dimension) | Shape::Maybe(dimension)))
                if !row.word.is_empty() =>
            {
                self.units(dimension, NEEDED);
            }
            Some((_, Shape::Size | Shape::SizeAmps)) => self.units(Dimension::Section, NEEDED),
            Some((_, Shape::AmpsTime)) => self.units(Dimension::Current, NEEDED),
            Some((_, Shape::Count)) => {}
            _ => self.bare_units(kind),
        }
    }

    /// The units of the bare facts that are not said yet.
    fn bare_units(&mut self, kind: Kind) {
        for row in kind.row().facts() {
            let said = self.line.thing.is_some_and(|thing| thing.has(row.key));
            match row.shape {
                Shape::CountBefore if !said => self.add_word(row.word, NEEDED, row.help),
                _ => {
                    if let Some(dimension) = row.bare_dimension() {
                        self.units(dimension, if said { POSSIBLE } else { NEEDED });
                    }
                }
            }
        }
    }

    /// The units of a dimension, the usual one first.
    pub(super) fn units(&mut self, dimension: Dimension, rank: u32) {
        for (index, row) in dimension.units().enumerate() {
            let about = format!("word:{}", row.ascii);
            self.add(
                row.ascii,
                What::Unit,
                rank + index as u32,
                row.meaning,
                about,
            );
        }
    }

    /// The names of a space.
    pub(super) fn names(&mut self, space: Space, rank: u32) {
        let (list, sort) = match space {
            Space::Place => (&self.plan.model.places, "place"),
            Space::Cable => (&self.plan.model.cables, "cable"),
            _ => return,
        };
        let own = self
            .line
            .thing
            .and_then(|thing| thing.name.as_ref())
            .map(|name| &*name.value);
        for named in list.list.iter().filter(|named| Some(&*named.name) != own) {
            self.add(
                &*named.name,
                What::Name,
                rank,
                sort,
                format!("{sort}:{}", named.name),
            );
        }
    }

    /// The names that a fact may give: of the same kind for `like`, a negative bar for `returns`.
    fn named(&mut self, kind: Kind, key: Key, space: Space) {
        if space != Space::Part || !kind.is_part() {
            let space = if key == Key::Like {
                kind.row().space
            } else {
                space
            };
            return self.names(space, FITS);
        }
        let own = self
            .line
            .thing
            .and_then(|thing| thing.name.as_ref())
            .map(|name| name.value.clone());
        let fits = |id, of: Kind| match key {
            Key::Like => of == kind,
            Key::Earthed => of == Kind::Block,
            Key::Returns => of == Kind::Busbar && fit::is_negative(self.plan, id),
            _ => true,
        };
        let found: Vec<_> = self
            .plan
            .model
            .ids()
            .filter(|(id, part)| fits(*id, part.kind) && Some(&part.name) != own.as_ref())
            .map(|(_, part)| (part.name.clone(), part.kind.word()))
            .collect();
        for (name, word) in found {
            self.add(&*name, What::Name, FITS, word, format!("part:{name}"));
        }
    }
}
