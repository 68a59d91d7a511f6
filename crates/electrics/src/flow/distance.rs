//! The shortest unprotected way from a battery's post (Dijkstra, 1959).

use super::{LiveNet, ways::Ways};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Metres whose order is total, for the queue.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Metres(f64);

impl Eq for Metres {}

impl PartialOrd for Metres {
    fn partial_cmp(&self, other: &Metres) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Metres {
    fn cmp(&self, other: &Metres) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}

/// For each node the shortest distance from any of `posts`, in metres, along edges without a limit
/// only: never through a device, never backwards through a diode. None where there is no such way.
/// `lengths` belong to the edges; one that is missing, negative or not a number counts as 0.
pub fn distances(net: &LiveNet<'_>, lengths: &[f64], posts: &[u32]) -> Vec<Option<f64>> {
    let placed = (0u32..).zip(net.edges).filter(|(_, e)| e.is_in(net.nodes));
    let ways = Ways::new(net.nodes, placed.map(|(k, e)| (k, e.a, e.b)));
    let mut far: Vec<Option<f64>> = vec![None; net.nodes as usize];
    let mut queue: BinaryHeap<_> = posts
        .iter()
        .filter(|&&p| p < net.nodes)
        .map(|&p| (Reverse(Metres(0.0)), p))
        .collect();
    while let Some((Reverse(Metres(so_far)), node)) = queue.pop() {
        if far[node as usize].is_some() {
            continue;
        }
        far[node as usize] = Some(so_far);
        for &(next, edge) in ways.at(node) {
            let e = &net.edges[edge as usize];
            let open = e.limit() == f64::INFINITY && (!e.one_way || e.a == node);
            if open && far[next as usize].is_none() {
                let length = lengths.get(edge as usize).map_or(0.0, |l| l.max(0.0));
                queue.push((Reverse(Metres(so_far + length)), next));
            }
        }
    }
    far
}
