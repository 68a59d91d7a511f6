//! Where a thing, a word or a finding stands in the text.

use ampwright_notation::Span;

/// A place in the text of a plan: the file, the thing in it, and the bytes within the thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Site {
    /// Index into [`crate::Sources::list`].
    pub file: u32,
    /// Index into the file's chunks; [`Site::WHOLE`] where the file itself is meant.
    pub thing: u32,
    /// The bytes, relative to the thing.
    pub span: Span,
}

impl Site {
    /// The `thing` of a site that speaks of a file as a whole.
    pub const WHOLE: u32 = u32::MAX;
}

/// Which thing of which file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ThingRef {
    /// Index into [`crate::Sources::list`].
    pub file: u32,
    /// Index into the file's chunks.
    pub thing: u32,
}

impl ThingRef {
    /// The site of some words of this thing.
    pub const fn at(self, span: Span) -> Site {
        Site {
            file: self.file,
            thing: self.thing,
            span,
        }
    }
}

impl Site {
    /// The start of the plan, where nothing better is known.
    pub const fn nowhere() -> Self {
        Self {
            file: 0,
            thing: Self::WHOLE,
            span: Span { start: 0, end: 0 },
        }
    }
}
