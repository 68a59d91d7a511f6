//! Devices, short heat, ceilings and distances against what is printed of them.

use ampwright_electrics::{
    AmpHours, AmpacityAsk, Amperes, Celsius, Lie, LoadClass, Role, RuleName, RuleSet, Seconds,
    Size, Tag, Volts,
    protection::{
        BLADE_RATINGS, Family, adiabatic,
        adiabatic::{k, k_between, least_area},
        blade_colour, time,
    },
    rules::{Bank, Edition},
};

/// IEC 60364-5-54, one quotation: k of copper is 115 in PVC (70 to 160 °C) and 143 in XLPE (90 to
/// 250 °C); its own formula gives 114.8 and 142.9 (derived).
#[test]
fn heat_in_a_short_time() {
    assert!((k_between(Celsius(70.0), Celsius(160.0)) - 114.8).abs() < 0.05);
    assert!((k_between(Celsius(90.0), Celsius(250.0)) - 142.9).abs() < 0.05);
    assert!((k(Celsius(70.0)).value - 115.0).abs() < 1e-9);
    assert!(k(Celsius(105.0)).value < k(Celsius(75.0)).value);
    // Worked, one quotation: 12 kA for 0.02 s at k = 143 → 11.9 mm².
    let area = least_area(Amperes(12_000.0), Seconds(0.02), 143.0);
    assert!((area.0 - 11.9).abs() <= 0.05, "{area}");
    let time = adiabatic::longest_time(Amperes(12_000.0), area, 143.0);
    assert!((time.0 - 0.02).abs() < 1e-12);
    // One quotation: up to 5 s.
    let longest = adiabatic::LONGEST;
    assert_eq!((longest.value, longest.tag), (Seconds(5.0), Tag::S1));
    // Derived by the same formula: ln(1 + 70 / 324.5) = 0.1953, times 50 927, the root of it.
    assert!((k_between(Celsius(90.0), Celsius(160.0)) - 99.7).abs() < 0.05);
    assert_eq!(
        (k(Celsius(70.0)).tag, k(Celsius(90.0)).tag),
        (Tag::S1, Tag::D)
    );
}

/// ISO 8820, one quotation each: -3 blades 32 or 58 V, up to 100 A, 1 000 A; -5 strips 32 V, 30 to
/// 500 A, 2 000 A; -6 single-bolt 58 V, up to 300 A, 2 000 A, and -4 bolt-in 32 or 58 V, which
/// share a word here: of their voltages the lower.
#[test]
fn families_of_iso_8820() {
    for (family, volts, amps, breaks) in [
        (Family::Blade, 32.0, 100.0, 1_000.0),
        (Family::Strip, 32.0, 500.0, 2_000.0),
        (Family::BoltDown, 32.0, 300.0, 2_000.0),
    ] {
        let capacity = family.breaking_capacity(Amperes(amps)).unwrap();
        let rated = family.rated_volts().unwrap();
        let range = family.range().unwrap();
        assert_eq!(
            (rated.value, range.value.1, capacity.value),
            (Volts(volts), amps, Amperes(breaks)),
            "{family}"
        );
        assert_eq!([rated.tag, range.tag, capacity.tag], [Tag::S1; 3]);
    }
    assert_eq!(Family::Strip.range().map(|r| r.value.0), Some(30.0));
    // ISO 8820-4's bolt-in fuses, up to 140 A, break 1 000 A.
    let bolted = |amps| {
        Family::BoltDown
            .breaking_capacity(Amperes(amps))
            .map(|most| most.value)
    };
    assert_eq!(bolted(140.0), Some(Amperes(1_000.0)));
    assert_eq!(bolted(150.0), Some(Amperes(2_000.0)));
    // Nothing of a tube's breaking was seen: it is not asked.
    assert_eq!(Family::Cartridge.breaking_capacity(Amperes(20.0)), None);
}

