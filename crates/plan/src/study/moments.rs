//! Moments: which contacts are closed, which loads draw, which sources charge.

use std::sync::Arc;

use ampwright_notation::tree::Position;
use petgraph::{graph::NodeIndex, unionfind::UnionFind};
use rustc_hash::FxHashMap;

use super::{
    Circuit,
    banks::Bank,
    reach::{Net, way_to},
};
use crate::{
    model::PartId,
    wiring::{Contact, Device, Draw, DrawKind, Link, Rest},
};

/// What a moment is called.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Label {
    /// A case, an index into [`crate::Model::cases`].
    Case(u32),
    /// Every load but the short-time ones.
    Everything(Variant),
}

/// At which position of which selector, or with which link closed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Variant {
    /// All at rest.
    Rest,
    /// A selector in a position that is not its first.
    Position(PartId, Position),
    /// A normally-open contact closed.
    Linked(PartId),
    /// Of several banks joined together only this one; an index into the banks.
    Bank(u32),
}

/// A moment: a state of the contacts and what draws and charges in it.
#[derive(Clone, Debug)]
pub struct Moment {
    /// Its name.
    pub label: Label,
    /// For each contact whether it is closed.
    pub closed: Arc<[bool]>,
    /// The one bank that feeds, where the others are taken away.
    pub only: Option<u32>,
    /// What draws: an index into the wiring's draws and the amperes by the rule.
    pub draws: Vec<(u32, f64)>,
    /// What charges: an index into the wiring's supplies and its amperes.
    pub charging: Vec<(u32, f64)>,
}

impl Circuit<'_> {
    /// The contacts at rest, selectors in their first position.
    pub(super) fn at_rest(&self) -> Vec<bool> {
        let firsts: FxHashMap<PartId, Position> = self
            .wiring
            .selectors
            .iter()
            .filter_map(|(part, positions)| Some((*part, positions_on(positions).next()?)))
            .collect();
        let closed = |contact: &Contact| match contact.rest {
            Rest::Always => !matches!(contact.device, Device::Diode(_)),
            Rest::Closed => true,
            Rest::Open | Rest::Momentary | Rest::Automatic | Rest::Charging => false,
            Rest::Position => firsts
                .get(&contact.part)
                .is_some_and(|&position| joins(position, contact.device)),
        };
        self.wiring.contacts.iter().map(closed).collect()
    }

    /// Opens or closes every contact that stands so at rest.
    pub(super) fn set(&self, closed: &mut [bool], rest: Rest, to: bool) {
        for (state, contact) in closed.iter_mut().zip(&self.wiring.contacts) {
            if contact.rest == rest {
                *state = to;
            }
        }
    }

    /// Opens or closes every contact of a part.
    pub(super) fn set_part(&self, closed: &mut [bool], part: PartId, to: bool) {
        closed[self.contacts_of(part)].fill(to);
    }

    /// Turns a selector.
    pub(super) fn set_position(&self, closed: &mut [bool], part: PartId, position: Position) {
        for index in self.contacts_of(part) {
            closed[index] = joins(position, self.wiring.contacts[index].device);
        }
    }

    /// Charging relays closed and diodes conducting: a source is on.
    pub(super) fn set_charging(&self, closed: &mut [bool]) {
        self.set(closed, Rest::Charging, true);
        for (state, contact) in closed.iter_mut().zip(&self.wiring.contacts) {
            *state |= matches!(contact.device, Device::Diode(_));
        }
    }

    /// The states of `everything`: at rest with automatic switches closed, at every position of
    /// every selector in turn, and once more with each normally-open contact closed.
    pub(super) fn states_of_everything(&self) -> Vec<(Variant, Vec<bool>)> {
        let mut rest = self.at_rest();
        self.set(&mut rest, Rest::Automatic, true);
        let mut states = vec![(Variant::Rest, rest.clone())];
        for (part, positions) in &self.wiring.selectors {
            for position in positions_on(positions).skip(1) {
                let mut state = rest.clone();
                self.set_position(&mut state, *part, position);
                states.push((Variant::Position(*part, position), state));
            }
        }
        let mut linked: Vec<PartId> = self
            .wiring
            .contacts
            .iter()
            .filter(|contact| contact.rest == Rest::Open)
            .map(|contact| contact.part)
            .collect();
        linked.dedup();
        for part in linked.into_iter().take(MOST_LINKS) {
            let mut state = rest.clone();
            self.set_part(&mut state, part, true);
            states.push((Variant::Linked(part), state));
        }
        states
    }

    /// The banks that a state of the contacts joins on their `+` sides: any of them may be taken
    /// away, by its isolator or by being flat, and the others then carry everything.
    pub(super) fn banks_joined(&self, closed: &[bool]) -> Vec<u32> {
        let banks = &self.banks.list;
        if banks.len() < 2 || banks.len() > MOST_BANKS {
            return Vec::new();
        }
        let pieces = self.pieces(closed);
        let top = |bank: &Bank| bank.tops.first().map(|top| pieces.find(top.index() as u32));
        let tops: Vec<Option<u32>> = banks.iter().map(top).collect();
        let shared = |bank: &u32| {
            let own = tops[*bank as usize];
            own.is_some() && tops.iter().filter(|top| **top == own).count() > 1
        };
        (0..banks.len() as u32).filter(shared).collect()
    }

    /// The pieces of the graph that conductors and closed contacts join.
    fn pieces(&self, closed: &[bool]) -> UnionFind<u32> {
        let graph = &self.wiring.graph;
        let mut pieces = UnionFind::new(graph.node_count());
        for edge in graph.raw_edges() {
            let joins = match edge.weight {
                Link::Conductor(_) | Link::Gap => true,
                Link::Contact(index) => closed[index as usize],
                _ => false,
            };
            if joins {
                pieces.union(edge.source().index() as u32, edge.target().index() as u32);
            }
        }
        pieces
    }

    /// Closes the momentary and automatic switches on the way to a terminal.
    pub(super) fn close_way(&self, net: &Net, node: NodeIndex, closed: &mut [bool]) {
        for (edge, _) in way_to(net, node) {
            let Some(Link::Contact(index)) = self.wiring.graph.edge_weight(edge) else {
                continue;
            };
            if matches!(
                self.wiring.contacts[*index as usize].rest,
                Rest::Momentary | Rest::Automatic
            ) {
                closed[*index as usize] = true;
            }
        }
    }

    /// What draws in `everything`: every load but the short-time ones, at nominal current.
    pub(crate) fn draws_of_everything(&self) -> Vec<(u32, f64)> {
        let always = |draw: &Draw| {
            matches!(
                draw.kind,
                DrawKind::Load | DrawKind::Inverter | DrawKind::Coil
            )
        };
        let draws = self.wiring.draws.iter().enumerate();
        draws
            .filter(|(index, draw)| always(draw) && !self.on_top[*index])
            .map(|(index, _)| (index as u32, self.nominal_amps(index as u32)))
            .collect()
    }
}

/// With more banks than this none is taken away by itself.
const MOST_BANKS: usize = 16;

/// More emergency links than this are not tried one by one.
const MOST_LINKS: usize = 32;

/// A selector's positions but `off`.
fn positions_on(positions: &[Position]) -> impl Iterator<Item = Position> {
    let all = positions.iter().copied();
    all.filter(|position| *position != Position::Off)
}

/// Whether a selector's path is closed in a position.
fn joins(position: Position, device: Device) -> bool {
    match (position, device) {
        (Position::Both, Device::Selector(_)) => true,
        (Position::Number(number), Device::Selector(tap)) => number == tap,
        _ => false,
    }
}
