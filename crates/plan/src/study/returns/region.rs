//! Which part of the home net the currents of one source can come home through: the blocks
//! ([`Joined`]) between it and what it feeds, so that a negative that many hulls share is not walked
//! from end to end for each of them. Whether a bar lies behind is known of all the rest too.

use petgraph::graph::NodeIndex;
use rustc_hash::FxHashSet;

use super::{is_bar, tree::Tree};
use crate::study::{Circuit, joined::Joined};

/// The bars of the home net.
pub(super) struct Bars {
    /// For each node the bars among itself and what hangs from it.
    below: Vec<u32>,
}

impl Bars {
    pub(super) fn of(circuit: &Circuit<'_>, joined: &Joined) -> Self {
        let nodes = circuit.wiring.graph.node_indices();
        let below = nodes.map(|node| u32::from(is_bar(circuit, node)));
        let mut bars = Self {
            below: below.collect(),
        };
        for block in 0..joined.blocks.count() {
            bars.below[joined.blocks.top(block) as usize] += bars.hanging(joined, block);
        }
        bars
    }

    fn hanging(&self, joined: &Joined, block: u32) -> u32 {
        let hanging = joined.blocks.hanging(block).iter();
        hanging.map(|&node| self.below[node as usize]).sum()
    }

    /// For each node of a tree over some blocks whether it is a bar, or has one behind it that lies
    /// outside these blocks.
    pub(super) fn beside(
        &self,
        joined: &Joined,
        blocks: &FxHashSet<u32>,
        tree: &Tree,
    ) -> Vec<bool> {
        let all = |node: NodeIndex| self.below[joined.piece(node) as usize];
        let mut beside: Vec<u32> = tree.nodes.iter().map(|&node| all(node)).collect();
        let mut take = |node: u32, bars: u32| {
            if let Some(node) = tree.local(NodeIndex::new(node as usize)) {
                beside[node.index()] -= bars;
            }
        };
        for &block in blocks {
            take(joined.blocks.top(block), self.hanging(joined, block));
            for &node in joined.blocks.hanging(block) {
                let all = all(NodeIndex::new(node as usize));
                take(node, all - self.below[node as usize]);
            }
        }
        beside.into_iter().map(|bars| bars > 0).collect()
    }
}
