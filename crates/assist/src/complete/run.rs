//! The lines of a run.

use ampwright_notation::{
    Key, Kind,
    colour::Basic,
    table::{BACK_WORDS, CONDUCTOR_WORDS, Space},
    tree::{Sign, Step, Stop},
    units::Dimension,
};

use super::{
    List, What, fit,
    line::Word,
    rank::{FITS, NEEDED, POSSIBLE, RARE, USUAL},
    stops::Seat,
};

impl List<'_> {
    /// What may stand in a line of a run.
    pub(super) fn step(&mut self) {
        let words = self.line.before_number();
        match words.first() {
            None => self.next_step(),
            Some(first) if first.is_number() || matches!(first.text, "twin" | "core") => {
                self.conductor();
            }
            Some(first) if first.text == "back" => self.back(),
            Some(first) if first.text == "in" => self.names(Space::Place, FITS),
            Some(first) => {
                let seat = self.seat();
                let (name, rest) = (first.text, &self.line.words[1..]);
                self.terminals(name, rest, seat);
            }
        }
    }

    /// The step above the line.
    fn before(&self) -> Option<&Step> {
        let steps = &self.line.thing?.steps;
        steps
            .iter()
            .rev()
            .find(|step| step.span().end <= self.line.start)
    }

    fn first_stop(&self) -> Option<&Stop> {
        self.line
            .thing?
            .stops()
            .next()
            .filter(|stop| stop.span.end <= self.line.start)
    }

    fn seat(&self) -> Seat {
        if self.first_stop().is_none() {
            Seat::First
        } else {
            Seat::Later
        }
    }

    /// Which side the run follows, by where it began.
    fn side(&self) -> Option<Sign> {
        let stop = self.first_stop()?;
        let part = self.plan.model.part(&stop.name.value);
        let sign = stop
            .terminal
            .as_ref()
            .and_then(|terminal| terminal.value.sign);
        let negative_bar = part.is_some_and(|part| fit::is_negative(self.plan, part));
        sign.or(negative_bar.then_some(Sign::Minus))
            .or(stop.way.is_some().then_some(Sign::Plus))
    }

    fn next_step(&mut self) {
        match self.before() {
            Some(Step::Stop(_)) => self.conductors(),
            None => {
                self.stops(Seat::First, None);
                self.add(
                    "in",
                    What::Fact,
                    RARE,
                    "the place of every conductor of the run",
                    "fact:run:in",
                );
                self.add(
                    "bypasses-isolator",
                    What::Fact,
                    RARE,
                    "feeds its load past the main switch on purpose",
                    "fact:run:bypasses-isolator",
                );
            }
            Some(Step::Back(_)) => {
                self.conductors();
                self.stops(Seat::Later, Some(Sign::Minus));
            }
            Some(Step::Conductor(_) | Step::Unread(_)) => {
                let side = self.side();
                self.stops(Seat::Later, side);
            }
        }
    }

    /// The conductor to the next stop, or the way back.
    fn conductors(&mut self) {
        let has_twin = self.line.thing.is_some_and(|thing| {
            let twin = |step: &Step| matches!(step, Step::Conductor(line) if line.form == ampwright_notation::tree::Form::Twin);
            thing.steps.iter().any(twin)
        });
        let ends_at_load = matches!(self.before(), Some(Step::Stop(stop)) if self.is_load(stop));
        if ends_at_load {
            self.add_word("back", NEEDED, "the way home along the way come");
        }
        if has_twin || self.first_stop().is_some_and(|stop| stop.way.is_some()) {
            self.sizes("twin ", USUAL);
        }
        self.sizes("", USUAL);
        self.cores();
        self.add_word("allow", RARE, "accepts a finding on purpose");
    }

    fn is_load(&self, stop: &Stop) -> bool {
        let part = self.plan.model.part(&stop.name.value);
        part.is_some_and(|part| {
            matches!(
                self.plan.model.get(part).kind,
                Kind::Load | Kind::Socket | Kind::Inverter
            )
        })
    }

    /// The cores that no run uses yet.
    fn cores(&mut self) {
        let plan = self.plan;
        let multicores = plan
            .model
            .ids()
            .filter(|(_, part)| part.kind == Kind::Multicore);
        let free: Vec<(String, String)> = multicores
            .flat_map(|(id, part)| {
                let count = plan
                    .model
                    .facts(&plan.sources, id)
                    .count(Key::Cores)
                    .unwrap_or(0)
                    .min(100);
                let used = move |core: &u32| {
                    plan.wiring
                        .conductors
                        .iter()
                        .any(|conductor| conductor.core == Some((id, *core)))
                };
                (1..=count).filter(move |core| !used(core)).map(|core| {
                    (
                        format!("core {core} of {}", part.name),
                        format!("part:{}", part.name),
                    )
                })
            })
            .collect();
        for (label, about) in free {
            self.add(
                label,
                What::Value,
                POSSIBLE,
                "a core that no run uses yet",
                about,
            );
        }
    }

    /// The parts of a conductor's line.
    fn conductor(&mut self) {
        let words = &self.line.words;
        let [before @ .., last] = words.as_slice() else {
            return;
        };
        let after = before.last().map_or("", |word| word.text);
        match last.text {
            "twin" | "parallel" => self.sizes("", FITS),
            "in" => self.names(Space::Place, FITS),
            "of" => self.multicores(),
            "core" => self.core_numbers(),
            "mark" => {}
            "bundled" => self.add_value(
                "3",
                FITS,
                "how many current-carrying conductors lie together",
            ),
            _ if last.is_number() && after == "core" => {
                self.add_word("of", NEEDED, "of which multicore");
            }
            _ if last.is_number() && after == "bundled" => self.parts(),
            _ if last.is_number() => self.number(before),
            _ => self.parts(),
        }
    }

    fn number(&mut self, before: &[Word<'_>]) {
        let has_size = before
            .iter()
            .any(|word| matches!(word.text, "mm2" | "mm²" | "AWG"));
        if has_size {
            return self.units(Dimension::Length, NEEDED);
        }
        self.sizes("", FITS);
        self.units(Dimension::Section, NEEDED);
        if before.is_empty() {
            self.add_word("parallel", POSSIBLE, "equal conductors side by side");
        }
    }

    /// What a conductor's line may still say.
    fn parts(&mut self) {
        let said = |word: &str| self.line.words.iter().any(|other| other.text == word);
        let is_core = said("core");
        let words: Vec<_> = CONDUCTOR_WORDS
            .iter()
            .filter(|row| {
                !matches!(row.word, "twin" | "core" | "parallel" | "of")
                    && (row.word == "in" || !said(row.word))
            })
            .filter(|row| !is_core || row.word == "mark")
            .collect();
        let has_length = self
            .line
            .words
            .iter()
            .any(|word| matches!(word.text, "m" | "cm" | "mm" | "ft" | "inch"));
        if !has_length && !is_core {
            self.add_value("2 m", NEEDED, "its length, measured along the cable");
        }
        self.colours();
        for row in words {
            self.add_word(row.word, POSSIBLE, row.meaning);
        }
        if !is_core {
            self.names(Space::Cable, USUAL + 5);
        }
    }

    /// Colours, those first that the side of the run usually has.
    fn colours(&mut self) {
        if self
            .line
            .words
            .iter()
            .any(|word| Basic::parse(word.text).is_some())
        {
            return;
        }
        let usual: &[Basic] = match self.side() {
            Some(Sign::Minus) => &[Basic::Black, Basic::Yellow],
            Some(Sign::Plus) => &[Basic::Red],
            None => &[Basic::Red, Basic::Black],
        };
        for basic in Basic::ALL {
            let rank = if usual.contains(&basic) {
                FITS
            } else {
                POSSIBLE
            };
            self.add(
                basic.word(),
                What::Colour,
                rank,
                basic.code(),
                format!("word:{}", basic.word()),
            );
        }
    }

    fn multicores(&mut self) {
        let names: Vec<_> = self
            .plan
            .model
            .ids()
            .filter(|(_, part)| part.kind == Kind::Multicore)
            .map(|(_, part)| part.name.clone())
            .collect();
        for name in names {
            self.add(
                &*name,
                What::Name,
                FITS,
                "multicore",
                format!("part:{name}"),
            );
        }
    }

    fn core_numbers(&mut self) {
        for core in 1..=4u32 {
            self.add(
                core.to_string(),
                What::Value,
                USUAL + core,
                "which core",
                "word:core",
            );
        }
    }

    /// What may follow `back`.
    fn back(&mut self) {
        let words = &self.line.words;
        if let Some(to) = words.iter().position(|word| word.text == "to") {
            return match words.get(to + 1..) {
                None | Some([]) => self.stops(Seat::Later, Some(Sign::Minus)),
                Some([name, rest @ ..]) => self.terminals(name.text, rest, Seat::Later),
            };
        }
        match words.as_slice() {
            [.., last] if last.text == "core" => self.core_numbers(),
            [.., last] if last.text == "of" => self.multicores(),
            [.., last] if last.text == "mark" => {}
            [.., before, last] if last.is_number() && before.text == "core" => {
                self.add_word("of", NEEDED, "of which multicore");
            }
            [.., last] if last.is_number() => self.units(Dimension::Length, NEEDED),
            _ => self.back_parts(),
        }
    }

    fn back_parts(&mut self) {
        for row in &BACK_WORDS {
            self.add_word(row.word, FITS, row.meaning);
        }
        for colour in [Basic::Black, Basic::Yellow] {
            let about = format!("word:{}", colour.word());
            self.add(colour.word(), What::Colour, USUAL, colour.code(), about);
        }
        self.add_word("core", POSSIBLE, "a core of a multicore leads home");
        self.add_word("mark", POSSIBLE, "what is tied on both its ends");
    }
}
