//! Moments: which contacts are closed, which loads draw, which sources charge.

use std::sync::Arc;

use ampwright_electrics::battery::Charge;
use ampwright_notation::{Key, tree::Position};
use petgraph::{graph::NodeIndex, unionfind::UnionFind, visit::EdgeRef};
use rustc_hash::{FxHashMap, FxHashSet};

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
    Everything(Stand),
}

/// How the contacts and the banks stand where no case says it: in `everything`, and where a load
/// or a source is taken alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stand {
    /// What differs from rest.
    pub variant: Variant,
    /// Every normally-open contact and charging relay is closed besides.
    pub linked: bool,
    /// A source charges, and the charging relays are still open.
    pub apart: bool,
    /// Of several banks joined together only this one feeds; an index into the banks.
    pub only: Option<u32>,
}

/// At which position of which selector, or with which link closed. One thing at a time: the
/// positions of several selectors are not multiplied.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Variant {
    /// All at rest.
    Rest,
    /// A selector in a position that is not its first.
    Position(PartId, Position),
    /// A normally-open contact closed.
    Linked(PartId),
}

impl Stand {
    /// All at rest, every bank feeding.
    pub const REST: Self = Self {
        variant: Variant::Rest,
        linked: false,
        apart: false,
        only: None,
    };

