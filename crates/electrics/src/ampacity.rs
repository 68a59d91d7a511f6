//! What a conductor may carry for ever where it lies, and how that figure came about.
//!
//! The value and its trace are one type. A size between rows takes the row below by area, an
//! insulation between columns the column below; a size below the smallest row takes that row in
//! proportion to area, which is less than such a conductor would carry, since cooling falls more
//! slowly than area. Nothing here raises a printed figure.

use std::fmt;

use crate::{
    conductor::{AwgAreas, Size, area, same},
    quantity::{Amperes, Celsius, Volts, decimals},
    rules::{RuleSet, file},
    source::{Sourced, Tag},
};

/// What is asked of a conductor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AmpacityAsk {
    /// Its size.
    pub size: Size,
    /// What its insulation bears.
    pub insulation: Celsius,
    /// The temperature around it.
    pub ambient: Celsius,
    /// Current-carrying conductors in its bundle, itself included.
    pub bundled: u32,
    /// Equal conductors in parallel, itself included.
    pub parallel: u32,
    /// The nominal voltage of its island.
    pub system: Volts,
    /// The maker's own rated current at 30 °C, used instead of the table.
    pub carries: Option<Amperes>,
}

/// What a conductor may carry, with each step to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ampacity {
    /// What was asked.
    pub ask: AmpacityAsk,
    /// Where in the table its figure stands, or that it is the maker's.
    pub lookup: Lookup,
    /// One conductor at 30 °C, by itself, A.
    pub base: Sourced<f64>,
    /// The factor of the ambient.
    pub ambient: Sourced<f64>,
    /// The factor of the bundle.
    pub bundling: Sourced<f64>,
    /// Equal conductors in parallel, at least one.
    pub parallel: u32,
    /// All of them together.
    pub value: Amperes,
}

/// Where a base figure was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Lookup {
    /// The maker's rated current, stated in the plan.
    Maker,
    /// A cell of the table.
    Cell {
        /// The figure as printed, A.
        printed: Sourced<f64>,
        /// The row.
        row: Row,
        /// The column.
        column: Column,
    },
}

/// The row of a table that a size takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// The size as it stands in the table.
    pub size: Size,
    /// How the size asked for got there.
    pub fit: RowFit,
}

/// How a size and a row fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RowFit {
    /// It is the row's own size.
    Own,
    /// The row is the next below by area.
    Below,
    /// The size is below the smallest row: that row, times this share of its area.
    Share(f64),
}

/// The column of a table that an insulation takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Column {
    /// The insulation as it stands in the table.
    pub printed: Celsius,
    /// The insulation that it is used for; the ambient's factor goes by this.
    pub used: Celsius,
    /// What the column's figures are multiplied by, 1 where `used` is as printed.
    pub share: f64,
    /// Where that share comes from.
    pub reason: Option<Sourced<f64>>,
}

/// The trade's line for a conductor's warmth: current goes by the root of what it may warm up by.
const WARMTH: &str = "sqrt((T - ambient) / (T - 30 \u{b0}C)), as NEC 310.15(B)(1) within 0.005";

const MAKER: Sourced<()> = Sourced::new(
    (),
    Tag::S1,
    "the cable maker's rated current, as ISO 10133:2012 clause 7.6 allows",
);

const SHARED: Sourced<()> = Sourced::new((), Tag::D, "equal conductors of one length share alike");

impl RuleSet {
    /// What a conductor may carry.
    pub fn ampacity(&self, ask: &AmpacityAsk) -> Ampacity {
        let (lookup, base, used) = match ask.carries {
            Some(carries) => (
                Lookup::Maker,
                MAKER.map(|()| carries.0.max(0.0)),
                ask.insulation,
            ),
            None => self.table.look_up(ask, self.areas()),
        };
        let ambient = self.table.ambient_factor(used, ask.ambient);
        let bundling = self.bundling_factor(ask.bundled, ask.system);
        let parallel = ask.parallel.max(1);
        let value = Amperes(base.value * ambient.value * bundling.value * f64::from(parallel));
        Ampacity {
            ask: *ask,
            lookup,
            base,
            ambient,
            bundling,
            parallel,
            value,
        }
    }

