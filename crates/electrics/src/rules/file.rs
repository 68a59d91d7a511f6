//! The form of the data files: what a rule set and an ampacity table are written as.
//!
//! Every figure is read with its document, clause and tag; a file that lacks one is not read at
//! all. The files are embedded, read once, and a test reads them all.

use serde::Deserialize;

use super::class::LoadClass;
use crate::{
    conductor::{AwgAreas, NotASize, Size, area},
    source::{Sourced, Tag},
};

/// A figure as it is written.
#[derive(Deserialize)]
struct Written<T> {
    value: T,
    document: String,
    clause: String,
    tag: Tag,
}

/// A figure as it is kept.
#[derive(Debug, Deserialize)]
#[serde(from = "Written<T>", bound = "T: Deserialize<'de>")]
pub(crate) struct Cited<T>(pub(crate) Sourced<T>);

impl<T> From<Written<T>> for Cited<T> {
    fn from(written: Written<T>) -> Self {
        Self(Sourced::new(
            written.value,
            written.tag,
            cite(&written.document, &written.clause),
        ))
    }
}

/// Document and clause, where several figures share them.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Source(pub(crate) &'static str);

/// Document and clause in one text that lives as long as the program: the data are read once.
fn cite(document: &str, clause: &str) -> &'static str {
    let gap = if clause.starts_with('(') { "" } else { ", " };
    String::leak(format!("{document}{gap}{clause}"))
}

/// One rule set.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct RuleFile {
    pub(crate) title: String,
    pub(crate) table: TableName,
    pub(crate) areas: AwgAreas,
    pub(crate) written_for_petrol: Option<Cited<bool>>,
    pub(crate) engine_space: Cited<f64>,
    pub(crate) bundling_from_volts: Option<Cited<f64>>,
    pub(crate) drop: Drop,
    pub(crate) protection: Protection,
    pub(crate) minimum_size: MinimumSize,
    pub(crate) fitting: Fitting,
    pub(crate) colours: Colours,
}

/// An ampacity table by its file.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum TableName {
    #[serde(rename = "cfr-183-425")]
    Cfr183425,
    IsoAnnexA,
}

/// Which of the two drop formulas.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum FormulaName {
    Metric,
    CircularMils,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Drop {
    pub(crate) formula: Cited<FormulaName>,
    pub(crate) constant: Cited<f64>,
    pub(crate) feeder: Option<Cited<f64>>,
    pub(crate) critical: Option<Cited<f64>>,
    pub(crate) other: Option<Cited<f64>>,
    pub(crate) by_class: Vec<ByClass<f64>>,
    pub(crate) vital: Cited<Vec<LoadClass>>,
}

/// A figure of one class of loads.
#[derive(Debug, Deserialize)]
#[serde(bound = "T: Deserialize<'de>")]
pub(crate) struct ByClass<T> {
    pub(crate) class: LoadClass,
    #[serde(flatten)]
    pub(crate) cited: Cited<T>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Protection {
    pub(crate) ceiling: Vec<Ceiling>,
    pub(crate) bare: Cited<f64>,
    pub(crate) bare_advice: Option<Cited<f64>>,
    pub(crate) sheathed: Cited<f64>,
    pub(crate) sheathed_at_post: Cited<f64>,
    pub(crate) bank_link: Cited<f64>,
    pub(crate) alternator: Cited<f64>,
    pub(crate) charging_source: Option<Cited<f64>>,
    pub(crate) generator_share: Option<Cited<f64>>,
    pub(crate) self_limiting_exempt: Option<Cited<bool>>,
    pub(crate) cranking_exempt: Option<Cited<bool>>,
    #[serde(default)]
    pub(crate) interrupting: Vec<Interrupting>,
    pub(crate) large_bank: Option<LargeBank>,
}

/// The largest device as a share of the ampacity, from a system voltage up.
#[derive(Debug, Deserialize)]
pub(crate) struct Ceiling {
    pub(crate) from_volts: f64,
    #[serde(flatten)]
    pub(crate) cited: Cited<f64>,
    pub(crate) next_size_up_within: Option<f64>,
}

/// Interrupting capacity asked by connected cranking amperes.
#[derive(Debug, Deserialize)]
#[serde(from = "WrittenInterrupting")]
pub(crate) struct Interrupting {
    pub(crate) up_to: Option<f64>,
    pub(crate) main: Sourced<f64>,
    pub(crate) branch: Sourced<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenInterrupting {
    up_to: Option<f64>,
    main: f64,
    branch: f64,
    document: String,
    clause: String,
    tag: Tag,
}

impl From<WrittenInterrupting> for Interrupting {
    fn from(written: WrittenInterrupting) -> Self {
        let source = cite(&written.document, &written.clause);
        Self {
            up_to: written.up_to,
            main: Sourced::new(written.main, written.tag, source),
            branch: Sourced::new(written.branch, written.tag, source),
        }
    }
}

/// Interrupting capacity asked of devices at a bank of this size.
#[derive(Debug, Deserialize)]
pub(crate) struct LargeBank {
    pub(crate) cranking: f64,
    pub(crate) amp_hours: f64,
    pub(crate) asked_above: f64,
    #[serde(flatten)]
    pub(crate) cited: Cited<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct MinimumSize {
    pub(crate) bare: Cited<WrittenSize>,
    pub(crate) sheathed: Cited<WrittenSize>,
    pub(crate) exempt_up_to: Cited<f64>,
    pub(crate) electronics_below: Option<Cited<f64>>,
}

/// A size as it is spelled.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(try_from = "String")]
pub(crate) struct WrittenSize(pub(crate) Size);

impl TryFrom<String> for WrittenSize {
    type Error = NotASize;

