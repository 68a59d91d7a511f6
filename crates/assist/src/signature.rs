//! Signature help: what a line may say, and which part of it is being written.

use ampwright_notation::{
    Kind,
    table::{BACK_WORDS, CASE_WORDS, CONDUCTOR_WORDS, FactRow, LINE_WORDS, Need, Shape, WordRow},
    token::Lexeme,
};
use ampwright_plan::Plan;

use crate::complete::line::{Line, Word};

/// What a line may say.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signature {
    /// The whole of it: the parts with blanks between.
    pub label: String,
    /// What such a line is for.
    pub about: String,
    /// Its parts, each of which stands in `label`.
    pub parts: Vec<Part>,
    /// The part that is being written.
    pub active: Option<usize>,
}

/// A part of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Its place in the label, in bytes; the label is ASCII.
    pub at: std::ops::Range<usize>,
    /// What it says.
    pub about: String,
}

/// What the line at an offset may say; `None` in comments, texts and lines of nothing known.
pub fn signature(plan: &Plan, file: u32, offset: usize) -> Option<Signature> {
    let line = Line::at(plan, file, offset)?;
    let first = line.words.first().map(|word| word.text);
    if line.is_margin {
        let kind = Kind::parse(first?)?;
        return Some(of_kind(kind, &line));
    }
    let kind = line.thing?.kind?;
    match (kind, first) {
        (_, Some("allow")) => of_row(LINE_WORDS.iter(), "allow", &line),
        (Kind::Run, Some("back")) => Some(of_back(&line)),
        (Kind::Run, Some(_)) if is_conductor(&line) => Some(of_conductor(&line)),
        (Kind::Case, Some(verb)) => of_row(CASE_WORDS.iter(), verb, &line),
        (Kind::Panel, Some("way")) => of_row(LINE_WORDS.iter(), "way", &line),
        (Kind::Run, _) | (Kind::Case, None) => None,
        (kind, _) => Some(of_kind(kind, &line)),
    }
}

/// A list of parts becoming a label.
#[derive(Default)]
struct Builder {
    label: String,
    parts: Vec<Part>,
}

impl Builder {
    fn plain(&mut self, words: &str) {
        if !self.label.is_empty() {
            self.label.push(' ');
        }
        self.label.push_str(words);
    }

    fn part(&mut self, words: &str, about: &str) {
        self.plain(words);
        self.parts.push(Part {
            at: self.label.len() - words.len()..self.label.len(),
            about: about.to_owned(),
        });
    }

    fn finish(self, about: &str, active: Option<usize>) -> Signature {
        let active = active.filter(|&active| active < self.parts.len());
        Signature {
            label: self.label,
            about: about.to_owned(),
            parts: self.parts,
            active,
        }
    }
}

/// A thing's head and its facts.
fn of_kind(kind: Kind, line: &Line<'_>) -> Signature {
    let row = kind.row();
    let mut builder = Builder::default();
    builder.plain(row.word);
    builder.part("NAME", "what it is called on this boat");
    builder.part("[\"TITLE\"]", "how people call it");
    let facts: Vec<&FactRow> = row.facts().collect();
    for fact in &facts {
        let pattern = shortened(fact);
        let words = if fact.need == Need::Needed {
            pattern
        } else {
            format!("[{pattern}]")
        };
        builder.part(&words, fact.help);
    }
    let active = active_fact(kind, &facts, line);
    builder.finish(row.meaning, active)
}

/// A long list of words to choose from makes no label: its first ones do.
fn shortened(fact: &FactRow) -> String {
    const MOST: usize = 5;
    let choices = fact.choices();
    if choices.len() <= MOST {
        return fact.pattern();
    }
    let first: Vec<&str> = choices
        .iter()
        .take(MOST)
        .map(|choice| choice.word)
        .collect();
    let word = match fact.shape {
        Shape::Word(_) => format!("{} ", fact.word),
        _ => String::new(),
    };
    format!("{word}{}/...", first.join("/"))
}

