//! Looking things up in the tree: spans, facts by key, and what stands at an offset.

use std::{ops::Range, sync::Arc};

use crate::{
    table::Key,
    token::{Lexeme, Token},
    tree::{Allow, Arg, At, Fact, Name, Setting, Span, Step, Stop, Thing, Way},
    units::{Quantity, Size},
};

impl Span {
    /// A span from its ends.
    pub const fn new(start: u32, end: u32) -> Self {
        Self { start, end }
    }

    /// Its length in bytes.
    pub const fn len(self) -> u32 {
        self.end.saturating_sub(self.start)
    }

    /// Whether it covers nothing.
    pub const fn is_empty(self) -> bool {
        self.end <= self.start
    }

    /// The text it covers; empty where it does not fit the text.
    pub fn of(self, text: &str) -> &str {
        text.get(self.start as usize..self.end as usize)
            .unwrap_or_default()
    }

    /// Its absolute range in a file whose thing begins at `at`.
    pub const fn absolute(self, at: u32) -> Range<usize> {
        at as usize + self.start as usize..at as usize + self.end as usize
    }

    /// Whether an offset lies in it or at either end, as a cursor does.
    pub const fn touches(self, offset: u32) -> bool {
        self.start <= offset && offset <= self.end
    }

    /// The least span that covers both.
    #[must_use]
    pub fn to(self, other: Self) -> Self {
        Self {
            start: self.start.min(other.start),
            end: self.end.max(other.end),
        }
    }

    /// The empty span at its start.
    #[must_use]
    pub const fn before(self) -> Self {
        Self {
            start: self.start,
            end: self.start,
        }
    }

    /// The empty span at its end.
    #[must_use]
    pub const fn after(self) -> Self {
        Self {
            start: self.end,
            end: self.end,
        }
    }
}

impl<T> At<T> {
    /// A value and where it stands.
    pub const fn new(value: T, span: Span) -> Self {
        Self { value, span }
    }
}

impl Arg {
    /// Where it stands.
    pub const fn span(&self) -> Span {
        match self {
            Self::Quantity(at) => at.span,
            Self::Count(at) => at.span,
            Self::Word(at) => at.span,
            Self::Name(at) | Self::Text(at) => at.span,
            Self::Size(at) => at.span,
        }
    }
}

impl Fact {
    /// Its quantities in order.
    pub fn quantities(&self) -> impl Iterator<Item = &At<Quantity>> {
        self.args.iter().filter_map(|arg| match arg {
            Arg::Quantity(quantity) => Some(quantity),
            _ => None,
        })
    }

    /// Its first quantity.
    pub fn quantity(&self) -> Option<Quantity> {
        self.quantities().next().map(|at| at.value)
    }

    /// Its first quantity in the base unit; a size as its area in mm².
    pub fn amount(&self) -> Option<f64> {
        self.args.iter().find_map(|arg| match arg {
            Arg::Quantity(quantity) => Some(quantity.value.value),
            Arg::Size(size) => Some(size.value.area()),
            _ => None,
        })
    }

    /// Its first count.
    pub fn count(&self) -> Option<u32> {
        self.args.iter().find_map(|arg| match arg {
            Arg::Count(count) => Some(count.value),
            _ => None,
        })
    }

    /// Its first word.
    pub fn word(&self) -> Option<&'static str> {
        self.args.iter().find_map(|arg| match arg {
            Arg::Word(word) => Some(word.value),
            _ => None,
        })
    }

    /// Its first name.
    pub fn name(&self) -> Option<&At<Name>> {
        self.args.iter().find_map(|arg| match arg {
            Arg::Name(name) => Some(name),
            _ => None,
        })
    }

    /// Its first conductor size.
    pub fn size(&self) -> Option<Size> {
        self.args.iter().find_map(|arg| match arg {
            Arg::Size(size) => Some(size.value),
            _ => None,
        })
    }
}

impl Thing {
    /// The first fact of a key.
    pub fn fact(&self, key: Key) -> Option<&Fact> {
        self.facts.iter().find(|fact| fact.key == key)
    }

    /// Every fact of a key, in the order of the text.
    pub fn facts_of(&self, key: Key) -> impl Iterator<Item = &Fact> {
        self.facts.iter().filter(move |fact| fact.key == key)
    }

    /// Whether a fact is said.
    pub fn has(&self, key: Key) -> bool {
        self.fact(key).is_some()
    }

    /// The first quantity of a fact.
    pub fn quantity(&self, key: Key) -> Option<Quantity> {
        self.fact(key)?.quantity()
    }

    /// The first quantity of a fact in its base unit; a size as its area in mm².
    pub fn amount(&self, key: Key) -> Option<f64> {
        self.fact(key)?.amount()
    }

    /// The first count of a fact.
    pub fn count(&self, key: Key) -> Option<u32> {
        self.fact(key)?.count()
    }

