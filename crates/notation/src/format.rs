//! The written form: each line rewritten by itself from its tokens.
//!
//! Lines are never joined, split or moved; comments and line endings stay; a line that could not
//! be read stays as it is to the byte. The meaning of the text never changes.

use std::ops::Range;

use crate::{
    File,
    cut::mark_len,
    table::Kind,
    token::{Lexeme, Token, lex},
    tree::{Span, Thing},
    units::Unit,
};

/// An edit that brings a part of the text into the written form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// The bytes of the file to replace.
    pub range: Range<usize>,
    /// The new text.
    pub text: String,
}

/// The file's text in the written form.
pub fn format(file: &File) -> String {
    let text = file.text();
    let mut out = String::with_capacity(text.len() + 64);
    let mut done = 0;
    for edit in edits(file, &text) {
        out.push_str(&text[done..edit.range.start]);
        out.push_str(&edit.text);
        done = edit.range.end;
    }
    out.push_str(&text[done..]);
    out
}

/// The least edits that bring the file into the written form: in order, apart from each other,
/// none across lines that say something.
pub fn format_edits(file: &File) -> Vec<Edit> {
    edits(file, &file.text())
}

fn edits(file: &File, text: &str) -> Vec<Edit> {
    let mark = mark_len(text);
    let mut writer = Writer::new(text, mark);
    let preamble = &file.preamble[mark..];
    for line in lines(&lex(preamble)) {
        writer.line(&Row {
            at: mark,
            text: preamble,
            tokens: line,
            kind: None,
            is_unread: has_words(line),
        });
    }
    for chunk in &file.chunks {
        writer.thing(chunk.at as usize, &chunk.thing);
    }
    writer.finish()
}

fn lines(tokens: &[Token]) -> impl Iterator<Item = &[Token]> {
    tokens.split_inclusive(|token| token.lexeme == Lexeme::Newline)
}

fn has_words(line: &[Token]) -> bool {
    line.iter().any(|token| !token.lexeme.is_trivia())
}

/// One line of the text.
struct Row<'a> {
    /// Where the thing of the line begins.
    at: usize,
    /// The thing's text.
    text: &'a str,
    /// The line's tokens, its ending among them.
    tokens: &'a [Token],
    kind: Option<Kind>,
    is_unread: bool,
}

struct Writer<'a> {
    text: &'a str,
    edits: Vec<Edit>,
    /// The line being written, kept for its memory.
    new: String,
    /// Where the last line that says something ended, with its ending.
    said: usize,
    /// That line's ending; `None` before the first such line.
    ending: Option<&'a str>,
    /// The ending of the first blank line since.
    blank: Option<&'a str>,
}

impl<'a> Writer<'a> {
    const fn new(text: &'a str, mark: usize) -> Self {
        Self {
            text,
            edits: Vec::new(),
            new: String::new(),
            said: mark,
            ending: None,
            blank: None,
        }
    }

    fn thing(&mut self, at: usize, thing: &Thing) {
        let unread = unread(thing);
        let mut unread = unread.iter().peekable();
        for line in lines(&thing.tokens) {
            let (start, end) = ends(line);
            while unread.next_if(|flaw| flaw.end < start).is_some() {}
            let is_unread = unread.peek().is_some_and(|flaw| flaw.start <= end);
            self.line(&Row {
                at,
                text: &thing.text,
                tokens: line,
                kind: thing.kind,
                is_unread,
            });
        }
    }

    fn line(&mut self, row: &Row<'_>) {
        let (start, end) = ends(row.tokens);
        let (start, end) = (row.at + start as usize, row.at + end as usize);
        let (tokens, has_ending) = match row.tokens.split_last() {
            Some((last, rest)) if last.lexeme == Lexeme::Newline => {
                (rest, row.at + last.span.start as usize)
            }
            _ => (row.tokens, end),
        };
        let ending = &self.text[has_ending..end];
        if tokens.iter().all(|token| token.lexeme == Lexeme::Space) {
            self.blank = self.blank.or(Some(ending));
            return;
        }
        self.blank_lines(start);
        if !row.is_unread {
            let mut new = std::mem::take(&mut self.new);
            new.clear();
            write_line(&mut new, row.text, tokens, row.kind);
            self.replace(start..has_ending, &new);
            self.new = new;
        }
        self.said = end;
        self.ending = Some(ending);
    }

    /// Blank lines before a line that says something: one, none at the top.
    fn blank_lines(&mut self, next: usize) {
        // What is no byte-order mark here must not become one at the top.
        if self.ending.is_none() && mark_len(&self.text[next..]) > 0 {
            return;
        }
        let new = match (self.ending, self.blank.take()) {
            // An emptied line between `\r` and its own `\n` would be no line any more.
            (Some("\r"), Some("\n")) => "\r",
            (Some(_), Some(blank)) => blank,
            _ => "",
        };
        self.replace(self.said..next, new);
    }

    fn finish(mut self) -> Vec<Edit> {
        let new = if self.ending == Some("") {
            first_ending(self.text)
        } else {
            ""
        };
        self.replace(self.said..self.text.len(), new);
        self.edits
    }

    fn replace(&mut self, range: Range<usize>, new: &str) {
        let old = &self.text[range.clone()];
        if old != new {
            self.edits.push(trimmed(range.start, old, new));
        }
    }
}

