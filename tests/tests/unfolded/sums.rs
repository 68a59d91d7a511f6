//! Reads a printed sum and works it out, with the error that its printed digits leave open.
//!
//! Numbers carry a unit and words after them, which are passed over but for a prefix that counts:
//! milliohm and milliseconds are thousandths, a per cent is a hundredth.

/// From the least to the most that printed digits allow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Span {
    least: f64,
    most: f64,
}

impl Span {
    const fn new(least: f64, most: f64) -> Self {
        Self { least, most }
    }

    /// Whether the two can be the same number.
    pub(crate) fn meets(self, other: Self) -> bool {
        let slack = 1e-9 * self.most.abs().max(other.most.abs()).max(1e-9);
        self.least <= other.most + slack && other.least <= self.most + slack
    }

    fn of(corners: impl IntoIterator<Item = f64>) -> Self {
        let fold = |span: Self, value: f64| Self::new(span.least.min(value), span.most.max(value));
        let none = Self::new(f64::INFINITY, f64::NEG_INFINITY);
        corners.into_iter().fold(none, fold)
    }

    fn pairs(self, other: Self, work: impl Fn(f64, f64) -> f64) -> Self {
        Self::of([
            work(self.least, other.least),
            work(self.least, other.most),
            work(self.most, other.least),
            work(self.most, other.most),
        ])
    }
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Token {
    Number(Span),
    Sign(char),
}

/// Whether there is anything to work out.
pub(crate) fn is_sum(worked: &str) -> bool {
    [" × ", " / ", " + ", " - ", ")²"]
        .iter()
        .any(|sign| worked.contains(sign))
}

/// The first number of a value with its unit.
pub(crate) fn number(value: &str) -> Option<Span> {
    match tokens(value)?.first()? {
        Token::Number(span) => Some(*span),
        Token::Sign(_) => None,
    }
}

/// What a printed sum comes to; `None` where it cannot be read to its end.
pub(crate) fn evaluate(worked: &str) -> Option<Span> {
    let tokens = tokens(worked)?;
    let mut reader = Reader { tokens: &tokens };
    let sum = reader.sum()?;
    reader.tokens.is_empty().then_some(sum)
}

/// Cuts a sum into numbers and signs; words are passed over up to the next sign.
fn tokens(text: &str) -> Option<Vec<Token>> {
    let mut tokens = Vec::new();
    let mut rest = text.trim_start();
    while let Some(first) = rest.chars().next() {
        if first.is_ascii_digit() {
            let (span, after) = a_number(rest)?;
            tokens.push(Token::Number(span));
            rest = after;
        } else if "()²^×/+-".contains(first) {
            tokens.push(Token::Sign(first));
            rest = rest[first.len_utf8()..].trim_start();
        } else {
            return None;
        }
    }
    Some(tokens)
}

/// A number, its unit and the words after it.
fn a_number(text: &str) -> Option<(Span, &str)> {
    let end = text
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(text.len());
    let (digits, rest) = text.split_at(end);
    let value: f64 = digits.parse().ok()?;
    let words = ends_of_words(rest);
    let (words, after) = rest.split_at(words);
    let unit = words.split_whitespace().next().unwrap_or_default();
    let share = match unit {
        "ms" => 1e-3,
        "%" => 1e-2,
        _ if unit.starts_with("mΩ") => 1e-3,
        _ => 1.0,
    };
    let open = open(digits, value, unit.is_empty());
    let span = Span::new((value - open) * share, (value + open) * share);
    Some((span, after.trim_start()))
}

/// Where the words after a number end: before a sign that stands by itself, or a bracket that does
/// not belong to them.
fn ends_of_words(rest: &str) -> usize {
    let signs = [" × ", " / ", " + ", " - "];
    let sign = signs.iter().filter_map(|sign| rest.find(sign));
    let bracket = rest.find([')', '^']);
    let square = rest.starts_with('²').then_some(0);
    sign.chain(bracket)
        .chain(square)
        .min()
        .unwrap_or(rest.len())
}

/// How far a printed number may be off what it stands for. Three significant figures without their
/// trailing noughts where a unit follows; what stands without a unit is a constant and exact up to
/// two decimals.
fn open(digits: &str, value: f64, bare: bool) -> f64 {
    let places = digits.split_once('.').map_or(0, |(_, places)| places.len());
    let last = 0.5 * 10f64.powi(-i32::try_from(places).unwrap_or(9));
    match (bare, places) {
        (true, 0..=2) => 0.0,
        (true, _) => last,
        _ if value >= 100.0 => last.min(0.5),
        _ if value >= 10.0 => last.min(0.05),
        (false, 0..=2) => 0.005,
        (false, _) => last,
    }
}

struct Reader<'a> {
    tokens: &'a [Token],
}

