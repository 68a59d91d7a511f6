//! The direct-current network: branches in, volts and amperes out.
//!
//! Plain numbers in volts, amperes and ohms; what a node or a branch stands for is the caller's
//! business. May use the graph tools of `flow` and the sparse factorization of faer, and nothing else of this
//! crate.
//!
//! How a network is solved: trees are eliminated exactly, leaf by leaf (`forest`); what loops
//! remain, the core, is merged over its zero-ohm branches and factorized once (`core`,
//! `factor`).
//!
//! ```
//! use ampwright_electrics::network::{Branch, Solver};
//!
//! // A battery of 12.5 V behind 0.01 ohm, and a lamp of 5 A on cables of 0.05 ohm each way.
//! let [minus, plus, lamp, back] = [0, 1, 2, 3];
//! let wire = |from, to| Branch { from, to, ohms: 0.05, emf: 0.0 };
//! let battery = Branch { from: minus, to: plus, ohms: 0.01, emf: 12.5 };
//! let solver = Solver::new(4, &[battery, wire(plus, lamp), wire(back, minus)]);
//! let found = solver.solve(&[(lamp, -5.0), (back, 5.0)]);
//! assert!((found.volts[2] - found.volts[3] - 11.95).abs() < 1e-9);
//! assert!((found.amps[0] - 5.0).abs() < 1e-9);
//! ```

mod alone;
mod bound;
mod chains;
mod climb;
mod core;
mod factor;
mod forest;
mod kernel;
mod ports;
mod routes;
mod settle;
mod spans;
mod terminals;
mod thevenin;

pub use alone::Alone;
pub use settle::{Law, Limited, Load, Prepared, Settled, State, settle};
pub use terminals::{Fed, Terminals};
pub use thevenin::Resistance;

use core::Core;
use forest::Forest;

/// No node, no branch.
const NONE: u32 = u32::MAX;

/// One two-terminal branch. The current `i` flows from `from` to `to` inside it:
/// `v(from) - v(to) + emf = ohms * i`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Branch {
    /// The node its positive current leaves.
    pub from: u32,
    /// The node its positive current enters.
    pub to: u32,
    /// Resistance in ohms. Zero joins the two ends exactly; in a loop anything below a picoohm
    /// counts as zero. A negative, infinite or undefined resistance is an open circuit.
    pub ohms: f64,
    /// Electromotive force in volts, driving current from `from` to `to`; one that is not finite
    /// counts as 0.
    pub emf: f64,
}

impl Branch {
    fn is_open(&self, nodes: u32) -> bool {
        self.from >= nodes || self.to >= nodes || !self.ohms.is_finite() || self.ohms < 0.0
    }

    fn finite_emf(&self) -> f64 {
        if self.emf.is_finite() { self.emf } else { 0.0 }
    }
}

/// Volts and amperes of one network at one moment. Keep it and pass it to [`Solver::solve_into`] to
/// solve again without allocating.
#[derive(Debug, Clone, Default)]
pub struct Solution {
    /// Volts of each node, relative to the reference of its component ([`Solver::reference`]).
    pub volts: Vec<f64>,
    /// Amperes of each branch, from -> to.
    pub amps: Vec<f64>,
    work: Work,
}

/// The buffers of a solve: one value per position of the elimination order, and those of the core.
#[derive(Debug, Clone, Default)]
struct Work {
    flow: Vec<f64>,
    volts: Vec<f64>,
    core: core::Work,
}

/// A network made ready to be solved for any number of injections.
#[derive(Debug)]
pub struct Solver {
    nodes: u32,
    branches: usize,
    forest: Forest,
    core: Core,
}

impl Solver {
    /// Prepares a network of `nodes` nodes. Branches with an end outside it are open.
    ///
    /// The time is near-linear for trees with small cores; a core takes the time of its sparse
    /// factorization.
    pub fn new(nodes: u32, branches: &[Branch]) -> Solver {
        let forest = Forest::new(nodes, branches);
        let core = Core::new(&forest, branches);
        Solver {
            nodes,
            branches: branches.len(),
            forest,
            core,
        }
    }

