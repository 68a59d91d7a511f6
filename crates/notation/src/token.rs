//! Text to tokens (logos). Tokens tile the text: spaces, comments, line ends and junk are tokens
//! too, so the tokens of a thing joined give back its text.

use logos::Logos;

use crate::tree::Span;

/// A token and its span, relative to its thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Token {
    /// What it is.
    pub lexeme: Lexeme,
    /// Where.
    pub span: Span,
}

/// What a token is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Logos)]
pub enum Lexeme {
    /// A name, a keyword, a unit: a letter, then letters, digits, `-` and `_`, not ending in `-`.
    /// `×` stands for the word `x`.
    #[regex(r"\p{L}[\p{L}\p{M}\p{N}_]*(-+[\p{L}\p{M}\p{N}_]+)*")]
    #[regex(r"°[CF]")]
    #[token("×")]
    Word,
    /// A number: `7`, `2.5`, `1e3`.
    #[regex(r"[0-9]+(\.[0-9]+)?([eE][+-]?[0-9]+)?")]
    Number,
    /// A number written in a way that is not read: `2,5`, `.5`, `5.`, `1.2.3`.
    #[regex(r"[0-9]+(,[0-9]+)+(\.[0-9]+)?")]
    #[regex(r"[0-9]+\.[0-9]+(\.[0-9]+)+")]
    #[regex(r"\.[0-9]+")]
    #[regex(r"[0-9]+\.")]
    BadNumber,
    /// A number below zero, which nothing here has but a temperature.
    #[regex(r"[-\u{2212}][0-9]+(\.[0-9]+)?")]
    Negative,
    /// `"text"`.
    #[regex(r#""([^"\\\r\n]|\\[^\r\n])*""#)]
    Text,
    /// Text whose closing quote is missing, to the end of its line.
    #[regex(r#""([^"\\\r\n]|\\[^\r\n])*\\?"#)]
    Unclosed,
    /// Text in curly quotes.
    #[regex("[“”„][^“”„\"\r\n]*[“”\"]?")]
    Curly,
    /// `#` to the end of the line.
    #[regex(r"#[^\r\n]*", allow_greedy = true)]
    Comment,
    /// `\n`, `\r\n` or a lone `\r`.
    #[regex(r"\r\n|\n|\r")]
    Newline,
    /// Spaces and tabs, and the other blanks that a word processor leaves.
    #[regex(r"[ \t\u{a0}\u{2000}-\u{200a}\u{202f}\u{3000}]+")]
    Space,
    /// `+`
    #[token("+")]
    Plus,
    /// `-`, or the typographic minus.
    #[token("-")]
    #[token("\u{2212}")]
    Minus,
    /// `/`
    #[token("/")]
    Slash,
    /// `%`
    #[token("%")]
    Percent,
    /// `.`
    #[token(".")]
    Dot,
    /// Anything else, as one token for each run of it.
    Junk,
}

impl Lexeme {
    /// Whether it says nothing to the parser.
    pub const fn is_trivia(self) -> bool {
        matches!(self, Self::Space | Self::Comment | Self::Newline)
    }
}

/// Whether a character is one that [`Lexeme::Space`] is made of.
pub const fn is_blank(c: char) -> bool {
    matches!(
        c,
        ' ' | '\t' | '\u{a0}' | '\u{2000}'..='\u{200a}' | '\u{202f}' | '\u{3000}'
    )
}

/// Every token of a text, in order and without gaps.
pub fn lex(text: &str) -> Vec<Token> {
    // One allocation for most things: a token is four bytes long on the average.
    let mut tokens = Vec::with_capacity(text.len() / 3 + 4);
    let mut lexer = Lexeme::lexer(text);
    while let Some(lexeme) = lexer.next() {
        let range = lexer.span();
        let span = Span::new(range.start as u32, range.end as u32);
        push(
            &mut tokens,
            Token {
                lexeme: lexeme.unwrap_or(Lexeme::Junk),
                span,
            },
        );
    }
    tokens.shrink_to_fit();
    tokens
}

fn push(tokens: &mut Vec<Token>, token: Token) {
    match tokens.last_mut() {
        Some(last) if last.lexeme == Lexeme::Junk && token.lexeme == Lexeme::Junk => {
            last.span.end = token.span.end;
        }
        _ => tokens.push(token),
    }
}

#[cfg(test)]
mod tests {
    use expect_test::{Expect, expect};

    use super::{Lexeme, lex};

    fn check(text: &str, expected: &Expect) {
        let shown: Vec<String> = lex(text)
            .iter()
            .map(|token| format!("{:?} {:?}", token.lexeme, token.span.of(text)))
            .collect();
        expected.assert_eq(&shown.join("\n"));
    }

    #[test]
    fn a_name_and_its_sign() {
        check(
            "house-1- a--b+",
            &expect![[r#"
            Word "house-1"
            Minus "-"
            Space " "
            Word "a--b"
            Plus "+""#]],
        );
    }

    #[test]
    fn numbers() {
        check(
            "1e308 2,5 .5 5. 2.5mm² -3 2/0 00",
            &expect![[r#"
            Number "1e308"
            Space " "
            BadNumber "2,5"
            Space " "
            BadNumber ".5"
            Space " "
            BadNumber "5."
            Space " "
            Number "2.5"
            Word "mm²"
            Space " "
            Negative "-3"
            Space " "
            Number "2"
            Slash "/"
            Number "0"
            Space " "
            Number "00""#]],
        );
    }

    #[test]
    fn text_and_comments() {
        check(
            "\"a \\\" # b\" # c\r\n\"open\r“curly” \u{0}\u{1}?",
            &expect![[r##"
            Text "\"a \\\" # b\""
            Space " "
            Comment "# c"
            Newline "\r\n"
            Unclosed "\"open"
            Newline "\r"
            Curly "“curly”"
            Space " "
            Junk "\0\u{1}?""##]],
        );
    }

    /// A token's length must not become a depth of calls.
    #[test]
    fn tokens_of_any_length() {
        for piece in ["a", "a-", "1", "1.", "#", " ", "?", "é"] {
            assert!(!lex(&piece.repeat(500_000)).is_empty());
        }
        assert_eq!(lex(&format!("\"{}\"", "t".repeat(500_000))).len(), 1);
    }

    #[test]
    fn units() {
        // The ohm sign has a code point of its own beside the Greek letter.
        assert_eq!(lex("\u{2126}")[0].lexeme, Lexeme::Word);
        check(
            "Ω mΩ 25°C h/day 5%",
            &expect![[r#"
            Word "Ω"
            Space " "
            Word "mΩ"
            Space " "
            Number "25"
            Word "°C"
            Space " "
            Word "h"
            Slash "/"
            Word "day"
            Space " "
            Number "5"
            Percent "%""#]],
        );
    }
}
