//! Loads by their law and limited sources, against a dense solution that tries every state.
#![allow(
    clippy::float_cmp,
    reason = "what is meant to be exact is compared exactly"
)]

mod network_dense;

use ampwright_electrics::network::{Branch, Law, Limited, Load, Prepared, Settled, State, settle};
use network_dense::{Dice, agree, dense, random_network};

fn branch(from: u32, to: u32, ohms: f64, emf: f64) -> Branch {
    Branch {
        from,
        to,
        ohms,
        emf,
    }
}

fn load(plus: u32, minus: u32, law: Law) -> Load {
    Load { plus, minus, law }
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1e-3)
}

/// A boat of its own: a battery, a bus, loads on their own pairs of cables, chargers somewhere.
struct Boat {
    nodes: u32,
    branches: Vec<Branch>,
    loads: Vec<Load>,
    sources: Vec<Limited>,
}

fn random_boat(dice: &mut Dice, sources: u32) -> Boat {
    let (mut nodes, mut branches) = (
        3,
        vec![branch(
            1,
            0,
            dice.between(0.003, 0.05),
            dice.between(12.0, 13.0),
        )],
    );
    branches.push(branch(0, 2, dice.between(0.0, 0.02), 0.0));
    if dice.roll(2) == 0 {
        branches.push(branch(
            1,
            2,
            dice.between(0.01, 0.1),
            dice.between(12.0, 13.0),
        ));
    }
    let mut loads = Vec::new();
    for _ in 0..=dice.roll(4) {
        let (near, back) = (dice.roll(nodes.min(4)).max(2).min(nodes - 1), 1);
        branches.push(branch(
            near,
            nodes,
            10f64.powf(dice.between(-3.0, 0.0)),
            0.0,
        ));
        branches.push(branch(
            nodes + 1,
            back,
            10f64.powf(dice.between(-3.0, 0.0)),
            0.0,
        ));
        let law = match dice.roll(4) {
            0 => Law::Current(dice.between(0.1, 6.0)),
            1 => Law::Resistance(dice.between(0.5, 20.0)),
            _ => Law::Power(dice.between(1.0, 60.0)),
        };
        loads.push(load(nodes, nodes + 1, law));
        nodes += 2;
    }
    let sources = (0..sources).map(|_| {
        branches.push(branch(nodes, 2 * dice.roll(2), 0.01, 0.0));
        nodes += 1;
        let volts = dice.between(11.5, 14.6);
        Limited {
            plus: nodes - 1,
            minus: 1,
            volts,
            amps: dice.between(1.0, 60.0),
        }
    });
    let sources = sources.collect();
    Boat {
        nodes,
        branches,
        loads,
        sources,
    }
}

/// Volts across loads and sources, and the sources' amperes, with the sources in given states.
fn in_states(
    boat: &Boat,
    amps: &[f64],
    states: &[State],
) -> Option<(Vec<f64>, Vec<f64>, Vec<f64>)> {
    let mut branches = boat.branches.clone();
    let mut injections = Vec::new();
    for (l, &i) in boat.loads.iter().zip(amps) {
        match l.law {
            Law::Resistance(ohms) => branches.push(branch(l.plus, l.minus, ohms, 0.0)),
            _ => injections.extend([(l.plus, -i), (l.minus, i)]),
        }
    }
    let fixed = branches.len();
    for (s, state) in boat.sources.iter().zip(states) {
        match state {
            State::Holding => branches.push(branch(s.minus, s.plus, 0.0, s.volts)),
            State::AtLimit => injections.extend([(s.plus, s.amps), (s.minus, -s.amps)]),
            State::Off => {}
        }
    }
    let (volts, found) = dense(boat.nodes, &branches, &injections)?;
    let across = |p: u32, m: u32| volts[p as usize] - volts[m as usize];
    let mut held = found[fixed..].iter();
    let given = |(s, state): (&Limited, &State)| match state {
        State::Holding => *held.next().unwrap_or(&f64::NAN),
        State::AtLimit => s.amps,
        State::Off => 0.0,
    };
    let given = boat.sources.iter().zip(states).map(given).collect();
    let at_loads = boat.loads.iter().map(|l| across(l.plus, l.minus)).collect();
    Some((
        at_loads,
        boat.sources
            .iter()
            .map(|s| across(s.plus, s.minus))
            .collect(),
        given,
    ))
}

