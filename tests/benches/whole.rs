//! How long each step from text to findings takes, and how it grows, on two shapes of plan.
//!
//! Run with `cargo bench -p ampwright-tests --bench whole`. Divan prints the median of each size;
//! growth is the slope of its logarithm.

use ampwright_notation::File;
use ampwright_plan::{Model, Plan, Sources, Study, sources::Source, wiring};
use ampwright_tests::shapes;
use divan::{Bencher, black_box};

fn main() {
    divan::main();
}

const SIZES: [usize; 4] = [100, 1_000, 10_000, 100_000];

fn sources(text: &str) -> Sources {
    Sources::single("plan.boat", text)
}

#[divan::bench(args = SIZES)]
fn connected_parse(bencher: Bencher<'_, '_>, lines: usize) {
    let text = shapes::connected(lines);
    bencher.bench(|| File::parse(black_box(&text)));
}

#[divan::bench(args = SIZES)]
fn connected_wire(bencher: Bencher<'_, '_>, lines: usize) {
    let sources = sources(&shapes::connected(lines));
    bencher.bench(|| {
        let model = Model::of(black_box(&sources));
        wiring::build(&sources, &model)
    });
}

#[divan::bench(args = SIZES)]
fn connected_study(bencher: Bencher<'_, '_>, lines: usize) {
    let sources = sources(&shapes::connected(lines));
    let model = Model::of(&sources);
    let (wiring, _) = wiring::build(&sources, &model);
    bencher.bench(|| Study::of(black_box(&sources), &model, &wiring));
}

#[divan::bench(args = SIZES)]
fn connected_check(bencher: Bencher<'_, '_>, lines: usize) {
    let text = shapes::connected(lines);
    bencher.bench(|| Plan::of(sources(black_box(&text))));
}

/// One character typed in the middle, to findings.
#[divan::bench(args = SIZES)]
fn connected_edit(bencher: Bencher<'_, '_>, lines: usize) {
    let text = shapes::connected(lines);
    let mut edited = text.clone();
    let middle = text[..text.len() / 2].rfind(" m\n").unwrap_or(0);
    edited.insert(middle, '1');
    let before = File::parse(&text);
    bencher.bench(|| {
        let file = before.reparse(black_box(&edited)).into();
        Plan::of(Sources {
            list: vec![Source {
                path: "plan.boat".into(),
                file,
            }],
            unusable: Vec::new(),
        })
    });
}

#[divan::bench(args = SIZES)]
fn fleet_parse(bencher: Bencher<'_, '_>, lines: usize) {
    let boats = shapes::fleet(lines);
    bencher.bench(|| {
        boats
            .iter()
            .map(|text| File::parse(black_box(text)))
            .collect::<Vec<_>>()
    });
}

#[divan::bench(args = SIZES)]
fn fleet_check(bencher: Bencher<'_, '_>, lines: usize) {
    let boats = shapes::fleet(lines);
    bencher.bench(|| {
        boats
            .iter()
            .map(|text| Plan::of(sources(black_box(text))).findings.len())
            .sum::<usize>()
    });
}
