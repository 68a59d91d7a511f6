//! Where a conductor can land: the stops that fit the place in the run.

use ampwright_notation::{Key, Kind, tree::Sign};
use ampwright_plan::{Facts, PartId, Plan, wiring::Term};

use super::{
    List, What, fit,
    rank::{FITS, POOR, POSSIBLE, USUAL},
};

/// Parts that no run touches and that are not spare.
pub(super) fn unwired(plan: &Plan, kind: Kind) -> impl Iterator<Item = String> {
    let wired = wired(plan);
    let is_free = move |id: PartId| {
        let spare = plan.model.facts(&plan.sources, id).has(Key::Spare);
        !spare && !wired.get(id.0 as usize).copied().unwrap_or(false)
    };
    plan.model
        .ids()
        .filter(move |(id, part)| part.kind == kind && is_free(*id))
        .map(|(_, part)| part.name.to_string())
}

/// For each part whether a run touches it.
fn wired(plan: &Plan) -> Vec<bool> {
    let mut wired = vec![false; plan.model.parts.len()];
    for part in plan.wiring.stops.iter().filter_map(|visit| visit.part) {
        if let Some(wired) = wired.get_mut(part.0 as usize) {
            *wired = true;
        }
    }
    wired
}

/// The ways of a panel that have a device, in the order of their numbers.
fn ways(plan: &Plan, panel: PartId) -> Vec<u32> {
    let facts = plan.model.facts(&plan.sources, panel);
    let mut ways: Vec<u32> = facts
        .own()
        .ways
        .iter()
        .map(|way| way.number.value)
        .collect();
    ways.sort_unstable();
    ways.dedup();
    ways.retain(|&way| plan.wiring.terminal(panel, Term::Way(way)).is_some());
    ways
}

/// Whether a way has a device and no run starts at it.
fn is_free(plan: &Plan, panel: PartId, way: u32) -> bool {
    let node = plan.wiring.terminal(panel, Term::Way(way));
    node.is_some_and(|node| plan.wiring.conductors_at(node).next().is_none())
}

/// Ways of panels that no run starts at: the panel's name and the way's number.
pub(super) fn free_ways(plan: &Plan) -> impl Iterator<Item = (String, u32)> {
    let panels = plan
        .model
        .ids()
        .filter(|(_, part)| part.kind == Kind::Panel);
    panels.flat_map(move |(id, part)| {
        let free = ways(plan, id)
            .into_iter()
            .filter(move |&way| is_free(plan, id, way));
        free.map(move |way| (part.name.to_string(), way))
    })
}

/// Where in its run a stop stands.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Seat {
    First,
    Later,
}

/// The words after a part's name that a run may land on or pass by; an empty one for the bare name.
fn landings(plan: &Plan, part: PartId, seat: Seat) -> Vec<String> {
    let kind = plan.model.get(part).kind;
    let facts = plan.model.facts(&plan.sources, part);
    let words = |list: &[&str]| list.iter().map(|&word| word.to_owned()).collect::<Vec<_>>();
    let numbered = |word: &str, count: u32| {
        (1..=count.min(24))
            .map(|n| format!("{word} {n}"))
            .collect::<Vec<_>>()
    };
    match (kind, seat) {
        (Kind::Panel, Seat::First) => ways(plan, part)
            .iter()
            .map(|way| format!("way {way}"))
            .collect(),
        (Kind::Panel, Seat::Later) | (Kind::Busbar | Kind::Block | Kind::Bond, _) => words(&[""]),
        (Kind::Joint, _) => match facts.count(Key::Poles) {
            Some(poles) => numbered("pole", poles),
            None => words(&[""]),
        },
        (Kind::Battery | Kind::Alternator | Kind::Solar, _) => words(&["+", "-"]),
        (Kind::Load | Kind::Socket | Kind::Inverter, Seat::Later) => words(&["", "+", "-"]),
        (Kind::Load | Kind::Socket | Kind::Inverter, Seat::First) => words(&["-", "+"]),
        (Kind::Charger, _) => charger(&facts),
        (Kind::Controller, Seat::First) => words(&["battery +", "battery -", "pv +", "pv -"]),
        (Kind::Controller, Seat::Later) => words(&["pv", "battery +", "battery -", "pv +", "pv -"]),
        (Kind::Converter, Seat::First) => words(&["output +", "output -"]),
        (Kind::Converter, Seat::Later) => words(&["input", "input +", "input -", "output -"]),
        (Kind::Selector, Seat::First) => words(&["common", "1", "2"]),
        (Kind::Selector, Seat::Later) => words(&["1", "2", "common"]),
        (Kind::Diode, Seat::First) => numbered("out", facts.count(Key::Outputs).unwrap_or(1)),
        (Kind::Diode, Seat::Later) => words(&["feed"]),
        (Kind::Shunt, Seat::First) => words(&["system", "battery"]),
        (Kind::Shunt, Seat::Later) => words(&["", "system", "battery"]),
        (_, Seat::First) if facts.has(Key::TwoPole) => words(&["pole 1 out", "pole 2 out"]),
        (_, Seat::Later) if facts.has(Key::TwoPole) => numbered("pole", 2),
        (Kind::Relay, Seat::Later) => words(&["", "coil +", "feed", "out"]),
        (Kind::Fuse | Kind::Breaker | Kind::Isolator | Kind::Switch, Seat::Later) => {
            words(&["", "feed"])
        }
        (Kind::Fuse | Kind::Breaker | Kind::Isolator | Kind::Switch | Kind::Relay, Seat::First) => {
            words(&["out"])
        }
        _ => Vec::new(),
    }
}

