//! What each conductor may carry, and what it has to.

use std::sync::Arc;

use ampwright_electrics::{
    ampacity::{Ampacity, AmpacityAsk},
    conductor::{Metal, Size, Strands},
    defaults,
    quantity::{Amperes, Celsius, Volts},
    solar,
};
use ampwright_notation::Key;
use petgraph::graph::{EdgeIndex, NodeIndex};
use rustc_hash::FxHashMap;

use super::{
    Circuit,
    banks::Bank,
    moments::{Moment, Stand},
    rule::{ByRule, OneByOne, Solved},
    size_key,
};
use crate::{
    model::{Facts, amount, size},
    wiring::Conductor,
};

/// Why a conductor has the ambient temperature it has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AmbientFrom {
    /// A place it names, or lies in by one of its ends; an index into [`crate::Model::places`].
    Place(u32),
    /// The boat's `ambient`.
    Boat,
    /// The rule set's own, since the plan gives none.
    Rule,
}

/// What gives a conductor its design current.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DesignBy {
    /// Nothing flows in any moment.
    Nothing,
    /// A moment, an index into [`ByRule::moments`].
    Moment(usize),
    /// A load alone, an index into the wiring's draws, and how the contacts stand.
    Alone(u32, Stand),
    /// A short-time load on top of everything else.
    OnTop(u32, usize),
    /// A charging source alone, an index into the wiring's supplies, and how the contacts stand.
    Charging(u32, Stand),
    /// All solar panels together in full sun, 1.25 x 1.25 times their short-circuit current; the
    /// one that gives the most, and how the contacts stand.
    Panels(u32, Stand),
    /// All solar controllers together; the one that gives the most, and how the contacts stand.
    Controllers(u32, Stand),
}

/// What a conductor has to carry, by the rule.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Design {
    /// A.
    pub amps: f64,
    /// What asks for it.
    pub by: DesignBy,
    /// The largest current that does not rest on `everything`, A.
    pub certain: f64,
}

/// What a conductor's cable is made of.
#[derive(Clone, Debug)]
pub struct Stuff {
    /// Strands and tinning.
    pub metal: Metal,
    /// What the insulation stands, °C.
    pub insulation: f64,
    /// The insulation was not said.
    pub insulation_assumed: bool,
    /// The maker's own rated currents by size.
    pub carries: Vec<(Size, f64)>,
}

/// What a conductor may and must carry.
#[derive(Clone, Debug)]
pub struct Cable {
    /// The temperature round it, °C.
    pub ambient: f64,
    /// Where that comes from.
    pub ambient_from: AmbientFrom,
    /// Its cable.
    pub stuff: Arc<Stuff>,
    /// What it may carry; `None` where its size is unknown.
    pub ampacity: Option<Arc<Ampacity>>,
    /// The same by the published table, where the rule set's own is from memory.
    pub published: Option<Arc<Ampacity>>,
    /// What it has to carry.
    pub design: Design,
}

/// By the rule set, and by the published table where the rule set's own is from memory.
type Ampacities = (Option<Arc<Ampacity>>, Option<Arc<Ampacity>>);

/// What an ampacity hangs on: the size, the cable, the ambient temperature, the bundle, and how
/// many lie side by side.
type AmpacityKey = ((bool, u64), usize, u64, u32, u32);

/// Every conductor's cable.
pub fn cables(circuit: &Circuit<'_>, rule: &ByRule) -> Vec<Cable> {
    let mut drum = Drum::of(circuit);
    let links = links_carry(circuit, rule);
    let conductors = circuit.wiring.conductors.iter();
    conductors
        .zip(&circuit.banks.link_of)
        .map(|(conductor, link_of)| {
            let design = link_of.map_or_else(
                || design(rule, &[conductor.edge]),
                |bank| links[bank as usize],
            );
            drum.cable(conductor, design)
        })
        .collect()
}

/// What cables are cut from: the boat's places and cables, and each ampacity once computed, for a
/// plan has many conductors and few kinds of them.
struct Drum<'a> {
    circuit: &'a Circuit<'a>,
    places: Places,
    /// The default first, then each cable's.
    stuffs: Vec<Arc<Stuff>>,
    /// The boat's own cable, a place in `stuffs`.
    usual: usize,
    known: FxHashMap<AmpacityKey, Ampacities>,
}

impl<'a> Drum<'a> {
    fn of(circuit: &'a Circuit<'a>) -> Self {
        let boat = circuit
            .model
            .boat
            .map(|boat| Facts::of(circuit.sources, boat, &[]));
        let usual = boat
            .as_ref()
            .and_then(|boat| boat.name(Key::CableName))
            .and_then(|name| circuit.model.cables.find(name));
        Self {
            circuit,
            places: places(circuit, boat.as_ref()),
            stuffs: stuffs(circuit),
            usual: usual.map_or(0, place_in_stuffs),
            known: FxHashMap::default(),
        }
    }

