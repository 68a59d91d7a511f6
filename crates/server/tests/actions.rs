//! What can be done, through the protocol: listed, chosen, and what becomes of the text.

mod support;

use serde_json::{Value, json};
use support::{
    client::Said,
    writing::{ENCODINGS, PLAN, Writing, able, edited, list, text},
};

/// A client that lets edits be worked out late, and shows what cannot be done.
fn able_to_choose(encoding: &str) -> Value {
    let mut able = able(encoding);
    able["textDocument"]["codeAction"] = json!({
        "codeActionLiteralSupport": {"codeActionKind": {"valueSet": [""]}},
        "dataSupport": true,
        "disabledSupport": true,
        "isPreferredSupport": true,
        "resolveSupport": {"properties": ["edit"]},
    });
    able
}

/// The actions at the last place of some words.
fn offered(writing: &mut Writing, words: &str, context: &Value) -> Said<Vec<Value>> {
    let at = writing.last(words, 1)["position"].clone();
    let mut asked = writing.whole();
    asked["range"] = json!({"start": at, "end": at});
    asked["context"] = json!({"diagnostics": []});
    if let (Some(all), Some(more)) = (asked["context"].as_object_mut(), context.as_object()) {
        all.extend(more.clone());
    }
    Ok(list(&writing.client().ask("textDocument/codeAction", asked)?).to_vec())
}

fn one<'a>(actions: &'a [Value], title: &str) -> Said<&'a Value> {
    let found = actions
        .iter()
        .find(|one| text(&one["title"]).starts_with(title));
    found.ok_or_else(|| format!("{title} is not offered: {actions:#?}"))
}

/// The text after an action, its edit worked out where it has none yet.
fn done(writing: &mut Writing, action: &Value) -> Said<String> {
    let action = if action["edit"].is_null() {
        writing.client().ask("codeAction/resolve", action.clone())?
    } else {
        action.clone()
    };
    let change = &action["edit"]["documentChanges"][0];
    assert_eq!(
        change["textDocument"],
        json!({"uri": writing.url, "version": writing.version})
    );
    Ok(edited(writing, &change["edits"]))
}

#[test]
fn a_slip_is_mended_by_its_action() -> Said<()> {
    let slip = PLAN.replace("2.5 mm2 red 0.3 m", "2.5 mm2 red 0,3 m");
    for encoding in ENCODINGS {
        for able in [able(encoding), able_to_choose(encoding)] {
            let mut writing = Writing::alone(encoding, able, &slip)?;
            let all = offered(&mut writing, "0,3", &json!({}))?;
            let mend = one(&all, "Write 0.3")?.clone();
            assert_eq!(mend["kind"], "quickfix");
            assert_eq!(mend["isPreferred"], true);
            assert_eq!(mend["diagnostics"][0]["code"], "syntax");
            assert_eq!(done(&mut writing, &mend)?, PLAN, "{encoding}");
            let all = offered(&mut writing, "0,3", &json!({"only": ["source.fixAll"]}))?;
            assert_eq!(all.len(), 1, "{all:#?}");
            assert_eq!(done(&mut writing, &all[0])?, PLAN);
            writing.end()?;
        }
    }
    Ok(())
}

#[test]
fn a_conductor_is_sized_when_asked_in_earnest() -> Said<()> {
    let thin = PLAN
        .replace("lighting 10 W", "pump 9 A")
        .replace("2.5 mm2", "1 mm2")
        .replace("0.5 m", "9 m");
    let mut writing = Writing::alone("utf-16", able_to_choose("utf-16"), &thin)?;
    let all = offered(&mut writing, "1 mm2 red 9 m", &json!({"triggerKind": 1}))?;
    let size = one(
        &all,
        "Size the 3 conductors of this circuit and their return: ",
    )?
    .clone();
    assert_eq!(size["kind"], "quickfix");
    let after = done(&mut writing, &size)?;
    writing.write(&after)?;
    assert_eq!(writing.fetched()?, Vec::<String>::new(), "{after}");
    let all = offered(&mut writing, "red 9 m", &json!({"triggerKind": 1}))?;
    let size = one(&all, "Size the 3 conductors")?;
    let why = text(&size["disabled"]["reason"]);
    assert!(
        why.ends_with("is the smallest size that passes everything."),
        "{why}"
    );
    let passing = offered(&mut writing, "red 9 m", &json!({"triggerKind": 2}))?;
    let size = one(&passing, "Size the 3 conductors")?;
    assert_eq!(
        (&size["disabled"], &size["edit"]),
        (&Value::Null, &Value::Null)
    );
    writing.end()
}

#[test]
fn only_what_is_asked_for_is_offered() -> Said<()> {
    let mut writing = Writing::alone("utf-16", able_to_choose("utf-16"), PLAN)?;
    let all = offered(
        &mut writing,
        "2.5 mm2 red 0.3 m",
        &json!({"only": ["refactor"]}),
    )?;
    assert!(
        all.iter().all(|one| one["kind"] == "refactor.rewrite"),
        "{all:#?}"
    );
    let marks = one(&all, "Write this run's made marks")?.clone();
    assert!(done(&mut writing, &marks)?.contains("2.5 mm2 red 0.1 m mark лампа+1\n"));
    let twin = one(&all, "Run it out and back as a twin")?.clone();
    assert!(done(&mut writing, &twin)?.contains("    back to house -\n"));
    assert!(offered(&mut writing, "red 0.3 m", &json!({"only": ["source"]}))?.is_empty());
    let rough = PLAN.replace("    system", "  system");
    writing.write(&rough)?;
    let all = offered(
        &mut writing,
        "red 0.3 m",
        &json!({"only": ["source.organize"]}),
    )?;
    assert_eq!(done(&mut writing, &all[0])?, PLAN);
    writing.end()
}

#[test]
fn an_action_of_an_older_text_is_refused() -> Said<()> {
    let mut writing = Writing::alone("utf-16", able_to_choose("utf-16"), PLAN)?;
    let all = offered(&mut writing, "red 0.3 m", &json!({"only": ["refactor"]}))?;
    writing.write(&PLAN.replace("0.3 m", "0.4 m"))?;
    writing
        .client()
        .ask_in_vain("codeAction/resolve", all[0].clone())?;
    writing.end()
}
