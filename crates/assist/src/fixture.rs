//! Small plans for tests: `$0` is the cursor, `^^^` under a line marks a range of it.

use std::ops::Range;

use ampwright_plan::Plan;

/// Curlew's domestic side, as the notation's page prints it.
pub(crate) const CURLEW: &str = include_str!("../tests/curlew.boat");

/// A plan and the cursor in it.
pub(crate) struct Pointed {
    pub(crate) plan: Plan,
    pub(crate) text: String,
    pub(crate) at: usize,
    /// What `^^^` marks, in the order of the text.
    pub(crate) marked: Vec<Range<usize>>,
}

/// Reads a plan with a cursor and marks; carets count the columns of the line without its `$0`.
pub(crate) fn pointed(fixture: &str) -> Pointed {
    let (mut text, mut marked, mut line_start) = (String::new(), Vec::new(), 0);
    let mut at = None;
    for line in fixture.split_inclusive('\n') {
        let bare = line.trim_end();
        if !bare.trim().is_empty() && bare.trim().chars().all(|c| c == '^' || c == ' ') {
            let here = carets(bare);
            marked.extend(here.map(|range| line_start + range.start..line_start + range.end));
            continue;
        }
        line_start = text.len();
        at = at.or_else(|| line.find("$0").map(|column| line_start + column));
        text.push_str(&line.replace("$0", ""));
    }
    Pointed {
        plan: Plan::of_text(&text),
        at: at.unwrap_or(text.len()),
        text,
        marked,
    }
}

/// Curlew with the cursor before the first place where `words` stand, moved right by `by`.
pub(crate) fn curlew_at(words: &str, by: usize) -> Pointed {
    let at = CURLEW.find(words).expect("the words stand in the plan") + by;
    Pointed {
        plan: Plan::of_text(CURLEW),
        text: CURLEW.to_owned(),
        at,
        marked: Vec::new(),
    }
}

fn carets(line: &str) -> impl Iterator<Item = Range<usize>> + '_ {
    let mut at = 0;
    std::iter::from_fn(move || {
        let start = at + line[at..].find('^')?;
        let len = line[start..].chars().take_while(|&c| c == '^').count();
        at = start + len;
        Some(start..at)
    })
}

/// The words of some ranges, one a line with the line they stand on.
pub(crate) fn words(text: &str, ranges: impl IntoIterator<Item = Range<usize>>) -> String {
    let shown: Vec<String> = ranges
        .into_iter()
        .map(|range| {
            let line = text[..range.start].matches('\n').count() + 1;
            format!("{line}: {}", &text[range])
        })
        .collect();
    shown.join("\n")
}
