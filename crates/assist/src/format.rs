//! The written form as edits: of a file, of some of its lines, and the indentation of a new line.

use std::ops::Range;

use ampwright_notation::{format::format_edits, token::is_blank};
use ampwright_plan::Plan;

use crate::cursor::{Edit, FileRange, file_of};

/// The indentation of the written form.
pub const INDENT: &str = "    ";

/// The edits that bring a file into the written form.
pub fn file(plan: &Plan, file: u32) -> Vec<Edit> {
    let Some(parsed) = file_of(plan, file) else {
        return Vec::new();
    };
    let edits = format_edits(parsed).into_iter().map(|edit| Edit {
        at: FileRange {
            file,
            range: edit.range,
        },
        text: edit.text,
    });
    edits.collect()
}

/// Those of them that touch a range.
pub fn range(plan: &Plan, of: u32, range: &Range<usize>) -> Vec<Edit> {
    let touches =
        |edit: &Edit| edit.at.range.start <= range.end && range.start <= edit.at.range.end;
    file(plan, of).into_iter().filter(touches).collect()
}

/// The indentation of a line begun by a line break at `offset`: below a head or a body line, one step.
pub fn indent_after(plan: &Plan, file: u32, offset: usize) -> &'static str {
    // What stands at the offset itself may be the line that is begun.
    let above = offset.saturating_sub(1);
    let chunk = file_of(plan, file).and_then(|file| file.chunk_at(above));
    let Some((_, chunk)) = chunk else { return "" };
    let at = chunk.relative(offset);
    let behind_head = at >= chunk.thing.head.end && !chunk.thing.head.is_empty();
    let last = crate::cursor::extent(chunk).end;
    let gap = chunk
        .thing
        .text
        .get(last.saturating_sub(chunk.at as usize)..at as usize);
    // A blank line ends a thing for the hand that writes, though not for the reader.
    let ended = gap.is_some_and(|gap| gap.matches('\n').count() > 1);
    if behind_head && !ended { INDENT } else { "" }
}

/// The edit that indents the line at `offset`, which was just begun; none where it is right already.
pub fn begun(plan: &Plan, file: u32, offset: usize) -> Vec<Edit> {
    let Some(parsed) = file_of(plan, file) else {
        return Vec::new();
    };
    let text = parsed.text();
    let offset = offset.min(text.len());
    let before = text.get(..offset).unwrap_or_default();
    let start = before.rfind(['\n', '\r']).map_or(0, |end| end + 1);
    let line = text.get(start..).unwrap_or_default();
    let blanks = line.len() - line.trim_start_matches(is_blank).len();
    let wanted = indent_after(plan, file, start);
    if start == 0 || line.get(..blanks) == Some(wanted) {
        return Vec::new();
    }
    vec![Edit {
        at: FileRange {
            file,
            range: start..start + blanks,
        },
        text: wanted.to_owned(),
    }]
}

#[cfg(test)]
mod tests {
    use super::{begun, file, indent_after, range};
    use crate::{cursor::Edit, fixture::pointed};

    fn applied(text: &str, mut edits: Vec<Edit>) -> String {
        let mut out = text.to_owned();
        edits.sort_by_key(|edit| std::cmp::Reverse(edit.at.range.start));
        for edit in edits {
            out.replace_range(edit.at.range, &edit.text);
        }
        out
    }

    const UGLY: &str = "load  a  pump 5A\n  0.4   h/day\nload b pump  6 A\n";

    #[test]
    fn the_whole_file_and_one_line() {
        let here = pointed(UGLY);
        let whole = applied(UGLY, file(&here.plan, 0));
        assert_eq!(whole, "load a pump 5 A\n    0.4 h/day\nload b pump 6 A\n");
        let second = range(&here.plan, 0, &(20..22));
        assert_eq!(
            applied(UGLY, second),
            "load  a  pump 5A\n    0.4 h/day\nload b pump  6 A\n"
        );
        assert!(file(&here.plan, 7).is_empty());
    }

    #[test]
    fn a_line_below_a_head_is_indented() {
        for (fixture, indent) in [
            ("load a pump 5 A$0", "    "),
            ("load a pump 5 A\n    2 h/day$0\n", "    "),
            ("load a pump 5 A\n\n$0", ""),
            ("# note$0\n", ""),
        ] {
            let here = pointed(fixture);
            assert_eq!(indent_after(&here.plan, 0, here.at), indent, "{fixture}");
        }
    }

    #[test]
    fn a_line_that_is_begun_is_indented_once() {
        for (fixture, expected) in [
            ("load a pump 5 A\n$0", "load a pump 5 A\n    "),
            (
                "load a pump 5 A\n    $0\nload b pump 5 A\n",
                "load a pump 5 A\n    \nload b pump 5 A\n",
            ),
            ("load a pump 5 A\n\n    $0", "load a pump 5 A\n\n"),
            (
                "load a pump 5 A\r\n$02 h/day\r\n",
                "load a pump 5 A\r\n    2 h/day\r\n",
            ),
            ("$0load a pump 5 A\n", "load a pump 5 A\n"),
        ] {
            let here = pointed(fixture);
            let edits = begun(&here.plan, 0, here.at);
            assert_eq!(applied(&here.text, edits), expected, "{fixture:?}");
        }
    }
}
