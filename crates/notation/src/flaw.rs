//! What is wrong with the text of one thing, as far as the thing alone can tell.

use crate::tree::Span;

/// A reading finding, found while reading one thing.
#[derive(Clone, Debug, PartialEq)]
pub struct Flaw {
    /// Its code in the registry of findings.
    pub code: Code,
    /// The words that cause it.
    pub span: Span,
    /// One sentence: what is wrong and what would mend it.
    pub message: String,
    /// The edit that mends it, where one edit can.
    pub mend: Option<Mend>,
}

/// An edit that mends a flaw.
#[derive(Clone, Debug, PartialEq)]
pub struct Mend {
    /// What the edit does, as a label: "write 2.5 mm2".
    pub label: String,
    /// The text to replace.
    pub span: Span,
    /// The new text.
    pub text: String,
}

/// The codes of the reading family that one thing's text can show.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)] // the registry of findings explains each
pub enum Code {
    Syntax,
    UnknownKind,
    UnknownFact,
    WrongUnit,
    MissingFact,
    ReservedName,
    UnknownTerminal,
    ImpossibleValue,
}
