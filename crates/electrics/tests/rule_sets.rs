//! What holds in every rule set, whatever its figures.

use std::{fs, path::Path};

use ampwright_electrics::{
    AmpacityAsk, Amperes, Celsius, Lie, LoadClass, Role, RuleName, RuleSet, Size, Tag, Volts,
    conductor::METRIC_SIZES,
};
use proptest::prelude::*;

fn size() -> impl Strategy<Value = Size> {
    let metric =
        prop_oneof![prop::sample::select(METRIC_SIZES.to_vec()), 0.05..300.0].prop_map(Size::Mm2);
    prop_oneof![metric, (-3..=24_i8).prop_map(Size::Awg)]
}

fn insulation() -> impl Strategy<Value = Celsius> {
    prop_oneof![
        prop::sample::select(vec![60.0, 70.0, 75.0, 85.0, 90.0, 105.0, 125.0, 200.0]),
        20.0..250.0
    ]
    .prop_map(Celsius)
}

prop_compose! {
    fn ask()(
        size in size(),
        insulation in insulation(),
        ambient in prop_oneof![Just(30.0), Just(50.0), -20.0..120.0],
        bundled in 0..40_u32,
        parallel in 0..4_u32,
        system in prop::sample::select(vec![12.0, 24.0, 48.0, 60.0]),
        carries in prop::option::weighted(0.2, 0.5..600.0),
    ) -> AmpacityAsk {
        let (ambient, system, carries) = (Celsius(ambient), Volts(system), carries.map(Amperes));
        AmpacityAsk { size, insulation, ambient, bundled, parallel, system, carries }
    }
}

fn rules() -> impl Strategy<Value = &'static RuleSet> {
    prop::sample::select(RuleName::ALL.to_vec()).prop_map(RuleSet::get)
}

/// The order of sizes within a series.
fn larger(size: Size) -> Size {
    match size {
        Size::Mm2(mm2) => Size::Mm2(mm2 * 1.37),
        Size::Awg(gauge) => Size::Awg((gauge - 1).max(-3)),
    }
}

proptest! {
    #[test]
    fn derating_never_raises(rules in rules(), ask in ask()) {
        let found = rules.ampacity(&ask);
        for factor in [found.ambient.value, found.bundling.value] {
            prop_assert!((0.0..=1.0).contains(&factor));
        }
        prop_assert!(found.value.0 <= found.base.value * f64::from(found.parallel) + 1e-9);
        prop_assert!(found.value.0 >= 0.0 && found.value.0.is_finite());
        prop_assert!(found.tag() >= found.base.tag);
    }

    #[test]
    fn a_hotter_place_or_a_larger_bundle_never_carries_more(rules in rules(), ask in ask(), kelvins in 0.0..30.0) {
        let hotter = AmpacityAsk { ambient: ask.ambient + kelvins, ..ask };
        prop_assert!(rules.ampacity(&hotter).value <= rules.ampacity(&ask).value);
        let fuller = AmpacityAsk { bundled: ask.bundled + 1, ..ask };
        prop_assert!(rules.ampacity(&fuller).value <= rules.ampacity(&ask).value);
    }

    #[test]
    fn a_larger_size_is_never_worse(rules in rules(), ask in ask()) {
        let next = AmpacityAsk { size: larger(ask.size), ..ask };
        prop_assert!(rules.ampacity(&next).value.0 >= rules.ampacity(&ask).value.0 - 1e-9);
        let (small, large) = (rules.drop_resistance(ask.size), rules.drop_resistance(next.size));
        prop_assert!(large.value <= small.value);
    }

    #[test]
    fn nothing_is_carried_at_the_insulations_limit(rules in rules(), ask in ask()) {
        let hot = AmpacityAsk { ambient: ask.insulation.max(Celsius(30.1)), carries: None, ..ask };
        prop_assert!(rules.ampacity(&hot).value.0.abs() < 1e-9);
    }

    #[test]
    fn the_trace_ends_in_the_value(rules in rules(), ask in ask()) {
        let found = rules.ampacity(&ask);
        let steps = found.steps();
        let last = steps.iter().rev().find(|step| !step.text.contains("no factor")).unwrap();
        prop_assert!(last.text.ends_with(&found.value.to_string()), "{} / {}", last.text, found.value);
        prop_assert!(steps.iter().all(|step| !step.source.is_empty()));
    }

    #[test]
    fn nonsense_is_borne(size in any::<f64>(), insulation in any::<f64>(), ambient in any::<f64>()) {
        for name in RuleName::ALL {
            let ask = AmpacityAsk {
                size: Size::Mm2(size),
                insulation: Celsius(insulation),
                ambient: Celsius(ambient),
                bundled: u32::MAX,
                parallel: u32::MAX,
                system: Volts(f64::NAN),
                carries: None,
            };
            prop_assert!(!RuleSet::get(name).ampacity(&ask).to_string().is_empty());
        }
    }
}

