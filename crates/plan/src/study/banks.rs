//! Banks: batteries of which one is reached from another by conductors, bars and joints alone.

use petgraph::{
    graph::{EdgeIndex, NodeIndex},
    unionfind::UnionFind,
    visit::IntoNodeReferences,
};
use rustc_hash::{FxHashMap, FxHashSet};

use super::joined::Joined;
use crate::{
    model::PartId,
    wiring::{Link, SupplyKind, Wiring},
};

/// Batteries joined without a device between: one stiff source by the rule.
#[derive(Clone, Debug)]
pub struct Bank {
    /// Its batteries, in the order of the text.
    pub batteries: Vec<PartId>,
    /// Its supplies (one a battery), indices into [`Wiring::supplies`].
    pub supplies: Vec<u32>,
    /// Where each of them stands, in the same order.
    pub stands: Vec<Standing>,
    /// The `+` posts at its top.
    pub tops: Vec<NodeIndex>,
    /// The `-` posts at its bottom.
    pub bottoms: Vec<NodeIndex>,
    /// Its nominal voltage, V.
    pub volts: f64,
    /// Its links: the conductors that join its posts, indices into [`Wiring::conductors`].
    pub links: Vec<u32>,
}

/// Where a battery stands in its bank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// The piece that conductors alone join its `+` to: equal ones are joined.
    pub plus: u32,
    /// The piece of its `-`.
    pub minus: u32,
    /// Volts of its `+` above the bank's bottom.
    pub level: f64,
    /// Its own nominal voltage, V.
    pub volts: f64,
}

/// The banks of a plan.
#[derive(Clone, Debug, Default)]
pub struct Banks {
    /// The banks.
    pub list: Vec<Bank>,
    /// For each conductor the bank whose link it is.
    pub link_of: Vec<Option<u32>>,
    /// For each supply its bank.
    pub of_supply: FxHashMap<u32, u32>,
    /// Nodes between a bank's series blocks, with the volts above the bank's bottom.
    pub taps: Vec<(NodeIndex, f64)>,
}

/// One battery while banks are formed.
struct Block {
    supply: u32,
    plus: u32,
    minus: u32,
    volts: f64,
}

impl Block {
    /// Its two posts are joined by conductors alone: it is a block above and below nothing.
    const fn is_shorted(&self) -> bool {
        self.plus == self.minus
    }
}

impl Banks {
    /// Finds the banks. `system` is the voltage of a battery that gives none.
    pub fn of(wiring: &Wiring, system: f64) -> Self {
        let bare = bare_components(wiring);
        let blocks = blocks(wiring, &bare, system);
        let mut sets = UnionFind::<usize>::new(blocks.len());
        join_blocks(&blocks, &mut sets);
        let mut groups: Vec<Vec<usize>> = Vec::new();
        let mut group_of: FxHashMap<usize, usize> = FxHashMap::default();
        for index in 0..blocks.len() {
            let group = *group_of.entry(sets.find(index)).or_insert_with(|| {
                groups.push(Vec::new());
                groups.len() - 1
            });
            groups[group].push(index);
        }
        let mut banks = Self {
            link_of: vec![None; wiring.conductors.len()],
            ..Self::default()
        };
        let is_conductor = |_, link: &Link| matches!(link, Link::Conductor(_));
        let joined = Joined::of(wiring, is_conductor);
        for group in groups {
            banks.add(wiring, &blocks, &group, &joined);
        }
        banks
    }

    fn add(&mut self, wiring: &Wiring, blocks: &[Block], group: &[usize], joined: &Joined) {
        let levels = levels(blocks, group);
        let mut bank = Bank {
            batteries: Vec::new(),
            supplies: Vec::new(),
            stands: Vec::new(),
            tops: Vec::new(),
            bottoms: Vec::new(),
            volts: 0.0,
            links: Vec::new(),
        };
        let sound = || {
            group
                .iter()
                .map(|&index| &blocks[index])
                .filter(|block| !block.is_shorted())
        };
        let pluses: FxHashSet<u32> = sound().map(|block| block.plus).collect();
        let minuses: FxHashSet<u32> = sound().map(|block| block.minus).collect();
        bank.volts = levels.values().copied().fold(0.0, f64::max);
        for &index in group {
            let block = &blocks[index];
            let supply = &wiring.supplies[block.supply as usize];
            bank.batteries.push(supply.part);
            bank.supplies.push(block.supply);
            self.of_supply.insert(block.supply, self.list.len() as u32);
            let level = levels.get(&block.plus).copied().unwrap_or(block.volts);
            bank.stands.push(Standing {
                plus: block.plus,
                minus: block.minus,
                level,
                volts: block.volts,
            });
            if minuses.contains(&block.plus) {
                self.taps.push((supply.plus, level));
            } else {
                bank.tops.push(supply.plus);
            }
            if !pluses.contains(&block.minus) {
                bank.bottoms.push(supply.minus);
            }
        }
        if group.len() > 1 {
            bank.links = links(wiring, blocks, group, joined);
            for &link in &bank.links {
                self.link_of[link as usize] = Some(self.list.len() as u32);
            }
        }
        self.list.push(bank);
    }
}

