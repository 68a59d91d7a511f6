//! The ways of least resistance from every source: a tree that hangs on lengths and sizes alone,
//! not on the order of the text.

use std::{cmp::Reverse, collections::BinaryHeap};

use petgraph::{
    graph::{EdgeIndex, NodeIndex},
    visit::EdgeRef,
};

use super::copper;
use crate::{
    study::{
        Circuit,
        reach::{Direction, everything_closed, step},
    },
    wiring::{Link, Supply, SupplyKind},
};

/// How one node hangs on the tree.
#[derive(Clone, Copy, Debug)]
struct Hold {
    /// The way towards the source; `None` at the source itself.
    by: Option<(EdgeIndex, NodeIndex)>,
    /// The supply it starts at.
    supply: u32,
    depth: u32,
}

impl Hold {
    const fn root(supply: u32) -> Self {
        Self {
            by: None,
            supply,
            depth: 0,
        }
    }

    const fn beyond(self, edge: EdgeIndex, from: NodeIndex) -> Self {
        Self {
            by: Some((edge, from)),
            depth: self.depth + 1,
            ..self
        }
    }
}

/// A tree over the live net or the way home.
pub(super) struct Tree {
    holds: Vec<Option<Hold>>,
    /// Its nodes from the sources outwards.
    pub(super) order: Vec<NodeIndex>,
}

/// Ohms whose order is total, for the queue; then the node, so that equals have an order too.
#[derive(Clone, Copy)]
struct Far(f64, NodeIndex, Hold);

impl PartialEq for Far {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Far {}

impl PartialOrd for Far {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Far {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0).then(self.1.cmp(&other.1))
    }
}

impl Tree {
    /// The live net from every battery's `+`, then from the others' where no battery reaches.
    pub(super) fn live(circuit: &Circuit<'_>, ohms: &[f64]) -> Self {
        let supplies = || circuit.wiring.supplies.iter().zip(0u32..);
        let batteries = supplies().filter(|(supply, _)| supply.kind == SupplyKind::Battery);
        let others = supplies().filter(|(supply, _)| supply.kind != SupplyKind::Battery);
        let mut tree = Self::empty(circuit);
        let start = |(supply, index): (&Supply, u32)| (supply.plus, index);
        tree.grow(circuit, ohms, Direction::Out, batteries.map(start));
        tree.grow(circuit, ohms, Direction::Out, others.map(start));
        tree
    }

    /// The way home, from every bank's lowest `-`, then from the others'.
    pub(super) fn home(circuit: &Circuit<'_>, ohms: &[f64]) -> Self {
        let bottoms = circuit.banks.list.iter().flat_map(|bank| &bank.bottoms);
        let supplies = circuit.wiring.supplies.iter().zip(0u32..);
        let others = supplies.filter(|(supply, _)| supply.kind != SupplyKind::Battery);
        let mut tree = Self::empty(circuit);
        tree.grow(
            circuit,
            ohms,
            Direction::Home,
            bottoms.map(|&node| (node, 0)),
        );
        let start = |(supply, index): (&Supply, u32)| (supply.minus, index);
        tree.grow(circuit, ohms, Direction::Home, others.map(start));
        tree
    }

    fn empty(circuit: &Circuit<'_>) -> Self {
        Self {
            holds: vec![None; circuit.wiring.graph.node_count()],
            order: Vec::new(),
        }
    }

    fn grow(
        &mut self,
        circuit: &Circuit<'_>,
        ohms: &[f64],
        direction: Direction,
        starts: impl Iterator<Item = (NodeIndex, u32)>,
    ) {
        let mut queue: BinaryHeap<Reverse<Far>> = starts
            .map(|(node, supply)| Reverse(Far(0.0, node, Hold::root(supply))))
            .collect();
        let graph = &circuit.wiring.graph;
        while let Some(Reverse(Far(far, node, hold))) = queue.pop() {
            if self.reaches(node) {
                continue;
            }
            self.holds[node.index()] = Some(hold);
            self.order.push(node);
            for edge in graph.edges(node) {
                let link = *edge.weight();
                let next = if edge.source() == node {
                    edge.target()
                } else {
                    edge.source()
                };
                let open = everything_closed(edge.id(), &link)
                    && step(circuit.wiring, link, node, direction).is_some();
                if open && self.holds[next.index()].is_none() {
                    let far = far + ohms_of(circuit, ohms, link);
                    queue.push(Reverse(Far(far, next, hold.beyond(edge.id(), node))));
                }
            }
        }
    }

    /// Whether a source reaches a node.
    pub(super) fn reaches(&self, node: NodeIndex) -> bool {
        self.holds[node.index()].is_some()
    }

    /// The supply a node hangs on.
    pub(super) fn supply(&self, node: NodeIndex) -> Option<u32> {
        Some(self.holds[node.index()]?.supply)
    }

    /// How far a node is from its source, in steps.
    pub(super) fn depth(&self, node: NodeIndex) -> u32 {
        self.holds[node.index()].map_or(0, |hold| hold.depth)
    }

    /// The edge by which a node is reached, and from where.
    pub(super) fn up(&self, node: NodeIndex) -> Option<(EdgeIndex, NodeIndex)> {
        self.holds[node.index()]?.by
    }

    /// What joins a node to the one it is reached from.
    pub(super) fn step(&self, circuit: &Circuit<'_>, node: NodeIndex) -> Option<(NodeIndex, Link)> {
        let (edge, from) = self.up(node)?;
        Some((from, *circuit.wiring.graph.edge_weight(edge)?))
    }
}

fn ohms_of(circuit: &Circuit<'_>, ohms: &[f64], link: Link) -> f64 {
    match link {
        Link::Conductor(index) => ohms[index as usize],
        Link::Contact(index) => copper::contact(circuit, &circuit.wiring.contacts[index as usize]),
        _ => 0.0,
    }
}
