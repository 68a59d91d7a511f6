//! What is joined to what: the live net from each source's `+`, the home net from its `-`, with
//! the shortest way to each terminal.

use std::collections::VecDeque;

use petgraph::{
    graph::{EdgeIndex, NodeIndex},
    visit::EdgeRef,
};

use rustc_hash::FxHashMap;

use super::banks::Banks;
use crate::wiring::{Link, Rest, Supply, SupplyKind, Wiring};

/// How one terminal is reached.
#[derive(Clone, Copy, Debug)]
pub struct Reach {
    /// The edge towards the source; `None` at the source itself.
    pub by: Option<EdgeIndex>,
    /// The node it comes from.
    pub from: NodeIndex,
    /// The supply it starts at, an index into [`Wiring::supplies`].
    pub source: u32,
    /// Contacts on the way that are open at rest.
    pub open: u32,
    /// Nominal volts above the source's own `-`.
    pub volts: f64,
}

/// A net: for each node how it is reached, if it is.
pub type Net = Vec<Option<Reach>>;

/// Which edges a search may take.
pub trait Passes: Fn(EdgeIndex, &Link) -> bool {}
impl<F: Fn(EdgeIndex, &Link) -> bool> Passes for F {}

/// Every conductor and every contact, whether open or closed at rest.
pub fn everything_closed(_: EdgeIndex, link: &Link) -> bool {
    matches!(
        link,
        Link::Conductor(_) | Link::Contact(_) | Link::Gap | Link::Inside
    )
}

/// The live net: from the `+` of every source.
pub fn live_net(wiring: &Wiring, banks: &Banks, system: f64) -> Net {
    let mut starts: Vec<(NodeIndex, u32, f64)> = Vec::new();
    let plus_of = posts(wiring, |supply| supply.plus);
    for bank in &banks.list {
        starts.extend(
            bank.tops
                .iter()
                .filter_map(|top| Some((*top, *plus_of.get(top)?, bank.volts))),
        );
    }
    for (index, supply) in wiring.supplies.iter().enumerate() {
        if supply.kind == SupplyKind::Converter {
            starts.push((supply.plus, index as u32, supply.volts.unwrap_or(system)));
        }
    }
    for &(node, volts) in &banks.taps {
        let supply = plus_of.get(&node).copied().unwrap_or(0);
        starts.push((node, supply, volts));
    }
    let strong = starts.len();
    for (index, supply) in wiring.supplies.iter().enumerate() {
        if supply.kind != SupplyKind::Battery && supply.kind != SupplyKind::Converter {
            starts.push((supply.plus, index as u32, supply.volts.unwrap_or(system)));
        }
    }
    // Batteries first: a charger's own island is only what no battery reaches.
    let mut net = search(wiring, &starts[..strong], Direction::Out, everything_closed);
    extend(
        wiring,
        &mut net,
        &starts[strong..],
        Direction::Out,
        everything_closed,
    );
    net
}

/// Each battery's post of one sign, with its supply; of several on one node the first.
fn posts(wiring: &Wiring, post: impl Fn(&Supply) -> NodeIndex) -> FxHashMap<NodeIndex, u32> {
    let batteries = wiring
        .supplies
        .iter()
        .enumerate()
        .filter(|(_, supply)| supply.kind == SupplyKind::Battery);
    batteries
        .rev()
        .map(|(index, supply)| (post(supply), index as u32))
        .collect()
}

/// The home net: from the `-` of every bank and of every other source.
pub fn home_net(wiring: &Wiring, banks: &Banks) -> Net {
    let mut starts: Vec<(NodeIndex, u32, f64)> = Vec::new();
    let minus_of = posts(wiring, |supply| supply.minus);
    for bank in &banks.list {
        starts.extend(
            bank.bottoms
                .iter()
                .filter_map(|bottom| Some((*bottom, *minus_of.get(bottom)?, 0.0))),
        );
    }
    let strong = starts.len();
    for (index, supply) in wiring.supplies.iter().enumerate() {
        if supply.kind != SupplyKind::Battery {
            starts.push((supply.minus, index as u32, 0.0));
        }
    }
    let mut net = search(
        wiring,
        &starts[..strong],
        Direction::Home,
        everything_closed,
    );
    extend(
        wiring,
        &mut net,
        &starts[strong..],
        Direction::Home,
        everything_closed,
    );
    net
}

