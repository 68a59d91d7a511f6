//! Text from a plan or a path made fit for a terminal: a character that could move the cursor,
//! change colours or turn the reading direction is shown, never obeyed.

use std::borrow::Cow;

/// The text with each such character replaced by one that is seen, so that columns stay.
pub(crate) fn visible(text: &str) -> Cow<'_, str> {
    if text.chars().all(|c| shown(c) == c) {
        Cow::Borrowed(text)
    } else {
        Cow::Owned(text.chars().map(shown).collect())
    }
}

/// What a character is shown as.
pub(crate) fn shown(c: char) -> char {
    match c {
        '\u{0}'..='\u{1f}' => char::from_u32(0x2400 + c as u32).unwrap_or('\u{fffd}'),
        '\u{7f}' => '\u{2421}',
        // C1 controls, among them a one-character escape; marks of direction, invisible characters.
        '\u{80}'..='\u{9f}'
        | '\u{61c}'
        | '\u{200b}'..='\u{200f}'
        | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}'
        | '\u{feff}'
        | '\u{fff9}'..='\u{fffb}'
        | '\u{e0000}'..='\u{e007f}' => '\u{fffd}',
        c => c,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_escape_is_seen_and_not_obeyed() {
        assert_eq!(visible("red\u{1b}[31m\u{9b}2J"), "red␛[31m\u{fffd}2J");
        assert_eq!(visible("a\u{202e}b"), "a\u{fffd}b");
    }

    #[test]
    fn the_writers_own_letters_stay() {
        assert!(matches!(visible("Möwe 16 mm² 海"), Cow::Borrowed(_)));
    }
}
