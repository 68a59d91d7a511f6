//! Positions of the protocol and byte offsets, both ways, in the three encodings.
//!
//! Everything behind this module counts bytes; everything before it counts lines and characters.
//! A line ends at `\n`, `\r\n` or `\r`, as the protocol has it, and at nothing else.

use ropey::Rope;
use serde_json::Value;
use tower_lsp::lsp_types::Position;

/// What `character` counts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Encoding {
    /// Bytes.
    Utf8,
    /// UTF-16 code units: what the protocol means unless another is agreed on.
    #[default]
    Utf16,
    /// Unicode scalar values.
    Utf32,
}

impl Encoding {
    /// The first encoding of the client's list that is known here.
    pub fn negotiate(initialize: &Value) -> Self {
        let offered = initialize
            .pointer("/capabilities/general/positionEncodings")
            .and_then(Value::as_array);
        let mut known = offered
            .into_iter()
            .flatten()
            .filter_map(|name| Self::from_name(name.as_str()?));
        known.next().unwrap_or_default()
    }

    /// The protocol's name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Utf8 => "utf-8",
            Self::Utf16 => "utf-16",
            Self::Utf32 => "utf-32",
        }
    }

    fn from_name(name: &str) -> Option<Self> {
        [Self::Utf8, Self::Utf16, Self::Utf32]
            .into_iter()
            .find(|encoding| encoding.name() == name)
    }

    /// Units of one character.
    pub fn width(self, character: char) -> usize {
        match self {
            Self::Utf8 => character.len_utf8(),
            Self::Utf16 => character.len_utf16(),
            Self::Utf32 => 1,
        }
    }

    /// Units of a text.
    pub fn length(self, text: &str) -> usize {
        match self {
            Self::Utf8 => text.len(),
            _ if text.is_ascii() => text.len(),
            _ => text.chars().map(|character| self.width(character)).sum(),
        }
    }
}

/// The byte offset in `line` that `character` means: past the end, the end; inside a character,
/// its start.
fn offset_in_line(line: &str, character: usize, encoding: Encoding) -> usize {
    if line.is_ascii() {
        return character.min(line.len());
    }
    let mut units = 0;
    for (at, next) in line.char_indices() {
        units += encoding.width(next);
        if units > character {
            return at;
        }
    }
    line.len()
}

/// Where the lines of a text begin.
#[derive(Clone, Debug)]
pub struct LineIndex {
    starts: Vec<u32>,
}

impl LineIndex {
    /// Counts the lines.
    pub fn new(text: &str) -> Self {
        // The search for one byte is several times faster than that for either of two.
        if text.contains('\r') {
            Self::of_any_ends(text.as_bytes())
        } else {
            Self::after(text.match_indices('\n').map(|(at, _)| at))
        }
    }

    fn of_any_ends(bytes: &[u8]) -> Self {
        let ends = bytes.iter().enumerate().filter(|&(at, &byte)| match byte {
            b'\n' => true,
            b'\r' => bytes.get(at + 1) != Some(&b'\n'),
            _ => false,
        });
        Self::after(ends.map(|(at, _)| at))
    }

    fn after(ends: impl Iterator<Item = usize>) -> Self {
        Self {
            starts: std::iter::once(0)
                .chain(ends.map(|at| at as u32 + 1))
                .collect(),
        }
    }

    /// The position of a byte of the text that was counted. An offset past the end is the end, one
    /// inside a character its start, one inside a line's end that end's start.
    pub fn position(&self, text: &str, byte: usize, encoding: Encoding) -> Position {
        let byte = floor_boundary(text, byte);
        let line = self
            .starts
            .partition_point(|&start| start as usize <= byte)
            .saturating_sub(1);
        let start = self.start(line);
        let before = text
            .get(start..byte)
            .unwrap_or_default()
            .trim_end_matches(['\r', '\n']);
        Position::new(line as u32, encoding.length(before) as u32)
    }

    /// The byte a position means in the text that was counted. A line past the last is the end of the
    /// text, a character past a line's last is the line's end.
    pub fn offset(&self, text: &str, position: Position, encoding: Encoding) -> usize {
        let line = position.line as usize;
        if line >= self.starts.len() {
            return text.len();
        }
        let end = self
            .starts
            .get(line + 1)
            .map_or(text.len(), |&next| next as usize);
        let start = self.start(line);
        let line = text
            .get(start..end)
            .unwrap_or_default()
            .trim_end_matches(['\r', '\n']);
        start + offset_in_line(line, position.character as usize, encoding)
    }

    fn start(&self, line: usize) -> usize {
        self.starts.get(line).map_or(0, |&start| start as usize)
    }
}