    /// The word that a fact chooses.
    pub fn word(&self, key: Key) -> Option<&'static str> {
        self.fact(key)?.word()
    }

    /// The name that a fact gives.
    pub fn named(&self, key: Key) -> Option<&At<Name>> {
        self.fact(key)?.name()
    }

    /// Every name that facts of a key give (`in` may stand several times).
    pub fn names(&self, key: Key) -> impl Iterator<Item = &At<Name>> {
        self.facts_of(key).filter_map(Fact::name)
    }

    /// The conductor size of a fact.
    pub fn size(&self, key: Key) -> Option<Size> {
        self.fact(key)?.size()
    }

    /// The text of a span.
    pub fn text_of(&self, span: Span) -> &str {
        span.of(&self.text)
    }

    /// Where findings on the thing itself stand: its name, else its first word.
    pub fn label(&self) -> Span {
        self.name.as_ref().map_or(self.kind_span, |name| name.span)
    }

    /// Its note as text, without the `#`.
    pub fn note_text(&self) -> String {
        let lines = self
            .note
            .iter()
            .map(|&span| self.text_of(span).trim_start_matches('#').trim());
        lines.collect::<Vec<_>>().join("\n")
    }

    /// The `##` lines above and in it, for the outline.
    pub fn headings(&self) -> impl Iterator<Item = Span> {
        headings(&self.text, &self.tokens)
    }
}

/// The comment tokens that are headings.
pub(crate) fn headings(text: &str, tokens: &[Token]) -> impl Iterator<Item = Span> {
    let at_margin = |index: usize| match index.checked_sub(1).and_then(|before| tokens.get(before))
    {
        None => true,
        // A byte-order mark may stand before the first line.
        Some(before) => before.lexeme == Lexeme::Newline || before.span.of(text) == "\u{feff}",
    };
    let is_heading =
        |token: &Token| token.lexeme == Lexeme::Comment && token.span.of(text).starts_with("##");
    let marked = tokens
        .iter()
        .enumerate()
        .filter(move |(_, token)| is_heading(token));
    marked
        .filter(move |&(index, _)| at_margin(index))
        .map(|(_, token)| token.span)
}

/// What of a thing stands at an offset.
#[derive(Clone, Copy, Debug)]
pub enum Element<'a> {
    /// A fact.
    Fact(&'a Fact),
    /// A panel's way.
    Way(&'a Way),
    /// A run's step and its index.
    Step(u32, &'a Step),
    /// A case's line.
    Setting(&'a Setting),
    /// An allowance.
    Allow(&'a Allow),
    /// The head line, beside its facts.
    Head,
}

impl Thing {
    /// What stands at an offset relative to the thing.
    pub fn element_at(&self, offset: u32) -> Option<Element<'_>> {
        let fact = self
            .facts
            .iter()
            .find(|fact| fact.span.touches(offset))
            .map(Element::Fact);
        let way = || {
            self.ways
                .iter()
                .find(|way| way.span.touches(offset))
                .map(Element::Way)
        };
        let setting = || {
            self.settings
                .iter()
                .find(|line| line.span.touches(offset))
                .map(Element::Setting)
        };
        let allow = || {
            self.allows
                .iter()
                .find(|allow| allow.span.touches(offset))
                .map(Element::Allow)
        };
        let head = || self.head.touches(offset).then_some(Element::Head);
        let step = || {
            self.step_at(offset)
                .map(|(index, step)| Element::Step(index, step))
        };
        fact.or_else(way)
            .or_else(setting)
            .or_else(allow)
            .or_else(step)
            .or_else(head)
    }

    /// The step at an offset relative to the thing, and its index.
    pub fn step_at(&self, offset: u32) -> Option<(u32, &Step)> {
        let index = self.steps.partition_point(|step| step.span().end < offset);
        let step = self.steps.get(index)?;
        step.span().touches(offset).then_some((index as u32, step))
    }

    /// The index of the token that an offset lies in or ends, words before what is no word:
    /// what a cursor there is on.
    pub fn token_at(&self, offset: u32) -> Option<usize> {
        let after = self
            .tokens
            .partition_point(|token| token.span.end <= offset);
        let before = after
            .checked_sub(1)
            .filter(|&index| self.tokens[index].span.end == offset);
        let is_word = |index: &usize| {
            self.tokens
                .get(*index)
                .is_some_and(|token| token.lexeme == Lexeme::Word)
        };
        let here = Some(after).filter(|&index| {
            self.tokens
                .get(index)
                .is_some_and(|token| token.span.touches(offset))
        });
        here.filter(is_word)
            .or(before.filter(is_word))
            .or(here)
            .or(before)
    }

    /// The word at an offset relative to the thing.
    pub fn word_at(&self, offset: u32) -> Option<At<&str>> {
        let token = self.tokens.get(self.token_at(offset)?)?;
        (token.lexeme == Lexeme::Word).then(|| At::new(self.text_of(token.span), token.span))
    }

    /// Its stops, those of its returns too.
    pub fn stops(&self) -> impl Iterator<Item = &Stop> {
        self.steps.iter().filter_map(|step| match step {
            Step::Stop(stop) => Some(stop),
            Step::Back(back) => back.to.as_ref(),
            Step::Conductor(_) | Step::Unread(_) => None,
        })
    }
}

impl Step {
    /// Where it stands.
    pub const fn span(&self) -> Span {
        match self {
            Self::Stop(stop) => stop.span,
            Self::Conductor(conductor) => conductor.span,
            Self::Back(back) => back.span,
            Self::Unread(span) => *span,
        }
    }
}

/// A name in Unicode NFC.
pub(crate) fn name(text: &str) -> Name {
    use unicode_normalization::{UnicodeNormalization, is_nfc};
    if text.is_ascii() || is_nfc(text) {
        Arc::from(text)
    } else {
        text.nfc().collect::<String>().into()
    }
}
