//! The largest current each branch carries while every load is on alone.
//!
//! In the trees a pair's current runs along one path, so pairs are taken in order of falling
//! current and each branch is written once: near-linear. In the core each pair of attachments takes
//! one back-substitution.

use super::{Solver, core, forest::Forest, reset};
use crate::flow::blocks::Blocks;
use rustc_hash::FxHashSet;

/// Back-substitutions x core branches spent at most on exact currents in the core; beyond, every
/// branch of a block that a pair's current may enter is taken to carry all of it. About a tenth of
/// a second; a boat's main ring with a hundred panels takes a hundredth of it.
const BUDGET: usize = 2_000_000;

/// The largest |current| of each branch over pairs taken one at a time.
#[derive(Debug, Clone, PartialEq)]
pub struct Alone {
    /// Amperes of each branch, not negative.
    pub amps: Vec<f64>,
    /// The index of the pair that gives them; None where no pair's current passes.
    pub pair: Vec<Option<u32>>,
    /// False where the core was too large for its budget and its branches carry the safe upper
    /// bound: no branch of a passive network carries more than what is sent through it.
    pub exact: bool,
}

impl Alone {
    fn new(branches: usize) -> Alone {
        Alone {
            amps: vec![0.0; branches],
            pair: vec![None; branches],
            exact: true,
        }
    }

    fn raise(&mut self, branch: u32, amps: f64, pair: u32) {
        if amps > self.amps[branch as usize] {
            self.amps[branch as usize] = amps;
            self.pair[branch as usize] = Some(pair);
        }
    }
}

/// A pair's current through the core, between two of its nodes.
#[derive(Debug, Clone, Copy)]
struct Crossing {
    from: u32,
    to: u32,
    amps: f64,
    pair: u32,
}

impl Solver {
    /// For each branch the largest |current| over the pairs `(plus, minus, amps)` taken one at a
    /// time: `amps` out of the network at `plus`, into it at `minus`, every emf taken as zero.
    /// Pairs whose nodes lie in different components, or whose current is not finite, count for
    /// nothing.
    pub fn largest_alone(&self, pairs: &[(u32, u32, f64)]) -> Alone {
        let mut out = Alone::new(self.branches);
        let mut tree = Climb::new(
            self.forest.twigs.iter().map(|t| t.parent),
            self.nodes as usize,
        );
        let twigs = self.forest.twigs.len() as u32;
        let mut seen = FxHashSet::default();
        let mut crossings = Vec::new();
        for (pair, plus, minus, amps) in falling(&self.forest, pairs) {
            let mark = |k: u32, out: &mut Alone| {
                out.raise(self.forest.twigs[k as usize].branch, amps, pair);
            };
            let meet = tree.meet(plus, minus);
            let (a, b) = (tree.root(plus), tree.root(minus));
            for end in [plus, minus] {
                tree.climb(end, meet.unwrap_or(twigs), |k| mark(k, &mut out));
            }
            if meet.is_none() && seen.insert((a.min(b), a.max(b))) {
                crossings.push(Crossing {
                    from: a - twigs,
                    to: b - twigs,
                    amps,
                    pair,
                });
            }
        }
        self.cross(&crossings, BUDGET, &mut out);
        out
    }

    fn cross(&self, crossings: &[Crossing], budget: usize, out: &mut Alone) {
        if crossings.is_empty() {
            return;
        }
        if crossings.len().saturating_mul(self.core.size()) <= budget {
            self.cross_exactly(crossings, out);
        } else {
            out.exact = false;
            self.cross_safely(crossings, out);
        }
    }

    fn cross_exactly(&self, crossings: &[Crossing], out: &mut Alone) {
        let nodes = self.nodes as usize - self.forest.twigs.len();
        let (mut injected, mut volts, mut amps) = (vec![0.0; nodes], vec![0.0; nodes], Vec::new());
        let mut work = core::Work::default();
        reset(&mut amps, self.branches);
        for c in crossings {
            injected[c.from as usize] -= c.amps;
            injected[c.to as usize] += c.amps;
            self.core
                .run(&injected, &mut volts, &mut amps, false, &mut work);
            (injected[c.from as usize], injected[c.to as usize]) = (0.0, 0.0);
            for &branch in &self.forest.core {
                out.raise(branch, amps[branch as usize].abs().min(c.amps), c.pair);
            }
        }
    }

