//! Semantic tokens: what each word of a file is, so that an editor can colour it by its meaning.
//!
//! A token is one word of the notation or several that stand without a gap, so none lies on two
//! lines. What could not be read has no token: its finding speaks of it. `leaves` says what the
//! tree knows of a thing's words; here they are laid over its lexemes.

mod leaves;

use std::{collections::HashMap, ops::Range};

use ampwright_notation::{
    Chunk, Kind, Span,
    token::{Lexeme, lex},
};
use ampwright_plan::{
    Plan,
    wiring::{Conductor, Way},
};

use crate::cursor::file_of;
use leaves::{Class, Leaf, Leaves};

/// A word and what it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Token {
    /// Its bytes, never on two lines.
    pub range: Range<usize>,
    /// What it is.
    pub what: What,
    /// The words say that it is there, rather than refer to it.
    pub defines: bool,
    /// Of a conductor or a terminal: which side of the circuit it is on, where that is known.
    pub side: Option<Side>,
}

/// What a word is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum What {
    /// A kind, or a word that orders a line: `load`, `back`, `twin`, `on`.
    Keyword,
    /// A fact's word: `minimum`.
    Fact,
    /// A word chosen of a list: `agm`, `lighting`, a panel's `fuse`.
    Word,
    /// The boat, or a place on it.
    Place,
    /// A kind of cable.
    Cable,
    /// A part of this role.
    Part(Role),
    /// A name that nothing carries.
    Unknown,
    /// A run.
    Run,
    /// A case.
    Case,
    /// A number.
    Number,
    /// A unit.
    Unit,
    /// The colour of an insulation.
    Colour,
    /// A terminal, pole or way: `+`, `feed`, `way`.
    Terminal,
    /// What is tied on a cable's ends.
    Mark,
    /// A title or a reason.
    Text,
    /// A comment.
    Comment,
    /// A `##` line.
    Heading,
}

/// What a part does in the wiring.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// It gives current.
    Source,
    /// It opens before the cable burns.
    Protection,
    /// It opens when somebody wants it to.
    Switching,
    /// It leads current on to several.
    Distribution,
    /// It uses current.
    Load,
}

/// A side of the circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// Joined to a source's `+`.
    Positive,
    /// Leads home to a source's `-`.
    Negative,
}

impl Role {
    /// The role of a kind of part; `None` for what is no part.
    pub const fn of(kind: Kind) -> Option<Self> {
        Some(match kind {
            Kind::Battery
            | Kind::Solar
            | Kind::Controller
            | Kind::Alternator
            | Kind::Charger
            | Kind::Converter => Self::Source,
            Kind::Fuse | Kind::Breaker => Self::Protection,
            Kind::Isolator | Kind::Switch | Kind::Selector | Kind::Relay => Self::Switching,
            Kind::Shunt
            | Kind::Busbar
            | Kind::Panel
            | Kind::Joint
            | Kind::Diode
            | Kind::Block
            | Kind::Bond
            | Kind::Multicore => Self::Distribution,
            Kind::Load | Kind::Socket | Kind::Inverter => Self::Load,
            Kind::Boat | Kind::Use | Kind::Place | Kind::Cable | Kind::Run | Kind::Case => {
                return None;
            }
        })
    }
}

/// The tokens of a file, or those that touch some bytes of it, in the order of the text and apart
/// from each other.
pub fn tokens(plan: &Plan, file: u32, within: Option<&Range<usize>>) -> Vec<Token> {
    let Some(parsed) = file_of(plan, file) else {
        return Vec::new();
    };
    let touched = |range: &Range<usize>| {
        within.is_none_or(|within| range.start <= within.end && within.start <= range.end)
    };
    let sides = sides(plan, file);
    let mut painter = Painter::default();
    if touched(&(0..parsed.preamble.len())) {
        let leaves = Leaves::of_preamble(parsed);
        painter.paint(0, &parsed.preamble, &lex(&parsed.preamble), &leaves);
    }
    for (index, chunk) in parsed.chunks.iter().enumerate() {
        if touched(&chunk.range()) {
            let side = |span: Span| sides.get(&(index as u32, span.start)).copied();
            painter.thing(plan, chunk, &side);
        }
    }
    let mut tokens = painter.tokens;
    tokens.retain(|token| touched(&token.range));
    tokens
}

