//! Very many random edits of one plan, and what memory does meanwhile.

use std::{path::Path, time::Instant};

use ampwright_tests::shapes;
use serde_json::json;

use crate::{
    machine,
    measure::opening,
    session::{Said, Session},
};

/// Edits between two waits for findings, so that the server is neither idle nor drowned.
const EDITS_A_WAIT: usize = 500;

/// Edits after which the plan is written whole again: much longer, and it would be noise.
const EDITS_A_WHOLE: usize = 10_000;

const URI: &str = "untitled:soak.boat";

/// The text as the server should have it: ASCII, by lines.
struct Copy {
    lines: Vec<Vec<u8>>,
    state: u64,
}

impl Copy {
    fn of(text: &str, state: u64) -> Self {
        let lines = text.lines().map(|line| line.as_bytes().to_vec());
        Self {
            lines: lines.collect(),
            state,
        }
    }

    fn random(&mut self, below: usize) -> usize {
        self.state ^= self.state << 13;
        self.state ^= self.state >> 7;
        self.state ^= self.state << 17;
        (self.state % below.max(1) as u64) as usize
    }

    /// One character typed or taken back somewhere: line, character, characters taken, text.
    fn edit(&mut self) -> (usize, usize, usize, String) {
        const TYPED: &[u8] = b"0123456789 abcdefghijklmnopqrstuvwxyz.-+#\"";
        let line = self.random(self.lines.len());
        let at = self.random(self.lines[line].len() + 1);
        let typed = TYPED[self.random(TYPED.len())];
        if self.state & 1 == 0 && at < self.lines[line].len() {
            self.lines[line].remove(at);
            (line, at, 1, String::new())
        } else {
            self.lines[line].insert(at, typed);
            (line, at, 0, char::from(typed).to_string())
        }
    }
}

/// Sends so many edits to a plan of a thousand lines and prints the memory as it goes.
pub(crate) fn run(program: &Path, edits: usize) -> Said<()> {
    let text = shapes::connected(1_000);
    let mut session = Session::start(program, None)?;
    let process = session.process();
    session.notify("textDocument/didOpen", &opening(URI, &text))?;
    let first = session.read_findings(URI, 1)?;
    let mut copy = Copy::of(&text, 0x5eed_cafe);
    let mut version = 1;
    let begun = Instant::now();
    println!(
        "{:>10} {:>12} {:>12} {:>10}",
        "edits", "memory, MiB", "most, MiB", "seconds"
    );
    for done in 1..=edits {
        version += 1;
        let change = if done % EDITS_A_WHOLE == 0 {
            copy = Copy::of(&text, copy.state);
            json!({ "text": text })
        } else {
            let (line, at, taken, typed) = copy.edit();
            let place = |character: usize| json!({"line": line, "character": character});
            json!({"range": {"start": place(at), "end": place(at + taken)}, "text": typed})
        };
        let document = json!({"uri": URI, "version": version});
        let params = json!({"textDocument": document, "contentChanges": [change]});
        session.notify("textDocument/didChange", &params)?;
        if done % EDITS_A_WAIT == 0 {
            session.findings(URI, version)?;
        }
        if done % (edits / 20).max(1) == 0 {
            let (memory, most) = (machine::memory(process), machine::peak(process));
            println!(
                "{done:>10} {memory:>12.2} {most:>12.2} {:>10.1}",
                begun.elapsed().as_secs_f64()
            );
        }
    }
    let document = json!({"uri": URI, "version": version + 1});
    let params = json!({"textDocument": document, "contentChanges": [{ "text": text }]});
    session.notify("textDocument/didChange", &params)?;
    let last = session.read_findings(URI, version + 1)?;
    if first != last {
        return Err("the plan has other findings than before the edits".into());
    }
    println!(
        "the plan, written whole again, has the {} findings it had at first",
        last.len()
    );
    session.end()
}
