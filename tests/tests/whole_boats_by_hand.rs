//! Lines of the whole boats' pages worked by hand, from what the plan says to the last figure.
//!
//! Two drop formulas: E = 0.0164 x I x L / S (ISO 10133 and 13297, S2; L out and back in m, S in
//! mm2) and E = 10.75 x I x L / CM (ABYC E-11, S1; L out and back in ft, CM the SAE areas, S1).
//! Ampacities: 33 CFR 183.425 Table 5 (S2 at 105 C) by the row whose area a metric size reaches;
//! another ambient than the printed 30 and 50 C by sqrt((T - a) / (T - 30)) (D).

#![allow(clippy::expect_used, reason = "a sheet that cannot begin has failed")]

use ampwright_plan::Plan;
use ampwright_tests::look::{amps_in, conductor, draw, drop_at, loss_in, plan_of};

/// By the metric formula, V.
fn metric(amps: f64, metres: f64, mm2: f64) -> f64 {
    0.0164 * amps * metres / mm2
}

/// By circular mils, V.
fn mils(amps: f64, feet: f64, circular_mils: f64) -> f64 {
    10.75 * amps * feet / circular_mils
}

#[track_caller]
fn near(computed: f64, sheet: f64) {
    assert!((computed - sheet).abs() < 1e-9, "{computed} is not {sheet}");
}

/// A figure as the page prints it.
#[track_caller]
fn prints(computed: f64, places: usize, sheet: &str) {
    assert_eq!(format!("{computed:.places$}"), sheet);
}

fn may_carry(plan: &Plan, mark: &str) -> f64 {
    plan.study.cables[conductor(plan, mark)].may_carry().firm
}

fn design(plan: &Plan, mark: &str) -> f64 {
    plan.study.cables[conductor(plan, mark)].design.amps
}

/// What can flow for ever in a live conductor, A.
fn sustained(plan: &Plan, mark: &str) -> f64 {
    let found = plan.study.protection.sustained[conductor(plan, mark)];
    found.expect("live").amps
}

fn comes_home(plan: &Plan, mark: &str) -> f64 {
    let found = plan.study.protection.returns[conductor(plan, mark)];
    found.expect("a return").0
}

/// Cruising: the motor takes 4 000 / 24 = 166.67 A. The converter gives 15 A at 12 V: at 92 % it
/// takes 15 x 12 / 24 / 0.92 = 8.152 A. Together 174.82 A through feed and return.
#[test]
fn teal_s_traction_side() {
    let plan = plan_of("examples/teal/teal.boat");
    let (motor, converter) = (4000.0 / 24.0, 15.0 * 12.0 / 24.0 / 0.92);
    let both = motor + converter;
    prints(both, 2, "174.82");
    // T1, T2, T3 out, T8 and T9 home: 0.0164 x 174.82 x 0.3 / 70 = 0.0123 V for each 0.3 m.
    near(amps_in(&plan, "T3", "cruising"), both);
    near(loss_in(&plan, "T3", "cruising"), metric(both, 0.3, 70.0));
    prints(metric(both, 0.3, 70.0), 4, "0.0123");
    near(loss_in(&plan, "T8", "cruising"), metric(both, 0.4, 70.0));
    // The motor: 0.15 + 0.3 + 0.3 + 0.4 + 0.3 = 1.45 m of both, 2 x 2.2 m of its own:
    // 0.0594 + 0.1718 = 0.2312 V, 0.96 % of 24 V.
    let drop = drop_at(&plan, "motor", "cruising");
    near(drop, metric(both, 1.45, 70.0) + metric(motor, 4.4, 70.0));
    prints(drop, 4, "0.2312");
    prints(drop / 24.0 * 100.0, 2, "0.96");
    // A bank's link is held to the whole bank's current.
    near(design(&plan, "TA"), both);
    near(design(&plan, "TP"), both);
    // 70 mm2 reaches 2/0 AWG (67.4 mm2): 330 A; the motor's cable ends in the well at 40 C:
    // sqrt(65 / 75) = 0.9309, 307.2 A. 250 A by the main fuse is below either.
    near(may_carry(&plan, "T3"), 330.0);
    near(may_carry(&plan, "M+"), 330.0 * (65.0_f64 / 75.0).sqrt());
    prints(may_carry(&plan, "M+"), 1, "307.2");
    near(sustained(&plan, "M+"), 250.0);
    near(comes_home(&plan, "T9"), 250.0);
    // The tap to the converter, 0.12 m: behind the main fuse until its own 20 A.
    near(sustained(&plan, "D1"), 250.0);
    near(sustained(&plan, "D2"), 20.0);
}