/// The part that is being written: the name, the fact that the last words begin, else the first fact
/// that is needed and not said.
fn active_fact(kind: Kind, facts: &[&FactRow], line: &Line<'_>) -> Option<usize> {
    const BEFORE_FACTS: usize = 2;
    let words = if line.is_margin {
        line.words.get(1..)?
    } else {
        &line.words
    };
    if line.is_margin && words.is_empty() {
        return Some(0);
    }
    let place = |fact: &FactRow| {
        let at = facts.iter().position(|other| other.key == fact.key);
        at.map(|at| at + BEFORE_FACTS)
    };
    // A fact has few words: what begins one stands near its end.
    let begun = words
        .iter()
        .rev()
        .take(3)
        .enumerate()
        .find_map(|(back, word)| {
            let fact = kind.fact_of_word(word.text)?;
            (back < length(fact)).then_some(fact)
        });
    if let Some(fact) = begun {
        return place(fact);
    }
    let said = |fact: &FactRow| line.thing.is_some_and(|thing| thing.has(fact.key));
    let of_group = |group: u8| facts.iter().any(|fact| fact.group == group && said(fact));
    let lacking = facts.iter().find(|fact| match fact.need {
        Need::Needed => !said(fact),
        Need::OneOf => !said(fact) && (fact.group == 0 || !of_group(fact.group)),
        Need::Optional => false,
    });
    lacking.and_then(|fact| place(fact))
}

/// How many words a fact has behind which it may still go on, its own word included.
const fn length(fact: &FactRow) -> usize {
    match fact.shape {
        Shape::Flag
        | Shape::Choice(_)
        | Shape::Bare(_)
        | Shape::BareSize
        | Shape::BareName
        | Shape::CountBefore => 0,
        Shape::Quantity(_) | Shape::Maybe(_) | Shape::Size => 2,
        Shape::Count | Shape::Word(_) | Shape::Name(_) => 1,
        Shape::SizeAmps | Shape::CountAmps | Shape::AmpsTime | Shape::Positions => 3,
    }
}

fn is_conductor(line: &Line<'_>) -> bool {
    let first = line.words.first();
    first.is_some_and(|word| word.is_number() || matches!(word.text, "twin" | "core"))
}

fn meaning(rows: &[WordRow], word: &str) -> &'static str {
    rows.iter()
        .find(|row| row.word == word)
        .map_or("", |row| row.meaning)
}

fn of_conductor(line: &Line<'_>) -> Signature {
    if line.words.first().is_some_and(|word| word.text == "core") {
        let mut builder = Builder::default();
        builder.part("core N", "which core");
        builder.part("of NAME", meaning(&CONDUCTOR_WORDS, "of"));
        builder.part("[COLOUR]", "the colour of its insulation");
        builder.part("[mark MARK]", meaning(&CONDUCTOR_WORDS, "mark"));
        let said = |word: &str| line.words.iter().any(|other| other.text == word);
        let active = match (said("mark"), said("of"), line.words.len()) {
            (true, ..) => 3,
            (_, true, 4..) => 2,
            (_, true, _) | (_, _, 2..) => 1,
            _ => 0,
        };
        return builder.finish(meaning(&CONDUCTOR_WORDS, "core"), Some(active));
    }
    let mut builder = Builder::default();
    builder.part("[twin | N parallel]", meaning(&CONDUCTOR_WORDS, "twin"));
    builder.part("SIZE", "its size, in mm2 or AWG");
    builder.part("[CABLE]", "what cable it is of, where not the boat's");
    builder.part("[COLOUR]", "the colour of its insulation");
    builder.part("LENGTH", "its length, measured along the cable");
    for (words, word) in [
        ("[in PLACE]", "in"),
        ("[bundled N]", "bundled"),
        ("[sheathed]", "sheathed"),
        ("[mark MARK]", "mark"),
    ] {
        builder.part(words, meaning(&CONDUCTOR_WORDS, word));
    }
    builder.finish(
        "the conductor to the next stop",
        Some(active_of_conductor(&line.words)),
    )
}

