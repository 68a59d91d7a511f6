//! The writer is never lulled by growing the plan: what was a danger before a line was added is
//! one after it. And how a plan is written down never changes a number.

use std::collections::{BTreeMap, BTreeSet};

use ampwright_plan::{Code, Finding, Plan, Sources, registry::Family, wiring::Way};
use ampwright_tests::{
    grown::{Boat, Growth, boat, growth},
    look::draw,
    shapes,
};
use proptest::prelude::*;

/// The marks of the conductors that a finding stands on, as its own place or beside it.
fn marks(plan: &Plan, finding: &Finding) -> BTreeSet<String> {
    let sites = std::iter::once(finding.site).chain(finding.related.iter().map(|r| r.site));
    let conductors = &plan.wiring.conductors;
    let at = |site| conductors.iter().filter(move |c| c.site == site);
    sites.flat_map(at).map(|c| c.mark.to_string()).collect()
}

/// The conductors that findings of some kind stand on.
fn accused(plan: &Plan, which: impl Fn(&Finding) -> bool) -> BTreeSet<String> {
    let findings = plan.findings.iter().filter(|finding| which(finding));
    findings.flat_map(|finding| marks(plan, finding)).collect()
}

fn is_protection(finding: &Finding) -> bool {
    finding.code.entry().family == Family::Protection
}

fn is_undersized(finding: &Finding) -> bool {
    finding.code == Code::UndersizedConductor
}

/// Those of `before` that are no longer accused; a conductor cut in two by a bar stays accused
/// while one of its halves is.
fn acquitted(before: &BTreeSet<String>, after: &BTreeSet<String>) -> Vec<String> {
    let still = |mark: &String| {
        ["", "/a", "/b"]
            .iter()
            .any(|half| after.contains(&format!("{mark}{half}")))
    };
    before.iter().filter(|mark| !still(mark)).cloned().collect()
}

/// What lies between a post and a conductor that has no device: while that finding stands, the
/// cable before it is not judged by itself.
fn stubs(plan: &Plan) -> BTreeSet<String> {
    let unfused = plan
        .findings
        .iter()
        .filter(|finding| finding.code == Code::UnfusedRun);
    let runs: BTreeSet<_> = unfused
        .map(|finding| (finding.site.file, finding.site.thing))
        .collect();
    let sustained = &plan.study.protection.sustained;
    let before = plan
        .wiring
        .conductors
        .iter()
        .zip(sustained)
        .filter(|(conductor, sustained)| {
            runs.contains(&(conductor.site.file, conductor.site.thing))
                && sustained.is_some_and(|sustained| sustained.amps.is_infinite())
        });
    before
        .map(|(conductor, _)| conductor.mark.to_string())
        .collect()
}

/// Every number that matters, by names that the text gives: rounded, for sums in another order
/// differ in the last digit.
fn numbers(plan: &Plan) -> BTreeMap<String, String> {
    let mut numbers = BTreeMap::new();
    let study = &plan.study;
    for (index, conductor) in plan.wiring.conductors.iter().enumerate() {
        let cable = &study.cables[index];
        let ampacity = cable
            .ampacity
            .as_ref()
            .map(|ampacity| round(ampacity.value.0));
        let sustained = study.protection.sustained[index].map(|s| round(s.amps));
        let returns = study.protection.returns[index].map(|(amps, _)| round(amps));
        let home = conductor.way == Way::Home && conductor.twin;
        let said = format!(
            "{} {ampacity:?} {sustained:?} {returns:?}",
            round(cable.design.amps)
        );
        numbers.insert(format!("{} {home}", conductor.mark), said);
    }
    for (at, alone) in study.rule.alone_drop.iter().enumerate() {
        let ends = &plan.wiring.draws[at];
        let drops = study
            .rule
            .moments
            .iter()
            .map(|s| round(s.drop_at(ends.plus, ends.minus)));
        let drops: BTreeSet<String> = drops.collect();
        numbers.insert(name_of(plan, at), format!("{} {drops:?}", round(*alone)));
    }
    // Of findings which there are and how grave: how many share one place hangs on which of two
    // equal devices is named.
    for finding in &plan.findings {
        let key = format!("finding {} {:?}", finding.code.word(), finding.severity);
        numbers.insert(key, String::new());
    }
    numbers
}

