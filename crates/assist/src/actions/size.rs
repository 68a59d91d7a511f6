//! The smallest standard size that passes everything: each is tried in the plan itself, so that
//! whatever the plan is judged by, a size is judged by too.

use std::collections::BTreeSet;

use ampwright_electrics::{
    ampacity::AmpacityAsk,
    conductor::{self, Size as Standard},
    quantity::{Amperes, Celsius, Volts},
};
use ampwright_notation::{
    Key, Thing,
    tree::{Arg, Form, Step},
    units::Size,
};
use ampwright_plan::{Finding, PartId, Plan, Site, ThingRef, wiring::follow_size};

use super::{
    Made, Offer, Sort, Task,
    draft::{Tally, edited},
    gone, rewrite,
};
use crate::cursor::{Edit, FileRange};

/// The findings that another size may mend, by their words.
const SIZED: [&str; 9] = [
    "cannot-deliver",
    "undersized-conductor",
    "excess-drop",
    "below-minimum-size",
    "fuse-exceeds-conductor",
    "fault-not-cleared",
    "conductor-withstand",
    "hot-joint",
    "post-too-small",
];

/// Conductors that have to have the same size, since one line makes them or one returns for all.
struct Group {
    /// The words that say the size.
    words: Vec<Site>,
    /// The lines that the conductors come from.
    lines: BTreeSet<Site>,
    now: Size,
    label: String,
}

pub(super) fn offer(plan: &Plan, whose: ThingRef, step: u32) -> Option<Offer> {
    let group = of_step(plan, whose, step)?;
    Some(offered(plan, &group, Task::Size(whose, step)))
}

pub(super) fn offer_cores(plan: &Plan, thing: &Thing) -> Option<Offer> {
    let part = plan.model.part(&thing.name.as_ref()?.value)?;
    let group = of_cores(plan, part)?;
    Some(offered(plan, &group, Task::SizeCores(part)))
}

fn offered(plan: &Plan, group: &Group, task: Task) -> Offer {
    let findings = plan.findings.iter().enumerate();
    let mends: Vec<usize> = findings
        .filter(|(_, finding)| is_of(finding, group))
        .map(|(index, _)| index)
        .collect();
    Offer {
        sort: if mends.is_empty() {
            Sort::Rewrite
        } else {
            Sort::Mend
        },
        mends,
        ..rewrite(group.label.clone(), task)
    }
}

/// Whether a finding speaks of the size of some conductors.
fn is_of(finding: &Finding, group: &Group) -> bool {
    finding.accepted.is_none()
        && SIZED.contains(&finding.code.word())
        && group.lines.contains(&finding.site)
}

pub(super) fn make(
    plan: &Plan,
    whose: ThingRef,
    step: u32,
    stop: &dyn Fn() -> bool,
) -> Result<Made, String> {
    work_out(plan, &|plan| of_step(plan, whose, step), stop)
}

pub(super) fn make_cores(
    plan: &Plan,
    part: PartId,
    stop: &dyn Fn() -> bool,
) -> Result<Made, String> {
    work_out(plan, &|plan| of_cores(plan, part), stop)
}

fn work_out(
    plan: &Plan,
    find: &dyn Fn(&Plan) -> Option<Group>,
    stop: &dyn Fn() -> bool,
) -> Result<Made, String> {
    let group = find(plan).ok_or_else(gone)?;
    let before = Tally::of(plan);
    let mut failures: Vec<(Size, String, String)> = Vec::new();
    for size in series(plan, group.now) {
        if stop() {
            return Err(gone());
        }
        if is_surely_too_small(plan, &group, size) {
            continue;
        }
        let edits = edits(plan, &group, size);
        let after = edited(plan, &edits);
        let group_after = find(&after).ok_or_else(gone)?;
        let Some(finding) = failing(&before, &after, &group_after) else {
            return if size == group.now {
                Err(format!(
                    "{} is the smallest size that passes everything.",
                    size.printed()
                ))
            } else {
                let title = Some(format!("{}: {}", group.label, size.printed()));
                Ok(Made { edits, title })
            };
        };
        failures.push((
            size,
            finding.code.word().to_owned(),
            finding.message.clone(),
        ));
    }
    Err(none_passes(&failures))
}

/// The check that a draft fails on a group's conductors.
fn failing<'p>(before: &Tally, after: &'p Plan, group: &Group) -> Option<&'p Finding> {
    let own = after.findings.iter().find(|finding| is_of(finding, group));
    own.or_else(|| before.worse(after))
}

/// Why no size passes: which check fails up to which size, and from which on.
fn none_passes(failures: &[(Size, String, String)]) -> String {
    let mut told: Vec<String> = Vec::new();
    for run in failures.chunk_by(|a, b| a.1 == b.1) {
        if let (Some((from, code, _)), Some((to, ..))) = (run.first(), run.last()) {
            told.push(format!(
                "{code} from {} to {}",
                from.printed(),
                to.printed()
            ));
        }
    }
    if told.is_empty() {
        return "No size that is made carries so much: use several in parallel, or less current."
            .to_owned();
    }
    let last = failures
        .last()
        .map_or_else(String::new, |(size, _, message)| {
            format!(" At {}: {message}", size.printed())
        });
    format!("No size that is made passes: {}.{last}", told.join(", "))
}

/// The sizes that are made, of the series that the line writes, small to large.
fn series(plan: &Plan, like: Size) -> impl Iterator<Item = Size> {
    let areas = plan.study.base.rules.areas();
    conductor::series(follow_size(like), areas).map(|size| match size {
        Standard::Mm2(area) => Size::Mm2(area),
        Standard::Awg(gauge) => Size::Awg(gauge),
    })
}

