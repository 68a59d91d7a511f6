//! Ten thousand whole networks: meshes on both sides, several batteries, branches of no ohms, loads
//! of every law and sources with a limit, all at once.
//!
//! The answer beside it shares no code with the solver: modified nodal analysis by nalgebra's LU,
//! Newton's method from the unloaded volts for the loads, and every state of the sources tried.
//! Besides, what the solver says must satisfy the laws of Kirchhoff, each branch's, each load's and
//! each source's own law, and the balance of power, whatever anybody else finds.

mod network_dense;

use ampwright_electrics::network::{Branch, Law, Limited, Load, Settled, Solver, State, settle};
use nalgebra::{DMatrix, DVector};
use network_dense::{Dice, Sets, agree, dense};

/// Relative to the largest value of its kind.
const SLACK: f64 = 1e-9;

struct Boat {
    nodes: u32,
    branches: Vec<Branch>,
    loads: Vec<Load>,
    sources: Vec<Limited>,
}

/// Grows a boat. Nodes below `plus` are on the positive side, the others on the negative.
struct Yard<'a> {
    dice: &'a mut Dice,
    plus: u32,
    minus: u32,
    boat: Boat,
    /// What branches of no ohms and stiff sources have joined: they never close a loop alone.
    stiff: Sets,
}

impl Yard<'_> {
    fn on_plus(&mut self) -> u32 {
        self.dice.roll(self.plus)
    }

    fn on_minus(&mut self) -> u32 {
        self.plus + self.dice.roll(self.minus)
    }

    /// One conductor in five is a contact of no ohms.
    fn wire(&mut self, from: u32, to: u32) {
        let ohms = 10f64.powf(self.dice.between(-4.0, -1.0));
        let none = self.dice.roll(5) == 0 && self.stiff.join(from, to);
        self.branch(from, to, if none { 0.0 } else { ohms }, 0.0);
    }

    fn branch(&mut self, from: u32, to: u32, ohms: f64, emf: f64) {
        self.boat.branches.push(Branch {
            from,
            to,
            ohms,
            emf,
        });
    }

    /// A tree over the nodes of one side, and some branches that close loops.
    fn side(&mut self, first: u32, count: u32) {
        for k in 1..count {
            let to = first + self.dice.roll(k);
            self.wire(first + k, to);
        }
        for _ in 0..self.dice.roll(count) {
            let (from, to) = (first + self.dice.roll(count), first + self.dice.roll(count));
            if from != to {
                self.wire(from, to);
            }
        }
    }

    fn battery(&mut self) {
        let (minus, plus) = (self.on_minus(), self.on_plus());
        let stiff = self.dice.roll(6) == 0 && self.stiff.join(minus, plus);
        let inside = if stiff {
            0.0
        } else {
            self.dice.between(2e-3, 5e-2)
        };
        let emf = self.dice.between(12.0, 13.2);
        self.branch(minus, plus, inside, emf);
    }

    fn load(&mut self) {
        let (plus, minus) = (self.on_plus(), self.on_minus());
        let law = match self.dice.roll(7) {
            0 | 1 => Law::Current(self.dice.between(0.1, 20.0)),
            2 => Law::Resistance(self.dice.between(0.5, 20.0)),
            3 => Law::Power(self.dice.between(300.0, 900.0)),
            _ => Law::Power(self.dice.between(1.0, 60.0)),
        };
        self.boat.loads.push(Load { plus, minus, law });
    }

    /// Half of the sources stand at the end of a cable of their own.
    fn source(&mut self) {
        let (mut plus, minus) = (self.on_plus(), self.on_minus());
        if self.dice.roll(2) == 0 {
            let lead = self.dice.between(2e-3, 5e-2);
            self.branch(self.boat.nodes, plus, lead, 0.0);
            plus = self.boat.nodes;
            self.boat.nodes += 1;
        }
        self.boat.sources.push(Limited {
            plus,
            minus,
            volts: self.dice.between(11.5, 14.8),
            amps: self.dice.between(1.0, 60.0),
        });
    }
}

fn random_boat(dice: &mut Dice) -> Boat {
    let (plus, minus) = (1 + dice.roll(5), 1 + dice.roll(4));
    let boat = Boat {
        nodes: plus + minus,
        branches: Vec::new(),
        loads: Vec::new(),
        sources: Vec::new(),
    };
    let mut yard = Yard {
        dice,
        plus,
        minus,
        boat,
        stiff: Sets::new(plus + minus),
    };
    yard.side(0, plus);
    yard.side(plus, minus);
    for _ in 0..=yard.dice.roll(3) {
        yard.battery();
    }
    for _ in 0..=yard.dice.roll(4) {
        yard.load();
    }
    for _ in 0..yard.dice.roll(3) {
        yard.source();
    }
    yard.boat
}

