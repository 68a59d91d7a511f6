//! How the network and flow algorithms grow, from 100 to 100 000 branches, on two boats: a tree of
//! panels and loads, and a ring main of panels with a bank at either side.

use ampwright_electrics::flow::{Edge, LiveNet, sustained};
use ampwright_electrics::network::{Branch, Law, Limited, Load, Prepared, Solver};
use divan::{Bencher, black_box};

const SIZES: [u32; 4] = [100, 1_000, 10_000, 100_000];

/// Circuits on each panel.
const WAYS: u32 = 20;

fn main() {
    divan::main();
}

/// A boat under construction: each circuit has a positive and a negative conductor and a device.
#[derive(Default)]
struct Boat {
    nodes: u32,
    branches: Vec<Branch>,
    edges: Vec<Edge>,
    loads: Vec<Load>,
    sources: Vec<(u32, f64)>,
}

impl Boat {
    fn node(&mut self) -> u32 {
        self.nodes += 1;
        self.nodes - 1
    }

    fn wire(&mut self, from: u32, to: u32, ohms: f64) {
        self.branches.push(Branch {
            from,
            to,
            ohms,
            emf: 0.0,
        });
        self.edges.push(Edge {
            a: from,
            b: to,
            cap: f64::INFINITY,
            one_way: false,
            conductor: true,
        });
    }

    fn fuse(&mut self, from: u32, to: u32, amps: f64) {
        self.branches.push(Branch {
            from,
            to,
            ohms: 1e-4,
            emf: 0.0,
        });
        self.edges.push(Edge {
            a: from,
            b: to,
            cap: amps,
            one_way: false,
            conductor: false,
        });
    }

    /// A return conductor is no part of the live net.
    fn back(&mut self, from: u32, to: u32, ohms: f64) {
        self.branches.push(Branch {
            from,
            to,
            ohms,
            emf: 0.0,
        });
    }

    fn battery(&mut self) -> (u32, u32) {
        let (plus, minus) = (self.node(), self.node());
        self.branches.push(Branch {
            from: minus,
            to: plus,
            ohms: 3e-3,
            emf: 12.5,
        });
        self.sources.push((plus, f64::INFINITY));
        (plus, minus)
    }

    fn panel(&mut self, plus: u32, minus: u32, watts: f64) {
        for _ in 0..WAYS {
            let (out, load, back) = (self.node(), self.node(), self.node());
            self.fuse(plus, out, 10.0);
            self.wire(out, load, 0.02);
            self.back(back, minus, 0.02);
            self.loads.push(Load {
                plus: load,
                minus: back,
                law: Law::Power(watts),
            });
        }
    }
}

/// Panels fed by panels, four below each.
fn tree(branches: u32) -> Boat {
    let mut boat = Boat::default();
    let (plus, minus) = boat.battery();
    let panels = branches / (3 * WAYS + 3) + 1;
    let mut bars = vec![(plus, minus)];
    for k in 0..panels as usize {
        let (up, down) = bars[k / 4];
        let (fused, p, m) = (boat.node(), boat.node(), boat.node());
        boat.fuse(up, fused, 60.0);
        boat.wire(fused, p, 1e-4);
        boat.back(m, down, 1e-4);
        boat.panel(p, m, 100.0 / f64::from(branches));
        bars.push((p, m));
    }
    boat
}

/// Panels on two rings, plus and minus, with a fused bank at either side.
fn ring(branches: u32) -> Boat {
    let mut boat = Boat::default();
    let panels = branches / (3 * WAYS + 2) + 2;
    let bars: Vec<(u32, u32)> = (0..panels).map(|_| (boat.node(), boat.node())).collect();
    for k in 0..panels as usize {
        let next = bars[(k + 1) % bars.len()];
        boat.wire(bars[k].0, next.0, 1e-3);
        boat.back(bars[k].1, next.1, 1e-3);
        boat.panel(bars[k].0, bars[k].1, 100.0 / f64::from(branches));
    }
    for at in [0, bars.len() / 2] {
        let (plus, minus) = boat.battery();
        boat.fuse(plus, bars[at].0, 200.0);
        boat.back(bars[at].1, minus, 1e-3);
    }
    boat
}

type Make = fn(u32) -> Boat;

const BOATS: [(&str, Make); 2] = [("tree", tree), ("ring", ring)];

fn cases() -> impl Iterator<Item = Case> {
    BOATS
        .into_iter()
        .flat_map(|(name, make)| SIZES.map(move |size| Case { name, size, make }))
}

#[derive(Clone, Copy)]
struct Case {
    name: &'static str,
    size: u32,
    make: Make,
}

impl std::fmt::Display for Case {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.name, self.size)
    }
}

