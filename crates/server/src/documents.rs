//! The open documents: their texts as the client has them, or the knowledge that they are not.
//!
//! Changes are applied in the order of arrival. What cannot be applied is never guessed at: the
//! document is out of step until the client sends its whole text again.

use std::{
    collections::BTreeMap,
    fmt, ops,
    path::{Path, PathBuf},
    sync::{Arc, OnceLock},
};

use ropey::Rope;
use tower_lsp::lsp_types::{Position, Range, TextDocumentContentChangeEvent, Url};

use crate::positions::{Encoding, LineIndex, exact_char, offset_in, position_in};

pub use ampwright_plan::sources::LARGEST;

/// A text that is read as a whole, and where its lines are.
#[derive(Debug)]
pub struct Text {
    /// The text.
    pub text: String,
    lines: Lines,
}

#[derive(Debug)]
enum Lines {
    Counted(LineIndex),
    /// A rope knows its lines: nothing is counted for one character typed.
    Known(Rope),
}

impl Text {
    /// Takes a text and counts its lines.
    pub fn new(text: String) -> Self {
        Self {
            lines: Lines::Counted(LineIndex::new(&text)),
            text,
        }
    }

    fn of(rope: &Rope) -> Self {
        Self {
            text: rope.to_string(),
            lines: Lines::Known(rope.clone()),
        }
    }

    /// The position of a byte. One past the end is the end's, one inside a character its start's.
    pub fn position(&self, byte: usize, encoding: Encoding) -> Position {
        match &self.lines {
            Lines::Counted(lines) => lines.position(&self.text, byte, encoding),
            Lines::Known(rope) => position_in(rope, &self.text, byte, encoding),
        }
    }

    /// The byte that a position means. A line past the last is the end of the text, a character past
    /// a line's last is the line's end.
    pub fn offset(&self, position: Position, encoding: Encoding) -> usize {
        match &self.lines {
            Lines::Counted(lines) => lines.offset(&self.text, position, encoding),
            Lines::Known(rope) => offset_in(rope, position, encoding),
        }
    }

    /// The positions of a range of bytes.
    pub fn range(&self, bytes: ops::Range<usize>, encoding: Encoding) -> Range {
        Range::new(
            self.position(bytes.start, encoding),
            self.position(bytes.end, encoding),
        )
    }

    /// The bytes of a range of positions; empty at its start where it runs backwards.
    pub fn bytes(&self, range: Range, encoding: Encoding) -> ops::Range<usize> {
        let start = self.offset(range.start, encoding);
        start..self.offset(range.end, encoding).max(start)
    }
}

/// An open document at one version; later versions are other values.
#[derive(Clone, Debug)]
pub struct Document {
    rope: Rope,
    version: i32,
    in_step: bool,
    text: OnceLock<Arc<Text>>,
}

impl Document {
    /// The client's version, also while its text is not known.
    pub fn version(&self) -> i32 {
        self.version
    }

    /// Whether the text is what the client has.
    pub fn in_step(&self) -> bool {
        self.in_step
    }

    /// The text, written out on first use: the last one known where the document is out of step.
    pub fn text(&self) -> &Arc<Text> {
        self.text.get_or_init(|| Arc::new(Text::of(&self.rope)))
    }
}

/// Why a document's text is not known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OutOfStep {
    /// The change's version is not above the one before.
    OldVersion(i32),
    /// A range that the text does not have.
    NoSuchRange,
    /// The change could not be read.
    Unreadable,
    /// The text is, or would be, above [`LARGEST`].
    TooLarge,
}

impl fmt::Display for OutOfStep {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OldVersion(version) => write!(f, "a change came with the old version {version}"),
            Self::NoSuchRange => f.write_str("a change is for a place that the text does not have"),
            Self::Unreadable => f.write_str("a change cannot be read"),
            Self::TooLarge => write!(f, "the text is above {} MiB", LARGEST >> 20),
        }
    }
}

