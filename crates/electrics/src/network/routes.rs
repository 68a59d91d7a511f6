//! The ways of pairs of nodes through a network: along the trees, and through the blocks of the core.
//!
//! In the trees a pair has one path. In the core it crosses a chain of blocks, and what a block does
//! to it depends only on the two nodes between which it is crossed; so every different crossing is
//! measured once, and the ohms of a pair are sums. Knows the graph and the places; what a block
//! measures is the caller's.

use super::chains::{Chains, Graph, Seat};
use super::climb::Climb;
use super::thevenin::Resistance;
use super::{NONE, Solver};
use crate::flow::blocks::Blocks;
use rustc_hash::FxHashMap;

/// A pair's current through a block, between two nodes of the core.
#[derive(Debug, Clone, Copy)]
pub(super) struct Crossing {
    block: u32,
    from: u32,
    to: u32,
    pub(super) amps: f64,
    pub(super) pair: u32,
}

impl Crossing {
    /// The amperes of a branch that takes this share: never more than all.
    pub(super) fn part(&self, share: f64) -> f64 {
        self.amps * share.abs().min(1.0)
    }
}

/// A block with its crossings, largest first.
pub(super) struct Crossed<'a> {
    pub(super) chains: &'a Chains,
    pub(super) group: &'a [Crossing],
    /// Where each crossing enters and leaves.
    pub(super) seats: &'a [[Seat; 2]],
    /// Its edges in the core.
    pub(super) edges: &'a [u32],
}

impl Crossed<'_> {
    /// The ohms of each crossing.
    pub(super) fn ohms(&self, between: impl Fn(Seat, Seat) -> Resistance) -> Vec<Resistance> {
        self.seats
            .iter()
            .map(|&[from, to]| between(from, to))
            .collect()
    }
}

/// The ways of pairs; their ends are positions in the forest.
pub(super) struct Routes<'a> {
    solver: &'a Solver,
    /// The trees.
    twigs: Climb,
    blocks: Blocks,
    tree: BlockTree,
    crossings: Vec<Crossing>,
    /// The ohms from a node to the top of the block it hangs in, by place in the tree.
    up: Vec<Resistance>,
    /// The ohms between two nodes that hang in the same block.
    across: FxHashMap<[u32; 2], Resistance>,
}

impl<'a> Routes<'a> {
    pub(super) fn new(solver: &'a Solver) -> Routes<'a> {
        let twigs = &solver.forest.twigs;
        let nodes = solver.nodes - twigs.len() as u32;
        let blocks = Blocks::new(nodes, &solver.forest.ends);
        let tree = BlockTree::new(&blocks, nodes);
        Routes {
            solver,
            twigs: Climb::new(twigs.iter().map(|t| t.parent), solver.nodes as usize),
            crossings: Vec::new(),
            up: vec![Resistance::ZERO; tree.at.len()],
            across: FxHashMap::default(),
            blocks,
            tree,
        }
    }

    /// Visits the branches of a pair's way through the trees that no earlier pair visited.
    pub(super) fn climb(&mut self, ends: [u32; 2], mut visit: impl FnMut(u32)) {
        let twigs = &self.solver.forest.twigs;
        let meet = self.twigs.meet(ends[0], ends[1]);
        for end in ends {
            self.twigs
                .climb(end, meet.unwrap_or(twigs.len() as u32), |k| {
                    visit(twigs[k as usize].branch);
                });
        }
    }

    /// Where a pair enters the core and leaves it, as places in the tree.
    fn places(&self, ends: [u32; 2]) -> [u32; 2] {
        let core = self.solver.forest.twigs.len() as u32;
        ends.map(|end| self.tree.place[(self.twigs.root(end) - core) as usize])
    }

    /// Notes the crossings of a pair that no earlier one made.
    pub(super) fn cross(&mut self, ends: [u32; 2], amps: f64, pair: u32) {
        let places = self.places(ends);
        let Some(stops) = self.tree.stops(places) else {
            return;
        };
        let (blocks, crossings) = (&self.blocks, &mut self.crossings);
        let mut note = |block: u32, from: u32, to: u32| {
            crossings.push(Crossing {
                block,
                from,
                to,
                amps,
                pair,
            });
        };
        for (place, stop) in places.into_iter().zip(stops) {
            self.tree.climb.climb(place, stop, |k| {
                if let At::Node(node) = self.tree.at[k as usize] {
                    let block = blocks.above[node as usize];
                    note(block, node, blocks.top[block as usize]);
                }
            });
        }
        let [a, b] = stops;
        if let (At::Node(from), At::Node(to)) = (self.tree.at[a as usize], self.tree.at[b as usize])
            && a != b
            && self
                .across
                .insert(sorted(stops), Resistance::ZERO)
                .is_none()
        {
            note(blocks.above[from as usize], from, to);
        }
    }

    /// Has `block` measure the ohms of the crossings noted, block by block.
    pub(super) fn measure(&mut self, mut block: impl FnMut(&Crossed<'_>) -> Vec<Resistance>) {
        let mut crossings = std::mem::take(&mut self.crossings);
        crossings.sort_by_key(|c| c.block);
        let forest = &self.solver.forest;
        let mut graph = Graph {
            ends: &forest.ends,
            ohms: self.solver.core.ohms(&forest.core),
            place: vec![0; self.tree.place.len()],
        };
        for group in crossings.chunk_by(|a, b| a.block == b.block) {
            let ohms = self.measure_block(group, &mut graph, &mut block);
            for (crossing, ohms) in group.iter().zip(ohms) {
                self.note(crossing, ohms);
            }
        }
    }

    fn measure_block(
        &self,
        group: &[Crossing],
        graph: &mut Graph<'_>,
        measure: &mut impl FnMut(&Crossed<'_>) -> Vec<Resistance>,
    ) -> Vec<Resistance> {
        let block = group[0].block;
        let top = self.blocks.top[block as usize];
        let nodes = self.blocks.hanging(block).iter().copied().chain([top]);
        let edges = self.blocks.edges(block);
        let chains = Chains::new(nodes, edges, graph);
        let seats = |c: &Crossing| [c.from, c.to].map(|node| chains.seat(node, graph));
        measure(&Crossed {
            seats: &group.iter().map(seats).collect::<Vec<_>>(),
            chains: &chains,
            group,
            edges,
        })
    }

    fn note(&mut self, c: &Crossing, ohms: Resistance) {
        let [a, b] = [c.from, c.to].map(|node| self.tree.place[node as usize]);
        if c.to == self.blocks.top[c.block as usize] {
            self.up[a as usize] = ohms;
        } else {
            self.across.insert(sorted([a, b]), ohms);
        }
    }

    /// Sums what was measured.
    pub(super) fn sums(&self) -> Sums<'_> {
        let climb = &self.tree.climb;
        let twigs = &self.solver.forest.twigs;
        Sums {
            routes: self,
            twigs: self.twigs.sums(|k| twigs[k].ohms),
            low: climb.sums(|k| self.up[k].low),
            high: climb.sums(|k| self.up[k].high),
        }
    }
}

fn sorted([a, b]: [u32; 2]) -> [u32; 2] {
    [a.min(b), a.max(b)]
}

/// The ohms from each place to the root of its tree.
pub(super) struct Sums<'a> {
    routes: &'a Routes<'a>,
    twigs: Vec<f64>,
    low: Vec<f64>,
    high: Vec<f64>,
}

impl Sums<'_> {
    /// The ohms between the ends of a pair of one component whose crossings were measured.
    pub(super) fn between(&self, ends: [u32; 2]) -> Resistance {
        let above = |node: u32| self.twigs[node as usize];
        let both = above(ends[0]) + above(ends[1]);
        if let Some(meet) = self.routes.twigs.meet(ends[0], ends[1]) {
            return Resistance::exact(both - 2.0 * above(meet));
        }
        let core = self.core(self.routes.places(ends));
        Resistance::within(both + core.low, both + core.high)
    }

