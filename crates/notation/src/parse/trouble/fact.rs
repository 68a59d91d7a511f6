//! What is wrong with a fact: its word, its value, its unit.

use super::{Scene, a, meant_unit, sentence, shortened, units_of};
use crate::{
    flaw::{Code, Flaw},
    parse::{Tok, facts::called},
    suggest::nearest,
    table::{FactRow, Kind, KindRow, Shape},
    token::Lexeme,
    tree::{At, Span},
    units::{Dimension, Quantity, Unit, either},
};

/// A number whose unit is missing or not known.
struct Lone<'a> {
    number: Span,
    said: &'a str,
    /// The units that would fit, for a sentence.
    units: String,
    wanted: &'a [Dimension],
}

impl Scene<'_> {
    pub(super) fn wanted_fact(&self) -> Flaw {
        let Some(tok) = self.tok() else {
            return self.left_over();
        };
        let Some(row) = self.kind.map(Kind::row) else {
            return self.left_over();
        };
        match tok.lexeme {
            Lexeme::Word => self.unknown_fact(row, tok.text),
            Lexeme::Text => self.syntax(self.stray_text()),
            Lexeme::Plus | Lexeme::Minus if row.space == crate::table::Space::Part => {
                self.syntax("A terminal is named in a run, not here: take the sign away.")
            }
            _ => self.syntax(format!(
                "`{}` begins no fact of {}.",
                shortened(tok.text),
                self.a_kind()
            )),
        }
    }

    fn stray_text(&self) -> String {
        format!(
            "Text in quotes is the title of {}, which stands directly after its name.",
            self.a_kind()
        )
    }

    fn unknown_fact(&self, row: &'static KindRow, word: &str) -> Flaw {
        let shown = shortened(word);
        let span = self.span();
        let flaw = |message: String| Flaw::new(Code::UnknownFact, span, message);
        let of = self.a_kind();
        if let Some(meant) = nearest(word, words_of(row)) {
            return flaw(format!(
                "{} has no fact `{shown}`; did you mean `{meant}`?",
                sentence(&of)
            ))
            .written(span, meant);
        }
        if word == "AWG" {
            return self
                .swapped_gauge()
                .unwrap_or_else(|| flaw(format!("{} has no fact `AWG`.", sentence(&of))));
        }
        if is_spelt_number(word) {
            let message = format!("`{shown}` is no number: write digits and a unit.");
            return Flaw::new(Code::ImpossibleValue, span, message);
        }
        let others: Vec<String> = kinds_with(word).map(|row| a(row.word)).take(4).collect();
        if others.is_empty() {
            return flaw(format!(
                "{} has no fact `{shown}`: {}.",
                sentence(&of),
                facts_of(row)
            ));
        }
        let others = either(others.iter().map(String::as_str));
        flaw(format!("`{shown}` is no fact of {of} but of {others}."))
    }

    pub(super) fn count_before(&self, row: &FactRow) -> Flaw {
        let flaw = self.syntax(format!(
            "The number stands before `{}`: `{}`.",
            row.word, row.example
        ));
        match (self.tok(), self.near(1)) {
            (Some(word), Some(number)) if number.lexeme == Lexeme::Number => flaw.written(
                word.span.to(number.span),
                format!("{} {}", number.text, row.word),
            ),
            _ => flaw,
        }
    }

    pub(super) fn wanted_choice(&self, row: &FactRow) -> Flaw {
        let words = || row.choices().iter().map(|choice| choice.word);
        let flaw = self.syntax(format!("After `{}` stands {}.", row.word, either(words())));
        match nearest(self.text(), words()) {
            Some(word) if self.tok().is_some() => flaw.written(self.span(), word),
            _ => flaw,
        }
    }

    pub(super) fn clash(&self, first: &FactRow, second: &FactRow, span: Span) -> Flaw {
        let message = if first.key == second.key {
            format!(
                "{} is said twice: take one of the two away.",
                sentence(&fact_called(first))
            )
        } else {
            let (first, second) = (sentence(&fact_called(first)), fact_called(second));
            format!("{first} and {second} exclude each other: take one of the two away.")
        };
        let after = self.line.partition_point(|tok| tok.span.end <= span.start);
        let before = after
            .checked_sub(1)
            .and_then(|before| self.line.get(before));
        let gone = before.map_or(span, |tok| tok.span.after().to(span));
        Flaw::new(Code::Syntax, span, message).with("take it away", gone, "")
    }

    pub(super) fn wanted_quantity(&self, wanted: &[Dimension]) -> Flaw {
        let what = match wanted {
            [] => "a number with its unit".to_owned(),
            wanted => format!("a number in {}", units_of(wanted)),
        };
        if let Some(flaw) = self.swapped_gauge() {
            return flaw;
        }
        match self.tok() {
            None => self.syntax(format!("The line ends too early: {what} belongs here.")),
            Some(tok) if is_spelt_number(tok.text) => Flaw::new(
                Code::ImpossibleValue,
                tok.span,
                format!("`{}` is no number: write {what}.", shortened(tok.text)),
            ),
            Some(tok) => self.syntax(format!(
                "{} belongs here, not `{}`.",
                sentence(&what),
                shortened(tok.text)
            )),
        }
    }

    pub(super) fn wanted_unit(&self, wanted: &[Dimension]) -> Flaw {
        let Some(number) = self.before() else {
            return self.left_over();
        };
        let lone = Lone {
            number: number.span,
            said: shortened(number.text),
            units: self.fitting_units(wanted),
            wanted,
        };
        let is_unit = |tok: &&Tok<'_>| matches!(tok.lexeme, Lexeme::Word | Lexeme::Percent);
        let Some(tok) = self.tok() else {
            return self.lone_number(&lone);
        };
        self.slip_after_number(tok)
            .unwrap_or_else(|| match Some(tok).filter(is_unit) {
                Some(word) => self.unknown_unit(&lone, word),
                None => self.lone_number(&lone),
            })
    }

    /// Words after a number that tell what its writer had in mind.
    fn slip_after_number(&self, tok: &Tok<'_>) -> Option<Flaw> {
        if let Some(flaw) = self.swapped_gauge() {
            return Some(flaw);
        }
        match tok.text {
            "x" | "×" => return Some(self.no_multiplier()),
            "parallel" => return Some(self.wanted_part()),
            _ => {}
        }
        let digits = tok
            .text
            .strip_prefix('x')
            .filter(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))?;
        let flaw = self.syntax("A multiplier is a word of its own: put spaces round `x`.");
        Some(flaw.with("put spaces round it", tok.span, format!(" x {digits}")))
    }

    /// A word where a unit belongs.
    fn unknown_unit(&self, lone: &Lone<'_>, tok: &Tok<'_>) -> Flaw {
        if tok.is("in") {
            return self.lone_number(lone);
        }
        let unit = meant_unit(tok.text, lone.wanted).or_else(|| self.meant_by_kind(tok.text));
        if unit.is_none() && self.begins_something(tok.text) {
            return self.lone_number(lone);
        }
        let message = format!(
            "`{}` is no unit that fits here: write {}.",
            shortened(tok.text),
            lone.units
        );
        let flaw = Flaw::new(Code::WrongUnit, lone.number.to(tok.span), message);
        let Some(unit) = unit.map(Unit::ascii) else {
            return flaw;
        };
        let gap = if tok.span.start == lone.number.end {
            " "
        } else {
            ""
        };
        flaw.with(
            format!("write {} {unit}", lone.said),
            tok.span,
            format!("{gap}{unit}"),
        )
    }

    /// Whether a word after a number is not its unit but the next thing said.
    fn begins_something(&self, word: &str) -> bool {
        let fact = self
            .kind
            .is_some_and(|kind| kind.fact_of_word(word).is_some());
        fact || super::is_colour(word)
            || matches!(word, "twin" | "core" | "sheathed" | "bundled" | "mark")
    }

    fn meant_by_kind(&self, word: &str) -> Option<Unit> {
        let unit = Unit::guess(word)?;
        self.kind
            .and_then(|kind| kind.bare_fact(unit.row().dimension))
            .map(|_| unit)
    }

    /// The units that would fit: those wanted, else those of the kind's bare facts.
    fn fitting_units(&self, wanted: &[Dimension]) -> String {
        if !wanted.is_empty() {
            return units_of(wanted);
        }
        let bare = self.kind.into_iter().flat_map(|kind| kind.row().facts());
        let bare: Vec<Dimension> = bare.filter_map(FactRow::bare_dimension).collect();
        let usual = bare.iter().filter_map(|dimension| dimension.units().next());
        either(usual.map(|row| row.ascii))
    }

    /// A number without a unit: `30 in engine-bay`.
    fn lone_number(&self, lone: &Lone<'_>) -> Flaw {
        let said = lone.said;
        let message = if lone.units.is_empty() {
            format!("`{said}` begins no fact of {}.", self.a_kind())
        } else {
            format!("{said} what? {}.", lone.units)
        };
        let flaw = Flaw::new(Code::WrongUnit, lone.number, message);
        let [one] = lone.wanted else { return flaw };
        let add = |flaw: Flaw, unit: &str| {
            flaw.with(
                format!("write {said} {unit}"),
                lone.number.after(),
                format!(" {unit}"),
            )
        };
        units_for(said, *one).fold(flaw, add)
    }

    /// `2 x 100 W` where no load says it.
    fn no_multiplier(&self) -> Flaw {
        if let (Some(Kind::Run), Some(flaw)) = (self.kind, self.drum_print()) {
            return flaw;
        }
        let (count, times) = (self.near(-1), self.near(0));
        let (Some(count), Some(times)) = (count, times) else {
            return self.left_over();
        };
        let (Some(number), Some(unit)) = (self.near(1), self.near(2)) else {
            return self.syntax("A number with its unit belongs after `x`.");
        };
        if self.kind == Some(Kind::Solar) {
            let text = format!("{} {} parallel {}", number.text, unit.text, count.text);
            let message = "The figures of solar panels are those of one: how many there are is said by `parallel` and `series`.";
            let span = count.span.to(unit.span);
            return Flaw::new(Code::Syntax, span, message).written(span, text);
        }
        let message = "Only what a load draws is multiplied by `x`: write here what all make together, or each as a thing of its own.";
        Flaw::new(Code::Syntax, count.span.to(times.span), message)
    }

    /// `AWG 10` is written `10 AWG`.
    pub(super) fn swapped_gauge(&self) -> Option<Flaw> {
        let at = (-2..=1).find(|&offset| {
            let number = self
                .near(offset + 1)
                .is_some_and(|tok| tok.lexeme == Lexeme::Number);
            number && self.near(offset).is_some_and(|tok| tok.is("AWG"))
        })?;
        let (awg, number) = (self.near(at)?, self.near(at + 1)?);
        let zero = self
            .near(at + 2)
            .filter(|tok| tok.lexeme == Lexeme::Slash)
            .and_then(|_| self.near(at + 3));
        let (text, end) = match zero {
            Some(zero) => (format!("{}/{} AWG", number.text, zero.text), zero.span),
            None => (format!("{} AWG", number.text), number.span),
        };
        let span = awg.span.to(end);
        let message = format!("The number stands before its unit: write `{text}`.");
        Some(Flaw::new(Code::Syntax, span, message).written(span, text))
    }

    /// A bare quantity whose unit tells no fact of the kind.
    pub(super) fn no_bare(&self, found: At<Quantity>) -> Flaw {
        let said = found.value.printed();
        let units = self.fitting_units(&[]);
        let message = if units.is_empty() {
            format!(
                "{} is given no quantity, so {said} says nothing here.",
                sentence(&self.a_kind())
            )
        } else {
            format!(
                "{said} says nothing about {}: what stands without a word is in {units}.",
                self.a_kind()
            )
        };
        let flaw = Flaw::new(Code::WrongUnit, found.span, message);
        let worded = self.kind.into_iter().flat_map(|kind| kind.row().facts());
        let mut worded = worded.filter(|row| matches!(row.shape, Shape::Quantity(dimension) if dimension == found.value.dimension));
        match (
            self.converted_for_kind(found.value),
            worded.next(),
            worded.next(),
        ) {
            (Some(text), ..) => flaw.written(found.span, text),
            (None, Some(row), None) => {
                flaw.written(found.span, format!("{} {}", row.word, found.value.ascii()))
            }
            _ => flaw,
        }
    }

    fn converted_for_kind(&self, found: Quantity) -> Option<String> {
        let bare = self.kind?.row().facts();
        bare.filter_map(FactRow::bare_dimension)
            .find_map(|dimension| converted(found, dimension))
    }
}

