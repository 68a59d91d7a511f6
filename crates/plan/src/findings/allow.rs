//! Allowances: a finding that somebody has accepted, and acceptances that no longer hold.
//!
//! An allowance speaks of its own thing only; under a step of a run it speaks of that step alone.
//! Of several that speak of one finding the nearest one that holds accepts it. Nothing here takes
//! a finding out of the reports: an accepted one says so, and why, and who says it.

use ampwright_notation::{
    Span,
    tree::{Allow, Step, Thing, UpTo},
};
use rustc_hash::{FxHashMap, FxHashSet};

use super::{
    Desk,
    registry::{Code, Family, REGISTRY},
};
use crate::{
    finding::{Accepted, Figure, Finding},
    nearest::nearest,
    site::{Site, ThingRef},
};

/// A thing by its place among the files.
type Where = (u32, u32);

/// The findings of each thing, by their places: an allowance looks only at its own thing's.
type ByThing = FxHashMap<Where, Vec<usize>>;

pub(super) fn apply(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let things = desk.plan.sources.things();
    let mut all: Vec<Claims<'_>> = things
        .filter(|(_, thing)| !thing.allows.is_empty())
        .map(|(at, thing)| Claims::of(at, thing))
        .collect();
    if all.is_empty() {
        return;
    }
    let by_thing = places(found);
    for claims in &mut all {
        let places = by_thing.get(&(claims.at.file, claims.at.thing));
        for &place in places.into_iter().flatten() {
            claims.hold(place, &mut found[place]);
        }
    }
    let elsewhere = Elsewhere::of(found);
    let claims = all.iter().flat_map(|claims| &claims.list);
    let new: Vec<Finding> = claims
        .filter_map(|claim| claim.verdict(desk, found, &elsewhere))
        .collect();
    found.extend(new);
}

fn places(found: &[Finding]) -> ByThing {
    let mut by_thing = ByThing::default();
    for (place, finding) in found.iter().enumerate() {
        let thing = (finding.site.file, finding.site.thing);
        by_thing.entry(thing).or_default().push(place);
    }
    by_thing
}

/// One allowance and what came of it.
struct Claim<'a> {
    allow: &'a Allow,
    at: ThingRef,
    /// None where there is no such finding.
    code: Option<Code>,
    /// It accepts something.
    accepts: bool,
    /// It speaks of something that another one accepts.
    needless: bool,
    /// Findings that it names and that nothing accepts.
    refused: Vec<usize>,
}

/// The allowances of one thing.
struct Claims<'a> {
    at: ThingRef,
    list: Vec<Claim<'a>>,
    /// By code, and by the step under which they stand; of the same words the first few.
    by: FxHashMap<(Code, Option<u32>), Vec<usize>>,
    /// Where each step begins and ends.
    steps: Vec<Span>,
}

/// More allowances of one finding at one place are not looked at: they accept nothing.
const MOST_ALIKE: usize = 8;

impl<'a> Claims<'a> {
    fn of(at: ThingRef, thing: &'a Thing) -> Self {
        let claim = |allow| Claim::of(allow, at);
        let list: Vec<Claim<'a>> = thing.allows.iter().map(claim).collect();
        let mut by: FxHashMap<(Code, Option<u32>), Vec<usize>> = FxHashMap::default();
        for (index, claim) in list.iter().enumerate() {
            let Some(code) = claim.code else { continue };
            let alike = by.entry((code, claim.allow.step)).or_default();
            if alike.len() < MOST_ALIKE {
                alike.push(index);
            }
        }
        let steps = thing.steps.iter().map(step_span).collect();
        Self {
            at,
            list,
            by,
            steps,
        }
    }

    /// The step on which some words stand.
    fn step_of(&self, span: Span) -> Option<u32> {
        let after = self.steps.partition_point(|step| step.start <= span.start);
        let index = after.checked_sub(1)?;
        (span.end <= self.steps[index].end).then_some(index as u32)
    }

    /// Accepts a finding by the nearest allowance that holds.
    fn hold(&mut self, place: usize, finding: &mut Finding) {
        let step = self.step_of(finding.site.span);
        let keys = [
            step.map(|step| (finding.code, Some(step))),
            Some((finding.code, None)),
        ];
        let alike = keys
            .into_iter()
            .flatten()
            .filter_map(|key| self.by.get(&key));
        let speaking: Vec<usize> = alike.flatten().copied().collect();
        let holds = |index: &&usize| self.list[**index].refuses(finding).is_none();
        let holder = speaking.iter().find(holds).copied();
        for index in speaking {
            let claim = &mut self.list[index];
            match holder {
                Some(holder) if holder == index => {
                    finding.accepted = Some(claim.accepted());
                    claim.accepts = true;
                }
                Some(_) => claim.needless = true,
                None => claim.refused.push(place),
            }
        }
    }
}

