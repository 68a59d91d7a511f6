//! The reference, made from the tables; what no table says stands in `reference/*.md`.

use std::fmt::Write as _;

use crate::{
    colour::Basic,
    table::{
        BACK_WORDS, CASE_WORDS, CONDUCTOR_WORDS, Choice, FactRow, Kind, KindRow, LINE_WORDS, Need,
        Range, STOP_WORDS, Shape, WordRow, kinds, terminals,
    },
    units::{Dimension, Quantity, UNITS, Unit, plain},
};

/// The whole reference in Markdown.
pub fn markdown() -> String {
    let mut out = String::from(include_str!("reference/opening.md"));
    kinds_and_facts(&mut out);
    out.push_str(include_str!("reference/runs.md"));
    words(&mut out);
    terminal_table(&mut out);
    out.push_str(include_str!("reference/moments.md"));
    unit_table(&mut out);
    colour_table(&mut out);
    out.push_str(include_str!("reference/decided.md"));
    out
}

/// Writes a line; writing to a `String` cannot fail.
macro_rules! line {
    ($out:expr) => { $out.push('\n') };
    ($out:expr, $($arg:tt)*) => {{
        let _ = writeln!($out, $($arg)*);
    }};
}

fn kinds_and_facts(out: &mut String) {
    line!(out, "\n## Kinds and their facts");
    line!(out, "\n### Every part\n\n{TABLE_HEAD}");
    Kind::Battery
        .row()
        .shared
        .iter()
        .for_each(|fact| fact_line(out, fact));
    for row in kinds() {
        kind(out, row);
    }
}

const TABLE_HEAD: &str = "| fact | what it says | unless said | may be |\n|---|---|---|---|";

fn kind(out: &mut String, row: &KindRow) {
    line!(out, "\n### `{}`\n", row.word);
    line!(out, "{}.\n", sentence(row.meaning));
    line!(out, "```boat\n{}\n```", row.example);
    if !row.facts.is_empty() {
        line!(out, "\n{TABLE_HEAD}");
    }
    row.facts.iter().for_each(|fact| fact_line(out, fact));
    if row.kind == Kind::Panel {
        out.push_str(include_str!("reference/ways.md"));
    }
    row.facts
        .iter()
        .filter(|fact| !fact.choices().is_empty())
        .for_each(|fact| choices(out, fact.choices()));
}

fn fact_line(out: &mut String, fact: &FactRow) {
    let pattern = code(&fact.pattern());
    let pattern = if fact.need == Need::Optional {
        pattern
    } else {
        format!("**{pattern}**")
    };
    line!(
        out,
        "| {pattern} | {} | {} | {} |",
        fact.help,
        unless_said(fact),
        may_be(fact)
    );
}

fn choices(out: &mut String, choices: &[Choice]) {
    line!(out);
    for choice in choices {
        line!(out, "- `{}`: {}", choice.word, choice.meaning);
    }
}

fn code(text: &str) -> String {
    format!("`{text}`")
}

fn unless_said(fact: &FactRow) -> String {
    match fact.need {
        Need::Needed => "needed".to_owned(),
        Need::OneOf => "one of these is needed".to_owned(),
        Need::Optional => fact.default_text(),
    }
}

/// What a fact's number may be, for a table.
fn may_be(fact: &FactRow) -> String {
    let bounds = |dimension: Dimension| {
        let unit = usual(dimension);
        range(&fact.range, &|value| {
            Quantity {
                value,
                dimension,
                unit,
            }
            .printed()
        })
    };
    match fact.shape {
        Shape::Bare(dimension) | Shape::Quantity(dimension) | Shape::Maybe(dimension) => {
            bounds(dimension)
        }
        Shape::SizeAmps | Shape::CountAmps | Shape::AmpsTime => bounds(Dimension::Current),
        Shape::BareSize | Shape::Size => bounds(Dimension::Section),
        Shape::Count | Shape::CountBefore => range(&fact.range, &plain),
        _ => String::new(),
    }
}

fn usual(dimension: Dimension) -> Unit {
    let mut units = dimension.units();
    units.next().map_or(Unit::Percent, |row| row.unit)
}

fn range(range: &Range, shown: &dyn Fn(f64) -> String) -> String {
    match range {
        Range {
            min,
            max,
            above: true,
        } if *min == 0.0 => format!("up to {}", shown(*max)),
        Range { min, max, .. } => format!("{} to {}", shown(*min), shown(*max)),
    }
}

fn words(out: &mut String) {
    let tables: [(&str, &[WordRow]); 4] = [
        ("Words of any line, of `way` and of `allow`", &LINE_WORDS),
        ("Words of a conductor's line", &CONDUCTOR_WORDS),
        ("Words of a return", &BACK_WORDS),
        ("Words of a stop", &STOP_WORDS),
    ];
    for (title, rows) in tables {
        word_table(out, title, rows);
    }
}

fn word_table(out: &mut String, title: &str, rows: &[WordRow]) {
    line!(
        out,
        "\n### {title}\n\n| word | written | meaning |\n|---|---|---|"
    );
    for row in rows {
        line!(
            out,
            "| `{}` | `{}` | {} |",
            row.word,
            row.pattern,
            row.meaning
        );
    }
}

fn terminal_table(out: &mut String) {
    line!(out, "\n### Terminals\n\n| part | terminals |\n|---|---|");
    for row in kinds().filter(|row| !terminals(row.kind).is_empty()) {
        let shown = terminals(row.kind)
            .iter()
            .map(|terminal| match terminal.with {
                "" => code(terminal.text),
                with => format!("{} (with `{with}`)", code(terminal.text)),
            });
        line!(
            out,
            "| `{}` | {} |",
            row.word,
            shown.collect::<Vec<_>>().join(", ")
        );
    }
    out.push_str(include_str!("reference/terminals.md"));
}

fn unit_table(out: &mut String) {
    word_table(out, "Words of a case's line", &CASE_WORDS);
    line!(
        out,
        "\n## Units\n\n| unit | shown as | also read | measures | meaning |\n|---|---|---|---|---|"
    );
    for row in &UNITS {
        // The two ohm signs look alike; one is enough to see.
        let also: Vec<String> = row.also.iter().take(1).map(|also| code(also)).collect();
        line!(
            out,
            "| `{}` | {} | {} | {} | {} |",
            row.ascii,
            row.printed,
            also.join(" "),
            row.dimension.word(),
            row.meaning
        );
    }
}

fn colour_table(out: &mut String) {
    line!(
        out,
        "\n## Colours\n\nBy IEC 60757. Case does not matter; `gray` and `purple` are read as `grey` and `violet`.\n\n| word | code |\n|---|---|"
    );
    for basic in Basic::ALL {
        line!(out, "| `{}` | `{}` |", basic.word(), basic.code());
    }
}

fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(chars).collect()
    })
}
