//! The network as wired: loads that draw by their law, sources that hold their volts up to a limit.
//!
//! Resistances enter the network as branches. Constant currents and powers are injections: the
//! currents `P / V` are iterated from the unloaded volts, which falls steadily to the upper, real
//! solution; where that is slow, close to the most the cables can carry, Newton's method takes over
//! ([`newton`]).

mod attempt;
mod newton;
mod wiring;

use super::{Branch, Solution, Solver};
use attempt::{Attempt, Outcome};

pub use super::ports::State;

/// How a load draws.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Law {
    /// Amperes at any voltage above zero.
    Current(f64),
    /// Watts at any voltage.
    Power(f64),
    /// Ohms, at either polarity.
    Resistance(f64),
}

/// A load between two nodes. A value that is negative or not finite draws nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// The node its current enters it from.
    pub plus: u32,
    /// The node its current returns to.
    pub minus: u32,
    /// How it draws.
    pub law: Law,
}

/// A source with a limit. One without positive volts and amperes gives nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limited {
    /// The node it drives current into.
    pub plus: u32,
    /// The node that current returns from.
    pub minus: u32,
    /// What it holds at its terminals, in volts.
    pub volts: f64,
    /// The most it gives, in amperes; it never takes current.
    pub amps: f64,
}

/// A network with its loads and sources come to rest.
#[derive(Debug, Clone)]
pub struct Settled {
    /// Volts and branch currents. Where a load or source joins two components of the bare network,
    /// volts are comparable across them.
    pub solution: Solution,
    /// Volts at each load, plus over minus. Negative where it is reversed; 0 where no source
    /// reaches it.
    pub load_volts: Vec<f64>,
    /// Amperes each load draws.
    pub load_amps: Vec<f64>,
    /// Amperes each source gives.
    pub source_amps: Vec<f64>,
    /// What each source is doing.
    pub source_state: Vec<State>,
    /// Loads that can never get what they ask for here, ascending. From then on each draws like the
    /// resistance that would take its power at its unloaded volts.
    pub undeliverable: Vec<usize>,
    /// False where a cap on the iterations ended the work; the values are then the last ones.
    pub settled: bool,
    /// Solutions of the network it took.
    pub rounds: u32,
}

/// Solves one moment; where several share their branches, [`Prepared`] saves the factorization.
pub fn settle(nodes: u32, branches: &[Branch], loads: &[Load], sources: &[Limited]) -> Settled {
    Prepared::new(nodes, branches).settle(loads, sources)
}

/// A network made ready for several moments. Moments whose loads include resistances, or whose
/// sources alone feed an island, take a factorization of their own.
#[derive(Debug)]
pub struct Prepared {
    branches: Vec<Branch>,
    solver: Solver,
}

/// Times a load is given up and the rest tried again, at most. The last ones give up all that fail.
const ATTEMPTS: u32 = 24;

impl Prepared {
    /// Prepares the branches all moments share.
    pub fn new(nodes: u32, branches: &[Branch]) -> Prepared {
        Prepared {
            branches: branches.to_vec(),
            solver: Solver::new(nodes, branches),
        }
    }

    /// The bare network.
    pub fn solver(&self) -> &Solver {
        &self.solver
    }

    /// Finds the state in which these loads and sources come to rest.
    pub fn settle(&self, loads: &[Load], sources: &[Limited]) -> Settled {
        let mut collapsed: Vec<Option<f64>> = vec![None; loads.len()];
        let (mut rounds, mut attempt) = (0, 0);
        loop {
            let mut trial = Attempt::new(self, loads, sources, &collapsed);
            match trial.run(&mut rounds) {
                Outcome::Fails(failing) if attempt < ATTEMPTS => {
                    for (load, ohms) in chosen(&failing, attempt) {
                        collapsed[load] = Some(ohms);
                    }
                }
                outcome => {
                    let settled = matches!(outcome, Outcome::Settled);
                    return trial.report(settled, rounds);
                }
            }
            attempt += 1;
        }
    }
}

/// A load that cannot be fed: its index, its current and its resistance at its unloaded volts.
#[derive(Debug, Clone, Copy)]
struct Failing {
    load: usize,
    amps: f64,
    ohms: f64,
}

/// Which of the failing loads to give up: the one that asks for most, with its equals, so that a
/// lamp is not blamed for the thruster on its feeder. Later attempts are less choosy, so that they
/// end.
fn chosen(failing: &[Failing], attempt: u32) -> impl Iterator<Item = (usize, f64)> + '_ {
    let most = failing.iter().fold(0.0, |m: f64, f| m.max(f.amps));
    let part = match attempt {
        0..8 => 1.0 - 1e-9,
        8..16 => 0.5,
        _ => 0.0,
    };
    failing
        .iter()
        .filter(move |f| f.amps >= part * most)
        .map(|f| (f.load, f.ohms))
}