/// The network in one state of its sources, as its loads' plugs see it: volts with nothing drawn,
/// and what an ampere at one plug does to another.
struct Plugs {
    /// Volts of each node with nothing drawn.
    open: DVector<f64>,
    /// What an ampere drawn at each plug does to every unknown.
    by_ampere: DMatrix<f64>,
    nodes: usize,
}

/// Node volts, then the amperes of what has no ohms.
fn plugs(boat: &Boat, states: &[State], plugged: &[&Load]) -> Option<Plugs> {
    let nodes = boat.nodes as usize;
    let mut branches = boat.branches.clone();
    for load in &boat.loads {
        if let Law::Resistance(ohms) = load.law {
            let (from, to) = (load.plus, load.minus);
            branches.push(Branch {
                from,
                to,
                ohms,
                emf: 0.0,
            });
        }
    }
    let mut injected = Vec::new();
    for (source, state) in boat.sources.iter().zip(states) {
        match state {
            State::Off => {}
            State::AtLimit => {
                injected.extend([(source.plus, source.amps), (source.minus, -source.amps)]);
            }
            State::Holding => branches.push(Branch {
                from: source.minus,
                to: source.plus,
                ohms: 0.0,
                emf: source.volts,
            }),
        }
    }
    let stiff = branches.iter().filter(|b| b.ohms == 0.0).count();
    let size = nodes + stiff;
    let mut m = DMatrix::<f64>::zeros(size, size);
    let mut given = DMatrix::<f64>::zeros(size, 1 + plugged.len());
    let mut row = nodes;
    for b in &branches {
        let (from, to) = (b.from as usize, b.to as usize);
        if b.ohms == 0.0 {
            m[(from, row)] += 1.0;
            m[(to, row)] -= 1.0;
            m[(row, from)] += 1.0;
            m[(row, to)] -= 1.0;
            given[(row, 0)] = -b.emf;
            row += 1;
        } else {
            let siemens = 1.0 / b.ohms;
            m[(from, from)] += siemens;
            m[(to, to)] += siemens;
            m[(from, to)] -= siemens;
            m[(to, from)] -= siemens;
            given[(from, 0)] -= siemens * b.emf;
            given[(to, 0)] += siemens * b.emf;
        }
    }
    for (node, amps) in injected {
        given[(node as usize, 0)] += amps;
    }
    for (column, load) in (1..).zip(plugged) {
        given[(load.plus as usize, column)] -= 1.0;
        given[(load.minus as usize, column)] += 1.0;
    }
    // The first node holds at nothing; every boat is of one piece.
    m.row_mut(0).fill(0.0);
    m[(0, 0)] = 1.0;
    given.row_mut(0).fill(0.0);
    let factors = m.clone().lu();
    let x = factors.solve(&given)?;
    let x = &x + factors.solve(&(&given - &m * &x))?;
    x.iter()
        .all(|x| x.is_finite() && x.abs() < 1e6)
        .then(|| Plugs {
            open: x.column(0).into_owned(),
            by_ampere: x.columns(1, plugged.len()).into_owned(),
            nodes,
        })
}

impl Plugs {
    fn volts(&self, amps: &DVector<f64>) -> DVector<f64> {
        let all = &self.open + &self.by_ampere * amps;
        all.rows(0, self.nodes).into_owned()
    }

    /// Amperes at which each load has what it asks for: Newton's method from nothing drawn, which
    /// rises to the lesser amperes and so to the greater volts. None where there are none.
    fn feed(&self, loads: &[&Load]) -> Option<DVector<f64>> {
        let count = loads.len();
        let mut amps = DVector::<f64>::zeros(count);
        if loads.is_empty() {
            return Some(amps);
        }
        for _ in 0..200 {
            let volts = self.volts(&amps);
            let mut lacks = DVector::<f64>::zeros(count);
            let mut slope = DMatrix::<f64>::zeros(count, count);
            for (k, load) in loads.iter().enumerate() {
                let (plus, minus) = (load.plus as usize, load.minus as usize);
                let v = volts[plus] - volts[minus];
                match load.law {
                    Law::Power(watts) => {
                        lacks[k] = watts - v * amps[k];
                        for j in 0..count {
                            let z = self.by_ampere[(plus, j)] - self.by_ampere[(minus, j)];
                            slope[(k, j)] = amps[k] * z;
                        }
                        slope[(k, k)] += v;
                    }
                    Law::Current(asked) => {
                        lacks[k] = asked - amps[k];
                        slope[(k, k)] = 1.0;
                    }
                    Law::Resistance(_) => unreachable!("a branch"),
                }
            }
            let step = slope.lu().solve(&lacks)?;
            amps += &step;
            if amps.iter().any(|a| !a.is_finite() || *a < 0.0) {
                return None;
            }
            if step.amax() <= 1e-13 * amps.amax() {
                break;
            }
        }
        let volts = self.volts(&amps);
        let fed = loads.iter().zip(&amps).all(|(load, amps)| {
            let v = volts[load.plus as usize] - volts[load.minus as usize];
            let right = match load.law {
                Law::Power(watts) => (v * amps - watts).abs() <= 1e-9 * watts,
                _ => true,
            };
            v > 0.0 && right
        });
        fed.then_some(amps)
    }
}

