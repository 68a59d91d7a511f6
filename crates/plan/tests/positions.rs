//! Selectors, links and relays: each position is computed by itself, and whatever is found in one
//! names it.

#![allow(
    clippy::expect_used,
    reason = "a fixture that lacks its part has failed"
)]

use ampwright_plan::{Code, Plan, study::wired::Wired};

/// Two batteries on one negative bar, and a panel with a lamp of 5 A and a pump of 7 A; how the
/// batteries reach the panel is each test's own.
const BOAT: &str = "\
boat curlew
    system 12 V
battery house agm 100 Ah
battery engine flooded 80 Ah
fuse house-fuse bolt-down 60 A
fuse engine-fuse bolt-down 60 A
panel cabin 100 A
    way 1 fuse 10 A
    way 2 fuse 10 A
    returns neg
busbar neg negative 250 A
    posts 12
load lamp lighting 5 A
load pump pump 7 A
run house-negative
    neg
    16 mm2 black 1 m
    house -
run engine-negative
    neg
    16 mm2 black 1 m
    engine -
run lamp
    cabin way 1
    2.5 mm2 red 2 m
    lamp
    back black
run pump
    cabin way 2
    2.5 mm2 red 2 m
    pump
    back black
";

fn plan(rest: &str) -> Plan {
    Plan::of_text(&format!("{BOAT}{rest}"))
}

/// Both batteries through a selector; the engine's lead behind its fuse has the size given.
fn selected(size: &str, positions: &str) -> String {
    format!(
        "\
selector choice 250 A
    positions {positions}
run house-lead
    house +
    16 mm2 red 0.15 m
    house-fuse
    16 mm2 red 1 m
    choice 1
run engine-lead
    engine +
    16 mm2 red 0.15 m
    engine-fuse
    {size} red 1 m
    choice 2
run common
    choice common
    16 mm2 red 1 m
    cabin
"
    )
}

/// The house through its isolator, the engine's battery through a normally-open link.
const LINKED: &str = "\
isolator main 250 A
isolator link 250 A normally-open
busbar pos positive 250 A
    posts 6
run house-lead
    house +
    16 mm2 red 0.15 m
    house-fuse
    16 mm2 red 1 m
    main
    16 mm2 red 1 m
    pos
run engine-lead
    engine +
    16 mm2 red 0.15 m
    engine-fuse
    0.75 mm2 red 6 m
    link
    16 mm2 red 1 m
    pos
run feed
    pos
    16 mm2 red 1 m
    cabin
";

fn moments(plan: &Plan) -> Vec<String> {
    let moments = 0..plan.study.rule.moments.len();
    moments.map(|index| plan.moment_name(index)).collect()
}

/// The current of a conductor, told by its mark, in a moment, A.
fn amps(plan: &Plan, moment: &str, mark: &str) -> f64 {
    let names = moments(plan);
    let at = names.iter().position(|name| name == moment);
    let at = at.unwrap_or_else(|| panic!("no {moment} in {names:?}"));
    plan.study.rule.moments[at].amps[edge(plan, mark)].abs()
}

fn edge(plan: &Plan, mark: &str) -> usize {
    plan.wiring.conductors[conductor(plan, mark)].edge.index()
}

fn conductor(plan: &Plan, mark: &str) -> usize {
    let conductors = &plan.wiring.conductors;
    let found = conductors.iter().position(|wired| &*wired.mark == mark);
    found.expect("the mark")
}

fn messages(plan: &Plan, code: Code) -> Vec<&str> {
    let findings = plan.findings.iter();
    findings
        .filter(|finding| finding.code == code)
        .map(|finding| finding.message.as_str())
        .collect()
}

#[track_caller]
fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-6, "{a} is not {b}");
}

#[test]
fn every_position_is_a_moment_and_positions_are_not_multiplied() {
    let two = selected("16 mm2", "off 1 2 both")
        + "selector spare-choice 60 A\n    positions 1 2 3\n    spare\n";
    assert_eq!(
        moments(&plan(&two)),
        [
            "everything",
            "everything, choice on 2",
            "everything, choice on both",
            "everything, choice on both, fed by house only",
            "everything, choice on both, fed by engine only",
            "everything, spare-choice on 2",
            "everything, spare-choice on 3",
        ]
    );
}

/// Lamp and pump take 12 A: all of it from the battery that the selector stands on, and with both
/// the half of 12 A by each of two ways of equal resistance.
#[test]
fn each_position_feeds_by_its_own_lead() {
    let plan = plan(&selected("16 mm2", "1 2 both"));
    for (moment, house, engine) in [
        ("everything", 12.0, 0.0),
        ("everything, choice on 2", 0.0, 12.0),
        ("everything, choice on both", 6.0, 6.0),
        ("everything, choice on both, fed by engine only", 0.0, 12.0),
    ] {
        near(amps(&plan, moment, "house-lead+2"), house);
        near(amps(&plan, moment, "engine-lead+2"), engine);
    }
}

