//! `short-circuit`: plus and minus of one source joined by conductors and contacts alone.
//!
//! Which conductor is the wrong one is told by what lies at its ends: from every terminal whose
//! side is known by its name (posts, loads, bars, panels) the sides spread until they meet.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use ampwright_notation::{Key, Kind};
use petgraph::{graph::NodeIndex, unionfind::UnionFind};
use rustc_hash::FxHashMap;

use super::{super::registry::Code, ground::Ground};
use crate::{
    finding::Finding,
    wiring::{Link, Term},
};

/// The posts of the sources that are shorted in one piece of the wiring.
#[derive(Default)]
struct Shorted {
    plus: Vec<NodeIndex>,
    minus: Vec<NodeIndex>,
}

pub(super) fn find(ground: &Ground<'_>, found: &mut Vec<Finding>) {
    rings(ground, found);
    let shorted = shorted(ground);
    if shorted.is_empty() {
        return;
    }
    let mut meeting = Spread::of(ground, &shorted, &hints(ground)).joints(&shorted);
    let piece = |conductor: u32| {
        let wired = &ground.desk.plan.wiring.conductors[conductor as usize];
        ground.solid[wired.from.index()]
    };
    let told: BTreeSet<u32> = meeting.iter().map(|&conductor| piece(conductor)).collect();
    if shorted.keys().any(|piece| !told.contains(piece)) {
        let bare = Spread::of(ground, &shorted, &[]).joints(&shorted);
        meeting.extend(bare.into_iter().filter(|&one| !told.contains(&piece(one))));
    }
    for conductor in meeting {
        if let Some(posts) = shorted.get(&piece(conductor)) {
            found.push(short(ground, posts, conductor));
        }
    }
}

fn short(ground: &Ground<'_>, posts: &Shorted, conductor: u32) -> Finding {
    let desk = ground.desk;
    let wired = &desk.plan.wiring.conductors[conductor as usize];
    let post = |list: &[NodeIndex]| {
        list.first()
            .map_or_else(String::new, |&node| desk.node_name(node))
    };
    let (from, to) = (desk.node_name(wired.from), desk.node_name(wired.to));
    let (plus, minus) = (post(&posts.plus), post(&posts.minus));
    let posts_themselves = [&from, &to] == [&plus, &minus] || [&to, &from] == [&plus, &minus];
    let and_so = if posts_themselves {
        String::new()
    } else {
        format!(", and with that {plus} to {minus}")
    };
    let message = format!(
        "This conductor joins {from} to {to}{and_so} with no load between: take it out, or land it on its own side.",
    );
    let mut finding = Finding::new(Code::ShortCircuit, wired.site, message);
    for part in posts
        .plus
        .iter()
        .take(4)
        .filter_map(|&node| ground.part(node))
    {
        finding = finding.beside(desk.name_site(part), "what is shorted");
    }
    finding
}

/// Batteries whose links close a ring: each + on the other's -.
fn rings(ground: &Ground<'_>, found: &mut Vec<Finding>) {
    let plan = ground.desk.plan;
    for bank in &plan.study.base.banks.list {
        let (true, Some(&link)) = (bank.tops.is_empty(), bank.links.first()) else {
            continue;
        };
        let shorted_alone = bank.supplies.iter().any(|&supply| {
            let supply = &plan.wiring.supplies[supply as usize];
            ground.solid[supply.plus.index()] == ground.solid[supply.minus.index()]
        });
        if shorted_alone {
            continue;
        }
        let message = format!(
            "{} form a ring, + to - all the way round, and short each other: join + to + and - to -, or leave the ring open.",
            ground.names(&bank.batteries),
        );
        let mut finding = Finding::new(
            Code::ShortCircuit,
            plan.wiring.conductors[link as usize].site,
            message,
        );
        for &other in bank.links.iter().skip(1).take(4) {
            finding = finding.beside(
                plan.wiring.conductors[other as usize].site,
                "part of the ring",
            );
        }
        found.push(finding);
    }
}

/// Per piece the posts of what is shorted in it.
fn shorted(ground: &Ground<'_>) -> BTreeMap<u32, Shorted> {
    let plan = ground.desk.plan;
    let mut shorted: BTreeMap<u32, Shorted> = BTreeMap::new();
    let mut pair = |plus: NodeIndex, minus: NodeIndex| {
        let piece = ground.solid[plus.index()];
        if piece == ground.solid[minus.index()] && plus != minus {
            let entry = shorted.entry(piece).or_default();
            entry.plus.push(plus);
            entry.minus.push(minus);
        }
    };
    for supply in &plan.wiring.supplies {
        pair(supply.plus, supply.minus);
    }
    for bank in &plan.study.base.banks.list {
        for &top in &bank.tops {
            let bottoms = bank.bottoms.iter();
            for &bottom in bottoms
                .filter(|bottom| ground.part(**bottom) != ground.part(top))
                .take(1)
            {
                pair(top, bottom);
            }
        }
    }
    shorted
}

