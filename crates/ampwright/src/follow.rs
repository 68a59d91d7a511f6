//! `follow`: a load's circuit as a finger would trace it, with the volts at each step.

use std::{io::Write, path::PathBuf};

use ampwright_assist::way::{self, Way, When};
use ampwright_plan::{Plan, nearest::nearest, study::rule::Solved};
use anyhow::{Context, bail};

use crate::{cli::FollowArgs, gather, out::Outcome, texts};

/// Follows a load.
pub(crate) fn run(args: &FollowArgs, out: &mut dyn Write) -> anyhow::Result<Outcome> {
    let plan = plan_at(&args.plan)?;
    let draw = draw(&plan, &args.load)?;
    let when = match &args.case {
        Some(case) => moment(&plan, case)?,
        None => way::worst(&plan, draw),
    };
    refuse_what_is_off(&plan, draw, when)?;
    let way = Way::of(&plan, draw, when).with_context(|| {
        format!(
            "no closed way leads from a source to {} and back, {}; ampwright check says more",
            args.load,
            when.name(&plan, draw)
        )
    })?;
    writeln!(out, "{}", way.with_wired(&plan).table(&plan).plain())?;
    Ok(Outcome::Clean)
}

/// The one plan at a path.
pub(crate) fn plan_at(path: &PathBuf) -> anyhow::Result<Plan> {
    let here = texts::here();
    let gathered = gather::gather(std::slice::from_ref(path));
    if let Some((path, why)) = gathered.unread.first() {
        bail!("cannot read {}: {why}", texts::from(&here, path));
    }
    let mut plans = gathered.plans;
    let Some(plan) = plans.pop() else {
        bail!("there is no plan in {}", texts::from(&here, path));
    };
    if let Some(other) = plans.first() {
        bail!(
            "there are several plans in {}: name one, as in {}",
            texts::from(&here, path),
            texts::from(&here, &other.path())
        );
    }
    Ok(Plan::of(plan.sources))
}

fn draw(plan: &Plan, name: &str) -> anyhow::Result<u32> {
    let draws = &plan.wiring.draws;
    let named = |part| &*plan.model.get(part).name;
    if let Some(found) = draws.iter().position(|draw| named(draw.part) == name) {
        return Ok(found as u32);
    }
    if plan.model.part(name).is_some() {
        bail!("{name} is no load: follow a load, a socket or a converter");
    }
    let loads: Vec<&str> = draws.iter().map(|draw| named(draw.part)).collect();
    bail!("{}", unknown("load", name, &loads))
}

fn moment(plan: &Plan, name: &str) -> anyhow::Result<When> {
    if name == ALONE {
        return Ok(When::Alone);
    }
    let cases = &plan.model.cases.list;
    let mut moments = 0..plan.study.rule.moments.len();
    let found = moments.find(|&index| plan.moment_name(index) == name);
    found.map(When::Moment).with_context(|| {
        let cases = cases.iter().map(|case| &*case.name);
        unknown(
            "case",
            name,
            &cases.chain([EVERYTHING, ALONE]).collect::<Vec<_>>(),
        )
    })
}

/// A load that is off loses nothing, and its table would say no more.
fn refuse_what_is_off(plan: &Plan, draw: u32, when: When) -> anyhow::Result<()> {
    let moments = &plan.study.rule.moments;
    let runs = |solved: &Solved| solved.moment.draws.iter().any(|&(on, _)| on == draw);
    if let When::Moment(index) = when
        && !moments.get(index).is_some_and(runs)
    {
        let name = &plan.model.get(plan.wiring.draws[draw as usize].part).name;
        let others = (0..moments.len()).filter(|&index| runs(&moments[index]));
        let others: Vec<String> = others
            .map(|index| plan.moment_name(index))
            .chain([ALONE.to_owned()])
            .collect();
        bail!(
            "{name} is off in {}; follow it in {}",
            when.name(plan, draw),
            others.join(", ")
        );
    }
    Ok(())
}

/// Words for moments that need no case.
const EVERYTHING: &str = "everything";
const ALONE: &str = "alone";

fn unknown(what: &str, name: &str, known: &[&str]) -> String {
    match nearest(name, known.iter().copied()) {
        Some(near) => format!("there is no {what} called {name}; did you mean {near}?"),
        None if known.is_empty() => format!("there is no {what} in this plan"),
        None => format!(
            "there is no {what} called {name}; there are {}",
            known.join(", ")
        ),
    }
}
