//! Single values: words, names, counts, quantities, sizes, texts, colours and marks.

use std::sync::Arc;

use chumsky::prelude::*;

use super::{
    Extra, Inp, Tok, Toks, range,
    trouble::{Fault, Trouble},
};
use crate::{
    access,
    flaw::{Code, Flaw},
    table::Range,
    token::Lexeme,
    tree::{At, Colour, Name, Span},
    units::{Dimension, Quantity, Size, Unit},
};

pub(super) type Read<T> = Result<T, Trouble>;

/// A failure at the token to come.
pub(super) fn fail<T>(inp: &Inp<'_, '_>, fault: Fault) -> Read<T> {
    Err(Trouble {
        at: position(inp),
        fault,
    })
}

/// The index of the token to come.
pub(super) fn position(inp: &Inp<'_, '_>) -> u32 {
    *inp.cursor().inner() as u32
}

/// The token to come, where it is of a lexeme.
pub(super) fn peek<'a>(inp: &mut Inp<'a, '_>, lexeme: Lexeme) -> Option<&'a Tok<'a>> {
    inp.peek_ref().filter(|tok| tok.lexeme == lexeme)
}

/// The text of the word to come; empty where no word comes.
pub(super) fn peek_word<'a>(inp: &mut Inp<'a, '_>) -> &'a str {
    peek(inp, Lexeme::Word).map_or("", |tok| tok.text)
}

/// Takes the token to come where it is this word.
pub(super) fn take_word(inp: &mut Inp<'_, '_>, word: &str) -> Option<Span> {
    let tok = inp.peek_ref().filter(|tok| tok.is(word))?;
    inp.skip();
    Some(tok.span)
}

/// Any value read by a function, as a parser.
pub(super) fn leaf<'a, T>(
    read: impl Fn(&mut Inp<'a, '_>) -> Read<T>,
) -> impl Parser<'a, Toks<'a>, T, Extra<'a>> {
    custom(read)
}

/// One word.
pub(super) fn word<'a>(word: &'static str) -> impl Parser<'a, Toks<'a>, Span, Extra<'a>> {
    leaf(move |inp| take_word(inp, word).map_or_else(|| fail(inp, Fault::Word(word)), Ok))
}

/// A name; `what` says whose, for the message.
pub(super) fn name(inp: &mut Inp<'_, '_>, what: &'static str) -> Read<At<Name>> {
    let Some(tok) = peek(inp, Lexeme::Word) else {
        return fail(inp, Fault::Name(what));
    };
    inp.skip();
    Ok(At::new(access::name(tok.text), tok.span))
}

/// Whether a word may be a name; `×` and `°C` are words that begin with no letter.
pub(super) fn is_name(tok: &Tok<'_>) -> bool {
    tok.lexeme == Lexeme::Word && !tok.text.starts_with(['×', '°'])
}

/// A whole number; `what` says of what, for the message.
pub(super) fn count(inp: &mut Inp<'_, '_>, what: &'static str, range: &Range) -> Read<At<u32>> {
    let Some(tok) = inp.peek_ref() else {
        return fail(inp, Fault::Count(what));
    };
    let number: Option<f64> = match tok.lexeme {
        Lexeme::Number | Lexeme::Negative => number_of(tok.text),
        _ => None,
    };
    let Some(number) = number else {
        return fail(inp, Fault::Count(what));
    };
    if number.fract() != 0.0 {
        return fail(inp, Fault::Count(what));
    }
    inp.skip();
    range::check_count(inp, number, what, range, tok.span);
    // A count out of its range has its flaw; what is kept of it must not overflow.
    Ok(At::new(
        number.clamp(0.0, f64::from(u32::MAX)) as u32,
        tok.span,
    ))
}

fn number_of(text: &str) -> Option<f64> {
    text.strip_prefix('\u{2212}').map_or_else(
        || text.parse().ok(),
        |rest| rest.parse::<f64>().ok().map(|n| -n),
    )
}

fn number(inp: &mut Inp<'_, '_>, wanted: &'static [Dimension]) -> Read<At<f64>> {
    let Some(tok) = inp.peek_ref() else {
        return fail(inp, Fault::Quantity(wanted));
    };
    match (tok.lexeme, number_of(tok.text)) {
        (Lexeme::Number | Lexeme::Negative, Some(number)) => {
            inp.skip();
            Ok(At::new(number, tok.span))
        }
        _ => fail(inp, Fault::Quantity(wanted)),
    }
}

