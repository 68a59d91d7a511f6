//! What loads and sources add to the bare network: resistances as branches, sources as ports.

use super::super::Branch;
use super::super::ports::Port;
use super::{Law, Limited, Load, Prepared};
use crate::flow::union::Union;
use std::collections::BTreeMap;

/// A source that alone joins two parts of the network is given this many times its own volts per
/// ampere as a path beside it, so that every state can be solved; what the path carries is counted
/// as the source's.
const PATH: f64 = 1e3;

/// No limit is larger than this, in amperes.
pub(super) const MOST_AMPS: f64 = 1e9;

/// The loads that are branches: resistances, and those given up.
pub(super) fn resistances(
    prepared: &Prepared,
    loads: &[Load],
    collapsed: &[Option<f64>],
) -> (Vec<Branch>, Vec<Option<u32>>) {
    let mut extra = Vec::new();
    let place = |(load, given_up): (&Load, &Option<f64>)| {
        let own = if let Law::Resistance(ohms) = load.law {
            Some(ohms)
        } else {
            None
        };
        let ohms = given_up.or(own)?;
        extra.push(Branch {
            from: load.plus,
            to: load.minus,
            ohms,
            emf: 0.0,
        });
        Some((prepared.branches.len() + extra.len() - 1) as u32)
    };
    let branches = loads.iter().zip(collapsed).map(place).collect();
    (extra, branches)
}

/// Sources of equal volts on the same terminals are one port; they share it in proportion to their
/// limits.
pub(super) fn merge(nodes: u32, sources: &[Limited]) -> (Vec<Port>, Vec<Option<u32>>) {
    let mut ports: Vec<Port> = Vec::new();
    let mut known = BTreeMap::new();
    let place = |s: &Limited| {
        let placed = s.plus < nodes && s.minus < nodes && s.plus != s.minus;
        if !placed || !s.volts.is_finite() || s.volts <= 0.0 || s.amps.is_nan() || s.amps <= 0.0 {
            return None;
        }
        let amps = s.amps.min(MOST_AMPS);
        let k = *known
            .entry((s.plus, s.minus, s.volts.to_bits()))
            .or_insert(ports.len() as u32);
        match ports.get_mut(k as usize) {
            Some(port) => port.amps += amps,
            None => ports.push(Port {
                plus: s.plus,
                minus: s.minus,
                volts: s.volts,
                amps,
            }),
        }
        Some(k)
    };
    let of_source = sources.iter().map(place).collect();
    (ports, of_source)
}

/// Adds a path beside each port that alone joins two parts of the network.
pub(super) fn paths(
    prepared: &Prepared,
    mut extra: Vec<Branch>,
    ports: &[Port],
) -> (Vec<Branch>, Vec<Option<f64>>) {
    let (nodes, solver) = (prepared.solver.nodes(), &prepared.solver);
    let mut joined = Union::new(solver.components() as usize);
    let mut join = |a, b| {
        joined
            .join(solver.component(a), solver.component(b), 0.0)
            .is_some()
    };
    for b in extra.iter().filter(|b| !b.is_open(nodes)) {
        join(b.from, b.to);
    }
    let mut path = Vec::with_capacity(ports.len());
    for p in ports {
        let ohms = (!join(p.plus, p.minus)).then_some(PATH * p.volts / p.amps);
        extra.extend(ohms.map(|ohms| Branch {
            from: p.minus,
            to: p.plus,
            ohms,
            emf: p.volts,
        }));
        path.push(ohms);
    }
    (extra, path)
}
