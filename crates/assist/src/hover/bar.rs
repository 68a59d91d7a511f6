//! A busbar, joint or block: what lands on it.

use ampwright_notation::{Key, Kind};
use ampwright_plan::{PartId, Plan, wiring::Term};
use petgraph::graph::NodeIndex;

use crate::{
    doc::Doc,
    phrase,
    unfold::bar::{self, ends},
};

/// All about a point where conductors meet.
pub(super) fn bar(plan: &Plan, part: PartId) -> Doc {
    let named = plan.model.get(part);
    let facts = plan.model.facts(&plan.sources, part);
    let mut doc = super::head(plan, &named.name, named.kind, named.thing);
    let poles = facts.count(Key::Poles).unwrap_or(0);
    if let Some(node) = plan.wiring.terminal(part, Term::Bar) {
        doc.say(taken(plan, part, node));
        doc.say(carries(plan, node, facts.amount(Key::Amps)));
    }
    let points = (1..=poles.min(super::MOST as u32)).filter_map(|pole| {
        let node = plan.wiring.terminal(part, Term::Pole(pole))?;
        let ends = ends(plan, node);
        Some(
            format!(
                "pole {pole}: {}",
                crate::phrase::count(ends as usize, "conductor")
            )
            .into(),
        )
    });
    doc.list(points.collect());
    doc
}

fn taken(plan: &Plan, part: PartId, node: NodeIndex) -> String {
    let facts = plan.model.facts(&plan.sources, part);
    let ends = ends(plan, node);
    if plan.model.get(part).kind != Kind::Busbar {
        return format!("{ends} conductors meet here.");
    }
    let (posts, studs) = (
        facts.count(Key::Posts).unwrap_or(0),
        facts.count(Key::Studs).unwrap_or(0),
    );
    let there = match (posts, studs) {
        (0, 0) => {
            return format!("{ends} conductors land here; how many posts it has is not said.");
        }
        (posts, 0) => format!("{posts} posts"),
        (0, studs) => format!("{studs} studs"),
        (posts, studs) => format!("{posts} posts and {studs} studs"),
    };
    let free = (posts + studs).saturating_sub(ends);
    let named: Vec<String> = plan
        .wiring
        .posts
        .iter()
        .filter(|post| post.part == part)
        .map(|post| {
            format!(
                "{} {}",
                if post.stud { "stud" } else { "post" },
                post.number
            )
        })
        .collect();
    let by_number = if named.is_empty() {
        String::new()
    } else {
        format!(" By number: {}.", super::listed(&named))
    };
    format!("{ends} of {there} taken, {free} free.{by_number}")
}

/// Half the sum of what its conductors carry, in the moment in which that is most.
fn carries(plan: &Plan, node: NodeIndex, rating: Option<f64>) -> String {
    let rated = rating.map_or_else(String::new, |amps| format!(", of {}", phrase::amps(amps)));
    bar::carries(plan, node).map_or_else(String::new, |(amps, moment)| {
        format!(
            "It carries {}{rated}, in {}.",
            phrase::amps(amps),
            phrase::moment(plan, moment)
        )
    })
}
