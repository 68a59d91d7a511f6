//! Cases: what the writer says is on, off, open and closed together, as a moment.

use ampwright_notation::{
    Kind,
    tree::{Setting, Verb},
    units::Dimension,
};
use rustc_hash::{FxHashMap, FxHashSet};

use super::{
    Circuit,
    moments::{Label, Moment},
};
use crate::{
    finding::Finding,
    findings::registry::Code,
    model::PartId,
    site::Site,
    wiring::{Contact, DrawKind, Rest, SupplyKind, Wiring},
    wording::position as position_word,
};

/// Why a line of a case cannot be followed.
enum Slip {
    /// The name is no part's.
    Unknown,
    /// The part has nothing that the line could set.
    Message(String),
}

/// A case while its lines are followed.
struct Draft {
    closed: Vec<bool>,
    /// What has been switched on, in that order; nothing where a later line took it back.
    draws: Vec<Option<(u32, f64)>>,
    charging: Vec<(u32, f64)>,
    /// For each draw that is on its place in `draws`.
    place: FxHashMap<u32, usize>,
}

impl Draft {
    fn draw(&mut self, draw: u32, amps: f64) {
        self.stop_drawing(draw);
        self.place.insert(draw, self.draws.len());
        self.draws.push(Some((draw, amps)));
    }

    fn stop_drawing(&mut self, draw: u32) {
        if let Some(place) = self.place.remove(&draw) {
            self.draws[place] = None;
        }
    }

    fn stop_charging(&mut self, wiring: &Wiring, part: PartId) {
        self.charging
            .retain(|&(supply, _)| wiring.supplies[supply as usize].part != part);
    }
}

