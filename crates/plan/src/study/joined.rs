//! What hangs together by some edges of the graph, and what lies between some of its terminals.
//!
//! A graph falls into blocks (what no single terminal divides: an edge by itself, or a ring), which
//! hang together as a tree. What joins some terminals are the blocks on the ways between them in
//! that tree: every way from one to another, round rings too, and nothing else. The blocks are found
//! once, so that what is asked of a small part costs no more than that part.

use std::collections::BinaryHeap;

use ampwright_electrics::flow::{Blocks, NONE};
use petgraph::graph::{EdgeIndex, NodeIndex};
use rustc_hash::{FxHashMap, FxHashSet};

use super::reach::Passes;
use crate::wiring::Wiring;

/// Everything joined by some edges, in blocks.
pub(super) struct Joined {
    pub(super) blocks: Blocks,
    /// For each node how many blocks lie above it, and the topmost node of its piece.
    level: Vec<u32>,
    top: Vec<u32>,
}

impl Joined {
    pub(super) fn of(wiring: &Wiring, passes: impl Passes) -> Self {
        let edges = wiring.graph.raw_edges().iter().enumerate();
        let ends: Vec<(u32, u32)> = edges
            .map(|(index, edge)| {
                let from = edge.source().index() as u32;
                // What joins nothing leads nowhere, so that the others keep their numbers.
                if passes(EdgeIndex::new(index), &edge.weight) {
                    (from, edge.target().index() as u32)
                } else {
                    (from, from)
                }
            })
            .collect();
        let nodes = wiring.graph.node_count();
        let blocks = Blocks::new(nodes as u32, &ends);
        let (mut level, mut top) = (vec![0; nodes], (0..nodes as u32).collect::<Vec<_>>());
        for block in (0..blocks.count()).rev() {
            let above = blocks.top(block) as usize;
            for &node in blocks.hanging(block) {
                level[node as usize] = level[above] + 1;
                top[node as usize] = top[above];
            }
        }
        Self { blocks, level, top }
    }

    /// One number for all that is joined to a node.
    pub(super) fn piece(&self, node: NodeIndex) -> u32 {
        self.top[node.index()]
    }

    /// The block of an edge.
    pub(super) fn block(&self, edge: EdgeIndex) -> u32 {
        self.blocks.block(edge.index() as u32)
    }

    /// The blocks between some terminals: in each piece they are climbed from the lowest up until
    /// all have met.
    pub(super) fn between(&self, terminals: impl Iterator<Item = NodeIndex>) -> FxHashSet<u32> {
        let mut blocks = FxHashSet::default();
        let mut met: FxHashSet<u32> = terminals.map(|node| node.index() as u32).collect();
        let mut apart: FxHashMap<u32, u32> = FxHashMap::default();
        for &node in &met {
            *apart.entry(self.top[node as usize]).or_default() += 1;
        }
        let at_level = |&node: &u32| (self.level[node as usize], node);
        let mut queue: BinaryHeap<(u32, u32)> = met.iter().map(at_level).collect();
        while let Some((_, node)) = queue.pop() {
            let above = self.blocks.above(node);
            let apart = apart.entry(self.top[node as usize]).or_default();
            if *apart <= 1 || above == NONE {
                continue;
            }
            blocks.insert(above);
            let top = self.blocks.top(above);
            if met.insert(top) {
                queue.push(at_level(&top));
            } else {
                *apart -= 1;
            }
        }
        blocks
    }
}