/// The sides of the lines that make conductors, by their thing and where they begin in it.
fn sides(plan: &Plan, file: u32) -> HashMap<(u32, u32), Side> {
    let conductors = plan.wiring.conductors.iter();
    let own = conductors.filter(|conductor| conductor.site.file == file);
    own.filter_map(|conductor| {
        let key = (conductor.site.thing, conductor.site.span.start);
        Some((key, side_of(plan, conductor)?))
    })
    .collect()
}

/// Which side a conductor is on: by what it is joined to, else by which way it leads.
fn side_of(plan: &Plan, conductor: &Conductor) -> Option<Side> {
    let base = &plan.study.base;
    let ends = [conductor.from.index(), conductor.to.index()];
    let joined = |net: &[Option<_>]| {
        ends.iter()
            .all(|&end| matches!(net.get(end), Some(Some(_))))
    };
    if joined(&base.live) {
        return Some(Side::Positive);
    }
    let home = joined(&base.home) || conductor.way == Way::Home;
    home.then_some(Side::Negative)
}

#[derive(Default)]
struct Painter {
    tokens: Vec<Token>,
}

impl Painter {
    fn thing(&mut self, plan: &Plan, chunk: &Chunk, side: &dyn Fn(Span) -> Option<Side>) {
        let leaves = Leaves::of(plan, &chunk.thing, side);
        let (at, thing) = (chunk.at as usize, &chunk.thing);
        self.paint(at, &thing.text, &thing.tokens, &leaves);
    }

    fn paint(
        &mut self,
        at: usize,
        text: &str,
        lexemes: &[ampwright_notation::token::Token],
        leaves: &Leaves,
    ) {
        let (mut words, mut lines) = (
            leaves.words.iter().peekable(),
            leaves.lines.iter().peekable(),
        );
        let mut before = None;
        for lexeme in lexemes {
            let word = over(&mut words, lexeme.span);
            let line = over(&mut lines, lexeme.span);
            let what = match lexeme.lexeme {
                Lexeme::Space | Lexeme::Newline | Lexeme::Junk => None,
                Lexeme::Comment if leaves.headings.contains(&lexeme.span) => Some(What::Heading),
                Lexeme::Comment => Some(What::Comment),
                Lexeme::Text | Lexeme::Unclosed | Lexeme::Curly => Some(What::Text),
                other => of_word(other, lexeme.span.of(text), word, line, before),
            };
            before = what;
            if let Some(what) = what {
                let of = word
                    .or(line)
                    .filter(|_| !matches!(what, What::Comment | What::Heading));
                self.push(Token {
                    range: lexeme.span.absolute(at as u32),
                    what,
                    defines: of.is_some_and(|leaf| leaf.defines),
                    side: of.and_then(|leaf| leaf.side),
                });
            }
        }
    }

    /// Adds a token, or makes the last one longer where both are one word to the eye.
    fn push(&mut self, token: Token) {
        match self.tokens.last_mut() {
            Some(last)
                if last.range.end == token.range.start
                    && (last.what, last.defines, last.side)
                        == (token.what, token.defines, token.side)
                    && !matches!(token.what, What::Comment | What::Text) =>
            {
                last.range.end = token.range.end;
            }
            _ => self.tokens.push(token),
        }
    }
}

/// The leaf that a lexeme lies in. Both come in the order of the text.
fn over<'l>(
    leaves: &mut std::iter::Peekable<std::slice::Iter<'l, Leaf>>,
    span: Span,
) -> Option<&'l Leaf> {
    while leaves.next_if(|leaf| leaf.span.end <= span.start).is_some() {}
    let next = leaves.peek().copied()?;
    (next.span.start <= span.start && span.end <= next.span.end).then_some(next)
}

/// What a word, number or sign is by the leaf that it lies in, else by the line.
fn of_word(
    lexeme: Lexeme,
    text: &str,
    word: Option<&Leaf>,
    line: Option<&Leaf>,
    before: Option<What>,
) -> Option<What> {
    let leaf = word.or(line)?;
    let number = matches!(
        lexeme,
        Lexeme::Number | Lexeme::Negative | Lexeme::BadNumber
    );
    match leaf.class {
        Class::Whole(what) => Some(what),
        // `2/0 AWG`, `h/day`: a stroke belongs to what stands before it.
        _ if lexeme == Lexeme::Slash => before,
        _ if number => Some(What::Number),
        Class::Quantity if matches!(text, "x" | "×") => Some(What::Keyword),
        Class::Quantity => Some(What::Unit),
        Class::Words(what) => {
            matches!(lexeme, Lexeme::Word | Lexeme::Plus | Lexeme::Minus).then_some(what)
        }
    }
}

#[cfg(test)]
mod tests;
