//! The study: every computed value of a plan.
//!
//! [`Base`] is what is known before anything flows: voltages, banks, what is joined to what.
//! [`Study`] adds the by-rule currents of every moment, each conductor's ampacity and design
//! current, what protects it, and the as-wired answer with what warms it.

pub mod air;
pub mod arrays;
pub mod banks;
pub mod cables;
pub mod charging;
pub mod energy;
pub mod faults;
pub mod heat;
pub mod limits;
pub mod moments;
pub mod protect;
pub mod reach;
pub mod rule;
pub mod shares;
pub mod wired;

mod asked;
mod base;
mod cases;
mod joined;
mod returns;

use std::ops::{Deref, Range};

use ampwright_notation::Kind;
use petgraph::graph::NodeIndex;

use crate::{
    finding::Finding,
    model::{Facts, Model, PartId},
    sources::Sources,
    wiring::{Law, Supply, SupplyKind, Wiring},
};

pub use base::Base;

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
    /// The as-wired answer in every moment.
    pub wired: wired::AsWired,
    /// What a day takes and gives.
    pub energy: energy::Energy,
    /// What protects each conductor.
    pub protection: protect::Protection,
    /// What charges which bank, and how hard.
    pub charging: charging::Charging,
    /// The air that charged batteries want.
    pub rooms: Vec<air::Room>,
    /// How each bank with batteries side by side shares.
    pub shares: Vec<shares::BankShares>,
    /// What a short circuit does.
    pub faults: faults::Faults,
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
        let wired = wired::AsWired::of(&circuit, &rule, &cables);
        let energy = energy::Energy::of(&circuit);
        let protection = protect::Protection::of(&circuit, &cables);
        let charging = charging::Charging::of(&circuit);
        let rooms = air::rooms(&circuit, &charging);
        let shares = shares::shares(&circuit, &rule, &wired.ohms);
        let faults = faults::Faults::of(&circuit, &cables, &protection);
        Self {
            base,
            rule,
            cables,
            wired,
            energy,
            protection,
            charging,
            rooms,
            shares,
            faults,
            case_findings,
        }
    }
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

    fn goes_on_to_a_battery(&self, node: NodeIndex) -> bool {
        let onward = self.onward.as_ref();
        onward.is_some_and(|net| net[node.index()].is_some())
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
            // Behind a splitting diode no battery reaches it, but it reaches them.
            _ if self.goes_on_to_a_battery(supply.plus) => false,
            _ => self.live[supply.plus.index()].is_some_and(|reach| {
                self.wiring.supplies[reach.source as usize].part == supply.part
            }),
        }
    }
}
