//! The as-wired answer of whole plans: against sums done by hand, Kirchhoff's laws and the balance
//! of energy.

#![allow(clippy::unwrap_used, reason = "a test that cannot begin has failed")]

mod support;

use ampwright_electrics::network::{Branch, Solver};
use ampwright_plan::{
    Plan,
    study::wired::{Surge, Top, Wired},
    wiring::{Link, SupplyKind},
};
use petgraph::visit::EdgeRef;
use support::BASE;

fn close(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-6, "{found} {expected}");
}

/// A battery, a fuse and one load. Every figure is stated, so that the sum needs no default but
/// those of crimps and the fuse.
///
/// One conductor of 2.5 mm², tinned, class 5, at 20 °C: 8.21 ohm/km (IEC 60228 [S2]), 5 m:
/// 0.04105 ohm, and a crimp of 0.1 mohm at each end (common practice, no source). The fuse drops
/// 0.1 V at its 20 A (common practice, no source): 0.005 ohm. The battery: 12.3 V half charged
/// (AGM [S2]), its 4 mohm as stated.
fn alone(load: &str) -> String {
    format!(
        "\
boat b
    system 12 V
    ambient 20 C
    cable flex
cable flex tinned
    insulation 105 C
battery house agm 100 Ah
    resistance 4 mohm
fuse main blade 20 A
load far {load}
run far
    house +
    2.5 mm2 0.1 m
    main
    2.5 mm2 4.9 m
    far
    2.5 mm2 5 m
    house -
"
    )
}

fn lowest(plan: &Plan, name: &str) -> f64 {
    let part = plan.model.part(name).unwrap();
    let draw = plan.study.base.draw_of[&part];
    plan.study.wired.lowest[draw as usize].unwrap().volts
}

/// Ohms there and back of [`alone`] at the warmth that `amps` give: 10 m at 8.21 ohm/km, six
/// crimps, the fuse and the battery.
fn ohms(amps: f64) -> f64 {
    // 33 CFR 183.425 Table 5 [S2]: 2.5 mm² takes the row of 14 AWG (2.08 mm²), 35 A at 105 °C.
    let degrees = 20.0 + 75.0 * (amps / 35.0f64).powi(2);
    let copper = 0.0821 * (1.0 + 0.00393 * (degrees - 20.0));
    copper + 6.0 * 0.0001 + 0.005 + 0.004
}

#[test]
fn each_load_follows_its_own_law() {
    // 8 A: 20 + 75 x (8 / 35)² = 23.92 °C, 0.092964 ohm; 12.3 - 8 x 0.092964 = 11.5563 V.
    close(
        lowest(&Plan::of_text(&alone("pump 8 A")), "far"),
        12.3 - 8.0 * ohms(8.0),
    );
    close(12.3 - 8.0 * ohms(8.0), 11.556_286);
    // 96 W: V² - 12.3 V + 96 R = 0, its upper root, the warmth that of its own current.
    let (mut volts, mut r) = (12.0f64, 0.0);
    for _ in 0..50 {
        r = ohms(96.0 / volts);
        volts = f64::midpoint(12.3, (12.3f64 * 12.3 - 4.0 * r * 96.0).sqrt());
    }
    assert!(r > 0.0925);
    let found = lowest(&Plan::of_text(&alone("pump 96 W")), "far");
    assert!((found - volts).abs() < 1e-4, "{found} {volts}");
    // 1.5 ohm: a divider.
    let mut amps = 8.0;
    for _ in 0..50 {
        amps = 12.3 / (1.5 + ohms(amps));
    }
    let found = lowest(&Plan::of_text(&alone("pump 1.5 ohm")), "far");
    assert!((found - 1.5 * amps).abs() < 1e-4, "{found}");
}

#[test]
fn what_the_cable_can_never_deliver_is_known() {
    // 12.3² / (4 R) with R = 0.0917 ohm cold is 412 W; cables in which 32 A flow are warmer.
    let plan = Plan::of_text(&alone("motor 450 W"));
    let alone = plan.study.wired.alone[0].unwrap();
    assert_eq!(alone.volts, None);
    assert!(alone.seen.most_watts() < 420.0, "{:?}", alone.seen);
    let everything = plan.study.wired.moments.last().unwrap();
    assert_eq!(everything.undeliverable, [0]);
}

/// What is kept of a moment is what the whole answer of that moment says, and a load alone gets
/// what the network settled for it alone gives.
#[test]
fn what_is_kept_is_what_is_computed_on_demand() {
    for plan in plans() {
        let wired = &plan.study.wired;
        for (index, answer) in wired.moments.iter().enumerate() {
            let whole = plan.as_wired(index).unwrap();
            for at in &answer.draws {
                let (_, volts, amps) = whole
                    .draws
                    .iter()
                    .find(|(draw, ..)| *draw == at.draw)
                    .unwrap();
                close(at.volts, *volts);
                close(at.amps, *amps);
            }
        }
        for (draw, alone) in wired.alone.iter().enumerate() {
            let Some(volts) = alone.and_then(|alone| alone.volts) else {
                continue;
            };
            let whole = plan.as_wired_alone(draw as u32).unwrap();
            if whole.draws[0].1 > 0.0 && plan.wiring.selectors.is_empty() {
                close(volts, whole.draws[0].1);
            }
        }
    }
}