/// Components by conductors alone: bars and joints are single nodes already.
fn bare_components(wiring: &Wiring) -> Vec<u32> {
    let mut sets = UnionFind::<u32>::new(wiring.graph.node_count());
    for conductor in wiring
        .conductors
        .iter()
        .filter(|conductor| conductor.edge != petgraph::graph::EdgeIndex::end())
    {
        sets.union(conductor.from.index() as u32, conductor.to.index() as u32);
    }
    wiring
        .graph
        .node_references()
        .map(|(node, _)| sets.find_mut(node.index() as u32))
        .collect()
}

fn blocks(wiring: &Wiring, bare: &[u32], system: f64) -> Vec<Block> {
    let batteries = wiring
        .supplies
        .iter()
        .enumerate()
        .filter(|(_, supply)| supply.kind == SupplyKind::Battery);
    batteries
        .map(|(index, supply)| Block {
            supply: index as u32,
            plus: bare[supply.plus.index()],
            minus: bare[supply.minus.index()],
            volts: supply.volts.unwrap_or(system),
        })
        .collect()
}

/// + to + is parallel, + to - is series; - to - alone joins nothing: banks share their negative bar.
fn join_blocks(blocks: &[Block], sets: &mut UnionFind<usize>) {
    let mut by_plus: FxHashMap<u32, usize> = FxHashMap::default();
    for (index, block) in blocks.iter().enumerate() {
        if let Some(&other) = by_plus.get(&block.plus) {
            sets.union(index, other);
        } else {
            by_plus.insert(block.plus, index);
        }
    }
    for (index, block) in blocks.iter().enumerate() {
        if let Some(&below) = by_plus.get(&block.minus).filter(|&&below| below != index) {
            sets.union(index, below);
        }
    }
}

/// Volts above the bank's bottom of each component a block's `+` lies in.
fn levels(blocks: &[Block], group: &[usize]) -> FxHashMap<u32, f64> {
    let sound = group
        .iter()
        .map(|&index| &blocks[index])
        .filter(|block| !block.is_shorted());
    let pluses: FxHashSet<u32> = sound.map(|block| block.plus).collect();
    let mut levels: FxHashMap<u32, f64> = FxHashMap::default();
    for &index in group {
        if !pluses.contains(&blocks[index].minus) {
            levels.insert(blocks[index].minus, 0.0);
        }
    }
    // As many rounds as a chain is long; a ring of batteries settles nothing and ends too.
    for _ in 0..group.len().min(MOST_IN_SERIES) {
        for &index in group {
            let block = &blocks[index];
            if let (Some(&below), false) =
                (levels.get(&block.minus), levels.contains_key(&block.plus))
            {
                levels.insert(block.plus, below + block.volts);
            }
        }
    }
    levels
}

/// Longer chains than this exceed any voltage this tool speaks of.
const MOST_IN_SERIES: usize = 64;

/// The conductors on the ways between a bank's posts, rings counted in.
fn links(wiring: &Wiring, blocks: &[Block], group: &[usize], joined: &Joined) -> Vec<u32> {
    let supplies = group
        .iter()
        .map(|&index| &wiring.supplies[blocks[index].supply as usize]);
    let posts = supplies.flat_map(|supply| [supply.plus, supply.minus]);
    let between = joined.between(posts);
    let edges = between.iter().flat_map(|&block| joined.blocks.edges(block));
    let mut links: Vec<u32> = edges
        .filter_map(
            |&edge| match wiring.graph.edge_weight(EdgeIndex::new(edge as usize))? {
                Link::Conductor(index) => Some(*index),
                _ => None,
            },
        )
        .collect();
    links.sort_unstable();
    links
}
