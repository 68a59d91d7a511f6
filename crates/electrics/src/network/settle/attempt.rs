//! One attempt to bring a network to rest with some loads already given up.

use super::super::ports::{Port, Ports};
use super::super::{NONE, Solution, Solver};
use super::wiring::{MOST_AMPS, merge, paths, resistances};
use super::{Failing, Law, Limited, Load, Prepared, Settled, State};

/// Plain rounds before Newton's method takes over, when they do not at least halve the change each
/// time.
const PLAIN_ROUNDS: u32 = 6;

/// Rounds of one attempt, at most.
const MOST_ROUNDS: u32 = 100;

/// At rest, volts change by less than this part of a load's scale.
pub(super) const REST: f64 = 1e-12;

/// Volts below this part of the largest source are no volts: what floating point leaves between
/// equal nodes.
const NO_VOLTS: f64 = 1e-6;

/// Volts below this part of the largest source are not told more exactly than it.
const FEW_VOLTS: f64 = 1e-3;

/// A source gives more than its limit when it is over by more than this part of it.
const OVER: f64 = 1e-10;

pub(super) enum Outcome {
    Settled,
    Fails(Vec<Failing>),
    Exhausted,
}

/// A load that draws by injection.
#[derive(Debug, Clone, Copy)]
pub(super) struct Active {
    index: usize,
    plus: u32,
    minus: u32,
    pub(super) law: Law,
    /// Its unloaded volts.
    pub(super) unloaded: f64,
    /// What its volts are held against to tell rest: small ones are the difference of large ones.
    scale: f64,
}

pub(super) struct Attempt<'a> {
    prepared: &'a Prepared,
    loads: &'a [Load],
    sources: &'a [Limited],
    collapsed: &'a [Option<f64>],
    /// The network with resistances and paths; None where the bare one serves.
    own: Option<Solver>,
    /// Branch of each load that is one.
    load_branch: Vec<Option<u32>>,
    /// Port of each source.
    port_of: Vec<Option<u32>>,
    ports: Ports,
    /// Ohms of the path beside each port.
    path: Vec<Option<f64>>,
    pub(super) active: Vec<Active>,
    amps: Vec<f64>,
    pub(super) solution: Solution,
    spare: Solution,
    sound: bool,
}

