//! Text to tokens (logos).

use crate::tree::Span;

/// A token and its span, relative to its thing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Token {
    /// What it is.
    pub lexeme: Lexeme,
    /// Where.
    pub span: Span,
}

/// What a token is. To be settled by the lexer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Lexeme {
    /// A word.
    Word,
}