fn name_of(plan: &Plan, draw: usize) -> String {
    plan.model
        .get(plan.wiring.draws[draw].part)
        .name
        .to_string()
}

fn round(value: f64) -> String {
    let text = format!("{value:.9}");
    // Nothing is nothing, from whichever side a sum came to it.
    if text == "-0.000000000" {
        text[1..].to_owned()
    } else {
        text
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_was_not_protected_is_never_passed_over(boat in boat(), growth in growth()) {
        let before = Plan::of_text(&boat.text(&Growth::None));
        let text = boat.text(&growth);
        let after = Plan::of_text(&text);
        let mut still = accused(&after, is_protection);
        still.extend(stubs(&after));
        let lost = acquitted(&accused(&before, is_protection), &still);
        prop_assert!(lost.is_empty(), "{lost:?} no longer accused in\n{text}\nbefore {:#?}\nafter {:#?}",
            messages(&before), messages(&after));
    }

    #[test]
    fn what_was_too_thin_stays_too_thin(boat in boat(), growth in growth()) {
        let before = Plan::of_text(&boat.text(&Growth::None));
        let text = boat.text(&growth);
        let after = Plan::of_text(&text);
        let lost = acquitted(&accused(&before, is_undersized), &accused(&after, is_undersized));
        prop_assert!(lost.is_empty(), "{lost:?} no longer accused in\n{text}\nbefore {:#?}\nafter {:#?}",
            messages(&before), messages(&after));
    }

    #[test]
    fn the_order_of_the_text_changes_no_number(
        (boat, growth) in (boat(), growth()),
        keys in prop::collection::vec(any::<u32>(), 40),
    ) {
        let things = boat.things(&growth, 12);
        let mut order: Vec<usize> = (0..things.len()).collect();
        order.sort_by_key(|&at| keys.get(at).copied());
        let shuffled: String = order.iter().map(|&at| things[at].as_str()).collect();
        let plan = Plan::of_text(&things.concat());
        prop_assert_eq!(numbers(&plan), numbers(&Plan::of_text(&shuffled)), "{}", shuffled);
    }

    #[test]
    fn names_change_no_number((boat, growth) in (boat(), growth())) {
        let text = boat.text(&growth);
        let renamed = text
            .replace("house", "zulu")
            .replace("panel panel", "panel alpha")
            .replace("    panel", "    alpha")
            .replace("stop-", "été-");
        prop_assert_ne!(&text, &renamed);
        prop_assert_eq!(numbers(&Plan::of_text(&text)), numbers(&Plan::of_text(&renamed)), "{}", renamed);
    }

    #[test]
    fn splitting_over_files_changes_no_number((boat, growth) in (boat(), growth()), cut in 1usize..20) {
        let things = boat.things(&growth, 12);
        let (own, used) = things.split_at(cut.min(things.len()));
        let root = format!("{}use \"more.boat\"\n", own.concat());
        let used = used.concat();
        let read = |path: &str| match path {
            "small.boat" => Ok(std::sync::Arc::new(ampwright_notation::File::parse(&root))),
            "more.boat" => Ok(std::sync::Arc::new(ampwright_notation::File::parse(&used))),
            other => Err(format!("no {other}")),
        };
        let split = Plan::of(Sources::gather("small.boat", &read).unwrap());
        prop_assert_eq!(split.sources.list.len(), 2);
        prop_assert_eq!(numbers(&Plan::of_text(&things.concat())), numbers(&split));
    }

    /// By the rule, with loads in A: half the current over twice the volts is a quarter of the per cent.
    #[test]
    fn at_twice_the_volts_half_the_current_loses_a_quarter(boat in boat()) {
        let halved = Boat {
            circuits: boat.circuits.iter().cloned().map(|mut c| { c.amps /= 2.0; c }).collect(),
            ..boat.clone()
        };
        let low = Plan::of_text(&boat.things(&Growth::None, 12).concat());
        let high = Plan::of_text(&halved.things(&Growth::None, 24).concat());
        for way in 1..=boat.circuits.len() {
            let name = format!("load-{way}");
            let percent = |plan: &Plan| {
                let at = draw(plan, &name);
                let ends = &plan.wiring.draws[at];
                let everything = plan.study.rule.moments.last().expect("everything");
                everything.drop_at(ends.plus, ends.minus) / plan.circuit().draw_volts(at as u32) * 100.0
            };
            let (low, high) = (percent(&low), percent(&high));
            prop_assert!(low > 0.0);
            prop_assert!((low / high - 4.0).abs() < 1e-9, "{name}: {low} % and {high} %");
        }
    }
}

/// Each thing of a text, with the lines that belong to it.
fn things(text: &str) -> Vec<String> {
    let mut things: Vec<String> = Vec::new();
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        match things.last_mut().filter(|_| line.starts_with(' ')) {
            Some(thing) => thing.push_str(line),
            None => things.push(line.to_owned()),
        }
        if let Some(thing) = things.last_mut() {
            thing.push('\n');
        }
    }
    things
}

