//! Everything computed of a plan as one page: what is frozen for review, and what must not change
//! when only the text's order or its files do.

use std::fmt::Write;

use ampwright_plan::{
    Plan, say,
    study::{
        banks::Bank,
        cables::{AmbientFrom, Cable},
    },
    wiring::{Conductor, Way},
};

/// The page: conductors, loads, batteries, findings, each in the order of the text.
pub fn sheet(plan: &Plan) -> String {
    let mut page = String::from("conductors\n");
    page.extend((0..plan.wiring.conductors.len()).map(|index| conductor_lines(plan, index)));
    page.push_str("loads\n");
    page.extend((0..plan.wiring.draws.len() as u32).map(|draw| load_line(plan, draw)));
    page.push_str("batteries\n");
    let banks = plan.study.base.banks.list.iter();
    page.extend(banks.map(|bank| bank_line(plan, bank)));
    page.push_str("findings\n");
    page.extend(
        plan.findings
            .iter()
            .map(|finding| finding_line(plan, finding)),
    );
    page
}

/// A bank's batteries by name.
fn bank_line(plan: &Plan, bank: &Bank) -> String {
    let batteries = bank.batteries.iter();
    let mut names: Vec<&str> = batteries.map(|&part| &*plan.model.get(part).name).collect();
    names.sort_unstable();
    let (volts, links) = (say::nominal(bank.volts), bank.links.len());
    format!("  {}: {volts}, {links} links\n", names.join(" "))
}

/// Two lines for a conductor: what it is and must carry, and what it may carry and what protects it.
fn conductor_lines(plan: &Plan, index: usize) -> String {
    let conductor = &plan.wiring.conductors[index];
    let cable = &plan.study.cables[index];
    let way = if conductor.way == Way::Home {
        " home"
    } else {
        ""
    };
    let size = conductor.size.map_or_else(|| "?".to_owned(), say::size);
    let several = if conductor.parallel > 1 {
        format!("{} parallel ", conductor.parallel)
    } else {
        String::new()
    };
    let metres = conductor.metres.map_or_else(|| "?".to_owned(), say::metres);
    let ohms = plan.study.base.rule_ohms[index].unwrap_or(0.0);
    let lost = say::volts(cable.design.amps * ohms);
    let carries = say::amps(cable.design.amps);
    let by = plan.asked_by(cable.design.by);
    let mut lines = format!(
        "  {}{way}: {several}{size}, {metres}; {carries} in {by}, losing {lost}\n",
        conductor.mark
    );
    let _ = writeln!(
        lines,
        "      may carry {}; {}{}",
        may_carry(plan, conductor, cable),
        protection(plan, index),
        fault(plan, index)
    );
    lines
}

fn may_carry(plan: &Plan, conductor: &Conductor, cable: &Cable) -> String {
    let limit = cable.may_carry();
    let from = match cable.ambient_from {
        AmbientFrom::Place(place) => format!(" in {}", plan.model.places.list[place as usize].name),
        AmbientFrom::Boat | AmbientFrom::Rule => String::new(),
    };
    let bundled = if conductor.bundled > 1 {
        format!(", {} together", conductor.bundled)
    } else {
        String::new()
    };
    let soft = limit.soft.map_or_else(String::new, |soft| {
        format!(" (from memory {})", say::amps(soft))
    });
    format!(
        "{}{soft} at {:.0} C{from}{bundled}",
        say::amps(limit.firm),
        cable.ambient
    )
}

/// What can flow for ever, and what stops more.
fn protection(plan: &Plan, index: usize) -> String {
    let circuit = plan.circuit();
    let protection = &plan.study.protection;
    let named = |amps: f64, device: Option<u32>| {
        let name = device.map_or_else(
            || "no device".to_owned(),
            |device| circuit.contact_name(&plan.wiring.contacts[device as usize]),
        );
        if amps.is_finite() {
            format!("{} by {name}", say::amps(amps))
        } else {
            "unlimited".to_owned()
        }
    };
    let exempt = if plan.study.base.banks.link_of[index].is_some() {
        ", a bank's link"
    } else if protection.cranking.contains(&(index as u32)) {
        ", cranking"
    } else {
        ""
    };
    match (protection.sustained[index], protection.returns[index]) {
        (Some(live), _) => format!("for ever {}{exempt}", named(live.amps, live.device)),
        (None, Some((amps, device))) => format!("comes home {}{exempt}", named(amps, device)),
        (None, None) => format!("nothing reaches it{exempt}"),
    }
}

/// The smallest current of a short circuit at its far end, and the largest that its device meets.
fn fault(plan: &Plan, index: usize) -> String {
    let faults = &plan.study.faults;
    let Some(fault) = faults.conductors.get(index).and_then(Option::as_ref) else {
        return String::new();
    };
    let smallest = fault
        .smallest
        .map(|smallest| say::amps(smallest.amps.round()));
    let device = fault
        .device
        .and_then(|device| faults.devices[device as usize].as_ref());
    let largest = device.map(|device| say::amps(device.largest.amps.round()));
    match (smallest, largest) {
        (Some(least), Some(most)) => format!("; shorted {least} to {most}"),
        (Some(least), None) => format!("; shorted {least} at least"),
        (None, Some(most)) => format!("; shorted {most} at most"),
        (None, None) => String::new(),
    }
}

/// The most a load loses by the rule, and the least it gets as wired, over all moments in which it is on.
fn load_line(plan: &Plan, draw: u32) -> String {
    let ends = &plan.wiring.draws[draw as usize];
    let rule = &plan.study.rule;
    let mut worst = (rule.alone_drop[draw as usize], "alone".to_owned());
    let mut least: Option<(f64, String)> = None;
    for (index, solved) in rule.moments.iter().enumerate() {
        let is_on = |&(other, amps): &(u32, f64)| other == draw && amps > 0.0;
        if !solved.moment.draws.iter().any(is_on) || !solved.powered[draw as usize] {
            continue;
        }
        let drop = solved.drop_at(ends.plus, ends.minus);
        if drop > worst.0 + 1e-9 {
            worst = (drop, plan.moment_name(index));
        }
        let wired = plan.as_wired(index);
        let volts = wired.and_then(|wired| {
            wired
                .draws
                .iter()
                .find(|one| one.0 == draw)
                .map(|one| one.1)
        });
        if let Some(volts) = volts.filter(|volts| {
            least
                .as_ref()
                .is_none_or(|(known, _)| *volts < known - 1e-9)
        }) {
            least = Some((volts, plan.moment_name(index)));
        }
    }
    let nominal = plan.circuit().draw_volts(draw);
    let share = say::percent(worst.0 / nominal * 100.0);
    let full = say::amps(plan.circuit().nominal_amps(draw));
    let lost = say::volts(worst.0);
    let left = least.map_or_else(String::new, |(volts, when)| {
        format!("; as wired at least {} ({when})", say::volts(volts))
    });
    format!(
        "  {}: {full} at {}; loses {lost}, {share} ({}){left}\n",
        plan.draw_name(draw),
        say::nominal(nominal),
        worst.1
    )
}

fn finding_line(plan: &Plan, finding: &ampwright_plan::Finding) -> String {
    let accepted = if finding.accepted.is_some() {
        "accepted "
    } else {
        ""
    };
    let words = plan
        .sources
        .words(finding.site)
        .lines()
        .next()
        .unwrap_or_default()
        .trim();
    format!(
        "  {accepted}{} {} on {words}: {}\n",
        finding.severity.word(),
        finding.code.word(),
        finding.message
    )
}