impl Case {
    fn boat(self) -> Boat {
        (self.make)(self.size)
    }
}

fn injections(boat: &Boat) -> Vec<(u32, f64)> {
    boat.loads
        .iter()
        .flat_map(|l| [(l.plus, -1.0), (l.minus, 1.0)])
        .collect()
}

#[divan::bench(args = cases())]
fn new(bencher: Bencher<'_, '_>, case: &Case) {
    let boat = case.boat();
    bencher.bench_local(|| Solver::new(boat.nodes, black_box(&boat.branches)));
}

#[divan::bench(args = cases())]
fn solve(bencher: Bencher<'_, '_>, case: &Case) {
    let boat = case.boat();
    let (solver, injections) = (Solver::new(boat.nodes, &boat.branches), injections(&boat));
    let mut out = solver.solve(&injections);
    bencher.bench_local(|| solver.solve_into(black_box(&injections), &mut out));
}

#[divan::bench(args = cases())]
fn largest_alone(bencher: Bencher<'_, '_>, case: &Case) {
    let boat = case.boat();
    let solver = Solver::new(boat.nodes, &boat.branches);
    let pairs: Vec<_> = (1..)
        .zip(&boat.loads)
        .map(|(k, l)| (l.plus, l.minus, f64::from(k % 13)))
        .collect();
    bencher.bench_local(|| solver.largest_alone(black_box(&pairs)));
}

#[divan::bench(args = cases())]
fn resistances(bencher: Bencher<'_, '_>, case: &Case) {
    let boat = case.boat();
    let solver = Solver::new(boat.nodes, &boat.branches);
    let pairs: Vec<_> = boat.loads.iter().map(|l| (l.plus, l.minus)).collect();
    bencher.bench_local(|| solver.resistances(black_box(&pairs)));
}

/// A square mesh of this many joints, asked between every joint and the first.
#[divan::bench(args = [100, 400, 1_600, 6_400])]
fn resistances_of_a_mesh(bencher: Bencher<'_, '_>, joints: u32) {
    let (side, mut boat) = (joints.isqrt(), Boat::default());
    for k in 0..joints {
        if k % side + 1 < side {
            boat.back(k, k + 1, 1e-3);
        }
        if k + side < joints {
            boat.back(k, k + side, 2e-3);
        }
    }
    let solver = Solver::new(joints, &boat.branches);
    let pairs: Vec<_> = (1..joints).map(|k| (k, 0)).collect();
    bencher.bench_local(|| solver.resistances(black_box(&pairs)));
}

#[divan::bench(args = cases())]
fn settle(bencher: Bencher<'_, '_>, case: &Case) {
    let boat = case.boat();
    let prepared = Prepared::new(boat.nodes, &boat.branches);
    bencher.bench_local(|| prepared.settle(black_box(&boat.loads), &[]));
}

/// Every third load a resistance, and a charger at the first load's terminals: the loops are many
/// and the factorization is not shared.
#[divan::bench(args = cases())]
fn settle_mixed(bencher: Bencher<'_, '_>, case: &Case) {
    let mut boat = case.boat();
    let ohms = 1.5 * f64::from(case.size);
    boat.loads
        .iter_mut()
        .step_by(3)
        .for_each(|l| l.law = Law::Resistance(ohms));
    let Load { plus, minus, .. } = boat.loads[0];
    let charger = [Limited {
        plus,
        minus,
        volts: 14.0,
        amps: 5.0,
    }];
    let prepared = Prepared::new(boat.nodes, &boat.branches);
    bencher.bench_local(|| prepared.settle(black_box(&boat.loads), &charger));
}

/// The worst case of `sustained`: one ring of devices in series.
#[divan::bench(args = [10, 100, 1_000])]
fn sustain_ring_of_devices(bencher: Bencher<'_, '_>, devices: u32) {
    let mut boat = Boat {
        nodes: devices,
        ..Boat::default()
    };
    for k in 0..devices {
        boat.fuse(k, (k + 1) % devices, f64::from(10 + k % 7));
    }
    boat.sources = vec![(0, f64::INFINITY), (devices / 3, 20.0)];
    let net = LiveNet {
        nodes: boat.nodes,
        edges: &boat.edges,
        sources: &boat.sources,
    };
    bencher.bench_local(|| sustained(black_box(&net)));
}

#[divan::bench(args = cases())]
fn sustain(bencher: Bencher<'_, '_>, case: &Case) {
    let boat = case.boat();
    let net = LiveNet {
        nodes: boat.nodes,
        edges: &boat.edges,
        sources: &boat.sources,
    };
    bencher.bench_local(|| sustained(black_box(&net)));
}
