//! What the whole family stands on: which terminals are one piece, and on which side they lie.

use std::cell::OnceCell;

use ampwright_notation::{
    Kind,
    tree::{Step, Thing},
};
use petgraph::{graph::NodeIndex, unionfind::UnionFind};
use rustc_hash::{FxHashMap, FxHashSet};

use super::super::Desk;
use crate::{
    model::PartId,
    site::{Site, ThingRef},
    wiring::{Link, SupplyKind, Term, Visit},
};

/// On which side of the sources a terminal lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    /// Joined to a battery's or converter's `+` alone.
    Live,
    /// Joined to a `-` alone.
    Home,
    /// Joined to both: shorted.
    Both,
    /// Joined to neither.
    Neither,
}

/// The pieces of the wiring, each a list of a number for every node: equal numbers, one piece.
pub(super) struct Ground<'a> {
    pub(super) desk: &'a Desk<'a>,
    /// Joined by conductors alone.
    pub(super) bare: Vec<u32>,
    /// By conductors and contacts, all closed.
    pub(super) solid: Vec<u32>,
    /// And across what could not be read.
    pub(super) loose: Vec<u32>,
    /// And through the sources.
    pub(super) round: Vec<u32>,
    /// Pieces of `loose` that hold something that could not be read.
    gaps: FxHashSet<u32>,
    /// For each node how many conductors end on it, parallel ones counted singly.
    pub(super) ends: Vec<u32>,
    /// A run stands under a word that is no kind: what it joins is not known.
    pub(super) unread_run: bool,
    stops: OnceCell<FxHashMap<PartId, Vec<u32>>>,
}

impl<'a> Ground<'a> {
    pub(super) fn of(desk: &'a Desk<'a>) -> Self {
        let wiring = &desk.plan.wiring;
        let mut ends = vec![0; wiring.graph.node_count()];
        for conductor in &wiring.conductors {
            for end in [conductor.from, conductor.to] {
                ends[end.index()] += conductor.parallel;
            }
        }
        let mut ground = Self {
            desk,
            bare: Vec::new(),
            solid: Vec::new(),
            loose: Vec::new(),
            round: Vec::new(),
            gaps: FxHashSet::default(),
            ends,
            unread_run: desk
                .plan
                .sources
                .things()
                .any(|(_, thing)| is_unread_run(thing)),
            stops: OnceCell::new(),
        };
        ground.join();
        ground
    }

    fn join(&mut self) {
        let graph = &self.desk.plan.wiring.graph;
        let mut sets = UnionFind::<u32>::new(graph.node_count());
        let mut later = Vec::new();
        for edge in graph.raw_edges() {
            let known = [edge.source(), edge.target()]
                .iter()
                .all(|&end| graph[end].term != Term::Unknown);
            if known && matches!(edge.weight, Link::Conductor(_)) {
                sets.union(edge.source().index() as u32, edge.target().index() as u32);
            } else {
                later.push(edge);
            }
        }
        self.bare = labels(&mut sets);
        for step in [
            (|link| matches!(link, Link::Contact(_) | Link::Inside)) as fn(Link) -> bool,
            |link| matches!(link, Link::Conductor(_) | Link::Gap),
            |link| matches!(link, Link::Supply(_)),
        ] {
            for edge in later.iter().filter(|edge| step(edge.weight)) {
                sets.union(edge.source().index() as u32, edge.target().index() as u32);
            }
            let pieces = labels(&mut sets);
            if self.solid.is_empty() {
                self.solid = pieces;
            } else if self.loose.is_empty() {
                self.loose = pieces;
            } else {
                self.round = pieces;
            }
        }
        for edge in graph.raw_edges() {
            for end in [edge.source(), edge.target()] {
                if edge.weight == Link::Gap || graph[end].term == Term::Unknown {
                    self.gaps.insert(self.loose[end.index()]);
                }
            }
        }
    }

    /// Whether a terminal hangs on something that could not be read.
    pub(super) fn hangs_on_a_gap(&self, node: NodeIndex) -> bool {
        self.unread_run || self.gaps.contains(&self.loose[node.index()])
    }

