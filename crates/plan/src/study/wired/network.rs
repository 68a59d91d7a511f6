//! The plan as the electrics' network sees it, in one state of the contacts.

use ampwright_electrics::{
    battery::{Block, Charge, Chemistry},
    defaults,
    network::{self, Branch},
    quantity::{AmpHours, Amperes, Volts},
};
use ampwright_notation::Key;
use petgraph::graph::NodeIndex;

use super::pieces::Piece;
use crate::{
    study::Circuit,
    wiring::{Contact, Device, Law, Link, Supply, SupplyKind},
};

/// No branch: nothing can flow along the edge.
pub(super) const NONE: u32 = u32::MAX;

/// A plan with the resistance of each conductor.
#[derive(Clone, Copy)]
pub(super) struct Network<'a> {
    pub(super) circuit: &'a Circuit<'a>,
    /// For each conductor, ohm; `None` where its size or length is unknown: no ohms then.
    pub(super) ohms: &'a [Option<f64>],
    /// The piece of it that counts.
    pub(super) piece: &'a Piece,
}

impl Network<'_> {
    pub(super) fn nodes(&self) -> u32 {
        self.piece.size() as u32
    }

    /// A node's number in the piece.
    pub(super) fn id(&self, node: NodeIndex) -> u32 {
        self.piece.id(node)
    }

    /// The branches along which something can flow, and for each edge of the piece its own.
    pub(super) fn branches(&self, closed: &[bool], only: Option<u32>) -> (Vec<Branch>, Vec<u32>) {
        let graph = &self.circuit.wiring.graph;
        let mut branches = Vec::with_capacity(self.piece.edges.len());
        let mut branch_of = vec![NONE; self.piece.edges.len()];
        for (&edge, branch) in self.piece.edges.iter().zip(&mut branch_of) {
            let Some((from, to)) = graph.edge_endpoints(edge) else {
                continue;
            };
            if let Some((ohms, emf)) = self.branch(graph[edge], closed, only) {
                *branch = branches.len() as u32;
                branches.push(Branch {
                    from: self.id(from),
                    to: self.id(to),
                    ohms,
                    emf,
                });
            }
        }
        (branches, branch_of)
    }

    /// An edge's resistance and electromotive force; `None` where nothing can flow along it.
    fn branch(&self, link: Link, closed: &[bool], only: Option<u32>) -> Option<(f64, f64)> {
        match link {
            Link::Conductor(index) => {
                let ohms = self.ohms.get(index as usize).copied().flatten();
                Some((ohms.unwrap_or(0.0), 0.0))
            }
            Link::Contact(index) => {
                let contact = &self.circuit.wiring.contacts[index as usize];
                closed[index as usize].then(|| self.contact(contact))
            }
            Link::Supply(index) if !self.circuit.feeds(index, only) => None,
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

    /// A draw by its own law; one that takes less than its full in proportion.
    pub(super) fn load(&self, draw: u32, amps: f64) -> network::Load {
        let wired = &self.circuit.wiring.draws[draw as usize];
        network::Load {
            plus: self.id(wired.plus),
            minus: self.id(wired.minus),
            law: self.circuit.law_at(draw, amps),
        }
    }

    /// What holds its voltage up to its limit: charging sources that are on, and converters.
    pub(super) fn limited(&self, charging: &[(u32, f64)]) -> Vec<network::Limited> {
        let supplies = &self.circuit.wiring.supplies;
        let charging = charging
            .iter()
            .map(|&(supply, amps)| (&supplies[supply as usize], amps));
        let own = self.piece.supplies.iter();
        let converters = own
            .map(|&supply| &supplies[supply as usize])
            .filter(|supply| supply.kind == SupplyKind::Converter);
        charging
            .chain(converters.map(|supply| (supply, supply.amps)))
            .map(|(supply, amps)| network::Limited {
                plus: self.id(supply.plus),
                minus: self.id(supply.minus),
                volts: self.circuit.source_volts(supply),
                amps,
            })
            .collect()
    }
}

impl Circuit<'_> {
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

    /// A battery's inner resistance, ohm, and whether the plan says it.
    pub fn inner_ohms(&self, supply: &Supply) -> (f64, bool) {
        let said = self.facts(supply.part).amount(Key::Resistance);
        let usual = || self.block_of(supply).resistance().value.0;
        (said.unwrap_or_else(usual), said.is_some())
    }

    /// The voltage that a source holds at its own terminals, V. What charges through a converter
    /// is written with its output's nominal voltage, at which no battery would take anything.
    pub fn source_volts(&self, supply: &Supply) -> f64 {
        let twelve = if supply.kind == SupplyKind::Alternator {
            defaults::ALTERNATOR
        } else {
            defaults::CHARGER
        };
        let own = supply.volts.filter(|volts| *volts > 0.0);
        if supply.kind == SupplyKind::ChargingConverter {
            let nominal = own.unwrap_or_else(|| self.volts_at(supply.plus));
            return defaults::at_nominal(twelve, Volts(nominal)).value.0;
        }
        own.unwrap_or_else(|| {
            let nominal = self.volts_at(supply.plus);
            defaults::at_nominal(twelve, Volts(nominal)).value.0
        })
    }

    /// How a draw draws that takes `amps` by the rule.
    pub(crate) fn law_at(&self, draw: u32, amps: f64) -> network::Law {
        let full = self.nominal_amps(draw);
        let share = if full > 0.0 { amps / full } else { 0.0 };
        match self.wiring.draws[draw as usize].law {
            Some(Law::Watts(watts)) => network::Law::Power(watts * share),
            Some(Law::Ohms(ohms)) if share > 0.0 => network::Law::Resistance(ohms / share),
            _ => network::Law::Current(amps),
        }
    }
}
