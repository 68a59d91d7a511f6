//! A thing's facts: on its head line, or each on a line of its own below it.

use ampwright_notation::{Span, Thing, token::Lexeme};
use ampwright_plan::{Plan, ThingRef};

use super::{Offer, Task, gone, lines::Lines, rewrite};
use crate::cursor::{Cursor, Edit};

/// A head line longer than this is not made.
const LONGEST_HEAD: usize = 100;

pub(super) fn offers(cursor: &Cursor<'_>) -> Vec<Offer> {
    let on_facts = cursor.thing.head.touches(cursor.at)
        || cursor
            .thing
            .facts
            .iter()
            .any(|fact| fact.span.touches(cursor.at));
    let mut offers = Vec::new();
    if on_facts && !on_head_line(cursor.thing).is_empty() {
        offers.push(rewrite("Move the facts below", Task::Below(cursor.whose)));
    }
    if on_facts && below_head(cursor.thing).is_some() {
        offers.push(rewrite(
            "Move the facts to the head line",
            Task::OnHead(cursor.whose),
        ));
    }
    offers
}

/// The words that name a thing: behind them its facts begin.
fn named(thing: &Thing) -> Option<Span> {
    let name = thing.name.as_ref()?.span;
    Some(
        thing
            .title
            .as_ref()
            .map_or(name, |title| title.span.to(name)),
    )
}

/// The facts of the head line in the order of the text, where it has nothing else.
fn on_head_line(thing: &Thing) -> Vec<Span> {
    let Some(named) = named(thing) else {
        return Vec::new();
    };
    let on_head = |span: &Span| span.start >= named.end && span.end <= thing.head.end;
    let mut spans: Vec<Span> = of_thing(thing).filter(on_head).collect();
    spans.sort();
    let rest = Span::new(named.end, thing.head.end);
    if is_all(thing, rest, &spans) {
        spans
    } else {
        Vec::new()
    }
}

/// A thing's facts, ways and allowances.
fn of_thing(thing: &Thing) -> impl Iterator<Item = Span> {
    let facts = thing.facts.iter().map(|fact| fact.span);
    let ways = thing.ways.iter().map(|way| way.span);
    let allows = thing
        .allows
        .iter()
        .filter(|allow| allow.step.is_none())
        .map(|allow| allow.span);
    facts.chain(ways).chain(allows)
}

/// Whether every word of a stretch lies in one of these spans, which come in the order of the text.
fn is_all(thing: &Thing, stretch: Span, spans: &[Span]) -> bool {
    let tokens = thing.tokens.iter();
    let mut own = tokens.filter(|token| {
        token.span.start >= stretch.start
            && token.span.end <= stretch.end
            && !matches!(token.lexeme, Lexeme::Space | Lexeme::Newline)
    });
    own.all(|token| {
        let place = spans.partition_point(|span| span.end < token.span.end);
        let span = spans.get(place);
        span.is_some_and(|span| span.start <= token.span.start)
    })
}

/// Each fact of the head line on a line of its own.
pub(super) fn below(plan: &Plan, whose: ThingRef) -> Result<Vec<Edit>, String> {
    let lines = Lines::of(plan, whose).ok_or_else(gone)?;
    let spans = on_head_line(lines.thing);
    let (Some(named), Some(last)) = (named(lines.thing), spans.last()) else {
        return Err(gone());
    };
    let words: Vec<String> = spans
        .iter()
        .map(|&span| lines.thing.text_of(span).to_owned())
        .collect();
    Ok(vec![
        lines.replace(Span::new(named.end, last.end), ""),
        lines.below(lines.thing.head, lines.thing.head.end, &words),
    ])
}

/// The lines below the head that are a fact and nothing else, where all facts below are such.
fn below_head(thing: &Thing) -> Option<Vec<Span>> {
    let facts = thing.facts.iter().map(|fact| fact.span);
    let spans: Vec<Span> = facts.filter(|span| span.start >= thing.head.end).collect();
    let all = thing
        .facts
        .iter()
        .map(|fact| fact.span.len() as usize + 1)
        .sum::<usize>();
    let named = named(thing)?.end.saturating_sub(thing.kind_span.start) as usize;
    (!spans.is_empty() && named + all <= LONGEST_HEAD).then_some(spans)
}

/// Every fact on the head line.
pub(super) fn on_head(plan: &Plan, whose: ThingRef) -> Result<Vec<Edit>, String> {
    let lines = Lines::of(plan, whose).ok_or_else(gone)?;
    let spans = below_head(lines.thing).ok_or_else(gone)?;
    if !spans.iter().all(|&span| lines.is_alone(span)) {
        return Err("A comment or another fact stands beside one of them.".to_owned());
    }
    let mut words = String::new();
    for &span in &spans {
        words.push(' ');
        words.push_str(lines.thing.text_of(span));
    }
    let mut edits = vec![lines.behind(lines.thing.head, words)];
    edits.extend(spans.iter().map(|&span| lines.take_out(span)));
    Ok(edits)
}
