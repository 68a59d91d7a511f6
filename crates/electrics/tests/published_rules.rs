//! Every figure of the data files that claims to have been seen in print, against a list typed
//! from the published documents by themselves: figure, tag and document.
//!
//! The lists are whole in both directions. A figure that is added or promoted to `S1`, `S2` or `D`
//! fails here until it is typed a second time; one that is dropped or demoted fails as well. The
//! cells of the ampacity table are checked one by one in `published_law`. Figures from memory and
//! of common practice are no test's truth: here they are only required to be left out.

use std::{collections::BTreeSet, fs, path::Path};

use toml::{Table, Value};

/// Where it stands, what it says, how it is known, who printed it.
type Printed = (&'static str, &'static str, &'static str, &'static str);

const ABYC: &str = "ABYC E-11";
const ABYC_OLDER: &str = "ABYC E-11, older edition";
const ISO: &str = "ISO 13297:2020";
const SIZES: &str = "33 CFR 183.425";
const BUNDLES: &str = "33 CFR 183.435";
const DEVICES: &str = "33 CFR 183.455";
const NEC: &str = "NEC 310.15(B)(1)";
const UK_VESSELS: &str = "UK small commercial vessel code";
const UK_WATERWAYS: &str = "UK inland-waterways safety requirements, non-private, part 3";

/// 30 °C is Table 5's own ambient, 50 °C the engine space of its note 1.
const ENGINE_SPACE: Printed = ("engine_space", "50", "S2", SIZES);

/// "what is vital to safety", one quotation.
const VITAL: Printed = (
    "drop.vital",
    "navigation, bilge-pump, blower, alarm",
    "S1",
    ISO,
);

/// ISO 13297 12.3, one quotation: within 1.8 m of a charging source; self-limiting exempt.
const CHARGING: [Printed; 2] = [
    ("protection.charging_source", "1.8", "S1", ISO),
    ("protection.self_limiting_exempt", "true", "S1", ISO),
];

/// ISO 13297, one quotation: E = 0.0164 I L / S in its Annex C.
const METRIC_DROP: [Printed; 2] = [
    ("drop.formula", "metric", "S2", ISO),
    ("drop.constant", "0.0164", "S2", ISO),
];

/// ABYC E-11, one quotation: CM = K I L / E, K = 10.75.
const GAUGE_DROP: [Printed; 2] = [
    ("drop.formula", "circular-mils", "S1", ABYC),
    ("drop.constant", "10.75", "S1", ABYC),
];

/// ABYC E-11, two quotations: 3 % for panel main feeders, blowers, electronics, navigation
/// lights; 10 % for other lighting and non-critical circuits. ISO 13297, one: what is vital, 3 %.
const LIMITS: [Printed; 6] = [
    ("drop.feeder", "3", "S2", ABYC),
    ("drop.other", "10", "S2", ABYC),
    ("drop.critical", "3", "S1", ISO),
    ("drop.by_class", "class navigation, value 3", "S2", ABYC),
    ("drop.by_class", "class blower, value 3", "S2", ABYC),
    ("drop.by_class", "class electronics, value 3", "S2", ABYC),
];

/// ABYC E-11, two quotations: 7 in of the source, 40 in sheathed, 72 in sheathed at the battery,
/// cranking exempt. Links and alternators by the 72 in are derived.
const DISTANCES: [Printed; 6] = [
    ("protection.bare", "0.178", "S2", ABYC),
    ("protection.sheathed", "1.016", "S2", ABYC),
    ("protection.sheathed_at_post", "1.829", "S2", ABYC),
    ("protection.bank_link", "1.829", "D", ABYC),
    ("protection.alternator", "1.829", "D", ABYC),
    ("protection.cranking_exempt", "true", "S2", ABYC),
];

