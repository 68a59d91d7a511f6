//! The order of building: parts first, then runs in the order of the text, then what only the
//! whole shows (bundles of multicores, rows of lamps).

use ampwright_notation::Kind;
use petgraph::graph::NodeIndex;

use rustc_hash::FxHashSet;

use super::{Contact, Device, Link, SupplyKind, Term, Wiring};
use crate::{
    finding::Finding,
    model::{Model, PartId},
    sources::Sources,
    study::reach::{Direction, everything_closed, search},
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
    pub(super) cores: rustc_hash::FxHashMap<(PartId, u32), crate::site::Site>,
    /// Shunts that the runs pass from their system side to their battery side.
    pub(super) homeward: FxHashSet<PartId>,
}

/// The wiring of a plan, and what its runs get wrong.
///
/// A shunt's sides are told apart by the network, which only the whole shows: where a run passes
/// one homeward, everything is built once more with that shunt the other way round.
pub fn build(sources: &Sources, model: &Model) -> (Wiring, Vec<Finding>) {
    let built = build_with(sources, model, FxHashSet::default());
    let homeward = passed_homeward(model, &built.0);
    if homeward.is_empty() {
        built
    } else {
        build_with(sources, model, homeward)
    }
}

/// Shunts whose `system` side lies at a battery's post and whose `battery` side does not.
fn passed_homeward(model: &Model, wiring: &Wiring) -> FxHashSet<PartId> {
    let shunts: Vec<&Contact> = wiring
        .contacts
        .iter()
        .filter(|contact| contact.device == Device::Shunt)
        .collect();
    if shunts.is_empty() {
        return FxHashSet::default();
    }
    let posts: Vec<(NodeIndex, u32, f64)> = wiring
        .supplies
        .iter()
        .filter(|supply| supply.kind == SupplyKind::Battery)
        .flat_map(|supply| [supply.plus, supply.minus])
        .map(|post| (post, 0, 0.0))
        .collect();
    let is_shunt = |link: &Link| {
        matches!(link, Link::Contact(index)
            if wiring.contacts[*index as usize].device == Device::Shunt)
    };
    let near = search(wiring, &posts, Direction::Home, |edge, link| {
        everything_closed(edge, link) && !is_shunt(link)
    });
    let reached = |node: NodeIndex| near[node.index()].is_some();
    shunts
        .into_iter()
        .filter(|shunt| reached(shunt.out) && !reached(shunt.feed))
        .map(|shunt| shunt.part)
        .filter(|&part| model.get(part).kind == Kind::Shunt)
        .collect()
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
        cores: rustc_hash::FxHashMap::default(),
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
        let mut used: rustc_hash::FxHashMap<PartId, u32> = rustc_hash::FxHashMap::default();
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
        for (id, part) in self.model.ids().filter(|(_, part)| part.kind == Kind::Load) {
            let _ = part;
            let facts = self.model.facts(self.sources, id);
            let Some(fact) = facts.find(ampwright_notation::Key::Spread) else {
                continue;
            };
            let metres = crate::model::amount(fact).unwrap_or(f64::INFINITY);
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
