//! One computed value and how it came about, and lists of them.

use ampwright_electrics::source::{Sourced, Tag};

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
    /// Where a value comes from that no formula gives.
    pub found: Option<Found>,
}

/// Where a value comes from that is neither a constant nor worked out of those before it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Found {
    /// It stands in the plan.
    Said,
    /// By following the wires.
    Wiring,
    /// In the network solved by the rule.
    ByRule,
    /// In the network solved as wired.
    AsWired,
    /// In the network with its copper hot, one source alone.
    ShortHot,
    /// In the network with its copper cold, all sources together.
    ShortCold,
    /// What the day's loads and sources add up to.
    Day,
}

impl Found {
    /// In words, for standing between brackets.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Said => "the plan",
            Self::Wiring => "by following the wires",
            Self::ByRule => "all currents by the rule",
            Self::AsWired => "all currents as wired",
            Self::ShortHot => "the network with hot copper, one source alone",
            Self::ShortCold => "the network with cold copper, all sources together",
            Self::Day => "the sum of the day",
        }
    }
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
        let cited = Cited {
            source: figure.source.to_owned(),
            tag: figure.tag,
        };
        if !self.cited.contains(&cited) {
            self.cited.push(cited);
        }
        self
    }

    /// Found so, not worked out.
    #[must_use]
    pub(crate) const fn found(mut self, found: Found) -> Self {
        self.found = Some(found);
        self
    }

    /// Whether a reader can tell where the value comes from.
    pub fn is_grounded(&self) -> bool {
        self.found.is_some() || !self.cited.is_empty() || !self.worked.is_empty()
    }

    /// Where it comes from, for standing between brackets: `the document; two quotations`.
    pub(crate) fn cites(&self) -> String {
        let cited = self.cited.iter().map(|cited| match cited.tag {
            Tag::CP => cited.source.clone(),
            tag => format!("{}; {tag}", cited.source),
        });
        let found = self.found.map(|found| found.words().to_owned());
        cited.chain(found).collect::<Vec<_>>().join(" · ")
    }

    /// In one line: `drop here, E: K × I × L / S = 0.0164 × … = 0.459 V (the document; two quotations)`.
    pub fn line(&self) -> String {
        let parts = [&self.formula, &self.worked, &self.value];
        let parts: Vec<&str> = parts.into_iter().map(String::as_str).collect();
        let shown: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
        let cites = self.cites();
        let from = if cites.is_empty() {
            String::new()
        } else {
            format!(" ({cites})")
        };
        format!("{}: {}{from}", self.what, shown.join(" = "))
    }
}

impl Section {
    /// Its steps in a line each. What is solved says so at the first of several that follow each
    /// other: the section's title says it too.
    fn lines(&self) -> impl Iterator<Item = String> {
        let mut last = None;
        self.steps.iter().map(move |step| {
            let solved = matches!(step.found, Some(Found::ByRule | Found::AsWired));
            let again = solved && step.found == last && step.cited.is_empty();
            last = step.found;
            if again {
                let step = Step {
                    found: None,
                    ..step.clone()
                };
                return step.line();
            }
            step.line()
        })
    }
}

impl Unfolding {
    pub(super) fn of(title: String, sections: impl IntoIterator<Item = Section>) -> Self {
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
            doc.list(section.lines().map(Line::from).collect());
        }
        doc
    }
}
