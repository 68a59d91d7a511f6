//! Another name for a thing, in every file of the plan, or the reason why not.
//!
//! What a new name would do is not guessed: each touched thing is read again with the name in it,
//! and every mention must stand where it stood and mean what it meant.

use std::collections::BTreeMap;

use ampwright_notation::{File, Kind};
use ampwright_plan::{Plan, ThingRef};

use crate::{
    cursor::{Cursor, Edit, FileRange, file_of},
    names::{self, Mention, Symbol},
    phrase,
};

/// What would be renamed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Renamable {
    /// The words at the cursor.
    pub at: FileRange,
    /// The name as it stands.
    pub name: String,
}

/// Whether what stands at an offset has a name that can be changed.
///
/// # Errors
///
/// A sentence for the writer that says why not.
pub fn prepare(plan: &Plan, file: u32, offset: usize) -> Result<Renamable, String> {
    let (symbol, at) = names::symbol_at(plan, file, offset)
        .ok_or("There is no name here: put the cursor on the name of a thing or on a mark.")?;
    may_change(plan, &symbol)?;
    Ok(Renamable {
        at,
        name: symbol.name().to_owned(),
    })
}

/// The edits that give what stands at an offset another name.
///
/// # Errors
///
/// A sentence for the writer that says why not: no name, a clash, a reserved word.
pub fn rename(plan: &Plan, file: u32, offset: usize, to: &str) -> Result<Vec<Edit>, String> {
    let (symbol, _) = names::symbol_at(plan, file, offset)
        .ok_or("There is no name here: put the cursor on the name of a thing or on a mark.")?;
    may_change(plan, &symbol)?;
    let renamed = fitting(plan, &symbol, to.trim())?;
    if renamed == symbol {
        return Ok(Vec::new());
    }
    clash(plan, &renamed)?;
    let edits: Vec<Edit> = names::all(plan, &symbol)
        .into_iter()
        .map(|(at, _)| Edit {
            at,
            text: renamed.name().to_owned(),
        })
        .collect();
    keeps_meaning(plan, &edits, &symbol, &renamed)?;
    Ok(edits)
}

fn may_change(plan: &Plan, symbol: &Symbol) -> Result<(), String> {
    match symbol {
        Symbol::Code(code) => {
            return Err(format!(
                "{code} is the name of a finding, which is not yours to change."
            ));
        }
        Symbol::File(path) => {
            return Err(format!(
                "{path} is a file: rename the file itself, and correct this path."
            ));
        }
        Symbol::Way(panel, way) => {
            return Err(format!(
                "Way {way} of {panel} has a number, not a name: change the number here and in the runs that start at it."
            ));
        }
        Symbol::Mark(_) => return Ok(()),
        _ => {}
    }
    let defined = names::all(plan, symbol)
        .iter()
        .filter(|(_, defines)| *defines)
        .count();
    match defined {
        0 => Err(format!(
            "Nothing is called {}: write the thing first, or correct the name.",
            symbol.name()
        )),
        1 => Ok(()),
        _ => Err(format!(
            "Two things are called {}: give one of them another name by hand.",
            symbol.name()
        )),
    }
}

/// The symbol under its new name, where that is one that such a thing may have.
fn fitting(plan: &Plan, symbol: &Symbol, to: &str) -> Result<Symbol, String> {
    if to.is_empty() {
        return Err("A name has at least one letter.".to_owned());
    }
    if matches!(symbol, Symbol::Mark(_)) {
        return mark(to);
    }
    let kind = kind_of(plan, symbol).unwrap_or(Kind::Load);
    let read = File::parse(&format!("{} {to}\n", kind.word()));
    let named = read.chunks.first().map(|chunk| &chunk.thing);
    let whole = named.and_then(|thing| Some((thing, thing.name.as_ref()?)));
    let Some((thing, name)) = whole.filter(|(thing, name)| thing.head.end == name.span.end) else {
        return Err(format!(
            "{to} is not a name: a name starts with a letter and goes on with letters, digits, - and _, and does not end in -."
        ));
    };
    let reserved = thing
        .flaws
        .iter()
        .find(|flaw| flaw.code == ampwright_notation::Code::ReservedName);
    if let Some(flaw) = reserved {
        return Err(flaw.message.clone());
    }
    Ok(Symbol::in_space(kind.row().space, name.value.clone()))
}