    fn try_from(text: String) -> Result<Self, NotASize> {
        text.parse().map(Self)
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Fitting {
    pub(crate) studs: Option<Cited<u32>>,
    pub(crate) bypass: Option<Cited<Vec<LoadClass>>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Colours {
    pub(crate) positive: Option<Cited<Vec<String>>>,
    pub(crate) negative: Option<Cited<Vec<String>>>,
    pub(crate) bonding: Option<Cited<Vec<String>>>,
    pub(crate) accessory: Option<Cited<Vec<String>>>,
    #[serde(default)]
    pub(crate) by_class: Vec<ByClass<Vec<String>>>,
}

/// An ampacity table with the factors printed beside it.
#[derive(Debug, Deserialize)]
#[serde(from = "WrittenTable")]
pub(crate) struct Table {
    /// Document and clause of the cells.
    pub(crate) source: Source,
    /// The ambient that the cells are for.
    pub(crate) ambient: Sourced<f64>,
    /// Insulations, cool to hot.
    pub(crate) columns: Vec<Column>,
    /// Sizes, small to large.
    pub(crate) rows: Vec<Row>,
    pub(crate) warmed: Vec<Warmed>,
    pub(crate) printed_ambient: Vec<PrintedAmbient>,
    /// Factors, few conductors to many.
    pub(crate) bundling: Vec<Bundling>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenTable {
    document: String,
    clause: String,
    ambient: Cited<f64>,
    columns: Vec<Column>,
    rows: Vec<Row>,
    #[serde(default)]
    warmed: Vec<Warmed>,
    printed_ambient: Vec<PrintedAmbient>,
    bundling: Vec<Bundling>,
}

impl From<WrittenTable> for Table {
    fn from(written: WrittenTable) -> Self {
        Self {
            source: Source(cite(&written.document, &written.clause)),
            ambient: written.ambient.0,
            columns: written.columns,
            rows: written.rows,
            warmed: written.warmed,
            printed_ambient: written.printed_ambient,
            bundling: written.bundling,
        }
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Column {
    pub(crate) insulation: f64,
    pub(crate) tag: Tag,
}

/// A size and its figures, A, one for each column.
#[derive(Debug, Deserialize)]
#[serde(from = "WrittenRow")]
pub(crate) struct Row {
    pub(crate) size: Size,
    /// mm²; of a gauge proper.
    pub(crate) area: f64,
    pub(crate) amperes: Vec<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenRow {
    size: WrittenSize,
    amperes: Vec<f64>,
}

impl From<WrittenRow> for Row {
    fn from(written: WrittenRow) -> Self {
        let WrittenSize(size) = written.size;
        Self {
            size,
            area: area(size, AwgAreas::Astm).0,
            amperes: written.amperes,
        }
    }
}

/// An insulation without a column: another column, times what it may warm up by.
#[derive(Debug, Deserialize)]
#[serde(from = "WrittenWarmed")]
pub(crate) struct Warmed {
    pub(crate) insulation: f64,
    pub(crate) column: f64,
    pub(crate) tag: Tag,
    pub(crate) source: Source,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenWarmed {
    insulation: f64,
    column: f64,
    document: String,
    clause: String,
    tag: Tag,
}

impl From<WrittenWarmed> for Warmed {
    fn from(written: WrittenWarmed) -> Self {
        Self {
            insulation: written.insulation,
            column: written.column,
            tag: written.tag,
            source: Source(cite(&written.document, &written.clause)),
        }
    }
}

/// A factor printed for an insulation at one ambient.
#[derive(Debug, Deserialize)]
pub(crate) struct PrintedAmbient {
    pub(crate) insulation: f64,
    pub(crate) at: f64,
    #[serde(flatten)]
    pub(crate) cited: Cited<f64>,
}

/// A factor from so many conductors in a bundle up.
#[derive(Debug, Deserialize)]
pub(crate) struct Bundling {
    pub(crate) from: u32,
    #[serde(flatten)]
    pub(crate) cited: Cited<f64>,
}