#[test]
fn the_first_position_that_is_not_off_is_at_rest() {
    let plan = plan(&selected("16 mm2", "off 2 1"));
    near(amps(&plan, "everything", "engine-lead+2"), 12.0);
    near(amps(&plan, "everything, choice on 1", "house-lead+2"), 12.0);
}

/// 0.75 mm² of 70 °C insulation may carry less than 12 A (33 CFR 183.425 Table 5: 18 AWG, 10 A).
#[test]
fn what_is_found_at_a_position_names_it() {
    let plan = plan(&selected("0.75 mm2", "off 1 2 both"));
    let found = messages(&plan, Code::UndersizedConductor);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(
        found[0].contains("carries 12 A in everything, choice on 2"),
        "{found:?}"
    );
}

#[test]
fn a_load_alone_names_the_position_too() {
    let text = BOAT.replace("pump 7 A", "pump 20 A") + &selected("0.75 mm2", "1 2");
    let plan = Plan::of_text(&text.replace("way 2 fuse 10 A", "way 2 fuse 20 A"));
    let lead = &plan.study.cables[conductor(&plan, "engine-lead+2")];
    near(lead.design.certain, 20.0);
    let alone = plan.study.rule.most(
        &plan.study.rule.alone,
        petgraph::graph::EdgeIndex::new(edge(&plan, "engine-lead+2")),
    );
    let (amps, draw, stand) = alone.expect("a load");
    near(amps, 20.0);
    assert_eq!(plan.alone_name(draw, stand), "pump alone, choice on 2");
    // The house's lead carries it at rest, where there is nothing to name.
    let at = petgraph::graph::EdgeIndex::new(edge(&plan, "house-lead+2"));
    let (_, draw, stand) = plan
        .study
        .rule
        .most(&plan.study.rule.alone, at)
        .expect("a load");
    assert_eq!(plan.alone_name(draw, stand), "pump alone");
}

/// The lead of the link is thin: what it carries with the link closed, and with the house's bank
/// taken away besides, is found and named.
#[test]
fn an_emergency_link_is_named() {
    let plan = plan(LINKED);
    assert_eq!(
        moments(&plan),
        [
            "everything",
            "everything, link closed",
            "everything, link closed, fed by house only",
            "everything, link closed, fed by engine only",
        ]
    );
    near(amps(&plan, "everything", "engine-lead+2"), 0.0);
    let found = messages(&plan, Code::UndersizedConductor);
    assert!(
        found
            .iter()
            .any(|message| message.contains("in everything, link closed, fed by engine only")),
        "{found:?}"
    );
}

/// 40 links are more than are tried one by one; together they still bring the engine's battery in.
#[test]
fn very_many_links_are_closed_together() {
    use std::fmt::Write as _;
    let mut rest = LINKED.to_owned();
    for link in 0..40 {
        let _ = writeln!(rest, "isolator spare-link-{link} 10 A normally-open spare");
    }
    let text = format!("{BOAT}{rest}");
    // The link that matters comes last.
    let text = text.replace("isolator link 250 A normally-open\n", "")
        + "isolator link 250 A normally-open\n";
    let plan = Plan::of_text(&text);
    let names = moments(&plan);
    let all = "everything, every link and relay closed";
    assert!(names.iter().any(|name| name == all), "{names:?}");
    assert!(amps(&plan, all, "engine-lead+2") > 0.1);
}

/// A charger of 20 A on the selector's common charges whichever battery the selector stands on.
#[test]
fn a_source_charges_at_every_position() {
    let rest = selected("16 mm2", "1 2")
        + "charger mains 20 A\nfuse mains-fuse blade 25 A\nrun mains\n    mains +\n    6 mm2 red 1 m\n    mains-fuse\n    6 mm2 red 0.2 m\n    cabin\nrun mains-negative\n    mains -\n    6 mm2 black 1 m\n    neg\n";
    let plan = plan(&rest);
    let rule = &plan.study.rule;
    for (mark, name) in [
        ("house-lead+2", "charging from mains"),
        ("engine-lead+2", "charging from mains, choice on 2"),
    ] {
        let at = petgraph::graph::EdgeIndex::new(edge(&plan, mark));
        let (amps, supply, stand) = rule.most(&rule.charging, at).expect("a source");
        near(amps, 20.0);
        let by = ampwright_plan::study::cables::DesignBy::Charging(supply, stand);
        let named = plan.asked_by(by);
        assert_eq!(named.replace(" out 1", ""), name);
    }
}