impl Reader<'_> {
    fn take(&mut self, signs: &[char]) -> Option<char> {
        match self.tokens.first() {
            Some(Token::Sign(sign)) if signs.contains(sign) => {
                self.tokens = &self.tokens[1..];
                Some(*sign)
            }
            _ => None,
        }
    }

    fn sum(&mut self) -> Option<Span> {
        let mut sum = self.product()?;
        while let Some(sign) = self.take(&['+', '-']) {
            let next = self.product()?;
            sum = sum.pairs(next, |a, b| if sign == '+' { a + b } else { a - b });
        }
        Some(sum)
    }

    fn product(&mut self) -> Option<Span> {
        let mut product = self.power()?;
        while let Some(sign) = self.take(&['×', '/']) {
            let next = self.power()?;
            product = product.pairs(next, |a, b| if sign == '×' { a * b } else { a / b });
        }
        Some(product)
    }

    fn power(&mut self) -> Option<Span> {
        let base = self.atom()?;
        if self.take(&['²']).is_some() {
            return Some(base.pairs(base, |a, b| a * b));
        }
        if self.take(&['^']).is_some() {
            let exponent = self.atom()?;
            return Some(base.pairs(exponent, f64::powf));
        }
        Some(base)
    }

    fn atom(&mut self) -> Option<Span> {
        if self.take(&['(']).is_some() {
            let inside = self.sum()?;
            self.take(&[')'])?;
            return Some(inside);
        }
        let Some(Token::Number(span)) = self.tokens.first() else {
            return None;
        };
        self.tokens = &self.tokens[1..];
        Some(*span)
    }
}

#[test]
fn sums_are_read_as_people_read_them() {
    let comes_to = |text: &str, value: &str| {
        let (sum, value) = (evaluate(text), number(value));
        sum.zip(value).is_some_and(|(sum, value)| sum.meets(value))
    };
    assert!(comes_to("0.0164 × 9.2 A × 7 m / 16 mm²", "0.066 V"));
    assert!(!comes_to("0.0164 × 9.2 A × 7 m / 16 mm²", "0.068 V"));
    assert!(comes_to(
        "12.20 V / (4 mΩ in it + 20 mΩ out + 20 mΩ home)",
        "277 A"
    ));
    assert!(!comes_to(
        "12.20 V / (4 mΩ in it + 20 mΩ out + 20 mΩ home)",
        "287 A"
    ));
    assert!(comes_to("(9.25 A)² × 9.05 mΩ", "0.77 W"));
    assert!(comes_to("1.2 A lamp-2 + 7 A pump", "8.2 A"));
    assert!(!comes_to("1.2 A lamp-2 + 7 A pump", "8.4 A"));
    assert!(comes_to("(115 × 2.5 mm² / 1000 A)²", "82.7 ms"));
    assert!(comes_to("200 W × 95 % / 12 V", "15.8 A"));
    assert!(comes_to(
        "100 Ah × 1 h / (20 h × (100 Ah / (20 A × 20 h))^1.2)",
        "26.4 Ah"
    ));
    assert!(evaluate("6 A × ").is_none());
}
