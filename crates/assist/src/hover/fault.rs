//! Short circuits in plain words: the smallest and the largest current, and what they rest on.

use ampwright_electrics::source::Sourced;
use ampwright_notation::Key;
use ampwright_plan::{
    Plan, say,
    study::faults::{AtConductor, AtDevice, Home, Largest, Smallest},
    wiring::Contact,
};

use crate::phrase;

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
    let Largest {
        amps,
        volts,
        ohms,
        added,
        home,
        ..
    } = at.largest;
    let added = if added > 0.0 {
        format!(" + {}", phrase::amps(added))
    } else {
        String::new()
    };
    let home = match home {
        Home::Straight(_) => "with nothing counted on the way home".to_owned(),
        Home::From(node) | Home::Shared(node) => {
            format!("coming home from {}", phrase::node(plan, node))
        }
        Home::AsOut => "coming home like its way out".to_owned(),
    };
    let memory = if at.from_memory {
        "; a battery's inner resistance is from memory"
    } else {
        ""
    };
    format!(
        "A short circuit right behind it draws {} at most: {} / {}{added}, {home}{memory}.",
        phrase::amps(amps),
        say::volts(volts),
        milliohms(ohms),
    )
}

/// `The smallest it has to stop, ..., is 150 A: 12.3 V / (4 + 20 + 20 mΩ), from house alone.`
pub(super) fn smallest(plan: &Plan, least: &Smallest) -> String {
    let origin = plan.study.faults.origins.get(least.origin as usize);
    let source = origin.map_or_else(String::new, |origin| phrase::supply(plan, origin.supply));
    let formula = format!(
        "{} / ({} in it + {} out + {} home)",
        say::volts(least.volts),
        milliohms(least.source_ohms),
        milliohms(least.out_ohms),
        milliohms(least.home_ohms)
    );
    let limited = origin.is_some_and(|origin| least.amps >= origin.most);
    let sum = if limited {
        "all that it gives".to_owned()
    } else {
        formula
    };
    format!(
        "The smallest, at {} and from {source} alone, draws {}: {sum}.",
        phrase::node(plan, least.at),
        phrase::amps(least.amps)
    )
}

fn breaks(plan: &Plan, contact: &Contact, at: &AtDevice) -> String {
    let volts = plan
        .circuit()
        .rated_volts(contact)
        .map_or_else(String::new, |volts| {
            format!(
                ", up to {} ({}); its circuit is charged at {}",
                say::nominal(volts.value),
                said_by(plan, contact, Key::RatedVolts, &volts),
                say::nominal(at.charged_at)
            )
        });
    match plan.circuit().breaks(contact) {
        Some(breaks) => format!(
            "It can stop {} ({}){volts}.",
            phrase::amps(breaks.value),
            said_by(plan, contact, Key::Breaks, &breaks)
        ),
        None => "What it can stop is not known and not asked.".to_owned(),
    }
}

/// Where a device's figure comes from, for standing between brackets.
fn said_by(plan: &Plan, contact: &Contact, key: Key, figure: &Sourced<f64>) -> String {
    if plan.circuit().says(contact, key) {
        "as the plan says".to_owned()
    } else {
        phrase::cited(figure)
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
    let Some(wired) = plan.wiring.draws.get(draw as usize) else {
        return String::new();
    };
    let at = plan.wiring.conductors_at(wired.plus);
    let at = at.filter_map(|index| plan.study.faults.conductor(index));
    let far = at.filter(|at| at.smallest.is_some_and(|least| least.at == wired.plus));
    let Some(far) = far.last() else {
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

fn milliohms(ohms: f64) -> String {
    if ohms >= 1.0 {
        say::figure(ohms, "Ω")
    } else {
        say::figure(ohms * 1e3, "mΩ")
    }
}

fn lower(sentence: &str) -> String {
    sentence
        .strip_prefix("The ")
        .map_or_else(|| sentence.to_owned(), |rest| format!("the {rest}"))
}