/// The service side in everything: 0.5 + 0.75 + 5 + 0.3 + 4 = 10.55 A through the panel; the horn
/// on top makes 14.55 A. The bilge pump goes round the isolator and is not among them.
#[test]
fn teal_s_service_side() {
    let plan = plan_of("examples/teal/teal.boat");
    let panel = 0.5 + 0.75 + 5.0 + 0.3 + 4.0;
    near(amps_in(&plan, "S3", "everything"), panel);
    near(design(&plan, "S3"), panel + 4.0);
    // Feed 0.15 + 0.3 + 3.5 m and return 3.8 m of 16 mm2, 7.75 m: 0.0838 V.
    let feed = metric(panel, 7.75, 16.0);
    prints(feed, 4, "0.0838");
    // Running lights: 6 W / 12 V = 0.5 A, 2 x 5 m of 1.5 mm2: 0.0547 V; in all 0.138 V, 1.15 %.
    let running = drop_at(&plan, "running-lights", "everything");
    near(running, feed + metric(0.5, 10.0, 1.5));
    prints(running, 3, "0.138");
    prints(running / 12.0 * 100.0, 2, "1.15");
    // Cockpit lights: six lamps along the last 4 of 6 m; the current falls evenly to nothing there,
    // so those 4 m count as 2, 4 m in all each way: 0.0164 x 0.75 x 8 / 1.5 = 0.0656 V.
    let cockpit = drop_at(&plan, "cockpit-lights", "everything");
    near(cockpit, feed + metric(0.75, 8.0, 1.5));
    prints(cockpit, 3, "0.149");
    // Bilge pump: 3 A, 0.15 + 1.8 + 0.5 m of 2.5 mm2 and 2.45 m home: 0.0964 V.
    let bilge = drop_at(&plan, "bilge-pump", "everything");
    near(bilge, metric(3.0, 4.9, 2.5));
    prints(bilge, 4, "0.0964");
    // 2.5 mm2 reaches 14 AWG (2.08 mm2), 35 A; 1.5 mm2 reaches 16 AWG (1.31 mm2), 25 A.
    near(may_carry(&plan, "B2"), 35.0);
    near(may_carry(&plan, "L1"), 25.0);
}

/// Everything through the chart panel: lights 16 / 12 + 4.8 / 12, refrigerator 4.2, pump 6,
/// instruments 0.8, self-steering 5, radio 5.5, radar 28 / 12, alarm 0.1, mast 3 / 12 + 2 / 12 +
/// 4 / 12, running lights 0.5, compass 0.05 A: 26.97 A.
#[test]
fn whimbrel_s_house() {
    let plan = plan_of("examples/whimbrel/whimbrel.boat");
    let mast = [3.0 / 12.0, 2.0 / 12.0, 4.0 / 12.0];
    let up: f64 = mast.iter().sum();
    let panel = 16.0 / 12.0
        + 4.8 / 12.0
        + 4.2
        + 6.0
        + 0.8
        + 5.0
        + 5.5
        + 28.0 / 12.0
        + 0.1
        + up
        + 0.5
        + 0.05;
    prints(panel, 2, "26.97");
    near(amps_in(&plan, "F2", "everything"), panel);
    near(design(&plan, "F2"), panel);
    // The bilge pump's 4.5 A join before the isolator.
    near(amps_in(&plan, "H2", "everything"), panel + 4.5);
    // Asleep at anchor nothing but what the evening names: 2 / 12 + 16 / 12 + 4.8 / 12 + 6 + 4.2 + 3.
    let evening = 2.0 / 12.0 + 16.0 / 12.0 + 4.8 / 12.0 + 6.0 + 4.2 + 3.0;
    near(amps_in(&plan, "F2", "evening"), evening);
    // The pump then: 70 mm2 for 0.15 + 0.25 + 0.3 + 0.3 + 0.4 + 0.3 = 1.7 m, 35 mm2 for
    // 0.15 + 3 + 3.2 = 6.35 m, 4 mm2 for 2 x 5 m:
    // 0.0060 + 0.0449 + 0.2460 = 0.2969 V, 2.47 %.
    let pump = drop_at(&plan, "fresh-pump", "evening");
    let shared = metric(evening, 1.7, 70.0) + metric(evening, 6.35, 35.0);
    near(pump, shared + metric(6.0, 10.0, 4.0));
    prints(pump, 4, "0.2969");
    // Up the mast each light has its own core out, all share one home: 4 + 15 m of 2.5 mm2 each way.
    let everything = metric(panel + 4.5, 0.4 + 0.7, 70.0) + metric(panel, 0.6, 70.0);
    let everything = everything + metric(panel, 6.35, 35.0);
    let tricolour = drop_at(&plan, "tricolour", "everything");
    let own = metric(0.25, 19.0, 2.5) + metric(up, 19.0, 2.5);
    near(tricolour, everything + own);
    // Four cores in one sheath: 35 x 0.6 (four to six together, S2) = 21 A.
    near(may_carry(&plan, "tricolour+1"), 35.0 * 0.6);
    near(comes_home(&plan, "M9"), 3.0 * 3.0);
}

