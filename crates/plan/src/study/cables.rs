//! What each conductor may carry, and what it has to.

use std::sync::Arc;

use ampwright_electrics::{
    ampacity::{Ampacity, AmpacityAsk},
    conductor::{Metal, Size, Strands},
    defaults,
    quantity::{Amperes, Celsius, Volts},
};
use ampwright_notation::{Key, tree::Arg};
use petgraph::graph::NodeIndex;
use rustc_hash::FxHashMap;

use super::{Circuit, moments::Label, rule::ByRule, size_key};
use crate::{
    model::{Facts, amount},
    wiring::{Conductor, follow_size},
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
    /// A load alone, an index into the wiring's draws.
    Alone(u32),
    /// A short-time load on top of everything else.
    OnTop(u32, usize),
    /// A charging source alone, an index into the wiring's supplies.
    Charging(u32),
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

type Ampacities = (Option<Arc<Ampacity>>, Option<Arc<Ampacity>>);

type AmpacityKey = ((bool, u64), usize, u64, u32, u32);

/// Every conductor's cable.
pub fn cables(circuit: &Circuit<'_>, rule: &ByRule) -> Vec<Cable> {
    let boat = circuit
        .model
        .boat
        .map(|boat| Facts::of(circuit.sources, boat, &[]));
    let places = places(circuit, boat.as_ref());
    let stuffs = stuffs(circuit);
    let fallback = boat
        .as_ref()
        .and_then(|boat| boat.name(Key::CableName))
        .and_then(|name| circuit.model.cables.find(name));
    let mut known: FxHashMap<AmpacityKey, Ampacities> = FxHashMap::default();
    let links = links_carry(circuit, rule);
    let conductors = circuit.wiring.conductors.iter().enumerate();
    conductors
        .map(|(index, conductor)| {
            let (ambient, ambient_from) = ambient_of(circuit, conductor, &places);
            let of = conductor
                .cable
                .or(fallback)
                .map_or(0, |cable| cable as usize + 1);
            let stuff = &stuffs[of];
            let (ampacity, published) = conductor.size.map_or((None, None), |size| {
                let key = (
                    size_key(size),
                    of,
                    ambient.to_bits(),
                    conductor.bundled,
                    conductor.parallel,
                );
                known
                    .entry(key)
                    .or_insert_with(|| ampacities(circuit, conductor, size, ambient, stuff))
                    .clone()
            });
            let design = match circuit.banks.link_of[index] {
                Some(bank) => links[bank as usize],
                None => design(rule, conductor.edge),
            };
            Cable {
                ambient,
                ambient_from,
                stuff: stuff.clone(),
                ampacity,
                published,
                design,
            }
        })
        .collect()
}

/// By the rule set, and by the published table where the rule set's own is from memory.
fn ampacities(
    circuit: &Circuit<'_>,
    conductor: &Conductor,
    size: Size,
    ambient: f64,
    stuff: &Stuff,
) -> Ampacities {
    let carries = stuff
        .carries
        .iter()
        .find(|(known, _)| *known == size)
        .map(|&(_, amps)| Amperes(amps));
    let ask = AmpacityAsk {
        size,
        insulation: Celsius(stuff.insulation),
        ambient: Celsius(ambient),
        bundled: conductor.bundled,
        parallel: conductor.parallel,
        system: Volts(circuit.system),
        carries,
    };
    let own = circuit.rules.ampacity(&ask);
    let weak = !own.tag().may_be_error();
    let published = circuit
        .rules
        .published_fallback()
        .filter(|_| weak)
        .map(|rules| Arc::new(rules.ampacity(&ask)));
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
        let size = fact.args.iter().find_map(|arg| {
            if let Arg::Size(size) = arg {
                Some(follow_size(size.value))
            } else {
                None
            }
        })?;
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

fn is_case(label: &Label) -> bool {
    matches!(label, Label::Case(_))
}

fn design(rule: &ByRule, edge: petgraph::graph::EdgeIndex) -> Design {
    let at = edge.index();
    let of = |list: &[f64]| list.get(at).copied().unwrap_or(0.0);
    let mut design = Design {
        amps: 0.0,
        by: DesignBy::Nothing,
        certain: 0.0,
    };
    if let Some(draw) = rule.alone.by.get(at).copied().flatten() {
        design.take(of(&rule.alone.amps), DesignBy::Alone(draw));
    }
    if let Some((amps, moment)) = rule.largest(edge, is_case) {
        design.take(amps, DesignBy::Moment(moment));
    }
    if let Some(supply) = rule.charging.by.get(at).copied().flatten() {
        design.take(of(&rule.charging.amps), DesignBy::Charging(supply));
    }
    design.certain = design.amps;
    if let Some((amps, moment)) = rule.largest(edge, |label| !is_case(label)) {
        design.take(amps, DesignBy::Moment(moment));
        if let Some(draw) = rule.top.by.get(at).copied().flatten() {
            design.take(amps + of(&rule.top.amps), DesignBy::OnTop(draw, moment));
        }
    }
    design
}

impl Design {
    /// Keeps the larger; on a tie what was there, which is the more certain.
    fn take(&mut self, amps: f64, by: DesignBy) {
        if amps > self.amps + 1e-9 {
            (self.amps, self.by) = (amps, by);
        }
    }
}

/// What a contact has to carry: like a conductor, and the brief loads too, since a contact that
/// opens or closes under their current welds.
pub fn contact_design(rule: &ByRule, edge: petgraph::graph::EdgeIndex) -> Design {
    let steady = design(rule, edge);
    let Some((amps, draw)) = brief_at(rule, edge) else {
        return steady;
    };
    let certain = steady.certain.max(amps);
    let mut design = Design { certain, ..steady };
    design.take(amps, DesignBy::Alone(draw));
    if let Some((everything, moment)) = rule.largest(edge, |label| !is_case(label)) {
        design.take(everything + amps, DesignBy::OnTop(draw, moment));
    }
    design
}

/// The largest brief current of an edge, A, and whose it is.
pub fn brief_at(rule: &ByRule, edge: petgraph::graph::EdgeIndex) -> Option<(f64, u32)> {
    let draw = rule.brief.by.get(edge.index()).copied().flatten()?;
    Some((rule.brief.amps[edge.index()], draw))
}

/// Each link is designed for its bank's whole current.
fn links_carry(circuit: &Circuit<'_>, rule: &ByRule) -> Vec<Design> {
    let mut edge_of_supply: FxHashMap<u32, petgraph::graph::EdgeIndex> = FxHashMap::default();
    for edge in circuit.wiring.graph.edge_indices() {
        if let Some(crate::wiring::Link::Supply(supply)) = circuit.wiring.graph.edge_weight(edge) {
            edge_of_supply.insert(*supply, edge);
        }
    }
    circuit
        .banks
        .list
        .iter()
        .map(|bank| bank_design(circuit, rule, bank, &edge_of_supply))
        .collect()
}

fn bank_design(
    circuit: &Circuit<'_>,
    rule: &ByRule,
    bank: &super::banks::Bank,
    edge_of_supply: &FxHashMap<u32, petgraph::graph::EdgeIndex>,
) -> Design {
    let tops = bank.supplies.iter().filter(|&&supply| {
        bank.tops
            .contains(&circuit.wiring.supplies[supply as usize].plus)
    });
    let edges: Vec<usize> = tops
        .filter_map(|supply| edge_of_supply.get(supply))
        .map(|edge| edge.index())
        .collect();
    let whole = |amps: &[f64]| {
        edges
            .iter()
            .filter_map(|&edge| amps.get(edge))
            .map(|amps| amps.abs())
            .sum::<f64>()
    };
    let mut design = Design {
        amps: 0.0,
        by: DesignBy::Nothing,
        certain: 0.0,
    };
    let by = |list: &super::rule::OneByOne| {
        edges
            .first()
            .and_then(|&edge| list.by.get(edge).copied().flatten())
    };
    if let Some(draw) = by(&rule.alone) {
        design.take(whole(&rule.alone.amps), DesignBy::Alone(draw));
    }
    if let Some(supply) = by(&rule.charging) {
        design.take(whole(&rule.charging.amps), DesignBy::Charging(supply));
    }
    let moments = || rule.moments.iter().enumerate();
    for (index, solved) in moments().filter(|(_, solved)| is_case(&solved.moment.label)) {
        design.take(whole(solved.steady()), DesignBy::Moment(index));
    }
    design.certain = design.amps;
    for (index, solved) in moments().filter(|(_, solved)| !is_case(&solved.moment.label)) {
        let amps = whole(solved.steady());
        design.take(amps, DesignBy::Moment(index));
        if let Some(draw) = by(&rule.top) {
            design.take(amps + whole(&rule.top.amps), DesignBy::OnTop(draw, index));
        }
    }
    design
}