/// A mark is read as a conductor's line reads it.
fn mark(to: &str) -> Result<Symbol, String> {
    let read = File::parse(&format!(
        "run r\n    a +\n    1 mm2 1 m mark {to}\n    b +\n"
    ));
    let marks = read
        .chunks
        .first()
        .map(|chunk| names::mentions(&chunk.thing));
    let found = marks
        .unwrap_or_default()
        .into_iter()
        .find_map(|mention| match mention.symbol {
            Symbol::Mark(mark) if *mark == *to => Some(mark),
            _ => None,
        });
    found.map(Symbol::Mark).ok_or_else(|| {
        format!("{to} is not a mark: a mark is made of letters, digits, -, +, . and /.")
    })
}

fn kind_of(plan: &Plan, symbol: &Symbol) -> Option<Kind> {
    match symbol {
        Symbol::Boat(_) => Some(Kind::Boat),
        Symbol::Run(_) => Some(Kind::Run),
        Symbol::Place(_) => Some(Kind::Place),
        Symbol::Cable(_) => Some(Kind::Cable),
        Symbol::Case(_) => Some(Kind::Case),
        Symbol::Part(name) => plan.model.part(name).map(|part| plan.model.get(part).kind),
        _ => None,
    }
}

/// Whether the new name is another thing's already.
fn clash(plan: &Plan, renamed: &Symbol) -> Result<(), String> {
    let taken = match renamed {
        Symbol::Mark(_) => !names::all(plan, renamed).is_empty(),
        _ => names::all(plan, renamed)
            .iter()
            .any(|(_, defines)| *defines),
    };
    if !taken {
        return Ok(());
    }
    let what = kind_of(plan, renamed).map_or("a cable's mark".to_owned(), phrase::a_kind);
    Err(format!(
        "There is {what} called {} already: choose another name.",
        renamed.name()
    ))
}

/// Reads every touched thing with the new name in it and compares what its words mean.
fn keeps_meaning(plan: &Plan, edits: &[Edit], from: &Symbol, to: &Symbol) -> Result<(), String> {
    let mut touched: BTreeMap<(u32, u32), Vec<&Edit>> = BTreeMap::new();
    for edit in edits {
        if let Some(cursor) = Cursor::new(plan, edit.at.file, edit.at.range.start) {
            touched
                .entry((cursor.whose.file, cursor.whose.thing))
                .or_default()
                .push(edit);
        }
    }
    for ((file, index), edits) in touched {
        let whose = ThingRef { file, thing: index };
        let (Some(thing), Some(base)) = (plan.sources.thing(whose), base_of(plan, whose)) else {
            continue;
        };
        let before: Vec<Symbol> = renamed(names::mentions(thing), from, to);
        let after = File::parse(&with(&thing.text, base, &edits));
        let after: Vec<Mention> = after
            .chunks
            .iter()
            .flat_map(|chunk| names::mentions(&chunk.thing))
            .collect();
        if before != renamed(after, from, to) || thing.name.is_none() {
            return Err(format!(
                "{} would be read as something else in {}: choose another name.",
                to.name(),
                thing.name.as_ref().map_or("this thing", |name| &name.value)
            ));
        }
    }
    Ok(())
}

fn base_of(plan: &Plan, whose: ThingRef) -> Option<usize> {
    let chunk = file_of(plan, whose.file)?
        .chunks
        .get(whose.thing as usize)?;
    Some(chunk.at as usize)
}

