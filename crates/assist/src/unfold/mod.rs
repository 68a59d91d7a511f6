//! A computed value unfolded: what it is, the formula, the formula with its numbers, the value, and
//! where each constant in it comes from, with its tag in words.
//!
//! One room a thing: `conductor`, `device`, `load`, `battery`. Each is a list of sections, a
//! function each, so that a new computed value is one more function in its list. `used` gathers the
//! published and remembered figures that a plan rests on.

mod battery;
mod conductor;
mod device;
mod load;
pub mod used;

use ampwright_electrics::source::{Sourced, Tag};
use ampwright_notation::{Kind, suggest};
use ampwright_plan::{PartId, Plan};

use crate::doc::{Doc, Line};

/// Where a constant comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cited {
    /// Document and clause, or the reason.
    pub source: String,
    /// How it is known.
    pub tag: Tag,
}

/// One value and how it came about.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Step {
    /// What it is, with its letter where the formulas have one.
    pub what: String,
    /// The formula; empty for what is said or found in a table.
    pub formula: String,
    /// The formula with its numbers.
    pub worked: String,
    /// The value with its unit.
    pub value: String,
    /// Where its constants come from.
    pub cited: Vec<Cited>,
}

/// What belongs together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Section {
    /// What it is about.
    pub title: &'static str,
    /// Its values, each made of those before it.
    pub steps: Vec<Step>,
}

/// A thing with every value unfolded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unfolding {
    /// What it is of.
    pub title: String,
    /// Its sections; none of them is empty.
    pub sections: Vec<Section>,
}

impl Step {
    /// A value that is said, or found by looking.
    pub(crate) fn new(what: impl Into<String>, value: impl Into<String>) -> Self {
        Self {
            what: what.into(),
            value: value.into(),
            ..Self::default()
        }
    }

    /// With the formula behind it and the numbers in it.
    #[must_use]
    pub(crate) fn by(mut self, formula: impl Into<String>, worked: impl Into<String>) -> Self {
        (self.formula, self.worked) = (formula.into(), worked.into());
        self
    }

    /// With where a constant in it comes from.
    #[must_use]
    pub(crate) fn from<T>(mut self, figure: &Sourced<T>) -> Self {
        self.cited.push(Cited {
            source: figure.source.to_owned(),
            tag: figure.tag,
        });
        self
    }

    /// In one line: `drop here, E: K × I × L / S = 0.0164 × … = 0.459 V (the document; two quotations)`.
    pub fn line(&self) -> String {
        let parts = [&self.formula, &self.worked, &self.value];
        let parts: Vec<&str> = parts.into_iter().map(String::as_str).collect();
        let shown: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
        let cited = self.cited.iter();
        let cited: Vec<String> = cited
            .map(|cited| match cited.tag {
                Tag::CP => cited.source.clone(),
                tag => format!("{}; {tag}", cited.source),
            })
            .collect();
        let from = if cited.is_empty() {
            String::new()
        } else {
            format!(" ({})", cited.join(" · "))
        };
        format!("{}: {}{from}", self.what, shown.join(" = "))
    }
}

impl Unfolding {
    fn of(title: String, sections: impl IntoIterator<Item = Section>) -> Self {
        let sections = sections.into_iter();
        Self {
            title,
            sections: sections
                .filter(|section| !section.steps.is_empty())
                .collect(),
        }
    }

    /// For people.
    pub fn doc(&self) -> Doc {
        let mut doc = Doc::default();
        doc.heading(self.title.as_str());
        for section in &self.sections {
            doc.say(Line::default().strong(section.title));
            doc.list(
                section
                    .steps
                    .iter()
                    .map(|step| step.line().into())
                    .collect(),
            );
        }
        doc
    }
}

/// What there is to unfold under a name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unfolded {
    /// One thing, or each conductor of a run.
    Known(Vec<Unfolding>),
    /// The name is in the plan, but nothing is computed of it.
    Nothing,
    /// Nothing has the name; the nearest that something has.
    Unknown(Option<String>),
}

/// Unfolds a conductor by its mark, a run, a part, or a way as `panel way 2`. A part's name wins over
/// a run's, and both over a mark: marks that are made begin with their run's name and go on.
pub fn unfold(plan: &Plan, name: &str) -> Unfolded {
    let name = name.trim();
    if let Some(part) = plan.model.part(name) {
        let list = of_part(plan, part);
        return if list.is_empty() {
            Unfolded::Nothing
        } else {
            Unfolded::Known(list)
        };
    }
    let conductors = || (0u32..).zip(&plan.wiring.conductors);
    let list: Vec<Unfolding> = match plan.model.runs.find(name) {
        Some(run) => conductors()
            .filter(|(_, wired)| wired.run == run)
            .map(|(index, _)| conductor::unfold(plan, index))
            .collect(),
        None => conductors()
            .filter(|(_, wired)| &*wired.mark == name)
            .map(|(index, _)| conductor::unfold(plan, index))
            .collect(),
    };
    if !list.is_empty() {
        return Unfolded::Known(list);
    }
    if let Some(way) = device::way(plan, name) {
        return Unfolded::Known(vec![way]);
    }
    let parts = plan.model.parts.iter().map(|part| &*part.name);
    let runs = plan.model.runs.list.iter().map(|run| &*run.name);
    let marks = plan.wiring.conductors.iter().map(|wired| &*wired.mark);
    let near = suggest::nearest(name, marks.chain(parts).chain(runs));
    Unfolded::Unknown(near.map(str::to_owned))
}

fn of_part(plan: &Plan, part: PartId) -> Vec<Unfolding> {
    let kind = plan.model.get(part).kind;
    if kind == Kind::Battery {
        return battery::unfold(plan, part).into_iter().collect();
    }
    let draw = plan.study.base.draw_of.get(&part);
    let load = draw.and_then(|&draw| load::unfold(plan, draw));
    load.into_iter().chain(device::unfold(plan, part)).collect()
}

pub(crate) use conductor::{drop_step, steps_of as ampacity_steps};

#[cfg(test)]
mod tests;