    fn cable(&mut self, conductor: &Conductor, design: Design) -> Cable {
        let (ambient, ambient_from) = ambient_of(self.circuit, conductor, &self.places);
        let of = conductor.cable.map_or(self.usual, place_in_stuffs);
        let (ampacity, published) = conductor.size.map_or((None, None), |size| {
            self.ampacities(conductor, size, ambient, of)
        });
        Cable {
            ambient,
            ambient_from,
            stuff: self.stuffs[of].clone(),
            ampacity,
            published,
            design,
        }
    }

    fn ampacities(
        &mut self,
        conductor: &Conductor,
        size: Size,
        ambient: f64,
        of: usize,
    ) -> Ampacities {
        let key = (
            size_key(size),
            of,
            ambient.to_bits(),
            conductor.bundled,
            conductor.parallel,
        );
        let (circuit, stuff) = (self.circuit, &self.stuffs[of]);
        self.known
            .entry(key)
            .or_insert_with(|| ampacities(circuit, &ask(circuit, conductor, size, ambient, stuff)))
            .clone()
    }
}

/// The default stands before the plan's own cables.
const fn place_in_stuffs(cable: u32) -> usize {
    cable as usize + 1
}

fn ask(
    circuit: &Circuit<'_>,
    conductor: &Conductor,
    size: Size,
    ambient: f64,
    stuff: &Stuff,
) -> AmpacityAsk {
    let mut carries = stuff.carries.iter();
    AmpacityAsk {
        size,
        insulation: Celsius(stuff.insulation),
        ambient: Celsius(ambient),
        bundled: conductor.bundled,
        parallel: conductor.parallel,
        system: Volts(circuit.system),
        carries: carries
            .find(|(known, _)| *known == size)
            .map(|&(_, amps)| Amperes(amps)),
    }
}

fn ampacities(circuit: &Circuit<'_>, ask: &AmpacityAsk) -> Ampacities {
    let own = circuit.rules.ampacity(ask);
    let weak = !own.tag().may_be_error();
    let published = circuit
        .rules
        .published_fallback()
        .filter(|_| weak)
        .map(|rules| Arc::new(rules.ampacity(ask)));
    (Some(Arc::new(own)), published)
}

/// The boat's ambient first, then each place's, with whether it is an engine space.
struct Places {
    boat: (f64, AmbientFrom),
    list: Vec<(f64, bool)>,
}

fn places(circuit: &Circuit<'_>, boat: Option<&Facts<'_>>) -> Places {
    let said = boat.and_then(|boat| boat.amount(Key::Ambient));
    let boat = said.map_or(
        (circuit.rules.ambient().value.0, AmbientFrom::Rule),
        |celsius| (celsius, AmbientFrom::Boat),
    );
    let list = circuit.model.places.list.iter().map(|place| {
        let facts = Facts::of(circuit.sources, place.thing, &place.like);
        let engine = facts.has(Key::EngineSpace);
        let own = facts
            .amount(Key::Ambient)
            .or(engine.then(|| circuit.rules.engine_space().value.0));
        (own.unwrap_or(boat.0), engine)
    });
    Places {
        list: list.collect(),
        boat,
    }
}

fn ambient_of(circuit: &Circuit<'_>, conductor: &Conductor, places: &Places) -> (f64, AmbientFrom) {
    let hotter = |a: (f64, AmbientFrom), b: (f64, AmbientFrom)| if b.0 > a.0 { b } else { a };
    let of = |place: u32| (places.list[place as usize].0, AmbientFrom::Place(place));
    let named = conductor
        .places
        .iter()
        .map(|&place| of(place))
        .reduce(hotter);
    let ends = || {
        [conductor.from, conductor.to]
            .into_iter()
            .filter_map(|node| place_of(circuit, node))
    };
    let lies = named.unwrap_or_else(|| ends().map(of).fold(places.boat, hotter));
    ends()
        .filter(|&place| places.list[place as usize].1)
        .map(of)
        .fold(lies, hotter)
}

/// The place of a node's part, an index into [`crate::Model::places`].
pub fn place_of(circuit: &Circuit<'_>, node: NodeIndex) -> Option<u32> {
    let part = circuit.wiring.graph.node_weight(node)?.part?;
    circuit
        .model
        .places
        .find(circuit.facts(part).name(Key::In)?)
}

/// The default cable first, then each cable's.
fn stuffs(circuit: &Circuit<'_>) -> Vec<Arc<Stuff>> {
    let default = Stuff {
        metal: defaults::METAL.value,
        insulation: DEFAULT_INSULATION,
        insulation_assumed: true,
        carries: Vec::new(),
    };
    let said = circuit
        .model
        .cables
        .list
        .iter()
        .map(|cable| stuff(&Facts::of(circuit.sources, cable.thing, &cable.like)));
    std::iter::once(default).chain(said).map(Arc::new).collect()
}

