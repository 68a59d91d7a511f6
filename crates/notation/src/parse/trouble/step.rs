//! What is wrong with a step of a run or with a panel's way.

use super::{Scene, is_colour, shortened};
use crate::{
    flaw::{Code, Flaw},
    suggest::nearest,
    table::{BACK_WORDS, STOP_WORDS},
    token::Lexeme,
    tree::{Side, Span},
    units::Unit,
};

impl Scene<'_> {
    pub(super) fn wanted_way_device(&self) -> Flaw {
        const DEVICES: [&str; 4] = ["fuse", "breaker", "switch", "spare"];
        let flaw = self.syntax(
            "A way says what stands in it: `fuse 5 A`, `breaker 10 A`, `switch 10 A` or `spare`.",
        );
        match self.tok().and_then(|tok| nearest(tok.text, DEVICES)) {
            Some(word) => flaw.written(self.span(), word),
            None => flaw,
        }
    }

    pub(super) fn wanted_size(&self) -> Flaw {
        if let Some(flaw) = self.swapped_gauge() {
            return flaw;
        }
        let flaw = self.syntax("The conductor's size belongs here, such as `2.5 mm2` or `14 AWG`.");
        let twice = self.before().is_some_and(|tok| tok.is("parallel"))
            && self.tok().is_some_and(|tok| tok.is("twin"));
        if twice {
            return self
                .syntax("A line is either `twin` or several in parallel: write one of the two.");
        }
        flaw
    }

    pub(super) fn wanted_part(&self) -> Flaw {
        let Some(tok) = self.tok() else {
            return self.left_over();
        };
        if let Some(flaw) = self.swapped_gauge() {
            return flaw;
        }
        let shown = shortened(tok.text);
        let begins = matches!(tok.text, "twin" | "core" | "parallel");
        if begins && tok.lexeme == Lexeme::Word {
            return self.syntax(format!(
                "`{shown}` stands at the beginning of a conductor's line: move it before the size."
            ));
        }
        if tok.is("to") || tok.is("back") {
            return self.syntax(format!(
                "`{shown}` is a word of the return, which is a line of its own: `back to STOP`."
            ));
        }
        self.syntax(format!("`{shown}` is no part of a conductor's line: a cable, a colour, a length, `in`, `bundled`, `sheathed` or `mark` belongs here."))
    }

    pub(super) fn wanted_back_part(&self) -> Flaw {
        let message = "A return takes a colour, a length, a core, a mark and `to STOP`; its size, cable and places are those of the way out.";
        let flaw = self.syntax(message);
        let words = BACK_WORDS
            .iter()
            .map(|row| row.word)
            .chain(["core", "mark"]);
        let colours = crate::colour::Basic::ALL.iter().map(|basic| basic.word());
        match nearest(self.text(), words.chain(colours)) {
            Some(word) => flaw.written(self.span(), word),
            None => self.landing(flaw),
        }
    }

    /// `back cabin-negative` for `back to cabin-negative`.
    fn landing(&self, flaw: Flaw) -> Flaw {
        let after_back = self.at == 1
            && self
                .tok()
                .is_some_and(|tok| tok.lexeme == Lexeme::Word && !tok.is("in"));
        match self.tok() {
            Some(tok) if after_back => flaw.with(
                format!("write to {}", shortened(tok.text)),
                tok.span.before(),
                "to ",
            ),
            _ => flaw,
        }
    }

    pub(super) fn wanted_terminal(&self) -> Flaw {
        let Some(tok) = self.tok() else {
            return self.left_over();
        };
        if self.line.first().is_some_and(|first| first.is("in")) {
            return self.syntax("`in PLACE` stands before the run's first stop, for all its conductors, or on the line of one conductor.");
        }
        if let Some(flaw) = self.mistyped_start().or_else(|| self.misplaced_conductor()) {
            return flaw;
        }
        let shown = shortened(tok.text);
        let span = tok.span;
        let message = format!(
            "`{shown}` is no terminal: after a part's name stands `way N`, `pole N` or a terminal such as `+`, `-`, `feed`, `out` or `post 3`."
        );
        let flaw = Flaw::new(Code::UnknownTerminal, span, message);
        let sign = match tok.text.to_ascii_lowercase().as_str() {
            "plus" | "positive" | "pos" => Some("+"),
            "minus" | "negative" | "neg" => Some("-"),
            _ => None,
        };
        let sides = Side::ALL.iter().map(|side| side.word());
        let words = sides
            .chain(STOP_WORDS.iter().map(|row| row.word))
            .chain(["way"]);
        match sign.or_else(|| nearest(tok.text, words)) {
            Some(word) => flaw.written(span, word),
            None => flaw,
        }
    }

    /// A line that was read as a stop because of a slip in its first word: `bakc black`, `twni 2.5 mm2`.
    pub(super) fn mistyped_start(&self) -> Option<Flaw> {
        let (first, second) = (self.line.first()?, self.line.get(1)?);
        let goes_on = |word: &str| match word {
            "back" => {
                let joins = ["to", "core", "mark"].iter().any(|word| second.is(word));
                joins || second.lexeme == Lexeme::Number || is_colour(second.text)
            }
            _ => second.lexeme == Lexeme::Number,
        };
        let word = nearest(first.text, ["back", "twin", "core"]).filter(|word| goes_on(word))?;
        let message = format!(
            "`{}` begins no line of a run; did you mean `{word}`?",
            shortened(first.text)
        );
        Some(Flaw::new(Code::Syntax, first.span, message).written(first.span, word))
    }

    /// A line that was read as a stop but is a conductor's: it begins with its colour, or says
    /// `AWG 10`.
    pub(super) fn misplaced_conductor(&self) -> Option<Flaw> {
        if let Some(flaw) = self.swapped_gauge() {
            return Some(flaw);
        }
        let (first, second) = (self.line.first()?, self.line.get(1)?);
        let size = self.line.get(2).filter(|tok| {
            Unit::find(tok.text)
                .is_some_and(|unit| matches!(unit, Unit::SquareMillimetre | Unit::Awg))
        })?;
        if second.lexeme != Lexeme::Number || self.at > 2 {
            return None;
        }
        let what = if is_colour(first.text) {
            "colour"
        } else {
            "cable"
        };
        let span = Span::new(first.span.start, size.span.end);
        let message =
            format!("A conductor's line begins with its size; the {what} comes after it.");
        let text = format!("{} {} {}", second.text, size.text, first.text);
        Some(Flaw::new(Code::Syntax, span, message).written(span, text))
    }

    /// `2 x 35 mm2`, as cable drums are printed.
    pub(super) fn drum_print(&self) -> Option<Flaw> {
        let (count, times) = (self.line.first()?, self.line.get(1)?);
        let is_drum = count.lexeme == Lexeme::Number && (times.is("x") || times.is("×"));
        if !is_drum {
            return None;
        }
        let span = count.span.to(times.span);
        let (number, count_span) = (count.text, count.span);
        let message = format!(
            "`{number} x` is printed on cable drums for two different things: write `twin` for two cores in one sheath, `{number} parallel` for equal conductors side by side."
        );
        let flaw = Flaw::new(Code::Syntax, span, message);
        let parallel = format!("{number} parallel");
        let size = self
            .line
            .get(2)
            .map_or(times.span.end, |tok| tok.span.start);
        let gap = Span::new(count_span.start, size);
        if number == "2" {
            return Some(flaw.with("write twin", gap, "twin ").with(
                "write 2 parallel",
                gap,
                "2 parallel ",
            ));
        }
        Some(flaw.with(format!("write {parallel}"), gap, format!("{parallel} ")))
    }
}
