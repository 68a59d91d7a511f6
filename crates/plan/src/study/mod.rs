//! The study: every computed value of a plan.
//!
//! [`Base`] is what is known before anything flows: voltages, banks, what is joined to what.
//! [`Study`] adds the by-rule currents of every moment, each conductor's ampacity and design
//! current, and what protects it. The as-wired answer is computed when somebody asks for it.

pub mod banks;
pub mod cables;
pub mod limits;
pub mod moments;
pub mod protect;
pub mod reach;
pub mod rule;
pub mod wired;

mod cases;
mod returns;

use std::ops::{Deref, Range};

use ampwright_electrics::{
    protection::adiabatic::LONGEST,
    rules::{LoadClass, RuleName, RuleSet},
};
use ampwright_notation::{Key, Kind};
use petgraph::graph::NodeIndex;
use rustc_hash::FxHashMap;

use crate::{
    finding::Finding,
    model::{Facts, Model, PartId},
    sources::Sources,
    wiring::{DrawKind, Law, Supply, SupplyKind, Wiring},
};
use banks::Banks;
use reach::Net;

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
    supplies_of: FxHashMap<PartId, Range<u32>>,
    /// For each part that has any, its stretch of [`Wiring::contacts`].
    contacts_of: FxHashMap<PartId, Range<u32>>,
    /// For each solar controller that panels reach, what they give at its battery, A.
    controllers_most: FxHashMap<PartId, f64>,
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

/// A plan's parts at hand, with what is known of them.
#[derive(Clone, Copy)]
pub struct Circuit<'a> {
    /// The files.
    pub sources: &'a Sources,
    /// The names.
    pub model: &'a Model,
    /// The wiring.
    pub wiring: &'a Wiring,
    /// What is known before anything flows.
    pub base: &'a Base,
}

impl Deref for Circuit<'_> {
    type Target = Base;

    fn deref(&self) -> &Base {
        self.base
    }
}

/// Every computed value of a plan.
#[derive(Clone, Debug)]
pub struct Study {
    /// What is known before anything flows.
    pub base: Base,
    /// The by-rule answer in every moment.
    pub rule: rule::ByRule,
    /// For each conductor what it may and must carry.
    pub cables: Vec<cables::Cable>,
    /// What protects each conductor.
    pub protection: protect::Protection,
    /// Lines of cases that cannot be followed.
    pub case_findings: Vec<Finding>,
}

impl Study {
    /// Computes everything.
    pub fn of(sources: &Sources, model: &Model, wiring: &Wiring) -> Self {
        let base = Base::of(sources, model, wiring);
        let circuit = Circuit {
            sources,
            model,
            wiring,
            base: &base,
        };
        let mut case_findings = Vec::new();
        let rule = rule::ByRule::of(&circuit, &mut case_findings);
        let cables = cables::cables(&circuit, &rule);
        let protection = protect::Protection::of(&circuit, &cables);
        Self {
            base,
            rule,
            cables,
            protection,
            case_findings,
        }
    }
}

impl Base {
    fn of(sources: &Sources, model: &Model, wiring: &Wiring) -> Self {
        let boat = model.boat.map(|boat| Facts::of(sources, boat, &[]));
        let system = boat
            .as_ref()
            .and_then(|boat| boat.amount(Key::System))
            .filter(|volts| *volts > 0.0)
            .unwrap_or(12.0);
        let name: RuleName = boat
            .as_ref()
            .and_then(|boat| boat.word(Key::Rules))
            .and_then(|word| word.parse().ok())
            .unwrap_or_default();
        let rules = RuleSet::get(name);
        let banks = Banks::of(wiring, system);
        let live = reach::live_net(wiring, &banks, system);
        let home = reach::home_net(wiring, &banks);
        let mut base = Self {
            system,
            rules,
            banks,
            live,
            home,
            draw_of: wiring
                .draws
                .iter()
                .enumerate()
                .map(|(index, draw)| (draw.part, index as u32))
                .collect(),
            supplies_of: stretches(wiring.supplies.iter().map(|supply| supply.part)),
            contacts_of: stretches(wiring.contacts.iter().map(|contact| contact.part)),
            controllers_most: FxHashMap::default(),
            on_top: Vec::new(),
            brief: Vec::new(),
            class: Vec::new(),
            critical: Vec::new(),
            rule_ohms: Vec::new(),
            own_drop: boat.as_ref().and_then(|boat| boat.amount(Key::Drop)),
            own_critical_drop: boat
                .as_ref()
                .and_then(|boat| boat.amount(Key::CriticalDrop)),
        };
        base.classify(sources, model, wiring);
        base.measure(wiring);
        let circuit = Circuit {
            sources,
            model,
            wiring,
            base: &base,
        };
        base.controllers_most = circuit.controllers_most();
        base
    }

    fn classify(&mut self, sources: &Sources, model: &Model, wiring: &Wiring) {
        for draw in &wiring.draws {
            let facts = model.facts(sources, draw.part);
            let class = facts
                .word(Key::Class)
                .and_then(|word| word.parse().ok())
                .unwrap_or(LoadClass::Other);
            let seconds = (draw.kind == DrawKind::Load)
                .then(|| short_time(&facts, class))
                .flatten();
            let short = seconds.is_some();
            self.brief
                .push(seconds.filter(|seconds| *seconds <= LONGEST.value.0));
            self.on_top.push(
                short
                    || self.behind_a_button(wiring, draw.plus)
                    || self.behind_a_button(wiring, draw.minus),
            );
            self.critical
                .push(facts.has(Key::Critical) || self.rules.is_vital(class));
            self.class.push(class);
        }
    }