/// A number and its unit, whatever it measures.
pub(super) fn quantity(inp: &mut Inp<'_, '_>, wanted: &'static [Dimension]) -> Read<At<Quantity>> {
    let number = number(inp, wanted)?;
    let unit = unit(inp, wanted)?;
    Ok(At::new(
        Quantity::new(number.value, unit.value),
        number.span.to(unit.span),
    ))
}

/// A quantity that may be multiplied: `6 x 2.4 W`.
pub(super) fn multiplied(
    inp: &mut Inp<'_, '_>,
    wanted: &'static [Dimension],
) -> Read<At<Quantity>> {
    let first = number(inp, wanted)?;
    let times = inp.peek_ref().is_some_and(|tok| tok.is("x") || tok.is("×"));
    let (number, start) = if times {
        inp.skip();
        (number(inp, wanted)?.value * first.value, first.span)
    } else {
        (first.value, first.span)
    };
    let unit = unit(inp, wanted)?;
    Ok(At::new(
        Quantity::new(number, unit.value),
        start.to(unit.span),
    ))
}

fn unit(inp: &mut Inp<'_, '_>, wanted: &'static [Dimension]) -> Read<At<Unit>> {
    let found = match inp.peek_ref() {
        Some(tok) if tok.lexeme == Lexeme::Word => {
            Unit::find(tok.text).map(|unit| At::new(unit, tok.span))
        }
        Some(tok) if tok.lexeme == Lexeme::Percent => Some(At::new(Unit::Percent, tok.span)),
        _ => None,
    };
    let Some(found) = found else {
        return fail(inp, Fault::Unit(wanted));
    };
    inp.skip();
    daily(inp, found)
}

/// `h` and `min` may go on as `h/day`.
fn daily(inp: &mut Inp<'_, '_>, unit: At<Unit>) -> Read<At<Unit>> {
    let per_day = match unit.value {
        Unit::Hour => Unit::HourPerDay,
        Unit::Minute => Unit::MinutePerDay,
        _ => return Ok(unit),
    };
    if peek(inp, Lexeme::Slash).is_none() {
        return Ok(unit);
    }
    inp.skip();
    let Some(day) = take_word(inp, "day") else {
        return fail(inp, Fault::Word("day"));
    };
    Ok(At::new(per_day, unit.span.to(day)))
}

/// A quantity of one of these dimensions.
pub(super) fn measured(inp: &mut Inp<'_, '_>, wanted: &'static [Dimension]) -> Read<At<Quantity>> {
    let at = position(inp);
    let found = quantity(inp, wanted)?;
    if wanted.contains(&found.value.dimension) {
        return Ok(found);
    }
    Err(Trouble {
        at,
        fault: Fault::WrongUnit(wanted, found),
    })
}

/// A conductor size: `2.5 mm2`, `10 AWG`, `2/0 AWG`, `00 AWG`.
pub(super) fn size(inp: &mut Inp<'_, '_>) -> Read<At<Size>> {
    let at = position(inp);
    let first = inp.peek_ref();
    if let Some(first) = first.filter(|_| slash_follows(inp)) {
        inp.skip();
        inp.skip();
        return aught(inp, first, at);
    }
    let found = measured(inp, SECTION)?;
    let text = first.map_or("", |tok| tok.text);
    let size = match found.value.unit {
        Unit::Awg => gauge(text, found.value.number()).map(Size::Awg),
        _ => Some(Size::Mm2(found.value.value)),
    };
    let Some(size) = size else {
        return Err(Trouble {
            at,
            fault: Fault::Gauge,
        });
    };
    range::check_size(inp, size, found.span);
    Ok(At::new(size, found.span))
}

