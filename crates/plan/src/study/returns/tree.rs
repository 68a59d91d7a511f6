//! A tree of shortest ways over a part of a net, its rings condensed.

use petgraph::{
    graph::{EdgeIndex, NodeIndex},
    visit::EdgeRef,
};
use rustc_hash::FxHashSet;

use crate::{
    study::{
        Circuit,
        reach::{Direction, Net, Passes, Reach, extend, outwards},
    },
    wiring::Link,
};

/// A tree over a part of the graph, its nodes numbered by themselves: each node's parent, and an
/// order from the roots outwards.
pub(super) struct Tree {
    /// Its nodes in the graph, in their order there.
    pub(super) nodes: Vec<NodeIndex>,
    pub(super) net: Net,
    pub(super) order: Vec<NodeIndex>,
    depth: Vec<u32>,
    head: Vec<NodeIndex>,
    /// Where it starts.
    pub(super) roots: Vec<NodeIndex>,
    /// Ring conductors: the node that stands for the ring (the nearest common one).
    rings: Vec<(u32, NodeIndex)>,
    /// Conductors on the ways that join two roots.
    pub(super) joins: Vec<u32>,
}

impl Tree {
    /// Grows one from `roots`; `scratch` reaches nothing, before and after.
    pub(super) fn grow(
        circuit: &Circuit<'_>,
        scratch: &mut Net,
        roots: &[NodeIndex],
        direction: Direction,
        passes: impl Passes,
    ) -> Self {
        let starts: Vec<(NodeIndex, u32, f64)> = roots.iter().map(|&root| (root, 0, 0.0)).collect();
        let mut nodes = extend(circuit.wiring, scratch, &starts, direction, passes);
        nodes.sort_unstable();
        let local = |node: NodeIndex| nodes.binary_search(&node).ok().map(NodeIndex::new);
        let own = |node: &NodeIndex| {
            let reach = scratch[node.index()].take()?;
            let from = local(reach.from)?;
            Some(Reach { from, ..reach })
        };
        let net: Net = nodes.iter().map(own).collect();
        let (order, depth) = outwards(&net);
        let mut tree = Self {
            head: Vec::new(),
            roots: Vec::new(),
            rings: Vec::new(),
            joins: Vec::new(),
            nodes,
            net,
            order,
            depth,
        };
        let is_root = |node: &&NodeIndex| tree.parent(**node).is_none();
        tree.roots = tree.order.iter().take_while(is_root).copied().collect();
        tree.head = tree.heads();
        tree.find_rings(circuit);
        tree
    }

    /// For each node the top of the heavy path that it lies on: the way up from any node passes
    /// few of them, however long it is.
    fn heads(&self) -> Vec<NodeIndex> {
        let mut size = vec![1u32; self.nodes.len()];
        let mut heavy: Vec<Option<NodeIndex>> = vec![None; self.nodes.len()];
        for &node in self.order.iter().rev() {
            if let Some(parent) = self.parent(node) {
                size[parent.index()] += size[node.index()];
                let known = heavy[parent.index()];
                if known.is_none_or(|known| size[node.index()] > size[known.index()]) {
                    heavy[parent.index()] = Some(node);
                }
            }
        }
        let mut head: Vec<NodeIndex> = (0..self.nodes.len()).map(NodeIndex::new).collect();
        for &node in &self.order {
            if let Some(heavy) = heavy[node.index()] {
                head[heavy.index()] = head[node.index()];
            }
        }
        head
    }

    /// A node's number in the tree.
    pub(super) fn local(&self, node: NodeIndex) -> Option<NodeIndex> {
        self.nodes.binary_search(&node).ok().map(NodeIndex::new)
    }

    pub(super) fn parent(&self, node: NodeIndex) -> Option<NodeIndex> {
        let reach = self.net[node.index()]?;
        reach.by.map(|_| reach.from)
    }

