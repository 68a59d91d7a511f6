//! Findings for people: the lines underlined, the related places beside them, then what the plan
//! comes to.

use std::{
    io::{self, Write},
    ops::Range,
};

use ampwright_plan::{Finding, Severity, Site};
use annotate_snippets::{AnnotationKind, Element, Level, Origin, Renderer, Snippet};

use super::{Checked, Result};
use crate::{
    texts::{Text, Texts},
    visible::{shown, visible},
};

/// More findings of one plan are counted and not shown: nobody reads on.
const MOST_SHOWN: usize = 200;
/// Lines that lie this near to one another are shown in one piece.
const NEAR: usize = 6;
/// Of a longer line only this many characters round the words are shown.
const LONGEST_LINE: usize = 400;

pub(super) fn print(result: &Result, colour: bool, out: &mut dyn Write) -> io::Result<()> {
    let renderer = if colour {
        Renderer::styled()
    } else {
        Renderer::plain()
    };
    let alone = result.plans.len() == 1;
    for checked in &result.plans {
        plan(checked, alone, &renderer, out)?;
    }
    for path in &result.unused {
        writeln!(
            out,
            "{path}: part of no plan, and so not checked: no boat in it, and no plan here uses it"
        )?;
    }
    for (path, why) in &result.unread {
        writeln!(out, "{path}: cannot be read: {}", visible(why))?;
    }
    if let Some(finding) = gravest_of_all(result) {
        let code = finding.code.word();
        writeln!(out, "\nMore about a finding: ampwright explain {code}")?;
    }
    if !result.plans.is_empty() {
        writeln!(out, "\n{}", super::CAUTION)?;
    }
    Ok(())
}

fn plan(
    checked: &Checked,
    alone: bool,
    renderer: &Renderer,
    out: &mut dyn Write,
) -> io::Result<()> {
    let texts = checked.texts();
    let findings = &checked.plan.findings;
    let shown = gravest(findings);
    for finding in &shown {
        writeln!(out, "{}\n", report(&texts, finding, renderer))?;
    }
    if findings.len() > shown.len() {
        writeln!(
            out,
            "... and {} more findings, none of them graver: --format plain shows all\n",
            findings.len() - shown.len()
        )?;
    }
    if alone {
        super::summary::full(checked, out)
    } else {
        super::summary::line(checked, &texts.path(0), out)
    }
}

/// The first of the gravest findings that nobody has accepted.
fn gravest_of_all(result: &Result) -> Option<&Finding> {
    let findings = result.plans.iter().flat_map(|plan| &plan.plan.findings);
    let open = findings.filter(|finding| finding.accepted.is_none());
    open.min_by_key(|finding| std::cmp::Reverse(finding.severity))
}

/// The findings to show, in the order of the text; where there are too many, the gravest of them.
fn gravest(findings: &[Finding]) -> Vec<&Finding> {
    let mut order: Vec<usize> = (0..findings.len()).collect();
    order.sort_by_key(|&index| {
        let finding = &findings[index];
        (
            finding.accepted.is_some(),
            std::cmp::Reverse(finding.severity),
        )
    });
    order.truncate(MOST_SHOWN);
    order.sort_unstable();
    order.into_iter().map(|index| &findings[index]).collect()
}

fn report(texts: &Texts<'_>, finding: &Finding, renderer: &Renderer) -> String {
    let level = match finding.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Advice => Level::NOTE.with_name("advice"),
    };
    let level = match (&finding.accepted, finding.severity) {
        (None, _) => level,
        (Some(_), Severity::Error) => Level::NOTE.with_name("accepted error"),
        (Some(_), Severity::Warning) => Level::NOTE.with_name("accepted warning"),
        (Some(_), Severity::Advice) => Level::NOTE.with_name("accepted advice"),
    };
    let mut group = level
        .primary_title(visible(&finding.message))
        .id(finding.code.word())
        .elements(snippets(texts, finding));
    if let Some(accepted) = &finding.accepted {
        let words = accepted.words();
        group = group.element(Level::NOTE.message(visible(&words).into_owned()));
    }
    renderer.render(&[group])
}

/// Words to underline: in which lines they lie, and what to write beside them.
struct Mark {
    file: u32,
    range: Range<usize>,
    first: usize,
    last: usize,
    label: Option<String>,
}

impl Mark {
    fn of(texts: &Texts<'_>, site: Site, label: Option<&str>) -> Self {
        let range = texts.range(site);
        let line = |at| texts.text(site.file).map_or(0, |text| text.line(at));
        let first = line(range.start);
        Self {
            file: site.file,
            first,
            last: line(range.end).clamp(first, first + NEAR),
            range,
            label: label.map(|label| visible(label).into_owned()),
        }
    }
}

