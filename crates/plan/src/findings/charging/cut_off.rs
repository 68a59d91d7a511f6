//! Sources that may lose their battery: `alternator-cut-off`, `controller-cut-off`.
//!
//! Fuses, shunts and diodes are no switches; everything that a hand, a coil or a voltage can open
//! is one. Both sides count: a switch in the return takes the battery away as well.

use ampwright_notation::{Key, tree::Position};
use petgraph::graph::{EdgeIndex, NodeIndex};

use crate::{
    Circuit,
    finding::{Finding, Severity},
    findings::{Desk, registry::Code},
    site::Site,
    study::reach::{Direction, Net, search, way_to},
    wiring::{Contact, Device, Link, Supply, SupplyKind},
};

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let kinds = [SupplyKind::Alternator, SupplyKind::Controller];
    let supplies = desk.plan.wiring.supplies.iter().zip(0u32..);
    let mut sources = supplies
        .filter(|(one, _)| kinds.contains(&one.kind))
        .peekable();
    if sources.peek().is_none() {
        return;
    }
    let held = Held::of(&desk.circuit);
    found.extend(sources.filter_map(|(supply, _)| cut_off(desk, &held, supply)));
}

/// What no switch can part from a battery.
struct Held {
    plus: Net,
    minus: Net,
    /// The same with every switch closed.
    any_plus: Net,
    any_minus: Net,
}

impl Held {
    fn of(circuit: &Circuit<'_>) -> Self {
        let batteries = || {
            let supplies = circuit.wiring.supplies.iter().zip(0u32..);
            supplies.filter(|(supply, _)| supply.kind == SupplyKind::Battery)
        };
        let starts = |post: fn(&Supply) -> NodeIndex| -> Vec<(NodeIndex, u32, f64)> {
            batteries()
                .map(|(supply, index)| (post(supply), index, 0.0))
                .collect()
        };
        let (plus, minus) = (starts(|one| one.plus), starts(|one| one.minus));
        let fixed = |_: EdgeIndex, link: &Link| match link {
            Link::Conductor(_) | Link::Gap | Link::Inside => true,
            Link::Contact(index) => !opens(circuit, &circuit.wiring.contacts[*index as usize]),
            _ => false,
        };
        let any = crate::study::reach::everything_closed;
        let wiring = circuit.wiring;
        // Against the current on the positive side, so that a splitting diode leads to its batteries.
        Self {
            plus: search(wiring, &plus, Direction::Home, fixed),
            minus: search(wiring, &minus, Direction::Out, fixed),
            any_plus: search(wiring, &plus, Direction::Home, any),
            any_minus: search(wiring, &minus, Direction::Out, any),
        }
    }
}

/// Whether something can open a contact while the boat is in use. A fuse blows only on a fault.
fn opens(circuit: &Circuit<'_>, contact: &Contact) -> bool {
    match contact.device {
        Device::Isolator
        | Device::Switch
        | Device::Selector(_)
        | Device::Relay
        | Device::WaySwitch(_) => true,
        Device::WayFuse(_) | Device::WayBreaker(_) => {
            circuit.facts(contact.part).has(Key::Switched)
        }
        _ => false,
    }
}

fn cut_off(desk: &Desk<'_>, held: &Held, supply: &Supply) -> Option<Finding> {
    let reaches = |net: &Net, node: NodeIndex| net[node.index()].is_some();
    let joined = reaches(&held.any_plus, supply.plus) && reaches(&held.any_minus, supply.minus);
    if !joined || desk.circuit.facts(supply.part).has(Key::FieldCut) {
        return None; // one that reaches no battery at all has a finding of its own
    }
    let (net, node) = if !reaches(&held.plus, supply.plus) {
        (&held.any_plus, supply.plus)
    } else if !reaches(&held.minus, supply.minus) {
        (&held.any_minus, supply.minus)
    } else {
        return None;
    };
    let contact = first_switch(desk, net, node)?;
    let name = desk.circuit.contact_name(contact);
    let own = &desk.plan.model.get(supply.part).name;
    let (code, message) = if supply.kind == SupplyKind::Alternator {
        let message = format!(
            "{name} can take the battery away from {own} while it turns: lead it to the battery past every switch, or cut its field first.",
        );
        (Code::AlternatorCutOff, message)
    } else {
        let message = format!(
            "{name} can take the battery away from {own} while the panels are on: lead its battery side to the battery past every switch.",
        );
        (Code::ControllerCutOff, message)
    };
    let finding = Finding::new(code, desk.name_site(supply.part), message)
        .at(severity(desk, code, contact))
        .beside(contact.site, "this opens");
    Some(match land_before(desk, contact) {
        Some((site, name)) => finding.mended_by(format!("land on {name}"), site, name),
        None => finding,
    })
}

/// A selector without `off` may well make before it breaks, which a plan cannot say.
fn severity(desk: &Desk<'_>, code: Code, contact: &Contact) -> Severity {
    let selectors = &desk.plan.wiring.selectors;
    let positions = selectors.iter().find(|(part, _)| *part == contact.part);
    match positions {
        Some((_, positions)) if !positions.contains(&Position::Off) => Severity::Advice,
        _ => code.entry().severity,
    }
}

/// The nearest switch on the way from a source to a battery.
fn first_switch<'a>(desk: &'a Desk<'_>, net: &Net, node: NodeIndex) -> Option<&'a Contact> {
    let wiring = &desk.plan.wiring;
    let mut contacts =
        way_to(net, node).filter_map(|(edge, _)| match wiring.graph.edge_weight(edge)? {
            Link::Contact(index) => wiring.contacts.get(*index as usize),
            _ => None,
        });
    contacts.find(|contact| opens(&desk.circuit, contact))
}

/// Where the one run that lands on an isolator's `out` would land on its `feed` instead.
fn land_before(desk: &Desk<'_>, contact: &Contact) -> Option<(Site, String)> {
    let plan = desk.plan;
    let lands = |node: NodeIndex| {
        let stops = plan.wiring.stops.iter();
        stops.filter(move |stop| stop.enter == node && stop.leave == node)
    };
    let mut stops = lands(contact.out);
    let stop = stops.next().filter(|_| stops.next().is_none())?;
    let (out, feed) = (desk.node_name(contact.out), desk.node_name(contact.feed));
    (contact.device == Device::Isolator && plan.sources.words(stop.site) == out)
        .then_some((stop.site, feed))
}
