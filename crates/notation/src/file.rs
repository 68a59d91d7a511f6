//! A file: its text cut into things.

use std::{ops::Range, sync::Arc};

use crate::{
    access,
    cut::{self, Line},
    flaw::{Code, Flaw, Mend},
    parse,
    token::{is_blank, lex},
    tree::{Span, Thing},
};

/// The most findings that one file shows; what comes after them is counted.
pub const MOST_FLAWS: usize = 1_000;

/// A thing and where it begins.
#[derive(Clone, Debug)]
pub struct Chunk {
    /// Byte offset of the thing's text in the file.
    pub at: u32,
    /// The thing.
    pub thing: Arc<Thing>,
}

impl Chunk {
    /// A span of the thing as a byte range of the file.
    pub const fn absolute(&self, span: Span) -> Range<usize> {
        span.absolute(self.at)
    }

    /// An offset in the file as one in the thing.
    pub const fn relative(&self, offset: usize) -> u32 {
        (offset as u32).saturating_sub(self.at)
    }

    /// The thing's whole text as a byte range of the file.
    pub fn range(&self) -> Range<usize> {
        self.at as usize..self.at as usize + self.thing.text.len()
    }
}

/// A parsed file. The chunks' texts, joined after `preamble`, are the file's text.
#[derive(Clone, Debug, Default)]
pub struct File {
    /// Text before the first thing: a byte-order mark, comments, blank lines.
    pub preamble: Arc<str>,
    /// The things in order.
    pub chunks: Vec<Chunk>,
    /// What is wrong with the file as a whole (every line indented); spans are relative to the file.
    pub flaws: Vec<Flaw>,
}

impl File {
    /// Reads a whole text.
    pub fn parse(text: &str) -> Self {
        Self::default().reparse(text)
    }

    /// Reads a text that differs little from this file's: things whose text is the same at the
    /// front and at the back are taken over. The result equals that of [`File::parse`].
    #[must_use]
    pub fn reparse(&self, text: &str) -> Self {
        let pieces = pieces(text);
        let things = self.things_of(&pieces);
        let chunk = |(piece, thing): (&Piece<'_>, _)| Chunk {
            at: piece.at,
            thing,
        };
        let chunks = pieces.iter().zip(things).map(chunk).collect();
        let preamble = &text[..pieces.first().map_or(text.len(), |piece| piece.at as usize)];
        let preamble = if *preamble == *self.preamble {
            Arc::clone(&self.preamble)
        } else {
            preamble.into()
        };
        let flaws = preamble_flaws(&preamble, pieces.is_empty());
        Self {
            preamble,
            chunks,
            flaws,
        }
    }

