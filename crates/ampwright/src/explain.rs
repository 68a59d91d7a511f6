//! `explain`: a finding's code, or a word of the notation, in plain words.

use std::io::Write;

use crate::{cli::ExplainArgs, out::Outcome};

/// Explains a word.
pub(crate) fn run(_args: &ExplainArgs, _out: &mut dyn Write) -> anyhow::Result<Outcome> {
    anyhow::bail!("not built in yet")
}