    fn cross_safely(&self, crossings: &[Crossing], out: &mut Alone) {
        let nodes = self.nodes - self.forest.twigs.len() as u32;
        let blocks = Blocks::new(nodes, &self.forest.ends);
        let mut tree = BlockTree::new(&blocks, nodes);
        for c in crossings {
            tree.visit(c.from, c.to, |block| {
                for &edge in blocks.edges(block) {
                    out.raise(self.forest.core[edge as usize], c.amps, c.pair);
                }
            });
        }
    }
}

/// The pairs that carry anything, by position, largest first; equal ones by index.
fn falling(forest: &Forest, pairs: &[(u32, u32, f64)]) -> Vec<(u32, u32, u32, f64)> {
    let usable = |(index, &(plus, minus, amps)): (u32, &(u32, u32, f64))| {
        let place = |n: u32| forest.position.get(n as usize).copied();
        let joined = forest.component.get(plus as usize) == forest.component.get(minus as usize);
        let carries = joined && plus != minus && amps.is_finite() && amps != 0.0;
        carries.then_some((index, place(plus)?, place(minus)?, amps.abs()))
    };
    let mut list: Vec<_> = (0u32..).zip(pairs).filter_map(usable).collect();
    list.sort_by(|a, b| b.3.total_cmp(&a.3).then(a.0.cmp(&b.0)));
    list
}

/// Paths in a forest whose nodes are numbered so that each comes before its parent. An edge is
/// known by its lower node.
struct Climb {
    parent: Vec<u32>,
    /// Top of the heavy path a node lies on.
    head: Vec<u32>,
    root: Vec<u32>,
    /// Where to look next for an edge that was not climbed yet, with path halving.
    skip: Vec<u32>,
}

impl Climb {
    fn new(parents: impl Iterator<Item = u32>, nodes: usize) -> Climb {
        let mut parent: Vec<u32> = (0..nodes as u32).collect();
        for (p, above) in parent.iter_mut().zip(parents) {
            *p = above;
        }
        let heavy = heavy_children(&parent);
        let mut head: Vec<u32> = (0..nodes as u32).collect();
        let mut root = head.clone();
        for k in (0..nodes).rev() {
            let p = parent[k] as usize;
            root[k] = root[p];
            if p != k && heavy[p] == k as u32 {
                head[k] = head[p];
            }
        }
        let skip = (0..nodes as u32).collect();
        Climb {
            parent,
            head,
            root,
            skip,
        }
    }

    fn root(&self, node: u32) -> u32 {
        self.root[node as usize]
    }

    /// The lowest common ancestor, None in different trees.
    fn meet(&self, mut a: u32, mut b: u32) -> Option<u32> {
        if self.root(a) != self.root(b) {
            return None;
        }
        // The lower head is the deeper one or stands beside: either way the common ancestor is not
        // on its path.
        while self.head[a as usize] != self.head[b as usize] {
            if self.head[a as usize] < self.head[b as usize] {
                a = self.parent[self.head[a as usize] as usize];
            } else {
                b = self.parent[self.head[b as usize] as usize];
            }
        }
        Some(a.max(b))
    }

    /// Visits the edges from `from` up to `end` that no earlier climb visited.
    fn climb(&mut self, from: u32, end: u32, mut visit: impl FnMut(u32)) {
        let mut k = self.open(from);
        while k < end && self.parent[k as usize] != k {
            visit(k);
            self.skip[k as usize] = self.parent[k as usize];
            k = self.open(k);
        }
    }

    fn open(&mut self, mut k: u32) -> u32 {
        while self.skip[k as usize] != k {
            let over = self.skip[self.skip[k as usize] as usize];
            self.skip[k as usize] = over;
            k = over;
        }
        k
    }
}

fn heavy_children(parent: &[u32]) -> Vec<u32> {
    let mut size = vec![1u32; parent.len()];
    let mut heavy: Vec<u32> = vec![u32::MAX; parent.len()];
    for (k, &p) in parent.iter().enumerate().filter(|&(k, &p)| p as usize != k) {
        size[p as usize] += size[k];
        let best = &mut heavy[p as usize];
        if *best == u32::MAX || size[*best as usize] < size[k] {
            *best = k as u32;
        }
    }
    heavy
}

