//! What each branch carries and each pair drops while pairs are on one at a time, against an
//! independent dense solution of every pair by itself.

mod network_dense;

use ampwright_electrics::network::{Alone, Branch, Solver};
use network_dense::{Dice, Rings, agree, dense, random_network};

type Pair = (u32, u32, f64);

fn branch(from: u32, to: u32, ohms: f64) -> Branch {
    Branch {
        from,
        to,
        ohms,
        emf: 0.0,
    }
}

/// Each pair solved by itself: the largest amperes of each branch, the drop of each pair.
fn one_by_one(nodes: u32, branches: &[Branch], pairs: &[Pair]) -> (Vec<f64>, Vec<f64>) {
    let passive: Vec<Branch> = branches.iter().map(|b| Branch { emf: 0.0, ..*b }).collect();
    let (mut most, mut drops) = (vec![0.0f64; branches.len()], Vec::new());
    for &(plus, minus, amps) in pairs {
        let amps = amps.abs();
        let Some((volts, found)) = dense(nodes, &passive, &[(plus, -amps), (minus, amps)]) else {
            panic!("singular");
        };
        most.iter_mut()
            .zip(found)
            .for_each(|(m, f)| *m = m.max(f.abs()));
        drops.push(volts[minus as usize] - volts[plus as usize]);
    }
    (most, drops)
}

#[track_caller]
fn check(nodes: u32, branches: &[Branch], pairs: &[Pair]) -> Alone {
    let found = Solver::new(nodes, branches).largest_alone(pairs);
    let (amps, drops) = one_by_one(nodes, branches, pairs);
    assert!(found.exact);
    agree(&found.amps, &amps, "amps");
    agree(&found.drop, &drops, "drop");
    for (amps, pair) in found.amps.iter().zip(&found.pair) {
        assert_eq!(pair.is_some(), *amps > 0.0);
        assert!(pair.is_none_or(|p| pairs[p as usize].2.abs() >= *amps));
    }
    assert!(found.drop.iter().all(|&drop| drop >= 0.0));
    found
}

fn random_pairs(dice: &mut Dice, nodes: u32, most: u32) -> Vec<Pair> {
    let count = dice.roll(most);
    let pair = |_| {
        let amps = dice.between(-40.0, 40.0);
        (dice.roll(nodes), dice.roll(nodes), amps)
    };
    (0..count).map(pair).collect()
}

#[test]
fn agrees_with_each_pair_alone() {
    let mut dice = Dice(0xD1CE);
    for _ in 0..1200 {
        let (nodes, branches) = random_network(&mut dice, 10);
        let pairs = random_pairs(&mut dice, nodes, 7);
        check(nodes, &branches, &pairs);
    }
    for _ in 0..8 {
        let (nodes, branches) = random_network(&mut dice, 50);
        let pairs = random_pairs(&mut dice, nodes, 20);
        check(nodes, &branches, &pairs);
    }
}

#[test]
fn rings_of_rings_with_no_ohms_among_them() {
    let mut dice = Dice(77);
    for round in 0..250 {
        let net = Rings::random(&mut dice);
        let pairs = random_pairs(&mut dice, net.nodes, 12);
        let tried = std::panic::catch_unwind(|| check(net.nodes, &net.branches, &pairs));
        assert!(tried.is_ok(), "{round}: {:?} {pairs:?}", net.branches);
    }
}

/// A ring of plus bars and one of minus bars, joined by stiff sources at some of them; a load at
/// every bar.
fn ring_main(dice: &mut Dice, bars: u32, sources: &[u32]) -> (u32, Vec<Branch>, Vec<Pair>) {
    let ring = |dice: &mut Dice, first: u32, k: u32| {
        branch(first + k, first + (k + 1) % bars, dice.between(1e-3, 1e-2))
    };
    let mut branches: Vec<Branch> = (0..2 * bars)
        .map(|k| ring(dice, k / bars * bars, k % bars))
        .collect();
    branches.extend(sources.iter().map(|&at| branch(bars + at, at, 0.0)));
    let pairs = (0..bars).map(|k| (k, bars + k, dice.between(1.0, 20.0)));
    let pairs = pairs.collect();
    (2 * bars, branches, pairs)
}

