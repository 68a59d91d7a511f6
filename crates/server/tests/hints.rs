//! Inlay hints and code lenses through the protocol.

mod support;

use serde_json::{Value, json};
use support::{
    client::Said,
    writing::{ENCODINGS, PLAN, Writing, able, list, number, text, width},
};

/// The hints of the whole text, each behind the words of its line that stand before it.
fn shown(writing: &mut Writing) -> Said<Vec<(String, Value)>> {
    let mut asked = writing.whole();
    asked["range"] =
        json!({"start": {"line": 0, "character": 0}, "end": {"line": 999, "character": 0}});
    let hints = writing.client().ask("textDocument/inlayHint", asked)?;
    let behind = list(&hints).iter().map(|hint| {
        let line = writing
            .text
            .lines()
            .nth(number(&hint["position"]["line"]))
            .unwrap_or("");
        let wanted = number(&hint["position"]["character"]);
        let mut bounds = line.char_indices().map(|(at, _)| at).chain([line.len()]);
        let at = bounds
            .find(|&at| width(&writing.encoding, &line[..at]) == wanted)
            .unwrap_or(0);
        (
            format!("{} [{}]", line[..at].trim(), text(&hint["label"])),
            hint.clone(),
        )
    });
    Ok(behind.collect())
}

#[test]
fn figures_stand_behind_their_words_in_every_encoding() -> Said<()> {
    for encoding in ENCODINGS {
        let mut writing = Writing::alone(encoding, able(encoding), PLAN)?;
        let all = shown(&mut writing)?;
        let words: Vec<&str> = all.iter().map(|(words, _)| &**words).collect();
        // 10 W at 12 V are 0.833 A; 2.5 mm2 of 0.3 m lose 0.0164 x 0.833 x 0.3 / 2.5 = 0.0016 V of 12.
        assert!(
            words.contains(&"2.5 mm2 red 0.3 m [0.83 A  0.01 %]"),
            "{words:#?}"
        );
        assert!(words.contains(&"2.5 mm2 red 0.3 m [лампа+2]"), "{words:#?}");
        assert!(
            words.contains(&"load лампа \"🔦 Lamp\" lighting 10 W [11.99 V]"),
            "{words:#?}"
        );
        assert!(
            words.contains(&"back black to house - [0.9 m black лампа-1]"),
            "{words:#?}"
        );
        let told = writing
            .client()
            .ask("inlayHint/resolve", all[0].1.clone())?;
        assert_eq!(told["tooltip"]["kind"], "markdown");
        assert!(
            text(&told["tooltip"]["value"]).contains("load лампа"),
            "{told}"
        );
        writing.end()?;
    }
    Ok(())
}

#[test]
fn what_is_turned_off_is_not_shown() -> Said<()> {
    let off = json!({"inlayHints": {"conductors": false, "marks": false, "returns": false}, "codeLens": false});
    let start = json!({"capabilities": able("utf-16"), "initializationOptions": off});
    let mut writing = Writing::begin("utf-16", start, "untitled:plan.boat".into(), PLAN)?;
    let all = shown(&mut writing)?;
    let words: Vec<&str> = all.iter().map(|(words, _)| &**words).collect();
    assert_eq!(words, ["load лампа \"🔦 Lamp\" lighting 10 W [11.99 V]"]);
    let asked = writing.whole();
    assert_eq!(
        writing.client().ask("textDocument/codeLens", asked)?,
        json!([])
    );
    writing.end()
}

#[test]
fn lenses_tell_of_the_boat_and_of_each_run() -> Said<()> {
    for encoding in ENCODINGS {
        let mut writing = Writing::alone(
            encoding,
            able(encoding),
            &format!("# 🛥\n{PLAN}case тихо\n    on лампа\n"),
        )?;
        let asked = writing.whole();
        let lenses = writing.client().ask("textDocument/codeLens", asked)?;
        let mut titles = Vec::new();
        for lens in list(&lenses) {
            assert_eq!(lens["command"], Value::Null);
            let told = writing.client().ask("codeLens/resolve", lens.clone())?;
            let words = writing.words(&told["range"]);
            titles.push(format!("{words}: {}", text(&told["command"]["title"])));
        }
        let expected = [
            "boat: No findings; 1 load does not say how long a day",
            "run: 0.83 A, worst drop 0.08 % at лампа, protected by house-fuse 15 A",
            "case: 0.83 A together",
        ];
        assert_eq!(titles, expected);
        writing.end()?;
    }
    Ok(())
}