/// ISO 8820-3, two quotations: ratings and colours of blades.
#[test]
fn blades() {
    let colours = [
        (1.0, "black"),
        (2.0, "grey"),
        (3.0, "violet"),
        (4.0, "pink"),
        (5.0, "tan"),
        (7.5, "brown"),
        (10.0, "red"),
        (15.0, "blue"),
        (20.0, "yellow"),
        (25.0, "clear"),
        (30.0, "green"),
        (40.0, "orange"),
    ];
    for (rating, colour) in colours {
        assert_eq!(blade_colour(Amperes(rating)).map(|c| c.value), Some(colour));
        assert_eq!(
            Family::Blade.is_standard(Amperes(rating)).map(|s| s.value),
            Some(true)
        );
    }
    assert_eq!(blade_colour(Amperes(35.0)), None);
    assert_eq!(
        Family::Blade.is_standard(Amperes(35.0)).map(|s| s.value),
        Some(true)
    );
    for between in [0.5, 6.0, 8.0, 12.0, 16.0, 32.0, 39.0] {
        let standard = Family::Blade.is_standard(Amperes(between));
        assert_eq!(standard.map(|s| s.value), Some(false), "{between} A");
    }
    assert_eq!(BLADE_RATINGS.value.len(), 13);
    assert_eq!(BLADE_RATINGS.tag, Tag::S2);
}

/// UL 248-14: within an hour at 135 % (two quotations), within two minutes at 200 % up to 30 A (two
/// quotations), within four from 35 to 60 A (one quotation).
#[test]
fn supplementary_fuses_open() {
    let opens = |rating, current| {
        time::slow_edge(Family::Cartridge, Amperes(rating), Amperes(current))
            .map(|edge| edge.value.0)
    };
    assert_eq!(opens(10.0, 13.5), Some(3600.0));
    assert_eq!(opens(30.0, 60.0), Some(120.0));
    assert_eq!(opens(35.0, 70.0), Some(240.0));
    assert_eq!(opens(10.0, 10.0), Some(f64::INFINITY));
    assert_eq!(opens(100.0, 200.0), None);
    let tag = |rating| {
        time::slow_edge(Family::Cartridge, Amperes(rating), Amperes(2.0 * rating))
            .map(|edge| edge.tag)
    };
    assert_eq!((tag(30.0), tag(35.0)), (Some(Tag::S2), Some(Tag::S1)));
}

/// ABYC E-11, one quotation: 2/0 AWG of 105 °C carries 330 A and takes a device up to 495 A.
#[test]
fn a_ceiling_worked() {
    let rules = RuleSet::get(RuleName::AbycE11);
    let ask = AmpacityAsk {
        size: Size::Awg(-1),
        insulation: Celsius(105.0),
        ambient: Celsius(30.0),
        bundled: 1,
        parallel: 1,
        system: Volts(12.0),
        carries: None,
    };
    let most = rules.ampacity(&ask).value * rules.ceiling(ask.system).value;
    assert!((most.0 - 495.0).abs() < 1e-9);
}

/// ABYC E-11, two quotations: 7 in, 40 in sheathed, 72 in sheathed at the battery; cranking is exempt.
/// UK small commercial vessel code 8.2.4, one quotation: at most 100 %.
#[test]
fn distances_and_ceiling_of_the_published_figures() {
    let rules = RuleSet::get(RuleName::Baseline);
    let inches = |lie| rules.distance(lie).map(|d| (d.value.0 / 0.0254).round());
    assert_eq!(
        [Lie::Bare, Lie::Sheathed, Lie::SheathedAtPost].map(inches),
        [Some(7.0), Some(40.0), Some(72.0)]
    );
    assert!((rules.ceiling(Volts(12.0)).value - 1.0).abs() < 1e-12);
    assert_eq!(
        rules.cranking_exempt().map(|exempt| exempt.value),
        Some(true)
    );
    // ISO 13297 12.3, one quotation.
    assert_eq!(
        rules.charging_source_distance().map(|d| d.value.0),
        Some(1.8)
    );
    // ISO 13297, one quotation.
    assert_eq!(
        rules.minimum_size(false).map(|s| s.value),
        Some(Size::Mm2(1.0))
    );
    assert_eq!(
        rules.minimum_size(true).map(|s| s.value),
        Some(Size::Mm2(0.75))
    );
    assert_eq!(
        rules.minimum_size_exempt_length().map(|d| d.value.0),
        Some(0.2)
    );
}

