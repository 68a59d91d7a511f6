//! What comes of a plan: its findings, its computed values, its summary.

use std::{collections::BTreeSet, fmt::Write as _};

use ampwright_plan::{
    Plan,
    study::{cables::contact_design, wired::Wired},
    wiring::node_name,
};

/// Everything that comes of a plan, in lines.
pub(crate) fn outcomes(plan: &Plan) -> BTreeSet<String> {
    let mut lines: BTreeSet<String> = plan.findings.iter().map(finding).collect();
    lines.extend((0..plan.wiring.conductors.len()).map(|at| conductor(plan, at)));
    lines.extend(
        plan.wiring
            .contacts
            .iter()
            .enumerate()
            .map(|(at, contact)| {
                let design = contact_design(&plan.study.rule, contact.edge);
                format!("contact {at} {design:?}")
            }),
    );
    lines.extend((0..plan.study.rule.moments.len()).map(|at| moment(plan, at)));
    lines.extend((0..plan.wiring.draws.len()).map(|draw| alone(plan, draw)));
    let faults = &plan.study.faults;
    lines.extend(
        faults
            .conductors
            .iter()
            .flatten()
            .map(|at| format!("{at:?}")),
    );
    lines.extend(faults.devices.iter().flatten().map(|at| format!("{at:?}")));
    let tops = plan.study.wired.tops.iter();
    lines.extend(tops.map(|top| format!("{top:?}")));
    for bank in &plan.study.base.banks.list {
        let names: Vec<_> = bank
            .batteries
            .iter()
            .map(|&part| &plan.model.get(part).name)
            .collect();
        lines.insert(format!("bank {names:?} {} V {:?}", bank.volts, bank.links));
    }
    let mut summary = ampwright_assist::summary::summary(plan);
    summary.defaults = (0, 0);
    lines.extend(summary.doc().plain().lines().map(str::to_owned));
    lines
}

/// A finding in one line.
pub(crate) fn finding(finding: &ampwright_plan::Finding) -> String {
    let related = finding
        .related
        .iter()
        .map(|related| related.message.as_str());
    format!(
        "{} {}: {} {:?}",
        finding.severity.word(),
        finding.code.word(),
        finding.message,
        related.collect::<Vec<_>>()
    )
}

fn conductor(plan: &Plan, at: usize) -> String {
    let (cable, protection) = (&plan.study.cables[at], &plan.study.protection);
    format!(
        "conductor {at} design {:?} ampacity {:?} {:?} ambient {} sustained {:?} return {:?} post {:?} ohms {:?} {:?}",
        cable.design,
        cable.ampacity.as_ref().map(|ampacity| ampacity.value),
        cable.published.as_ref().map(|ampacity| ampacity.value),
        cable.ambient,
        protection.sustained[at].map(|sustained| (sustained.amps, sustained.ring_amps)),
        protection.returns[at],
        protection.from_post[at],
        plan.study.base.rule_ohms[at],
        plan.conductor_ohms(at as u32),
    )
}

fn moment(plan: &Plan, at: usize) -> String {
    let solved = &plan.study.rule.moments[at];
    let drops = solved.moment.draws.iter().map(|&(draw, amps)| {
        let ends = &plan.wiring.draws[draw as usize];
        format!(
            "{draw} {amps} A {} V",
            solved.drop_at(ends.plus, ends.minus)
        )
    });
    let mut said = format!(
        "moment {at} {:?} {:?} {:?}",
        solved.moment.charging,
        solved.powered,
        drops.collect::<Vec<_>>()
    );
    if let Some(wired) = plan.as_wired(at) {
        let _ = write!(said, "{}", as_wired(plan, &wired));
    }
    said
}

fn alone(plan: &Plan, draw: usize) -> String {
    let wired = plan.as_wired_alone(draw as u32);
    let wired = wired.map_or_else(String::new, |wired| as_wired(plan, &wired));
    let drop = plan.study.rule.alone_drop[draw];
    let limit = plan.circuit().drop_limit(draw as u32);
    format!("alone {draw} {drop} V of {limit:?} {wired}")
}

fn as_wired(plan: &Plan, wired: &Wired) -> String {
    let nodes = plan.wiring.graph.node_indices().zip(&wired.volts);
    let volts = nodes.map(|(node, volts)| format!("{} {volts:.6} V", node_name(plan, node)));
    format!("{:?}", volts.collect::<Vec<_>>())
}
