//! The sustained current against every cut of small random nets, and the shortest unprotected way.
#![allow(
    clippy::float_cmp,
    reason = "what is meant to be exact is compared exactly"
)]

use ampwright_electrics::flow::{Edge, LiveNet, Sustained, distances, sustained};
use std::f64::consts::PI;

const INF: f64 = f64::INFINITY;

/// A small generator of numbers (xorshift, Marsaglia 2003), so that every run tries the same nets.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) % sides
    }

    fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.roll(of.len() as u64) as usize]
    }
}

struct Net {
    nodes: u32,
    edges: Vec<Edge>,
    sources: Vec<(u32, f64)>,
}

impl Net {
    fn live(&self) -> LiveNet<'_> {
        LiveNet {
            nodes: self.nodes,
            edges: &self.edges,
            sources: &self.sources,
        }
    }
}

fn edge(a: u32, b: u32, cap: f64, one_way: bool) -> Edge {
    Edge {
        a,
        b,
        cap,
        one_way,
        conductor: cap == INF && !one_way,
    }
}

fn wire(a: u32, b: u32) -> Edge {
    edge(a, b, INF, false)
}

fn fuse(a: u32, b: u32, amps: f64) -> Edge {
    edge(a, b, amps, false)
}

fn random_net(dice: &mut Dice, most: u64) -> Net {
    let nodes = 2 + dice.roll(most - 1) as u32;
    let count = 1 + dice.roll(u64::from(nodes) * 2);
    let devices = 1 + dice.roll(4);
    let edges = (0..count).map(|_| {
        let (a, b) = (
            dice.roll(u64::from(nodes)) as u32,
            dice.roll(u64::from(nodes)) as u32,
        );
        let cap = if dice.roll(4) < devices {
            dice.pick(&[0.1, 5.0, 10.0, 10.0, 30.0, 100.0 * PI])
        } else {
            INF
        };
        edge(a, b, cap, dice.roll(6) == 0)
    });
    let edges = edges.collect();
    let sources = (0..dice.roll(4)).map(|_| {
        (
            dice.roll(u64::from(nodes)) as u32,
            dice.pick(&[INF, 20.0, 7.5, 60.0]),
        )
    });
    Net {
        nodes,
        edges,
        sources: sources.collect(),
    }
}

/// The smallest cut that parts all sources from the targets, over every set of nodes.
fn smallest_cut(net: &Net, out: usize, targets: &[u32]) -> f64 {
    let mut least = INF;
    for side in 0u32..1 << net.nodes {
        if targets.iter().any(|t| side >> t & 1 == 1) {
            continue;
        }
        let inside = |n: u32| side >> n & 1 == 1;
        let fed: f64 = net
            .sources
            .iter()
            .filter(|s| !inside(s.0))
            .map(|s| s.1)
            .sum();
        let cross = |(k, e): (usize, &Edge)| {
            let passes =
                (inside(e.a) && !inside(e.b)) || (inside(e.b) && !inside(e.a) && !e.one_way);
            if k != out && passes { e.cap } else { 0.0 }
        };
        least = least.min(fed + net.edges.iter().enumerate().map(cross).sum::<f64>());
    }
    least
}

/// The widest way to a node from any source, by trying every width.
fn widest(net: &Net, out: usize, target: u32) -> f64 {
    let mut widths: Vec<f64> = net
        .edges
        .iter()
        .map(|e| e.cap)
        .chain(net.sources.iter().map(|s| s.1))
        .collect();
    widths.sort_by(f64::total_cmp);
    widths
        .into_iter()
        .rev()
        .find(|&w| reached(net, out, w)[target as usize])
        .unwrap_or(0.0)
}

fn reached(net: &Net, out: usize, width: f64) -> Vec<bool> {
    let mut seen = vec![false; net.nodes as usize];
    for s in net.sources.iter().filter(|s| s.1 >= width) {
        seen[s.0 as usize] = true;
    }
    for _ in 0..net.nodes {
        for (_, e) in net
            .edges
            .iter()
            .enumerate()
            .filter(|(k, e)| *k != out && e.cap >= width)
        {
            let (a, b) = (seen[e.a as usize], seen[e.b as usize]);
            seen[e.b as usize] |= a;
            seen[e.a as usize] |= b && !e.one_way;
        }
    }
    seen
}

