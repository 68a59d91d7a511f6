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
    /// Other edits that would, where what was meant is not certain.
    pub others: Vec<Mend>,
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

impl Code {
    /// Every code.
    pub const ALL: [Self; 8] = [
        Self::Syntax,
        Self::UnknownKind,
        Self::UnknownFact,
        Self::WrongUnit,
        Self::MissingFact,
        Self::ReservedName,
        Self::UnknownTerminal,
        Self::ImpossibleValue,
    ];

    /// The code as it is shown and as `allow` names it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Syntax => "syntax",
            Self::UnknownKind => "unknown-kind",
            Self::UnknownFact => "unknown-fact",
            Self::WrongUnit => "wrong-unit",
            Self::MissingFact => "missing-fact",
            Self::ReservedName => "reserved-name",
            Self::UnknownTerminal => "unknown-terminal",
            Self::ImpossibleValue => "impossible-value",
        }
    }

    /// Whether the words it stands on could not be read, so that nothing may rewrite them.
    pub const fn is_unread(self) -> bool {
        matches!(
            self,
            Self::Syntax
                | Self::UnknownKind
                | Self::UnknownFact
                | Self::WrongUnit
                | Self::UnknownTerminal
        )
    }
}

impl Flaw {
    /// A flaw without a mend.
    pub fn new(code: Code, span: Span, message: impl Into<String>) -> Self {
        Self {
            code,
            span,
            message: message.into(),
            mend: None,
            others: Vec::new(),
        }
    }

    /// The same flaw with an edit that mends it, or with another one.
    #[must_use]
    pub fn with(mut self, label: impl Into<String>, span: Span, text: impl Into<String>) -> Self {
        let mend = Mend {
            label: label.into(),
            span,
            text: text.into(),
        };
        match self.mend {
            None => self.mend = Some(mend),
            Some(_) => self.others.push(mend),
        }
        self
    }

    /// Every edit that would mend it, the likeliest first.
    pub fn mends(&self) -> impl Iterator<Item = &Mend> {
        self.mend.iter().chain(&self.others)
    }

    /// The same flaw, mended by writing `text` in place of `span`.
    #[must_use]
    pub fn written(self, span: Span, text: impl Into<String>) -> Self {
        let text = text.into();
        self.with(format!("write {}", shortened(&text)), span, text)
    }
}

/// Text from outside in a sentence: never more than a few words of it, and no control characters.
pub(crate) fn shortened(text: &str) -> &str {
    const MOST: usize = 40;
    let end = text
        .char_indices()
        .find(|&(at, c)| at >= MOST || c.is_control())
        .map_or(text.len(), |(at, _)| at);
    &text[..end]
}
