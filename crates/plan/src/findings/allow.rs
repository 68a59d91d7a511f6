//! Allowances: a finding that somebody has accepted, and acceptances that no longer hold.

use ampwright_notation::tree::Allow;

use super::{
    Desk,
    registry::{Code, Family},
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
    step: Option<ampwright_notation::Span>,
}

pub(super) fn apply(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let mut new = Vec::new();
    for (at, thing) in desk.plan.sources.things() {
        for allow in &thing.allows {
            let step = allow
                .step
                .and_then(|step| thing.steps.get(step as usize))
                .map(step_span);
            apply_one(&Claim { allow, at, step }, found, &mut new);
        }
    }
    found.append(&mut new);
}

fn step_span(step: &ampwright_notation::tree::Step) -> ampwright_notation::Span {
    use ampwright_notation::tree::Step;
    match step {
        Step::Stop(stop) => stop.span,
        Step::Conductor(conductor) => conductor.span,
        Step::Back(back) => back.span,
        Step::Unread(span) => *span,
    }
}

fn apply_one(claim: &Claim<'_>, found: &mut [Finding], new: &mut Vec<Finding>) {
    let site = claim.at.at(claim.allow.span);
    let word = &*claim.allow.code.value;
    let Some(code) = Code::from_word(word) else {
        let words = super::registry::REGISTRY.iter().map(|entry| entry.word);
        new.push(Finding::unknown_name(
            claim.at.at(claim.allow.code.span),
            &format!("There is no finding called {word}"),
            nearest(word, words),
            ".",
        ));
        return;
    };
    let mut matched = false;
    for finding in found
        .iter_mut()
        .filter(|finding| finding.code == code && claim.covers(finding.site))
    {
        matched = true;
        match refusal(claim, finding) {
            Some(message) => new.push(
                Finding::new(Code::LapsedAllowance, site, message)
                    .beside(finding.site, "the finding"),
            ),
            None => finding.accepted = Some(claim.accepted(site)),
        }
    }
    if !matched {
        let message = format!("Nothing here is {word} any more: take the line out.");
        let finding = Finding::new(Code::UnusedAllowance, site, message);
        new.push(finding.mended_by("take the line out", site, ""));
    }
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
