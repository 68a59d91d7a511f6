//! Where conductors meet, unfolded: a busbar, a joint, a terminal block, a bond.

use ampwright_notation::Key;
use ampwright_plan::{
    PartId, Plan,
    wiring::{Conductor, Term},
};
use petgraph::graph::NodeIndex;

use super::{Found, Section, Step, Unfolding};
use crate::phrase;

pub(super) fn unfold(plan: &Plan, part: PartId) -> Unfolding {
    let named = plan.model.get(part);
    let facts = plan.model.facts(&plan.sources, part);
    let poles = facts.count(Key::Poles).unwrap_or(0).min(MOST_POLES);
    let bar = plan.wiring.terminal(part, Term::Bar);
    let bar = bar.map(|node| (String::new(), node));
    let poles = (1..=poles).filter_map(|pole| {
        let node = plan.wiring.terminal(part, Term::Pole(pole))?;
        Some((format!("pole {pole}, "), node))
    });
    let points: Vec<(String, NodeIndex)> = bar.into_iter().chain(poles).collect();
    let counted = points.iter().map(|(point, node)| {
        let ends = ends(plan, *node);
        Step::new(format!("{point}conductor ends"), ends.to_string()).found(Found::Wiring)
    });
    let flows = points
        .iter()
        .flat_map(|(point, node)| flow(plan, point, *node, facts.amount(Key::Amps)));
    let sections = [
        Section {
            title: "What lands on it",
            steps: counted.chain(posts(plan, part)).collect(),
        },
        Section {
            title: "What it carries",
            steps: flows.collect(),
        },
    ];
    let title = format!("{} {}", named.kind.word(), named.name);
    Unfolding::of(title, sections)
}

/// More poles are not told.
const MOST_POLES: u32 = 24;

fn posts(plan: &Plan, part: PartId) -> Option<Step> {
    let facts = plan.model.facts(&plan.sources, part);
    let count = |key| facts.count(key).unwrap_or(0);
    let (posts, studs) = (count(Key::Posts), count(Key::Studs));
    let there = posts.saturating_add(studs);
    (there > 0).then(|| Step::new("posts and studs", there.to_string()).found(Found::Said))
}

/// Every conductor's end takes a post, N parallel ones take N.
pub(crate) fn ends(plan: &Plan, node: NodeIndex) -> u32 {
    at(plan, node).map(|conductor| conductor.parallel).sum()
}

fn at(plan: &Plan, node: NodeIndex) -> impl Iterator<Item = &Conductor> {
    let indices = plan.wiring.conductors_at(node);
    indices.filter_map(|index| plan.wiring.conductors.get(index as usize))
}

/// Half the sum of what a point's conductors carry, A, in the moment in which that is most.
pub(crate) fn carries(plan: &Plan, node: NodeIndex) -> Option<(f64, usize)> {
    let edges: Vec<usize> = at(plan, node)
        .map(|conductor| conductor.edge.index())
        .collect();
    let through = |amps: &[f64]| {
        let along = edges.iter().filter_map(|&edge| amps.get(edge));
        along.map(|amps| amps.abs()).sum::<f64>() / 2.0
    };
    let moments = plan.study.rule.moments.iter().enumerate();
    let most = moments
        .map(|(index, solved)| (through(&solved.amps), index))
        .reduce(|most, next| if next.0 > most.0 + 1e-9 { next } else { most });
    most.filter(|(amps, _)| *amps > 0.0)
}

fn flow(plan: &Plan, point: &str, node: NodeIndex, rating: Option<f64>) -> Vec<Step> {
    let Some((amps, moment)) = carries(plan, node) else {
        return Vec::new();
    };
    let solved = plan.study.rule.moments.get(moment);
    let each: Vec<String> = at(plan, node)
        .filter_map(|conductor| {
            let amps = solved?.amps.get(conductor.edge.index())?.abs();
            (amps > 1e-9).then(|| format!("{} {}", phrase::amps(amps), conductor.mark))
        })
        .collect();
    let worked = if each.len() <= MOST_ENDS {
        format!("({}) / 2", each.join(" + "))
    } else {
        String::new()
    };
    let what = format!("{point}through it, in {}", phrase::moment(plan, moment));
    let step = Step::new(what, phrase::amps(amps));
    let through = step.by("half of all that its conductors carry", worked);
    let rated = rating.map(|amps| Step::new("its rating", phrase::amps(amps)).found(Found::Said));
    [through.found(Found::ByRule)]
        .into_iter()
        .chain(rated)
        .collect()
}

/// More conductors at one point are not written out.
const MOST_ENDS: usize = 24;
