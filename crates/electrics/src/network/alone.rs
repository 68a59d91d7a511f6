//! The largest current each branch carries, and the drop of each pair, while every pair is on alone.
//!
//! In the trees a pair's current runs along one path, so pairs are taken in order of falling
//! current and each branch is written once. In the core it crosses a chain of blocks, and what a
//! block carries depends only on the two nodes between which it is crossed: every different
//! crossing is taken once, at its largest. Near-linear, but for blocks with many joints.

use super::chains::{Chains, Graph};
use super::climb::Climb;
use super::kernel::{Bound, Kernel};
use super::{NONE, Solver, forest::Forest, spans::Spans};
use crate::flow::blocks::Blocks;
use rustc_hash::FxHashMap;

/// Numbers of the blocks' kernels (joints and crossings x chains) spent at most; a block beyond
/// counts by its safe bounds. About a tenth of a second; a boat's main ring with a hundred panels
/// and four banks takes a thousandth of it.
const BUDGET: usize = 2_000_000;

/// The largest |current| of each branch over pairs taken one at a time, and each pair's drop.
#[derive(Debug, Clone, PartialEq)]
pub struct Alone {
    /// Amperes of each branch, not negative.
    pub amps: Vec<f64>,
    /// The index of the pair that gives them; None where no pair's current passes.
    pub pair: Vec<Option<u32>>,
    /// By how many volts each pair's `minus` stands above its `plus` while it is on alone: its
    /// current times the resistance between them. Not negative; 0 for a pair that counts for
    /// nothing.
    pub drop: Vec<f64>,
    /// False where a block of the core was too large for the budget. Its branches then carry the
    /// safe upper bound, all of what is sent through it, and drops across it are those of a single
    /// way through it: in a passive network neither can be more.
    pub exact: bool,
}

impl Alone {
    fn new(branches: usize, pairs: usize) -> Alone {
        Alone {
            amps: vec![0.0; branches],
            pair: vec![None; branches],
            drop: vec![0.0; pairs],
            exact: true,
        }
    }

    pub(super) fn raise(&mut self, branch: u32, amps: f64, pair: u32) {
        if amps > self.amps[branch as usize] {
            self.amps[branch as usize] = amps;
            self.pair[branch as usize] = Some(pair);
        }
    }
}

/// A pair's current through a block, between two nodes of the core.
#[derive(Debug, Clone, Copy)]
pub(super) struct Crossing {
    block: u32,
    from: u32,
    to: u32,
    amps: f64,
    pub(super) pair: u32,
}

impl Crossing {
    /// The amperes of a branch that takes this share: never more than all.
    pub(super) fn part(&self, share: f64) -> f64 {
        self.amps * share.abs().min(1.0)
    }
}

/// A pair that carries something, its nodes by position.
#[derive(Debug, Clone, Copy)]
struct Pair {
    index: u32,
    plus: u32,
    minus: u32,
    amps: f64,
}

impl Solver {
    /// For each branch the largest |current| over the pairs `(plus, minus, amps)` taken one at a
    /// time: `amps` out of the network at `plus`, into it at `minus`, every emf taken as zero.
    /// Pairs whose nodes lie in different components, or whose current is not finite, count for
    /// nothing.
    pub fn largest_alone(&self, pairs: &[(u32, u32, f64)]) -> Alone {
        self.alone_within(BUDGET, pairs)
    }

    fn alone_within(&self, budget: usize, pairs: &[(u32, u32, f64)]) -> Alone {
        let mut out = Alone::new(self.branches, pairs.len());
        let twigs = &self.forest.twigs;
        let mut tree = Climb::new(twigs.iter().map(|t| t.parent), self.nodes as usize);
        let mut routes = Routes::new(self);
        let list = falling(&self.forest, pairs);
        for p in &list {
            let meet = tree.meet(p.plus, p.minus);
            for end in [p.plus, p.minus] {
                tree.climb(end, meet.unwrap_or(twigs.len() as u32), |k| {
                    out.raise(twigs[k as usize].branch, p.amps, p.index);
                });
            }
            if meet.is_none() {
                routes.cross(p, &tree, twigs.len() as u32);
            }
        }
        routes.share(budget, &mut out);
        let up = tree.sums(|k| twigs[k].ohms);
        let core_up = routes.tree.climb.sums(|k| routes.up[k]);
        for p in &list {
            let ends = up[p.plus as usize] + up[p.minus as usize];
            let rest = match tree.meet(p.plus, p.minus) {
                Some(meet) => -2.0 * up[meet as usize],
                None => routes.ohms(p, &tree, twigs.len() as u32, &core_up),
            };
            out.drop[p.index as usize] = volts(p.amps, ends + rest);
        }
        out
    }
}

