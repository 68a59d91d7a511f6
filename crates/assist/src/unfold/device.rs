//! What protects and what switches, unfolded: why its rating fits.

use ampwright_electrics::{
    defaults, protection,
    quantity::{Amperes, Volts, decimals},
};
use ampwright_notation::Key;
use ampwright_plan::{
    PartId, Plan,
    study::cables::contact_design,
    wiring::{Contact, Device},
};

use super::{Found, Section, Step, Unfolding, fault};
use crate::phrase;

/// Every contact of a part: a panel's ways, a breaker's poles.
pub(super) fn unfold(plan: &Plan, part: PartId) -> Vec<Unfolding> {
    let contacts = (0u32..).zip(&plan.wiring.contacts);
    let own = contacts.filter(|(_, contact)| contact.part == part);
    own.map(|(index, contact)| of_contact(plan, index, contact))
        .collect()
}

/// A way by its words, `panel way 2`.
pub(super) fn way(plan: &Plan, name: &str) -> Option<Unfolding> {
    let (panel, number) = name.split_once(" way ")?;
    let (part, number) = (plan.model.part(panel)?, number.trim().parse().ok()?);
    let mut contacts = (0u32..).zip(&plan.wiring.contacts);
    let (index, contact) = contacts.find(|(_, contact)| {
        contact.part == part
            && matches!(contact.device, Device::WayFuse(way) | Device::WayBreaker(way) | Device::WaySwitch(way) if way == number)
    })?;
    Some(of_contact(plan, index, contact))
}

fn of_contact(plan: &Plan, index: u32, contact: &Contact) -> Unfolding {
    let title = phrase::device(&plan.circuit(), contact);
    let sections = [
        carries(plan, contact),
        protects(plan, index, contact),
        fault::device(plan, index, contact),
    ];
    Unfolding::of(title, sections)
}

fn carries(plan: &Plan, contact: &Contact) -> Section {
    let design = contact_design(&plan.study.rule, contact.edge);
    let asked = format!("it has to carry, in {}", phrase::asked_by(plan, design.by));
    let asked = Step::new(asked, phrase::amps(design.amps));
    let mut steps = vec![asked.found(Found::ByRule)];
    if let Some(rating) = contact.protects.or(contact.carries) {
        let asked = phrase::amps(design.amps);
        let holds = if design.amps <= rating + 1e-6 {
            format!("{}, which carries the {asked}", phrase::amps(rating))
        } else {
            format!("{}, too little for the {asked}", phrase::amps(rating))
        };
        steps.push(Step::new("its rating", holds).found(Found::Said));
    }
    if let Some(rating) = contact.protects {
        let ohms = defaults::device(Amperes(rating));
        let worked = format!("{} / {}", defaults::DEVICE_DROP.value, phrase::amps(rating));
        let step = Step::new("resistance, as wired", ohms.value.to_string());
        steps.push(step.by("drop at its rating / rating", worked).from(&ohms));
        let above = protection::smallest_above(Amperes(design.amps));
        steps.extend(above.map(|standard| {
            let step = Step::new(
                "smallest standard rating that carries it",
                standard.value.to_string(),
            );
            step.from(&standard)
        }));
    } else {
        steps.push(match contact.device {
            Device::Shunt => shunt(plan, contact),
            Device::Diode(_) => diode(plan, contact),
            _ => Step::new("resistance, as wired", defaults::SWITCH.value.to_string())
                .from(&defaults::SWITCH),
        });
    }
    Section {
        title: "What it carries",
        steps,
    }
}

fn shunt(plan: &Plan, contact: &Contact) -> Step {
    let said = plan
        .model
        .facts(&plan.sources, contact.part)
        .amount(Key::Volts);
    let step = Step::new(
        "volts across it at its rating",
        Volts(said.unwrap_or(defaults::SHUNT.value.0)).to_string(),
    );
    match said {
        Some(_) => step.found(Found::Said),
        None => step.from(&defaults::SHUNT),
    }
}

fn diode(plan: &Plan, contact: &Contact) -> Step {
    let said = plan
        .model
        .facts(&plan.sources, contact.part)
        .amount(Key::Drop);
    let step = Step::new(
        "volts that it takes",
        Volts(said.unwrap_or(defaults::DIODE.value.0)).to_string(),
    );
    match said {
        Some(_) => step.found(Found::Said),
        None => step.from(&defaults::DIODE),
    }
}

/// More conductors than this are counted.
const MOST: usize = 12;

fn protects(plan: &Plan, index: u32, contact: &Contact) -> Section {
    let mut steps = Vec::new();
    if contact.protects.is_some() {
        let base = &plan.study.base;
        let ceiling = base.rules.ceiling(Volts(base.system));
        let sustained = plan.study.protection.sustained.iter().zip(0u32..);
        let own = sustained
            .filter(|(found, _)| found.is_some_and(|found| found.device == Some(index)))
            .map(|(_, conductor)| conductor as usize);
        let own: Vec<usize> = own.collect();
        for &conductor in own.iter().take(MOST) {
            let (wired, cable) = (
                &plan.wiring.conductors[conductor],
                &plan.study.cables[conductor],
            );
            let Some(ampacity) = &cable.ampacity else {
                continue;
            };
            let most = Amperes(ampacity.value.0 * ceiling.value);
            let what = format!(
                "ceiling of {}, {}",
                wired.mark,
                phrase::conductor(plan, wired)
            );
            let worked = format!("{} × {}", decimals(ceiling.value, 3), ampacity.value);
            let step = Step::new(what, most.to_string());
            steps.push(step.by("share × what it may carry", worked).from(&ceiling));
        }
        if own.len() > MOST {
            steps.push(
                Step::new("and more conductors", (own.len() - MOST).to_string())
                    .found(Found::Wiring),
            );
        }
    }
    Section {
        title: "What it protects",
        steps,
    }
}
