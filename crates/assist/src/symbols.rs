//! The outline of a file, and finding a thing by a few letters of its name.

use std::ops::Range;

use ampwright_notation::{Chunk, Kind, Span, Thing, tree::Step};
use ampwright_plan::Plan;

use crate::cursor::{FileRange, extent, file_of};

/// An entry of the outline.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Symbol {
    /// The name, or a heading's words.
    pub name: String,
    /// What is said of it in a few words.
    pub detail: String,
    /// What it is.
    pub role: Role,
    /// The whole of it.
    pub range: Range<usize>,
    /// Its name.
    pub selection: Range<usize>,
    /// What lies in it.
    pub children: Vec<Symbol>,
}

/// What an entry is, as far as a picture beside it can tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// A `##` line and what follows it.
    Heading,
    /// A thing of a kind.
    Thing(Kind),
    /// A panel's way.
    Way,
    /// A thing whose kind is no kind.
    Unknown,
}

/// A thing found anywhere in the plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// Its name.
    pub name: String,
    /// What is said of it.
    pub detail: String,
    /// What it is.
    pub role: Role,
    /// Where its name stands.
    pub at: FileRange,
}

/// A file's outline: things under the `##` line above them, panels with their ways.
pub fn document(plan: &Plan, file: u32) -> Vec<Symbol> {
    let Some(file) = file_of(plan, file) else {
        return Vec::new();
    };
    let mut things = file.chunks.iter().filter_map(of_chunk).peekable();
    let headings = file.headings();
    let first = headings
        .first()
        .map_or(usize::MAX, |(range, _)| range.start);
    let mut outline = Vec::new();
    while let Some(thing) = things.next_if(|thing| thing.selection.start < first) {
        outline.push(thing);
    }
    for (index, (range, words)) in headings.iter().enumerate() {
        let end = headings
            .get(index + 1)
            .map_or(file.len(), |(next, _)| next.start);
        let mut children = Vec::new();
        while let Some(thing) = things.next_if(|thing| thing.selection.start < end) {
            children.push(thing);
        }
        outline.push(Symbol {
            name: if words.is_empty() {
                "##".to_owned()
            } else {
                words.clone()
            },
            detail: String::new(),
            role: Role::Heading,
            range: range.start..end.max(range.end),
            selection: range.clone(),
            children,
        });
    }
    outline
}

/// Things whose names or titles hold the letters of a query in their order, the nearest first.
pub fn workspace(plan: &Plan, query: &str, most: usize) -> Vec<Found> {
    let mut found: Vec<(u32, Found)> = Vec::new();
    for (index, source) in plan.sources.list.iter().enumerate() {
        for chunk in &source.file.chunks {
            found.extend(of_query(chunk, index as u32, query));
        }
    }
    found.sort_by(|(a, x), (b, y)| (a, &x.name, x.at.order()).cmp(&(b, &y.name, y.at.order())));
    found
        .into_iter()
        .take(most)
        .map(|(_, found)| found)
        .collect()
}

fn of_query(chunk: &Chunk, file: u32, query: &str) -> Option<(u32, Found)> {
    let thing = &chunk.thing;
    let name = thing.name.as_ref()?;
    let title = thing.title.as_ref().map_or("", |title| &title.value);
    let rank = match (rank(query, &name.value), rank(query, title)) {
        (Some(name), Some(title)) => name.min(title + 1),
        (Some(name), None) => name,
        (None, Some(title)) => title + 1,
        (None, None) => return None,
    };
    let at = FileRange {
        file,
        range: chunk.absolute(name.span),
    };
    Some((
        rank,
        Found {
            name: name.value.to_string(),
            detail: detail(thing),
            role: role(thing),
            at,
        },
    ))
}

/// How well letters fit a name; `None` where they are not in it in their order. Less is better.
fn rank(query: &str, name: &str) -> Option<u32> {
    let query: Vec<char> = query
        .chars()
        .filter(|c| !c.is_whitespace())
        .flat_map(char::to_lowercase)
        .collect();
    let name: Vec<char> = name.chars().flat_map(char::to_lowercase).collect();
    if name == query {
        return Some(0);
    }
    if name.starts_with(&query) {
        return Some(2);
    }
    let (mut at, mut gaps) = (0, 0);
    for (index, letter) in query.iter().enumerate() {
        let skipped = name.get(at..)?.iter().position(|other| other == letter)?;
        let begins = at + skipped == 0 || !name[at + skipped - 1].is_alphanumeric();
        gaps += u32::from(skipped > 0 && index > 0 && !begins);
        at += skipped + 1;
    }
    Some(4 + 2 * gaps)
}