/// One way in which all comes to rest.
struct Rest {
    states: Vec<State>,
    /// Volts at each load and amperes of each load and source.
    load_volts: Vec<f64>,
    load_amps: Vec<f64>,
    source_amps: Vec<f64>,
}

/// Every state of the sources that contradicts nothing.
fn by_trying(boat: &Boat) -> Vec<Rest> {
    let all = [State::Off, State::Holding, State::AtLimit];
    let count = boat.sources.len() as u32;
    let tried = (0..3usize.pow(count)).map(|k| {
        let digit = |j: u32| all[k / 3usize.pow(j) % 3];
        (0..count).map(digit).collect()
    });
    tried.filter_map(|states| rest(boat, states)).collect()
}

fn rest(boat: &Boat, states: Vec<State>) -> Option<Rest> {
    let fed = |load: &&Load| !matches!(load.law, Law::Resistance(_));
    let plugged: Vec<&Load> = boat.loads.iter().filter(fed).collect();
    let plugs = plugs(boat, &states, &plugged)?;
    let amps = plugs.feed(&plugged)?;
    let whole = &plugs.open + &plugs.by_ampere * &amps;
    let across = |plus: u32, minus: u32| whole[plus as usize] - whole[minus as usize];
    // The held sources are the last of the unknowns.
    let held = states.iter().filter(|s| **s == State::Holding).count();
    let mut held = whole.as_slice()[whole.len() - held..].iter().copied();
    let mut source_amps = Vec::new();
    for (source, state) in boat.sources.iter().zip(&states) {
        let volts = across(source.plus, source.minus);
        let (amps, fits) = match state {
            State::Off => (0.0, volts >= source.volts - 1e-10),
            State::AtLimit => (source.amps, volts <= source.volts + 1e-10),
            State::Holding => {
                let amps = held.next()?;
                (amps, (-1e-9..=source.amps + 1e-9).contains(&amps))
            }
        };
        if !fits {
            return None;
        }
        source_amps.push(amps);
    }
    let mut drawn = amps.iter().copied();
    let load_volts: Vec<f64> = boat.loads.iter().map(|l| across(l.plus, l.minus)).collect();
    let mut load_amps = Vec::new();
    for (load, volts) in boat.loads.iter().zip(&load_volts) {
        load_amps.push(match load.law {
            Law::Resistance(ohms) => volts / ohms,
            _ => drawn.next()?,
        });
    }
    Some(Rest {
        states,
        load_volts,
        load_amps,
        source_amps,
    })
}

fn near(a: f64, b: f64, scale: f64) -> bool {
    (a - b).abs() <= SLACK * scale
}

/// What anybody can check without solving anything.
fn laws_hold(boat: &Boat, found: &Settled) {
    let (volts, amps) = (&found.solution.volts, &found.solution.amps);
    let across = |plus: u32, minus: u32| volts[plus as usize] - volts[minus as usize];
    let most = |list: &[f64]| list.iter().fold(1.0, |m: f64, x| m.max(x.abs()));
    let current = most(amps).max(most(&found.load_amps));
    let mut left = vec![0.0; boat.nodes as usize];
    let mut move_on = |from: u32, to: u32, amps: f64| {
        left[from as usize] -= amps;
        left[to as usize] += amps;
    };
    for (b, a) in boat.branches.iter().zip(amps) {
        assert!(
            near(across(b.from, b.to) + b.emf, b.ohms * a, 15.0),
            "{b:?} carries {a}"
        );
        move_on(b.from, b.to, *a);
    }
    for (k, load) in boat.loads.iter().enumerate() {
        let (v, i) = (found.load_volts[k], found.load_amps[k]);
        assert!(near(v, across(load.plus, load.minus), 15.0));
        move_on(load.plus, load.minus, i);
        let own = match load.law {
            _ if found.undeliverable.contains(&k) => v >= 0.0 && i >= 0.0,
            Law::Current(asked) => near(i, asked, asked),
            Law::Power(watts) => near(v * i, watts, watts),
            Law::Resistance(ohms) => near(v, i * ohms, 15.0),
        };
        assert!(own, "{load:?} has {v} V and {i} A");
    }
    let mut given = 0.0;
    for (k, source) in boat.sources.iter().enumerate() {
        let i = found.source_amps[k];
        let v = across(source.plus, source.minus);
        move_on(source.minus, source.plus, i);
        given += v * i;
        let own = match found.source_state[k] {
            State::Off => i == 0.0 && v >= source.volts - SLACK * 15.0,
            State::Holding => {
                near(v, source.volts, 15.0) && i >= -SLACK && i <= source.amps + SLACK
            }
            State::AtLimit => near(i, source.amps, source.amps) && v <= source.volts + SLACK * 15.0,
        };
        assert!(own, "{source:?} at {v} V gives {i} A");
    }
    for (node, left) in left.iter().enumerate() {
        assert!(near(*left, 0.0, current), "{left} A left at {node}");
    }
    given += boat
        .branches
        .iter()
        .zip(amps)
        .map(|(b, a)| b.emf * a)
        .sum::<f64>();
    let heat: f64 = boat
        .branches
        .iter()
        .zip(amps)
        .map(|(b, a)| b.ohms * a * a)
        .sum();
    let work: f64 = found
        .load_volts
        .iter()
        .zip(&found.load_amps)
        .map(|(v, i)| v * i)
        .sum();
    assert!(
        near(given, heat + work, 15.0 * current),
        "{given} W given, {heat} W of heat, {work} W of work"
    );
}

