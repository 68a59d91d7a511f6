//! What is known of a plan before anything flows: voltages, banks, nets, and what each draw is.

use std::ops::Range;

use ampwright_electrics::{
    protection::adiabatic::LONGEST,
    rules::{LoadClass, RuleName, RuleSet},
};
use ampwright_notation::Key;
use petgraph::{
    graph::{EdgeIndex, NodeIndex},
    visit::EdgeRef,
};
use rustc_hash::{FxHashMap, FxHashSet};

use super::{
    Circuit,
    arrays::Array,
    banks::Banks,
    reach::{self, Net},
    size_key,
};
use crate::{
    model::{Facts, Model, PartId},
    sources::Sources,
    wiring::{Conductor, Contact, Draw, DrawKind, Link, Rest, Wiring},
};

/// What is known of a plan before anything flows.
#[derive(Clone, Debug)]
pub struct Base {
    /// The boat's voltage, V.
    pub system: f64,
    /// The rule set.
    pub rules: &'static RuleSet,
    /// The banks.
    pub banks: Banks,
    /// The live net, every contact closed.
    pub live: Net,
    /// The home net, every contact closed.
    pub home: Net,
    /// For each part that draws, its place in [`Wiring::draws`].
    pub draw_of: FxHashMap<PartId, u32>,
    /// For each part that supplies, its stretch of [`Wiring::supplies`].
    pub(super) supplies_of: FxHashMap<PartId, Range<u32>>,
    /// For each supply its edge of the graph.
    pub supply_edges: Vec<EdgeIndex>,
    /// For each part that has any, its stretch of [`Wiring::contacts`].
    pub(super) contacts_of: FxHashMap<PartId, Range<u32>>,
    /// The parts with a contact that stands open at rest until somebody closes it, or until a
    /// source charges: emergency links and relays.
    pub links: Vec<PartId>,
    /// Each solar controller's panels, where any reach it.
    pub arrays: Vec<Array>,
    /// For each solar controller that panels reach, what they give at its battery, A.
    pub(super) controllers_most: FxHashMap<PartId, f64>,
    /// Panels that pass on the current of another above them.
    pub(crate) panels_passed: FxHashSet<u32>,
    /// Where current can go on to a battery, diodes forwards only; nothing where no diode is.
    pub(super) onward: Option<Net>,
    /// For each draw: it runs on top of everything else (short-time, or behind a push button).
    pub on_top: Vec<bool>,
    /// For each draw that runs only briefly, how long, s: held against the conductor's heating, not its ampacity.
    pub brief: Vec<Option<f64>>,
    /// For each draw its class.
    pub class: Vec<LoadClass>,
    /// For each draw whether its drop limit is the strict one.
    pub critical: Vec<bool>,
    /// The boat's own `drop`, per cent.
    pub own_drop: Option<f64>,
    /// The boat's own `critical-drop`, per cent.
    pub own_critical_drop: Option<f64>,
    /// For each conductor its resistance by the rule's formula, ohm; `None` where size or length is unknown.
    pub rule_ohms: Vec<Option<f64>>,
}

/// The voltage of a boat that says none, V: the commonest. The plan without a boat says so.
const USUAL_SYSTEM: f64 = 12.0;

impl Base {
    pub(super) fn of(sources: &Sources, model: &Model, wiring: &Wiring) -> Self {
        let boat = model.boat.map(|boat| Facts::of(sources, boat, &[]));
        let mut base = Self::joined(wiring, boat.as_ref());
        base.classify(sources, model, wiring);
        base.measure(wiring);
        let circuit = Circuit {
            sources,
            model,
            wiring,
            base: &base,
        };
        let (arrays, panels_passed) = (circuit.arrays_of(), circuit.panels_passed());
        let part = |array: &Array| wiring.supplies[array.controller as usize].part;
        base.controllers_most = arrays
            .iter()
            .map(|one| (part(one), one.at_battery))
            .collect();
        (base.arrays, base.panels_passed) = (arrays, panels_passed);
        base
    }

    /// What the boat says, and what is joined to what; each draw and conductor is still to come.
    fn joined(wiring: &Wiring, boat: Option<&Facts<'_>>) -> Self {
        let amount = |key| boat.and_then(|boat| boat.amount(key));
        let system = amount(Key::System)
            .filter(|volts| *volts > 0.0)
            .unwrap_or(USUAL_SYSTEM);
        let banks = Banks::of(wiring, system);
        Self {
            system,
            rules: RuleSet::get(rules_of(boat)),
            live: reach::live_net(wiring, &banks, system),
            home: reach::home_net(wiring, &banks),
            banks,
            draw_of: wiring.draws.iter().map(|draw| draw.part).zip(0..).collect(),
            supplies_of: stretches(wiring.supplies.iter().map(|supply| supply.part)),
            supply_edges: edges_of_supplies(wiring),
            contacts_of: stretches(wiring.contacts.iter().map(|contact| contact.part)),
            links: links(wiring),
            arrays: Vec::new(),
            controllers_most: FxHashMap::default(),
            panels_passed: FxHashSet::default(),
            onward: reach::onward_net(wiring),
            on_top: Vec::new(),
            brief: Vec::new(),
            class: Vec::new(),
            critical: Vec::new(),
            rule_ohms: Vec::new(),
            own_drop: amount(Key::Drop),
            own_critical_drop: amount(Key::CriticalDrop),
        }
    }

