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

/// By hand: 0.0164 x 9.2 x 7 / 16 = 0.0660 V; 16 mm² tinned class 5 has 1.24 mohm/m at 20 °C (IEC
/// 60228, two quotations), at 25 °C 1.24 x (1 + 0.00393 x 5) = 1.2644, over 7 m 8.85 mohm, with
/// two crimps of 0.1 mohm 9.05 mohm; 6 AWG at 105 °C may carry 120 A (33 CFR 183.425 Table 5).
#[test]
fn a_feeder() {
    check(
        "domestic-feed+3",
        &expect![[r#"
            domestic-feed+3, 16 mm² red 7 m

            The conductor

            - from and to: house-isolator out to cabin-panel
            - size, S: 16 mm²
            - length: 7 m
            - temperature round it, T: 25 °C, the boat's
            - insulation: 105 °C

            Resistance

            - by the rule: r × L = 1.025 mΩ/m × 7 m = 7.18 mΩ (ISO 13297:2020, Annex C; two quotations)
            - per metre at 20 °C, r20: 1.24 mΩ/m (IEC 60228, maximum resistance at 20 °C; two quotations)
            - warmed, w: 1 + α × (T - 20 °C) = 1 + 0.00393 × (25.4 - 20) = 1.0214 (IEC 60028; two quotations)
            - as wired, with a crimp at each end: (r20 × w × L + 2 × crimp) = (1.24 mΩ/m × 1.0214 × 7 m + 2 × 0.1 mΩ) = 9.07 mΩ (common practice, no source)

            Current

            - what draws through it: 1.2 A cabin-lights + 7 A fresh-pump + 0.83 A tricolour + 0.17 A anchor-light = 9.2 A
            - design current, I, in everything: 9.2 A
            - of that without everything at once: 8.2 A

            Voltage lost, by the rule

            - lost here in everything, E: K × I × L / S = 0.0164 × 9.2 A × 7 m / 16 mm² = 0.066 V (ISO 13297:2020, Annex C; two quotations)
            - lost between the source and its far end: 0.071 V, 0.59 %
            - summed there and back, fresh-pump: 0.601 V, 5.01 %. The limit is 10 % (ABYC E-11, other lighting and non-critical circuits; two quotations).

            What it may carry

            - 6 AWG row, the next below 16 mm², 105 °C column: 120 A (33 CFR 183.425, Table 5; two quotations)
            - it may carry: base × ambient × bundle = 120 × 1 × 1 = 120 A

            Protection

            - ceiling, the largest device: share × what it may carry = 1 × 120 A = 120 A (UK small commercial vessel code, 8.2.4; one quotation)
            - into a short, for ever, past house-fuse 80 A: 80 A

            As wired

            - current in everything: 9.25 A
            - lost here: I × R = 9.25 A × 9.07 mΩ = 0.084 V
            - heat in it: I² × R = (9.25 A)² × 9.07 mΩ = 0.78 W"#]],
    );
}

#[test]
fn a_conductor_in_the_engine_bay() {
    check(
        "domestic-feed+1",
        &expect![[r#"
            domestic-feed+1, 16 mm² red 0.15 m

            The conductor

            - from and to: house-1 + to house-fuse feed
            - size, S: 16 mm²
            - length: 0.15 m
            - temperature round it, T: 50 °C in engine-bay
            - insulation: 105 °C

            Resistance

            - by the rule: r × L = 1.025 mΩ/m × 0.15 m = 0.154 mΩ (ISO 13297:2020, Annex C; two quotations)
            - per metre at 20 °C, r20: 1.24 mΩ/m (IEC 60228, maximum resistance at 20 °C; two quotations)
            - warmed, w: 1 + α × (T - 20 °C) = 1 + 0.00393 × (50.4 - 20) = 1.1197 (IEC 60028; two quotations)
            - as wired, with a crimp at each end: (r20 × w × L + 2 × crimp) = (1.24 mΩ/m × 1.1197 × 0.15 m + 2 × 0.1 mΩ) = 0.408 mΩ (common practice, no source)

            Current

            - what draws through it: 1.2 A cabin-lights + 7 A fresh-pump + 0.83 A tricolour + 0.17 A anchor-light = 9.2 A
            - design current, I, in everything: 9.2 A
            - of that without everything at once: 8.2 A

            Voltage lost, by the rule

            - lost here in everything, E: K × I × L / S = 0.0164 × 9.2 A × 0.15 m / 16 mm² = 0.00141 V (ISO 13297:2020, Annex C; two quotations)
            - lost between the source and its far end: 0.001 V, 0.01 %
            - summed there and back, fresh-pump: 0.601 V, 5.01 %. The limit is 10 % (ABYC E-11, other lighting and non-critical circuits; two quotations).

            What it may carry

            - 6 AWG row, the next below 16 mm², 105 °C column: 120 A (33 CFR 183.425, Table 5; two quotations)
            - ambient 50 °C: 120 A × 0.85 = 102 A (33 CFR 183.425, Table 5, note 1; two quotations)
            - it may carry: base × ambient × bundle = 120 × 0.85 × 1 = 102 A

            Protection

            - ceiling, the largest device: share × what it may carry = 1 × 102 A = 102 A (UK small commercial vessel code, 8.2.4; one quotation)
            - into a short, for ever: without limit: no device before it
            - distance of its nearer end from a battery's post, no device between: 0 m
            - distance within which a device has to stand: 0.178 m (ABYC E-11, overcurrent protection, 7 in of the source; two quotations)

            As wired

            - current in everything: 9.25 A
            - lost here: I × R = 9.25 A × 0.408 mΩ = 0.004 V
            - heat in it: I² × R = (9.25 A)² × 0.408 mΩ = 0.03 W"#]],
    );
}

#[test]
fn a_load_a_fuse_a_way_and_a_battery() {
    check(
        "tricolour",
        &expect![[r#"
        tricolour

        What it draws

        - nominal voltage of its circuit, V: 12 V
        - nominal current, I: P / V = 10 W / 12 V = 0.833 A

        What it may lose

        - vital to safety: navigation (ISO 13297:2020, voltage drop, what is vital to safety; one quotation)
        - may lose, baseline: 3 % (ABYC E-11, navigation lights; two quotations)

        Its way there and back, by the rule

        - house-1 +: 12.00 V left
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
        - lost in all in passage: 0.341 V / 12 V = 0.341 V, 2.84 %
        - left as wired, battery half charged: 11.82 V"#]],
    );
    check(
        "house-fuse",
        &expect![[r#"
            house-fuse 80 A

            What it carries

            - it has to carry, in everything: 9.2 A
            - its rating: 80 A, which carries the 9.2 A
            - resistance, as wired: drop at its rating / rating = 0.1 V / 80 A = 1.25 mΩ (common practice, no source)
            - smallest standard rating that carries it: 10 A (ISO 8820-3, rating series; two quotations)

            What it protects

            - ceiling of domestic-feed+2, 16 mm² red 0.4 m: share × what it may carry = 1 × 102 A = 102 A (UK small commercial vessel code, 8.2.4; one quotation)
            - ceiling of domestic-feed+3, 16 mm² red 7 m: share × what it may carry = 1 × 120 A = 120 A (UK small commercial vessel code, 8.2.4; one quotation)"#]],
    );
    check(
        "cabin-panel way 2",
        &expect![[r#"
            cabin-panel way 2, fuse 10 A

            What it carries

            - it has to carry, in fresh-pump alone: 7 A
            - its rating: 10 A, which carries the 7 A
            - resistance, as wired: drop at its rating / rating = 0.1 V / 10 A = 10 mΩ (common practice, no source)
            - smallest standard rating that carries it: 7.5 A (ISO 8820-3, rating series; two quotations)

            What it protects

            - ceiling of pump+1, twin 2.5 mm² 5 m: share × what it may carry = 1 × 35 A = 35 A (UK small commercial vessel code, 8.2.4; one quotation)"#]],
    );
    check(
        "house-1",
        &expect![[r#"
            battery house-1

            The battery

            - capacity: 100 Ah
            - at rest, half charged: of 12 V × nominal / 12 V = 12.3 V × 12 V / 12 V = 12.3 V (battery makers' tables of rest voltage; two quotations)
            - at rest, full: of 12 V × nominal / 12 V = 13 V × 12 V / 12 V = 13 V (battery makers' tables of rest voltage; two quotations)
            - resistance inside: of 100 Ah at 12 V × 100 Ah / capacity × nominal / 12 V = 4 mΩ × 100 / 100 × 1 = 4 mΩ (no document was seen; from memory)
            - usable: share × capacity = 0.5 × 100 Ah = 50 Ah (common practice, no source)

            Its part of the bank

            - its share in everything, as wired: its current / all of theirs = 4.62 A / 9.25 A = 50 %"#]],
    );
}

#[test]
fn what_is_not_there_gets_the_nearest() {
    check(
        "domestic-fed+3",
        &expect![[r#"Unknown(Some("domestic-feed+3"))"#]],
    );
    check("fresh-pmup", &expect![[r#"Unknown(Some("fresh-pump"))"#]]);
    check("cabin-negative", &expect!["Nothing"]);
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

/// Only the batteries' resistance is from memory in the example; a rule set's own table in another.
#[test]
fn figures_from_memory_are_those_that_the_plan_uses() {
    let memory = |text: &str| {
        let plan = Plan::of_text(text);
        let used = used::of(&plan).into_iter();
        used.filter(|figure| figure.tag == ampwright_electrics::source::Tag::M)
            .map(|figure| figure.what)
            .collect::<Vec<_>>()
    };
    assert_eq!(memory(CURLEW), ["battery resistance"]);
    let said = CURLEW.replace(
        "battery house-1 agm 100 Ah",
        "battery house-1 agm 100 Ah resistance 4 mohm",
    );
    assert!(memory(&said).is_empty());
    let iso = CURLEW.replace("    ambient 25 C", "    ambient 25 C\n    rules iso-13297");
    assert!(memory(&iso).len() > 1, "{:?}", memory(&iso));
    let gel = CURLEW.replace("house-1 agm", "house-1 gel");
    assert!(
        memory(&gel).contains(&"rest voltage of a gel battery".to_owned()),
        "{:?}",
        memory(&gel)
    );
}
