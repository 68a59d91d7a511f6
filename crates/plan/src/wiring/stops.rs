//! A stop to the terminals where its run comes in and goes on.

use ampwright_notation::{
    Key, Kind,
    tree::{Side, Sign, Stop, Terminal},
};
use petgraph::graph::NodeIndex;

use super::{NamedPost, Term, build::Builder};
use crate::{
    finding::Finding,
    findings::registry::Code,
    model::{Facts, PartId},
    site::{Site, ThingRef},
};

/// Where a stop stands in its run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Seat {
    /// The first or last stop: a terminal.
    End,
    /// In the middle: passed, or landed on and left again.
    Middle,
    /// The stop before `back`: in the middle too, and a source may stand here.
    BeforeBack,
}

/// A stop as followed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Landing {
    pub(super) part: Option<PartId>,
    pub(super) enter: NodeIndex,
    pub(super) leave: NodeIndex,
    /// The terms of both, for finding the way home.
    pub(super) terms: (Term, Term),
}

/// A way to take a stop: in by one terminal, out by another (the same where the run lands).
type Passage = (Term, Term);

impl Builder<'_> {
    /// Resolves a stop; what cannot be resolved becomes an unknown node and a finding.
    pub(super) fn landing(
        &mut self,
        run: u32,
        at: ThingRef,
        stop: &Stop,
        seat: Seat,
        twin: bool,
    ) -> Landing {
        let site = at.at(stop.span);
        let Some(part) = self.model.part(&stop.name.value) else {
            if !self.model.excuses(self.sources, &stop.name.value) {
                let name = at.at(stop.name.span);
                self.findings
                    .push(Finding::unknown_part(self.model, &stop.name.value, name));
            }
            return self.unknown_stop(run, site);
        };
        match self.passage(part, stop, seat, twin) {
            Ok(passage) => {
                self.remember_post(part, stop, site);
                self.land(run, site, part, passage)
            }
            Err(message) => {
                let finding = self.terminal_finding(part, stop, site, seat, message);
                self.findings.push(finding);
                Landing {
                    part: Some(part),
                    ..self.unknown_stop(run, site)
                }
            }
        }
    }

    fn land(&mut self, run: u32, site: Site, part: PartId, terms: Passage) -> Landing {
        let landing = Landing {
            part: Some(part),
            enter: self.wiring.node(part, terms.0),
            leave: self.wiring.node(part, terms.1),
            terms,
        };
        self.wiring.stops.push(super::Visit {
            run,
            site,
            part: landing.part,
            enter: landing.enter,
            leave: landing.leave,
        });
        landing
    }

    /// An unknown node that stands for words that could not be followed.
    pub(super) fn unknown_stop(&mut self, run: u32, site: Site) -> Landing {
        let node = self.wiring.loose(Term::Unknown);
        self.wiring.gaps.push(super::Gap { run, site, node });
        Landing {
            part: None,
            enter: node,
            leave: node,
            terms: (Term::Unknown, Term::Unknown),
        }
    }

    fn remember_post(&mut self, part: PartId, stop: &Stop, site: Site) {
        let Some(terminal) = &stop.terminal else {
            return;
        };
        let (Some(side @ (Side::Post | Side::Stud)), Some(number)) =
            (terminal.value.side, terminal.value.number)
        else {
            return;
        };
        self.wiring.posts.push(NamedPost {
            part,
            stud: side == Side::Stud,
            number,
            site,
        });
    }

    fn terminal_finding(
        &self,
        part: PartId,
        stop: &Stop,
        site: Site,
        seat: Seat,
        message: String,
    ) -> Finding {
        let mut finding = Finding::new(Code::UnknownTerminal, site, message);
        if stop.terminal.is_none() && stop.way.is_none() && stop.pole.is_none() {
            for words in self.offers(part, seat) {
                let text = format!("{} {words}", stop.name.value);
                finding = finding.mended_by(format!("write {text}"), site, text.clone());
            }
        }
        finding
    }

    /// The terminals that a bare name could have meant, as words.
    pub(crate) fn offers(&self, part: PartId, seat: Seat) -> Vec<String> {
        let facts = self.model.facts(self.sources, part);
        offers(self.model.get(part).kind, &facts, seat)
    }

    fn passage(
        &self,
        part: PartId,
        stop: &Stop,
        seat: Seat,
        twin: bool,
    ) -> Result<Passage, String> {
        let facts = self.model.facts(self.sources, part);
        let kind = self.model.get(part).kind;
        let name = &*stop.name.value;
        if let Some(way) = &stop.way {
            return self.way_passage(part, kind, name, way.value, seat);
        }
        let pole = pole_of(kind, &facts, stop)?;
        if let Some(terminal) = &stop.terminal {
            return terminal_passage(kind, &facts, name, terminal.value, pole.unwrap_or(1), seat);
        }
        let passage = bare_passage(kind, &facts, pole, seat, twin);
        let passage = if self.homeward.contains(&part) {
            passage.map(|(enter, leave)| (leave, enter))
        } else {
            passage
        };
        passage.ok_or_else(|| bare_message(kind, name, seat, &offers(kind, &facts, seat)))
    }

    fn way_passage(
        &self,
        part: PartId,
        kind: Kind,
        name: &str,
        way: u32,
        seat: Seat,
    ) -> Result<Passage, String> {
        if kind != Kind::Panel {
            return Err(format!("{name} is no panel: it has no way {way}."));
        }
        if self.wiring.terminal(part, Term::Way(way)).is_none() {
            return Err(self.no_way(part, name, way));
        }
        let out = Term::Way(way);
        Ok(if seat == Seat::End {
            (out, out)
        } else {
            (Term::Feed(1), out)
        })
    }

    /// Why a panel has no such way: it is spare, or not there at all.
    fn no_way(&self, part: PartId, name: &str, way: u32) -> String {
        let facts = self.model.facts(self.sources, part);
        let ways = &facts.own().ways;
        if ways.iter().any(|known| known.number.value == way) {
            format!("Way {way} of {name} is spare: say what protects it, as in way {way} fuse 5 A.")
        } else {
            format!(
                "{name} has no way {way}: add way {way} fuse 5 A to it, or use one of its ways."
            )
        }
    }
}

