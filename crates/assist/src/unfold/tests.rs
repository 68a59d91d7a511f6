//! Whole unfoldings over the notation's example.

use ampwright_plan::Plan;
use expect_test::{Expect, expect};

use super::{Unfolded, unfold, used};
use crate::fixture::CURLEW;

fn check(name: &str, expected: &Expect) {
    let told = match unfold(&Plan::of_text(CURLEW), name) {
        Unfolded::Known(list) => list
            .iter()
            .map(|one| one.doc().plain())
            .collect::<Vec<_>>()
            .join("\n\n"),
        other => format!("{other:?}"),
    };
    expected.assert_eq(&told);
}

/// By hand: 0.0164 x 9.2 x 7 / 16 = 0.0660 V; 6 AWG at 105 °C may carry 120 A (33 CFR 183.425 Table
/// 5), so that 9.25 A warm it to 25 + 75 x (9.25 / 120)² = 25.45 °C; 16 mm² tinned class 5 has 1.24
/// mohm/m at 20 °C (IEC 60228, two quotations), at that 1.24 x (1 + 0.00393 x 5.45) = 1.2666, over 7 m
/// 8.87 mohm, with two crimps of 0.1 mohm 9.07 mohm. At 105 °C it is 1.24 x 1.334 x 7 + 0.2 = 11.78,
/// with 0.45 and 0.86 of the pieces before it, 1.25 of the fuse and 0.2 of the isolator 14.5 mohm out.
#[test]
fn a_feeder() {
    check(
        "domestic-feed+3",
        &expect![[r#"
            domestic-feed+3, 16 mm² red 7 m

            The conductor

            - from and to: house-isolator out to cabin-panel (the plan)
            - size, S: 16 mm² (the plan)
            - length: 7 m (the plan)
            - temperature round it, T: 25 °C, the boat's (the plan)
            - insulation: 105 °C (the plan)

            Current

            - what draws through it: 1.2 A cabin-lights + 7 A fresh-pump + 0.83 A tricolour + 0.17 A anchor-light = 9.2 A
            - design current, I, in everything: 9.2 A (all currents by the rule)
            - of that without everything at once: 8.2 A

            What it may carry

            - 6 AWG row, the next below 16 mm², 105 °C column: 120 A (33 CFR 183.425, Table 5; two quotations)
            - it may carry: base × ambient × bundle = 120 × 1 × 1 = 120 A

            How warm it grows, as wired

            - carries at most, in everything: 9.25 A (all currents as wired)
            - it grows to: T + (what its table stands for - the table's ambient) × (I / what it carries there)² = 25 °C + (105 °C - 30 °C) × (9.25 A / 120 A)² = 25.4 °C (the line of the ambient factors of NEC 310.15(B)(1); derived)

            Resistance

            - by the rule: r × L = 1.025 mΩ/m × 7 m = 7.18 mΩ (ISO 13297:2020, Annex C; two quotations)
            - per metre at 20 °C, r20: 1.24 mΩ/m (IEC 60228, maximum resistance at 20 °C; two quotations)
            - warmed, w: 1 + α × (what it grows to - 20 °C) = 1 + 0.00393 × (25.4 °C - 20) = 1.0214 (IEC 60028; two quotations)
            - as wired, with a crimp at each end: (r20 × w × L + 2 × crimp) = (1.24 mΩ/m × 1.0214 × 7 m + 2 × 0.1 mΩ) = 9.07 mΩ (common practice, no source)

            Voltage lost, by the rule

            - lost here in everything, E: K × I × L / S = 0.0164 × 9.2 A × 7 m / 16 mm² = 0.066 V (ISO 13297:2020, Annex C; two quotations)
            - lost between the source and its far end: 0.071 V, 0.59 % (all currents by the rule)
            - summed there and back, fresh-pump: 0.601 V, 5.01 %
            - it may lose, baseline: 10 % (ABYC E-11, other lighting and non-critical circuits; two quotations)

            As wired

            - current in everything: 9.25 A (all currents as wired)
            - lost here: I × R = 9.25 A × 9.07 mΩ = 0.0838 V
            - heat in it: I² × R = (9.25 A)² × 9.07 mΩ = 0.78 W

            Protection

            - ceiling, the largest device: share × what it may carry = 1 × 120 A = 120 A (UK small commercial vessel code, 8.2.4; one quotation)
            - into a short, for ever, past house-fuse 80 A: 80 A (by following the wires)

            A short circuit

            - house-1, half empty: 12.30 V (battery makers' tables of rest voltage; two quotations)
            - R in it: 4 mΩ (no document was seen; from memory)
            - R out: 14.5 mΩ (common practice, no source · the network with hot copper, one source alone)
            - R home, from cabin-negative: 13 mΩ (common practice, no source · the network with hot copper, one source alone)
            - of that this conductor, at the 105 °C that its insulation bears: (r20 × w × L + 2 × crimp) = (1.24 mΩ/m × 1.334 × 7 m + 2 × 0.1 mΩ) = 11.8 mΩ (IEC 60228, maximum resistance at 20 °C; two quotations · IEC 60028; two quotations · common practice, no source)
            - the smallest, at cabin-panel and from house-1 alone: E / (R in it + R out + R home) = 12.30 V / (4 mΩ in it + 14.5 mΩ out + 13 mΩ home) = 390 A (the network with hot copper, one source alone)
            - house-fuse 80 A has opened within: t printed × (multiple × rating / I)² = 7 s × (3.5 × 80 A / 390 A)² = 3.62 s (ISO 8820, time limits of type E; from memory)
            - the copper bears it, giving off no heat: (k × S / I)² = (87.44 × 16 mm² / 390 A)² = 12.9 s (IEC 60364-5-54, formula, from the insulation's limit to the 160 °C of PVC; derived)
            - and with what it gives off: 14.6 s (IEC 60364-5-54 and the conductor's own ampacity; derived)"#]],
    );
}

#[test]
fn a_conductor_in_the_engine_bay() {
    check(
        "domestic-feed+1",
        &expect![[r#"
            domestic-feed+1, 16 mm² red 0.15 m

            The conductor

            - from and to: house-1 + to house-fuse feed (the plan)
            - size, S: 16 mm² (the plan)
            - length: 0.15 m (the plan)
            - temperature round it, T: 50 °C in engine-bay (the plan)
            - insulation: 105 °C (the plan)

            Current

            - what draws through it: 1.2 A cabin-lights + 7 A fresh-pump + 0.83 A tricolour + 0.17 A anchor-light = 9.2 A
            - design current, I, in everything: 9.2 A (all currents by the rule)
            - of that without everything at once: 8.2 A

            What it may carry

            - 6 AWG row, the next below 16 mm², 105 °C column: 120 A (33 CFR 183.425, Table 5; two quotations)
            - ambient 50 °C: 120 A × 0.85 = 102 A (33 CFR 183.425, Table 5, note 1; two quotations)
            - it may carry: base × ambient × bundle = 120 × 0.85 × 1 = 102 A

            How warm it grows, as wired

            - carries at most, in everything: 9.25 A (all currents as wired)
            - it grows to: T + (what its table stands for - the table's ambient) × (I / what it carries there)² = 50 °C + (105 °C - 30 °C) × (9.25 A / 120 A)² = 50.4 °C (the line of the ambient factors of NEC 310.15(B)(1); derived)

            Resistance

            - by the rule: r × L = 1.025 mΩ/m × 0.15 m = 0.154 mΩ (ISO 13297:2020, Annex C; two quotations)
            - per metre at 20 °C, r20: 1.24 mΩ/m (IEC 60228, maximum resistance at 20 °C; two quotations)
            - warmed, w: 1 + α × (what it grows to - 20 °C) = 1 + 0.00393 × (50.4 °C - 20) = 1.1197 (IEC 60028; two quotations)
            - as wired, with a crimp at each end: (r20 × w × L + 2 × crimp) = (1.24 mΩ/m × 1.1197 × 0.15 m + 2 × 0.1 mΩ) = 0.408 mΩ (common practice, no source)

            Voltage lost, by the rule

            - lost here in everything, E: K × I × L / S = 0.0164 × 9.2 A × 0.15 m / 16 mm² = 0.00141 V (ISO 13297:2020, Annex C; two quotations)
            - lost between the source and its far end: 0.001 V, 0.01 % (all currents by the rule)
            - summed there and back, fresh-pump: 0.601 V, 5.01 %
            - it may lose, baseline: 10 % (ABYC E-11, other lighting and non-critical circuits; two quotations)

            As wired

            - current in everything: 9.25 A (all currents as wired)
            - lost here: I × R = 9.25 A × 0.408 mΩ = 0.00378 V
            - heat in it: I² × R = (9.25 A)² × 0.408 mΩ = 0.03 W

            Protection

            - ceiling, the largest device: share × what it may carry = 1 × 102 A = 102 A (UK small commercial vessel code, 8.2.4; one quotation)
            - into a short, for ever: without limit: no device before it (by following the wires)
            - distance of its nearer end from a battery's post, no device between: 0 m (by following the wires)
            - distance within which a device has to stand: 0.178 m (ABYC E-11, overcurrent protection, 7 in of the source; two quotations)

            A short circuit

            - house-1, half empty: 12.30 V (battery makers' tables of rest voltage; two quotations)
            - R in it: 4 mΩ (no document was seen; from memory)
            - R out: 0.45 mΩ (common practice, no source · the network with hot copper, one source alone)
            - R home, from cabin-negative, no better than out: 13 mΩ (common practice, no source · the network with hot copper, one source alone)
            - of that this conductor, at the 105 °C that its insulation bears: (r20 × w × L + 2 × crimp) = (1.24 mΩ/m × 1.334 × 0.15 m + 2 × 0.1 mΩ) = 0.45 mΩ (IEC 60228, maximum resistance at 20 °C; two quotations · IEC 60028; two quotations · common practice, no source)
            - the smallest, at house-fuse feed and from house-1 alone: E / (R in it + R out + R home) = 12.30 V / (4 mΩ in it + 0.45 mΩ out + 13 mΩ home) = 704 A (the network with hot copper, one source alone)
            - what ends it: no device stands before it that could stop it (by following the wires)"#]],
    );
}

#[test]
fn a_load() {
    check(
        "tricolour",
        &expect![[r#"
            tricolour

            What it draws

            - nominal voltage of its circuit, V: 12 V (by following the wires)
            - nominal current, I: P / V = 10 W / 12 V = 0.833 A

            What it may lose

            - vital to safety: navigation (ISO 13297:2020, voltage drop, what is vital to safety; one quotation)
            - it may lose, baseline: 3 % (ABYC E-11, navigation lights; two quotations)

            Its way there and back, by the rule

            - house-1 +: 12.00 V left (all currents by the rule)
            - 16 mm² red 0.15 m: 2.03 A loses 0.000 V, 12.00 V left
            - house-fuse 80 A: 12.00 V left
            - 16 mm² red 0.4 m: 2.03 A loses 0.001 V, 12.00 V left
            - house-isolator: 12.00 V left
            - 16 mm² red 7 m: 2.03 A loses 0.015 V, 11.98 V left
            - cabin-panel way 3, fuse 3 A: 11.98 V left
            - 1.5 mm² red 5 m: 0.83 A loses 0.046 V, 11.94 V left
            - deck-plug pole 1: 11.94 V left
            - core 1 of mast-cable 1.5 mm² 12 m: 0.83 A loses 0.109 V, 11.83 V left
            - tricolour 0.83 A: 11.83 V left
            - core 3 of mast-cable 1.5 mm² 12 m: 0.83 A loses 0.109 V, 11.72 V left
            - deck-plug pole 3: 11.72 V left
            - 1.5 mm² black 5 m: 0.83 A loses 0.046 V, 11.67 V left
            - cabin-negative: 11.67 V left
            - 16 mm² black 7.5 m: 2.03 A loses 0.016 V, 11.66 V left
            - house-2 -: 11.66 V left
            - lost in all in passage, E: 0.341 V
            - of its voltage: E / V = 0.341 V / 12 V = 2.84 %
            - left as wired, battery half charged: 11.82 V (all currents as wired)

            What arrives, as wired

            - in passage: 11.82 V at 0.85 A (all currents as wired)
            - in everything: 11.59 V at 0.86 A
            - least, in everything: 11.59 V
            - too little is below: of 12 V × nominal / 12 V = 10.5 V × 12 V / 12 V = 10.50 V (common practice, no source)

            A short circuit at it

            - house-1, half empty: 12.30 V (battery makers' tables of rest voltage; two quotations)
            - R in it: 4 mΩ (no document was seen; from memory)
            - R out: 359 mΩ (common practice, no source · the network with hot copper, one source alone)
            - R home, from tricolour -: 324 mΩ (common practice, no source · the network with hot copper, one source alone)
            - the smallest, at tricolour + and from house-1 alone: E / (R in it + R out + R home) = 12.30 V / (4 mΩ in it + 359 mΩ out + 324 mΩ home) = 17.9 A (the network with hot copper, one source alone)

            A day

            - it takes: the plan does not say how long it runs (the plan)"#]],
    );
}

#[test]
fn a_fuse_a_way_and_a_battery() {
    check(
        "house-fuse",
        &expect![[r#"
            house-fuse 80 A

            What it carries

            - it has to carry, in everything: 9.2 A (all currents by the rule)
            - its rating: 80 A, which carries the 9.2 A (the plan)
            - resistance, as wired: drop at its rating / rating = 0.1 V / 80 A = 1.25 mΩ (common practice, no source)
            - smallest standard rating that carries it: 10 A (ISO 8820-3, rating series; two quotations)

            What it protects

            - ceiling of domestic-feed+2, 16 mm² red 0.4 m: share × what it may carry = 1 × 102 A = 102 A (UK small commercial vessel code, 8.2.4; one quotation)
            - ceiling of domestic-feed+3, 16 mm² red 7 m: share × what it may carry = 1 × 120 A = 120 A (UK small commercial vessel code, 8.2.4; one quotation)

            A short circuit

            - the largest comes home: with nothing counted on the way home (by following the wires)
            - the largest, right behind it: E / R = 13.00 V / 2.27 mΩ = 5734 A (no document was seen; from memory · the network with cold copper, all sources together)
            - the smallest, at cabin-panel and from house-1 alone: E / (R in it + R out + R home) = 12.30 V / (4 mΩ in it + 14.5 mΩ out + 13 mΩ home) = 390 A (the network with hot copper, one source alone)
            - it can stop: 10000 A (the plan)
            - up to: 32 V (ISO 8820-4, 32 or 58 V; one quotation)
            - its circuit is charged at: 14.4 V (by following the wires)"#]],
    );
    check(
        "cabin-panel way 2",
        &expect![[r#"
            cabin-panel way 2, fuse 10 A

            What it carries

            - it has to carry, in fresh-pump alone: 7 A (all currents by the rule)
            - its rating: 10 A, which carries the 7 A (the plan)
            - resistance, as wired: drop at its rating / rating = 0.1 V / 10 A = 10 mΩ (common practice, no source)
            - smallest standard rating that carries it: 7.5 A (ISO 8820-3, rating series; two quotations)

            What it protects

            - ceiling of pump+1, twin 2.5 mm² 5 m: share × what it may carry = 1 × 35 A = 35 A (UK small commercial vessel code, 8.2.4; one quotation)

            A short circuit

            - the largest comes home: coming home from cabin-negative (by following the wires)
            - the largest, right behind it: E / R = 13.00 V / 20.7 mΩ = 627 A (no document was seen; from memory · the network with cold copper, all sources together)
            - the smallest, at fresh-pump + and from house-1 alone: E / (R in it + R out + R home) = 12.30 V / (4 mΩ in it + 79.5 mΩ out + 68 mΩ home) = 81.2 A (the network with hot copper, one source alone)
            - it can stop: not known and not asked (the plan)
            - its circuit is charged at: 14.4 V (by following the wires)"#]],
    );
    check(
        "house-1",
        &expect![[r#"
            battery house-1

            The battery

            - capacity: 100 Ah (the plan)
            - at rest, half charged: of 12 V × nominal / 12 V = 12.3 V × 12 V / 12 V = 12.3 V (battery makers' tables of rest voltage; two quotations)
            - at rest, full: of 12 V × nominal / 12 V = 13 V × 12 V / 12 V = 13 V (battery makers' tables of rest voltage; two quotations)
            - resistance inside: of 100 Ah at 12 V × 100 Ah / capacity × nominal / 12 V = 4 mΩ × 100 / 100 × 1 = 4 mΩ (no document was seen; from memory)
            - usable: share × capacity = 0.5 × 100 Ah = 50 Ah (common practice, no source)

            Its part of the bank

            - the bank gives, in everything: 9.2 A (all currents by the rule)
            - its part by ampere-hours: 4.6 A (by following the wires)
            - it gives, behind what is inside it and the bank's links: 4.6 A (all currents as wired)
            - off its part: difference / its part = (4.6 A - 4.6 A) / 4.6 A = 0 %
            - off by more is worth a word: 20 % (common practice, no source)

            A short circuit

            - at the bank's posts, full and cold: 6246 A (the network with cold copper, all sources together)

            A day of its bank

            - the bank holds: 200 Ah (by following the wires)
            - of that may be used: share × capacity = 0.5 × 200 Ah = 100 Ah (common practice, no source)
            - loads take out of it: 4.8 Ah cabin-lights + 2.8 Ah fresh-pump = 7.6 Ah (the sum of the day)
            - with nothing charging it lasts at most: usable / a day = 100 Ah / 7.6 Ah = 13.2 days"#]],
    );
}

#[test]
fn what_is_not_there_gets_the_nearest() {
    check(
        "domestic-fed+3",
        &expect![[r#"Unknown(Some("domestic-feed+3"))"#]],
    );
    check("fresh-pmup", &expect![[r#"Unknown(Some("fresh-pump"))"#]]);
    check("engine-bya", &expect![[r#"Unknown(Some("engine-bay"))"#]]);
    check(
        "cabin-panle way 2",
        &expect![[r#"Unknown(Some("cabin-panel way 2"))"#]],
    );
}

/// Every figure that rests on a document or on memory says so, and every step says something.
#[test]
fn every_step_reads_on() {
    let plan = Plan::of_text(CURLEW);
    let marks = plan
        .wiring
        .conductors
        .iter()
        .map(|wired| wired.mark.to_string());
    let parts = plan.model.parts.iter().map(|part| part.name.to_string());
    for name in marks.chain(parts) {
        let Unfolded::Known(list) = unfold(&plan, &name) else {
            continue;
        };
        for step in list
            .iter()
            .flat_map(|one| &one.sections)
            .flat_map(|section| &section.steps)
        {
            assert!(!step.what.is_empty(), "{name}: {step:?}");
            assert!(!step.line().contains("NaN"), "{name}: {step:?}");
        }
    }
}

/// The example rests on its batteries' resistance and on when its fuses open; a rule set's own table
/// counts in another.
#[test]
fn figures_from_memory_are_those_that_the_plan_uses() {
    let memory = |text: &str| -> Vec<String> {
        let used = used::of(&Plan::of_text(text)).into_iter();
        used.filter(|figure| figure.tag == ampwright_electrics::source::Tag::M)
            .map(|figure| figure.what)
            .collect()
    };
    let has = |text: &str, what: &str| memory(text).iter().any(|figure| figure == what);
    let inside = "inner resistance of agm batteries";
    assert!(has(CURLEW, inside));
    let said = CURLEW.replace(
        "battery house-1 agm 100 Ah",
        "battery house-1 agm 100 Ah resistance 4 mohm",
    );
    assert!(!has(&said, inside));
    let iso = CURLEW.replace("    ambient 25 C", "    ambient 25 C\n    rules iso-13297");
    assert!(
        memory(&iso).len() > memory(CURLEW).len(),
        "{:?}",
        memory(&iso)
    );
    let gel = CURLEW.replace("house-1 agm", "house-1 gel");
    assert!(has(&gel, "rest voltage of gel batteries, half charged"));
}

/// Every kind of constant, in a boat that uses it: what each of these words stands for is counted.
#[test]
fn every_group_of_constants_is_counted_where_it_is_used() {
    for (words, text) in [
        ("rest voltage of lithium batteries, full", FULL),
        ("inner resistance of lithium batteries", FULL),
        ("usable share of lithium batteries", FULL),
        ("Peukert's exponent of lithium batteries", FULL),
        ("hours that a capacity is rated for", FULL),
        ("charging current of gel batteries, A per Ah", FULL),
        ("gassing of gel batteries, mA per Ah", FULL),
        ("air for gas, m³/h per A and cell", FULL),
        ("openings, cm² per m³/h", FULL),
        ("voltage of an alternator, of 12 V", FULL),
        ("voltage of a charger or controller, of 12 V", FULL),
        ("efficiency of a controller", FULL),
        ("efficiency of an inverter", FULL),
        ("short-circuit current over that at best power", FULL),
        ("voltage of a panel at best power", FULL),
        ("voltage at best power over that with nothing drawn", FULL),
        ("panel volts on a freezing morning, of those at 25 °C", FULL),
        ("what a class-t fuse can stop", FULL),
        ("voltage of a class-t fuse", FULL),
        ("what a blade fuse can stop", FULL),
        (
            "slowest opening of a blade fuse at 6 times its rating",
            FULL,
        ),
        ("k of insulation of 70 °C", FULL),
        ("how long copper bears a fault", FULL),
        ("how warm a conductor grows", FULL),
        ("how near its insulation's limit is hot", FULL),
        ("drop of a device at its rating", FULL),
        ("resistance of a crimp", FULL),
        ("resistance of a switch", CURLEW),
        ("voltage too low for a load, of 12 V", FULL),
        ("largest device, of the ampacity", FULL),
        ("smallest conductor", FULL),
        ("distance of a device from the post", FULL),
        ("constant of the drop formula", FULL),
    ] {
        let used = used::of(&Plan::of_text(text));
        let found = used.iter().any(|figure| figure.what == words);
        let all: Vec<&str> = used.iter().map(|figure| figure.what.as_str()).collect();
        assert!(found, "{words} in {all:#?}");
    }
}

/// A boat that says as little as it may.
const FULL: &str = "boat b system 12 V
battery house lithium 200 Ah
battery start gel 80 Ah
fuse main class-t 200 A
fuse small blade 10 A
alternator gen 60 A
charger mains 20 A
solar roof 100 W
controller sun 20 A
inverter box 600 W 1 h/day
load lamp lighting 10 W 4 h/day
run a
    house +
    25 mm2 0.1 m
    main
    25 mm2 2 m
    box
    back to house -
run b
    main out
    2.5 mm2 0.1 m
    small
    2.5 mm2 2 m
    lamp
    back to house -
run c
    gen +
    16 mm2 2 m
    start +
run i
    gen -
    16 mm2 2 m
    start -
run d
    mains +
    6 mm2 1 m
    house +
run e
    mains -
    6 mm2 1 m
    house -
run f
    roof +
    4 mm2 2 m
    sun pv
    back to roof -
run g
    sun battery +
    6 mm2 1 m
    house +
run h
    sun battery -
    6 mm2 1 m
    house -
";
