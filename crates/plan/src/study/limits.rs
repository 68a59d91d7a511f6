//! Limits and how hard they bind.
//!
//! A limit of the rule set that is only from memory can make an advice and no more; then the
//! published limit of the baseline is held against the plan too, and that one binds fully.

use ampwright_electrics::{
    quantity::Volts,
    rules::{Lie, RuleSet},
    source::{Sourced, Tag},
};

use super::{Circuit, cables::Cable};
use crate::finding::Severity;

/// The most of something that is allowed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// What a published source or plain logic allows; infinite where none speaks.
    pub firm: f64,
    /// What the rule set allows, where that is from memory or habit.
    pub soft: Option<f64>,
}

impl Limit {
    /// No limit.
    pub const NONE: Self = Self {
        firm: f64::INFINITY,
        soft: None,
    };

    /// A rule set's limits: its own and, where that is weak, the published one.
    pub fn of(limits: impl Iterator<Item = Sourced<f64>>) -> Self {
        let mut limit = Self::NONE;
        for one in limits {
            limit.add(one.value, one.tag);
        }
        limit
    }

    fn add(&mut self, value: f64, tag: Tag) {
        if tag.may_be_error() {
            self.firm = self.firm.min(value);
        } else {
            self.soft = Some(self.soft.map_or(value, |soft| soft.min(value)));
        }
    }

    /// The stricter of the two.
    pub fn strict(self) -> f64 {
        self.soft.map_or(self.firm, |soft| soft.min(self.firm))
    }

    /// The limit that a figure breaks, and the most severe that breaking it can be.
    pub fn broken_by(self, figure: f64) -> Option<(f64, Severity)> {
        if figure > self.firm + 1e-6 {
            return Some((self.firm, Severity::Error));
        }
        self.soft
            .filter(|&soft| figure > soft + 1e-6)
            .map(|soft| (soft, Severity::Advice))
    }

    fn times(self, share: Self) -> Self {
        Self {
            firm: self.firm * share.firm,
            soft: self.soft.map(|soft| soft * share.strict()),
        }
    }
}

impl Cable {
    /// What the conductor may carry, A.
    pub fn may_carry(&self) -> Limit {
        let of = |ampacity: &ampwright_electrics::ampacity::Ampacity| {
            Sourced::new(ampacity.value.0, ampacity.tag(), "")
        };
        Limit::of(
            self.ampacity
                .iter()
                .chain(&self.published)
                .map(|ampacity| of(ampacity)),
        )
    }
}

impl Circuit<'_> {
    fn limits(&self, of: impl Fn(&'static RuleSet) -> Option<Sourced<f64>>) -> Limit {
        Limit::of(self.rules.checked_limits(of).map(|(_, limit)| limit))
    }

    /// The most that what protects a conductor may let through, A.
    pub fn ceiling_of(&self, cable: &Cable) -> Limit {
        let share = self.limits(|rules| Some(rules.ceiling(Volts(self.system))));
        cable.may_carry().times(share)
    }

    /// How far along a conductor that lies like this a device may stand, m.
    pub fn distance(&self, lie: Lie) -> Limit {
        self.limits(|rules| {
            rules
                .distance(lie)
                .map(|metres| metres.map(|metres| metres.0))
        })
    }

    /// How long a link inside one bank may be without a device, m.
    pub fn bank_link_limit(&self) -> Limit {
        self.limits(|rules| Some(rules.bank_link_distance().map(|metres| metres.0)))
    }

    /// The drop that a panel's main feed is allowed, per cent, where the rule set has one.
    pub fn feeder_limit(&self) -> Limit {
        self.limits(RuleSet::feeder_drop_limit)
    }

    /// The drop that a draw is allowed, per cent of its island's voltage; the boat's own figure
    /// where the plan says one.
    pub fn drop_limit(&self, draw: u32) -> Limit {
        let critical = self.critical[draw as usize];
        let own = if critical {
            self.own_critical_drop
        } else {
            self.own_drop
        };
        let rule = self.limits(|rules| rules.drop_limit(self.class[draw as usize], critical));
        match own {
            // A looser figure of the boat's own does not silence the rule's: that one still advises.
            Some(own) => Limit {
                firm: own,
                soft: Some(rule.strict()).filter(|strict| *strict < own),
            },
            None => rule,
        }
    }
}