/// From where current can go on to a battery's `+`; none where no diode makes that differ from what
/// a battery reaches.
pub fn onward_net(wiring: &Wiring) -> Option<Net> {
    wiring.contacts.iter().find(|contact| contact.one_way)?;
    let batteries = wiring.supplies.iter().zip(0u32..);
    let batteries = batteries.filter(|(supply, _)| supply.kind == SupplyKind::Battery);
    let posts: Vec<(NodeIndex, u32, f64)> = batteries
        .map(|(supply, index)| (supply.plus, index, 0.0))
        .collect();
    Some(search(wiring, &posts, Direction::Home, everything_closed))
}

/// Which way current goes: diodes pass it one way only.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// With the current, from a `+`.
    Out,
    /// Against the current, from a `-`.
    Home,
}

/// The shortest ways from some starts: fewest open contacts, then fewest steps.
pub fn search(
    wiring: &Wiring,
    starts: &[(NodeIndex, u32, f64)],
    direction: Direction,
    passes: impl Passes,
) -> Net {
    let mut net = vec![None; wiring.graph.node_count()];
    extend(wiring, &mut net, starts, direction, passes);
    net
}

/// Extends a net from some starts; what it newly reaches, in no order.
pub(super) fn extend(
    wiring: &Wiring,
    net: &mut Net,
    starts: &[(NodeIndex, u32, f64)],
    direction: Direction,
    passes: impl Passes,
) -> Vec<NodeIndex> {
    let mut reached = Vec::new();
    let (mut now, mut later): (VecDeque<NodeIndex>, VecDeque<NodeIndex>) = Default::default();
    for &(node, source, volts) in starts {
        if net[node.index()].is_none() {
            net[node.index()] = Some(Reach {
                by: None,
                from: node,
                source,
                open: 0,
                volts,
            });
            reached.push(node);
            now.push_back(node);
        }
    }
    let mut level = 0;
    while !now.is_empty() {
        while let Some(node) = now.pop_front() {
            let Some(here) = net[node.index()].filter(|here| here.open == level) else {
                continue;
            };
            for edge in wiring.graph.edges(node) {
                let link = edge.weight();
                if !passes(edge.id(), link) {
                    continue;
                }
                let next = if edge.source() == node {
                    edge.target()
                } else {
                    edge.source()
                };
                let Some(open) = step(wiring, *link, node, direction) else {
                    continue;
                };
                let reach = Reach {
                    by: Some(edge.id()),
                    from: node,
                    open: here.open + open,
                    ..here
                };
                let known = net[next.index()];
                if known.is_none() {
                    reached.push(next);
                }
                if known.is_none_or(|known| known.open > reach.open) {
                    net[next.index()] = Some(reach);
                    if open == 0 { &mut now } else { &mut later }.push_back(next);
                }
            }
        }
        std::mem::swap(&mut now, &mut later);
        level += 1;
    }
    reached
}

/// What a step costs in open contacts; `None` where current cannot go that way.
pub(super) fn step(
    wiring: &Wiring,
    link: Link,
    from: NodeIndex,
    direction: Direction,
) -> Option<u32> {
    let Link::Contact(index) = link else {
        return Some(0);
    };
    let contact = &wiring.contacts[index as usize];
    if contact.one_way {
        let forward = contact.feed == from;
        if forward != (direction == Direction::Out) {
            return None;
        }
    }
    Some(u32::from(matches!(
        contact.rest,
        Rest::Open | Rest::Momentary | Rest::Automatic | Rest::Charging
    )))
}

/// The edges from a node to the source that reaches it, nearest first.
pub fn way_to(net: &Net, node: NodeIndex) -> impl Iterator<Item = (EdgeIndex, NodeIndex)> + '_ {
    let mut at = node;
    std::iter::from_fn(move || {
        let reach = net.get(at.index()).copied().flatten()?;
        let edge = reach.by?;
        at = reach.from;
        Some((edge, at))
    })
    .take(net.len())
}

/// Nodes from the roots outwards, and how many steps each is away.
pub fn outwards(net: &Net) -> (Vec<NodeIndex>, Vec<u32>) {
    let mut children: Vec<Vec<u32>> = vec![Vec::new(); net.len()];
    let mut order = Vec::new();
    for (node, reach) in net.iter().enumerate() {
        match reach {
            Some(reach) if reach.by.is_some() => children[reach.from.index()].push(node as u32),
            Some(_) => order.push(NodeIndex::new(node)),
            None => {}
        }
    }
    let mut depth = vec![0; net.len()];
    let mut next = 0;
    while let Some(&node) = order.get(next) {
        for &child in &children[node.index()] {
            depth[child as usize] = depth[node.index()] + 1;
            order.push(NodeIndex::new(child as usize));
        }
        next += 1;
    }
    (order, depth)
}
