//! What protects and what switches: fuses, breakers, switches, panels and their ways.

use std::collections::BTreeMap;

use ampwright_plan::{
    PartId, Plan,
    study::{cables::contact_design, reach::way_to},
    wiring::{Contact, Device, Link},
};
use petgraph::graph::EdgeIndex;

use crate::{
    doc::{Doc, Line, Table},
    phrase,
};

/// All about a part that current passes through.
pub(super) fn device(plan: &Plan, part: PartId) -> Doc {
    let named = plan.model.get(part);
    let facts = plan.model.facts(&plan.sources, part);
    let mut doc = super::head(plan, &named.name, named.kind, named.thing);
    for (index, contact) in of_part(plan, part) {
        doc.say(carries(plan, contact));
        doc.say(feeds(plan, contact));
        doc.say(protects(plan, index, contact));
        doc.say(super::fault::device(plan, index, contact));
    }
    super::defaults(&mut doc, named.kind, &facts);
    doc
}

/// A way of a panel.
pub(super) fn way(plan: &Plan, panel: PartId, number: u32) -> Option<Doc> {
    let named = plan.model.get(panel);
    let mut doc = Doc::default();
    let thing = plan.model.facts(&plan.sources, panel).own();
    let written = thing.ways.iter().find(|way| way.number.value == number)?;
    let mut line = Line::default().code(format!("{} way {number}", named.name));
    if let Some(title) = &written.title {
        line = line.text(format!(" {}", title.value));
    }
    doc.heading(line);
    match of_part(plan, panel).find(|(_, contact)| number_of(contact) == Some(number)) {
        Some((index, contact)) => {
            doc.say(format!("{}.", phrase::device(&plan.circuit(), contact)));
            doc.say(carries(plan, contact));
            doc.say(feeds(plan, contact));
            doc.say(protects(plan, index, contact));
            doc.say(super::fault::device(plan, index, contact));
        }
        None => doc.say("Nothing stands in it yet."),
    }
    Some(doc)
}

/// A panel: what each of its ways feeds.
pub(super) fn panel(plan: &Plan, part: PartId) -> Doc {
    let named = plan.model.get(part);
    let facts = plan.model.facts(&plan.sources, part);
    let mut doc = super::head(plan, &named.name, named.kind, named.thing);
    let behind = behind(plan);
    let mut table = Table::new(&["way", "at most", "of"]);
    for (_, contact) in of_part(plan, part) {
        let Some(number) = number_of(contact) else {
            doc.say(carries(plan, contact));
            continue;
        };
        let rating = contact.protects.or(contact.carries);
        table.row([
            format!(
                "{number} {}",
                super::listed(behind.get(&contact.edge).map_or(&[], Vec::as_slice))
            )
            .into(),
            phrase::amps(contact_design(&plan.study.rule, contact.edge).amps).into(),
            rating.map_or_else(Line::default, |amps| phrase::amps(amps).into()),
        ]);
    }
    doc.table(table);
    super::defaults(&mut doc, named.kind, &facts);
    doc
}

fn of_part(plan: &Plan, part: PartId) -> impl Iterator<Item = (u32, &Contact)> {
    let contacts = plan.wiring.contacts.iter().enumerate();
    contacts
        .filter(move |(_, contact)| contact.part == part)
        .map(|(index, contact)| (index as u32, contact))
}

const fn number_of(contact: &Contact) -> Option<u32> {
    match contact.device {
        Device::WayFuse(number) | Device::WayBreaker(number) | Device::WaySwitch(number) => {
            Some(number)
        }
        _ => None,
    }
}

fn carries(plan: &Plan, contact: &Contact) -> String {
    let design = contact_design(&plan.study.rule, contact.edge);
    let rating = contact
        .protects
        .or(contact.carries)
        .map_or_else(String::new, |amps| {
            format!(" of its {}", phrase::amps(amps))
        });
    if design.amps <= 0.0 {
        return format!(
            "Nothing flows through {} in any moment.",
            phrase::device(&plan.circuit(), contact)
        );
    }
    format!(
        "It carries {}{rating} at most, in {}.",
        phrase::amps(design.amps),
        phrase::asked_by(plan, design.by)
    )
}

/// The names of the loads whose way leads through each edge that is a contact.
fn behind(plan: &Plan) -> BTreeMap<EdgeIndex, Vec<String>> {
    let base = &plan.study.base;
    let mut behind: BTreeMap<EdgeIndex, Vec<String>> = BTreeMap::new();
    for (index, draw) in plan.wiring.draws.iter().enumerate() {
        let out = way_to(&base.live, draw.plus);
        for (edge, _) in out.chain(way_to(&base.home, draw.minus)) {
            if matches!(phrase::link(plan, edge), Some(Link::Contact(_))) {
                behind
                    .entry(edge)
                    .or_default()
                    .push(phrase::draw(plan, index as u32));
            }
        }
    }
    behind
}

/// The names of the loads whose way leads through one contact.
fn loads(plan: &Plan, through: EdgeIndex) -> Vec<String> {
    let base = &plan.study.base;
    let leads = |net, node| way_to(net, node).any(|(edge, _)| edge == through);
    let draws = plan.wiring.draws.iter().enumerate();
    draws
        .filter(|(_, draw)| leads(&base.live, draw.plus) || leads(&base.home, draw.minus))
        .map(|(index, _)| phrase::draw(plan, index as u32))
        .collect()
}

fn feeds(plan: &Plan, contact: &Contact) -> String {
    let loads = loads(plan, contact.edge);
    if loads.is_empty() {
        return "No load lies behind it.".to_owned();
    }
    format!("It feeds {}.", super::listed(&loads))
}

fn protects(plan: &Plan, index: u32, contact: &Contact) -> String {
    if contact.protects.is_none() {
        return String::new();
    }
    let sustained = plan.study.protection.sustained.iter().enumerate();
    let behind: Vec<usize> = sustained
        .filter(|(_, found)| found.is_some_and(|found| found.device == Some(index)))
        .map(|(conductor, _)| conductor)
        .collect();
    let marks: Vec<String> = behind
        .iter()
        .map(|&conductor| plan.wiring.conductors[conductor].mark.to_string())
        .collect();
    let least = behind
        .iter()
        .filter_map(|&conductor| plan.study.cables[conductor].ampacity.as_ref())
        .map(|ampacity| ampacity.value.0)
        .reduce(f64::min);
    match least {
        Some(least) => format!(
            "It protects {}, the weakest of which may carry {}.",
            super::listed(&marks),
            phrase::amps(least)
        ),
        None if marks.is_empty() => "It protects no conductor.".to_owned(),
        None => format!("It protects {}.", super::listed(&marks)),
    }
}
