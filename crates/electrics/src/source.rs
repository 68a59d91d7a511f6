//! Where a number comes from: every figure travels with its document and how far that was seen.
//!
//! May touch nothing else; everything that holds a figure of the trade uses it.

use std::fmt;

/// How a figure is known. The order is from the best known to the least.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
pub enum Tag {
    /// Seen in two independent quotations of the document.
    S2,
    /// Seen in one quotation of the document.
    S1,
    /// Derived by arithmetic from figures that were seen.
    D,
    /// Common practice of the trade, without a source.
    CP,
    /// From memory; the document was not seen.
    M,
}

impl Tag {
    /// The tag in words for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::S2 => "two quotations",
            Self::S1 => "one quotation",
            Self::D => "derived",
            Self::CP => "common practice",
            Self::M => "from memory",
        }
    }

    /// Whether a finding against a limit of this tag may be more than an advice.
    pub const fn may_be_error(self) -> bool {
        matches!(self, Self::S2 | Self::S1 | Self::D)
    }

    /// The less trusted of two: what a figure made of both is worth.
    #[must_use]
    pub fn worse(self, other: Self) -> Self {
        self.max(other)
    }

    /// The tag of a figure computed from one of this tag: derived at best.
    #[must_use]
    pub fn derived(self) -> Self {
        self.max(Self::D)
    }
}

impl fmt::Display for Tag {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.words())
    }
}

/// A figure with its tag, its document and clause.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Sourced<T> {
    /// The figure.
    pub value: T,
    /// How it is known.
    pub tag: Tag,
    /// The document and clause, or the reason.
    pub source: &'static str,
}

impl<T> Sourced<T> {
    /// A figure with where it comes from.
    pub const fn new(value: T, tag: Tag, source: &'static str) -> Self {
        Self { value, tag, source }
    }

    /// The figure in another form, from the same source.
    pub fn map<U>(self, form: impl FnOnce(T) -> U) -> Sourced<U> {
        Sourced {
            value: form(self.value),
            tag: self.tag,
            source: self.source,
        }
    }

    /// The source as a reader sees it: "33 CFR 183.425, Table 5 (two quotations)".
    pub fn citation(&self) -> String {
        format!("{} ({})", self.source, self.tag)
    }
}

impl<T: fmt::Display> fmt::Display for Sourced<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} [{}; {}]", self.value, self.source, self.tag)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_seen_or_derived_figures_make_errors() {
        let may = [Tag::S2, Tag::S1, Tag::D, Tag::CP, Tag::M].map(Tag::may_be_error);
        assert_eq!(may, [true, true, true, false, false]);
        assert_eq!(Tag::S1.worse(Tag::M), Tag::M);
        assert_eq!(Tag::S2.derived(), Tag::D);
        assert_eq!(Tag::M.derived(), Tag::M);
    }
}
