//! Every live conductor and every return held against what protects it.

use ampwright_electrics::{flow::Sustained, rules::Lie};
use petgraph::graph::NodeIndex;
use rustc_hash::{FxHashMap, FxHashSet};

use super::{Exceeded, LongLink, Protection, Unfused, taps::Tap};
use crate::{
    finding::Severity,
    study::{
        Circuit,
        cables::{self, Cable},
        limits::Limit,
        reach::{Net, outwards, way_to},
        returns,
    },
    wiring::{Device, Link},
};

/// The post at which a way begins and the first conductor that leaves it, if any does.
type Leaving = (NodeIndex, Option<u32>);

/// What comes of it.
pub(super) struct Verdict {
    pub(super) unfused: Vec<Unfused>,
    pub(super) exceeded: Vec<Exceeded>,
    pub(super) long_links: Vec<LongLink>,
}

/// Conductors with no device behind them while they are gathered.
#[derive(Default)]
struct Bare {
    unfused: Vec<u32>,
    /// Links of banks.
    links: Vec<u32>,
}

/// Holds every live conductor against what protects it.
pub(super) struct Judge<'a> {
    pub(super) circuit: &'a Circuit<'a>,
    cables: &'a [Cable],
    protection: &'a Protection,
    unfused: &'a Net,
    pub(super) taps: Vec<Option<Tap>>,
    /// For each bank the largest device that its posts reach without another between.
    bank_devices: Vec<Option<(f64, u32)>>,
    /// Where cranking feeds begin and end.
    cranking_ends: FxHashSet<NodeIndex>,
    /// Conductors whose sustained current is over their ceiling.
    pub(super) over: Vec<bool>,
    /// For each conductor metres of over-loaded conductor above it in one piece, none of it thicker.
    pub(super) above: Vec<f64>,
}

impl<'a> Judge<'a> {
    pub(super) fn new(
        circuit: &'a Circuit<'a>,
        cables: &'a [Cable],
        protection: &'a Protection,
        unfused: &'a Net,
    ) -> Self {
        let count = circuit.wiring.conductors.len();
        let mut judge = Self {
            circuit,
            cables,
            protection,
            unfused,
            taps: Vec::new(),
            bank_devices: bank_devices(circuit, unfused),
            cranking_ends: cranking_ends(circuit, protection),
            over: vec![false; count],
            above: vec![0.0; count],
        };
        for index in 0..count {
            let amps = protection.sustained[index].map_or(0.0, |sustained| sustained.amps);
            judge.over[index] = judge.allowed(index as u32).broken_by(amps).is_some();
        }
        let (order, _) = outwards(&circuit.live);
        judge.measure_above(&order);
        judge.taps = judge.find_taps(&order);
        judge
    }

    /// The ceiling of a conductor, A; none where its size is unknown.
    pub(super) fn allowed(&self, conductor: u32) -> Limit {
        self.circuit.ceiling_of(&self.cables[conductor as usize])
    }

    /// Sustained currents without those of short taps: what a tap's device lets through is what
    /// its circuit's return has to carry.
    pub(super) fn without_taps(&self, sustained: &[Option<Sustained>]) -> Vec<Option<Sustained>> {
        sustained
            .iter()
            .zip(0u32..)
            .map(|(sustained, index)| sustained.filter(|_| !self.is_short_tap(index)))
            .collect()
    }

    /// For each conductor whether it is a short tap.
    pub(super) fn short_taps(&self) -> Vec<bool> {
        (0..self.over.len() as u32)
            .map(|index| self.is_short_tap(index))
            .collect()
    }

    fn is_short_tap(&self, index: u32) -> bool {
        let is_short = |tap| self.is_short(index, tap);
        self.over[index as usize] && self.tap_below(index).is_some_and(is_short)
    }

    /// The largest device that a link's bank reaches without another one between, and its rating, A.
    fn largest_behind_link(&self, index: u32) -> Option<(f64, u32)> {
        let bank = self.circuit.banks.link_of[index as usize]?;
        self.bank_devices.get(bank as usize).copied().flatten()
    }

