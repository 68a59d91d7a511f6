//! The findings: one file a family, each a list of functions from a plan to findings.

pub mod conductors;
pub mod distribution;
pub mod protection;
pub mod reading;
pub mod registry;
pub mod wiring;

mod allow;
mod drops;

use crate::{Plan, finding::Finding, finding::Severity, study::moments::Label};

/// Every finding of a plan, allowances applied, in the order of the text.
pub fn all(plan: &Plan, wrong: Vec<Finding>) -> Vec<Finding> {
    let desk = Desk::new(plan, &wrong);
    let mut found = wrong;
    reading::find(&desk, &mut found);
    wiring::find(&desk, &mut found);
    conductors::find(&desk, &mut found);
    protection::find(&desk, &mut found);
    distribution::find(&desk, &mut found);
    reading::withheld(&desk, &mut found);
    allow::apply(&desk, &mut found);
    found.sort_by(|a, b| (a.site, a.code, &a.message).cmp(&(b.site, b.code, &b.message)));
    found.dedup_by(|a, b| a.site == b.site && a.code == b.code && a.message == b.message);
    found
}

/// What every family needs at hand.
pub(crate) struct Desk<'a> {
    pub(crate) plan: &'a Plan,
    pub(crate) circuit: crate::Circuit<'a>,
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

    /// The severity of what only `everything` shows; the registry's own otherwise.
    pub(crate) fn soften(&self, certain: bool, own: Severity) -> Severity {
        if certain { own } else { own.min(self.softened) }
    }
}

/// A warning; an advice where the cases name every load and one of them runs at least half of the
/// total together, for then the writer has said what runs together.
fn softened(circuit: &crate::Circuit<'_>, plan: &Plan) -> Severity {
    let mut always = vec![false; circuit.wiring.draws.len()];
    let mut total = 0.0;
    for (draw, amps) in circuit.draws_of_everything() {
        always[draw as usize] = true;
        total += amps;
    }
    let mut named = vec![false; always.len()];
    let mut most = 0.0f64;
    for solved in plan
        .study
        .rule
        .moments
        .iter()
        .filter(|solved| matches!(solved.moment.label, Label::Case(_)))
    {
        let draws = solved
            .moment
            .draws
            .iter()
            .filter(|(draw, _)| always[*draw as usize]);
        most = most.max(
            draws
                .map(|&(draw, amps)| {
                    named[draw as usize] = true;
                    amps
                })
                .sum(),
        );
    }
    let covered = total > 0.0
        && always
            .iter()
            .zip(&named)
            .all(|(always, named)| !always || *named)
        && most >= total / 2.0;
    if covered {
        Severity::Advice
    } else {
        Severity::Warning
    }
}
