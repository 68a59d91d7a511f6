//! The settings' JSON schema, made from the table of keys.

use serde_json::{Map, Value, json};

use super::{KEYS, Kind};

/// The schema of the settings, as `ampwright.toml` and clients write them.
pub fn schema() -> Value {
    let mut root = table();
    root["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    root["title"] = json!("Settings of ampwright");
    root["description"] = json!(
        "In `ampwright.toml`, in the initialization options and in the workspace configuration of an editor, each above the one before."
    );
    for key in KEYS {
        let (tables, last) = key.path.rsplit_once('.').unwrap_or(("", key.path));
        let mut within = &mut root;
        for name in tables.split('.').filter(|name| !name.is_empty()) {
            within = &mut within["properties"][name];
            if within.is_null() {
                *within = table();
            }
        }
        within["properties"][last] = property(key.says, key.kind);
    }
    root
}

fn table() -> Value {
    json!({"type": "object", "additionalProperties": false, "properties": Map::new()})
}

fn property(says: &str, kind: Kind) -> Value {
    match kind {
        Kind::Switch(on) => json!({"description": says, "type": "boolean", "default": on}),
        Kind::Choice(words, word) => json!({"description": says, "enum": words, "default": word}),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::{fs, path::Path};

    fn editors(file: &str) -> std::path::PathBuf {
        Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("../../editors")
            .join(file)
    }

    #[test]
    fn the_schema_in_the_repository_is_current() {
        let path = editors("settings.schema.json");
        let made = serde_json::to_string_pretty(&schema()).expect("a text") + "\n";
        if std::env::var_os("UPDATE_SCHEMA").is_some() {
            fs::write(&path, &made).expect("written");
        }
        let kept = fs::read_to_string(&path).unwrap_or_default();
        assert_eq!(
            kept, made,
            "UPDATE_SCHEMA=1 rewrites editors/settings.schema.json"
        );
    }

    #[test]
    fn visual_studio_code_offers_the_same_settings() {
        let text = fs::read_to_string(editors("vscode/package.json")).expect("read");
        let package: Value = serde_json::from_str(&text).expect("JSON");
        let offered = package["contributes"]["configuration"]["properties"].as_object();
        let offered = offered.expect("properties");
        for key in KEYS {
            // An editor that sends its own defaults would always stand above the settings file: so
            // there a setting is `null`, not set, until the writer sets it.
            let expected = match key.kind {
                Kind::Switch(_) => {
                    json!({"description": key.says, "type": ["boolean", "null"], "default": null})
                }
                Kind::Choice(words, _) => {
                    let words: Vec<Option<&str>> =
                        words.iter().copied().map(Some).chain([None]).collect();
                    json!({"description": key.says, "enum": words, "default": null})
                }
            };
            let path = format!("ampwright.{}", key.path);
            assert_eq!(offered.get(&path), Some(&expected), "{path}");
        }
        assert_eq!(offered.len(), KEYS.len() + 1, "and `ampwright.command`");
    }
}
