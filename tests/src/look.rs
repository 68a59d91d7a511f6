//! Looking things up in a plan by the names that its text gives them.

use ampwright_plan::{Plan, study::moments::Label, study::rule::Solved, wiring::Way};

/// The plan of a file below the root of the repository, with all that it uses.
///
/// # Panics
/// The file, or one that it uses, cannot be read.
pub fn plan_of(path: &str) -> Plan {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/..");
    let read = |path: &str| {
        std::fs::read_to_string(format!("{root}/{path}"))
            .map(|text| std::sync::Arc::new(ampwright_notation::File::parse(&text)))
            .map_err(|error| format!("{path}: {error}"))
    };
    let sources = ampwright_plan::Sources::gather(path, &read);
    let sources = sources.unwrap_or_else(|why| panic!("{why}"));
    assert!(sources.unusable.is_empty(), "{:?}", sources.unusable);
    Plan::of(sources)
}

/// The place of a load, socket or converter in the wiring's draws.
///
/// # Panics
/// There is none of that name.
pub fn draw(plan: &Plan, name: &str) -> usize {
    let draws = &plan.wiring.draws;
    let found = draws
        .iter()
        .position(|draw| &*plan.model.get(draw.part).name == name);
    found.unwrap_or_else(|| panic!("no {name}"))
}

/// The by-rule answer in a case; in `everything` where that is asked for.
///
/// # Panics
/// There is no such case.
pub fn moment<'a>(plan: &'a Plan, name: &str) -> &'a Solved {
    let named = |solved: &&Solved| match solved.moment.label {
        Label::Case(case) => &*plan.model.cases.list[case as usize].name == name,
        Label::Everything(_) => name == "everything",
    };
    let found = plan.study.rule.moments.iter().find(named);
    found.unwrap_or_else(|| panic!("no case {name}"))
}

/// The drop at a load in a case by the rule, V.
pub fn drop_at(plan: &Plan, load: &str, case: &str) -> f64 {
    let ends = &plan.wiring.draws[draw(plan, load)];
    moment(plan, case).drop_at(ends.plus, ends.minus)
}

/// The conductor of a mark, the way out where a twin's two cores share it.
///
/// # Panics
/// There is none.
pub fn conductor(plan: &Plan, mark: &str) -> usize {
    let conductors = &plan.wiring.conductors;
    let found = conductors
        .iter()
        .position(|c| &*c.mark == mark && (c.way == Way::Out || !c.twin));
    found.unwrap_or_else(|| panic!("no conductor {mark}"))
}

/// The current in a conductor in a case by the rule, A.
pub fn amps_in(plan: &Plan, mark: &str, case: &str) -> f64 {
    let edge = plan.wiring.conductors[conductor(plan, mark)].edge;
    moment(plan, case).amps[edge.index()].abs()
}

/// What a conductor loses in a case by the rule, V.
///
/// # Panics
/// Its resistance is unknown.
pub fn loss_in(plan: &Plan, mark: &str, case: &str) -> f64 {
    let ohms = plan.study.base.rule_ohms[conductor(plan, mark)];
    let ohms = ohms.unwrap_or_else(|| panic!("{mark} lacks a size or a length"));
    amps_in(plan, mark, case) * ohms
}

/// Each finding as `severity code`, for comparing at a glance.
pub fn codes(plan: &Plan) -> Vec<String> {
    let word = |finding: &ampwright_plan::Finding| {
        format!("{} {}", finding.severity.word(), finding.code.word())
    };
    plan.findings.iter().map(word).collect()
}