/// §183.425, two quotations: 16 AWG by itself, 18 AWG in a sheath; not for pigtails under 7 in and
/// electronic circuits under 1 A.
const LAW_SIZES: [Printed; 4] = [
    ("minimum_size.bare", "16 AWG", "S2", SIZES),
    ("minimum_size.sheathed", "18 AWG", "S2", SIZES),
    ("minimum_size.exempt_up_to", "0.178", "S2", SIZES),
    ("minimum_size.electronics_below", "1", "S2", SIZES),
];

/// ISO 13297, one quotation: 1 mm² by itself and longer than 200 mm, 0.75 mm² inside a sheath.
const METRIC_SIZES: [Printed; 3] = [
    ("minimum_size.bare", "1 mm2", "S1", ISO),
    ("minimum_size.sheathed", "0.75 mm2", "S1", ISO),
    ("minimum_size.exempt_up_to", "0.2", "S1", ISO),
];

/// ABYC E-11, two quotations: red positive; black or yellow negative; green or green-yellow
/// bonding.
const COLOURS: [Printed; 3] = [
    ("colours.positive", "red", "S2", ABYC),
    ("colours.negative", "black, yellow", "S2", ABYC),
    ("colours.bonding", "green, green/yellow", "S2", ABYC),
];

/// ABYC E-11, two quotations: dark grey navigation lights; brown pumps; orange accessory feed;
/// dark blue cabin lights; brown/yellow bilge blower; yellow/red starting, which IEC 60757 writes
/// in the order of its letters, RD before YE.
const CLASS_COLOURS: [Printed; 7] = [
    (
        "colours.by_class",
        "class navigation, value grey",
        "S2",
        ABYC,
    ),
    ("colours.by_class", "class pump, value brown", "S2", ABYC),
    (
        "colours.by_class",
        "class bilge-pump, value brown",
        "S2",
        ABYC,
    ),
    ("colours.by_class", "class lighting, value blue", "S2", ABYC),
    (
        "colours.by_class",
        "class blower, value brown/yellow",
        "S2",
        ABYC,
    ),
    (
        "colours.by_class",
        "class starter, value red/yellow",
        "S2",
        ABYC,
    ),
    ("colours.accessory", "orange", "S2", ABYC),
];

/// ABYC E-11, one quotation each: the older edition by the cranking amperes connected, and clause
/// 11.10.1.2.3.2, banks from 2 200 CCA or 500 Ah: 20 kA where the bank gives over 10 kA.
const INTERRUPTING: [Printed; 4] = [
    (
        "protection.interrupting",
        "branch 750, main 1500, up_to 650",
        "S1",
        ABYC_OLDER,
    ),
    (
        "protection.interrupting",
        "branch 1500, main 3000, up_to 1100",
        "S1",
        ABYC_OLDER,
    ),
    (
        "protection.interrupting",
        "branch 2500, main 5000",
        "S1",
        ABYC_OLDER,
    ),
    (
        "protection.large_bank",
        "amp_hours 500, asked_above 10000, cranking 2200, value 20000",
        "S1",
        ABYC,
    ),
];

fn baseline() -> Vec<Printed> {
    let own = [
        ENGINE_SPACE,
        VITAL,
        // ISO 13297, one quotation: bilge pumps.
        ("drop.by_class", "class bilge-pump, value 3", "S1", ISO),
        // UK small commercial vessel code 8.2.4, one quotation: at most 100 % of the conductor.
        (
            "protection.ceiling",
            "from_volts 0, value 1",
            "S1",
            UK_VESSELS,
        ),
        // ABYC E-11, one quotation: four conductors on one stud.
        ("fitting.studs", "4", "S1", ABYC),
        // 3.5, one quotation: bilge pumps, alarms and navigation memories, if separately fused.
        (
            "fitting.bypass",
            "bilge-pump, alarm, memory",
            "S1",
            UK_WATERWAYS,
        ),
    ];
    [
        &own[..],
        &METRIC_DROP,
        &LIMITS,
        &DISTANCES,
        &CHARGING,
        &METRIC_SIZES,
        &COLOURS,
    ]
    .concat()
}

