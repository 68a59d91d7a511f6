//! One block of the live net: what reaches a node of it from its other nodes, with an edge taken
//! out or not.

use super::cut::{Arc, max_flow};
use super::feed::{Feed, Way, all_but_each};
use super::union::Union;
use super::ways::Ways;
use super::{Edge, NONE, Sustained};
use std::collections::BinaryHeap;

/// Ends whose flows agree to this part bear the same; then the narrower way names the device.
const EQUAL: f64 = 1.0 - 1e-12;

/// An edge of a block between its nodes, numbered within it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Link {
    pub(super) a: u32,
    pub(super) b: u32,
    pub(super) edge: u32,
    pub(super) cap: f64,
    pub(super) one_way: bool,
}

impl Link {
    pub(super) fn new(a: u32, b: u32, edge: u32, of: &Edge) -> Link {
        Link {
            a,
            b,
            edge,
            cap: of.limit(),
            one_way: of.one_way,
        }
    }

    fn is_solid(&self) -> bool {
        !self.one_way && self.cap == f64::INFINITY
    }

    /// The other end for a current that comes from `from`, if it may.
    fn onward(&self, from: u32) -> Option<u32> {
        if self.a == from {
            Some(self.b)
        } else {
            (self.b == from && !self.one_way).then_some(self.a)
        }
    }

    pub(super) fn arcs(&self) -> impl Iterator<Item = (u32, u32)> {
        [
            Some((self.a, self.b)),
            (!self.one_way).then_some((self.b, self.a)),
        ]
        .into_iter()
        .flatten()
    }
}

/// A block with what its nodes are fed from outside it.
#[derive(Debug, Default)]
pub(super) struct Block {
    pub(super) feeds: Vec<Feed>,
    pub(super) links: Vec<Link>,
}

impl Block {
    /// Empties it, keeping its memory: a boat has a block for nearly every conductor.
    pub(super) fn clear(&mut self) {
        self.feeds.clear();
        self.links.clear();
    }

    /// What reaches one node from the other nodes.
    pub(super) fn give(&self, target: u32) -> Feed {
        if self.feeds.len() > 2 && self.is_large() {
            return self.give_safely()[target as usize];
        }
        Feed {
            amps: self.flow(NONE, &[target]),
            way: self.widest(NONE, target),
        }
    }

    /// What reaches each node from the others.
    pub(super) fn give_each(&self) -> Vec<Feed> {
        if self.feeds.len() == 2 {
            return vec![self.give(0), self.give(1)];
        }
        if self.is_large() {
            return self.give_safely();
        }
        let fed = |&n: &u32| self.feeds[n as usize] != Feed::NONE;
        let idle = (0..self.feeds.len() as u32)
            .any(|n| !fed(&n))
            .then(|| self.ways(NONE, NONE));
        let mut gives = vec![Feed::NONE; self.feeds.len()];
        for members in self.members(&self.zones(NONE)) {
            let outside = self.flow_between(NONE, &members[..1]);
            let own: Vec<Feed> = members.iter().map(|&n| self.feeds[n as usize]).collect();
            for (&node, beside) in members.iter().zip(all_but_each(&own)) {
                let way = match &idle {
                    Some(ways) if !fed(&node) => ways[node as usize],
                    _ => self.widest(NONE, node),
                };
                gives[node as usize] = Feed {
                    amps: beside.amps + outside,
                    way,
                };
            }
        }
        gives
    }

    /// What each link must bear, in the order of the links.
    pub(super) fn sustained(&self) -> Vec<Sustained> {
        if let [_] = self.links[..] {
            return vec![self.bear(0)];
        }
        if self.feeds.len() > 2 && self.is_large() {
            return self.sustained_safely();
        }
        let class = self.classes();
        let mut known: Vec<Option<Sustained>> = vec![None; self.links.len()];
        (0..self.links.len() as u32)
            .map(|link| {
                *known[class[link as usize] as usize].get_or_insert_with(|| self.bear(link))
            })
            .collect()
    }

