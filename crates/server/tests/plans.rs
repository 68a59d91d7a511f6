//! Conversations about real plans: the wiring as the computation finds it, through the protocol.

mod support;

use std::fs;

use serde_json::{Value, json};
use support::{
    client::Said,
    writing::{ENCODINGS, PLAN, Writing, able, address, edited, folder, list, number, text},
};

#[test]
fn a_slip_is_one_finding_on_its_words_in_every_encoding() -> Said<()> {
    let slips = [
        ("лампа # 🔦 в каюте", "лампаа", "unknown-name on лампаа"),
        (
            "\"🔦 Lamp\" lighting 10 W",
            "\"🔦 Lamp\" lighting 10 Wх",
            "wrong-unit on 10 Wх",
        ),
        ("2.5 mm2 red 0.3 m", "2.5 mm2 red 0,3 m", "syntax on 0,3"),
        (
            "2.5 mm2 red 0.3 m",
            "2.5 mm2 red",
            "missing-fact on 2.5 mm2 red",
        ),
        ("2.5 mm2 red 0.3 m", "AWG 14 red 0.3 m", "syntax on AWG 14"),
        ("\"🔦 Lamp\"", "“🔦 Lamp”", "syntax on “🔦 Lamp”"),
    ];
    for encoding in ENCODINGS {
        let mut writing = Writing::alone(encoding, able(encoding), PLAN)?;
        assert_eq!(writing.fetched()?, Vec::<String>::new());
        for (right, slip, expected) in slips {
            writing.write(&PLAN.replace(right, slip))?;
            // What could not be checked for the slip's sake is said once, and says so.
            let mut found = writing.fetched()?;
            found.retain(|found| !found.starts_with("not-checked"));
            assert_eq!(found, [expected], "{encoding}: {slip}");
        }
        writing.write(PLAN)?;
        assert_eq!(writing.fetched()?, Vec::<String>::new());
        writing.end()?;
    }
    Ok(())
}

#[test]
fn a_finding_points_at_the_other_place_too() -> Said<()> {
    let plan = PLAN.replace("blade 15 A", "blade 60 A");
    let mut writing = Writing::alone("utf-16", able("utf-16"), &plan)?;
    let found = writing.pushed()?;
    let one = found
        .iter()
        .find(|found| found["code"] == "fuse-exceeds-conductor")
        .ok_or_else(|| format!("not found: {found:?}"))?;
    assert_eq!(writing.words(&one["range"]), "2.5 mm2 red 0.1 m");
    assert_eq!(one["source"], "ampwright");
    let related = &one["relatedInformation"][0]["location"];
    assert_eq!(related["uri"], json!(writing.url));
    assert_eq!(writing.words(&related["range"]), "house-fuse");
    writing.end()
}

#[test]
fn findings_go_when_a_file_is_mended_and_when_it_is_closed() -> Said<()> {
    let mut writing = Writing::alone("utf-16", able("utf-16"), "boat b system 12\n")?;
    assert_eq!(writing.pushed()?.len(), 1);
    writing.write("boat b system 12 V\n")?;
    assert_eq!(writing.pushed()?.len(), 0);
    writing.write("boat b system 12\n")?;
    assert_eq!(writing.pushed()?.len(), 1);
    let closed = writing.whole();
    writing.client().notify("textDocument/didClose", closed)?;
    assert_eq!(writing.pushed()?.len(), 0);
    writing.end()
}

#[test]
fn a_hover_is_markdown_where_the_client_takes_it() -> Said<()> {
    for encoding in ENCODINGS {
        let mut writing = Writing::alone(encoding, able(encoding), PLAN)?;
        let asked = writing.last("лампа #", 2);
        let hover = writing.client().ask("textDocument/hover", asked)?;
        assert_eq!(writing.words(&hover["range"]), "лампа");
        assert_eq!(hover["contents"]["kind"], "markdown");
        let said = text(&hover["contents"]["value"]);
        assert!(
            said.starts_with("### `load лампа` 🔦 Lamp\n\nНад столом."),
            "{said}"
        );
        assert!(said.contains("| house-fuse 15 A | 0.83 A |"), "{said}");
        writing.end()?;
    }
    Ok(())
}