fn pole_of(kind: Kind, facts: &Facts<'_>, stop: &Stop) -> Result<Option<u32>, String> {
    let name = &stop.name.value;
    let Some(pole) = stop.pole.as_ref().map(|pole| pole.value) else {
        return Ok(None);
    };
    let poles = match kind {
        Kind::Joint => facts.count(Key::Poles).unwrap_or(0),
        Kind::Fuse | Kind::Breaker | Kind::Isolator | Kind::Switch => {
            1 + u32::from(facts.has(Key::TwoPole))
        }
        _ => 0,
    };
    match poles {
        0 => Err(format!("{name} has no poles: leave pole {pole} out.")),
        _ if pole == 0 || pole > poles => Err(format!(
            "{name} has {poles} poles: there is no pole {pole}."
        )),
        _ => Ok(Some(pole)),
    }
}

const fn both(term: Term) -> Passage {
    (term, term)
}

/// What a bare name means; `None` where it could mean several things or nothing.
fn bare_passage(
    kind: Kind,
    facts: &Facts<'_>,
    pole: Option<u32>,
    seat: Seat,
    twin: bool,
) -> Option<Passage> {
    match kind {
        Kind::Busbar | Kind::Block | Kind::Bond => Some(both(Term::Bar)),
        Kind::Joint => match (facts.count(Key::Poles).is_some(), pole) {
            (false, _) => Some(both(Term::Bar)),
            (true, Some(pole)) => Some(both(Term::Pole(pole))),
            (true, None) if twin => Some(both(Term::Pole(1))),
            (true, None) => None,
        },
        Kind::Panel => Some(both(Term::Feed(1))),
        _ if seat == Seat::End => None,
        Kind::Fuse | Kind::Breaker | Kind::Isolator | Kind::Switch | Kind::Relay | Kind::Shunt => {
            let named = pole.is_some() || twin || !facts.has(Key::TwoPole);
            let pole = pole.unwrap_or(1);
            named.then_some((Term::Feed(pole), Term::Out(pole)))
        }
        Kind::Diode if facts.count(Key::Outputs).unwrap_or(1) == 1 => {
            Some((Term::Feed(1), Term::Tap(1)))
        }
        Kind::Load | Kind::Socket | Kind::Inverter => Some((Term::Plus, Term::Minus)),
        Kind::Solar | Kind::Alternator | Kind::Battery if seat == Seat::BeforeBack => {
            Some((Term::Plus, Term::Minus))
        }
        Kind::Charger
            if seat == Seat::BeforeBack && facts.count(Key::Outputs).unwrap_or(1) == 1 =>
        {
            Some((Term::Plus, Term::Minus))
        }
        _ => None,
    }
}