    /// The most that the table has for a size, in any column: a maker's figure above it is not believed.
    pub fn highest_ampacity(&self, size: Size) -> Sourced<Amperes> {
        let row = self.table.row(size, self.areas());
        let highest = row.cells.amperes.iter().copied().fold(0.0, f64::max) * row.share();
        let tag = self
            .table
            .columns
            .last()
            .map_or(Tag::M, |column| column.tag);
        Sourced::new(Amperes(highest), tag, self.table.source.0)
    }

    /// The factor of so many current-carrying conductors in one bundle.
    pub fn bundling_factor(&self, bundled: u32, system: Volts) -> Sourced<f64> {
        match self.bundling_from() {
            Some(from) if system.0 < from.value.0 => from.map(|_| 1.0),
            _ => self.table.bundling_factor(bundled),
        }
    }

    /// The factor of an ambient for an insulation: 1 up to the table's own ambient, none at the
    /// insulation's limit, as printed where it is printed, by the root of the warmth between.
    pub fn ambient_factor(&self, insulation: Celsius, ambient: Celsius) -> Sourced<f64> {
        let used = self.table.column(insulation).column.used;
        self.table.ambient_factor(used, ambient)
    }
}

/// A row found, with its cells.
struct FoundRow<'a> {
    row: Row,
    cells: &'a file::Row,
}

impl FoundRow<'_> {
    const fn share(&self) -> f64 {
        match self.row.fit {
            RowFit::Share(share) => share,
            RowFit::Own | RowFit::Below => 1.0,
        }
    }
}

/// A column found, with its place in the rows.
struct FoundColumn {
    column: Column,
    index: usize,
}

impl file::Table {
    fn look_up(&self, ask: &AmpacityAsk, areas: AwgAreas) -> (Lookup, Sourced<f64>, Celsius) {
        let row = self.row(ask.size, areas);
        let FoundColumn { column, index } = self.column(ask.insulation);
        let printed = row.cells.amperes.get(index).copied().unwrap_or(0.0);
        let tag = self.columns.get(index).map_or(Tag::M, |column| column.tag);
        let printed = Sourced::new(printed, tag, self.source.0);
        let taken_over = row.row.fit != RowFit::Own || column.share < 1.0;
        let tag = if taken_over { tag.derived() } else { tag };
        let base = Sourced::new(
            printed.value * row.share() * column.share,
            tag,
            self.source.0,
        );
        (
            Lookup::Cell {
                printed,
                row: row.row,
                column,
            },
            base,
            column.used,
        )
    }

