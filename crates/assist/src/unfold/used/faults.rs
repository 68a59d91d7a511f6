//! The limits of devices and of copper that short circuits are held against.

use std::collections::HashSet;

use ampwright_electrics::{
    protection::{
        Family, adiabatic, heating,
        opening::{Action, Opener, printed},
    },
    quantity::{Amperes, Celsius},
};
use ampwright_notation::Key;
use ampwright_plan::{Plan, say, study::faults::AtConductor};

use super::Gathered;

/// By when devices open, what they break, how long copper bears it.
pub(super) fn gather(plan: &Plan, to: &mut Gathered) {
    let (mut limits, mut insulations) = (HashSet::new(), HashSet::new());
    let faults = plan.study.faults.conductors.iter();
    for (at, cable) in faults.zip(&plan.study.cables) {
        let Some(at) = at.as_ref().filter(|at| at.smallest.is_some()) else {
            continue;
        };
        opening(plan, at, &mut limits, to);
        let insulation = cable.stuff.insulation;
        if at.bears.is_some() && insulations.insert(insulation.to_bits()) {
            let k = adiabatic::k(Celsius(insulation));
            let what = format!("k of insulation of {}", Celsius(insulation));
            to.add(what, &k, format!("{:.1}", k.value));
            to.add("how long copper bears a fault", &heating::LAW, "");
        }
    }
    capacities(plan, to);
}

/// The printed limit that ends a conductor's smallest fault; each is looked at once.
fn opening(
    plan: &Plan,
    at: &AtConductor,
    seen: &mut HashSet<(Opener, u64, &'static str)>,
    to: &mut Gathered,
) {
    let contact = at
        .device
        .and_then(|device| plan.wiring.contacts.get(device as usize));
    let opener = contact.and_then(|contact| plan.circuit().opener(contact));
    let (Some(opener), Some(least)) = (opener, at.smallest) else {
        return;
    };
    let Some(limit) = printed(opener, Amperes(at.rating), Amperes(least.amps)) else {
        return;
    };
    let multiple = limit.value.map_or(0.0, |by| by.multiple);
    if !seen.insert((opener, multiple.to_bits(), limit.source)) {
        return;
    }
    let when = limit.value.map_or_else(String::new, |by| {
        format!(" at {} times its rating", by.multiple)
    });
    let value = limit
        .value
        .map_or_else(String::new, |by| say::seconds(by.seconds));
    to.add(
        format!("slowest opening of {}{when}", name(opener)),
        &limit,
        value,
    );
}

fn name(opener: Opener) -> String {
    match opener {
        Opener::Fuse(family) => format!("a {family} fuse"),
        Opener::SmallFuse => "a panel's fuse".to_owned(),
        Opener::Breaker(Action::Thermal) => "a thermal breaker".to_owned(),
        Opener::Breaker(Action::Magnetic) => "a magnetic breaker".to_owned(),
    }
}

fn capacities(plan: &Plan, to: &mut Gathered) {
    for (at, contact) in plan.study.faults.devices.iter().zip(&plan.wiring.contacts) {
        let Some(family) = plan.circuit().family(contact).filter(|_| at.is_some()) else {
            continue;
        };
        let silent = |key| !plan.circuit().says(contact, key);
        if silent(Key::Breaks) {
            to.shown(
                format!("what a {family} fuse can stop"),
                plan.circuit().breaks(contact),
            );
        }
        if silent(Key::RatedVolts) {
            to.shown(
                format!("voltage of a {family} fuse"),
                Family::rated_volts(family),
            );
        }
    }
}
