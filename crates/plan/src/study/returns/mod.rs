//! What a return conductor can be made to carry.
//!
//! A return that a bar stands behind is the way home of every fault to that bar: it carries the
//! largest finite sustained current of the live conductors all of whose loads come home through
//! it. A return that only loads stand behind, with no bar, carries what can reach the `+` of
//! those loads. Both source by source, since a current goes home to the source it came from.
//!
//! Both nets are condensed to trees first ([`tree`]): what hangs together in rings stands at one
//! node, for a load behind a ring can come home through any part of it. Of the home net only the blocks between a
//! source and what it feeds are walked ([`region`]), so that hulls which share a negative cost no
//! more together than apart; sources that share a live net are bounded by [`MOST_ROOTS`].

mod region;
mod tree;

use std::collections::BTreeMap;

use ampwright_electrics::flow::Sustained;
use ampwright_notation::Kind;
use petgraph::graph::NodeIndex;
use rustc_hash::{FxHashMap, FxHashSet};

use super::{
    Circuit,
    joined::Joined,
    reach::{Direction, Net, everything_closed},
};
use crate::wiring::{Supply, SupplyKind};
use region::Bars;
use tree::Tree;

/// With more sources than this, all of them together stand for each: safe, and bounded.
pub(super) const MOST_ROOTS: usize = 32;

/// So far is gone back from a load's `+`, past contacts and short taps, whose own figure is left out.
const MOST_BEFORE: usize = 16;

/// The figure of each return and the device that it comes from.
pub(super) type Returns = Vec<Option<(f64, Option<u32>)>>;

