//! How the batteries of a bank share its current, as wired.
//!
//! Each bank is taken by itself: its batteries behind their inner resistance, its links with the
//! resistance they have where they lie, and the currents of one moment drawn where that moment
//! draws them. Equal rest voltages are taken: batteries that differ in kind have a finding of
//! their own.

use ampwright_electrics::{
    network::{Branch, Solver},
    source::{Sourced, Tag},
};
use petgraph::{
    graph::{EdgeIndex, NodeIndex},
    unionfind::UnionFind,
    visit::EdgeRef,
};
use rustc_hash::FxHashMap;

use super::{Circuit, banks::Bank, rule::ByRule};
use crate::wiring::Link;

/// One battery's part of its bank's current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// The battery, an index into the wiring's supplies.
    pub supply: u32,
    /// What it gives as wired, A; below nothing where its neighbours charge it.
    pub amps: f64,
    /// What it would give by its share of the bank's ampere-hours, A.
    pub fair: f64,
    /// Its inner resistance, ohm.
    pub ohms: f64,
    /// The plan says that resistance; else it is taken by kind and size.
    pub ohms_said: bool,
}

impl Share {
    /// How far it is off its share of the ampere-hours, of one: 0.2 is a fifth more or less.
    pub fn off(&self) -> f64 {
        if self.fair > 0.0 {
            (self.amps - self.fair).abs() / self.fair
        } else {
            0.0
        }
    }
}

/// What asks for the current that is shared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// A moment, an index into [`ByRule::moments`].
    Moment(usize),
    /// The largest load that runs only briefly.
    Brief,
}

/// How a bank shares.
#[derive(Clone, Debug, PartialEq)]
pub struct BankShares {
    /// The bank, an index into [`super::banks::Banks::list`].
    pub bank: u32,
    /// What asks for the current.
    pub asked: Asked,
    /// What the bank gives in all, A.
    pub amps: f64,
    /// Its batteries, in the order of the bank.
    pub shares: Vec<Share>,
    /// Landing what comes home on the second post instead of the first evens the shares out.
    pub evener: Option<(NodeIndex, NodeIndex)>,
}

impl BankShares {
    /// The battery that is farthest off, the first of equals.
    pub fn worst(&self) -> Option<&Share> {
        let off = |share: &&Share| share.off();
        let mut shares = self.shares.iter();
        let first = shares.next()?;
        Some(shares.fold(first, |worst, next| {
            if off(&next) > off(&worst) + 1e-9 {
                next
            } else {
                worst
            }
        }))
    }
}

/// Off its share of the ampere-hours by more than this, of one, is worth a word.
pub const UNEQUAL: Sourced<f64> = Sourced::new(0.2, Tag::CP, "common practice, no source");

/// In banks of more batteries than this no better landing is looked for.
const MOST_TRIED: usize = 12;

/// How each bank with batteries side by side shares.
pub(super) fn shares(
    circuit: &Circuit<'_>,
    rule: &ByRule,
    ohms: &[Option<f64>],
) -> Vec<BankShares> {
    let banks = circuit.banks.list.iter().zip(0u32..);
    let mut wide = banks.filter(|(bank, _)| bank.supplies.len() > 1).peekable();
    if wide.peek().is_none() {
        return Vec::new();
    }
    let edges = &circuit.supply_edges;
    wide.filter_map(|(bank, index)| Net::of(circuit, ohms, bank, index)?.shares(rule, edges))
        .collect()
}

/// A bank by itself, made ready to be solved.
struct Net<'a> {
    circuit: &'a Circuit<'a>,
    bank: &'a Bank,
    /// Its place in the list of banks.
    index: u32,
    /// Its nodes, each with whether it is joined to the bank's top, its bottom, or neither.
    nodes: Vec<(NodeIndex, Side)>,
    local: FxHashMap<NodeIndex, u32>,
    solver: Solver,
    /// For each battery its part of the ampere-hours of those beside it, of one.
    fair: Vec<f64>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Top,
    Bottom,
    Between,
}

/// A current drawn out of a node, A, by the node's place in [`Net::nodes`].
type Taps = Vec<(u32, f64)>;

impl<'a> Net<'a> {
    /// Nothing for a bank in which no battery stands beside another.
    fn of(
        circuit: &'a Circuit<'a>,
        ohms: &[Option<f64>],
        bank: &'a Bank,
        index: u32,
    ) -> Option<Self> {
        let fair = fair(circuit, bank);
        if bank.tops.is_empty() || fair.iter().all(|share| *share > 1.0 - 1e-9) {
            return None;
        }
        let mut net = Self {
            circuit,
            bank,
            index,
            nodes: Vec::new(),
            local: FxHashMap::default(),
            solver: Solver::new(0, &[]),
            fair,
        };
        let mut branches: Vec<Branch> = Vec::new();
        for &supply in &bank.supplies {
            let battery = &circuit.wiring.supplies[supply as usize];
            let (from, to) = (net.node(battery.minus), net.node(battery.plus));
            branches.push(branch(from, to, circuit.inner_ohms(battery).0));
        }
        for &link in &bank.links {
            let wired = &circuit.wiring.conductors[link as usize];
            let (from, to) = (net.node(wired.from), net.node(wired.to));
            let ohms = ohms.get(link as usize).copied().flatten().unwrap_or(0.0);
            branches.push(branch(from, to, ohms));
        }
        net.side(&branches[bank.supplies.len()..]);
        net.solver = Solver::new(net.nodes.len() as u32, &branches);
        Some(net)
    }

