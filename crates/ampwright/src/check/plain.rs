//! One line a finding, for tools that read lines: `path:line:column: severity: message [code]`.

use std::io::{self, Write};

use ampwright_plan::Finding;

use super::Result;
use crate::{out::complain, texts::Texts, visible::visible};

pub(super) fn print(result: &Result, out: &mut dyn Write) -> io::Result<()> {
    for checked in &result.plans {
        let texts = checked.texts();
        for finding in &checked.plan.findings {
            line(&texts, finding, out)?;
        }
    }
    for path in &result.unused {
        complain(&format!(
            "{path} has no boat in it and no plan here uses it"
        ));
    }
    for (path, why) in &result.unread {
        complain(&format!("cannot read {path}: {why}"));
    }
    Ok(())
}

fn line(texts: &Texts<'_>, finding: &Finding, out: &mut dyn Write) -> io::Result<()> {
    let (start, _) = texts.places(finding.site);
    let accepted = finding.accepted.as_ref().map(|accepted| {
        let words = accepted.words();
        format!(" ({})", visible(&words))
    });
    writeln!(
        out,
        "{}:{}:{}: {}{}: {}{} [{}]",
        texts.path(finding.site.file),
        start.line,
        start.column,
        if accepted.is_some() { "accepted " } else { "" },
        finding.severity.word(),
        visible(&finding.message),
        accepted.unwrap_or_default(),
        finding.code.word(),
    )
}