#[test]
fn a_hover_is_plain_text_where_the_client_says_nothing() -> Said<()> {
    let mut writing = Writing::alone("utf-16", json!({}), PLAN)?;
    let asked = writing.last("2.5 mm2 red 0.3 m", 1);
    let hover = writing.client().ask("textDocument/hover", asked)?;
    assert_eq!(writing.words(&hover["range"]), "2.5 mm2 red 0.3 m");
    assert_eq!(hover["contents"]["kind"], "plaintext");
    let said = text(&hover["contents"]["value"]);
    assert!(
        said.starts_with("2.5 mm² red 0.3 m\n\nFrom house-fuse out to house-isolator feed"),
        "{said}"
    );
    assert!(!said.contains("**") && !said.contains("| "), "{said}");
    let asked = writing.last("# 🔦", 1);
    assert_eq!(
        writing.client().ask("textDocument/hover", asked)?,
        Value::Null
    );
    writing.end()
}

#[test]
fn a_name_leads_to_its_thing_and_to_every_use() -> Said<()> {
    for encoding in ENCODINGS {
        let mut writing = Writing::alone(encoding, able(encoding), PLAN)?;
        let asked = writing.last("лампа #", 4);
        let links = writing
            .client()
            .ask("textDocument/definition", asked.clone())?;
        assert_eq!(list(&links).len(), 1, "{links}");
        let link = &links[0];
        assert_eq!(link["targetUri"], json!(writing.url));
        assert_eq!(writing.words(&link["targetSelectionRange"]), "лампа");
        assert_eq!(link["targetSelectionRange"]["start"]["line"], 6);
        assert_eq!(writing.words(&link["originSelectionRange"]), "лампа");
        for (with, lines) in [(true, vec![6, 14]), (false, vec![14])] {
            let mut asked = asked.clone();
            asked["context"] = json!({"includeDeclaration": with});
            let found = writing.client().ask("textDocument/references", asked)?;
            let found: Vec<_> = list(&found)
                .iter()
                .map(|at| number(&at["range"]["start"]["line"]))
                .collect();
            assert_eq!(found, lines);
        }
        let marks = writing
            .client()
            .ask("textDocument/documentHighlight", asked)?;
        let kinds: Vec<_> = list(&marks)
            .iter()
            .map(|mark| number(&mark["kind"]))
            .collect();
        assert_eq!(kinds, [3, 2]);
        writing.end()?;
    }
    Ok(())
}

#[test]
fn a_rename_reaches_every_use_and_leaves_the_run_of_that_name() -> Said<()> {
    let expected = PLAN
        .replace("load лампа", "load фонарь")
        .replace("    лампа #", "    фонарь #");
    for encoding in ENCODINGS {
        for documents in [true, false] {
            let mut able = able(encoding);
            able["workspace"]["workspaceEdit"]["documentChanges"] = json!(documents);
            let mut writing = Writing::alone(encoding, able, PLAN)?;
            let mut asked = writing.last("лампа #", 4);
            let ready = writing
                .client()
                .ask("textDocument/prepareRename", asked.clone())?;
            assert_eq!(ready["placeholder"], "лампа");
            assert_eq!(writing.words(&ready["range"]), "лампа");
            asked["newName"] = json!("фонарь");
            let edit = writing.client().ask("textDocument/rename", asked.clone())?;
            let edits = if documents {
                let change = &edit["documentChanges"][0];
                assert_eq!(
                    change["textDocument"],
                    json!({"uri": writing.url, "version": 1})
                );
                &change["edits"]
            } else {
                &edit["changes"][&writing.url]
            };
            assert_eq!(edited(&writing, edits), expected, "{encoding}, {documents}");
            for taken in ["house", "2 lamps", "twin"] {
                asked["newName"] = json!(taken);
                writing
                    .client()
                    .ask_in_vain("textDocument/rename", asked.clone())?;
            }
            writing.end()?;
        }
    }
    Ok(())
}

