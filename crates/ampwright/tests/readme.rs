//! What the README shows is what the program prints.

#![allow(clippy::expect_used, reason = "a test that cannot begin has failed")]

mod support;

use std::path::Path;

use support::{Folder, program, root};

/// What the program prints, run in a folder.
fn printed(folder: &Path, args: &[&str]) -> String {
    let ran = program(folder)
        .args(["--color", "never"])
        .args(args)
        .output()
        .expect("it runs");
    String::from_utf8(ran.stdout)
        .expect("text")
        .trim_end()
        .to_owned()
}

/// The README's fenced blocks.
fn blocks() -> Vec<String> {
    let readme = std::fs::read_to_string(root().join("README.md")).expect("the README");
    let mut blocks = Vec::new();
    let mut open: Option<Vec<&str>> = None;
    for line in readme.lines() {
        match (line.starts_with("```"), &mut open) {
            (true, None) => open = Some(Vec::new()),
            (true, Some(block)) => {
                blocks.push(block.join("\n"));
                open = None;
            }
            (false, Some(block)) => block.push(line),
            (false, None) => {}
        }
    }
    blocks
}

fn check_shown(shown: &str) {
    assert!(
        blocks().iter().any(|block| block == shown),
        "the README shows no\n{shown}"
    );
}

#[test]
fn its_first_command_prints_what_it_shows() {
    check_shown(&printed(&root(), &["check", "examples/curlew"]));
}

#[test]
fn its_circuit_is_followed_as_it_shows() {
    check_shown(&printed(
        &root(),
        &["follow", "examples/curlew", "fresh-pump"],
    ));
}

#[test]
fn its_value_is_taken_apart_as_it_shows() {
    check_shown(&printed(
        &root(),
        &["explain", "examples/curlew", "cabin-panel way 2"],
    ));
}

#[test]
fn its_faulty_plan_gets_the_finding_it_shows() {
    let blocks = blocks();
    let plan = blocks
        .iter()
        .find(|block| block.starts_with("boat dinghy"))
        .expect("the plan");
    let folder = Folder::new();
    folder.write("dinghy.boat", format!("{plan}\n"));
    let shown = printed(&folder.path(), &["check", "dinghy.boat"]);
    check_shown(shown.split("\n\n").next().unwrap_or_default());
}
