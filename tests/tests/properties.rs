//! What must hold of every plan, whatever it says: more copper loses less, a nearer device leaves
//! less unprotected, heat and company leave a cable less. And a whole boat is the same boat however
//! its text is cut and ordered, and whatever its parts are called.

use std::collections::BTreeSet;

use ampwright_plan::{Code, Plan};
use ampwright_tests::{
    grown::{Boat, Growth, boat},
    look::{conductor, draw},
    sheet::sheet,
    whole::Whole,
};
use proptest::prelude::*;

const SIZES: [f64; 9] = [1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 35.0, 70.0];

fn thicker(size: f64) -> f64 {
    SIZES.into_iter().find(|&one| one > size).unwrap_or(95.0)
}

fn plan_of(boat: &Boat) -> Plan {
    Plan::of_text(&boat.text(&Growth::None))
}

/// The drop at a load by the rule in everything and alone, V.
fn drops_at(plan: &Plan, load: &str) -> [f64; 2] {
    let at = draw(plan, load);
    let ends = &plan.wiring.draws[at];
    let rule = &plan.study.rule;
    let everything = rule
        .moments
        .last()
        .map(|solved| solved.drop_at(ends.plus, ends.minus));
    [everything.unwrap_or_default(), rule.alone_drop[at]]
}

/// What each load gets as wired in everything, V; `None` where one of them collapses: what it then
/// leaves to the others is no rule.
fn wired_volts(plan: &Plan) -> Option<Vec<f64>> {
    let wired = plan.as_wired(plan.study.rule.moments.len().checked_sub(1)?)?;
    let volts: Vec<f64> = wired.draws.iter().map(|one| one.1).collect();
    (wired.settled && volts.iter().all(|&volts| volts > COLLAPSED)).then_some(volts)
}

/// Below this a load takes what is left rather than what it is made for, V.
const COLLAPSED: f64 = 9.0;

fn may_carry(plan: &Plan, mark: &str) -> f64 {
    plan.study.cables[conductor(plan, mark)]
        .may_carry()
        .strict()
}

fn unfused(plan: &Plan) -> usize {
    let found = plan.findings.iter();
    found
        .filter(|finding| finding.code == Code::UnfusedRun)
        .count()
}

/// A lamp's circuit along a warm, crowded way.
fn circuit(rules: &str, insulation: u32, ambient: i32, bundled: u32, size: f64) -> Plan {
    Plan::of_text(&format!(
        "boat b\n    system 12 V\n    rules {rules}\n    ambient {ambient} C\ncable c tinned\n    insulation {insulation} C\n\
         battery house agm 100 Ah\nfuse f blade 5 A\nload lamp lighting 6 W\nrun lamp\n    house +\n    {size} mm2 c red 0.1 m\n    \
         f\n    {size} mm2 c red 3 m bundled {bundled} mark L\n    lamp\n    back black to house -\n"
    ))
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(96) })]

    #[test]
    fn a_thicker_conductor_loses_no_more(boat in boat(), at in any::<prop::sample::Index>()) {
        let mut more = boat.clone();
        let which = at.index(boat.main.len() + 1 + boat.circuits.len());
        let cable = match which {
            0..3 => &mut more.main[which],
            3 => &mut more.home,
            _ => &mut more.circuits[which - 4].cable,
        };
        cable.0 = thicker(cable.0);
        let (before, after) = (plan_of(&boat), plan_of(&more));
        for way in 1..=boat.circuits.len() {
            let load = format!("load-{way}");
            for (was, is) in drops_at(&before, &load).into_iter().zip(drops_at(&after, &load)) {
                prop_assert!(is <= was + 1e-9, "{load}: {was} V, then {is} V");
            }
        }
        if let (Some(was), Some(is)) = (wired_volts(&before), wired_volts(&after)) {
            // A device's contact is computed from its rating, so nothing but the copper has changed.
            let lower = was.iter().zip(&is).any(|(was, is)| *is < was - 1e-6);
            prop_assert!(!lower, "as wired: {was:?} V, then {is:?} V");
        }
    }

    /// The first conductor of the main run gives some of its length to the second.
    #[test]
    fn a_nearer_device_leaves_no_more_unprotected(boat in boat(), share in 0.0f64..1.0) {
        let mut nearer = boat.clone();
        let given = boat.main[0].1 * share;
        nearer.main[0].1 -= given;
        nearer.main[1].1 += given;
        let (before, after) = (unfused(&plan_of(&boat)), unfused(&plan_of(&nearer)));
        prop_assert!(after <= before, "{before} before, {after} after");
    }

    #[test]
    fn heat_and_company_leave_a_cable_no_more(
        rules in prop::sample::select(vec!["baseline", "us-cfr-183", "iso-13297", "abyc-e11"]),
        insulation in prop::sample::select(vec![60u32, 70, 75, 85, 90, 105, 125]),
        (cool, warm) in (-10i32..80, -10i32..80),
        (few, many) in (1u32..40, 1u32..40),
        size in prop::sample::select(&SIZES[..]),
    ) {
        let (cool, warm) = (cool.min(warm), cool.max(warm));
        let (few, many) = (few.min(many), few.max(many));
        let free = may_carry(&circuit(rules, insulation, cool, few, size), "L");
        for (ambient, bundled) in [(warm, few), (cool, many), (warm, many)] {
            let derated = may_carry(&circuit(rules, insulation, ambient, bundled, size), "L");
            prop_assert!(derated <= free + 1e-9, "{derated} A at {ambient} C among {bundled}, {free} A at {cool} C among {few}");
        }
    }
}