/// An alternator on the engine's side, a charging relay to the house, another one from there to a
/// third battery that a solar controller could charge.
const RELAYED: &str = "\
isolator main 250 A
relay combiner 100 A closes 13.3 V
relay forward 100 A closes 13.3 V
battery bow agm 60 Ah
alternator alt 40 A
charger shore 10 A
run house-lead
    house +
    16 mm2 red 0.15 m
    house-fuse
    16 mm2 red 1 m
    main
    16 mm2 red 1 m
    cabin
run between
    engine +
    16 mm2 red 0.15 m
    engine-fuse
    16 mm2 red 1 m
    combiner
    16 mm2 red 1 m
    cabin
run alternator
    alt +
    16 mm2 red 0.5 m
    engine +
run alternator-negative
    alt -
    16 mm2 black 0.5 m
    engine -
fuse bow-fuse bolt-down 60 A
busbar far positive 100 A
    posts 6
busbar far-negative negative 100 A
    posts 6
battery stern agm 60 Ah
run far
    bow +
    16 mm2 red 0.15 m
    bow-fuse
    16 mm2 red 1 m
    forward
    16 mm2 red 1 m
    far
run far-feed
    far
    16 mm2 red 0.15 m
    stern +
run bow-negative
    bow -
    16 mm2 black 1 m
    far-negative
run stern-negative
    stern -
    16 mm2 black 1 m
    far-negative
run shore
    shore +
    4 mm2 red 0.5 m
    far
run shore-negative
    shore -
    4 mm2 black 0.5 m
    far-negative
";

fn closed(plan: &Plan, case: &str, part: &str) -> bool {
    let names = moments(plan);
    let at = names.iter().position(|name| name == case).expect("a case");
    let part = plan.model.part(part);
    let contact = plan
        .wiring
        .contacts
        .iter()
        .position(|contact| Some(contact.part) == part);
    plan.study.rule.moments[at].moment.closed[contact.expect("a contact")]
}

#[test]
fn a_relay_closes_when_a_source_is_on_at_either_side_and_only_then() {
    let cases = "\
case under-way
    on alt
case alongside
    on shore
case locked
    on alt
    open combiner
case at-anchor
    on lamp
";
    let plan = plan(&format!("{RELAYED}{cases}"));
    for (case, combiner, forward) in [
        ("under-way", true, false),
        ("alongside", false, true),
        ("locked", false, false),
        ("at-anchor", false, false),
        ("everything", false, false),
    ] {
        assert_eq!(
            (
                closed(&plan, case, "combiner"),
                closed(&plan, case, "forward")
            ),
            (combiner, forward),
            "{case}"
        );
    }
}

/// A horn and a deck light, each behind its own relay; and a relay that its coil opens.
const SWITCHED: &str = "\
isolator main 250 A
relay horn-relay 30 A coil 0.2 A
relay deck-relay 30 A coil 0.2 A
relay cut-out 30 A coil 0.15 A normally-closed
panel aft 60 A
    way 1 fuse 20 A
    way 2 fuse 20 A
    way 3 fuse 20 A
    way 4 fuse 5 A
    way 5 fuse 5 A
    way 6 fuse 5 A
    returns neg
load horn other 8 A
load deck lighting 9 A
load heat heater 6 A
run house-lead
    house +
    16 mm2 red 0.15 m
    house-fuse
    16 mm2 red 1 m
    main
    16 mm2 red 1 m
    cabin
run aft
    cabin
    16 mm2 red 2 m
    aft
run horn
    aft way 1
    4 mm2 red 1 m
    horn-relay
    4 mm2 red 1 m
    horn
    back black
run deck
    aft way 2
    4 mm2 red 1 m
    deck-relay
    4 mm2 red 1 m
    deck
    back black
run heat
    aft way 3
    4 mm2 red 1 m
    cut-out
    4 mm2 red 1 m
    heat
    back black
run horn-coil
    aft way 4
    1 mm2 red 1 m
    horn-relay coil +
run horn-coil-negative
    horn-relay coil -
    1 mm2 black 1 m
    neg
run deck-coil
    aft way 5
    1 mm2 red 1 m
    deck-relay coil +
run deck-coil-negative
    deck-relay coil -
    1 mm2 black 1 m
    neg
run cut-out-coil
    aft way 6
    1 mm2 red 1 m
    cut-out coil +
run cut-out-coil-negative
    cut-out coil -
    1 mm2 black 1 m
    neg
";

/// 5 + 7 + 8 + 9 + 6 A of loads and 0.2 + 0.2 + 0.15 A of coils: two loads behind two relays run
/// together in `everything`, or their common feeder would be too thin in silence.
#[test]
fn loads_behind_relays_run_together_in_everything() {
    let plan = plan(SWITCHED);
    near(amps(&plan, "everything", "house-lead+2"), 35.55);
    assert!(closed(&plan, "everything", "horn-relay"));
}