/// The open documents. Cheap to clone: a clone is what a request sees.
#[derive(Clone, Debug, Default)]
pub struct Documents {
    open: BTreeMap<Url, Arc<Document>>,
    /// By path too, since an address can be written in several ways.
    paths: Arc<BTreeMap<PathBuf, Url>>,
}

impl Documents {
    /// The document, if it is open.
    pub fn get(&self, url: &Url) -> Option<&Arc<Document>> {
        self.open.get(url)
    }

    /// The document open at a path.
    pub fn at(&self, path: &Path) -> Option<&Arc<Document>> {
        self.get(self.address(path)?)
    }

    /// The address by which the client calls the document open at a path.
    pub fn address(&self, path: &Path) -> Option<&Url> {
        self.paths.get(path)
    }

    /// The open documents in the order of their addresses.
    pub fn iter(&self) -> impl Iterator<Item = (&Url, &Arc<Document>)> {
        self.open.iter()
    }

    /// Opens a document, or opens it anew.
    ///
    /// # Errors
    /// [`OutOfStep::TooLarge`]: it is kept, without its text.
    pub fn open(&mut self, url: Url, version: i32, text: &str) -> Result<(), OutOfStep> {
        let fits = text.len() <= LARGEST;
        let rope = if fits {
            Rope::from_str(text)
        } else {
            Rope::new()
        };
        let document = Document {
            rope,
            version,
            in_step: fits,
            text: OnceLock::new(),
        };
        if let Ok(path) = url.to_file_path() {
            Arc::make_mut(&mut self.paths).insert(path, url.clone());
        }
        self.open.insert(url, Arc::new(document));
        if fits {
            Ok(())
        } else {
            Err(OutOfStep::TooLarge)
        }
    }

    /// Applies the changes of one notification, all or none. `None` where the document is not open,
    /// or was out of step before and still is.
    pub fn change(
        &mut self,
        url: &Url,
        version: i32,
        changes: &[TextDocumentContentChangeEvent],
        encoding: Encoding,
    ) -> Option<Result<(), OutOfStep>> {
        let document = self.open.get_mut(url)?;
        if version <= document.version {
            return lose(document, document.version, OutOfStep::OldVersion(version));
        }
        let start = document.in_step.then(|| document.rope.clone());
        match apply(start, changes, encoding) {
            Ok(Some(rope)) => {
                *document = Arc::new(Document {
                    rope,
                    version,
                    in_step: true,
                    text: OnceLock::new(),
                });
                Some(Ok(()))
            }
            Ok(None) => lose(document, version, OutOfStep::NoSuchRange),
            Err(why) => lose(document, version, why),
        }
    }

    /// Marks a document whose change could not even be read.
    pub fn unreadable(&mut self, url: &Url) -> Option<Result<(), OutOfStep>> {
        let document = self.open.get_mut(url)?;
        lose(document, document.version, OutOfStep::Unreadable)
    }

    /// Closes a document; whether it was open.
    pub fn close(&mut self, url: &Url) -> bool {
        Arc::make_mut(&mut self.paths).retain(|_, open| open != url);
        self.open.remove(url).is_some()
    }
}

fn lose(
    document: &mut Arc<Document>,
    version: i32,
    why: OutOfStep,
) -> Option<Result<(), OutOfStep>> {
    let was_in_step = document.in_step;
    let lost = Arc::make_mut(document);
    lost.version = version;
    lost.in_step = false;
    was_in_step.then_some(Err(why))
}

/// The text after the changes; `Ok(None)` where it was not known and no change is the whole text.
/// A whole text heals whatever came before it in the same notification.
fn apply(
    start: Option<Rope>,
    changes: &[TextDocumentContentChangeEvent],
    encoding: Encoding,
) -> Result<Option<Rope>, OutOfStep> {
    let whole = changes.iter().rposition(|change| change.range.is_none());
    let (mut rope, rest) = match whole {
        Some(at) => (Some(whole_text(&changes[at].text)?), &changes[at + 1..]),
        None => (start, changes),
    };
    if let Some(rope) = &mut rope {
        for change in rest {
            edit(rope, change, encoding)?;
        }
    }
    Ok(rope)
}

