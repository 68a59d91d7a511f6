//! `bypassed-part`: a fuse, switch or isolator that current does not have to pass.
//!
//! Two devices side by side are not bypassed: the sum of both counts in what protects a conductor.
//! A chain of contacts whose two ends conductors alone join is bypassed as a whole.

use rustc_hash::{FxHashMap, FxHashSet};

use super::{super::registry::Code, ground::Ground};
use crate::{
    finding::Finding,
    model::PartId,
    wiring::{Contact, Link, Term, Visit},
};

pub(super) fn find(ground: &Ground<'_>, found: &mut Vec<Finding>) {
    landed_on(ground, found);
    let mut steps = MOST_STEPS;
    for chain in bypassed(ground) {
        found.extend(round(ground, &chain, &mut steps));
    }
}

/// Landed on by `feed` or `out` in the middle of a run, with nothing on the other side.
fn landed_on(ground: &Ground<'_>, found: &mut Vec<Finding>) {
    let plan = ground.desk.plan;
    let mut said: FxHashSet<PartId> = FxHashSet::default();
    for contact in &plan.wiring.contacts {
        let sides = [(contact.feed, contact.out), (contact.out, contact.feed)];
        let is_side = |node: petgraph::graph::NodeIndex| {
            matches!(plan.wiring.graph[node].term, Term::Feed(_) | Term::Out(_))
        };
        for (on, off) in sides {
            let idle = ground.ends[on.index()] >= 2
                && !ground.has_end(off)
                && is_side(on)
                && is_side(off)
                && !inside_panel(ground, contact);
            if idle && said.insert(contact.part) {
                found.push(not_passed(ground, contact, on));
            }
        }
    }
}

fn inside_panel(ground: &Ground<'_>, contact: &Contact) -> bool {
    ground.desk.plan.model.get(contact.part).kind == ampwright_notation::Kind::Panel
}

fn not_passed(ground: &Ground<'_>, contact: &Contact, on: petgraph::graph::NodeIndex) -> Finding {
    let name = ground.name(contact.part);
    let message = format!(
        "{name} is landed on and left again on the same side, so no current goes through it: write {name} alone to pass it.",
    );
    let stop = ground
        .stops(contact.part)
        .find(|visit| visit.enter == on && visit.leave == on);
    let site = stop.map_or(contact.site, |visit| visit.site);
    let finding = Finding::new(Code::BypassedPart, site, message);
    match stop.filter(|visit| stands_between(ground, visit)) {
        Some(visit) => {
            let words = if contact.pole > 1 || has_poles(ground, contact.part) {
                format!("{name} pole {}", contact.pole)
            } else {
                name.to_owned()
            };
            finding.mended_by(format!("write {words}"), visit.site, words)
        }
        None => finding,
    }
}

fn has_poles(ground: &Ground<'_>, part: PartId) -> bool {
    let facts = ground.desk.circuit.facts(part);
    facts.has(ampwright_notation::Key::TwoPole)
}

/// A stop in the middle of its run.
fn stands_between(ground: &Ground<'_>, visit: &Visit) -> bool {
    ground
        .step(visit.site)
        .is_some_and(|(at, steps)| at > 0 && at + 1 < steps.len())
}

/// Chains of contacts, one behind the other with nothing between, whose ends are one piece of
/// conductors.
fn bypassed(ground: &Ground<'_>) -> Vec<Vec<u32>> {
    let wiring = &ground.desk.plan.wiring;
    let piece = |node: petgraph::graph::NodeIndex| ground.bare[node.index()];
    let mut contacts_of: FxHashMap<u32, Vec<u32>> = FxHashMap::default();
    let mut busy: FxHashSet<u32> = FxHashSet::default();
    for edge in wiring.graph.raw_edges() {
        let ends = [piece(edge.source()), piece(edge.target())];
        match edge.weight {
            Link::Contact(index) => {
                for end in ends {
                    contacts_of.entry(end).or_default().push(index);
                }
            }
            Link::Draw(_) | Link::Supply(_) | Link::Gap | Link::Inside => busy.extend(ends),
            // Equal pieces, but for a conductor to a stop that could not be read.
            Link::Conductor(_) if ends[0] != ends[1] => busy.extend(ends),
            Link::Conductor(_) => {}
        }
    }
    let walk = Walk {
        ground,
        contacts_of,
        busy,
    };
    walk.chains()
}

struct Walk<'a> {
    ground: &'a Ground<'a>,
    /// For each piece of conductors the contacts that end on it.
    contacts_of: FxHashMap<u32, Vec<u32>>,
    /// Pieces on which something else ends too.
    busy: FxHashSet<u32>,
}