    fn core(&self, places: [u32; 2]) -> Resistance {
        let Some(stops) = self.routes.tree.stops(places) else {
            return Resistance::ZERO;
        };
        let across = self.routes.across.get(&sorted(stops)).copied();
        let across = across.unwrap_or(Resistance::ZERO);
        let to_stops = |up: &[f64]| -> f64 {
            let way = |(from, to): (u32, u32)| up[from as usize] - up[to as usize];
            places.into_iter().zip(stops).map(way).sum()
        };
        Resistance::within(
            to_stops(&self.low) + across.low,
            to_stops(&self.high) + across.high,
        )
    }
}

/// The tree of blocks and nodes, for paths through blocks.
struct BlockTree {
    climb: Climb,
    /// Place of each node in the tree, and what stands at each place.
    place: Vec<u32>,
    at: Vec<At>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum At {
    Node(u32),
    Block(u32),
}

impl BlockTree {
    fn new(blocks: &Blocks, nodes: u32) -> BlockTree {
        let mut place = vec![0; nodes as usize];
        let mut at_block = vec![0; blocks.count() as usize];
        let mut at = Vec::new();
        for b in 0..blocks.count() {
            for &node in blocks.hanging(b) {
                place[node as usize] = at.len() as u32;
                at.push(At::Node(node));
            }
            at_block[b as usize] = at.len() as u32;
            at.push(At::Block(b));
        }
        for node in (0..nodes).filter(|&n| blocks.above[n as usize] == NONE) {
            place[node as usize] = at.len() as u32;
            at.push(At::Node(node));
        }
        let parent = |(k, &at): (u32, &At)| match at {
            At::Node(node) => match blocks.above[node as usize] {
                NONE => k,
                block => at_block[block as usize],
            },
            At::Block(block) => place[blocks.top[block as usize] as usize],
        };
        let climb = Climb::new((0u32..).zip(&at).map(parent), at.len());
        BlockTree { climb, place, at }
    }

    /// How far up from two places their ways to each other lead: to the node where they meet, or
    /// to the two nodes that hang in the block where they meet.
    fn stops(&self, [a, b]: [u32; 2]) -> Option<[u32; 2]> {
        let meet = self.climb.meet(a, b)?;
        Some(match self.at[meet as usize] {
            At::Node(_) => [meet; 2],
            At::Block(_) => [a, b].map(|end| self.climb.below(end, meet)),
        })
    }
}