const fn step_span(step: &Step) -> Span {
    match step {
        Step::Stop(stop) => stop.span,
        Step::Conductor(conductor) => conductor.span,
        Step::Back(back) => back.span,
        Step::Unread(span) => *span,
    }
}

/// Why an allowance does not hold for a finding that it names.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Refusal {
    /// The finding has grown past the figure.
    Grown,
    /// The figure is in another unit.
    Unit,
    /// A finding that measures something needs a figure.
    NoFigure,
    /// Nothing is measured that the figure could be held against.
    Needless,
    /// A matter of protection needs somebody's name.
    NoName,
    /// What is not read is not checked.
    Unread,
}

/// Findings of the text itself. Whatever they stand on is left out of all that is computed, so
/// accepting them would hide what was never checked.
const NEVER: [Code; 10] = [
    Code::Syntax,
    Code::UnknownKind,
    Code::UnknownFact,
    Code::WrongUnit,
    Code::MissingFact,
    Code::UnknownName,
    Code::DuplicateName,
    Code::ReservedName,
    Code::UnknownTerminal,
    Code::CannotUse,
];

impl<'a> Claim<'a> {
    fn of(allow: &'a Allow, at: ThingRef) -> Self {
        Self {
            allow,
            at,
            code: Code::from_word(&allow.code.value),
            accepts: false,
            needless: false,
            refused: Vec::new(),
        }
    }

    fn site(&self) -> Site {
        self.at.at(self.allow.span)
    }

    fn accepted(&self) -> Accepted {
        Accepted {
            site: self.site(),
            reason: self.allow.reason.value.to_string(),
            by: self.allow.by.as_ref().map(|by| by.value.to_string()),
        }
    }

    fn refuses(&self, finding: &Finding) -> Option<Refusal> {
        if NEVER.contains(&finding.code) {
            return Some(Refusal::Unread);
        }
        if finding.code.entry().family == Family::Protection && self.allow.by.is_none() {
            return Some(Refusal::NoName);
        }
        let up_to = self.allow.up_to.as_ref().map(|up_to| up_to.value);
        match (finding.figure, up_to) {
            (None, None) => None,
            (None, Some(_)) => Some(Refusal::Needless),
            (Some(_), None) => Some(Refusal::NoFigure),
            (Some(figure), Some(up_to)) => match comparable(&figure, up_to) {
                None => Some(Refusal::Unit),
                Some(accepted) => (!figure.is_within(accepted)).then_some(Refusal::Grown),
            },
        }
    }

    /// What there is to say of the allowance itself, once every finding has been held against it.
    fn verdict(&self, desk: &Desk<'_>, found: &[Finding], other: &Elsewhere) -> Option<Finding> {
        let Some(code) = self.code else {
            return Some(self.unknown_code());
        };
        if let Some(lapsed) = self.lapsed(found) {
            return Some(lapsed);
        }
        // With a gap in the plan what the allowance speaks of may only be withheld.
        if self.accepts || (desk.has_gaps && !self.needless) {
            return None;
        }
        Some(self.unused(desk, found, other.near(self.at, code)))
    }

    fn unknown_code(&self) -> Finding {
        let word = &*self.allow.code.value;
        let subject = format!("There is no finding called {word}");
        let near = nearest(word, REGISTRY.iter().map(|entry| entry.word));
        Finding::unknown_name(self.at.at(self.allow.code.span), &subject, near, ".")
    }

    /// One finding for all that the allowance names and does not accept; the worst of them speaks.
    fn lapsed(&self, found: &[Finding]) -> Option<Finding> {
        let refused = || self.refused.iter().filter_map(|&place| found.get(place));
        let why = refused()
            .filter_map(|finding| self.refuses(finding))
            .max()?;
        let figure = refused().filter_map(|finding| finding.figure);
        let figure = figure.reduce(Figure::worse);
        let message = self.refusal(why, figure);
        let mut lapsed = Finding::new(Code::LapsedAllowance, self.site(), message);
        if let Some((label, site, text)) = self.mend(why, figure) {
            lapsed = lapsed.mended_by(label, site, text);
        }
        for finding in refused().take(MOST_ALIKE) {
            lapsed = lapsed.beside(finding.site, "the finding");
        }
        Some(lapsed)
    }

