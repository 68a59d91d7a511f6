//! What the reader is told about the words under the cursor.
//!
//! `charge` speaks of what charging asks of batteries, places and controllers, `conductor` of a
//! conductor's line and of what `back` makes, `load`, `source`, `bar` and
//! `device` of parts, `thing` of what is no part, `word` of words and `quantity` of numbers.

mod bar;
mod charge;
mod conductor;
mod device;
mod fault;
mod load;
mod quantity;
mod source;
mod thing;
mod word;

use ampwright_notation::{
    Element, Kind, Span,
    token::Lexeme,
    tree::{Setting, Step, Stop},
};
use ampwright_plan::Plan;

use crate::{
    cursor::{Cursor, FileRange},
    doc::Doc,
    names::{self, Symbol},
};

/// What is said, and of which words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hover {
    /// The words.
    pub at: FileRange,
    /// What is said.
    pub doc: Doc,
}

/// What there is to say about the words at an offset.
pub fn hover(plan: &Plan, file: u32, offset: usize) -> Option<Hover> {
    let cursor = Cursor::new(plan, file, offset)?;
    let token = cursor.thing.tokens.get(cursor.thing.token_at(cursor.at)?)?;
    if token.lexeme.is_trivia() {
        return None;
    }
    let asked = Asked {
        plan,
        cursor,
        word: token.span,
        lexeme: token.lexeme,
    };
    let (span, mut doc) = asked.answer()?;
    doc.list(asked.accepted(span));
    (!doc.is_empty()).then(|| Hover {
        at: cursor.range(span),
        doc,
    })
}

/// What is known of a symbol by itself: what completion shows beside a name.
pub(crate) fn of_symbol(plan: &Plan, symbol: &Symbol) -> Option<Doc> {
    Some(match symbol {
        Symbol::Part(name) => part(plan, plan.model.part(name)?),
        Symbol::Way(panel, way) => device::way(plan, plan.model.part(panel)?, *way)?,
        Symbol::Run(name) => thing::run(plan, plan.model.runs.find(name)?),
        Symbol::Place(name) => thing::place(plan, plan.model.places.find(name)?),
        Symbol::Cable(name) => thing::cable(plan, plan.model.cables.find(name)?),
        Symbol::Case(name) => thing::case(plan, plan.model.cases.find(name)?),
        Symbol::Boat(_) => crate::summary::summary(plan).doc(),
        Symbol::Code(code) => crate::explain::finding(code)?,
        Symbol::Mark(_) | Symbol::File(_) => return None,
    })
}

fn part(plan: &Plan, part: ampwright_plan::PartId) -> Doc {
    match plan.model.get(part).kind {
        Kind::Load | Kind::Socket | Kind::Inverter => load::load(plan, part),
        Kind::Battery => source::battery(plan, part),
        Kind::Busbar | Kind::Joint | Kind::Block | Kind::Bond => bar::bar(plan, part),
        Kind::Panel => device::panel(plan, part),
        Kind::Fuse
        | Kind::Breaker
        | Kind::Isolator
        | Kind::Switch
        | Kind::Selector
        | Kind::Relay
        | Kind::Shunt
        | Kind::Diode => device::device(plan, part),
        _ => thing::other(plan, part),
    }
}

/// A question: the cursor and the token it is on.
struct Asked<'a> {
    plan: &'a Plan,
    cursor: Cursor<'a>,
    word: Span,
    lexeme: Lexeme,
}