    pub(super) fn verdict(&self, returns: &returns::Returns) -> Verdict {
        let mut exceeded: Vec<Exceeded> = Vec::new();
        let mut bare = Bare::default();
        for index in 0..self.circuit.wiring.conductors.len() as u32 {
            if let Some(sustained) = self.protection.sustained[index as usize] {
                self.judge_live(index, sustained, &mut bare, &mut exceeded);
            } else if let Some((amps, device)) = returns[index as usize] {
                self.exceed(&mut exceeded, index, amps, device, false);
            }
        }
        Verdict {
            unfused: self.group_unfused(bare.unfused),
            exceeded: self.group_exceeded(exceeded),
            long_links: self.group_links(bare.links),
        }
    }

    fn judge_live(
        &self,
        index: u32,
        sustained: Sustained,
        bare: &mut Bare,
        exceeded: &mut Vec<Exceeded>,
    ) {
        let wired = &self.circuit.wiring.conductors[index as usize];
        if self.is_bonding(wired) || self.is_shorted(wired) {
            return;
        }
        if sustained.amps.is_infinite() {
            if self.protection.cranking.contains(&index) {
                return;
            }
            let is_link = self.circuit.banks.link_of[index as usize].is_some();
            if is_link && self.wants_a_device(index) {
                bare.links.push(index);
                return;
            }
            if is_link {
                // With the battery beside it flat, a link carries all that leaves the bank.
                if let Some((amps, device)) = self.largest_behind_link(index) {
                    self.exceed(exceeded, index, amps, Some(device), false);
                }
                return;
            }
            if self
                .farthest(index)
                .is_some_and(|farthest| farthest > self.circuit.distance_of(index).strict() + 1e-6)
                || self.feeds_directly(wired)
            {
                bare.unfused.push(index);
                if let Some(tap) = self.tap_below(index).filter(|_| self.taps_cranking(index)) {
                    self.exceed(exceeded, index, tap.rating, tap.device, false);
                }
            } else if let Some(tap) = self.tap_below(index) {
                self.exceed(exceeded, index, tap.rating, tap.device, false);
            }
            return;
        }
        match self.tap_below(index) {
            Some(tap) if self.over[index as usize] && self.is_short(index, tap) => {
                self.exceed(
                    exceeded,
                    index,
                    tap.rating.min(sustained.amps),
                    tap.device,
                    false,
                );
            }
            _ => {
                self.exceed(exceeded, index, sustained.amps, sustained.device, false);
                if !self.over[index as usize] {
                    self.exceed(exceeded, index, sustained.ring_amps, sustained.device, true);
                }
            }
        }
    }

    fn exceed(
        &self,
        list: &mut Vec<Exceeded>,
        conductor: u32,
        amps: f64,
        device: Option<u32>,
        ring_only: bool,
    ) {
        let broken = self
            .allowed(conductor)
            .broken_by(amps)
            .filter(|_| amps.is_finite());
        if let Some((allowed, severity)) = broken {
            // No single section of a ring ever carries what both its ends let through together.
            let severity = if ring_only {
                Severity::Advice
            } else {
                severity
            };
            list.push(Exceeded {
                conductor,
                amps,
                allowed,
                device,
                others: Vec::new(),
                severity,
            });
        }
    }

    fn is_short(&self, index: u32, tap: Tap) -> bool {
        let metres = self.circuit.wiring.conductors[index as usize]
            .metres
            .unwrap_or(f64::INFINITY);
        self.above[index as usize] + metres + tap.metres
            <= self.circuit.distance_of(index).strict() + 1e-6
    }

    /// Both ends are joined to a `+` and to a `-` at once: a short circuit is found there, and what
    /// protects a return that has become live says nothing more.
    fn is_shorted(&self, wired: &crate::wiring::Conductor) -> bool {
        let nets = [&self.circuit.live, &self.circuit.home];
        [wired.from, wired.to]
            .into_iter()
            .all(|end| nets.into_iter().all(|net| net[end.index()].is_some()))
    }

    fn is_bonding(&self, wired: &crate::wiring::Conductor) -> bool {
        [wired.from, wired.to]
            .into_iter()
            .any(|node| self.circuit.kind_at(node) == Some(ampwright_notation::Kind::Bond))
    }

