//! The measurements: the same words and the same steps for every shape and size.

use std::{fs, path::Path, thread::sleep, time::Duration, time::Instant};

use ampwright_tests::shapes;
use serde_json::{Value, json};

use crate::{
    machine,
    session::{Said, Session, address},
};

/// Figures by name, in the order in which they are taken.
pub(crate) type Figures = Vec<(&'static str, f64)>;

/// A shape of generated plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Shape {
    /// One plan in one file, all of it joined.
    Connected,
    /// A workspace of boats of a hundred lines each, one of them open.
    Fleet,
}

/// Edits and requests that a percentile is taken from, and the idle time watched.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Effort {
    pub(crate) idle: Duration,
    pub(crate) repeats: usize,
}

/// How long something takes, ms.
pub(crate) fn timed(work: impl FnOnce()) -> f64 {
    let start = Instant::now();
    work();
    milliseconds(start.elapsed())
}

fn milliseconds(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

/// The nearest-rank percentile.
pub(crate) fn percentile(times: &mut [f64], of_hundred: usize) -> f64 {
    times.sort_by(f64::total_cmp);
    let rank = (times.len() * of_hundred).div_ceil(100).max(1);
    times.get(rank - 1).copied().unwrap_or(f64::NAN)
}

/// The open plan and the places in it that are asked about.
struct Desk {
    session: Session,
    uri: String,
    version: i32,
    /// Where a digit is typed into a length, in the middle of the plan.
    digit: (u32, u32),
    /// A load's name in its run, and the same in its own line.
    name: (u32, u32),
    typed: bool,
}

impl Desk {
    fn open(program: &Path, folder: Option<&Path>, uri: &str, text: &str) -> Said<(Self, Figures)> {
        let begun = Instant::now();
        let mut session = Session::start(program, folder)?;
        let opened = Instant::now();
        session.notify("textDocument/didOpen", &opening(uri, text))?;
        let found = session.findings(uri, 1)?;
        let middle = text[..text.len() / 2].rfind(" m\n").ok_or("no length")?;
        let name = middle + text[middle..].find("    load").ok_or("no load")? + 6;
        let desk = Self {
            session,
            uri: uri.to_owned(),
            version: 1,
            digit: place(text, middle),
            name: place(text, name),
            typed: false,
        };
        let figures = vec![
            ("start to first findings", milliseconds(found - begun)),
            ("open to findings", milliseconds(found - opened)),
        ];
        Ok((desk, figures))
    }

    /// Types a digit, or takes it back.
    fn edit(&mut self) -> Said<()> {
        let (line, character) = self.digit;
        let end = character + u32::from(self.typed);
        let range = json!({"start": {"line": line, "character": character}, "end": {"line": line, "character": end}});
        let text = if self.typed { "" } else { "1" };
        self.typed = !self.typed;
        self.version += 1;
        let document = json!({"uri": self.uri, "version": self.version});
        let changes = json!([{"range": range, "text": text}]);
        let params = json!({"textDocument": document, "contentChanges": changes});
        self.session.notify("textDocument/didChange", &params)
    }

    fn settle(&mut self) -> Said<Instant> {
        self.session.findings(&self.uri, self.version)
    }

    /// The params of a request about a name in the middle.
    fn at_name(&self) -> Value {
        let (line, character) = self.name;
        let position = json!({"line": line, "character": character});
        json!({"textDocument": {"uri": self.uri}, "position": position})
    }

    fn characters(&mut self, repeats: usize) -> Said<Figures> {
        let before = machine::processor_time(self.session.process());
        let mut times = Vec::new();
        for _ in 0..repeats {
            let start = Instant::now();
            self.edit()?;
            times.push(milliseconds(self.settle()? - start));
        }
        let spent = machine::processor_time(self.session.process()).saturating_sub(before);
        Ok(vec![
            ("character to findings, p50", percentile(&mut times, 50)),
            ("character to findings, p99", percentile(&mut times, 99)),
            (
                "processor time an edit",
                milliseconds(spent) / repeats as f64,
            ),
        ])
    }

    fn burst(&mut self, repeats: usize) -> Said<Figures> {
        let mut times = Vec::new();
        for _ in 0..repeats {
            let start = Instant::now();
            for _ in 0..50 {
                self.edit()?;
            }
            times.push(milliseconds(self.settle()? - start));
        }
        Ok(vec![("burst of 50 edits", percentile(&mut times, 50))])
    }

    /// A request right behind an edit.
    fn behind(&mut self, method: &str, params: &Value, repeats: usize) -> Said<Vec<f64>> {
        let mut times = Vec::new();
        for _ in 0..repeats {
            self.edit()?;
            let start = Instant::now();
            let (_, arrived) = self.session.ask(method, params)?;
            times.push(milliseconds(arrived - start));
            // The findings may have come before the answer; the next edit must not meet them.
            self.edit()?;
            self.settle()?;
        }
        Ok(times)
    }

    /// A request on a plan that rests.
    fn settled(&mut self, method: &str, params: &Value, repeats: usize) -> Said<Vec<f64>> {
        let mut times = Vec::new();
        for _ in 0..repeats {
            let start = Instant::now();
            let (result, arrived) = self.session.ask(method, params)?;
            if result.is_null() {
                return Err(format!("{method} found nothing"));
            }
            times.push(milliseconds(arrived - start));
        }
        Ok(times)
    }

    fn requests(&mut self, repeats: usize) -> Said<Figures> {
        let mut figures = Figures::new();
        let at = self.at_name();
        for (method, [p50, p99]) in [
            (
                "textDocument/hover",
                ["hover behind an edit, p50", "hover behind an edit, p99"],
            ),
            (
                "textDocument/definition",
                [
                    "definition behind an edit, p50",
                    "definition behind an edit, p99",
                ],
            ),
            (
                "textDocument/completion",
                [
                    "completion behind an edit, p50",
                    "completion behind an edit, p99",
                ],
            ),
        ] {
            let mut times = self.behind(method, &at, repeats)?;
            figures.push((p50, percentile(&mut times, 50)));
            figures.push((p99, percentile(&mut times, 99)));
        }
        let mut renaming = at.clone();
        renaming["newName"] = json!("masthead-lamp");
        for (name, method, params) in [
            ("hover, settled", "textDocument/hover", &at),
            ("definition, settled", "textDocument/definition", &at),
            ("completion, settled", "textDocument/completion", &at),
            ("rename, settled", "textDocument/rename", &renaming),
        ] {
            let mut times = self.settled(method, params, repeats)?;
            figures.push((name, percentile(&mut times, 50)));
        }
        Ok(figures)
    }

    /// The whole plan's tokens, and what has changed of them after an edit.
    fn tokens(&mut self, repeats: usize) -> Said<Figures> {
        let full = &self.session.capabilities["semanticTokensProvider"]["full"];
        let delta = full["delta"] == json!(true);
        if !full.is_object() && full != &json!(true) {
            return Ok(Figures::new());
        }
        let asked = json!({"textDocument": {"uri": self.uri}});
        let mut times = self.settled("textDocument/semanticTokens/full", &asked, repeats)?;
        let mut figures = vec![("tokens, whole, settled", percentile(&mut times, 50))];
        if !delta {
            return Ok(figures);
        }
        let (mut tokens, _) = self
            .session
            .ask("textDocument/semanticTokens/full", &asked)?;
        times.clear();
        for _ in 0..repeats {
            self.edit()?;
            let mut asked = asked.clone();
            asked["previousResultId"] = tokens["resultId"].clone();
            let start = Instant::now();
            let (changed, arrived) = self
                .session
                .ask("textDocument/semanticTokens/full/delta", &asked)?;
            times.push(milliseconds(arrived - start));
            tokens = changed;
        }
        figures.push((
            "tokens, changed, behind an edit",
            percentile(&mut times, 50),
        ));
        self.edit()?;
        self.settle()?;
        Ok(figures)
    }

    fn memory(&self) -> Figures {
        let process = self.session.process();
        vec![
            ("memory after it all, MiB", machine::memory(process)),
            ("memory at most, MiB", machine::peak(process)),
        ]
    }

    fn idle(&self, time: Duration) -> Figures {
        if time.is_zero() {
            return Figures::new();
        }
        // Threads that were needed a moment ago are given back first.
        sleep(Duration::from_secs(11));
        let process = self.session.process();
        let before = machine::processor_time(process);
        sleep(time);
        let spent = machine::processor_time(process).saturating_sub(before);
        let of_minute = 60.0 / time.as_secs_f64();
        vec![(
            "idle, processor time a minute",
            milliseconds(spent) * of_minute,
        )]
    }
}

/// Every figure of one run of one plan.
pub(crate) fn all(program: &Path, shape: Shape, lines: usize, effort: Effort) -> Said<Figures> {
    let folder = tempfile::tempdir().map_err(|error| error.to_string())?;
    let path = folder
        .path()
        .canonicalize()
        .map_err(|error| error.to_string())?;
    let (uri, text) = write(&path, shape, lines)?;
    let (mut desk, mut figures) = Desk::open(program, Some(&path), &uri, &text)?;
    let process = desk.session.process();
    figures.push(("memory once open, MiB", machine::memory(process)));
    // The first edits make what later ones reuse.
    desk.characters(5)?;
    let repeats = effort.repeats;
    figures.extend(desk.characters(repeats)?);
    figures.extend(desk.burst(repeats.div_ceil(10))?);
    figures.extend(desk.requests(repeats.div_ceil(2))?);
    figures.extend(desk.tokens(repeats.div_ceil(10))?);
    figures.extend(desk.memory());
    figures.extend(desk.idle(effort.idle));
    desk.session.end()?;
    Ok(figures)
}

/// From the start of the program to the findings of a whole small boat.
pub(crate) fn start(program: &Path, folder: &Path, file: &str) -> Said<f64> {
    let path = folder.join(file);
    let text = fs::read_to_string(&path).map_err(|error| format!("{}: {error}", path.display()))?;
    let uri = address(&path);
    let begun = Instant::now();
    let mut session = Session::start(program, Some(folder))?;
    session.notify("textDocument/didOpen", &opening(&uri, &text))?;
    let found = session.findings(&uri, 1)?;
    session.end()?;
    Ok(milliseconds(found - begun))
}

/// Writes the plan's files; the address and the text of the one that is opened.
fn write(folder: &Path, shape: Shape, lines: usize) -> Said<(String, String)> {
    let texts = match shape {
        Shape::Connected => vec![shapes::connected(lines)],
        Shape::Fleet => shapes::fleet(lines),
    };
    for (number, text) in texts.iter().enumerate() {
        let written = fs::write(folder.join(format!("boat-{number}.boat")), text);
        written.map_err(|error| error.to_string())?;
    }
    let text = texts.into_iter().next().ok_or("no plan")?;
    Ok((address(&folder.join("boat-0.boat")), text))
}

pub(crate) fn opening(uri: &str, text: &str) -> Value {
    json!({"textDocument": {"uri": uri, "languageId": "boat", "version": 1, "text": text}})
}

/// The line and the character of a byte; generated plans are ASCII.
fn place(text: &str, byte: usize) -> (u32, u32) {
    let before = &text[..byte];
    let start = before.rfind('\n').map_or(0, |at| at + 1);
    (before.matches('\n').count() as u32, (byte - start) as u32)
}
