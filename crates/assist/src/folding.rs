//! What can be folded away: things, comments of several lines, and what stands under a heading.

use std::ops::Range;

use ampwright_notation::{
    Chunk, File, Thing,
    token::{Lexeme, Token, lex},
};
use ampwright_plan::Plan;

use crate::cursor::file_of;

/// A fold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fold {
    /// From the first line that stays to the end of the last one folded away.
    pub range: Range<usize>,
    /// What it is.
    pub what: What,
}

/// What is folded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// A `##` line and all under it.
    Heading,
    /// A comment.
    Comment,
    /// A thing's lines under its head.
    Thing,
}

/// A file's folds in the order of the text.
pub fn folds(plan: &Plan, file: u32) -> Vec<Fold> {
    let Some(file) = file_of(plan, file) else {
        return Vec::new();
    };
    let mut folds: Vec<Fold> = file.chunks.iter().filter_map(of_thing).collect();
    comments(&file.preamble, 0, &lex(&file.preamble), &mut folds);
    for chunk in &file.chunks {
        comments(
            &chunk.thing.text,
            chunk.at as usize,
            &chunk.thing.tokens,
            &mut folds,
        );
    }
    of_headings(file, &mut folds);
    folds.sort_by_key(|fold| {
        (
            fold.range.start,
            std::cmp::Reverse(fold.range.end),
            fold.what,
        )
    });
    folds
}

/// A heading folds what stands between it and the next, to the last word of that.
fn of_headings(file: &File, folds: &mut Vec<Fold>) {
    let headings = file.headings();
    for (index, (range, _)) in headings.iter().enumerate() {
        let next = headings
            .get(index + 1)
            .map_or(file.len(), |(next, _)| next.start);
        let end = last_word(file, next).filter(|&end| end > range.end);
        folds.extend(end.map(|end| Fold {
            range: range.start..end,
            what: What::Heading,
        }));
    }
}

/// Where the last word or comment before an offset ends.
fn last_word(file: &File, before: usize) -> Option<usize> {
    let (index, _) = file.chunk_at(before.checked_sub(1)?)?;
    let says = |token: &&Token| !matches!(token.lexeme, Lexeme::Space | Lexeme::Newline);
    let chunk = file.chunks.get(index)?;
    let ends = chunk
        .thing
        .tokens
        .iter()
        .filter(says)
        .map(|token| chunk.absolute(token.span).end);
    ends.take_while(|&end| end <= before).last()
}

fn extent_end(chunk: &Chunk) -> usize {
    crate::cursor::extent(chunk).end
}

fn of_thing(chunk: &Chunk) -> Option<Fold> {
    let head = chunk.absolute(chunk.thing.head);
    let end = extent_end(chunk);
    (has_body(&chunk.thing) && end > head.end).then_some(Fold {
        range: head.start..end,
        what: What::Thing,
    })
}

fn has_body(thing: &Thing) -> bool {
    let behind = thing
        .tokens
        .iter()
        .filter(|token| token.span.start >= thing.head.end);
    let mut behind = behind.skip_while(|token| token.lexeme != Lexeme::Newline);
    behind.any(|token| !token.lexeme.is_trivia())
}

/// Comment lines that stand one below the other.
fn comments(text: &str, at: usize, tokens: &[Token], folds: &mut Vec<Fold>) {
    let mut run: Option<(Range<usize>, usize)> = None;
    let mut said = false;
    for token in tokens {
        let range = token.span.absolute(at as u32);
        match token.lexeme {
            Lexeme::Comment if !said && !token.span.of(text).starts_with("##") => {
                let (start, lines) =
                    run.map_or((range.start, 0), |(run, lines)| (run.start, lines));
                run = Some((start..range.end, lines + 1));
                said = true;
            }
            Lexeme::Newline if said => said = false,
            Lexeme::Space => {}
            _ => {
                push(run.take(), folds);
                said = token.lexeme != Lexeme::Newline;
            }
        }
    }
    push(run, folds);
}

fn push(run: Option<(Range<usize>, usize)>, folds: &mut Vec<Fold>) {
    if let Some((range, 2..)) = run {
        folds.push(Fold {
            range,
            what: What::Comment,
        });
    }
}

#[cfg(test)]
mod tests {
    use expect_test::{Expect, expect};

    use super::folds;
    use crate::fixture::pointed;

    fn check(text: &str, expected: &Expect) {
        let here = pointed(text);
        let line = |at: usize| here.text[..at].matches('\n').count() + 1;
        let shown: Vec<String> = folds(&here.plan, 0)
            .into_iter()
            .map(|fold| {
                format!(
                    "{}-{} {:?}",
                    line(fold.range.start),
                    line(fold.range.end),
                    fold.what
                )
            })
            .collect();
        expected.assert_eq(&shown.join("\n"));
    }

    #[test]
    fn things_comments_and_headings() {
        check(
            "# one\n# two\n\n## Sources\nbattery a\n    agm\n\n    5 Ah # said\n\nload l pump 5 A\n## Rest\n# a\n# b\nrun r\n    a +\n",
            &expect![[r#"
                1-2 Comment
                4-10 Heading
                5-8 Thing
                11-15 Heading
                12-13 Comment
                14-15 Thing"#]],
        );
    }
}
