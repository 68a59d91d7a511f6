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

/// Reads a plan with a cursor and marks.
pub(crate) fn pointed(fixture: &str) -> Pointed {
    let (text, marked) = without_marks(fixture);
    let at = text.find("$0").unwrap_or(text.len());
    let text = text.replacen("$0", "", 1);
    let moved = |end: usize| if end > at { end - 2 } else { end };
    let marked = marked
        .into_iter()
        .map(|range| moved(range.start)..moved(range.end))
        .collect();
    Pointed {
        plan: Plan::of_text(&text),
        text,
        at,
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

fn without_marks(fixture: &str) -> (String, Vec<Range<usize>>) {
    let (mut text, mut marked, mut line_start) = (String::new(), Vec::new(), 0);
    for line in fixture.split_inclusive('\n') {
        let bare = line.trim_end();
        if !bare.trim().is_empty() && bare.trim().chars().all(|c| c == '^' || c == ' ') {
            marked
                .extend(carets(bare).map(|range| line_start + range.start..line_start + range.end));
        } else {
            line_start = text.len();
            text.push_str(line);
        }
    }
    (text, marked)
}

/// The columns count the `$0` of the line above.
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
