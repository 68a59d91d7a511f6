//! The figures by which a mutant may be silent, worked out apart from the findings: published
//! ampacities, the rating of the device that stands before, the length to it, the drop at each load.

use ampwright_electrics::{conductor::Size, quantity::Volts};
use ampwright_plan::{
    Plan, say,
    study::cables::contact_design,
    wiring::{Conductor, Link},
};

use crate::{Mutant, Original};

/// 33 CFR 183.425 Table 5 at 105 °C, A (S2), by the number of the AWG; metric sizes by the largest
/// number whose area they reach, and below the smallest by their area (D).
const TABLE_5: [(Size, f64); 31] = [
    (Size::Awg(18), 20.0),
    (Size::Awg(16), 25.0),
    (Size::Awg(14), 35.0),
    (Size::Awg(12), 45.0),
    (Size::Awg(10), 60.0),
    (Size::Awg(8), 80.0),
    (Size::Awg(6), 120.0),
    (Size::Awg(4), 160.0),
    (Size::Awg(3), 180.0),
    (Size::Awg(2), 210.0),
    (Size::Awg(1), 245.0),
    (Size::Awg(0), 285.0),
    (Size::Awg(-1), 330.0),
    (Size::Awg(-2), 385.0),
    (Size::Awg(-3), 445.0),
    (Size::Mm2(0.75), 20.0 * 0.75 / 0.823),
    (Size::Mm2(1.0), 20.0),
    (Size::Mm2(1.5), 25.0),
    (Size::Mm2(2.5), 35.0),
    (Size::Mm2(4.0), 45.0),
    (Size::Mm2(6.0), 60.0),
    (Size::Mm2(10.0), 80.0),
    (Size::Mm2(16.0), 120.0),
    (Size::Mm2(25.0), 160.0),
    (Size::Mm2(35.0), 210.0),
    (Size::Mm2(50.0), 245.0),
    (Size::Mm2(70.0), 330.0),
    (Size::Mm2(95.0), 385.0),
    (Size::Mm2(120.0), 445.0),
    (Size::Mm2(150.0), 445.0),
    (Size::Mm2(185.0), 445.0),
];

fn table(size: Size) -> Option<f64> {
    TABLE_5
        .iter()
        .find(|(known, _)| *known == size)
        .map(|(_, amps)| *amps)
}

/// What a conductor may carry at another size, A: the table's, times what its place and its
/// bundle left of the original.
fn may_carry(original: &Plan, plan: &Plan, index: usize) -> Option<f64> {
    let before = &original.study.cables[index];
    let share = before.may_carry().firm / table(original.wiring.conductors[index].size?)?;
    Some(table(plan.wiring.conductors[index].size?)? * share)
}

/// ISO 13297 (S1) and 33 CFR 183.425 (S2), the boats' own rule sets; pigtails are shorter.
fn is_thick_enough(wired: &Conductor) -> bool {
    let smallest = match (wired.size, wired.sheathed) {
        (Some(Size::Mm2(area)), true) => area >= 0.75,
        (Some(Size::Mm2(area)), false) => area >= 1.0,
        (Some(Size::Awg(number)), true) => number <= 18,
        (Some(Size::Awg(number)), false) => number <= 16,
        (None, _) => false,
    };
    smallest || wired.metres.is_some_and(|metres| metres <= 0.178)
}

/// The ratings of the devices that a conductor ends at, A.
fn devices_at(plan: &Plan, wired: &Conductor) -> f64 {
    let rating = |node| -> f64 {
        let edges = plan.wiring.graph.edges(node);
        let contacts = edges.filter_map(|edge| match edge.weight() {
            Link::Contact(index) => plan.wiring.contacts[*index as usize].protects,
            _ => None,
        });
        contacts.sum()
    };
    let ends = [rating(wired.from), rating(wired.to)];
    let devices = ends.into_iter().filter(|rating| *rating > 0.0);
    devices.fold(f64::INFINITY, f64::min)
}

/// The most that can flow in a conductor for ever, A: what its sources and devices let through, or
/// what the device at its end does where that stands within 7 in.
fn through(plan: &Plan, index: usize) -> Option<f64> {
    let wired = &plan.wiring.conductors[index];
    let protection = &plan.study.protection;
    let amps = match (protection.sustained[index], protection.returns[index]) {
        (Some(live), _) => live.amps,
        (None, Some((amps, _))) => amps,
        (None, None) => plan.study.cables[index].design.amps,
    };
    if protection.cranking.contains(&(index as u32)) {
        return Some(plan.study.cables[index].design.amps);
    }
    let by_end = devices_at(plan, wired);
    let short = wired.metres.is_some_and(|metres| metres <= 0.178);
    let most = if short { amps.min(by_end) } else { amps };
    if let Some(bank) = plan.study.base.banks.link_of[index] {
        return largest_at(plan, bank);
    }
    most.is_finite().then_some(most)
}

/// The largest device within one conductor of a bank's posts, A: what a link carries while the
/// battery beside it is flat.
fn largest_at(plan: &Plan, bank: u32) -> Option<f64> {
    let bank = plan.study.base.banks.list.get(bank as usize)?;
    let posts = bank.tops.iter().chain(&bank.bottoms);
    let leads = posts.flat_map(|&post| plan.wiring.conductors_at(post));
    let ratings = leads.map(|lead| devices_at(plan, &plan.wiring.conductors[lead as usize]));
    ratings
        .filter(|rating| rating.is_finite())
        .max_by(f64::total_cmp)
}

