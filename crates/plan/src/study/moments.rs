//! Moments: which contacts are closed, which loads draw, which sources charge.

use ampwright_notation::{
    Kind,
    tree::{Position, Setting, Verb},
};
use petgraph::unionfind::UnionFind;
use rustc_hash::FxHashMap;

use super::{
    Circuit,
    reach::{Net, way_to},
};
use crate::{
    model::PartId,
    site::Site,
    wiring::{Device, DrawKind, Link, Rest},
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
    pub closed: Vec<bool>,
    /// The one bank that feeds, where the others are taken away.
    pub only: Option<u32>,
    /// What draws: an index into the wiring's draws and the amperes by the rule.
    pub draws: Vec<(u32, f64)>,
    /// What charges: an index into the wiring's supplies and its amperes.
    pub charging: Vec<(u32, f64)>,
}

/// A line of a case that cannot be followed.
#[derive(Clone, Debug)]
pub struct CaseFlaw {
    /// The words.
    pub site: Site,
    /// What is wrong.
    pub message: String,
    /// The name is no part's.
    pub unknown: bool,
}

impl Circuit<'_> {
    /// The contacts at rest.
    pub(super) fn at_rest(&self) -> Vec<bool> {
        let first = |part: PartId| {
            let positions = self
                .wiring
                .selectors
                .iter()
                .find(|(id, _)| *id == part)
                .map(|(_, list)| list);
            positions.and_then(|list| {
                list.iter()
                    .copied()
                    .find(|position| *position != Position::Off)
            })
        };
        let firsts: FxHashMap<PartId, Option<Position>> = self
            .wiring
            .selectors
            .iter()
            .map(|&(part, _)| (part, first(part)))
            .collect();
        let closed = |contact: &crate::wiring::Contact| match contact.rest {
            Rest::Always => !matches!(contact.device, Device::Diode(_)),
            Rest::Closed => true,
            Rest::Open | Rest::Momentary | Rest::Automatic | Rest::Charging => false,
            Rest::Position => joins(firsts.get(&contact.part).copied().flatten(), contact.device),
        };
        self.wiring.contacts.iter().map(closed).collect()
    }

    pub(super) fn set(&self, closed: &mut [bool], rest: Rest, to: bool) {
        for (state, contact) in closed.iter_mut().zip(&self.wiring.contacts) {
            if contact.rest == rest {
                *state = to;
            }
        }
    }

    pub(super) fn set_part(&self, closed: &mut [bool], part: PartId, to: bool) {
        for (state, contact) in closed.iter_mut().zip(&self.wiring.contacts) {
            if contact.part == part {
                *state = to;
            }
        }
    }

    pub(super) fn set_position(&self, closed: &mut [bool], part: PartId, position: Position) {
        for (state, contact) in closed.iter_mut().zip(&self.wiring.contacts) {
            if contact.part == part {
                *state = joins(Some(position), contact.device);
            }
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
            for &position in positions
                .iter()
                .filter(|&&position| position != Position::Off)
                .skip(1)
            {
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
        let mut sets = UnionFind::<u32>::new(self.wiring.graph.node_count());
        for edge in self.wiring.graph.raw_edges() {
            let joins = match edge.weight {
                Link::Conductor(_) | Link::Gap => true,
                Link::Contact(index) => closed[index as usize],
                _ => false,
            };
            if joins {
                sets.union(edge.source().index() as u32, edge.target().index() as u32);
            }
        }
        let top = |bank: usize| {
            banks[bank]
                .tops
                .first()
                .map(|top| sets.find(top.index() as u32))
        };
        let tops: Vec<Option<u32>> = (0..banks.len()).map(top).collect();
        let shared = |bank: &usize| {
            tops[*bank].is_some() && tops.iter().filter(|top| **top == tops[*bank]).count() > 1
        };
        (0..banks.len())
            .filter(shared)
            .map(|bank| bank as u32)
            .collect()
    }

    /// The moment of a case.
    pub(super) fn case(&self, index: u32, flaws: &mut Vec<CaseFlaw>) -> Moment {
        let named = &self.model.cases.list[index as usize];
        let settings = self
            .sources
            .thing(named.thing)
            .map_or(&[][..], |thing| &thing.settings);
        let mut moment = Moment {
            label: Label::Case(index),
            closed: self.at_rest(),
            only: None,
            draws: Vec::new(),
            charging: Vec::new(),
        };
        for setting in settings {
            if let Err((unknown, message)) = self.apply(&mut moment, setting) {
                flaws.push(CaseFlaw {
                    site: named.thing.at(setting.name.span),
                    message,
                    unknown,
                });
            }
        }
        if !moment.charging.is_empty() {
            self.set_charging(&mut moment.closed);
        }
        // What the case opens stays open, whatever its loads or sources would close.
        for setting in settings.iter().filter(|setting| setting.verb == Verb::Open) {
            if let Some(part) = self.model.part(&setting.name.value) {
                self.set_part(&mut moment.closed, part, false);
            }
        }
        moment
    }

    fn apply(&self, moment: &mut Moment, setting: &Setting) -> Result<(), (bool, String)> {
        let name = &*setting.name.value;
        if self.model.part(name).is_none()
            && (self.model.unread.contains(name) || !self.sources.unusable.is_empty())
        {
            return Ok(()); // its own line or file could not be read, and has its finding
        }
        let Some(part) = self.model.part(name) else {
            let near =
                crate::nearest::nearest(name, self.model.parts.iter().map(|part| &*part.name));
            return Err((
                true,
                match near {
                    Some(near) => format!("There is no part called {name}; did you mean {near}?"),
                    None => format!(
                        "There is no part called {name}: write the thing, or correct the name."
                    ),
                },
            ));
        };
        match setting.verb {
            Verb::On => self
                .switch_on(moment, part, setting)
                .map_err(|message| (false, message)),
            Verb::Off => {
                self.switch_off(moment, part);
                Ok(())
            }
            Verb::Open | Verb::Close => {
                if !self
                    .wiring
                    .contacts
                    .iter()
                    .any(|contact| contact.part == part)
                {
                    return Err((false, format!("{name} has no contact to open or close.")));
                }
                self.set_part(&mut moment.closed, part, setting.verb == Verb::Close);
                Ok(())
            }
            Verb::Set => self
                .turn(moment, part, setting)
                .map_err(|message| (false, message)),
        }
    }

    fn turn(&self, moment: &mut Moment, part: PartId, setting: &Setting) -> Result<(), String> {
        let name = &setting.name.value;
        let Some((_, positions)) = self.wiring.selectors.iter().find(|(id, _)| *id == part) else {
            return Err(format!(
                "{name} is no selector: write open {name} or close {name}."
            ));
        };
        match &setting.position {
            Some(position) if positions.contains(&position.value) => {
                self.set_position(&mut moment.closed, part, position.value);
                Ok(())
            }
            _ => Err(format!("{name} has no such position.")),
        }
    }

    fn switch_on(
        &self,
        moment: &mut Moment,
        part: PartId,
        setting: &Setting,
    ) -> Result<(), String> {
        let mut known = false;
        for draw in self.draws_of(part) {
            known = true;
            let amps = self.amount_on(draw, setting);
            moment.draws.retain(|&(other, _)| other != draw);
            moment.draws.push((draw, amps));
            let wired = &self.wiring.draws[draw as usize];
            self.close_way(&self.live, wired.plus, &mut moment.closed);
            self.close_way(&self.home, wired.minus, &mut moment.closed);
        }
        if !known {
            for (index, supply) in self
                .supplies_of(part)
                .filter(|(_, supply)| supply.kind.charges())
            {
                known = true;
                let most = supply.amps.min(self.controller_most(supply));
                let amps = setting
                    .amount
                    .map_or(most, |amount| amount.value.value.min(most));
                moment.charging.push((index, amps));
            }
        }
        let kind = self.model.get(part).kind;
        if known || kind == Kind::Solar {
            return Ok(());
        }
        Err(format!(
            "{} neither draws nor charges: write close or open for a switch.",
            setting.name.value
        ))
    }

    fn switch_off(&self, moment: &mut Moment, part: PartId) {
        moment
            .draws
            .retain(|&(draw, _)| self.wiring.draws[draw as usize].part != part);
        moment
            .charging
            .retain(|&(supply, _)| self.wiring.supplies[supply as usize].part != part);
    }

    fn amount_on(&self, draw: u32, setting: &Setting) -> f64 {
        use ampwright_notation::units::Dimension;
        let said = setting.amount.map(|amount| amount.value);
        match said.filter(|amount| amount.value.is_finite()) {
            Some(amount) if amount.dimension == Dimension::Current => amount.value,
            Some(amount) if amount.dimension == Dimension::Power => {
                amount.value / self.draw_volts(draw)
            }
            _ => self.nominal_amps(draw),
        }
    }

    /// Closes the momentary and automatic switches on the way to a terminal.
    pub(super) fn close_way(
        &self,
        net: &Net,
        node: petgraph::graph::NodeIndex,
        closed: &mut [bool],
    ) {
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

    pub(super) fn draws_of(&self, part: PartId) -> impl Iterator<Item = u32> {
        let range = self.draw_of.get(&part).copied();
        range.into_iter()
    }

    fn supplies_of(&self, part: PartId) -> impl Iterator<Item = (u32, &crate::wiring::Supply)> {
        let indexed = self.wiring.supplies.iter().enumerate();
        indexed
            .filter(move |(_, supply)| supply.part == part)
            .map(|(index, supply)| (index as u32, supply))
    }

    /// What draws in `everything`: every load but the short-time ones, at nominal current.
    pub(crate) fn draws_of_everything(&self) -> Vec<(u32, f64)> {
        let always = |draw: &crate::wiring::Draw| {
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

/// Whether a selector's path is closed in a position.
fn joins(position: Option<Position>, device: Device) -> bool {
    match (position, device) {
        (Some(Position::Both), Device::Selector(_)) => true,
        (Some(Position::Number(number)), Device::Selector(tap)) => number == tap,
        _ => false,
    }
}