fn of_chunk(chunk: &Chunk) -> Option<Symbol> {
    let thing = &chunk.thing;
    let label = thing.label();
    let words = thing.text_of(label);
    if words.trim().is_empty() {
        return None;
    }
    let children = thing.ways.iter().map(|way| Symbol {
        name: format!("way {}", way.number.value),
        detail: way.title.as_ref().map_or_else(
            || cut(thing.text_of(after(way.number.span, way.span))),
            |title| title.value.to_string(),
        ),
        role: Role::Way,
        range: chunk.absolute(way.span),
        selection: chunk.absolute(way.number.span),
        children: Vec::new(),
    });
    let whole = extent(chunk);
    let selection = chunk.absolute(label);
    Some(Symbol {
        name: words.to_owned(),
        detail: detail(thing),
        role: role(thing),
        range: whole.start.min(selection.start)..whole.end.max(selection.end),
        selection,
        children: children.collect(),
    })
}

const fn after(first: Span, whole: Span) -> Span {
    Span::new(
        first.end,
        if whole.end > first.end {
            whole.end
        } else {
            first.end
        },
    )
}

fn role(thing: &Thing) -> Role {
    thing.kind.map_or(Role::Unknown, Role::Thing)
}

/// A title; else a run's ends, and of other things the words after the name.
fn detail(thing: &Thing) -> String {
    let title = thing.title.as_ref().map(|title| cut(&title.value));
    let said = match thing.kind {
        Some(Kind::Run) => ends(thing),
        _ => thing.name.as_ref().map(|name| {
            let behind = thing.title.as_ref().map_or(name.span, |title| title.span);
            cut(thing.text_of(after(behind, thing.head)))
        }),
    };
    let words: Vec<String> = [title, said]
        .into_iter()
        .flatten()
        .filter(|words| !words.is_empty())
        .collect();
    words.join(", ")
}

fn ends(thing: &Thing) -> Option<String> {
    let words = |step: &Step| match step {
        Step::Stop(stop) => Some(thing.text_of(stop.span).to_owned()),
        Step::Back(back) => Some(
            back.to
                .as_ref()
                .map_or("back", |stop| thing.text_of(stop.span))
                .to_owned(),
        ),
        Step::Conductor(_) | Step::Unread(_) => None,
    };
    let first = thing.steps.iter().find_map(words)?;
    let last = thing.steps.iter().rev().find_map(words)?;
    let last = if last == "back" {
        "and back".to_owned()
    } else {
        format!("to {last}")
    };
    Some(cut(&format!("{first} {last}")))
}

/// No more words than an outline has room for.
fn cut(words: &str) -> String {
    const MOST: usize = 60;
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    if words.chars().count() <= MOST {
        return words;
    }
    words.chars().take(MOST).chain(['…']).collect()
}

#[cfg(test)]
mod tests {
    use expect_test::{Expect, expect};

    use super::{Symbol, document, workspace};
    use crate::fixture::{CURLEW, pointed};

    fn show(symbols: &[Symbol], depth: usize, out: &mut Vec<String>) {
        for symbol in symbols {
            assert!(
                symbol.range.start <= symbol.selection.start
                    && symbol.selection.end <= symbol.range.end
            );
            out.push(format!(
                "{}{} — {}",
                "  ".repeat(depth),
                symbol.name,
                symbol.detail
            ));
            show(&symbol.children, depth + 1, out);
        }
    }

    fn outline(text: &str, expected: &Expect) {
        let mut lines = Vec::new();
        show(&document(&pointed(text).plan, 0), 0, &mut lines);
        expected.assert_eq(&lines.join("\n"));
    }

    fn found(query: &str, expected: &Expect) {
        let found = workspace(&pointed(CURLEW).plan, query, 5);
        let lines: Vec<String> = found
            .iter()
            .map(|found| format!("{} — {}", found.name, found.detail))
            .collect();
        expected.assert_eq(&lines.join("\n"));
    }

    #[test]
    fn things_stand_under_their_headings() {
        outline(
            "boat b system 12 V\n## Sources\n# note\nbattery a \"House\" agm 5 Ah\n\n## Circuits\npanel p\n    way 1 fuse 5 A\n    way 2 spare \"later\"\nrun r\n    p way 1\n    1 mm2 1 m\n    x\n    back\nrun s \"Feed\"\n    a +\n    1 mm2 1 m\n    p\nblurb x\n",
            &expect![[r#"
                b — system 12 V
                Sources — 
                  a — House, agm 5 Ah
                Circuits — 
                  p — 
                    way 1 — fuse 5 A
                    way 2 — later
                  r — p way 1 and back
                  s — Feed, a + to p
                  x — "#]],
        );
    }

    #[test]
    fn letters_in_their_order_find_a_thing() {
        found(
            "dr",
            &expect!["domestic-return — Domestic return, cabin-negative to house-2 -"],
        );
        found("hf", &expect!["house-fuse — bolt-down 80 A"]);
        found("asleep", &expect!["night — Asleep at anchor"]);
        found("zzz", &expect![[r#""#]]);
    }
}
