//! `breaking-capacity`: the device cannot stop what can flow at its place, or not at that voltage.
//!
//! Where a battery's inner resistance is from memory, the current may be [`SPREAD`] times less than
//! computed: up to there it is an advice. One that a device before it could stop is a warning, for
//! that one ends the arc. What a plan says of a device, or a standard of its family, is asked;
//! of the rest nothing is known and nothing asked.

use ampwright_electrics::{
    quantity::{AmpHours, Amperes},
    rules::{Bank, Edition},
    source::Sourced,
};
use ampwright_notation::Key;

use super::super::{Desk, protection::capital, registry::Code};
use crate::{
    finding::{Finding, Severity},
    say,
    study::faults::AtDevice,
    wiring::{Contact, SupplyKind},
};

/// Batteries of one kind and size differ by that much in their inner resistance: 4 to 10 mohm in
/// lead of 12 V and 100 Ah (from memory).
const SPREAD: f64 = 2.5;

/// Up to here a fuse of a family that is made for two voltages may be of the higher one, V.
const HIGHER_KIND: f64 = 58.0;

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let devices = desk.plan.study.faults.devices.iter();
    let contacts = desk.plan.wiring.contacts.iter();
    for (contact, device) in contacts.zip(devices) {
        let Some(device) = device else { continue };
        if let Some(breaks) = desk.circuit.breaks(contact) {
            found.extend(current(desk, contact, device, breaks));
        }
        if let Some(volts) = desk.circuit.rated_volts(contact) {
            found.extend(voltage(desk, contact, device, volts));
        }
    }
}

fn current(
    desk: &Desk<'_>,
    contact: &Contact,
    device: &AtDevice,
    breaks: Sourced<f64>,
) -> Option<Finding> {
    let largest = device.largest.amps;
    if largest <= breaks.value + 1e-6 {
        return large_bank(desk, contact, device, breaks);
    }
    let name = capital(&desk.circuit.contact_name(contact));
    let memory = if device.from_memory {
        ", by a battery's inner resistance from memory"
    } else {
        ""
    };
    let said = if desk.circuit.says(contact, Key::Breaks) {
        String::new()
    } else {
        format!(" ({})", breaks.source)
    };
    let mend = if device.from_memory {
        "take one that breaks more, or write the short-circuit current from the battery's data sheet"
    } else {
        "take one that breaks more"
    };
    let message = format!(
        "{name} can stop {}{said}, and a short circuit right behind it can reach {}{memory}: {mend}.",
        say::amps(breaks.value),
        say::amps(largest),
    );
    let mut finding = Finding::new(Code::BreakingCapacity, contact.site, message)
        .at(severity(desk, contact, device, breaks))
        .measuring(largest, breaks.value, "A");
    if let Some(before) = device.upstream {
        let site = desk.plan.wiring.contacts[before as usize].site;
        finding = finding.beside(site, "the device before it");
    }
    Some(finding)
}

fn severity(
    desk: &Desk<'_>,
    contact: &Contact,
    device: &AtDevice,
    breaks: Sourced<f64>,
) -> Severity {
    if !breaks.tag.may_be_error() {
        return Severity::Advice;
    }
    let certain = certain(desk, contact, breaks);
    let guessed = device.from_memory && device.largest.amps <= SPREAD * certain;
    if guessed {
        Severity::Advice
    } else if device.largest.amps <= certain || is_backed(desk, device) {
        Severity::Warning
    } else {
        Severity::Error
    }
}

/// What no fuse of its family that a plan may mean can stop: more than what counts where two
/// standards make it, A.
fn certain(desk: &Desk<'_>, contact: &Contact, breaks: Sourced<f64>) -> f64 {
    let said = desk.circuit.says(contact, Key::Breaks);
    let family = desk.circuit.family(contact).filter(|_| !said);
    let largest = family.and_then(|family| family.breaking_capacity(Amperes(f64::INFINITY)));
    largest.map_or(breaks.value, |largest| largest.value.0.max(breaks.value))
}

/// The device before it can stop what flows at its own place.
fn is_backed(desk: &Desk<'_>, device: &AtDevice) -> bool {
    let backed = |before: u32| {
        let contact = desk.plan.wiring.contacts.get(before as usize)?;
        let largest = desk.plan.study.faults.device(before)?.largest.amps;
        Some(desk.circuit.breaks(contact)?.value >= largest)
    };
    device.upstream.and_then(backed).unwrap_or(false)
}

/// What the rule set asks of the main device of a large bank, by its newer edition.
fn large_bank(
    desk: &Desk<'_>,
    contact: &Contact,
    device: &AtDevice,
    breaks: Sourced<f64>,
) -> Option<Finding> {
    if device.upstream.is_some() {
        return None;
    }
    let bank = bank(desk, device)?;
    let asked = desk.circuit.rules.interrupting(Edition::Newer, bank)?.main;
    if breaks.value >= asked.value.0 - 1e-6 {
        return None;
    }
    let message = format!(
        "{} can stop {}, and at a bank of {} Ah the main device has to stop {} ({}).",
        capital(&desk.circuit.contact_name(contact)),
        say::amps(breaks.value),
        ampwright_notation::units::plain(bank.capacity.0),
        say::amps(asked.value.0),
        asked.source,
    );
    let finding = Finding::new(Code::BreakingCapacity, contact.site, message);
    Some(
        finding
            .at(Severity::Warning)
            .measuring(asked.value.0, breaks.value, "A"),
    )
}

/// The bank that a device stands at. Strings add, blocks in series do not; cranking amperes are no
/// fact of a plan.
fn bank(desk: &Desk<'_>, device: &AtDevice) -> Option<Bank> {
    let base = &desk.plan.study.base;
    let source = base.live[device.largest.at.index()]?.source;
    let index = *base.banks.of_supply.get(&source)? as usize;
    let bank = base.banks.list.get(index)?;
    let supplies = bank
        .supplies
        .iter()
        .map(|&supply| &desk.plan.wiring.supplies[supply as usize]);
    let tops = supplies
        .filter(|supply| supply.kind == SupplyKind::Battery && bank.tops.contains(&supply.plus));
    let hours = tops.filter_map(|supply| desk.circuit.facts(supply.part).amount(Key::AmpHours));
    Some(Bank {
        cranking: Amperes(0.0),
        capacity: AmpHours(hours.sum()),
        short_circuit: Amperes(desk.plan.study.faults.banks.get(index).copied()?),
    })
}

fn voltage(
    desk: &Desk<'_>,
    contact: &Contact,
    device: &AtDevice,
    volts: Sourced<f64>,
) -> Option<Finding> {
    let charged = device.charged_at;
    if charged <= volts.value + 1e-6 {
        return None;
    }
    let said = desk.circuit.says(contact, Key::RatedVolts);
    let source = if said {
        String::new()
    } else {
        format!(" ({})", volts.source)
    };
    let message = format!(
        "{} may be used up to {}{source}, and its circuit is charged at {}: at a higher voltage it may not stop the arc.",
        capital(&desk.circuit.contact_name(contact)),
        say::nominal(volts.value),
        say::nominal(charged),
    );
    // Some families are made for a higher voltage as well, which the plan then has to say.
    let severity = match (volts.tag.may_be_error(), said) {
        (false, _) => Severity::Advice,
        (true, false) if charged <= HIGHER_KIND => Severity::Warning,
        (true, _) => Severity::Error,
    };
    Some(
        Finding::new(Code::BreakingCapacity, contact.site, message)
            .at(severity)
            .measuring(charged, volts.value, "V"),
    )
}