    const fn varied(variant: Variant) -> Self {
        Self {
            variant,
            ..Self::REST
        }
    }
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

impl Moment {
    /// Whether the writer made it.
    pub const fn is_case(&self) -> bool {
        matches!(self.label, Label::Case(_))
    }
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
            Rest::Always => !matches!(contact.device, Device::Diode(_)) || self.feeds_on(contact),
            Rest::Closed => true,
            Rest::Open | Rest::Momentary | Rest::Automatic | Rest::Charging => false,
            Rest::Position => firsts
                .get(&contact.part)
                .is_some_and(|&position| joins(position, contact.device)),
        };
        self.wiring.contacts.iter().map(closed).collect()
    }

    /// A diode through which what lies behind it is fed: it conducts whoever charges. One that leads
    /// on to a battery does so only while its own side is the higher.
    fn feeds_on(&self, contact: &Contact) -> bool {
        self.live[contact.out.index()].is_some_and(|reach| reach.by == Some(contact.edge))
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

    /// A source is on: diodes conduct, and the charging relays at whose side it stands are closed,
    /// which can bring it to the side of the next one. What `kept` says stays open.
    pub(super) fn set_charging(
        &self,
        closed: &mut [bool],
        sources: impl Iterator<Item = u32>,
        kept: impl Fn(&Contact) -> bool,
    ) {
        self.conduct(closed);
        let graph = &self.wiring.graph;
        let ends = |supply: u32| {
            let supply = &self.wiring.supplies[supply as usize];
            [supply.plus, supply.minus]
        };
        let mut open: Vec<NodeIndex> = sources.flat_map(ends).collect();
        let mut seen: FxHashSet<NodeIndex> = open.iter().copied().collect();
        while let Some(node) = open.pop() {
            for edge in graph.edges(node) {
                if self.charge_passes(*edge.weight(), closed, &kept) {
                    let ends = [edge.source(), edge.target()];
                    open.extend(ends.into_iter().filter(|&end| seen.insert(end)));
                }
            }
        }
    }

    /// Every position of every selector but its first and `off`.
    pub(super) fn selector_positions(&self) -> Vec<(PartId, Position)> {
        let selectors = self.wiring.selectors.iter();
        let others = |(part, positions): &(PartId, Vec<Position>)| {
            let part = *part;
            let others: Vec<_> = positions_on(positions).skip(1).collect();
            others.into_iter().map(move |position| (part, position))
        };
        selectors.flat_map(others).collect()
    }

    /// Whether a source's volts get along an edge; a charging relay that they reach closes.
    fn charge_passes(
        &self,
        link: Link,
        closed: &mut [bool],
        kept: impl Fn(&Contact) -> bool,
    ) -> bool {
        match link {
            Link::Conductor(_) | Link::Gap => true,
            Link::Contact(index) => {
                let contact = &self.wiring.contacts[index as usize];
                let state = &mut closed[index as usize];
                *state |= contact.rest == Rest::Charging && !kept(contact);
                *state
            }
            _ => false,
        }
    }

    /// At rest, but for what runs without being asked: automatic switches are closed, and so is
    /// whatever stands open on the only way of a load that counts as on.
    pub(super) fn rest_of_everything(&self) -> Vec<bool> {
        let mut rest = self.at_rest();
        self.set(&mut rest, Rest::Automatic, true);
        let is_load = |draw: &u32| self.wiring.draws[*draw as usize].kind != DrawKind::Coil;
        let draws = self.draws_of_everything().into_iter();
        let draws = draws.map(|(draw, _)| draw).filter(is_load);
        self.close_only_ways(&mut rest, draws);
        rest
    }

    /// Closes what stands open at rest on the ways of some draws, where they have no other way.
    pub(super) fn close_only_ways(&self, closed: &mut [bool], draws: impl Iterator<Item = u32>) {
        let mut seen: FxHashSet<(bool, NodeIndex)> = FxHashSet::default();
        for draw in draws {
            let draw = &self.wiring.draws[draw as usize];
            for (live, net, end) in [
                (true, &self.live, draw.plus),
                (false, &self.home, draw.minus),
            ] {
                if net[end.index()].is_none_or(|reach| reach.open == 0) {
                    continue;
                }
                // The ways form a tree: where one has been walked before, the rest of it has too.
                let ways = way_to(net, end).take_while(|&(_, node)| seen.insert((live, node)));
                let contacts = ways.filter_map(|(edge, _)| self.contact_at(edge));
                for index in contacts.collect::<Vec<_>>() {
                    let rest_of = self.wiring.contacts[index].rest;
                    closed[index] |= matches!(rest_of, Rest::Open | Rest::Charging);
                }
            }
        }
    }

    fn contact_at(&self, edge: petgraph::graph::EdgeIndex) -> Option<usize> {
        match self.wiring.graph.edge_weight(edge)? {
            Link::Contact(index) => Some(*index as usize),
            _ => None,
        }
    }

    /// The states of `everything`: at rest, at every position of every selector in turn, and once
    /// more with each normally-open contact closed. Where there are very many of these the last
    /// ones are closed together, which asks at least as much of whatever they feed.
    pub(super) fn states_of_everything(&self) -> Vec<(Stand, Vec<bool>)> {
        let rest = self.rest_of_everything();
        let mut states = vec![(Stand::REST, rest.clone())];
        let mut add = |stand: Stand| {
            let mut state = rest.clone();
            self.vary(&mut state, stand);
            states.push((stand, state));
        };
        for (part, position) in self.selector_positions() {
            add(Stand::varied(Variant::Position(part, position)));
        }
        let links: Vec<PartId> = self.hand_links().collect();
        for &part in links.iter().take(MOST_LINKS) {
            add(Stand::varied(Variant::Linked(part)));
        }
        if links.len() > MOST_LINKS {
            add(Stand {
                linked: true,
                ..Stand::REST
            });
        }
        states
    }

    /// The states in which sources charge: at rest, at every position of every selector in turn.
    pub(super) fn states_of_charging(&self) -> impl Iterator<Item = (Stand, Vec<bool>)> {
        let rest = self.at_rest();
        let positions = self.selector_positions().into_iter();
        let turned =
            positions.map(|(part, position)| Stand::varied(Variant::Position(part, position)));
        let stands = std::iter::once(Stand::REST).chain(turned);
        stands.take(MOST_LINKS).map(move |stand| {
            let mut state = rest.clone();
            self.vary(&mut state, stand);
            (stand, state)
        })
    }

    /// The links that somebody closes, and the charging relays that stay closed afterwards; what
    /// only a source closes has no part in `everything`.
    fn hand_links(&self) -> impl Iterator<Item = PartId> {
        let by_hand = |part: &PartId| {
            let mut contacts = self.wiring.contacts[self.contacts_of(*part)].iter();
            contacts.any(|contact| contact.rest == Rest::Open || self.lingers(contact))
        };
        self.links.iter().copied().filter(by_hand)
    }

    /// A charging relay that `opens` at no more than a battery at its side has at rest when it is
    /// half full: nothing but an empty battery opens it again.
    pub fn lingers(&self, contact: &Contact) -> bool {
        if contact.rest != Rest::Charging {
            return false;
        }
        let Some(opens) = self.facts(contact.part).amount(Key::Opens) else {
            return false;
        };
        let ends = [contact.feed, contact.out].into_iter();
        let mut rests = ends.filter_map(|end| self.rest_volts_at(end));
        rests.any(|rest| opens <= rest)
    }

    /// What the bank that feeds a node has at rest when it is half full, V.
    fn rest_volts_at(&self, node: NodeIndex) -> Option<f64> {
        let source = self.live[node.index()]?.source;
        let bank = self.banks.of_supply.get(&source)?;
        let bank = self.banks.list.get(*bank as usize)?;
        let block = self.block_of(self.wiring.supplies.get(source as usize)?);
        let cells = bank.volts / block.nominal.0;
        Some(block.rest_volts(Charge::Half).value.0 * cells)
    }

    /// The state of the contacts in which something was taken alone, no button pressed.
    pub(super) fn standing(&self, stand: Stand) -> Vec<bool> {
        let mut state = self.rest_of_everything();
        self.vary(&mut state, stand);
        state
    }

    fn vary(&self, state: &mut [bool], stand: Stand) {
        match stand.variant {
            Variant::Rest => {}
            Variant::Position(part, position) => self.set_position(state, part, position),
            Variant::Linked(part) => self.set_part(state, part, true),
        }
        if stand.linked {
            self.link(state);
        }
    }

    /// Every normally-open contact and charging relay closed, every diode conducting.
    pub(super) fn link(&self, state: &mut [bool]) {
        self.set(state, Rest::Open, true);
        self.set(state, Rest::Charging, true);
        self.conduct(state);
    }

    fn conduct(&self, state: &mut [bool]) {
        for (state, contact) in state.iter_mut().zip(&self.wiring.contacts) {
            *state |= matches!(contact.device, Device::Diode(_));
        }
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
    pub(super) fn pieces(&self, closed: &[bool]) -> UnionFind<u32> {
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

    /// Closes the momentary and automatic switches on the way to a terminal, and the relays that
    /// are there to switch what lies behind them. An emergency link stays open unless it is named.
    pub(super) fn close_way(&self, net: &Net, node: NodeIndex, closed: &mut [bool]) {
        let contacts = way_to(net, node).filter_map(|(edge, _)| self.contact_at(edge));
        for index in contacts.collect::<Vec<_>>() {
            let contact = &self.wiring.contacts[index];
            let works = match contact.rest {
                Rest::Momentary | Rest::Automatic => true,
                Rest::Open => contact.device == Device::Relay,
                _ => false,
            };
            closed[index] |= works;
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

/// More emergency links than this are not tried one by one, but the rest of them together; nor are
/// more positions while a source charges.
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
