//! The lines of a case, a panel's ways, and allowances.

use ampwright_notation::{
    Key, Kind,
    table::CASE_WORDS,
    tree::{Arg, Verb},
    units::Dimension,
};
use ampwright_plan::{PartId, Plan, registry};

use super::{
    List, What, fit,
    rank::{FITS, NEEDED, POOR, POSSIBLE, RARE, USUAL},
};

impl List<'_> {
    /// What may stand in a line of a case.
    pub(super) fn setting(&mut self) {
        let words = &self.line.words;
        match words.as_slice() {
            [] => {
                for row in CASE_WORDS.iter().filter(|row| row.word != "both") {
                    let rank = if row.word == "on" { FITS } else { USUAL };
                    self.add_word(row.word, rank, row.meaning);
                }
                self.add_word("allow", RARE, "accepts a finding on purpose");
            }
            [verb] => self.switchable(verb.text),
            [verb, name] if verb.text == "set" => self.positions(name.text),
            [verb, .., last] if verb.text == "on" && last.is_number() => {
                self.units(Dimension::Current, NEEDED);
                self.units(Dimension::Power, USUAL);
            }
            _ => {}
        }
    }

    /// The parts that a verb can be said of; those that the case names already last.
    fn switchable(&mut self, verb: &str) {
        let plan = self.plan;
        for (_, part) in plan
            .model
            .ids()
            .filter(|(id, _)| takes_verb(plan, *id, verb))
        {
            let rank = if self.is_on(&part.name) { POOR } else { FITS };
            self.add(
                &*part.name,
                What::Name,
                rank,
                part.kind.word(),
                format!("part:{}", part.name),
            );
        }
    }

    /// Whether the case at hand says `on` of a part.
    fn is_on(&self, name: &str) -> bool {
        let settings = self.line.thing.map_or(&[][..], |thing| &thing.settings);
        settings
            .iter()
            .any(|setting| setting.verb == Verb::On && *setting.name.value == *name)
    }

    fn positions(&mut self, name: &str) {
        let Some(part) = self.plan.model.part(name) else {
            return;
        };
        let facts = self.plan.model.facts(&self.plan.sources, part);
        let said: Vec<String> = facts.find(Key::Positions).map_or_else(
            || ["off", "1", "2", "both"].map(str::to_owned).to_vec(),
            |fact| {
                let words = fact.args.iter().filter_map(|arg| match arg {
                    Arg::Word(word) => Some(word.value.to_owned()),
                    Arg::Count(count) => Some(count.value.to_string()),
                    _ => None,
                });
                words.collect()
            },
        );
        for word in said {
            self.add(
                word,
                What::Word,
                FITS,
                "a position of the selector",
                format!("part:{name}"),
            );
        }
    }

    /// A panel's next way, with what most often stands in one.
    pub(super) fn next_way(&mut self) {
        let next = self.next_number();
        self.add(
            format!("way {next}"),
            What::Fact,
            NEEDED,
            "the panel's next way",
            "word:way",
        );
    }

    fn next_number(&self) -> u32 {
        let ways = self.line.thing.map_or(&[][..], |thing| &thing.ways);
        ways.iter()
            .map(|way| way.number.value)
            .max()
            .unwrap_or(0)
            .saturating_add(1)
    }

    /// What may follow `way` in a panel.
    pub(super) fn way(&mut self) {
        let words = self.line.before_number();
        match words {
            [_] => {
                let next = self.next_number();
                self.add_value(next.to_string(), NEEDED, "the next way");
            }
            [_, number] if number.is_number() => {
                for (word, meaning) in [
                    ("fuse", "a blade fuse"),
                    ("breaker", "a circuit breaker"),
                    ("switch", "a switch with no protection of its own"),
                    ("spare", "nothing yet"),
                ] {
                    self.add_word(word, FITS, meaning);
                }
            }
            [_, number, device] if matches!(device.text, "fuse" | "breaker" | "switch") => {
                let way = number.text.parse().ok();
                let panel = self
                    .line
                    .thing
                    .and_then(|thing| self.plan.model.part(&thing.name.as_ref()?.value));
                let contact = panel
                    .zip(way)
                    .and_then(|(panel, way)| fit::contact(self.plan, panel, Some(way)));
                self.ratings(USUAL, contact);
            }
            _ => {}
        }
    }

    /// What may follow `allow`: what is found here first.
    pub(super) fn allowance(&mut self) {
        let words = &self.line.words;
        if words.len() == 1 {
            let here: Vec<&'static str> = self
                .plan
                .findings
                .iter()
                .filter(|finding| {
                    self.line.whose.is_some_and(|whose| {
                        (finding.site.file, finding.site.thing) == (whose.file, whose.thing)
                    })
                })
                .map(|finding| finding.code.word())
                .collect();
            for entry in registry::REGISTRY {
                let rank = if here.contains(&entry.word) {
                    NEEDED
                } else {
                    POSSIBLE
                };
                self.add(
                    entry.word,
                    What::Code,
                    rank,
                    entry.title,
                    format!("code:{}", entry.word),
                );
            }
            return;
        }
        for word in ["up", "by"] {
            if !words.iter().any(|other| other.text == word) {
                let label = if word == "up" { "up to" } else { word };
                self.add_word(label, POSSIBLE, "");
            }
        }
    }
}

/// Whether a case can say this of a part.
fn takes_verb(plan: &Plan, part: PartId, verb: &str) -> bool {
    let kind = plan.model.get(part).kind;
    let charges = || {
        plan.wiring
            .supplies
            .iter()
            .any(|supply| supply.part == part && supply.kind.charges())
    };
    let draws = || kind != Kind::Relay && plan.study.base.draw_of.contains_key(&part);
    match verb {
        "on" | "off" => draws() || charges(),
        "open" | "close" => matches!(
            kind,
            Kind::Isolator | Kind::Switch | Kind::Relay | Kind::Fuse | Kind::Breaker | Kind::Panel
        ),
        "set" => kind == Kind::Selector,
        _ => false,
    }
}