    fn behind_a_button(&self, wiring: &Wiring, node: NodeIndex) -> bool {
        let pressed =
            |index: u32| wiring.contacts[index as usize].rest == crate::wiring::Rest::Momentary;
        [&self.live, &self.home].into_iter().any(|net| {
            net[node.index()].is_some_and(|reach| reach.open > 0)
                && reach::way_to(net, node).any(|(edge, _)| {
                    matches!(wiring.graph.edge_weight(edge), Some(crate::wiring::Link::Contact(index)) if pressed(*index))
                })
        })
    }

    fn measure(&mut self, wiring: &Wiring) {
        let mut known: FxHashMap<(bool, u64), f64> = FxHashMap::default();
        let rules = self.rules;
        self.rule_ohms = wiring
            .conductors
            .iter()
            .map(|conductor| {
                let size = conductor.size?;
                conductor.metres?;
                let per_metre = *known
                    .entry(size_key(size))
                    .or_insert_with(|| rules.drop_resistance(size).value);
                Some(per_metre * conductor.drop_metres() / f64::from(conductor.parallel))
            })
            .collect();
    }
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
fn short_time(facts: &Facts<'_>, class: LoadClass) -> Option<f64> {
    let starter = (class == LoadClass::Starter).then_some(LONGEST.value.0);
    facts.amount(Key::ShortTime).or(starter)
}

/// More than anything draws, A: what an absurd plan claims stays a number when it is summed.
const MOST_AMPS: f64 = 1e12;

/// A size as a key.
pub(crate) const fn size_key(size: ampwright_electrics::conductor::Size) -> (bool, u64) {
    match size {
        ampwright_electrics::conductor::Size::Mm2(area) => (false, area.to_bits()),
        ampwright_electrics::conductor::Size::Awg(number) => (true, number as u64),
    }
}

impl Circuit<'_> {
    /// A part's facts.
    pub fn facts(&self, part: PartId) -> Facts<'_> {
        self.model.facts(self.sources, part)
    }

    /// A part's supplies, each with its place in [`Wiring::supplies`].
    pub(crate) fn supplies_of(&self, part: PartId) -> impl Iterator<Item = (u32, &Supply)> {
        let stretch = self.supplies_of.get(&part).cloned().unwrap_or_default();
        stretch.map(|index| (index, &self.wiring.supplies[index as usize]))
    }

    /// The places of a part's contacts in [`Wiring::contacts`]; empty where it has none.
    pub(crate) fn contacts_of(&self, part: PartId) -> Range<usize> {
        let stretch = self.contacts_of.get(&part).cloned().unwrap_or_default();
        stretch.start as usize..stretch.end as usize
    }

    /// The most that a supply's panels let it give, A; infinite for whatever has none.
    pub fn controller_most(&self, supply: &Supply) -> f64 {
        let most = self.controllers_most.get(&supply.part);
        most.copied().unwrap_or(f64::INFINITY)
    }

    /// The most that a supply gives, A: its own figure, or less where its panels give less.
    pub fn most_of(&self, supply: &Supply) -> f64 {
        supply.amps.min(self.controller_most(supply))
    }

    /// The nominal voltage of a draw's island, V.
    pub fn draw_volts(&self, draw: u32) -> f64 {
        self.volts_at(self.wiring.draws[draw as usize].plus)
    }

    /// The nominal voltage of a node's island, V; the boat's where nothing feeds it.
    pub fn volts_at(&self, node: NodeIndex) -> f64 {
        self.live[node.index()]
            .map(|reach| reach.volts)
            .filter(|volts| *volts > 0.0)
            .unwrap_or(self.system)
    }

    /// What a draw takes at its full by the rule, A: nominal current at its island's voltage.
    pub fn nominal_amps(&self, draw: u32) -> f64 {
        let volts = self.draw_volts(draw);
        let amps = match self.wiring.draws[draw as usize].law {
            Some(Law::Amps(amps)) => amps,
            Some(Law::Watts(watts)) => watts / volts,
            Some(Law::Ohms(ohms)) if ohms > 0.0 => volts / ohms,
            _ => 0.0,
        };
        amps.clamp(-MOST_AMPS, MOST_AMPS)
    }

    /// The kind of a node's part.
    pub fn kind_at(&self, node: NodeIndex) -> Option<Kind> {
        let part = self.wiring.graph.node_weight(node)?.part?;
        Some(self.model.get(part).kind)
    }

    /// Whether a supply holds its island's voltage by the rule: a battery, a converter's output,
    /// and a charging source that no battery stands behind.
    pub fn is_stiff(&self, supply: &Supply) -> bool {
        match supply.kind {
            SupplyKind::Battery | SupplyKind::Converter => true,
            SupplyKind::Solar => false,
            _ => self.live[supply.plus.index()].is_some_and(|reach| {
                self.wiring.supplies[reach.source as usize].part == supply.part
            }),
        }
    }
}
