//! The kernel of a block: its joints, with every chain between them taken as one branch.
//!
//! What enters a chain between its ends acts on the kernel as if it entered at the two ends, in
//! inverse proportion to the ohms to them; within the chain it adds what would flow if both ends
//! stood at one potential. So one solution for each joint in use gives every current and
//! resistance asked of the block, and a ring, whose kernel is a single joint, needs none.

use super::chains::{Chain, Chains, Seat};
use super::{Branch, NONE, Solution, Solver};

#[derive(Debug)]
pub(super) struct Kernel {
    joints: usize,
    /// The row of each joint in use; NONE for the others and the first one.
    row: Vec<u32>,
    /// Amperes of each chain and volts of each joint, row by row, for one ampere into a joint and
    /// out of the first one. No amperes where none were asked for.
    amps: Vec<f64>,
    volts: Vec<f64>,
}

impl Kernel {
    /// A kernel that knows the currents and the resistances of crossings between these seats. Takes
    /// what it writes from the budget, in numbers: its joints in use and crossings x chains; rings
    /// and bridges are free. None beyond the budget, or where it cannot be factorized.
    pub(super) fn with_currents(
        chains: &Chains,
        seats: &[[Seat; 2]],
        budget: &mut usize,
    ) -> Option<Kernel> {
        let used = used(chains, seats);
        spend(chains, used.len() + seats.len(), budget)?;
        Kernel::new(chains, &used, chains.list.len())
    }

    /// A kernel that knows their resistances alone: joints in use x chains.
    pub(super) fn of_ohms(
        chains: &Chains,
        seats: &[[Seat; 2]],
        budget: &mut usize,
    ) -> Option<Kernel> {
        let used = used(chains, seats);
        spend(chains, used.len(), budget)?;
        Kernel::new(chains, &used, 0)
    }

    /// A kernel with a row for each joint in `used`, and `width` amperes in it.
    fn new(chains: &Chains, used: &[u32], width: usize) -> Option<Kernel> {
        let joints = chains.joints as usize;
        let mut kernel = Kernel {
            joints,
            row: vec![NONE; joints],
            amps: vec![0.0; used.len() * width],
            volts: vec![0.0; used.len() * joints],
        };
        for (row, &joint) in (0u32..).zip(used) {
            kernel.row[joint as usize] = row;
        }
        match *chains.list {
            [ref bridge] if !used.is_empty() => kernel.bridge(bridge),
            _ if !used.is_empty() => kernel.fill(chains, used)?,
            _ => {}
        }
        Some(kernel)
    }

    fn bridge(&mut self, chain: &Chain) {
        if let Some(amps) = self.amps.first_mut() {
            *amps = if chain.from == 1 { 1.0 } else { -1.0 };
        }
        self.volts[1] = chain.ohms;
    }

    fn fill(&mut self, chains: &Chains, used: &[u32]) -> Option<()> {
        let branch = |chain: &Chain| between(chain, chain.ohms);
        let branches: Vec<Branch> = chains.list.iter().map(branch).collect();
        let solver = Solver::new(chains.joints, &branches);
        // A chain whose ohms overflow would count as open.
        if solver.is_degenerate() || chains.list.iter().any(|c| !c.ohms.is_finite()) {
            return None;
        }
        let mut zero = Zero::new(chains);
        let width = self.amps.len() / used.len();
        let mut out = Solution::default();
        for (k, &joint) in used.iter().enumerate() {
            let sent = [(joint, 1.0), (0, -1.0)];
            solver.respond_into(&sent, &mut out);
            if width > 0 {
                zero.respond(&sent, chains, &mut out.amps);
                self.amps[k * width..][..width].copy_from_slice(&out.amps);
            }
            let row = &mut self.volts[k * self.joints..][..self.joints];
            for (v, of) in row.iter_mut().zip(&out.volts) {
                *v = of - out.volts[0];
            }
        }
        Some(())
    }

    /// The kernel's part of each chain's current, for one ampere into `from` and out of `to`.
    pub(super) fn share(&self, chains: &Chains, from: Seat, to: Seat, out: &mut [f64]) {
        out.fill(0.0);
        let rows = self.amps.chunks_exact(chains.list.len().max(1));
        for (joint, weight) in weights(chains, from, to) {
            let Some(row) = self.row_of(joint).and_then(|k| rows.clone().nth(k)) else {
                continue;
            };
            for (o, amps) in out.iter_mut().zip(row) {
                *o += weight * amps;
            }
        }
    }

    fn row_of(&self, joint: u32) -> Option<usize> {
        let row = self.row[joint as usize];
        (row != NONE).then_some(row as usize)
    }

