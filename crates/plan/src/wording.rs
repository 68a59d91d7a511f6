//! What moments, loads and sources are called, in findings and in hovers alike.

use ampwright_notation::tree::Position;

use crate::{
    Plan,
    model::PartId,
    study::{
        cables::DesignBy,
        moments::{Label, Variant},
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
            Some(Label::Everything(variant)) => self.variant_name(variant),
        }
    }

    fn variant_name(&self, variant: Variant) -> String {
        let name = |part: PartId| &self.model.get(part).name;
        match variant {
            Variant::Rest => "everything".to_owned(),
            Variant::Position(part, to) => {
                format!("everything, {} on {}", name(part), position(to))
            }
            Variant::Linked(part) => format!("everything, {} closed", name(part)),
            Variant::Bank(bank) => {
                let first = self
                    .study
                    .base
                    .banks
                    .list
                    .get(bank as usize)
                    .and_then(|bank| bank.batteries.first());
                let battery = first.map_or("", |&battery| name(battery));
                format!("everything, fed by {battery} alone")
            }
        }
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
            DesignBy::Alone(load) => format!("{} alone", self.draw_name(load)),
            DesignBy::OnTop(load, index) => format!(
                "{} with {} on top",
                self.moment_name(index),
                self.draw_name(load)
            ),
            DesignBy::Charging(source) => format!("charging from {}", self.supply_name(source)),
        }
    }
}

fn position(position: Position) -> String {
    match position {
        Position::Off => "off".to_owned(),
        Position::Both => "both".to_owned(),
        Position::Number(number) => number.to_string(),
    }
}