    /// A gauge's own row by its number; else the row of the largest area that does not exceed the size's.
    ///
    /// Rows in gauges are measured as the gauge proper even where the set means SAE areas: the
    /// larger row area gives the lower row.
    fn row(&self, size: Size, areas: AwgAreas) -> FoundRow<'_> {
        if let Some(cells) = self.rows.iter().find(|row| is_own(row.size, size)) {
            return FoundRow {
                row: Row {
                    size: cells.size,
                    fit: RowFit::Own,
                },
                cells,
            };
        }
        let wanted = area(size, areas).0;
        let below = self.rows.iter().rev().find(|row| row.area <= wanted);
        let cells = below.unwrap_or(&self.rows[0]);
        let fit = if below.is_some() {
            RowFit::Below
        } else {
            RowFit::Share((wanted / cells.area).max(0.0))
        };
        FoundRow {
            row: Row {
                size: cells.size,
                fit,
            },
            cells,
        }
    }

    /// The insulation's own column, or one that the data derive, or the nearest of both below it.
    /// Below the coolest: that column by the warmth left.
    fn column(&self, insulation: Celsius) -> FoundColumn {
        let printed = self
            .columns
            .iter()
            .rposition(|column| column.insulation <= insulation.0);
        let own = printed.map(|index| self.columns[index].insulation);
        let warmed = self
            .warmed
            .iter()
            .rfind(|warmed| warmed.insulation <= insulation.0);
        match (printed, warmed) {
            (Some(index), Some(warmed)) if own.is_none_or(|own| own < warmed.insulation) => {
                self.warmed_column(warmed, index)
            }
            (Some(index), _) => {
                let at = Celsius(self.columns[index].insulation);
                FoundColumn {
                    column: Column {
                        printed: at,
                        used: at,
                        share: 1.0,
                        reason: None,
                    },
                    index,
                }
            }
            (None, _) => self.below_coolest(insulation),
        }
    }

    fn warmed_column(&self, warmed: &file::Warmed, otherwise: usize) -> FoundColumn {
        let index = self
            .columns
            .iter()
            .position(|column| same(column.insulation, warmed.column))
            .unwrap_or(otherwise);
        let printed = Celsius(self.columns[index].insulation);
        let used = Celsius(warmed.insulation);
        let share = self.warmth(used, printed);
        let reason = Some(Sourced::new(share, warmed.tag, warmed.source.0));
        FoundColumn {
            column: Column {
                printed,
                used,
                share,
                reason,
            },
            index,
        }
    }

    fn below_coolest(&self, insulation: Celsius) -> FoundColumn {
        let printed = Celsius(self.columns[0].insulation);
        let share = self.warmth(insulation, printed);
        let reason = Some(Sourced::new(share, Tag::D, WARMTH));
        FoundColumn {
            column: Column {
                printed,
                used: insulation,
                share,
                reason,
            },
            index: 0,
        }
    }

    /// The root of what one insulation may warm up by over what another may, at most 1.
    fn warmth(&self, insulation: Celsius, printed: Celsius) -> f64 {
        let room = |limit: Celsius| (limit.0 - self.ambient.value).max(0.0);
        (room(insulation) / room(printed)).sqrt().min(1.0)
    }

    /// See [`RuleSet::ambient_factor`]. Below the printed ambient the factor is at least the
    /// printed one, above it at most, so that a hotter place never carries more.
    fn ambient_factor(&self, insulation: Celsius, ambient: Celsius) -> Sourced<f64> {
        if ambient.0 <= self.ambient.value {
            return self.ambient.map(|_| 1.0);
        }
        let line = self.warmth_line(insulation, ambient);
        let Some(printed) = self
            .printed_ambient
            .iter()
            .find(|printed| same(printed.insulation, insulation.0))
        else {
            return line;
        };
        let takes_printed = if same(printed.at, ambient.0) {
            true
        } else if ambient.0 < printed.at {
            line.value < printed.cited.0.value
        } else {
            line.value > printed.cited.0.value
        };
        if takes_printed { printed.cited.0 } else { line }
    }

    fn warmth_line(&self, insulation: Celsius, ambient: Celsius) -> Sourced<f64> {
        let room = (insulation.0 - ambient.0).max(0.0);
        let whole = insulation.0 - self.ambient.value;
        let factor = if room > 0.0 && whole > 0.0 {
            (room / whole).sqrt()
        } else {
            0.0
        };
        Sourced::new(factor, self.ambient.tag.derived(), WARMTH)
    }

    fn bundling_factor(&self, bundled: u32) -> Sourced<f64> {
        let reached = self.bundling.iter().rev().find(|row| row.from <= bundled);
        let source = reached.or(self.bundling.first());
        let factor = reached.map_or(1.0, |row| row.cited.0.value);
        source.map_or_else(
            || self.ambient.map(|_| 1.0),
            |row| row.cited.0.map(|_| factor),
        )
    }
}

fn is_own(row: Size, size: Size) -> bool {
    match (row, size) {
        (Size::Awg(a), Size::Awg(b)) => a == b,
        (Size::Mm2(a), Size::Mm2(b)) => same(a, b),
        _ => false,
    }
}

