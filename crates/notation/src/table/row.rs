//! What one row of the table says, and how a row is written down.

use super::{Key, Kind};
use crate::units::Dimension;

/// All about one kind of thing.
#[derive(Debug)]
pub struct KindRow {
    /// The kind.
    pub kind: Kind,
    /// The word at the margin.
    pub word: &'static str,
    /// What it is in the trade, for someone who is no electrician.
    pub meaning: &'static str,
    /// Whose names its name must differ from.
    pub space: Space,
    /// Its own facts; [`KindRow::facts`] adds those of every part.
    pub facts: &'static [FactRow],
    /// The facts it shares with other kinds.
    pub shared: &'static [FactRow],
    /// A thing of this kind, as one would write it.
    pub example: &'static str,
}

impl KindRow {
    /// Every fact of the kind, its own ones first.
    pub fn facts(&self) -> impl Iterator<Item = &'static FactRow> + use<> {
        self.facts.iter().chain(self.shared)
    }
}

/// A name space: two things of one space never share a name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Space {
    /// The boat; there is one.
    Boat,
    /// A file, named by its path.
    File,
    /// Parts, multicores among them.
    Part,
    /// Places.
    Place,
    /// Cables.
    Cable,
    /// Runs.
    Run,
    /// Cases.
    Case,
}

/// All about one fact of one kind.
#[derive(Debug)]
pub struct FactRow {
    /// The fact.
    pub key: Key,
    /// The word that begins it; empty for a bare value.
    pub word: &'static str,
    /// What follows the word.
    pub shape: Shape,
    /// Whether the thing must say it.
    pub need: Need,
    /// What holds where it is not said.
    pub default: &'static str,
    /// Where that default comes from: `S1` and `S2` published, `D` derived from published values,
    /// `CP` common practice, `M` from memory; empty where the default is plain logic.
    pub tag: &'static str,
    /// What its number may be, in the base unit.
    pub range: Range,
    /// What it says, in plain words.
    pub help: &'static str,
    /// The fact as one would write it.
    pub example: &'static str,
    /// Facts of one group other than 0 exclude each other.
    pub group: u8,
    /// Whether it may be said more than once.
    pub repeats: bool,
}

/// What follows a fact's word.
#[derive(Clone, Copy, Debug)]
pub enum Shape {
    /// Nothing: the word says it all.
    Flag,
    /// A quantity without a word, told by its unit.
    Bare(Dimension),
    /// A conductor size without a word.
    BareSize,
    /// A cable's name without a word.
    BareName,
    /// One of these words, without a word before it.
    Choice(&'static [Choice]),
    /// A quantity.
    Quantity(Dimension),
    /// A quantity, or nothing.
    Maybe(Dimension),
    /// A whole number.
    Count,
    /// A whole number that stands before the word: `3 cores`.
    CountBefore,
    /// One of these words.
    Word(&'static [Choice]),
    /// The name of a thing of this space.
    Name(Space),
    /// A conductor size.
    Size,
    /// A conductor size and a current.
    SizeAmps,
    /// A whole number and a current.
    CountAmps,
    /// A selector's positions.
    Positions,
    /// A current, and a time where one is said.
    AmpsTime,
}

/// A word that a fact may choose.
#[derive(Debug)]
pub struct Choice {
    /// The word.
    pub word: &'static str,
    /// What it means, in plain words.
    pub meaning: &'static str,
}

/// Whether a fact must be said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// It has a default.
    Optional,
    /// It must be said.
    Needed,
    /// It, or another fact that says so, must be said.
    OneOf,
}

/// What a number may be, in the base unit of its dimension.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// The least.
    pub min: f64,
    /// The most.
    pub max: f64,
    /// Whether `min` itself is too little.
    pub above: bool,
}

impl Range {
    /// Whether a value is in it; never for what is not a number.
    pub fn holds(&self, value: f64) -> bool {
        let low = if self.above {
            value > self.min
        } else {
            value >= self.min
        };
        low && value <= self.max
    }

    /// What a number of this dimension may be where its fact says nothing narrower.
    pub const fn usual(dimension: Dimension) -> Self {
        match dimension {
            Dimension::Potential | Dimension::Length | Dimension::Section => over(0.0, 1_000.0),
            Dimension::Current => over(0.0, 10_000.0),
            Dimension::Power | Dimension::Energy | Dimension::Opening => over(0.0, 1e6),
            Dimension::Resistance => from(0.0, 1e6),
            Dimension::Charge => over(0.0, 100_000.0),
            Dimension::Temperature => from(-60.0, 125.0),
            Dimension::Time => over(0.0, 86_400.0),
            Dimension::Percent => from(0.0, 100.0),
            Dimension::Daily => from(0.0, 24.0),
        }
    }
}

