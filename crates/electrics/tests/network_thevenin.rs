//! The resistance between two nodes, against an independent dense solution: how far their volts
//! move, batteries and all, when a current is sent in at one and out at the other.

mod network_dense;

use ampwright_electrics::network::{Branch, Resistance, Solver};
use nalgebra::DMatrix;
use network_dense::{Dice, Rings, agree, dense, random_network};

fn branch(from: u32, to: u32, ohms: f64, emf: f64) -> Branch {
    Branch {
        from,
        to,
        ohms,
        emf,
    }
}

/// The volts between two nodes while so many amperes enter at the first and leave at the second.
fn volts(nodes: u32, branches: &[Branch], (a, b): (u32, u32), amps: f64) -> f64 {
    let Some((volts, _)) = dense(nodes, branches, &[(a, amps), (b, -amps)]) else {
        panic!("singular");
    };
    volts[a as usize] - volts[b as usize]
}

/// Thévenin's resistance by its definition, at a current that leaves the batteries' volts small.
fn by_definition(nodes: u32, branches: &[Branch], pair: (u32, u32)) -> f64 {
    let amps = 1e6;
    (volts(nodes, branches, pair, amps) - volts(nodes, branches, pair, 0.0)) / amps
}

/// Equal to 1e-9 of itself; below a tenth of a picoohm both count as none.
#[track_caller]
fn same(found: Resistance, expected: f64, what: (u32, u32)) {
    assert!(found.is_exact());
    let slack = 1e-9 * expected.abs() + 1e-13;
    let error = (found.high - expected).abs();
    assert!(error <= slack, "{what:?}: {found:?}, dense {expected}");
}

fn random_pairs(dice: &mut Dice, nodes: u32, count: u32) -> Vec<(u32, u32)> {
    (0..count)
        .map(|_| (dice.roll(nodes), dice.roll(nodes)))
        .collect()
}

fn check(nodes: u32, branches: &[Branch], pairs: &[(u32, u32)]) {
    let found = Solver::new(nodes, branches).resistances(pairs);
    assert_eq!(found.len(), pairs.len());
    for (found, &pair) in found.into_iter().zip(pairs) {
        same(found, by_definition(nodes, branches, pair), pair);
    }
}

#[test]
fn agrees_with_the_definition_on_random_networks_with_batteries() {
    let mut dice = Dice(0xBEAD);
    for _ in 0..500 {
        let (nodes, branches) = random_network(&mut dice, 12);
        let pairs = random_pairs(&mut dice, nodes, 6);
        check(nodes, &branches, &pairs);
    }
    for _ in 0..4 {
        let (nodes, branches) = random_network(&mut dice, 50);
        let pairs = random_pairs(&mut dice, nodes, 10);
        check(nodes, &branches, &pairs);
    }
}

#[test]
fn agrees_on_rings_of_rings_with_no_ohms_among_them() {
    let mut dice = Dice(78);
    for _ in 0..150 {
        let net = Rings::random(&mut dice);
        let pairs = random_pairs(&mut dice, net.nodes, 6);
        check(net.nodes, &net.branches, &pairs);
    }
}

/// Resistances from the inverse of the conductances, the last node held.
fn by_inverse(nodes: u32, branches: &[Branch]) -> impl Fn(u32, u32) -> f64 {
    let size = nodes as usize - 1;
    let mut siemens = DMatrix::<f64>::zeros(size, size);
    for b in branches {
        let ends = [b.from as usize, b.to as usize];
        for end in ends.into_iter().filter(|&end| end < size) {
            siemens[(end, end)] += 1.0 / b.ohms;
        }
        if ends.iter().all(|&end| end < size) {
            siemens[(ends[0], ends[1])] -= 1.0 / b.ohms;
            siemens[(ends[1], ends[0])] -= 1.0 / b.ohms;
        }
    }
    let Some(ohms) = siemens.try_inverse() else {
        panic!("singular");
    };
    let at = move |a: u32, b: u32| ohms.get((a as usize, b as usize)).copied().unwrap_or(0.0);
    move |a, b| at(a, a) + at(b, b) - 2.0 * at(a, b)
}

#[test]
fn a_mesh_of_rings_agrees_with_the_inverse_between_all_its_nodes() {
    let (mut dice, side) = (Dice(9), 10);
    let mut branches = Vec::new();
    for k in 0..side * side {
        for next in [k / side * side + (k + 1) % side, (k + side) % (side * side)] {
            branches.push(branch(k, next, dice.between(1e-3, 1e-1), 0.0));
        }
    }
    let nodes = side * side;
    let expected = by_inverse(nodes, &branches);
    let pairs: Vec<_> = (0..nodes)
        .flat_map(|a| (0..nodes).map(move |b| (a, b)))
        .collect();
    let found = Solver::new(nodes, &branches).resistances(&pairs);
    for (found, (a, b)) in found.into_iter().zip(pairs) {
        same(found, expected(a, b), (a, b));
    }
}

