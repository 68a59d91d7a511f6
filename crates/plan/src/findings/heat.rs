//! `hot-joint`: how hot a conductor grows, as wired.
//!
//! Where the conductor is undersized already that finding stands for this one. One circuit is said
//! once, at its hottest conductor.

use std::collections::BTreeMap;

use super::{Desk, registry::Code};
use crate::{
    finding::{Finding, Severity},
    say,
    study::{cables::DesignBy, size_key},
};
use ampwright_electrics::heat::MARGIN;

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    if Desk::is_shorted(found) {
        return;
    }
    let mut circuits: BTreeMap<(u32, (bool, u64)), Vec<Hot>> = BTreeMap::new();
    for index in 0..desk.plan.wiring.conductors.len() as u32 {
        if let Some(hot) = hot(desk, index) {
            let conductor = &desk.plan.wiring.conductors[index as usize];
            let key = (conductor.run, conductor.size.map_or((false, 0), size_key));
            circuits.entry(key).or_default().push(hot);
        }
    }
    found.extend(circuits.values().filter_map(|circuit| joint(desk, circuit)));
    // What is far too thin, or can never be delivered, is the cause and has its finding.
    let is_cause = |finding: &Finding| {
        matches!(
            finding.code,
            Code::UndersizedConductor | Code::CannotDeliver
        )
    };
    if !desk.plan.study.wired.at_rest && !found.iter().any(is_cause) {
        found.extend(without_rest(desk));
    }
}

/// A conductor close to what its insulation bears, or past it.
#[derive(Clone, Copy)]
struct Hot {
    conductor: u32,
    degrees: f64,
    insulation: f64,
    severity: Severity,
}

fn hot(desk: &Desk<'_>, index: u32) -> Option<Hot> {
    let cable = &desk.plan.study.cables[index as usize];
    let wired = &desk.plan.study.wired;
    let (degrees, carried) = (wired.degrees[index as usize], wired.carried[index as usize]);
    let insulation = cable.stuff.insulation;
    let known = cable.ampacity.is_some() && degrees >= insulation - MARGIN.value - 1e-6;
    if !known || cable.may_carry().broken_by(cable.design.amps).is_some() {
        return None;
    }
    let firm = desk.circuit.firm_degrees(cable, carried.amps);
    let certain = match carried.by {
        DesignBy::Moment(moment) | DesignBy::OnTop(_, moment) => desk.is_case(moment),
        _ => true,
    };
    let past = firm.is_some_and(|firm| firm > insulation + 1e-6);
    let severity = if past {
        desk.soften(certain, Severity::Warning)
    } else {
        Severity::Advice
    };
    Some(Hot {
        conductor: index,
        degrees,
        insulation,
        severity,
    })
}

fn joint(desk: &Desk<'_>, circuit: &[Hot]) -> Option<Finding> {
    let hottest = circuit.iter().copied().reduce(|most, next| {
        if next.degrees > most.degrees + 1e-6 {
            next
        } else {
            most
        }
    })?;
    let conductors = &desk.plan.wiring.conductors;
    let conductor = &conductors[hottest.conductor as usize];
    let message = said(desk, &hottest);
    let mut finding = Finding::new(Code::HotJoint, conductor.site, message)
        .at(hottest.severity)
        .measuring(hottest.degrees, hottest.insulation - MARGIN.value, "°C");
    let others = circuit.iter().filter(|hot| {
        let site = conductors[hot.conductor as usize].site;
        hot.conductor != hottest.conductor && site != conductor.site
    });
    for other in others.take(MOST_NAMED) {
        let message = format!("grows to {}", say::figure(other.degrees, "°C"));
        finding = finding.beside(conductors[other.conductor as usize].site, message);
    }
    Some(finding)
}

fn said(desk: &Desk<'_>, hot: &Hot) -> String {
    let carried = desk.plan.study.wired.carried[hot.conductor as usize];
    let size = desk.plan.wiring.conductors[hot.conductor as usize].size;
    let ambient = desk.plan.study.cables[hot.conductor as usize].ambient;
    let size = size.map_or_else(String::new, |size| format!("{} ", say::size(size)));
    let bears = say::figure(hot.insulation, "°C");
    let lies = say::figure(ambient, "°C");
    if carried.amps <= 1e-9 || ambient >= hot.insulation - MARGIN.value {
        return format!(
            "It is {lies} where this {size}conductor lies, and its insulation bears {bears}: no room is left for its own warmth."
        );
    }
    format!(
        "This {size}conductor carries {} in {} as wired and grows to {} where it lies at {lies}; its insulation bears {bears}.",
        say::amps(carried.amps),
        desk.plan.asked_by(carried.by),
        say::figure(hot.degrees, "°C"),
    )
}

/// Currents and warmth that drive each other up without end.
fn without_rest(desk: &Desk<'_>) -> Option<Finding> {
    let degrees = desk
        .plan
        .study
        .wired
        .degrees
        .iter()
        .zip(&desk.plan.wiring.conductors);
    let (_, conductor) =
        degrees.reduce(|most, next| if *next.0 > *most.0 + 1e-6 { next } else { most })?;
    let message = "This conductor's warmth and its current drive each other up without coming to rest: what is said as wired of the circuits round it is not checked.";
    Some(Finding::new(Code::NotChecked, conductor.site, message))
}

/// Conductors named beside the hottest of a circuit.
const MOST_NAMED: usize = 8;
