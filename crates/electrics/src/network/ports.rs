//! Limited sources: each holds its volts up to its limit, and never takes current back.
//!
//! Seen from its terminals the rest of the network is a resistance matrix `R` behind open-circuit
//! volts, so the states of all sources together are the minimum of one convex quadratic over a box:
//! `s R s / 2 + s (open - volts)` with `0 <= s <= amps`. An active-set method finds it in finitely
//! many steps.

use super::{Solution, Solver};

/// A source's droop at its limit, as a part of its volts: it makes the sharing of sources that hold
/// the same volts at the same place definite (in proportion to their limits) and is far below what
/// is reported.
const DROOP: f64 = 1e-12;

/// Sources of one component solved together, at most; the time grows with the third power. The rest
/// stay at their limits.
const MOST: usize = 128;

/// What a limited source is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// Its terminals stand above its volts: it gives nothing.
    Off,
    /// It holds its volts.
    Holding,
    /// It gives its maximum and its terminals stand below its volts.
    AtLimit,
}

/// One pair of terminals with a source on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Port {
    pub(super) plus: u32,
    pub(super) minus: u32,
    pub(super) volts: f64,
    pub(super) amps: f64,
}

/// The ports of a network, their resistance matrix and their present state.
#[derive(Debug)]
pub(super) struct Ports {
    pub(super) list: Vec<Port>,
    groups: Vec<Group>,
    /// Least and greatest amperes of each port.
    pub(super) low: Vec<f64>,
    pub(super) high: Vec<f64>,
    pub(super) amps: Vec<f64>,
    pub(super) state: Vec<State>,
    complete: bool,
}

/// The ports of one component and their ohms, row by row.
#[derive(Debug, Default)]
struct Group {
    members: Vec<usize>,
    ohms: Vec<f64>,
}

impl Ports {
    /// `ports` must have both terminals in one component each, positive volts and finite positive
    /// amperes.
    pub(super) fn new(solver: &Solver, ports: Vec<Port>) -> Ports {
        let mut groups: Vec<Group> = (0..solver.components()).map(|_| Group::default()).collect();
        let mut complete = true;
        for (k, port) in ports.iter().enumerate() {
            let members = &mut groups[solver.component(port.plus) as usize].members;
            if members.len() < MOST {
                members.push(k);
            } else {
                complete = false;
            }
        }
        groups.retain(|g| !g.members.is_empty());
        measure(solver, &ports, &mut groups);
        let high: Vec<f64> = ports.iter().map(|p| p.amps).collect();
        let state = vec![State::AtLimit; ports.len()];
        Ports {
            low: vec![0.0; ports.len()],
            amps: high.clone(),
            high,
            state,
            list: ports,
            groups,
            complete,
        }
    }

    /// Finds what each port gives, from its volts with all ports at zero amperes. False where it
    /// ran out of steps, or where there were too many ports.
    pub(super) fn share(&mut self, open: &[f64]) -> bool {
        let groups = std::mem::take(&mut self.groups);
        let done = groups.iter().all(|g| self.share_group(g, open));
        self.groups = groups;
        done && self.complete
    }

    fn share_group(&mut self, group: &Group, open: &[f64]) -> bool {
        for &k in &group.members {
            self.amps[k] = self
                .bound(k)
                .unwrap_or(self.amps[k].max(self.low[k]).min(self.high[k]));
        }
        for _ in 0..8 * group.members.len() + 32 {
            let target = self.free_solution(group, open);
            if !self.advance(&target) {
                continue;
            }
            let Some(wrong) = self.most_wrong(group, open) else {
                return true;
            };
            self.state[wrong] = State::Holding;
        }
        false
    }

    /// Amperes of a port that is not holding.
    fn bound(&self, k: usize) -> Option<f64> {
        match self.state[k] {
            State::Off => Some(self.low[k]),
            State::AtLimit => Some(self.high[k]),
            State::Holding => None,
        }
    }

    /// What the holding ports of a group would give if they had no bounds.
    fn free_solution(&self, group: &Group, open: &[f64]) -> Vec<(usize, f64)> {
        let lacks = |row: usize, k: usize| {
            let others = group.members.iter().enumerate();
            let raised: f64 = others
                .filter_map(|(c, &j)| Some(group.at(row, c) * self.bound(j)?))
                .sum();
            self.list[k].volts - open[k] - raised
        };
        self.solve_free(group, lacks)
    }

    /// Solves the holding rows of a group for the volts they lack.
    fn solve_free(&self, group: &Group, lacks: impl Fn(usize, usize) -> f64) -> Vec<(usize, f64)> {
        let free: Vec<(usize, usize)> = group
            .members
            .iter()
            .copied()
            .enumerate()
            .filter(|&(_, k)| self.state[k] == State::Holding)
            .collect();
        let size = free.len();
        let mut matrix = vec![0.0; size * size];
        for (r, &(row, k)) in free.iter().enumerate() {
            for (c, &(column, _)) in free.iter().enumerate() {
                matrix[r * size + c] = group.at(row, column);
            }
            matrix[r * size + r] += self.list[k].droop();
        }
        let mut x: Vec<f64> = free.iter().map(|&(row, k)| lacks(row, k)).collect();
        solve_dense(&mut matrix, &mut x);
        free.iter().map(|&(_, k)| k).zip(x).collect()
    }

