//! The basic colours of IEC 60757 and the words for them.

use crate::tree::Colour;

/// A basic colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)] // each is the word itself
pub enum Basic {
    Black,
    Brown,
    Red,
    Orange,
    Yellow,
    Green,
    Blue,
    Violet,
    Grey,
    White,
    Pink,
    Gold,
    Turquoise,
    Silver,
}

impl Basic {
    /// Every basic colour, in the order of IEC 60757.
    pub const ALL: [Self; 14] = [
        Self::Black,
        Self::Brown,
        Self::Red,
        Self::Orange,
        Self::Yellow,
        Self::Green,
        Self::Blue,
        Self::Violet,
        Self::Grey,
        Self::White,
        Self::Pink,
        Self::Gold,
        Self::Turquoise,
        Self::Silver,
    ];

    /// The colour's word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Black => "black",
            Self::Brown => "brown",
            Self::Red => "red",
            Self::Orange => "orange",
            Self::Yellow => "yellow",
            Self::Green => "green",
            Self::Blue => "blue",
            Self::Violet => "violet",
            Self::Grey => "grey",
            Self::White => "white",
            Self::Pink => "pink",
            Self::Gold => "gold",
            Self::Turquoise => "turquoise",
            Self::Silver => "silver",
        }
    }

    /// Its letter code in IEC 60757.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Black => "BK",
            Self::Brown => "BN",
            Self::Red => "RD",
            Self::Orange => "OG",
            Self::Yellow => "YE",
            Self::Green => "GN",
            Self::Blue => "BU",
            Self::Violet => "VT",
            Self::Grey => "GY",
            Self::White => "WH",
            Self::Pink => "PK",
            Self::Gold => "GD",
            Self::Turquoise => "TQ",
            Self::Silver => "SR",
        }
    }

    /// The colour of one word or one code, whatever its case; `gray` and `purple` are read too.
    pub fn parse(text: &str) -> Option<Self> {
        let alias = match text.len() {
            2 => return Self::of_code(text.as_bytes()),
            4 if text.eq_ignore_ascii_case("gray") => Some(Self::Grey),
            6 if text.eq_ignore_ascii_case("purple") => Some(Self::Violet),
            _ => None,
        };
        alias.or_else(|| {
            Self::ALL
                .into_iter()
                .find(|colour| colour.word().eq_ignore_ascii_case(text))
        })
    }

    fn of_code(code: &[u8]) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|colour| colour.code().as_bytes().eq_ignore_ascii_case(code))
    }
}

impl Colour {
    /// The colour of words or codes joined by `/` or of a joined code (`red`, `green/yellow`,
    /// `GNYE`), whatever their case.
    pub fn parse(text: &str) -> Option<Self> {
        let mut colours = text.split('/').map(Self::of_word);
        let first = colours.next()??;
        colours.try_fold(first, |joined, next| joined.joined(next?))
    }

    fn of_word(word: &str) -> Option<Self> {
        if let Some(basic) = Basic::parse(word) {
            return Some(Self {
                basic: [Some(basic), None, None],
            });
        }
        let bytes = word.as_bytes();
        if !matches!(bytes.len(), 4 | 6) {
            return None;
        }
        let mut colour = Self { basic: [None; 3] };
        for (place, code) in colour.basic.iter_mut().zip(bytes.chunks(2)) {
            *place = Some(Basic::of_code(code)?);
        }
        Some(colour)
    }

    /// Adds the colours of another one behind these; `None` where that would be more than three.
    pub fn joined(self, other: Self) -> Option<Self> {
        let mut all = self.basics().chain(other.basics());
        let colour = Self {
            basic: [all.next(), all.next(), all.next()],
        };
        all.next().is_none().then_some(colour)
    }

    /// Its basic colours, one to three.
    pub fn basics(self) -> impl Iterator<Item = Basic> {
        self.basic.into_iter().flatten()
    }

    /// Its code in IEC 60757: `RD`, `GNYE`.
    pub fn to_code(self) -> String {
        self.basics().map(Basic::code).collect()
    }

    /// Its words: `red`, `green/yellow`.
    pub fn to_word(self) -> String {
        self.basics().map(Basic::word).collect::<Vec<_>>().join("/")
    }
}

#[cfg(test)]
mod tests {
    use super::{Basic, Colour};

    #[test]
    fn every_word_and_code_comes_back() {
        for basic in Basic::ALL {
            assert_eq!(Basic::parse(basic.word()), Some(basic));
            assert_eq!(Basic::parse(basic.code()), Some(basic));
            assert_eq!(Basic::parse(&basic.code().to_lowercase()), Some(basic));
        }
    }

    #[test]
    fn joined_codes() {
        let green_yellow = Colour::parse("GNYE").unwrap();
        assert_eq!(green_yellow.to_word(), "green/yellow");
        assert_eq!(Colour::parse("bnye").unwrap().to_code(), "BNYE");
        assert_eq!(Colour::parse("BKRDWH").unwrap().basics().count(), 3);
        assert_eq!(Colour::parse("green/YE"), Some(green_yellow));
        assert_eq!(Colour::parse("green/"), None);
        assert_eq!(Colour::parse(""), None);
        assert_eq!(Colour::parse("BNXX"), None);
        assert_eq!(Colour::parse("tinned-flex"), None);
        assert_eq!(Colour::parse("größe"), None);
        let red = Colour::parse("red").unwrap();
        assert_eq!(red.joined(green_yellow).unwrap().to_code(), "RDGNYE");
        assert_eq!(green_yellow.joined(green_yellow), None);
    }
}