    /// Links up to 72 in and in one place go without a device.
    fn is_short_link(&self, index: u32) -> bool {
        let wired = &self.circuit.wiring.conductors[index as usize];
        let most = self.circuit.bank_link_limit().strict();
        wired.metres.unwrap_or(0.0) <= most + 1e-6 && self.lies_in_one_place(index)
    }

    /// Its two ends lie in one place as far as the plan says, and it names no second one.
    fn lies_in_one_place(&self, index: u32) -> bool {
        let wired = &self.circuit.wiring.conductors[index as usize];
        let place = |node| cables::place_of(self.circuit, node);
        let in_one = match (place(wired.from), place(wired.to)) {
            (Some(a), Some(b)) => a == b,
            _ => true,
        };
        let mut named = wired.places.iter();
        let first = named.next();
        in_one && named.all(|place| Some(place) == first)
    }

    /// A link of a bank that is no short one, and reaches farther than what needs no device anyhow.
    fn wants_a_device(&self, index: u32) -> bool {
        let near = self.circuit.distance_of(index).strict() + 1e-6;
        !self.is_short_link(index) && self.farthest(index).is_some_and(|far| far > near)
    }

    /// One finding for one bank, at its longest link.
    fn group_links(&self, links: Vec<u32>) -> Vec<LongLink> {
        let mut by_bank: std::collections::BTreeMap<u32, Vec<u32>> =
            std::collections::BTreeMap::new();
        for link in links {
            if let Some(bank) = self.circuit.banks.link_of[link as usize] {
                by_bank.entry(bank).or_default().push(link);
            }
        }
        let longs = by_bank.into_iter();
        longs
            .filter_map(|(bank, links)| self.long_link(bank, links))
            .collect()
    }

    fn long_link(&self, bank: u32, mut links: Vec<u32>) -> Option<LongLink> {
        let metres = |link: u32| {
            self.circuit.wiring.conductors[link as usize]
                .metres
                .unwrap_or(0.0)
        };
        links.sort_by(|&a, &b| metres(b).total_cmp(&metres(a)).then(a.cmp(&b)));
        let (&conductor, others) = links.split_first()?;
        let broken = self.circuit.bank_link_limit().broken_by(metres(conductor));
        // Outside its place it is a conductor like any other, held to the published distances.
        let (allowed, severity) = match broken {
            Some((allowed, severity)) if self.lies_in_one_place(conductor) => {
                (Some(allowed), severity)
            }
            _ => (None, Severity::Error),
        };
        Some(LongLink {
            bank,
            conductor,
            metres: metres(conductor),
            allowed,
            others: others.to_vec(),
            severity,
        })
    }

    /// The farthest point of a conductor from a battery's post, along the cable, m.
    fn farthest(&self, index: u32) -> Option<f64> {
        let wired = &self.circuit.wiring.conductors[index as usize];
        let at = |node: NodeIndex| self.protection.from_post[node.index()];
        let metres = wired.metres.unwrap_or(0.0);
        match (at(wired.from), at(wired.to)) {
            (Some(a), Some(b)) => Some(f64::midpoint(a + b, metres)),
            (Some(one), None) | (None, Some(one)) => Some(one + metres),
            (None, None) => None,
        }
    }

    fn nearest_end(&self, index: u32) -> f64 {
        let wired = &self.circuit.wiring.conductors[index as usize];
        let at = |node: NodeIndex| self.protection.from_post[node.index()].unwrap_or(f64::INFINITY);
        at(wired.from).min(at(wired.to))
    }

    /// One finding for one missing device: conductors that leave a post by one and the same first conductor.
    fn group_unfused(&self, bare: Vec<u32>) -> Vec<Unfused> {
        let mut groups: std::collections::BTreeMap<(usize, u32), Vec<u32>> =
            std::collections::BTreeMap::new();
        let mut known = FxHashMap::default();
        for index in bare {
            let root = self.root_of(index, &mut known);
            groups.entry(root).or_default().push(index);
        }
        groups
            .into_iter()
            .filter_map(|((post, _), list)| self.unfused_group(NodeIndex::new(post), list))
            .collect()
    }

