//! One thing from its lines: the head, then each line by the grammar that its kind and first word
//! call for.

use std::sync::Arc;

use chumsky::{inspector::SimpleState, prelude::*};

use super::{Draft, Grammar, Lexed, Rule, Tok, Toks, leaf, span_of, trouble, whole};
use crate::{
    access,
    flaw::{Code, Flaw},
    table::{Kind, kinds},
    token::Lexeme,
    tree::{At, Name, Span, Step, Thing},
};

/// The most flaws of one thing that are kept.
const MOST_FLAWS: usize = crate::file::MOST_FLAWS;

pub(super) fn read<'a>(
    grammar: &Grammar<'a>,
    lexed: Lexed<'a>,
    mut lines: impl Iterator<Item = Toks<'a>>,
) -> Thing {
    let head_line = lines.next().unwrap_or_default();
    let mut state = SimpleState(Draft::default());
    let head = head(grammar, head_line, &mut state);
    if state.kind.is_some() {
        lines.for_each(|line| body_line(grammar, line, &mut state));
        whole::check(&mut state.0, &head, lexed.text);
    }
    let flaws = bounded(std::mem::take(&mut state.flaws), state.more);
    let Draft {
        kind,
        facts,
        ways,
        steps,
        settings,
        allows,
        ..
    } = state.0;
    Thing {
        text: Arc::from(lexed.text),
        tokens: lexed.tokens,
        kind,
        kind_span: head.kind_span,
        head: span_of(head_line),
        name: head.name,
        title: head.title,
        note: lexed.note,
        facts,
        ways,
        steps,
        settings,
        allows,
        flaws,
    }
}

/// The flaws in the order of the text, each once, and how many more there are.
fn bounded(mut flaws: Vec<Flaw>, more: usize) -> Vec<Flaw> {
    flaws.sort_by_key(|flaw| (flaw.span, flaw.code));
    flaws.dedup_by(|a, b| a.span == b.span && a.code == b.code);
    let more = more + flaws.len().saturating_sub(MOST_FLAWS);
    flaws.truncate(MOST_FLAWS);
    if let (Some(last), true) = (flaws.last(), more > 0) {
        let message = format!("There are {more} more findings like these in this thing.");
        flaws.push(Flaw::new(Code::Syntax, last.span, message));
    }
    flaws
}

/// What a head line says beside facts.
pub(super) struct Head {
    pub(super) kind_span: Span,
    pub(super) name: Option<At<Name>>,
    pub(super) title: Option<At<Arc<str>>>,
}

fn head<'a>(grammar: &Grammar<'a>, line: Toks<'a>, state: &mut SimpleState<Draft>) -> Head {
    let kind_span = line.first().map_or_else(Span::default, |tok| tok.span);
    let mut head = Head {
        kind_span,
        name: None,
        title: None,
    };
    let Some((first, rest)) = line.split_first() else {
        return head;
    };
    let word = if first.lexeme == Lexeme::Word {
        Kind::parse(first.text)
    } else {
        None
    };
    state.kind = word;
    let Some(kind) = word else {
        state.flaws.push(trouble::unknown_kind(line));
        // The name is kept, so that what refers to the thing is not taken for a slip as well.
        head.name = rest
            .first()
            .filter(|tok| leaf::is_name(tok))
            .map(|tok| At::new(access::name(tok.text), tok.span));
        return head;
    };
    let rest = if kind == Kind::Use {
        path(rest, &mut head, state, first)
    } else {
        label(kind, rest, &mut head, state, first)
    };
    if !rest.is_empty() {
        facts_line(grammar, line, line.len() - rest.len(), state);
    }
    head
}

/// The path of a `use`.
fn path<'a>(
    rest: Toks<'a>,
    head: &mut Head,
    state: &mut SimpleState<Draft>,
    first: &Tok<'a>,
) -> Toks<'a> {
    match rest.split_first() {
        Some((tok, rest)) if tok.lexeme == Lexeme::Text => {
            head.name = Some(At::new(plain_text(tok, state), tok.span));
            rest
        }
        _ => {
            state.flaws.push(trouble::use_path(first, rest));
            &[]
        }
    }
}

/// A thing's name and title; what follows them is left.
fn label<'a>(
    kind: Kind,
    rest: Toks<'a>,
    head: &mut Head,
    state: &mut SimpleState<Draft>,
    first: &Tok<'a>,
) -> Toks<'a> {
    let rest = match rest {
        [tok, after @ ..] if leaf::is_name(tok) => {
            head.name = Some(At::new(access::name(tok.text), tok.span));
            name_end(tok, after, state)
        }
        [title, name, after @ ..] if trouble::is_swapped(kind, title, name) => {
            state.flaws.push(trouble::swapped(title, name));
            head.name = Some(At::new(access::name(name.text), name.span));
            head.title = Some(At::new(plain_text(title, state), title.span));
            return after;
        }
        _ => {
            state.flaws.push(trouble::no_name(kind, first, rest));
            rest.get(trouble::digit_name(rest)..).unwrap_or_default()
        }
    };
    match rest {
        [tok, after @ ..] if tok.lexeme == Lexeme::Text => {
            head.title = Some(At::new(plain_text(tok, state), tok.span));
            after
        }
        _ => rest,
    }
}