fn stuff(facts: &Facts<'_>) -> Stuff {
    let strands = if facts.has(Key::Stranded) {
        Strands::Stranded
    } else {
        Strands::Flexible
    };
    let carries = facts.all(Key::Carries).filter_map(|fact| {
        let size = size(fact)?;
        Some((size, amount(fact)?))
    });
    let insulation = facts.amount(Key::Insulation);
    Stuff {
        metal: Metal {
            strands,
            tinned: !facts.has(Key::Copper),
        },
        insulation: insulation.unwrap_or(DEFAULT_INSULATION),
        insulation_assumed: insulation.is_none(),
        carries: carries.collect(),
    }
}

/// What an insulation that is not said stands, °C.
pub const DEFAULT_INSULATION: f64 = defaults::INSULATION.value.0;

/// What has to be carried along some edges together: one conductor's, or those of a bank's top.
fn design(rule: &ByRule, edges: &[EdgeIndex]) -> Design {
    let flow = |amps: &[f64]| -> f64 {
        let along = edges.iter().filter_map(|edge| amps.get(edge.index()));
        along.map(|amps| amps.abs()).sum()
    };
    let by = |one_by_one: &OneByOne| {
        let (_, by, stand) = rule.most(one_by_one, *edges.first()?)?;
        Some((by, stand))
    };
    let in_moment = |solved: &Solved| flow(solved.steady());
    let (in_cases, in_everything) = match edges {
        &[edge] => (rule.in_cases(edge), rule.in_everything(edge)),
        _ => (
            rule.largest_of(in_moment, Moment::is_case),
            rule.largest_of(in_moment, |moment| !moment.is_case()),
        ),
    };
    let mut design = Design::NOTHING;
    if let Some((draw, stand)) = by(&rule.alone) {
        design.take(flow(&rule.alone.amps), DesignBy::Alone(draw, stand));
    }
    if let Some((amps, moment)) = in_cases {
        design.take(amps, DesignBy::Moment(moment));
    }
    if let Some((supply, stand)) = by(&rule.charging) {
        design.take(flow(&rule.charging.amps), DesignBy::Charging(supply, stand));
    }
    if let Some((supply, stand)) = by(&rule.controllers) {
        let asked = DesignBy::Controllers(supply, stand);
        design.take(flow(&rule.controllers.amps), asked);
    }
    design.certain = design.amps;
    if let Some((panels, stand)) = by(&rule.panels) {
        design.take_panels(flow(&rule.panels.amps), DesignBy::Panels(panels, stand));
    }
    if let Some((amps, moment)) = in_everything {
        design.take(amps, DesignBy::Moment(moment));
        if let Some((draw, _)) = by(&rule.top) {
            design.take(amps + flow(&rule.top.amps), DesignBy::OnTop(draw, moment));
        }
    }
    design
}

impl Design {
    const NOTHING: Self = Self {
        amps: 0.0,
        by: DesignBy::Nothing,
        certain: 0.0,
    };

    /// Panels by their short-circuit current: bright days give them a quarter more, which is
    /// certain, and conductors and devices are chosen for a quarter more than that.
    pub(crate) fn take_panels(&mut self, short_circuit: f64, by: DesignBy) {
        let short_circuit = Amperes(short_circuit);
        let circuit = solar::circuit_current(short_circuit).value.0;
        self.certain = self.certain.max(circuit);
        self.take(solar::least_rating(short_circuit).value.0, by);
    }

    /// Keeps the larger; on a tie what was there, which is the more certain.
    fn take(&mut self, amps: f64, by: DesignBy) {
        if amps > self.amps + 1e-9 {
            (self.amps, self.by) = (amps, by);
        }
    }
}

/// What a contact has to carry: like a conductor, and the brief loads too, since a contact that
/// opens or closes under their current welds.
pub fn contact_design(rule: &ByRule, edge: EdgeIndex) -> Design {
    let steady = design(rule, &[edge]);
    let Some((amps, draw, stand)) = rule.most(&rule.brief, edge) else {
        return steady;
    };
    let certain = steady.certain.max(amps);
    let mut design = Design { certain, ..steady };
    design.take(amps, DesignBy::Alone(draw, stand));
    if let Some((everything, moment)) = rule.in_everything(edge) {
        design.take(everything + amps, DesignBy::OnTop(draw, moment));
    }
    design
}

/// The largest brief current of an edge, A, and whose it is.
pub fn brief_at(rule: &ByRule, edge: EdgeIndex) -> Option<(f64, u32)> {
    let (amps, draw, _) = rule.most(&rule.brief, edge)?;
    Some((amps, draw))
}

/// Each link is designed for its bank's whole current.
fn links_carry(circuit: &Circuit<'_>, rule: &ByRule) -> Vec<Design> {
    let carry = |bank: &Bank| {
        let is_top = |supply: &u32| {
            let plus = circuit.wiring.supplies[*supply as usize].plus;
            bank.tops.contains(&plus)
        };
        let tops = bank.supplies.iter().copied().filter(is_top);
        let edges: Vec<EdgeIndex> = tops
            .map(|supply| circuit.supply_edges[supply as usize])
            .collect();
        design(rule, &edges)
    };
    circuit.banks.list.iter().map(carry).collect()
}