pub(super) fn wrong_unit(wanted: &[Dimension], found: At<Quantity>) -> Flaw {
    let said = found.value.printed();
    let measures = found.value.dimension.word();
    let wants: Vec<&str> = wanted.iter().map(|dimension| dimension.word()).collect();
    let message = format!(
        "{said} is a {measures}, but a {} belongs here: write it in {}.",
        either(wants),
        units_of(wanted)
    );
    let flaw = Flaw::new(Code::WrongUnit, found.span, message);
    match wanted
        .iter()
        .find_map(|&dimension| converted(found.value, dimension))
    {
        Some(text) => flaw.written(found.span, text),
        None => flaw,
    }
}

/// The quantity in another dimension's unit, where the two differ by a slip of the pen only.
fn converted(found: Quantity, wanted: Dimension) -> Option<String> {
    let number = crate::units::plain(found.number());
    match (found.dimension, found.unit, wanted) {
        (Dimension::Section, Unit::SquareMillimetre, Dimension::Opening) => {
            Some(Quantity::new(found.value / 100.0, Unit::SquareCentimetre).ascii())
        }
        (Dimension::Opening, _, Dimension::Section) => {
            Some(Quantity::new(found.value * 100.0, Unit::SquareMillimetre).ascii())
        }
        (Dimension::Length, Unit::Millimetre, Dimension::Section) => Some(format!("{number} mm2")),
        (Dimension::Length, Unit::Centimetre, Dimension::Opening) => Some(format!("{number} cm2")),
        (Dimension::Section, Unit::SquareMillimetre, Dimension::Length) => {
            Some(format!("{number} mm"))
        }
        (Dimension::Current, Unit::Ampere, Dimension::Charge) => Some(format!("{number} Ah")),
        (Dimension::Time, Unit::Hour, Dimension::Daily) => Some(format!("{number} h/day")),
        (Dimension::Time, Unit::Minute, Dimension::Daily) => Some(format!("{number} min/day")),
        _ => None,
    }
}

