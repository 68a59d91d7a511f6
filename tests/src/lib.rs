//! What the whole-program tests share. The tests themselves are under `tests/` of this package,
//! the benchmarks under `benches/`.

pub mod grown;
pub mod look;
pub mod shapes;
pub mod sheet;
pub mod whole;
