//! A conductor: what it carries, what it loses, what it may carry, and what protects it.

use ampwright_electrics::ampacity::Ampacity;
use ampwright_plan::{
    Plan, Site, say,
    study::{
        cables::{Cable, DesignBy},
        moments::{Label, Stand},
        rule::{OneByOne, Solved},
    },
    wiring::{Conductor, Way},
};

use petgraph::graph::EdgeIndex;

use crate::{
    doc::{Doc, Line, Table},
    phrase, unfold,
};

/// What a conductor's line says.
pub(super) fn line(plan: &Plan, site: Site) -> Option<Doc> {
    let index = made_by(plan, site).find(|&index| !plan.wiring.conductors[index as usize].made)?;
    Some(doc(plan, index))
}

/// What `back` made: each conductor in short, and the first in full.
pub(super) fn back(plan: &Plan, site: Site) -> Option<Doc> {
    let made: Vec<u32> = made_by(plan, site).collect();
    let first = *made.first()?;
    if made.len() == 1 {
        return Some(doc(plan, first));
    }
    let mut doc = Doc::default();
    doc.heading(format!("The way back, {} conductors", made.len()));
    let mut table = Table::new(&["conductor", "to", "mark", "carries", "may carry"]);
    for index in made.iter().take(super::MOST) {
        let conductor = &plan.wiring.conductors[*index as usize];
        let cable = &plan.study.cables[*index as usize];
        table.row([
            phrase::conductor(plan, conductor).into(),
            phrase::node(plan, conductor.to).into(),
            Line::default().code(&*conductor.mark),
            phrase::amps(cable.design.amps).into(),
            cable
                .ampacity
                .as_ref()
                .map_or_else(Line::default, |may| phrase::amps(may.value.0).into()),
        ]);
    }
    doc.table(table);
    doc.join(self::doc(plan, first));
    Some(doc)
}

fn made_by(plan: &Plan, site: Site) -> impl Iterator<Item = u32> {
    let conductors = plan.wiring.conductors.iter().enumerate();
    conductors
        .filter(move |(_, conductor)| conductor.site == site)
        .map(|(index, _)| index as u32)
}

/// All about one conductor.
pub(super) fn doc(plan: &Plan, index: u32) -> Doc {
    let mut doc = Doc::default();
    let (Some(conductor), Some(cable)) = (
        plan.wiring.conductors.get(index as usize),
        plan.study.cables.get(index as usize),
    ) else {
        return doc;
    };
    doc.heading(phrase::conductor(plan, conductor));
    doc.say(ends(plan, conductor));
    let rows = rows(plan, index, conductor);
    doc.table(table(plan, conductor, &rows));
    doc.say(formula(plan, index, conductor, &rows));
    doc.say(carries(plan, cable));
    if let Some(ampacity) = &cable.ampacity {
        doc.list(steps(ampacity));
    }
    if let Some(published) = &cable.published {
        let may = phrase::amps(published.value.0);
        doc.say(format!(
            "That is from memory; by the published table it may carry {may}:"
        ));
        doc.list(steps(published));
    }
    doc.say(lies(plan, conductor, cable));
    doc.say(warmth(plan, index, cable));
    doc.say(protection(plan, index));
    if let Some(at) = plan.study.faults.conductor(index) {
        doc.say(super::fault::conductor(plan, at));
    }
    doc
}

fn ends(plan: &Plan, conductor: &Conductor) -> Line {
    let made = match (conductor.made, conductor.mark_made) {
        (true, _) => ", made by back",
        (false, true) => ", a made mark",
        (false, false) => "",
    };
    Line::from(format!(
        "From {} to {}, mark ",
        phrase::node(plan, conductor.from),
        phrase::node(plan, conductor.to)
    ))
    .code(&*conductor.mark)
    .text(format!("{made}."))
}

/// What one moment asks of a conductor.
struct Row {
    moment: String,
    amps: f64,
    drop: f64,
    /// From the source's post to its far end.
    up_to: f64,
}

/// The cases, everything at its most, and the load and the source that ask the most alone.
fn rows(plan: &Plan, index: u32, conductor: &Conductor) -> Vec<Row> {
    let ohms = plan
        .study
        .base
        .rule_ohms
        .get(index as usize)
        .copied()
        .flatten();
    let ohms = ohms.filter(|_| !is_link(plan, index)).unwrap_or(0.0);
    let edge = conductor.edge.index();
    let in_moments = moments(plan, edge).into_iter();
    let in_moments = in_moments.map(|(moment, amps)| (DesignBy::Moment(moment), amps));
    in_moments
        .chain(one_by_one(plan, edge))
        .map(|(by, amps)| Row {
            moment: match by {
                DesignBy::Panels(panels, stand) => plan.sun_name(panels, stand),
                _ => phrase::asked_by(plan, by),
            },
            amps,
            drop: amps * ohms,
            up_to: up_to(plan, conductor, by),
        })
        .collect()
}

