//! Where somebody points: a byte of a file, and what of the plan stands there.

use std::ops::Range;

use ampwright_notation::{Chunk, File, Span, Thing};
use ampwright_plan::{Plan, Site, ThingRef};

/// A byte range of one of a plan's files.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct FileRange {
    /// Index into [`ampwright_plan::Sources::list`].
    pub file: u32,
    /// The bytes.
    pub range: Range<usize>,
}

impl FileRange {
    /// Its place in the order of the plan.
    pub(crate) const fn order(&self) -> (u32, usize, usize) {
        (self.file, self.range.start, self.range.end)
    }

    /// The range of a site.
    pub fn of(plan: &Plan, site: Site) -> Self {
        Self {
            file: site.file,
            range: plan.sources.range(site),
        }
    }
}

/// A replacement in one of a plan's files.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// What is replaced; empty to insert.
    pub at: FileRange,
    /// The new words.
    pub text: String,
}

/// An offset inside a thing.
#[derive(Clone, Copy)]
pub(crate) struct Cursor<'a> {
    pub(crate) thing: &'a Thing,
    pub(crate) whose: ThingRef,
    /// Where the thing begins in its file.
    pub(crate) base: usize,
    /// The offset, relative to the thing.
    pub(crate) at: u32,
}

impl<'a> Cursor<'a> {
    /// The thing at an offset; `None` before the first thing and for files that are not there.
    pub(crate) fn new(plan: &'a Plan, file: u32, offset: usize) -> Option<Self> {
        let (thing, chunk) = file_of(plan, file)?.chunk_at(offset)?;
        Some(Self {
            thing: &chunk.thing,
            whose: ThingRef {
                file,
                thing: thing as u32,
            },
            base: chunk.at as usize,
            at: chunk.relative(offset),
        })
    }

    /// A span of the thing as a range of the file.
    pub(crate) fn range(&self, span: Span) -> FileRange {
        FileRange {
            file: self.whose.file,
            range: span.absolute(self.base as u32),
        }
    }
}

/// One of a plan's files.
pub(crate) fn file_of(plan: &Plan, file: u32) -> Option<&File> {
    plan.sources
        .list
        .get(file as usize)
        .map(|source| &*source.file)
}

/// The thing's own lines as a range of the file: its note, its head, and down to its last word.
pub(crate) fn extent(chunk: &Chunk) -> Range<usize> {
    let last = chunk
        .thing
        .tokens
        .iter()
        .rfind(|token| !token.lexeme.is_trivia())
        .map_or(chunk.thing.head.end, |token| token.span.end);
    let first = chunk
        .thing
        .note
        .first()
        .map_or(chunk.thing.kind_span.start, |line| line.start);
    chunk.absolute(Span::new(first.min(last), last))
}