const WHOLE: [&str; 3] = ["teal", "whimbrel", "shoveler"];

/// Every line of the page: conductors, loads, banks and findings, without their order. Which of two
/// equal devices or moments is named may hang on it: the first of the text is.
fn lines(plan: &Plan) -> BTreeSet<String> {
    let page = sheet(plan);
    page.lines()
        .map(|line| without_moment(&without_device(line)))
        .collect()
}

fn without_device(line: &str) -> String {
    match line.rsplit_once(" A by ") {
        Some((figures, _)) if line.contains("; for ever ") || line.contains("; comes home ") => {
            format!("{figures} A")
        }
        _ => line.to_owned(),
    }
}

/// "15 A in cruising, losing 0.006 V" as "15 A, losing 0.006 V".
fn without_moment(line: &str) -> String {
    let parted = line
        .split_once(" A in ")
        .and_then(|(amps, rest)| Some((amps, rest.split_once(", losing ")?.1)));
    parted.map_or_else(
        || line.to_owned(),
        |(amps, lost)| format!("{amps} A, losing {lost}"),
    )
}

/// Each thing of a whole boat as text, `use` left out.
fn things(boat: &Whole) -> Vec<String> {
    let things = boat.things();
    let kept = things
        .iter()
        .filter(|thing| thing.kind_and_name().0 != "use");
    kept.map(|thing| boat.lines(&thing.path)[thing.lines.clone()].join("\n") + "\n")
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(6) })]

    #[test]
    fn a_whole_boat_is_the_same_in_any_order_and_any_files(
        which in 0..WHOLE.len(),
        keys in prop::collection::vec(any::<u32>(), 400),
        cuts in prop::collection::vec(any::<prop::sample::Index>(), 2),
    ) {
        let boat = Whole::read(WHOLE[which]);
        let expected = lines(&boat.plan());
        let things = things(&boat);
        let mut order: Vec<usize> = (0..things.len()).collect();
        order.sort_by_key(|&at| keys.get(at).copied());
        let shuffled: Vec<&str> = order.iter().map(|&at| &*things[at]).collect();
        let whole = Whole::of(&[("whole.boat", &shuffled.concat())]);
        prop_assert_eq!(apart(&lines(&whole.plan()), &expected), [""; 0]);
        let mut cuts: Vec<usize> = cuts.iter().map(|cut| cut.index(shuffled.len())).collect();
        cuts.sort_unstable();
        let (fore, rest) = shuffled.split_at(cuts[0]);
        let (middle, aft) = rest.split_at(cuts[1] - cuts[0]);
        let fore = format!("use \"middle.boat\"\n{}", fore.concat());
        let middle = format!("{}use \"aft.boat\"\n", middle.concat());
        let parted = Whole::of(&[("fore.boat", &fore), ("middle.boat", &middle), ("aft.boat", &aft.concat())]);
        prop_assert_eq!(apart(&lines(&parted.plan()), &expected), [""; 0]);
    }
}

/// What one page has and the other has not.
fn apart(one: &BTreeSet<String>, other: &BTreeSet<String>) -> Vec<String> {
    one.symmetric_difference(other).cloned().collect()
}

/// Each part, multicore and place gets another name, wherever it stands.
#[test]
fn a_whole_boat_is_the_same_under_other_names() {
    for name in WHOLE {
        let boat = Whole::read(name);
        let renamed: String = things(&boat).iter().map(|thing| renamed(thing)).collect();
        let plan = Whole::of(&[("whole.boat", &renamed)]).plan();
        let back = lines(&plan)
            .iter()
            .map(|line| line.replace("-x", ""))
            .collect();
        assert_eq!(apart(&lines(&boat.plan()), &back), [""; 0], "{name}");
    }
}

/// Words after which a name follows, in a fact, a case or a conductor.
const BEFORE_NAMES: [&str; 11] = [
    "in", "like", "returns", "earthed", "on", "off", "open", "close", "set", "of", "to",
];

/// What a line of a run begins with where it is no stop.
const NO_STOPS: [&str; 7] = [
    "twin",
    "core",
    "back",
    "allow",
    "in",
    "bypasses-isolator",
    "#",
];

fn renamed(thing: &str) -> String {
    let kind = thing.split_whitespace().next().unwrap_or_default();
    if ["boat", "cable"].contains(&kind) {
        return thing.to_owned();
    }
    let line = |(at, line): (usize, &str)| {
        if line.trim_start().starts_with("allow ") {
            return format!("{line}\n");
        }
        let (mut before, mut quoted) = ("", false);
        let mut list = Vec::new();
        for (place, word) in line.split_whitespace().enumerate() {
            // Titles and reasons are no names.
            let was_quoted = quoted || word.starts_with('"');
            quoted ^= word.matches('"').count() % 2 == 1;
            if was_quoted {
                list.push(word.to_owned());
                continue;
            }
            let is_head = at == 0 && place == 1 && !["run", "case"].contains(&kind);
            let begins = word.chars().next().is_some_and(char::is_alphabetic);
            let is_stop =
                at > 0 && kind == "run" && place == 0 && begins && !NO_STOPS.contains(&word);
            let is_name = is_head || is_stop || BEFORE_NAMES.contains(&before);
            before = word;
            list.push(if is_name {
                format!("{word}-x")
            } else {
                word.to_owned()
            });
        }
        let indent = if at > 0 { "    " } else { "" };
        format!("{indent}{}\n", list.join(" "))
    };
    thing.lines().enumerate().map(line).collect()
}