/// What the mentions of a thing name, in the order of the text, under the new name.
fn renamed(mut mentions: Vec<Mention>, from: &Symbol, to: &Symbol) -> Vec<Symbol> {
    mentions.sort_by_key(|mention| mention.span);
    let name = |symbol: Symbol| match (&symbol, from, to) {
        (Symbol::Way(panel, way), Symbol::Part(old), Symbol::Part(new)) if panel == old => {
            Symbol::Way(new.clone(), *way)
        }
        _ if symbol == *from => to.clone(),
        _ => symbol,
    };
    mentions
        .into_iter()
        .map(|mention| name(mention.symbol))
        .collect()
}

/// A thing's text with its edits made.
fn with(text: &str, base: usize, edits: &[&Edit]) -> String {
    let mut out = text.to_owned();
    let mut edits = edits.to_vec();
    edits.sort_by_key(|edit| std::cmp::Reverse(edit.at.range.start));
    for edit in edits {
        let range =
            edit.at.range.start.saturating_sub(base)..edit.at.range.end.saturating_sub(base);
        if out.get(range.clone()).is_some() {
            out.replace_range(range, &edit.text);
        }
    }
    out
}

/// The thing's text as it would read, for showing.
#[cfg(test)]
fn applied(text: &str, edits: &[Edit]) -> String {
    with(text, 0, &edits.iter().collect::<Vec<_>>())
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use ampwright_notation::File;
    use ampwright_plan::{Plan, Sources};
    use expect_test::{Expect, expect};

    use super::{applied, prepare, rename};
    use crate::fixture::{CURLEW, pointed};

    fn check(before: &str, to: &str, after: &str) {
        let here = pointed(before);
        let edits = rename(&here.plan, 0, here.at, to).unwrap();
        assert_eq!(applied(&here.text, &edits), after);
    }

    fn refused(before: &str, to: &str, why: &Expect) {
        let here = pointed(before);
        why.assert_eq(&rename(&here.plan, 0, here.at, to).unwrap_err());
    }

    const PANEL: &str = "panel p\n    way 1 fuse 5 A\nbattery house-1 agm 5 Ah\nrun r\n    $0p way 1\n    1 mm2 1 m mark D3\n    house-1+\n    back mark D3 to p\ncase c\n    on house-1\ncable flex\n";

    #[test]
    fn parts_and_marks_everywhere() {
        check(
            PANEL,
            "galley-panel",
            &PANEL
                .replace("$0", "")
                .replace("panel p", "panel galley-panel")
                .replace("    p way", "    galley-panel way")
                .replace("to p", "to galley-panel"),
        );
        let mark = PANEL
            .replace("$0", "")
            .replace("mark D3\n    h", "mark $0D3\n    h");
        check(
            &mark,
            "A.1/2+",
            &mark.replace("$0", "").replace("D3", "A.1/2+"),
        );
        let battery = PANEL.replace("$0", "").replace("house-1+", "hou$0se-1+");
        check(
            &battery,
            "bank",
            &battery.replace("$0", "").replace("house-1", "bank"),
        );
    }

    #[test]
    fn what_is_no_name_and_what_clashes() {
        refused(
            PANEL,
            "2nd",
            &expect![
                "2nd is not a name: a name starts with a letter and goes on with letters, digits, - and _, and does not end in -."
            ],
        );
        refused(
            PANEL,
            "a b",
            &expect![
                "a b is not a name: a name starts with a letter and goes on with letters, digits, - and _, and does not end in -."
            ],
        );
        refused(
            PANEL,
            "end-",
            &expect![
                "end- is not a name: a name starts with a letter and goes on with letters, digits, - and _, and does not end in -."
            ],
        );
        refused(PANEL, "", &expect!["A name has at least one letter."]);
        refused(
            PANEL,
            "twin",
            &expect![
                "No part is called `twin`, since a run's line that begins with it means something else: choose another name."
            ],
        );
        refused(
            PANEL,
            "house-1",
            &expect!["There is a battery called house-1 already: choose another name."],
        );
        let cable = PANEL
            .replace("$0", "")
            .replace("cable flex", "cable $0flex");
        refused(
            &cable,
            "red",
            &expect![
                "No cable is called `red`, since a conductor's line reads that as a word of its own: choose another name."
            ],
        );
        let way = PANEL
            .replace("$0", "")
            .replace("    p way 1", "    p way $01");
        refused(
            &way,
            "2",
            &expect![
                "Way 1 of p has a number, not a name: change the number here and in the runs that start at it."
            ],
        );
        let mark = PANEL
            .replace("$0", "")
            .replace("mark D3\n    h", "mark $0D3\n    h");
        refused(
            &mark,
            "D 4",
            &expect!["D 4 is not a mark: a mark is made of letters, digits, -, +, . and /."],
        );
    }

    #[test]
    fn a_name_that_would_be_read_as_a_word_is_refused() {
        let multicore = "cable $0flex\nmulticore m 3 cores 1 mm2 2 m flex\n";
        refused(
            multicore,
            "spare",
            &expect!["spare would be read as something else in m: choose another name."],
        );
    }

    #[test]
    fn what_has_no_definition_is_not_renamed() {
        let here = pointed("run r\n    no$0body +\n");
        expect!["Nothing is called nobody: write the thing first, or correct the name."]
            .assert_eq(&prepare(&here.plan, 0, here.at).unwrap_err());
        let here = pointed("battery a agm 5 Ah\nbattery $0a gel 5 Ah\n");
        expect!["Two things are called a: give one of them another name by hand."]
            .assert_eq(&prepare(&here.plan, 0, here.at).unwrap_err());
        let here = pointed("# n$0ote\nboat b system 12 V\n");
        expect!["There is no name here: put the cursor on the name of a thing or on a mark."]
            .assert_eq(&prepare(&here.plan, 0, here.at).unwrap_err());
    }

    #[test]
    fn the_words_at_the_cursor_are_shown() {
        let here = pointed(PANEL);
        assert_eq!(prepare(&here.plan, 0, here.at).unwrap().name, "p");
    }

    /// The plan with a name changed is the same boat: the same currents and findings, and changed
    /// back it is the same text.
    #[test]
    fn another_name_is_the_same_boat() {
        let plan = Plan::of_text(CURLEW);
        for (index, chunk) in plan.sources.list[0].file.chunks.iter().enumerate() {
            let name = chunk.thing.name.as_ref().unwrap();
            let at = chunk.absolute(name.span).start;
            let renamed = applied(CURLEW, &rename(&plan, 0, at, "zz-9").unwrap());
            let after = Plan::of_text(&renamed);
            let codes = |plan: &Plan| {
                plan.findings
                    .iter()
                    .map(|finding| finding.code)
                    .collect::<Vec<_>>()
            };
            assert_eq!(codes(&plan), codes(&after), "{}", name.value);
            let amps = |plan: &Plan| {
                plan.study
                    .cables
                    .iter()
                    .map(|cable| cable.design.amps)
                    .collect::<Vec<_>>()
            };
            assert_eq!(amps(&plan), amps(&after), "{}", name.value);
            let moved = &after.sources.list[0].file.chunks[index];
            let at = moved.absolute(moved.thing.label()).start;
            let back = rename(&after, 0, at, &name.value).unwrap();
            assert_eq!(applied(&renamed, &back), CURLEW, "{}", name.value);
        }
    }

    #[test]
    fn in_every_file_of_the_plan() {
        let texts = [
            (
                "a.boat",
                "boat b system 12 V\nuse \"b.boat\"\nrun r\n    f feed\n",
            ),
            ("b.boat", "fuse f blade 5 A\nfuse g like f\n"),
        ];
        let read = |path: &str| {
            let text = texts.iter().find(|(known, _)| *known == path);
            text.map(|(_, text)| Arc::new(File::parse(text)))
                .ok_or_else(String::new)
        };
        let plan = Plan::of(Sources::gather("a.boat", &read).unwrap());
        let edits = rename(&plan, 0, texts[0].1.find("f feed").unwrap(), "main").unwrap();
        let files: Vec<u32> = edits.iter().map(|edit| edit.at.file).collect();
        assert_eq!(files, [0, 1, 1]);
        assert_eq!(
            applied(texts[1].1, &edits[1..]),
            "fuse main blade 5 A\nfuse g like main\n"
        );
    }
}