    /// The volts at one joint for one ampere into the other and out of the first.
    fn volts(&self, a: u32, b: u32) -> f64 {
        self.row_of(a)
            .map_or(0.0, |row| self.volts[row * self.joints + b as usize])
    }

    /// The resistance between two nodes of the block, in ohms.
    pub(super) fn ohms(&self, chains: &Chains, from: Seat, to: Seat) -> f64 {
        let weights = weights(chains, from, to);
        let row = |(a, w): (u32, f64)| {
            w * weights
                .iter()
                .map(|&(b, v)| v * self.volts(a, b))
                .sum::<f64>()
        };
        let kernel: f64 = weights.into_iter().map(row).sum();
        kernel + within(chains, from, to)
    }
}

fn spend(chains: &Chains, rows: usize, budget: &mut usize) -> Option<()> {
    let cost = match chains.list.len() {
        0 | 1 => 0,
        count => count.saturating_mul(rows),
    };
    *budget = budget.checked_sub(cost)?;
    Some(())
}

/// The joints at which crossings between these seats enter or leave, ascending, but for the first.
fn used(chains: &Chains, seats: &[[Seat; 2]]) -> Vec<u32> {
    let joints = |&[from, to]: &[Seat; 2]| weights(chains, from, to).map(|(joint, _)| joint);
    let mut used: Vec<u32> = seats.iter().flat_map(joints).filter(|&j| j > 0).collect();
    used.sort_unstable();
    used.dedup();
    used
}

/// What enters each joint, for one ampere into `from` and out of `to`.
fn weights(chains: &Chains, from: Seat, to: Seat) -> [(u32, f64); 4] {
    let split = |seat| match seat {
        Seat::Joint(joint) => [(joint, 1.0), (joint, 0.0)],
        Seat::Inside { chain, part, .. } => {
            let chain = &chains.list[chain as usize];
            [(chain.from, 1.0 - part), (chain.to, part)]
        }
    };
    let ([a, b], [c, d]) = (split(from), split(to));
    [a, b, (c.0, -c.1), (d.0, -d.1)]
}

/// The ohms that two nodes have within their chains, the ends of each at one potential.
pub(super) fn within(chains: &Chains, from: Seat, to: Seat) -> f64 {
    let ohms = |chain: u32, part: f64| chains.list[chain as usize].ohms * part * (1.0 - part);
    match (inside(from), inside(to)) {
        (Some((a, p)), Some((b, q))) if a == b => ohms(a, (p - q).abs()),
        (a, b) => [a, b]
            .into_iter()
            .flatten()
            .map(|(chain, part)| ohms(chain, part))
            .sum(),
    }
}

pub(super) fn inside(seat: Seat) -> Option<(u32, f64)> {
    match seat {
        Seat::Joint(_) => None,
        Seat::Inside { chain, part, .. } => Some((chain, part)),
    }
}

fn between(chain: &Chain, ohms: f64) -> Branch {
    Branch {
        from: chain.from,
        to: chain.to,
        ohms,
        emf: 0.0,
    }
}

/// The chains of no ohms, which share as if each of their branches had one.
struct Zero {
    chains: Vec<usize>,
    solver: Option<Solver>,
    sent: Vec<(u32, f64)>,
    out: Solution,
}

impl Zero {
    fn new(chains: &Chains) -> Zero {
        let list = chains.list.iter().enumerate();
        let zero: Vec<usize> = list
            .filter(|(_, c)| c.ohms == 0.0)
            .map(|(k, _)| k)
            .collect();
        let count = |&k: &usize| {
            let chain = &chains.list[k];
            between(chain, f64::from(chain.end - chain.start))
        };
        let branches: Vec<Branch> = zero.iter().map(count).collect();
        Zero {
            solver: (!zero.is_empty()).then(|| Solver::new(chains.joints, &branches)),
            chains: zero,
            sent: Vec::new(),
            out: Solution::default(),
        }
    }

    /// Writes what they carry beside the other chains' amperes.
    fn respond(&mut self, sent: &[(u32, f64)], chains: &Chains, amps: &mut [f64]) {
        let Some(solver) = &self.solver else { return };
        for &k in &self.chains {
            amps[k] = 0.0;
        }
        self.sent.clear();
        self.sent.extend_from_slice(sent);
        for (chain, &a) in chains.list.iter().zip(&*amps) {
            self.sent.extend([(chain.from, -a), (chain.to, a)]);
        }
        solver.respond_into(&self.sent, &mut self.out);
        for (&k, &a) in self.chains.iter().zip(&self.out.amps) {
            amps[k] = a;
        }
    }
}