impl<'a> Attempt<'a> {
    pub(super) fn new(
        prepared: &'a Prepared,
        loads: &'a [Load],
        sources: &'a [Limited],
        collapsed: &'a [Option<f64>],
    ) -> Attempt<'a> {
        let (extra, load_branch) = resistances(prepared, loads, collapsed);
        let (ports, port_of) = merge(prepared.solver.nodes(), sources);
        let (extra, path) = paths(prepared, extra, &ports);
        let own = (!extra.is_empty()).then(|| {
            let all = [&prepared.branches[..], &extra].concat();
            Solver::new(prepared.solver.nodes(), &all)
        });
        let ports = Ports::new(own.as_ref().unwrap_or(&prepared.solver), ports);
        Attempt {
            prepared,
            loads,
            sources,
            collapsed,
            own,
            load_branch,
            port_of,
            ports,
            path,
            active: Vec::new(),
            amps: Vec::new(),
            solution: Solution::default(),
            spare: Solution::default(),
            sound: true,
        }
    }

    fn solver(&self) -> &Solver {
        self.own.as_ref().unwrap_or(&self.prepared.solver)
    }

    pub(super) fn run(&mut self, rounds: &mut u32) -> Outcome {
        self.solve(&[], rounds);
        self.active = self.drawing();
        self.amps = vec![0.0; self.active.len()];
        let mut volts: Vec<f64> = self.active.iter().map(|a| a.unloaded).collect();
        let mut last = f64::INFINITY;
        for round in 0..MOST_ROUNDS {
            let amps = self.drawn(&volts);
            let next = self.solve(&amps, rounds);
            self.amps = amps;
            if let Some(port) = self.overloaded() {
                return Outcome::Fails(self.across(port));
            }
            if next.iter().any(|v| v.is_nan() || *v <= 0.0) {
                return Outcome::Fails(self.failing(&next));
            }
            let change = self.largest_part(volts.iter().zip(&next).map(|(a, b)| a - b));
            volts = next;
            let at_rest = self.is_at_rest();
            if change <= REST && at_rest {
                return if self.sound {
                    Outcome::Settled
                } else {
                    Outcome::Exhausted
                };
            }
            if round >= PLAIN_ROUNDS && at_rest && change > REST && change > 0.5 * last {
                return self.newton(volts, rounds);
            }
            last = change;
        }
        Outcome::Exhausted
    }

    /// The largest of some volts as a part of each load's scale.
    pub(super) fn largest_part(&self, volts: impl Iterator<Item = f64>) -> f64 {
        volts
            .zip(&self.active)
            .fold(0.0, |m: f64, (v, a)| m.max(v.abs() / a.scale))
    }

    /// What each active load draws at these volts.
    pub(super) fn drawn(&self, volts: &[f64]) -> Vec<f64> {
        let draw = |(a, &v): (&Active, &f64)| match a.law {
            Law::Power(watts) => watts / v,
            Law::Current(amps) => amps,
            Law::Resistance(_) => 0.0,
        };
        self.active.iter().zip(volts).map(draw).collect()
    }

    pub(super) fn set_amps(&mut self, amps: Vec<f64>) {
        self.amps = amps;
    }

    pub(super) fn is_sound(&self) -> bool {
        self.sound
    }

    /// Solves the network for the loads' amperes, with the sources in the states that go with them;
    /// returns the volts at the loads.
    pub(super) fn solve(&mut self, amps: &[f64], rounds: &mut u32) -> Vec<f64> {
        *rounds += 1;
        let mut injected = self.taken(amps);
        let solver = self.own.as_ref().unwrap_or(&self.prepared.solver);
        solver.solve_into(&injected, &mut self.solution);
        if !self.ports.list.is_empty() {
            let open: Vec<f64> = self
                .ports
                .list
                .iter()
                .map(|p| p.volts_in(&self.solution))
                .collect();
            self.sound = self.ports.share(&open);
            injected.extend(given(&self.ports.list, &self.ports.amps));
            solver.solve_into(&injected, &mut self.solution);
        }
        self.active
            .iter()
            .map(|a| a.volts_in(&self.solution))
            .collect()
    }

    /// By how many volts each load falls when the loads draw these amperes more, the sources
    /// keeping their states.
    pub(super) fn fall(&mut self, amps: &[f64], rounds: &mut u32) -> Vec<f64> {
        *rounds += 1;
        let mut injected = self.taken(amps);
        let solver = self.own.as_ref().unwrap_or(&self.prepared.solver);
        solver.respond_into(&injected, &mut self.spare);
        if !self.ports.list.is_empty() {
            let rise: Vec<f64> = self
                .ports
                .list
                .iter()
                .map(|p| p.volts_in(&self.spare))
                .collect();
            injected.extend(given(&self.ports.list, &self.ports.react(&rise)));
            solver.respond_into(&injected, &mut self.spare);
        }
        self.active
            .iter()
            .map(|a| -a.volts_in(&self.spare))
            .collect()
    }

    fn taken(&self, amps: &[f64]) -> Vec<(u32, f64)> {
        self.active
            .iter()
            .zip(amps)
            .flat_map(|(a, &i)| [(a.plus, -i), (a.minus, i)])
            .collect()
    }

    /// What the path beside a port carries towards its plus.
    fn carried(&self, port: usize) -> f64 {
        let p = &self.ports.list[port];
        self.path[port].map_or(0.0, |ohms| (p.volts - p.volts_in(&self.solution)) / ohms)
    }

    /// Counts what the paths beside sources carry against the sources' limits; true where that
    /// changed nothing.
    pub(super) fn is_at_rest(&mut self) -> bool {
        let mut rest = true;
        for k in (0..self.path.len())
            .filter(|&k| self.path[k].is_some())
            .collect::<Vec<_>>()
        {
            let (carried, most) = (self.carried(k), self.ports.list[k].amps);
            rest &= (carried + self.ports.low[k]).abs() <= REST * most;
            self.ports.low[k] = -carried;
            self.ports.high[k] = most - carried;
        }
        rest
    }

    /// A port that alone joins two parts, with no other holding the volts between them, and less to
    /// give than is drawn there. Currents only grow from round to round, so it stays so.
    pub(super) fn overloaded(&self) -> Option<usize> {
        let over = |&k: &usize| {
            let most = self.ports.list[k].amps;
            let over = self.ports.amps[k] + self.carried(k) > most * (1.0 + OVER);
            let path = self.path[k].filter(|_| over && self.ports.state[k] == State::AtLimit);
            path.is_some_and(|path| !self.ports.is_pinned(k, path))
        };
        (0..self.path.len()).find(over)
    }

    /// The loads that a port feeds as the only joint: those whose volts follow its path.
    pub(super) fn across(&mut self, port: usize) -> Vec<Failing> {
        let (p, path) = (
            self.ports.list[port],
            self.path[port].unwrap_or(f64::INFINITY),
        );
        let solver = self.own.as_ref().unwrap_or(&self.prepared.solver);
        solver.respond_into(&[(p.plus, 1.0), (p.minus, -1.0)], &mut self.spare);
        let follows = self
            .active
            .iter()
            .filter(|a| a.volts_in(&self.spare) > 0.5 * path);
        follows.map(Active::failing).collect()
    }

    /// The loads that draw by injection: fed, the right way round, and asking for something.
    fn drawing(&self) -> Vec<Active> {
        let emfs = self.prepared.branches.iter().map(|b| b.finite_emf().abs());
        let largest = emfs
            .chain(self.ports.list.iter().map(|p| p.volts))
            .fold(0.0, f64::max);
        let solver = self.solver();
        let draws = |(index, load): (usize, &Load)| {
            let (plus, minus) = (load.plus, load.minus);
            let asks = match load.law {
                Law::Current(x) | Law::Power(x) => x > 0.0 && x.is_finite(),
                Law::Resistance(_) => false,
            };
            let joined =
                solver.component(plus) == solver.component(minus) && solver.component(plus) != NONE;
            if !asks || !joined || self.load_branch[index].is_some() {
                return None;
            }
            let unloaded = self.solution.volts[plus as usize] - self.solution.volts[minus as usize];
            let scale = unloaded.max(FEW_VOLTS * largest);
            let law = load.law;
            (unloaded > NO_VOLTS * largest).then_some(Active {
                index,
                plus,
                minus,
                law,
                unloaded,
                scale,
            })
        };
        self.loads.iter().enumerate().filter_map(draws).collect()
    }

    /// The loads to blame at these volts: those with none left, else those that fell at least half
    /// as far as the worst.
    pub(super) fn failing(&self, volts: &[f64]) -> Vec<Failing> {
        let part = |(v, a): (&f64, &Active)| {
            if v.is_nan() {
                f64::NEG_INFINITY
            } else {
                v / a.unloaded
            }
        };
        let parts: Vec<f64> = volts.iter().zip(&self.active).map(part).collect();
        let worst = parts.iter().copied().fold(1.0, f64::min);
        let bar = if worst <= 0.0 {
            0.0
        } else {
            f64::midpoint(1.0, worst)
        };
        let failed = self.active.iter().zip(parts).filter(|&(_, p)| p <= bar);
        failed.map(|(a, _)| a.failing()).collect()
    }

    pub(super) fn report(self, settled: bool, rounds: u32) -> Settled {
        let mut load_volts: Vec<f64> = self.loads.iter().map(|l| self.volts_at(l)).collect();
        let branch_amps = |b: &Option<u32>| b.map_or(0.0, |b| self.solution.amps[b as usize]);
        let mut load_amps: Vec<f64> = self.load_branch.iter().map(branch_amps).collect();
        for (a, &amps) in self.active.iter().zip(&self.amps) {
            load_amps[a.index] = amps;
            load_volts[a.index] = a.volts_in(&self.solution);
        }
        let (source_amps, source_state) = self
            .sources
            .iter()
            .zip(&self.port_of)
            .map(|(s, p)| self.gives(s, *p))
            .unzip();
        let undeliverable = (0..self.loads.len())
            .filter(|&l| self.collapsed[l].is_some())
            .collect();
        let mut solution = self.solution;
        solution.amps.truncate(self.prepared.branches.len());
        Settled {
            solution,
            load_volts,
            load_amps,
            source_amps,
            source_state,
            undeliverable,
            settled,
            rounds,
        }
    }

    fn volts_at(&self, load: &Load) -> f64 {
        let solver = self.solver();
        let joined = solver.component(load.plus) == solver.component(load.minus);
        let volts = |n: u32| self.solution.volts.get(n as usize).copied().unwrap_or(0.0);
        if joined {
            volts(load.plus) - volts(load.minus)
        } else {
            0.0
        }
    }

    fn gives(&self, source: &Limited, port: Option<u32>) -> (f64, State) {
        let Some(k) = port.map(|p| p as usize) else {
            return (0.0, State::Off);
        };
        let share = source.amps.min(MOST_AMPS) / self.ports.list[k].amps;
        let state = self.ports.state[k];
        let amps = if state == State::Off {
            0.0
        } else {
            (self.ports.amps[k] + self.carried(k)).max(0.0)
        };
        (share * amps, state)
    }
}

impl Active {
    fn volts_in(&self, solution: &Solution) -> f64 {
        solution.volts[self.plus as usize] - solution.volts[self.minus as usize]
    }

    fn failing(&self) -> Failing {
        let amps = match self.law {
            Law::Power(watts) => watts / self.unloaded,
            Law::Current(amps) | Law::Resistance(amps) => amps,
        };
        Failing {
            load: self.index,
            amps,
            ohms: self.unloaded / amps,
        }
    }
}

fn given<'a>(ports: &'a [Port], amps: &'a [f64]) -> impl Iterator<Item = (u32, f64)> + 'a {
    ports
        .iter()
        .zip(amps)
        .flat_map(|(p, &i)| [(p.plus, i), (p.minus, -i)])
}
