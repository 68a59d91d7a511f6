//! The lines of a case: `on fresh-pump 5 A`, `set battery-selector both`.

use chumsky::prelude::*;

use super::{
    Extra, Inp, Toks,
    facts::AMPS_OR_WATTS,
    leaf::{self, Read, fail, leaf, name, take_word},
    range::{self, COUNT},
    trouble::Fault,
};
use crate::{
    table::Range,
    token::Lexeme,
    tree::{At, Name, Position, Setting, Span, Verb},
    units::Quantity,
};

/// One line of a case.
pub(super) fn setting<'a>() -> impl Parser<'a, Toks<'a>, Setting, Extra<'a>> {
    let part = || leaf(|inp| name(inp, "the part"));
    let on = verb("on", Verb::On).then(part()).then(leaf(amount));
    let on = on.map(|((verb, name), amount)| Setting {
        amount,
        ..bare(verb, name, amount.map(|at| at.span))
    });
    let set = verb("set", Verb::Set).then(part()).then(leaf(position));
    let set = set.map(|((verb, name), position)| Setting {
        position: Some(position),
        ..bare(verb, name, Some(position.span))
    });
    let plain = choice((
        verb("off", Verb::Off),
        verb("open", Verb::Open),
        verb("close", Verb::Close),
    ));
    let plain = plain
        .then(part())
        .map(|(verb, name)| bare(verb, name, None));
    choice((on, set, plain))
}

/// A line that says what is done to which part; `last` is what else stands on it.
fn bare(verb: At<Verb>, name: At<Name>, last: Option<Span>) -> Setting {
    let span = verb.span.to(last.unwrap_or(name.span));
    Setting {
        verb: verb.value,
        name,
        amount: None,
        position: None,
        span,
    }
}

fn verb<'a>(word: &'static str, verb: Verb) -> impl Parser<'a, Toks<'a>, At<Verb>, Extra<'a>> {
    leaf(move |inp| match take_word(inp, word) {
        Some(span) => Ok(At::new(verb, span)),
        None => fail(inp, Fault::Verb),
    })
}

/// How much, where it is said.
fn amount(inp: &mut Inp<'_, '_>) -> Read<Option<At<Quantity>>> {
    if inp.peek_ref().is_none() {
        return Ok(None);
    }
    let found = leaf::measured(inp, AMPS_OR_WATTS)?;
    range::check(
        inp,
        found,
        "what a part draws",
        &Range::usual(found.value.dimension),
    );
    Ok(Some(found))
}

/// `off`, a number or `both`.
fn position(inp: &mut Inp<'_, '_>) -> Read<At<Position>> {
    let Some(tok) = inp.peek_ref() else {
        return fail(inp, Fault::Position);
    };
    let position = match (tok.lexeme, tok.text) {
        (Lexeme::Word, "off") => Position::Off,
        (Lexeme::Word, "both") => Position::Both,
        (Lexeme::Number, _) => {
            let number = leaf::count(inp, "position", &COUNT)?;
            return Ok(At::new(Position::Number(number.value), number.span));
        }
        _ => return fail(inp, Fault::Position),
    };
    inp.skip();
    Ok(At::new(position, tok.span))
}