    fn unfused_group(&self, post: NodeIndex, mut list: Vec<u32>) -> Option<Unfused> {
        list.sort_by(|&a, &b| {
            self.nearest_end(a)
                .total_cmp(&self.nearest_end(b))
                .then(a.cmp(&b))
        });
        let (&conductor, others) = list.split_first()?;
        let farthest = self.farthest(conductor)?;
        let limit = self.circuit.distance_of(conductor);
        let severity = self.severity_of_unfused(&list, farthest);
        let (allowed, _) = limit
            .broken_by(farthest)
            .unwrap_or((limit.strict(), severity));
        Some(Unfused {
            conductor,
            farthest,
            allowed,
            post,
            others: others.to_vec(),
            reaches: self.reaches(&list),
            lost: self.lost_device(&list),
            severity,
            direct: farthest <= allowed + 1e-6,
            tap: list.iter().all(|&index| self.taps_cranking(index)),
        })
    }

    /// How far from a post the last of them ends, m.
    fn reaches(&self, list: &[u32]) -> f64 {
        let ends = list.iter().filter_map(|&index| self.farthest(index));
        ends.fold(0.0, f64::max)
    }

    fn severity_of_unfused(&self, list: &[u32], farthest: f64) -> Severity {
        if list
            .iter()
            .all(|&index| self.charges_a_starter(index) || self.taps_cranking(index))
        {
            return Severity::Advice;
        }
        let [only] = list else { return Severity::Error };
        let wired = &self.circuit.wiring.conductors[*only as usize];
        if self.feeds_directly(wired) {
            return Severity::Error;
        }
        let just =
            self.circuit.lie(*only) == Lie::Bare && farthest <= self.circuit.bare_advice() + 1e-6;
        let broken = self.circuit.distance_of(*only).broken_by(farthest);
        if just {
            Severity::Advice
        } else {
            broken.map_or(Severity::Error, |(_, severity)| severity)
        }
    }

    /// An end on something that draws: no device can follow.
    fn feeds_directly(&self, wired: &crate::wiring::Conductor) -> bool {
        [wired.from, wired.to].into_iter().any(|node| {
            self.circuit
                .wiring
                .graph
                .edges(node)
                .any(|edge| matches!(edge.weight(), Link::Draw(_)))
        })
    }

    /// The post and the first conductor by which the way to a conductor leaves it; links of the
    /// bank and the cranking feed are part of the post.
    fn root_of(&self, index: u32, known: &mut FxHashMap<NodeIndex, Leaving>) -> (usize, u32) {
        let wired = &self.circuit.wiring.conductors[index as usize];
        let near = [wired.from, wired.to]
            .into_iter()
            .min_by(|a, b| {
                let at = |node: &NodeIndex| {
                    self.protection.from_post[node.index()].unwrap_or(f64::INFINITY)
                };
                at(a).total_cmp(&at(b))
            })
            .unwrap_or(wired.from);
        let (post, first) = self.leaving(near, known);
        (post.index(), first.unwrap_or(index))
    }

    /// Where the way to a node leaves a post. What was found for the nodes on the way is kept, or
    /// a long run without a device would be walked once for each of its conductors.
    fn leaving(&self, node: NodeIndex, known: &mut FxHashMap<NodeIndex, Leaving>) -> Leaving {
        let mut passed: Vec<(NodeIndex, Option<u32>)> = Vec::new();
        let mut at = node;
        for (edge, from) in way_to(self.unfused, node) {
            if known.contains_key(&at) {
                break;
            }
            let conductor = self.circuit.conductor_of(edge);
            if conductor.is_some_and(|index| self.circuit.banks.link_of[index as usize].is_some()) {
                known.insert(at, (from, None));
                break;
            }
            let cranks = |index: &u32| self.protection.cranking.contains(index);
            passed.push((at, conductor.filter(|index| !cranks(index))));
            at = from;
        }
        let mut leaving = known.get(&at).copied().unwrap_or((at, None));
        for (node, conductor) in passed.into_iter().rev() {
            leaving.1 = leaving.1.or(conductor);
            known.insert(node, leaving);
        }
        leaving
    }

