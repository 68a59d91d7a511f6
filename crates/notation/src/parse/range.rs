//! Numbers that no boat has: below zero, nothing at all, or larger than the world allows.

use super::Inp;
use crate::{
    flaw::{Code, Flaw},
    table::{FactRow, Range},
    tree::{At, Span},
    units::{Dimension, Quantity, Size, Unit, plain},
};

/// Any count of things on board.
pub(super) const COUNT: Range = Range {
    min: 1.0,
    max: 1_000.0,
    above: false,
};

/// Adds a flaw where a count is out of its range.
pub(super) fn check_count(
    inp: &mut Inp<'_, '_>,
    number: f64,
    what: &str,
    range: &Range,
    span: Span,
) {
    if range.holds(number) {
        return;
    }
    let (min, max) = (plain(range.min), plain(range.max));
    let message = format!("{number} is not possible here: `{what}` is from {min} to {max}.");
    inp.state()
        .flaws
        .push(Flaw::new(Code::ImpossibleValue, span, message));
}

/// Adds a flaw where the quantity of a fact with a word of its own is out of its range.
pub(super) fn check_fact(inp: &mut Inp<'_, '_>, found: At<Quantity>, row: &FactRow) {
    // The sentence's words are made only where there is one.
    if !row.range.holds(found.value.value) {
        check(inp, found, &format!("`{}`", row.word), &row.range);
    }
}

/// Adds a flaw where a quantity is out of its range; `what` names the fact in the message.
pub(super) fn check(inp: &mut Inp<'_, '_>, found: At<Quantity>, what: &str, range: &Range) {
    if !range.holds(found.value.value) {
        let flaw = impossible(found, what, range);
        inp.state().flaws.push(flaw);
    }
}

fn impossible(found: At<Quantity>, what: &str, range: &Range) -> Flaw {
    let said = shown(found.value);
    let (min, max) = (
        bound(range.min, found.value.dimension),
        bound(range.max, found.value.dimension),
    );
    let value = found.value.value;
    let message = if !value.is_finite() {
        format!("This number is too large to be read: {what} is at most {max}.")
    } else if value < 0.0 && range.min >= 0.0 {
        format!("{said} is below zero, which {what} never is: write it without the minus sign.")
    } else if value > range.max {
        format!("{said} is too much: {what} is at most {max}; check the number and its unit.")
    } else if value == 0.0 {
        format!("{said} says nothing: {what} is more than zero.")
    } else {
        format!("{said} is too little: {what} is at least {min}; check the number and its unit.")
    };
    let flaw = Flaw::new(Code::ImpossibleValue, found.span, message);
    let mirrored = Quantity {
        value: -value,
        ..found.value
    };
    if value < 0.0 && range.min >= 0.0 && range.holds(mirrored.value) {
        return flaw.written(found.span, mirrored.ascii());
    }
    flaw
}

/// A quantity in a sentence, where a huge number is cut short.
fn shown(quantity: Quantity) -> String {
    let number = quantity.number();
    if number.abs() < 1e9 {
        quantity.printed()
    } else {
        format!("{number:e} {}", quantity.unit.printed())
    }
}

/// A bound in the unit that people think of first.
fn bound(value: f64, dimension: Dimension) -> String {
    let unit = match dimension {
        Dimension::Resistance => Unit::Ohm,
        _ => dimension
            .units()
            .next()
            .map_or(Unit::Percent, |row| row.unit),
    };
    Quantity {
        value,
        dimension,
        unit,
    }
    .printed()
}

/// Adds a flaw where a conductor size is out of its range.
pub(super) fn check_size(inp: &mut Inp<'_, '_>, size: Size, span: Span) {
    if let Size::Mm2(area) = size {
        let quantity = Quantity::new(area, Unit::SquareMillimetre);
        check(
            inp,
            At::new(quantity, span),
            "a conductor's size",
            &Range::usual(Dimension::Section),
        );
    }
}
