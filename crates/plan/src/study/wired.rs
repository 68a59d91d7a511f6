//! The as-wired answer: the real network in one moment, computed when somebody asks for it.
//!
//! Batteries stand at rest voltage behind their own resistance, conductors have their table's
//! resistance at the temperature of their place, contacts, posts and crimps add theirs, and each
//! load follows its own law.

use ampwright_electrics::{
    battery::{Block, Charge, Chemistry},
    conductor::{resistance_per_metre, temperature_factor},
    defaults,
    network::{self, Branch},
    quantity::{AmpHours, Amperes, Celsius, Volts},
};
use ampwright_notation::Key;
use petgraph::{
    graph::{EdgeIndex, EdgeReference, NodeIndex},
    visit::EdgeRef,
};

use super::{Circuit, cables::Cable, moments::Moment};
use crate::{
    Plan,
    wiring::{Contact, Device, Law, Link, Supply, SupplyKind},
};

/// The as-wired answer in one moment.
#[derive(Clone, Debug)]
pub struct Wired {
    /// For each node its voltage, V, against its island's reference.
    pub volts: Vec<f64>,
    /// For each edge of the graph its current from source to target, A; 0 where nothing flows.
    pub amps: Vec<f64>,
    /// For each draw that is on in this moment: the draw, its volts, its amperes.
    pub draws: Vec<(u32, f64, f64)>,
    /// Draws whose cable can never deliver their power.
    pub undeliverable: Vec<u32>,
    /// The limits settled; where not, the figures are the last round's.
    pub settled: bool,
}

impl Plan {
    /// The real network in a moment, an index into the by-rule moments.
    pub fn as_wired(&self, moment: usize) -> Option<Wired> {
        let solved = self.study.rule.moments.get(moment)?;
        let network = Network {
            circuit: self.circuit(),
            plan: self,
        };
        Some(network.settle(&solved.moment))
    }

    /// The real network with one load alone at its full.
    pub fn as_wired_alone(&self, draw: u32) -> Option<Wired> {
        let moment = self.moment_alone(draw, self.study.rule.alone_stand(draw))?;
        let circuit = self.circuit();
        let plan = self;
        Some(Network { circuit, plan }.settle(&moment))
    }
}

struct Network<'a> {
    circuit: Circuit<'a>,
    plan: &'a Plan,
}

impl Network<'_> {
    fn settle(&self, moment: &Moment) -> Wired {
        let graph = &self.circuit.wiring.graph;
        let (edges, branches) = self.branches(moment);
        let loads: Vec<network::Load> = moment
            .draws
            .iter()
            .map(|&(draw, amps)| self.load(draw, amps))
            .collect();
        let sources = self.limited(moment);
        let settled = network::settle(graph.node_count() as u32, &branches, &loads, &sources);
        let mut amps = vec![0.0; graph.edge_count()];
        for (edge, flows) in edges.iter().zip(&settled.solution.amps) {
            amps[edge.index()] = *flows;
        }
        let asked = |index: &usize| moment.draws.get(*index).map(|&(draw, _)| draw);
        let answers = settled.load_volts.iter().zip(&settled.load_amps);
        Wired {
            draws: (moment.draws.iter().zip(answers))
                .map(|(&(draw, _), (&volts, &amps))| (draw, volts, amps))
                .collect(),
            undeliverable: settled.undeliverable.iter().filter_map(asked).collect(),
            settled: settled.settled,
            volts: settled.solution.volts,
            amps,
        }
    }

    /// The edges along which something can flow, and their branches.
    fn branches(&self, moment: &Moment) -> (Vec<EdgeIndex>, Vec<Branch>) {
        let edges = self.circuit.wiring.graph.edge_references();
        let branch = |edge: EdgeReference<'_, Link>| {
            let (ohms, emf) = self.branch(*edge.weight(), moment)?;
            let branch = Branch {
                from: id(edge.source()),
                to: id(edge.target()),
                ohms,
                emf,
            };
            Some((edge.id(), branch))
        };
        edges.filter_map(branch).unzip()
    }

    /// An edge's resistance and electromotive force; `None` where nothing can flow along it.
    fn branch(&self, link: Link, moment: &Moment) -> Option<(f64, f64)> {
        match link {
            Link::Conductor(index) => Some((self.plan.conductor_ohms(index).unwrap_or(0.0), 0.0)),
            Link::Contact(index) => {
                let contact = &self.circuit.wiring.contacts[index as usize];
                moment.closed[index as usize].then(|| self.contact(contact))
            }
            Link::Supply(index) if !self.circuit.feeds(index, moment.only) => None,
            Link::Supply(index) => self.battery(&self.circuit.wiring.supplies[index as usize]),
            Link::Gap | Link::Inside => Some((0.0, 0.0)),
            Link::Draw(_) => None,
        }
    }

    fn contact(&self, contact: &Contact) -> (f64, f64) {
        let said = |key| self.circuit.facts(contact.part).amount(key);
        match (contact.device, contact.protects) {
            (Device::Diode(_), _) => {
                let drop = said(Key::Drop).unwrap_or(defaults::DIODE.value.0);
                (defaults::SWITCH.value.0, -drop)
            }
            (Device::Shunt, _) => {
                let volts = said(Key::Volts).unwrap_or(defaults::SHUNT.value.0);
                let amps = contact.carries.filter(|amps| *amps > 0.0);
                (amps.map_or(0.0, |amps| volts / amps), 0.0)
            }
            (_, Some(rating)) => {
                let switch = if contact.can_open() {
                    defaults::SWITCH.value.0
                } else {
                    0.0
                };
                (defaults::device(Amperes(rating)).value.0 + switch, 0.0)
            }
            _ => (defaults::SWITCH.value.0, 0.0),
        }
    }

    /// A battery half charged, as for drops.
    fn battery(&self, supply: &Supply) -> Option<(f64, f64)> {
        if supply.kind != SupplyKind::Battery {
            return None;
        }
        let rest = self.circuit.block_of(supply).rest_volts(Charge::Half);
        Some((self.circuit.inner_ohms(supply).0, rest.value.0))
    }

    fn load(&self, draw: u32, amps: f64) -> network::Load {
        let wired = &self.circuit.wiring.draws[draw as usize];
        let full = self.circuit.nominal_amps(draw);
        let share = if full > 0.0 { amps / full } else { 0.0 };
        let law = match wired.law {
            Some(Law::Watts(watts)) => network::Law::Power(watts * share),
            Some(Law::Ohms(ohms)) if share > 0.0 => network::Law::Resistance(ohms / share),
            _ => network::Law::Current(amps),
        };
        network::Load {
            plus: id(wired.plus),
            minus: id(wired.minus),
            law,
        }
    }

    /// What holds its voltage up to its limit: charging sources that are on, and converters.
    fn limited(&self, moment: &Moment) -> Vec<network::Limited> {
        let charging = moment
            .charging
            .iter()
            .map(|&(supply, amps)| (&self.circuit.wiring.supplies[supply as usize], amps));
        let converters = self
            .circuit
            .wiring
            .supplies
            .iter()
            .filter(|supply| supply.kind == SupplyKind::Converter);
        charging
            .chain(converters.map(|supply| (supply, supply.amps)))
            .map(|(supply, amps)| network::Limited {
                plus: id(supply.plus),
                minus: id(supply.minus),
                volts: self.circuit.source_volts(supply),
                amps,
            })
            .collect()
    }
}