#[test]
fn batteries_side_by_side_share_a_fault() {
    // Three banks of 4, 6 and 12 milliohms on one pair of bars; a feeder of 10 milliohms out and
    // 8 back.
    let bank = |ohms, emf| branch(0, 1, ohms, emf);
    let branches = [
        bank(4e-3, 12.7),
        bank(6e-3, 12.6),
        bank(12e-3, 13.0),
        branch(1, 2, 10e-3, 0.0),
        branch(3, 0, 8e-3, 0.0),
    ];
    let found = Solver::new(4, &branches).resistances(&[(1, 0), (2, 3), (2, 0), (2, 1)]);
    assert!(found.iter().all(Resistance::is_exact));
    let found: Vec<f64> = found.iter().map(|f| f.low).collect();
    agree(&found, &[2e-3, 20e-3, 12e-3, 10e-3], "ohms");
}

#[test]
fn one_node_is_zero_and_apart_is_infinite() {
    let branches = [
        branch(0, 1, 1.0, 0.0),
        branch(2, 3, 0.0, 0.0),
        // A ring with two links of no ohms.
        branch(4, 5, 0.0, 0.0),
        branch(5, 6, 1.0, 0.0),
        branch(6, 7, 0.0, 0.0),
        branch(7, 4, 2.0, 0.0),
        branch(7, 4, 2.0, 0.0),
    ];
    let pairs = [
        (0, 2),
        (0, 8),
        (9, 9),
        (1, 1),
        (3, 2),
        (4, 5),
        (6, 7),
        (5, 7),
    ];
    let found = Solver::new(8, &branches).resistances(&pairs);
    assert_eq!(found[..3], [Resistance::OPEN; 3]);
    assert_eq!(found[3..7], [Resistance::ZERO; 4]);
    same(found[7], 0.5, (5, 7));
    assert!(Solver::new(0, &[]).resistances(&[]).is_empty());
}

/// Six chains between four joints, each of two branches whose sum overflows, and twigs.
#[test]
fn values_beyond_floating_point_stay_between_nothing_and_all() {
    let chains = [(0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)];
    let mut branches: Vec<Branch> = (4..)
        .zip(chains)
        .flat_map(|(mid, (a, b))| [branch(a, mid, 1e308, 0.0), branch(mid, b, 1.5e308, 0.0)])
        .collect();
    branches.extend([
        branch(0, 10, 1e308, 0.0),
        branch(10, 11, 1e-3, 0.0),
        branch(11, 12, 1e308, 0.0),
        branch(12, 1, f64::NAN, 0.0),
    ]);
    let pairs: Vec<_> = (0..13).flat_map(|a| (0..13).map(move |b| (a, b))).collect();
    let solver = Solver::new(13, &branches);
    for (found, (a, b)) in solver.resistances(&pairs).into_iter().zip(pairs) {
        assert!(found.low >= 0.0 && found.low <= found.high, "{found:?}");
        assert!(a == b || found.high > 0.0, "{a} {b} {found:?}");
    }
    assert!(!solver.largest_alone(&[(0, 1, 5.0)]).exact);
}

/// The ring main of a long boat: two rings of bars, joined by banks at some of them.
#[test]
fn a_long_ring_main_is_exact() {
    let (mut dice, bars) = (Dice(43), 1500);
    let mut branches: Vec<Branch> = (0..2 * bars)
        .map(|k| {
            let first = k / bars * bars;
            let ohms = dice.between(1e-3, 1e-2);
            branch(k, first + (k + 1) % bars, ohms, 0.0)
        })
        .collect();
    let banks = [0, 300, 1100];
    branches.extend(banks.map(|at| branch(bars + at, at, 3e-3, 12.8)));
    let solver = Solver::new(2 * bars, &branches);
    let pairs: Vec<_> = (0..bars).map(|k| (k, bars + k)).collect();
    let found = solver.resistances(&pairs);
    let open = solver.solve(&[]);
    for (&found, &(a, b)) in found.iter().zip(&pairs).step_by(23) {
        let sent = solver.solve(&[(a, 1e4), (b, -1e4)]);
        let rise = |n: u32| sent.volts[n as usize] - open.volts[n as usize];
        same(found, (rise(a) - rise(b)) / 1e4, (a, b));
    }
}
