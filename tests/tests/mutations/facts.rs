//! What is done to single facts.

use crate::Kind;

pub(crate) const KINDS: &[Kind] = &[];
