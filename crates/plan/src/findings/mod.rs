//! The findings: one file a family, each a list of functions from a plan to findings.

pub mod batteries;
pub mod charging;
pub mod conductors;
pub mod distribution;
pub mod energy;
pub mod faults;
pub mod heat;
pub mod protection;
pub mod reading;
pub mod registry;
pub mod wiring;

mod allow;
mod arrival;
mod drops;

use ampwright_notation::Key;
use rustc_hash::FxHashSet;

use crate::{
    Circuit, Plan,
    finding::{Finding, Severity},
    model::PartId,
    site::Site,
    study::{
        cables::{Design, DesignBy},
        moments::{Label, Moment},
    },
};

/// Every finding of a plan, allowances applied, in the order of the text.
pub fn all(plan: &Plan, wrong: Vec<Finding>) -> Vec<Finding> {
    let desk = Desk::new(plan, &wrong);
    let mut found = wrong;
    reading::find(&desk, &mut found);
    wiring::find(&desk, &mut found);
    conductors::find(&desk, &mut found);
    protection::find(&desk, &mut found);
    distribution::find(&desk, &mut found);
    faults::find(&desk, &mut found);
    batteries::find(&desk, &mut found);
    charging::find(&desk, &mut found);
    energy::find(&desk, &mut found);
    heat::find(&desk, &mut found);
    reading::withheld(&desk, &mut found);
    allow::apply(&desk, &mut found);
    found.sort_by(|a, b| (a.site, a.code, &a.message).cmp(&(b.site, b.code, &b.message)));
    found.dedup_by(|a, b| a.site == b.site && a.code == b.code && a.message == b.message);
    found
}

/// What every family needs at hand.
pub(crate) struct Desk<'a> {
    pub(crate) plan: &'a Plan,
    pub(crate) circuit: Circuit<'a>,
    /// How bad a thing is that only `everything` shows.
    pub(crate) softened: Severity,
    /// A stop somewhere is unknown, unread or unfinished: what would need it is withheld.
    pub(crate) has_gaps: bool,
}

impl<'a> Desk<'a> {
    fn new(plan: &'a Plan, wrong: &[Finding]) -> Self {
        let circuit = plan.circuit();
        let has_gaps = !plan.wiring.gaps.is_empty()
            || wrong
                .iter()
                .any(|finding| finding.code == registry::Code::UnknownName)
            || plan.sources.things().any(|(_, thing)| thing.kind.is_none());
        Self {
            plan,
            circuit,
            softened: softened(&circuit, plan),
            has_gaps,
        }
    }

    /// The severity of a design current over a limit. What a bright day alone brings is certain; the
    /// rest of the published factor for panels is a rule, which `everything` does not soften.
    pub(crate) fn soften_design(&self, design: &Design, limit: f64, own: Severity) -> Severity {
        let certain = design.certain > limit + 1e-6;
        match design.by {
            DesignBy::Panels(..) if !certain => own.min(Severity::Warning),
            _ => self.soften(certain, own),
        }
    }

    /// Whether a moment is a case, an index into the by-rule moments.
    pub(crate) fn is_case(&self, moment: usize) -> bool {
        let solved = self.plan.study.rule.moments.get(moment);
        solved.is_some_and(|solved| solved.moment.is_case())
    }

    /// The words of a part's own fact; its name where the fact stands elsewhere.
    pub(crate) fn fact_site(&self, part: PartId, key: Key) -> Site {
        let at = self.plan.model.get(part).thing;
        let thing = self.plan.sources.thing(at);
        let fact = thing.and_then(|thing| thing.facts.iter().find(|fact| fact.key == key));
        fact.map_or_else(|| self.name_site(part), |fact| at.at(fact.span))
    }

    /// Whether an advice that only `everything` gives counts: not where the writer has said what runs
    /// together.
    pub(crate) fn counts(&self, certain: bool) -> bool {
        certain || self.softened > Severity::Advice
    }

    /// Nothing as wired means anything in a plan with a short circuit, which is an error by itself.
    pub(crate) fn is_shorted(found: &[Finding]) -> bool {
        let mut codes = found.iter().map(|finding| finding.code);
        codes.any(|code| code == registry::Code::ShortCircuit)
    }

    /// The severity of what only `everything` shows; the registry's own otherwise.
    pub(crate) fn soften(&self, certain: bool, own: Severity) -> Severity {
        if certain { own } else { own.min(self.softened) }
    }
}

/// A warning; an advice where the cases name every load and one of them runs at least half of the
/// total together, for then the writer has said what runs together.
fn softened(circuit: &Circuit<'_>, plan: &Plan) -> Severity {
    let everything = circuit.draws_of_everything();
    let total: f64 = everything.iter().map(|(_, amps)| amps).sum();
    let mut unnamed: FxHashSet<u32> = everything.iter().map(|&(draw, _)| draw).collect();
    let always = unnamed.clone();
    let mut most = 0.0f64;
    for case in cases(plan) {
        let draws = case.draws.iter().filter(|(draw, _)| always.contains(draw));
        most = most.max(draws.map(|(_, amps)| amps).sum());
        for (draw, _) in &case.draws {
            unnamed.remove(draw);
        }
    }
    if total > 0.0 && unnamed.is_empty() && most >= total / 2.0 {
        Severity::Advice
    } else {
        Severity::Warning
    }
}

fn cases(plan: &Plan) -> impl Iterator<Item = &Moment> {
    let moments = plan.study.rule.moments.iter().map(|solved| &solved.moment);
    moments.filter(|moment| matches!(moment.label, Label::Case(_)))
}
