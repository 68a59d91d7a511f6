//! `unventilated-battery`: one finding for one place, whatever it holds.

use ampwright_electrics::ventilation::{OWN_COMPARTMENT_ABOVE, WELL_VENTILATED_ABOVE};
use ampwright_notation::{Key, Kind, Span, tree::Fact};
use rustc_hash::FxHashSet;

use crate::{
    finding::{Finding, Severity},
    findings::{Desk, registry::Code},
    model::{Facts, Named},
    say,
    site::Site,
    study::air::{Gassing, Room},
};

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let rooms = desk.plan.study.rooms.iter();
    found.extend(rooms.filter_map(|room| match desk.place(room) {
        Some(place) => in_place(desk, room, place),
        None => nowhere(desk, room),
    }));
    strong_chargers(desk, found);
}

impl Desk<'_> {
    fn place(&self, room: &Room) -> Option<&Named> {
        self.plan.model.places.list.get(room.place? as usize)
    }

    fn names_of(&self, batteries: &[&Gassing]) -> String {
        let name = |battery: &&Gassing| self.plan.model.get(battery.part).name.to_string();
        match batteries {
            [] => String::new(),
            [one] => name(one),
            [one, other] => format!("{} and {}", name(one), name(other)),
            [one, rest @ ..] => format!("{} and {} more", name(one), rest.len()),
        }
    }
}

fn in_place(desk: &Desk<'_>, room: &Room, place: &Named) -> Option<Finding> {
    if room.suffices() == Some(true) {
        return None;
    }
    let charged: Vec<&Gassing> = room.charged().collect();
    let (want, them) = if charged.len() > 1 {
        ("want", "them")
    } else {
        ("wants", "it")
    };
    let wants = format!(
        "{want} openings of {} each, in and out, to carry off {} of air",
        say::figure(room.opening, "cm²"),
        say::figure(room.air, "m³/h"),
    );
    let names = desk.names_of(&charged);
    let message = match room.openings {
        Some(there) => format!(
            "{names} in {} {wants} while something charges {them}; there are {}.",
            place.name,
            say::figure(there, "cm²"),
        ),
        None => format!(
            "{names} in {} {wants} while something charges {them}, and the plan knows of no openings there.",
            place.name,
        ),
    };
    let finding = Finding::new(
        Code::UnventilatedBattery,
        openings_site(desk, place),
        message,
    )
    .at(severity(room, &charged))
    .measuring(room.opening, room.openings.unwrap_or(0.0), "cm2");
    let finding = charged.iter().fold(finding, |finding, battery| {
        finding.beside(
            desk.name_site(battery.part),
            "gives off gas while it is charged",
        )
    });
    Some(mended(desk, finding, room, place))
}

/// Too little air for open cells can explode; valves open only when something is wrong already.
/// What the plan does not say is no error; and at up to 0.2 kW of charging power an inland code
/// asks for nothing.
fn severity(room: &Room, charged: &[&Gassing]) -> Severity {
    let vented = charged.iter().any(|battery| battery.is_vented());
    match room.openings {
        Some(_) if vented => Severity::Error,
        None if room.watts <= WELL_VENTILATED_ABOVE.value => Severity::Advice,
        _ => Severity::Warning,
    }
}

fn openings_fact<'a>(desk: &Desk<'a>, place: &Named) -> Option<&'a Fact> {
    let thing = desk.plan.sources.thing(place.thing)?;
    thing.facts.iter().find(|fact| fact.key == Key::Openings)
}

fn openings_site(desk: &Desk<'_>, place: &Named) -> Site {
    let own = openings_fact(desk, place).map(|fact| place.thing.at(fact.span));
    own.unwrap_or_else(|| desk.plan.sources.name_site(place.thing))
}

