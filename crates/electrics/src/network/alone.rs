//! The largest current each branch carries, and the drop of each pair, while every pair is on alone.
//!
//! In the trees a pair's current runs along one path, so pairs are taken in order of falling
//! current and each branch is written once. In the core it crosses a chain of blocks, and what a
//! block carries depends only on the two nodes between which it is crossed: every different
//! crossing is taken once, at its largest. Near-linear, but for blocks with many joints.

use super::bound::Bound;
use super::kernel::Kernel;
use super::routes::{Crossed, Routes};
use super::thevenin::Resistance;
use super::{Solver, forest::Forest, spans::Spans};

/// Numbers of the blocks' kernels (its joints in use and crossings x chains) spent at most; a block beyond
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
    /// False where a block of the core was too large for the budget, or could not be factorized. Its branches then carry the
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

/// A pair that carries something, its plus and minus by position.
#[derive(Debug, Clone, Copy)]
struct Pair {
    index: u32,
    ends: [u32; 2],
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

    fn alone_within(&self, mut budget: usize, pairs: &[(u32, u32, f64)]) -> Alone {
        let mut out = Alone::new(self.branches, pairs.len());
        let mut routes = Routes::new(self);
        let list = falling(&self.forest, pairs);
        for p in &list {
            routes.climb(p.ends, |branch| out.raise(branch, p.amps, p.index));
            routes.cross(p.ends, p.amps, p.index);
        }
        routes.measure(|crossed| share(crossed, &self.forest.core, &mut budget, &mut out));
        let sums = routes.sums();
        for p in &list {
            out.drop[p.index as usize] = p.amps * sums.between(p.ends).high;
        }
        out
    }
}

/// Finds what the crossings send through a block, and the ohms they meet.
fn share(
    crossed: &Crossed<'_>,
    core: &[u32],
    budget: &mut usize,
    out: &mut Alone,
) -> Vec<Resistance> {
    let Crossed { chains, group, .. } = crossed;
    if let Some(kernel) = Kernel::with_currents(chains, crossed.seats, budget) {
        let mut spans = Spans::new(chains, &kernel);
        for (c, &[from, to]) in group.iter().zip(crossed.seats) {
            spans.add(c, from, to);
        }
        spans.paint(core, out);
        return crossed.ohms(|from, to| Resistance::exact(kernel.ohms(chains, from, to)));
    }
    out.exact = false;
    for &edge in crossed.edges {
        out.raise(core[edge as usize], group[0].amps, group[0].pair);
    }
    let bound = Bound::new(chains);
    crossed.ohms(|from, to| bound.between(chains, from, to))
}

/// The pairs that carry anything, largest first; equal ones by index.
fn falling(forest: &Forest, pairs: &[(u32, u32, f64)]) -> Vec<Pair> {
    let usable = |(index, &(plus, minus, amps)): (u32, &(u32, u32, f64))| {
        let place = |n: u32| forest.position.get(n as usize).copied();
        let joined = forest.component.get(plus as usize) == forest.component.get(minus as usize);
        let carries = joined && plus != minus && amps.is_finite() && amps != 0.0;
        carries.then_some(Pair {
            index,
            ends: [place(plus)?, place(minus)?],
            amps: amps.abs(),
        })
    };
    let mut list: Vec<_> = (0u32..).zip(pairs).filter_map(usable).collect();
    list.sort_by(|a, b| b.amps.total_cmp(&a.amps).then(a.index.cmp(&b.index)));
    list
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