/// The terminals whose side their names tell: true for the plus side.
fn hints(ground: &Ground<'_>) -> Vec<(NodeIndex, bool)> {
    let plan = ground.desk.plan;
    let draws = plan.wiring.draws.iter();
    let mut hints: Vec<(NodeIndex, bool)> = draws
        .flat_map(|draw| [(draw.plus, true), (draw.minus, false)])
        .collect();
    for (id, part) in plan.model.ids() {
        let (node, plus) = match part.kind {
            Kind::Panel => (plan.wiring.terminal(id, Term::Feed(1)), true),
            Kind::Block => (plan.wiring.terminal(id, Term::Bar), false),
            Kind::Busbar => (
                plan.wiring.terminal(id, Term::Bar),
                ground.desk.circuit.facts(id).word(Key::Polarity) == Some("positive"),
            ),
            _ => continue,
        };
        hints.extend(node.map(|node| (node, plus)));
    }
    hints
}

/// The two sides spread over the shorted pieces. Contacts count for nothing: both their ends are one.
struct Spread<'a> {
    ground: &'a Ground<'a>,
    /// The group of each node: what contacts make one.
    group: UnionFind<u32>,
    /// The side of each group.
    side: FxHashMap<u32, bool>,
    /// The conductors of the shorted pieces.
    conductors: Vec<u32>,
}

impl<'a> Spread<'a> {
    fn of(
        ground: &'a Ground<'a>,
        shorted: &BTreeMap<u32, Shorted>,
        hints: &[(NodeIndex, bool)],
    ) -> Self {
        let wiring = &ground.desk.plan.wiring;
        let here = |node: NodeIndex| shorted.contains_key(&ground.solid[node.index()]);
        let mut group = UnionFind::<u32>::new(wiring.graph.node_count());
        for edge in wiring.graph.raw_edges() {
            let joins = matches!(edge.weight, Link::Contact(_) | Link::Inside);
            if joins && here(edge.source()) {
                group.union(edge.source().index() as u32, edge.target().index() as u32);
            }
        }
        let known = |index: &u32| {
            let wired = &wiring.conductors[*index as usize];
            let unread = [wired.from, wired.to]
                .iter()
                .any(|&end| wiring.graph[end].term == Term::Unknown);
            here(wired.from) && !unread
        };
        let mut spread = Self {
            ground,
            group,
            side: FxHashMap::default(),
            conductors: (0..wiring.conductors.len() as u32).filter(known).collect(),
        };
        let posts = shorted.values().flat_map(|posts| {
            let plus = posts.plus.iter().map(|&node| (node, true));
            plus.chain(posts.minus.iter().map(|&node| (node, false)))
        });
        let hinted = hints.iter().copied().filter(|&(node, _)| here(node));
        spread.run(posts.chain(hinted));
        spread
    }

    fn group_of(&self, node: NodeIndex) -> u32 {
        self.group.find(node.index() as u32)
    }

    fn ends(&self, conductor: u32) -> (u32, u32) {
        let wired = &self.ground.desk.plan.wiring.conductors[conductor as usize];
        (self.group_of(wired.from), self.group_of(wired.to))
    }

    fn run(&mut self, seeds: impl Iterator<Item = (NodeIndex, bool)>) {
        let mut next: FxHashMap<u32, Vec<u32>> = FxHashMap::default();
        for &conductor in &self.conductors {
            let (a, b) = self.ends(conductor);
            next.entry(a).or_default().push(b);
            next.entry(b).or_default().push(a);
        }
        let mut queue = VecDeque::new();
        for (node, plus) in seeds {
            let group = self.group_of(node);
            self.side.entry(group).or_insert_with(|| {
                queue.push_back(group);
                plus
            });
        }
        while let Some(group) = queue.pop_front() {
            let side = self.side[&group];
            for &other in next.get(&group).into_iter().flatten() {
                self.side.entry(other).or_insert_with(|| {
                    queue.push_back(other);
                    side
                });
            }
        }
    }

    /// The conductors where the plus region of a post meets the minus region of one. A region that
    /// holds no post (a load wired the wrong way round) is no side of the short.
    fn joints(&self, shorted: &BTreeMap<u32, Shorted>) -> Vec<u32> {
        let mut regions = UnionFind::<u32>::new(self.group.len());
        for &conductor in &self.conductors {
            let (a, b) = self.ends(conductor);
            if self.side.get(&a) == self.side.get(&b) {
                regions.union(a, b);
            }
        }
        let region = |&node: &NodeIndex| regions.find(self.group_of(node));
        let posts = || shorted.values();
        let plus: BTreeSet<u32> = posts().flat_map(|posts| &posts.plus).map(region).collect();
        let minus: BTreeSet<u32> = posts().flat_map(|posts| &posts.minus).map(region).collect();
        let meets = |conductor: &u32| {
            let (a, b) = self.ends(*conductor);
            let (a, b) = (regions.find(a), regions.find(b));
            a != b
                && ((plus.contains(&a) && minus.contains(&b))
                    || (plus.contains(&b) && minus.contains(&a)))
        };
        self.conductors.iter().copied().filter(meets).collect()
    }
}
