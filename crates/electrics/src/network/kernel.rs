//! The kernel of a block: its joints, with every chain between them taken as one branch.
//!
//! What enters a chain between its ends acts on the kernel as if it entered at the two ends, in
//! inverse proportion to the ohms to them; within the chain it adds what would flow if both ends
//! stood at one potential. So one solution for each joint gives every current and resistance of
//! the block, and a ring, whose kernel is a single joint, needs none.

use super::chains::{Chain, Chains, Seat};
use super::{Branch, Solution, Solver};
use crate::flow::ways::Ways;

#[derive(Debug)]
pub(super) struct Kernel {
    joints: usize,
    /// Amperes of each chain and volts of each joint, row by row, for one ampere into a joint and
    /// out of the first one.
    amps: Vec<f64>,
    volts: Vec<f64>,
}

impl Kernel {
    /// What it costs to solve it and to ask it so often, in numbers written; rings and bridges are
    /// free.
    pub(super) fn cost(chains: &Chains, crossings: usize) -> usize {
        match chains.list.len() {
            0 | 1 => 0,
            count => count.saturating_mul(crossings.saturating_add(chains.joints as usize)),
        }
    }

    pub(super) fn new(chains: &Chains) -> Kernel {
        let joints = chains.joints as usize;
        let mut kernel = Kernel {
            joints,
            amps: vec![
                0.0;
                if joints > 1 {
                    joints * chains.list.len()
                } else {
                    0
                }
            ],
            volts: vec![0.0; joints * joints],
        };
        match *chains.list {
            [ref bridge] if joints == 2 => kernel.bridge(bridge),
            _ if joints > 1 => kernel.fill(chains),
            _ => {}
        }
        kernel
    }

    fn bridge(&mut self, chain: &Chain) {
        self.amps[1] = if chain.from == 1 { 1.0 } else { -1.0 };
        self.volts[3] = chain.ohms;
    }

    fn fill(&mut self, chains: &Chains) {
        let branch = |chain: &Chain| between(chain, chain.ohms);
        let branches: Vec<Branch> = chains.list.iter().map(branch).collect();
        let solver = Solver::new(chains.joints, &branches);
        let mut zero = Zero::new(chains);
        let (joints, width) = (self.joints, chains.list.len());
        let mut out = Solution::default();
        for joint in 1..joints {
            let sent = [(joint as u32, 1.0), (0, -1.0)];
            solver.respond_into(&sent, &mut out);
            zero.respond(&sent, chains, &mut out.amps);
            self.amps[joint * width..][..width].copy_from_slice(&out.amps);
            let row = &mut self.volts[joint * joints..][..joints];
            for (v, of) in row.iter_mut().zip(&out.volts) {
                *v = of - out.volts[0];
            }
        }
    }

    /// The kernel's part of each chain's current, for one ampere into `from` and out of `to`.
    pub(super) fn share(&self, chains: &Chains, from: Seat, to: Seat, out: &mut [f64]) {
        out.fill(0.0);
        if self.amps.is_empty() {
            return;
        }
        let width = chains.list.len();
        for (joint, weight) in weights(chains, from, to) {
            let row = &self.amps[joint as usize * width..][..width];
            for (o, amps) in out.iter_mut().zip(row) {
                *o += weight * amps;
            }
        }
    }

    /// The resistance between two nodes of the block, in ohms.
    pub(super) fn ohms(&self, chains: &Chains, from: Seat, to: Seat) -> f64 {
        let weights = weights(chains, from, to);
        let at = |a: u32, b: u32| self.volts[a as usize * self.joints + b as usize];
        let row = |(a, w): (u32, f64)| w * weights.iter().map(|&(b, v)| v * at(a, b)).sum::<f64>();
        let kernel: f64 = weights.into_iter().map(row).sum();
        kernel + within(chains, from, to)
    }
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
fn within(chains: &Chains, from: Seat, to: Seat) -> f64 {
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

fn inside(seat: Seat) -> Option<(u32, f64)> {
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

/// A kernel too large to solve: the ohms of one way from its first joint to each.
#[derive(Debug)]
pub(super) struct Bound(Vec<f64>);

impl Bound {
    pub(super) fn new(chains: &Chains) -> Bound {
        let list = (0u32..).zip(&chains.list);
        let ways = Ways::new(chains.joints, list.map(|(k, c)| (k, c.from, c.to)));
        let mut ohms = vec![f64::INFINITY; chains.joints as usize];
        let mut order = vec![0];
        ohms[0] = 0.0;
        let mut next = 0;
        while let Some(&near) = order.get(next) {
            for &(far, chain) in ways.at(near) {
                if ohms[far as usize].is_infinite() {
                    ohms[far as usize] = ohms[near as usize] + chains.list[chain as usize].ohms;
                    order.push(far);
                }
            }
            next += 1;
        }
        Bound(ohms)
    }

    /// The ohms of one way between two nodes: the resistance between them is not above.
    pub(super) fn ohms(&self, chains: &Chains, from: Seat, to: Seat) -> f64 {
        let by_joint = self.to_first(chains, from) + self.to_first(chains, to);
        match (inside(from), inside(to)) {
            (Some((a, p)), Some((b, q))) if a == b => {
                by_joint.min(chains.list[a as usize].ohms * (p - q).abs())
            }
            _ => by_joint,
        }
    }

    fn to_first(&self, chains: &Chains, seat: Seat) -> f64 {
        match seat {
            Seat::Joint(joint) => self.0[joint as usize],
            Seat::Inside { chain, part, .. } => {
                let chain = &chains.list[chain as usize];
                let back = self.0[chain.from as usize] + part * chain.ohms;
                back.min(self.0[chain.to as usize] + (1.0 - part) * chain.ohms)
            }
        }
    }
}
