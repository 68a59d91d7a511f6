//! The line at the cursor, from its tokens alone.

use std::ops::Range;

use ampwright_notation::{
    Thing,
    token::{Lexeme, Token, lex},
};
use ampwright_plan::{Plan, ThingRef};

use crate::cursor::{Cursor, file_of};

/// A word, number or sign of the line.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Word<'a> {
    pub(crate) lexeme: Lexeme,
    pub(crate) text: &'a str,
}

/// The line up to the cursor.
pub(crate) struct Line<'a> {
    pub(crate) file: u32,
    /// The thing that the line belongs to.
    pub(crate) thing: Option<&'a Thing>,
    pub(crate) whose: Option<ThingRef>,
    /// What stands before the word being typed.
    pub(crate) words: Vec<Word<'a>>,
    /// What an item replaces: the word being typed, or nothing.
    pub(crate) edit: Range<usize>,
    /// The line begins at the margin.
    pub(crate) is_margin: bool,
    /// Where the line begins, relative to the thing.
    pub(crate) start: u32,
    /// The last of `words`, where the cursor touches it.
    touched: Option<Range<usize>>,
}

impl<'a> Line<'a> {
    /// The line at an offset; `None` in comments and texts, where nothing is offered.
    pub(crate) fn at(plan: &'a Plan, file: u32, offset: usize) -> Option<Self> {
        let whole = file_of(plan, file)?;
        let Some(cursor) = Cursor::new(plan, file, offset) else {
            let line = Self::of(&whole.preamble, &lex(&whole.preamble), 0, offset)?;
            return Some(Self { file, ..line });
        };
        let line = Self::of(
            &cursor.thing.text,
            &cursor.thing.tokens,
            cursor.base,
            offset,
        )?;
        Some(Self {
            file,
            thing: Some(cursor.thing),
            whose: Some(cursor.whose),
            ..line
        })
    }

    fn of(text: &'a str, tokens: &[Token], base: usize, offset: usize) -> Option<Self> {
        let mut at = offset.saturating_sub(base).min(text.len());
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        let before = text.get(..at)?;
        let start = before.rfind(['\n', '\r']).map_or(0, |end| end + 1);
        let indented = before
            .get(start..)?
            .starts_with(ampwright_notation::token::is_blank);
        let mut line = Self {
            file: 0,
            thing: None,
            whose: None,
            words: Vec::new(),
            edit: base + at..base + at,
            is_margin: !indented,
            start: start as u32,
            touched: None,
        };
        let first = tokens.partition_point(|token| (token.span.end as usize) <= start);
        let here = tokens
            .iter()
            .skip(first)
            .take_while(|token| (token.span.start as usize) < at);
        for token in here {
            line.take(text, token, base, at)?;
        }
        Some(line)
    }

    /// Takes one token that begins before the cursor; `None` where the cursor is in words that are nobody's business.
    fn take(&mut self, text: &'a str, token: &Token, base: usize, at: usize) -> Option<()> {
        let range = base + token.span.start as usize..base + token.span.end as usize;
        let touches = token.span.end as usize >= at;
        match token.lexeme {
            Lexeme::Comment | Lexeme::Unclosed | Lexeme::Curly => return None,
            Lexeme::Text if token.span.end as usize > at => return None,
            Lexeme::Word if touches => {
                self.edit = range;
                return Some(());
            }
            // A title says nothing to what may follow.
            Lexeme::Text | Lexeme::Space | Lexeme::Newline => return Some(()),
            _ => {}
        }
        self.touched = touches.then_some(range);
        self.words.push(Word {
            lexeme: token.lexeme,
            text: token.span.of(text),
        });
        Some(())
    }

    /// A blank where the cursor stands directly behind a number or sign.
    pub(crate) fn gap(&self) -> &'static str {
        if self.touched.is_some() && self.edit.is_empty() {
            " "
        } else {
            ""
        }
    }

    /// The number that the cursor stands behind.
    pub(crate) fn number_being_typed(&self) -> Option<Range<usize>> {
        let number = self.words.last().is_some_and(Word::is_number);
        self.touched
            .clone()
            .filter(|_| number && self.edit.is_empty())
    }

    /// The words before the number being typed: what decides which values may stand there.
    pub(crate) fn before_number(&self) -> &[Word<'a>] {
        match self.words.split_last() {
            Some((_, rest)) if self.number_being_typed().is_some() => rest,
            _ => &self.words,
        }
    }
}

impl Word<'_> {
    pub(crate) const fn is_number(&self) -> bool {
        matches!(
            self.lexeme,
            Lexeme::Number | Lexeme::BadNumber | Lexeme::Negative
        )
    }
}

#[cfg(test)]
mod tests {
    use super::Line;
    use crate::fixture::pointed;

    fn check(fixture: &str, words: &[&str], typed: &str) {
        let here = pointed(fixture);
        let line = Line::at(&here.plan, 0, here.at).unwrap();
        let found: Vec<&str> = line.words.iter().map(|word| word.text).collect();
        assert_eq!(
            (found.as_slice(), &here.text[line.edit.clone()]),
            (words, typed),
            "{fixture}"
        );
    }

    #[test]
    fn words_before_and_the_word_being_typed() {
        check("load l \"L\" pump mini$0\n", &["load", "l", "pump"], "mini");
        check("load l\n    minimum 11$0\n", &["minimum", "11"], "");
        check("load l\n    house-1 $0+\n", &["house-1"], "");
        check("$0", &[], "");
        check("load l\n$0", &[], "");
    }

    #[test]
    fn nothing_in_comments_and_titles() {
        for fixture in ["# a$0", "load l \"a$0b\"", "load l \"a$0", "load l # x$0\n"] {
            let here = pointed(fixture);
            assert!(Line::at(&here.plan, 0, here.at).is_none(), "{fixture}");
        }
    }
}
