//! The network solver against an independent dense solution, the laws of Kirchhoff, and published
//! circuits.

mod network_dense;

use ampwright_electrics::network::{Branch, Solution, Solver};
use network_dense::{Dice, agree, dense, random_injections, random_network};

fn branch(from: u32, to: u32, ohms: f64, emf: f64) -> Branch {
    Branch {
        from,
        to,
        ohms,
        emf,
    }
}

/// Volts relative to the lowest node of each component.
fn grounded(solver: &Solver, volts: &[f64]) -> Vec<f64> {
    let lowest = |n: u32| {
        (0..n)
            .find(|&k| solver.component(k) == solver.component(n))
            .unwrap_or(n)
    };
    (0..)
        .zip(volts)
        .map(|(n, v)| v - volts[lowest(n) as usize])
        .collect()
}

/// How much is lost at each node: zero by the current law.
fn lost(nodes: u32, branches: &[Branch], amps: &[f64], injections: &[(u32, f64)]) -> Vec<f64> {
    let mut sum = vec![0.0; nodes as usize];
    for &(n, a) in injections {
        sum[n as usize] += a;
    }
    for (b, a) in branches.iter().zip(amps) {
        sum[b.from as usize] -= a;
        sum[b.to as usize] += a;
    }
    sum
}

fn check(nodes: u32, branches: &[Branch], injections: &[(u32, f64)]) {
    let solver = Solver::new(nodes, branches);
    let found = solver.solve(injections);
    let Some((volts, amps)) = dense(nodes, branches, injections) else {
        panic!("singular");
    };
    agree(&found.amps, &amps, "amps");
    agree(&grounded(&solver, &found.volts), &volts, "volts");
    let scale = amps.iter().fold(1.0, |m: f64, a| m.max(a.abs()));
    for (n, l) in lost(nodes, branches, &found.amps, injections)
        .iter()
        .enumerate()
    {
        assert!(l.abs() <= 1e-9 * scale, "current law at {n}: {l}");
    }
    let given: f64 = branches
        .iter()
        .zip(&found.amps)
        .map(|(b, a)| b.emf * a)
        .sum();
    let taken: f64 = branches
        .iter()
        .zip(&found.amps)
        .map(|(b, a)| b.ohms * a * a)
        .sum();
    let brought: f64 = injections
        .iter()
        .map(|&(n, a)| found.volts[n as usize] * a)
        .sum();
    let scale = branches
        .iter()
        .zip(&found.amps)
        .map(|(b, a)| (b.emf * a).abs() + b.ohms * a * a)
        .sum::<f64>();
    assert!(
        (given + brought - taken).abs() <= 1e-9 * scale.max(1.0),
        "energy: {given} + {brought} - {taken}"
    );
}

#[test]
fn agrees_with_the_dense_solution() {
    let mut dice = Dice(0x2545_F491_4F6C_DD1D);
    for round in 0..4000 {
        let (nodes, branches) = random_network(&mut dice, 9);
        let injections = random_injections(&mut dice, nodes);
        let tried = std::panic::catch_unwind(|| check(nodes, &branches, &injections));
        assert!(
            tried.is_ok(),
            "network {round}: {nodes} nodes, {branches:#?}, {injections:?}"
        );
    }
    for _ in 0..40 {
        let (nodes, branches) = random_network(&mut dice, 60);
        let injections = random_injections(&mut dice, nodes);
        check(nodes, &branches, &injections);
    }
}

#[test]
fn the_order_of_branches_and_nodes_does_not_matter() {
    let mut dice = Dice(99);
    for _ in 0..500 {
        let (nodes, branches) = random_network(&mut dice, 12);
        let injections = random_injections(&mut dice, nodes);
        let turn = |n: u32| nodes - 1 - n;
        let turned: Vec<Branch> = branches
            .iter()
            .rev()
            .map(|b| branch(turn(b.to), turn(b.from), b.ohms, -b.emf))
            .collect();
        let moved: Vec<_> = injections
            .iter()
            .rev()
            .map(|&(n, a)| (turn(n), a))
            .collect();
        let one = Solver::new(nodes, &branches).solve(&injections);
        let other = Solver::new(nodes, &turned).solve(&moved);
        let back: Vec<f64> = other.amps.iter().rev().map(|a| -a).collect();
        agree(&back, &one.amps, "amps");
    }
}

/// Two sources into one load: published-values section 7 [S1; exact values D].
#[test]
fn two_sources_into_one_load() {
    let s = Solver::new(
        2,
        &[
            branch(0, 1, 26.0, 9.0),
            branch(0, 1, 37.0, 12.0),
            branch(1, 0, 62.0, 0.0),
        ],
    );
    let amps = s.solve(&[]).amps;
    for (found, printed) in amps.iter().zip([0.030, 0.102, 0.132]) {
        assert!((found - printed).abs() <= 0.0005, "{found} for {printed}");
    }
}

