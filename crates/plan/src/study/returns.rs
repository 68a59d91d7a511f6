//! What a return conductor can be made to carry.
//!
//! A return that a bar stands behind is the way home of every fault to that bar: it carries the
//! largest finite sustained current of the live conductors all of whose loads come home through
//! it. A return that only loads stand behind, with no bar, carries what can reach the `+` of
//! those loads. Both source by source, since a current goes home to the source it came from.
//!
//! Both nets are condensed to trees first: conductors in a ring belong to one node, for a load
//! behind a ring can come home through any part of it.

use ampwright_electrics::flow::Sustained;
use ampwright_notation::Kind;
use petgraph::graph::{EdgeIndex, NodeIndex};
use rustc_hash::{FxHashMap, FxHashSet};

use super::{
    Circuit,
    reach::{Direction, Net, everything_closed, outwards, search},
};
use crate::wiring::{Link, SupplyKind};

/// The figure of each return and the device that it comes from.
pub(super) type Returns = Vec<Option<(f64, Option<u32>)>>;

/// A source that currents come home to: a bank, or a converter's output.
pub(super) struct Root {
    pub(super) tops: Vec<NodeIndex>,
    pub(super) bottoms: Vec<NodeIndex>,
    /// The most it gives for ever, A.
    pub(super) amps: f64,
}

impl Root {
    /// Every one of a plan.
    pub(super) fn all(circuit: &Circuit<'_>) -> Vec<Self> {
        let banks = circuit.banks.list.iter().map(|bank| Self {
            tops: bank.tops.clone(),
            bottoms: bank.bottoms.clone(),
            amps: f64::INFINITY,
        });
        let stiff = circuit
            .wiring
            .supplies
            .iter()
            .filter(|supply| supply.kind != SupplyKind::Battery && circuit.is_stiff(supply));
        let others = stiff.map(|supply| Self {
            tops: vec![supply.plus],
            bottoms: vec![supply.minus],
            amps: supply.amps,
        });
        banks.chain(others).collect()
    }
}

/// What one direction through a conductor is made to carry by several sources.
struct Tally {
    /// Source by source, added up.
    sum: f64,
    /// What all sources together make of it: the same device may limit several.
    most: f64,
    /// The largest of them, and its device.
    largest: f64,
    device: Option<u32>,
}

impl Tally {
    fn add(&mut self, amps: f64, device: Option<u32>) {
        self.sum += amps;
        if amps > self.largest {
            (self.largest, self.device) = (amps, device);
        }
    }
}

/// For each conductor of the home net the most it can be made to carry for ever. `sustained` gives
/// for a root what it alone makes each live conductor carry, `together` what all do; short taps
/// left out of both; `None` for all roots where their number is past telling apart, and then what
/// all do stands for each. A source counts where its `-` lies on the conductor's other side:
/// sources that a current goes home to by the same way through it are added.
pub(super) fn returns(
    circuit: &Circuit<'_>,
    roots: &[Root],
    together: &[Option<Sustained>],
    sustained: impl Fn(&Root) -> Option<Vec<Option<Sustained>>>,
) -> Returns {
    let mut tallies: FxHashMap<(u32, NodeIndex), Tally> = FxHashMap::default();
    let is_wired = |root: &&Root| {
        let mut ends = root.bottoms.iter();
        ends.any(|&node| circuit.wiring.conductors_at(node).next().is_some())
    };
    let roots: Vec<&Root> = roots.iter().filter(is_wired).collect();
    for root in &roots {
        let own = sustained(root);
        let several = roots.len() > 1;
        for_root(
            circuit,
            root,
            own.as_deref(),
            together,
            several,
            &mut tallies,
        );
    }
    let mut answer: Returns = vec![None; circuit.wiring.conductors.len()];
    for ((conductor, _), tally) in tallies {
        raise(
            &mut answer[conductor as usize],
            Some((tally.sum.min(tally.most), tally.device)),
        );
    }
    answer
}

/// What current passes on its way home to a source: everything that draws, every charging source
/// and every other bank, for a fault at its terminals comes home the same way.
fn consumers(circuit: &Circuit<'_>, root: &Root) -> Vec<(NodeIndex, NodeIndex)> {
    let draws = circuit
        .wiring
        .draws
        .iter()
        .map(|draw| (draw.plus, draw.minus));
    let charging = circuit
        .wiring
        .supplies
        .iter()
        .filter(|supply| supply.kind.charges() || supply.kind == SupplyKind::Solar);
    let others = circuit.banks.list.iter();
    let others = others.filter(|bank| bank.tops != root.tops);
    draws
        .chain(charging.map(|supply| (supply.plus, supply.minus)))
        .chain(others.flat_map(|bank| across(&bank.tops, &bank.bottoms)))
        .collect()
}

