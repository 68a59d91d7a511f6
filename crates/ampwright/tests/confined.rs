//! A plan reads files of its own workspace and no others.

mod support;

use support::{Folder, SOUND, code};

fn plan(path: &str) -> String {
    format!("{SOUND}\nuse \"{path}\"\n")
}

/// What `check` says of a plan at `boats/a.boat`.
fn told(folder: &Folder) -> String {
    folder.transcript(&["check", "--format", "plain", "boats/a.boat"])
}

#[test]
fn a_plan_without_a_workspace_stays_in_its_folder() {
    let folder = Folder::with(&[
        ("secret.boat", "place secret\n"),
        ("boats/b.boat", "place locker\n"),
    ]);
    folder.write("boats/a.boat", plan("b.boat"));
    assert_eq!(told(&folder), "exit 0\n");
    for path in [
        "../secret.boat",
        "b.boat/../../secret.boat",
        "/etc/hostname",
        "C:/secret.boat",
    ] {
        folder.write("boats/a.boat", plan(path));
        let told = told(&folder);
        assert!(
            told.contains("leads out of the workspace"),
            "{path}: {told}"
        );
        assert!(told.ends_with("exit 1\n"), "{told}");
    }
}

#[test]
fn a_marked_folder_above_is_the_workspace() {
    for mark in [".git/HEAD", "ampwright.toml"] {
        let folder = Folder::with(&[("common.boat", "place locker\n"), (mark, "")]);
        folder.write("boats/a.boat", plan("../common.boat"));
        assert_eq!(told(&folder), "exit 0\n", "{mark}");
        folder.write("boats/a.boat", plan("../../common.boat"));
        assert!(
            told(&folder).contains("leads out of the workspace"),
            "{mark}"
        );
    }
}

#[cfg(unix)]
#[test]
fn a_link_leads_nowhere_outside() {
    let outside = Folder::with(&[("secret.boat", "battery secret agm 100 Ah\n")]);
    let folder = Folder::with(&[("boats/a.boat", &plan("link.boat"))]);
    let link = |from: &std::path::Path| {
        let at = folder.path().join("boats/link.boat");
        let _ = std::fs::remove_file(&at);
        std::os::unix::fs::symlink(from, at).unwrap();
    };
    link(&outside.path().join("secret.boat"));
    let refused = told(&folder);
    assert!(
        refused.contains("leads out of the workspace by a link"),
        "{refused}"
    );
    assert!(
        !refused.contains("agm"),
        "nothing of it is shown: {refused}"
    );
    // One that stays inside is followed.
    folder.write("boats/inside.boat", "place locker\n");
    link(&folder.path().join("boats/inside.boat"));
    assert_eq!(told(&folder), "exit 0\n");
    // A circle of links is said and not followed.
    link(&folder.path().join("boats/link.boat"));
    assert!(told(&folder).contains("cannot-use"));
    // Folders are searched without following links.
    std::os::unix::fs::symlink(folder.path(), folder.path().join("boats/loop")).unwrap();
    assert_eq!(code(&folder.run(&["check", "boats"])), 1);
}
