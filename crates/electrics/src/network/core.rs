//! The core of a network: the nodes that lie on loops, or between them.
//!
//! Zero-ohm branches merge their nodes into clusters with fixed differences of potential. The
//! clusters are solved by their conductances; the currents inside a cluster follow by Kirchhoff's
//! current law, and where zero-ohm branches form loops, as if each had one ohm.

use super::{Branch, NONE, Solution, Solver, factor::Factor, forest::Forest, reset};
use crate::flow::union::Union;

/// In a loop, fewer ohms than this (a picoohm) count as none: a millimetre of bus bar has a million
/// times more.
const ZERO_OHMS: f64 = 1e-12;

/// Two zero-ohm ways between the same nodes agree to this part of the emfs on them.
const SAME_VOLTS: f64 = 1e-9;

/// Corrections after the first solution, at most. One reaches rounding on all but extreme ratios of
/// ohms.
const CORRECTIONS: u32 = 3;

/// A branch of the core with a resistance.
#[derive(Debug, Clone, Copy)]
struct Resistor {
    /// Core nodes.
    from: u32,
    to: u32,
    branch: u32,
    siemens: f64,
    /// Amperes it carries while its two clusters stand at equal potential.
    idle_amps: f64,
}

impl Resistor {
    /// A branch between two core nodes that stand `above` their clusters. One of no ohms is here
    /// because it contradicts.
    fn new(branch: u32, of: &Branch, (from, to): (u32, u32), above: &[f64]) -> Resistor {
        let ohms = if of.ohms < ZERO_OHMS {
            Solver::CONTRADICTION_OHMS
        } else {
            of.ohms
        };
        let siemens = ohms.recip();
        let drive = above[from as usize] - above[to as usize] + of.finite_emf();
        Resistor {
            from,
            to,
            branch,
            siemens,
            idle_amps: siemens * drive,
        }
    }
}

#[derive(Debug)]
pub(super) struct Core {
    /// Cluster of each core node, and the node's volts above the cluster's lowest node.
    cluster: Vec<u32>,
    above: Vec<f64>,
    /// Row of each cluster in the matrix, NONE for the one of each component that is held at 0 V.
    row: Vec<u32>,
    rows: usize,
    resistors: Vec<Resistor>,
    factor: Option<Factor>,
    /// The zero-ohm branches as a network of one-ohm branches over the core's nodes.
    inner: Option<Box<Inner>>,
    /// Branches from a node to itself and what each carries.
    loops: Vec<(u32, f64)>,
    contradictions: Vec<u32>,
}

#[derive(Debug)]
struct Inner {
    solver: Solver,
    branches: Vec<u32>,
}

/// The buffers of a core's solve.
#[derive(Debug, Clone, Default)]
pub(super) struct Work {
    amps: Vec<f64>,
    volts: Vec<f64>,
    rest: Vec<f64>,
    inner: Option<Box<Solution>>,
}

impl Core {
    pub(super) fn new(forest: &Forest, branches: &[Branch]) -> Core {
        let twigs = forest.twigs.len();
        let nodes = &forest.order[twigs..];
        let local = |node: u32| forest.position[node as usize] - twigs as u32;
        let mut joints = Joints::new(nodes.len());
        let zero = joints.join_all(branches, &forest.core, &local);
        let (cluster, above, clusters) = joints.clusters();
        let mut contradictions = joints.contradictions;
        let held: Vec<u32> = forest
            .reference
            .iter()
            .map(|&n| cluster[local(n) as usize])
            .collect();
        let (row, rows) = number_rows(clusters, &held);
        let resistors: Vec<Resistor> = forest
            .core
            .iter()
            .zip(&forest.ends)
            .filter(|(branch, _)| zero.binary_search(branch).is_err())
            .map(|(&branch, &ends)| Resistor::new(branch, &branches[branch as usize], ends, &above))
            .collect();
        let factor = assemble(&resistors, &cluster, &row, rows);
        let loops = forest
            .loops
            .iter()
            .map(|&b| (b, loop_amps(b, branches, &mut contradictions)))
            .collect();
        contradictions.sort_unstable();
        let inner = Inner::new(nodes.len(), branches, zero, &local);
        Core {
            cluster,
            above,
            row,
            rows,
            resistors,
            factor,
            inner,
            loops,
            contradictions,
        }
    }

    pub(super) fn contradictions(&self) -> &[u32] {
        &self.contradictions
    }

    pub(super) fn is_degenerate(&self) -> bool {
        self.rows > 0 && self.factor.is_none()
    }

