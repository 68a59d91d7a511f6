//! Linked editing: a name and its other uses, to be typed all at once where nothing is missed by it.

use std::ops::Range;

use ampwright_plan::Plan;

use crate::{
    cursor::file_of,
    names::{self, Symbol},
};

/// The places of the name at an offset that change together; none where one of them would be missed:
/// the name stands in another file too, is nobody's or two things', or is not written alike everywhere.
pub fn linked(plan: &Plan, file: u32, offset: usize) -> Vec<Range<usize>> {
    let Some((symbol, here)) = names::symbol_at(plan, file, offset) else {
        return Vec::new();
    };
    if !is_name(&symbol) {
        return Vec::new();
    }
    let all = names::all(plan, &symbol);
    let defined = all.iter().filter(|(_, defines)| *defines).count();
    let words = |range: &Range<usize>| words(plan, file, range);
    let own = words(&here.range);
    let alike = |range: &Range<usize>| own.is_some() && words(range) == own;
    let safe = all
        .iter()
        .all(|(at, _)| at.file == file && alike(&at.range));
    if !safe || defined != 1 || all.len() < 2 {
        return Vec::new();
    }
    all.into_iter().map(|(at, _)| at.range).collect()
}

/// Marks are tied on cables and numbers are counted: only names are typed together.
const fn is_name(symbol: &Symbol) -> bool {
    matches!(
        symbol,
        Symbol::Boat(_)
            | Symbol::Part(_)
            | Symbol::Run(_)
            | Symbol::Place(_)
            | Symbol::Cable(_)
            | Symbol::Case(_)
    )
}

fn words<'p>(plan: &'p Plan, file: u32, range: &Range<usize>) -> Option<&'p str> {
    let (_, chunk) = file_of(plan, file)?.chunk_at(range.start)?;
    let start = range.start.checked_sub(chunk.at as usize)?;
    chunk.thing.text.get(start..start + range.len())
}

#[cfg(test)]
mod tests {
    use super::linked;
    use crate::fixture::{pointed, words};

    fn check(fixture: &str, expected: &str) {
        let here = pointed(fixture);
        let found = linked(&here.plan, 0, here.at);
        assert_eq!(words(&here.text, found), expected, "{fixture}");
    }

    #[test]
    fn a_name_and_its_uses_change_together() {
        check(
            "load lam$0p pump 5 A\nrun lamp\n    lamp -\ncase c\n    on lamp\n",
            "1: lamp\n3: lamp\n5: lamp",
        );
        check("place x\nload l pump 5 A in x$0\n", "1: x\n2: x");
    }

    #[test]
    fn not_where_one_would_be_missed() {
        check("run r\n    nob$0ody +\n    nobody -\n", "");
        check("load l$0 pump 5 A\nload l pump 6 A\n", "");
        check("load alone$0 pump 5 A\n", "");
        // Two ways to write one name.
        check("load caf\u{e9}$0 pump 5 A\nrun r\n    cafe\u{301} -\n", "");
        check("panel p\n    way 1$0 fuse 5 A\nrun r\n    p way 1\n", "");
        check("# no$0te\n", "");
    }
}