fn joined_without(net: &Net, out: usize, a: u32, b: u32) -> bool {
    let mut seen = vec![false; net.nodes as usize];
    seen[a as usize] = true;
    for _ in 0..net.nodes {
        for (_, e) in net.edges.iter().enumerate().filter(|(k, _)| *k != out) {
            let any = seen[e.a as usize] || seen[e.b as usize];
            seen[e.a as usize] = any;
            seen[e.b as usize] = any;
        }
    }
    seen[b as usize]
}

fn near(a: f64, b: f64) -> bool {
    a == b || (a - b).abs() <= 1e-12 * a.abs().max(b.abs())
}

fn check_edge(net: &Net, k: usize, found: &Sustained) {
    let e = &net.edges[k];
    let (to_a, to_b) = (smallest_cut(net, k, &[e.a]), smallest_cut(net, k, &[e.b]));
    let amps = to_a.max(to_b);
    let ring = if joined_without(net, k, e.a, e.b) {
        smallest_cut(net, k, &[e.a, e.b])
    } else {
        amps
    };
    assert!(
        near(found.amps, amps),
        "edge {k}: {found:?}, by cuts {amps}"
    );
    assert!(
        near(found.ring_amps, ring),
        "edge {k}: {found:?}, by cuts {ring}"
    );
    let ends = [(to_a, e.a), (to_b, e.b)]
        .into_iter()
        .filter(|(to, _)| near(*to, amps));
    let width = ends.map(|(_, end)| widest(net, k, end)).fold(INF, f64::min);
    match found.device {
        None => assert!(amps == 0.0 || amps == INF || net.sources.iter().any(|s| s.1 == width)),
        Some(d) => {
            let cap = net.edges[d as usize].cap;
            assert!(amps > 0.0 && amps < INF && d as usize != k && cap < INF);
            assert!(
                cap == width || (cap > width && net.sources.iter().any(|s| s.1 == width)),
                "edge {k}: {found:?}, widest {width}"
            );
        }
    }
}

fn check_nets(seed: u64, rounds: u32, most: u64) {
    let mut dice = Dice(seed);
    for round in 0..rounds {
        let net = random_net(&mut dice, most);
        for (k, found) in sustained(&net.live()).iter().enumerate() {
            let tried = std::panic::catch_unwind(|| check_edge(&net, k, found));
            assert!(
                tried.is_ok(),
                "net {round}: {:?} {:?}",
                net.edges,
                net.sources
            );
        }
    }
}

#[test]
fn agrees_with_every_cut_of_random_nets() {
    check_nets(0x9E37_79B9_7F4A_7C15, 6000, 7);
}

/// Long enough for chains, rings in rings and several blocks on one node.
#[test]
fn agrees_with_every_cut_of_larger_nets() {
    check_nets(0xFACE, 120, 11);
}

#[test]
fn two_fuses_side_by_side_add() {
    let net = Net {
        nodes: 4,
        edges: vec![
            fuse(0, 1, 100.0),
            fuse(0, 1, 100.0),
            wire(1, 2),
            fuse(2, 3, 10.0),
        ],
        sources: vec![(0, INF)],
    };
    let found = sustained(&net.live());
    assert_eq!(
        found[2],
        Sustained {
            amps: 200.0,
            ring_amps: 200.0,
            device: Some(0)
        }
    );
    // Each fuse's own ends: the battery itself.
    assert_eq!(found[0].amps, INF);
    // The last fuse has the pair above it at one end and nothing at the other.
    assert_eq!(
        found[3],
        Sustained {
            amps: 200.0,
            ring_amps: 200.0,
            device: Some(0)
        }
    );
}

