//! Short circuits in plain words: the smallest and the largest current, and what they rest on. The
//! figures are those of the steps that a short circuit unfolds into.

use ampwright_plan::{
    Plan, say,
    study::faults::{AtConductor, AtDevice, Smallest},
    wiring::Contact,
};

use crate::{
    phrase,
    unfold::{Step, fault},
};

/// What a short circuit asks of a protective device.
pub(super) fn device(plan: &Plan, index: u32, contact: &Contact) -> String {
    let Some(at) = plan.study.faults.device(index) else {
        return String::new();
    };
    format!(
        "{}{} {}",
        largest(plan, at),
        at.smallest
            .map_or_else(String::new, |least| format!(" {}", smallest(plan, &least))),
        breaks(plan, contact, at)
    )
}

fn largest(plan: &Plan, at: &AtDevice) -> String {
    let step = fault::largest(plan, at);
    let sum = sum_of(&step);
    let memory = if at.from_memory {
        "; a battery's inner resistance is from memory"
    } else {
        ""
    };
    format!(
        "A short circuit right behind it draws {} at most: {}, {}{memory}.",
        step.value,
        sum,
        fault::home(plan, at.largest.home),
    )
}

/// `The smallest, at the pump and from house alone, draws 150 A: 12.3 V / (4 mΩ in it + …).`
pub(super) fn smallest(plan: &Plan, least: &Smallest) -> String {
    let step = fault::smallest(plan, least);
    let sum = sum_of(&step);
    format!(
        "{}, draws {}: {sum}.",
        phrase::sentence(&step.what),
        step.value
    )
}

/// The numbers, or in words where it comes from where there are none.
fn sum_of(step: &Step) -> &str {
    if step.worked.is_empty() {
        &step.formula
    } else {
        &step.worked
    }
}

fn breaks(plan: &Plan, contact: &Contact, at: &AtDevice) -> String {
    let volts = fault::rated_volts(plan, contact).map_or_else(String::new, |volts| {
        format!(
            ", {} {} ({}); its circuit is charged at {}",
            volts.what,
            volts.value,
            volts.cites(),
            say::nominal(at.charged_at)
        )
    });
    match fault::breaks(plan, contact) {
        Some(breaks) => format!("It can stop {} ({}){volts}.", breaks.value, breaks.cites()),
        None => "What it can stop is not known and not asked.".to_owned(),
    }
}

/// How a fault at a conductor's far end is interrupted.
pub(super) fn conductor(plan: &Plan, at: &AtConductor) -> String {
    let Some(least) = &at.smallest else {
        return String::new();
    };
    let ends = match (at.device, at.opens, at.bears) {
        (None, ..) => " No device stands before it that could stop it.".to_owned(),
        (Some(_), None, _) => " How fast its device opens is not known and not asked.".to_owned(),
        (Some(_), Some(opens), bears) => {
            let bears = bears.filter(|bears| bears.0.is_finite()).map_or_else(
                || "for ever".to_owned(),
                |bears| format!("for {}", say::seconds(bears.0)),
            );
            let by = if opens.value.0.is_finite() {
                format!("has opened within {}", say::seconds(opens.value.0))
            } else {
                "need not open at that".to_owned()
            };
            format!(
                " Its device {by} ({}); the conductor bears it {bears}.",
                phrase::cited(&opens)
            )
        }
    };
    format!("Short circuits: {}{ends}", lower(&smallest(plan, least)))
}

/// What a load's circuit draws when it is shorted.
pub(super) fn load(plan: &Plan, draw: u32) -> String {
    let Some(far) = fault::at_load(plan, draw) else {
        return String::new();
    };
    let device = far.device.and_then(|device| {
        let contact = plan.wiring.contacts.get(device as usize)?;
        let most = plan.study.faults.device(device)?.largest.amps;
        let name = plan.circuit().contact_name(contact);
        Some(format!(
            " Right behind {name} it is {} at most.",
            phrase::amps(most)
        ))
    });
    format!("{}{}", conductor(plan, far), device.unwrap_or_default())
}

fn lower(sentence: &str) -> String {
    sentence
        .strip_prefix("The ")
        .map_or_else(|| sentence.to_owned(), |rest| format!("the {rest}"))
}
