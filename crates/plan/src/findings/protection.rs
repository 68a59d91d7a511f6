//! The family *protection*: what interrupts a fault, and what disconnects the boat.

use std::fmt::Write;

use ampwright_notation::{Key, Kind};
use petgraph::graph::NodeIndex;
use rustc_hash::FxHashSet;

use super::{Desk, registry::Code};
use crate::{
    finding::{Finding, Severity},
    model::PartId,
    say,
    site::Site,
    study::{
        cables::contact_design,
        protect::{Exceeded, Unfused},
        reach::{Direction, Net, search, way_to},
    },
    wiring::{Contact, Device, DrawKind, Link, Rest, SupplyKind, Term},
};

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let protection = &desk.plan.study.protection;
    found.extend(
        protection
            .unfused
            .iter()
            .map(|unfused| unfused_run(desk, unfused)),
    );
    found.extend(
        protection
            .exceeded
            .iter()
            .map(|exceeded| fuse_exceeds(desk, exceeded)),
    );
    fuse_below_load(desk, found);
    device_in_return(desk, found);
    let opened = Opened::of(desk);
    back_fed(desk, &opened, found);
    no_isolator(desk, &opened, found);
}

fn unfused_run(desk: &Desk<'_>, unfused: &Unfused) -> Finding {
    let plan = desk.plan;
    let site = plan.wiring.conductors[unfused.conductor as usize].site;
    let post = desk.node_name(unfused.post);
    let allowed = say::metres(unfused.allowed);
    let mut message = if unfused.direct {
        format!(
            "No fuse or breaker stands between {post} and what this conductor feeds: put one within {allowed} of the post."
        )
    } else {
        format!(
            "No fuse or breaker stands between {post} and this conductor, which reaches {} from it; within {allowed} of the post there has to be one.",
            say::metres(unfused.farthest),
        )
    };
    let lost = unfused
        .lost
        .map(|(contact, metres)| (&plan.wiring.contacts[contact as usize], metres));
    if unfused.tap {
        message = format!(
            "This conductor leaves a cranking cable, which has no fuse or breaker; its own stands within {allowed} of there, but {} from {post}: better within {allowed} of the post itself.",
            say::metres(unfused.farthest),
        );
    } else if let Some((contact, metres)) = lost {
        let name = capital(&desk.circuit.contact_name(contact));
        let stands = say::metres(metres);
        let _ = write!(
            message,
            " {name} stands {stands} from the post: move it to within {allowed}."
        );
    }
    let severity = unfused.severity;
    let mut finding = Finding::new(Code::UnfusedRun, site, message)
        .at(severity)
        .measuring(unfused.reaches, unfused.allowed, "m");
    if let Some((contact, _)) = lost {
        finding = finding.beside(contact.site, "the nearest device");
    }
    for &other in &unfused.others {
        finding = finding.beside(
            plan.wiring.conductors[other as usize].site,
            "nothing protects this either",
        );
    }
    finding.related.dedup();
    finding
}

fn fuse_exceeds(desk: &Desk<'_>, exceeded: &Exceeded) -> Finding {
    let plan = desk.plan;
    let conductor = &plan.wiring.conductors[exceeded.conductor as usize];
    let size = conductor
        .size
        .map_or_else(String::new, |size| format!("{} ", say::size(size)));
    let contact = exceeded
        .device
        .map(|device| &plan.wiring.contacts[device as usize]);
    let through = match contact {
        Some(contact)
            if contact
                .protects
                .is_some_and(|rating| (rating - exceeded.amps).abs() < 1e-6) =>
        {
            format!(
                "{} lets {} through for ever",
                desk.circuit.contact_name(contact),
                say::amps(exceeded.amps)
            )
        }
        Some(contact) => format!(
            "{} and what else feeds it let {} through for ever",
            desk.circuit.contact_name(contact),
            say::amps(exceeded.amps)
        ),
        None => format!("What feeds it gives {} for ever", say::amps(exceeded.amps)),
    };
    let message = format!(
        "{}, and this {size}conductor may be protected by at most {}.",
        capital(&through),
        say::amps(exceeded.allowed),
    );
    let mut finding = Finding::new(Code::FuseExceedsConductor, conductor.site, message)
        .at(exceeded.severity)
        .measuring(exceeded.amps, exceeded.allowed, "A");
    if let Some(contact) = contact {
        finding = finding.beside(contact.site, "the device");
    }
    for &other in &exceeded.others {
        finding = finding.beside(
            plan.wiring.conductors[other as usize].site,
            "behind the same device",
        );
    }
    finding
}

/// A sentence begins with a capital, but a part's name stays as it is written.
pub(super) fn capital(text: &str) -> String {
    match text.strip_prefix("the ") {
        Some(rest) => format!("The {rest}"),
        None => text.to_owned(),
    }
}