/// Their product; infinite where the ohms are beyond what floating point holds.
fn volts(amps: f64, ohms: f64) -> f64 {
    if ohms.is_nan() {
        f64::INFINITY
    } else {
        amps * ohms.max(0.0)
    }
}

/// The pairs that carry anything, largest first; equal ones by index.
fn falling(forest: &Forest, pairs: &[(u32, u32, f64)]) -> Vec<Pair> {
    let usable = |(index, &(plus, minus, amps)): (u32, &(u32, u32, f64))| {
        let place = |n: u32| forest.position.get(n as usize).copied();
        let joined = forest.component.get(plus as usize) == forest.component.get(minus as usize);
        let carries = joined && plus != minus && amps.is_finite() && amps != 0.0;
        carries.then_some(Pair {
            index,
            plus: place(plus)?,
            minus: place(minus)?,
            amps: amps.abs(),
        })
    };
    let mut list: Vec<_> = (0u32..).zip(pairs).filter_map(usable).collect();
    list.sort_by(|a, b| b.amps.total_cmp(&a.amps).then(a.index.cmp(&b.index)));
    list
}

/// The ways of pairs through the blocks of the core.
struct Routes<'a> {
    solver: &'a Solver,
    blocks: Blocks,
    tree: BlockTree,
    crossings: Vec<Crossing>,
    /// The ohms from a node to the top of the block it hangs in, by place in the tree.
    up: Vec<f64>,
    /// The ohms between two nodes that hang in the same block.
    across: FxHashMap<(u32, u32), f64>,
}