/// Every top and every bottom of a bank at least once, not each with each.
fn across<'b>(
    tops: &'b [NodeIndex],
    bottoms: &'b [NodeIndex],
) -> impl Iterator<Item = (NodeIndex, NodeIndex)> + 'b {
    let pair = |at: usize| {
        Some((
            *tops.get(at).or(tops.last())?,
            *bottoms.get(at).or(bottoms.last())?,
        ))
    };
    (0..tops.len().max(bottoms.len())).filter_map(pair)
}

/// A tree over the graph's nodes: each node's parent edge, and an order from the root outwards.
struct Tree {
    net: Net,
    order: Vec<NodeIndex>,
    depth: Vec<u32>,
    /// Ring conductors: the node of the tree that stands for the ring (the nearest common one).
    rings: Vec<(u32, NodeIndex)>,
}

fn for_root(
    circuit: &Circuit<'_>,
    root: &Root,
    sustained: Option<&[Option<Sustained>]>,
    together: &[Option<Sustained>],
    several: bool,
    tallies: &mut FxHashMap<(u32, NodeIndex), Tally>,
) {
    let trees = (
        Tree::grow(circuit, &root.tops, Direction::Out),
        Tree::grow(circuit, &root.bottoms, Direction::Home),
    );
    let consumers = consumers(circuit, root);
    let own = figures(circuit, &consumers, sustained.unwrap_or(together), &trees);
    // What all do is no bound on one alone, and where it stands for each it is known already.
    let all =
        (several && sustained.is_some()).then(|| figures(circuit, &consumers, together, &trees));
    // A conductor of a ring is met twice at one node, and counts once.
    let met: FxHashSet<(u32, NodeIndex)> = trees.1.conductors(circuit).collect();
    for (conductor, node) in met {
        let Some((amps, device)) = own[node.index()] else {
            continue;
        };
        let most = match &all {
            Some(all) => all[node.index()].map_or(amps, |(most, _)| most),
            None if several => amps,
            None => f64::INFINITY,
        };
        let tally = tallies.entry((conductor, node)).or_insert(Tally {
            sum: 0.0,
            most,
            largest: 0.0,
            device,
        });
        tally.add(amps, device);
        tally.most = tally.most.max(most);
    }
}

/// For each node of the home tree what comes home through it.
fn figures(
    circuit: &Circuit<'_>,
    consumers: &[(NodeIndex, NodeIndex)],
    sustained: &[Option<Sustained>],
    (live, home): &(Tree, Tree),
) -> Vec<Figure> {
    let through_bars = through_bars(circuit, consumers, sustained, live, home);
    let own = own_circuits(circuit, consumers, sustained, live, home);
    let barred = behind_bars(circuit, home);
    let of = |node: usize| {
        if barred[node] {
            through_bars[node]
        } else {
            own[node].total()
        }
    };
    (0..home.depth.len()).map(of).collect()
}

type Figure = Option<(f64, Option<u32>)>;

fn raise(known: &mut Figure, found: Figure) {
    if let Some(found) = found.filter(|found| known.is_none_or(|known| found.0 > known.0)) {
        *known = Some(found);
    }
}

/// For each node of the home tree the largest figure of the live conductors whose loads all come
/// home through it.
fn through_bars(
    circuit: &Circuit<'_>,
    consumers: &[(NodeIndex, NodeIndex)],
    sustained: &[Option<Sustained>],
    live: &Tree,
    home: &Tree,
) -> Vec<Figure> {
    let mut carries: Vec<Figure> = vec![None; home.depth.len()];
    let meets = live_meets(circuit, consumers, live, home);
    for (conductor, sustained) in sustained.iter().enumerate() {
        let finite =
            sustained.filter(|sustained| sustained.amps.is_finite() && sustained.amps > 0.0);
        if let (Some(sustained), Some(meet)) = (finite, meets.get(&(conductor as u32))) {
            raise(
                &mut carries[meet.index()],
                Some((sustained.amps, sustained.device)),
            );
        }
    }
    for &node in home.order.iter().rev() {
        if let Some(parent) = home.parent(node) {
            let own = carries[node.index()];
            raise(&mut carries[parent.index()], own);
        }
    }
    carries
}

/// What reaches the `+` of some loads: one figure for each device, for they may share one.
#[derive(Clone, Default)]
struct Feeds(Vec<(Option<u32>, f64)>);

impl Feeds {
    fn add(&mut self, device: Option<u32>, amps: f64) {
        let same = self
            .0
            .iter()
            .position(|(known, _)| *known == device && device.is_some());
        match same {
            Some(known) => self.0[known].1 = self.0[known].1.max(amps),
            // Past a handful of devices the sum alone matters, and adding up is the safe reading.
            None if self.0.len() >= MOST_FEEDS => self.0[0].1 += amps,
            None => self.0.push((device, amps)),
        }
    }

