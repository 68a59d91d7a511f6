//! `replay`: a recorded session, had again.

use std::{
    fs::File,
    io::{Read, Write},
    path::Path,
    sync::Arc,
};

use ampwright_server::{
    plans::Plans,
    transport::{MOST_RECORDED, RecordedLine, read_record},
};
use anyhow::{Context, bail};

use crate::{cli::ReplayArgs, out::Outcome, visible::visible};

/// Replays a record and prints what differs.
pub(crate) fn run(args: &ReplayArgs, out: &mut dyn Write) -> anyhow::Result<Outcome> {
    let lines = read(&args.record)?;
    let replayed = ampwright_server::replay(&lines, Arc::new(Plans)).with_context(|| {
        format!(
            "{}: the session did not reach its end",
            args.record.display()
        )
    })?;
    for difference in &replayed.differences {
        writeln!(
            out,
            "line {}: {}",
            difference.line,
            visible(&difference.what)
        )?;
        for place in &difference.places {
            writeln!(out, "    {}", visible(place))?;
        }
    }
    let (sent, compared) = (replayed.sent, replayed.compared);
    write!(
        out,
        "{sent} messages of the editor, {compared} of the server: "
    )?;
    match replayed.differences.len() {
        0 => writeln!(out, "all as recorded")?,
        1 => writeln!(out, "1 differs")?,
        many => writeln!(out, "{many} differ")?,
    }
    Ok(if replayed.differences.is_empty() {
        Outcome::Clean
    } else {
        Outcome::Found
    })
}

fn read(path: &Path) -> anyhow::Result<Vec<RecordedLine>> {
    let name = path.display();
    let file = File::open(path).with_context(|| format!("{name}"))?;
    let mut text = String::new();
    file.take(MOST_RECORDED + 1)
        .read_to_string(&mut text)
        .with_context(|| format!("{name}"))?;
    if text.len() as u64 > MOST_RECORDED {
        bail!(
            "{name}: it is above {} MiB, which no record is",
            MOST_RECORDED >> 20
        );
    }
    match read_record(&text) {
        Ok(lines) => Ok(lines),
        Err(line) => bail!("{name}: line {line} is none of a record"),
    }
}