fn floor_boundary(text: &str, byte: usize) -> usize {
    let byte = byte.min(text.len());
    (0..=byte)
        .rev()
        .find(|&at| text.is_char_boundary(at))
        .unwrap_or(0)
}

/// Bytes of a line from which on the rope is asked for their number in other units: before, counting
/// them is quicker.
const LONG_LINE: usize = 1_000;

/// The position of a byte of a rope and the same text; clamped as [`LineIndex::position`].
pub(crate) fn position_in(rope: &Rope, text: &str, byte: usize, encoding: Encoding) -> Position {
    let byte = floor_boundary(text, byte);
    let line = rope.byte_to_line(byte);
    let start = rope.line_to_byte(line);
    // Inside a line's end is at it; a `\r` of its own would have ended the line.
    let before = &text[start..byte];
    let before = before.strip_suffix('\r').unwrap_or(before);
    let units = if before.len() > LONG_LINE {
        let units = |byte| units_before(rope, rope.byte_to_char(byte), encoding);
        units(start + before.len()) - units(start)
    } else {
        match encoding {
            Encoding::Utf8 => before.len(),
            Encoding::Utf16 => before.encode_utf16().count(),
            Encoding::Utf32 => before.chars().count(),
        }
    };
    Position::new(line as u32, units as u32)
}

/// The byte of a rope that a position means; clamped as [`LineIndex::offset`].
pub(crate) fn offset_in(rope: &Rope, position: Position, encoding: Encoding) -> usize {
    let place = place(rope, position, encoding);
    place.map_or(rope.len_bytes(), |(char, _)| rope.char_to_byte(char))
}

/// The character index in a rope that a position of an edit means, if it means one: the line is
/// there and the character is not cut in two. A character past a line's last is the line's end.
pub(crate) fn exact_char(rope: &Rope, position: Position, encoding: Encoding) -> Option<usize> {
    let (char, unit) = place(rope, position, encoding)?;
    (units_before(rope, char, encoding) == unit).then_some(char)
}

/// The character that holds a position, and the unit that the position means.
fn place(rope: &Rope, position: Position, encoding: Encoding) -> Option<(usize, usize)> {
    let line = position.line as usize;
    if line >= rope.len_lines() {
        return None;
    }
    let (start, end) = content(rope, line);
    let first = units_before(rope, start, encoding);
    let last = units_before(rope, end, encoding);
    let unit = first.saturating_add(position.character as usize).min(last);
    Some((char_at(rope, unit, encoding), unit))
}

/// The characters of a line without its end.
fn content(rope: &Rope, line: usize) -> (usize, usize) {
    let start = rope.line_to_char(line);
    let mut end = if line + 1 < rope.len_lines() {
        rope.line_to_char(line + 1)
    } else {
        rope.len_chars()
    };
    for terminator in ['\n', '\r'] {
        // The last line has no end, and an end is `\r\n`, never `\n\r`.
        if end > start && line + 1 < rope.len_lines() && rope.char(end - 1) == terminator {
            end -= 1;
        }
    }
    (start, end)
}

fn units_before(rope: &Rope, char: usize, encoding: Encoding) -> usize {
    match encoding {
        Encoding::Utf8 => rope.char_to_byte(char),
        Encoding::Utf16 => rope.char_to_utf16_cu(char),
        Encoding::Utf32 => char,
    }
}

