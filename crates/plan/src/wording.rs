//! What moments, loads and sources are called, in findings and in hovers alike.

use ampwright_electrics::solar;
use ampwright_notation::tree::Position;

use crate::{
    Plan,
    model::PartId,
    study::{
        cables::DesignBy,
        moments::{Label, Stand, Variant},
        wired::{Surge, Top},
    },
    wiring::{DrawKind, SupplyKind},
};

impl Plan {
    /// What a moment is called, an index into the by-rule moments; empty for one that is not there.
    pub fn moment_name(&self, index: usize) -> String {
        match self
            .study
            .rule
            .moments
            .get(index)
            .map(|solved| solved.moment.label)
        {
            None => String::new(),
            Some(Label::Case(case)) => self
                .model
                .cases
                .list
                .get(case as usize)
                .map_or_else(String::new, |case| case.name.to_string()),
            Some(Label::Everything(stand)) => format!("everything{}", self.stand_words(stand)),
        }
    }

    /// How the contacts and banks stand, as the end of a sentence's name for a moment: empty at
    /// rest, else `, selector on 2`, `, link closed`, `, fed by house only`.
    pub fn stand_words(&self, stand: Stand) -> String {
        let name = |part: PartId| &self.model.get(part).name;
        let varied = match stand.variant {
            Variant::Rest => String::new(),
            Variant::Position(part, to) => format!(", {} on {}", name(part), position(to)),
            Variant::Linked(part) => format!(", {} closed", name(part)),
        };
        let linked = match self.study.base.links[..] {
            _ if !stand.linked => String::new(),
            [only] => format!(", {} closed", name(only)),
            _ => ", every link and relay closed".to_owned(),
        };
        let banks = &self.study.base.banks.list;
        let bank = stand.only.and_then(|bank| banks.get(bank as usize));
        let fed = match bank.map_or(&[][..], |bank| &bank.batteries) {
            [] => String::new(),
            [battery] => format!(", fed by {} only", name(*battery)),
            [first, ..] => format!(", fed by the bank of {} only", name(*first)),
        };
        let apart = if stand.apart {
            ", relays still open"
        } else {
            ""
        };
        [varied, linked, apart.to_owned(), fed].concat()
    }

    /// The batteries of a bank, an index into the banks: `house-1, house-2`.
    pub fn bank_name(&self, bank: u32) -> String {
        let bank = self.study.base.banks.list.get(bank as usize);
        let batteries = bank.map_or(&[][..], |bank| &bank.batteries);
        let names = batteries.iter().take(MOST_BATTERIES);
        let names: Vec<&str> = names.map(|&part| &*self.model.get(part).name).collect();
        let more = batteries.len() - names.len();
        let more = if more > 0 {
            format!(" and {more} more")
        } else {
            String::new()
        };
        names.join(", ") + &more
    }

    /// The name of what draws.
    pub fn draw_name(&self, draw: u32) -> String {
        let Some(draw) = self.wiring.draws.get(draw as usize) else {
            return String::new();
        };
        let name = &self.model.get(draw.part).name;
        match draw.kind {
            DrawKind::Coil => format!("the coil of {name}"),
            DrawKind::Converter => format!("{name} input"),
            _ => name.to_string(),
        }
    }

    /// The name of what supplies.
    pub fn supply_name(&self, supply: u32) -> String {
        let Some(supply) = self.wiring.supplies.get(supply as usize) else {
            return String::new();
        };
        let part = self.model.get(supply.part);
        match supply.kind {
            SupplyKind::Charger(output) => format!("{} out {output}", part.name),
            SupplyKind::Converter | SupplyKind::ChargingConverter => {
                format!("{} output", part.name)
            }
            _ => part.name.to_string(),
        }
    }

    /// What asks for a design current.
    pub fn asked_by(&self, by: DesignBy) -> String {
        match by {
            DesignBy::Nothing => "no moment".to_owned(),
            DesignBy::Moment(index) => self.moment_name(index),
            DesignBy::Alone(load, stand) => self.alone_name(load, stand),
            DesignBy::OnTop(load, index) => format!(
                "{} with {} on top",
                self.moment_name(index),
                self.draw_name(load)
            ),
            DesignBy::Charging(source, stand) => format!(
                "charging from {}{}",
                self.supply_name(source),
                self.stand_words(stand)
            ),
            DesignBy::Panels(source, stand) => format!(
                "{}, {} times the short-circuit current ({})",
                self.sun_name(source, stand),
                solar::CIRCUIT_CURRENT.value * solar::CONTINUOUS.value,
                solar::CONTINUOUS.source
            ),
            DesignBy::Controllers(source, stand) => self.sun_name(source, stand),
        }
    }

    /// What full sun is called, by the panels or the controller that give the most of it.
    pub fn sun_name(&self, supply: u32, stand: Stand) -> String {
        let words = self.stand_words(stand);
        format!("full sun on {}{words}", self.supply_name(supply))
    }

    /// When a draw gets the least, as the end of a sentence: "in evening", "with all else off",
    /// "while it starts in evening".
    pub fn least_by(&self, by: DesignBy) -> String {
        match by {
            DesignBy::Moment(moment) => format!("in {}", self.moment_name(moment)),
            DesignBy::OnTop(draw, moment) => {
                let mut tops = self.study.wired.tops.iter();
                let top = tops.find(|top| top.draw == draw && top.moment == moment);
                top.map_or_else(String::new, |top| self.on_top(top))
            }
            DesignBy::Alone(_, stand) => format!("with all else off{}", self.stand_words(stand)),
            _ => String::new(),
        }
    }

    /// When a draw runs on top of a moment: "while it starts in evening".
    pub fn on_top(&self, top: &Top) -> String {
        let moment = self.moment_name(top.moment);
        match top.surge {
            Surge::Runs => format!("on top of {moment}"),
            Surge::Starts => format!("while it starts in {moment}"),
            Surge::Peaks => format!("at its peak in {moment}"),
        }
    }

    /// What a load taken alone is called, with how the contacts stand.
    pub fn alone_name(&self, draw: u32, stand: Stand) -> String {
        format!("{} alone{}", self.draw_name(draw), self.stand_words(stand))
    }
}

/// Batteries of a bank that are named; more would bury the rest of the sentence.
const MOST_BATTERIES: usize = 4;

/// A selector's position in a word.
pub(crate) fn position(position: Position) -> String {
    match position {
        Position::Off => "off".to_owned(),
        Position::Both => "both".to_owned(),
        Position::Number(number) => number.to_string(),
    }
}