impl Asked<'_> {
    fn answer(&self) -> Option<(Span, Doc)> {
        match self.cursor.thing.element_at(self.cursor.at) {
            Some(Element::Step(_, step)) => self.step(step),
            Some(Element::Way(way)) => {
                let name = self.cursor.thing.name.as_ref()?;
                let panel = self.plan.model.part(&name.value)?;
                Some((way.span, device::way(self.plan, panel, way.number.value)?))
            }
            Some(Element::Setting(setting)) => self.setting(setting),
            Some(Element::Fact(fact)) => self.symbol().or_else(|| {
                let kind = self.cursor.thing.kind?;
                Some((fact.span, word::fact(self.plan, kind, fact, self.text())))
            }),
            Some(Element::Allow(_)) => self.symbol().or_else(|| self.keyword()),
            Some(Element::Head) | None => self.symbol().or_else(|| self.keyword()),
        }
    }

    fn text(&self) -> &str {
        self.cursor.thing.text_of(self.word)
    }

    /// What somebody has accepted on the words that are spoken of, or by the allowance itself.
    fn accepted(&self, span: Span) -> Vec<crate::doc::Line> {
        let whose = self.cursor.whose;
        let here = |site: ampwright_plan::Site, span: Span| {
            (site.file, site.thing) == (whose.file, whose.thing)
                && site.span.start <= span.end
                && span.start <= site.span.end
        };
        let findings = self.plan.findings.iter().filter(|finding| {
            let by = finding.accepted.as_ref().map(|accepted| accepted.site);
            by.is_some_and(|by| here(finding.site, span) || here(by, self.word))
        });
        let words = findings.filter_map(|finding| crate::phrase::accepted(self.plan, finding));
        words.take(MOST).map(Into::into).collect()
    }

    /// What the name under the cursor stands for.
    fn symbol(&self) -> Option<(Span, Doc)> {
        let mention = names::mention_at(&self.cursor)?;
        Some((mention.span, of_symbol(self.plan, &mention.symbol)?))
    }

    fn keyword(&self) -> Option<(Span, Doc)> {
        let kind = self.cursor.thing.kind;
        (self.lexeme == Lexeme::Word)
            .then(|| word::word(self.text(), kind))
            .flatten()
            .map(|doc| (self.word, doc))
    }

    fn setting(&self, setting: &Setting) -> Option<(Span, Doc)> {
        if setting.name.span.touches(self.cursor.at) {
            return self.symbol();
        }
        let amount = setting
            .amount
            .filter(|amount| amount.span.touches(self.cursor.at));
        match amount {
            Some(amount) => Some((amount.span, quantity::drawn(self.plan, &amount.value))),
            None => self.keyword(),
        }
    }

    fn step(&self, step: &Step) -> Option<(Span, Doc)> {
        match step {
            Step::Stop(landing) => self.stop(landing),
            Step::Conductor(line) => self.symbol().or_else(|| {
                let site = self.cursor.whose.at(line.span);
                let mut doc = conductor::line(self.plan, site)?;
                doc.join(self.aside(line));
                Some((line.span, doc))
            }),
            Step::Back(back) => self.symbol().or_else(|| {
                let site = self.cursor.whose.at(back.span);
                let doc = conductor::back(self.plan, site).or_else(|| word::word("back", None))?;
                Some((back.span, doc))
            }),
            Step::Unread(_) => self.keyword(),
        }
    }

    fn stop(&self, stop: &Stop) -> Option<(Span, Doc)> {
        let part = self.plan.model.part(&stop.name.value)?;
        let way = stop.way.as_ref();
        let way = way.and_then(|way| device::way(self.plan, part, way.value));
        let mut doc = way.unwrap_or_else(|| self::part(self.plan, part));
        if !stop.name.span.touches(self.cursor.at) && self.text() != "way" {
            doc.join(word::word(self.text(), None).unwrap_or_default());
        }
        Some((stop.span, doc))
    }

    /// What the very word under the cursor adds: the size's neighbours, a length in feet, a keyword.
    fn aside(&self, line: &ampwright_notation::tree::Conductor) -> Doc {
        let on = |span: Span| span.touches(self.cursor.at);
        if let Some(size) = line.size.filter(|size| on(size.span)) {
            return quantity::size(size.value);
        }
        if let Some(length) = line.length.filter(|length| on(length.span)) {
            return quantity::doc(&length.value);
        }
        if self.lexeme == Lexeme::Word {
            return word::word(self.text(), None).unwrap_or_default();
        }
        Doc::default()
    }
}

/// The head of what is said about a thing: its name, title and note.
fn head(plan: &Plan, name: &str, kind: Kind, whose: ampwright_plan::ThingRef) -> Doc {
    let mut doc = Doc::default();
    let thing = plan.sources.thing(whose);
    let title = thing.and_then(|thing| thing.title.as_ref());
    let mut line = crate::doc::Line::default().code(format!("{} {name}", kind.word()));
    if let Some(title) = title {
        line = line.text(format!(" {}", title.value));
    }
    doc.heading(line);
    let note = thing.map(ampwright_notation::Thing::note_text);
    for paragraph in paragraphs(&note.unwrap_or_default()) {
        doc.say(paragraph);
    }
    doc
}

/// A note's lines as its writer thinks of them: broken where the margin was near, parted by an empty
/// line or by a dash.
fn paragraphs(note: &str) -> Vec<String> {
    let mut paragraphs = vec![String::new()];
    for line in note.lines() {
        if line.is_empty() || line.starts_with(['-', '*']) {
            paragraphs.push(String::new());
        }
        if let Some(last) = paragraphs.last_mut() {
            if !last.is_empty() {
                last.push(' ');
            }
            last.push_str(line);
        }
    }
    paragraphs
}

/// The defaults that a thing uses, as a list under a line that says so.
fn defaults(doc: &mut Doc, kind: Kind, facts: &ampwright_plan::Facts<'_>) {
    let rows = crate::defaults::of(kind, facts);
    if rows.is_empty() {
        return;
    }
    doc.say("Where the plan says nothing:");
    doc.list(
        rows.iter()
            .map(|row| crate::defaults::line(row).into())
            .collect(),
    );
}

pub(crate) use word::{with_tag_in_words, word};

/// No more rows and names than a hover has room for.
const MOST: usize = 12;

/// Some names and how many more there are.
fn listed(names: &[String]) -> String {
    let shown = names
        .iter()
        .take(MOST)
        .cloned()
        .collect::<Vec<_>>()
        .join(", ");
    match names.len().saturating_sub(MOST) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

#[cfg(test)]
mod tests;