fn active_of_conductor(words: &[Word<'_>]) -> usize {
    let said = |of: &[&str]| words.iter().any(|word| of.contains(&word.text));
    let last = words.last().map_or("", |word| word.text);
    let before = words.len().checked_sub(2).and_then(|at| words.get(at));
    match (last, before.map_or("", |word| word.text)) {
        ("in", _) => 5,
        ("bundled", _) | (_, "bundled") => 6,
        ("mark", _) | (_, "mark") => 8,
        _ if !said(&["mm2", "mm²", "AWG"]) => 1,
        _ if !said(&["m", "cm", "mm", "ft", "inch"]) => 4,
        _ => 5,
    }
}

fn of_back(line: &Line<'_>) -> Signature {
    let mut builder = Builder::default();
    builder.plain("back");
    builder.part("[COLOUR]", "the colour of its insulation");
    builder.part("[LENGTH]", "its length, where that is not the way out's");
    builder.part("[core N of NAME]", meaning(&CONDUCTOR_WORDS, "core"));
    builder.part("[mark MARK]", meaning(&CONDUCTOR_WORDS, "mark"));
    builder.part("[to STOP]", meaning(&BACK_WORDS, "to"));
    let said = |word: &str| line.words.iter().any(|other| other.text == word);
    let last = line.words.last();
    let active = match last.map_or("", |word| word.text) {
        _ if said("to") => 4,
        "mark" => 3,
        _ if said("core") => 2,
        _ if last.is_some_and(Word::is_number) => 1,
        _ => 0,
    };
    builder.finish(meaning(&LINE_WORDS, "back"), Some(active))
}

/// A line by the pattern that the table has of its word, each word of the pattern a part.
fn of_row<'r>(
    rows: impl Iterator<Item = &'r WordRow>,
    word: &str,
    line: &Line<'_>,
) -> Option<Signature> {
    let mut rows = rows;
    let row = rows.find(|row| row.word == word)?;
    let mut builder = Builder::default();
    let mut pieces = pieces(row.pattern).into_iter();
    builder.plain(pieces.next()?);
    for piece in pieces {
        builder.part(piece, "");
    }
    // The words of the pattern and those of the line keep step as far as numbers and units allow.
    let written = line.words.iter().skip(1);
    let done = written.filter(|word| word.lexeme != Lexeme::Number || word.text.len() < 3);
    let active = done.count().min(builder.parts.len().saturating_sub(1));
    Some(builder.finish(row.meaning, Some(active)))
}

/// The words of a pattern; what stands in brackets is one.
fn pieces(pattern: &str) -> Vec<&str> {
    let mut pieces = Vec::new();
    let (mut depth, mut start) = (0usize, 0);
    for (at, letter) in pattern.char_indices() {
        match letter {
            '[' => depth += 1,
            ']' => depth = depth.saturating_sub(1),
            ' ' if depth == 0 => {
                pieces.extend(pattern.get(start..at));
                start = at + 1;
            }
            _ => {}
        }
    }
    pieces.extend(pattern.get(start..));
    pieces.retain(|piece| !piece.is_empty());
    pieces
}

#[cfg(test)]
mod tests {
    use ampwright_notation::table::kinds;
    use expect_test::{Expect, expect};

    use super::signature;
    use crate::fixture::pointed;

    fn check(fixture: &str, expected: &Expect) {
        let here = pointed(fixture);
        let shown = signature(&here.plan, 0, here.at).map_or_else(
            || "nothing".to_owned(),
            |told| {
                let active = told
                    .active
                    .map_or("-", |active| &told.label[told.parts[active].at.clone()]);
                format!("{}\n> {active}", told.label)
            },
        );
        expected.assert_eq(&shown);
    }