fn char_at(rope: &Rope, unit: usize, encoding: Encoding) -> usize {
    match encoding {
        Encoding::Utf8 => rope.byte_to_char(unit),
        Encoding::Utf16 => rope.utf16_cu_to_char(unit),
        Encoding::Utf32 => unit,
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use proptest::prelude::*;
    use serde_json::json;

    /// Texts of every line end and of characters of one to four bytes; with the separators that
    /// other editors take for line ends and the protocol does not.
    pub(crate) fn text() -> impl Strategy<Value = String> {
        let pieces = [
            "a", "run ", "é", "線", "🛥", "\n", "\r\n", "\r", "\n\r", "\u{2028}", "\u{85}", "\u{b}",
            "\u{c}", "e\u{301}",
        ];
        prop::collection::vec(prop::sample::select(pieces.to_vec()), 0..30)
            .prop_map(|pieces| pieces.concat())
    }

    pub(crate) fn encoding() -> impl Strategy<Value = Encoding> {
        prop::sample::select(vec![Encoding::Utf8, Encoding::Utf16, Encoding::Utf32])
    }

    /// The protocol's definition, word by word: every byte boundary and its position.
    fn reference(text: &str, encoding: Encoding) -> Vec<(usize, Position)> {
        let (mut line, mut character) = (0, 0);
        let mut found = Vec::new();
        let mut rest = text.char_indices().peekable();
        while let Some((at, next)) = rest.next() {
            found.push((at, Position::new(line, character)));
            let ends =
                next == '\n' || next == '\r' && rest.peek().map(|&(_, after)| after) != Some('\n');
            // The `\n` of `\r\n` is inside the line's end, which is one place.
            let inside = next == '\r' && !ends;
            match (ends, inside) {
                (true, _) => (line, character) = (line + 1, 0),
                (_, true) => {}
                _ => character += encoding.width(next) as u32,
            }
        }
        found.push((text.len(), Position::new(line, character)));
        found
    }

    #[test]
    fn the_first_known_encoding_is_agreed_on_and_utf_16_without_a_list() {
        let client =
            |list: Value| json!({"capabilities": {"general": {"positionEncodings": list}}});
        assert_eq!(
            Encoding::negotiate(&client(json!(["utf-7", "utf-32", "utf-8"]))),
            Encoding::Utf32
        );
        assert_eq!(Encoding::negotiate(&client(json!([]))), Encoding::Utf16);
        assert_eq!(
            Encoding::negotiate(&client(json!("utf-8"))),
            Encoding::Utf16
        );
        assert_eq!(Encoding::negotiate(&json!({})), Encoding::Utf16);
    }

    #[test]
    fn positions_past_the_end_and_inside_a_character_are_clamped() {
        let text = "a🛥b\r\nc";
        let index = LineIndex::new(text);
        let offset =
            |line, character| index.offset(text, Position::new(line, character), Encoding::Utf16);
        assert_eq!(offset(0, 2), 1, "inside the pair");
        assert_eq!(offset(0, 3), 5);
        assert_eq!(offset(0, 99), 6, "before the line's end");
        assert_eq!(offset(9, 0), 9);
        assert_eq!(offset(u32::MAX, u32::MAX), 9);
        assert_eq!(
            index.position(text, 3, Encoding::Utf16),
            Position::new(0, 1)
        );
        assert_eq!(
            index.position(text, 7, Encoding::Utf16),
            Position::new(0, 4),
            "between CR and LF"
        );
        assert_eq!(
            index.position(text, 99, Encoding::Utf16),
            Position::new(1, 1)
        );
    }

    #[test]
    fn an_edit_may_run_past_a_line_but_not_past_the_text_or_into_a_character() {
        let rope = Rope::from_str("a🛥\r\nb");
        let exact =
            |line, character, encoding| exact_char(&rope, Position::new(line, character), encoding);
        assert_eq!(exact(0, 99, Encoding::Utf16), Some(2));
        assert_eq!(exact(0, 2, Encoding::Utf16), None);
        assert_eq!(exact(0, 3, Encoding::Utf8), None);
        assert_eq!(exact(0, 5, Encoding::Utf8), Some(2));
        assert_eq!(exact(1, 1, Encoding::Utf32), Some(5));
        assert_eq!(exact(2, 0, Encoding::Utf32), None);
        assert_eq!(exact(u32::MAX, 0, Encoding::Utf8), None);
    }

    proptest! {
        #[test]
        fn every_boundary_goes_there_and_back(text in text(), encoding in encoding()) {
            let (index, rope) = (LineIndex::new(&text), Rope::from_str(&text));
            for (byte, position) in reference(&text, encoding) {
                prop_assert_eq!(index.position(&text, byte, encoding), position);
                prop_assert_eq!(position_in(&rope, &text, byte, encoding), position);
                let inside = text[..byte].ends_with('\r') && text[byte..].starts_with('\n');
                let expected = if inside { byte - 1 } else { byte };
                prop_assert_eq!(index.offset(&text, position, encoding), expected);
                prop_assert_eq!(offset_in(&rope, position, encoding), expected);
                let char = exact_char(&rope, position, encoding).map(|char| rope.char_to_byte(char));
                prop_assert_eq!(char, Some(expected));
            }
        }

        #[test]
        fn no_position_and_no_offset_is_too_much(
            text in text(), encoding in encoding(), line in 0u32..40, character in 0u32..40, byte in 0usize..200,
        ) {
            let (index, rope) = (LineIndex::new(&text), Rope::from_str(&text));
            let position = Position::new(line, character);
            let offset = index.offset(&text, position, encoding);
            prop_assert!(text.is_char_boundary(offset));
            prop_assert_eq!(offset_in(&rope, position, encoding), offset);
            if let Some(char) = exact_char(&rope, position, encoding) {
                prop_assert_eq!(rope.char_to_byte(char), offset);
            }
            let there = index.position(&text, byte, encoding);
            prop_assert!(index.offset(&text, there, encoding) <= byte);
            prop_assert_eq!(position_in(&rope, &text, byte, encoding), there);
        }
    }
}
