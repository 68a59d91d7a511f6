//! `unwired-part` and `never-on`: what the runs and the cases leave out.

use ampwright_notation::{Key, Kind, tree::Verb};
use rustc_hash::FxHashSet;

use super::{super::registry::Code, ground::Ground};
use crate::{finding::Finding, model::PartId, wiring::DrawKind};

/// Parts that no run touches. Withheld while any name is unknown: it may be this part's.
pub(super) fn unwired(ground: &Ground<'_>, found: &mut Vec<Finding>) {
    let desk = ground.desk;
    if desk.has_gaps {
        return;
    }
    let touched = touched(ground);
    for (id, part) in desk.plan.model.ids() {
        if touched.contains(&id) || desk.circuit.facts(id).has(Key::Spare) {
            continue;
        }
        let name = &part.name;
        let message = if part.kind == Kind::Multicore {
            format!("No run uses a core of {name}: write core 1 of {name} in a run, or say spare.")
        } else {
            format!("No run touches {name}: write its run, or say spare.")
        };
        let site = desk.name_site(id);
        let end = crate::site::Site {
            span: ampwright_notation::Span {
                start: site.span.end,
                end: site.span.end,
            },
            ..site
        };
        let finding = Finding::new(Code::UnwiredPart, site, message);
        found.push(finding.mended_by("say spare", end, " spare"));
    }
}

fn touched(ground: &Ground<'_>) -> FxHashSet<PartId> {
    let plan = ground.desk.plan;
    let conductors = plan.wiring.conductors.iter();
    let ends = conductors.clone().flat_map(|conductor| {
        [conductor.from, conductor.to]
            .into_iter()
            .filter_map(|end| ground.part(end))
    });
    let cores = conductors.filter_map(|conductor| conductor.core.map(|(part, _)| part));
    let stops = plan.wiring.stops.iter().filter_map(|visit| visit.part);
    // A part that is `earthed` lands on its block without a run.
    let earthed = plan
        .wiring
        .draws
        .iter()
        .filter_map(|draw| ground.part(draw.minus));
    let sources = plan
        .wiring
        .supplies
        .iter()
        .filter_map(|supply| ground.part(supply.minus));
    let blocks = earthed
        .chain(sources)
        .filter(|&part| plan.model.get(part).kind == Kind::Block);
    ends.chain(cores).chain(stops).chain(blocks).collect()
}

/// Loads that no case puts on, in a plan with cases: one advice. Short-time loads and what stands
/// behind a push button run on top of everything else, and need no case.
pub(super) fn never_on(ground: &Ground<'_>, found: &mut Vec<Finding>) {
    let desk = ground.desk;
    let plan = desk.plan;
    if plan.model.cases.list.is_empty()
        || plan
            .study
            .case_findings
            .iter()
            .any(|finding| finding.code == Code::UnknownName)
    {
        return;
    }
    let mut on: FxHashSet<PartId> = FxHashSet::default();
    for case in &plan.model.cases.list {
        let settings = plan.sources.thing(case.thing).map(|thing| &thing.settings);
        let named = settings.into_iter().flatten();
        let put_on = named.filter(|setting| setting.verb == Verb::On);
        on.extend(put_on.filter_map(|setting| plan.model.part(&setting.name.value)));
    }
    let left: Vec<PartId> = plan
        .wiring
        .draws
        .iter()
        .zip(&plan.study.base.on_top)
        .filter(|&(_, on_top)| !on_top)
        .map(|(draw, _)| draw)
        .filter(|draw| matches!(draw.kind, DrawKind::Load | DrawKind::Inverter))
        .filter(|draw| ground.has_end(draw.plus) || ground.has_end(draw.minus))
        .map(|draw| draw.part)
        .filter(|part| !on.contains(part) && !desk.circuit.facts(*part).has(Key::Spare))
        .collect();
    let Some(&first) = left.first() else { return };
    let message = format!(
        "No case puts {} on: name each load in the case in which it runs.",
        ground.names(&left)
    );
    let mut finding = Finding::new(Code::NeverOn, desk.name_site(first), message);
    for &part in left.iter().skip(1) {
        finding = finding.beside(desk.name_site(part), "in no case either");
    }
    found.push(finding);
}
