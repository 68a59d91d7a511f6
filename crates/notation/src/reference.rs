//! The reference, made from the tables.
