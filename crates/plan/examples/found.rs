//! Prints a plan's findings, one a line, used files read beside it: for looking at while developing.
#![allow(clippy::print_stdout)] // a tool for the terminal

use std::sync::Arc;

use ampwright_notation::File;
use ampwright_plan::{Plan, Sources};

fn main() {
    for path in std::env::args().skip(1) {
        let path = std::path::Path::new(&path);
        let folder = path.parent().unwrap_or_else(|| std::path::Path::new("."));
        let root = path
            .file_name()
            .map_or("", |name| name.to_str().unwrap_or(""));
        let read = |name: &str| {
            let text = std::fs::read_to_string(folder.join(name)).map_err(|why| why.to_string())?;
            Ok(Arc::new(File::parse(&text)))
        };
        let Ok(sources) = Sources::gather(root, &read) else {
            println!("{} cannot be read", path.display());
            continue;
        };
        let plan = Plan::of(sources);
        println!("{}: {} findings", path.display(), plan.findings.len());
        for finding in &plan.findings {
            println!(
                "  {} {} at {:?}: {}",
                finding.severity.word(),
                finding.code.word(),
                plan.sources.words(finding.site),
                finding.message
            );
        }
    }
}