fn plans() -> Vec<Plan> {
    let two = "\
boat b
    system 12 V
battery house-1 agm 100 Ah
battery house-2 flooded 60 Ah
isolator cut 200 A
isolator link 100 A normally-open
battery engine flooded 70 Ah
load lamp lighting 30 W
load heater heater 1.2 ohm
load pump pump 6 A
load windlass motor 40 A
    short-time 60 s
charger shore 20 A
busbar plus positive studs 9
busbar minus negative studs 9
run one
    house-1 +
    25 mm2 0.3 m
    house-2 +
    25 mm2 1 m
    cut
    16 mm2 2 m
    plus
run two
    house-1 -
    25 mm2 0.3 m
    house-2 -
    16 mm2 2 m
    minus
run three
    engine +
    25 mm2 1 m
    link
    25 mm2 1 m
    plus
run four
    engine -
    25 mm2 1 m
    minus
run ring
    plus
    4 mm2 3 m
    lamp +
    4 mm2 3 m
    heater +
    4 mm2 3 m
    plus
run lamp-home
    lamp -
    4 mm2 3 m
    minus
run heater-home
    heater -
    4 mm2 3 m
    minus
run pump
    plus
    2.5 mm2 5 m
    pump
    2.5 mm2 5 m
    minus
run windlass
    plus
    16 mm2 9 m
    windlass
    16 mm2 9 m
    minus
run shore
    shore +
    6 mm2 1 m
    plus
run shore-home
    shore -
    6 mm2 1 m
    minus
case some
    on lamp
    on pump
case plugged
    on shore
    on heater
";
    [two, &alone("pump 96 W"), &alone("heater 1.5 ohm")]
        .map(Plan::of_text)
        .into()
}

/// At every node what comes in goes out, and what the sources give is what resistances, loads and
/// batteries take: to 1e-9.
#[test]
fn kirchhoff_and_the_balance_of_energy_hold() {
    for plan in plans() {
        for index in 0..plan.study.rule.moments.len() {
            let wired = plan.as_wired(index).unwrap();
            assert!(wired.settled, "{}", plan.moment_name(index));
            balance(&plan, index, &wired);
        }
    }
}

fn balance(plan: &Plan, index: usize, wired: &Wired) {
    let graph = &plan.wiring.graph;
    let mut left = vec![0.0; graph.node_count()];
    let mut power = 0.0;
    for edge in graph.edge_references() {
        let amps = wired.amps[edge.id().index()];
        left[edge.source().index()] -= amps;
        left[edge.target().index()] += amps;
        let (from, to) = (edge.source().index(), edge.target().index());
        power += amps * (wired.volts[from] - wired.volts[to]);
        if let Link::Conductor(conductor) = *edge.weight() {
            let drop = wired.volts[from] - wired.volts[to];
            let ohms = plan.conductor_ohms(conductor).unwrap();
            assert!((drop - amps * ohms).abs() < 1e-9, "Ohm's law");
        }
    }
    for &(draw, volts, amps) in &wired.draws {
        let ends = &plan.wiring.draws[draw as usize];
        left[ends.plus.index()] -= amps;
        left[ends.minus.index()] += amps;
        power += volts * amps;
    }
    // What is left over is what the charging source gives, out of its + and into its -.
    let mut given = 0.0;
    for &(supply, _) in &plan.study.rule.moments[index].moment.charging {
        let supply = &plan.wiring.supplies[supply as usize];
        assert_ne!(supply.kind, SupplyKind::Battery);
        let amps = -left[supply.plus.index()];
        given += amps;
        left[supply.plus.index()] += amps;
        left[supply.minus.index()] -= amps;
        power -= amps * (wired.volts[supply.plus.index()] - wired.volts[supply.minus.index()]);
    }
    assert!(given >= 0.0);
    for node in graph.node_indices() {
        let over = left[node.index()];
        assert!(over.abs() < 1e-9, "{over} A in {}", plan.moment_name(index));
    }
    assert!(
        power.abs() < 1e-9,
        "{power} W in {}",
        plan.moment_name(index)
    );
}

/// 40 A on top of the 30 W and the 6 A and the heater: settled together with them, so lower than
/// the windlass alone.
#[test]
fn a_short_time_load_runs_on_top_of_everything() {
    let plan = &plans()[0];
    let part = plan.model.part("windlass").unwrap();
    let draw = plan.study.base.draw_of[&part];
    let tops = &plan.study.wired.tops;
    let top = tops.iter().find(|top| top.draw == draw).unwrap();
    assert_eq!(
        (top.surge, top.exact, top.delivered),
        (Surge::Runs, true, true)
    );
    assert_eq!(plan.moment_name(top.moment), "everything");
    let alone = plan.study.wired.alone[draw as usize]
        .unwrap()
        .volts
        .unwrap();
    assert!(top.volts < alone - 0.05, "{} {alone}", top.volts);
    close(lowest(plan, "windlass"), top.volts);
}