    /// On which side a terminal lies. A charging source does not count: one wired the wrong way
    /// round would make a live net of the whole negative side.
    pub(super) fn side(&self, node: NodeIndex) -> Side {
        let wiring = &self.desk.plan.wiring;
        let strong = |net: &crate::study::reach::Net| {
            net[node.index()].is_some_and(|reach| {
                wiring
                    .supplies
                    .get(reach.source as usize)
                    .is_some_and(|supply| {
                        matches!(supply.kind, SupplyKind::Battery | SupplyKind::Converter)
                    })
            })
        };
        let base = &self.desk.plan.study.base;
        match (strong(&base.live), strong(&base.home)) {
            (true, true) => Side::Both,
            (true, false) => Side::Live,
            (false, true) => Side::Home,
            (false, false) => Side::Neither,
        }
    }

    /// A part's name.
    pub(super) fn name(&self, part: PartId) -> &'a str {
        &self.desk.plan.model.get(part).name
    }

    /// The part of a terminal.
    pub(super) fn part(&self, node: NodeIndex) -> Option<PartId> {
        self.desk.plan.wiring.graph.node_weight(node)?.part
    }

    pub(super) fn kind(&self, node: NodeIndex) -> Option<Kind> {
        self.part(node)
            .map(|part| self.desk.plan.model.get(part).kind)
    }

    pub(super) fn has_end(&self, node: NodeIndex) -> bool {
        self.ends[node.index()] > 0
    }

    /// The stops at a part, in the order of the text.
    pub(super) fn stops(&self, part: PartId) -> impl Iterator<Item = &'a Visit> {
        let visits = &self.desk.plan.wiring.stops;
        let index = self.stops.get_or_init(|| {
            let mut index: FxHashMap<PartId, Vec<u32>> = FxHashMap::default();
            for (at, visit) in visits.iter().enumerate() {
                if let Some(part) = visit.part {
                    index.entry(part).or_default().push(at as u32);
                }
            }
            index
        });
        index
            .get(&part)
            .into_iter()
            .flatten()
            .map(|&at| &visits[at as usize])
    }

    /// The thing that a site stands in.
    pub(super) fn thing(&self, site: Site) -> Option<&'a Thing> {
        self.desk.plan.sources.thing(ThingRef {
            file: site.file,
            thing: site.thing,
        })
    }

    /// The step that a site is, or lies in, and its place among the steps of its run.
    pub(super) fn step(&self, site: Site) -> Option<(usize, &'a [Step])> {
        let steps = &self.thing(site)?.steps[..];
        let at = steps.partition_point(|step| step_start(step) <= site.span.start);
        at.checked_sub(1).map(|at| (at, steps))
    }

    /// `lamp`, `lamp and pump`, `lamp, pump and 3 more`.
    pub(super) fn names(&self, parts: &[PartId]) -> String {
        match parts {
            [] => String::new(),
            [one] => self.name(*one).to_owned(),
            [one, two] => format!("{} and {}", self.name(*one), self.name(*two)),
            [one, two, rest @ ..] => {
                format!(
                    "{}, {} and {} more",
                    self.name(*one),
                    self.name(*two),
                    rest.len()
                )
            }
        }
    }
}

fn labels(sets: &mut UnionFind<u32>) -> Vec<u32> {
    (0..sets.len() as u32)
        .map(|node| sets.find_mut(node))
        .collect()
}

const fn step_start(of: &Step) -> u32 {
    match of {
        Step::Stop(stop) => stop.span.start,
        Step::Conductor(conductor) => conductor.span.start,
        Step::Back(back) => back.span.start,
        Step::Unread(span) => span.start,
    }
}

/// A thing of no kind whose lines look like conductors.
fn is_unread_run(thing: &Thing) -> bool {
    thing.kind.is_none()
        && thing.text.lines().any(|line| {
            line.starts_with([' ', '\t'])
                && line.trim_start().starts_with(|c: char| c.is_ascii_digit())
        })
}

/// `is` or `are`, by how many.
pub(super) const fn are(many: usize) -> &'static str {
    if many == 1 { "is" } else { "are" }
}