/// The cases in which a current flows, and the variant of everything in which the most does.
fn moments(plan: &Plan, edge: usize) -> Vec<(usize, f64)> {
    let is_case = |solved: &Solved| matches!(solved.moment.label, Label::Case(_));
    let amps = |solved: &Solved| solved.amps.get(edge).copied().unwrap_or(0.0).abs();
    let all = || plan.study.rule.moments.iter().enumerate();
    let cases = all()
        .filter(|(_, solved)| is_case(solved))
        .map(|(index, solved)| (index, amps(solved)));
    let rest = all()
        .filter(|(_, solved)| !is_case(solved))
        .map(|(index, solved)| (index, amps(solved)));
    let most = rest.reduce(|most, next| if next.1 > most.1 + 1e-9 { next } else { most });
    cases.chain(most).filter(|(_, amps)| *amps > 1e-9).collect()
}

/// The load and the charging source that ask the most of a conductor alone.
fn one_by_one(plan: &Plan, edge: usize) -> Vec<(DesignBy, f64)> {
    let rule = &plan.study.rule;
    let most = |list: &OneByOne, asks: fn(u32, Stand) -> DesignBy| {
        let (amps, by, stand) = rule.most(list, EdgeIndex::new(edge))?;
        Some((asks(by, stand), amps))
    };
    let each = [
        most(&rule.alone, DesignBy::Alone),
        most(&rule.charging, DesignBy::Charging),
        most(&rule.panels, DesignBy::Panels),
        most(&rule.controllers, DesignBy::Controllers),
    ];
    each.into_iter().flatten().collect()
}

/// What is lost between the source and a conductor's far end, V.
fn up_to(plan: &Plan, conductor: &Conductor, by: DesignBy) -> f64 {
    let solved = plan.solved_by(by);
    let volts = |node: petgraph::graph::NodeIndex| {
        let solved = solved.as_ref();
        let volts = solved.and_then(|solved| solved.volts.get(node.index()));
        volts.copied().unwrap_or(0.0).abs()
    };
    volts(conductor.from).max(volts(conductor.to))
}

fn table(plan: &Plan, conductor: &Conductor, rows: &[Row]) -> Table {
    let nominal = phrase::island_volts(plan, conductor.from);
    let lost = |volts: f64| {
        Line::from(format!(
            "{}, {}",
            say::volts(volts),
            say::percent(100.0 * volts / nominal)
        ))
    };
    let far_end = if conductor.way == Way::Home {
        "from here home"
    } else {
        "up to here"
    };
    let mut table = Table::new(&["by the rule", "current", "lost here", far_end]);
    for row in rows.iter().take(super::MOST) {
        table.row([
            row.moment.as_str().into(),
            phrase::amps(row.amps).into(),
            lost(row.drop),
            lost(row.up_to),
        ]);
    }
    table
}

/// The rule's formula with the numbers of the moment that asks the most.
fn formula(plan: &Plan, index: u32, conductor: &Conductor, rows: &[Row]) -> String {
    if is_link(plan, index) {
        return "A link inside a bank: by the rule it loses nothing, and it must carry the bank's whole current.".to_owned();
    }
    // Of equal ones the first, which is a case where there is one.
    let most = rows.iter().rev().max_by(|a, b| a.amps.total_cmp(&b.amps));
    let Some(most) = most else {
        return String::new();
    };
    let Some(step) = unfold::drop_step(plan, conductor, most.amps, &most.moment) else {
        return String::new();
    };
    let row = if conductor.spread > 0.0 {
        format!(
            " Its lamps sit along {} of it, so that half of these count.",
            say::metres(conductor.spread)
        )
    } else {
        String::new()
    };
    format!("{}.{row}", phrase::sentence(&step.line()))
}

fn carries(plan: &Plan, cable: &Cable) -> Line {
    let asked = format!(
        "It has to carry {}, in {}",
        phrase::amps(cable.design.amps),
        phrase::asked_by(plan, cable.design.by)
    );
    match &cable.ampacity {
        Some(ampacity) => Line::from(format!("{asked}. It may carry "))
            .strong(phrase::amps(ampacity.value.0))
            .text(":"),
        None => Line::from(format!(
            "{asked}. What it may carry is not known without its size."
        )),
    }
}

fn steps(ampacity: &Ampacity) -> Vec<Line> {
    let steps = unfold::ampacity_steps(ampacity).into_iter();
    steps.map(|step| step.line().into()).collect()
}