/// The device opens in use. What only `everything` asks for is softened.
fn fuse_below_load(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for contact in &desk.plan.wiring.contacts {
        let Some(rating) = contact.protects.filter(|rating| *rating > 0.0) else {
            continue;
        };
        let design = contact_design(&desk.plan.study.rule, contact.edge);
        if design.amps <= rating + 1e-6 {
            continue;
        }
        let message = format!(
            "{} is rated {} and has to carry {} in {}: it opens in use.",
            capital(&desk.circuit.contact_name(contact)),
            say::amps(rating),
            say::amps(design.amps),
            desk.plan.asked_by(design.by),
        );
        let severity = desk.soften_design(&design, rating, Severity::Error);
        found.push(
            Finding::new(Code::FuseBelowLoad, contact.site, message)
                .at(severity)
                .measuring(design.amps, rating, "A"),
        );
    }
}

/// A fuse, or a single-pole switch or isolator alone, in a return.
fn device_in_return(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let circuit = &desk.circuit;
    for contact in &desk.plan.wiring.contacts {
        let breaks = contact.protects.is_some()
            || matches!(
                contact.device,
                Device::Isolator | Device::Switch | Device::Relay | Device::Selector(_)
            );
        let ends = [contact.feed, contact.out];
        let home_only = ends.iter().any(|end| circuit.home[end.index()].is_some())
            && ends.iter().all(|end| circuit.live[end.index()].is_none());
        let two_pole = circuit.facts(contact.part).has(Key::TwoPole);
        if !breaks || !home_only || two_pole {
            continue;
        }
        let name = capital(&circuit.contact_name(contact));
        let message = format!(
            "{name} interrupts the return: with it open everything behind it stays live. Move it to the positive side."
        );
        found.push(Finding::new(Code::DeviceInReturn, contact.site, message));
    }
}

/// What stays live with every isolator open.
struct Opened {
    live: Net,
    /// What lies on the `out` side of an isolator that is normally closed.
    isolated: Net,
}

impl Opened {
    fn of(desk: &Desk<'_>) -> Self {
        let circuit = &desk.circuit;
        let passes = |_: petgraph::graph::EdgeIndex, link: &Link| match link {
            Link::Conductor(index) => {
                circuit.wiring.graph[circuit.wiring.conductors[*index as usize].from].term
                    != Term::Unknown
            }
            Link::Contact(index) => !isolates(desk, &circuit.wiring.contacts[*index as usize]),
            _ => false,
        };
        let batteries = circuit
            .wiring
            .supplies
            .iter()
            .enumerate()
            .filter(|(_, supply)| supply.kind == SupplyKind::Battery);
        let posts: Vec<(NodeIndex, u32, f64)> = batteries
            .map(|(index, supply)| (supply.plus, index as u32, 0.0))
            .collect();
        let isolators = circuit
            .wiring
            .contacts
            .iter()
            .enumerate()
            .filter(|(_, contact)| isolates(desk, contact) && contact.rest != Rest::Open);
        // A selector's common is its out side.
        let outs: Vec<(NodeIndex, u32, f64)> = isolators
            .map(|(index, contact)| (contact.out, index as u32, 0.0))
            .collect();
        Self {
            live: search(circuit.wiring, &posts, Direction::Out, passes),
            isolated: search(circuit.wiring, &outs, Direction::Out, passes),
        }
    }
}

/// An isolator, or a selector that has an off.
fn isolates(desk: &Desk<'_>, contact: &Contact) -> bool {
    match contact.device {
        Device::Isolator => true,
        Device::Selector(_) => {
            let positions = desk
                .plan
                .wiring
                .selectors
                .iter()
                .find(|(part, _)| *part == contact.part);
            positions
                .is_some_and(|(_, list)| list.contains(&ampwright_notation::tree::Position::Off))
        }
        _ => false,
    }
}

fn back_fed(desk: &Desk<'_>, opened: &Opened, found: &mut Vec<Finding>) {
    let plan = desk.plan;
    for (id, part) in plan.model.ids() {
        let bar = match part.kind {
            Kind::Panel => plan.wiring.terminal(id, Term::Feed(1)),
            Kind::Busbar if desk.circuit.facts(id).word(Key::Polarity) == Some("positive") => {
                plan.wiring.terminal(id, Term::Bar)
            }
            _ => None,
        };
        let Some(bar) = bar else { continue };
        if opened.live[bar.index()].is_none() || opened.isolated[bar.index()].is_none() {
            continue;
        }
        let message = format!(
            "{} stays live with every isolator open: something feeds it round them.",
            part.name
        );
        let mut finding = Finding::new(Code::BackFed, desk.name_site(id), message);
        if let Some(conductor) =
            way_to(&opened.live, bar).find_map(|(edge, _)| desk.circuit.conductor_of(edge))
        {
            finding = finding.beside(
                plan.wiring.conductors[conductor as usize].site,
                "fed by this",
            );
        }
        found.push(finding);
    }
}