/// The worst of all loads, in per cent of what it may lose; `None` where one loses more.
fn drops(plan: &Plan) -> Option<String> {
    let circuit = plan.circuit();
    let mut worst = (0.0, String::new());
    for (draw, wired) in plan.wiring.draws.iter().enumerate() {
        let moments = plan.study.rule.moments.iter();
        let moments = moments.filter(|solved| solved.moment.charging.is_empty());
        let on = moments.filter(|solved| {
            let is_on = |&(other, amps): &(u32, f64)| other as usize == draw && amps > 0.0;
            solved.moment.draws.iter().any(is_on)
        });
        let drops = on.map(|solved| solved.drop_at(wired.plus, wired.minus));
        let most = drops.fold(plan.study.rule.alone_drop[draw], f64::max);
        let allowed = circuit.drop_limit(draw as u32).strict();
        let percent = most / circuit.draw_volts(draw as u32) * 100.0;
        if percent / allowed > worst.0 {
            let name = plan.draw_name(draw as u32);
            let figures = format!("{name} loses {percent:.2} of {allowed} %");
            worst = (percent / allowed, figures);
        }
    }
    (worst.0 <= 1.0).then_some(worst.1)
}

fn ceiling(plan: &Plan) -> f64 {
    let circuit = plan.circuit();
    circuit.rules.ceiling(Volts(circuit.system)).value
}

/// A thinner conductor: what flows for ever, what it has to carry, what it loses.
pub(crate) fn thinned(original: &Original, _: &Mutant, plan: &Plan) -> Option<String> {
    let (before, after) = (&original.plan.wiring.conductors, &plan.wiring.conductors);
    let changed = (0..after.len()).filter(|&index| before[index].size != after[index].size);
    let mut told = String::new();
    for index in changed {
        let wired = &after[index];
        let may = may_carry(&original.plan, plan, index)?;
        let through = through(plan, index)?;
        let carries = plan.study.cables[index].design.amps;
        if through > may * ceiling(plan) + 1e-6 || carries > may + 1e-6 || !is_thick_enough(wired) {
            return None;
        }
        if told.is_empty() {
            let (through, may) = (say::amps(through), say::amps(may));
            told = format!(
                "{through} may flow and {} do, it may carry {may}",
                say::amps(carries)
            );
        }
    }
    Some(format!("{told}; {}", drops(plan)?))
}

/// A larger device: what it lets through against the weakest behind it.
pub(crate) fn uprated(_: &Original, _: &Mutant, plan: &Plan) -> Option<String> {
    let mut tightest = (0.0, String::new());
    for (index, wired) in plan.wiring.conductors.iter().enumerate() {
        let may = plan.study.cables[index].may_carry().firm * ceiling(plan);
        let through = through(plan, index)?;
        if through > may + 1e-6 {
            return None;
        }
        if through / may > tightest.0 {
            let figures = format!("{} of {}", say::amps(through), say::amps(may));
            tightest = (
                through / may,
                format!("tightest is {}, {figures}", wired.mark),
            );
        }
    }
    Some(tightest.1)
}

/// A longer conductor: no load loses too much by it, and no device has become too far.
pub(crate) fn lengthened(original: &Original, _: &Mutant, plan: &Plan) -> Option<String> {
    let (before, after) = (&original.plan.wiring.conductors, &plan.wiring.conductors);
    let changed = (0..after.len()).filter(|&index| before[index].metres != after[index].metres);
    for index in changed {
        let may = plan.study.cables[index].may_carry().firm * ceiling(plan);
        let link = plan.study.base.banks.link_of[index].is_some();
        if link && after[index].metres? > 1.829 || through(plan, index)? > may + 1e-6 {
            return None;
        }
    }
    drops(plan)
}

/// A device that carries no more than an ampere.
pub(crate) fn idle(_: &Original, _: &Mutant, plan: &Plan) -> Option<String> {
    let one = plan
        .wiring
        .contacts
        .iter()
        .filter(|contact| contact.protects == Some(1.0));
    let carries = one.map(|contact| contact_design(&plan.study.rule, contact.edge).amps);
    let most = carries.fold(0.0, f64::max);
    (most <= 1.0 + 1e-6).then(|| format!("it carries {}", say::amps(most)))
}

/// A place in which no battery stands.
pub(crate) fn no_battery_there(original: &Original, mutant: &Mutant, _: &Plan) -> Option<String> {
    let place = format!("in {}", mutant.what);
    let batteries = original
        .boat
        .things()
        .into_iter()
        .filter(|thing| thing.kind_and_name().0 == "battery");
    let stands = |thing: &ampwright_tests::whole::Thing| {
        let lines = &original.boat.lines(&thing.path)[thing.lines.clone()];
        lines.iter().any(|line| line.trim() == place)
    };
    (!batteries.into_iter().any(|thing| stands(&thing)))
        .then(|| "no battery stands there".to_owned())
}

/// A contact that carries no more than an ampere in any moment.
pub(crate) fn idle_contact(_: &Original, mutant: &Mutant, plan: &Plan) -> Option<String> {
    let named = |part| *plan.model.get(part).name == *mutant.what;
    let contacts = plan
        .wiring
        .contacts
        .iter()
        .filter(|contact| named(contact.part));
    let carries = contacts.map(|contact| contact_design(&plan.study.rule, contact.edge).amps);
    let most = carries.max_by(f64::total_cmp)?;
    (most <= 1.0 + 1e-6).then(|| format!("it carries {}", say::amps(most)))
}