    /// The ohms each of the core's branches counts with, in the forest's order.
    pub(super) fn ohms(&self, core: &[u32]) -> Vec<f64> {
        let mut resistors = self.resistors.iter().peekable();
        let mut ohms = |&branch: &u32| {
            let resistor = resistors.next_if(|r| r.branch == branch);
            resistor.map_or(0.0, |r| r.siemens.recip())
        };
        core.iter().map(&mut ohms).collect()
    }

    /// Solves for the amperes injected into each core node; writes their volts and the core
    /// branches' amperes.
    pub(super) fn run(
        &self,
        injected: &[f64],
        volts: &mut [f64],
        amps: &mut [f64],
        emf: bool,
        work: &mut Work,
    ) {
        self.start(emf, work);
        if let Some(factor) = &self.factor {
            for correction in 0..=CORRECTIONS {
                let worst = self.unbalance(injected, work);
                let largest = work
                    .amps
                    .iter()
                    .chain(injected)
                    .fold(0.0, |m: f64, a| m.max(a.abs()));
                if correction > 1 && worst <= largest * f64::EPSILON {
                    break;
                }
                factor.solve(&mut work.rest);
                self.correct(work);
            }
        }
        self.report(injected, volts, amps, emf, work);
    }

    fn start(&self, emf: bool, work: &mut Work) {
        reset(&mut work.volts, self.row.len());
        work.amps.clear();
        let idle = |r: &Resistor| {
            if emf && self.factor_is_sound() {
                r.idle_amps
            } else {
                0.0
            }
        };
        work.amps.extend(self.resistors.iter().map(idle));
    }

    fn factor_is_sound(&self) -> bool {
        self.rows == 0 || self.factor.is_some()
    }

    /// What each row still lacks by Kirchhoff's current law, into `work.rest`; returns the largest.
    fn unbalance(&self, injected: &[f64], work: &mut Work) -> f64 {
        reset(&mut work.rest, self.rows);
        let mut add = |node: u32, amps: f64| {
            if let Some(rest) = work.rest.get_mut(self.row_of(node) as usize) {
                *rest += amps;
            }
        };
        for (node, &amps) in (0u32..).zip(injected) {
            add(node, amps);
        }
        for (r, &amps) in self.resistors.iter().zip(&work.amps) {
            add(r.from, -amps);
            add(r.to, amps);
        }
        work.rest.iter().fold(0.0, |m: f64, a| m.max(a.abs()))
    }

    fn row_of(&self, node: u32) -> u32 {
        self.row[self.cluster[node as usize] as usize]
    }

    /// Adds the correction in `work.rest` to volts and amperes. Currents are corrected by
    /// themselves, not recomputed from volts: a difference of nearly equal volts has few digits.
    fn correct(&self, work: &mut Work) {
        for (v, &row) in work.volts.iter_mut().zip(&self.row) {
            *v += work.rest.get(row as usize).copied().unwrap_or(0.0);
        }
        for (amps, r) in work.amps.iter_mut().zip(&self.resistors) {
            let rise = |node| {
                work.rest
                    .get(self.row_of(node) as usize)
                    .copied()
                    .unwrap_or(0.0)
            };
            *amps += r.siemens * (rise(r.from) - rise(r.to));
        }
    }

    fn report(
        &self,
        injected: &[f64],
        volts: &mut [f64],
        amps: &mut [f64],
        emf: bool,
        work: &mut Work,
    ) {
        for (node, v) in volts.iter_mut().enumerate() {
            let above = if emf { self.above[node] } else { 0.0 };
            *v = work.volts[self.cluster[node] as usize] + above;
        }
        for (r, &a) in self.resistors.iter().zip(&work.amps) {
            amps[r.branch as usize] = a;
        }
        if emf {
            for &(branch, a) in &self.loops {
                amps[branch as usize] = a;
            }
        }
        if let Some(inner) = &self.inner {
            self.report_inner(inner, injected, amps, work);
        }
    }

    fn report_inner(&self, inner: &Inner, injected: &[f64], amps: &mut [f64], work: &mut Work) {
        let out = work.inner.get_or_insert_default();
        let place = &inner.solver.forest.position;
        reset(&mut out.work.flow, injected.len());
        for (&p, &a) in place.iter().zip(injected) {
            out.work.flow[p as usize] = a;
        }
        for (r, &a) in self.resistors.iter().zip(&work.amps) {
            out.work.flow[place[r.from as usize] as usize] -= a;
            out.work.flow[place[r.to as usize] as usize] += a;
        }
        inner.solver.run_flow(false, out);
        for (&branch, &a) in inner.branches.iter().zip(&out.amps) {
            amps[branch as usize] = a;
        }
    }
}

