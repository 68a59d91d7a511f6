//! Text cut into things: a line at the margin begins one, and the comment lines directly above
//! it are its note.

use crate::token::is_blank;

/// Where the things of a text begin; before the first lies the preamble.
pub(crate) fn cut(text: &str) -> Vec<u32> {
    let mut starts = Vec::with_capacity(text.len() / 128 + 1);
    let mut note: Option<usize> = None;
    for (start, line) in lines(text) {
        match Line::of(line) {
            Line::Head => starts.push(note.take().unwrap_or(start) as u32),
            Line::Comment => note = note.or(Some(start)),
            Line::Blank | Line::Indented => note = None,
        }
    }
    starts
}

/// What a line is, as far as its first characters tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Line {
    Head,
    Comment,
    Blank,
    Indented,
}

impl Line {
    /// What a line without its ending is.
    pub(crate) fn of(line: &str) -> Self {
        match line.as_bytes().first() {
            None => Self::Blank,
            Some(b'#') => Self::Comment,
            // The quick answer for nearly every line; other blanks are not ASCII.
            Some(byte) if byte.is_ascii_graphic() => Self::Head,
            Some(_) if !line.starts_with(is_blank) => Self::Head,
            Some(_) if line.trim_start_matches(is_blank).is_empty() => Self::Blank,
            Some(_) => Self::Indented,
        }
    }
}

/// The length of a text's byte-order mark.
pub(crate) fn mark_len(text: &str) -> usize {
    if text.starts_with('\u{feff}') {
        '\u{feff}'.len_utf8()
    } else {
        0
    }
}

/// The lines of a text without their endings, and where each begins; a byte-order mark is skipped.
pub(crate) fn lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let mut at = mark_len(text);
    std::iter::from_fn(move || {
        let rest = text.get(at..).filter(|rest| !rest.is_empty())?;
        let start = at;
        let (line, ending) = rest.split_at(line_len(rest.as_bytes()));
        at += line.len() + ending_len(ending.as_bytes());
        Some((start, line))
    })
}

/// How many bytes stand before the first line ending. Eight bytes at a time: every keystroke looks
/// at the whole text here, and lines are too short for a search by a library to pay.
fn line_len(bytes: &[u8]) -> usize {
    const ONES: u64 = u64::from_ne_bytes([1; 8]);
    const HIGH: u64 = ONES << 7;
    let (words, _) = bytes.as_chunks::<8>();
    for (index, word) in words.iter().enumerate() {
        let word = u64::from_le_bytes(*word);
        // A byte that is zero after the exclusive or borrows from its high bit; the lowest such
        // bit is right, those above it may not be.
        let zero = |word: u64| word.wrapping_sub(ONES) & !word & HIGH;
        let found = zero(word ^ (ONES * u64::from(b'\n'))) | zero(word ^ (ONES * u64::from(b'\r')));
        if found != 0 {
            return index * 8 + found.trailing_zeros() as usize / 8;
        }
    }
    let tail = words.len() * 8;
    let rest = bytes[tail..]
        .iter()
        .position(|&byte| matches!(byte, b'\n' | b'\r'));
    rest.map_or(bytes.len(), |rest| tail + rest)
}

fn ending_len(rest: &[u8]) -> usize {
    match rest {
        [b'\r', b'\n', ..] => 2,
        [] => 0,
        _ => 1,
    }
}

#[cfg(test)]
mod tests {
    use super::{cut, line_len};

    fn pieces(text: &str) -> Vec<&str> {
        let mut ends = cut(text);
        ends.push(text.len() as u32);
        let mut from = 0;
        let cut_off = |end: u32| {
            let piece = &text[from..end as usize];
            from = end as usize;
            piece
        };
        ends.into_iter().map(cut_off).collect()
    }

    #[test]
    fn a_note_belongs_to_the_thing_below() {
        assert_eq!(
            pieces("# plan\n\n# n\nboat a\n  x\n# m\nload b\n\n# end"),
            ["# plan\n\n", "# n\nboat a\n  x\n", "# m\nload b\n\n# end"]
        );
    }

    #[test]
    fn a_blank_line_parts_a_note() {
        assert_eq!(pieces("# n\n\t\nload b"), ["# n\n\t\n", "load b"]);
    }

    #[test]
    fn the_length_of_a_line() {
        for ending in ["\n", "\r"] {
            for len in 0..40 {
                let text = format!("{}{ending}ab\n\r", "\u{b}".repeat(len));
                assert_eq!(line_len(text.as_bytes()), len);
            }
        }
        assert_eq!(line_len(b"0123456789"), 10);
    }

    #[test]
    fn line_endings() {
        assert_eq!(
            pieces("\u{feff}a\r\nb\rc\n"),
            ["\u{feff}", "a\r\n", "b\r", "c\n"]
        );
        assert_eq!(pieces(""), [""]);
    }
}