/// A range above a value, which itself is too little.
pub(super) const fn over(min: f64, max: f64) -> Range {
    Range {
        min,
        max,
        above: true,
    }
}

/// A range from a value.
pub(super) const fn from(min: f64, max: f64) -> Range {
    Range {
        min,
        max,
        above: false,
    }
}

/// The most of anything that is counted: a boat with more is a slip of the finger.
const MOST: f64 = 1_000.0;

impl FactRow {
    pub(super) const fn new(
        key: Key,
        word: &'static str,
        shape: Shape,
        example: &'static str,
        help: &'static str,
    ) -> Self {
        let range = match shape {
            Shape::Bare(dimension) | Shape::Quantity(dimension) | Shape::Maybe(dimension) => {
                Range::usual(dimension)
            }
            Shape::Count | Shape::CountBefore => from(1.0, MOST),
            Shape::SizeAmps | Shape::CountAmps | Shape::AmpsTime => {
                Range::usual(Dimension::Current)
            }
            _ => over(0.0, MOST),
        };
        let need = Need::Optional;
        Self {
            key,
            word,
            shape,
            need,
            default: "",
            tag: "",
            range,
            help,
            example,
            group: 0,
            repeats: false,
        }
    }

    pub(super) const fn flag(key: Key, word: &'static str, help: &'static str) -> Self {
        Self::new(key, word, Shape::Flag, word, help).or("not so")
    }

    pub(super) const fn needed(self) -> Self {
        Self {
            need: Need::Needed,
            ..self
        }
    }

    pub(super) const fn one_of(self) -> Self {
        Self {
            need: Need::OneOf,
            ..self
        }
    }

    pub(super) const fn or(self, default: &'static str) -> Self {
        Self { default, ..self }
    }

    pub(super) const fn tagged(self, default: &'static str, tag: &'static str) -> Self {
        Self {
            default,
            tag,
            ..self
        }
    }

    /// Its default is common practice.
    pub(super) const fn practice(self) -> Self {
        Self { tag: "CP", ..self }
    }

    pub(super) const fn within(self, range: Range) -> Self {
        Self { range, ..self }
    }

    pub(super) const fn group(self, group: u8) -> Self {
        Self { group, ..self }
    }

    pub(super) const fn repeats(self) -> Self {
        Self {
            repeats: true,
            ..self
        }
    }

    /// The dimension of a bare quantity.
    pub const fn bare_dimension(&self) -> Option<Dimension> {
        match self.shape {
            Shape::Bare(dimension) => Some(dimension),
            Shape::BareSize => Some(Dimension::Section),
            _ => None,
        }
    }

    /// The words it chooses from.
    pub const fn choices(&self) -> &'static [Choice] {
        match self.shape {
            Shape::Choice(choices) | Shape::Word(choices) => choices,
            _ => &[],
        }
    }

    /// One of the words it chooses from.
    pub fn choice(&self, word: &str) -> Option<&'static str> {
        self.choices()
            .iter()
            .find(|choice| choice.word == word)
            .map(|choice| choice.word)
    }

    /// How it is written, for the reference: `minimum V`, `posts N`.
    pub fn pattern(&self) -> String {
        let word = self.word;
        match self.shape {
            Shape::Flag => word.to_owned(),
            Shape::Bare(dimension) => usual(dimension).to_owned(),
            Shape::BareSize => "mm2".to_owned(),
            Shape::BareName => "CABLE".to_owned(),
            Shape::Choice(choices) => words(choices),
            Shape::Quantity(dimension) => format!("{word} {}", usual(dimension)),
            Shape::Maybe(dimension) => format!("{word} [{}]", usual(dimension)),
            Shape::Count => format!("{word} N"),
            Shape::CountBefore => format!("N {word}"),
            Shape::Word(choices) => format!("{word} {}", words(choices)),
            Shape::Name(_) => format!("{word} NAME"),
            Shape::Size => format!("{word} mm2"),
            Shape::SizeAmps => format!("{word} mm2 A"),
            Shape::CountAmps => format!("{word} N A"),
            Shape::Positions => format!("{word} off 1 2 both"),
            Shape::AmpsTime => format!("{word} A [s]"),
        }
    }
}

fn usual(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Resistance => "ohm",
        _ => dimension.units().next().map_or("", |row| row.ascii),
    }
}

fn words(choices: &[Choice]) -> String {
    choices
        .iter()
        .map(|choice| choice.word)
        .collect::<Vec<_>>()
        .join("/")
}
