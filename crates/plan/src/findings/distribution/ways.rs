//! `way-reused` and `crowded-post`: several conductors under one screw.

use ampwright_notation::Kind;
use petgraph::graph::NodeIndex;

use super::super::{Desk, registry::Code};
use crate::{finding::Finding, site::Site, wiring::Term};

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let limit = desk.circuit.rules.studs_limit().map(|limit| limit.value);
    let graph = &desk.plan.wiring.graph;
    for node in graph.node_indices() {
        let Some(part) = graph[node].part else {
            continue;
        };
        match graph[node].term {
            Term::Way(_) => found.extend(way(desk, node)),
            Term::Bar | Term::Pole(_) | Term::Inside | Term::Splice | Term::Unknown => {}
            _ if desk.plan.model.get(part).kind == Kind::Panel => {}
            _ => found.extend(limit.and_then(|limit| stud(desk, node, limit))),
        }
    }
}

/// A conductor's end at a terminal: its run, its line, how many it counts.
fn ends(desk: &Desk<'_>, node: NodeIndex) -> Vec<(u32, Site, u32)> {
    let conductors = desk.plan.wiring.conductors_at(node);
    let mut ends: Vec<(u32, Site, u32)> = conductors
        .map(|index| {
            let wired = &desk.plan.wiring.conductors[index as usize];
            (wired.run, wired.site, wired.parallel)
        })
        .collect();
    ends.sort_unstable();
    ends
}

fn way(desk: &Desk<'_>, node: NodeIndex) -> Option<Finding> {
    let ends = ends(desk, node);
    let name = desk.node_name(node);
    let mut runs: Vec<u32> = ends.iter().map(|&(run, _, _)| run).collect();
    runs.dedup();
    let run_name = |run: u32| desk.plan.model.runs.list[run as usize].name.to_string();
    let last = ends.last()?;
    let count: u32 = ends.iter().map(|&(_, _, count)| count).sum();
    let (code, message) = if runs.len() > 2 {
        let names: Vec<String> = runs.iter().take(6).map(|&run| run_name(run)).collect();
        let message = format!(
            "{} runs share {name} ({}), and one device cannot be right for all of them: give each circuit a way of its own.",
            runs.len(),
            names.join(", "),
        );
        (Code::WayReused, message)
    } else if count > 1 {
        let message = format!(
            "{count} conductors are under the one screw of {name}: give each a way of its own, or lead them on from a joint.",
        );
        (Code::CrowdedPost, message)
    } else {
        return None;
    };
    let mut finding = Finding::new(code, last.1, message);
    if code == Code::WayReused {
        finding = finding.measuring(runs.len() as f64, 2.0, "runs");
    }
    for &(_, site, _) in ends.iter().take(ends.len() - 1).take(8) {
        finding = finding.beside(site, "under the same screw");
    }
    Some(finding)
}

/// A battery's post, a bolt: as many conductors as the rule set allows on a stud.
fn stud(desk: &Desk<'_>, node: NodeIndex, limit: u32) -> Option<Finding> {
    let ends = ends(desk, node);
    let count: u32 = ends.iter().map(|&(_, _, count)| count).sum();
    let last = ends.last()?;
    if count <= limit {
        return None;
    }
    let message = format!(
        "{count} conductors are on {}, and at most {limit} belong on one stud: lead some of them to a busbar.",
        desk.node_name(node),
    );
    let mut finding = Finding::new(Code::CrowdedPost, last.1, message).measuring(
        f64::from(count),
        f64::from(limit),
        "conductors",
    );
    for &(_, site, _) in ends.iter().take(ends.len() - 1).take(8) {
        finding = finding.beside(site, "on the same stud");
    }
    Some(finding)
}