impl<'a> Routes<'a> {
    fn new(solver: &'a Solver) -> Routes<'a> {
        let nodes = solver.nodes - solver.forest.twigs.len() as u32;
        let blocks = Blocks::new(nodes, &solver.forest.ends);
        let tree = BlockTree::new(&blocks, nodes);
        Routes {
            solver,
            crossings: Vec::new(),
            up: vec![0.0; tree.at.len()],
            across: FxHashMap::default(),
            blocks,
            tree,
        }
    }

    /// Where a pair enters the core and leaves it, as places in the tree.
    fn ends(&self, pair: &Pair, twigs: &Climb, core: u32) -> [u32; 2] {
        [pair.plus, pair.minus].map(|end| self.tree.place[(twigs.root(end) - core) as usize])
    }

    /// Notes the crossings of a pair that no larger one made.
    fn cross(&mut self, pair: &Pair, twigs: &Climb, core: u32) {
        let ends = self.ends(pair, twigs, core);
        let Some(stops) = self.tree.stops(ends) else {
            return;
        };
        let (blocks, crossings) = (&self.blocks, &mut self.crossings);
        let mut note = |block: u32, from: u32, to: u32| {
            crossings.push(Crossing {
                block,
                from,
                to,
                amps: pair.amps,
                pair: pair.index,
            });
        };
        for (end, stop) in ends.into_iter().zip(stops) {
            self.tree.climb.climb(end, stop, |k| {
                if let At::Node(node) = self.tree.at[k as usize] {
                    let block = blocks.above[node as usize];
                    note(block, node, blocks.top[block as usize]);
                }
            });
        }
        let [a, b] = stops;
        if let (At::Node(from), At::Node(to)) = (self.tree.at[a as usize], self.tree.at[b as usize])
            && a != b
            && self.across.insert((a.min(b), a.max(b)), 0.0).is_none()
        {
            note(blocks.above[from as usize], from, to);
        }
    }

    /// Finds what the crossings send through each block, and the ohms they meet.
    fn share(&mut self, mut budget: usize, out: &mut Alone) {
        let mut crossings = std::mem::take(&mut self.crossings);
        crossings.sort_by_key(|c| c.block);
        let forest = &self.solver.forest;
        let mut graph = Graph {
            ends: &forest.ends,
            ohms: self.solver.core.ohms(&forest.core),
            place: vec![0; self.tree.place.len()],
        };
        for group in crossings.chunk_by(|a, b| a.block == b.block) {
            self.share_block(group, &mut graph, &mut budget, out);
        }
    }

    fn share_block(
        &mut self,
        group: &[Crossing],
        graph: &mut Graph<'_>,
        budget: &mut usize,
        out: &mut Alone,
    ) {
        let block = group[0].block;
        let top = self.blocks.top[block as usize];
        let nodes = self.blocks.hanging(block).iter().copied().chain([top]);
        let chains = Chains::new(nodes, self.blocks.edges(block), graph);
        let seats = |c: &Crossing| (chains.seat(c.from, graph), chains.seat(c.to, graph));
        let core = &self.solver.forest.core;
        let cost = Kernel::cost(&chains, group.len());
        if let Some(rest) = budget.checked_sub(cost) {
            *budget = rest;
            let kernel = Kernel::new(&chains);
            let mut spans = Spans::new(&chains, &kernel);
            for c in group {
                let (from, to) = seats(c);
                spans.add(c, from, to);
                self.note(c, kernel.ohms(&chains, from, to));
            }
            spans.paint(core, out);
            return;
        }
        out.exact = false;
        let bound = Bound::new(&chains);
        for c in group {
            let (from, to) = seats(c);
            self.note(c, bound.ohms(&chains, from, to));
        }
        for &edge in self.blocks.edges(block) {
            out.raise(core[edge as usize], group[0].amps, group[0].pair);
        }
    }

    fn note(&mut self, c: &Crossing, ohms: f64) {
        let [a, b] = [c.from, c.to].map(|node| self.tree.place[node as usize]);
        if c.to == self.blocks.top[c.block as usize] {
            self.up[a as usize] = ohms;
        } else {
            self.across.insert((a.min(b), a.max(b)), ohms);
        }
    }

    /// The ohms of a pair in the core; `up` are the sums of those to the tops.
    fn ohms(&self, pair: &Pair, twigs: &Climb, core: u32, up: &[f64]) -> f64 {
        let ends = self.ends(pair, twigs, core);
        let Some(stops) = self.tree.stops(ends) else {
            return 0.0;
        };
        let to_stops = ends
            .into_iter()
            .zip(stops)
            .map(|(end, stop)| up[end as usize] - up[stop as usize]);
        let [a, b] = stops;
        let across = self
            .across
            .get(&(a.min(b), a.max(b)))
            .copied()
            .unwrap_or(0.0);
        to_stops.sum::<f64>() + across
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
    fn beyond_the_budget_a_block_counts_by_its_bounds() {
        // A ring with a chord, a plain ring, a bridge between them.
        let ends = [
            (0, 1),
            (1, 2),
            (2, 3),
            (3, 0),
            (0, 2),
            (2, 4),
            (4, 5),
            (5, 4),
        ];
        let solver = Solver::new(6, &ends.map(|(a, b)| branch(a, b, 1.0)));
        let pairs = [(1, 3, 4.0), (1, 5, 2.0)];
        let found = solver.alone_within(0, &pairs);
        assert_eq!(found.amps, [4.0, 4.0, 4.0, 4.0, 4.0, 2.0, 1.0, 1.0]);
        assert_eq!(found.pair[4..6], [Some(0), Some(1)]);
        assert!(!found.exact);
        let exact = solver.alone_within(BUDGET, &pairs);
        assert!(exact.exact);
        for (bound, exact) in found.drop.iter().zip(&exact.drop) {
            assert!(
                bound.is_finite() && *bound >= exact - 1e-12,
                "{bound} {exact}"
            );
        }
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