/// Four equal batteries in parallel, one link between neighbours on both rails, 100 A:
/// published-values section 7 [D].
fn bank(battery: f64, link: f64, minus_at: u32) -> Vec<f64> {
    let mut branches: Vec<Branch> = (0..4).map(|k| branch(4 + k, k, battery, 12.7)).collect();
    for k in 0..3 {
        branches.push(branch(k, k + 1, link, 0.0));
        branches.push(branch(4 + k, 5 + k, link, 0.0));
    }
    let s = Solver::new(8, &branches).solve(&[(0, -100.0), (4 + minus_at, 100.0)]);
    s.amps[..4].to_vec()
}

#[test]
fn a_bank_shares_as_derived() {
    let cases = [
        (bank(0.02, 0.0015, 0), [35.75, 26.12, 20.40, 17.74]),
        (bank(0.02, 0.0015, 3), [26.74, 23.26, 23.26, 26.74]),
        (bank(0.02, 0.003, 0), [43.31, 26.30, 17.18, 13.22]),
    ];
    for (found, derived) in cases {
        for (f, d) in found.iter().zip(derived) {
            assert!((f - d).abs() <= 0.0051, "{found:?} for {derived:?}");
        }
    }
}

#[test]
fn zero_ohm_loops_share_as_equal_resistances() {
    // A ring of three zero-ohm links, 9 A in at one corner and out at the next: two thirds the
    // short way.
    let s = Solver::new(
        3,
        &[
            branch(0, 1, 0.0, 0.0),
            branch(1, 2, 0.0, 0.0),
            branch(2, 0, 0.0, 0.0),
        ],
    );
    let found = s.solve(&[(0, 9.0), (1, -9.0)]);
    agree(&found.amps, &[6.0, -3.0, -3.0], "amps");
    assert_eq!(found.volts, [0.0; 3]);
    assert!(s.contradictions().is_empty());
}

#[test]
fn a_contradiction_is_named_and_given_a_milliohm() {
    let branches = [
        branch(0, 1, 0.0, 12.0),
        branch(0, 1, 0.0, 12.5),
        branch(1, 0, 1.0, 0.0),
    ];
    let s = Solver::new(2, &branches);
    assert_eq!(s.contradictions(), [1]);
    agree(&s.solve(&[]).amps, &[12.0 - 500.0, 500.0, 12.0], "amps");
    let turned = [branches[2], branches[1], branches[0]];
    assert_eq!(Solver::new(2, &turned).contradictions(), [1]);
    let itself = Solver::new(1, &[branch(0, 0, 0.0, 1.0), branch(0, 0, 2.0, 1.0)]);
    assert_eq!(itself.contradictions(), [0]);
    assert_eq!(itself.solve(&[]).amps, [1000.0, 0.5]);
}

#[test]
fn parts_without_a_connection_do_not_feel_each_other() {
    let s = Solver::new(
        5,
        &[
            branch(0, 1, 1.0, 12.0),
            branch(1, 0, 2.0, 0.0),
            branch(2, 3, 1.0, 0.0),
        ],
    );
    assert_eq!([0, 1, 2, 3, 4].map(|n| s.component(n)), [0, 0, 1, 1, 2]);
    assert_eq!(
        (s.components(), s.reference(1), s.component(5)),
        (3, Some(2), u32::MAX)
    );
    let found = s.solve(&[(2, 1.0), (3, -1.0)]);
    agree(&found.amps, &[4.0, 4.0, 1.0], "amps");
    assert_eq!(
        s.imbalance(&[(2, 1.0), (0, 3.0), (9, 1.0)]),
        [3.0, 1.0, 0.0]
    );
}

#[test]
fn buffers_can_be_used_again() {
    let mut dice = Dice(3);
    let mut out = Solution::default();
    for _ in 0..50 {
        let (nodes, branches) = random_network(&mut dice, 9);
        let injections = random_injections(&mut dice, nodes);
        let solver = Solver::new(nodes, &branches);
        solver.solve_into(&injections, &mut out);
        let fresh = solver.solve(&injections);
        assert_eq!((&out.volts, &out.amps), (&fresh.volts, &fresh.amps));
    }
}

#[test]
fn odd_input_is_survived() {
    assert!(
        Solver::new(0, &[branch(0, 1, 1.0, 1.0)])
            .solve(&[(0, 1.0)])
            .volts
            .is_empty()
    );
    let odd = [
        0.0,
        -0.0,
        1e308,
        -1.0,
        1e-308,
        5e-324,
        f64::NAN,
        f64::INFINITY,
        1e-13,
        1.0,
    ];
    let mut dice = Dice(8);
    for _ in 0..2000 {
        let nodes = 1 + dice.roll(5);
        let any = |dice: &mut Dice| odd[dice.roll(odd.len() as u32) as usize];
        let branches: Vec<Branch> = (0..dice.roll(9))
            .map(|_| {
                branch(
                    dice.roll(nodes + 1),
                    dice.roll(nodes),
                    any(&mut dice),
                    any(&mut dice),
                )
            })
            .collect();
        let solver = Solver::new(nodes, &branches);
        let pairs = [(0, 1, any(&mut dice)), (1, 2, any(&mut dice)), (0, 9, 1.0)];
        assert_eq!(
            solver.solve(&[(0, any(&mut dice)), (7, 1.0)]).amps.len(),
            branches.len()
        );
        assert_eq!(solver.largest_alone(&pairs).amps.len(), branches.len());
    }
}