/// The convoy has what small boats have not: banks in series, converters, chargers, sun, relays.
#[test]
fn another_hull_alongside_acquits_nothing() {
    for hulls in [3, 5, 9] {
        let before = Plan::of_text(&shapes::convoy(hulls));
        let after = Plan::of_text(&shapes::convoy(hulls + 1));
        assert!(!accused(&before, is_protection).is_empty());
        for which in [is_protection, is_undersized] {
            let lost = acquitted(&accused(&before, which), &accused(&after, which));
            assert!(lost.is_empty(), "{hulls}: {lost:?}");
        }
    }
}

#[test]
fn the_order_of_a_convoys_text_changes_no_number() {
    let things = things(&shapes::convoy(6));
    let expected = numbers(&Plan::of_text(&things.concat()));
    assert!(expected.len() > 150);
    let turned: String = things.iter().rev().map(String::as_str).collect();
    assert_eq!(expected, numbers(&Plan::of_text(&turned)));
    let (odd, even): (Vec<_>, Vec<_>) = things.iter().zip(0..).partition(|(_, at)| at % 2 == 1);
    let dealt: String = odd
        .iter()
        .chain(&even)
        .map(|(thing, _)| thing.as_str())
        .collect();
    assert_eq!(expected, numbers(&Plan::of_text(&dealt)));
}

fn messages(plan: &Plan) -> Vec<String> {
    let say = |finding: &Finding| {
        format!(
            "{} at {:?}: {}",
            finding.code.word(),
            marks(plan, finding),
            finding.message
        )
    };
    plan.findings.iter().map(say).collect()
}

/// The generator makes what it is for: plans with and without each kind of finding.
#[test]
fn the_generator_reaches_what_is_tested() {
    use proptest::{strategy::ValueTree, test_runner::TestRunner};
    let mut runner = TestRunner::deterministic();
    let (mut protection, mut thin, mut neither) = (0, 0, 0);
    for _ in 0..200 {
        let boat = boat().new_tree(&mut runner).expect("a boat").current();
        let plan = Plan::of_text(&boat.text(&Growth::None));
        let has = |which: fn(&Finding) -> bool| !accused(&plan, which).is_empty();
        protection += usize::from(has(is_protection));
        thin += usize::from(has(is_undersized));
        neither += usize::from(!has(is_protection) && !has(is_undersized));
        let reading: Vec<_> = plan
            .findings
            .iter()
            .filter(|f| f.code.entry().family == Family::Reading)
            .collect();
        assert!(reading.is_empty(), "{reading:?}");
    }
    assert!(
        protection > 50 && thin > 50 && neither > 5,
        "{protection} {thin} {neither}"
    );
}
