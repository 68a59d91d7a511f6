//! A tree of shortest ways over a part of a net, its rings condensed: what hangs together in rings
//! stands at one node. The point at which a ring is joined to the way home is no part of it: what
//! comes home there never enters the ring.

use petgraph::{
    graph::{EdgeIndex, NodeIndex},
    unionfind::UnionFind,
    visit::EdgeRef,
};
use rustc_hash::FxHashSet;

use crate::{
    study::{
        Circuit,
        reach::{Direction, Net, Passes, Reach, everything_closed, extend, outwards},
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
    /// For each node the one that stands for the rings in which the way to its parent lies, the
    /// nearest to the root; itself where that way lies in none.
    stands: Vec<NodeIndex>,
    /// Conductors that close a ring, with the node that stands for it.
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
            stands: (0..nodes.len()).map(NodeIndex::new).collect(),
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

    /// A conductor that closes a ring makes one of all round it. One that joins two roots (the
    /// batteries of one bank) carries one's share of what comes home to any, and all of it once
    /// the others are dead.
    fn find_rings(&mut self, circuit: &Circuit<'_>) {
        let (mut rings, mut joining) = (Rings::of(self), Vec::new());
        for (edge, conductor, ends) in self.edges_within(circuit) {
            let by = |end: &NodeIndex| self.net[end.index()].and_then(|reach| reach.by);
            if ends.iter().any(|end| by(end) == Some(edge)) {
                continue;
            }
            let meet = self.meeting(ends[0], ends[1]);
            if meet == self.meeting(ends[1], ends[0]) {
                let below = rings.close(self, meet, ends);
                self.rings.extend(conductor.zip(below));
            } else {
                let Some(index) = conductor else { continue };
                self.joins.push(index);
                joining.extend(ends);
            }
        }
        self.lift_joins(circuit, &joining);
        if !self.rings.is_empty() {
            self.condense(&rings);
        }
    }

    /// Hangs every node of a ring on the one that stands for it.
    fn condense(&mut self, rings: &Rings) {
        for node in (0..self.nodes.len()).map(NodeIndex::new) {
            let stands = rings.top(node);
            self.stands[node.index()] = stands;
            if let Some(reach) = self.net[node.index()].as_mut().filter(|_| stands != node) {
                reach.from = stands;
            }
        }
        for (_, node) in &mut self.rings {
            *node = self.stands[node.index()];
        }
        for &node in &self.order {
            let parent = self.parent(node);
            self.depth[node.index()] = parent.map_or(0, |parent| self.depth[parent.index()] + 1);
        }
        self.head = self.heads();
    }

    /// Every edge between two nodes of the tree that current passes, with its conductor.
    fn edges_within(&self, circuit: &Circuit<'_>) -> Vec<(EdgeIndex, Option<u32>, Ends)> {
        let mut within = Vec::new();
        for &node in &self.nodes {
            for edge in circuit.wiring.graph.edges(node) {
                let own = circuit.wiring.graph.edge_endpoints(edge.id());
                let once = own.is_some_and(|(from, _)| from == node);
                if !once || !everything_closed(edge.id(), edge.weight()) {
                    continue;
                }
                if let (Some(from), Some(to)) = (self.local(node), self.local(edge.target())) {
                    within.push((edge.id(), circuit.conductor_of(edge.id()), [from, to]));
                }
            }
        }
        within.sort_unstable_by_key(|(edge, ..)| *edge);
        within
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

    /// Whether all that comes to a node's own part of the tree comes past that node: no contact leads
    /// round, and roots are joined by the links of their bank alone.
    pub(super) fn is_simple(&self, circuit: &Circuit<'_>) -> bool {
        let mut root: Vec<NodeIndex> = (0..self.nodes.len()).map(NodeIndex::new).collect();
        for &node in &self.order {
            if let Some(parent) = self.parent(node) {
                root[node.index()] = root[parent.index()];
            }
        }
        let is_tree = |edge: EdgeIndex, ends: [NodeIndex; 2]| {
            let by = |end: NodeIndex| self.net[end.index()].and_then(|reach| reach.by);
            ends.into_iter().any(|end| by(end) == Some(edge))
        };
        let joins = |node: NodeIndex| {
            let graph = &circuit.wiring.graph;
            let edges = graph.edges(self.nodes[node.index()]);
            edges.filter_map(move |edge| Some((edge, self.local(edge.target())?)))
        };
        (0..self.nodes.len()).map(NodeIndex::new).all(|node| {
            joins(node).all(|(edge, other)| match *edge.weight() {
                Link::Conductor(index) => {
                    root[node.index()] == root[other.index()]
                        || circuit.banks.link_of[index as usize].is_some()
                }
                Link::Contact(_) => is_tree(edge.id(), [node, other]),
                _ => true,
            })
        })
    }

    /// Each conductor with the node that tells what it carries: its far end, or what stands for its ring.
    pub(super) fn conductors<'t>(
        &'t self,
        circuit: &'t Circuit<'_>,
    ) -> impl Iterator<Item = (u32, NodeIndex)> + 't {
        let far = self.order.iter().filter_map(|&node| {
            let by = self.net[node.index()]?.by?;
            Some((circuit.conductor_of(by)?, self.stands[node.index()]))
        });
        far.chain(self.rings.iter().copied())
    }
}

/// Two ends of an edge.
type Ends = [NodeIndex; 2];

/// Rings that share a conductor, each node standing for the way to its parent.
struct Rings {
    sets: UnionFind<u32>,
    /// For each set the node nearest to the root.
    top: Vec<NodeIndex>,
    /// Each node's place in the order from the roots outwards.
    place: Vec<u32>,
}

impl Rings {
    fn of(tree: &Tree) -> Self {
        let count = tree.nodes.len();
        let mut place = vec![u32::MAX; count];
        for (&node, at) in tree.order.iter().zip(0u32..) {
            place[node.index()] = at;
        }
        Self {
            sets: UnionFind::new(count),
            top: (0..count).map(NodeIndex::new).collect(),
            place,
        }
    }

    fn top(&self, node: NodeIndex) -> NodeIndex {
        self.top[self.sets.find(node.index() as u32) as usize]
    }

    fn join(&mut self, a: NodeIndex, b: NodeIndex) {
        let tops = [self.top(a), self.top(b)];
        self.sets.union(a.index() as u32, b.index() as u32);
        let nearest = tops
            .into_iter()
            .min_by_key(|top| self.place[top.index()])
            .unwrap_or(a);
        let set = self.sets.find(a.index() as u32) as usize;
        self.top[set] = nearest;
    }

    /// Joins all round the ring that is closed between two nodes, below where their ways meet: one
    /// of them, or nothing where both ends lie at one point. What is joined already is stepped
    /// over, so that all rings together take no more steps than there are nodes and rings.
    fn close(&mut self, tree: &Tree, meet: NodeIndex, ends: [NodeIndex; 2]) -> Option<NodeIndex> {
        let below = ends.into_iter().find(|&end| end != meet)?;
        for end in ends {
            let mut at = end;
            while tree.depth[at.index()] > tree.depth[meet.index()] {
                self.join(at, below);
                let Some(above) = tree.parent(self.top(at)) else {
                    break;
                };
                at = above;
            }
        }
        Some(below)
    }
}
