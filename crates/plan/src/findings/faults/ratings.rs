//! `no-selectivity` and `not-a-standard-rating`: how devices are rated among each other, and
//! whether they are made.

use std::collections::BTreeMap;

use ampwright_electrics::{
    protection::{Family, ratings},
    quantity::Amperes,
};
use ampwright_notation::{Key, Span, tree::Arg};

use super::super::{Desk, protection::capital, registry::Code};
use crate::{
    finding::{Finding, Severity},
    say,
    site::Site,
    study::cables::contact_design,
    wiring::Contact,
};

/// How much larger the device before has to be (common practice, no source).
const SELECTIVE: f64 = 2.0;

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    selectivity(desk, found);
    for contact in &desk.plan.wiring.contacts {
        found.extend(standard(desk, contact));
    }
}

/// One finding for one device that is too small for those behind it. Where nothing but the device
/// behind hangs on it, whichever opens darkens the same.
fn selectivity(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let wiring = &desk.plan.wiring;
    let faults = &desk.plan.study.faults;
    let mut behind: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
    for (device, index) in faults.devices.iter().zip(0u32..) {
        let Some((device, before)) = device.as_ref().and_then(|one| Some((one, one.upstream?)))
        else {
            continue;
        };
        let rating = |contact: u32| wiring.contacts[contact as usize].protects.unwrap_or(0.0);
        let more = faults
            .device(before)
            .is_some_and(|one| one.behind > device.behind);
        if more && rating(index) > 0.0 && rating(before) + 1e-6 < SELECTIVE * rating(index) {
            behind.entry(before).or_default().push(index);
        }
    }
    found.extend(
        behind
            .into_iter()
            .filter_map(|(before, list)| not_selective(desk, before, &list)),
    );
}

fn not_selective(desk: &Desk<'_>, before: u32, list: &[u32]) -> Option<Finding> {
    let contact = |index: u32| &desk.plan.wiring.contacts[index as usize];
    let rating = |index: u32| contact(index).protects.unwrap_or(0.0);
    let largest = *list
        .iter()
        .reduce(|a, b| if rating(*b) > rating(*a) { b } else { a })?;
    let message = format!(
        "{} is rated {} and {} behind it {}: a fault there may open both; at least {} before it would leave the rest working.",
        capital(&desk.circuit.contact_name(contact(before))),
        say::amps(rating(before)),
        desk.circuit.contact_name(contact(largest)),
        say::amps(rating(largest)),
        say::amps(SELECTIVE * rating(largest)),
    );
    let mut finding = Finding::new(Code::NoSelectivity, contact(before).site, message).measuring(
        SELECTIVE * rating(largest),
        rating(before),
        "A",
    );
    for &index in list {
        finding = finding.beside(contact(index).site, "the device behind it");
    }
    Some(finding)
}

/// A fuse by itself whose family has no such rating.
fn standard(desk: &Desk<'_>, contact: &Contact) -> Option<Finding> {
    let family = desk.circuit.family(contact)?;
    let rating = contact.protects.filter(|rating| *rating > 0.0)?;
    let made = family.is_standard(Amperes(rating))?;
    if made.value {
        return None;
    }
    let near = nearest(desk, contact, family, rating);
    let offer = near.first().map_or_else(String::new, |near| {
        format!(": {} is made", say::amps(*near))
    });
    let message = format!(
        "No {family} fuse is made of {} ({}){offer}.",
        say::amps(rating),
        made.source
    );
    let severity = if made.tag.may_be_error() {
        Severity::Warning
    } else {
        Severity::Advice
    };
    let mut finding = Finding::new(Code::NotAStandardRating, contact.site, message).at(severity);
    if let Some(site) = rating_site(desk, contact) {
        for near in near {
            let words = say::amps(near);
            finding = finding.mended_by(format!("write {words}"), site, words);
        }
    }
    Some(finding)
}

/// The ratings that are made next to one that is not. The larger comes first only where the smaller
/// would open in use.
fn nearest(desk: &Desk<'_>, contact: &Contact, family: Family, rating: f64) -> Vec<f64> {
    let made = |amps: &f64| {
        family
            .is_standard(Amperes(*amps))
            .is_some_and(|made| made.value)
    };
    let all = || ratings().map(|rating| rating.value.0).filter(made);
    let below = all().rfind(|amps| *amps < rating);
    let above = all().find(|amps| *amps > rating);
    let carries = contact_design(&desk.plan.study.rule, contact.edge).amps;
    let too_small = below.is_some_and(|below| below + 1e-6 < carries);
    let (first, second) = if too_small {
        (above, below)
    } else {
        (below, above)
    };
    first.into_iter().chain(second).collect()
}

/// The words of a fuse's rating, where they stand in its own thing.
fn rating_site(desk: &Desk<'_>, contact: &Contact) -> Option<Site> {
    let own = desk.circuit.facts(contact.part).own();
    let fact = own.facts.iter().find(|fact| fact.key == Key::Amps)?;
    let span: Span = fact.args.iter().find_map(|arg| match arg {
        Arg::Quantity(quantity) => Some(quantity.span),
        _ => None,
    })?;
    Some(desk.plan.model.get(contact.part).thing.at(span))
}