/// The tree of blocks and nodes, for paths through blocks.
struct BlockTree {
    climb: Climb,
    /// Place of each node in the tree, and the block at each place.
    place: Vec<u32>,
    block: Vec<Option<u32>>,
    open: Vec<bool>,
}

impl BlockTree {
    fn new(blocks: &Blocks, nodes: u32) -> BlockTree {
        let mut place = vec![0; nodes as usize];
        let mut at_block = vec![0; blocks.count() as usize];
        let mut block = Vec::new();
        for b in 0..blocks.count() {
            for &node in blocks.hanging(b) {
                place[node as usize] = block.len() as u32;
                block.push(None);
            }
            at_block[b as usize] = block.len() as u32;
            block.push(Some(b));
        }
        for (node, _) in blocks
            .above
            .iter()
            .enumerate()
            .filter(|(_, b)| **b == u32::MAX)
        {
            place[node] = block.len() as u32;
            block.push(None);
        }
        let mut parent: Vec<u32> = (0..block.len() as u32).collect();
        for (node, &b) in blocks
            .above
            .iter()
            .enumerate()
            .filter(|(_, b)| **b != u32::MAX)
        {
            parent[place[node] as usize] = at_block[b as usize];
        }
        for (&at, &top) in at_block.iter().zip(&blocks.top) {
            parent[at as usize] = place[top as usize];
        }
        let len = block.len();
        BlockTree {
            climb: Climb::new(parent.into_iter(), len),
            place,
            block,
            open: vec![true; len],
        }
    }

    /// Visits the blocks on the way from one node to another that were not visited before.
    fn visit(&mut self, from: u32, to: u32, mut visit: impl FnMut(u32)) {
        let (from, to) = (self.place[from as usize], self.place[to as usize]);
        let Some(meet) = self.climb.meet(from, to) else {
            return;
        };
        let mut once = |k: u32| {
            if let Some(block) =
                self.block[k as usize].filter(|_| std::mem::take(&mut self.open[k as usize]))
            {
                visit(block);
            }
        };
        self.climb.climb(from, meet, &mut once);
        self.climb.climb(to, meet, &mut once);
        once(meet);
    }
}

#[cfg(test)]
mod tests {
    use super::super::Branch;
    use super::*;

    fn branch(from: u32, to: u32, ohms: f64) -> Branch {
        Branch {
            from,
            to,
            ohms,
            emf: 0.0,
        }
    }

    /// Two rings of three joined by a bridge, a twig on each.
    fn two_rings() -> Solver {
        let ends = [
            (0, 1),
            (1, 2),
            (2, 0),
            (2, 3),
            (3, 4),
            (4, 5),
            (5, 3),
            (0, 6),
            (4, 7),
        ];
        Solver::new(8, &ends.map(|(a, b)| branch(a, b, 0.5)))
    }

    #[test]
    fn beyond_the_budget_a_block_is_taken_to_carry_all() {
        let solver = two_rings();
        let mut out = Alone::new(9);
        let place = |n: usize| solver.forest.position[n] - solver.forest.twigs.len() as u32;
        let crossing = |from, to, amps, pair| Crossing {
            from: place(from),
            to: place(to),
            amps,
            pair,
        };
        solver.cross(
            &[crossing(0, 1, 5.0, 0), crossing(2, 4, 3.0, 1)],
            0,
            &mut out,
        );
        assert_eq!(out.amps, [5.0, 5.0, 5.0, 3.0, 3.0, 3.0, 3.0, 0.0, 0.0]);
        assert_eq!(out.pair[2..4], [Some(0), Some(1)]);
        assert!(!out.exact);
    }

    #[test]
    fn within_the_budget_a_ring_shares() {
        let found = two_rings().largest_alone(&[(6, 1, 6.0), (7, 3, 3.0)]);
        let expected = [4.0, 2.0, 2.0, 0.0, 2.0, 1.0, 1.0, 6.0, 3.0];
        for (f, e) in found.amps.iter().zip(expected) {
            assert!((f - e).abs() < 1e-12, "{found:?}");
        }
        assert!(found.exact);
    }
}
