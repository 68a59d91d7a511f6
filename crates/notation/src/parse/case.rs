//! The lines of a case: `on fresh-pump 5 A`, `set battery-selector both`.

use chumsky::prelude::*;

use super::{
    Extra, Inp, Toks,
    facts::AMPS_OR_WATTS,
    leaf::{self, Read, fail, leaf, name, peek},
    range::{self, COUNT},
    trouble::Fault,
};
use crate::{
    table::Range,
    token::Lexeme,
    tree::{At, Name, Position, Setting, Verb},
    units::Quantity,
};

/// One line of a case.
pub(super) fn setting<'a>() -> impl Parser<'a, Toks<'a>, Setting, Extra<'a>> {
    leaf(verb)
        .then(leaf(|inp| name(inp, "the part")))
        .then(leaf(amount))
        .then(leaf(position))
        .try_map(
            |(((verb, name), amount), position), _| match (verb.value, amount, position) {
                (Verb::Set, _, None) => Err(Fault::Position.after(2)),
                (Verb::Set, None, _) | (Verb::On, _, None) | (_, None, None) => {
                    Ok(set(verb, name, amount, position))
                }
                _ => Err(Fault::End.after(2)),
            },
        )
}

fn set(
    verb: At<Verb>,
    name: At<Name>,
    amount: Option<At<Quantity>>,
    position: Option<At<Position>>,
) -> Setting {
    let end = amount
        .map(|at| at.span)
        .or(position.map(|at| at.span))
        .unwrap_or(name.span);
    Setting {
        verb: verb.value,
        span: verb.span.to(end),
        name,
        amount,
        position,
    }
}

fn verb(inp: &mut Inp<'_, '_>) -> Read<At<Verb>> {
    let Some(tok) = peek(inp, Lexeme::Word) else {
        return fail(inp, Fault::Verb);
    };
    let verb = match tok.text {
        "on" => Verb::On,
        "off" => Verb::Off,
        "open" => Verb::Open,
        "close" => Verb::Close,
        "set" => Verb::Set,
        _ => return fail(inp, Fault::Verb),
    };
    inp.skip();
    Ok(At::new(verb, tok.span))
}

/// How much: a number with a unit.
fn amount(inp: &mut Inp<'_, '_>) -> Read<Option<At<Quantity>>> {
    let comes = match inp.peek_ref().map(|tok| tok.lexeme) {
        Some(Lexeme::Number) => !is_last(inp),
        Some(Lexeme::BadNumber | Lexeme::Negative) => true,
        _ => false,
    };
    if !comes {
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

fn is_last(inp: &mut Inp<'_, '_>) -> bool {
    let all = inp.full_slice();
    leaf::position(inp) as usize + 1 == all.len()
}

/// `off`, a number or `both`.
fn position(inp: &mut Inp<'_, '_>) -> Read<Option<At<Position>>> {
    let Some(tok) = inp.peek_ref() else {
        return Ok(None);
    };
    let position = match (tok.lexeme, tok.text) {
        (Lexeme::Word, "off") => Position::Off,
        (Lexeme::Word, "both") => Position::Both,
        (Lexeme::Number, _) => {
            let number = leaf::count(inp, "a position", &COUNT)?;
            return Ok(Some(At::new(Position::Number(number.value), number.span)));
        }
        _ => return Ok(None),
    };
    inp.skip();
    Ok(Some(At::new(position, tok.span)))
}