fn lies(plan: &Plan, conductor: &Conductor, cable: &Cable) -> String {
    let named = conductor
        .cable
        .and_then(|cable| plan.model.cables.list.get(cable as usize));
    let what = match (named, cable.stuff.insulation_assumed) {
        (Some(named), _) => format!(" Its cable is {}.", named.name),
        (None, true) => {
            " Its cable is not named: tinned, flexible, insulation 70 °C (common practice)."
                .to_owned()
        }
        (None, false) => String::new(),
    };
    let assumed = if named.is_some() && cable.stuff.insulation_assumed {
        " The cable's insulation is not said: 70 °C (common practice)."
    } else {
        ""
    };
    format!(
        "It lies at {}.{what}{assumed}",
        phrase::ambient(plan, cable)
    )
}

/// How warm it grows as wired, with the sum.
fn warmth(plan: &Plan, index: u32, cable: &Cable) -> String {
    let carried = plan.study.wired.carried.get(index as usize);
    let step = unfold::warm_step(plan, index);
    carried.zip(step).map_or_else(String::new, |(carried, step)| {
        format!(
            "As wired it carries at most {}, in {}, and grows to {}: {} ({}). Its insulation bears {}.",
            phrase::amps(carried.amps),
            phrase::asked_by(plan, carried.by),
            step.value,
            step.worked,
            step.cites(),
            say::figure(cable.stuff.insulation, "°C"),
        )
    })
}

fn protection(plan: &Plan, index: u32) -> String {
    let protection = &plan.study.protection;
    let sustained = protection.sustained.get(index as usize).copied().flatten();
    let home = protection
        .returns
        .get(index as usize)
        .and_then(|home| home.as_ref());
    match (sustained, home) {
        (Some(found), _) if found.amps.is_infinite() => unprotected(plan, index),
        (Some(found), _) => format!(
            "Protected by {}: into a short {} can flow for ever{}.",
            device(plan, found.device),
            phrase::amps(found.amps),
            allowed(plan, index)
        ),
        (None, Some(found)) => format!(
            "A return, protected by {} of a circuit that comes home through it: {} can flow for ever{}.",
            device(plan, found.1),
            phrase::amps(found.0),
            allowed(plan, index)
        ),
        (None, None) => String::new(),
    }
}

fn device(plan: &Plan, contact: Option<u32>) -> String {
    let contact = contact.and_then(|index| plan.wiring.contacts.get(index as usize));
    contact.map_or_else(
        || "what its source gives".to_owned(),
        |contact| phrase::device(&plan.circuit(), contact),
    )
}

fn allowed(plan: &Plan, index: u32) -> String {
    let cable = plan.study.cables.get(index as usize);
    let ceiling = cable.map(|cable| plan.circuit().ceiling_of(cable).strict());
    ceiling
        .filter(|amps| amps.is_finite())
        .map_or_else(String::new, |amps| {
            format!(
                "; {} are allowed, {}",
                phrase::amps(amps),
                phrase::ceiling(plan)
            )
        })
}

/// A conductor that no device stands before, and how far that may be.
fn unprotected(plan: &Plan, index: u32) -> String {
    let protection = &plan.study.protection;
    if is_link(plan, index) {
        return "Inside a bank no device stands between it and a battery.".to_owned();
    }
    if protection.cranking.contains(&index) {
        return "A cranking feed: exempt from a device.".to_owned();
    }
    let nothing = "No device stands between it and a battery";
    let allowed = plan.circuit().distance_of(index).strict();
    match farthest(plan, index).filter(|_| allowed.is_finite()) {
        Some(metres) if metres <= allowed + 1e-6 => format!(
            "{nothing}: it ends {} from the post, and {} are allowed.",
            say::metres(metres),
            say::metres(allowed)
        ),
        Some(metres) => format!(
            "{nothing}: it reaches {} from the post, and only {} are allowed.",
            say::metres(metres),
            say::metres(allowed)
        ),
        None => format!("{nothing}."),
    }
}

/// A conductor's farthest point from a battery's post, m.
fn farthest(plan: &Plan, index: u32) -> Option<f64> {
    let conductor = plan.wiring.conductors.get(index as usize)?;
    let metres = conductor.metres?;
    let from_post = |node: petgraph::graph::NodeIndex| {
        plan.study
            .protection
            .from_post
            .get(node.index())
            .copied()
            .flatten()
    };
    match (from_post(conductor.from), from_post(conductor.to)) {
        (Some(a), Some(b)) => Some((a + b + metres) / 2.0),
        (Some(one), None) | (None, Some(one)) => Some(one + metres),
        (None, None) => None,
    }
}

fn is_link(plan: &Plan, index: u32) -> bool {
    plan.study
        .base
        .banks
        .link_of
        .get(index as usize)
        .copied()
        .flatten()
        .is_some()
}