    fn refusal(&self, why: Refusal, figure: Option<Figure>) -> String {
        let word = &*self.allow.code.value;
        let measured = figure.map_or_else(String::new, |figure| figure.shown(figure.measured));
        let write = figure.and_then(|figure| figure.written());
        let as_in = write.map_or_else(String::new, |write| format!(", as in up to {write}"));
        match why {
            Refusal::Grown => {
                let accepted = self.allow.up_to.as_ref().map(|up_to| in_words(up_to.value));
                format!(
                    "{word} was accepted up to {} and is now {measured}: mend it, or have that figure accepted.",
                    accepted.unwrap_or_default()
                )
            }
            Refusal::Unit => {
                let unit = figure.map_or("", |figure| figure.printed_unit());
                format!(
                    "{word} is measured in {unit}, and is {measured} here: say in that how far it is accepted{as_in}."
                )
            }
            Refusal::NoFigure => {
                format!("{word} is {measured} here: say how far it is accepted{as_in}.")
            }
            Refusal::Needless => {
                format!("{word} measures nothing that could grow: take the figure out.")
            }
            Refusal::NoName => {
                let figure = if self.allow.up_to.is_none() && figure.is_some() {
                    format!(" and how far{as_in}")
                } else {
                    String::new()
                };
                format!(
                    "{word} is a matter of protection: say who accepted it, as in by \"name\"{figure}."
                )
            }
            Refusal::Unread => format!(
                "{word} cannot be accepted: what is not read is not checked. Mend the words that it stands on."
            ),
        }
    }

    /// The edit that makes the allowance hold. None that puts words into somebody's mouth: who
    /// accepts is for them to write, and so is a figure larger than the one they put their name to.
    fn mend(&self, why: Refusal, figure: Option<Figure>) -> Option<(String, Site, String)> {
        let write = figure.and_then(|figure| figure.written());
        let up_to = self.allow.up_to.as_ref().map(|up_to| up_to.span);
        match (why, up_to) {
            (Refusal::Grown, Some(span)) if self.allow.by.is_none() => {
                let write = write?;
                Some((format!("accept it up to {write}"), self.at.at(span), write))
            }
            (Refusal::Unit, Some(span)) => {
                let write = write?;
                Some((format!("write up to {write}"), self.at.at(span), write))
            }
            (Refusal::NoFigure, None) => {
                let end = self.allow.code.span.end;
                let text = format!("up to {}", write?);
                let site = self.at.at(Span::new(end, end));
                Some((format!("write {text}"), site, format!(" {text}")))
            }
            (Refusal::Needless, Some(span)) => {
                let span = Span::new(self.allow.code.span.end, span.end);
                let label = "take the figure out".to_owned();
                Some((label, self.at.at(span), String::new()))
            }
            _ => None,
        }
    }

    fn unused(&self, desk: &Desk<'_>, found: &[Finding], moved: Option<usize>) -> Finding {
        let word = &self.allow.code.value;
        let site = self.site();
        let finding = |message: String| Finding::new(Code::UnusedAllowance, site, message);
        if self.needless {
            let message = format!("Another line accepts {word} here already: take this one out.");
            return finding(message).mended_by("take the line out", site, "");
        }
        if let Some(moved) = moved.and_then(|moved| found.get(moved)) {
            let words = desk.plan.sources.words(moved.site).to_owned();
            let message = format!(
                "Nothing here is {word} any more, but {} is: move this line to it, if that is what was accepted.",
                short(&words)
            );
            return finding(message).beside(moved.site, "the finding stands here");
        }
        let message = format!("Nothing here is {word} any more: take the line out.");
        finding(message).mended_by("take the line out", site, "")
    }
}

/// Words of the plan in a sentence: the first few of them.
fn short(words: &str) -> String {
    let line = words.lines().next().unwrap_or_default();
    let mut shown: String = line.chars().take(MOST_QUOTED).collect();
    if shown.len() < line.len() {
        shown.push('…');
    }
    format!("\"{shown}\"")
}

const MOST_QUOTED: usize = 60;

/// Where else findings stand that a thing has to do with, and of which code.
struct Elsewhere {
    by: FxHashMap<(Where, Code), usize>,
}

impl Elsewhere {
    fn of(found: &[Finding]) -> Self {
        let mut by = FxHashMap::default();
        let mut seen: FxHashSet<Where> = FxHashSet::default();
        for (place, finding) in found.iter().enumerate() {
            seen.clear();
            let related = finding.related.iter().map(|related| related.site);
            for site in std::iter::once(finding.site).chain(related) {
                let thing = (site.file, site.thing);
                if finding.accepted.is_none() && seen.insert(thing) {
                    by.entry((thing, finding.code)).or_insert(place);
                }
            }
        }
        Self { by }
    }

    /// The first finding of a code that stands on the same thing, or speaks of it.
    fn near(&self, at: ThingRef, code: Code) -> Option<usize> {
        self.by.get(&((at.file, at.thing), code)).copied()
    }
}

/// What an allowance says, in the unit of the finding; `None` where the two cannot be compared.
fn comparable(figure: &Figure, up_to: UpTo) -> Option<f64> {
    match (figure.unit(), up_to) {
        (None, UpTo::Count(count)) => Some(f64::from(count)),
        (Some(unit), UpTo::Measured(quantity)) => {
            let same = unit.row().dimension == quantity.dimension;
            same.then(|| unit.from_base(quantity.value))
        }
        _ => None,
    }
}

fn in_words(up_to: UpTo) -> String {
    match up_to {
        UpTo::Measured(quantity) => quantity.printed(),
        UpTo::Count(count) => count.to_string(),
    }
}
