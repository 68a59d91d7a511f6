//! The maximum flow, equal to the smallest cut, in whole numbers: petgraph's Dinic over capacities
//! scaled by a power of two, so that no rounding keeps it from ending and the result does not
//! depend on the order.

use petgraph::algo::dinics;
use petgraph::graph::{DiGraph, NodeIndex};

/// Bits that the sum of all finite capacities may take.
const BITS: i32 = 60;

/// A directed arc: from, to, capacity.
pub(super) type Arc = (u32, u32, f64);

/// The maximum flow between two nodes; infinite where arcs without limit lead all the way.
pub(super) fn max_flow(nodes: u32, arcs: &[Arc], source: u32, target: u32) -> f64 {
    if source == target || reaches(nodes, arcs, source, target) {
        return f64::INFINITY;
    }
    let total = arcs
        .iter()
        .map(|a| a.2)
        .filter(|c| c.is_finite())
        .sum::<f64>()
        .min(f64::MAX);
    if total == 0.0 {
        return 0.0;
    }
    let scale = 2f64.powi((BITS - total.log2().ceil() as i32).min(1000));
    let whole = |cap: f64| {
        if cap.is_finite() {
            (cap * scale).round() as u64
        } else {
            1 << (BITS + 1)
        }
    };
    let mut graph = DiGraph::<(), u64>::with_capacity(nodes as usize, arcs.len());
    for _ in 0..nodes {
        graph.add_node(());
    }
    for &(from, to, cap) in arcs {
        graph.add_edge(
            NodeIndex::new(from as usize),
            NodeIndex::new(to as usize),
            whole(cap),
        );
    }
    let ends = (
        NodeIndex::new(source as usize),
        NodeIndex::new(target as usize),
    );
    dinics(&graph, ends.0, ends.1).0 as f64 / scale
}

/// True where arcs without limit lead from one node to another.
fn reaches(nodes: u32, arcs: &[Arc], source: u32, target: u32) -> bool {
    let mut seen = vec![false; nodes as usize];
    seen[source as usize] = true;
    loop {
        let before = seen.iter().filter(|s| **s).count();
        for &(from, to, cap) in arcs {
            if cap == f64::INFINITY && seen[from as usize] {
                seen[to as usize] = true;
            }
        }
        if seen[target as usize] || seen.iter().filter(|s| **s).count() == before {
            return seen[target as usize];
        }
    }
}
