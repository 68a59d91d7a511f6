//! Ways out and home: how far each node is from its source, what lies behind it, and where what
//! lies behind it comes home.

use ampwright_notation::{Key, Kind};
use petgraph::{graph::NodeIndex, unionfind::UnionFind};

use super::{Home, copper, tree::Tree};
use crate::{
    study::Circuit,
    wiring::{Link, SupplyKind, Term},
};

/// What lies behind a node, and where it comes home.
#[derive(Clone, Copy, Debug)]
pub(super) struct Behind {
    /// Where the ways home of all of it meet.
    meet: Option<NodeIndex>,
    /// How many draws and charging sources.
    pub(super) count: u32,
    /// Where it is one, the metres of cable to it.
    metres: f64,
}

const NOTHING: Behind = Behind {
    meet: None,
    count: 0,
    metres: 0.0,
};

/// Ways by the trees of the live net and of the way home.
pub(super) struct Ways {
    pub(super) live: Tree,
    home: Tree,
    /// For each node of the live net the metres of cable to its source.
    metres: Vec<f64>,
    home_metres: Vec<f64>,
    /// The nearest protective contact before each node, the node's own way in included.
    pub(super) device: Vec<Option<u32>>,
    /// Volts that diodes on the way take.
    pub(super) diodes: Vec<f64>,
    /// What lies behind each node.
    pub(super) behind: Vec<Behind>,
    /// For each supply its net: those whose trees touch have one.
    nets: Vec<u32>,
    /// For each net what hangs on it in all.
    whole: Vec<Behind>,
}

/// Steps that the search for meeting points takes at most; beyond, a fault comes home like its way
/// out.
const MOST_STEPS: usize = 1 << 22;

/// Steps along one way home at most; beyond, nothing on the way home is counted in the largest, and
/// more than need be in the smallest.
const LONGEST_HOME: usize = 1 << 8;

impl Ways {
    pub(super) fn of(circuit: &Circuit<'_>, ohms: &[f64]) -> Self {
        let nodes = circuit.wiring.graph.node_count();
        let (live, home) = (Tree::live(circuit, ohms), Tree::home(circuit, ohms));
        let home_metres = metres(circuit, &home);
        let mut ways = Self {
            metres: metres(circuit, &live),
            home_metres,
            device: vec![None; nodes],
            diodes: vec![0.0; nodes],
            behind: vec![NOTHING; nodes],
            nets: nets(circuit, &live),
            whole: vec![NOTHING; circuit.wiring.supplies.len()],
            live,
            home,
        };
        ways.pass_contacts(circuit);
        ways.gather(circuit);
        ways
    }