fn charger(facts: &Facts<'_>) -> Vec<String> {
    let outputs = facts.count(Key::Outputs).unwrap_or(1);
    let mut list: Vec<String> = match outputs {
        0 | 1 => vec!["+".to_owned()],
        outputs => (1..=outputs.min(24))
            .map(|output| format!("out {output}"))
            .collect(),
    };
    list.push("-".to_owned());
    list
}

impl List<'_> {
    /// Every stop that fits: what nothing is wired to yet first.
    pub(super) fn stops(&mut self, seat: Seat, side: Option<Sign>) {
        let plan = self.plan;
        let wired = wired(plan);
        for (id, part) in plan.model.ids() {
            let is_wired = wired.get(id.0 as usize).copied().unwrap_or(false);
            for words in landings(plan, id, seat) {
                let label = format!("{} {words}", part.name);
                let rank = self.stop_rank(id, &words, seat, side, is_wired);
                let detail = part.kind.word();
                self.add(
                    label.trim_end(),
                    What::Name,
                    rank,
                    detail,
                    format!("part:{}", part.name),
                );
            }
        }
    }

    fn stop_rank(
        &self,
        part: PartId,
        words: &str,
        seat: Seat,
        side: Option<Sign>,
        is_wired: bool,
    ) -> u32 {
        let kind = self.plan.model.get(part).kind;
        let wrong_side = match side {
            Some(Sign::Plus) => {
                words.ends_with('-') || kind == Kind::Busbar && fit::is_negative(self.plan, part)
            }
            Some(Sign::Minus) => words.ends_with('+') || kind == Kind::Load && words.is_empty(),
            None => false,
        };
        if wrong_side {
            return POOR;
        }
        if let Some(way) = words.strip_prefix("way ").and_then(|way| way.parse().ok()) {
            return if is_free(self.plan, part, way) {
                FITS
            } else {
                POOR
            };
        }
        if side == Some(Sign::Minus) && fit::is_negative(self.plan, part) {
            return FITS;
        }
        match (kind, seat) {
            (Kind::Battery | Kind::Busbar | Kind::Panel | Kind::Joint, _) => USUAL,
            (_, Seat::Later) if !is_wired => FITS,
            (_, Seat::First) if !is_wired => USUAL,
            (Kind::Load, _) => POOR,
            _ => POSSIBLE,
        }
    }

    /// What may follow a part's name: its ways, poles, posts and terminals.
    pub(super) fn terminals(&mut self, name: &str, rest: &[super::line::Word<'_>], seat: Seat) {
        let plan = self.plan;
        let Some(part) = plan.model.part(name) else {
            return;
        };
        let about = format!("part:{name}");
        match (rest.first().map(|word| word.text), rest.len()) {
            (None, _) => {
                let words = landings(plan, part, seat)
                    .into_iter()
                    .chain(posts(plan, part));
                for words in words.filter(|words| !words.is_empty()) {
                    self.add(words, What::Word, USUAL, "a terminal", &*about);
                }
            }
            (Some("way"), 1) => {
                for way in ways(plan, part) {
                    let rank = if is_free(plan, part, way) { FITS } else { POOR };
                    self.add(
                        way.to_string(),
                        What::Value,
                        rank,
                        "a way of the panel",
                        &*about,
                    );
                }
            }
            (Some(word @ ("post" | "stud" | "pole")), 1) => {
                for number in free_numbers(plan, part, word) {
                    self.add(number.to_string(), What::Value, FITS, word, &*about);
                }
            }
            (Some("pv" | "battery" | "input" | "output" | "coil"), 1) => {
                for sign in ["+", "-"] {
                    self.add(sign, What::Word, USUAL, "a terminal", &*about);
                }
            }
            _ => {}
        }
    }
}

/// The next free post and stud of a busbar.
fn posts(plan: &Plan, part: PartId) -> Vec<String> {
    let next = |word: &str| {
        free_numbers(plan, part, word)
            .first()
            .map(|number| format!("{word} {number}"))
    };
    if plan.model.get(part).kind == Kind::Busbar {
        ["post", "stud"].into_iter().filter_map(next).collect()
    } else {
        Vec::new()
    }
}

fn free_numbers(plan: &Plan, part: PartId, word: &str) -> Vec<u32> {
    let facts = plan.model.facts(&plan.sources, part);
    let count = match word {
        "post" => facts.count(Key::Posts),
        "stud" => facts.count(Key::Studs),
        _ => facts
            .count(Key::Poles)
            .or_else(|| facts.has(Key::TwoPole).then_some(2)),
    };
    let taken = |number: &u32| {
        plan.wiring.posts.iter().any(|post| {
            post.part == part && post.number == *number && post.stud == (word == "stud")
        })
    };
    (1..=count.unwrap_or(0).min(100))
        .filter(|number| !taken(number))
        .collect()
}
