//! The family *conductors*: what they carry and what they lose.

use ampwright_electrics::{
    conductor::{Size, area},
    protection::adiabatic,
    quantity::Celsius,
};

use super::{Desk, registry::Code};
use crate::{
    finding::{Finding, Severity},
    say,
    study::cables::brief_at,
    wiring::{Conductor, Way},
};

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    undersized(desk, found);
    overheated(desk, found);
    super::drops::find(desk, found);
    below_minimum(desk, found);
}

/// Design current over derated ampacity. What `back` made has its way out's current and size, so
/// it is said once, on the way out.
fn undersized(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let mut said: rustc_hash::FxHashSet<(u32, (bool, u64))> = rustc_hash::FxHashSet::default();
    for (index, conductor) in desk.plan.wiring.conductors.iter().enumerate() {
        let cable = &desk.plan.study.cables[index];
        let amps = cable.design.amps;
        let (Some(size), Some((allowed, worst))) =
            (conductor.size, cable.may_carry().broken_by(amps))
        else {
            continue;
        };
        let key = (conductor.run, crate::study::size_key(size));
        if !said.insert(key) && conductor.made {
            continue;
        }
        let severity = desk.soften_design(&cable.design, allowed, worst);
        let message = format!(
            "This {} conductor carries {} in {}, and may carry {} where it lies.",
            say::size(size),
            say::amps(amps),
            desk.plan.asked_by(cable.design.by),
            say::amps(allowed),
        );
        found.push(
            Finding::new(Code::UndersizedConductor, conductor.site, message)
                .at(severity)
                .measuring(amps, allowed, "A"),
        );
    }
}

/// A brief current is held against what heats the copper: I²t over k²S² (IEC 60364-5-54).
fn overheated(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let plan = desk.plan;
    for (index, conductor) in plan.wiring.conductors.iter().enumerate() {
        let Some((brief, draw)) = brief_at(&plan.study.rule, conductor.edge) else {
            continue;
        };
        let (Some(size), Some(seconds)) = (conductor.size, plan.study.base.brief[draw as usize])
        else {
            continue;
        };
        let amps = brief + plan.study.cables[index].design.amps;
        let k = adiabatic::k(Celsius(plan.study.cables[index].stuff.insulation));
        let mm2 = area(size, desk.circuit.rules.areas()).0 * f64::from(conductor.parallel);
        let allowed = k.value * mm2 / seconds.max(1e-3).sqrt();
        if amps <= allowed + 1e-6 {
            continue;
        }
        let name = &plan.model.get(plan.wiring.draws[draw as usize].part).name;
        let message = format!(
            "{name} draws {} through this {} conductor for {seconds} s, which its copper bears only up to {}.",
            say::amps(amps),
            say::size(size),
            say::amps(allowed),
        );
        found.push(
            Finding::new(Code::UndersizedConductor, conductor.site, message)
                .measuring(amps, allowed, "A"),
        );
    }
}

fn below_minimum(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for conductor in desk
        .plan
        .wiring
        .conductors
        .iter()
        .filter(|conductor| !(conductor.made && conductor.way == Way::Home))
    {
        found.extend(minimum(desk, conductor));
    }
}

fn minimum(desk: &Desk<'_>, conductor: &Conductor) -> Option<Finding> {
    let size = conductor.size?;
    let rules = desk.circuit.rules;
    let mm2 = |size: Size| area(size, rules.areas()).0;
    let exempt = rules
        .minimum_size_exempt_length()
        .map_or(0.0, |metres| metres.value.0);
    if conductor.metres.is_some_and(|metres| metres <= exempt) {
        return None;
    }
    let limits = rules.checked_limits(|rules| rules.minimum_size(conductor.sheathed));
    let broken = limits
        .map(|(_, limit)| limit)
        .filter(|limit| mm2(size) < mm2(limit.value) - 1e-6);
    let limit = broken.max_by_key(|limit| limit.tag.may_be_error())?;
    let severity = if limit.tag.may_be_error() {
        Severity::Warning
    } else {
        Severity::Advice
    };
    let lies = if conductor.sheathed {
        "in a sheath"
    } else {
        "where it is not in a sheath"
    };
    let message = format!(
        "This conductor has {}; the smallest that the rule allows {lies} is {}.",
        say::size(size),
        say::size(limit.value),
    );
    let finding = Finding::new(Code::BelowMinimumSize, conductor.site, message).at(severity);
    Some(finding.measuring(mm2(size), mm2(limit.value), "mm2"))
}
