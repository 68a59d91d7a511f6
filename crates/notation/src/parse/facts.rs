//! Facts, panel ways and allowances: the grammar of heads and of the lines below them.

use chumsky::prelude::*;

use super::{
    Draft, Extra, Inp, Tok, Toks,
    leaf::{self, Read, fail, leaf, name, peek, peek_word, position, take_word, text, word},
    range::{self, COUNT},
    trouble::{Fault, Trouble},
};
use crate::{
    flaw::{Code, Flaw},
    table::{FactRow, Key, Kind, Range, Shape, Space},
    token::Lexeme,
    tree::{Allow, Arg, At, Fact, Span, UpTo, Way, WayDevice},
    units::{Dimension, Unit},
};

/// A line of facts, straight into the draft; one that cannot be read costs itself only.
pub(super) fn facts<'a>() -> impl Parser<'a, Toks<'a>, (), Extra<'a>> {
    let (way, allow) = (way(), allow());
    custom(move |inp: &mut Inp<'a, '_>| {
        while inp.peek_ref().is_some() {
            let before = inp.save();
            let read = match (peek_word(inp), inp.state().kind) {
                ("way", Some(Kind::Panel)) => inp.parse(&way).map(|way| inp.state().ways.push(way)),
                ("allow", _) => inp
                    .parse(&allow)
                    .map(|allow| inp.state().allows.push(allow)),
                _ => fact(inp),
            };
            if let Err(trouble) = read {
                inp.rewind(before);
                inp.state().troubles.push(trouble);
                skip_to_fact(inp);
            }
        }
        Ok(())
    })
}

/// Eats one token, then all that begin no fact of the kind.
fn skip_to_fact(inp: &mut Inp<'_, '_>) {
    inp.skip();
    while let Some(tok) = inp.peek_ref() {
        let kind = inp.state().kind;
        let begins =
            tok.is("allow") || kind.is_some_and(|kind| kind.fact_of_word(tok.text).is_some());
        if tok.lexeme == Lexeme::Word && begins {
            return;
        }
        inp.skip();
    }
}

fn fact(inp: &mut Inp<'_, '_>) -> Read<()> {
    let at = position(inp);
    let Some(kind) = inp.state().kind else {
        return fail(inp, Fault::Fact);
    };
    let Some(tok) = inp.peek_ref() else {
        return fail(inp, Fault::Fact);
    };
    let (key, args) = match tok.lexeme {
        Lexeme::Word => worded(inp, kind, tok)?,
        Lexeme::Number | Lexeme::Negative | Lexeme::BadNumber => bare(inp, kind)?,
        _ => return fail(inp, Fault::Fact),
    };
    let end = last_span(inp, tok.span);
    keep(
        &mut inp.state().0,
        Fact {
            key,
            span: tok.span.to(end),
            args,
        },
        at,
    )
}

