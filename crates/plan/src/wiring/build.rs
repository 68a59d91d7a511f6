//! The order of building: parts first, then runs in the order of the text, then what only the
//! whole shows (bundles of multicores, rows of lamps).

use ampwright_notation::{Key, Kind};
use petgraph::{graph::NodeIndex, unionfind::UnionFind};
use rustc_hash::{FxHashMap, FxHashSet};

use super::{Contact, Device, Link, Supply, SupplyKind, Term, Wiring};
use crate::{
    finding::Finding,
    model::{Model, PartId, amount},
    site::Site,
    sources::Sources,
};

/// What building needs at hand.
pub(super) struct Builder<'a> {
    pub(super) sources: &'a Sources,
    pub(super) model: &'a Model,
    pub(super) wiring: Wiring,
    pub(super) findings: Vec<Finding>,
    /// Pairs of negatives joined inside a box.
    pub(super) common_negatives: Vec<(NodeIndex, NodeIndex)>,
    /// Cores of multicores that a run has used, and where.
    pub(super) cores: FxHashMap<(PartId, u32), Site>,
    /// Shunts that the runs pass from their system side to their battery side.
    pub(super) homeward: FxHashSet<PartId>,
}

/// The wiring of a plan, and what its runs get wrong.
///
/// A shunt's sides are told apart by the network, which only the whole shows: where a run passes
/// one homeward, everything is built once more with that shunt the other way round.
pub fn build(sources: &Sources, model: &Model) -> (Wiring, Vec<Finding>) {
    let built = build_with(sources, model, FxHashSet::default());
    let homeward = passed_homeward(&built.0);
    if homeward.is_empty() {
        built
    } else {
        build_with(sources, model, homeward)
    }
}

/// Shunts whose sides are the other way round than the runs pass them: only `out` leads to a
/// battery, or both do and more draws and charges on the side of `feed`.
fn passed_homeward(wiring: &Wiring) -> FxHashSet<PartId> {
    if !wiring.contacts.iter().any(is_shunt) {
        return FxHashSet::default();
    }
    let pieces = pieces_between_shunts(wiring);
    let piece = |node: NodeIndex| pieces.find(node.index() as u32);
    let (batteries, users) = served(wiring, piece);
    let homeward = |shunt: &&Contact| {
        let (feed, out) = (piece(shunt.feed), piece(shunt.out));
        let of = |side: u32| users.get(&side).copied().unwrap_or(0);
        match (batteries.contains(&feed), batteries.contains(&out)) {
            (false, true) => true,
            (true, true) => of(feed) > of(out),
            _ => false,
        }
    };
    let shunts = wiring.contacts.iter().filter(|contact| is_shunt(contact));
    shunts.filter(homeward).map(|shunt| shunt.part).collect()
}

fn is_shunt(contact: &Contact) -> bool {
    contact.device == Device::Shunt
}

/// What hangs together once every shunt is taken out.
fn pieces_between_shunts(wiring: &Wiring) -> UnionFind<u32> {
    let mut pieces = UnionFind::new(wiring.graph.node_count());
    for edge in wiring.graph.raw_edges() {
        let joins = match edge.weight {
            Link::Contact(index) => !is_shunt(&wiring.contacts[index as usize]),
            Link::Draw(_) | Link::Supply(_) => false,
            Link::Conductor(_) | Link::Inside | Link::Gap => true,
        };
        if joins {
            pieces.union(edge.source().index() as u32, edge.target().index() as u32);
        }
    }
    pieces
}

/// The pieces that a battery stands in, and how many ends of other parts stand in each.
fn served(
    wiring: &Wiring,
    piece: impl Fn(NodeIndex) -> u32,
) -> (FxHashSet<u32>, FxHashMap<u32, u32>) {
    let is_battery = |supply: &&Supply| supply.kind == SupplyKind::Battery;
    let (batteries, sources): (Vec<&Supply>, Vec<&Supply>) =
        wiring.supplies.iter().partition(is_battery);
    let posts = batteries
        .iter()
        .flat_map(|supply| [supply.plus, supply.minus]);
    let of_sources = sources
        .iter()
        .flat_map(|supply| [supply.plus, supply.minus]);
    let of_draws = wiring.draws.iter().flat_map(|draw| [draw.plus, draw.minus]);
    let mut users: FxHashMap<u32, u32> = FxHashMap::default();
    for end in of_sources.chain(of_draws) {
        *users.entry(piece(end)).or_default() += 1;
    }
    (posts.map(&piece).collect(), users)
}

fn build_with(
    sources: &Sources,
    model: &Model,
    homeward: FxHashSet<PartId>,
) -> (Wiring, Vec<Finding>) {
    let mut builder = Builder {
        sources,
        model,
        wiring: Wiring::default(),
        findings: Vec::new(),
        common_negatives: Vec::new(),
        cores: FxHashMap::default(),
        homeward,
    };
    for (id, _) in model.ids() {
        builder.part(id);
    }
    builder.join_common_negatives();
    for run in 0..model.runs.list.len() {
        builder.run(run as u32);
    }
    builder.bundle_multicores();
    builder.spread_rows();
    (builder.wiring, builder.findings)
}

impl Builder<'_> {
    /// The two sides of a converter that is not `isolated` share their negative inside the box.
    fn join_common_negatives(&mut self) {
        for (input, output) in std::mem::take(&mut self.common_negatives) {
            self.wiring.graph.add_edge(input, output, Link::Inside);
        }
    }

    /// A multicore is bundled with its own used cores.
    fn bundle_multicores(&mut self) {
        let mut used: FxHashMap<PartId, u32> = FxHashMap::default();
        for (multicore, _) in self.cores.keys() {
            *used.entry(*multicore).or_default() += 1;
        }
        for conductor in &mut self.wiring.conductors {
            if let Some((multicore, _)) = conductor.core {
                conductor.bundled = conductor
                    .bundled
                    .max(used.get(&multicore).copied().unwrap_or(1));
            }
        }
    }

    /// A row of lamps sits along the last conductor to it, and along the first of its way back.
    fn spread_rows(&mut self) {
        for (id, _) in self.model.ids().filter(|(_, part)| part.kind == Kind::Load) {
            let facts = self.model.facts(self.sources, id);
            let Some(fact) = facts.find(Key::Spread) else {
                continue;
            };
            let metres = amount(fact).unwrap_or(f64::INFINITY);
            for term in [Term::Plus, Term::Minus] {
                self.spread_at(id, term, metres);
            }
        }
    }

    /// Only where the conductor serves this load alone: what goes on past the row does not taper.
    fn spread_at(&mut self, id: PartId, term: Term, metres: f64) {
        let Some(node) = self.wiring.terminal(id, term) else {
            return;
        };
        let mut conductors = self.wiring.conductors_at(node);
        let (Some(only), None) = (conductors.next(), conductors.next()) else {
            return;
        };
        drop(conductors);
        let conductor = &mut self.wiring.conductors[only as usize];
        conductor.spread = metres.min(conductor.metres.unwrap_or(0.0));
    }
}