fn id(node: NodeIndex) -> u32 {
    node.index() as u32
}

impl Circuit<'_> {
    /// A conductor's resistance as wired, ohm; `None` where its size or length is unknown.
    pub(super) fn conductor_ohms(&self, cables: &[Cable], index: u32) -> Option<f64> {
        let conductor = self.wiring.conductors.get(index as usize)?;
        let cable = cables.get(index as usize)?;
        conductor.metres?;
        let metal = cable.stuff.metal;
        let cold = resistance_per_metre(conductor.size?, metal, self.rules.areas()).value;
        let copper = cold * temperature_factor(Celsius(cable.ambient)) * conductor.drop_metres();
        Some((copper + 2.0 * defaults::POST.value.0) / f64::from(conductor.parallel))
    }

    /// A battery's inner resistance, ohm, and whether the plan says it.
    pub fn inner_ohms(&self, supply: &Supply) -> (f64, bool) {
        let said = self.facts(supply.part).amount(Key::Resistance);
        let usual = || self.block_of(supply).resistance().value.0;
        (said.unwrap_or_else(usual), said.is_some())
    }

    /// The voltage that a charging source holds, V: its own, else the usual at its island's.
    pub fn source_volts(&self, supply: &Supply) -> f64 {
        let twelve = if supply.kind == SupplyKind::Alternator {
            defaults::ALTERNATOR
        } else {
            defaults::CHARGER
        };
        let own = supply.volts.filter(|volts| *volts > 0.0);
        own.unwrap_or_else(|| {
            let nominal = self.volts_at(supply.plus);
            defaults::at_nominal(twelve, Volts(nominal)).value.0
        })
    }

    /// A battery as the electrics know it.
    pub fn block_of(&self, supply: &Supply) -> Block {
        let facts = self.facts(supply.part);
        Block {
            chemistry: facts
                .word(Key::Chemistry)
                .and_then(|word| word.parse().ok())
                .unwrap_or(Chemistry::Flooded),
            capacity: AmpHours(facts.amount(Key::AmpHours).unwrap_or(100.0)),
            nominal: Volts(supply.volts.unwrap_or(self.system)),
        }
    }
}

impl Plan {
    /// A conductor's resistance as wired, ohm: its table's at its place's temperature, with a
    /// crimp at each end; `None` where its size or length is unknown.
    pub fn conductor_ohms(&self, index: u32) -> Option<f64> {
        self.circuit().conductor_ohms(&self.study.cables, index)
    }
}
