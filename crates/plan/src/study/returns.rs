//! What a return conductor can be made to carry.
//!
//! A return is protected by the devices of the circuits that come home through it: the largest
//! finite sustained current of the live conductors all of whose loads can return through it. It is
//! found bank by bank, since a current goes home to the bank it came from.
//!
//! Both nets are condensed to trees first: conductors in a ring belong to one node, for a load
//! behind a ring can come home through any part of it.

use ampwright_electrics::flow::Sustained;
use petgraph::graph::{EdgeIndex, NodeIndex};
use rustc_hash::FxHashMap;

use super::{
    Circuit,
    banks::Bank,
    reach::{Direction, Net, everything_closed, search},
};
use crate::wiring::Link;

/// The figure of each return and the device that it comes from.
pub(super) type Returns = Vec<Option<(f64, Option<u32>)>>;

/// For each conductor of the home net the most it can be made to carry for ever.
pub(super) fn returns(circuit: &Circuit<'_>, sustained: &[Option<Sustained>]) -> Returns {
    let mut answer: Returns = vec![None; circuit.wiring.conductors.len()];
    for (index, bank) in circuit.banks.list.iter().enumerate() {
        for_bank(circuit, index as u32, bank, sustained, &mut answer);
    }
    answer
}

/// A tree over the graph's nodes: each node's parent edge, and an order from the root outwards.
struct Tree {
    net: Net,
    order: Vec<NodeIndex>,
    depth: Vec<u32>,
    /// Ring conductors: the node of the tree that stands for the ring (the nearest common one).
    rings: Vec<(u32, NodeIndex)>,
}

fn for_bank(
    circuit: &Circuit<'_>,
    index: u32,
    bank: &Bank,
    sustained: &[Option<Sustained>],
    answer: &mut Returns,
) {
    let live = Tree::grow(circuit, &bank.tops, Direction::Out);
    let home = Tree::grow(circuit, &bank.bottoms, Direction::Home);
    let mut carries: Vec<Option<(f64, Option<u32>)>> = vec![None; home.depth.len()];
    let meets = live_meets(circuit, index, &live, &home);
    for (conductor, sustained) in sustained.iter().enumerate() {
        let Some(sustained) =
            sustained.filter(|sustained| sustained.amps.is_finite() && sustained.amps > 0.0)
        else {
            continue;
        };
        let Some(meet) = meets.get(&(conductor as u32)).copied() else {
            continue;
        };
        let known = &mut carries[meet.index()];
        if known.is_none_or(|known| sustained.amps > known.0) {
            *known = Some((sustained.amps, sustained.device));
        }
    }
    gather(&home, &mut carries);
    for (conductor, node) in home.conductors(circuit) {
        if let Some(found) = carries[node.index()] {
            let known = &mut answer[conductor as usize];
            if known.is_none_or(|known| found.0 > known.0) {
                *known = Some(found);
            }
        }
    }
}

/// For each live conductor where in the home tree the ways home of all its loads meet.
fn live_meets(
    circuit: &Circuit<'_>,
    bank: u32,
    live: &Tree,
    home: &Tree,
) -> FxHashMap<u32, NodeIndex> {
    let mut meet: Vec<Option<NodeIndex>> = vec![None; live.depth.len()];
    for draw in &circuit.wiring.draws {
        let ours = circuit.live[draw.plus.index()]
            .is_some_and(|reach| belongs(circuit, reach.source, bank))
            || live.net[draw.plus.index()].is_some();
        if ours && live.net[draw.plus.index()].is_some() && home.net[draw.minus.index()].is_some() {
            let known = &mut meet[draw.plus.index()];
            *known = Some(known.map_or(draw.minus, |known| home.meeting(known, draw.minus)));
        }
    }
    for &node in live.order.iter().rev() {
        let (Some(own), Some(parent)) = (meet[node.index()], live.parent(node)) else {
            continue;
        };
        meet[parent.index()] =
            Some(meet[parent.index()].map_or(own, |known| home.meeting(known, own)));
    }
    live.conductors(circuit)
        .filter_map(|(conductor, node)| Some((conductor, meet[node.index()]?)))
        .collect()
}

fn belongs(circuit: &Circuit<'_>, supply: u32, bank: u32) -> bool {
    circuit.banks.of_supply.get(&supply) == Some(&bank)
}

/// Hands each figure on towards the root: a return carries what any of its circuits can.
fn gather(home: &Tree, carries: &mut [Option<(f64, Option<u32>)>]) {
    for &node in home.order.iter().rev() {
        let (Some(own), Some(parent)) = (carries[node.index()], home.parent(node)) else {
            continue;
        };
        let known = &mut carries[parent.index()];
        if known.is_none_or(|known| own.0 > known.0) {
            *known = Some(own);
        }
    }
}