#[test]
fn a_ring_with_a_fuse_at_each_end_adds_along_it() {
    let net = Net {
        nodes: 4,
        edges: vec![fuse(0, 1, 40.0), wire(1, 2), wire(2, 3), fuse(3, 0, 60.0)],
        sources: vec![(0, INF)],
    };
    for k in [1, 2] {
        assert_eq!(
            sustained(&net.live())[k],
            Sustained {
                amps: 60.0,
                ring_amps: 100.0,
                device: Some(3)
            }
        );
    }
}

#[test]
fn a_charger_alone_names_no_device_and_a_battery_is_without_limit() {
    let net = Net {
        nodes: 3,
        edges: vec![wire(0, 1), wire(1, 2)],
        sources: vec![(0, 30.0)],
    };
    assert_eq!(
        sustained(&net.live())[1],
        Sustained {
            amps: 30.0,
            ring_amps: 30.0,
            device: None
        }
    );
    let net = Net {
        sources: vec![(0, 30.0), (2, INF)],
        ..net
    };
    assert_eq!(
        sustained(&net.live())[0],
        Sustained {
            amps: INF,
            ring_amps: INF,
            device: None
        }
    );
}

#[test]
fn a_diode_passes_one_way() {
    let edges = vec![wire(0, 1), edge(1, 2, INF, true), wire(2, 3)];
    let net = Net {
        nodes: 4,
        edges,
        sources: vec![(3, INF), (0, 25.0)],
    };
    let found = sustained(&net.live());
    assert_eq!(found[0].amps, 25.0);
    assert_eq!(found[2].amps, INF);
}

#[test]
fn renumbering_changes_nothing() {
    let mut dice = Dice(77);
    for _ in 0..500 {
        let net = random_net(&mut dice, 7);
        let turn = |n: u32| net.nodes - 1 - n;
        let edges = net
            .edges
            .iter()
            .rev()
            .map(|e| Edge {
                a: turn(e.a),
                b: turn(e.b),
                ..*e
            })
            .collect();
        let sources = net.sources.iter().rev().map(|s| (turn(s.0), s.1)).collect();
        let turned = Net {
            nodes: net.nodes,
            edges,
            sources,
        };
        let (one, other) = (sustained(&net.live()), sustained(&turned.live()));
        for (a, b) in one.iter().zip(other.iter().rev()) {
            assert!(
                near(a.amps, b.amps) && near(a.ring_amps, b.ring_amps),
                "{a:?} {b:?}"
            );
        }
    }
}

#[test]
fn distances_stop_at_devices_and_diodes() {
    let edges = vec![
        wire(0, 1),
        wire(1, 2),
        fuse(2, 3, 10.0),
        wire(0, 2),
        edge(2, 4, INF, true),
        edge(5, 2, INF, true),
    ];
    let net = Net {
        nodes: 6,
        edges,
        sources: vec![],
    };
    let far = distances(&net.live(), &[1.0, 0.25, 0.0, 2.0, 0.5, 0.5], &[0]);
    assert_eq!(
        far,
        [Some(0.0), Some(1.0), Some(1.25), None, Some(1.75), None]
    );
}

#[test]
fn odd_input_is_survived() {
    let empty = LiveNet {
        nodes: 0,
        edges: &[wire(0, 1)],
        sources: &[(0, INF)],
    };
    assert_eq!(
        sustained(&empty),
        [Sustained {
            amps: 0.0,
            ring_amps: 0.0,
            device: None
        }]
    );
    assert!(distances(&empty, &[], &[0, 9]).is_empty());
    let odd = [f64::NAN, -1.0, 1e308, 1e-308, 0.0, INF];
    let mut dice = Dice(5);
    for _ in 0..300 {
        let mut net = random_net(&mut dice, 7);
        for e in &mut net.edges {
            e.cap = dice.pick(&odd);
            e.a += u32::from(dice.roll(20) == 0) * 1000;
        }
        net.sources.push((0, dice.pick(&odd)));
        assert_eq!(sustained(&net.live()).len(), net.edges.len());
        distances(&net.live(), &odd, &[0, 1, 99]);
    }
}
