//! The lines of a thing, as edits want them.

use ampwright_notation::{Span, Thing};
use ampwright_plan::{Plan, ThingRef};

use crate::{
    cursor::{Edit, FileRange, file_of},
    format::INDENT,
};

/// A thing and where it stands.
#[derive(Clone, Copy)]
pub(super) struct Lines<'a> {
    pub(super) thing: &'a Thing,
    pub(super) whose: ThingRef,
    base: usize,
}

impl<'a> Lines<'a> {
    pub(super) fn of(plan: &'a Plan, whose: ThingRef) -> Option<Self> {
        let chunk = file_of(plan, whose.file)?
            .chunks
            .get(whose.thing as usize)?;
        Some(Self {
            thing: &chunk.thing,
            whose,
            base: chunk.at as usize,
        })
    }

    /// The bytes of a span as a range of the file.
    fn at(&self, start: usize, end: usize) -> FileRange {
        FileRange {
            file: self.whose.file,
            range: self.base + start..self.base + end,
        }
    }

    /// New words for a span.
    pub(super) fn replace(&self, span: Span, text: impl Into<String>) -> Edit {
        Edit {
            at: self.at(span.start as usize, span.end as usize),
            text: text.into(),
        }
    }

    /// New words behind a span.
    pub(super) fn behind(&self, span: Span, text: impl Into<String>) -> Edit {
        self.replace(span.after(), text)
    }

    /// Takes words out, with the blanks before them.
    pub(super) fn cut(&self, span: Span) -> Edit {
        let before = self.thing.text.get(..span.start as usize).unwrap_or("");
        let start = before
            .trim_end_matches(ampwright_notation::token::is_blank)
            .len();
        Edit {
            at: self.at(start, span.end as usize),
            text: String::new(),
        }
    }

    fn start_of(&self, at: u32) -> usize {
        let before = self.thing.text.get(..at as usize).unwrap_or("");
        before.rfind(['\n', '\r']).map_or(0, |end| end + 1)
    }

    fn end_of(&self, at: u32) -> usize {
        let behind = self.thing.text.get(at as usize..).unwrap_or("");
        at as usize + behind.find(['\n', '\r']).unwrap_or(behind.len())
    }

    /// What ends the thing's lines.
    pub(super) fn ending(&self) -> &'static str {
        let text = &self.thing.text;
        match (
            text.contains("\r\n"),
            text.contains('\n'),
            text.contains('\r'),
        ) {
            (true, ..) => "\r\n",
            (_, false, true) => "\r",
            _ => "\n",
        }
    }

    /// What stands before the first word of an indented line.
    pub(super) fn indent(&self, at: u32) -> &'a str {
        let line = self.thing.text.get(self.start_of(at)..).unwrap_or("");
        let words = line.trim_start_matches(ampwright_notation::token::is_blank);
        match line.get(..line.len() - words.len()) {
            Some(indent) if !indent.is_empty() => indent,
            _ => INDENT,
        }
    }

    /// Lines added below the one that a span ends in, indented as `like` is.
    pub(super) fn below(&self, span: Span, like: u32, lines: &[String]) -> Edit {
        let end = self.end_of(span.end);
        let indent = self.indent(like);
        let lines = lines
            .iter()
            .map(|line| format!("{}{indent}{line}", self.ending()));
        Edit {
            at: self.at(end, end),
            text: lines.collect(),
        }
    }

    /// Takes the whole line out that a span stands on.
    pub(super) fn take_out(&self, span: Span) -> Edit {
        let start = self.start_of(span.start);
        let end = self.end_of(span.end);
        let rest = self.thing.text.get(end..).unwrap_or("");
        let ending = if rest.starts_with("\r\n") {
            2
        } else {
            usize::from(!rest.is_empty())
        };
        // The last line of a file has no ending of its own: the one before it goes.
        let before = if ending == 0 {
            let above = self.thing.text.get(..start).unwrap_or("");
            start
                - above
                    .strip_suffix("\r\n")
                    .or(above.strip_suffix(['\n', '\r']))
                    .map_or(start, str::len)
        } else {
            0
        };
        Edit {
            at: self.at(start - before, end + ending),
            text: String::new(),
        }
    }

    /// A line at the margin above the thing and its note.
    pub(super) fn thing_above(&self, line: &str) -> Edit {
        let note = self
            .thing
            .note
            .first()
            .map_or(self.thing.kind_span.start, |note| note.start);
        let start = self.start_of(note.min(self.thing.kind_span.start));
        Edit {
            at: self.at(start, start),
            text: format!("{line}{}", self.ending()),
        }
    }

    /// Whether a line says nothing but what a span covers.
    pub(super) fn is_alone(&self, span: Span) -> bool {
        let line = self.start_of(span.start)..self.end_of(span.end);
        let text = self.thing.text.get(line).unwrap_or("");
        text.trim() == span.of(&self.thing.text).trim()
    }
}
