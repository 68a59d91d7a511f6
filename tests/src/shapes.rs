//! Generated plans of any size for benchmarks and growth checks: invented boats of three shapes.

mod mixed;

use std::fmt::Write;

pub use mixed::{convoy, mixed};

/// Plans of ordinary boats of about 100 lines each, so many that together they have `lines` lines.
pub fn fleet(lines: usize) -> Vec<String> {
    let boats = lines.div_ceil(LINES_OF_A_BOAT).max(1);
    (0..boats).map(ordinary_boat).collect()
}

/// What [`ordinary_boat`] comes to.
const LINES_OF_A_BOAT: usize = 100;

/// A boat with a battery, a main fuse, an isolator, a panel and ten circuits, one of them faulty.
pub fn ordinary_boat(number: usize) -> String {
    let mut text = format!(
        "# Boat {number} of a fleet.\nboat boat-{number} \"Boat {number}\"\n    system 12 V\n\nplace locker\nbattery house agm 120 Ah\n    in locker\n\
         fuse main-fuse bolt-down 80 A\nisolator main-isolator 250 A\nbusbar negative negative 100 A\n    posts 14\npanel panel 100 A\n    returns negative\n"
    );
    circuits(&mut text, "panel", "", 10, number);
    text.push_str(
        "run feed \"Main feed\"\n    house +\n    25 mm2 red 0.15 m in locker\n    main-fuse\n    25 mm2 red 0.5 m in locker\n    main-isolator\n    \
         25 mm2 red 6 m\n    panel\nrun return \"Main return\"\n    negative\n    25 mm2 black 6.5 m\n    house -\ncase evening \"Evening\"\n    on load-1\n    on load-2\n",
    );
    text
}

/// Ways and circuits of a panel: `count` loads, eight lines each.
fn circuits(text: &mut String, panel: &str, suffix: &str, count: usize, seed: usize) {
    for way in 1..=count {
        let _ = writeln!(
            text,
            "    way {way} fuse {} A",
            if faulty(seed, way) { 60 } else { 5 }
        );
    }
    for way in 1..=count {
        let _ = write!(
            text,
            "load load{suffix}-{way} \"Lamp {way}\" lighting 0.02 W\n    2 h/day\nrun run{suffix}-{way} \"Lamp {way}\"\n    {panel} way {way}\n    \
             twin 2.5 mm2 {} m\n    load{suffix}-{way}\n    back\n",
            2 + way % 5,
        );
    }
}

/// One circuit in twelve has a fuse too large for its cable: a finding in one line of a hundred.
const fn faulty(seed: usize, way: usize) -> bool {
    (seed * 7 + way).is_multiple_of(12)
}

/// Loads on a panel of the connected boat.
const WAYS: usize = 16;

/// One boat of about `lines` lines in which everything is joined: two banks of two batteries, a
/// selector, a ring main of panels, a load every eight lines, cases.
pub fn connected(lines: usize) -> String {
    let panels = (lines.saturating_sub(80) / (WAYS * 8 + 12)).max(2);
    let mut text = String::from(
        "boat big \"Big\"\n    system 12 V\n    ambient 25 C\n    cable flex\ncable flex tinned\n    insulation 105 C\nplace engine-bay engine-space\n",
    );
    for bank in ["house", "reserve"] {
        let _ = write!(
            text,
            "battery {bank}-1 agm 200 Ah\n    in engine-bay\nbattery {bank}-2 like {bank}-1\nfuse {bank}-fuse class-t 150 A\n\
             run {bank}-link\n    {bank}-1 +\n    70 mm2 red 0.3 m in engine-bay\n    {bank}-2 +\nrun {bank}-link-back\n    {bank}-1 -\n    \
             70 mm2 black 0.3 m in engine-bay\n    {bank}-2 -\nrun {bank}-negative\n    {bank}-2 -\n    95 mm2 black 0.5 m\n    main-negative\n",
        );
    }
    text.push_str("selector choice 400 A\n    positions off 1 2 both\nbusbar main-positive positive 500 A\n    posts 4\nbusbar main-negative negative 500 A\n    posts 6\n");
    for (tap, bank) in ["house", "reserve"].iter().enumerate() {
        let _ = write!(
            text,
            "run {bank}-feed\n    {bank}-1 +\n    95 mm2 red 0.15 m\n    {bank}-fuse\n    95 mm2 red 1 m\n    choice {}\n",
            tap + 1,
        );
    }
    text.push_str("run common\n    choice common\n    95 mm2 red 1 m\n    main-positive\n");
    for panel in 0..panels {
        let _ = write!(
            text,
            "busbar negative-{panel} negative 300 A\n    posts {}\npanel panel-{panel} 300 A\n    returns negative-{panel}\n",
            WAYS + 2
        );
        circuits(
            &mut text,
            &format!("panel-{panel}"),
            &format!("-{panel}"),
            WAYS,
            panel,
        );
    }
    ring(&mut text, "ring", "main-positive", "panel", panels, "red");
    ring(
        &mut text,
        "ring-back",
        "main-negative",
        "negative",
        panels,
        "black",
    );
    for case in 0..4 {
        let _ = writeln!(text, "case case-{case} \"Case {case}\"");
        for panel in (case..panels).step_by(8) {
            let _ = writeln!(text, "    on load-{panel}-{}", 1 + case);
        }
    }
    text
}

fn ring(text: &mut String, name: &str, main: &str, stop: &str, panels: usize, colour: &str) {
    let _ = write!(text, "run {name}\n    {main}\n    95 mm2 {colour} 2 m\n");
    for panel in 0..panels {
        let _ = write!(text, "    {stop}-{panel}\n    95 mm2 {colour} 0.5 m\n");
    }
    let _ = writeln!(text, "    {main}");
}
