//! One circuit, three tellers: `check`, `follow` and the hover give the same figures.
#![allow(clippy::expect_used, reason = "a test that cannot begin has failed")]

mod support;

use ampwright_assist::hover;
use ampwright_plan::{Plan, Sources};
use support::{program, root};

fn printed(args: &[&str]) -> String {
    let ran = program(&root())
        .args(["--color", "never"])
        .args(args)
        .output()
        .expect("it runs");
    String::from_utf8(ran.stdout).expect("text")
}

/// The hover on the load's name, as plain text.
fn hovered() -> String {
    let folder = root().join("examples/curlew");
    let read = |path: &str| {
        let text = std::fs::read_to_string(folder.join(path)).map_err(|why| why.to_string())?;
        Ok(std::sync::Arc::new(ampwright_notation::File::parse(&text)))
    };
    let plan = Plan::of(Sources::gather("curlew.boat", &read).expect("the Curlew"));
    let file = plan
        .sources
        .list
        .iter()
        .position(|source| &*source.path == "water.boat")
        .expect("its water side");
    let text = std::fs::read_to_string(folder.join("water.boat")).expect("a text");
    let at = text.find("load fresh-pump").expect("the pump") + "load ".len();
    hover::hover(&plan, file as u32, at)
        .expect("a hover")
        .doc
        .plain()
}

/// 0.0164 x (7 A x 10 m / 2.5 mm² + 14.7 A x 15.05 m / 25 mm²) = 0.6043 V, 5.036 % of 12 V.
#[test]
fn the_pump_loses_the_same_whoever_is_asked() {
    let check = printed(&["check", "examples/curlew"]);
    let evening = check
        .lines()
        .find(|line| line.starts_with("evening"))
        .expect("the evening");
    assert!(
        evening.contains("14.7 A") && evening.ends_with("fresh-pump 5.04 %"),
        "{evening}"
    );
    let follow = printed(&["follow", "examples/curlew", "fresh-pump"]);
    let hover = hovered();
    for figure in ["0.604 V", "5.04 %", "14.7 A", "11.40 V", "11.37 V"] {
        assert!(follow.contains(figure), "{figure} in\n{follow}");
        assert!(hover.contains(figure), "{figure} in\n{hover}");
    }
}
