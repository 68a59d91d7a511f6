//! A block of the core as chains: runs of branches in series between joints, the nodes where three
//! or more branches meet. A ring has none, so one of its nodes is made one.

use super::NONE;
use crate::flow::ways::Ways;

/// Branches in series.
#[derive(Debug)]
pub(super) struct Chain {
    /// The joints it runs between; one and the same in a ring.
    pub(super) from: u32,
    pub(super) to: u32,
    /// Its span in [`Chains::edges`].
    pub(super) start: u32,
    pub(super) end: u32,
    /// Zero where all its branches are of no ohms.
    pub(super) ohms: f64,
}

/// Where a node lies in its block.
#[derive(Debug, Clone, Copy)]
pub(super) enum Seat {
    Joint(u32),
    /// After so many edges of a chain, and after this part of its ohms; of its edges where it has
    /// none.
    Inside {
        chain: u32,
        after: u32,
        part: f64,
    },
}

#[derive(Debug)]
pub(super) struct Chains {
    pub(super) joints: u32,
    pub(super) list: Vec<Chain>,
    /// Edges of the core, chain by chain.
    pub(super) edges: Vec<u32>,
    /// By place in the block.
    seats: Vec<Seat>,
}

/// The core's graph, its ohms, and room for the place of each node in the block at hand.
#[derive(Debug)]
pub(super) struct Graph<'a> {
    pub(super) ends: &'a [(u32, u32)],
    pub(super) ohms: Vec<f64>,
    pub(super) place: Vec<u32>,
}

impl Chains {
    /// The chains of the block with these nodes and edges; `graph.place` is theirs until the next
    /// block's.
    pub(super) fn new(
        nodes: impl Iterator<Item = u32>,
        edges: &[u32],
        graph: &mut Graph<'_>,
    ) -> Chains {
        let mut count = 0;
        for node in nodes {
            graph.place[node as usize] = count;
            count += 1;
        }
        let placed = (0u32..).zip(edges).map(|(k, &edge)| {
            let (a, b) = graph.ends[edge as usize];
            (k, graph.place[a as usize], graph.place[b as usize])
        });
        let ways = Ways::new(count, placed);
        let joints = joints(count, &ways);
        let mut chains = Chains {
            joints: joints.len() as u32,
            list: Vec::new(),
            edges: Vec::with_capacity(edges.len()),
            seats: vec![Seat::Joint(NONE); count as usize],
        };
        for (number, &node) in (0u32..).zip(&joints) {
            chains.seats[node as usize] = Seat::Joint(number);
        }
        chains.follow_all(&joints, &ways, edges, &graph.ohms);
        chains
    }

    pub(super) fn seat(&self, node: u32, graph: &Graph<'_>) -> Seat {
        self.seats[graph.place[node as usize] as usize]
    }

    /// The joint at a place, None inside a chain.
    fn joint(&self, place: u32) -> Option<u32> {
        match self.seats[place as usize] {
            Seat::Joint(joint) if joint != NONE => Some(joint),
            _ => None,
        }
    }

    fn follow_all(&mut self, joints: &[u32], ways: &Ways, edges: &[u32], ohms: &[f64]) {
        let mut used = vec![false; edges.len()];
        for &joint in joints {
            for &way in ways.at(joint) {
                if !used[way.1 as usize] {
                    let path = follow(self, way, ways, &mut used);
                    self.add(joint, &path, edges, ohms);
                }
            }
        }
    }

    /// Adds the chain of a path of `(node reached, edge)`.
    fn add(&mut self, from: u32, path: &[(u32, u32)], edges: &[u32], ohms: &[f64]) {
        let (chain, start) = (self.list.len() as u32, self.edges.len() as u32);
        let ohms_of = |edge: u32| ohms[edges[edge as usize] as usize];
        let total: f64 = path.iter().map(|&(_, edge)| ohms_of(edge)).sum();
        let last = path.last().map_or(from, |&(node, _)| node);
        let (from, to) = (self.joint(from), self.joint(last));
        let (mut passed, mut after) = (0.0, 0);
        for &(node, edge) in path {
            self.edges.push(edges[edge as usize]);
            after += 1;
            passed += if total > 0.0 { ohms_of(edge) } else { 1.0 };
            if self.joint(node).is_none() {
                let part = passed
                    / if total > 0.0 {
                        total
                    } else {
                        path.len() as f64
                    };
                self.seats[node as usize] = Seat::Inside { chain, after, part };
            }
        }
        self.list.push(Chain {
            from: from.unwrap_or(0),
            to: to.unwrap_or(0),
            start,
            end: start + after,
            ohms: total,
        });
    }
}

/// The nodes that are not in the midst of a chain.
fn joints(nodes: u32, ways: &Ways) -> Vec<u32> {
    let mut joints: Vec<u32> = (0..nodes).filter(|&n| ways.at(n).len() != 2).collect();
    if joints.is_empty() {
        joints.push(0);
    }
    joints
}

/// The path that leaves a joint by a way, up to the next joint.
fn follow(chains: &Chains, way: (u32, u32), ways: &Ways, used: &mut [bool]) -> Vec<(u32, u32)> {
    let mut path = vec![way];
    let (mut node, mut edge) = way;
    used[edge as usize] = true;
    while chains.joint(node).is_none() {
        let Some(&next) = ways.at(node).iter().find(|&&(_, other)| other != edge) else {
            break;
        };
        (node, edge) = next;
        used[edge as usize] = true;
        path.push(next);
    }
    path
}