/// The starting current counts in the case in which the load gets least, in place of what it runs
/// on: 25 A through the ohms of [`alone`] at the warmth of its steady 5 A.
#[test]
fn a_start_is_settled_on_top_of_its_case() {
    let text = alone("refrigerator 5 A\n    starting 25 A");
    let plan = Plan::of_text(&(text + "case cold\n    on far\n"));
    let top = plan.study.wired.tops[0];
    assert_eq!(top.surge, Surge::Starts);
    assert_eq!(plan.moment_name(top.moment), "cold");
    close(top.volts, 12.3 - 25.0 * ohms(5.0));
}

/// 1200 W at 88 % (common practice) draw 1364 W; at its peak of 1800 W half as much again.
#[test]
fn an_inverter_peaks() {
    let text = alone("lighting 1 W").replace(
        "load far lighting 1 W",
        "inverter far 120 W\n    peak 180 W",
    );
    let plan = Plan::of_text(&text);
    let top = plan.study.wired.tops[0];
    assert_eq!(top.surge, Surge::Peaks);
    close(top.asks, 180.0 / 0.88 / 12.0);
    assert!(top.volts < lowest_in_moments(&plan) - 0.3, "{top:?}");
}

fn lowest_in_moments(plan: &Plan) -> f64 {
    let answers = plan.study.wired.moments.iter();
    let volts = answers.flat_map(|answer| answer.draws.iter().map(|at| at.volts));
    volts.fold(f64::INFINITY, f64::min)
}

/// Beyond what is settled a top counts by a bound, which is below what it gets and not far from it.
#[test]
fn beyond_the_first_a_top_is_bounded_from_below() {
    use std::fmt::Write;
    let mut text = BASE.to_owned();
    for number in 0..40 {
        let _ = write!(
            text,
            "load winch-{number} motor 120 W\n    short-time 60 s\nrun winch-{number}\n    cabin way 4\n    6 mm2 red 3 m\n    winch-{number}\n    back black\n"
        );
    }
    text.push_str(
        "load lamp lighting 60 W\nrun lamp\n    cabin way 1\n    2.5 mm2 3 m\n    lamp\n    back\n",
    );
    let plan = Plan::of_text(&text);
    let tops = &plan.study.wired.tops;
    let (exact, bounded): (Vec<Top>, Vec<Top>) = tops.iter().copied().partition(|top| top.exact);
    assert_eq!((exact.len(), bounded.len()), (32, 8));
    let volts = exact[0].volts;
    for top in bounded {
        assert!(
            top.volts <= volts + 1e-9 && top.volts > volts - 0.05,
            "{top:?} {volts}"
        );
    }
}

/// Behind a splitting diode two unequal batteries do not feed each other.
#[test]
fn no_current_passes_a_diode_backwards() {
    let plan = Plan::of_text(
        "\
boat b
    system 12 V
battery full lithium 100 Ah
battery flat flooded 100 Ah
charger shore 5 A
diode split 60 A
    outputs 2
run in
    shore +
    6 mm2 1 m
    split feed
run one
    split out 1
    6 mm2 1 m
    full +
run two
    split out 2
    6 mm2 1 m
    flat +
run home
    full -
    6 mm2 1 m
    flat -
    6 mm2 1 m
    shore -
case plugged
    on shore
",
    );
    // 13.0 V and 12.2 V: the whole 5 A go to the lower one.
    let answer = &plan.study.wired.moments[0];
    let given: Vec<f64> = answer.batteries.iter().map(|(_, amps)| *amps).collect();
    assert!(
        given[0].abs() < 1e-9 && (given[1] + 5.0).abs() < 1e-9,
        "{given:?}"
    );
}

/// Two sources into one load (published-values.md, section 7: exact values by the nodal equations
/// [D] from a circuit of one quotation [S1]): 9 V behind 26 ohm and 12 V behind 37 ohm, both across
/// 62 ohm, give 0.030, 0.102 and 0.132 A.
#[test]
fn two_sources_share_one_load_as_published() {
    let branch = |from, to, ohms, emf| Branch {
        from,
        to,
        ohms,
        emf,
    };
    let network = [
        branch(0, 1, 26.0, 9.0),
        branch(0, 1, 37.0, 12.0),
        branch(1, 0, 62.0, 0.0),
    ];
    let found = Solver::new(2, &network).solve(&[]).amps;
    for (found, published) in found.iter().zip([0.030, 0.102, 0.132]) {
        assert!((found - published).abs() < 5e-4, "{found} {published}");
    }
}

#[test]
fn absurd_figures_end_and_stay_numbers() {
    for load in [
        "motor 1e300 W",
        "motor 1e12 A",
        "heater 1e-300 ohm",
        "motor 0 W",
        "pump 5 A\n    starting 1e300 A",
    ] {
        let plan = Plan::of_text(&alone(load));
        let wired = &plan.study.wired;
        let volts = wired.lowest.iter().flatten().map(|lowest| lowest.volts);
        let degrees = wired.degrees.iter().copied();
        assert!(volts.chain(degrees).all(f64::is_finite), "{load}");
    }
}
