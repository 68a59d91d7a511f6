//! The data files themselves, read at first use and kept.

use std::sync::OnceLock;

use serde::de::DeserializeOwned;

use super::{
    RuleName, RuleSet,
    file::{RuleFile, Table, TableName},
};

const fn rule_text(name: RuleName) -> &'static str {
    match name {
        RuleName::Baseline => include_str!("../../data/rules/baseline.toml"),
        RuleName::UsCfr183 => include_str!("../../data/rules/us-cfr-183.toml"),
        RuleName::Iso13297 => include_str!("../../data/rules/iso-13297.toml"),
        RuleName::AbycE11 => include_str!("../../data/rules/abyc-e11.toml"),
    }
}

const fn table_text(name: TableName) -> &'static str {
    match name {
        TableName::Cfr183425 => include_str!("../../data/tables/cfr-183-425.toml"),
        TableName::IsoAnnexA => include_str!("../../data/tables/iso-annex-a.toml"),
    }
}

/// A rule set, read when it is first asked for.
pub(super) fn rule_set(name: RuleName) -> &'static RuleSet {
    static SETS: [OnceLock<RuleSet>; RuleName::ALL.len()] =
        [const { OnceLock::new() }; RuleName::ALL.len()];
    SETS[name as usize].get_or_init(|| {
        let file: RuleFile = read(rule_text(name));
        let table = table(file.table);
        let from_memory = memory::count(rule_text(name)) + memory::count(table_text(file.table));
        RuleSet {
            name,
            file,
            table,
            from_memory,
        }
    })
}

fn table(name: TableName) -> &'static Table {
    static TABLES: [OnceLock<Table>; 2] = [const { OnceLock::new() }; 2];
    TABLES[name as usize].get_or_init(|| read(table_text(name)))
}

#[expect(
    clippy::expect_used,
    reason = "the text is part of the program and a test reads every file"
)]
fn read<T: DeserializeOwned>(text: &str) -> T {
    toml::from_str(text).expect("embedded data are well-formed")
}

/// How many figures of a file are from memory.
mod memory {
    use toml::{Table, Value};

    /// Counts every figure tagged so, a table's column once for each of its rows.
    pub(super) fn count(text: &str) -> usize {
        let file: Table = super::read(text);
        let rows = file
            .get("rows")
            .and_then(Value::as_array)
            .map_or(1, Vec::len);
        let columns = file.get("columns").map_or(0, marked);
        file.values().map(marked).sum::<usize>() + columns * (rows - 1)
    }

    fn marked(value: &Value) -> usize {
        match value {
            Value::Table(table) => {
                let own = usize::from(table.get("tag").and_then(Value::as_str) == Some("M"));
                own + table.values().map(marked).sum::<usize>()
            }
            Value::Array(items) => items.iter().map(marked).sum(),
            _ => 0,
        }
    }
}

#[cfg(test)]
mod tests {
    use toml::{Table, Value};

    use super::*;

    const TABLES: [TableName; 2] = [TableName::Cfr183425, TableName::IsoAnnexA];

    fn texts() -> impl Iterator<Item = &'static str> {
        RuleName::ALL
            .into_iter()
            .map(rule_text)
            .chain(TABLES.into_iter().map(table_text))
    }

    #[test]
    fn every_file_is_read() {
        for name in RuleName::ALL {
            toml::from_str::<RuleFile>(rule_text(name)).unwrap();
            assert_eq!(rule_set(name).name(), name);
        }
        for name in TABLES {
            toml::from_str::<super::Table>(table_text(name)).unwrap();
        }
    }

    /// A figure is a number, or a list under `value`; whatever table holds one names its source.
    fn unsourced(path: &str, value: &Value, out: &mut Vec<String>) {
        match value {
            Value::Table(table) => {
                let figure = table.contains_key("value") || table.contains_key("tag");
                let filled = |key: &str| {
                    table
                        .get(key)
                        .and_then(Value::as_str)
                        .is_some_and(|text| !text.trim().is_empty())
                };
                let last = path.rsplit('.').next();
                let column = last == Some("columns");
                let complete = filled("tag") && (column || filled("document") && filled("clause"));
                let row = last == Some("rows");
                let bare_number = table
                    .values()
                    .any(|v| v.is_integer() || v.is_float() || v.is_bool());
                if !complete && !row && (figure || bare_number) {
                    out.push(path.to_owned());
                }
                for (key, value) in table {
                    unsourced(&format!("{path}.{key}"), value, out);
                }
            }
            Value::Array(items) => items.iter().for_each(|item| unsourced(path, item, out)),
            _ => {}
        }
    }

    #[test]
    fn every_figure_names_document_clause_and_tag() {
        for text in texts() {
            let file: Table = toml::from_str(text).unwrap();
            let mut out = Vec::new();
            unsourced("", &Value::Table(file), &mut out);
            assert_eq!(out, Vec::<String>::new());
        }
        let mut out = Vec::new();
        unsourced(
            "",
            &"[a]\nvalue = 1\ntag = \"S1\"\ndocument = \"x\""
                .parse::<Table>()
                .unwrap()
                .into(),
            &mut out,
        );
        assert_eq!(out, [".a"], "the check itself must see a missing clause");
    }

    #[test]
    fn tables_are_whole_and_in_order() {
        for name in RuleName::ALL {
            assert!(!rule_set(name).file.protection.ceiling.is_empty());
        }
        for table in TABLES.map(table) {
            assert!(!table.columns.is_empty() && !table.rows.is_empty());
            assert!(
                table
                    .rows
                    .windows(2)
                    .all(|pair| pair[0].area < pair[1].area)
            );
            assert!(
                table
                    .columns
                    .windows(2)
                    .all(|pair| pair[0].insulation < pair[1].insulation)
            );
            assert!(
                table
                    .bundling
                    .windows(2)
                    .all(|pair| pair[0].from < pair[1].from)
            );
            for row in &table.rows {
                assert_eq!(row.amperes.len(), table.columns.len());
                assert!(row.amperes.windows(2).all(|pair| pair[0] <= pair[1]));
            }
        }
    }
}
