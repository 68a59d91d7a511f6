//! What a plan comes to, in a line or two.

use std::io::{self, Write};

use super::{Checked, Counts};

pub(super) fn print(checked: &Checked, path: &str, out: &mut dyn Write) -> io::Result<()> {
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