#[test]
fn the_outline_is_nested_or_flat_and_folds() -> Said<()> {
    let plan = format!("## Свет 🔦\n{PLAN}");
    for encoding in ENCODINGS {
        let mut writing = Writing::alone(encoding, able(encoding), &plan)?;
        let asked = writing.whole();
        let nested = writing.client().ask("textDocument/documentSymbol", asked)?;
        let heading = list(&nested).first().ok_or("no outline")?;
        let within = list(&heading["children"])
            .iter()
            .map(|one| text(&one["name"]).to_owned());
        let expected = [
            "ялик",
            "house",
            "house-fuse",
            "house-isolator",
            "лампа",
            "лампа",
        ];
        assert_eq!(within.collect::<Vec<_>>(), expected, "{nested}");
        for one in list(&heading["children"]) {
            assert_eq!(writing.words(&one["selectionRange"]), text(&one["name"]));
        }
        let asked = writing.whole();
        let folds = writing.client().ask("textDocument/foldingRange", asked)?;
        let run = list(&folds)
            .iter()
            .any(|fold| fold["startLine"] == 8 && fold["endLine"] == 16);
        assert!(run, "{folds}");
        writing.end()?;
    }
    let mut writing = Writing::alone("utf-16", json!({}), &plan)?;
    let asked = writing.whole();
    let flat = writing.client().ask("textDocument/documentSymbol", asked)?;
    assert!(
        list(&flat)
            .iter()
            .all(|one| one["location"]["uri"] == json!(writing.url)),
        "{flat}"
    );
    assert!(
        list(&flat).iter().any(|one| one["name"] == "лампа"),
        "{flat}"
    );
    writing.end()
}

#[test]
fn formatting_keeps_what_is_written_and_is_done_once() -> Said<()> {
    for encoding in ENCODINGS {
        let rough = PLAN
            .replace("    лампа #", "\tлампа   #")
            .replace("house agm 60 Ah", "house  agm 60Ah");
        let mut writing = Writing::alone(encoding, able(encoding), &rough)?;
        let mut asked = writing.whole();
        asked["options"] = json!({"tabSize": 4, "insertSpaces": true});
        let edits = writing
            .client()
            .ask("textDocument/formatting", asked.clone())?;
        assert_eq!(edited(&writing, &edits), PLAN, "{encoding}: {edits}");
        writing.write(PLAN)?;
        assert_eq!(
            writing.client().ask("textDocument/formatting", asked)?,
            json!([])
        );
        writing.end()?;
    }
    Ok(())
}

#[test]
fn completion_offers_what_fits_and_tells_of_it_when_asked() -> Said<()> {
    for encoding in ENCODINGS {
        let begun = PLAN.replace("    лампа # 🔦 в каюте", "    ла # 🔦 в каюте");
        let mut writing = Writing::alone(encoding, able(encoding), &begun)?;
        let asked = writing.last("ла # 🔦", "ла".len());
        let offered = writing.client().ask("textDocument/completion", asked)?;
        let item = list(&offered["items"])
            .iter()
            .find(|item| item["textEdit"]["newText"] == "лампа")
            .ok_or_else(|| format!("not offered: {offered}"))?;
        assert_eq!(writing.words(&item["textEdit"]["range"]), "ла");
        let told = writing
            .client()
            .ask("completionItem/resolve", item.clone())?;
        assert_eq!(told["documentation"]["kind"], "markdown");
        let said = text(&told["documentation"]["value"]);
        assert!(said.contains("Над столом."), "{said}");
        writing.end()?;
    }
    Ok(())
}

