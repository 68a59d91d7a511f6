//! Paths in a forest: where two of them meet, what no earlier one passed, and sums along them.
//! Plain trees of numbers; knows nothing of networks.

/// A forest whose nodes are numbered so that each comes before its parent; roots are their own
/// parents. An edge is known by its lower node.
pub(super) struct Climb {
    parent: Vec<u32>,
    heavy: Vec<u32>,
    /// Top of the heavy path a node lies on.
    head: Vec<u32>,
    root: Vec<u32>,
    /// Where to look next for an edge that was not climbed yet, with path halving.
    skip: Vec<u32>,
}

impl Climb {
    /// The forest of `nodes` nodes with these parents, the rest being roots.
    pub(super) fn new(parents: impl Iterator<Item = u32>, nodes: usize) -> Climb {
        let mut parent: Vec<u32> = (0..nodes as u32).collect();
        for (p, above) in parent.iter_mut().zip(parents) {
            *p = above;
        }
        let heavy = heavy_children(&parent);
        let mut head: Vec<u32> = (0..nodes as u32).collect();
        let mut root = head.clone();
        for k in (0..nodes).rev() {
            let p = parent[k] as usize;
            root[k] = root[p];
            if p != k && heavy[p] == k as u32 {
                head[k] = head[p];
            }
        }
        let skip = (0..nodes as u32).collect();
        Climb {
            parent,
            heavy,
            head,
            root,
            skip,
        }
    }

    pub(super) fn root(&self, node: u32) -> u32 {
        self.root[node as usize]
    }

    /// The lowest common ancestor, None in different trees.
    pub(super) fn meet(&self, mut a: u32, mut b: u32) -> Option<u32> {
        if self.root(a) != self.root(b) {
            return None;
        }
        // The lower head is the deeper one or stands beside: either way the common ancestor is not
        // on its path.
        while self.head[a as usize] != self.head[b as usize] {
            if self.head[a as usize] < self.head[b as usize] {
                a = self.parent[self.head[a as usize] as usize];
            } else {
                b = self.parent[self.head[b as usize] as usize];
            }
        }
        Some(a.max(b))
    }

    /// The child of `above` on the way up from `node`, a proper descendant of it.
    pub(super) fn below(&self, mut node: u32, above: u32) -> u32 {
        while self.head[node as usize] != self.head[above as usize] {
            let head = self.head[node as usize];
            node = self.parent[head as usize];
            if node == above {
                return head;
            }
        }
        self.heavy[above as usize]
    }

    /// Visits the edges from `from` up to `end` that no earlier climb visited.
    pub(super) fn climb(&mut self, from: u32, end: u32, mut visit: impl FnMut(u32)) {
        let mut k = self.open(from);
        while k < end && self.parent[k as usize] != k {
            visit(k);
            self.skip[k as usize] = self.parent[k as usize];
            k = self.open(k);
        }
    }

    fn open(&mut self, mut k: u32) -> u32 {
        while self.skip[k as usize] != k {
            let over = self.skip[self.skip[k as usize] as usize];
            self.skip[k as usize] = over;
            k = over;
        }
        k
    }

    /// For each node the sum of what its edges up to the root weigh.
    pub(super) fn sums(&self, weight: impl Fn(usize) -> f64) -> Vec<f64> {
        let mut sums = vec![0.0; self.parent.len()];
        for k in (0..sums.len()).rev() {
            let p = self.parent[k] as usize;
            if p != k {
                sums[k] = sums[p] + weight(k);
            }
        }
        sums
    }
}

fn heavy_children(parent: &[u32]) -> Vec<u32> {
    let mut size = vec![1u32; parent.len()];
    let mut heavy: Vec<u32> = vec![u32::MAX; parent.len()];
    for (k, &p) in parent.iter().enumerate().filter(|&(k, &p)| p as usize != k) {
        size[p as usize] += size[k];
        let best = &mut heavy[p as usize];
        if *best == u32::MAX || size[*best as usize] < size[k] {
            *best = k as u32;
        }
    }
    heavy
}

#[cfg(test)]
mod tests {
    use super::Climb;

    /// 6 is the root of 4 and 5; 4 of 0 and 1; 5 of 2 and 3; 7 stands alone.
    fn two_pairs() -> Climb {
        Climb::new([4, 4, 5, 5, 6, 6].into_iter(), 8)
    }

    #[test]
    fn paths_meet_and_pass() {
        let tree = two_pairs();
        assert_eq!(
            [(0, 1), (0, 3), (4, 0)].map(|(a, b)| tree.meet(a, b)),
            [Some(4), Some(6), Some(4)]
        );
        assert_eq!(tree.meet(0, 7), None);
        assert_eq!(
            [(0, 6), (3, 6), (1, 4), (4, 6)].map(|(a, b)| tree.below(a, b)),
            [4, 5, 1, 4]
        );
    }

    #[test]
    fn edges_are_visited_once_and_sums_run_to_the_root() {
        let (mut tree, mut seen) = (two_pairs(), Vec::new());
        for (from, end) in [(0, 4), (0, 6), (1, 6)] {
            tree.climb(from, end, |k| seen.push(k));
        }
        assert_eq!(seen, [0, 4, 1]);
        let sums = tree.sums(|k| (k + 1) as f64);
        assert_eq!(sums, [6.0, 7.0, 9.0, 10.0, 5.0, 6.0, 0.0, 0.0]);
    }
}
