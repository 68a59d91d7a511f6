//! Drop formulas against the examples and tables that are printed with them.

use ampwright_electrics::{
    Amperes, AwgAreas, LoadClass, Metres, RuleName, RuleSet, Size, SquareMillimetres, Tag, Volts,
    drop::{DropFormula, FOOT},
};

fn formula(name: RuleName) -> DropFormula {
    RuleSet::get(name).drop_formula()
}

fn feet(feet: f64) -> Metres {
    Metres(feet * FOOT)
}

/// ISO 10133 Annex C, one quotation: 1.6 A, 22 m round trip, 1.5 mm² → 0.38 V.
#[test]
fn the_metric_example() {
    for name in [RuleName::Iso13297, RuleName::Baseline] {
        let drop = formula(name).drop(Amperes(1.6), Metres(22.0), SquareMillimetres(1.5));
        assert!((drop.0 - 0.38).abs() <= 0.005, "{drop}");
    }
    let worked = formula(RuleName::Baseline).worked(
        Amperes(1.6),
        Metres(22.0),
        Size::Mm2(1.5),
        AwgAreas::Astm,
    );
    assert_eq!(worked, "0.0164 × 1.6 A × 22 m / 1.5 mm² = 0.385 V");
}

/// K = 10.75, one quotation, is 0.017871 ohm mm²/m (derived); 0.0164 is 4.9 % below standard copper (derived).
#[test]
fn constants_are_not_copper() {
    assert!((formula(RuleName::AbycE11).ohm_mm2_per_metre() - 0.017_871).abs() < 5e-7);
    assert!((formula(RuleName::Iso13297).ohm_mm2_per_metre() / 0.017_241 - 0.951).abs() < 5e-4);
}

/// ABYC E-11, two quotations: a bilge pump of 10 A, 12 V, 21 ft round trip, 3 % → CM = 6 270.8, that
/// is 12 AWG by the gauge's own area and 10 AWG by the SAE area. At 10 % 16 AWG by either (one quotation).
#[test]
fn the_bilge_pump() {
    let formula = formula(RuleName::AbycE11);
    let mils = formula.area_for(Amperes(10.0), feet(21.0), Volts(0.36)).0
        / ampwright_electrics::conductor::awg::CIRCULAR_MIL;
    assert!((mils - 6_270.8).abs() < 0.05, "{mils}");
    let size = |limit, areas| {
        formula.size_for(Amperes(10.0), feet(21.0), Volts(limit), Size::Awg(0), areas)
    };
    assert_eq!(size(0.36, AwgAreas::Astm), Some(Size::Awg(12)));
    assert_eq!(size(0.36, AwgAreas::Sae), Some(Size::Awg(10)));
    assert_eq!(size(1.2, AwgAreas::Astm), Some(Size::Awg(16)));
    assert_eq!(size(1.2, AwgAreas::Sae), Some(Size::Awg(16)));
    let worked = formula.worked(Amperes(10.0), feet(21.0), Size::Awg(12), AwgAreas::Sae);
    assert_eq!(worked, "10.75 × 10 A × 21 ft / 5833 CM = 0.387 V");
}

/// Misprinted, or not by the formula.
const X: i8 = i8::MAX;
/// Not in the table.
const NONE: i8 = i8::MIN;

/// ABYC E-11, the 3 % table at 12 V as quoted, one quotation: gauges by feet there and back and by
/// amperes. Cells that the formula does not give are left out, and the misprinted rows for 25 and 30 ft.
const THREE_PER_CENT: [(f64, [i8; 13]); 9] = [
    (10.0, [18, 14, 12, X, 10, 10, 8, X, 6, 6, 6, 4, 4]),
    (15.0, [16, 12, 10, 10, 8, 8, 6, 6, 4, 4, 4, 2, 2]),
    (20.0, [14, 10, 10, 8, 6, 6, 6, 4, 4, 2, 2, 2, 2]),
    (40.0, [10, 8, 6, 6, 4, 4, 2, 2, 1, 0, 0, -1, -1]),
    (50.0, [10, 6, 6, 4, 4, 2, 2, 1, 0, -1, -1, X, X]),
    (60.0, [10, 6, X, 4, 2, 2, 1, 0, -1, -2, -2, -3, -3]),
    (70.0, [8, 6, 4, 2, 2, 1, 0, -1, -2, -2, -3, -3, NONE]),
    (80.0, [8, 6, 4, 2, 2, 1, 0, -1, -2, -3, -3, NONE, NONE]),
    (100.0, [X, 4, 2, 2, 1, 0, -1, -2, -3, X, NONE, NONE, NONE]),
];

const AMPERES: [f64; 13] = [
    5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0,
];

#[test]
fn the_three_per_cent_table() {
    let formula = formula(RuleName::AbycE11);
    let mut checked = 0;
    for (length, row) in THREE_PER_CENT {
        for (amperes, gauge) in AMPERES
            .into_iter()
            .zip(row)
            .filter(|(_, gauge)| *gauge != X)
        {
            let found = formula.size_for(
                Amperes(amperes),
                feet(length),
                Volts(0.36),
                Size::Awg(0),
                AwgAreas::Sae,
            );
            let printed = (gauge != NONE).then_some(Size::Awg(gauge));
            assert_eq!(found, printed, "{length} ft, {amperes} A");
            checked += 1;
        }
    }
    assert_eq!(checked, 110);
}

/// ABYC E-11, two quotations; ISO 13297, one: limits by class.
#[test]
fn limits_by_class() {
    let per_cent = |name, class, critical| {
        RuleSet::get(name)
            .drop_limit(class, critical)
            .map(|limit| limit.value)
    };
    for name in [RuleName::Baseline, RuleName::AbycE11] {
        for class in [
            LoadClass::Navigation,
            LoadClass::Blower,
            LoadClass::Electronics,
            LoadClass::BilgePump,
        ] {
            assert_eq!(per_cent(name, class, false), Some(3.0), "{name} {class}");
        }
        for class in [
            LoadClass::Lighting,
            LoadClass::Pump,
            LoadClass::Refrigerator,
        ] {
            assert_eq!(per_cent(name, class, false), Some(10.0));
            assert_eq!(per_cent(name, class, true), Some(3.0));
        }
        assert_eq!(
            RuleSet::get(name)
                .feeder_drop_limit()
                .map(|limit| (limit.value, limit.tag)),
            Some((3.0, Tag::S2))
        );
    }
    for class in [
        LoadClass::Navigation,
        LoadClass::Blower,
        LoadClass::BilgePump,
        LoadClass::Alarm,
    ] {
        assert_eq!(per_cent(RuleName::Iso13297, class, false), Some(3.0));
    }
    assert!(RuleSet::get(RuleName::Baseline).is_vital(LoadClass::Alarm));
    assert!(!RuleSet::get(RuleName::Baseline).is_vital(LoadClass::Lighting));
}

/// By the rule a conductor has the formula's resistance, not copper's.
#[test]
fn resistance_by_the_rule() {
    let metric = RuleSet::get(RuleName::Baseline).drop_resistance(Size::Mm2(2.5));
    assert!((metric.value - 0.0164 / 2.5).abs() < 1e-15);
    let gauge = RuleSet::get(RuleName::AbycE11).drop_resistance(Size::Awg(10));
    assert!((gauge.value * FOOT - 10.75 / 9_343.0).abs() < 1e-9);
}
