//! A finding: what is wrong, where, by how much, and what would mend it.

use ampwright_notation::units::{self, Unit};

use crate::{findings::registry::Code, model::Model, nearest::nearest, say, site::Site};

/// How bad it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Better practice.
    Advice,
    /// Outside the rule, not dangerous at once.
    Warning,
    /// It can burn, gas or injure, or cannot work.
    Error,
}

impl Severity {
    /// The word for people.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Advice => "advice",
            Self::Warning => "warning",
            Self::Error => "error",
        }
    }
}

/// Another place that belongs to a finding: the fuse, the far end.
#[derive(Clone, Debug, PartialEq)]
pub struct Related {
    /// Where.
    pub site: Site,
    /// What it has to do with it.
    pub message: String,
}

/// An edit that mends a finding.
#[derive(Clone, Debug, PartialEq)]
pub struct Fix {
    /// What the edit does: "write 2.5 mm2".
    pub label: String,
    /// The words to replace; empty to insert.
    pub site: Site,
    /// The new words.
    pub text: String,
}

/// What a finding measures, in the base unit of its figure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figure {
    /// What was measured.
    pub measured: f64,
    /// What is allowed.
    pub allowed: f64,
    /// The unit of both, for people.
    pub unit: &'static str,
}

impl Figure {
    /// Whether a figure up to which the finding was accepted still covers it. Most findings are
    /// worse the larger the figure; a conductor that is too thin or a voltage that is too low is
    /// worse the smaller.
    pub fn is_within(&self, accepted: f64) -> bool {
        if self.measured >= self.allowed {
            self.measured <= accepted + 1e-6
        } else {
            self.measured >= accepted - 1e-6
        }
    }

    /// The worse of two figures of one finding's code.
    #[must_use]
    pub fn worse(self, other: Self) -> Self {
        if other.is_within(self.measured) {
            self
        } else {
            other
        }
    }

    /// The unit as it is written in a plan; `None` for what is counted.
    pub fn unit(&self) -> Option<Unit> {
        Unit::find(self.unit)
    }

    /// The figure as one writes it after `up to`, rounded so that it covers what was measured;
    /// `None` where it is no figure that anybody would write.
    pub fn written(&self) -> Option<String> {
        if !self.measured.is_finite() || self.measured.abs() >= MOST_WRITTEN {
            return None;
        }
        let number = self.rounded_away();
        Some(match self.unit() {
            Some(unit) => format!("{number} {}", unit.ascii()),
            None => number,
        })
    }

    /// The unit as people read it.
    pub fn printed_unit(&self) -> &'static str {
        self.unit().map_or(self.unit, Unit::printed)
    }

    /// One of its two figures, or another of their kind, as people read it.
    pub fn shown(&self, value: f64) -> String {
        match self.unit() {
            Some(Unit::Percent) => say::percent(value),
            Some(Unit::Metre) => say::metres(value),
            Some(Unit::Volt) => say::volts(value),
            _ => say::figure(value, self.printed_unit()),
        }
    }

    /// To three figures, away from what is allowed.
    fn rounded_away(&self) -> String {
        let away = |value: f64| {
            if self.measured >= self.allowed {
                (value - 1e-6).ceil()
            } else {
                (value + 1e-6).floor()
            }
        };
        if self.unit().is_none() {
            return units::plain(away(self.measured));
        }
        let digits = self.measured.abs().max(1e-3).log10().floor();
        let fine = 10f64.powf(2.0 - digits);
        units::plain(away(self.measured * fine) / fine)
    }
}

/// No figure of a boat is as large.
const MOST_WRITTEN: f64 = 1e9;

/// How a finding was accepted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Accepted {
    /// The allowance.
    pub site: Site,
    /// The writer's reason.
    pub reason: String,
    /// Who accepted it.
    pub by: Option<String>,
}

impl Accepted {
    /// For a report: `accepted by A. Surveyor: in conduit all the way`.
    pub fn words(&self) -> String {
        let by = self.by.as_ref().map(|by| format!(" by {by}"));
        format!("accepted{}: {}", by.unwrap_or_default(), self.reason)
    }
}

/// One finding.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Which.
    pub code: Code,
    /// How bad.
    pub severity: Severity,
    /// The words that cause it.
    pub site: Site,
    /// One sentence with the measured and the allowed figure.
    pub message: String,
    /// Other places.
    pub related: Vec<Related>,
    /// What it measures, where it measures something.
    pub figure: Option<Figure>,
    /// Edits that mend it, the likeliest first.
    pub fixes: Vec<Fix>,
    /// The allowance that accepts it.
    pub accepted: Option<Accepted>,
}

impl Finding {
    /// A finding with its registry's severity.
    pub fn new(code: Code, site: Site, message: impl Into<String>) -> Self {
        Self {
            code,
            severity: code.entry().severity,
            site,
            message: message.into(),
            related: Vec::new(),
            figure: None,
            fixes: Vec::new(),
            accepted: None,
        }
    }

    /// A name that nothing carries: the nearest that something does, to be written instead, or how
    /// the sentence ends where none is near.
    pub(crate) fn unknown_name(
        site: Site,
        subject: &str,
        near: Option<&str>,
        otherwise: &str,
    ) -> Self {
        match near {
            Some(near) => {
                let message = format!("{subject}; did you mean {near}?");
                let finding = Self::new(Code::UnknownName, site, message);
                finding.mended_by(format!("write {near}"), site, near)
            }
            None => Self::new(Code::UnknownName, site, format!("{subject}{otherwise}")),
        }
    }

    /// A name of a kind of thing that no such thing carries.
    pub(crate) fn unknown_of_kind(kind: &str, name: &str, near: Option<&str>, site: Site) -> Self {
        let subject = format!("There is no {kind} called {name}");
        let otherwise = format!(": write {kind} {name}, or correct the name.");
        Self::unknown_name(site, &subject, near, &otherwise)
    }

    /// A name that no part carries.
    pub(crate) fn unknown_part(model: &Model, name: &str, site: Site) -> Self {
        let near = nearest(name, model.parts.iter().map(|part| &*part.name));
        let subject = format!("There is no part called {name}");
        Self::unknown_name(
            site,
            &subject,
            near,
            ": write the thing, or correct the name.",
        )
    }

    /// Sets the severity, where the case is milder than the registry's worst.
    #[must_use]
    pub const fn at(mut self, severity: Severity) -> Self {
        self.severity = severity;
        self
    }

    /// Adds what it measures.
    #[must_use]
    pub const fn measuring(mut self, measured: f64, allowed: f64, unit: &'static str) -> Self {
        self.figure = Some(Figure {
            measured,
            allowed,
            unit,
        });
        self
    }

    /// Adds a related place.
    #[must_use]
    pub fn beside(mut self, site: Site, message: impl Into<String>) -> Self {
        self.related.push(Related {
            site,
            message: message.into(),
        });
        self
    }

    /// Adds an edit that mends it.
    #[must_use]
    pub fn mended_by(
        mut self,
        label: impl Into<String>,
        site: Site,
        text: impl Into<String>,
    ) -> Self {
        self.fixes.push(Fix {
            label: label.into(),
            site,
            text: text.into(),
        });
        self
    }
}