impl Tree {
    fn grow(circuit: &Circuit<'_>, roots: &[NodeIndex], direction: Direction) -> Self {
        let starts: Vec<(NodeIndex, u32, f64)> = roots.iter().map(|&root| (root, 0, 0.0)).collect();
        let net = search(circuit.wiring, &starts, direction, everything_closed);
        let (order, depth) = order_of(&net);
        let mut tree = Self {
            net,
            order,
            depth,
            rings: Vec::new(),
        };
        tree.find_rings(circuit);
        tree
    }

    fn parent(&self, node: NodeIndex) -> Option<NodeIndex> {
        let reach = self.net[node.index()]?;
        reach.by.map(|_| reach.from)
    }

    /// Where two ways to the root meet.
    fn meeting(&self, a: NodeIndex, b: NodeIndex) -> NodeIndex {
        let (mut a, mut b) = (a, b);
        while a != b {
            let deeper_a = self.depth[a.index()] >= self.depth[b.index()];
            let next = if deeper_a {
                self.parent(a)
            } else {
                self.parent(b)
            };
            match (next, deeper_a) {
                (Some(next), true) => a = next,
                (Some(next), false) => b = next,
                // Two roots of one bank: either stands for it.
                (None, _) => return if deeper_a { a } else { b },
            }
        }
        a
    }

    /// Conductors that close a ring carry what the whole ring can.
    fn find_rings(&mut self, circuit: &Circuit<'_>) {
        for (index, conductor) in circuit.wiring.conductors.iter().enumerate() {
            let ends = [conductor.from, conductor.to];
            let inside = ends.iter().all(|end| self.net[end.index()].is_some());
            let tree = ends.iter().any(|end| {
                self.net[end.index()].and_then(|reach| reach.by) == Some(conductor.edge)
            });
            if inside && !tree && conductor.edge != EdgeIndex::end() {
                let meet = self.meeting(ends[0], ends[1]);
                self.rings.push((index as u32, meet));
            }
        }
        self.lift_rings(circuit);
    }

    /// Every conductor round a ring stands at the ring's meeting point.
    fn lift_rings(&mut self, circuit: &Circuit<'_>) {
        let mut lifted = Vec::new();
        for &(index, meet) in &self.rings {
            let conductor = &circuit.wiring.conductors[index as usize];
            for end in [conductor.from, conductor.to] {
                let mut at = end;
                while at != meet {
                    let Some(reach) = self.net[at.index()] else {
                        break;
                    };
                    let Some(by) = reach.by else { break };
                    lifted.extend(circuit.conductor_of(by).map(|conductor| (conductor, meet)));
                    at = reach.from;
                }
            }
            if lifted.len() > MOST_LIFTED {
                break;
            }
        }
        self.rings.extend(lifted);
    }

    /// Each conductor with the node that tells what it carries: its far end, and its ring's meeting.
    fn conductors<'t>(
        &'t self,
        circuit: &'t Circuit<'_>,
    ) -> impl Iterator<Item = (u32, NodeIndex)> + 't {
        let far = self.order.iter().filter_map(|&node| {
            let by = self.net[node.index()]?.by?;
            match circuit.wiring.graph.edge_weight(by)? {
                Link::Conductor(index) => Some((*index, node)),
                _ => None,
            }
        });
        far.chain(self.rings.iter().copied())
    }
}

/// A bound on the work that rings within rings can make; beyond it a ring's own conductor still counts.
const MOST_LIFTED: usize = 1 << 20;

/// Nodes from the roots outwards, and how many steps each is away.
fn order_of(net: &Net) -> (Vec<NodeIndex>, Vec<u32>) {
    let mut children: Vec<Vec<u32>> = vec![Vec::new(); net.len()];
    let mut order = Vec::new();
    for (node, reach) in net.iter().enumerate() {
        match reach {
            Some(reach) if reach.by.is_some() => children[reach.from.index()].push(node as u32),
            Some(_) => order.push(NodeIndex::new(node)),
            None => {}
        }
    }
    let mut depth = vec![0; net.len()];
    let mut next = 0;
    while let Some(&node) = order.get(next) {
        for &child in &children[node.index()] {
            depth[child as usize] = depth[node.index()] + 1;
            order.push(NodeIndex::new(child as usize));
        }
        next += 1;
    }
    (order, depth)
}