fn whole_text(text: &str) -> Result<Rope, OutOfStep> {
    if text.len() <= LARGEST {
        Ok(Rope::from_str(text))
    } else {
        Err(OutOfStep::TooLarge)
    }
}

fn edit(
    rope: &mut Rope,
    change: &TextDocumentContentChangeEvent,
    encoding: Encoding,
) -> Result<(), OutOfStep> {
    let range = change.range.ok_or(OutOfStep::NoSuchRange)?;
    let place = |position| exact_char(rope, position, encoding).ok_or(OutOfStep::NoSuchRange);
    let (start, end) = (place(range.start)?, place(range.end)?);
    if start > end {
        return Err(OutOfStep::NoSuchRange);
    }
    if rope.len_bytes() + change.text.len() > LARGEST + rope.slice(start..end).len_bytes() {
        return Err(OutOfStep::TooLarge);
    }
    rope.remove(start..end);
    rope.insert(start, &change.text);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::positions::tests::{encoding, text};
    use proptest::prelude::*;

    fn url() -> Url {
        Url::parse("file:///curlew.boat").expect("a url")
    }

    fn opened(text: &str) -> Documents {
        let mut documents = Documents::default();
        documents.open(url(), 1, text).expect("fits");
        documents
    }

    fn whole(text: &str) -> TextDocumentContentChangeEvent {
        TextDocumentContentChangeEvent {
            range: None,
            range_length: None,
            text: text.to_owned(),
        }
    }

    fn at(start: (u32, u32), end: (u32, u32), text: &str) -> TextDocumentContentChangeEvent {
        let range = Range::new(Position::new(start.0, start.1), Position::new(end.0, end.1));
        TextDocumentContentChangeEvent {
            range: Some(range),
            ..whole(text)
        }
    }

    fn state(documents: &Documents) -> (i32, bool, String) {
        let document = documents.get(&url()).expect("open");
        (
            document.version(),
            document.in_step(),
            document.text().text.clone(),
        )
    }

    #[test]
    fn an_impossible_range_is_not_guessed_and_the_whole_text_heals() {
        for bad in [
            at((9, 0), (9, 0), "x"),
            at((0, 3), (0, 1), "x"),
            at((0, 2), (0, 2), "x"),
        ] {
            let mut documents = opened("a🛥b\n");
            let utf16 = Encoding::Utf16;
            let changes = [at((1, 0), (1, 0), "kept out"), bad];
            assert_eq!(
                documents.change(&url(), 2, &changes, utf16),
                Some(Err(OutOfStep::NoSuchRange))
            );
            assert_eq!(state(&documents), (2, false, "a🛥b\n".into()));
            assert_eq!(
                documents.change(&url(), 3, &[at((0, 0), (0, 0), "x")], utf16),
                None
            );
            assert_eq!(state(&documents), (3, false, "a🛥b\n".into()));
            let changes = [
                at((7, 7), (7, 7), "?"),
                whole("new\n"),
                at((1, 0), (1, 0), "end"),
            ];
            assert_eq!(documents.change(&url(), 4, &changes, utf16), Some(Ok(())));
            assert_eq!(state(&documents), (4, true, "new\nend".into()));
        }
    }

    #[test]
    fn an_old_version_is_not_applied_and_what_follows_it_is_not_trusted() {
        let mut documents = opened("one");
        let changes = [at((0, 0), (0, 3), "two")];
        assert_eq!(
            documents.change(&url(), 5, &changes, Encoding::Utf8),
            Some(Ok(()))
        );
        for old in [whole("older"), at((0, 0), (0, 0), "x")] {
            documents.change(&url(), 5, &[old], Encoding::Utf8);
            assert_eq!(state(&documents), (5, false, "two".into()));
        }
        assert_eq!(
            documents.change(&url(), 6, &[at((0, 0), (0, 0), "x")], Encoding::Utf8),
            None
        );
        assert_eq!(
            documents.change(&url(), 7, &[whole("three")], Encoding::Utf8),
            Some(Ok(()))
        );
        assert_eq!(state(&documents), (7, true, "three".into()));
    }

    #[test]
    fn what_was_not_opened_is_not_changed_and_opening_anew_starts_anew() {
        let mut documents = Documents::default();
        assert_eq!(
            documents.change(&url(), 1, &[whole("x")], Encoding::Utf8),
            None
        );
        assert!(!documents.close(&url()));
        documents.open(url(), 9, "nine").expect("fits");
        documents.unreadable(&url());
        assert_eq!(state(&documents), (9, false, "nine".into()));
        documents.open(url(), 1, "one").expect("fits");
        assert_eq!(state(&documents), (1, true, "one".into()));
        assert!(documents.close(&url()));
    }

    #[test]
    fn a_text_above_the_bound_is_refused_however_it_comes() {
        let mut documents = Documents::default();
        let large = "x".repeat(LARGEST + 1);
        assert_eq!(documents.open(url(), 1, &large), Err(OutOfStep::TooLarge));
        assert_eq!(state(&documents), (1, false, String::new()));
        assert_eq!(
            documents.change(&url(), 2, &[whole(&large[1..])], Encoding::Utf8),
            Some(Ok(()))
        );
        let grow = [at((0, 0), (0, 0), "y")];
        assert_eq!(
            documents.change(&url(), 3, &grow, Encoding::Utf8),
            Some(Err(OutOfStep::TooLarge))
        );
    }

    #[test]
    fn a_snapshot_keeps_what_it_saw() {
        let mut documents = opened("before");
        let seen = documents.clone();
        documents.change(&url(), 2, &[whole("after")], Encoding::Utf8);
        documents.unreadable(&url());
        assert_eq!(state(&seen), (1, true, "before".into()));
    }

    /// Two places in a text as byte offsets, in order, by thousandths.
    fn places(text: &str, from: usize, to: usize) -> (usize, usize) {
        let boundary = |part: usize| {
            let mut at = text.len() * part / 1000;
            while !text.is_char_boundary(at) || inside_line_end(text, at) {
                at -= 1;
            }
            at
        };
        (boundary(from.min(to)), boundary(from.max(to)))
    }

    fn inside_line_end(text: &str, at: usize) -> bool {
        text[..at].ends_with('\r') && text[at..].starts_with('\n')
    }

    proptest! {
        #[test]
        fn incremental_edits_equal_the_whole_text_replaced(
            start in text(),
            edits in prop::collection::vec((0usize..=1000, 0usize..=1000, text()), 1..12),
            encoding in encoding(),
        ) {
            let mut documents = opened(&start);
            let mut expected = start;
            for (version, (from, to, new)) in (2..).zip(edits) {
                let (from, to) = places(&expected, from, to);
                let range = Text::new(expected.clone()).range(from..to, encoding);
                let change = TextDocumentContentChangeEvent { range: Some(range), ..whole(&new) };
                expected.replace_range(from..to, &new);
                let changed = documents.change(&url(), version, &[change], encoding);
                prop_assert_eq!(changed, Some(Ok(())));
                let document = documents.get(&url()).expect("open");
                prop_assert_eq!(&document.text().text, &expected);
            }
        }

        #[test]
        fn no_change_makes_it_fail(
            start in text(),
            edits in prop::collection::vec((0u32..6, 0u32..9, 0u32..6, 0u32..9, text()), 1..12),
            encoding in encoding(),
        ) {
            let mut documents = opened(&start);
            for (version, (line, character, end, last, new)) in (2..).zip(edits) {
                let before = state(&documents).2;
                let change = at((line, character), (end, last), &new);
                let outcome = documents.change(&url(), version, &[change], encoding);
                if outcome != Some(Ok(())) {
                    prop_assert_eq!(&state(&documents).2, &before);
                }
            }
        }
    }
}