    /// The part that is being written, of a label whose later parts come and go with the table.
    #[track_caller]
    fn active(fixture: &str, begins: &str, expected: &str) {
        let here = pointed(fixture);
        let told = signature(&here.plan, 0, here.at).unwrap();
        assert!(told.label.starts_with(begins), "{}", told.label);
        let active = told
            .active
            .map_or("-", |active| &told.label[told.parts[active].at.clone()]);
        assert_eq!(active, expected, "{fixture}");
    }

    #[test]
    fn the_facts_of_a_kind() {
        let fuse = "fuse NAME [\"TITLE\"] blade/strip/bolt-down/cartridge/class-t A ";
        active("fuse $0", fuse, "NAME");
        active("fuse f $0", fuse, "blade/strip/bolt-down/cartridge/class-t");
        active("fuse f blade 5 A\n    breaks $0", fuse, "[breaks A]");
        active("battery b agm\n    $0\n", "battery NAME [\"TITLE\"] ", "Ah");
        let load =
            "load NAME [\"TITLE\"] [lighting/navigation/pump/bilge-pump/blower/...] [A] [W] [ohm] ";
        active("load l $0", load, "[A]");
        active("load l pump 5 A $0", load, "-");
    }

    #[test]
    fn the_parts_of_a_step() {
        for (typed, expected) in [
            (
                "2.5 $0",
                expect![[r#"
                [twin | N parallel] SIZE [CABLE] [COLOUR] LENGTH [in PLACE] [bundled N] [sheathed] [mark MARK]
                > SIZE"#]],
            ),
            (
                "twin 2.5 mm2 $0",
                expect![[r#"
                [twin | N parallel] SIZE [CABLE] [COLOUR] LENGTH [in PLACE] [bundled N] [sheathed] [mark MARK]
                > LENGTH"#]],
            ),
            (
                "2.5 mm2 red 3 m in $0",
                expect![[r#"
                [twin | N parallel] SIZE [CABLE] [COLOUR] LENGTH [in PLACE] [bundled N] [sheathed] [mark MARK]
                > [in PLACE]"#]],
            ),
            (
                "2.5 mm2 red 3 m mark $0",
                expect![[r#"
                [twin | N parallel] SIZE [CABLE] [COLOUR] LENGTH [in PLACE] [bundled N] [sheathed] [mark MARK]
                > [mark MARK]"#]],
            ),
            (
                "core 2 $0",
                expect![[r#"
                core N of NAME [COLOUR] [mark MARK]
                > of NAME"#]],
            ),
            (
                "back $0",
                expect![[r#"
                back [COLOUR] [LENGTH] [core N of NAME] [mark MARK] [to STOP]
                > [COLOUR]"#]],
            ),
            (
                "back black to $0",
                expect![[r#"
                back [COLOUR] [LENGTH] [core N of NAME] [mark MARK] [to STOP]
                > [to STOP]"#]],
            ),
            ("house $0", expect!["nothing"]),
        ] {
            check(&format!("run r\n    a +\n    {typed}\n"), &expected);
        }
    }

    #[test]
    fn ways_cases_and_allowances() {
        check(
            "panel p\n    way 3 $0\n",
            &expect![[r#"
            way N fuse A ["title"]
            > fuse"#]],
        );
        check(
            "case c\n    on l $0\n",
            &expect![[r#"
            on NAME [A or W]
            > [A or W]"#]],
        );
        check(
            "load l\n    allow $0\n",
            &expect![[r#"
            allow FINDING [up to FIGURE] "reason" [by "who"]
            > FINDING"#]],
        );
        check("load l # $0\n", &expect!["nothing"]);
        check("$0", &expect!["nothing"]);
    }

    #[test]
    fn every_kind_has_one_in_ascii() {
        for row in kinds() {
            let here = pointed(&format!("{} n $0", row.word));
            let told = signature(&here.plan, 0, here.at).unwrap();
            assert!(told.label.is_ascii(), "{}", told.label);
            assert!(
                told.parts
                    .iter()
                    .all(|part| !told.label[part.at.clone()].is_empty())
            );
        }
    }
}