fn abyc() -> Vec<Printed> {
    let own = [
        ENGINE_SPACE,
        VITAL,
        // One quotation: at most 150 % of the conductor.
        ("protection.ceiling", "from_volts 0, value 1.5", "S1", ABYC),
        ("fitting.studs", "4", "S1", ABYC),
    ];
    [
        &own[..],
        &GAUGE_DROP,
        &LIMITS,
        &DISTANCES,
        &CHARGING,
        &LAW_SIZES,
        &COLOURS,
        &CLASS_COLOURS,
        &INTERRUPTING,
    ]
    .concat()
}

fn iso() -> Vec<Printed> {
    let own = [
        VITAL,
        // One quotation: panel feeds, navigation lights, bilge blowers, bilge pumps, what is vital.
        ("drop.feeder", "3", "S1", ISO),
        ("drop.critical", "3", "S1", ISO),
        ("drop.by_class", "class navigation, value 3", "S1", ISO),
        ("drop.by_class", "class blower, value 3", "S1", ISO),
        ("drop.by_class", "class bilge-pump, value 3", "S1", ISO),
        // 13.1.5, one quotation: at most 100 % of the conductor.
        ("protection.ceiling", "from_volts 0, value 1", "S1", ISO),
        // 12.3, one quotation: a charging source's device within 1.8 m.
        ("protection.alternator", "1.8", "S1", ISO),
    ];
    [&own[..], &METRIC_DROP, &CHARGING, &METRIC_SIZES].concat()
}

fn law() -> Vec<Printed> {
    let own = [
        ENGINE_SPACE,
        VITAL,
        // §183.435(b), one quotation: circuits of 50 V or more.
        ("bundling_from_volts", "50", "S1", BUNDLES),
        // §183.455(c)(1) and (2), one quotation each.
        (
            "protection.ceiling",
            "from_volts 0, value 1.5",
            "S1",
            DEVICES,
        ),
        (
            "protection.ceiling",
            "from_volts 50, next_size_up_within 1.5, value 1",
            "S1",
            DEVICES,
        ),
        // §183.455(b), one quotation: 7 in; 40 in in a sheath or enclosure.
        ("protection.bare", "0.178", "S1", DEVICES),
        ("protection.sheathed", "1.016", "S1", DEVICES),
    ];
    [&own[..], &GAUGE_DROP, &LAW_SIZES].concat()
}

/// §183.425 Table 5: 105 °C in two quotations, the other columns in one. Its note 2 and 0.85 for
/// 105 °C in engine spaces, two. NEC's factors at 46 to 50 °C, two. 70 °C insulation: sqrt(40/45)
/// of the 75 °C column, derived.
fn table_5() -> Vec<Printed> {
    vec![
        ("ambient", "30", "S2", SIZES),
        ("columns", "insulation 60", "S1", ""),
        ("columns", "insulation 75", "S1", ""),
        ("columns", "insulation 80", "S1", ""),
        ("columns", "insulation 90", "S1", ""),
        ("columns", "insulation 105", "S2", ""),
        ("columns", "insulation 125", "S1", ""),
        ("columns", "insulation 200", "S1", ""),
        ("warmed", "column 75, insulation 70", "D", SIZES),
        (
            "printed_ambient",
            "at 50, insulation 60, value 0.58",
            "S2",
            NEC,
        ),
        (
            "printed_ambient",
            "at 50, insulation 75, value 0.75",
            "S2",
            NEC,
        ),
        (
            "printed_ambient",
            "at 50, insulation 90, value 0.82",
            "S2",
            NEC,
        ),
        (
            "printed_ambient",
            "at 50, insulation 105, value 0.85",
            "S2",
            SIZES,
        ),
        ("bundling", "from 3, value 0.7", "S2", SIZES),
        ("bundling", "from 4, value 0.6", "S2", SIZES),
        ("bundling", "from 7, value 0.5", "S2", SIZES),
        ("bundling", "from 25, value 0.4", "S2", SIZES),
    ]
}