#[test]
fn a_case_works_the_relays_and_their_coils() {
    let cases = "\
case sounding
    on horn
case by-its-coil
    on deck-relay
    on deck
case cut
    on cut-out
    on heat
case closed-by-hand
    close horn-relay
case quiet
    on lamp
";
    let plan = plan(&format!("{SWITCHED}{cases}"));
    // A load that is on closes its relay, and the coil draws: 8 + 0.2 A.
    near(amps(&plan, "sounding", "house-lead+2"), 8.2);
    near(amps(&plan, "by-its-coil", "house-lead+2"), 9.2);
    // Under current the coil of a normally-closed relay opens it: the heater is off, 0.15 A.
    assert!(!closed(&plan, "cut", "cut-out"));
    near(amps(&plan, "cut", "house-lead+2"), 0.15);
    near(amps(&plan, "closed-by-hand", "house-lead+2"), 0.2);
    near(amps(&plan, "quiet", "house-lead+2"), 5.0);
    assert!(messages(&plan, Code::UnknownTerminal).is_empty());
}

#[test]
fn a_case_turns_a_selector() {
    let cases = "\
case away
    set choice off
    on lamp
case on-engine
    set choice 2
    on lamp
case on-both
    set choice both
    on lamp
case slip
    set choice 3
    on lamp
";
    let plan = plan(&format!("{}{cases}", selected("16 mm2", "off 1 2 both")));
    near(amps(&plan, "away", "common+1"), 0.0);
    near(amps(&plan, "on-engine", "engine-lead+2"), 5.0);
    near(amps(&plan, "on-both", "engine-lead+2"), 2.5);
    near(amps(&plan, "slip", "house-lead+2"), 5.0);
    let found = messages(&plan, Code::UnknownTerminal);
    assert_eq!(
        found,
        ["choice has no such position: it has off, 1, 2, both."]
    );
}

/// A way with its own switch: 0.2 mohm more (common practice, no source) in the way's own contact,
/// and something that somebody can open.
#[test]
fn a_switched_panel_has_a_switch_in_each_way() {
    let text = format!("{BOAT}{LINKED}");
    let plain = Plan::of_text(&text);
    let switched = Plan::of_text(&text.replace("panel cabin 100 A", "panel cabin 100 A switched"));
    let way = |plan: &Plan| {
        let part = plan.model.part("cabin");
        let mut contacts = plan.wiring.contacts.iter();
        *contacts
            .find(|contact| Some(contact.part) == part)
            .expect("a way")
    };
    assert!(!way(&plain).can_open() && way(&switched).can_open());
    let lost = |plan: &Plan| {
        let wired: Wired = plan.as_wired(0).expect("everything");
        let contact = way(plan);
        let at = contact.edge.index();
        (wired.volts[contact.feed.index()] - wired.volts[contact.out.index()]) / wired.amps[at]
    };
    near(lost(&switched) - lost(&plain), 0.0002);
}

/// Both poles of a breaker carry the whole current, and neither is a device in a return.
#[test]
fn a_two_pole_breaker_breaks_both() {
    let rest = LINKED.to_owned()
        + "breaker both-poles 10 A two-pole\nload fridge refrigerator 4 A\nrun fridge\n    cabin way 2\n    twin 2.5 mm2 1 m\n    both-poles\n    twin 2.5 mm2 1 m\n    fridge\n    back\n";
    let plan = plan(&rest);
    let part = plan.model.part("both-poles");
    let poles: Vec<f64> = plan
        .wiring
        .contacts
        .iter()
        .filter(|contact| Some(contact.part) == part)
        .map(|contact| plan.study.rule.moments[0].amps[contact.edge.index()].abs())
        .collect();
    assert_eq!(poles, [4.0, 4.0]);
    assert!(messages(&plan, Code::DeviceInReturn).is_empty());
}

/// A windlass runs on top of everything, behind its own relay: alone its relay is closed, and there
/// is nothing to name.
#[test]
fn a_load_s_own_relay_is_not_named() {
    let text = format!("{BOAT}{SWITCHED}")
        .replace("load horn other 8 A", "load horn other 8 A short-time 60 s");
    let plan = Plan::of_text(&text);
    let at = petgraph::graph::EdgeIndex::new(edge(&plan, "horn+2"));
    let alone = plan.study.rule.most(&plan.study.rule.alone, at);
    let (amps, draw, stand) = alone.expect("a load");
    near(amps, 8.0);
    assert_eq!(plan.alone_name(draw, stand), "horn alone");
    let solved = plan.alone(draw, stand).expect("a moment");
    near(solved.amps[at.index()].abs(), 8.0);
}
