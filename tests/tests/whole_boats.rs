//! Every figure of the whole boats, frozen. The pages beside this file were read against sums
//! worked by hand (`whole_boats_by_hand.rs`); read the difference before a new one is kept.

use ampwright_tests::{look::plan_of, sheet::sheet};
use expect_test::expect_file;

#[test]
fn teal() {
    expect_file!["whole_boats/teal.txt"].assert_eq(&sheet(&plan_of("examples/teal/teal.boat")));
}

#[test]
fn whimbrel() {
    let page = sheet(&plan_of("examples/whimbrel/whimbrel.boat"));
    expect_file!["whole_boats/whimbrel.txt"].assert_eq(&page);
}

#[test]
fn shoveler() {
    let page = sheet(&plan_of("examples/shoveler/shoveler.boat"));
    expect_file!["whole_boats/shoveler.txt"].assert_eq(&page);
}