#[test]
fn a_ring_main_with_one_source_and_with_several() {
    let mut dice = Dice(5);
    for sources in [
        &[0][..],
        &[3],
        &[0, 6],
        &[1, 2, 8],
        &[0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10],
    ] {
        let (nodes, branches, mut pairs) = ring_main(&mut dice, 11, sources);
        // Within one ring as well.
        pairs.extend([(2, 4, 9.0), (5, 1, 30.0), (12, 20, 7.0)]);
        check(nodes, &branches, &pairs);
    }
}

#[test]
fn two_rings_that_meet_in_a_node() {
    let ohms = [1.0, 2.0, 3.0, 1.0, 1.0, 2.0];
    let ends = [(0, 1), (1, 2), (2, 0), (2, 3), (3, 4), (4, 2)];
    let branches: Vec<Branch> = ends
        .iter()
        .zip(ohms)
        .map(|(&(a, b), r)| branch(a, b, r))
        .collect();
    let found = check(5, &branches, &[(0, 3, 12.0)]);
    // 3 ohms beside 3 on the way to the middle, 1 beside 3 behind it.
    agree(&found.amps, &[6.0, 6.0, 6.0, 9.0, 3.0, 3.0], "amps");
    agree(&found.drop, &[12.0 * (1.5 + 0.75)], "drop");
}

#[test]
fn a_ring_of_no_ohms_shares_by_its_branches() {
    // Four links of no ohms between two ways of an ohm: 8 A in beside 8 A out.
    let branches = [
        (0, 1, 0.0),
        (1, 2, 0.0),
        (2, 3, 0.0),
        (3, 0, 0.0),
        (0, 4, 1.0),
        (4, 2, 1.0),
    ];
    let branches = branches.map(|(a, b, r)| branch(a, b, r));
    let found = Solver::new(5, &branches).largest_alone(&[(0, 1, 8.0), (4, 1, 4.0)]);
    let expected = Solver::new(5, &branches).solve(&[(0, -8.0), (1, 8.0)]).amps;
    agree(
        &found.amps[..4],
        &expected[..4].iter().map(|a| a.abs()).collect::<Vec<_>>(),
        "amps",
    );
    agree(&found.amps[4..], &[2.0, 2.0], "amps");
    agree(&found.drop, &[0.0, 2.0], "drop");
}

#[test]
fn a_long_ring_main_is_exact() {
    let mut dice = Dice(41);
    let (nodes, branches, pairs) = ring_main(&mut dice, 3000, &[0, 700, 1500]);
    let solver = Solver::new(nodes, &branches);
    let found = solver.largest_alone(&pairs);
    assert!(found.exact);
    let mut most = vec![0.0f64; branches.len()];
    for (k, &(plus, minus, amps)) in pairs.iter().enumerate().filter(|(k, _)| k % 5 == 0) {
        let one = solver.solve(&[(plus, -amps), (minus, amps)]);
        let drop = one.volts[minus as usize] - one.volts[plus as usize];
        assert!((found.drop[k] - drop).abs() <= 1e-9 * drop.max(1.0));
        most.iter_mut()
            .zip(&one.amps)
            .for_each(|(m, a)| *m = m.max(a.abs()));
    }
    for (most, found) in most.iter().zip(&found.amps) {
        assert!(*most <= found + 1e-9);
    }
}

#[test]
fn pairs_that_count_for_nothing_drop_nothing() {
    let branches = [branch(0, 1, 1.0), branch(2, 3, 1.0)];
    let pairs = [
        (0, 2, 5.0),
        (0, 0, 5.0),
        (0, 1, f64::NAN),
        (0, 9, 5.0),
        (1, 0, 0.0),
        (1, 0, -2.0),
    ];
    let found = Solver::new(4, &branches).largest_alone(&pairs);
    assert_eq!(found.drop, [0.0, 0.0, 0.0, 0.0, 0.0, 2.0]);
    assert_eq!(found.pair, [Some(5), None]);
}