/// The states of the sources, where every load could be fed.
fn check(boat: &Boat) -> Option<Vec<State>> {
    let found = settle(boat.nodes, &boat.branches, &boat.loads, &boat.sources);
    assert!(found.settled);
    laws_hold(boat, &found);
    let rests = by_trying(boat);
    let Some(rest) = rests.iter().find(|rest| rest.states == found.source_state) else {
        assert!(rests.is_empty(), "another state: {:?}", rests[0].states);
        assert!(!found.undeliverable.is_empty(), "fed where nothing can be");
        return None;
    };
    assert!(found.undeliverable.is_empty(), "{:?}", found.undeliverable);
    agree(&found.load_volts, &rest.load_volts, "load volts");
    agree(&found.load_amps, &rest.load_amps, "load amps");
    agree(&found.source_amps, &rest.source_amps, "source amps");
    // And every branch, by the full tableau with those amperes sent through.
    let mut sent = Vec::new();
    for (load, &amps) in boat.loads.iter().zip(&rest.load_amps) {
        sent.extend([(load.plus, -amps), (load.minus, amps)]);
    }
    for (source, &amps) in boat.sources.iter().zip(&rest.source_amps) {
        sent.extend([(source.plus, amps), (source.minus, -amps)]);
    }
    let Some((_, amps)) = dense(boat.nodes, &boat.branches, &sent) else {
        panic!("singular");
    };
    agree(&found.solution.amps, &amps, "amps");
    Some(found.source_state)
}

/// Thévenin's resistance: an ampere sent through the batteries' insides and the cables.
fn check_thevenin(boat: &Boat, pair: (u32, u32)) {
    let passive: Vec<Branch> = boat
        .branches
        .iter()
        .map(|b| Branch { emf: 0.0, ..*b })
        .collect();
    let Some((volts, _)) = dense(boat.nodes, &passive, &[(pair.0, 1.0), (pair.1, -1.0)]) else {
        panic!("singular");
    };
    let expected = volts[pair.0 as usize] - volts[pair.1 as usize];
    let found = Solver::new(boat.nodes, &boat.branches).resistances(&[pair])[0];
    assert!(
        found.is_exact() && (found.high - expected).abs() <= SLACK * expected + 1e-13,
        "{pair:?}: {found:?}, an ampere makes {expected} V"
    );
}

/// Rounds of one seed; several tests, so that they run side by side.
fn check_many(seed: u64, rounds: u32) {
    let mut dice = Dice(seed);
    let (mut refused, mut states) = (0, Vec::new());
    for round in 0..rounds {
        let boat = random_boat(&mut dice);
        let pair = (dice.roll(boat.nodes), dice.roll(boat.nodes));
        let tried = std::panic::catch_unwind(|| {
            check_thevenin(&boat, pair);
            check(&boat)
        });
        let Ok(ending) = tried else {
            panic!(
                "round {round}: {} nodes, {:#?} {:?} {:?}",
                boat.nodes, boat.branches, boat.loads, boat.sources
            );
        };
        refused += u32::from(ending.is_none());
        states.extend(ending.into_iter().flatten());
    }
    // The dice reach what is tested.
    assert!((rounds / 100..rounds / 4).contains(&refused), "{refused}");
    for state in [State::Off, State::Holding, State::AtLimit] {
        let count = states.iter().filter(|s| **s == state).count();
        assert!(count > rounds as usize / 10, "{state:?}: {count}");
    }
}

#[test]
fn whole_networks_agree_with_the_dense_answer_first_part() {
    check_many(0x5EED_0001, 5000);
}

#[test]
fn whole_networks_agree_with_the_dense_answer_second_part() {
    check_many(0x5EED_0002, 5000);
}