fn edits(plan: &Plan, group: &Group, size: Size) -> Vec<Edit> {
    let words = group.words.iter();
    words
        .map(|&site| Edit {
            at: FileRange::of(plan, site),
            text: size.ascii(),
        })
        .collect()
}

/// Far below what has to be carried: not worth a trial. A trial decides everything else.
fn is_surely_too_small(plan: &Plan, group: &Group, size: Size) -> bool {
    const SURELY: f64 = 0.9;
    let conductors = plan.wiring.conductors.iter().zip(&plan.study.cables);
    let mut own = conductors.filter(|(conductor, _)| group.lines.contains(&conductor.site));
    own.any(|(conductor, cable)| {
        let size = follow_size(size);
        let carries = cable.stuff.carries.iter().find(|(known, _)| *known == size);
        let ask = AmpacityAsk {
            size,
            insulation: Celsius(cable.stuff.insulation),
            ambient: Celsius(cable.ambient),
            bundled: conductor.bundled,
            parallel: conductor.parallel,
            system: Volts(plan.study.base.system),
            carries: carries.map(|&(_, amps)| Amperes(amps)),
        };
        let may = plan.study.base.rules.ampacity(&ask).value.0;
        may < SURELY * cable.design.amps
    })
}

fn of_step(plan: &Plan, whose: ThingRef, index: u32) -> Option<Group> {
    let thing = plan.sources.thing(whose)?;
    let step = thing.steps.get(index as usize)?;
    match step {
        Step::Conductor(line) => match &line.form {
            Form::Core { of, .. } => of_cores(plan, plan.model.part(&of.value)?),
            Form::Twin => single(thing, whose, index),
            _ => of_leg(thing, whose, index).or_else(|| single(thing, whose, index)),
        },
        Step::Back(back) => match &back.core {
            Some((_, of)) => of_cores(plan, plan.model.part(&of.value)?),
            None => of_leg(thing, whose, index),
        },
        Step::Stop(_) | Step::Unread(_) => None,
    }
}

/// One line by itself, and the second core of a twin with it.
fn single(thing: &Thing, whose: ThingRef, index: u32) -> Option<Group> {
    let Step::Conductor(line) = thing.steps.get(index as usize)? else {
        return None;
    };
    let size = line.size?;
    Some(Group {
        words: vec![whose.at(size.span)],
        lines: BTreeSet::from([whose.at(line.span)]),
        now: size.value,
        label: "Size this conductor".to_owned(),
    })
}

/// The conductors out that a `back` returns for with one size: all of one size before it.
fn of_leg(thing: &Thing, whose: ThingRef, index: u32) -> Option<Group> {
    let here = index as usize;
    let back = (here..thing.steps.len()).find(|&at| matches!(thing.steps[at], Step::Back(_)))?;
    let Step::Back(home) = &thing.steps[back] else {
        return None;
    };
    let out = thing.steps[..back].iter().filter_map(|step| match step {
        Step::Conductor(line) => Some((line, line.size?)),
        _ => None,
    });
    let out: Vec<_> = out.collect();
    let own = thing.steps[..=here]
        .iter()
        .rev()
        .find_map(|step| match step {
            Step::Conductor(line) => line.size,
            _ => None,
        })?;
    let same = out.iter().filter(|(_, size)| size.value == own.value);
    let (mut words, mut lines) = (Vec::new(), BTreeSet::new());
    for (line, size) in same {
        words.push(whose.at(size.span));
        lines.insert(whose.at(line.span));
    }
    lines.insert(whose.at(home.span));
    let label = match words.len() {
        1 => "Size this conductor and its return".to_owned(),
        count => format!("Size the {count} conductors of this circuit and their return"),
    };
    Some(Group {
        words,
        lines,
        now: own.value,
        label,
    })
}

/// All the cores of a multicore.
fn of_cores(plan: &Plan, part: PartId) -> Option<Group> {
    let named = plan.model.parts.get(part.0 as usize)?;
    let thing = plan.sources.thing(named.thing)?;
    let arg = thing
        .fact(Key::Section)?
        .args
        .iter()
        .find_map(|arg| match arg {
            Arg::Size(size) => Some(*size),
            _ => None,
        })?;
    let conductors = plan.wiring.conductors.iter();
    let own = conductors.filter(|conductor| conductor.core.is_some_and(|(of, _)| of == part));
    let mut lines: BTreeSet<Site> = own.map(|conductor| conductor.site).collect();
    lines.insert(plan.sources.name_site(named.thing));
    Some(Group {
        words: vec![named.thing.at(arg.span)],
        lines,
        now: arg.value,
        label: format!("Size the cores of {}", named.name),
    })
}

/// The next smaller size of a series, as it is written.
#[cfg(test)]
pub(super) fn one_smaller(plan: &Plan, written: &str) -> Option<String> {
    let series = |like| series(plan, like).collect::<Vec<Size>>();
    let both = [series(Size::Mm2(1.0)), series(Size::Awg(10))];
    both.iter().find_map(|series| {
        let place = series.iter().position(|size| size.ascii() == written)?;
        series.get(place.checked_sub(1)?).map(|size| size.ascii())
    })
}

/// Whether a draft fails a check on a task's conductors.
#[cfg(test)]
pub(super) fn fails(before: &Tally, after: &Plan, task: Task) -> bool {
    let group = match task {
        Task::Size(whose, step) => of_step(after, whose, step),
        Task::SizeCores(part) => of_cores(after, part),
        _ => None,
    };
    group.is_none_or(|group| failing(before, after, &group).is_some())
}
