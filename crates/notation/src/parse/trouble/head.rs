//! What is wrong with a head line: its kind, its name.

use super::{a, sentence, shortened};
use crate::{
    flaw::{Code, Flaw},
    parse::{Tok, Toks, span_of, thing::kind_words},
    suggest::nearest,
    table::{Kind, KindRow, Shape, Space},
    token::Lexeme,
    tree::Span,
};

/// A line at the margin whose first word is no kind.
pub(in crate::parse) fn unknown_kind(line: Toks<'_>) -> Flaw {
    let Some(first) = line.first() else {
        return Flaw::new(Code::UnknownKind, Span::default(), "Nothing is said here.");
    };
    if let Some(flaw) = super::lexical::cause(&super::Scene {
        line,
        at: 0,
        kind: None,
    }) {
        return flaw;
    }
    let shown = shortened(first.text);
    if let Some(meant) = nearest(first.text, kind_words()) {
        let message = format!("`{shown}` is no kind of thing; did you mean `{meant}`?");
        return Flaw::new(Code::UnknownKind, first.span, message).written(first.span, meant);
    }
    if belongs_above(first.text) || first.lexeme == Lexeme::Number {
        let message = format!(
            "`{shown}` begins no thing: a line that says more about the thing above it is indented."
        );
        return Flaw::new(Code::UnknownKind, first.span, message).with(
            "indent the line",
            first.span.before(),
            "    ",
        );
    }
    let message = format!(
        "`{shown}` is no kind of thing: a line at the margin begins with one, such as battery, fuse, load or run."
    );
    Flaw::new(Code::UnknownKind, first.span, message)
}

/// Whether a word begins a line below some head.
fn belongs_above(word: &str) -> bool {
    let fact = crate::table::kinds().any(|row| row.kind.fact_of_word(word).is_some());
    fact || matches!(
        word,
        "way" | "back" | "allow" | "twin" | "core" | "on" | "off" | "open" | "close" | "set"
    )
}

/// A kind without a name after it.
pub(in crate::parse) fn no_name(kind: Kind, first: &Tok<'_>, rest: Toks<'_>) -> Flaw {
    let row = kind.row();
    if let (Some(tok), true) = (rest.first(), digit_name(rest) > 0) {
        let message = "A name starts with a letter: put one before the digit.";
        return Flaw::new(Code::Syntax, tok.span, message);
    }
    let name = example_name(row);
    let message = format!(
        "{} has a name, which stands directly after its kind: `{} {name}`.",
        sentence(&a(row.word)),
        row.word
    );
    Flaw::new(Code::Syntax, first.span, message).with(
        format!("name it {name}"),
        first.span.after(),
        format!(" {name}"),
    )
}

/// How many tokens make a name that starts with a digit (`2nd`); none where a quantity comes.
pub(in crate::parse) fn digit_name(rest: Toks<'_>) -> usize {
    match rest {
        [number, word, ..]
            if number.lexeme == Lexeme::Number
                && word.joins(number)
                && crate::units::Unit::find(word.text).is_none() =>
        {
            2
        }
        _ => 0,
    }
}

/// Whether a title stands where the name does, and the name after it.
pub(in crate::parse) fn is_swapped(kind: Kind, title: &Tok<'_>, name: &Tok<'_>) -> bool {
    title.lexeme == Lexeme::Text
        && crate::parse::leaf::is_name(name)
        && kind.fact_of_word(name.text).is_none()
}

/// A title before the name.
pub(in crate::parse) fn swapped(title: &Tok<'_>, name: &Tok<'_>) -> Flaw {
    let span = title.span.to(name.span);
    Flaw::new(
        Code::Syntax,
        span,
        "The name stands before the title: swap the two.",
    )
    .with(
        "swap the two",
        span,
        format!("{} {}", name.text, title.text),
    )
}

fn example_name(row: &KindRow) -> String {
    row.example
        .split_whitespace()
        .nth(1)
        .unwrap_or("name")
        .to_owned()
}

/// A name that ends in a dash, or that goes on with what no name has.
pub(in crate::parse) fn name_goes_on(name: &Tok<'_>, last: &Tok<'_>) -> Flaw {
    let rest = Span::new(name.span.end, last.span.end);
    let message = match last.lexeme {
        Lexeme::Minus => {
            "A name does not end in `-`, which would be taken for a terminal: take it away."
        }
        _ => {
            "A name is made of letters, digits, `-` and `_`: take the rest away, or put a space before it."
        }
    };
    Flaw::new(Code::Syntax, name.span.to(rest), message).with(
        format!("write {}", shortened(name.text)),
        rest,
        "",
    )
}

/// `use` without a quoted path.
pub(in crate::parse) fn use_path(first: &Tok<'_>, rest: Toks<'_>) -> Flaw {
    let line = super::Scene {
        line: rest,
        at: 0,
        kind: Some(Kind::Use),
    };
    if let Some(flaw) = super::lexical::cause(&line) {
        return flaw;
    }
    let message = "After `use` stands the path of another file in quotes: `use \"engine.boat\"`.";
    let Some(path) = rest.first() else {
        return Flaw::new(Code::Syntax, first.span, message);
    };
    let span = path.span.to(span_of(rest));
    let text: String = rest.iter().map(|tok| tok.text).collect();
    Flaw::new(Code::Syntax, span, message).with("put it in quotes", span, format!("\"{text}\""))
}

/// A name that its thing may not have, where there is one.
pub(in crate::parse) fn reserved(kind: Kind, name: &str) -> Option<String> {
    match kind.row().space {
        Space::Part if crate::table::RESERVED_PARTS.contains(&name) => Some(format!(
            "No part is called `{name}`, since a run's line that begins with it means something else: choose another name."
        )),
        Space::Cable if is_conductor_word(name) => Some(format!(
            "No cable is called `{name}`, since a conductor's line reads that as a word of its own: choose another name."
        )),
        _ => None,
    }
}

fn is_conductor_word(name: &str) -> bool {
    let words = crate::table::CONDUCTOR_WORDS
        .iter()
        .chain(&crate::table::BACK_WORDS);
    super::is_colour(name)
        || matches!(name, "back" | "x" | "×")
        || words.into_iter().any(|row| row.word == name)
}

/// Whether a name is a word that its kind's facts choose from: then the name was forgotten.
pub(in crate::parse) fn is_choice(kind: Kind, name: &str) -> bool {
    let mut choices = kind
        .row()
        .facts
        .iter()
        .filter(|row| matches!(row.shape, Shape::Choice(_)));
    choices.any(|row| row.choice(name).is_some())
}
