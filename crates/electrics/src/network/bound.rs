//! What a block can have at most and at least, where its kernel is too large to solve.
//!
//! In a passive network more ways never mean more ohms (Rayleigh's monotonicity law): one way alone
//! is a bound from above, all other nodes joined in one a bound from below.

use super::chains::{Chain, Chains, Seat};
use super::kernel::{inside, within};
use super::thevenin::Resistance;
use crate::flow::ways::Ways;
use rustc_hash::FxHashMap;

#[derive(Debug)]
pub(super) struct Bound {
    /// The ohms of one way from the first joint to each.
    ohms: Vec<f64>,
    /// The siemens of all chains that leave a joint for another.
    siemens: Vec<f64>,
    /// Those of the chains between two joints.
    direct: FxHashMap<[u32; 2], f64>,
}

impl Bound {
    pub(super) fn new(chains: &Chains) -> Bound {
        let list = (0u32..).zip(&chains.list);
        let ways = Ways::new(chains.joints, list.map(|(k, c)| (k, c.from, c.to)));
        let mut ohms = vec![f64::INFINITY; chains.joints as usize];
        let mut seen = vec![false; chains.joints as usize];
        let mut order = vec![0];
        (ohms[0], seen[0]) = (0.0, true);
        let mut next = 0;
        while let Some(&near) = order.get(next) {
            for &(far, chain) in ways.at(near) {
                if !std::mem::replace(&mut seen[far as usize], true) {
                    ohms[far as usize] = ohms[near as usize] + chains.list[chain as usize].ohms;
                    order.push(far);
                }
            }
            next += 1;
        }
        Bound {
            ohms,
            siemens: siemens(chains),
            direct: direct(chains),
        }
    }

    /// The bounds of the resistance between two nodes, in ohms.
    pub(super) fn between(&self, chains: &Chains, from: Seat, to: Seat) -> Resistance {
        Resistance::within(self.low(chains, from, to), self.high(chains, from, to))
    }

    /// What is left when every other joint is one node: what joins the two directly, beside the way
    /// over that node. What joins them directly counts there as well, which is safe.
    fn low(&self, chains: &Chains, from: Seat, to: Seat) -> f64 {
        let [from, to] = [from, to].map(|seat| at_joint(chains, seat));
        match (from, to) {
            (Seat::Joint(a), Seat::Joint(b)) if a == b => 0.0,
            (Seat::Inside { chain: a, .. }, Seat::Inside { chain: b, .. }) if a == b => {
                within(chains, from, to)
            }
            _ => {
                let over = |seat| self.all(chains, seat).recip();
                let over = (over(from) + over(to)).recip();
                (self.directly(chains, from, to) + over).recip()
            }
        }
    }

    /// The siemens of all that leaves a node.
    fn all(&self, chains: &Chains, seat: Seat) -> f64 {
        match seat {
            Seat::Joint(joint) => self.siemens[joint as usize],
            Seat::Inside { chain, part, .. } => arms(&chains.list[chain as usize], part)
                .map(|(_, siemens)| siemens)
                .iter()
                .sum(),
        }
    }

    /// The siemens that join two nodes with no joint between them.
    fn directly(&self, chains: &Chains, from: Seat, to: Seat) -> f64 {
        match (from, to) {
            (Seat::Joint(a), Seat::Joint(b)) => {
                let direct = self.direct.get(&[a.min(b), a.max(b)]);
                direct.copied().unwrap_or(0.0)
            }
            (Seat::Joint(joint), Seat::Inside { chain, part, .. })
            | (Seat::Inside { chain, part, .. }, Seat::Joint(joint)) => {
                arms(&chains.list[chain as usize], part)
                    .iter()
                    .filter(|(end, _)| *end == joint)
                    .map(|(_, siemens)| siemens)
                    .sum()
            }
            _ => 0.0,
        }
    }

    /// The ohms of one way between two nodes: the resistance between them is not above.
    fn high(&self, chains: &Chains, from: Seat, to: Seat) -> f64 {
        let by_joint = self.to_first(chains, from) + self.to_first(chains, to);
        match (inside(from), inside(to)) {
            (Some((a, p)), Some((b, q))) if a == b => {
                by_joint.min(chains.list[a as usize].ohms * (p - q).abs())
            }
            _ => by_joint,
        }
    }

    fn to_first(&self, chains: &Chains, seat: Seat) -> f64 {
        match seat {
            Seat::Joint(joint) => self.ohms[joint as usize],
            Seat::Inside { chain, part, .. } => {
                let chain = &chains.list[chain as usize];
                let back = self.ohms[chain.from as usize] + part * chain.ohms;
                back.min(self.ohms[chain.to as usize] + (1.0 - part) * chain.ohms)
            }
        }
    }
}

/// The joint from which branches of no ohms lead to a node in a chain that has some.
fn at_joint(chains: &Chains, seat: Seat) -> Seat {
    match seat {
        Seat::Inside { chain, part, .. } if part <= 0.0 => {
            Seat::Joint(chains.list[chain as usize].from)
        }
        Seat::Inside { chain, part, .. } if part >= 1.0 => {
            Seat::Joint(chains.list[chain as usize].to)
        }
        _ => seat,
    }
}

/// The ends of a chain, with the siemens to them from a node inside it.
fn arms(chain: &Chain, part: f64) -> [(u32, f64); 2] {
    let siemens = |part: f64| (part * chain.ohms).recip();
    [(chain.from, siemens(part)), (chain.to, siemens(1.0 - part))]
}

fn siemens(chains: &Chains) -> Vec<f64> {
    let mut siemens = vec![0.0; chains.joints as usize];
    for chain in chains.list.iter().filter(|c| c.from != c.to) {
        siemens[chain.from as usize] += chain.ohms.recip();
        siemens[chain.to as usize] += chain.ohms.recip();
    }
    siemens
}

fn direct(chains: &Chains) -> FxHashMap<[u32; 2], f64> {
    let mut direct = FxHashMap::default();
    for chain in chains.list.iter().filter(|c| c.from != c.to) {
        let ends = [chain.from.min(chain.to), chain.from.max(chain.to)];
        *direct.entry(ends).or_insert(0.0) += chain.ohms.recip();
    }
    direct
}