/// The span of the token before the one to come.
fn last_span(inp: &mut Inp<'_, '_>, first: Span) -> Span {
    let so_far = position(inp) as usize;
    let all: &[Tok<'_>] = inp.full_slice();
    so_far
        .checked_sub(1)
        .and_then(|last| all.get(last))
        .map_or(first, |tok| tok.span)
}

/// Keeps a fact, unless it was said before or another one excludes it.
fn keep(draft: &mut Draft, fact: Fact, at: u32) -> Read<()> {
    let row_of = |key: Key| draft.kind.and_then(|kind| kind.fact(key));
    let Some(row) = row_of(fact.key) else {
        return Ok(());
    };
    let group = usize::from(row.group);
    let same = (draft.says(row.key) && !row.repeats).then_some(row);
    let other = || {
        draft
            .groups
            .get(group)
            .copied()
            .flatten()
            .filter(|_| group > 0)
            .and_then(row_of)
    };
    if let Some(other) = same.or_else(other) {
        return Err(Trouble {
            at,
            fault: Fault::Clash(other, row, fact.span),
        });
    }
    draft.said |= 1 << row.key as u32;
    if let Some(said) = draft.groups.get_mut(group) {
        *said = Some(row.key);
    }
    draft.facts.push(fact);
    Ok(())
}

type Said = (Key, Vec<Arg>);

/// A fact that a word begins.
fn worded(inp: &mut Inp<'_, '_>, kind: Kind, tok: &Tok<'_>) -> Read<Said> {
    let Some(row) = kind.fact_of_word(tok.text) else {
        return match kind
            .row()
            .facts
            .iter()
            .find(|row| matches!(row.shape, Shape::BareName))
        {
            Some(row) if !inp.state().says(row.key) => {
                Ok((row.key, vec![Arg::Name(name(inp, "the cable")?)]))
            }
            _ => fail(inp, Fault::Fact),
        };
    };
    if let (Shape::Choice(_), Some(word)) = (row.shape, row.choice(tok.text)) {
        inp.skip();
        return Ok((row.key, vec![Arg::Word(At::new(word, tok.span))]));
    }
    if matches!(row.shape, Shape::CountBefore) {
        return fail(inp, Fault::CountBefore(row));
    }
    inp.skip();
    Ok((row.key, args(inp, row)?))
}

/// What follows a fact's word.
fn args(inp: &mut Inp<'_, '_>, row: &'static FactRow) -> Read<Vec<Arg>> {
    Ok(match row.shape {
        Shape::Quantity(_) => vec![measure(inp, row)?],
        Shape::Maybe(_) if number_comes(inp) => vec![measure(inp, row)?],
        Shape::Count => vec![count(inp, row)?],
        Shape::Word(_) => vec![chosen(inp, row)?],
        Shape::Name(space) => vec![Arg::Name(name(inp, named(space))?)],
        Shape::Size => vec![Arg::Size(leaf::size(inp)?)],
        Shape::SizeAmps => vec![Arg::Size(leaf::size(inp)?), amps(inp, row)?],
        Shape::CountAmps => vec![count_of(inp, row)?, amps(inp, row)?],
        Shape::Positions => positions(inp)?,
        Shape::AmpsTime => amps_time(inp, row)?,
        Shape::Flag
        | Shape::Maybe(_)
        | Shape::Bare(_)
        | Shape::BareSize
        | Shape::BareName
        | Shape::Choice(_)
        | Shape::CountBefore => Vec::new(),
    })
}

/// Whose name a name is, for a message.
const fn named(space: Space) -> &'static str {
    match space {
        Space::Boat => "the boat",
        Space::File => "the file",
        Space::Part => "the part",
        Space::Place => "the place",
        Space::Cable => "the cable",
        Space::Run => "the run",
        Space::Case => "the case",
    }
}

/// What a dimension list of one is, as a constant that a message may keep.
pub(super) const fn only(dimension: Dimension) -> &'static [Dimension] {
    match dimension {
        Dimension::Potential => &[Dimension::Potential],
        Dimension::Current => &[Dimension::Current],
        Dimension::Power => &[Dimension::Power],
        Dimension::Resistance => &[Dimension::Resistance],
        Dimension::Charge => &[Dimension::Charge],
        Dimension::Energy => &[Dimension::Energy],
        Dimension::Length => &[Dimension::Length],
        Dimension::Section => &[Dimension::Section],
        Dimension::Temperature => &[Dimension::Temperature],
        Dimension::Time => &[Dimension::Time],
        Dimension::Opening => &[Dimension::Opening],
        Dimension::Percent => &[Dimension::Percent],
        Dimension::Daily => &[Dimension::Daily],
    }
}

fn measure(inp: &mut Inp<'_, '_>, row: &'static FactRow) -> Read<Arg> {
    let (Shape::Quantity(dimension) | Shape::Maybe(dimension)) = row.shape else {
        return fail(inp, Fault::Fact);
    };
    let found = leaf::measured(inp, only(dimension))?;
    range::check_fact(inp, found, row);
    Ok(Arg::Quantity(found))
}