    fn node(&mut self, node: NodeIndex) -> u32 {
        let nodes = &mut self.nodes;
        *self.local.entry(node).or_insert_with(|| {
            nodes.push((node, Side::Between));
            nodes.len() as u32 - 1
        })
    }

    /// Tells each node's side by the links that join it to a post at the top or the bottom.
    fn side(&mut self, links: &[Branch]) {
        let mut pieces = UnionFind::<u32>::new(self.nodes.len());
        for link in links {
            pieces.union(link.from, link.to);
        }
        let piece = |node: &NodeIndex| self.local.get(node).map(|&node| pieces.find(node));
        let tops: Vec<u32> = self.bank.tops.iter().filter_map(piece).collect();
        let bottoms: Vec<u32> = self.bank.bottoms.iter().filter_map(piece).collect();
        for (index, (_, side)) in self.nodes.iter_mut().enumerate() {
            let own = pieces.find(index as u32);
            if tops.first() == Some(&own) {
                *side = Side::Top;
            } else if bottoms.first() == Some(&own) {
                *side = Side::Bottom;
            }
        }
    }

    fn shares(&self, rule: &ByRule, edges: &[EdgeIndex]) -> Option<BankShares> {
        let (asked, taps) = self.asked(rule, edges)?;
        let shares = self.share(&taps);
        let amps = self.given(&taps);
        let worst = largest_off(&shares);
        let evener = if worst > UNEQUAL.value {
            self.evener(&taps)
        } else {
            None
        };
        Some(BankShares {
            bank: self.index,
            asked,
            amps,
            shares,
            evener,
        })
    }

    /// The moment in which the bank gives the most, or the brief loads where they take more, and
    /// what is drawn where.
    fn asked(&self, rule: &ByRule, edges: &[EdgeIndex]) -> Option<(Asked, Taps)> {
        let tops = self.top_edges(edges);
        let given = |amps: &[f64]| -> f64 {
            let along = tops.iter().filter_map(|edge| amps.get(edge.index()));
            along.sum()
        };
        let moments = rule.moments.iter().enumerate().filter(|(_, solved)| {
            solved.moment.charging.is_empty() && solved.moment.only.is_none()
        });
        let most = moments
            .map(|(index, solved)| (given(&solved.amps), index))
            .reduce(|best, next| if next.0 > best.0 + 1e-9 { next } else { best });
        let brief = self.taps(|edge, _| rule.brief.amps.get(edge.index()).map(|amps| amps.abs()));
        let brief = self.balanced(brief);
        match most {
            Some((amps, moment)) if amps > 1e-9 && amps + 1e-9 >= self.given(&brief) => {
                let amps = &rule.moments[moment].amps;
                let taps = self.taps(|edge, sign| amps.get(edge.index()).map(|amps| amps * sign));
                Some((Asked::Moment(moment), taps))
            }
            _ if self.given(&brief) > 1e-9 => Some((Asked::Brief, brief)),
            _ => None,
        }
    }

    fn top_edges(&self, edges: &[EdgeIndex]) -> Vec<EdgeIndex> {
        let is_top = |supply: &&u32| {
            let plus = self.circuit.wiring.supplies[**supply as usize].plus;
            let place = self.local.get(&plus);
            place.is_some_and(|&node| self.nodes[node as usize].1 == Side::Top)
        };
        let tops = self.bank.supplies.iter().filter(is_top);
        tops.filter_map(|&supply| edges.get(supply as usize).copied())
            .collect()
    }

    /// What leaves each node by anything but the bank's own links and batteries. `amps` gives for
    /// an edge and the sign of leaving by it what flows.
    fn taps(&self, amps: impl Fn(EdgeIndex, f64) -> Option<f64>) -> Taps {
        let graph = &self.circuit.wiring.graph;
        let out = |&(node, _): &(NodeIndex, Side)| -> f64 {
            let leaving = graph
                .edges(node)
                .filter(|edge| !self.is_own(*edge.weight()));
            leaving
                .filter_map(|edge| {
                    // An undirected graph calls the node that is asked the source of every edge.
                    let (written_from, _) = graph.edge_endpoints(edge.id())?;
                    amps(edge.id(), if written_from == node { 1.0 } else { -1.0 })
                })
                .sum()
        };
        let taps = self.nodes.iter().map(out).enumerate();
        taps.filter(|(_, amps)| amps.abs() > 1e-9 && amps.is_finite())
            .map(|(node, amps)| (node as u32, amps))
            .collect()
    }

    fn is_own(&self, link: Link) -> bool {
        match link {
            Link::Conductor(index) => {
                self.circuit.banks.link_of[index as usize] == Some(self.index)
            }
            Link::Supply(index) => self.circuit.banks.of_supply.get(&index) == Some(&self.index),
            _ => false,
        }
    }

