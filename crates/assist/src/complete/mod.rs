//! What may stand at the cursor, what fits best first.
//!
//! The text there is most often broken, so the line is taken from the thing's tokens (`line`), not
//! from its tree; the rest of the plan is asked as it was computed. `facts` speaks of heads and
//! facts, `run` of a run's steps, `stops` of where a conductor can land, `case` of cases, panels'
//! ways and allowances, `fit` of sizes and ratings.

mod case;
mod facts;
mod fit;
pub(crate) mod line;
mod run;
mod stops;

use std::sync::Arc;

use ampwright_notation::{Kind, table::kinds};
use ampwright_plan::Plan;

use crate::{
    cursor::{Edit, FileRange},
    doc::Doc,
    names::Symbol,
};
use line::Line;

/// Something that may be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Item {
    /// What is shown and what the typed letters are held against.
    pub label: String,
    /// What it is.
    pub what: What,
    /// A few words beside it.
    pub detail: String,
    /// What is written, and over what.
    pub edit: Edit,
    /// The text has places to fill in, `${1:name}`.
    pub is_snippet: bool,
    /// Its place: less comes first; equal ones stand in the order given.
    pub rank: u32,
    /// What [`resolve`] explains it by; empty where there is nothing to say.
    pub about: String,
}

/// What an item is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// A kind of thing.
    Kind,
    /// A fact's word.
    Fact,
    /// A word that a fact chooses, or a word of a line.
    Word,
    /// A number with its unit.
    Value,
    /// A unit.
    Unit,
    /// A thing's name, or a stop.
    Name,
    /// A colour.
    Colour,
    /// A finding's code.
    Code,
    /// Several lines with places to fill in.
    Snippet,
}

/// More items than this nobody reads; what fits best is kept.
pub const MOST_ITEMS: usize = 200;

/// What may stand at an offset, what fits best first.
pub fn complete(plan: &Plan, file: u32, offset: usize) -> Vec<Item> {
    let Some(line) = Line::at(plan, file, offset) else {
        return Vec::new();
    };
    let mut list = List {
        plan,
        line: &line,
        items: Vec::new(),
    };
    list.fill();
    let mut items = list.items;
    items.sort_by_key(|item| item.rank);
    items.truncate(MOST_ITEMS);
    items
}

/// What there is to say of an item, by its `about`.
pub fn resolve(plan: &Plan, about: &str) -> Option<Doc> {
    let (sort, rest) = about.split_once(':')?;
    let name: Arc<str> = rest.into();
    match sort {
        "word" => crate::hover::word(rest, None),
        "fact" => {
            let (kind, word) = rest.split_once(':')?;
            crate::hover::word(word, Kind::parse(kind))
        }
        "part" => crate::hover::of_symbol(plan, &Symbol::Part(name)),
        "place" => crate::hover::of_symbol(plan, &Symbol::Place(name)),
        "cable" => crate::hover::of_symbol(plan, &Symbol::Cable(name)),
        "code" => crate::explain::finding(rest),
        _ => None,
    }
}

/// The list while it is filled.
struct List<'a> {
    plan: &'a Plan,
    line: &'a Line<'a>,
    items: Vec<Item>,
}

/// Ranks, the best first. Steps between them leave room for what fits better and worse.
mod rank {
    pub(super) const NEEDED: u32 = 10;
    pub(super) const FITS: u32 = 20;
    pub(super) const USUAL: u32 = 30;
    pub(super) const POSSIBLE: u32 = 50;
    pub(super) const POOR: u32 = 70;
    pub(super) const RARE: u32 = 90;
}

impl List<'_> {
    fn fill(&mut self) {
        let line = self.line;
        if line.is_margin && line.words.is_empty() {
            return self.kinds();
        }
        if line.is_margin {
            let kind = line.words.first().and_then(|word| Kind::parse(word.text));
            // After the kind comes the name, which nobody else can choose.
            if let Some((kind, tail)) = kind.zip(line.words.get(2..)) {
                self.facts(kind, tail);
            }
            return;
        }
        let Some(kind) = line.thing.and_then(|thing| thing.kind) else {
            return;
        };
        match (kind, line.words.first().map(|word| word.text)) {
            (_, Some("allow")) => self.allowance(),
            (Kind::Run, _) => self.step(),
            (Kind::Case, _) => self.setting(),
            (Kind::Panel, Some("way")) => self.way(),
            _ => self.facts(kind, &line.words),
        }
    }

    /// Adds an item that replaces the word being typed.
    fn add(
        &mut self,
        label: impl Into<String>,
        what: What,
        rank: u32,
        detail: impl Into<String>,
        about: impl Into<String>,
    ) {
        let label = label.into();
        let text = format!("{}{label}", self.line.gap());
        let at = FileRange {
            file: self.line.file,
            range: self.line.edit.clone(),
        };
        self.items.push(Item {
            label,
            what,
            detail: detail.into(),
            edit: Edit { at, text },
            is_snippet: false,
            rank,
            about: about.into(),
        });
    }

    /// Adds an item that replaces the number being typed, where there is one.
    fn add_value(&mut self, label: impl Into<String>, rank: u32, detail: impl Into<String>) {
        self.add(label, What::Value, rank, detail, "");
        let over = self.line.number_being_typed();
        if let (Some(range), Some(item)) = (over, self.items.last_mut()) {
            item.edit.at.range = range;
            item.edit.text.clone_from(&item.label);
        }
    }

    fn add_word(&mut self, word: &str, rank: u32, detail: &str) {
        self.add(word, What::Word, rank, detail, format!("word:{word}"));
    }

    fn kinds(&mut self) {
        for row in kinds() {
            let only_one = row.kind == Kind::Boat && self.plan.model.boat.is_some();
            let rank = match row.kind {
                _ if only_one => continue,
                Kind::Boat => rank::NEEDED,
                Kind::Load | Kind::Run | Kind::Fuse | Kind::Battery | Kind::Case => rank::USUAL,
                _ => rank::POSSIBLE,
            };
            self.add(
                row.word,
                What::Kind,
                rank,
                row.meaning,
                format!("word:{}", row.word),
            );
        }
        self.whole_run();
    }

    /// A whole circuit, from the next free way to a load that nothing feeds yet.
    fn whole_run(&mut self) {
        let panel = stops::free_ways(self.plan).next();
        let (panel, way) = panel.unwrap_or_else(|| ("panel".to_owned(), 1));
        let load = stops::unwired(self.plan, Kind::Load)
            .next()
            .unwrap_or_else(|| "load".to_owned());
        let text = format!(
            "run ${{1:{load}}}\n    ${{2:{panel}}} way ${{3:{way}}}\n    twin ${{4:2.5}} mm2 ${{5:5}} m\n    ${{6:{load}}}\n    back\n"
        );
        self.add(
            "run, there and back",
            What::Snippet,
            rank::USUAL,
            "from a panel's way to a load and home",
            "word:run",
        );
        if let Some(item) = self.items.last_mut() {
            item.edit.text = text;
            item.is_snippet = true;
        }
    }
}

#[cfg(test)]
mod tests;
