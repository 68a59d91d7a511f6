//! Ways out and home: how far each node is from its source, what lies behind it, and where what
//! lies behind it comes home.

use ampwright_notation::{Key, Kind};
use petgraph::graph::NodeIndex;

use super::{Home, copper};
use crate::{
    study::{
        Circuit,
        reach::{Net, outwards},
    },
    wiring::{Link, SupplyKind, Term},
};

/// What lies behind a node, and where it comes home.
#[derive(Clone, Copy, Debug)]
pub(super) struct Behind {
    /// Where the ways home of all of it meet.
    pub(super) meet: Option<NodeIndex>,
    /// How many draws and charging sources.
    pub(super) count: u32,
}

/// Ways by the live net's and the home net's trees.
pub(super) struct Ways {
    /// For each node of the live net the metres of cable to its source.
    pub(super) metres: Vec<f64>,
    /// The nearest protective contact before each node, the node's own way in included.
    pub(super) device: Vec<Option<u32>>,
    /// Volts that diodes on the way take.
    pub(super) diodes: Vec<f64>,
    /// What lies behind each node.
    pub(super) behind: Vec<Behind>,
    home_metres: Vec<f64>,
    order: Vec<NodeIndex>,
}

/// Steps that the search for meeting points takes at most; beyond, a fault comes home like its way
/// out.
const MOST_STEPS: usize = 1 << 22;

/// Steps along one way home at most; beyond, nothing on the way home is counted.
const LONGEST_HOME: usize = 1 << 10;

impl Ways {
    pub(super) fn of(circuit: &Circuit<'_>) -> Self {
        let nodes = circuit.wiring.graph.node_count();
        let (order, _) = outwards(&circuit.live);
        let (home_order, depth) = outwards(&circuit.home);
        let mut ways = Self {
            metres: vec![0.0; nodes],
            device: vec![None; nodes],
            diodes: vec![0.0; nodes],
            behind: vec![
                Behind {
                    meet: None,
                    count: 0
                };
                nodes
            ],
            home_metres: vec![0.0; nodes],
            order,
        };
        ways.measure(circuit);
        ways.measure_home(circuit, &home_order);
        ways.gather(circuit, &depth);
        ways
    }

    fn measure(&mut self, circuit: &Circuit<'_>) {
        for &node in &self.order {
            let Some((from, link)) = step(circuit, &circuit.live, node) else {
                continue;
            };
            let (at, before) = (node.index(), from.index());
            self.metres[at] = self.metres[before] + metres_of(circuit, link);
            self.device[at] = self.device[before];
            self.diodes[at] = self.diodes[before];
            if let Link::Contact(index) = link {
                let contact = &circuit.wiring.contacts[index as usize];
                if contact.protects.is_some() {
                    self.device[at] = Some(index);
                }
                if contact.one_way {
                    self.diodes[at] += copper::diode_drop(circuit, contact);
                }
            }
        }
    }

    fn measure_home(&mut self, circuit: &Circuit<'_>, order: &[NodeIndex]) {
        for &node in order {
            if let Some((from, link)) = step(circuit, &circuit.home, node) {
                self.home_metres[node.index()] =
                    self.home_metres[from.index()] + metres_of(circuit, link);
            }
        }
    }

    /// From the far ends back: what lies behind each node.
    fn gather(&mut self, circuit: &Circuit<'_>, depth: &[u32]) {
        let mut steps = 0;
        for (plus, minus) in consumers(circuit) {
            if circuit.live[plus.index()].is_none() {
                continue;
            }
            let own = Behind {
                meet: circuit.home[minus.index()].map(|_| minus),
                count: 1,
            };
            self.join(circuit, depth, plus, own, &mut steps);
        }
        for index in (0..self.order.len()).rev() {
            let node = self.order[index];
            if let Some((from, _)) = step(circuit, &circuit.live, node) {
                let own = self.behind[node.index()];
                self.join(circuit, depth, from, own, &mut steps);
            }
        }
    }

    fn join(
        &mut self,
        circuit: &Circuit<'_>,
        depth: &[u32],
        node: NodeIndex,
        other: Behind,
        steps: &mut usize,
    ) {
        let behind = &mut self.behind[node.index()];
        behind.meet = match (behind.meet, other.meet) {
            (Some(a), Some(b)) => meeting(&circuit.home, depth, a, b, steps),
            (one, other) => one.or(other),
        };
        behind.count = behind.count.saturating_add(other.count);
    }

