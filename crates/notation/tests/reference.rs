//! The committed reference is the one that the tables make, and its examples are read.

use std::{env, fs, path::Path};

use ampwright_notation::{File, format::format, reference::markdown};

#[test]
fn the_committed_reference_is_current() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("REFERENCE.md");
    let current = markdown();
    if env::var_os("UPDATE_REFERENCE").is_some() {
        fs::write(&path, &current).unwrap();
    }
    let committed = fs::read_to_string(&path)
        .unwrap_or_default()
        .replace("\r\n", "\n");
    assert!(
        committed == current,
        "REFERENCE.md is stale: run this test with UPDATE_REFERENCE=1"
    );
}

#[test]
fn its_examples_have_no_flaw_and_are_in_the_written_form() {
    let text = markdown();
    let examples: Vec<&str> = text
        .split("```boat\n")
        .skip(1)
        .filter_map(|rest| rest.split("```").next())
        .collect();
    assert!(examples.len() > 29);
    for example in examples {
        let file = File::parse(example);
        assert!(
            file.all_flaws().is_empty(),
            "{example} {:#?}",
            file.all_flaws()
        );
        assert_eq!(format(&file), example);
    }
}
