//! `explain`: a finding's code or a word of the notation in plain words; or a value of a plan, taken
//! apart into its formula, its numbers and the source of each constant.

use std::{io::Write, path::PathBuf};

use ampwright_assist::{
    explain::{Explained, explain},
    unfold::{Found, Section, Step, Unfolded, Unfolding, unfold},
};
use anyhow::bail;
use serde_json::{Value, json};

use crate::{
    check,
    cli::{ExplainArgs, Told},
    follow,
    out::Outcome,
};

/// Explains a code or a word, or unfolds what a name stands for in a plan.
pub(crate) fn run(args: &ExplainArgs, out: &mut dyn Write) -> anyhow::Result<Outcome> {
    match &args.name {
        Some(name) => in_plan(args, name, out),
        None => word(&args.word, out),
    }
}

fn word(word: &str, out: &mut dyn Write) -> anyhow::Result<Outcome> {
    match explain(word) {
        Explained::Known(doc) => writeln!(out, "{}", doc.plain())?,
        Explained::Unknown(Some(near)) => {
            bail!("there is no finding and no word called {word}; did you mean {near}?")
        }
        Explained::Unknown(None) => bail!(
            "there is no finding and no word called {word}; to take a plan's values apart name what of it: ampwright explain PLAN NAME"
        ),
    }
    Ok(Outcome::Clean)
}

fn in_plan(args: &ExplainArgs, name: &str, out: &mut dyn Write) -> anyhow::Result<Outcome> {
    let plan = follow::plan_at(&PathBuf::from(&args.word))?;
    let list = match unfold(&plan, name) {
        Unfolded::Known(list) => list,
        Unfolded::Nothing => bail!(
            "nothing is computed of {name} by itself: name a conductor, a run, a part or a place"
        ),
        Unfolded::Unknown(Some(near)) => {
            bail!("the plan has no mark, run, part or place called {name}; did you mean {near}?")
        }
        Unfolded::Unknown(None) => bail!("the plan has no mark, run, part or place called {name}"),
    };
    match args.format {
        Told::Human => {
            let shown: Vec<String> = list.iter().map(|one| one.doc().plain()).collect();
            writeln!(out, "{}\n\n{}", shown.join("\n\n"), check::CAUTION)?;
        }
        Told::Json => {
            let things: Vec<Value> = list.iter().map(thing).collect();
            let document = json!({ "things": things, "caution": check::CAUTION });
            let text = serde_json::to_string_pretty(&document)?;
            writeln!(out, "{}", check::escaped(&text))?;
        }
    }
    Ok(Outcome::Clean)
}

fn thing(one: &Unfolding) -> Value {
    let sections: Vec<Value> = one.sections.iter().map(section).collect();
    json!({ "title": one.title, "sections": sections })
}

fn section(section: &Section) -> Value {
    let steps: Vec<Value> = section.steps.iter().map(step).collect();
    json!({ "title": section.title, "steps": steps })
}

fn step(step: &Step) -> Value {
    let cited = step.cited.iter();
    let cited = cited.map(|cited| json!({ "source": cited.source, "tag": cited.tag.words() }));
    json!({
        "what": step.what,
        "formula": step.formula,
        "worked": step.worked,
        "value": step.value,
        "cited": cited.collect::<Vec<_>>(),
        "found": step.found.map(Found::words),
    })
}
