//! Allowances: a finding that somebody has accepted, and acceptances that no longer hold.

use ampwright_notation::{
    Span,
    tree::{Allow, Step},
};
use rustc_hash::FxHashMap;

use super::{
    Desk,
    registry::{Code, Family, REGISTRY},
};
use crate::{
    finding::{Accepted, Finding},
    nearest::nearest,
    site::{Site, ThingRef},
};

/// An allowance and the words that its finding has to stand on.
struct Claim<'a> {
    allow: &'a Allow,
    at: ThingRef,
    /// In a run, the step that it speaks of.
    step: Option<Span>,
}

/// The findings of each thing, by their places: an allowance looks only at its own thing's.
type ByThing = FxHashMap<(u32, u32), Vec<usize>>;

pub(super) fn apply(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let mut by_thing = ByThing::default();
    for (place, finding) in found.iter().enumerate() {
        let thing = (finding.site.file, finding.site.thing);
        by_thing.entry(thing).or_default().push(place);
    }
    let mut new = Vec::new();
    for (at, thing) in desk.plan.sources.things() {
        let of_thing = by_thing.get(&(at.file, at.thing));
        let places = of_thing.map_or(&[][..], |places| places);
        for allow in &thing.allows {
            let step = allow.step.and_then(|step| thing.steps.get(step as usize));
            let step = step.map(step_span);
            apply_one(&Claim { allow, at, step }, found, places, &mut new);
        }
    }
    found.append(&mut new);
}

const fn step_span(step: &Step) -> Span {
    match step {
        Step::Stop(stop) => stop.span,
        Step::Conductor(conductor) => conductor.span,
        Step::Back(back) => back.span,
        Step::Unread(span) => *span,
    }
}

fn apply_one(claim: &Claim<'_>, found: &mut [Finding], places: &[usize], new: &mut Vec<Finding>) {
    let site = claim.at.at(claim.allow.span);
    let Some(code) = Code::from_word(&claim.allow.code.value) else {
        new.push(unknown_code(claim));
        return;
    };
    let before = new.len();
    let mut accepts = false;
    for &place in places {
        let finding = &mut found[place];
        if finding.code != code || !claim.covers(finding.site) {
            continue;
        }
        if let Some(message) = refusal(claim, finding) {
            let lapsed = Finding::new(Code::LapsedAllowance, site, message);
            new.push(lapsed.beside(finding.site, "the finding"));
        } else {
            finding.accepted = Some(claim.accepted(site));
            accepts = true;
        }
    }
    if !accepts && new.len() == before {
        new.push(unused(claim, site));
    }
}

fn unknown_code(claim: &Claim<'_>) -> Finding {
    let word = &*claim.allow.code.value;
    let site = claim.at.at(claim.allow.code.span);
    let subject = format!("There is no finding called {word}");
    let near = nearest(word, REGISTRY.iter().map(|entry| entry.word));
    Finding::unknown_name(site, &subject, near, ".")
}

fn unused(claim: &Claim<'_>, site: Site) -> Finding {
    let word = &claim.allow.code.value;
    let message = format!("Nothing here is {word} any more: take the line out.");
    let finding = Finding::new(Code::UnusedAllowance, site, message);
    finding.mended_by("take the line out", site, "")
}

impl Claim<'_> {
    fn covers(&self, site: Site) -> bool {
        (site.file, site.thing) == (self.at.file, self.at.thing)
            && self
                .step
                .is_none_or(|step| step.start <= site.span.start && site.span.end <= step.end)
    }

    fn accepted(&self, site: Site) -> Accepted {
        Accepted {
            site,
            reason: self.allow.reason.value.to_string(),
            by: self.allow.by.as_ref().map(|by| by.value.to_string()),
        }
    }
}

/// Why an allowance does not hold for a finding it names.
fn refusal(claim: &Claim<'_>, finding: &Finding) -> Option<String> {
    let word = finding.code.word();
    if finding.code.entry().family == Family::Protection && claim.allow.by.is_none() {
        return Some(format!(
            "{word} is a matter of protection: say who accepted it, as in by \"name\"."
        ));
    }
    let figure = finding.figure?;
    let Some(up_to) = &claim.allow.up_to else {
        return Some(format!(
            "Say how far {word} is accepted, as in up to {:.3} {}.",
            figure.measured, figure.unit
        ));
    };
    let accepted = up_to.value.value;
    (figure.measured > accepted + 1e-6).then(|| {
        format!(
            "{word} was accepted up to {accepted} {unit} and is now {measured:.3} {unit}: mend it, or have the larger figure accepted.",
            unit = figure.unit,
            measured = figure.measured,
        )
    })
}