impl Inner {
    fn new(
        nodes: usize,
        branches: &[Branch],
        zero: Vec<u32>,
        local: &dyn Fn(u32) -> u32,
    ) -> Option<Box<Inner>> {
        let ohm = |&b: &u32| {
            let b = &branches[b as usize];
            Branch {
                from: local(b.from),
                to: local(b.to),
                ohms: 1.0,
                emf: 0.0,
            }
        };
        let unit: Vec<Branch> = zero.iter().map(ohm).collect();
        (!zero.is_empty()).then(|| {
            Box::new(Inner {
                solver: Solver::new(nodes as u32, &unit),
                branches: zero,
            })
        })
    }
}

/// The merging over zero-ohm branches.
struct Joints {
    sets: Union,
    nodes: usize,
    contradictions: Vec<u32>,
}

impl Joints {
    fn new(nodes: usize) -> Joints {
        Joints {
            sets: Union::new(nodes),
            nodes,
            contradictions: Vec::new(),
        }
    }

    /// Joins over the zero-ohm branches of the core, smallest |emf| first, so that the order of the
    /// branches does not decide which of a contradictory loop is blamed. Returns those that hold,
    /// ascending.
    fn join_all(
        &mut self,
        branches: &[Branch],
        core: &[u32],
        local: &dyn Fn(u32) -> u32,
    ) -> Vec<u32> {
        let key = |&i: &u32| {
            let b = &branches[i as usize];
            (b.finite_emf().abs(), b.from.min(b.to), b.from.max(b.to), i)
        };
        let mut zero: Vec<u32> = core
            .iter()
            .copied()
            .filter(|&b| branches[b as usize].ohms < ZERO_OHMS)
            .collect();
        zero.sort_by(|a, b| {
            let (a, b) = (key(a), key(b));
            a.0.total_cmp(&b.0)
                .then((a.1, a.2, a.3).cmp(&(b.1, b.2, b.3)))
        });
        zero.retain(|&i| {
            let b = &branches[i as usize];
            let volts = -b.finite_emf();
            let stands = self.sets.join(local(b.from), local(b.to), volts);
            let holds =
                stands.is_none_or(|v| (v - volts).abs() <= SAME_VOLTS * volts.abs().max(1.0));
            if !holds {
                self.contradictions.push(i);
            }
            holds
        });
        zero.sort_unstable();
        zero
    }

    /// The cluster of each node, its volts above the cluster's first node, and how many clusters
    /// there are.
    fn clusters(&mut self) -> (Vec<u32>, Vec<f64>, usize) {
        let mut first: Vec<Option<(u32, f64)>> = vec![None; self.nodes];
        let (mut cluster, mut above, mut count) = (Vec::new(), Vec::new(), 0u32);
        for node in 0..self.nodes as u32 {
            let (root, volts) = self.sets.find(node);
            let &mut (number, base) = first[root as usize].get_or_insert_with(|| {
                count += 1;
                (count - 1, volts)
            });
            cluster.push(number);
            above.push(volts - base);
        }
        (cluster, above, count as usize)
    }
}

fn number_rows(clusters: usize, held: &[u32]) -> (Vec<u32>, usize) {
    let mut row = vec![0; clusters];
    for &cluster in held {
        row[cluster as usize] = NONE;
    }
    let mut rows = 0;
    for r in row.iter_mut().filter(|r| **r != NONE) {
        *r = rows;
        rows += 1;
    }
    (row, rows as usize)
}

fn assemble(resistors: &[Resistor], cluster: &[u32], row: &[u32], rows: usize) -> Option<Factor> {
    if rows == 0 {
        return None;
    }
    let mut diagonal = vec![0.0; rows];
    let mut below = Vec::new();
    for r in resistors {
        let (a, b) = (
            row[cluster[r.from as usize] as usize],
            row[cluster[r.to as usize] as usize],
        );
        if cluster[r.from as usize] == cluster[r.to as usize] {
            continue;
        }
        for end in [a, b] {
            if let Some(d) = diagonal.get_mut(end as usize) {
                *d += r.siemens;
            }
        }
        if a != NONE && b != NONE {
            below.push((a, b, -r.siemens));
        }
    }
    Factor::new(&diagonal, &below)
}

/// What a branch from a node to itself carries.
fn loop_amps(branch: u32, branches: &[Branch], contradictions: &mut Vec<u32>) -> f64 {
    let b = &branches[branch as usize];
    let emf = b.finite_emf();
    if b.ohms >= ZERO_OHMS || emf == 0.0 {
        return if emf == 0.0 { 0.0 } else { emf / b.ohms };
    }
    contradictions.push(branch);
    emf / Solver::CONTRADICTION_OHMS
}
