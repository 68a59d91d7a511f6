//! What a plan comes to: in full where one plan was asked for, in a line where there are many.

use std::io::{self, Write};

use ampwright_assist::{doc::Block, summary::summary};

use super::{Checked, Counts};

/// A plan in full, but for the caution: that is said once, after everything.
pub(super) fn full(checked: &Checked, out: &mut dyn Write) -> io::Result<()> {
    let mut doc = summary(&checked.plan).doc();
    let caution = Block::Paragraph(super::CAUTION.into());
    doc.blocks.retain(|block| *block != caution);
    writeln!(out, "{}", doc.plain())
}

/// A plan in a line.
pub(super) fn line(checked: &Checked, path: &str, out: &mut dyn Write) -> io::Result<()> {
    let counts = Counts::of(&checked.plan.findings);
    writeln!(out, "{path}: {}", counts.in_words())
}

impl Counts {
    fn in_words(self) -> String {
        let many = |count: usize, one: &str, more: &str| match count {
            0 => None,
            1 => Some(format!("1 {one}")),
            _ => Some(format!("{count} {more}")),
        };
        let words: Vec<String> = [
            many(self.errors, "error", "errors"),
            many(self.warnings, "warning", "warnings"),
            many(self.advices, "piece of advice", "pieces of advice"),
            many(self.accepted, "accepted", "accepted"),
        ]
        .into_iter()
        .flatten()
        .collect();
        if words.is_empty() {
            "no findings".to_owned()
        } else {
            words.join(", ")
        }
    }
}
