//! Code lenses: above a run what it carries, loses and is protected by; above the boat what is
//! wrong and what a day takes; above a case what runs together.

use std::{collections::BTreeSet, ops::Range};

use ampwright_notation::Kind;
use ampwright_plan::{
    Plan, ThingRef, say,
    study::{cables::brief_at, moments::Label},
};

use crate::{
    cursor::{Cursor, file_of},
    hints::lost,
    phrase,
    summary::{largest_drops, summary},
};

/// A lens above a thing; [`title`] says what it shows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lens {
    /// The thing's first words.
    pub at: Range<usize>,
}

/// The lenses of a file in the order of the text.
pub fn lenses(plan: &Plan, file: u32) -> Vec<Lens> {
    let Some(parsed) = file_of(plan, file) else {
        return Vec::new();
    };
    let chunks = parsed.chunks.iter();
    let above = chunks.filter(|chunk| {
        let has_name = chunk.thing.name.is_some();
        has_name && matches!(chunk.thing.kind, Some(Kind::Boat | Kind::Run | Kind::Case))
    });
    above
        .map(|chunk| Lens {
            at: chunk.absolute(chunk.thing.kind_span),
        })
        .collect()
}

/// What a lens at an offset shows; `None` where nothing has one.
pub fn title(plan: &Plan, file: u32, offset: usize) -> Option<String> {
    let cursor = Cursor::new(plan, file, offset)?;
    let name = &cursor.thing.name.as_ref()?.value;
    Some(match cursor.thing.kind? {
        Kind::Boat => of_boat(plan),
        Kind::Run => of_run(plan, own(&plan.model.runs, name, cursor.whose)?),
        Kind::Case => of_case(plan, own(&plan.model.cases, name, cursor.whose)?)?,
        _ => return None,
    })
}

/// The index of a name, where this thing carries it and no other.
fn own(space: &ampwright_plan::model::Space, name: &str, whose: ThingRef) -> Option<u32> {
    let index = space.find(name)?;
    (space.list.get(index as usize)?.thing == whose).then_some(index)
}

/// `1 error, 2 warnings; 43.4 Ah a day`.
fn of_boat(plan: &Plan) -> String {
    let summary = summary(plan);
    let words = ["error", "warning", "advice"];
    let counts = summary.findings.iter().zip(words);
    let found: Vec<String> = counts
        .filter(|(count, _)| **count > 0)
        .map(|(&count, word)| phrase::count(count, word))
        .collect();
    let found = if found.is_empty() {
        "No findings".to_owned()
    } else {
        found.join(", ")
    };
    match (summary.day, summary.loads, summary.without_hours) {
        (Some(day), ..) => format!("{found}; {} a day", say::figure(day, "Ah")),
        (None, 0, _) | (None, _, 0) => found,
        (None, _, without) => {
            let loads = phrase::count(without, "load");
            let verb = if without == 1 { "does" } else { "do" };
            format!("{found}; {loads} {verb} not say how long a day")
        }
    }
}

/// `7 A, worst drop 5.04 % at fresh-pump, protected by cabin-panel way 2, fuse 10 A`.
fn of_run(plan: &Plan, run: u32) -> String {
    let conductors = plan.wiring.conductors.iter().enumerate();
    let own: Vec<usize> = conductors
        .filter(|(_, conductor)| conductor.run == run)
        .map(|(index, _)| index)
        .collect();
    if own.is_empty() {
        return "No conductor yet".to_owned();
    }
    let mut words = vec![phrase::amps(carried(plan, &own))];
    words.extend(worst_load(plan, run).or_else(|| own_loss(plan, &own)));
    words.push(protection(plan, &own));
    words.retain(|words| !words.is_empty());
    words.join(", ")
}

/// The most that any of some conductors has to carry, A.
fn carried(plan: &Plan, own: &[usize]) -> f64 {
    own.iter()
        .map(|&index| amps_of(plan, index))
        .fold(0.0, f64::max)
}

fn amps_of(plan: &Plan, index: usize) -> f64 {
    let brief = plan.wiring.conductors.get(index);
    let brief = brief.and_then(|conductor| brief_at(&plan.study.rule, conductor.edge));
    let design = plan
        .study
        .cables
        .get(index)
        .map_or(0.0, |cable| cable.design.amps);
    brief.map_or(design, |(amps, _)| design.max(amps))
}

/// The load of a run that loses the most of its volts, from the source there and back.
fn worst_load(plan: &Plan, run: u32) -> Option<String> {
    let visits = plan.wiring.stops.iter().filter(|visit| visit.run == run);
    let fed: BTreeSet<u32> = visits
        .filter_map(|visit| {
            let draw = *plan.study.base.draw_of.get(&visit.part?)?;
            let ends = plan.wiring.draws.get(draw as usize)?;
            (ends.plus == visit.enter).then_some(draw)
        })
        .collect();
    let drops = largest_drops(plan);
    let percent =
        |draw: u32| Some(100.0 * drops.get(draw as usize)?.1 / plan.circuit().draw_volts(draw));
    let lost = fed
        .into_iter()
        .filter_map(|draw| Some((percent(draw)?, draw)));
    let (percent, draw) = lost
        .filter(|(percent, _)| *percent > 0.0 && percent.is_finite())
        .reduce(|most, next| if next.0 > most.0 + 1e-9 { next } else { most })?;
    Some(format!(
        "worst drop {} at {}",
        say::percent(percent),
        phrase::draw(plan, draw)
    ))
}

