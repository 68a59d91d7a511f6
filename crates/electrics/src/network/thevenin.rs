//! The resistance between two nodes, as the network shows it there: Thévenin's, every emf taken as
//! zero.
//!
//! Sums along the trees, and for each block of the core that is crossed its kernel (`routes`,
//! `kernel`). What a prospective fault current divides by.

use super::Solver;
use super::bound::Bound;
use super::kernel::Kernel;
use super::routes::{Crossed, Routes};

/// Numbers of the blocks' kernels (joints in use x chains) written at most; a block beyond counts
/// by its bounds. About a quarter of a second, and half of these numbers in memory; a kernel has a
/// joint where three conductors or more meet in a loop, so a boat's has some tens.
const BUDGET: usize = 4_000_000;

/// The ohms between two nodes: between `low` and `high`, which are equal where they are exact.
///
/// For a largest fault current divide by `low`, for a smallest by `high`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resistance {
    /// It is not less. Not negative; infinite where nothing joins the two.
    pub low: f64,
    /// It is not more.
    pub high: f64,
}

impl Resistance {
    /// Two nodes that are one.
    pub const ZERO: Resistance = Resistance::exact_ohms(0.0);
    /// Two nodes that nothing joins.
    pub const OPEN: Resistance = Resistance::exact_ohms(f64::INFINITY);

    const fn exact_ohms(ohms: f64) -> Resistance {
        Resistance {
            low: ohms,
            high: ohms,
        }
    }

    /// One value; undefined ohms, from values beyond what floating point holds, say nothing.
    pub(super) fn exact(ohms: f64) -> Resistance {
        Resistance::within(ohms, ohms)
    }

    pub(super) fn within(low: f64, high: f64) -> Resistance {
        let high = if high.is_nan() {
            f64::INFINITY
        } else {
            high.max(0.0)
        };
        Resistance {
            low: low.max(0.0).min(high),
            high,
        }
    }

    /// True where the two bounds are one value.
    pub fn is_exact(&self) -> bool {
        self.low >= self.high
    }
}

impl Solver {
    /// The resistance between the nodes of each pair, in ohms, every emf taken as zero: infinite
    /// where they lie in different components or outside the network, 0 where branches of no ohms
    /// make them one.
    ///
    /// Exact but for rounding, which is that of the ohms on the way of either node to its
    /// component's reference. A block of the core with too many joints in use (some thousand)
    /// gives bounds, and so does one whose values cannot be factorized. Near-linear in nodes,
    /// branches and pairs, but for meshed blocks, which take one solution for each joint in use.
    ///
    /// The volts between the two nodes in [`solve`](Self::solve) without injections, divided by
    /// this, are the prospective current of a short circuit between them.
    ///
    /// ```
    /// use ampwright_electrics::network::{Branch, Solver};
    ///
    /// // A battery of 4 milliohms, and the far end of a circuit of 20 milliohms each way.
    /// let [minus, plus, lamp, back] = [0, 1, 2, 3];
    /// let wire = |from, to| Branch { from, to, ohms: 0.02, emf: 0.0 };
    /// let battery = Branch { from: minus, to: plus, ohms: 0.004, emf: 12.7 };
    /// let solver = Solver::new(4, &[battery, wire(plus, lamp), wire(back, minus)]);
    /// let behind = solver.resistances(&[(lamp, back)])[0];
    /// assert!(behind.is_exact() && (behind.high - 0.044).abs() < 1e-12);
    /// ```
    pub fn resistances(&self, pairs: &[(u32, u32)]) -> Vec<Resistance> {
        self.resistances_within(BUDGET, pairs)
    }

    fn resistances_within(&self, mut budget: usize, pairs: &[(u32, u32)]) -> Vec<Resistance> {
        let mut routes = Routes::new(self);
        let ends: Vec<_> = pairs.iter().map(|&pair| self.joined(pair)).collect();
        for (pair, &ends) in (0u32..).zip(&ends) {
            if let Some(ends) = ends {
                routes.cross(ends, 1.0, pair);
            }
        }
        routes.measure(|crossed| measure(crossed, &mut budget));
        let sums = routes.sums();
        let between = |ends: Option<[u32; 2]>| match ends {
            Some([a, b]) if a == b => Resistance::ZERO,
            Some(ends) => sums.between(ends),
            None => Resistance::OPEN,
        };
        ends.into_iter().map(between).collect()
    }

    /// The positions of two nodes of one component.
    fn joined(&self, (a, b): (u32, u32)) -> Option<[u32; 2]> {
        let place = |node: u32| self.forest.position.get(node as usize).copied();
        let places = [place(a)?, place(b)?];
        (self.component(a) == self.component(b)).then_some(places)
    }
}

fn measure(crossed: &Crossed<'_>, budget: &mut usize) -> Vec<Resistance> {
    let chains = crossed.chains;
    if let Some(kernel) = Kernel::of_ohms(chains, crossed.seats, budget) {
        return crossed.ohms(|from, to| Resistance::exact(kernel.ohms(chains, from, to)));
    }
    let bound = Bound::new(chains);
    crossed.ohms(|from, to| bound.between(chains, from, to))
}

#[cfg(test)]
mod tests {
    use super::super::Branch;
    use super::*;

    /// A mesh of `side` by `side` joints, three branches in each of its chains, their ohms various
    /// and some of them none.
    fn mesh(side: u32) -> Solver {
        let across = (0..side * side).filter(|k| k % side + 1 < side);
        let down = 0..side * (side - 1);
        let chains = across
            .map(|k| (k, k + 1))
            .chain(down.map(|k| (k, k + side)));
        let mut branches = Vec::new();
        let mut nodes = side * side;
        for (a, b) in chains {
            let path = [a, nodes, nodes + 1, b];
            nodes += 2;
            for ends in path.windows(2) {
                let k = branches.len() % 11;
                branches.push(Branch {
                    from: ends[0],
                    to: ends[1],
                    ohms: 0.01 * k as f64,
                    emf: 0.0,
                });
            }
        }
        Solver::new(nodes, &branches)
    }

    #[test]
    fn beyond_the_budget_the_exact_value_lies_between() {
        let solver = mesh(5);
        let nodes = 0..solver.nodes();
        let pairs: Vec<_> = nodes
            .clone()
            .flat_map(|a| nodes.clone().map(move |b| (a, b)))
            .collect();
        let exact = solver.resistances(&pairs);
        let bounds = solver.resistances_within(0, &pairs);
        for ((exact, bound), (a, b)) in exact.iter().zip(&bounds).zip(pairs) {
            assert!(exact.is_exact());
            assert!(bound.low <= exact.low + 1e-12, "{a} {b}");
            assert!(bound.high >= exact.high - 1e-12, "{a} {b}");
            assert!(bound.high.is_finite());
            assert_eq!(bound.low > 1e-12, exact.low > 1e-12, "{a} {b}");
        }
    }

    #[test]
    fn undefined_ohms_say_nothing() {
        let nothing = Resistance::within(f64::NAN, f64::NAN);
        assert_eq!((nothing.low, nothing.high), (0.0, f64::INFINITY));
        assert_eq!(Resistance::exact(-1e-18), Resistance::ZERO);
    }
}
