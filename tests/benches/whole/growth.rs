//! One small table: the median of each step at each size, and how fast it grows.
//!
//! The exponent is the slope of the least-squares line through the logarithms from 1 000 lines up:
//! 1 is linear, 2 is quadratic. Each figure is the median of as many runs as fit into a second, at
//! least five.

use std::{
    hint::black_box,
    time::{Duration, Instant},
};

use ampwright_notation::File;
use ampwright_plan::{Model, Plan, Sources, Study, findings, wiring};
use ampwright_tests::shapes;

const SIZES: [usize; 5] = [100, 1_000, 10_000, 30_000, 100_000];

/// From here on growth is measured: below, what does not grow weighs in.
const FROM: usize = 1_000;

const STEPS: [&str; 6] = ["parse", "names", "wire", "study", "judge", "whole check"];

/// One plan, or the boats of a fleet, each a plan of its own.
type Shape = (&'static str, fn(usize) -> Vec<String>);

const SHAPES: [Shape; 3] = [
    ("connected", |lines| vec![shapes::connected(lines)]),
    ("fleet", shapes::fleet),
    ("mixed", |lines| vec![shapes::mixed(lines)]),
];

/// Measures and prints.
pub(crate) fn print() {
    for (name, shape) in SHAPES {
        let columns: Vec<[f64; STEPS.len()]> =
            SIZES.iter().map(|&lines| steps(&shape(lines))).collect();
        print!("{name:12}");
        for lines in SIZES {
            print!("{lines:>12}");
        }
        println!("{:>10}", "exponent");
        for (row, step) in STEPS.iter().enumerate() {
            let medians: Vec<f64> = columns.iter().map(|column| column[row]).collect();
            print!("{step:12}");
            for ms in &medians {
                print!("{ms:>9.3} ms");
            }
            println!("{:>10.2}", exponent(&medians));
        }
        println!();
    }
}

/// Median milliseconds of every step over all plans.
fn steps(texts: &[String]) -> [f64; STEPS.len()] {
    let sources = |text: &String| Sources::single("plan.boat", text);
    let model = |sources: Sources| (Model::of(&sources), sources);
    let models: Vec<(Model, Sources)> = texts.iter().map(sources).map(model).collect();
    let build = |(model, sources): &(Model, Sources)| wiring::build(sources, model).0;
    let wirings: Vec<_> = models.iter().map(build).collect();
    let wired = || models.iter().zip(&wirings);
    let plans: Vec<Plan> = texts.iter().map(|text| Plan::of_text(text)).collect();
    let all = |plan| findings::all(plan, Vec::new());
    let names = |(_, sources): &(Model, Sources)| Model::of(black_box(sources));
    [
        median(|| each(texts, |text| File::parse(black_box(text)))),
        median(|| each(&models, names)),
        median(|| {
            each(&models, |(model, sources)| {
                wiring::build(black_box(sources), model)
            })
        }),
        median(|| {
            each(wired(), |((model, sources), wiring)| {
                Study::of(black_box(sources), model, wiring)
            })
        }),
        median(|| each(&plans, |plan| all(black_box(plan)))),
        median(|| each(texts, |text| Plan::of_text(black_box(text)))),
    ]
}

fn each<I: IntoIterator, T>(list: I, step: impl FnMut(I::Item) -> T) -> Vec<T> {
    list.into_iter().map(step).collect()
}

/// What dropping the answer costs is not counted.
fn median<T>(step: impl Fn() -> T) -> f64 {
    let start = Instant::now();
    let mut taken = Vec::new();
    while taken.len() < 5 || (start.elapsed() < Duration::from_secs(1) && taken.len() < 500) {
        let before = Instant::now();
        let answer = step();
        taken.push(before.elapsed().as_secs_f64() * 1e3);
        drop(answer);
    }
    taken.sort_by(f64::total_cmp);
    taken[taken.len() / 2]
}

/// The slope of the logarithms.
fn exponent(medians: &[f64]) -> f64 {
    let points: Vec<(f64, f64)> = SIZES
        .iter()
        .zip(medians)
        .filter(|(lines, _)| **lines >= FROM)
        .map(|(&lines, ms)| ((lines as f64).ln(), ms.ln()))
        .collect();
    let count = points.len() as f64;
    let (x, y) = points
        .iter()
        .fold((0.0, 0.0), |(x, y), p| (x + p.0 / count, y + p.1 / count));
    let over: f64 = points.iter().map(|p| (p.0 - x) * (p.1 - y)).sum();
    let under: f64 = points.iter().map(|p| (p.0 - x).powi(2)).sum();
    over / under
}
