//! The same name's other places in the file at hand.

use std::ops::Range;

use ampwright_plan::Plan;

use crate::names;

/// A place to highlight.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Highlight {
    /// The bytes.
    pub range: Range<usize>,
    /// The name is given here rather than used.
    pub defines: bool,
}

/// What to highlight for an offset.
pub fn highlight(plan: &Plan, file: u32, offset: usize) -> Vec<Highlight> {
    let Some((symbol, _)) = names::symbol_at(plan, file, offset) else {
        return Vec::new();
    };
    names::all(plan, &symbol)
        .into_iter()
        .filter(|(range, _)| range.file == file)
        .map(|(range, defines)| Highlight {
            range: range.range,
            defines,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::highlight;
    use crate::fixture::pointed;

    #[test]
    fn marks_and_names() {
        for fixture in [
            "run a\n    x +\n    1 mm2 1 m mark D$03\n                   ^^\n    y\n    back mark D3\n              ^^\n",
            "load $0pump pump 5 A\n     ^^^^\ncase c\n    on pump\n       ^^^^\n",
        ] {
            let here = pointed(fixture);
            let found = highlight(&here.plan, 0, here.at);
            let ranges: Vec<_> = found.into_iter().map(|here| here.range).collect();
            let marked: Vec<_> = here
                .marked
                .iter()
                .map(|mark| here.text[mark.clone()].to_owned())
                .collect();
            let shown: Vec<_> = ranges
                .iter()
                .map(|range| here.text[range.clone()].to_owned())
                .collect();
            assert_eq!(shown, marked);
            assert_eq!(ranges, here.marked, "{fixture}");
        }
    }
}