fn bare_message(kind: Kind, name: &str, seat: Seat, offers: &[String]) -> String {
    let list = listed(name, offers);
    match (kind, seat) {
        (Kind::Selector, Seat::Middle | Seat::BeforeBack) => format!(
            "A selector is not passed: one run ends at {name} 1, another starts at {name} common."
        ),
        (Kind::Diode, Seat::Middle | Seat::BeforeBack) => format!(
            "A splitting diode is not passed: one run ends at {name} feed, others start at {name} out 1, {name} out 2."
        ),
        (Kind::Multicore, _) => {
            format!("{name} is a cable, not a stop: write core 1 of {name} as a conductor.")
        }
        _ if offers.is_empty() => format!("{name} has no terminal that a run could land on."),
        (_, Seat::End) => {
            format!("{name} has more than one terminal; say which the run ends on: {list}.")
        }
        (_, Seat::Middle | Seat::BeforeBack) => {
            format!("There is more than one way through {name}; say which: {list}.")
        }
    }
}

/// Terminals as the writer would write them: `house-fuse feed, house-fuse out`.
fn listed(name: &str, offers: &[String]) -> String {
    let stops = offers.iter().map(|words| format!("{name} {words}"));
    stops.collect::<Vec<_>>().join(", ")
}

/// The terminals of a kind as words, those that fit an end or the middle.
fn offers(kind: Kind, facts: &Facts<'_>, seat: Seat) -> Vec<String> {
    let words = |list: &[&str]| list.iter().map(|&word| word.to_owned()).collect();
    let numbered = |word: &str, count: u32| {
        (1..=count.min(12))
            .map(|n| format!("{word} {n}"))
            .collect::<Vec<_>>()
    };
    match kind {
        Kind::Charger => {
            let outputs = facts.count(Key::Outputs).unwrap_or(1);
            let mut list = if outputs > 1 {
                numbered("out", outputs)
            } else {
                words(&["+"])
            };
            list.push("-".to_owned());
            list
        }
        Kind::Battery
        | Kind::Alternator
        | Kind::Load
        | Kind::Socket
        | Kind::Solar
        | Kind::Inverter => words(&["+", "-"]),
        Kind::Controller if seat != Seat::End => words(&["pv", "battery"]),
        Kind::Controller => words(&["pv +", "pv -", "battery +", "battery -"]),
        Kind::Converter if seat != Seat::End => words(&["input", "output"]),
        Kind::Converter => words(&["input +", "input -", "output +", "output -"]),
        Kind::Shunt => words(&["battery", "system"]),
        Kind::Fuse | Kind::Breaker | Kind::Isolator | Kind::Switch if facts.has(Key::TwoPole) => {
            if seat == Seat::End {
                return words(&["pole 1 feed", "pole 1 out", "pole 2 feed", "pole 2 out"]);
            }
            numbered("pole", 2)
        }
        Kind::Fuse | Kind::Breaker | Kind::Isolator | Kind::Switch | Kind::Relay => {
            words(&["feed", "out"])
        }
        Kind::Selector => words(&["1", "2", "common"]),
        Kind::Joint => numbered("pole", facts.count(Key::Poles).unwrap_or(0)),
        Kind::Diode => {
            let mut list = words(&["feed"]);
            list.extend(numbered("out", facts.count(Key::Outputs).unwrap_or(1)));
            list
        }
        _ => Vec::new(),
    }
}

fn terminal_passage(
    kind: Kind,
    facts: &Facts<'_>,
    name: &str,
    terminal: Terminal,
    pole: u32,
    seat: Seat,
) -> Result<Passage, String> {
    // One side of a box that has two is passed from its + to its -.
    if let (Some(side), None, None, Seat::Middle | Seat::BeforeBack) =
        (terminal.side, terminal.number, terminal.sign, seat)
        && let (Some(plus), Some(minus)) = (
            side_term(kind, side, Sign::Plus),
            side_term(kind, side, Sign::Minus),
        )
    {
        return Ok((plus, minus));
    }
    let term = term_of(kind, facts, terminal, pole);
    term.map(|term| (term, term)).ok_or_else(|| {
        let list = listed(name, &offers(kind, facts, seat));
        if list.is_empty() {
            format!("{name} has no such terminal.")
        } else {
            format!("{name} has no such terminal; it has {list}.")
        }
    })
}