/// What follows a name; a name ends in a letter or a digit, so a dash that joins it is a flaw.
fn name_end<'a>(name: &Tok<'a>, after: Toks<'a>, state: &mut SimpleState<Draft>) -> Toks<'a> {
    let mut last = name;
    let mut rest = after;
    while let Some((tok, after)) = rest.split_first() {
        if !tok.joins(last) || tok.lexeme == Lexeme::Text {
            break;
        }
        last = tok;
        rest = after;
    }
    if last.span != name.span {
        state.flaws.push(trouble::name_goes_on(name, last));
    }
    rest
}

fn plain_text(tok: &Tok<'_>, state: &mut SimpleState<Draft>) -> Arc<str> {
    let one = [*tok];
    let parsed = leaf::leaf(|inp| leaf::text(inp, "the text")).parse_with_state(&one[..], state);
    parsed
        .into_output()
        .map_or_else(|| Arc::from(""), |text| text.value)
}

/// The facts of a line from its token `from` on.
fn facts_line<'a>(
    grammar: &Grammar<'a>,
    line: Toks<'a>,
    from: usize,
    state: &mut SimpleState<Draft>,
) {
    let facts = line.get(from..).unwrap_or_default();
    let (_, errors) = grammar
        .facts
        .parse_with_state(facts, state)
        .into_output_errors();
    let mut troubles = std::mem::take(&mut state.troubles);
    troubles.extend(errors);
    for trouble in troubles {
        state.is_unsure |= !matches!(trouble.fault, trouble::Fault::Clash(..));
        state.add(|draft| trouble::explain(facts, trouble, draft.kind));
    }
}

fn body_line<'a>(grammar: &Grammar<'a>, line: Toks<'a>, state: &mut SimpleState<Draft>) {
    let Some(first) = line.first() else { return };
    match state.kind {
        Some(Kind::Run) if !is_run_fact(line, state) => step(grammar, line, first, state),
        Some(Kind::Case) if !first.is("allow") => {
            if let Some(setting) = one(&grammar.setting, line, state) {
                state.settings.push(setting);
            }
        }
        _ => facts_line(grammar, line, 0, state),
    }
}

/// Whether a line of a run is one of its facts: they stand before its first stop.
fn is_run_fact(line: Toks<'_>, state: &SimpleState<Draft>) -> bool {
    let is_fact = |tok: &Tok<'_>| tok.is("in") || tok.is("bypasses-isolator") || tok.is("allow");
    state.steps.is_empty() && line.first().is_some_and(is_fact)
}

fn step<'a>(
    grammar: &Grammar<'a>,
    line: Toks<'a>,
    first: &Tok<'a>,
    state: &mut SimpleState<Draft>,
) {
    if first.is("allow") {
        let under = (state.steps.len() as u32).checked_sub(1);
        let allow = one(&grammar.allow, line, state);
        state.allows.extend(allow.map(|allow| crate::tree::Allow {
            step: under,
            ..allow
        }));
        return;
    }
    let rule = match first.lexeme {
        Lexeme::Number | Lexeme::BadNumber | Lexeme::Negative => &grammar.conductor,
        Lexeme::Word => match first.text {
            "twin" | "core" => &grammar.conductor,
            "back" => &grammar.back,
            _ => &grammar.stop,
        },
        _ => &grammar.stop,
    };
    let step = one(rule, line, state);
    state
        .steps
        .push(step.unwrap_or_else(|| Step::Unread(span_of(line))));
}

/// One line by one grammar; where it fails, one flaw and nothing else of the line.
fn one<'a, T>(rule: &Rule<'a, T>, line: Toks<'a>, state: &mut SimpleState<Draft>) -> Option<T> {
    let flaws_before = state.flaws.len();
    let (output, errors) = rule.parse_with_state(line, state).into_output_errors();
    let Some(trouble) = errors.into_iter().max_by_key(|trouble| trouble.at) else {
        return output;
    };
    // What was found on the way is void where the line as a whole is not read.
    state.flaws.truncate(flaws_before);
    state.add(|draft| trouble::explain(line, trouble, draft.kind));
    None
}

/// The kinds' words, for a slip.
pub(super) fn kind_words() -> impl Iterator<Item = &'static str> {
    kinds().map(|row| row.word)
}