fn first_ending(text: &str) -> &str {
    match text.find(['\n', '\r']).and_then(|at| text.get(at..)) {
        Some(rest) if rest.starts_with("\r\n") => "\r\n",
        Some(rest) => &rest[..1],
        None => "\n",
    }
}

/// The edit without what is the same at both ends.
fn trimmed(start: usize, old: &str, new: &str) -> Edit {
    let same = |a: &(char, char)| a.0 == a.1;
    let front: usize = old
        .chars()
        .zip(new.chars())
        .take_while(same)
        .map(|(c, _)| c.len_utf8())
        .sum();
    let (old, new) = (&old[front..], &new[front..]);
    let back: usize = old
        .chars()
        .rev()
        .zip(new.chars().rev())
        .take_while(same)
        .map(|(c, _)| c.len_utf8())
        .sum();
    let start = start + front;
    Edit {
        range: start..start + old.len() - back,
        text: new[..new.len() - back].to_owned(),
    }
}

fn ends(line: &[Token]) -> (u32, u32) {
    let start = line.first().map_or(0, |token| token.span.start);
    (start, line.last().map_or(start, |token| token.span.end))
}

/// Where a thing could not be read, in the order of the text.
fn unread(thing: &Thing) -> Vec<Span> {
    let mut spans: Vec<Span> = thing
        .flaws
        .iter()
        .filter(|flaw| flaw.code.is_unread())
        .map(|flaw| flaw.span)
        .collect();
    if thing.kind.is_none() {
        spans.insert(0, Span::new(thing.kind_span.start, thing.text.len() as u32));
    }
    spans
}

const INDENTATION: &str = "    ";

fn write_line(out: &mut String, text: &str, line: &[Token], kind: Option<Kind>) {
    if line
        .first()
        .is_some_and(|token| token.lexeme == Lexeme::Space)
    {
        out.push_str(INDENTATION);
    }
    let mut words = Words::default();
    for token in line.iter().filter(|token| token.lexeme != Lexeme::Space) {
        let word = token.span.of(text);
        if words.parts(token) {
            out.push(' ');
        }
        if words.in_mark(token) {
            out.push_str(word);
        } else {
            words.write(out, token.lexeme, word);
        }
        words.next(*token, word, kind);
    }
    // Blanks at the end of a comment cannot be seen.
    out.truncate(out.trim_end().len());
}

/// The words of a line so far, as far as the next one depends on them.
#[derive(Default)]
struct Words<'a> {
    before: Option<(Token, &'a str)>,
    before_that: &'a str,
    /// A mark is being written: what joins it belongs to it as it is.
    is_mark: Mark,
}

#[derive(Clone, Copy, Default, PartialEq, Eq)]
enum Mark {
    #[default]
    No,
    /// `mark` was the last word.
    Comes,
    /// The last word was a part of a mark.
    Goes,
}

impl<'a> Words<'a> {
    fn joins(&self, token: &Token) -> bool {
        self.before
            .is_some_and(|(before, _)| before.span.end == token.span.start)
    }

    /// Whether a token belongs to a mark.
    fn in_mark(&self, token: &Token) -> bool {
        match self.is_mark {
            Mark::No => false,
            Mark::Comes => true,
            Mark::Goes => self.joins(token),
        }
    }

    /// Whether a space parts a token from the one before.
    fn parts(&self, token: &Token) -> bool {
        let Some((before, _)) = self.before else {
            return false;
        };
        match self.is_mark {
            Mark::Comes => true,
            Mark::Goes => !self.joins(token),
            Mark::No => before.lexeme != Lexeme::Slash && token.lexeme != Lexeme::Slash,
        }
    }

    /// Writes a word, in ASCII where it is a unit, a sign or a multiplier.
    fn write(&self, out: &mut String, lexeme: Lexeme, word: &str) {
        let after_number = self
            .before
            .is_some_and(|(before, _)| matches!(before.lexeme, Lexeme::Number | Lexeme::Negative));
        match lexeme {
            Lexeme::Minus => out.push('-'),
            Lexeme::Negative => {
                out.push('-');
                out.push_str(word.trim_start_matches(['-', '\u{2212}']));
            }
            Lexeme::Word if word.is_ascii() || !after_number => out.push_str(word),
            Lexeme::Word if word == "×" => out.push('x'),
            // `bundled 3` has no unit, so the word after it is a cable's name.
            Lexeme::Word if self.before_that != "bundled" => {
                out.push_str(Unit::find(word).map_or(word, |unit| unit.ascii()));
            }
            _ => out.push_str(word),
        }
    }

    fn next(&mut self, token: Token, word: &'a str, kind: Option<Kind>) {
        let named = self
            .before
            .is_some_and(|(_, before)| matches!(before, "in" | "of" | "to"));
        let begins = kind == Some(Kind::Run) && word == "mark" && self.before.is_some() && !named;
        self.is_mark = match self.is_mark {
            Mark::Comes => Mark::Goes,
            Mark::Goes if self.joins(&token) => Mark::Goes,
            _ if begins => Mark::Comes,
            _ => Mark::No,
        };
        self.before_that = self.before.map_or("", |(_, before)| before);
        self.before = Some((token, word));
    }
}