    /// Moves the holding ports to their target, or to the first bound on the way there; true where
    /// it was reached.
    fn advance(&mut self, target: &[(usize, f64)]) -> bool {
        let mut first: Option<(f64, usize, State)> = None;
        for &(k, x) in target {
            let (state, edge) = if x < self.low[k] {
                (State::Off, self.low[k])
            } else if x > self.high[k] {
                (State::AtLimit, self.high[k])
            } else {
                continue;
            };
            let part = ((edge - self.amps[k]) / (x - self.amps[k])).clamp(0.0, 1.0);
            if first.is_none_or(|(least, ..)| part < least) {
                first = Some((part, k, state));
            }
        }
        let part = first.map_or(1.0, |(part, ..)| part);
        for &(k, x) in target {
            self.amps[k] = if part < 1.0 {
                self.amps[k] + part * (x - self.amps[k])
            } else {
                x
            };
        }
        let Some((_, k, state)) = first else {
            return true;
        };
        self.state[k] = state;
        self.amps[k] = self.bound(k).unwrap_or(self.amps[k]);
        false
    }

    /// The port whose terminals contradict its state the most.
    fn most_wrong(&self, group: &Group, open: &[f64]) -> Option<usize> {
        let mut worst = (DROOP, None);
        for (row, &k) in group.members.iter().enumerate() {
            let raised: f64 = group
                .members
                .iter()
                .enumerate()
                .map(|(c, &j)| group.at(row, c) * self.amps[j])
                .sum();
            let port = &self.list[k];
            let below = (port.volts - open[k] - raised - port.droop() * self.amps[k]) / port.volts;
            let wrong = match self.state[k] {
                State::Off => below,
                State::AtLimit => -below,
                State::Holding => continue,
            };
            if wrong > worst.0 {
                worst = (wrong, Some(k));
            }
        }
        worst.1
    }

    /// True where a holding port fixes the volts across a port that is the only joint of two parts
    /// of the network, known by the ohms of the path beside it.
    pub(super) fn is_pinned(&self, port: usize, path: f64) -> bool {
        let across = |g: &Group, row: usize| {
            let held = |(c, &j): (usize, &usize)| {
                self.state[j] == State::Holding && g.at(row, c).abs() > 0.5 * path
            };
            g.members.iter().enumerate().any(held)
        };
        let find = |g: &Group| {
            g.members
                .iter()
                .position(|&k| k == port)
                .map(|row| across(g, row))
        };
        self.groups.iter().find_map(find).unwrap_or(false)
    }

    /// By how much the holding ports change their amperes when the rest of the network raises their
    /// volts by `rise`; the others stay as they are.
    pub(super) fn react(&self, rise: &[f64]) -> Vec<f64> {
        let mut change = vec![0.0; self.list.len()];
        for group in &self.groups {
            for (k, x) in self.solve_free(group, |_, k| -rise[k]) {
                change[k] = x;
            }
        }
        change
    }
}

impl Port {
    fn droop(&self) -> f64 {
        DROOP * self.volts / self.amps
    }

    pub(super) fn volts_in(&self, solution: &Solution) -> f64 {
        solution.volts[self.plus as usize] - solution.volts[self.minus as usize]
    }
}

impl Group {
    fn at(&self, row: usize, column: usize) -> f64 {
        self.ohms[row * self.members.len() + column]
    }
}

/// Measures the ohms between ports: the first port of every component at once, then the second
/// ones: components do not feel each other.
fn measure(solver: &Solver, ports: &[Port], groups: &mut [Group]) {
    let mut out = Solution::default();
    for g in groups.iter_mut() {
        g.ohms = vec![0.0; g.members.len() * g.members.len()];
    }
    for column in 0..groups.iter().map(|g| g.members.len()).max().unwrap_or(0) {
        let driven = groups.iter().filter_map(|g| g.members.get(column));
        let amps: Vec<_> = driven
            .flat_map(|&k| [(ports[k].plus, 1.0), (ports[k].minus, -1.0)])
            .collect();
        solver.respond_into(&amps, &mut out);
        for g in groups.iter_mut().filter(|g| column < g.members.len()) {
            let size = g.members.len();
            for (row, &k) in g.members.iter().enumerate() {
                // Half to each side of the diagonal: the matrix must be symmetric to the last
                // digit.
                let half = 0.5 * ports[k].volts_in(&out);
                g.ohms[row * size + column] += half;
                g.ohms[column * size + row] += half;
            }
        }
    }
}

/// Solves a symmetric positive definite system in place, row by row (Cholesky).
fn solve_dense(matrix: &mut [f64], x: &mut [f64]) {
    let size = x.len();
    for c in 0..size {
        for r in c..size {
            let dot: f64 = (0..c)
                .map(|k| matrix[r * size + k] * matrix[c * size + k])
                .sum();
            let rest = matrix[r * size + c] - dot;
            matrix[r * size + c] = if r == c {
                rest.max(f64::MIN_POSITIVE).sqrt()
            } else {
                rest / matrix[c * size + c]
            };
        }
    }
    for r in 0..size {
        let dot: f64 = (0..r).map(|k| matrix[r * size + k] * x[k]).sum();
        x[r] = (x[r] - dot) / matrix[r * size + r];
    }
    for r in (0..size).rev() {
        let dot: f64 = (r + 1..size).map(|k| matrix[k * size + r] * x[k]).sum();
        x[r] = (x[r] - dot) / matrix[r * size + r];
    }
}
