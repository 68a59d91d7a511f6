//! A load: its way there and back, and its volts in each moment.

use std::fmt::Write as _;

use ampwright_notation::Key;
use ampwright_plan::{
    PartId, Plan, say,
    wiring::{DrawKind, Law},
};

use crate::{
    doc::{Doc, Line, Table},
    phrase,
    way::{self, Way},
};

/// All about a load, a socket or an inverter.
pub(super) fn load(plan: &Plan, part: PartId) -> Doc {
    let named = plan.model.get(part);
    let facts = plan.model.facts(&plan.sources, part);
    let mut doc = super::head(plan, &named.name, named.kind, named.thing);
    if let Some(&draw) = plan.study.base.draw_of.get(&part) {
        doc.say(takes(plan, draw));
        circuit(plan, draw, &mut doc);
        doc.table(volts(plan, draw));
        doc.say(super::fault::load(plan, draw));
        doc.say(as_wired(plan, draw));
        doc.say(crate::day::load(plan, draw));
    }
    if let Some(minimum) = facts.amount(Key::Minimum) {
        doc.say(format!("It needs at least {}.", say::nominal(minimum)));
    }
    super::defaults(&mut doc, named.kind, &facts);
    doc
}

fn takes(plan: &Plan, draw: u32) -> String {
    let Some(wired) = plan.wiring.draws.get(draw as usize) else {
        return String::new();
    };
    let amps = phrase::amps(plan.circuit().nominal_amps(draw));
    let critical = plan
        .study
        .base
        .critical
        .get(draw as usize)
        .copied()
        .unwrap_or(false);
    let vital = if critical {
        " It counts as vital to safety."
    } else {
        ""
    };
    let takes = match wired.law {
        _ if wired.kind == DrawKind::Socket => {
            format!("It gives up to {amps}; it draws nothing unless a case says how much.")
        }
        Some(Law::Amps(_)) => format!("It takes {amps}."),
        Some(Law::Watts(watts)) => format!(
            "It takes {} W, {amps} at {}.",
            ampwright_notation::units::plain(watts),
            say::nominal(plan.circuit().draw_volts(draw))
        ),
        Some(Law::Ohms(ohms)) => format!(
            "It has {} Ω, {amps} at {}.",
            ampwright_notation::units::plain(ohms),
            say::nominal(plan.circuit().draw_volts(draw))
        ),
        None => return "What it takes is not said.".to_owned(),
    };
    format!("{takes}{vital}")
}

/// The whole circuit, seen at once.
pub(super) fn circuit(plan: &Plan, draw: u32, doc: &mut Doc) {
    let when = way::worst(plan, draw);
    let Some(way) = Way::of(plan, draw, when) else {
        doc.say("No closed way leads to it from a source and home again.");
        return;
    };
    let way = way.with_wired(plan);
    doc.say(format!(
        "Its way from the source and back, {}:",
        when.name(plan, draw)
    ));
    doc.table(way.brief());
    doc.say(way.verdict(plan));
}

/// Its volts in each moment that it is on in, by the rule and as wired.
fn volts(plan: &Plan, draw: u32) -> Table {
    let mut table = Table::new(&["by the rule", "current", "volts", "lost", "as wired"]);
    let nominal = plan.circuit().draw_volts(draw);
    for row in on(plan, draw).into_iter().chain(alone(plan, draw)) {
        table.row(
            [
                row.moment,
                phrase::amps(row.amps),
                say::volts(nominal - row.drop),
                say::percent(100.0 * row.drop / nominal),
                row.wired.map_or_else(String::new, say::volts),
            ]
            .map(Line::from),
        );
    }
    table
}

/// A draw in one moment.
struct Row {
    moment: String,
    /// A, by the rule.
    amps: f64,
    /// Lost by the rule, V.
    drop: f64,
    /// What it gets as wired, V.
    wired: Option<f64>,
}

/// The moments in which it is on.
fn on(plan: &Plan, draw: u32) -> Vec<Row> {
    let Some(ends) = plan.wiring.draws.get(draw as usize) else {
        return Vec::new();
    };
    let moments = plan.study.rule.moments.iter().enumerate();
    let on = moments.filter_map(|(index, solved)| {
        let (_, amps) = solved
            .moment
            .draws
            .iter()
            .find(|(other, _)| *other == draw)?;
        let powered = solved.powered.get(draw as usize).copied().unwrap_or(false);
        let answer = plan.study.wired.moments.get(index);
        let at = answer.and_then(|answer| answer.draws.iter().find(|at| at.draw == draw));
        powered.then(|| Row {
            moment: phrase::moment(plan, index),
            amps: *amps,
            drop: solved.drop_at(ends.plus, ends.minus),
            wired: at.map(|at| at.volts),
        })
    });
    on.take(super::MOST).collect()
}

fn alone(plan: &Plan, draw: u32) -> Option<Row> {
    let rule = &plan.study.rule;
    let powered = rule.ever_powered.get(draw as usize).copied()?;
    let drop = rule.alone_drop.get(draw as usize).copied()?;
    let alone = plan.study.wired.alone.get(draw as usize).copied().flatten();
    powered.then(|| Row {
        moment: "alone".to_owned(),
        amps: plan.circuit().nominal_amps(draw),
        drop,
        wired: alone.and_then(|alone| alone.volts),
    })
}

/// What it gets at the least, and on starting or on top of everything.
fn as_wired(plan: &Plan, draw: u32) -> String {
    let wired = &plan.study.wired;
    let lowest = wired.lowest.get(draw as usize).copied().flatten();
    let mut said = lowest.map_or_else(String::new, |lowest| {
        format!(
            "As wired, from a battery half charged and with its cables as warm as they grow, it gets least {}: {}.",
            plan.least_by(lowest.by),
            say::volts(lowest.volts)
        )
    });
    for top in wired.tops.iter().filter(|top| top.draw == draw) {
        let gets = match (top.delivered, top.exact) {
            (false, _) => "cannot get what it asks for".to_owned(),
            (true, true) => format!("gets {}", say::volts(top.volts)),
            (true, false) => format!("gets at least {}", say::volts(top.volts)),
        };
        let asks = phrase::amps(top.asks);
        let _ = write!(said, " Taking {asks} {} it {gets}.", plan.on_top(top));
    }
    said
}
