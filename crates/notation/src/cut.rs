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
    let bytes = text.as_bytes();
    let mut at = mark_len(text);
    std::iter::from_fn(move || {
        let rest = bytes.get(at..).filter(|rest| !rest.is_empty())?;
        let start = at;
        let len = rest
            .iter()
            .position(|&byte| matches!(byte, b'\n' | b'\r'))
            .unwrap_or(rest.len());
        at += len + ending_len(&rest[len..]);
        Some((start, &text[start..start + len]))
    })
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
    use super::cut;

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
    fn line_endings() {
        assert_eq!(
            pieces("\u{feff}a\r\nb\rc\n"),
            ["\u{feff}", "a\r\n", "b\r", "c\n"]
        );
        assert_eq!(pieces(""), [""]);
    }
}
