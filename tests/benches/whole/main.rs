//! How long each step from text to findings takes, and how it grows, on three shapes of plan.
//!
//! `cargo bench -p ampwright-tests --bench whole` lets divan measure each step at each size;
//! `cargo bench -p ampwright-tests --bench whole -- --growth` prints one small table of medians and
//! of how fast they grow ([`growth`]).

mod growth;

use ampwright_notation::File;
use ampwright_plan::{Model, Plan, Sources, Study, findings, sources::Source, wiring};
use ampwright_tests::shapes;
use divan::{Bencher, black_box};

fn main() {
    if std::env::args().any(|word| word == "--growth") {
        growth::print();
    } else {
        divan::main();
    }
}

const SIZES: [usize; 4] = [100, 1_000, 10_000, 100_000];

fn sources(text: &str) -> Sources {
    Sources::single("plan.boat", text)
}

fn parse(bencher: Bencher<'_, '_>, text: &str) {
    bencher.bench(|| File::parse(black_box(text)));
}

fn wire(bencher: Bencher<'_, '_>, text: &str) {
    let sources = sources(text);
    bencher.bench(|| {
        let model = Model::of(black_box(&sources));
        wiring::build(&sources, &model)
    });
}

fn study(bencher: Bencher<'_, '_>, text: &str) {
    let sources = sources(text);
    let model = Model::of(&sources);
    let (wiring, _) = wiring::build(&sources, &model);
    bencher.bench(|| Study::of(black_box(&sources), &model, &wiring));
}

fn judge(bencher: Bencher<'_, '_>, text: &str) {
    let plan = Plan::of_text(text);
    bencher.bench(|| findings::all(black_box(&plan), Vec::new()));
}

fn check(bencher: Bencher<'_, '_>, text: &str) {
    bencher.bench(|| Plan::of(sources(black_box(text))));
}

/// One character typed in the middle, to findings.
fn edit(bencher: Bencher<'_, '_>, text: &str) {
    let mut edited = text.to_owned();
    let middle = text[..text.len() / 2].rfind(" m\n").unwrap_or(0);
    edited.insert(middle, '1');
    let before = File::parse(text);
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

/// One boat in which everything is joined.
mod connected {
    use super::{Bencher, SIZES, shapes};

    #[divan::bench(args = SIZES)]
    fn parse(bencher: Bencher<'_, '_>, lines: usize) {
        super::parse(bencher, &shapes::connected(lines));
    }

    #[divan::bench(args = SIZES)]
    fn wire(bencher: Bencher<'_, '_>, lines: usize) {
        super::wire(bencher, &shapes::connected(lines));
    }

    #[divan::bench(args = SIZES)]
    fn study(bencher: Bencher<'_, '_>, lines: usize) {
        super::study(bencher, &shapes::connected(lines));
    }

    #[divan::bench(args = SIZES)]
    fn judge(bencher: Bencher<'_, '_>, lines: usize) {
        super::judge(bencher, &shapes::connected(lines));
    }

    #[divan::bench(args = SIZES)]
    fn check(bencher: Bencher<'_, '_>, lines: usize) {
        super::check(bencher, &shapes::connected(lines));
    }

    #[divan::bench(args = SIZES)]
    fn edit(bencher: Bencher<'_, '_>, lines: usize) {
        super::edit(bencher, &shapes::connected(lines));
    }
}

/// Hulls of every kind that share a negative: banks, sun, converters, chargers, inverters.
mod mixed {
    use super::{Bencher, SIZES, shapes};

    #[divan::bench(args = SIZES)]
    fn parse(bencher: Bencher<'_, '_>, lines: usize) {
        super::parse(bencher, &shapes::mixed(lines));
    }

    #[divan::bench(args = SIZES)]
    fn wire(bencher: Bencher<'_, '_>, lines: usize) {
        super::wire(bencher, &shapes::mixed(lines));
    }

    #[divan::bench(args = SIZES)]
    fn study(bencher: Bencher<'_, '_>, lines: usize) {
        super::study(bencher, &shapes::mixed(lines));
    }

    #[divan::bench(args = SIZES)]
    fn judge(bencher: Bencher<'_, '_>, lines: usize) {
        super::judge(bencher, &shapes::mixed(lines));
    }

    #[divan::bench(args = SIZES)]
    fn check(bencher: Bencher<'_, '_>, lines: usize) {
        super::check(bencher, &shapes::mixed(lines));
    }

    #[divan::bench(args = SIZES)]
    fn edit(bencher: Bencher<'_, '_>, lines: usize) {
        super::edit(bencher, &shapes::mixed(lines));
    }
}

/// Many ordinary boats, each a plan of its own.
mod fleet {
    use super::{Bencher, File, Plan, SIZES, black_box, shapes, sources};

    #[divan::bench(args = SIZES)]
    fn parse(bencher: Bencher<'_, '_>, lines: usize) {
        let boats = shapes::fleet(lines);
        bencher.bench(|| {
            boats
                .iter()
                .map(|text| File::parse(black_box(text)))
                .collect::<Vec<_>>()
        });
    }

    #[divan::bench(args = SIZES)]
    fn check(bencher: Bencher<'_, '_>, lines: usize) {
        let boats = shapes::fleet(lines);
        bencher.bench(|| {
            boats
                .iter()
                .map(|text| Plan::of(sources(black_box(text))).findings.len())
                .sum::<usize>()
        });
    }
}