fn words_of(row: &'static KindRow) -> impl Iterator<Item = &'static str> {
    let words = row
        .facts()
        .map(|fact| fact.word)
        .filter(|word| !word.is_empty());
    let bare = row
        .facts()
        .filter(|fact| matches!(fact.shape, Shape::Choice(_)));
    words.chain(bare.flat_map(FactRow::choices).map(|choice| choice.word))
}

/// The units of a dimension that may follow a number: no gauge is a fraction.
fn units_for(said: &str, dimension: Dimension) -> impl Iterator<Item = &'static str> {
    let is_whole = !said.contains('.');
    let rows = dimension
        .units()
        .filter(move |row| is_whole || row.unit != Unit::Awg);
    rows.map(|row| row.ascii)
}

/// What a fact is called in a sentence.
fn fact_called(row: &FactRow) -> String {
    match row.shape {
        Shape::Choice(choices) => format!(
            "one of {}",
            either(choices.iter().map(|choice| choice.word))
        ),
        _ if row.word.is_empty() => called(row).to_owned(),
        _ => format!("`{}`", row.word),
    }
}

/// The facts of a kind as a list for a sentence; those that choose from many words are left out.
fn facts_of(row: &'static KindRow) -> String {
    let short = |fact: &&FactRow| fact.choices().len() <= 6;
    let patterns: Vec<String> = row.facts().filter(short).map(FactRow::pattern).collect();
    match patterns.as_slice() {
        [] => "it has none".to_owned(),
        patterns => format!("its facts are {}", patterns.join(", ")),
    }
}

/// The kinds that have a fact of this word.
fn kinds_with(word: &str) -> impl Iterator<Item = &'static KindRow> {
    crate::table::kinds().filter(move |row| row.kind.fact_of_word(word).is_some())
}

/// The spellings by which programs write what is no number.
fn is_spelt_number(text: &str) -> bool {
    ["nan", "inf", "infinity"]
        .iter()
        .any(|spelt| spelt.eq_ignore_ascii_case(text))
}
