//! Tokens to things (chumsky). Each line is parsed alone, so that a broken one costs itself only;
//! which grammar a line has follows from its thing's kind and from its first word.
//!
//! `leaf` reads single values, `facts` the facts of a head and of the lines below it, `run` the
//! steps of a run and `case` the lines of a case. `trouble` turns a failure into a sentence.
//! `whole` checks what no line can see: facts that are missing, the order of a run's steps.

mod case;
mod facts;
mod leaf;
mod range;
mod run;
mod thing;
mod trouble;
mod whole;

use std::ops::Range;

use chumsky::{extra, inspector::SimpleState, prelude::*};

use crate::{
    flaw::Flaw,
    table::{Key, Kind},
    token::{Lexeme, Token, lex},
    tree::{Allow, Fact, Setting, Span, Step, Thing, Way},
};
use trouble::Trouble;

/// A token that says something, with its text.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tok<'a> {
    pub(crate) lexeme: Lexeme,
    pub(crate) span: Span,
    pub(crate) text: &'a str,
}

impl Tok<'_> {
    /// Whether it is this word.
    pub(crate) fn is(&self, word: &str) -> bool {
        self.lexeme == Lexeme::Word && self.text == word
    }

    /// Whether it follows another token without a space.
    pub(crate) const fn joins(&self, before: &Self) -> bool {
        before.span.end == self.span.start
    }
}

/// The input of every grammar: the tokens of one line.
type Toks<'a> = &'a [Tok<'a>];
type Extra<'a> = extra::Full<Trouble, SimpleState<Draft>, ()>;
type Inp<'a, 'p> = chumsky::input::InputRef<'a, 'p, Toks<'a>, Extra<'a>>;
type Rule<'a, T> = Boxed<'a, 'a, Toks<'a>, T, Extra<'a>>;

/// What the lines of a thing have said so far.
#[derive(Debug, Default)]
struct Draft {
    kind: Option<Kind>,
    facts: Vec<Fact>,
    ways: Vec<Way>,
    steps: Vec<Step>,
    settings: Vec<Setting>,
    allows: Vec<Allow>,
    /// What was found without giving a line up.
    flaws: Vec<Flaw>,
    /// Facts that could not be read while the rest of their line could.
    troubles: Vec<Trouble>,
    /// How many findings are not kept, since there are more than are ever shown.
    more: usize,
    /// The facts said so far, a bit for each key, and the fact said of each group that excludes
    /// others: what makes a thing of many facts linear.
    said: u128,
    groups: [Option<Key>; GROUPS],
    /// A line of facts could not be read, so that what seems missing may stand there.
    is_unsure: bool,
}

/// The groups of facts that exclude each other, the group of those that do not included.
const GROUPS: usize = 4;

impl Draft {
    /// Adds a finding, which is made only where it is kept.
    fn add(&mut self, flaw: impl FnOnce(&Self) -> Flaw) {
        if self.flaws.len() < crate::file::MOST_FLAWS {
            let flaw = flaw(self);
            self.flaws.push(flaw);
        } else {
            self.more += 1;
        }
    }

    fn says(&self, key: Key) -> bool {
        self.said & (1 << key as u32) != 0
    }
}

/// The grammars, built once for many lines.
struct Grammar<'a> {
    facts: Rule<'a, ()>,
    stop: Rule<'a, Step>,
    conductor: Rule<'a, Step>,
    back: Rule<'a, Step>,
    allow: Rule<'a, Allow>,
    setting: Rule<'a, Setting>,
}

impl Grammar<'_> {
    fn new() -> Self {
        Self {
            facts: facts::facts().boxed(),
            stop: run::stop().map(Step::Stop).boxed(),
            conductor: run::conductor().map(Step::Conductor).boxed(),
            back: run::back().map(Step::Back).boxed(),
            allow: facts::allow().boxed(),
            setting: case::setting().boxed(),
        }
    }
}

/// A thing's text, its tokens, and where the tokens that count lie in the batch.
struct Lexed<'a> {
    text: &'a str,
    tokens: Vec<Token>,
    note: Vec<Span>,
    lines: Range<usize>,
}

/// Things that are parsed with one set of grammars.
#[derive(Default)]
struct Batch<'a> {
    toks: Vec<Tok<'a>>,
    lines: Vec<Range<usize>>,
    things: Vec<Lexed<'a>>,
}

/// Beyond this many tokens a batch is full: the tokens of a long file are not held all at once.
const FULL: usize = 16_384;

/// Reads things from their texts.
pub(crate) fn things<'a>(texts: impl Iterator<Item = &'a str>) -> Vec<Thing> {
    let mut things = Vec::new();
    let mut batch = Batch::default();
    for text in texts {
        batch.add(text);
        if batch.toks.len() >= FULL {
            std::mem::take(&mut batch).parse(&mut things);
        }
    }
    batch.parse(&mut things);
    things
}

impl<'a> Batch<'a> {
    fn add(&mut self, text: &'a str) {
        let tokens = lex(text);
        let first_line = self.lines.len();
        let mut note = Vec::new();
        for line in tokens.split_inclusive(|token| token.lexeme == Lexeme::Newline) {
            let from = self.toks.len();
            let says = line.iter().filter(|token| !token.lexeme.is_trivia());
            self.toks.extend(says.map(|token| Tok {
                lexeme: token.lexeme,
                span: token.span,
                text: token.span.of(text),
            }));
            if self.toks.len() > from {
                self.lines.push(from..self.toks.len());
            } else if self.lines.len() == first_line {
                note_line(&mut note, line, text);
            }
        }
        self.things.push(Lexed {
            text,
            tokens,
            note,
            lines: first_line..self.lines.len(),
        });
    }

    fn parse(self, things: &mut Vec<Thing>) {
        let Self {
            toks,
            lines,
            things: lexed,
        } = self;
        let grammar = Grammar::new();
        for thing in lexed {
            let lines = lines[thing.lines.clone()]
                .iter()
                .map(|line| &toks[line.clone()]);
            things.push(thing::read(&grammar, thing, lines));
        }
    }
}

/// A comment line above a head; a heading parts the note from what stands above.
fn note_line(note: &mut Vec<Span>, line: &[Token], text: &str) {
    let Some(comment) = line.iter().find(|token| token.lexeme == Lexeme::Comment) else {
        return;
    };
    if comment.span.of(text).starts_with("##") {
        note.clear();
    } else {
        note.push(comment.span);
    }
}

/// The span of a line's tokens.
fn span_of(line: &[Tok<'_>]) -> Span {
    match (line.first(), line.last()) {
        (Some(first), Some(last)) => first.span.to(last.span),
        _ => Span::default(),
    }
}
