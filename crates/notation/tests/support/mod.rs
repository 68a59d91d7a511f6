//! What the tests of reading and writing share.
#![allow(dead_code)] // each test file uses its part

use std::fmt::Write as _;

use ampwright_notation::{File, Flaw, Thing};

/// What a file says, without where it says it.
pub(crate) fn meaning(file: &File) -> String {
    let mut out = String::new();
    for chunk in &file.chunks {
        let Thing {
            kind,
            name,
            title,
            facts,
            ways,
            steps,
            settings,
            allows,
            ..
        } = &*chunk.thing;
        let note = chunk.thing.note_text();
        let said = format!(
            "{kind:?} {name:?} {title:?} {note:?} {facts:?} {ways:?} {steps:?} {settings:?} {allows:?}"
        );
        out.push_str(&without_spans(&said));
        out.push('\n');
    }
    for (_, heading) in file.headings() {
        let _ = writeln!(out, "## {heading}");
    }
    out
}

/// The text without its `Span { .. }`s.
fn without_spans(said: &str) -> String {
    let mut out = String::with_capacity(said.len());
    let mut rest = said;
    while let Some(at) = rest.find("Span { start: ") {
        out.push_str(&rest[..at]);
        rest = rest[at..].split_once('}').map_or("", |(_, rest)| rest);
    }
    out + rest
}

/// Everything of a file, spans too: what two ways of reading the same text must agree on.
pub(crate) fn everything(file: &File) -> String {
    format!("{file:?}")
}

/// The text with each finding drawn below its line.
pub(crate) fn drawn(text: &str) -> String {
    let flaws = File::parse(text).all_flaws();
    let mut out = String::new();
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let end = at + line.len();
        out.push_str(
            line.trim_end_matches(['\r', '\n'])
                .trim_start_matches('\u{feff}'),
        );
        out.push('\n');
        for flaw in flaws
            .iter()
            .filter(|flaw| (at..end).contains(&(flaw.span.start as usize)))
        {
            draw(&mut out, text, at, flaw);
        }
        at = end;
    }
    out
}

fn draw(out: &mut String, text: &str, line: usize, flaw: &Flaw) {
    let before = text[line..flaw.span.start as usize].chars().count();
    let width = text[flaw.span.start as usize..flaw.span.end as usize]
        .chars()
        .count()
        .max(1);
    let _ = writeln!(
        out,
        "{}{} {}: {}",
        " ".repeat(before),
        "^".repeat(width),
        flaw.code.word(),
        flaw.message
    );
    for mend in flaw.mends() {
        let mut mended = text.to_owned();
        mended.replace_range(mend.span.start as usize..mend.span.end as usize, &mend.text);
        let from = mended[..mend.span.start as usize]
            .rfind('\n')
            .map_or(0, |at| at + 1);
        let shown = mended[from..].lines().next().unwrap_or_default().trim();
        let _ = writeln!(out, "{}  {} -> {shown}", " ".repeat(before), mend.label);
    }
}

/// Each edit that a finding offers takes that finding away.
pub(crate) fn mends_mend(text: &str) {
    let flaws = File::parse(text).all_flaws();
    let like = |flaws: &[Flaw], flaw: &Flaw| {
        let same = |other: &&Flaw| other.code == flaw.code && other.message == flaw.message;
        flaws.iter().filter(same).count()
    };
    for flaw in &flaws {
        for mend in flaw.mends() {
            let mut mended = text.to_owned();
            mended.replace_range(mend.span.start as usize..mend.span.end as usize, &mend.text);
            let after = File::parse(&mended).all_flaws();
            assert!(
                like(&after, flaw) < like(&flaws, flaw),
                "{flaw:#?} stands in {mended}"
            );
        }
    }
}
