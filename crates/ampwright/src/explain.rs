//! `explain`: a finding's code, or a word of the notation, in plain words.

use std::io::Write;

use ampwright_assist::explain::{Explained, explain};
use anyhow::bail;

use crate::{cli::ExplainArgs, out::Outcome};

/// Explains a code or a word.
pub(crate) fn run(args: &ExplainArgs, out: &mut dyn Write) -> anyhow::Result<Outcome> {
    let word = &args.word;
    match explain(word) {
        Explained::Known(doc) => writeln!(out, "{}", doc.plain())?,
        Explained::Unknown(Some(near)) => {
            bail!("there is no finding and no word called {word}; did you mean {near}?")
        }
        Explained::Unknown(None) => bail!("there is no finding and no word called {word}"),
    }
    Ok(Outcome::Clean)
}
