//! Writings that are never read, whatever stands around them.

use super::{Scene, shortened};
use crate::{
    flaw::{Code, Flaw},
    parse::Tok,
    token::Lexeme,
};

/// The cause of a failure where it is the writing itself, at the token or just before it.
pub(super) fn cause(scene: &Scene<'_>) -> Option<Flaw> {
    if let Some(flaw) = slashes(scene) {
        return Some(flaw);
    }
    let at = scene.tok().into_iter().chain(scene.before());
    at.into_iter().find_map(flaw)
}

fn flaw(tok: &Tok<'_>) -> Option<Flaw> {
    Some(match tok.lexeme {
        Lexeme::Unclosed => Flaw::new(
            Code::Syntax,
            tok.span,
            "This text has no closing quote: it ends on its own line with `\"`.",
        )
        .with("close the quote", tok.span.after(), "\""),
        Lexeme::Curly => curly(tok),
        Lexeme::BadNumber => bad_number(tok),
        Lexeme::Junk => junk(tok),
        _ => return None,
    })
}

/// `// words`, as other notations comment.
fn slashes(scene: &Scene<'_>) -> Option<Flaw> {
    let pair = |from: isize| {
        let (a, b) = (scene.near(from)?, scene.near(from + 1)?);
        let slash = |tok: &Tok<'_>| tok.lexeme == Lexeme::Slash;
        (slash(a) && slash(b) && a.span.end == b.span.start).then(|| a.span.to(b.span))
    };
    let span = pair(0).or_else(|| pair(-1))?;
    let message = "A comment begins with `#`: what follows `//` is read as part of the plan.";
    Some(Flaw::new(Code::Syntax, span, message).written(span, "#"))
}

fn curly(tok: &Tok<'_>) -> Flaw {
    let inner = tok
        .text
        .trim_matches(['“', '”', '„', '"'])
        .replace('\\', "\\\\");
    let text = format!("\"{inner}\"");
    Flaw::new(
        Code::Syntax,
        tok.span,
        "Curly quotes are not read: write straight ones, `\"`.",
    )
    .with("write straight quotes", tok.span, text)
}

fn bad_number(tok: &Tok<'_>) -> Flaw {
    let text = tok.text;
    let flaw = |message: String| Flaw::new(Code::Syntax, tok.span, message);
    if text.contains(',') {
        return comma(tok);
    }
    let one_point = text.matches('.').count() == 1;
    if let Some(rest) = text.strip_prefix('.').filter(|_| one_point) {
        let full = format!("0.{rest}");
        let message = format!(
            "A number starts with a digit: write `{}`.",
            shortened(&full)
        );
        return flaw(message).written(tok.span, full);
    }
    if let Some(rest) = text.strip_suffix('.').filter(|_| one_point) {
        let message = format!("A number ends with a digit: write `{}`.", shortened(rest));
        return flaw(message).written(tok.span, rest);
    }
    flaw(format!(
        "`{}` is no number: it has one decimal point at most.",
        shortened(text)
    ))
}

/// A number with commas, which stand for the decimal point or part thousands.
fn comma(tok: &Tok<'_>) -> Flaw {
    let text = tok.text;
    let flaw = |message: String| Flaw::new(Code::Syntax, tok.span, message);
    let (point, plain) = (text.replace(',', "."), text.replace(',', ""));
    let parts_thousands = text
        .split(',')
        .skip(1)
        .all(|group| group.len() == 3 || group.contains('.'));
    let is_point = text.matches(',').count() == 1 && !text.contains('.');
    match (is_point, parts_thousands) {
        (true, false) => {
            let message = format!(
                "The decimal sign is a point: write `{}`.",
                shortened(&point)
            );
            flaw(message).written(tok.span, point)
        }
        (true, true) => {
            let message = format!(
                "The decimal sign is a point and thousands have no comma: write `{}` or `{}`.",
                shortened(&point),
                shortened(&plain)
            );
            flaw(message)
                .written(tok.span, point)
                .written(tok.span, plain)
        }
        (false, true) => {
            let message = format!(
                "Thousands are written without a comma: `{}`.",
                shortened(&plain)
            );
            flaw(message).written(tok.span, plain)
        }
        (false, false) => flaw(format!(
            "`{}` is no number: its decimal sign is one point.",
            shortened(text)
        )),
    }
}

fn junk(tok: &Tok<'_>) -> Flaw {
    let shown = shortened(tok.text);
    let separators = [',', ';', ':', '{', '}', '(', ')', '[', ']', '='];
    if tok.text.chars().all(|c| separators.contains(&c)) {
        let message =
            format!("`{shown}` is not needed: words are parted by spaces, lines by their ends.");
        return Flaw::new(Code::Syntax, tok.span, message).with(
            format!("take `{shown}` away"),
            tok.span,
            " ",
        );
    }
    if tok.text.starts_with(['\'', '‘', '’', '`', '«']) {
        return Flaw::new(
            Code::Syntax,
            tok.span,
            "Text stands in straight double quotes, `\"`.",
        );
    }
    if shown.is_empty() {
        return Flaw::new(
            Code::Syntax,
            tok.span,
            "Characters that cannot be seen stand here: take them away.",
        );
    }
    Flaw::new(
        Code::Syntax,
        tok.span,
        format!("`{shown}` means nothing here: take it away."),
    )
}