/// A signed side of a box: `pv +`, `output -`, `coil +`.
const fn side_term(kind: Kind, side: Side, sign: Sign) -> Option<Term> {
    Some(match (kind, side, sign) {
        (Kind::Controller, Side::Pv, Sign::Plus) | (Kind::Converter, Side::Input, Sign::Plus) => {
            Term::InPlus
        }
        (Kind::Controller, Side::Pv, Sign::Minus) | (Kind::Converter, Side::Input, Sign::Minus) => {
            Term::InMinus
        }
        (Kind::Controller, Side::Battery, Sign::Plus)
        | (Kind::Converter, Side::Output, Sign::Plus) => Term::OutPlus,
        (Kind::Controller, Side::Battery, Sign::Minus)
        | (Kind::Converter, Side::Output, Sign::Minus) => Term::OutMinus,
        (Kind::Relay, Side::Coil, Sign::Plus) => Term::CoilPlus,
        (Kind::Relay, Side::Coil, Sign::Minus) => Term::CoilMinus,
        _ => return None,
    })
}

fn term_of(kind: Kind, facts: &Facts<'_>, terminal: Terminal, pole: u32) -> Option<Term> {
    let outputs = || facts.count(Key::Outputs).unwrap_or(1);
    match (terminal.side, terminal.number, terminal.sign) {
        (Some(side), None, Some(sign)) => side_term(kind, side, sign),
        (None, None, Some(sign)) => sign_term(kind, sign, outputs()),
        (None, Some(number), None) if kind == Kind::Selector => {
            has_position(facts, number).then_some(Term::Tap(number))
        }
        (Some(Side::Out), Some(number), None) if (1..=outputs()).contains(&number) => match kind {
            Kind::Diode => Some(Term::Tap(number)),
            Kind::Charger if outputs() > 1 => Some(Term::Tap(number)),
            Kind::Charger => Some(Term::Plus),
            _ => None,
        },
        (Some(Side::Post), Some(number), None) if kind == Kind::Busbar => {
            in_range(facts, Key::Posts, number)
        }
        (Some(Side::Stud), Some(number), None) if kind == Kind::Busbar => {
            in_range(facts, Key::Studs, number)
        }
        (Some(side), None, None) => plain_side(kind, side, pole, outputs()),
        _ => None,
    }
}

fn in_range(facts: &Facts<'_>, key: Key, number: u32) -> Option<Term> {
    (1..=facts.count(key).unwrap_or(0))
        .contains(&number)
        .then_some(Term::Bar)
}

fn has_position(facts: &Facts<'_>, number: u32) -> bool {
    use ampwright_notation::tree::Arg;
    facts
        .find(Key::Positions)
        .map_or((1..=2).contains(&number), |fact| {
            fact.args
                .iter()
                .any(|arg| matches!(arg, Arg::Count(count) if count.value == number))
        })
}

const fn sign_term(kind: Kind, sign: Sign, outputs: u32) -> Option<Term> {
    match (kind, sign) {
        (
            Kind::Battery
            | Kind::Alternator
            | Kind::Load
            | Kind::Socket
            | Kind::Solar
            | Kind::Inverter,
            Sign::Plus,
        ) => Some(Term::Plus),
        (Kind::Charger, Sign::Plus) if outputs == 1 => Some(Term::Plus),
        (
            Kind::Battery
            | Kind::Alternator
            | Kind::Charger
            | Kind::Load
            | Kind::Socket
            | Kind::Solar
            | Kind::Inverter,
            Sign::Minus,
        ) => Some(Term::Minus),
        _ => None,
    }
}

const fn plain_side(kind: Kind, side: Side, pole: u32, outputs: u32) -> Option<Term> {
    match (kind, side) {
        (Kind::Fuse | Kind::Breaker | Kind::Isolator | Kind::Switch | Kind::Relay, Side::Feed)
        | (Kind::Shunt, Side::Battery) => Some(Term::Feed(pole)),
        (Kind::Fuse | Kind::Breaker | Kind::Isolator | Kind::Switch | Kind::Relay, Side::Out)
        | (Kind::Shunt, Side::System) => Some(Term::Out(pole)),
        (Kind::Panel | Kind::Diode, Side::Feed) => Some(Term::Feed(1)),
        (Kind::Diode, Side::Out) if outputs == 1 => Some(Term::Tap(1)),
        (Kind::Selector, Side::Common) => Some(Term::Common),
        _ => None,
    }
}

/// The `-` that belongs to a `+`, where a run that came in by the one goes home from the other.
pub(super) const fn minus_of(term: Term) -> Option<Term> {
    match term {
        Term::Plus | Term::Tap(_) | Term::Minus => Some(Term::Minus),
        Term::InPlus | Term::InMinus => Some(Term::InMinus),
        Term::OutPlus | Term::OutMinus => Some(Term::OutMinus),
        Term::CoilPlus | Term::CoilMinus => Some(Term::CoilMinus),
        _ => None,
    }
}
