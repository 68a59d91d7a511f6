//! A load: its way there and back, and its volts in each moment.

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
fn circuit(plan: &Plan, draw: u32, doc: &mut Doc) {
    let when = way::worst(plan, draw);
    let Some(way) = Way::of(plan, draw, when) else {
        doc.say("No closed way leads to it from a source and home again.");
        return;
    };
    let way = way.with_wired(plan);
    doc.say(format!(
        "Its way from the source and back, {}:",
        when.name(plan)
    ));
    doc.table(way.brief());
    doc.say(way.verdict(plan));
}

/// Its volts in each moment that it is on in, by the rule.
fn volts(plan: &Plan, draw: u32) -> Table {
    let mut table = Table::new(&["by the rule", "current", "volts", "lost"]);
    let Some(wired) = plan.wiring.draws.get(draw as usize) else {
        return table;
    };
    let nominal = plan.circuit().draw_volts(draw);
    let mut row = |name: String, amps: f64, drop: f64| {
        table.row([
            name.into(),
            phrase::amps(amps).into(),
            say::volts(nominal - drop).into(),
            Line::from(say::percent(100.0 * drop / nominal)),
        ]);
    };
    let moments = plan.study.rule.moments.iter().enumerate();
    let on = moments.filter_map(|(index, solved)| {
        let (_, amps) = solved
            .moment
            .draws
            .iter()
            .find(|(other, _)| *other == draw)?;
        let powered = solved.powered.get(draw as usize).copied().unwrap_or(false);
        powered.then(|| (index, *amps, solved.drop_at(wired.plus, wired.minus)))
    });
    for (index, amps, drop) in on.take(super::MOST) {
        row(phrase::moment(plan, index), amps, drop);
    }
    if plan
        .study
        .rule
        .ever_powered
        .get(draw as usize)
        .copied()
        .unwrap_or(false)
    {
        let drop = plan
            .study
            .rule
            .alone_drop
            .get(draw as usize)
            .copied()
            .unwrap_or(0.0);
        row("alone".to_owned(), plan.circuit().nominal_amps(draw), drop);
    }
    table
}