/// The engine's side. The starter takes 1 400 / 12 = 116.67 A out by 0.5 + 1.6 m and home by
/// 1.8 + 0.4 m of 50 mm2: 0.0164 x 116.67 x 4.3 / 50 = 0.1645 V.
#[test]
fn whimbrel_s_engine() {
    let plan = plan_of("examples/whimbrel/whimbrel.boat");
    let starter = 1400.0 / 12.0;
    let cranking = drop_at(&plan, "starter", "cranking");
    near(cranking, metric(starter, 4.3, 50.0));
    prints(cranking, 4, "0.1645");
    // From the house bank instead, both batteries' links being stiff: 0.15 + 0.25 + 0.3 + 0.3 m
    // to the house bar, 0.15 + 0.5 + 0.5 + 0.15 m along the link, all 70 mm2, then 1.6 m of 50 mm2;
    // home 1.8 m of 50 mm2 and 0.7 m of 70 mm2: 0.0820 + 0.1301 = 0.2121 V.
    let jumped = drop_at(&plan, "starter", "emergency");
    near(
        jumped,
        metric(starter, 3.0, 70.0) + metric(starter, 3.4, 50.0),
    );
    prints(jumped, 4, "0.2121");
    // The alternator's cable: 25 mm2 reaches 4 AWG (21.2 mm2), 160 A, 0.85 of it by the engine (S2).
    near(design(&plan, "A2"), 70.0);
    near(may_carry(&plan, "A2"), 160.0 * 0.85);
    near(sustained(&plan, "A2"), 100.0);
    // Behind the house fuse with the link closed: the sun's 2 x 120 W at 96 % on 12 V, 19.2 A, the
    // converter's 30 A, and 200 A through the link's own fuse.
    near(sustained(&plan, "H3"), 200.0 + 30.0 + 240.0 * 0.96 / 12.0);
    // The converter at its full takes 30 x 12 / 12 / 0.9 = 33.33 A from the engine's side.
    near(design(&plan, "G2"), 30.0 / 0.9);
    // The panels: isc 6.3 A x 1.25 x 1.25 (NEC 690.8, S2) = 9.84 A.
    near(design(&plan, "P1"), 6.3 * 1.5625);
    near(sustained(&plan, "P3"), 30.0);
}