/// The finding's words and the related ones, near ones in one piece, the finding's own first.
fn snippets(texts: &Texts<'_>, finding: &Finding) -> Vec<Element<'static>> {
    let own = Mark::of(texts, finding.site, None);
    let related = finding
        .related
        .iter()
        .map(|related| Mark::of(texts, related.site, Some(&related.message)));
    let mut pieces: Vec<Vec<Mark>> = vec![vec![own]];
    for mark in related {
        let near = pieces.iter_mut().find(|piece| {
            piece[0].file == mark.file && piece.iter().any(|other| near(other, &mark))
        });
        match near {
            Some(piece) => piece.push(mark),
            None => pieces.push(vec![mark]),
        }
    }
    pieces
        .iter()
        .enumerate()
        .filter_map(|(index, marks)| {
            Some(snippet(
                texts,
                texts.text(marks[0].file)?,
                marks,
                index == 0,
            ))
        })
        .flatten()
        .collect()
}

fn near(a: &Mark, b: &Mark) -> bool {
    a.first <= b.last + NEAR && b.first <= a.last + NEAR
}

/// One piece of a text with its marks. Only the lines it needs are copied, each character made
/// fit for a terminal, so that a large file costs no more than a small one.
fn snippet(
    texts: &Texts<'_>,
    text: &Text,
    marks: &[Mark],
    is_first: bool,
) -> Vec<Element<'static>> {
    let first = marks.iter().map(|mark| mark.first).min().unwrap_or(0);
    let last = marks.iter().map(|mark| mark.last).max().unwrap_or(first);
    let mut copy = Copy::default();
    for line in first..=last {
        copy.line(text, line, marks);
    }
    let path = texts.path(marks[0].file);
    let annotations = marks.iter().enumerate().map(|(index, mark)| {
        let kind = if is_first && index == 0 {
            AnnotationKind::Primary
        } else {
            AnnotationKind::Context
        };
        kind.span(copy.range(&mark.range)).label(mark.label.clone())
    });
    let annotations: Vec<_> = annotations.collect();
    let snippet = Snippet::source(copy.text)
        .line_start(first + 1)
        .annotations(annotations);
    if !copy.clipped {
        return vec![snippet.path(path).into()];
    }
    // Columns of a clipped line are not those of the file.
    let place = text.place(marks[0].range.start);
    let origin = Origin::path(path)
        .line(place.line)
        .char_column(place.column);
    vec![origin.into(), snippet.into()]
}

/// Lines made fit for a terminal, and where each of their characters came from.
#[derive(Default)]
struct Copy {
    text: String,
    /// For each character that was copied its offset in the file and its offset here.
    from: Vec<(usize, usize)>,
    /// A line was longer than what is shown of it.
    clipped: bool,
}

impl Copy {
    fn line(&mut self, text: &Text, line: usize, marks: &[Mark]) {
        let whole = text.line_range(line);
        let range = clipped(text, whole.clone(), marks);
        self.clipped |= range != whole;
        if range.start > whole.start {
            self.text.push('…');
        }
        for (at, c) in text.text[range.clone()].char_indices() {
            self.from.push((range.start + at, self.text.len()));
            self.text.push(if c == '\t' { c } else { shown(c) });
        }
        self.from.push((range.end, self.text.len()));
        if range.end < whole.end {
            self.text.push('…');
        }
        self.text.push('\n');
    }

    fn offset(&self, offset: usize) -> usize {
        let at = self.from.partition_point(|&(from, _)| from < offset);
        self.from
            .get(at)
            .map_or(self.text.len().saturating_sub(1), |&(_, here)| here)
    }

    fn range(&self, range: &Range<usize>) -> Range<usize> {
        let start = self.offset(range.start);
        start..self.offset(range.end).max(start)
    }
}

/// The part of a line to show: all of it, or what lies round the first words marked in it.
fn clipped(text: &Text, line: Range<usize>, marks: &[Mark]) -> Range<usize> {
    if line.len() <= LONGEST_LINE {
        return line;
    }
    let starts = marks.iter().map(|mark| mark.range.start);
    let marked = starts.filter(|at| line.contains(at)).min();
    let from = marked
        .unwrap_or(line.start)
        .saturating_sub(LONGEST_LINE / 4);
    let start = text.text.floor_char_boundary(from.max(line.start));
    let end = text
        .text
        .floor_char_boundary((start + LONGEST_LINE).min(line.end));
    start..end
}