/// A source that currents come home to: a bank, or a converter's output.
#[derive(Clone)]
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

    /// Several as one.
    fn merged(roots: &[&Self]) -> Self {
        Self {
            tops: roots.iter().flat_map(|root| root.tops.clone()).collect(),
            bottoms: roots.iter().flat_map(|root| root.bottoms.clone()).collect(),
            amps: roots.iter().map(|root| root.amps).sum(),
        }
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
    let is_wired = |root: &&Root| {
        let mut ends = root.bottoms.iter();
        ends.any(|&node| circuit.wiring.conductors_at(node).next().is_some())
    };
    let walk = Walk::of(circuit);
    let wired: Vec<&Root> = roots.iter().filter(is_wired).collect();
    let several = wired.len() > 1;
    let mut tallies = Tallies::default();
    let mut scratch: Net = vec![None; circuit.wiring.graph.node_count()];
    for root in walk.grouped(&wired) {
        let own = sustained(&root);
        let trees = walk.trees(circuit, &mut scratch, &root);
        let figures = match own.as_deref() {
            Some(alone) => trees.one_after_another(circuit, alone, trees.figures(circuit, alone)),
            None => trees.figures(circuit, together),
        };
        // What all do is no bound on one alone, and where it stands for each it is known already.
        let all = (several && own.is_some()).then(|| trees.figures(circuit, together));
        trees.tally(circuit, &figures, all.as_deref(), several, &mut tallies);
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

/// For each conductor and each node that it stands at.
type Tallies = FxHashMap<(u32, NodeIndex), Tally>;

/// What sends current home: its two sides.
#[derive(Clone, Copy)]
struct Consumer {
    plus: NodeIndex,
    minus: NodeIndex,
    /// For a bank its first top: it feeds everything but itself.
    bank: Option<NodeIndex>,
}

/// What is walked for every source: all that is joined, and what current passes on its way home.
struct Walk {
    joined: Joined,
    bars: Bars,
    consumers: Vec<Consumer>,
    /// The consumers at each `+`.
    at: FxHashMap<NodeIndex, Vec<u32>>,
}

/// What one source reaches, what it feeds, and the part of the home net between.
struct Trees {
    live: Tree,
    home: Tree,
    /// By their nodes in the trees.
    consumers: Vec<Consumer>,
    /// For each node of the home tree whether it is a bar or has one behind it.
    barred: Vec<bool>,
}

impl Walk {
    /// Everything that draws, every charging source and every bank, for a fault at its terminals
    /// comes home the same way.
    fn of(circuit: &Circuit<'_>) -> Self {
        let wiring = circuit.wiring;
        let one = |plus, minus, bank| Consumer { plus, minus, bank };
        let draws = wiring.draws.iter();
        let sends = |supply: &&Supply| supply.kind.charges() || supply.kind == SupplyKind::Solar;
        let charging = wiring.supplies.iter().filter(sends);
        let banks = circuit.banks.list.iter().flat_map(|bank| {
            let pairs = across(&bank.tops, &bank.bottoms);
            pairs.map(move |(plus, minus)| one(plus, minus, bank.tops.first().copied()))
        });
        let consumers: Vec<Consumer> = draws
            .map(|draw| one(draw.plus, draw.minus, None))
            .chain(charging.map(|supply| one(supply.plus, supply.minus, None)))
            .chain(banks)
            .collect();
        let mut at: FxHashMap<NodeIndex, Vec<u32>> = FxHashMap::default();
        for (consumer, index) in consumers.iter().zip(0..) {
            at.entry(consumer.plus).or_default().push(index);
        }
        let joined = Joined::of(wiring, everything_closed);
        Self {
            bars: Bars::of(circuit, &joined),
            joined,
            consumers,
            at,
        }
    }

    /// The sources one by one; those of a live net that holds more than [`MOST_ROOTS`] as one.
    fn grouped(&self, roots: &[&Root]) -> Vec<Root> {
        let mut pieces: BTreeMap<Option<u32>, Vec<&Root>> = BTreeMap::new();
        for &root in roots {
            let piece = root.tops.first().map(|&top| self.joined.piece(top));
            pieces.entry(piece).or_default().push(root);
        }
        let groups = pieces.into_values().flat_map(|roots| match roots.len() {
            0..=MOST_ROOTS => roots.into_iter().cloned().collect(),
            _ => vec![Root::merged(&roots)],
        });
        groups.collect()
    }

    fn trees(&self, circuit: &Circuit<'_>, scratch: &mut Net, root: &Root) -> Trees {
        let live = Tree::grow(
            circuit,
            scratch,
            &root.tops,
            Direction::Out,
            everything_closed,
        );
        let consumers = self.fed(root, &live);
        let minuses = consumers.iter().map(|consumer| consumer.minus);
        let blocks = self
            .joined
            .between(minuses.chain(root.bottoms.iter().copied()));
        let home = Tree::grow(
            circuit,
            scratch,
            &root.bottoms,
            Direction::Home,
            |edge, link| everything_closed(edge, link) && blocks.contains(&self.joined.block(edge)),
        );
        let reached = |consumer: &Consumer| {
            Some(Consumer {
                plus: live.local(consumer.plus)?,
                minus: home.local(consumer.minus)?,
                bank: consumer.bank,
            })
        };
        let beside = self.bars.beside(&self.joined, &blocks, &home);
        Trees {
            consumers: consumers.iter().filter_map(reached).collect(),
            barred: behind_bars(&home, beside),
            live,
            home,
        }
    }

    /// What a source feeds: all that draws, and every other bank.
    fn fed(&self, root: &Root, live: &Tree) -> Vec<Consumer> {
        let own: FxHashSet<NodeIndex> = root.tops.iter().copied().collect();
        let at = live.nodes.iter().filter_map(|node| self.at.get(node));
        let mut fed: Vec<u32> = at.flatten().copied().collect();
        fed.sort_unstable();
        fed.into_iter()
            .map(|index| self.consumers[index as usize])
            .filter(|consumer| consumer.bank.is_none_or(|top| !own.contains(&top)))
            .collect()
    }
}

impl Trees {
    fn tally(
        &self,
        circuit: &Circuit<'_>,
        own: &[Figure],
        all: Option<&[Figure]>,
        several: bool,
        tallies: &mut Tallies,
    ) {
        for (conductor, node) in self.stands(circuit, own) {
            let Some((amps, device)) = own[node.index()] else {
                continue;
            };
            let most = match all {
                Some(all) => all[node.index()].map_or(amps, |(most, _)| most),
                None if several => amps,
                None => f64::INFINITY,
            };
            let place = (conductor, self.home.nodes[node.index()]);
            let tally = tallies.entry(place).or_insert(Tally {
                sum: 0.0,
                most,
                largest: 0.0,
                device,
            });
            tally.add(amps, device);
            tally.most = tally.most.max(most);
        }
    }

    /// Each conductor of the home tree with the nodes that it stands at. One of a ring is met twice
    /// at one node, and counts once; one between two roots stands at every root, or at the one that
    /// most comes home to, where they are many.
    fn stands(&self, circuit: &Circuit<'_>, figures: &[Figure]) -> FxHashSet<(u32, NodeIndex)> {
        let amps = |node: &NodeIndex| figures[node.index()].map_or(0.0, |(amps, _)| amps);
        let most = self
            .home
            .roots
            .iter()
            .max_by(|a, b| amps(a).total_cmp(&amps(b)));
        let roots = match self.home.roots.len() {
            0..=MOST_ROOTS => &self.home.roots[..],
            _ => most.map_or(&[][..], std::slice::from_ref),
        };
        let joins = self.home.joins.iter();
        let joins = joins.flat_map(|&join| roots.iter().map(move |&root| (join, root)));
        self.home.conductors(circuit).chain(joins).collect()
    }

    /// For each node of the home tree what comes home through it.
    fn figures(&self, circuit: &Circuit<'_>, sustained: &[Option<Sustained>]) -> Vec<Figure> {
        let through_bars = self.through_bars(circuit, sustained);
        let own = self.own_circuits(circuit, sustained);
        let of = |node: usize| {
            if self.barred[node] {
                through_bars[node]
            } else {
                own[node].total()
            }
        };
        (0..self.home.nodes.len()).map(of).collect()
    }

    /// Figures of one source alone, where no bar stands behind no larger than what comes to the
    /// point from which all the loads behind a return are fed: devices one after another let no
    /// more through than the smallest. Not where something may come to them past that point.
    fn one_after_another(
        &self,
        circuit: &Circuit<'_>,
        alone: &[Option<Sustained>],
        mut figures: Vec<Figure>,
    ) -> Vec<Figure> {
        if !self.live.is_simple(circuit) {
            return figures;
        }
        let parting = self.feeds_part();
        for ((figure, node), barred) in figures.iter_mut().zip(parting).zip(&self.barred) {
            let node = node.filter(|_| !barred);
            let before = node.and_then(|node| self.before(circuit, alone, node));
            if let (Some(own), Some(before)) = (*figure, before)
                && before.0 < own.0
            {
                *figure = Some(before);
            }
        }
        figures
    }

    /// For each node of the home tree where in the live tree the ways to all loads behind it part.
    fn feeds_part(&self) -> Vec<Option<NodeIndex>> {
        let (live, home) = (&self.live, &self.home);
        let mut parts: Vec<Option<NodeIndex>> = vec![None; home.nodes.len()];
        for consumer in &self.consumers {
            let known = &mut parts[consumer.minus.index()];
            *known = Some(known.map_or(consumer.plus, |known| live.meeting(known, consumer.plus)));
        }
        for &node in home.order.iter().rev() {
            if let (Some(own), Some(parent)) = (parts[node.index()], home.parent(node)) {
                let known = &mut parts[parent.index()];
                *known = Some(known.map_or(own, |known| live.meeting(known, own)));
            }
        }
        parts
    }

    /// What the last conductor before a node of the live tree lets through.
    fn before(
        &self,
        circuit: &Circuit<'_>,
        sustained: &[Option<Sustained>],
        node: NodeIndex,
    ) -> Figure {
        let mut at = node;
        for _ in 0..MOST_BEFORE {
            let reach = self.live.net[at.index()]?;
            let conductor = circuit.conductor_of(reach.by?);
            if let Some(sustained) = conductor.and_then(|index| sustained[index as usize]) {
                let finite = sustained.amps.is_finite();
                return finite.then_some((sustained.amps, sustained.device));
            }
            at = reach.from;
        }
        None
    }

    /// For each node of the home tree the largest figure of the live conductors whose loads all come
    /// home through it.
    fn through_bars(&self, circuit: &Circuit<'_>, sustained: &[Option<Sustained>]) -> Vec<Figure> {
        let mut carries: Vec<Figure> = vec![None; self.home.nodes.len()];
        for (conductor, meet) in self.live_meets(circuit) {
            let finite = sustained[conductor as usize]
                .filter(|sustained| sustained.amps.is_finite() && sustained.amps > 0.0);
            if let Some(sustained) = finite {
                raise(
                    &mut carries[meet.index()],
                    Some((sustained.amps, sustained.device)),
                );
            }
        }
        for &node in self.home.order.iter().rev() {
            if let Some(parent) = self.home.parent(node) {
                let own = carries[node.index()];
                raise(&mut carries[parent.index()], own);
            }
        }
        carries
    }

    /// For each node of the home tree what reaches the `+` of the loads behind it, up to the first bar.
    fn own_circuits(&self, circuit: &Circuit<'_>, sustained: &[Option<Sustained>]) -> Vec<Feeds> {
        let mut feeds = vec![Feeds::default(); self.home.nodes.len()];
        for consumer in &self.consumers {
            let plus = self.live.nodes[consumer.plus.index()];
            for conductor in circuit.wiring.conductors_at(plus) {
                if let Some(sustained) = sustained[conductor as usize] {
                    feeds[consumer.minus.index()].add(sustained.device, sustained.amps);
                }
            }
        }
        for &node in self.home.order.iter().rev() {
            let bar = is_bar(circuit, self.home.nodes[node.index()]);
            let Some(parent) = self.home.parent(node).filter(|_| !bar) else {
                continue;
            };
            for (device, amps) in feeds[node.index()].clone().0 {
                feeds[parent.index()].add(device, amps);
            }
        }
        feeds
    }

    /// For each live conductor where in the home tree the ways home of all its loads meet.
    fn live_meets(&self, circuit: &Circuit<'_>) -> BTreeMap<u32, NodeIndex> {
        let (live, home) = (&self.live, &self.home);
        let mut meet: Vec<Option<NodeIndex>> = vec![None; live.nodes.len()];
        for consumer in &self.consumers {
            let known = &mut meet[consumer.plus.index()];
            *known =
                Some(known.map_or(consumer.minus, |known| home.meeting(known, consumer.minus)));
        }
        for &node in live.order.iter().rev() {
            if let (Some(own), Some(parent)) = (meet[node.index()], live.parent(node)) {
                let known = meet[parent.index()];
                meet[parent.index()] = Some(known.map_or(own, |known| home.meeting(known, own)));
            }
        }
        let joins = live.joins.iter();
        let joins = joins.flat_map(|&join| live.roots.iter().map(move |&root| (join, root)));
        live.conductors(circuit)
            .chain(joins)
            .filter_map(|(conductor, node)| Some((conductor, meet[node.index()]?)))
            .collect()
    }
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

type Figure = Option<(f64, Option<u32>)>;

fn raise(known: &mut Figure, found: Figure) {
    if let Some(found) = found.filter(|found| known.is_none_or(|known| found.0 > known.0)) {
        *known = Some(found);
    }
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

/// For each node of the home tree whether it is a bar or has one behind it, in the tree or `beside` it.
fn behind_bars(home: &Tree, beside: Vec<bool>) -> Vec<bool> {
    let mut barred = beside;
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