    /// How the smallest fault at a node comes home.
    pub(super) fn home(&self, circuit: &Circuit<'_>, node: NodeIndex) -> Home {
        let behind = self.behind[node.index()];
        match (behind.meet, behind.count) {
            (Some(meet), 1) => Home::From(meet),
            (meet, _) => match (bar_of(circuit, node), meet) {
                (Some(bar), _) => Home::From(bar),
                (None, Some(meet)) => Home::Shared(meet),
                (None, None) => Home::AsOut,
            },
        }
    }

    /// How the largest fault at a device's output comes home.
    pub(super) fn shortest_home(
        &self,
        circuit: &Circuit<'_>,
        node: NodeIndex,
        metal: bool,
    ) -> Option<Home> {
        let reach = circuit.live[node.index()]?;
        let source = &circuit.wiring.supplies[reach.source as usize];
        let metres = self.metres[node.index()];
        let near = source.kind == SupplyKind::Battery && metres <= super::NEAR_POST + 1e-6;
        let straight = Home::Straight(source.minus);
        if near || metal {
            return Some(straight);
        }
        if let Some(bar) = bar_of(circuit, node) {
            return Some(Home::From(bar));
        }
        let beside = self.behind[node.index()]
            .meet
            .and_then(|meet| self.beside(circuit, meet, metres));
        Some(beside.map_or(straight, Home::From))
    }

    /// The first point on the way home from a node that is no farther than some metres from where
    /// it comes home to.
    fn beside(&self, circuit: &Circuit<'_>, from: NodeIndex, metres: f64) -> Option<NodeIndex> {
        let mut at = from;
        for _ in 0..LONGEST_HOME {
            if self.home_metres[at.index()] <= metres {
                return Some(at);
            }
            at = step(circuit, &circuit.home, at)?.0;
        }
        None
    }
}

/// The way in of a node and where it comes from.
fn step(circuit: &Circuit<'_>, net: &Net, node: NodeIndex) -> Option<(NodeIndex, Link)> {
    let reach = net[node.index()]?;
    let link = circuit.wiring.graph.edge_weight(reach.by?)?;
    Some((reach.from, *link))
}

fn metres_of(circuit: &Circuit<'_>, link: Link) -> f64 {
    match link {
        Link::Conductor(index) => circuit.wiring.conductors[index as usize]
            .metres
            .unwrap_or(0.0)
            .max(0.0),
        _ => 0.0,
    }
}

/// What draws, and what charges: a fault at its `+` comes home from its `-`.
fn consumers<'a>(circuit: &'a Circuit<'_>) -> impl Iterator<Item = (NodeIndex, NodeIndex)> + 'a {
    let draws = circuit.wiring.draws.iter();
    let supplies = circuit.wiring.supplies.iter();
    let charging = supplies.filter(|supply| {
        // What a net begins at has nothing before it that could feed a fault there.
        supply.kind != SupplyKind::Battery
            && circuit.live[supply.plus.index()].is_some_and(|reach| reach.by.is_some())
    });
    draws
        .map(|draw| (draw.plus, draw.minus))
        .chain(charging.map(|supply| (supply.plus, supply.minus)))
}

/// The bar that a panel's circuits return to, where a node is the panel's.
fn bar_of(circuit: &Circuit<'_>, node: NodeIndex) -> Option<NodeIndex> {
    let weight = circuit.wiring.graph.node_weight(node)?;
    let panel = weight.part?;
    if circuit.model.get(panel).kind != Kind::Panel {
        return None;
    }
    let name = circuit.facts(panel).name(Key::Returns)?;
    let bar = circuit.wiring.terminal(circuit.model.part(name)?, Term::Bar)?;
    circuit.home[bar.index()].map(|_| bar)
}

/// Where two ways home meet; `None` where that took too many steps.
fn meeting(
    home: &Net,
    depth: &[u32],
    a: NodeIndex,
    b: NodeIndex,
    steps: &mut usize,
) -> Option<NodeIndex> {
    let parent = |node: NodeIndex| {
        let reach = home[node.index()]?;
        reach.by.map(|_| reach.from)
    };
    let (mut a, mut b) = (a, b);
    while a != b {
        *steps += 1;
        if *steps > MOST_STEPS {
            return None;
        }
        let deeper = depth[a.index()] >= depth[b.index()];
        match (parent(if deeper { a } else { b }), deeper) {
            (Some(next), true) => a = next,
            (Some(next), false) => b = next,
            // Two batteries of one bank, or two that share no conductor: either stands for it.
            (None, _) => return Some(if deeper { a } else { b }),
        }
    }
    Some(a)
}