/// Counted from the files themselves: each figure marked so, and each cell of a table of such columns.
#[test]
fn figures_from_memory_are_counted() {
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("data");
    let marked = |file: &str| {
        fs::read_to_string(data.join(file))
            .unwrap()
            .matches("tag = \"M\"")
            .count()
    };
    let cells_beyond_columns = 6 * (15 - 1);
    let of = |name| RuleSet::get(name).from_memory_count();
    assert_eq!(of(RuleName::Baseline), marked("rules/baseline.toml"));
    assert_eq!(of(RuleName::UsCfr183), marked("rules/us-cfr-183.toml"));
    assert_eq!(of(RuleName::AbycE11), marked("rules/abyc-e11.toml"));
    let iso =
        marked("rules/iso-13297.toml") + marked("tables/iso-annex-a.toml") + cells_beyond_columns;
    assert_eq!(of(RuleName::Iso13297), iso);
    assert!(of(RuleName::Iso13297) > 90);
    assert_eq!(marked("tables/cfr-183-425.toml"), 0);
}

/// The default rests on published figures: the one from memory only softens.
#[test]
fn the_baseline_limits_are_published() {
    let rules = RuleSet::get(RuleName::Baseline);
    let mut tags = vec![
        rules.ceiling(Volts(12.0)).tag,
        rules.bank_link_distance().tag,
    ];
    tags.extend(
        [Lie::Bare, Lie::Sheathed, Lie::SheathedAtPost].map(|lie| rules.distance(lie).unwrap().tag),
    );
    tags.extend(LoadClass::ALL.map(|class| rules.drop_limit(class, false).unwrap().tag));
    tags.extend([true, false].map(|sheathed| rules.minimum_size(sheathed).unwrap().tag));
    tags.extend(
        [Role::Positive, Role::Negative, Role::Bonding]
            .map(|role| rules.colours_of(role).unwrap().tag),
    );
    assert!(tags.into_iter().all(Tag::may_be_error));
    assert_eq!(
        rules.bare_advice_distance().map(|distance| distance.tag),
        Some(Tag::M)
    );
    assert!(rules.published_fallback().is_none());
    assert_eq!(
        RuleSet::get(RuleName::Iso13297)
            .published_fallback()
            .map(RuleSet::name),
        Some(RuleName::Baseline)
    );
}

/// A limit from memory brings the published one with it; a published limit stands alone.
#[test]
fn limits_from_memory_are_checked_twice() {
    let checked = |name| {
        let limits = RuleSet::get(name).checked_limits(|rules| rules.distance(Lie::Bare));
        limits
            .map(|(name, limit)| (name, limit.value.0))
            .collect::<Vec<_>>()
    };
    let own = |name| {
        let limit = RuleSet::get(name).distance(Lie::Bare);
        limit.map_or(f64::NAN, |limit| limit.value.0)
    };
    let (iso, published) = (RuleName::Iso13297, RuleName::Baseline);
    assert_eq!(checked(iso), [(iso, own(iso)), (published, own(published))]);
    let law = RuleName::UsCfr183;
    assert_eq!(checked(law), [(law, own(law))]);
    let feeders = RuleSet::get(RuleName::UsCfr183).checked_limits(RuleSet::feeder_drop_limit);
    assert_eq!(
        feeders.count(),
        0,
        "what a set does not limit does not exist in it"
    );
}