/// SAE areas in circular mils (S1): 4/0 205 500, 2/0 125 100, 2 62 450, 4 37 360, 6 24 538,
/// 8 14 810, 10 9 343, 12 5 833, 14 3 702.
#[test]
fn shoveler_s_house() {
    let plan = plan_of("examples/shoveler/shoveler.boat");
    // Everything but the horn, the windlass's button and the sockets: blower 5, lights 0.75 + 0.25
    // + 20 / 12, radio 5.5, plotter 2, sounder 1, wiper 4, refrigerator 4.5, pump 6, alarm 0.15 A.
    let panel = 5.0 + 0.75 + 0.25 + 20.0 / 12.0 + 5.5 + 2.0 + 1.0 + 4.0 + 4.5 + 6.0 + 0.15;
    near(amps_in(&plan, "F2", "everything"), panel);
    near(design(&plan, "F2"), panel + 5.0);
    prints(panel + 5.0, 1, "35.8");
    // The inverter takes 1 200 / 0.9 / 12 = 111.1 A.
    let inverter = 1200.0 / 0.9 / 12.0;
    near(design(&plan, "J2"), inverter);
    near(amps_in(&plan, "H3", "everything"), panel + inverter);
    near(amps_in(&plan, "H2", "everything"), panel + inverter + 5.0);
    // 4/0 for 0.5 + 1 ft and 1.5 + 1 ft with the bilge pump, 1 + 1 ft without:
    let main =
        mils(panel + inverter + 5.0, 4.0, 205_500.0) + mils(panel + inverter, 2.0, 205_500.0);
    // 2 AWG for 0.5 + 9 + 9.5 ft.
    let feeder = main + mils(panel, 19.0, 62_450.0);
    // The blower: 10 AWG, 14 ft each way: 0.1611 V of its own, 0.307 V in all, of 3 % = 0.36 V.
    let blower = drop_at(&plan, "blower", "everything");
    near(blower, feeder + mils(5.0, 28.0, 9_343.0));
    prints(mils(5.0, 28.0, 9_343.0), 4, "0.1611");
    prints(blower, 3, "0.307");
    // The pump: 12 AWG, 12 ft each way.
    let pump = drop_at(&plan, "fresh-pump", "everything");
    near(pump, feeder + mils(6.0, 24.0, 5_833.0));
    prints(pump, 3, "0.412");
    // Bilge pump: 0.5 + 8 + 2 ft and 10.5 ft home of 12 AWG; H1 and H2 out, H8 and H9 home.
    let bilge = drop_at(&plan, "bilge-pump", "everything");
    let before = mils(panel + inverter + 5.0, 4.0, 205_500.0);
    near(bilge, before + mils(5.0, 21.0, 5_833.0));
    // 10 AWG is 60 A at 105 C, 0.85 of it in the engine room.
    near(may_carry(&plan, "V1"), 60.0 * 0.85);
    near(may_carry(&plan, "H2"), 445.0);
}

#[test]
fn shoveler_s_bow_and_charging() {
    let plan = plan_of("examples/shoveler/shoveler.boat");
    // 2 400 / 12 = 200 A along 0.5 + 0.8 + 1 + 3 ft out, 3 + 1.5 ft home of 4/0: 0.1025 V.
    let thruster = plan.study.rule.alone_drop[draw(&plan, "thruster")];
    near(thruster, mils(200.0, 9.8, 205_500.0));
    prints(thruster, 4, "0.1025");
    // The windlass: 900 / 12 = 75 A; 4/0 for 2.3 ft out and 1.5 ft home, 2 AWG 5 ft out and home.
    let windlass = plan.study.rule.alone_drop[draw(&plan, "windlass")];
    near(
        windlass,
        mils(75.0, 3.8, 205_500.0) + mils(75.0, 10.0, 62_450.0),
    );
    prints(windlass, 3, "0.144");
    near(sustained(&plan, "W1"), 300.0);
    near(sustained(&plan, "W3"), 100.0);
    near(comes_home(&plan, "T8"), 300.0);
    // Each end of the bow's charging cable lets 80 A in; into a fault on the way each bank gives its
    // part, and of the two one comes home by the long return.
    near(sustained(&plan, "Y3"), 80.0);
    near(comes_home(&plan, "Y9"), 80.0);
    // The charger gives 40 A in all, by whichever outputs.
    near(design(&plan, "C9"), 40.0);
    near(loss_in(&plan, "C9", "shore"), mils(40.0, 2.5, 24_538.0));
    // Two panels side by side: 2 x 6.1 A, which a PWM controller passes on; their own circuit is
    // chosen for 1.5625 times that (NEC 690.8, S2).
    near(design(&plan, "S1"), 12.2 * 1.5625);
    near(design(&plan, "S3"), 12.2);
    near(loss_in(&plan, "S3", "noon"), mils(12.2, 2.0, 9_343.0));
}
