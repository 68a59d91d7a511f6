//! The sustained current of every edge of the live net.
//!
//! Conductors on rings of conductors alone are one place: taking one of them out changes nothing.
//! What remains is a tree of blocks. What each block gives to each of its nodes is found in two
//! sweeps over that tree, up and down, so bridges and parallel devices cost a sum. Only a block of
//! three or more nodes (a ring with a device, a diode or a source's lead in it) needs maximum
//! flows: one per zone between devices, and three per class of edges.
//!
//! The worst case is therefore one ring of `n` devices in series: `n` times the flow through a ring
//! of `n`. Beyond a budget a block gets the safe reading of [`super::bound`], at least the flow, in
//! near-linear time.

use super::block::{Block, Link};
use super::blocks::Blocks;
use super::feed::{Feed, all_but_each};
use super::union::Union;
use super::{LiveNet, NONE, Sustained, clean};

/// What each edge of the net must bear for ever, in the order of the edges.
pub fn sustained(net: &LiveNet<'_>) -> Vec<Sustained> {
    let tree = Tree::new(net);
    let (up, gives) = tree.sweep_up();
    tree.sweep_down(&up, &gives)
}

/// The blocks of the live net over its places.
struct Tree<'a> {
    net: &'a LiveNet<'a>,
    /// Place of each node.
    place: Vec<u32>,
    own: Vec<Feed>,
    /// The edge of each of the blocks' edges.
    edges: Vec<u32>,
    ends: Vec<(u32, u32)>,
    blocks: Blocks,
}

impl<'a> Tree<'a> {
    fn new(net: &'a LiveNet<'a>) -> Tree<'a> {
        let (place, places) = places(net);
        let mut own = vec![Feed::NONE; places as usize];
        for &(node, amps) in net.sources.iter().filter(|s| s.0 < net.nodes) {
            let at = &mut own[place[node as usize] as usize];
            *at = at.and(Feed::source(clean(amps)));
        }
        let (mut edges, mut ends) = (Vec::new(), Vec::new());
        for (k, e) in (0u32..).zip(net.edges).filter(|(_, e)| e.is_in(net.nodes)) {
            let (a, b) = (place[e.a as usize], place[e.b as usize]);
            if a != b {
                edges.push(k);
                ends.push((a, b));
            }
        }
        let blocks = Blocks::new(places, &ends);
        Tree {
            net,
            place,
            own,
            edges,
            ends,
            blocks,
        }
    }

    /// What feeds each place from itself and from below it, and what each block gives to its top.
    fn sweep_up(&self) -> (Vec<Feed>, Vec<Feed>) {
        let mut up = self.own.clone();
        let (mut local, mut part) = (vec![NONE; up.len()], Block::default());
        let mut gives = Vec::with_capacity(self.blocks.count() as usize);
        for block in 0..self.blocks.count() {
            let top = self.blocks.top[block as usize] as usize;
            self.fill(&mut part, block, Feed::NONE, &up, &mut local);
            let give = part.give(0);
            up[top] = up[top].and(give);
            gives.push(give);
        }
        (up, gives)
    }

    fn sweep_down(&self, up: &[Feed], gives: &[Feed]) -> Vec<Sustained> {
        let (mut local, mut part) = (vec![NONE; up.len()], Block::default());
        let mut down = vec![Feed::NONE; up.len()];
        let beside = self.beside(gives);
        let mut out = vec![Sustained::NOTHING; self.net.edges.len()];
        for block in (0..self.blocks.count()).rev() {
            let top = self.blocks.top[block as usize] as usize;
            let at_top = self.own[top].and(beside[block as usize]).and(down[top]);
            self.fill(&mut part, block, at_top, up, &mut local);
            for (&node, give) in self
                .blocks
                .hanging(block)
                .iter()
                .zip(part.give_each().iter().skip(1))
            {
                down[node as usize] = *give;
            }
            for (link, bears) in part.links.iter().zip(part.sustained()) {
                out[link.edge as usize] = bears;
            }
        }
        self.report_places(up, &down, &mut out);
        out
    }

    /// Edges within one place bear what reaches it.
    fn report_places(&self, up: &[Feed], down: &[Feed], out: &mut [Sustained]) {
        for (e, bears) in self
            .net
            .edges
            .iter()
            .zip(out)
            .filter(|(e, _)| e.is_in(self.net.nodes))
        {
            let at = self.place[e.a as usize];
            if at == self.place[e.b as usize] {
                let feed = up[at as usize].and(down[at as usize]);
                let named = feed.amps > 0.0 && feed.amps < f64::INFINITY;
                let device = feed.way.device.filter(|_| named).map(|d| d.1);
                *bears = Sustained {
                    amps: feed.amps,
                    ring_amps: feed.amps,
                    device,
                };
            }
        }
    }

    /// For each block what the other blocks hanging from its top give to it.
    fn beside(&self, gives: &[Feed]) -> Vec<Feed> {
        let mut order: Vec<u32> = (0..self.blocks.count()).collect();
        order.sort_by_key(|&b| (self.blocks.top[b as usize], b));
        let mut beside = vec![Feed::NONE; gives.len()];
        for same in
            order.chunk_by(|a, b| self.blocks.top[*a as usize] == self.blocks.top[*b as usize])
        {
            let feeds: Vec<Feed> = same.iter().map(|&b| gives[b as usize]).collect();
            for (&b, rest) in same.iter().zip(all_but_each(&feeds)) {
                beside[b as usize] = rest;
            }
        }
        beside
    }

    /// Fills in a block with its top as node 0 and the nodes that hang in it after.
    fn fill(&self, part: &mut Block, block: u32, at_top: Feed, up: &[Feed], local: &mut [u32]) {
        local[self.blocks.top[block as usize] as usize] = 0;
        part.clear();
        part.feeds.push(at_top);
        for (k, &node) in (1u32..).zip(self.blocks.hanging(block)) {
            local[node as usize] = k;
            part.feeds.push(up[node as usize]);
        }
        for &k in self.blocks.edges(block) {
            let ((a, b), edge) = (self.ends[k as usize], self.edges[k as usize]);
            let (a, b) = (local[a as usize], local[b as usize]);
            part.links
                .push(Link::new(a, b, edge, &self.net.edges[edge as usize]));
        }
    }
}

/// The place of each node: nodes on rings of conductors alone share one.
fn places(net: &LiveNet<'_>) -> (Vec<u32>, u32) {
    let solid = net
        .edges
        .iter()
        .filter(|e| e.is_in(net.nodes) && e.is_solid());
    let ends: Vec<(u32, u32)> = solid.map(|e| (e.a, e.b)).collect();
    let rings = Blocks::new(net.nodes, &ends);
    let mut sets = Union::new(net.nodes as usize);
    for edges in (0..rings.count())
        .map(|b| rings.edges(b))
        .filter(|e| e.len() > 1)
    {
        for &edge in edges {
            sets.join(ends[edge as usize].0, ends[edge as usize].1, 0.0);
        }
    }
    let mut number = vec![NONE; net.nodes as usize];
    let mut count = 0;
    let mut label = |node| {
        let of = &mut number[sets.root(node) as usize];
        if *of == NONE {
            *of = count;
            count += 1;
        }
        *of
    };
    let place = (0..net.nodes).map(&mut label).collect();
    (place, count)
}
