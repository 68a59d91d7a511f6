//! The law of the United States, 33 CFR part 183 subpart I, and what is printed about it.

use ampwright_electrics::{
    AmpacityAsk, Amperes, Celsius, Lie, RuleName, RuleSet, Size, Tag, Volts,
};

const INSULATIONS: [f64; 7] = [60.0, 75.0, 80.0, 90.0, 105.0, 125.0, 200.0];

/// 33 CFR 183.425 Table 5, the whole of it: two quotations at 105 °C, one elsewhere.
const TABLE_5: [(i8, [f64; 7]); 15] = [
    (18, [10.0, 10.0, 15.0, 20.0, 20.0, 25.0, 25.0]),
    (16, [15.0, 15.0, 20.0, 25.0, 25.0, 30.0, 35.0]),
    (14, [20.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0]),
    (12, [25.0, 25.0, 35.0, 40.0, 45.0, 50.0, 55.0]),
    (10, [40.0, 40.0, 50.0, 55.0, 60.0, 70.0, 70.0]),
    (8, [55.0, 65.0, 70.0, 70.0, 80.0, 90.0, 100.0]),
    (6, [80.0, 95.0, 100.0, 100.0, 120.0, 125.0, 135.0]),
    (4, [105.0, 125.0, 130.0, 135.0, 160.0, 170.0, 180.0]),
    (3, [120.0, 145.0, 150.0, 155.0, 180.0, 195.0, 210.0]),
    (2, [140.0, 170.0, 175.0, 180.0, 210.0, 225.0, 240.0]),
    (1, [165.0, 195.0, 210.0, 210.0, 245.0, 265.0, 280.0]),
    (0, [195.0, 230.0, 245.0, 245.0, 285.0, 305.0, 325.0]),
    (-1, [225.0, 265.0, 285.0, 285.0, 330.0, 355.0, 370.0]),
    (-2, [260.0, 310.0, 330.0, 330.0, 385.0, 410.0, 430.0]),
    (-3, [300.0, 360.0, 385.0, 385.0, 445.0, 475.0, 510.0]),
];

