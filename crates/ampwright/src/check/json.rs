//! One JSON document, for programs; `check --help` describes it. Its keys are sorted.

use std::{
    fmt::Write as _,
    io::{self, Write},
};

use ampwright_plan::{Finding, Plan, Site};
use serde_json::{Value, json};

use super::{Checked, Counts, Result};
use crate::{
    texts::{Place, Texts},
    visible::shown,
};

pub(super) fn print(result: &Result, out: &mut dyn Write) -> io::Result<()> {
    let unread = |(path, why): &(String, String)| json!({ "path": path, "why": why });
    let document = json!({
        "plans": result.plans.iter().map(plan).collect::<Vec<_>>(),
        "unused": result.unused,
        "unread": result.unread.iter().map(unread).collect::<Vec<_>>(),
        "caution": super::CAUTION,
    });
    let text = serde_json::to_string_pretty(&document)?;
    writeln!(out, "{}", escaped(&text))
}

/// The document with everything escaped that a terminal could obey; JSON itself lets some of it stand.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut units = [0; 2];
    for c in text.chars() {
        if c == '\n' || shown(c) == c {
            out.push(c);
        } else {
            for unit in c.encode_utf16(&mut units) {
                // Writing to a string cannot fail.
                let _ = write!(out, "\\u{unit:04x}");
            }
        }
    }
    out
}

fn plan(checked: &Checked) -> Value {
    let Plan {
        sources, findings, ..
    } = &checked.plan;
    let texts = checked.texts();
    let counts = Counts::of(findings);
    json!({
        "plan": texts.path(0),
        "files": (0..sources.list.len() as u32).map(|file| texts.path(file)).collect::<Vec<_>>(),
        "counts": {
            "error": counts.errors,
            "warning": counts.warnings,
            "advice": counts.advices,
            "accepted": counts.accepted,
        },
        "findings": findings.iter().map(|found| finding(&texts, found)).collect::<Vec<_>>(),
    })
}

fn finding(texts: &Texts<'_>, finding: &Finding) -> Value {
    let figure = finding.figure.map(|figure| {
        json!({ "measured": figure.measured, "allowed": figure.allowed, "unit": figure.unit })
    });
    let accepted = finding.accepted.as_ref().map(|accepted| {
        json!({ "reason": accepted.reason, "by": accepted.by, "at": at(texts, accepted.site) })
    });
    let related = finding
        .related
        .iter()
        .map(|related| json!({ "at": at(texts, related.site), "message": related.message }));
    let fixes = finding
        .fixes
        .iter()
        .map(|fix| json!({ "label": fix.label, "at": at(texts, fix.site), "text": fix.text }));
    json!({
        "code": finding.code.word(),
        "family": finding.code.entry().family.word(),
        "severity": finding.severity.word(),
        "message": finding.message,
        "at": at(texts, finding.site),
        "related": related.collect::<Vec<_>>(),
        "figure": figure,
        "fixes": fixes.collect::<Vec<_>>(),
        "accepted": accepted,
    })
}

fn at(texts: &Texts<'_>, site: Site) -> Value {
    let (start, end) = texts.places(site);
    let range = texts.range(site);
    let place = |place: Place| json!({ "line": place.line, "column": place.column });
    json!({
        "file": texts.path(site.file),
        "start": place(start),
        "end": place(end),
        "bytes": [range.start, range.end],
    })
}

#[cfg(test)]
mod tests {
    use super::escaped;

    #[test]
    fn what_a_terminal_could_obey_is_escaped() {
        assert_eq!(
            escaped("\"\u{9b}2J\u{202e}möwe\u{e0001}\""),
            r#""\u009b2J\u202emöwe\udb40\udc01""#
        );
    }
}
