//! What holds for any text whatever.

mod support;

use ampwright_notation::{
    File,
    format::{format, format_edits},
    token::{Lexeme, lex},
};
use proptest::prelude::*;
use support::{everything, meaning};

const CURLEW: &str = include_str!("curlew.boat");

/// Words and signs of the notation, and some that are none.
#[rustfmt::skip] // read as a list
const PIECES: &[&str] = &[
    "battery", "house-1", "agm", "100 Ah", "run", "case", "load", "panel", "way 1 fuse 5 A",
    "way", "twin", "2.5 mm2", "2,5", "5 m", "red", "brown/yellow", "back", "to", "core 1 of",
    "mast", "mark", "D3.1+/-", "x", "in", "bundled 3", "Ω", "×", "mm²", "°C", "-3 m", "−", "+",
    "-", "/", "%", "\"t\"", "\"open", "“q”", "\\", "#", "# note", "## head", "\n", "\r\n", "\r",
    "\n    ", "\n\t", "\n\n", " ", "\u{a0}", "\u{feff}", "\0", "é", "e\u{301}", "allow", "up",
    "by", "on", "set", "both", "off", "positions", "6 x 2.4 W", "multicore", "3 cores",
    "spread", "starting 10 A 180 s", "h/day", "4", "use", "\"a.boat\"", "cable", "carries",
    "AWG", "2/0 AWG", "00", "1e999", "nan", "pole 1", "out 2", "like", "house-", "boat",
    "system 12 V", "joint", "sheathed", "tinned",
];

/// Pieces in any order.
fn pieces() -> impl Strategy<Value = String> {
    let piece = prop::sample::select(PIECES);
    prop::collection::vec(
        (
            piece,
            prop::sample::select(vec!["", " ", "  ", "\n", "\n    "]),
        ),
        0..40,
    )
    .prop_map(|pieces| {
        pieces
            .into_iter()
            .flat_map(|(piece, gap)| [piece, gap])
            .collect()
    })
}

/// The example with pieces put in and parts taken out.
fn edited() -> impl Strategy<Value = String> {
    let edit = (
        any::<prop::sample::Index>(),
        0..30_usize,
        pieces(),
        any::<bool>(),
    );
    prop::collection::vec(edit, 1..6).prop_map(|edits| {
        let mut text = CURLEW.to_owned();
        for (at, len, new, insert) in edits {
            let at = floor(&text, at.index(text.len() + 1));
            let end = floor(&text, (at + len).min(text.len()));
            text.replace_range(at..end.max(at), if insert { &new } else { "" });
        }
        text
    })
}

fn floor(text: &str, mut at: usize) -> usize {
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

fn any_text() -> impl Strategy<Value = String> {
    prop_oneof![
        pieces(),
        edited(),
        any::<String>(),
        prop::collection::vec(any::<u8>(), 0..300)
            .prop_map(|bytes| String::from_utf8_lossy(&bytes).into_owned()),
    ]
}

/// The comments of a text, in order.
fn comments(text: &str) -> Vec<String> {
    let mark = if text.starts_with('\u{feff}') { 3 } else { 0 };
    let tokens = lex(&text[mark..]);
    let comments = tokens
        .into_iter()
        .filter(|token| token.lexeme == Lexeme::Comment);
    comments
        .map(|token| token.span.of(&text[mark..]).trim_end().to_owned())
        .collect()
}

proptest! {
    #[test]
    fn tokens_tile_the_text(text in any_text()) {
        let mut at = 0;
        for token in lex(&text) {
            prop_assert_eq!(token.span.start, at);
            prop_assert!(token.span.end > at);
            prop_assert!(text.is_char_boundary(token.span.end as usize));
            at = token.span.end;
        }
        prop_assert_eq!(at as usize, text.len());
    }

    #[test]
    fn things_joined_are_the_text(text in any_text()) {
        let file = File::parse(&text);
        prop_assert_eq!(file.text(), text.as_str());
        let mut at = file.preamble.len();
        for chunk in &file.chunks {
            prop_assert_eq!(chunk.at as usize, at);
            at += chunk.thing.text.len();
        }
        prop_assert_eq!(file.len(), text.len());
    }

    #[test]
    fn every_span_lies_in_its_text(text in any_text()) {
        let file = File::parse(&text);
        for flaw in file.all_flaws() {
            for span in flaw.mends().map(|mend| mend.span).chain([flaw.span]) {
                prop_assert!(text.get(span.start as usize..span.end as usize).is_some(), "{flaw:?}");
            }
            prop_assert!(!flaw.message.is_empty() && flaw.message.len() < 1_500, "{flaw:?}");
            prop_assert!(!flaw.message.contains(char::is_control), "{flaw:?}");
        }
        for offset in 0..=text.len() {
            if let Some((_, chunk)) = file.chunk_at(offset) {
                let _ = chunk.thing.element_at(chunk.relative(offset));
                let _ = chunk.thing.word_at(chunk.relative(offset));
            }
        }
    }

    #[test]
    fn reading_again_is_reading_anew(before in any_text(), after in any_text()) {
        let again = File::parse(&before).reparse(&after);
        prop_assert_eq!(everything(&again), everything(&File::parse(&after)));
    }

    #[test]
    fn reading_an_edited_plan_again_is_reading_it_anew(after in edited()) {
        let again = File::parse(CURLEW).reparse(&after);
        prop_assert_eq!(everything(&again), everything(&File::parse(&after)));
    }

    #[test]
    fn the_written_form_is_its_own_written_form(text in any_text()) {
        let once = format(&File::parse(&text));
        prop_assert_eq!(format(&File::parse(&once)), once.as_str());
        prop_assert!(format_edits(&File::parse(&once)).is_empty());
    }

    #[test]
    fn the_written_form_means_the_same(text in any_text()) {
        let file = File::parse(&text);
        let written = format(&file);
        prop_assert_eq!(meaning(&File::parse(&written)), meaning(&file));
    }

    #[test]
    fn the_written_form_keeps_the_comments(text in any_text()) {
        let written = format(&File::parse(&text));
        prop_assert_eq!(comments(&written), comments(&text));
    }

    #[test]
    fn what_is_wrong_stays_wrong_and_nothing_else(text in any_text()) {
        let codes = |text: &str| -> Vec<_> { File::parse(text).all_flaws().into_iter().map(|flaw| flaw.code).collect() };
        let written = format(&File::parse(&text));
        prop_assert_eq!(codes(&written), codes(&text));
    }
}
