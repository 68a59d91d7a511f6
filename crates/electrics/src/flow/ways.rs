//! The ways that leave each node of a graph, in one array.

/// A graph by nodes.
#[derive(Debug, Default)]
pub(crate) struct Ways {
    start: Vec<u32>,
    ends: Vec<(u32, u32)>,
}

impl Ways {
    /// From the edges `(edge, a, b)`, whose ends must be nodes; each is found at both its ends, twice where they are one.
    pub(crate) fn new(nodes: u32, edges: impl Iterator<Item = (u32, u32, u32)> + Clone) -> Ways {
        // Two places on: counted at k + 2, summed, and moved up while filling, each start ends up at k.
        let mut start = vec![0u32; nodes as usize + 2];
        for (_, a, b) in edges.clone() {
            start[a as usize + 2] += 1;
            start[b as usize + 2] += 1;
        }
        let mut sum = 0;
        for s in &mut start {
            sum += *s;
            *s = sum;
        }
        let mut ends = vec![(0, 0); sum as usize];
        for (edge, a, b) in edges {
            for (near, far) in [(a, b), (b, a)] {
                let next = &mut start[near as usize + 1];
                ends[*next as usize] = (far, edge);
                *next += 1;
            }
        }
        start.truncate(nodes as usize + 1);
        Ways { start, ends }
    }

    /// The ways from a node, `(far node, edge)`, in the order of the edges.
    pub(crate) fn at(&self, node: u32) -> &[(u32, u32)] {
        let node = node as usize;
        &self.ends[self.start[node] as usize..self.start[node + 1] as usize]
    }
}