    /// Magnitudes made into what is drawn at the top and comes home at the bottom, as much as is
    /// drawn.
    fn balanced(&self, magnitudes: Taps) -> Taps {
        let side = |node: u32| self.nodes[node as usize].1;
        let sum = |of: Side| -> f64 {
            let those = magnitudes.iter().filter(|(node, _)| side(*node) == of);
            those.map(|(_, amps)| amps).sum()
        };
        let (drawn, home) = (sum(Side::Top), sum(Side::Bottom));
        if drawn <= 0.0 || home <= 0.0 {
            return Vec::new();
        }
        let signed = |(node, amps): (u32, f64)| match side(node) {
            Side::Top => Some((node, amps)),
            Side::Bottom => Some((node, -amps * drawn / home)),
            Side::Between => None,
        };
        magnitudes.into_iter().filter_map(signed).collect()
    }

    /// What the taps draw from the top, A.
    fn given(&self, taps: &Taps) -> f64 {
        let tops = taps
            .iter()
            .filter(|(node, _)| self.nodes[*node as usize].1 == Side::Top);
        tops.map(|(_, amps)| amps).sum()
    }

    fn share(&self, taps: &Taps) -> Vec<Share> {
        let injections: Taps = taps.iter().map(|&(node, amps)| (node, -amps)).collect();
        let solution = self.solver.solve(&injections);
        let whole = self.given(taps);
        let batteries = self.bank.supplies.iter().zip(&self.fair).enumerate();
        batteries
            .map(|(index, (&supply, fair))| {
                let battery = &self.circuit.wiring.supplies[supply as usize];
                let (ohms, ohms_said) = self.circuit.inner_ohms(battery);
                Share {
                    supply,
                    amps: solution.amps.get(index).copied().unwrap_or(0.0),
                    fair: whole * fair,
                    ohms,
                    ohms_said,
                }
            })
            .collect()
    }

    /// Another battery's `-` on which all that comes home would make the shares even.
    fn evener(&self, taps: &Taps) -> Option<(NodeIndex, NodeIndex)> {
        let mut home = taps
            .iter()
            .enumerate()
            .filter(|(_, (node, _))| self.nodes[*node as usize].1 == Side::Bottom);
        let (place, &(from, amps)) = home.next()?;
        let from_post = self.nodes[from as usize].0;
        let single = home.next().is_none() && self.bank.bottoms.contains(&from_post);
        if !single || self.bank.bottoms.len() > MOST_TRIED {
            return None;
        }
        let tried = self.bank.bottoms.iter().filter_map(|post| {
            let mut moved = taps.clone();
            moved[place] = (*self.local.get(post)?, amps);
            Some((largest_off(&self.share(&moved)), *post))
        });
        let best = tried.reduce(|best, next| if next.0 < best.0 - 1e-9 { next } else { best })?;
        (best.0 <= UNEQUAL.value && best.1 != from_post).then_some((from_post, best.1))
    }
}

const fn branch(from: u32, to: u32, ohms: f64) -> Branch {
    Branch {
        from,
        to,
        ohms,
        emf: 0.0,
    }
}

fn largest_off(shares: &[Share]) -> f64 {
    shares.iter().map(Share::off).fold(0.0, f64::max)
}

/// For each battery of a bank its part of the ampere-hours of all that stand at its height: the
/// halfway point of its own voltage lies within theirs.
fn fair(circuit: &Circuit<'_>, bank: &Bank) -> Vec<f64> {
    let hours: Vec<f64> = bank
        .supplies
        .iter()
        .map(|&supply| {
            let block = circuit.block_of(&circuit.wiring.supplies[supply as usize]);
            block.capacity.0.clamp(0.0, 1e9)
        })
        .collect();
    let up_to = |edge: fn(&super::banks::Standing) -> f64| Heights::of(bank, &hours, edge);
    let begun = up_to(|stand| stand.level - stand.volts);
    let ended = up_to(|stand| stand.level);
    bank.stands
        .iter()
        .zip(&hours)
        .map(|(stand, own)| {
            let middle = stand.level - stand.volts / 2.0;
            let beside = begun.below(middle) - ended.below(middle);
            if beside > 0.0 { own / beside } else { 1.0 }
        })
        .collect()
}

/// Ampere-hours by the height at which they begin or end, added up from below.
struct Heights(Vec<(f64, f64)>);

impl Heights {
    fn of(bank: &Bank, hours: &[f64], edge: fn(&super::banks::Standing) -> f64) -> Self {
        let stands = bank.stands.iter().map(edge);
        let mut list: Vec<(f64, f64)> = stands.zip(hours.iter().copied()).collect();
        list.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut sum = 0.0;
        for (_, hours) in &mut list {
            sum += *hours;
            *hours = sum;
        }
        Self(list)
    }

    fn below(&self, height: f64) -> f64 {
        let count = self.0.partition_point(|(edge, _)| *edge < height);
        count.checked_sub(1).map_or(0.0, |last| self.0[last].1)
    }
}