    fn total(&self) -> Figure {
        let sum: f64 = self.0.iter().map(|(_, amps)| amps).sum();
        (sum.is_finite() && sum > 0.0)
            .then(|| (sum, self.0.first().and_then(|(device, _)| *device)))
    }
}

/// Devices told apart behind one return.
const MOST_FEEDS: usize = 8;

/// For each node of the home tree what reaches the `+` of the loads behind it, up to the first bar.
fn own_circuits(
    circuit: &Circuit<'_>,
    consumers: &[(NodeIndex, NodeIndex)],
    sustained: &[Option<Sustained>],
    live: &Tree,
    home: &Tree,
) -> Vec<Feeds> {
    let mut feeds = vec![Feeds::default(); home.depth.len()];
    for &(plus, minus) in consumers {
        if live.net[plus.index()].is_none() || home.net[minus.index()].is_none() {
            continue;
        }
        for conductor in circuit.wiring.conductors_at(plus) {
            if let Some(sustained) = sustained[conductor as usize] {
                feeds[minus.index()].add(sustained.device, sustained.amps);
            }
        }
    }
    for &node in home.order.iter().rev() {
        let Some(parent) = home.parent(node).filter(|_| !is_bar(circuit, node)) else {
            continue;
        };
        for (device, amps) in feeds[node.index()].clone().0 {
            feeds[parent.index()].add(device, amps);
        }
    }
    feeds
}

/// For each node of the home tree whether it is a bar or has one behind it.
fn behind_bars(circuit: &Circuit<'_>, home: &Tree) -> Vec<bool> {
    let mut barred: Vec<bool> = (0..home.depth.len())
        .map(|node| is_bar(circuit, NodeIndex::new(node)))
        .collect();
    for &node in home.order.iter().rev() {
        if let Some(parent) = home.parent(node) {
            barred[parent.index()] |= barred[node.index()];
        }
    }
    barred
}

fn is_bar(circuit: &Circuit<'_>, node: NodeIndex) -> bool {
    matches!(
        circuit.kind_at(node),
        Some(Kind::Busbar | Kind::Block | Kind::Panel)
    )
}

/// For each live conductor where in the home tree the ways home of all its loads meet.
fn live_meets(
    circuit: &Circuit<'_>,
    consumers: &[(NodeIndex, NodeIndex)],
    live: &Tree,
    home: &Tree,
) -> FxHashMap<u32, NodeIndex> {
    let mut meet: Vec<Option<NodeIndex>> = vec![None; live.depth.len()];
    for &(plus, minus) in consumers {
        if live.net[plus.index()].is_some() && home.net[minus.index()].is_some() {
            let known = &mut meet[plus.index()];
            *known = Some(known.map_or(minus, |known| home.meeting(known, minus)));
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

impl Tree {
    fn grow(circuit: &Circuit<'_>, roots: &[NodeIndex], direction: Direction) -> Self {
        let starts: Vec<(NodeIndex, u32, f64)> = roots.iter().map(|&root| (root, 0, 0.0)).collect();
        let net = search(circuit.wiring, &starts, direction, everything_closed);
        let (order, depth) = outwards(&net);
        let mut tree = Self {
            net,
            order,
            depth,
            rings: Vec::new(),
        };
        tree.find_rings(circuit, roots);
        tree
    }

    /// The root that a node hangs on.
    fn root_of(&self, node: NodeIndex) -> NodeIndex {
        let mut at = node;
        while let Some(parent) = self.parent(at) {
            at = parent;
        }
        at
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

    /// Conductors that close a ring carry what the whole ring can. One that joins two roots (the
    /// batteries of one bank) carries one's share of what comes home to any, and all of it once
    /// the others are dead.
    fn find_rings(&mut self, circuit: &Circuit<'_>, roots: &[NodeIndex]) {
        for (index, conductor) in circuit.wiring.conductors.iter().enumerate() {
            let ends = [conductor.from, conductor.to];
            let inside = ends.iter().all(|end| self.net[end.index()].is_some());
            let tree = ends.iter().any(|end| {
                self.net[end.index()].and_then(|reach| reach.by) == Some(conductor.edge)
            });
            if inside && !tree && conductor.edge != EdgeIndex::end() {
                if self.root_of(ends[0]) == self.root_of(ends[1]) {
                    let meet = self.meeting(ends[0], ends[1]);
                    self.rings.push((index as u32, meet));
                } else {
                    self.rings
                        .extend(roots.iter().map(|&root| (index as u32, root)));
                }
            }
            if self.rings.len() > MOST_LIFTED {
                break;
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
