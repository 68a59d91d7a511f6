//! Why a line could not be read, and the sentence that says so.
//!
//! Grammars fail with a [`Trouble`], which is small and holds no text; the sentence is made only
//! for the one failure that stands. Whatever the failure was, writings that are never read
//! (an unclosed quote, `2,5`, a comma) are told first: they are the cause.

use chumsky::{
    error::{Error, LabelError},
    util::MaybeRef,
};

use super::{Tok, Toks, span_of};
use crate::{
    flaw::{Code, Flaw},
    suggest::nearest,
    table::{FactRow, Kind},
    token::Lexeme,
    tree::{At, Colour, Span},
    units::{Dimension, Quantity, Unit, either},
};

mod fact;
mod head;
mod lexical;
mod step;

pub(super) use crate::flaw::shortened;
pub(super) use head::{
    digit_name, is_choice, is_swapped, name_goes_on, no_name, reserved, swapped, unknown_kind,
    use_path,
};

/// A failure: what was wanted at which token of the line.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Trouble {
    /// The token's index in the line; the line's length at its end.
    pub(crate) at: u32,
    pub(crate) fault: Fault,
}

/// What was wanted, or what was wrong.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Fault {
    /// Something else than what stands there.
    Unexpected,
    /// Nothing more.
    End,
    /// This very word.
    Word(&'static str),
    /// The name of this.
    Name(&'static str),
    /// A whole number of this.
    Count(&'static str),
    /// A count of this has no unit.
    CountUnit(&'static str),
    /// The count stands before the word.
    CountBefore(&'static FactRow),
    /// A number with one of these dimensions' units.
    Quantity(&'static [Dimension]),
    /// A unit of one of these dimensions.
    Unit(&'static [Dimension]),
    /// A quantity of another dimension stands there.
    WrongUnit(&'static [Dimension], At<Quantity>),
    /// The kind has no bare fact of this dimension.
    Bare(At<Quantity>),
    /// A fact.
    Fact,
    /// One of a fact's words.
    Choice(&'static FactRow),
    /// Positions of a selector.
    Positions,
    /// Two facts exclude each other, or the same is said twice; the second one's span.
    Clash(&'static FactRow, &'static FactRow, Span),
    /// Text in quotes for this.
    Text(&'static str),
    /// What stands in a way.
    WayDevice,
    /// A conductor's size.
    Size,
    /// No gauge has this number.
    Gauge,
    /// A colour after `/`.
    Colour,
    /// A mark.
    Mark,
    /// A part of a conductor's line.
    Part,
    /// A part of a return's line.
    BackPart,
    /// A terminal.
    Terminal,
    /// What a case does.
    Verb,
    /// A selector's position in a case.
    Position,
}

impl<'a> Error<'a, Toks<'a>> for Trouble {
    /// What says more stands.
    fn merge(self, other: Self) -> Self {
        if matches!(self.fault, Fault::Unexpected) {
            other
        } else {
            self
        }
    }
}

impl<'a, L> LabelError<'a, Toks<'a>, L> for Trouble {
    fn expected_found<E: IntoIterator<Item = L>>(
        _: E,
        _: Option<MaybeRef<'a, Tok<'a>>>,
        span: SimpleSpan,
    ) -> Self {
        Self {
            at: span.start as u32,
            fault: Fault::Unexpected,
        }
    }
}

use chumsky::span::SimpleSpan;

/// What is wrong with a line, seen from where its grammar failed.
pub(super) struct Scene<'a> {
    line: Toks<'a>,
    at: usize,
    kind: Option<Kind>,
}

impl<'a> Scene<'a> {
    /// The token where it failed.
    fn tok(&self) -> Option<&'a Tok<'a>> {
        self.line.get(self.at)
    }

    /// The token before that.
    fn before(&self) -> Option<&'a Tok<'a>> {
        self.at
            .checked_sub(1)
            .and_then(|before| self.line.get(before))
    }

    /// A token counted from where it failed.
    fn near(&self, offset: isize) -> Option<&'a Tok<'a>> {
        self.at
            .checked_add_signed(offset)
            .and_then(|at| self.line.get(at))
    }

    /// Where a finding stands: on the token, or at the line's end on the last one.
    fn span(&self) -> Span {
        self.tok()
            .or(self.line.last())
            .map_or_else(Span::default, |tok| tok.span)
    }

    /// The text there, for a sentence; empty at the line's end.
    fn text(&self) -> &'a str {
        self.tok().map_or("", |tok| shortened(tok.text))
    }

    fn syntax(&self, message: impl Into<String>) -> Flaw {
        Flaw::new(Code::Syntax, self.span(), message)
    }

    /// A kind with its article, for a sentence.
    fn a_kind(&self) -> String {
        self.kind
            .map_or_else(|| "this".to_owned(), |kind| a(kind.word()))
    }
}

/// A line of more words than this is no slip of the pen: no edit is offered for all of it.
const MOST_WORDS: usize = 100;

/// A word with its article.
pub(super) fn a(word: &str) -> String {
    let article = if word.starts_with(['a', 'e', 'i', 'o']) {
        "an"
    } else {
        "a"
    };
    format!("{article} {word}")
}

/// The first letter of a sentence, large.
pub(super) fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(chars).collect()
    })
}

/// The flaw of a line that failed.
pub(super) fn explain(line: Toks<'_>, trouble: Trouble, kind: Option<Kind>) -> Flaw {
    let scene = Scene {
        line,
        at: trouble.at as usize,
        kind,
    };
    lexical::cause(&scene).unwrap_or_else(|| scene.flaw(trouble.fault))
}

impl Scene<'_> {
    fn flaw(&self, fault: Fault) -> Flaw {
        match fault {
            Fault::Unexpected | Fault::End => self.left_over(),
            Fault::Word(word) => self.wanted_word(word),
            Fault::Name(what) => self.wanted_name(what),
            Fault::Count(what) => self.wanted_count(what),
            Fault::CountUnit(what) => self.count_unit(what),
            Fault::CountBefore(row) => self.count_before(row),
            Fault::Quantity(wanted) => self.wanted_quantity(wanted),
            Fault::Unit(wanted) => self.wanted_unit(wanted),
            Fault::WrongUnit(wanted, found) => fact::wrong_unit(wanted, found),
            Fault::Bare(found) => self.no_bare(found),
            Fault::Fact => self.wanted_fact(),
            Fault::Choice(row) => self.wanted_choice(row),
            Fault::Positions => self.syntax("After `positions` stand the selector's positions in order: `off`, numbers, `both`."),
            Fault::Clash(first, second, span) => self.clash(first, second, span),
            Fault::Text(what) => self.wanted_text(what),
            Fault::WayDevice => self.wanted_way_device(),
            Fault::Size => self.wanted_size(),
            Fault::Gauge => self.syntax("There is no such wire gauge: AWG sizes are 40 to 1, then 1/0, 2/0, 3/0 and 4/0."),
            Fault::Colour => self.wanted_colour(),
            Fault::Mark => self.syntax("A mark is what is tied on the cable: letters, digits, `-`, `+`, `.` and `/` without a space, such as `mark D3`."),
            Fault::Part => self.wanted_part(),
            Fault::BackPart => self.wanted_back_part(),
            Fault::Terminal => self.wanted_terminal(),
            Fault::Verb => self.wanted_verb(),
            Fault::Position => self.syntax("After the selector's name stands its position: `off`, a number or `both`."),
        }
    }

    fn wanted_word(&self, word: &str) -> Flaw {
        let flaw = match self.tok() {
            Some(tok) => self.syntax(format!(
                "`{word}` belongs here, not `{}`.",
                shortened(tok.text)
            )),
            None => self.syntax(format!("The line ends too early: `{word}` belongs here.")),
        };
        match self.tok() {
            Some(tok) if nearest(tok.text, [word]).is_some() => flaw.written(tok.span, word),
            Some(tok) if matches!(word, "of" | "to") => flaw.with(
                format!("write {word} before it"),
                tok.span.before(),
                format!("{word} "),
            ),
            _ => flaw,
        }
    }

    fn wanted_name(&self, what: &str) -> Flaw {
        if self.tok().is_some_and(|tok| tok.lexeme == Lexeme::Number) {
            return self.syntax(format!(
                "A name starts with a letter, so `{}` is no name of {what}.",
                self.text()
            ));
        }
        self.syntax(format!("A name belongs here: that of {what}."))
    }

    fn wanted_count(&self, what: &str) -> Flaw {
        if let Some(flaw) = (what == "terminal")
            .then(|| self.mistyped_start())
            .flatten()
        {
            return flaw;
        }
        self.syntax(format!("A whole number belongs here, such as `{what} 2`."))
    }

    fn count_unit(&self, what: &str) -> Flaw {
        let unit = self.text();
        let flaw = Flaw::new(
            Code::WrongUnit,
            self.span(),
            format!("`{what}` is a count and has no unit: write it without `{unit}`."),
        );
        let Some(before) = self.before() else {
            return flaw;
        };
        flaw.with(
            format!("take `{unit}` away"),
            before.span.after().to(self.span()),
            "",
        )
    }

    /// Words that stand where text belongs get quotes round them.
    fn wanted_text(&self, what: &str) -> Flaw {
        let flaw = self.syntax(format!("Text in quotes belongs here, for {what}."));
        match self.tok() {
            Some(tok) if tok.lexeme == Lexeme::Word && self.line.len() < MOST_WORDS => {
                let rest = tok.span.to(span_of(self.line));
                let span = Span::new(tok.span.start, rest.end);
                let words: Vec<&str> = self.line[self.at..].iter().map(|tok| tok.text).collect();
                flaw.with("put it in quotes", span, format!("\"{}\"", words.join(" ")))
            }
            _ => flaw,
        }
    }

    fn wanted_verb(&self) -> Flaw {
        const VERBS: [&str; 5] = ["on", "off", "open", "close", "set"];
        let flaw = self.syntax("A case's line says what is done to which part: `on`, `off`, `open`, `close` or `set`, then the part's name.");
        match nearest(self.text(), VERBS) {
            Some(verb) => flaw.written(self.span(), verb),
            None => flaw,
        }
    }

    fn wanted_colour(&self) -> Flaw {
        self.syntax("A colour belongs after `/`, and one conductor has at most three, such as `brown/yellow`.")
    }

    fn left_over(&self) -> Flaw {
        let misplaced = (self.kind == Some(Kind::Run)).then(|| self.misplaced_conductor());
        if let Some(flaw) = misplaced.flatten() {
            return flaw;
        }
        match self.tok() {
            Some(tok) => self.syntax(format!(
                "`{}` does not belong on this line: the line says all it can before it.",
                shortened(tok.text)
            )),
            None => self.syntax("The line ends too early."),
        }
    }
}

/// Whether a word is a colour.
pub(super) fn is_colour(text: &str) -> bool {
    Colour::parse(text).is_some()
}

/// The units of some dimensions as a list for a sentence.
pub(super) fn units_of(dimensions: &[Dimension]) -> String {
    either(
        dimensions
            .iter()
            .flat_map(|dimension| dimension.units())
            .map(|row| row.ascii),
    )
}

/// The unit that some words were meant to be, if it is of these dimensions (or of any).
pub(super) fn meant_unit(text: &str, wanted: &[Dimension]) -> Option<Unit> {
    Unit::guess(text).filter(|unit| wanted.is_empty() || wanted.contains(&unit.row().dimension))
}
