//! Short circuits: figures worked by hand, unsafe boats and sound ones.

#![allow(clippy::expect_used, reason = "a boat that cannot be asked has failed")]

use ampwright_electrics::network::{Branch, Solver};
use ampwright_plan::{Plan, Severity, study::faults::AtConductor};

/// A battery of 5 mohm whose data sheet says so, a fuse, and a lamp at the end of 10 m.
const BOAT: &str = "\
boat test system 12 V ambient 30 C
cable drum copper insulation 70 C
battery house agm 100 Ah resistance 5 mohm
fuse main bolt-down 10 A breaks 10 kA
isolator cut 100 A
load lamp lighting 12 W
run lamp
    house +
    2.5 mm2 drum red 1 m
    main
    2.5 mm2 drum red 4 m
    cut
    2.5 mm2 drum red 6 m
    lamp
    back black to house -
";

fn near(computed: f64, sheet: f64) {
    assert!(
        (computed - sheet).abs() < 1e-9 * sheet.abs().max(1.0),
        "{computed} is not {sheet}"
    );
}

fn conductor<'p>(plan: &'p Plan, mark: &str) -> &'p AtConductor {
    let mut all = plan.wiring.conductors.iter().zip(0..);
    let (_, index) = all.find(|(one, _)| &*one.mark == mark).expect("a mark");
    plan.study.faults.conductor(index).expect("live")
}

fn codes(text: &str) -> Vec<String> {
    let plan = Plan::of_text(text);
    let said = |one: &ampwright_plan::Finding| {
        let words = plan.sources.words(one.site);
        format!("{} {} on {words}", one.severity.word(), one.code.word())
    };
    plan.findings.iter().map(said).collect()
}

/// Class 5, plain, 2.5 mm2: 7.98 ohm/km at 20 C [IEC 60228, S2], at 70 C times 1 + 0.00393 x 50 =
/// 1.1965. Common practice, no source: a crimp 0.1 mohm, an isolator 0.2 mohm, a fuse 0.1 V at its
/// rating, 10 mohm. Half charged an AGM rests at 12.3 V [S2].
#[test]
fn the_smallest_worked_by_hand() {
    let plan = Plan::of_text(BOAT);
    let hot = |metres: f64| metres * 0.007_98 * 1.1965 + 0.0002;
    let out = hot(1.0) + 0.01 + hot(4.0) + 0.0002 + hot(6.0);
    // `back` makes one conductor of 11 m.
    let least = conductor(&plan, "lamp+3").smallest.expect("a source");
    near(least.out_ohms, out);
    near(least.home_ohms, hot(11.0));
    near(least.amps, 12.3 / (0.005 + out + hot(11.0)));
    assert_eq!(format!("{:.1}", least.amps), "54.4");
    // In the middle of the run the whole of the one return still counts.
    let middle = conductor(&plan, "lamp+2").smallest.expect("a source");
    near(middle.home_ohms, hot(11.0));
}

/// Full, an AGM rests at 13.0 V [S2]; 1 m of cold copper, and within 2 m of the post no way home.
/// With a data sheet's 1 kA it is 13 mohm inside.
#[test]
fn the_largest_worked_by_hand() {
    let largest = |text: &str| {
        let plan = Plan::of_text(text);
        let at = plan
            .wiring
            .contacts
            .iter()
            .position(|one| one.protects.is_some());
        plan.study
            .faults
            .device(at.expect("a fuse") as u32)
            .expect("live")
            .largest
            .amps
    };
    near(largest(BOAT), 13.0 / (0.005 + 0.007_98));
    near(
        largest(&BOAT.replace("resistance 5 mohm", "short-circuit 1 kA")),
        13.0 / (0.013 + 0.007_98),
    );
    // 3 m away its own return counts, from the first point that is no farther from the battery:
    // the whole of it is farther, so none does; on a steel hull none does at any distance.
    let far = BOAT.replace("red 1 m", "red 3 m");
    near(largest(&far), 13.0 / (0.005 + 3.0 * 0.007_98));
    near(
        largest(&far.replace("12 V ambient", "12 V hull steel ambient")),
        13.0 / (0.005 + 3.0 * 0.007_98),
    );
    // A charger of 30 A adds its 30 A.
    let charged = format!(
        "{BOAT}charger shore 30 A\nrun shore\n    shore +\n    2.5 mm2 drum red 1 m\n    cut out\nrun home\n    shore -\n    2.5 mm2 drum black 1 m\n    house -\n"
    );
    near(largest(&charged), 13.0 / (0.005 + 0.007_98) + 30.0);
}

