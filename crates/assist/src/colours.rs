//! A swatch beside each word for the colour of an insulation, and the words for a colour that is
//! picked.

use std::ops::Range;

use ampwright_notation::{
    Span, Thing,
    colour::Basic,
    token::Lexeme,
    tree::{Colour, Step},
};
use ampwright_plan::Plan;

use crate::cursor::file_of;

/// A colour where it is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Swatch {
    /// Its word, or its two letters of a joined code.
    pub at: Range<usize>,
    /// Which.
    pub colour: Basic,
}

/// More words for a picked colour than these nobody means.
const MOST_WORDS: usize = 4;

/// The colours of a file in the order of the text.
pub fn swatches(plan: &Plan, file: u32) -> Vec<Swatch> {
    let Some(parsed) = file_of(plan, file) else {
        return Vec::new();
    };
    let chunks = parsed.chunks.iter();
    let found = chunks.flat_map(|chunk| {
        let of_thing = of_thing(&chunk.thing).into_iter();
        of_thing.map(|(span, colour)| Swatch {
            at: chunk.absolute(span),
            colour,
        })
    });
    found.collect()
}

fn of_thing(thing: &Thing) -> Vec<(Span, Basic)> {
    let colours = thing.steps.iter().filter_map(|step| match step {
        Step::Conductor(line) => line.colour,
        Step::Back(back) => back.colour,
        Step::Stop(_) | Step::Unread(_) => None,
    });
    colours
        .flat_map(|colour| words_of(thing, colour.span))
        .collect()
}

/// The single colours that some words join: `brown/yellow`, `BNYE`.
fn words_of(thing: &Thing, span: Span) -> Vec<(Span, Basic)> {
    let within = |span: Span, token: Span| span.start <= token.start && token.end <= span.end;
    let first = thing
        .tokens
        .partition_point(|token| token.span.end <= span.start);
    let tokens = thing.tokens.iter().skip(first);
    let words = tokens.take_while(|token| token.span.start < span.end);
    words
        .filter(|token| token.lexeme == Lexeme::Word && within(span, token.span))
        .flat_map(|token| of_word(thing.text_of(token.span), token.span.start))
        .collect()
}

fn of_word(word: &str, start: u32) -> Vec<(Span, Basic)> {
    if let Some(basic) = Basic::parse(word) {
        return vec![(Span::new(start, start + word.len() as u32), basic)];
    }
    let basics = Colour::parse(word).into_iter().flat_map(Colour::basics);
    // A joined code is of two letters each.
    (start..)
        .step_by(2)
        .zip(basics)
        .map(|(at, basic)| (Span::new(at, at + 2), basic))
        .collect()
}

/// How a colour is shown: red, green, blue. Not a shade of any maker's.
pub const fn shade(colour: Basic) -> [u8; 3] {
    match colour {
        Basic::Black => [0x1a, 0x1a, 0x1a],
        Basic::Brown => [0x8b, 0x4a, 0x1f],
        Basic::Red => [0xd9, 0x1e, 0x1e],
        Basic::Orange => [0xf2, 0x83, 0x0d],
        Basic::Yellow => [0xf5, 0xd6, 0x11],
        Basic::Green => [0x1f, 0x9d, 0x3a],
        Basic::Blue => [0x1f, 0x5f, 0xd0],
        Basic::Violet => [0x8a, 0x3f, 0xc6],
        Basic::Grey => [0x8c, 0x8c, 0x8c],
        Basic::White => [0xfa, 0xfa, 0xfa],
        Basic::Pink => [0xf5, 0x9f, 0xb8],
        Basic::Gold => [0xc9, 0xa2, 0x27],
        Basic::Turquoise => [0x2b, 0xc4, 0xbc],
        Basic::Silver => [0xc4, 0xc8, 0xcc],
    }
}

/// The words nearest to a shade, the nearest first, as a code where `written` is one.
pub fn words_for(picked: [u8; 3], written: &str) -> Vec<&'static str> {
    let far = |colour: Basic| {
        let both = shade(colour).into_iter().zip(picked);
        both.map(|(a, b)| u32::from(a.abs_diff(b)).pow(2))
            .sum::<u32>()
    };
    let mut all = Basic::ALL;
    all.sort_by_key(|&colour| far(colour));
    let is_code = Basic::ALL
        .iter()
        .any(|basic| basic.code().eq_ignore_ascii_case(written));
    let word = |colour: Basic| {
        if is_code {
            colour.code()
        } else {
            colour.word()
        }
    };
    all.into_iter().take(MOST_WORDS).map(word).collect()
}

#[cfg(test)]
mod tests {
    use super::{Basic, shade, swatches, words_for};
    use crate::fixture::pointed;

    #[test]
    fn each_colour_has_a_swatch_on_its_own_letters() {
        let here = pointed(
            "cable red\nrun r\n    a +\n    1 mm2 BNYE 1 m in red # black\n    b\n    1 mm2 green/YE 1 m\n    c\n    back gray to d\n",
        );
        let found = swatches(&here.plan, 0);
        let shown: Vec<_> = found
            .iter()
            .map(|swatch| (&here.text[swatch.at.clone()], swatch.colour))
            .collect();
        assert_eq!(
            shown,
            [
                ("BN", Basic::Brown),
                ("YE", Basic::Yellow),
                ("green", Basic::Green),
                ("YE", Basic::Yellow),
                ("gray", Basic::Grey),
            ]
        );
        assert!(swatches(&here.plan, 4).is_empty());
    }

    #[test]
    fn every_shade_leads_back_to_its_word() {
        for basic in Basic::ALL {
            assert_eq!(words_for(shade(basic), "red")[0], basic.word());
            assert_eq!(words_for(shade(basic), "rd")[0], basic.code());
        }
        assert_eq!(
            words_for([255, 0, 0], "black"),
            ["red", "orange", "brown", "gold"]
        );
    }
}
