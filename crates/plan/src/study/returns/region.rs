//! Which part of the home net the currents of one source can come home through.
//!
//! The home net falls into blocks (what no single terminal divides: a conductor by itself, or a
//! ring), which hang together as a tree. What joins some terminals are the blocks on the ways
//! between them in that tree: every way from one to another, round rings too, and nothing else. The
//! blocks are found once for all sources, so that a negative that many hulls share is not walked
//! from end to end for each of them.

use std::collections::BinaryHeap;

use ampwright_electrics::flow::{Blocks, NONE};
use petgraph::graph::{EdgeIndex, NodeIndex};
use rustc_hash::FxHashSet;

use super::{is_bar, tree::Tree};
use crate::study::{Circuit, reach::everything_closed};

/// Everything joined by conductors and contacts, in blocks.
pub(super) struct Joined {
    blocks: Blocks,
    /// For each node how many blocks lie above it, and the topmost node of its piece.
    level: Vec<u32>,
    top: Vec<u32>,
    /// For each node the bars among itself and what hangs from it.
    bars: Vec<u32>,
}

impl Joined {
    pub(super) fn of(circuit: &Circuit<'_>) -> Self {
        let graph = &circuit.wiring.graph;
        let edges = graph.raw_edges().iter().enumerate();
        let ends: Vec<(u32, u32)> = edges
            .map(|(index, edge)| {
                let from = edge.source().index() as u32;
                // What joins nothing leads nowhere, so that the others keep their numbers.
                if everything_closed(EdgeIndex::new(index), &edge.weight) {
                    (from, edge.target().index() as u32)
                } else {
                    (from, from)
                }
            })
            .collect();
        let nodes = graph.node_count();
        let bars = graph
            .node_indices()
            .map(|node| u32::from(is_bar(circuit, node)));
        let mut joined = Self {
            blocks: Blocks::new(nodes as u32, &ends),
            level: vec![0; nodes],
            top: (0..nodes as u32).collect(),
            bars: bars.collect(),
        };
        joined.sweep();
        joined
    }

    fn sweep(&mut self) {
        for block in 0..self.blocks.count() {
            self.bars[self.blocks.top(block) as usize] += self.bars_hanging(block);
        }
        for block in (0..self.blocks.count()).rev() {
            let above = self.blocks.top(block) as usize;
            for &node in self.blocks.hanging(block) {
                self.level[node as usize] = self.level[above] + 1;
                self.top[node as usize] = self.top[above];
            }
        }
    }

    fn bars_hanging(&self, block: u32) -> u32 {
        let hanging = self.blocks.hanging(block).iter();
        hanging.map(|&node| self.bars[node as usize]).sum()
    }

    /// One number for all that is joined to a node.
    pub(super) fn piece(&self, node: NodeIndex) -> u32 {
        self.top[node.index()]
    }

    /// The block of an edge.
    pub(super) fn block(&self, edge: EdgeIndex) -> u32 {
        self.blocks.block(edge.index() as u32)
    }

    /// The blocks between some terminals of one piece. They are climbed from the lowest up until
    /// all have met; of several pieces all but the last are climbed to the top, which is more than
    /// is needed and does no harm.
    pub(super) fn between(&self, terminals: impl Iterator<Item = NodeIndex>) -> FxHashSet<u32> {
        let mut blocks = FxHashSet::default();
        let mut met: FxHashSet<u32> = terminals.map(|node| node.index() as u32).collect();
        let at_level = |&node: &u32| (self.level[node as usize], node);
        let mut queue: BinaryHeap<(u32, u32)> = met.iter().map(at_level).collect();
        while let Some((_, node)) = queue.pop() {
            let above = self.blocks.above(node);
            if queue.is_empty() || above == NONE {
                continue;
            }
            blocks.insert(above);
            let top = self.blocks.top(above);
            if met.insert(top) {
                queue.push(at_level(&top));
            }
        }
        blocks
    }

    /// For each node of a tree over some blocks whether it is a bar, or has one behind it that lies
    /// outside these blocks.
    pub(super) fn bars_beside(&self, blocks: &FxHashSet<u32>, tree: &Tree) -> Vec<bool> {
        let all = |node: NodeIndex| self.bars[self.piece(node) as usize];
        let mut beside: Vec<u32> = tree.nodes.iter().map(|&node| all(node)).collect();
        let mut take = |node: u32, bars: u32| {
            if let Some(node) = tree.local(NodeIndex::new(node as usize)) {
                beside[node.index()] -= bars;
            }
        };
        for &block in blocks {
            take(self.blocks.top(block), self.bars_hanging(block));
            for &node in self.blocks.hanging(block) {
                let all = all(NodeIndex::new(node as usize));
                take(node, all - self.bars[node as usize]);
            }
        }
        beside.into_iter().map(|bars| bars > 0).collect()
    }
}