    /// The number of nodes it was made for.
    pub fn nodes(&self) -> u32 {
        self.nodes
    }

    /// The connected component a node lies in, numbered from 0 by lowest node; `u32::MAX` outside
    /// the network.
    pub fn component(&self, node: u32) -> u32 {
        self.forest
            .component
            .get(node as usize)
            .copied()
            .unwrap_or(NONE)
    }

    /// The number of connected components.
    pub fn components(&self) -> u32 {
        self.forest.reference.len() as u32
    }

    /// The node of a component that is held at 0 V, where currents that do not balance are taken
    /// up.
    pub fn reference(&self, component: u32) -> Option<u32> {
        self.forest.reference.get(component as usize).copied()
    }

    /// Zero-ohm branches whose emf contradicts the zero-ohm way round them, in ascending order;
    /// each counts as [`CONTRADICTION_OHMS`](Self::CONTRADICTION_OHMS). Of a contradictory loop the
    /// branch with the largest |emf| is named.
    pub fn contradictions(&self) -> &[u32] {
        self.core.contradictions()
    }

    /// What a contradictory zero-ohm branch is given, in ohms: a hand's length of heavy cable with
    /// its ends.
    pub const CONTRADICTION_OHMS: f64 = 1e-3;

    /// True where the loops could not be factorized (values beyond what floating point holds):
    /// their branches then carry nothing.
    pub fn is_degenerate(&self) -> bool {
        self.core.is_degenerate()
    }

    /// The sum of the injections in each component, in amperes. A caller whose injections balance
    /// finds zeros; otherwise the component's reference node takes up the difference.
    pub fn imbalance(&self, injections: &[(u32, f64)]) -> Vec<f64> {
        let mut sums = vec![0.0; self.forest.reference.len()];
        for &(node, amps) in injections {
            if let Some(sum) = sums.get_mut(self.component(node) as usize) {
                *sum += amps;
            }
        }
        sums
    }

    /// Solves for currents injected into nodes, in amperes. Nodes outside the network are ignored.
    pub fn solve(&self, injections: &[(u32, f64)]) -> Solution {
        let mut solution = Solution::default();
        self.solve_into(injections, &mut solution);
        solution
    }

    /// Like [`solve`](Self::solve), reusing the buffers of an earlier solution.
    pub fn solve_into(&self, injections: &[(u32, f64)], out: &mut Solution) {
        self.run(injections, true, out);
    }

    /// Solves with every emf taken as zero: the response to the injections alone.
    fn respond_into(&self, injections: &[(u32, f64)], out: &mut Solution) {
        self.run(injections, false, out);
    }

    fn run(&self, injections: &[(u32, f64)], emf: bool, out: &mut Solution) {
        reset(&mut out.work.flow, self.nodes as usize);
        for &(node, amps) in injections {
            if let Some(&position) = self.forest.position.get(node as usize) {
                out.work.flow[position as usize] += amps;
            }
        }
        self.run_flow(emf, out);
    }

    /// Solves for the injections already laid out by position in `out.work.flow`.
    fn run_flow(&self, emf: bool, out: &mut Solution) {
        reset(&mut out.amps, self.branches);
        out.volts.resize(self.nodes as usize, 0.0);
        let Work { flow, volts, core } = &mut out.work;
        volts.resize(self.nodes as usize, 0.0);
        let twigs = self.forest.twigs.len();
        self.forest.gather(flow);
        self.core.run(
            &flow[twigs..],
            &mut volts[twigs..],
            &mut out.amps,
            emf,
            core,
        );
        self.forest.spread(flow, volts, emf, &mut out.amps);
        for (&node, &v) in self.forest.order.iter().zip(&*volts) {
            out.volts[node as usize] = v;
        }
    }
}

/// Makes `buffer` hold `len` zeros, keeping its memory.
fn reset(buffer: &mut Vec<f64>, len: usize) {
    buffer.clear();
    buffer.resize(len, 0.0);
}
