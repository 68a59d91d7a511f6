//! What no document was seen for says so: defaults of common practice, and figures from memory.
//!
//! Of such figures only the tag is checked here, and that no limit made of one can be more than an
//! advice; their values are nobody's truth.

use ampwright_electrics::{
    AmpacityAsk, Amperes, Celsius, Lie, RuleName, RuleSet, Size, Sourced, Tag, Volts,
    battery::{Charge, Chemistry, RATED_HOURS},
    defaults,
    protection::{Family, LARGER_RATINGS, time},
    solar,
};

fn tag<T: Copy>(figure: Sourced<T>) -> Tag {
    assert!(!figure.source.is_empty());
    figure.tag
}

/// Common practice, no source: usable depth, charging current, Peukert's exponents, rated hours.
#[test]
fn batteries_by_common_practice() {
    for chemistry in Chemistry::ALL {
        let tags = [
            tag(chemistry.usable()),
            tag(chemistry.charge_acceptance()),
            tag(chemistry.peukert_exponent()),
        ];
        assert_eq!(tags, [Tag::CP; 3], "{chemistry}");
    }
    assert_eq!(tag(RATED_HOURS), Tag::CP);
}

/// From memory: what a battery has inside, and all of gel.
#[test]
fn batteries_from_memory() {
    for chemistry in Chemistry::ALL {
        assert_eq!(tag(chemistry.resistance()), Tag::M, "{chemistry}");
        for charge in [Charge::Half, Charge::Full] {
            let volts = chemistry.rest_volts(charge);
            assert_eq!(
                !volts.tag.may_be_error(),
                chemistry == Chemistry::Gel,
                "{chemistry}: {volts}"
            );
        }
    }
}

#[test]
fn defaults_by_common_practice() {
    let tags = [
        tag(defaults::METAL),
        tag(defaults::INSULATION),
        tag(defaults::POST),
        tag(defaults::SWITCH),
        tag(defaults::DEVICE_DROP),
        tag(defaults::DIODE),
        tag(defaults::SHUNT),
        tag(defaults::ALTERNATOR),
        tag(defaults::CHARGER),
        tag(defaults::MPPT),
        tag(defaults::CONVERTER),
        tag(defaults::INVERTER),
        tag(defaults::LOW_VOLTS),
        tag(defaults::device(Amperes(10.0))),
        tag(LARGER_RATINGS),
        tag(solar::VOC_PER_KELVIN),
        tag(solar::INPUT_PER_BATTERY),
    ];
    assert!(tags.iter().all(|tag| *tag == Tag::CP), "{tags:?}");
}

#[test]
fn panels_and_fuses_from_memory() {
    let mut tags = vec![
        tag(solar::WORKING_VOLTS),
        tag(solar::WORKING_PER_OPEN),
        tag(solar::SHORT_PER_WORKING),
    ];
    tags.extend(Family::ClassT.breaking_capacity(Amperes(200.0)).map(tag));
    tags.extend(Family::ClassT.rated_volts().map(tag));
    for family in [Family::Blade, Family::Strip, Family::BoltDown] {
        tags.extend(time::slow_edge(family, Amperes(10.0), Amperes(20.0)).map(tag));
        tags.extend(time::fast_edge(family, Amperes(10.0), Amperes(20.0)).map(tag));
    }
    assert_eq!(tags.len(), 11);
    assert!(tags.iter().all(|tag| *tag == Tag::M), "{tags:?}");
}

/// The law's §183.460 was not seen, so its 120 % and 72 in are from memory; nor was the table of
/// ISO 13297, nor its distances for batteries.
#[test]
fn rules_from_memory() {
    let law = RuleSet::get(RuleName::UsCfr183);
    let mut tags = vec![
        law.bank_link_distance().tag,
        law.alternator_distance().tag,
        law.written_for_petrol().map_or(Tag::S2, tag),
    ];
    tags.extend(law.generator_share().map(tag));
    tags.extend(law.distance(Lie::SheathedAtPost).map(tag));
    tags.extend(law.cranking_exempt().map(tag));
    tags.extend(law.self_limiting_exempt().map(tag));
    let iso = RuleSet::get(RuleName::Iso13297);
    for lie in [Lie::Bare, Lie::Sheathed, Lie::SheathedAtPost] {
        tags.extend(iso.distance(lie).map(tag));
    }
    for mm2 in [0.75, 1.0, 2.5, 16.0, 50.0, 150.0] {
        for insulation in [60.0, 70.0, 85.0, 105.0, 125.0, 200.0] {
            let ask = AmpacityAsk {
                size: Size::Mm2(mm2),
                insulation: Celsius(insulation),
                ambient: Celsius(30.0),
                bundled: 1,
                parallel: 1,
                system: Volts(12.0),
                carries: None,
            };
            tags.push(iso.ampacity(&ask).tag());
        }
    }
    assert_eq!(tags.len(), 10 + 36);
    assert!(tags.iter().all(|tag| *tag == Tag::M), "{tags:?}");
}