impl Circuit<'_> {
    /// The moment of a case; a line that cannot be followed is a finding, and the case goes on.
    pub(super) fn case(&self, index: u32, wrong: &mut Vec<Finding>) -> Moment {
        let at = self.model.cases.list[index as usize].thing;
        let settings = self
            .sources
            .thing(at)
            .map_or(&[][..], |thing| &thing.settings);
        let mut draft = Draft {
            closed: self.at_rest(),
            draws: Vec::new(),
            charging: Vec::new(),
            place: FxHashMap::default(),
        };
        for setting in settings {
            if let Err(slip) = self.apply(&mut draft, setting) {
                wrong.push(self.slip(slip, &setting.name.value, at.at(setting.name.span)));
            }
        }
        self.close_case(&mut draft, settings);
        Moment {
            label: Label::Case(index),
            closed: draft.closed.into(),
            only: None,
            draws: draft.draws.into_iter().flatten().collect(),
            charging: draft.charging,
        }
    }

    /// What follows from the whole of a case: charging relays close, what the case itself opens or
    /// switches stays so, whatever its loads or sources would close, and coils draw.
    fn close_case(&self, draft: &mut Draft, settings: &[Setting]) {
        let named = |setting: &Setting| self.model.part(&setting.name.value);
        let opens = settings.iter().filter(|setting| setting.verb == Verb::Open);
        let opened: FxHashSet<PartId> = opens.filter_map(named).collect();
        if !draft.charging.is_empty() {
            let sources = draft.charging.iter().map(|&(supply, _)| supply);
            let kept = |contact: &Contact| opened.contains(&contact.part);
            self.set_charging(&mut draft.closed, sources, kept);
        }
        for part in opened {
            self.set_part(&mut draft.closed, part, false);
        }
        let mut said: FxHashSet<PartId> = FxHashSet::default();
        for setting in settings {
            let on = match setting.verb {
                Verb::On => true,
                Verb::Off => false,
                _ => continue,
            };
            let relay = named(setting).filter(|part| self.model.get(*part).kind == Kind::Relay);
            if let Some(relay) = relay {
                self.energize(draft, relay, on);
                said.insert(relay);
            }
        }
        self.draw_of_coils(draft, &said);
    }

    /// A coil under current closes its relay, or opens a normally-closed one.
    fn energize(&self, draft: &mut Draft, relay: PartId, on: bool) {
        let contacts = self.contacts_of(relay);
        let opens = self.wiring.contacts[contacts]
            .iter()
            .any(|contact| contact.rest == Rest::Closed);
        self.set_part(&mut draft.closed, relay, on != opens);
    }

    /// The coils of the relays that stand as they do not at rest.
    fn draw_of_coils(&self, draft: &mut Draft, said: &FxHashSet<PartId>) {
        for (wired, draw) in self.wiring.draws.iter().zip(0u32..) {
            if wired.kind != DrawKind::Coil || said.contains(&wired.part) {
                continue;
            }
            let works = self.contacts_of(wired.part).any(|index| {
                draft.closed[index] != (self.wiring.contacts[index].rest == Rest::Closed)
            });
            if works {
                draft.draw(draw, self.nominal_amps(draw));
            }
        }
    }

    fn slip(&self, slip: Slip, name: &str, site: Site) -> Finding {
        match slip {
            Slip::Unknown => Finding::unknown_part(self.model, name, site),
            Slip::Message(message) => Finding::new(Code::UnknownTerminal, site, message),
        }
    }

    fn apply(&self, draft: &mut Draft, setting: &Setting) -> Result<(), Slip> {
        let name = &*setting.name.value;
        let Some(part) = self.model.part(name) else {
            return if self.model.excuses(self.sources, name) {
                Ok(())
            } else {
                Err(Slip::Unknown)
            };
        };
        let done = match setting.verb {
            Verb::On => self.switch_on(draft, part, setting),
            Verb::Off => {
                self.switch_off(draft, part);
                Ok(())
            }
            Verb::Open => self.move_contacts(draft, part, name, false),
            Verb::Close => self.move_contacts(draft, part, name, true),
            Verb::Set => self.turn(draft, part, setting),
        };
        done.map_err(Slip::Message)
    }

    fn move_contacts(
        &self,
        draft: &mut Draft,
        part: PartId,
        name: &str,
        to: bool,
    ) -> Result<(), String> {
        if self.contacts_of(part).is_empty() {
            return Err(format!("{name} has no contact to open or close."));
        }
        self.set_part(&mut draft.closed, part, to);
        Ok(())
    }

    fn turn(&self, draft: &mut Draft, part: PartId, setting: &Setting) -> Result<(), String> {
        let name = &setting.name.value;
        let mut selectors = self.wiring.selectors.iter();
        let Some((_, positions)) = selectors.find(|(id, _)| *id == part) else {
            return Err(format!(
                "{name} is no selector: write open {name} or close {name}."
            ));
        };
        let position = setting.position.map(|position| position.value);
        let position = position.filter(|position| positions.contains(position));
        let position = position.ok_or_else(|| {
            let all: Vec<String> = positions.iter().copied().map(position_word).collect();
            format!("{name} has no such position: it has {}.", all.join(", "))
        })?;
        self.set_position(&mut draft.closed, part, position);
        Ok(())
    }

    /// Starts what the part draws; of a part that draws nothing, what it charges.
    fn switch_on(&self, draft: &mut Draft, part: PartId, setting: &Setting) -> Result<(), String> {
        let starts = self.start_drawing(draft, part, setting)
            || self.start_charging(draft, part, setting)
            || matches!(self.model.get(part).kind, Kind::Solar | Kind::Relay);
        if starts {
            return Ok(());
        }
        Err(format!(
            "{} neither draws nor charges: write close or open for a switch.",
            setting.name.value
        ))
    }

    fn start_drawing(&self, draft: &mut Draft, part: PartId, setting: &Setting) -> bool {
        let Some(&draw) = self.draw_of.get(&part) else {
            return false;
        };
        // What a charging converter takes follows from what it charges with.
        let follows = self
            .supplies_of(part)
            .any(|(_, supply)| supply.kind == SupplyKind::ChargingConverter);
        if !follows {
            draft.draw(draw, self.amount_on(draw, setting));
        }
        let wired = &self.wiring.draws[draw as usize];
        self.close_way(&self.live, wired.plus, &mut draft.closed);
        self.close_way(&self.home, wired.minus, &mut draft.closed);
        !follows
    }

    fn start_charging(&self, draft: &mut Draft, part: PartId, setting: &Setting) -> bool {
        let outputs: Vec<(u32, f64)> = self
            .supplies_of(part)
            .filter(|(_, supply)| supply.kind.charges())
            .map(|(index, supply)| (index, self.most_of(supply)))
            .collect();
        let Some(&(first, _)) = outputs.first() else {
            return false;
        };
        draft.stop_charging(self.wiring, part);
        let said = setting.amount.map(|amount| amount.value);
        let volts = self.volts_at(self.wiring.supplies[first as usize].plus);
        let said = said.map(|amount| match amount.dimension {
            Dimension::Power => amount.value / volts,
            _ => amount.value,
        });
        let most = self.most_together(part).unwrap_or(f64::INFINITY);
        let together = said.map_or(most, |said| said.min(most));
        draft.charging.extend(shared(outputs, together));
        true
    }

    fn switch_off(&self, draft: &mut Draft, part: PartId) {
        if let Some(&draw) = self.draw_of.get(&part) {
            draft.stop_drawing(draw);
        }
        draft.stop_charging(self.wiring, part);
    }

    /// What a line says that a draw takes, A; its full where the line says nothing.
    fn amount_on(&self, draw: u32, setting: &Setting) -> f64 {
        let said = setting.amount.map(|amount| amount.value);
        match said.filter(|amount| amount.value.is_finite()) {
            Some(amount) if amount.dimension == Dimension::Current => amount.value,
            Some(amount) if amount.dimension == Dimension::Power => {
                amount.value / self.draw_volts(draw)
            }
            _ => self.nominal_amps(draw),
        }
    }
}

/// What a source gives by each of its outputs when together they give so much: evenly, but none
/// more than its own most. Any one of them alone may give it all, which is another moment.
fn shared(mut outputs: Vec<(u32, f64)>, together: f64) -> Vec<(u32, f64)> {
    outputs.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    let (mut left, mut sharing) = (together, outputs.len() as f64);
    for (_, amps) in &mut outputs {
        *amps = amps.min(left / sharing);
        left -= *amps;
        sharing -= 1.0;
    }
    outputs.sort_by_key(|&(output, _)| output);
    outputs
}