    fn classify(&mut self, sources: &Sources, model: &Model, wiring: &Wiring) {
        for draw in &wiring.draws {
            let facts = model.facts(sources, draw.part);
            let class = facts
                .word(Key::Class)
                .and_then(|word| word.parse().ok())
                .unwrap_or(LoadClass::Other);
            let seconds = short_time(draw, &facts, class);
            let brief = seconds.filter(|seconds| *seconds <= LONGEST.value.0);
            let critical = facts.has(Key::Critical) || self.rules.is_vital(class);
            self.brief.push(brief);
            self.on_top
                .push(seconds.is_some() || self.is_behind_a_button(wiring, draw));
            self.critical.push(critical);
            self.class.push(class);
        }
    }

    fn is_behind_a_button(&self, wiring: &Wiring, draw: &Draw) -> bool {
        let ends = [draw.plus, draw.minus].into_iter();
        let mut ways = ends.flat_map(|end| [(&self.live, end), (&self.home, end)]);
        ways.any(|(net, end)| passes_a_button(wiring, net, end))
    }

    fn measure(&mut self, wiring: &Wiring) {
        let rules = self.rules;
        let mut known: FxHashMap<(bool, u64), f64> = FxHashMap::default();
        let ohms = |conductor: &Conductor| {
            let (size, _) = conductor.size.zip(conductor.metres)?;
            let per_metre = *known
                .entry(size_key(size))
                .or_insert_with(|| rules.drop_resistance(size).value);
            Some(per_metre * conductor.drop_metres() / f64::from(conductor.parallel))
        };
        self.rule_ohms = wiring.conductors.iter().map(ohms).collect();
    }
}

fn rules_of(boat: Option<&Facts<'_>>) -> RuleName {
    let word = boat.and_then(|boat| boat.word(Key::Rules));
    word.and_then(|word| word.parse().ok()).unwrap_or_default()
}

/// Whether a push button stands on the way from a node to its source. Only a way with an open
/// contact is walked: most have none, and a walk for every draw would cost its whole depth.
fn passes_a_button(wiring: &Wiring, net: &Net, node: NodeIndex) -> bool {
    let is_button = |link: &Link| {
        matches!(link, Link::Contact(index)
            if wiring.contacts[*index as usize].rest == Rest::Momentary)
    };
    net[node.index()].is_some_and(|reach| reach.open > 0)
        && reach::way_to(net, node)
            .filter_map(|(edge, _)| wiring.graph.edge_weight(edge))
            .any(is_button)
}

fn links(wiring: &Wiring) -> Vec<PartId> {
    let opens = |contact: &&Contact| matches!(contact.rest, Rest::Open | Rest::Charging);
    let contacts = wiring.contacts.iter().filter(opens);
    let mut links: Vec<PartId> = contacts.map(|contact| contact.part).collect();
    links.dedup();
    links
}

fn edges_of_supplies(wiring: &Wiring) -> Vec<EdgeIndex> {
    let mut edges = vec![EdgeIndex::end(); wiring.supplies.len()];
    for edge in wiring.graph.edge_references() {
        if let Link::Supply(supply) = *edge.weight() {
            edges[supply as usize] = edge.id();
        }
    }
    edges
}

/// The stretch of each part in a list to which every part adds all of its own at once.
fn stretches(parts: impl Iterator<Item = PartId>) -> FxHashMap<PartId, Range<u32>> {
    let mut stretches: FxHashMap<PartId, Range<u32>> = FxHashMap::default();
    for (part, index) in parts.zip(0u32..) {
        stretches.entry(part).or_insert(index..index).end = index + 1;
    }
    stretches
}

/// How long a load runs at a time, s; `None` for one that runs as long as it likes. A starter's
/// default is what counts as brief.
fn short_time(draw: &Draw, facts: &Facts<'_>, class: LoadClass) -> Option<f64> {
    if draw.kind != DrawKind::Load {
        return None;
    }
    let starter = (class == LoadClass::Starter).then_some(LONGEST.value.0);
    facts.amount(Key::ShortTime).or(starter)
}