fn slash_follows(inp: &mut Inp<'_, '_>) -> bool {
    let at = position(inp) as usize;
    let all: &[Tok<'_>] = inp.full_slice();
    all.get(at).is_some_and(|tok| tok.lexeme == Lexeme::Number)
        && all
            .get(at + 1)
            .is_some_and(|tok| tok.lexeme == Lexeme::Slash)
}

pub(super) const SECTION: &[Dimension] = &[Dimension::Section];

/// The second half of `2/0 AWG`.
fn aught(inp: &mut Inp<'_, '_>, first: &Tok<'_>, at: u32) -> Read<At<Size>> {
    let zero = peek(inp, Lexeme::Number).is_some_and(|tok| tok.text == "0");
    let gauge = first
        .text
        .parse::<i8>()
        .ok()
        .filter(|gauge| (1..=4).contains(gauge));
    let (Some(gauge), true) = (gauge, zero) else {
        return Err(Trouble {
            at,
            fault: Fault::Gauge,
        });
    };
    inp.skip();
    let Some(unit) = take_word(inp, "AWG") else {
        return fail(inp, Fault::Word("AWG"));
    };
    Ok(At::new(Size::Awg(1 - gauge), first.span.to(unit)))
}

/// A gauge from its number: 40 to 1, then 0, 00, 000, 0000.
fn gauge(text: &str, number: f64) -> Option<i8> {
    match text {
        "00" => Some(-1),
        "000" => Some(-2),
        "0000" => Some(-3),
        // The number went through an area and back, so it is whole but for rounding.
        _ => {
            let whole = number.round();
            let is_whole = (number - whole).abs() < 1e-6 && !text.starts_with('-');
            (is_whole && (0.0..=40.0).contains(&whole)).then_some(whole as i8)
        }
    }
}

/// Text in straight quotes.
pub(super) fn text(inp: &mut Inp<'_, '_>, what: &'static str) -> Read<At<Arc<str>>> {
    let Some(tok) = peek(inp, Lexeme::Text) else {
        return fail(inp, Fault::Text(what));
    };
    inp.skip();
    let inner = tok.text.get(1..tok.text.len() - 1).unwrap_or_default();
    if !inner.contains('\\') {
        return Ok(At::new(inner.into(), tok.span));
    }
    let text = unescaped(inp, inner, tok.span);
    Ok(At::new(text.into(), tok.span))
}

fn unescaped(inp: &mut Inp<'_, '_>, inner: &str, span: Span) -> String {
    let mut text = String::with_capacity(inner.len());
    let mut chars = inner.char_indices();
    while let Some((at, c)) = chars.next() {
        let next = if c == '\\' {
            chars.next().map(|(_, next)| next)
        } else {
            None
        };
        match next {
            None => text.push(c),
            Some(next @ ('"' | '\\')) => text.push(next),
            Some(next) => {
                text.extend([c, next]);
                let start = span.start + 1 + at as u32;
                let span = Span::new(start, start + 1);
                let message = format!(
                    "`\\{next}` means nothing in a text: write `\\\\` for a backslash, `\\\"` for a quote."
                );
                inp.state()
                    .flaws
                    .push(Flaw::new(Code::Syntax, span, message).written(span, "\\\\"));
            }
        }
    }
    text
}

/// A colour, perhaps of several joined by `/`; `None`, taking nothing, where no colour comes.
pub(super) fn colour(inp: &mut Inp<'_, '_>) -> Read<Option<At<Colour>>> {
    let Some(tok) = peek(inp, Lexeme::Word) else {
        return Ok(None);
    };
    let Some(first) = Colour::parse(tok.text) else {
        return Ok(None);
    };
    inp.skip();
    let mut found = At::new(first, tok.span);
    while peek(inp, Lexeme::Slash).is_some() {
        inp.skip();
        let next =
            peek(inp, Lexeme::Word).and_then(|tok| Some((Colour::parse(tok.text)?, tok.span)));
        let Some((next, span)) = next else {
            return fail(inp, Fault::Colour);
        };
        let Some(joined) = found.value.joined(next) else {
            return fail(inp, Fault::Colour);
        };
        inp.skip();
        found = At::new(joined, found.span.to(span));
    }
    Ok(Some(found))
}

/// A mark: the tokens that join each other after `mark`.
pub(super) fn mark<'a>(inp: &mut Inp<'a, '_>) -> Read<At<Arc<str>>> {
    let mut text = String::new();
    let mut last: Option<&Tok<'a>> = None;
    let mut span: Option<Span> = None;
    while let Some(tok) = inp
        .peek_ref()
        .filter(|tok| last.is_none_or(|last| tok.joins(last)))
    {
        if !is_mark(tok) {
            return fail(inp, Fault::Mark);
        }
        inp.skip();
        text.push_str(tok.text);
        span = Some(span.map_or(tok.span, |span| span.to(tok.span)));
        last = Some(tok);
    }
    let Some(span) = span else {
        return fail(inp, Fault::Mark);
    };
    Ok(At::new(access::name(&text), span))
}

fn is_mark(tok: &Tok<'_>) -> bool {
    match tok.lexeme {
        Lexeme::Word
        | Lexeme::Number
        | Lexeme::Plus
        | Lexeme::Minus
        | Lexeme::Slash
        | Lexeme::Dot
        | Lexeme::Negative => !tok.text.contains(['°', '×']),
        Lexeme::BadNumber => !tok.text.contains(','),
        _ => false,
    }
}
