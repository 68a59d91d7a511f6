//! `format`: plans brought into the written form, in place, or the difference printed.

use std::{
    io::{self, Write},
    ops::Range,
    path::{Path, PathBuf},
};

use ampwright_notation::{
    File,
    format::{Edit, format, format_edits},
};
use anyhow::Context;

use crate::{
    cli::FormatArgs,
    disk, gather,
    out::{Outcome, complain},
    texts,
    visible::visible,
};

/// Formats files.
pub(crate) fn run(args: &FormatArgs, out: &mut dyn Write) -> anyhow::Result<Outcome> {
    let mut unread = Vec::new();
    let files = gather::files(&args.paths, &mut unread);
    let mut changed = false;
    for path in files {
        match disk::read_text(&path) {
            Err(why) => unread.push((path, why)),
            Ok(text) => changed |= one(&path, &text, args.check, out)?,
        }
    }
    let here = texts::here();
    for (path, why) in &unread {
        complain(&format!("cannot read {}: {why}", texts::from(&here, path)));
    }
    Ok(match (unread.is_empty(), args.check && changed) {
        (false, _) => Outcome::Unread,
        (true, true) => Outcome::Found,
        (true, false) => Outcome::Clean,
    })
}

/// Whether a file was not in the written form.
fn one(path: &Path, text: &str, check: bool, out: &mut dyn Write) -> anyhow::Result<bool> {
    let file = File::parse(text);
    let edits = format_edits(&file);
    if edits.is_empty() {
        return Ok(false);
    }
    let shown = texts::from(&texts::here(), path);
    if check {
        difference(&shown, text, &edits, out)?;
    } else {
        replace(path, &format(&file)).with_context(|| format!("cannot write {shown}"))?;
        writeln!(out, "{shown}: written anew")?;
    }
    Ok(true)
}

/// Writes beside the file and renames, so that a failure never leaves half a plan.
fn replace(path: &Path, text: &str) -> io::Result<()> {
    let beside = beside(path);
    let written = std::fs::write(&beside, text)
        .and_then(|()| std::fs::set_permissions(&beside, std::fs::metadata(path)?.permissions()))
        .and_then(|()| std::fs::rename(&beside, path));
    if written.is_err() {
        let _ = std::fs::remove_file(&beside);
    }
    written
}

fn beside(path: &Path) -> PathBuf {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(format!(".{}~", std::process::id()));
    path.with_file_name(name)
}

/// The difference by whole lines in the form of a patch, without lines round it.
fn difference(path: &str, text: &str, edits: &[Edit], out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "--- {path}\n+++ {path}")?;
    let mut shift = 0isize;
    for (range, new) in hunks(text, edits) {
        let line = text[..range.start].matches('\n').count() + 1;
        let (old, new): (Vec<_>, Vec<_>) = (lines(&text[range]), lines(&new));
        writeln!(
            out,
            "@@ -{} +{} @@",
            span(line, old.len()),
            span(line.saturating_add_signed(shift), new.len())
        )?;
        old.iter()
            .try_for_each(|line| writeln!(out, "-{}", visible(line)))?;
        new.iter()
            .try_for_each(|line| writeln!(out, "+{}", visible(line)))?;
        shift += new.len().cast_signed() - old.len().cast_signed();
    }
    Ok(())
}

/// A hunk's lines as `patch` counts them: an empty one stands after the line before.
fn span(line: usize, count: usize) -> String {
    match count {
        0 => format!("{},0", line - 1),
        1 => line.to_string(),
        _ => format!("{line},{count}"),
    }
}

fn lines(text: &str) -> Vec<&str> {
    text.lines().collect()
}

/// The whole lines that the edits touch, and what takes their place; edits that share a line, or
/// touch neighbours, are one hunk.
fn hunks(text: &str, edits: &[Edit]) -> Vec<(Range<usize>, String)> {
    let mut hunks: Vec<(Range<usize>, String)> = Vec::new();
    let mut done = 0;
    for edit in edits {
        let start = text[..edit.range.start].rfind('\n').map_or(0, |at| at + 1);
        match hunks.last_mut() {
            Some((range, new)) if start <= range.end => {
                new.push_str(&text[done..edit.range.start]);
                range.end = edit.range.end;
                new.push_str(&edit.text);
            }
            _ => {
                finish(&mut hunks, text, done);
                let new = format!("{}{}", &text[start..edit.range.start], edit.text);
                hunks.push((start..edit.range.end, new));
            }
        }
        done = edit.range.end;
    }
    finish(&mut hunks, text, done);
    hunks
}

/// Carries the last hunk on to the end of its line.
fn finish(hunks: &mut [(Range<usize>, String)], text: &str, done: usize) {
    if let Some((range, new)) = hunks.last_mut() {
        let at_line_start = done == 0 || text[..done].ends_with('\n');
        let end = match text[done..].find('\n') {
            _ if at_line_start && (new.is_empty() || new.ends_with('\n')) => done,
            Some(at) => done + at + 1,
            None => text.len(),
        };
        new.push_str(&text[done..end]);
        range.end = end;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str) -> String {
        let mut out = Vec::new();
        let edits = format_edits(&File::parse(text));
        difference("a.boat", text, &edits, &mut out).unwrap();
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn a_changed_line_is_shown_whole() {
        let text = "boat b\n  system 12  V\n    ambient 25 C\n\tdrop 5%\n";
        assert_eq!(
            shown(text),
            "--- a.boat\n+++ a.boat\n@@ -2 +2 @@\n-  system 12  V\n+    system 12 V\n@@ -4 +4 @@\n-␉drop 5%\n+    drop 5 %\n"
        );
    }

    #[test]
    fn blank_lines_that_go_are_shown_going() {
        let text = "boat b\n    system 12 V\n\n\n\nplace locker\n";
        assert_eq!(
            shown(text),
            "--- a.boat\n+++ a.boat\n@@ -4,2 +3,0 @@\n-\n-\n"
        );
    }
}