    fn bear(&self, link: u32) -> Sustained {
        let Link { a, b, .. } = self.links[link as usize];
        let (at_a, at_b) = (self.feeds[a as usize], self.feeds[b as usize]);
        let to_a = at_a.amps + self.flow(link, &[a]);
        let to_b = at_b.amps + self.flow(link, &[b]);
        let amps = to_a.max(to_b);
        // A block of one link leaves its ends parted.
        let ring_amps = if self.links.len() == 1 {
            amps
        } else {
            at_a.amps + at_b.amps + self.flow(link, &[a, b])
        };
        let way = |end: u32| self.feeds[end as usize].way.better(self.widest(link, end));
        let worse = [(to_a, a), (to_b, b)]
            .into_iter()
            .filter(|(to, _)| *to >= amps * EQUAL)
            .map(|(_, end)| way(end));
        let named = amps > 0.0 && amps < f64::INFINITY;
        let device = if named {
            worse.min_by(Way::rank).and_then(|w| w.device).map(|d| d.1)
        } else {
            None
        };
        Sustained {
            amps,
            ring_amps: ring_amps.max(amps),
            device,
        }
    }

    /// Links that bear the same: those of one chain of conductors with nothing attached between
    /// them. Without one of them the others still join its ends to the same two places.
    pub(super) fn classes(&self) -> Vec<u32> {
        let mut same = Union::new(self.links.len());
        let mut first = vec![NONE; self.feeds.len()];
        let mut count = vec![0u32; self.feeds.len()];
        for link in &self.links {
            for end in [link.a, link.b] {
                count[end as usize] += if link.is_solid() { 1 } else { 3 };
            }
        }
        for (k, link) in (0u32..).zip(&self.links) {
            for end in [link.a as usize, link.b as usize] {
                if count[end] == 2 && self.feeds[end] == Feed::NONE {
                    if first[end] == NONE {
                        first[end] = k;
                    } else {
                        same.join(first[end], k, 0.0);
                    }
                }
            }
        }
        (0..self.links.len() as u32).map(|k| same.root(k)).collect()
    }

    /// The zone of each node: nodes joined by conductors alone, without the link that is out.
    pub(super) fn zones(&self, out: u32) -> Vec<u32> {
        let mut sets = Union::new(self.feeds.len());
        for (_, link) in self.links_but(out).filter(|(_, l)| l.is_solid()) {
            sets.join(link.a, link.b, 0.0);
        }
        (0..self.feeds.len() as u32).map(|n| sets.root(n)).collect()
    }

    /// The nodes of each zone.
    pub(super) fn members(&self, zone: &[u32]) -> Vec<Vec<u32>> {
        let mut members: Vec<Vec<u32>> = vec![Vec::new(); self.feeds.len()];
        for (node, &z) in (0u32..).zip(zone) {
            members[z as usize].push(node);
        }
        members.retain(|m| !m.is_empty());
        members
    }

    fn links_but(&self, out: u32) -> impl Iterator<Item = (u32, &Link)> {
        (0u32..).zip(&self.links).filter(move |(k, _)| *k != out)
    }

    /// The most that reaches the targets together from all other nodes.
    fn flow(&self, out: u32, targets: &[u32]) -> f64 {
        if let (2, [target]) = (self.feeds.len(), targets) {
            return self.flow_across(out, *target);
        }
        let zone = self.zones(out);
        let at_target = |n: u32| {
            targets
                .iter()
                .any(|&t| zone[t as usize] == zone[n as usize])
        };
        let beside = (0u32..)
            .zip(&self.feeds)
            .filter(|&(n, _)| at_target(n) && !targets.contains(&n));
        beside.map(|(_, f)| f.amps).sum::<f64>() + self.flow_between(out, targets)
    }

