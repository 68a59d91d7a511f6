//! Whole-program tests live in this package.
