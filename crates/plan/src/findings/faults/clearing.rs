//! `fault-not-cleared` and `conductor-withstand`: the device opens later than the copper bears.

use std::collections::BTreeMap;

use super::super::{Desk, protection::capital, registry::Code};
use crate::{
    finding::{Finding, Severity},
    say,
    study::faults::{AtConductor, TooLong},
};

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let all = desk.plan.study.faults.conductors.iter().zip(0u32..);
    let mut groups: BTreeMap<(bool, u32, u32), Vec<(u32, TooLong)>> = BTreeMap::new();
    for (at, index) in all.filter_map(|(at, index)| Some((at.as_ref()?, index))) {
        if let Some((near, fault)) = worst(at) {
            let run = desk.plan.wiring.conductors[index as usize].run;
            groups
                .entry((near, fault.device, run))
                .or_default()
                .push((index, fault));
        }
    }
    found.extend(
        groups
            .into_iter()
            .filter_map(|((near, ..), list)| finding(desk, near, &list)),
    );
}

fn worst(at: &AtConductor) -> Option<(bool, TooLong)> {
    let near = at.not_withstood.map(|fault| (true, fault));
    at.not_cleared.map(|fault| (false, fault)).or(near)
}

/// One finding for one device and run: the conductor that is heated the longest beyond what it bears.
fn finding(desk: &Desk<'_>, near: bool, list: &[(u32, TooLong)]) -> Option<Finding> {
    let excess = |fault: &TooLong| fault.opens.value.0 / fault.bears.0;
    let (index, fault) = list
        .iter()
        .reduce(|a, b| if excess(&b.1) > excess(&a.1) { b } else { a })?;
    let wiring = &desk.plan.wiring;
    let device = &wiring.contacts[fault.device as usize];
    let name = desk.circuit.contact_name(device);
    let (amps, bears) = (say::amps(fault.amps), say::seconds(fault.bears.0));
    let opens = if fault.opens.value.0.is_finite() {
        format!("may take {} to open", say::seconds(fault.opens.value.0))
    } else {
        "need not open at all".to_owned()
    };
    let mend = "take a smaller one that still carries the load, or a thicker conductor";
    let message = if near {
        format!(
            "{} {opens} in a short circuit of {amps} along this conductor, which bears that for {bears} only: {mend}.",
            capital(&name)
        )
    } else {
        format!(
            "A short circuit at the far end of this conductor may draw no more than {amps}: {name} {opens} at that, and the conductor bears it for {bears}: {mend}."
        )
    };
    let code = if near {
        Code::ConductorWithstand
    } else {
        Code::FaultNotCleared
    };
    let severity = if fault.opens.tag.may_be_error() && fault.opens.value.0.is_finite() {
        Severity::Warning
    } else {
        Severity::Advice
    };
    let mut finding = Finding::new(code, wiring.conductors[*index as usize].site, message)
        .at(severity)
        .beside(device.site, "the device");
    if fault.opens.value.0.is_finite() {
        finding = finding.measuring(fault.opens.value.0, fault.bears.0, "s");
    }
    for (other, _) in list.iter().filter(|(other, _)| other != index) {
        finding = finding.beside(
            wiring.conductors[*other as usize].site,
            "heated for too long as well",
        );
    }
    Some(finding)
}
