//! A file: its text cut into things.

use std::sync::Arc;

use crate::{flaw::Flaw, tree::Thing};

/// A thing and where it begins.
#[derive(Clone, Debug)]
pub struct Chunk {
    /// Byte offset of the thing's text in the file.
    pub at: u32,
    /// The thing.
    pub thing: Arc<Thing>,
}

/// A parsed file. The chunks' texts, joined after `preamble`, are the file's text.
#[derive(Clone, Debug, Default)]
pub struct File {
    /// Text before the first thing: a byte-order mark, comments, blank lines.
    pub preamble: Arc<str>,
    /// The things in order.
    pub chunks: Vec<Chunk>,
    /// What is wrong with the file as a whole (every line indented); spans are relative to the file.
    pub flaws: Vec<Flaw>,
}

impl File {
    /// Reads a whole text.
    pub fn parse(_text: &str) -> Self {
        Self::default()
    }
}