    /// Where two ways to the root meet; of two roots of one bank either stands for it.
    pub(super) fn meeting(&self, a: NodeIndex, b: NodeIndex) -> NodeIndex {
        let depth = |node: NodeIndex| self.depth[node.index()];
        let (mut a, mut b) = (a, b);
        loop {
            let (head_a, head_b) = (self.head[a.index()], self.head[b.index()]);
            if head_a == head_b {
                return if depth(a) <= depth(b) { a } else { b };
            }
            let next = if depth(head_a) >= depth(head_b) {
                self.parent(head_a).map(|next| a = next)
            } else {
                self.parent(head_b).map(|next| b = next)
            };
            if next.is_none() {
                return head_a;
            }
        }
    }

    /// The edges on the way up from a node, each with the node it comes from.
    fn way_up(&self, node: NodeIndex) -> impl Iterator<Item = (NodeIndex, EdgeIndex)> + '_ {
        let mut at = node;
        std::iter::from_fn(move || {
            let reach = self.net[at.index()]?;
            let from = std::mem::replace(&mut at, reach.from);
            Some((from, reach.by?))
        })
    }

    /// Conductors that close a ring carry what the whole ring can. One that joins two roots (the
    /// batteries of one bank) carries one's share of what comes home to any, and all of it once
    /// the others are dead.
    fn find_rings(&mut self, circuit: &Circuit<'_>) {
        let (mut ends_of, mut joining) = (Vec::new(), Vec::new());
        for (index, edge, ends) in self.conductors_within(circuit) {
            let by = |end: &NodeIndex| self.net[end.index()].and_then(|reach| reach.by);
            if ends.iter().any(|end| by(end) == Some(edge)) {
                continue;
            }
            let meet = self.meeting(ends[0], ends[1]);
            if meet == self.meeting(ends[1], ends[0]) {
                self.rings.push((index, meet));
                ends_of.push(ends);
            } else {
                self.joins.push(index);
                joining.extend(ends);
            }
        }
        self.lift_rings(circuit, &ends_of);
        self.lift_joins(circuit, &joining);
    }

    /// Every conductor between two nodes of the tree, in the order of the wiring.
    fn conductors_within(&self, circuit: &Circuit<'_>) -> Vec<(u32, EdgeIndex, [NodeIndex; 2])> {
        let mut within = Vec::new();
        for &node in &self.nodes {
            for edge in circuit.wiring.graph.edges(node) {
                let (Link::Conductor(index), true) = (edge.weight(), edge.source() == node) else {
                    continue;
                };
                if let (Some(from), Some(to)) = (self.local(node), self.local(edge.target())) {
                    within.push((*index, edge.id(), [from, to]));
                }
            }
        }
        within.sort_unstable();
        within
    }

    /// Every conductor round a ring stands at the ring's meeting point.
    fn lift_rings(&mut self, circuit: &Circuit<'_>, ends_of: &[[NodeIndex; 2]]) {
        let mut lifted = Vec::new();
        for (&(_, meet), ends) in self.rings.iter().zip(ends_of) {
            for &end in ends {
                let round = self.way_up(end).take_while(|(node, _)| *node != meet);
                lifted.extend(
                    round.filter_map(|(_, edge)| Some((circuit.conductor_of(edge)?, meet))),
                );
            }
            if lifted.len() > MOST_LIFTED {
                break;
            }
        }
        self.rings.extend(lifted);
    }

    /// What leads from a root to a conductor that joins it to another does so too.
    fn lift_joins(&mut self, circuit: &Circuit<'_>, ends: &[NodeIndex]) {
        let mut met = FxHashSet::default();
        for &end in ends {
            let new = self.way_up(end).take_while(|(node, _)| met.insert(*node));
            let lifted: Vec<u32> = new
                .filter_map(|(_, edge)| circuit.conductor_of(edge))
                .collect();
            self.joins.extend(lifted);
        }
    }

    /// Each conductor with the node that tells what it carries: its far end, and its ring's meeting.
    pub(super) fn conductors<'t>(
        &'t self,
        circuit: &'t Circuit<'_>,
    ) -> impl Iterator<Item = (u32, NodeIndex)> + 't {
        let far = self.order.iter().filter_map(|&node| {
            let by = self.net[node.index()]?.by?;
            Some((circuit.conductor_of(by)?, node))
        });
        far.chain(self.rings.iter().copied())
    }
}

/// A bound on the work that rings within rings can make; beyond it a ring's own conductor still counts.
const MOST_LIFTED: usize = 1 << 20;
