//! `format`: in place, or the difference.
#![allow(clippy::needless_raw_string_hashes)] // snapshots, as their tool writes them

mod support;

use expect_test::expect;
use support::{Folder, code};

const UNTIDY: &str = "\u{feff}boat b\r\n  system 12  V   # twelve\r\n\r\n\r\n\r\nload lamp lighting 2W\r\n\tthis is not a fact\r\n";

#[test]
fn a_file_is_written_anew_in_place() {
    let folder = Folder::with(&[("b.boat", UNTIDY)]);
    expect![[r#"
        b.boat: written anew
        exit 0
    "#]]
    .assert_eq(&folder.transcript(&["format", "b.boat"]));
    expect![[r#""\u{feff}boat b\r\n    system 12 V # twelve\r\n\r\nload lamp lighting 2 W\r\n\tthis is not a fact\r\n""#]].assert_eq(&format!("{:?}", folder.read("b.boat")));
    assert_eq!(folder.transcript(&["format", "b.boat"]), "exit 0\n");
    let left: Vec<_> = std::fs::read_dir(folder.path()).unwrap().collect();
    assert_eq!(left.len(), 1, "nothing is left beside it: {left:?}");
}

#[test]
fn the_difference_changes_nothing() {
    let folder = Folder::with(&[("b.boat", UNTIDY)]);
    expect![[r#"
        --- b.boat
        +++ b.boat
        @@ -2 +2 @@
        -  system 12  V   # twelve
        +    system 12 V # twelve
        @@ -4,3 +4 @@
        -
        -
        -load lamp lighting 2W
        +load lamp lighting 2 W
        exit 1
    "#]]
    .assert_eq(&folder.transcript(&["format", "--check", "b.boat"]));
    assert_eq!(folder.read("b.boat"), UNTIDY);
}

#[test]
fn what_cannot_be_read_is_left() {
    let folder = Folder::new();
    folder.write("b.boat", b"boat b\xff\n");
    assert_eq!(code(&folder.run(&["format", "b.boat"])), 2);
    assert_eq!(
        std::fs::read(folder.path().join("b.boat")).unwrap(),
        b"boat b\xff\n"
    );
}

#[cfg(unix)]
#[test]
fn a_link_stays_a_link_and_permissions_stay() {
    use std::os::unix::fs::PermissionsExt;
    let folder = Folder::with(&[("real.boat", UNTIDY)]);
    let (real, link) = (
        folder.path().join("real.boat"),
        folder.path().join("link.boat"),
    );
    std::os::unix::fs::symlink(&real, &link).unwrap();
    std::fs::set_permissions(&real, std::fs::Permissions::from_mode(0o640)).unwrap();
    assert_eq!(code(&folder.run(&["format", "link.boat"])), 0);
    assert!(link.symlink_metadata().unwrap().is_symlink());
    assert_eq!(real.metadata().unwrap().permissions().mode() & 0o777, 0o640);
    assert_ne!(folder.read("real.boat"), UNTIDY);
}