    /// From the sources outwards: the last device and the diodes before each node.
    fn pass_contacts(&mut self, circuit: &Circuit<'_>) {
        for &node in &self.live.order {
            let Some((from, link)) = self.live.step(circuit, node) else {
                continue;
            };
            let (at, before) = (node.index(), from.index());
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

    /// From the far ends back: what lies behind each node.
    fn gather(&mut self, circuit: &Circuit<'_>) {
        let mut steps = 0;
        for (plus, minus) in self.consumers(circuit) {
            let own = Behind {
                meet: Some(minus).filter(|&minus| self.home.reaches(minus)),
                count: 1,
                metres: 0.0,
            };
            self.behind[plus.index()] = self.together(self.behind[plus.index()], own, &mut steps);
        }
        for index in (0..self.live.order.len()).rev() {
            let node = self.live.order[index];
            let mut own = self.behind[node.index()];
            if let Some((from, link)) = self.live.step(circuit, node) {
                own.metres += metres_of(circuit, link);
                let before = self.behind[from.index()];
                self.behind[from.index()] = self.together(before, own, &mut steps);
            } else if let Some(net) = self.net(node) {
                self.whole[net] = self.together(self.whole[net], own, &mut steps);
            }
        }
    }

    /// The net that a node lies in.
    fn net(&self, node: NodeIndex) -> Option<usize> {
        Some(self.nets[self.live.supply(node)? as usize] as usize)
    }

    fn together(&self, one: Behind, other: Behind, steps: &mut usize) -> Behind {
        if one.count == 0 {
            return other;
        }
        if other.count == 0 {
            return one;
        }
        Behind {
            meet: match (one.meet, other.meet) {
                (Some(a), Some(b)) => self.meeting(a, b, steps),
                (one, other) => one.or(other),
            },
            count: one.count.saturating_add(other.count),
            metres: 0.0,
        }
    }

    /// What draws, and what charges: a fault at its `+` comes home from its `-`. What a net begins
    /// at has nothing before it that could feed a fault there.
    fn consumers(&self, circuit: &Circuit<'_>) -> Vec<(NodeIndex, NodeIndex)> {
        let draws = circuit.wiring.draws.iter();
        let supplies = circuit.wiring.supplies.iter();
        let charging = supplies.filter(|supply| {
            supply.kind != SupplyKind::Battery && self.live.up(supply.plus).is_some()
        });
        let draws = draws.filter(|draw| self.live.reaches(draw.plus));
        draws
            .map(|draw| (draw.plus, draw.minus))
            .chain(charging.map(|supply| (supply.plus, supply.minus)))
            .collect()
    }

    /// How the smallest fault at a node comes home.
    pub(super) fn home(&self, circuit: &Circuit<'_>, node: NodeIndex) -> Home {
        let behind = self.behind[node.index()];
        if let (Some(meet), 1) = (behind.meet, behind.count) {
            return Home::From(self.abreast(circuit, meet, behind.metres));
        }
        if let Some(bar) = self.bar_of(circuit, node) {
            return Home::From(bar);
        }
        let whole = self
            .live
            .supply(node)
            .map_or(NOTHING, |supply| self.whole[supply as usize]);
        behind.meet.or(whole.meet).map_or(Home::AsOut, Home::Shared)
    }

    /// How the largest fault at a device's output comes home.
    pub(super) fn shortest_home(
        &self,
        circuit: &Circuit<'_>,
        node: NodeIndex,
        metal: bool,
    ) -> Option<Home> {
        let source = &circuit.wiring.supplies[self.live.supply(node)? as usize];
        let metres = self.metres[node.index()];
        let near = source.kind == SupplyKind::Battery && metres <= super::NEAR_POST + 1e-6;
        let straight = Home::Straight(source.minus);
        if near || metal {
            return Some(straight);
        }
        if let Some(bar) = self.bar_of(circuit, node) {
            return Some(Home::From(bar));
        }
        let meet = self.behind[node.index()].meet;
        let beside = meet.and_then(|meet| self.beside(meet, metres));
        Some(beside.map_or(straight, Home::From))
    }

    /// The last point on the way home from a part's `-` that lies no farther from it along the
    /// cable than some metres: beside the fault or behind it.
    fn abreast(&self, circuit: &Circuit<'_>, from: NodeIndex, metres: f64) -> NodeIndex {
        let (mut at, mut gone) = (from, 0.0);
        for _ in 0..LONGEST_HOME {
            let Some((next, link)) = self.home.step(circuit, at) else {
                break;
            };
            gone += metres_of(circuit, link);
            if gone > metres + 1e-9 {
                break;
            }
            at = next;
        }
        at
    }

    /// The first point on the way home from a node that is no farther than some metres from where
    /// it comes home to.
    fn beside(&self, from: NodeIndex, metres: f64) -> Option<NodeIndex> {
        let mut at = from;
        for _ in 0..LONGEST_HOME {
            if self.home_metres[at.index()] <= metres {
                return Some(at);
            }
            at = self.home.up(at)?.1;
        }
        None
    }

    /// The bar that a panel's circuits return to, where a node is the panel's.
    fn bar_of(&self, circuit: &Circuit<'_>, node: NodeIndex) -> Option<NodeIndex> {
        let panel = circuit.wiring.graph.node_weight(node)?.part?;
        if circuit.model.get(panel).kind != Kind::Panel {
            return None;
        }
        let name = circuit.facts(panel).name(Key::Returns)?;
        let part = circuit.model.part(name)?;
        let bar = circuit.wiring.terminal(part, Term::Bar)?;
        self.home.reaches(bar).then_some(bar)
    }

    /// Where two ways home meet; `None` where that took too many steps.
    fn meeting(&self, a: NodeIndex, b: NodeIndex, steps: &mut usize) -> Option<NodeIndex> {
        let (mut a, mut b) = (a, b);
        while a != b {
            *steps += 1;
            if *steps > MOST_STEPS {
                return None;
            }
            let deeper = self.home.depth(a) >= self.home.depth(b);
            match (self.home.up(if deeper { a } else { b }), deeper) {
                (Some((_, next)), true) => a = next,
                (Some((_, next)), false) => b = next,
                // Two batteries of one bank, or two that share no conductor: either stands for it.
                (None, _) => return Some(if deeper { a } else { b }),
            }
        }
        Some(a)
    }
}

/// For each supply one that stands for all whose trees touch its own.
fn nets(circuit: &Circuit<'_>, live: &Tree) -> Vec<u32> {
    let mut sets = UnionFind::<u32>::new(circuit.wiring.supplies.len());
    for edge in circuit.wiring.graph.raw_edges() {
        let joins = matches!(
            edge.weight,
            Link::Conductor(_) | Link::Contact(_) | Link::Gap
        );
        let ends = (live.supply(edge.source()), live.supply(edge.target()));
        if let (true, (Some(one), Some(other))) = (joins, ends) {
            sets.union(one, other);
        }
    }
    sets.into_labeling()
}

/// For each node the metres of cable to where its way begins.
fn metres(circuit: &Circuit<'_>, tree: &Tree) -> Vec<f64> {
    let mut metres = vec![0.0; circuit.wiring.graph.node_count()];
    for &node in &tree.order {
        if let Some((from, link)) = tree.step(circuit, node) {
            metres[node.index()] = metres[from.index()] + metres_of(circuit, link);
        }
    }
    metres
}

fn metres_of(circuit: &Circuit<'_>, link: Link) -> f64 {
    match link {
        Link::Conductor(index) => {
            let metres = circuit.wiring.conductors[index as usize].metres;
            metres.unwrap_or(0.0).max(0.0)
        }
        _ => 0.0,
    }
}