/// At a panel 5 m away the fault comes home from the bar that the panel returns to.
#[test]
fn at_a_panel_the_bar_s_return_counts() {
    let plan = Plan::of_text(
        "boat test system 12 V ambient 30 C\ncable drum copper\nbattery house agm 100 Ah resistance 5 mohm\nfuse main class-t 60 A\npanel board\n    way 1 fuse 5 A\n    returns minus\nbusbar minus negative posts 4\nload lamp lighting 12 W\nrun feed\n    house +\n    10 mm2 drum 0.1 m\n    main\n    10 mm2 drum 4.9 m\n    board\nrun home\n    minus\n    10 mm2 drum 6 m\n    house -\nrun lamp\n    board way 1\n    1.5 mm2 drum 2 m\n    lamp\n    back\n",
    );
    let way = plan
        .wiring
        .contacts
        .iter()
        .position(|one| one.protects == Some(5.0));
    let at = plan
        .study
        .faults
        .device(way.expect("a way") as u32)
        .expect("live");
    near(at.largest.amps, 13.0 / (0.005 + 11.0 * 0.001_91));
    assert!(at.upstream.is_some());
}

/// Two batteries, a ring of three bars, a return: each end's smallest against a network in which
/// one battery alone is joined, fault by fault.
#[test]
fn one_source_alone_is_what_a_network_of_its_own_says() {
    let text = "boat test system 12 V\nbattery a agm 100 Ah\nbattery b flooded 60 Ah\nfuse fa class-t 60 A\nfuse fb class-t 60 A\nbusbar one positive posts 9\nbusbar two positive posts 9\nbusbar three positive posts 9\nbusbar minus negative posts 9\nload lamp lighting 5 A\nload fan other 3 A\nrun ra\n    a +\n    10 mm2 1 m\n    fa\n    10 mm2 2 m\n    one\nrun rb\n    b +\n    10 mm2 1.5 m\n    fb\n    10 mm2 3 m\n    two\nrun ring\n    one\n    10 mm2 1 m\n    two\n    10 mm2 2 m\n    three\n    10 mm2 4 m\n    one\nrun lamp\n    three\n    4 mm2 5 m\n    lamp\n    4 mm2 5 m\n    minus\nrun fan\n    two\n    4 mm2 3 m\n    fan\n    4 mm2 3 m\n    minus\nrun ha\n    minus\n    10 mm2 2 m\n    a -\nrun hb\n    minus\n    10 mm2 3 m\n    b -\n";
    let plan = Plan::of_text(text);
    // 10 mm2 and 4 mm2, tinned class 5, at 70 C, with a crimp at each end; fuses 0.1 V at 60 A.
    let ten = |metres: f64| metres * 0.001_95 * 1.1965 + 0.0002;
    let four = |metres: f64| metres * 0.005_09 * 1.1965 + 0.0002;
    let fuse = 0.1 / 60.0;
    // Nodes: 0 a-, 1 a+, 2 b-, 3 b+, 4 one, 5 two, 6 three, 7 minus, 8 lamp+, 9 lamp-.
    let wires = [
        (1, 4, ten(1.0) + fuse + ten(2.0)),
        (3, 5, ten(1.5) + fuse + ten(3.0)),
        (4, 5, ten(1.0)),
        (5, 6, ten(2.0)),
        (6, 4, ten(4.0)),
        (6, 8, four(5.0)),
        (9, 7, four(5.0)),
        (7, 0, ten(2.0)),
        (7, 2, ten(3.0)),
    ];
    let alone = |minus: u32, plus: u32, ohms: f64, emf: f64| {
        let wire = |&(from, to, ohms): &(u32, u32, f64)| Branch {
            from,
            to,
            ohms,
            emf: 0.0,
        };
        let mut branches: Vec<Branch> = wires.iter().map(wire).collect();
        branches.push(Branch {
            from: minus,
            to: plus,
            ohms,
            emf,
        });
        branches.push(Branch {
            from: 8,
            to: 9,
            ohms: 0.0,
            emf: 0.0,
        });
        let amps = Solver::new(10, &branches).solve(&[]).amps;
        amps.last().copied().unwrap_or(0.0)
    };
    let sheet = alone(0, 1, 0.004, 12.3).min(alone(2, 3, 0.01, 12.2));
    let least = conductor(&plan, "lamp+1").smallest.expect("a source");
    assert!(
        (least.amps / sheet - 1.0).abs() < 1e-9,
        "{} {sheet}",
        least.amps
    );
}

