//! `ignition-protection`: what can spark in a place marked `petrol-vapour`, or in the engine space
//! of a boat that runs on petrol, and is not said to be built for it. In the open air vapour does
//! not gather.

use ampwright_notation::{Key, Kind};

use super::super::{Desk, registry::Code};
use crate::{finding::Finding, model::Facts};

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let places = &desk.plan.model.places;
    let petrol = burns_petrol(desk);
    let gathers: Vec<Option<&str>> = places
        .list
        .iter()
        .map(|place| {
            why(
                &Facts::of(&desk.plan.sources, place.thing, &place.like),
                petrol,
            )
        })
        .collect();
    if gathers.iter().all(Option::is_none) {
        return;
    }
    for (id, part) in desk.plan.model.ids() {
        let facts = desk.circuit.facts(id);
        let place = facts.name(Key::In).and_then(|name| places.find(name));
        let lies = place.and_then(|place| Some((place, gathers[place as usize]?)));
        let Some((place, why)) = lies.filter(|_| can_spark(part.kind)) else {
            continue;
        };
        if facts.has(Key::IgnitionProtected) || facts.has(Key::Spare) {
            continue;
        }
        let place = &places.list[place as usize];
        let message = format!(
            "{} stands in {}, {why}, and is not said to be ignition-protected: move it out, or say so if its maker does.",
            part.name, place.name
        );
        let finding = Finding::new(Code::IgnitionProtection, desk.name_site(id), message);
        found.push(finding.beside(desk.plan.sources.name_site(place.thing), "the place"));
    }
}

/// Why vapour gathers in a place; `None` where it does not.
fn why(place: &Facts<'_>, petrol: bool) -> Option<&'static str> {
    if place.has(Key::OpenAir) {
        None
    } else if place.has(Key::PetrolVapour) {
        Some("where petrol vapour gathers")
    } else {
        (petrol && place.has(Key::EngineSpace)).then_some("the engine space of a petrol boat")
    }
}

/// Whether the boat says that it runs on petrol.
fn burns_petrol(desk: &Desk<'_>) -> bool {
    let boat = desk.plan.model.boat;
    boat.is_some_and(|boat| {
        Facts::of(&desk.plan.sources, boat, &[]).word(Key::Fuel) == Some("petrol")
    })
}

/// Whatever opens or closes under current, turns or glows. Bars, joints and blocks do neither, and
/// a battery has rules of its own.
const fn can_spark(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Load
            | Kind::Socket
            | Kind::Inverter
            | Kind::Converter
            | Kind::Charger
            | Kind::Alternator
            | Kind::Controller
            | Kind::Isolator
            | Kind::Switch
            | Kind::Selector
            | Kind::Relay
            | Kind::Fuse
            | Kind::Breaker
            | Kind::Panel
    )
}