const ROOT: &str = "boat NAME system 12 V\nuse \"lamp.boat\"\nbattery house agm 60 Ah\nfuse house-fuse blade RATING breaks 5 kA\nisolator house-isolator 100 A\n";

/// The plan's lamp, which two boats share.
fn shared() -> Said<(tempfile::TempDir, std::path::PathBuf)> {
    let root = |name, rating| ROOT.replace("NAME", name).replace("RATING", rating);
    let lamp = &PLAN[PLAN.find("# Над").unwrap_or(0)..];
    folder(&[
        ("a.boat", &root("a", "15 A")),
        ("b.boat", &root("b", "60 A")),
        ("lamp.boat", lamp),
    ])
}

#[test]
fn a_file_of_two_plans_hears_and_reaches_both() -> Said<()> {
    let (_kept, path) = shared()?;
    let mut writing = Writing::of(&[&path], able("utf-16"), &path.join("lamp.boat"))?;
    // Only the second boat's fuse is too large, and what both say is said once.
    assert_eq!(
        writing.fetched()?,
        ["fuse-exceeds-conductor on 2.5 mm2 red 0.1 m"]
    );
    let mut asked = writing.last("house-fuse", 1);
    let links = writing
        .client()
        .ask("textDocument/definition", asked.clone())?;
    let targets: Vec<_> = list(&links)
        .iter()
        .map(|link| text(&link["targetUri"]))
        .collect();
    assert_eq!(
        targets,
        [address(&path.join("a.boat")), address(&path.join("b.boat"))]
    );
    asked["newName"] = json!("main-fuse");
    let edit = writing.client().ask("textDocument/rename", asked)?;
    let files: Vec<_> = list(&edit["documentChanges"])
        .iter()
        .map(|change| {
            (
                text(&change["textDocument"]["uri"]),
                list(&change["edits"]).len(),
            )
        })
        .collect();
    let file = |name: &str| address(&path.join(name));
    let expected = [
        (file("a.boat"), 1),
        (file("b.boat"), 1),
        (file("lamp.boat"), 1),
    ];
    assert_eq!(
        files,
        expected.each_ref().map(|(file, edits)| (&**file, *edits))
    );
    writing.write(&writing.text.replace("house-fuse", "huose-fuse"))?;
    let mut found = writing.fetched()?;
    found.retain(|found| !found.starts_with("not-checked"));
    assert_eq!(found, ["unknown-name on huose-fuse"]);
    writing.end()
}

#[test]
fn each_folder_has_its_own_files() -> Said<()> {
    let root = |name| ROOT.replace("NAME", name).replace("RATING", "15 A");
    let (_first, whole) = shared()?;
    let (_second, lacking) = folder(&[("a.boat", &root("a"))])?;
    let mut writing = Writing::of(&[&whole, &lacking], able("utf-16"), &lacking.join("a.boat"))?;
    assert_eq!(
        writing.fetched()?.first().map(String::as_str),
        Some("cannot-use on \"lamp.boat\"")
    );
    let lamp = lacking.join("lamp.boat");
    fs::copy(whole.join("lamp.boat"), &lamp).map_err(|error| error.to_string())?;
    let made = json!({"changes": [{"uri": address(&lamp), "type": 1}]});
    writing
        .client()
        .notify("workspace/didChangeWatchedFiles", made)?;
    assert_eq!(writing.fetched()?, Vec::<String>::new());
    fs::remove_file(&lamp).map_err(|error| error.to_string())?;
    let gone = json!({"changes": [{"uri": address(&lamp), "type": 3}]});
    writing
        .client()
        .notify("workspace/didChangeWatchedFiles", gone)?;
    assert_eq!(
        writing.fetched()?.first().map(String::as_str),
        Some("cannot-use on \"lamp.boat\"")
    );
    writing.end()
}
