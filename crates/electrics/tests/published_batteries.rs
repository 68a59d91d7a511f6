//! Batteries, their air, and solar panels against what is printed of them.

use ampwright_electrics::{
    AmpHours, Amperes, Celsius, Tag, Volts,
    battery::{Charge, Chemistry, lasts},
    solar, ventilation,
};

/// Two published sums, one quotation each, put the nameplate capacity into the 1-ampere form: they
/// test the algebra only. A rated time equal to the capacity makes the rated form the 1-ampere form.
#[test]
fn peukert_by_algebra() {
    let hours = |capacity: f64, exponent, current| {
        lasts(AmpHours(capacity), capacity, exponent, Amperes(current)).0 / 3600.0
    };
    assert!((hours(100.0, 1.2, 5.0) - 14.5).abs() <= 0.05);
    assert!((hours(250.0, 1.3, 20.0) - 5.0886).abs() <= 5e-5);
}

/// Rest voltages of a block of 12 V, two quotations for lead, one for lithium: within their bands.
#[test]
fn rest_voltages() {
    let bands = [
        (Chemistry::Flooded, Charge::Half, 12.20, 12.24),
        (Chemistry::Agm, Charge::Half, 12.3, 12.3),
        (Chemistry::Agm, Charge::Full, 12.8, 13.2),
        (Chemistry::Lithium, Charge::Half, 12.9, 13.3),
        (Chemistry::Lithium, Charge::Full, 13.4, 13.6),
    ];
    for (chemistry, charge, least, most) in bands {
        let found = chemistry.rest_volts(charge);
        assert!(
            (least..=most).contains(&found.value.0),
            "{chemistry}: {found}"
        );
        assert!(found.tag.may_be_error());
    }
    // 12.60 to 12.68 V, rounded up: for the largest fault more is safer.
    assert!(Chemistry::Flooded.rest_volts(Charge::Full).value.0 >= 12.68);
    assert_eq!(Chemistry::Gel.rest_volts(Charge::Half).tag, Tag::M);
}

/// EN 50272-2: n = 6, 200 Ah, vented, boost charge: Q = 1.20 m³/h, A = 33.6 cm² (derived).
#[test]
fn air_for_a_vented_bank() {
    let wanted = ventilation::wanted(Chemistry::Flooded, AmpHours(200.0), Volts(12.0)).unwrap();
    assert!((wanted.air.value - 1.20).abs() < 1e-9);
    assert!((wanted.opening.value - 33.6).abs() < 1e-9);
    assert_eq!(
        ventilation::wanted(Chemistry::Lithium, AmpHours(200.0), Volts(12.0)),
        None
    );
}

/// NEC 690.8, two quotations; 9.2 A → 11.5 A → 14.4 A (derived).
#[test]
fn a_panels_circuit() {
    assert!((solar::circuit_current(Amperes(9.2)).value.0 - 11.5).abs() <= 0.05);
    assert!((solar::least_rating(Amperes(9.2)).value.0 - 14.4).abs() <= 0.05);
    assert!((solar::CIRCUIT_CURRENT.value * solar::CONTINUOUS.value - 1.5625).abs() < 1e-12);
    assert!(solar::open_circuit(Volts(22.0), Celsius(-10.0)).0 > 24.0);
}