fn amps(inp: &mut Inp<'_, '_>, row: &'static FactRow) -> Read<Arg> {
    let found = leaf::measured(inp, only(Dimension::Current))?;
    range::check_fact(inp, found, row);
    Ok(Arg::Quantity(found))
}

fn amps_time(inp: &mut Inp<'_, '_>, row: &'static FactRow) -> Read<Vec<Arg>> {
    let mut args = vec![amps(inp, row)?];
    if number_comes(inp) && time_comes(inp) {
        let found = leaf::measured(inp, only(Dimension::Time))?;
        range::check(inp, found, "a time", &Range::usual(Dimension::Time));
        args.push(Arg::Quantity(found));
    }
    Ok(args)
}

fn number_comes(inp: &mut Inp<'_, '_>) -> bool {
    let lexeme = inp.peek_ref().map(|tok| tok.lexeme);
    matches!(
        lexeme,
        Some(Lexeme::Number | Lexeme::Negative | Lexeme::BadNumber)
    )
}

/// Whether the quantity to come is a time: `4 h/day` after `starting 10 A` is a fact of its own.
fn time_comes(inp: &mut Inp<'_, '_>) -> bool {
    let at = position(inp) as usize;
    let all: &[Tok<'_>] = inp.full_slice();
    let unit = all.get(at + 1).and_then(|tok| Unit::find(tok.text));
    let daily = all
        .get(at + 2)
        .is_some_and(|tok| tok.lexeme == Lexeme::Slash);
    unit.is_some_and(|unit| unit.row().dimension == Dimension::Time) && !daily
}

fn count_of(inp: &mut Inp<'_, '_>, row: &'static FactRow) -> Read<Arg> {
    Ok(Arg::Count(leaf::count(inp, row.word, &COUNT)?))
}

/// A count, which has no unit.
fn count(inp: &mut Inp<'_, '_>, row: &'static FactRow) -> Read<Arg> {
    let found = leaf::count(inp, row.word, &row.range)?;
    let has_unit = peek(inp, Lexeme::Percent).is_some() || Unit::find(peek_word(inp)).is_some();
    if has_unit {
        fail(inp, Fault::CountUnit(row.word))
    } else {
        Ok(Arg::Count(found))
    }
}

fn chosen(inp: &mut Inp<'_, '_>, row: &'static FactRow) -> Read<Arg> {
    let Some(tok) = peek(inp, Lexeme::Word) else {
        return fail(inp, Fault::Choice(row));
    };
    let Some(word) = row.choice(tok.text) else {
        return fail(inp, Fault::Choice(row));
    };
    inp.skip();
    Ok(Arg::Word(At::new(word, tok.span)))
}

/// `off`, counts and `both`; the list ends at anything else, a quantity too.
fn positions(inp: &mut Inp<'_, '_>) -> Read<Vec<Arg>> {
    let mut positions = Vec::new();
    while let Some(position) = selector_position(inp) {
        positions.push(position);
    }
    if positions.is_empty() {
        fail(inp, Fault::Positions)
    } else {
        Ok(positions)
    }
}

fn selector_position(inp: &mut Inp<'_, '_>) -> Option<Arg> {
    let tok = inp.peek_ref()?;
    let arg = match (tok.lexeme, tok.text) {
        (Lexeme::Word, "off") => Arg::Word(At::new("off", tok.span)),
        (Lexeme::Word, "both") => Arg::Word(At::new("both", tok.span)),
        (Lexeme::Number, text) if !unit_follows(inp) => {
            Arg::Count(At::new(text.parse().ok()?, tok.span))
        }
        _ => return None,
    };
    inp.skip();
    Some(arg)
}

fn unit_follows(inp: &mut Inp<'_, '_>) -> bool {
    let next = position(inp) as usize + 1;
    let all: &[Tok<'_>] = inp.full_slice();
    all.get(next)
        .is_some_and(|tok| tok.lexeme == Lexeme::Percent || Unit::find(tok.text).is_some())
}

/// A bare quantity or size, or a count that stands before its word.
fn bare(inp: &mut Inp<'_, '_>, kind: Kind) -> Read<Said> {
    if let Some(said) = count_before(inp, kind)? {
        return Ok(said);
    }
    let sized = kind
        .row()
        .facts
        .iter()
        .find(|row| matches!(row.shape, Shape::BareSize));
    if let (Some(row), true) = (sized, size_comes(inp)) {
        return Ok((row.key, vec![Arg::Size(leaf::size(inp)?)]));
    }
    let at = position(inp);
    let lacks_size = sized.is_some_and(|row| !inp.state().says(row.key));
    let found = match kind {
        Kind::Load => leaf::multiplied(inp, &[])?,
        _ => leaf::quantity(inp, &[])?,
    };
    if lacks_size && found.value.unit == Unit::Millimetre {
        return Err(Trouble {
            at,
            fault: Fault::WrongUnit(leaf::SECTION, found),
        });
    }
    let Some(row) = kind.bare_fact(found.value.dimension) else {
        return Err(Trouble {
            at,
            fault: Fault::Bare(found),
        });
    };
    range::check(inp, found, called(row), &row.range);
    Ok((row.key, vec![Arg::Quantity(found)]))
}

/// What the value of a bare fact is called in a sentence.
pub(super) const fn called(row: &FactRow) -> &'static str {
    match row.bare_dimension() {
        Some(Dimension::Current) => "a current",
        Some(Dimension::Potential) => "a voltage",
        Some(Dimension::Power) => "a power",
        Some(Dimension::Charge) => "what a battery holds",
        Some(Dimension::Resistance) => "a resistance",
        Some(Dimension::Length) => "a length",
        Some(Dimension::Section) => "a conductor's size",
        Some(Dimension::Daily | Dimension::Percent) => "a part of the day",
        _ => "this",
    }
}

fn count_before(inp: &mut Inp<'_, '_>, kind: Kind) -> Read<Option<Said>> {
    let Some(row) = kind
        .row()
        .facts
        .iter()
        .find(|row| matches!(row.shape, Shape::CountBefore))
    else {
        return Ok(None);
    };
    let next = position(inp) as usize + 1;
    let all: &[Tok<'_>] = inp.full_slice();
    if !all.get(next).is_some_and(|tok| tok.is(row.word)) {
        return Ok(None);
    }
    let count = leaf::count(inp, row.word, &row.range)?;
    inp.skip();
    Ok(Some((row.key, vec![Arg::Count(count)])))
}

/// Whether the number to come is a conductor's size.
pub(super) fn size_comes(inp: &mut Inp<'_, '_>) -> bool {
    let at = position(inp) as usize;
    let all: &[Tok<'_>] = inp.full_slice();
    let unit = |tok: &Tok<'_>| {
        Unit::find(tok.text).is_some_and(|unit| unit.row().dimension == Dimension::Section)
    };
    all.get(at + 1)
        .is_some_and(|tok| tok.lexeme == Lexeme::Slash || unit(tok))
}

/// `way 2 fuse 10 A "Fresh water"`.
fn way<'a>() -> impl Parser<'a, Toks<'a>, Way, Extra<'a>> {
    let title = leaf(|inp| {
        let comes = peek(inp, Lexeme::Text).is_some();
        if comes {
            text(inp, "a title").map(Some)
        } else {
            Ok(None)
        }
    });
    word("way")
        .then(leaf(|inp| leaf::count(inp, "way", &COUNT)))
        .then(leaf(device))
        .then(title)
        .map(|(((way, number), (device, amps, end)), title)| {
            let end = title.as_ref().map_or(end, |title| title.span);
            Way {
                number,
                device,
                amps,
                title,
                span: way.to(end),
            }
        })
}

/// What stands in a way, its rating, and where that ends.
fn device(inp: &mut Inp<'_, '_>) -> Read<(At<WayDevice>, Option<At<f64>>, Span)> {
    let Some(tok) = peek(inp, Lexeme::Word) else {
        return fail(inp, Fault::WayDevice);
    };
    let device = match tok.text {
        "fuse" => WayDevice::Fuse,
        "breaker" => WayDevice::Breaker,
        "switch" => WayDevice::Switch,
        "spare" => WayDevice::Spare,
        _ => return fail(inp, Fault::WayDevice),
    };
    inp.skip();
    let device = At::new(device, tok.span);
    if device.value == WayDevice::Spare {
        return Ok((device, None, tok.span));
    }
    let amps = leaf::measured(inp, only(Dimension::Current))?;
    range::check(
        inp,
        amps,
        "a way's rating",
        &Range::usual(Dimension::Current),
    );
    Ok((
        device,
        Some(At::new(amps.value.value, amps.span)),
        amps.span,
    ))
}

/// `allow FINDING [up to FIGURE] "reason" [by "who"]`.
pub(super) fn allow<'a>() -> impl Parser<'a, Toks<'a>, Allow, Extra<'a>> {
    let up_to = leaf(|inp| {
        if take_word(inp, "up").is_none() {
            return Ok(None);
        }
        let Some(_) = take_word(inp, "to") else {
            return fail(inp, Fault::Word("to"));
        };
        figure(inp).map(Some)
    });
    let by = leaf(|inp| {
        let comes = take_word(inp, "by").is_some();
        if comes {
            text(inp, "who accepts it").map(Some)
        } else {
            Ok(None)
        }
    });
    word("allow")
        .then(leaf(|inp| name(inp, "the finding")))
        .then(up_to)
        .then(leaf(|inp| text(inp, "the reason")))
        .then(by)
        .map(|((((allow, code), up_to), reason), by)| {
            let end = by.as_ref().map_or(reason.span, |by| by.span);
            Allow {
                code,
                up_to,
                reason,
                by,
                step: None,
                span: allow.to(end),
            }
        })
}

/// A measured figure with its unit, or a count without one: then the reason follows the number.
fn figure(inp: &mut Inp<'_, '_>) -> Read<At<UpTo>> {
    let next = position(inp) as usize + 1;
    let all: &[Tok<'_>] = inp.full_slice();
    let is_whole = inp.peek_ref().is_some_and(|tok| {
        tok.lexeme == Lexeme::Number && tok.text.bytes().all(|byte| byte.is_ascii_digit())
    });
    if is_whole && all.get(next).is_some_and(|tok| tok.lexeme == Lexeme::Text) {
        let count = leaf::count(inp, "up to", &COUNT)?;
        return Ok(At::new(UpTo::Count(count.value), count.span));
    }
    let found = leaf::quantity(inp, &[])?;
    Ok(At::new(UpTo::Measured(found.value), found.span))
}

/// What is wrong with a panel's ways as a list: a number said twice.
pub(super) fn check_ways(ways: &[Way], flaws: &mut Vec<Flaw>) {
    let mut numbers: Vec<(u32, Span)> = ways
        .iter()
        .map(|way| (way.number.value, way.number.span))
        .collect();
    numbers.sort_unstable_by_key(|&(number, span)| (number, span.start));
    let twice = numbers.windows(2).filter(|pair| pair[0].0 == pair[1].0);
    flaws.extend(twice.map(|pair| {
        let next = numbers.last().map_or(1, |last| last.0.saturating_add(1));
        let message = format!(
            "Way {} is said twice: give each way of the panel a number of its own.",
            pair[1].0
        );
        Flaw::new(Code::Syntax, pair[1].1, message).written(pair[1].1, next.to_string())
    }));
}

/// An amount that a case gives: amperes or watts.
pub(super) const AMPS_OR_WATTS: &[Dimension] = &[Dimension::Current, Dimension::Power];