#[test]
fn what_cannot_stop_its_fault_is_told() {
    // 400 Ah of lithium are taken as 0.75 mohm (from memory). 1 m of 2.5 mm2 before the fuse leaves
    // 13.6 / 8.73 mohm = 1.56 kA, over a blade's 1 kA but within what memory can be out.
    let lithium = BOAT.replace("agm 100 Ah resistance 5 mohm", "lithium 400 Ah");
    let blade = lithium.replace("bolt-down 10 A breaks 10 kA", "blade 10 A");
    assert!(codes(&blade).contains(&"advice breaking-capacity on main".to_owned()));
    // 0.15 m of 35 mm2 leave 16 kA.
    let thick = blade.replace("2.5 mm2 drum red 1 m", "35 mm2 drum red 0.15 m");
    let thick = thick.replace(
        "back black to house -",
        "2.5 mm2 drum black 11 m\n    house -",
    );
    assert!(
        codes(&thick).contains(&"error breaking-capacity on main".to_owned()),
        "{:?}",
        codes(&thick)
    );
    // A 32 V fuse in a boat of 48 V, charged at 57.6 V.
    let high = BOAT
        .replace("system 12 V", "system 48 V")
        .replace("breaks 10 kA", "breaks 10 kA volts 32 V");
    assert!(codes(&high).contains(&"error breaking-capacity on main".to_owned()));
    let made = high.replace("volts 32 V", "volts 70 V");
    assert!(
        !codes(&made)
            .iter()
            .any(|one| one.contains("breaking-capacity"))
    );
}

/// At 105 C the loop takes 51 A: a tube of 35 A may carry 1.35 times its rating for an hour [UL
/// 248-14, S2], and 2.5 mm2 of 35 A do not bear half as much again for so long.
#[test]
fn a_long_thin_tail_behind_a_large_device_is_told() {
    let hot = BOAT.replace("insulation 70 C", "insulation 105 C");
    let tail = hot.replace("bolt-down 10 A", "cartridge 35 A");
    let found = codes(&tail);
    let told = "warning fault-not-cleared on 2.5 mm2 drum red 4 m";
    assert!(found.contains(&told.to_owned()), "{found:?}");
    let fast = codes(&hot.replace("bolt-down 10 A", "cartridge 10 A"));
    assert!(!fast.iter().any(|one| one.contains("fault-not-cleared")));
    assert!(!fast.iter().any(|one| one.contains("conductor-withstand")));
}

#[test]
fn what_sparks_where_petrol_gathers_is_told() {
    let place = |more: &str| {
        format!(
            "place bilge petrol-vapour{more}\n{}",
            BOAT.replace("isolator cut 100 A", "isolator cut 100 A in bilge")
        )
    };
    let told = |text: &str| codes(text).contains(&"error ignition-protection on cut".to_owned());
    assert!(told(&place("")));
    assert!(!told(&place(" open-air")));
    assert!(!told(
        &place("").replace("in bilge", "in bilge ignition-protected")
    ));
}

#[test]
fn nothing_is_said_of_a_sound_boat() {
    let plan = Plan::of_text(BOAT);
    let heavy = plan
        .findings
        .iter()
        .filter(|one| one.severity > Severity::Advice);
    let heavy: Vec<_> = heavy.map(|one| (one.code.word(), &one.message)).collect();
    assert_eq!(heavy.len(), 1, "{heavy:?}"); // 1 m before the fuse is too long, and that is all
}
