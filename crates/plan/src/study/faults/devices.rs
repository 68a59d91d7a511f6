//! What a plan says of a protective device: how it opens, what it can break, at what voltage.

use ampwright_electrics::{
    protection::{
        Family,
        opening::{Action, Opener},
    },
    quantity::Amperes,
    source::{Sourced, Tag},
};
use ampwright_notation::Key;

use crate::{
    study::Circuit,
    wiring::{Contact, Device},
};

/// Where a figure stands in the plan itself.
const SAID: &str = "the plan";

impl Circuit<'_> {
    /// How a protective device opens; `None` where the plan does not say what it is.
    pub fn opener(&self, contact: &Contact) -> Option<Opener> {
        match contact.device {
            Device::Fuse => self.family(contact).map(Opener::Fuse),
            Device::WayFuse(_) => Some(Opener::SmallFuse),
            Device::WayBreaker(_) | Device::Main => Some(Opener::Breaker(Action::Thermal)),
            Device::Breaker => Some(Opener::Breaker(
                match self.facts(contact.part).word(Key::Action) {
                    Some("magnetic") => Action::Magnetic,
                    _ => Action::Thermal,
                },
            )),
            _ => None,
        }
    }

    /// The family of a fuse by itself.
    pub fn family(&self, contact: &Contact) -> Option<Family> {
        if contact.device != Device::Fuse {
            return None;
        }
        self.facts(contact.part).word(Key::Pattern)?.parse().ok()
    }

    /// The largest current a device can break, A; `None` where nothing is known of it, so that it
    /// is not asked.
    pub fn breaks(&self, contact: &Contact) -> Option<Sourced<f64>> {
        let rating = Amperes(contact.protects.unwrap_or(0.0));
        let family = || self.family(contact)?.breaking_capacity(rating);
        self.said(contact, Key::Breaks)
            .or_else(|| Some(family()?.map(|amps| amps.0)))
    }

    /// The highest voltage a device may be used at, V; `None` where nothing is known of it.
    pub fn rated_volts(&self, contact: &Contact) -> Option<Sourced<f64>> {
        let family = || self.family(contact)?.rated_volts();
        self.said(contact, Key::RatedVolts)
            .or_else(|| Some(family()?.map(|volts| volts.0)))
    }

    /// Whether a figure of a device is the plan's own.
    pub fn says(&self, contact: &Contact, key: Key) -> bool {
        self.said(contact, key).is_some()
    }

    /// What the plan says of a device by itself; a panel's own devices say no more than their rating.
    fn said(&self, contact: &Contact, key: Key) -> Option<Sourced<f64>> {
        if !matches!(contact.device, Device::Fuse | Device::Breaker) {
            return None;
        }
        let said = self.facts(contact.part).amount(key)?;
        (said > 0.0).then(|| Sourced::new(said, Tag::D, SAID))
    }
}