/// What a run without a load loses from end to end.
fn own_loss(plan: &Plan, own: &[usize]) -> Option<String> {
    let lost = own.iter().filter_map(|&index| {
        let conductor = plan.wiring.conductors.get(index)?;
        lost(plan, index, conductor, amps_of(plan, index))
    });
    let percent: f64 = lost.sum();
    (percent > 0.0).then(|| format!("{} lost in it", say::percent(percent)))
}

/// Devices that are named before they are counted.
const MOST_DEVICES: usize = 2;

fn protection(plan: &Plan, own: &[usize]) -> String {
    let found = &plan.study.protection;
    let mut devices = BTreeSet::new();
    for &index in own {
        let sustained = found.sustained.get(index).copied().flatten();
        let home = found.returns.get(index).and_then(|home| home.as_ref());
        devices.extend(sustained.and_then(|found| found.device));
        devices.extend(home.and_then(|(_, device)| *device));
    }
    // A lead that the rule excuses is not called unprotected.
    // In the order of the plan's conductors, as they were gathered.
    let is_own = |index: &u32| own.binary_search(&(*index as usize)).is_ok();
    let bare = found
        .unfused
        .iter()
        .any(|missing| is_own(&missing.conductor) || missing.others.iter().any(is_own));
    let contacts = devices
        .iter()
        .filter_map(|&device| plan.wiring.contacts.get(device as usize));
    let names: Vec<String> = contacts
        .map(|contact| phrase::device(&plan.circuit(), contact))
        .collect();
    match (names.len(), bare) {
        (_, true) => "not protected".to_owned(),
        (0, false) => String::new(),
        (count, false) if count > MOST_DEVICES => format!("protected by {count} devices"),
        (_, false) => format!("protected by {}", names.join(" and ")),
    }
}

/// `14.7 A together, 11 A charging`.
fn of_case(plan: &Plan, case: u32) -> Option<String> {
    let is_it = |label: Label| label == Label::Case(case);
    let solved = plan
        .study
        .rule
        .moments
        .iter()
        .find(|solved| is_it(solved.moment.label))?;
    let sum = |list: &[(u32, f64)]| list.iter().map(|(_, amps)| amps).sum::<f64>();
    let charging = sum(&solved.moment.charging);
    let together = format!("{} together", phrase::amps(sum(&solved.moment.draws)));
    Some(if charging > 0.0 {
        format!("{together}, {} charging", phrase::amps(charging))
    } else {
        together
    })
}

#[cfg(test)]
mod tests {
    use expect_test::{Expect, expect};

    use super::{lenses, title};
    use crate::fixture::{CURLEW, pointed};

    fn check(text: &str, expected: &Expect) {
        let here = pointed(text);
        let shown = lenses(&here.plan, 0).into_iter().map(|lens| {
            let line = here.text[lens.at.start..].lines().next().unwrap_or("");
            let title = title(&here.plan, 0, lens.at.start);
            format!("{}\n    {line}", title.unwrap_or_else(|| "-".to_owned()))
        });
        expected.assert_eq(&shown.collect::<Vec<_>>().join("\n"));
    }

    #[test]
    fn above_runs_the_boat_and_cases() {
        check(
            CURLEW,
            &expect![[r#"
                1 advice; 2 loads do not say how long a day
                    boat curlew "Curlew"
                9.2 A
                    run house-link-positive
                9.2 A, protected by house-fuse 80 A
                    run house-link-negative
                9.2 A, 0.59 % lost in it, protected by house-fuse 80 A
                    run domestic-feed "Domestic feed"
                9.2 A, 0.59 % lost in it, protected by house-fuse 80 A
                    run domestic-return "Domestic return"
                1.2 A, worst drop 2.37 % at cabin-lights, protected by cabin-panel way 1, fuse 5 A
                    run lights
                7 A, worst drop 4.88 % at fresh-pump, protected by cabin-panel way 2, fuse 10 A
                    run pump
                1 A, worst drop 2.84 % at tricolour, protected by cabin-panel way 3, fuse 3 A
                    run tricolour
                0.17 A, worst drop 0.54 % at anchor-light, protected by cabin-panel way 4, fuse 3 A
                    run anchor-light
                8.2 A together
                    case evening "Evening at anchor"
                0.17 A together
                    case night "Asleep at anchor"
                2.03 A together
                    case passage "Sailing by night""#]],
        );
    }

    #[test]
    fn above_what_is_broken_too() {
        check(
            "boat b system 12 V\nbattery bank agm 100 Ah\nload l pump 5 A\nrun r\n    bank +\n    2.5 mm2 4 m\n    l\n    back to bank -\nrun e\nrun r\n    nobody\ncase c\n    on l\ncase\nrun\n",
            &expect![[r#"
                7 errors, 1 advice; 1 load does not say how long a day
                    boat b system 12 V
                5 A, worst drop 2.19 % at l, not protected
                    run r
                No conductor yet
                    run e
                -
                    run r
                5 A together
                    case c"#]],
        );
    }
}