/// The only states that contradict nothing, by trying them all.
fn by_trying(boat: &Boat, amps: &[f64]) -> (Vec<f64>, Vec<f64>) {
    for k in 0..3usize.pow(boat.sources.len() as u32) {
        let digit =
            |j: usize| [State::Off, State::Holding, State::AtLimit][k / 3usize.pow(j as u32) % 3];
        let states: Vec<State> = (0..boat.sources.len()).map(digit).collect();
        let Some((loads, volts, given)) = in_states(boat, amps, &states) else {
            continue;
        };
        let fits = boat
            .sources
            .iter()
            .enumerate()
            .all(|(j, s)| match states[j] {
                State::Off => volts[j] >= s.volts - 1e-11,
                State::Holding => given[j] >= -1e-9 && given[j] <= s.amps + 1e-9,
                State::AtLimit => volts[j] <= s.volts + 1e-11,
            });
        if fits {
            return (loads, given);
        }
    }
    panic!("no states fit");
}

/// Amperes of the loads by plain iteration; None where a load's volts run out.
fn by_iteration(boat: &Boat) -> Option<(Vec<f64>, Vec<f64>, Vec<f64>)> {
    let mut amps = vec![0.0; boat.loads.len()];
    for _ in 0..4000 {
        let (volts, given) = by_trying(boat, &amps);
        let draw = |(l, &v): (&Load, &f64)| match l.law {
            Law::Power(watts) => watts / v,
            Law::Current(amps) => amps,
            Law::Resistance(ohms) => v / ohms,
        };
        if volts.iter().any(|v| *v <= 0.0) {
            return None;
        }
        let next: Vec<f64> = boat.loads.iter().zip(&volts).map(draw).collect();
        let rest = next
            .iter()
            .zip(&amps)
            .all(|(a, b)| (a - b).abs() <= 2e-13 * a.abs());
        amps = next;
        if rest {
            return Some((volts, amps, given));
        }
    }
    panic!("not at rest")
}

fn check(boat: &Boat) {
    let found = settle(boat.nodes, &boat.branches, &boat.loads, &boat.sources);
    assert!(found.settled);
    let Some((volts, amps, given)) = by_iteration(boat) else {
        return assert!(!found.undeliverable.is_empty());
    };
    assert!(found.undeliverable.is_empty());
    agree(&found.load_volts, &volts, "load volts");
    agree(&found.load_amps, &amps, "load amps");
    agree(&found.source_amps, &given, "source amps");
    for (k, s) in boat.sources.iter().enumerate() {
        let state = found.source_state[k];
        let amps = found.source_amps[k];
        assert!(match state {
            State::Off => amps == 0.0,
            State::Holding => amps >= 0.0 && amps <= s.amps,
            State::AtLimit => close(amps, s.amps),
        });
    }
}

fn check_all(seed: u64, rounds: u32, sources: u32) {
    let mut dice = Dice(seed);
    for round in 0..rounds {
        let count = if sources == 0 {
            0
        } else {
            dice.roll(sources + 1)
        };
        let boat = random_boat(&mut dice, count);
        let tried = std::panic::catch_unwind(|| check(&boat));
        assert!(
            tried.is_ok(),
            "boat {round}: {:#?} {:?} {:?}",
            boat.branches,
            boat.loads,
            boat.sources
        );
    }
}

#[test]
fn agrees_with_the_dense_solution_by_iteration() {
    check_all(0xB0A7, 1500, 0);
}

#[test]
fn agrees_with_every_state_of_the_sources_tried() {
    check_all(0xC0_FFEE, 700, 2);
}