/// Loads joined to a battery with no isolator between: one finding for one battery or bank.
fn no_isolator(desk: &Desk<'_>, opened: &Opened, found: &mut Vec<Finding>) {
    let plan = desk.plan;
    let mut by_bank: std::collections::BTreeMap<u32, Vec<u32>> = std::collections::BTreeMap::new();
    for draw in 0..plan.wiring.draws.len() as u32 {
        let wired = &plan.wiring.draws[draw as usize];
        let Some(reach) = opened.live[wired.plus.index()] else {
            continue;
        };
        if wired.kind == DrawKind::Coil
            || opened.isolated[wired.plus.index()].is_some()
            || may_bypass(desk, opened, draw)
        {
            continue;
        }
        let bank = plan
            .study
            .base
            .banks
            .of_supply
            .get(&reach.source)
            .copied()
            .unwrap_or(0);
        by_bank.entry(bank).or_default().push(draw);
    }
    for (bank, draws) in by_bank {
        found.push(not_isolated(desk, bank, &draws));
    }
}

fn not_isolated(desk: &Desk<'_>, bank: u32, draws: &[u32]) -> Finding {
    let plan = desk.plan;
    let bank = &plan.study.base.banks.list[bank as usize];
    let is_top = |supply: &&u32| {
        bank.tops
            .contains(&plan.wiring.supplies[**supply as usize].plus)
    };
    let battery = bank
        .supplies
        .iter()
        .find(is_top)
        .map(|&supply| plan.wiring.supplies[supply as usize].part);
    let name_of = |draw: u32| {
        plan.model
            .get(plan.wiring.draws[draw as usize].part)
            .name
            .to_string()
    };
    let first = draws
        .first()
        .map_or_else(String::new, |&draw| name_of(draw));
    let many = if draws.len() > 1 {
        format!("{first} and {} more are", draws.len() - 1)
    } else {
        format!("{first} is")
    };
    let battery_name = battery.map_or_else(String::new, |battery| {
        plan.model.get(battery).name.to_string()
    });
    let message = format!(
        "{many} joined to {battery_name} with no isolator between; put one in the positive close to the battery, or say bypasses-isolator on the run that goes round it on purpose."
    );
    let site = draws.first().map_or_else(Site::nowhere, |&draw| {
        desk.name_site(plan.wiring.draws[draw as usize].part)
    });
    let severity = if plan.model.parts.iter().any(|part| part.kind == Kind::Panel) {
        Severity::Warning
    } else {
        Severity::Advice
    };
    let mut finding = Finding::new(Code::NoIsolator, site, message).at(severity);
    for &draw in draws.iter().skip(1) {
        finding = finding.beside(
            desk.name_site(plan.wiring.draws[draw as usize].part),
            "not isolated either",
        );
    }
    finding
}

/// A class that may go round the isolator with its own device, or a run that says so.
fn may_bypass(desk: &Desk<'_>, opened: &Opened, draw: u32) -> bool {
    let plan = desk.plan;
    let wired = &plan.wiring.draws[draw as usize];
    let class = plan.study.base.class[draw as usize];
    let by_rule = plan
        .study
        .base
        .rules
        .bypass(class)
        .is_some_and(|may| may.value);
    let mut fused = false;
    let mut runs: FxHashSet<u32> = FxHashSet::default();
    for (edge, _) in way_to(&opened.live, wired.plus) {
        match plan.wiring.graph.edge_weight(edge) {
            Some(Link::Conductor(index)) => {
                runs.insert(plan.wiring.conductors[*index as usize].run);
            }
            Some(Link::Contact(index)) => {
                fused |= plan.wiring.contacts[*index as usize].protects.is_some();
            }
            _ => {}
        }
    }
    let says_so = |run: &u32| {
        let thing = plan
            .sources
            .thing(plan.model.runs.list[*run as usize].thing);
        thing.is_some_and(|thing| {
            thing
                .facts
                .iter()
                .any(|fact| fact.key == Key::BypassesIsolator)
        })
    };
    let starter = class == ampwright_electrics::rules::LoadClass::Starter && by_rule;
    (by_rule && (fused || starter)) || (fused && runs.iter().any(says_so))
}

impl Desk<'_> {
    /// The words of a part's name.
    pub(crate) fn name_site(&self, part: PartId) -> Site {
        let at = self.plan.model.get(part).thing;
        let span = self
            .plan
            .sources
            .thing(at)
            .and_then(|thing| thing.name.as_ref())
            .map_or_else(Default::default, |name| name.span);
        at.at(span)
    }

    /// A terminal for people: `house-1 +`.
    pub(crate) fn node_name(&self, node: NodeIndex) -> String {
        crate::wiring::node_name(self.plan, node)
    }
}