    /// The things of these texts: this file's own where the text is the same, else read anew.
    fn things_of(&self, pieces: &[Piece<'_>]) -> Vec<Arc<Thing>> {
        let same = |(piece, chunk): &(&Piece<'_>, &Chunk)| piece.text == &*chunk.thing.text;
        let front = pieces.iter().zip(&self.chunks).take_while(same).count();
        let (new, old) = (&pieces[front..], &self.chunks[front..]);
        let back = new
            .iter()
            .rev()
            .zip(old.iter().rev())
            .take_while(same)
            .count();
        let read = parse::things(new[..new.len() - back].iter().map(|piece| piece.text));
        let kept = |chunk: &Chunk| Arc::clone(&chunk.thing);
        let front = self.chunks[..front].iter().map(kept);
        let back = old[old.len() - back..].iter().map(kept);
        front
            .chain(read.into_iter().map(Arc::new))
            .chain(back)
            .collect()
    }

    /// The file's text.
    pub fn text(&self) -> String {
        let mut text = String::from(&*self.preamble);
        self.chunks
            .iter()
            .for_each(|chunk| text.push_str(&chunk.thing.text));
        text
    }

    /// The text's length in bytes.
    pub fn len(&self) -> usize {
        self.chunks
            .last()
            .map_or(self.preamble.len(), |chunk| chunk.range().end)
    }

    /// Whether there is no text.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The chunk an offset lies in, and its index; the end of the text lies in the last one.
    pub fn chunk_at(&self, offset: usize) -> Option<(usize, &Chunk)> {
        let index = self
            .chunks
            .partition_point(|chunk| chunk.at as usize <= offset)
            .checked_sub(1)?;
        self.chunks.get(index).map(|chunk| (index, chunk))
    }

    /// The `##` lines of the file with their texts, in order, as byte ranges.
    pub fn headings(&self) -> Vec<(Range<usize>, String)> {
        let title = |text: &str| text.trim_start_matches('#').trim().to_owned();
        let tokens = lex(&self.preamble);
        let preamble = access::headings(&self.preamble, &tokens)
            .map(|span| (span.absolute(0), title(span.of(&self.preamble))));
        let things = self.chunks.iter().flat_map(|chunk| {
            let spans = chunk.thing.headings();
            spans.map(move |span| (chunk.absolute(span), title(chunk.thing.text_of(span))))
        });
        preamble.chain(things).collect()
    }

    /// Every flaw of the file in the order of the text with spans relative to the file, at most
    /// [`MOST_FLAWS`] and then one that says how many more there are.
    pub fn all_flaws(&self) -> Vec<Flaw> {
        let of_things = self
            .chunks
            .iter()
            .map(|chunk| chunk.thing.flaws.len())
            .sum::<usize>();
        let total = self.flaws.len() + of_things;
        let moved = self.chunks.iter().flat_map(|chunk| {
            let flaws = chunk.thing.flaws.iter();
            flaws.map(|flaw| flaw.moved(chunk.at))
        });
        let all = self.flaws.iter().cloned().chain(moved);
        let mut flaws: Vec<Flaw> = all.take(MOST_FLAWS).collect();
        if let (Some(last), true) = (flaws.last(), total > MOST_FLAWS) {
            let message = format!(
                "There are {} more findings like these below.",
                total - MOST_FLAWS
            );
            flaws.push(Flaw::new(Code::Syntax, last.span, message));
        }
        flaws
    }
}

impl Flaw {
    /// The same flaw with its spans moved down by `at`.
    #[must_use]
    pub fn moved(&self, at: u32) -> Self {
        let span = |span: Span| Span::new(span.start + at, span.end + at);
        let mend = |mend: &Mend| Mend {
            span: span(mend.span),
            ..mend.clone()
        };
        Self {
            span: span(self.span),
            mend: self.mend.as_ref().map(mend),
            others: self.others.iter().map(mend).collect(),
            ..self.clone()
        }
    }
}

/// A thing's text and where it begins.
struct Piece<'a> {
    at: u32,
    text: &'a str,
}

fn pieces(text: &str) -> Vec<Piece<'_>> {
    let starts = cut::cut(text);
    let ends = starts.iter().skip(1).copied().chain([text.len() as u32]);
    starts
        .iter()
        .zip(ends)
        .map(|(&at, end)| Piece {
            at,
            text: Span::new(at, end).of(text),
        })
        .collect()
}

/// Indented lines that no thing stands above.
fn preamble_flaws(preamble: &str, is_whole_file: bool) -> Vec<Flaw> {
    let indented: Vec<(usize, &str)> = cut::lines(preamble)
        .filter(|(_, line)| Line::of(line) == Line::Indented)
        .collect();
    let says_something = |line: &str| !line.trim_start_matches(is_blank).starts_with('#');
    let Some(&(start, first)) = indented.iter().find(|(_, line)| says_something(line)) else {
        return Vec::new();
    };
    let span = Span::new(start as u32, (start + first.len()) as u32);
    if !is_whole_file {
        let message = "This line is indented, so it belongs to the thing above it, but there is none: move it to the margin or below its thing.";
        return vec![Flaw::new(Code::Syntax, span, message)];
    }
    let message = "Every line of this file is indented, so no thing begins: a thing's first line begins at the margin.";
    let whole = Span::new(cut::mark_len(preamble) as u32, preamble.len() as u32);
    let moved = moved_to_margin(&preamble[cut::mark_len(preamble)..], &indented);
    vec![Flaw::new(Code::Syntax, span, message).with("move the lines to the margin", whole, moved)]
}

/// The text with the indentation taken off that all its lines share.
fn moved_to_margin(text: &str, indented: &[(usize, &str)]) -> String {
    let depth = |line: &str| line.chars().take_while(|&c| is_blank(c)).count();
    let least = indented
        .iter()
        .map(|(_, line)| depth(line))
        .min()
        .unwrap_or(0);
    let skip = |line: &str| {
        line.chars()
            .take(least.min(depth(line)))
            .map(char::len_utf8)
            .sum::<usize>()
    };
    let kept = cut::lines(text).zip(
        cut::lines(text)
            .skip(1)
            .map(|(at, _)| at)
            .chain([text.len()]),
    );
    kept.map(|((at, line), end)| &text[at + skip(line)..end])
        .collect()
}
