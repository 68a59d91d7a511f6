//! Sessions that were written down, each had again: a report with a record becomes a test by laying
//! the record in `sessions/`. `UPDATE_SESSIONS=1` writes them anew with what the server says now;
//! read the difference.
#![allow(clippy::expect_used, reason = "a test that cannot begin has failed")]

use std::{fs, path::Path, sync::Arc};

use ampwright_server::{plans::Plans, transport::read_record};

#[test]
fn every_recorded_session_goes_as_it_went() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/sessions");
    let mut files: Vec<_> = fs::read_dir(folder)
        .expect("sessions")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    files.sort();
    assert!(!files.is_empty());
    for file in files {
        let text = fs::read_to_string(&file).expect("a record");
        let lines = read_record(&text).expect("lines");
        let replayed = ampwright_server::replay(&lines, Arc::new(Plans)).expect("an end");
        if std::env::var_os("UPDATE_SESSIONS").is_some() {
            let now = replayed.rewritten(&lines);
            let now: Vec<String> = now.iter().map(ToString::to_string).collect();
            fs::write(&file, now.join("\n") + "\n").expect("written");
            continue;
        }
        assert!(replayed.compared > 0, "{}", file.display());
        assert_eq!(replayed.differences, [], "{}", file.display());
    }
}