/// One line of a trace.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What is done, with its numbers.
    pub text: String,
    /// How the figure is known.
    pub tag: Tag,
    /// Document and clause, or the reason.
    pub source: &'static str,
}

impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({}; {})", self.text, self.source, self.tag)
    }
}

impl Ampacity {
    /// What the figure is worth: the least trusted of the figures that went into it.
    pub fn tag(&self) -> Tag {
        let factors = [self.ambient, self.bundling]
            .into_iter()
            .filter(|factor| changes(factor.value));
        factors.fold(self.base.tag, |tag, factor| tag.worse(factor.tag))
    }

    /// Every step from the table to the value, in order, for people.
    pub fn steps(&self) -> Vec<Step> {
        let mut trace = Trace {
            now: 0.0,
            steps: Vec::new(),
        };
        self.start(&mut trace);
        trace.factor(self.ambient, &format!("ambient {}", self.ask.ambient));
        trace.factor(self.bundling, &format!("{} bundled", self.ask.bundled));
        if self.ask.bundled > 2 && !changes(self.bundling.value) {
            trace.note(
                self.bundling,
                format!(
                    "{} bundled: no factor at {}",
                    self.ask.bundled, self.ask.system
                ),
            );
        }
        trace.factor(SHARED.map(|()| f64::from(self.parallel)), "in parallel");
        trace.steps
    }

    fn start(&self, trace: &mut Trace) {
        match self.lookup {
            Lookup::Maker => trace.begin(self.base, &format!("{} by its maker", self.ask.size)),
            Lookup::Cell {
                printed,
                row,
                column,
            } => {
                trace.begin(printed, &self.cell_words(row, column));
                if let RowFit::Share(share) = row.fit {
                    let source =
                        "smaller than the smallest row: by area, which is less than it would carry";
                    trace.factor(
                        Sourced::new(share, Tag::D, source),
                        &format!("{} of {}", self.ask.size, row.size),
                    );
                }
                if let Some(reason) = column.reason {
                    trace.factor(reason, &format!("as {} insulation", column.used));
                }
            }
        }
    }

    /// The cell in words: "6 AWG row, the next below 16 mm²; 105 °C column".
    fn cell_words(&self, row: Row, column: Column) -> String {
        let row = match row.fit {
            RowFit::Own => format!("{}", row.size),
            RowFit::Below => format!("{} row, the next below {}", row.size, self.ask.size),
            RowFit::Share(_) => format!("{} row, the smallest", row.size),
        };
        let below = column.reason.is_none() && column.used.0 < self.ask.insulation.0;
        let next = if below {
            format!(", the next below {}", self.ask.insulation)
        } else {
            String::new()
        };
        format!("{row}, {} column{next}", column.printed)
    }
}

/// A trace as it grows: the figure so far and the lines behind it.
struct Trace {
    now: f64,
    steps: Vec<Step>,
}

impl Trace {
    fn begin(&mut self, base: Sourced<f64>, words: &str) {
        self.now = base.value;
        self.note(base, format!("{words}: {}", Amperes(base.value)));
    }

    fn note(&mut self, of: Sourced<f64>, text: String) {
        self.steps.push(Step {
            text,
            tag: of.tag,
            source: of.source,
        });
    }

    /// A factor of one is no step.
    fn factor(&mut self, factor: Sourced<f64>, words: &str) {
        if !changes(factor.value) {
            return;
        }
        let before = Amperes(self.now);
        self.now *= factor.value;
        let text = format!(
            "{before} \u{d7} {} ({words}) = {}",
            decimals(factor.value, 3),
            Amperes(self.now)
        );
        self.note(factor, text);
    }
}

fn changes(factor: f64) -> bool {
    !same(factor, 1.0)
}

impl fmt::Display for Ampacity {
    /// Every step, a line each.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, step) in self.steps().iter().enumerate() {
            if index > 0 {
                writeln!(f)?;
            }
            write!(f, "{step}")?;
        }
        Ok(())
    }
}