#[test]
fn the_laws_hold_on_networks_of_any_shape() {
    let mut dice = Dice(0x5EA);
    let mut fed = 0;
    for _ in 0..2000 {
        let (nodes, branches) = random_network(&mut dice, 12);
        let mut any = |laws: u32| match dice.roll(laws) {
            0 => Law::Resistance(dice.between(1.0, 50.0)),
            1 => Law::Current(dice.between(0.0, 3.0)),
            _ => Law::Power(dice.between(0.0, 30.0)),
        };
        let laws: Vec<Law> = (0..4).map(|_| any(3)).collect();
        let loads: Vec<Load> = laws
            .iter()
            .map(|&l| load(dice.roll(nodes), dice.roll(nodes), l))
            .collect();
        let found = settle(nodes, &branches, &loads, &[]);
        assert!(found.settled);
        fed += u32::from(found.load_amps.iter().any(|a| *a > 0.0));
        let takes = loads
            .iter()
            .zip(&found.load_amps)
            .flat_map(|(l, &i)| [(l.plus, -i), (l.minus, i)]);
        let (_, amps) = dense(nodes, &branches, &takes.collect::<Vec<_>>()).expect("sound");
        agree(&found.solution.amps, &amps, "amps");
        let given: f64 = branches
            .iter()
            .zip(&amps)
            .map(|(b, a)| (b.emf - b.ohms * a) * a)
            .sum();
        let spent: f64 = found
            .load_volts
            .iter()
            .zip(&found.load_amps)
            .map(|(v, a)| v * a)
            .sum();
        let scale = amps.iter().fold(1.0, |m: f64, a| m.max(14.0 * a.abs()));
        assert!(
            (given - spent).abs() <= 1e-9 * scale,
            "energy: {given} W given, {spent} W taken"
        );
        let off = |l: &Load| match l.law {
            Law::Resistance(_) => *l,
            _ => load(l.plus, l.minus, Law::Current(0.0)),
        };
        let off: Vec<Load> = loads.iter().map(off).collect();
        let mut unloaded = settle(nodes, &branches, &off, &[]).load_volts;
        if !found.undeliverable.is_empty() {
            // What was given up may have taken the volts of others.
            unloaded.fill(0.0);
        }
        for (k, l) in loads
            .iter()
            .enumerate()
            .filter(|(k, _)| !found.undeliverable.contains(k))
        {
            let (v, i) = (found.load_volts[k], found.load_amps[k]);
            assert!(
                match l.law {
                    Law::Power(watts) => i == 0.0 && unloaded[k] <= 2e-5 || close(v * i, watts),
                    Law::Current(amps) => i == 0.0 && unloaded[k] <= 2e-5 || i == amps,
                    Law::Resistance(ohms) => (v - i * ohms).abs() <= 1e-9 * 14.0,
                },
                "{l:?}: {v} V, {i} A"
            );
        }
    }
    assert!(fed > 500);
}

/// One load behind one resistance: `V = (E + sqrt(E^2 - 4 R P)) / 2`, and nothing beyond `P = E^2 /
/// 4 R`.
fn behind(ohms: f64, watts: f64) -> Settled {
    settle(
        3,
        &[branch(1, 0, 0.0, 12.0), branch(0, 2, ohms, 0.0)],
        &[load(2, 1, Law::Power(watts))],
        &[],
    )
}

#[test]
fn constant_power_takes_the_upper_solution_up_to_the_most_the_cable_carries() {
    for watts in [1.0, 100.0, 300.0, 355.0, 359.0, 359.99, 359.9999] {
        let found = behind(0.1, watts);
        let volts = f64::midpoint(12.0, (144.0 - 0.4 * watts).sqrt());
        assert!(
            found.settled && found.undeliverable.is_empty(),
            "{watts} W: {found:?}"
        );
        // Beside the limit volts follow from the root of a small difference.
        let slack = 1e-9 + 1e-14 / (144.0 - 0.4 * watts);
        assert!(
            (found.load_volts[0] - volts).abs() <= slack * volts,
            "{watts} W: {} for {volts}",
            found.load_volts[0]
        );
    }
    for watts in [360.0001, 361.0, 1e6] {
        let found = behind(0.1, watts);
        assert_eq!(found.undeliverable, [0], "{watts} W");
        // Given up, it draws like the resistance that would take its power at 12 V.
        let ohms = 144.0 / watts;
        assert!(found.settled && close(found.load_amps[0], 12.0 / (0.1 + ohms)));
    }
}

