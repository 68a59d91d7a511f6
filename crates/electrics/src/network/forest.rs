//! The tree part of a network: components, the elimination order, and the two sweeps over it.
//!
//! A branch that lies on no loop needs no resistance to find its current: what is injected beyond
//! it must pass it. So trees never divide, and zero-ohm branches in them are exact by themselves.

use super::{Branch, NONE};
use crate::flow::union::Union;
use crate::flow::ways::Ways;

/// A branch from an eliminated node to the one it hangs from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Twig {
    /// Position of the node it hangs from; always after its own.
    pub(super) parent: u32,
    pub(super) branch: u32,
    pub(super) ohms: f64,
    /// Volts driving current towards the parent.
    emf: f64,
    /// 1 where the branch points towards the parent, else -1.
    sense: f64,
}

#[derive(Debug)]
pub(super) struct Forest {
    /// Component of each node.
    pub(super) component: Vec<u32>,
    /// Reference node of each component.
    pub(super) reference: Vec<u32>,
    /// The eliminated nodes' branches, leaves first: the twig at `k` belongs to the node at
    /// position `k`.
    pub(super) twigs: Vec<Twig>,
    /// Nodes by position: the eliminated ones, then those of the core and the roots of trees,
    /// ascending.
    pub(super) order: Vec<u32>,
    /// Position of each node.
    pub(super) position: Vec<u32>,
    /// Branches between two different nodes of the core, ascending.
    pub(super) core: Vec<u32>,
    /// Their two ends, numbered within the core: positions less the number of twigs.
    pub(super) ends: Vec<(u32, u32)>,
    /// Branches that return to the node they leave.
    pub(super) loops: Vec<u32>,
}

impl Forest {
    pub(super) fn new(nodes: u32, branches: &[Branch]) -> Forest {
        let live = (0u32..)
            .zip(branches)
            .filter(|(_, b)| !b.is_open(nodes) && b.from != b.to);
        let ways = Ways::new(nodes, live.map(|(k, b)| (k, b.from, b.to)));
        let component = components(nodes, branches);
        let mut core = peel(nodes, &ways);
        let reference = references(&component, &mut core);
        let (twigs, order) = hang(&ways, branches, &core);
        let mut position = vec![0; nodes as usize];
        for (k, &node) in order.iter().enumerate() {
            position[node as usize] = k as u32;
        }
        let in_core = |b: &Branch| b.from != b.to && core[b.from as usize] && core[b.to as usize];
        let pick = |keep: &dyn Fn(&Branch) -> bool| -> Vec<u32> {
            (0..)
                .zip(branches)
                .filter(|(_, b)| !b.is_open(nodes) && keep(b))
                .map(|(i, _)| i)
                .collect()
        };
        let (looped, loops) = (pick(&in_core), pick(&|b| b.from == b.to));
        let place = |n: u32| position[n as usize] - twigs.len() as u32;
        let ends = |&b: &u32| {
            (
                place(branches[b as usize].from),
                place(branches[b as usize].to),
            )
        };
        let ends = looped.iter().map(ends).collect();
        Forest {
            component,
            reference,
            twigs,
            order,
            position,
            core: looped,
            ends,
            loops,
        }
    }

    /// Sums the injections from the leaves down to the core: `flow[k]` becomes the current of twig
    /// `k` towards its parent.
    pub(super) fn gather(&self, flow: &mut [f64]) {
        for (k, twig) in self.twigs.iter().enumerate() {
            flow[twig.parent as usize] += flow[k];
        }
    }

    /// Carries the volts of the core out to the leaves.
    pub(super) fn spread(&self, flow: &[f64], volts: &mut [f64], emf: bool, amps: &mut [f64]) {
        for (k, twig) in self.twigs.iter().enumerate().rev() {
            let drive = if emf { twig.emf } else { 0.0 };
            volts[k] = volts[twig.parent as usize] + twig.ohms * flow[k] - drive;
            amps[twig.branch as usize] = twig.sense * flow[k];
        }
    }
}

/// Takes leaves away until none is left; true for the nodes that remain with at least two ways.
fn peel(nodes: u32, ways: &Ways) -> Vec<bool> {
    let mut degree: Vec<usize> = (0..nodes).map(|n| ways.at(n).len()).collect();
    let mut core: Vec<bool> = degree.iter().map(|&d| d > 1).collect();
    let mut leaves: Vec<u32> = (0..nodes).filter(|&n| degree[n as usize] == 1).collect();
    while let Some(leaf) = leaves.pop() {
        for &(far, _) in ways.at(leaf) {
            degree[far as usize] = degree[far as usize].saturating_sub(1);
            if core[far as usize] && degree[far as usize] < 2 {
                core[far as usize] = false;
                leaves.push(far);
            }
        }
    }
    core
}

/// Hangs every other node from the core, breadth first, and turns that order round: leaves
/// first.
fn hang(ways: &Ways, branches: &[Branch], core: &[bool]) -> (Vec<Twig>, Vec<u32>) {
    let nodes = core.len() as u32;
    let mut order: Vec<u32> = (0..nodes).filter(|&n| core[n as usize]).rev().collect();
    let roots = order.len();
    let mut seen = core.to_vec();
    let mut hung = Vec::with_capacity(core.len() - roots);
    let mut next = 0;
    while let Some(&near) = order.get(next) {
        for &(far, branch) in ways.at(near) {
            if !std::mem::replace(&mut seen[far as usize], true) {
                order.push(far);
                hung.push((next as u32, branch));
            }
        }
        next += 1;
    }
    let last = (order.len() as u32).saturating_sub(1);
    let twig = |(k, &(parent, branch)): (usize, &(u32, u32))| {
        let (b, node) = (&branches[branch as usize], order[roots + k]);
        let sense = if b.from == node { 1.0 } else { -1.0 };
        Twig {
            parent: last - parent,
            branch,
            ohms: b.ohms,
            emf: sense * b.finite_emf(),
            sense,
        }
    };
    let twigs = hung.iter().enumerate().map(twig).rev().collect();
    order.reverse();
    (twigs, order)
}

fn components(nodes: u32, branches: &[Branch]) -> Vec<u32> {
    let mut sets = Union::new(nodes as usize);
    for b in branches.iter().filter(|b| !b.is_open(nodes)) {
        sets.join(b.from, b.to, 0.0);
    }
    let mut number = vec![NONE; nodes as usize];
    let mut count = 0;
    let mut label = |node| {
        let of = &mut number[sets.root(node) as usize];
        if *of == NONE {
            *of = count;
            count += 1;
        }
        *of
    };
    (0..nodes).map(&mut label).collect()
}

/// The lowest core node of each component; a tree has none, so its lowest node is made one.
fn references(component: &[u32], core: &mut [bool]) -> Vec<u32> {
    let count = component.iter().max().map_or(0, |&c| c as usize + 1);
    let mut reference = vec![NONE; count];
    for looped in [true, false] {
        for (node, &c) in (0u32..).zip(component) {
            if reference[c as usize] == NONE && (core[node as usize] || !looped) {
                reference[c as usize] = node;
            }
        }
    }
    for &node in &reference {
        core[node as usize] = true;
    }
    reference
}