/// The edit that says how large the openings have to be: for whoever then cuts them.
fn mended(desk: &Desk<'_>, finding: Finding, room: &Room, place: &Named) -> Finding {
    if !room.opening.is_finite() || room.opening > 1e6 {
        return finding;
    }
    let words = format!("openings {:.0} cm2", room.opening.ceil());
    let label = format!("write {words}, once they are that large");
    if let Some(fact) = openings_fact(desk, place) {
        return finding.mended_by(label, place.thing.at(fact.span), words);
    }
    let Some(thing) = desk.plan.sources.thing(place.thing) else {
        return finding;
    };
    let name = thing.name.as_ref().map(|name| name.span.end);
    let title = thing.title.as_ref().map(|title| title.span.end);
    match name.max(title) {
        Some(end) => {
            let site = place.thing.at(Span { start: end, end });
            finding.mended_by(label, site, format!(" {words}"))
        }
        None => finding,
    }
}

/// Open cells that name no place: their air cannot be checked, and that is said once.
fn nowhere(desk: &Desk<'_>, room: &Room) -> Option<Finding> {
    let vented: Vec<&Gassing> = room
        .charged()
        .filter(|battery| battery.is_vented())
        .collect();
    let (first, others) = vented.split_first()?;
    let opening: f64 = vented
        .iter()
        .map(|battery| battery.wants.opening.value)
        .sum();
    let (names, want) = if others.is_empty() {
        ("names", "it wants")
    } else {
        ("name", "they want")
    };
    let message = format!(
        "{} {names} no place, so that the air is not checked: charged, {want} openings of {} each, in and out, or a place in the open.",
        desk.names_of(&vented),
        say::figure(opening, "cm²"),
    );
    let site = desk.name_site(first.part);
    let finding = Finding::new(Code::UnventilatedBattery, site, message)
        .at(Severity::Advice)
        .measuring(opening, 0.0, "cm2");
    Some(others.iter().fold(finding, |finding, battery| {
        finding.beside(desk.name_site(battery.part), "names no place either")
    }))
}

/// Above 2 kW of charging power an inland code wants a compartment of their own, or the deck.
fn strong_chargers(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let most = OWN_COMPARTMENT_ABOVE.value;
    let strong = |room: &&Room| {
        room.strongest > most
            && room.suffices() == Some(true)
            && !room.open_air
            && room.opening > 0.0
    };
    let mut rooms = desk.plan.study.rooms.iter().filter(strong).peekable();
    if rooms.peek().is_none() {
        return;
    }
    let shared = shared_places(desk);
    for room in rooms {
        let Some(place) = desk.place(room) else {
            continue;
        };
        let facts = Facts::of(&desk.plan.sources, place.thing, &place.like);
        let is_shared = room.place.is_some_and(|place| shared.contains(&place));
        if !is_shared && !facts.has(Key::EngineSpace) {
            continue;
        }
        let message = format!(
            "The strongest source that charges the batteries in {} gives {}: above {} an inland code wants them in a compartment of their own or on deck ({}).",
            place.name,
            say::figure(room.strongest, "W"),
            say::figure(most, "W"),
            OWN_COMPARTMENT_ABOVE.source,
        );
        let site = desk.plan.sources.name_site(place.thing);
        let finding = Finding::new(Code::UnventilatedBattery, site, message);
        found.push(
            finding
                .at(Severity::Advice)
                .measuring(room.strongest, most, "W"),
        );
    }
}

/// Places that batteries share with what works, not merely with their fuses and isolators.
fn shared_places(desk: &Desk<'_>) -> FxHashSet<u32> {
    let works = |kind| {
        matches!(
            kind,
            Kind::Load
                | Kind::Socket
                | Kind::Panel
                | Kind::Charger
                | Kind::Inverter
                | Kind::Converter
                | Kind::Controller
                | Kind::Alternator
        )
    };
    let parts = desk.plan.model.ids().filter(|(_, part)| works(part.kind));
    let place = |(id, _)| {
        let facts = desk.circuit.facts(id);
        desk.plan.model.places.find(facts.name(Key::In)?)
    };
    parts.filter_map(place).collect()
}
