//! Wider and wider selections: the word, the fact or step, the line, the thing, the file.

use std::ops::Range;

use ampwright_notation::{
    Element, Span, Thing,
    token::{Lexeme, lex},
    tree::Step,
};
use ampwright_plan::Plan;

use crate::cursor::{Cursor, extent, file_of};

/// The ranges round an offset, each inside the next, the narrowest first.
pub fn selections(plan: &Plan, file: u32, offset: usize) -> Vec<Range<usize>> {
    let Some(whole) = file_of(plan, file) else {
        return Vec::new();
    };
    let mut ranges: Vec<Range<usize>> = Vec::new();
    if let Some(cursor) = Cursor::new(plan, file, offset) {
        let spans = spans(&cursor);
        ranges.extend(spans.into_iter().map(|span| cursor.range(span).range));
        ranges.extend(whole.chunk_at(offset).map(|(_, chunk)| extent(chunk)));
    } else {
        let tokens = lex(&whole.preamble);
        let word = tokens
            .iter()
            .find(|token| token.span.touches(offset as u32));
        ranges.extend(word.map(|token| token.span.absolute(0)));
    }
    ranges.push(0..whole.len());
    nested(ranges, offset)
}

/// Only what holds the offset and what came before.
fn nested(ranges: Vec<Range<usize>>, offset: usize) -> Vec<Range<usize>> {
    let mut kept: Vec<Range<usize>> = Vec::new();
    for range in ranges {
        let holds = range.start <= offset && offset <= range.end;
        let wider = kept.last().is_none_or(|last| {
            range.start <= last.start && last.end <= range.end && range != *last
        });
        if holds && wider && !range.is_empty() {
            kept.push(range);
        }
    }
    kept
}

fn spans(cursor: &Cursor<'_>) -> Vec<Span> {
    let thing = cursor.thing;
    let mut spans = Vec::new();
    let token = thing
        .token_at(cursor.at)
        .and_then(|index| thing.tokens.get(index));
    spans.extend(
        token
            .filter(|token| !matches!(token.lexeme, Lexeme::Newline | Lexeme::Space))
            .map(|token| token.span),
    );
    match thing.element_at(cursor.at) {
        Some(Element::Fact(fact)) => {
            spans.extend(
                fact.args
                    .iter()
                    .map(ampwright_notation::tree::Arg::span)
                    .find(|span| span.touches(cursor.at)),
            );
            spans.push(fact.span);
        }
        Some(Element::Way(way)) => spans.push(way.span),
        Some(Element::Step(_, step)) => {
            spans.extend(part_of(step, cursor.at));
            spans.push(step.span());
        }
        Some(Element::Setting(setting)) => spans.push(setting.span),
        Some(Element::Allow(allow)) => spans.push(allow.span),
        Some(Element::Head) | None => {}
    }
    spans.extend(line(thing, cursor.at));
    spans
}

fn part_of(step: &Step, at: u32) -> Option<Span> {
    let spans: Vec<Span> = match step {
        Step::Stop(landing) => vec![landing.name.span],
        Step::Conductor(line) => [
            line.size.map(|size| size.span),
            line.length.map(|length| length.span),
            line.colour.map(|colour| colour.span),
        ]
        .into_iter()
        .flatten()
        .collect(),
        Step::Back(back) => back.to.iter().map(|home| home.span).collect(),
        Step::Unread(_) => Vec::new(),
    };
    spans.into_iter().find(|span| span.touches(at))
}

/// The words of the line at an offset.
fn line(thing: &Thing, at: u32) -> Option<Span> {
    let lines = thing
        .tokens
        .split_inclusive(|token| token.lexeme == Lexeme::Newline);
    let words = lines.map(|line| {
        line.iter()
            .filter(|token| !matches!(token.lexeme, Lexeme::Space | Lexeme::Newline))
    });
    words
        .filter_map(|mut line| {
            let first = line.next()?;
            Some(first.span.to(line.next_back().unwrap_or(first).span))
        })
        .find(|span| span.touches(at))
}

#[cfg(test)]
mod tests {
    use expect_test::{Expect, expect};

    use super::selections;
    use crate::fixture::pointed;

    fn check(fixture: &str, expected: &Expect) {
        let here = pointed(fixture);
        let shown: Vec<String> = selections(&here.plan, 0, here.at)
            .into_iter()
            .map(|range| format!("{:?}", &here.text[range]))
            .collect();
        expected.assert_eq(&shown.join("\n"));
    }

    #[test]
    fn from_a_word_to_the_file() {
        check(
            "# n\nload a pump minimum 1$01 V\nload b pump 5 A\n",
            &expect![[r##"
                "11"
                "11 V"
                "minimum 11 V"
                "load a pump minimum 11 V"
                "# n\nload a pump minimum 11 V"
                "# n\nload a pump minimum 11 V\nload b pump 5 A\n""##]],
        );
        check(
            "run r\n    a +\n    2.5 m$0m2 red 1 m # by hand\n",
            &expect![[r#"
                "mm2"
                "2.5 mm2"
                "2.5 mm2 red 1 m"
                "2.5 mm2 red 1 m # by hand"
                "run r\n    a +\n    2.5 mm2 red 1 m # by hand\n""#]],
        );
        check(
            "# no$0te\n\nload b pump 5 A\n",
            &expect![[r##"
            "# note"
            "# note\n\nload b pump 5 A\n""##]],
        );
    }
}