fn ask(size: Size, insulation: f64) -> AmpacityAsk {
    AmpacityAsk {
        size,
        insulation: Celsius(insulation),
        ambient: Celsius(30.0),
        bundled: 1,
        parallel: 1,
        system: Volts(12.0),
        carries: None,
    }
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

#[test]
fn every_cell_of_table_5() {
    for name in [RuleName::UsCfr183, RuleName::Baseline, RuleName::AbycE11] {
        for (gauge, row) in TABLE_5 {
            for (insulation, amperes) in INSULATIONS.into_iter().zip(row) {
                let found = RuleSet::get(name).ampacity(&ask(Size::Awg(gauge), insulation));
                assert!(
                    near(found.value.0, amperes),
                    "{name} {gauge} AWG {insulation}: {found}"
                );
                let tag = if near(insulation, 105.0) {
                    Tag::S2
                } else {
                    Tag::S1
                };
                assert_eq!(found.tag(), tag);
            }
        }
    }
}

/// The notes to Table 5, two quotations: bundles, 105 °C in engine spaces, and their product,
/// 10 AWG at 105 °C, three bundled, in an engine space: 35.7 A.
#[test]
fn notes_to_table_5() {
    let rules = RuleSet::get(RuleName::Baseline);
    let factor = |bundled| rules.bundling_factor(bundled, Volts(12.0)).value;
    let printed = [
        (1, 1.0),
        (2, 1.0),
        (3, 0.7),
        (4, 0.6),
        (6, 0.6),
        (7, 0.5),
        (24, 0.5),
        (25, 0.4),
        (99, 0.4),
    ];
    for (bundled, expected) in printed {
        assert!(near(factor(bundled), expected), "{bundled}");
    }
    let engine = AmpacityAsk {
        ambient: Celsius(50.0),
        bundled: 3,
        ..ask(Size::Awg(10), 105.0)
    };
    assert!(near(rules.ampacity(&engine).value.0, 35.7));
    assert!(near(rules.engine_space().value.0, 50.0));
}

/// §183.435(b), one quotation: bundles count from 50 V only.
#[test]
fn the_law_has_no_bundling_below_50_volts() {
    let rules = RuleSet::get(RuleName::UsCfr183);
    let at = |volts| {
        rules.ampacity(&AmpacityAsk {
            bundled: 3,
            system: Volts(volts),
            ..ask(Size::Awg(10), 105.0)
        })
    };
    assert!(near(at(48.0).value.0, 60.0));
    assert!(near(at(50.0).value.0, 42.0));
    assert!(at(48.0).to_string().contains("183.435"), "{}", at(48.0));
}

/// A cable maker's table for boat cable of 105 °C, one quotation: every one of its 112 cells is
/// Table 5 times 0.85 in the engine space times the bundle's factor.
#[test]
fn the_products_a_cable_maker_prints() {
    let rules = RuleSet::get(RuleName::Baseline);
    let cell = |gauge, bundled, ambient| {
        let ask = AmpacityAsk {
            ambient: Celsius(ambient),
            bundled,
            ..ask(Size::Awg(gauge), 105.0)
        };
        rules.ampacity(&ask).value.0
    };
    let mut cells = 0;
    for (gauge, row) in TABLE_5.into_iter().filter(|(gauge, _)| *gauge != 3) {
        for (bundled, factor) in [(2, 1.0), (3, 0.7), (6, 0.6), (24, 0.5)] {
            assert!(near(cell(gauge, bundled, 30.0), row[4] * factor));
            assert!(near(cell(gauge, bundled, 50.0), row[4] * factor * 0.85));
            cells += 2;
        }
    }
    assert_eq!(cells, 112);
    // The cells that were quoted, to their last printed digit.
    let printed = |value: f64, shown: f64| (value - shown).abs() <= 0.05 + 1e-9;
    assert!(printed(cell(16, 3, 30.0), 17.5) && printed(cell(16, 3, 50.0), 14.9));
    assert!(printed(cell(14, 6, 30.0), 21.0) && printed(cell(14, 6, 50.0), 17.9));
    assert!(printed(cell(2, 24, 30.0), 105.0) && printed(cell(2, 24, 50.0), 89.3));
}

/// NEC 310.15(B)(1) as table E3705.2 of a state building code, two quotations: the factor at the
/// top of each band, and the line between them within 0.005 (derived).
#[test]
fn ambient_factors_of_the_electrical_code() {
    let rules = RuleSet::get(RuleName::Baseline);
    let printed: [(f64, [f64; 10]); 3] = [
        (
            60.0,
            [1.0, 0.91, 0.82, 0.71, 0.58, 0.41, 0.0, 0.0, 0.0, 0.0],
        ),
        (
            75.0,
            [1.0, 0.94, 0.88, 0.82, 0.75, 0.67, 0.58, 0.47, 0.33, 0.0],
        ),
        (
            90.0,
            [1.0, 0.96, 0.91, 0.87, 0.82, 0.76, 0.71, 0.65, 0.58, 0.50],
        ),
    ];
    for (insulation, factors) in printed {
        for (band, expected) in factors.into_iter().enumerate() {
            let ambient = 30.0 + 5.0 * band as f64;
            let found = rules.ambient_factor(Celsius(insulation), Celsius(ambient));
            assert!(
                (found.value - expected).abs() <= 0.005,
                "{insulation} at {ambient}: {found}"
            );
        }
    }
    assert!(near(
        rules.ambient_factor(Celsius(60.0), Celsius(50.0)).value,
        0.58
    ));
    assert!(near(
        rules.ambient_factor(Celsius(60.0), Celsius(10.0)).value,
        1.0
    ));
}

/// Derived: sqrt((T - 50) / (T - 30)) at 80 and 125 °C, 0.775 and 0.889; at 200 °C 0.94, the lower
/// of what is printed. At 105 °C the law prints 0.85, two quotations, where the line gives 0.856.
#[test]
fn engine_space_factors_by_the_line() {
    for name in [RuleName::Baseline, RuleName::UsCfr183] {
        for (insulation, expected, tag) in [
            (80.0, 0.775, Tag::D),
            (125.0, 0.889, Tag::D),
            (200.0, 0.94, Tag::D),
            (105.0, 0.85, Tag::S2),
        ] {
            let found = RuleSet::get(name).ambient_factor(Celsius(insulation), Celsius(50.0));
            assert!(
                (found.value - expected).abs() <= 0.001,
                "{insulation}: {found}"
            );
            assert_eq!(found.tag, tag, "{insulation}");
        }
    }
}

/// §183.455, one quotation, and §183.425, two: ceilings, distances, smallest sizes.
#[test]
fn protection_and_sizes() {
    let law = RuleSet::get(RuleName::UsCfr183);
    assert!(near(law.ceiling(Volts(12.0)).value, 1.5));
    assert!(near(law.ceiling(Volts(50.0)).value, 1.0));
    assert_eq!(
        law.next_size_up_within(Volts(50.0))
            .map(|share| share.value),
        Some(1.5)
    );
    assert_eq!(law.next_size_up_within(Volts(12.0)), None);
    let inches = |lie| {
        law.distance(lie)
            .map(|distance| (distance.value.0 / 0.0254).round())
    };
    assert_eq!(
        (inches(Lie::Bare), inches(Lie::Sheathed)),
        (Some(7.0), Some(40.0))
    );
    assert_eq!(
        law.minimum_size(false).map(|size| size.value),
        Some(Size::Awg(16))
    );
    assert_eq!(
        law.minimum_size(true).map(|size| size.value),
        Some(Size::Awg(18))
    );
    // Not for pigtails under 7 in and electronic circuits under 1 A.
    let pigtail = law.minimum_size_exempt_length();
    assert_eq!(
        pigtail.map(|length| (length.value.0 / 0.0254).round()),
        Some(7.0)
    );
    assert_eq!(
        law.minimum_size_exempt_electronics().map(|amps| amps.value),
        Some(Amperes(1.0))
    );
    assert_eq!(
        law.drop_limit(ampwright_electrics::LoadClass::Navigation, true),
        None
    );
}

/// A derived figure: for a metric size the row of the largest gauge that is no larger.
#[test]
fn metric_sizes_take_the_row_below() {
    let rules = RuleSet::get(RuleName::Baseline);
    let rows = [
        (1.0, 20.0),
        (1.5, 25.0),
        (2.5, 35.0),
        (4.0, 45.0),
        (6.0, 60.0),
        (10.0, 80.0),
        (16.0, 120.0),
        (25.0, 160.0),
        (35.0, 210.0),
        (50.0, 245.0),
        (70.0, 330.0),
        (95.0, 385.0),
        (120.0, 445.0),
    ];
    for (mm2, amperes) in rows {
        let found = rules.ampacity(&ask(Size::Mm2(mm2), 105.0));
        assert!(near(found.value.0, amperes), "{mm2}: {found}");
        assert_eq!(found.tag(), Tag::D);
    }
}

/// 16 mm² of 105 °C in an engine space, as one would reckon it by hand: 6 AWG's 120 A times 0.85.
#[test]
fn a_hand_figure_with_its_steps() {
    let rules = RuleSet::get(RuleName::Baseline);
    let found = rules.ampacity(&AmpacityAsk {
        ambient: Celsius(50.0),
        ..ask(Size::Mm2(16.0), 105.0)
    });
    assert!(near(found.value.0, 102.0));
    assert_eq!(
        found.to_string(),
        "6 AWG row, the next below 16 mm², 105 °C column: 120 A (33 CFR 183.425, Table 5; two quotations)\n\
         120 A × 0.85 (ambient 50 °C) = 102 A (33 CFR 183.425, Table 5, note 1; two quotations)"
    );
}

/// A derived figure: 70 °C is the 75 °C column times sqrt(40/45) = 0.943.
#[test]
fn common_insulation_without_a_column() {
    let rules = RuleSet::get(RuleName::Baseline);
    let found = rules.ampacity(&ask(Size::Mm2(2.5), 70.0));
    assert!(near(found.value.0, 20.0 * (40.0_f64 / 45.0).sqrt()));
    assert!(
        found
            .to_string()
            .contains("20 A × 0.943 (as 70 °C insulation) = 18.9 A"),
        "{found}"
    );
    let between = rules.ampacity(&ask(Size::Awg(10), 85.0));
    assert!(
        near(between.value.0, 50.0)
            && between
                .to_string()
                .contains("80 °C column, the next below 85 °C")
    );
}

/// ISO 10133:2012 clause 7.6, one quotation: the maker's rated current instead of the table.
#[test]
fn the_makers_own_figure() {
    let rules = RuleSet::get(RuleName::Baseline);
    let ask = AmpacityAsk {
        carries: Some(Amperes(140.0)),
        ambient: Celsius(50.0),
        ..ask(Size::Mm2(16.0), 105.0)
    };
    assert!(near(rules.ampacity(&ask).value.0, 119.0));
    assert!(near(rules.highest_ampacity(Size::Mm2(16.0)).value.0, 135.0));
}