/// A figure as people write it: without its source.
fn said(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Integer(whole) => whole.to_string(),
        Value::Float(number) => number.to_string(),
        Value::Boolean(yes) => yes.to_string(),
        Value::Array(items) => items.iter().map(said).collect::<Vec<_>>().join(", "),
        other => panic!("no figure: {other:?}"),
    }
}

fn figure(table: &Table) -> String {
    let own = |key: &str| !["document", "clause", "tag"].contains(&key);
    let facts: Vec<_> = table.iter().filter(|(key, _)| own(key)).collect();
    match facts[..] {
        [(key, value)] if key == "value" => said(value),
        _ => facts
            .iter()
            .map(|(key, value)| format!("{key} {}", said(value)))
            .collect::<Vec<_>>()
            .join(", "),
    }
}

/// Every figure below a value that has a tag, with where it stands.
fn tagged(path: &str, value: &Value, out: &mut BTreeSet<[String; 4]>) {
    match value {
        Value::Table(table) => {
            let text = |key| table.get(key).and_then(Value::as_str).unwrap_or("");
            if table.contains_key("tag") {
                let known = out.insert([
                    path.to_owned(),
                    figure(table),
                    text("tag").to_owned(),
                    text("document").to_owned(),
                ]);
                assert!(known, "twice: {path}");
                return;
            }
            for (key, value) in table {
                let dot = if path.is_empty() { "" } else { "." };
                tagged(&format!("{path}{dot}{key}"), value, out);
            }
        }
        Value::Array(items) => items.iter().for_each(|item| tagged(path, item, out)),
        _ => {}
    }
}

#[track_caller]
fn check(file: &str, printed: &[Printed]) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("data")
        .join(file);
    let text = fs::read_to_string(path).unwrap_or_default();
    let table: Table = toml::from_str(&text).unwrap_or_else(|why| panic!("{file}: {why}"));
    assert!(!table.is_empty(), "{file} is not there");
    let mut claimed = BTreeSet::new();
    tagged("", &Value::Table(table), &mut claimed);
    claimed.retain(|[_, _, tag, _]| ["S1", "S2", "D"].contains(&tag.as_str()));
    let typed: BTreeSet<[String; 4]> = printed
        .iter()
        .map(|&(path, figure, tag, document)| [path, figure, tag, document].map(str::to_owned))
        .collect();
    assert_eq!(typed.len(), printed.len());
    let only = |a: &BTreeSet<_>, b| a.difference(b).cloned().collect::<Vec<[String; 4]>>();
    assert_eq!(
        (only(&claimed, &typed), only(&typed, &claimed)),
        (vec![], vec![]),
        "{file}: figures not typed here, figures typed here and not there"
    );
}

#[test]
fn the_published_figures_of_every_rule_set() {
    check("rules/baseline.toml", &baseline());
    check("rules/abyc-e11.toml", &abyc());
    check("rules/iso-13297.toml", &iso());
    check("rules/us-cfr-183.toml", &law());
}

/// The table of ISO 13297 was not seen: not a figure of it may claim to be published.
#[test]
fn the_published_figures_of_the_tables() {
    check("tables/cfr-183-425.toml", &table_5());
    check("tables/iso-annex-a.toml", &[]);
}

#[test]
fn every_data_file_is_looked_at() {
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("data");
    let names = |folder: &str| -> BTreeSet<String> {
        let files = fs::read_dir(data.join(folder)).unwrap();
        files
            .map(|file| file.unwrap().file_name().into_string().unwrap())
            .collect()
    };
    let rules = [
        "abyc-e11.toml",
        "baseline.toml",
        "iso-13297.toml",
        "us-cfr-183.toml",
    ];
    assert_eq!(names("rules"), rules.map(str::to_owned).into());
    let tables = ["cfr-183-425.toml", "iso-annex-a.toml"];
    assert_eq!(names("tables"), tables.map(str::to_owned).into());
}
