//! How long it takes to lex, parse, reparse and format plans of 100 to 100 000 lines.

use ampwright_notation::{File, format::format, token::lex};
use divan::{Bencher, black_box, counter::ItemsCount};

const LINES: [usize; 4] = [100, 1_000, 10_000, 100_000];
const CURLEW: &str = include_str!("../tests/curlew.boat");

fn main() {
    divan::main();
}

/// A fleet of so many lines: the same boat again and again.
fn fleet(lines: usize) -> String {
    CURLEW
        .lines()
        .cycle()
        .take(lines)
        .flat_map(|line| [line, "\n"])
        .collect()
}

#[divan::bench(args = LINES)]
fn tokens(bencher: Bencher<'_, '_>, lines: usize) {
    let text = fleet(lines);
    bencher
        .counter(ItemsCount::new(lines))
        .bench(|| lex(black_box(&text)));
}

#[divan::bench(args = LINES)]
fn parse(bencher: Bencher<'_, '_>, lines: usize) {
    let text = fleet(lines);
    bencher
        .counter(ItemsCount::new(lines))
        .bench(|| File::parse(black_box(&text)));
}

#[divan::bench(args = LINES)]
fn reparse_one_character(bencher: Bencher<'_, '_>, lines: usize) {
    let before = File::parse(&fleet(lines));
    let mut text = fleet(lines);
    let middle = text[..text.len() / 2].rfind('\n').map_or(0, |at| at + 1);
    let at = text[middle..]
        .find("    ")
        .map_or(middle, |at| middle + at + 4);
    text.insert(at, 'x');
    bencher
        .counter(ItemsCount::new(lines))
        .bench(|| before.reparse(black_box(&text)));
}

#[divan::bench(args = LINES)]
fn written_form(bencher: Bencher<'_, '_>, lines: usize) {
    let file = File::parse(&fleet(lines));
    bencher
        .counter(ItemsCount::new(lines))
        .bench(|| format(black_box(&file)));
}
