//! Every value of the whole boats taken apart: nothing is left empty, every step tells where it comes
//! from, each sum comes out as printed, and every figure that a step cites is counted among those that
//! the plan rests on.
//!
//! A sum is checked with what is printed, each number as far as its last digit tells: the interval
//! that the numbers leave open has to meet that of the value.

use std::collections::BTreeSet;

use ampwright_assist::unfold::{Step, Unfolded, Unfolding, unfold, used};
use ampwright_notation::Kind;
use ampwright_plan::{Plan, wiring::SupplyKind};
use ampwright_tests::look::plan_of;
use expect_test::expect_file;

mod sums;

const BOATS: [&str; 6] = [
    "examples/curlew/curlew.boat",
    "examples/skerry.boat",
    "examples/first-light.boat",
    "examples/teal/teal.boat",
    "examples/whimbrel/whimbrel.boat",
    "examples/shoveler/shoveler.boat",
];

fn known(plan: &Plan, name: &str) -> Vec<Unfolding> {
    match unfold(plan, name) {
        Unfolded::Known(list) => list,
        other => panic!("{name}: {other:?}"),
    }
}

/// The names of all that something is computed of.
fn names(plan: &Plan) -> Vec<String> {
    let wiring = &plan.wiring;
    let marks = wiring.conductors.iter().map(|wired| wired.mark.to_string());
    let part = |part| plan.model.get(part).name.to_string();
    let contacts = wiring.contacts.iter().map(|contact| part(contact.part));
    let draws = wiring.draws.iter().map(|draw| part(draw.part));
    let supplies = wiring.supplies.iter().map(|supply| part(supply.part));
    let bars = plan.model.parts.iter().filter(|part| {
        matches!(
            part.kind,
            Kind::Busbar | Kind::Joint | Kind::Block | Kind::Bond
        )
    });
    let bars = bars.map(|bar| bar.name.to_string());
    let places = plan
        .model
        .places
        .list
        .iter()
        .map(|place| place.name.to_string());
    let all = marks
        .chain(contacts)
        .chain(draws)
        .chain(supplies)
        .chain(bars)
        .chain(places);
    let all: BTreeSet<String> = all.collect();
    all.into_iter().collect()
}

fn each_step(boat: &str, mut look: impl FnMut(&Plan, &str, &Step)) {
    let plan = plan_of(boat);
    for name in names(&plan) {
        for one in known(&plan, &name) {
            for section in &one.sections {
                for step in &section.steps {
                    look(&plan, &format!("{boat}, {name}, {}", section.title), step);
                }
            }
        }
    }
}

#[test]
fn everything_unfolds_and_nothing_is_left_empty() {
    for boat in BOATS {
        let plan = plan_of(boat);
        for name in names(&plan) {
            let list = known(&plan, &name);
            assert!(!list.is_empty(), "{boat}: {name}");
            for one in list {
                assert!(
                    !one.title.is_empty() && !one.sections.is_empty(),
                    "{boat}: {name}"
                );
                assert!(one.sections.iter().all(|section| !section.steps.is_empty()));
            }
        }
    }
}

#[test]
fn every_step_tells_where_it_comes_from() {
    for boat in BOATS {
        each_step(boat, |_, place, step| {
            assert!(step.is_grounded(), "{place}: {}", step.line());
            assert!(
                !step.what.is_empty() && !step.value.is_empty(),
                "{place}: {step:?}"
            );
            let line = step.line();
            let absurd = ["NaN", "inf", "  ", "()"];
            assert!(
                !absurd.iter().any(|word| line.contains(word)),
                "{place}: {line}"
            );
        });
    }
}

#[test]
fn every_sum_comes_out_as_printed() {
    let mut wrong = Vec::new();
    let mut checked = 0;
    for boat in BOATS {
        each_step(boat, |_, place, step| {
            if !sums::is_sum(&step.worked) {
                return;
            }
            checked += 1;
            match (sums::evaluate(&step.worked), sums::number(&step.value)) {
                (Some(sum), Some(value)) if sum.meets(value) => {}
                (sum, value) => {
                    wrong.push(format!("{place}: {}\n    {sum:?} {value:?}", step.line()));
                }
            }
        });
    }
    assert!(
        wrong.is_empty(),
        "{} of {checked}:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
    assert!(checked > 4_000, "{checked}");
}

/// A figure that a step cites stands in the list that `check` counts.
#[test]
fn every_figure_that_a_step_cites_is_counted() {
    let mut missing = BTreeSet::new();
    for boat in BOATS {
        let plan = plan_of(boat);
        let counted: BTreeSet<(String, String)> = used::of(&plan)
            .into_iter()
            .map(|figure| (figure.source, figure.tag.to_string()))
            .collect();
        each_step(boat, |_, place, step| {
            for cited in &step.cited {
                let figure = (cited.source.clone(), cited.tag.to_string());
                if !counted.contains(&figure) {
                    missing.insert(format!("{place}: {figure:?}, as in {}", step.what));
                }
            }
        });
    }
    let missing: Vec<String> = missing.into_iter().collect();
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}

/// Every figure that the boats rest on, with how it is known: read the difference before a new page is
/// kept. Those from memory come first, for `check` counts them.
fn figures(boat: &str) -> String {
    let mut lines: Vec<(std::cmp::Reverse<ampwright_electrics::source::Tag>, String)> =
        used::of(&plan_of(boat))
            .into_iter()
            .map(|one| {
                let line = format!("{}: {} [{}] {}\n", one.tag, one.what, one.value, one.source);
                (std::cmp::Reverse(one.tag), line)
            })
            .collect();
    lines.sort();
    lines.into_iter().map(|(_, line)| line).collect()
}

#[test]
fn the_figures_that_the_boats_rest_on() {
    expect_file!["curlew.txt"].assert_eq(&figures("examples/curlew/curlew.boat"));
    expect_file!["teal.txt"].assert_eq(&figures("examples/teal/teal.boat"));
    expect_file!["whimbrel.txt"].assert_eq(&figures("examples/whimbrel/whimbrel.boat"));
    expect_file!["shoveler.txt"].assert_eq(&figures("examples/shoveler/shoveler.boat"));
}

/// What each boat has to show for: the sections that belong to its parts.
#[test]
fn each_kind_of_thing_tells_what_belongs_to_it() {
    let plan = plan_of("examples/shoveler/shoveler.boat");
    let titles = |name: &str| -> Vec<&str> {
        let list = known(&plan, name);
        let sections = list.iter().flat_map(|one| one.sections.iter());
        sections.map(|section| section.title).collect()
    };
    let battery = plan
        .wiring
        .supplies
        .iter()
        .find(|supply| supply.kind == SupplyKind::Battery);
    let battery = battery.map(|supply| plan.model.get(supply.part).name.to_string());
    let told = titles(&battery.expect("a battery"));
    for title in [
        "The battery",
        "Charging",
        "A short circuit",
        "A day of its bank",
    ] {
        assert!(told.contains(&title), "{title}: {told:?}");
    }
}