#[test]
fn the_thruster_is_blamed_and_not_the_lamp_on_its_feeder() {
    let branches = [
        branch(1, 0, 0.01, 12.5),
        branch(0, 2, 0.05, 0.0),
        branch(2, 3, 0.4, 0.0),
    ];
    let loads = [load(3, 1, Law::Power(10.0)), load(2, 1, Law::Power(3000.0))];
    let found = settle(4, &branches, &loads, &[]);
    assert_eq!((found.undeliverable, found.settled), (vec![1], true));
    assert!(close(found.load_volts[0] * found.load_amps[0], 10.0));
}

#[test]
fn a_load_that_is_reversed_or_not_fed_draws_nothing() {
    let branches = [
        branch(1, 0, 0.01, 12.0),
        branch(0, 2, 0.1, 0.0),
        branch(3, 4, 1.0, 0.0),
    ];
    let law = Law::Power(50.0);
    let loads = [
        load(1, 2, law),
        load(3, 4, law),
        load(2, 3, law),
        load(2, 2, law),
        load(2, 99, Law::Current(1.0)),
    ];
    let found = settle(5, &branches, &loads, &[]);
    assert_eq!(found.load_amps, [0.0; 5]);
    assert_eq!(found.load_volts, [-12.0, 0.0, 0.0, 0.0, 0.0]);
    assert!(found.settled && found.undeliverable.is_empty());
}

fn charger(volts: f64, amps: f64) -> Limited {
    Limited {
        plus: 0,
        minus: 1,
        volts,
        amps,
    }
}

#[test]
fn a_charger_holds_reaches_its_limit_or_rests() {
    let battery = [branch(1, 0, 0.1, 12.0)];
    let states = [
        (charger(14.0, 30.0), 20.0, State::Holding),
        (charger(14.0, 5.0), 5.0, State::AtLimit),
        (charger(11.0, 5.0), 0.0, State::Off),
    ];
    for (source, amps, state) in states {
        let found = settle(2, &battery, &[], &[source]);
        assert_eq!((found.source_state[0], found.settled), (state, true));
        assert!(close(found.source_amps[0], amps));
    }
    let found = settle(
        2,
        &battery,
        &[],
        &[charger(14.0, 6.0), charger(14.0, 18.0), charger(13.0, 50.0)],
    );
    agree(&found.source_amps, &[5.0, 15.0, 0.0], "shared by limit");
}

#[test]
fn a_source_alone_feeds_an_island() {
    let lamp = load(0, 1, Law::Power(28.0));
    let found = settle(
        2,
        &[],
        &[lamp, load(0, 1, Law::Current(3.0))],
        &[charger(14.0, 10.0)],
    );
    assert_eq!(
        (found.source_state[0], found.settled),
        (State::Holding, true)
    );
    agree(&found.load_volts, &[14.0, 14.0], "volts");
    agree(&found.source_amps, &[5.0], "amps");
    // Two sources on it: the higher one first, the lower one the rest.
    let found = settle(
        2,
        &[],
        &[load(0, 1, Law::Current(12.0))],
        &[charger(14.0, 10.0), charger(13.0, 10.0)],
    );
    agree(&found.source_amps, &[10.0, 2.0], "amps");
    agree(&found.load_volts, &[13.0], "volts");
    assert_eq!(found.source_state, [State::AtLimit, State::Holding]);
}

