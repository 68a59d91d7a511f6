//! One table: medians of the runs, and how each figure grows with the plan.

use crate::measure::Figures;

/// What a figure should stay below, where something is promised: figure, lines, limit.
const LIMITS: &[(&str, usize, f64)] = &[
    ("character to findings, p50", 1_000, 0.6),
    ("character to findings, p99", 1_000, 2.0),
    ("character to findings, p50", 10_000, 3.0),
    ("character to findings, p50", 100_000, 50.0),
    ("burst of 50 edits", 1_000, 1.5),
    ("hover behind an edit, p99", 1_000, 3.0),
    ("hover behind an edit, p99", 100_000, 60.0),
    ("definition behind an edit, p99", 1_000, 3.0),
    ("definition behind an edit, p99", 100_000, 60.0),
    ("completion behind an edit, p99", 1_000, 3.0),
    ("completion behind an edit, p99", 100_000, 60.0),
    ("hover, settled", 100, 0.3),
    ("hover, settled", 1_000, 0.3),
    ("hover, settled", 10_000, 0.3),
    ("hover, settled", 100_000, 0.3),
    ("memory once open, MiB", 1_000, 15.0),
    ("memory once open, MiB", 100_000, 60.0),
    ("memory after it all, MiB", 1_000, 15.0),
    ("memory after it all, MiB", 100_000, 60.0),
    ("idle, processor time a minute", 100, 1.0),
    ("idle, processor time a minute", 1_000, 1.0),
    ("idle, processor time a minute", 100_000, 1.0),
];

/// From the start to the findings of the example, ms.
pub(crate) const START_LIMIT: f64 = 10.0;

/// The median of each figure over the runs.
pub(crate) fn medians(runs: &[Figures]) -> Figures {
    let Some(first) = runs.first() else {
        return Figures::new();
    };
    let median = |at: usize| {
        let mut values: Vec<f64> = runs.iter().filter_map(|run| Some(run.get(at)?.1)).collect();
        values.sort_by(f64::total_cmp);
        values[values.len() / 2]
    };
    first
        .iter()
        .enumerate()
        .map(|(at, (name, _))| (*name, median(at)))
        .collect()
}

/// Prints a shape's figures, a column for each size; `!` stands where a limit is missed.
pub(crate) fn print(title: &str, columns: &[(usize, Figures)]) {
    print!("\n{title:36}");
    for (lines, _) in columns {
        print!("{lines:>12}");
    }
    println!("{:>9}", "growth");
    let Some((_, first)) = columns.first() else {
        return;
    };
    for (name, _) in first {
        print!("{name:36}");
        let mut points = Vec::new();
        for (lines, figures) in columns {
            let value = figures.iter().find(|(other, _)| other == name);
            let value = value.map_or(f64::NAN, |(_, value)| *value);
            points.push((*lines as f64, value));
            print!("{:>12}", judged(name, *lines, value));
        }
        println!("{:>9}", growth(&points));
    }
}

fn judged(name: &str, lines: usize, value: f64) -> String {
    let limit = LIMITS
        .iter()
        .find(|(figure, at, _)| *figure == name && *at == lines);
    match limit {
        Some((.., limit)) if value >= *limit => format!("{value:.2} !"),
        Some(_) => format!("{value:.2} ="),
        None => format!("{value:.2}  "),
    }
}

/// The slope of the logarithms over the sizes from 1 000 lines up: below that a fixed cost hides it.
fn growth(points: &[(f64, f64)]) -> String {
    let points: Vec<(f64, f64)> = points
        .iter()
        .filter(|(lines, value)| *lines >= 1_000.0 && *value > 0.0)
        .map(|(lines, value)| (lines.ln(), value.ln()))
        .collect();
    let count = points.len() as f64;
    if points.len() < 2 {
        return "-".to_owned();
    }
    let mean = |of: fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / count;
    let (x, y) = (mean(|point| point.0), mean(|point| point.1));
    let rise: f64 = points.iter().map(|(a, b)| (a - x) * (b - y)).sum();
    let run: f64 = points.iter().map(|(a, _)| (a - x).powi(2)).sum();
    format!("{:.2}", rise / run)
}