#[test]
fn names_read_back() {
    for name in RuleName::ALL {
        assert_eq!(name.as_str().parse(), Ok(name));
    }
    for class in LoadClass::ALL {
        assert_eq!(class.as_str().parse(), Ok(class));
    }
    assert!("iso".parse::<RuleName>().is_err() && "lamp".parse::<LoadClass>().is_err());
}

/// A size below the smallest row is taken by area, and says so.
#[test]
fn below_the_smallest_row() {
    let ask = AmpacityAsk {
        size: Size::Mm2(0.5),
        insulation: Celsius(105.0),
        ambient: Celsius(30.0),
        bundled: 1,
        parallel: 1,
        system: Volts(12.0),
        carries: None,
    };
    let found = RuleSet::get(RuleName::Baseline).ampacity(&ask);
    assert!((found.value.0 - 20.0 * 0.5 / 0.823).abs() < 0.01, "{found}");
    assert!(found.to_string().contains("smaller than the smallest row"));
    assert_eq!(found.tag(), Tag::D);
}

/// Every figure of the data files stands beside its document, its clause and its tag: whoever writes
/// a value without them has written an opinion.
#[test]
fn every_figure_of_the_files_is_sourced() {
    let data = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("data");
    let mut figures = 0;
    for folder in ["rules", "tables"] {
        for entry in std::fs::read_dir(data.join(folder)).unwrap() {
            let path = entry.unwrap().path();
            let text = std::fs::read_to_string(&path).unwrap();
            let file: toml::Table = text.parse().unwrap();
            let whole = file.contains_key("document") && file.contains_key("clause");
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            sourced(&name, &toml::Value::Table(file), whole, &mut figures);
        }
    }
    assert!(figures > 200, "{figures}");
}

/// Keys whose numbers are no figures of their own: where a figure begins to hold, or which row or
/// column it stands in.
const PLACES: [&str; 4] = ["from_volts", "from", "at", "up_to"];

fn sourced(at: &str, value: &toml::Value, cells: bool, figures: &mut usize) {
    match value {
        toml::Value::Table(table) => {
            let has = |key: &str| {
                table
                    .get(key)
                    .and_then(toml::Value::as_str)
                    .is_some_and(|text| !text.trim().is_empty())
            };
            let cited = has("document") && has("clause") && has("tag");
            let tag = table.get("tag").and_then(toml::Value::as_str);
            let known = tag.is_none_or(|tag| ["S1", "S2", "D", "CP", "M"].contains(&tag));
            assert!(known, "{at}: no such tag: {tag:?}");
            if cited {
                *figures += 1;
            }
            for (key, value) in table {
                let at = format!("{at}, {key}");
                let is_number = value.is_integer() || value.is_float();
                let excused =
                    PLACES.contains(&key.as_str()) || (cells && (has("tag") || has("size")));
                assert!(
                    !is_number || cited || excused,
                    "{at} has no document, clause and tag"
                );
                // The cells of a table share its document; each column has a tag.
                let is_cells = cells && key == "amperes";
                if is_cells {
                    *figures += value.as_array().map_or(0, Vec::len);
                } else if !cited {
                    sourced(&at, value, cells, figures);
                }
            }
        }
        toml::Value::Array(list) => {
            for (index, value) in list.iter().enumerate() {
                let is_number = value.is_integer() || value.is_float();
                assert!(!is_number, "{at}, {index}: a bare number");
                sourced(&format!("{at} {index}"), value, cells, figures);
            }
        }
        _ => {}
    }
}