/// ABYC E-11, older edition and clause 11.10.1.2.3.2, one quotation each.
#[test]
fn interrupting_capacity() {
    let rules = RuleSet::get(RuleName::AbycE11);
    let older = |cranking| {
        let bank = Bank {
            cranking: Amperes(cranking),
            ..Bank::default()
        };
        rules
            .interrupting(Edition::Older, bank)
            .map(|asked| (asked.main.value.0, asked.branch.value.0))
    };
    assert_eq!(older(650.0), Some((1_500.0, 750.0)));
    assert_eq!(older(651.0), Some((3_000.0, 1_500.0)));
    assert_eq!(older(1_100.0), Some((3_000.0, 1_500.0)));
    assert_eq!(older(1_101.0), Some((5_000.0, 2_500.0)));
    let newer = |amp_hours, short_circuit| {
        let bank = Bank {
            capacity: AmpHours(amp_hours),
            short_circuit: Amperes(short_circuit),
            ..Bank::default()
        };
        rules
            .interrupting(Edition::Newer, bank)
            .map(|asked| asked.main.value.0)
    };
    assert_eq!(newer(500.0, 12_000.0), Some(20_000.0));
    assert_eq!(newer(500.0, 9_000.0), None);
    assert_eq!(newer(400.0, 12_000.0), None);
    let by_cranking = |cranking| {
        let bank = Bank {
            cranking: Amperes(cranking),
            short_circuit: Amperes(12_000.0),
            ..Bank::default()
        };
        rules
            .interrupting(Edition::Newer, bank)
            .map(|asked| asked.main.value.0)
    };
    assert_eq!(by_cranking(2_200.0), Some(20_000.0));
    assert_eq!(by_cranking(2_199.0), None);
    assert_eq!(
        RuleSet::get(RuleName::Baseline).interrupting(Edition::Older, Bank::default()),
        None
    );
}

/// ABYC E-11, two quotations: colours below 50 V; one quotation: four on a stud.
#[test]
fn colours_and_studs() {
    let rules = RuleSet::get(RuleName::AbycE11);
    assert_eq!(rules.colours(Role::Positive), ["red"]);
    assert_eq!(rules.colours(Role::Negative), ["black", "yellow"]);
    assert_eq!(rules.colours(Role::Bonding), ["green", "green/yellow"]);
    assert_eq!(
        rules.colours(Role::Class(LoadClass::Blower)),
        ["brown/yellow"]
    );
    assert_eq!(
        rules.colours(Role::Class(LoadClass::Heater)),
        [] as [&str; 0]
    );
    assert_eq!(rules.studs_limit().map(|studs| studs.value), Some(4));
}

/// UK inland-waterways requirements 3.5, one quotation: what may bypass the isolator, separately fused.
#[test]
fn what_may_bypass_the_isolator() {
    let rules = RuleSet::get(RuleName::Baseline);
    let may: Vec<_> = LoadClass::ALL
        .into_iter()
        .filter(|&class| rules.bypass(class).is_some_and(|b| b.value))
        .collect();
    assert_eq!(
        may,
        [LoadClass::BilgePump, LoadClass::Alarm, LoadClass::Memory]
    );
    assert_eq!(
        RuleSet::get(RuleName::UsCfr183).bypass(LoadClass::Alarm),
        None
    );
}