#[test]
fn an_overloaded_source_alone_names_the_largest_load() {
    // 2 A and 12 A at 12 V from 10 A: the pump becomes 1 ohm, the lamp keeps its 24 W at 6 V and 4
    // A.
    let loads = [load(0, 1, Law::Power(24.0)), load(0, 1, Law::Power(144.0))];
    let found = settle(2, &[], &loads, &[charger(12.0, 10.0)]);
    assert_eq!((found.undeliverable, found.settled), (vec![1], true));
    agree(&found.load_volts, &[6.0, 6.0], "volts");
    agree(&found.source_amps, &[10.0], "amps");
    let found = settle(
        2,
        &[],
        &[load(0, 1, Law::Current(10.001))],
        &[charger(12.0, 10.0)],
    );
    assert_eq!(found.undeliverable, [0]);
}

#[test]
fn the_order_of_loads_sources_and_nodes_does_not_matter() {
    let mut dice = Dice(0x0DDE);
    for _ in 0..300 {
        let boat = random_boat(&mut dice, 2);
        let turn = |n: u32| boat.nodes - 1 - n;
        let turned = |b: &Branch| branch(turn(b.from), turn(b.to), b.ohms, b.emf);
        let branches: Vec<_> = boat.branches.iter().rev().map(turned).collect();
        let loads: Vec<_> = boat
            .loads
            .iter()
            .rev()
            .map(|l| load(turn(l.plus), turn(l.minus), l.law))
            .collect();
        let moved = |s: &Limited| Limited {
            plus: turn(s.plus),
            minus: turn(s.minus),
            ..*s
        };
        let sources: Vec<_> = boat.sources.iter().rev().map(moved).collect();
        let one = settle(boat.nodes, &boat.branches, &boat.loads, &boat.sources);
        let mut other = settle(boat.nodes, &branches, &loads, &sources);
        other.load_volts.reverse();
        other.source_amps.reverse();
        agree(&other.load_volts, &one.load_volts, "volts");
        agree(&other.source_amps, &one.source_amps, "amps");
    }
}

#[test]
fn several_moments_share_one_preparation() {
    let mut dice = Dice(11);
    for _ in 0..100 {
        let boat = random_boat(&mut dice, 1);
        let prepared = Prepared::new(boat.nodes, &boat.branches);
        for k in 0..boat.loads.len() {
            let one = prepared.settle(&boat.loads[..k], &boat.sources);
            let other = settle(boat.nodes, &boat.branches, &boat.loads[..k], &boat.sources);
            assert_eq!(
                (one.solution.amps, one.load_volts),
                (other.solution.amps, other.load_volts)
            );
        }
    }
}

#[test]
fn odd_input_is_survived() {
    let found = settle(
        0,
        &[],
        &[load(0, 1, Law::Power(1.0))],
        &[charger(12.0, 1.0)],
    );
    assert_eq!(
        (found.load_amps, found.source_state),
        (vec![0.0], vec![State::Off])
    );
    let odd = [0.0, 1e308, -1.0, 1e-308, f64::NAN, f64::INFINITY, 1.0, 12.0];
    let mut dice = Dice(21);
    for _ in 0..2000 {
        let any = |dice: &mut Dice| odd[dice.roll(odd.len() as u32) as usize];
        let nodes = 1 + dice.roll(4);
        let branches: Vec<_> = (0..dice.roll(6))
            .map(|_| {
                branch(
                    dice.roll(nodes + 1),
                    dice.roll(nodes),
                    any(&mut dice),
                    any(&mut dice),
                )
            })
            .collect();
        let law = [Law::Power, Law::Current, Law::Resistance];
        let loads: Vec<_> = (0..dice.roll(4))
            .map(|_| {
                load(
                    dice.roll(nodes + 1),
                    dice.roll(nodes),
                    law[dice.roll(3) as usize](any(&mut dice)),
                )
            })
            .collect();
        let sources: Vec<_> = (0..dice.roll(3))
            .map(|_| Limited {
                plus: dice.roll(nodes),
                minus: dice.roll(nodes + 1),
                volts: any(&mut dice),
                amps: any(&mut dice),
            })
            .collect();
        assert_eq!(
            settle(nodes, &branches, &loads, &sources).load_volts.len(),
            loads.len()
        );
    }
}