    /// The most that reaches the zones of the targets together from all other zones.
    fn flow_between(&self, out: u32, targets: &[u32]) -> f64 {
        let mut place = Places::new(self.zones(out), targets);
        let mut supply = vec![0.0; self.feeds.len() + 2];
        for (node, feed) in (0u32..).zip(&self.feeds).filter(|(_, f)| f.amps > 0.0) {
            supply[place.of(node) as usize] += feed.amps;
        }
        let mut arcs: Vec<Arc> = Vec::new();
        for (_, link) in self.links_but(out) {
            for (from, to) in link
                .arcs()
                .map(|(f, t)| (place.of(f), place.of(t)))
                .filter(|(f, t)| f != t)
            {
                arcs.push((from, to, link.cap));
            }
        }
        let fed = (0u32..)
            .zip(&supply)
            .filter(|&(at, &s)| at != Places::TARGET && s > 0.0);
        arcs.extend(fed.map(|(at, &s)| (Places::SOURCE, at, s)));
        max_flow(place.count, &arcs, Places::SOURCE, Places::TARGET)
    }

    /// The flow between two nodes over links side by side.
    fn flow_across(&self, out: u32, target: u32) -> f64 {
        let from = 1 - target;
        let open = self
            .links_but(out)
            .filter(|(_, l)| l.onward(from).is_some());
        open.map(|(_, l)| l.cap)
            .sum::<f64>()
            .min(self.feeds[from as usize].amps)
    }

    /// The widest way to a node from the others.
    fn widest(&self, out: u32, target: u32) -> Way {
        if self.feeds.len() > 2 {
            return self.ways(out, target)[target as usize];
        }
        let from = 1 - target;
        let open = self
            .links_but(out)
            .filter(|(_, l)| l.onward(from).is_some());
        let ways = open.map(|(_, l)| self.feeds[from as usize].way.through(l.cap, l.edge));
        ways.fold(Feed::NONE.way, Way::better)
    }

    /// The widest way to every node, from all feeds but those of `without` (Dijkstra's order,
    /// widest first).
    pub(super) fn ways(&self, out: u32, without: u32) -> Vec<Way> {
        let links = (0u32..).zip(&self.links).map(|(k, l)| (k, l.a, l.b));
        let ways = Ways::new(self.feeds.len() as u32, links);
        let mut best = vec![Feed::NONE.way; self.feeds.len()];
        let mut done = vec![false; self.feeds.len()];
        let fed = (0u32..)
            .zip(&self.feeds)
            .filter(|(n, f)| *n != without && f.way.width > 0.0);
        let mut queue: BinaryHeap<Reached> =
            fed.map(|(node, f)| Reached { way: f.way, node }).collect();
        while let Some(Reached { way, node }) = queue.pop() {
            if std::mem::replace(&mut done[node as usize], true) {
                continue;
            }
            best[node as usize] = way;
            for &(_, k) in ways.at(node) {
                let link = &self.links[k as usize];
                let Some(node) = link.onward(node).filter(|n| k != out && !done[*n as usize])
                else {
                    continue;
                };
                let way = way.through(link.cap, link.edge);
                if way.width > 0.0 {
                    queue.push(Reached { way, node });
                }
            }
        }
        best
    }
}

/// A node of the widest-way queue.
#[derive(PartialEq)]
struct Reached {
    way: Way,
    node: u32,
}

impl Eq for Reached {}

impl PartialOrd for Reached {
    fn partial_cmp(&self, other: &Reached) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Reached {
    fn cmp(&self, other: &Reached) -> std::cmp::Ordering {
        self.way.rank(&other.way).then(other.node.cmp(&self.node))
    }
}

/// The nodes of the flow network: the source, the targets as one, and every other zone once asked
/// for.
struct Places {
    zone: Vec<u32>,
    place: Vec<u32>,
    count: u32,
}

impl Places {
    const SOURCE: u32 = 0;
    const TARGET: u32 = 1;

    fn new(zone: Vec<u32>, targets: &[u32]) -> Places {
        let mut place = vec![NONE; zone.len()];
        for &t in targets {
            place[zone[t as usize] as usize] = Places::TARGET;
        }
        Places {
            zone,
            place,
            count: 2,
        }
    }

    fn of(&mut self, node: u32) -> u32 {
        let place = &mut self.place[self.zone[node as usize] as usize];
        if *place == NONE {
            *place = self.count;
            self.count += 1;
        }
        *place
    }
}
