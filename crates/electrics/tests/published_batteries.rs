//! Batteries, their air, and solar panels against what is printed of them.
#![allow(
    clippy::float_cmp,
    reason = "a figure that is printed is compared as it is printed"
)]

use ampwright_electrics::{
    AmpHours, Amperes, Tag, Volts,
    battery::{Charge, Chemistry, lasts},
    network::{Branch, Solver},
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

/// EN 50272-2 / IEC 62485-2: Q = 0.05 n Igas C / 1000 and A = 28 Q, two quotations; 0.05 is
/// 24 × 0.42e-3 × 5, one; boost charge 20 mA/Ah vented, 8 valve-regulated, one.
#[test]
fn figures_of_gas() {
    let (air, opening) = (ventilation::AIR_PER_GASSING, ventilation::OPENING_PER_AIR);
    assert_eq!([air.value, opening.value], [0.05, 28.0]);
    assert_eq!([air.tag, opening.tag], [Tag::S2; 2]);
    assert!((24.0_f64 * 0.42e-3 * 5.0 - air.value).abs() < 5e-4);
    for (chemistry, milliamps) in [
        (Chemistry::Flooded, 20.0),
        (Chemistry::Agm, 8.0),
        (Chemistry::Gel, 8.0),
    ] {
        let gassing = ventilation::gassing(chemistry).unwrap();
        assert_eq!((gassing.value, gassing.tag), (milliamps, Tag::S1));
    }
    // Derived: n = 6, 200 Ah, valve-regulated: Q = 0.05 × 6 × 8 × 200 / 1000 = 0.48 m³/h.
    let sealed = ventilation::wanted(Chemistry::Agm, AmpHours(200.0), Volts(12.0)).unwrap();
    assert!((sealed.air.value - 0.48).abs() < 1e-9);
    assert!((sealed.opening.value - 13.44).abs() < 1e-9);
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
    assert_eq!(solar::CIRCUIT_CURRENT.tag, Tag::S2);
}

/// NEC 690.7(A), one quotation: 1.10 at 0 °C; 22 V → 24.2 V.
#[test]
fn a_cold_panel() {
    let cold = solar::open_circuit_at_freezing(Volts(22.0));
    assert!((cold.value.0 - 24.2).abs() < 1e-9);
    assert_eq!(cold.tag, Tag::S1);
}

/// UK inland small passenger boat code 8.5.2, one quotation: above 0.2 kW of charging power a
/// well-ventilated space, above 2 kW a compartment of their own or the deck.
#[test]
fn charging_power_that_asks_for_air() {
    let (well, own) = (
        ventilation::WELL_VENTILATED_ABOVE,
        ventilation::OWN_COMPARTMENT_ABOVE,
    );
    assert_eq!([well.value, own.value], [200.0, 2000.0]);
    assert_eq!([well.tag, own.tag], [Tag::S1; 2]);
}

/// ABYC E-11, one quotation: parallel strings add, cells in series do not. Six blocks of 6 V as
/// 12 V, 2 400 A each → 7 200 A. A block that gives 2 400 A at 6 V has 2.5 mohm.
#[test]
fn strings_in_parallel_add_their_short_circuit() {
    let block = |from, to| Branch {
        from,
        to,
        ohms: 6.0 / 2_400.0,
        emf: 6.0,
    };
    let mut branches: Vec<Branch> = (2..5)
        .flat_map(|middle| [block(0, middle), block(middle, 1)])
        .collect();
    let solver = Solver::new(5, &branches);
    let inside = solver.resistances(&[(1, 0)])[0];
    assert!((12.0 / inside.high - 7_200.0).abs() < 1e-6, "{inside:?}");
    branches.push(Branch {
        from: 1,
        to: 0,
        ohms: 0.0,
        emf: 0.0,
    });
    let short = Solver::new(5, &branches).solve(&[]).amps[6];
    assert!((short - 7_200.0).abs() < 1e-6, "{short}");
}