impl Walk<'_> {
    fn chains(&self) -> Vec<Vec<u32>> {
        let contacts = &self.ground.desk.plan.wiring.contacts;
        let mut done = vec![false; contacts.len()];
        let mut chains = Vec::new();
        for index in 0..contacts.len() as u32 {
            if done[index as usize] {
                continue;
            }
            done[index as usize] = true;
            let mut chain = vec![index];
            let (a, b) = self.pieces(index);
            let one = self.follow(a, index, &mut chain, &mut done);
            let other = self.follow(b, index, &mut chain, &mut done);
            if one.is_some() && one == other {
                chain.sort_unstable();
                chains.push(chain);
            }
        }
        chains
    }

    fn pieces(&self, contact: u32) -> (u32, u32) {
        let ground = self.ground;
        let contact = &ground.desk.plan.wiring.contacts[contact as usize];
        (
            ground.bare[contact.feed.index()],
            ground.bare[contact.out.index()],
        )
    }

    /// Where a chain ends, going on from a piece through contacts that have nothing beside them;
    /// `None` where contacts alone close a ring that nothing feeds.
    fn follow(&self, from: u32, by: u32, chain: &mut Vec<u32>, done: &mut [bool]) -> Option<u32> {
        let (mut piece, mut last) = (from, by);
        loop {
            let next = match self.contacts_of.get(&piece).map(Vec::as_slice) {
                Some(&[a, b]) if a != b && !self.busy.contains(&piece) => {
                    if a == last {
                        b
                    } else {
                        a
                    }
                }
                _ => return Some(piece),
            };
            if std::mem::replace(&mut done[next as usize], true) {
                return None;
            }
            chain.push(next);
            let (a, b) = self.pieces(next);
            piece = if a == piece { b } else { a };
            last = next;
        }
    }
}

fn round(ground: &Ground<'_>, chain: &[u32], steps: &mut usize) -> Option<Finding> {
    let desk = ground.desk;
    let wiring = &desk.plan.wiring;
    let contact = |index: &u32| &wiring.contacts[*index as usize];
    let first = chain.first().map(contact)?;
    let mut names: Vec<String> = chain
        .iter()
        .map(|index| desk.circuit.contact_name(contact(index)))
        .collect();
    names.dedup();
    let message = format!(
        "Current can go round {}: conductors alone join its two sides, so it neither protects nor switches anything. Take the way round it out.",
        names.join(" and "),
    );
    let mut finding = Finding::new(Code::BypassedPart, first.site, message);
    for &index in chain.iter().skip(1) {
        let other = &wiring.contacts[index as usize];
        if other.part != first.part {
            finding = finding.beside(other.site, "bypassed with it");
        }
    }
    for conductor in way_round(ground, chain, steps) {
        finding = finding.beside(wiring.conductors[conductor as usize].site, "the way round");
    }
    finding.related.dedup();
    Some(finding)
}

/// The conductors that join the two sides of a contact, as few as possible; a longer chain's are
/// not told apart from what belongs there.
fn way_round(ground: &Ground<'_>, chain: &[u32], steps: &mut usize) -> Vec<u32> {
    let &[index] = chain else { return Vec::new() };
    let contact = &ground.desk.plan.wiring.contacts[index as usize];
    search(ground, contact.feed, contact.out, steps)
}

/// A bound on the work that naming the ways round may make in one plan; beyond it a finding names
/// the part alone.
const MOST_STEPS: usize = 100_000;

fn search(
    ground: &Ground<'_>,
    start: petgraph::graph::NodeIndex,
    goal: petgraph::graph::NodeIndex,
    steps: &mut usize,
) -> Vec<u32> {
    use petgraph::visit::EdgeRef;
    let graph = &ground.desk.plan.wiring.graph;
    let mut came = FxHashMap::default();
    let mut queue = std::collections::VecDeque::from([start]);
    while let Some(node) = queue.pop_front() {
        if node == goal || *steps == 0 {
            break;
        }
        for edge in graph.edges(node).take(*steps) {
            *steps -= 1;
            let Link::Conductor(index) = *edge.weight() else {
                continue;
            };
            let next = if edge.source() == node {
                edge.target()
            } else {
                edge.source()
            };
            if next != start && !came.contains_key(&next) {
                came.insert(next, (index, node));
                queue.push_back(next);
            }
        }
    }
    let mut way = Vec::new();
    let mut at = goal;
    while let Some(&(index, from)) = came.get(&at) {
        way.push(index);
        at = from;
    }
    way
}
