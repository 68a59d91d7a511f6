//! An independent answer: every node's volts and every branch's amperes as the unknowns of one
//! dense system (nalgebra's LU, corrected once), and random networks to ask about.

use ampwright_electrics::network::Branch;
use nalgebra::{DMatrix, DVector};

/// A small generator of numbers (xorshift, Marsaglia 2003), so that every run tries the same
/// networks.
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn roll(&mut self, sides: u32) -> u32 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        ((self.0 >> 11) % u64::from(sides)) as u32
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * f64::from(self.roll(1 << 30)) / f64::from(1 << 30)
    }
}

/// Plain union-find.
pub(crate) struct Sets(Vec<u32>);

impl Sets {
    pub(crate) fn new(nodes: u32) -> Sets {
        Sets((0..nodes).collect())
    }

    pub(crate) fn root(&self, mut n: u32) -> u32 {
        while self.0[n as usize] != n {
            n = self.0[n as usize];
        }
        n
    }

    /// False where they were joined already.
    pub(crate) fn join(&mut self, a: u32, b: u32) -> bool {
        let (a, b) = (self.root(a), self.root(b));
        self.0[a as usize] = b;
        a != b
    }
}

/// Volts and amperes of a network, each component held at its lowest node. None where it is
/// singular.
pub(crate) fn dense(
    nodes: u32,
    branches: &[Branch],
    injections: &[(u32, f64)],
) -> Option<(Vec<f64>, Vec<f64>)> {
    let mut sets = Sets::new(nodes);
    for b in branches {
        sets.join(b.from, b.to);
    }
    let size = nodes as usize + branches.len();
    let mut m = DMatrix::<f64>::zeros(size, size);
    let mut rhs = DVector::<f64>::zeros(size);
    for (k, b) in branches.iter().enumerate() {
        let row = nodes as usize + k;
        m[(b.from as usize, row)] += 1.0;
        m[(b.to as usize, row)] -= 1.0;
        m[(row, b.from as usize)] += 1.0;
        m[(row, b.to as usize)] -= 1.0;
        m[(row, row)] = -b.ohms;
        rhs[row] = -b.emf;
    }
    for &(node, amps) in injections {
        rhs[node as usize] += amps;
    }
    for node in 0..nodes {
        if (0..node).all(|n| sets.root(n) != sets.root(node)) {
            m.row_mut(node as usize).fill(0.0);
            m[(node as usize, node as usize)] = 1.0;
            rhs[node as usize] = 0.0;
        }
    }
    let factors = m.clone().lu();
    let x = factors.solve(&rhs)?;
    let x = &x + factors.solve(&(&rhs - &m * &x))?;
    Some((
        x.as_slice()[..nodes as usize].to_vec(),
        x.as_slice()[nodes as usize..].to_vec(),
    ))
}

/// A connected network with some loops, several batteries and zero-ohm branches that close no loop
/// of their own.
#[allow(dead_code, reason = "each test crate uses its part of this module")]
pub(crate) fn random_network(dice: &mut Dice, most: u32) -> (u32, Vec<Branch>) {
    let nodes = 2 + dice.roll(most - 1);
    let mut zero = Sets::new(nodes);
    let mut branches = Vec::new();
    let extra = dice.roll(nodes + 2);
    for k in 1..nodes + extra {
        let from = if k < nodes { k } else { dice.roll(nodes) };
        let to = dice.roll(if k < nodes { k } else { nodes });
        if from == to {
            continue;
        }
        let ohms = 10f64.powf(dice.between(-4.0, 1.0));
        let ohms = if dice.roll(4) == 0 && zero.join(from, to) {
            0.0
        } else {
            ohms
        };
        let emf = if dice.roll(4) == 0 {
            dice.between(10.0, 14.0)
        } else {
            0.0
        };
        let (from, to) = if dice.roll(2) == 0 {
            (from, to)
        } else {
            (to, from)
        };
        branches.push(Branch {
            from,
            to,
            ohms,
            emf,
        });
    }
    (nodes, branches)
}

/// Balanced injections.
#[allow(dead_code, reason = "each test crate uses its part of this module")]
pub(crate) fn random_injections(dice: &mut Dice, nodes: u32) -> Vec<(u32, f64)> {
    (0..dice.roll(6))
        .flat_map(|_| {
            let amps = dice.between(-50.0, 50.0);
            [(dice.roll(nodes), amps), (dice.roll(nodes), -amps)]
        })
        .collect()
}

/// Fails unless two lists agree to 1e-9 of the largest value in them.
#[track_caller]
pub(crate) fn agree(found: &[f64], expected: &[f64], what: &str) {
    assert_eq!(found.len(), expected.len());
    let scale = expected.iter().fold(1e-3, |m: f64, x| m.max(x.abs()));
    for (k, (a, b)) in found.iter().zip(expected).enumerate() {
        assert!((a - b).abs() <= 1e-9 * scale, "{what} {k}: {a}, dense {b}");
    }
}

/// A network grown by rings: each starts at a node there is, and ends there or at another. Some
/// branches are of no ohms, but never all of a ring.
#[allow(dead_code, reason = "each test crate uses its part of this module")]
pub(crate) struct Rings {
    pub(crate) nodes: u32,
    pub(crate) branches: Vec<Branch>,
    zero: Sets,
}

#[allow(dead_code, reason = "each test crate uses its part of this module")]
impl Rings {
    fn new() -> Rings {
        Rings {
            nodes: 1,
            branches: Vec::new(),
            zero: Sets::new(400),
        }
    }

    pub(crate) fn random(dice: &mut Dice) -> Rings {
        let mut net = Rings::new();
        for _ in 0..=dice.roll(6) {
            let start = net.any(dice);
            // Two in three meet the rest in a node.
            let end = if dice.roll(3) == 0 {
                net.any(dice)
            } else {
                start
            };
            let length = 1 + dice.roll(7);
            net.path(dice, start, end, length);
        }
        net
    }

    fn wire(&mut self, dice: &mut Dice, a: u32, b: u32) {
        let ohms = 10f64.powf(dice.between(-3.0, 0.0));
        let none = dice.roll(3) == 0 && self.zero.join(a, b);
        let (from, to) = if dice.roll(2) == 0 { (a, b) } else { (b, a) };
        let ohms = if none { 0.0 } else { ohms };
        self.branches.push(Branch {
            from,
            to,
            ohms,
            emf: 0.0,
        });
    }

    /// A path of new nodes from `start` to `end`.
    fn path(&mut self, dice: &mut Dice, start: u32, end: u32, length: u32) {
        let mut at = start;
        for _ in 0..length {
            self.wire(dice, at, self.nodes);
            at = self.nodes;
            self.nodes += 1;
        }
        self.wire(dice, at, end);
    }

    fn any(&self, dice: &mut Dice) -> u32 {
        dice.roll(self.nodes)
    }
}
