//! `loads-in-series`: the `-` of one load joined to the `+` of the next and to no source.

use std::collections::BTreeMap;

use ampwright_notation::tree::Step;
use petgraph::unionfind::UnionFind;
use rustc_hash::FxHashMap;

use super::{super::registry::Code, ground::Ground, open::Mute};
use crate::{finding::Finding, model::PartId, wiring::Visit};

/// The draws that meet in one piece that no source reaches.
#[derive(Default)]
struct Meeting {
    by_minus: Vec<u32>,
    by_plus: Vec<u32>,
}

pub(super) fn find(ground: &Ground<'_>, mute: &mut Mute, found: &mut Vec<Finding>) {
    let plan = ground.desk.plan;
    let meetings = meetings(ground);
    let mut sets = UnionFind::<u32>::new(plan.wiring.draws.len());
    for meeting in &meetings {
        for &draw in meeting.by_minus.iter().chain(&meeting.by_plus) {
            sets.union(meeting.by_minus[0], draw);
        }
    }
    let mut rows: BTreeMap<u32, Vec<&Meeting>> = BTreeMap::new();
    for meeting in &meetings {
        let draws = meeting.by_minus.iter().chain(&meeting.by_plus);
        mute.parts
            .extend(draws.map(|&draw| plan.wiring.draws[draw as usize].part));
        rows.entry(sets.find(meeting.by_minus[0]))
            .or_default()
            .push(meeting);
    }
    for row in rows.into_values() {
        found.extend(series(ground, &row));
    }
}

/// Pieces that neither net reaches, with the `-` of one draw and the `+` of another.
fn meetings(ground: &Ground<'_>) -> Vec<Meeting> {
    let plan = ground.desk.plan;
    let base = &plan.study.base;
    let dead = |node: petgraph::graph::NodeIndex| {
        base.live[node.index()].is_none()
            && base.home[node.index()].is_none()
            && ground.has_end(node)
            && !ground.hangs_on_a_gap(node)
    };
    let mut pieces: FxHashMap<u32, Meeting> = FxHashMap::default();
    for (index, draw) in plan.wiring.draws.iter().enumerate() {
        if dead(draw.minus) {
            let piece = ground.loose[draw.minus.index()];
            pieces.entry(piece).or_default().by_minus.push(index as u32);
        }
        if dead(draw.plus) {
            let piece = ground.loose[draw.plus.index()];
            pieces.entry(piece).or_default().by_plus.push(index as u32);
        }
    }
    let mut meetings: Vec<Meeting> = pieces
        .into_values()
        .filter(|meeting| {
            let other = |&plus: &u32| meeting.by_minus.iter().any(|&minus| minus != plus);
            meeting.by_plus.iter().any(other)
        })
        .collect();
    meetings.sort_by_key(|meeting| meeting.by_minus.first().copied());
    meetings
}

fn series(ground: &Ground<'_>, row: &[&Meeting]) -> Option<Finding> {
    let desk = ground.desk;
    let part = |draw: u32| desk.plan.wiring.draws[draw as usize].part;
    let mut parts: Vec<PartId> = Vec::new();
    for meeting in row {
        for &draw in meeting.by_minus.iter().chain(&meeting.by_plus) {
            if !parts.contains(&part(draw)) {
                parts.push(part(draw));
            }
        }
        if parts.len() > MOST_NAMED {
            break;
        }
    }
    let first = *parts.first()?;
    let name = ground.name(first);
    let message = format!(
        "{} are wired one after another and share the voltage: land on {name} +, and let the way back land on {name} -.",
        ground.names(&parts),
    );
    let passed = ground.stops(first).find(|visit| visit.enter != visit.leave);
    let site = passed.map_or_else(|| desk.name_site(first), |visit| visit.site);
    let mut finding = Finding::new(Code::LoadsInSeries, site, message);
    for &other in parts.iter().skip(1).take(8) {
        finding = finding.beside(desk.name_site(other), "in series with it");
    }
    match passed.filter(|visit| parts.len() == 2 && comes_back(ground, visit)) {
        Some(visit) => {
            let words = format!("{name} +");
            Some(finding.mended_by(format!("write {words}"), visit.site, words))
        }
        None => Some(finding),
    }
}

/// So many are counted out; a longer row is as wrong.
const MOST_NAMED: usize = 64;

fn comes_back(ground: &Ground<'_>, visit: &Visit) -> bool {
    ground
        .step(visit.site)
        .is_some_and(|(at, steps)| steps[at..].iter().any(|step| matches!(step, Step::Back(_))))
}