    /// The protective device nearest to a post that these conductors lead to.
    fn lost_device(&self, list: &[u32]) -> Option<(u32, f64)> {
        let ends = list.iter().flat_map(|&index| {
            let wired = &self.circuit.wiring.conductors[index as usize];
            [wired.from, wired.to]
        });
        let devices = ends.flat_map(|node| {
            let at = self.protection.from_post[node.index()].unwrap_or(f64::INFINITY);
            self.circuit
                .wiring
                .graph
                .edges(node)
                .filter_map(move |edge| match edge.weight() {
                    Link::Contact(index) => Some((*index, at)),
                    _ => None,
                })
        });
        // A panel's own ways stay where they are; only a device by itself can have been moved.
        let protects = |&(index, _): &(u32, f64)| {
            let contact = &self.circuit.wiring.contacts[index as usize];
            contact.protects.is_some() && matches!(contact.device, Device::Fuse | Device::Breaker)
        };
        devices
            .filter(protects)
            .min_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)))
    }

    /// From the cranking way to an alternator within 72 in and in the same place.
    fn charges_a_starter(&self, index: u32) -> bool {
        use ampwright_notation::Kind;
        let wired = &self.circuit.wiring.conductors[index as usize];
        let ends = [wired.from, wired.to];
        let alternator = ends
            .iter()
            .any(|&node| self.circuit.kind_at(node) == Some(Kind::Alternator));
        alternator && self.is_on_cranking(wired) && self.is_short_link(index)
    }

    /// It leaves a cranking way, which itself needs no device, and ends at one within the distance
    /// from there.
    fn taps_cranking(&self, index: u32) -> bool {
        let wired = &self.circuit.wiring.conductors[index as usize];
        let within = self.circuit.distance_of(index).strict() + 1e-6;
        let reaches = |tap: Tap| wired.metres.unwrap_or(f64::INFINITY) + tap.metres <= within;
        self.is_on_cranking(wired)
            && !self.feeds_directly(wired)
            && self.tap_below(index).is_some_and(reaches)
    }

    fn is_on_cranking(&self, wired: &crate::wiring::Conductor) -> bool {
        [wired.from, wired.to]
            .iter()
            .any(|end| self.cranking_ends.contains(end))
    }

    /// One finding for one device and run.
    fn group_exceeded(&self, list: Vec<Exceeded>) -> Vec<Exceeded> {
        let mut groups: std::collections::BTreeMap<(u32, Option<u32>, Severity), Exceeded> =
            std::collections::BTreeMap::new();
        for one in list {
            let run = self.circuit.wiring.conductors[one.conductor as usize].run;
            match groups.entry((run, one.device, one.severity)) {
                std::collections::btree_map::Entry::Vacant(place) => {
                    place.insert(one);
                }
                std::collections::btree_map::Entry::Occupied(mut known) => {
                    let known = known.get_mut();
                    // The tightest conductor stands for the group: mending it less than wholly shows the next.
                    if one.allowed < known.allowed {
                        let mut others = std::mem::take(&mut known.others);
                        others.insert(0, known.conductor);
                        *known = Exceeded { others, ..one };
                    } else {
                        known.others.push(one.conductor);
                    }
                }
            }
        }
        groups.into_values().collect()
    }
}

fn cranking_ends(circuit: &Circuit<'_>, protection: &Protection) -> FxHashSet<NodeIndex> {
    let cranking = protection.cranking.iter();
    cranking
        .map(|&index| &circuit.wiring.conductors[index as usize])
        .flat_map(|wired| [wired.from, wired.to])
        .collect()
}

fn bank_devices(circuit: &Circuit<'_>, unfused: &Net) -> Vec<Option<(f64, u32)>> {
    let mut largest: Vec<Option<(f64, u32)>> = vec![None; circuit.banks.list.len()];
    for (index, contact) in circuit.wiring.contacts.iter().enumerate() {
        let Some(rating) = contact.protects.filter(|rating| *rating > 0.0) else {
            continue;
        };
        for end in [contact.feed, contact.out] {
            let source = unfused[end.index()].map(|reach| reach.source);
            let bank = source.and_then(|source| circuit.banks.of_supply.get(&source));
            let Some(known) = bank.and_then(|&bank| largest.get_mut(bank as usize)) else {
                continue;
            };
            if known.is_none_or(|(most, _)| rating > most) {
                *known = Some((rating, index as u32));
            }
        }
    }
    largest
}
