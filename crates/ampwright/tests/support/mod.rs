//! The real program, run as a reader would run it.
#![allow(clippy::expect_used, reason = "a test that cannot begin has failed")]
#![allow(dead_code, reason = "each test file uses its own part of this")]

use std::{
    fmt::Write,
    path::{Path, PathBuf},
    process::{Command, Output, Stdio},
};

/// The root of the repository.
pub(crate) fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .ancestors()
        .nth(2)
        .expect("two folders up")
        .canonicalize()
        .expect("the root")
}

/// The program in a folder, with nothing of the caller's terminal.
pub(crate) fn program(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ampwright"));
    command.current_dir(folder).stdin(Stdio::null());
    for name in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "COLUMNS"] {
        command.env_remove(name);
    }
    command
}

/// What the program prints and exits with: the standard output, then the errors, then the code.
pub(crate) fn transcript(folder: &Path, args: &[&str]) -> String {
    told(&program(folder).args(args).output().expect("it runs"))
}

/// An output as a transcript.
pub(crate) fn told(output: &Output) -> String {
    let mut text = String::from_utf8(output.stdout.clone()).expect("text");
    for line in String::from_utf8_lossy(&output.stderr).lines() {
        let _ = writeln!(text, "stderr: {line}");
    }
    let _ = writeln!(text, "exit {}", code(output));
    text
}

/// The exit code.
pub(crate) fn code(output: &Output) -> i32 {
    output.status.code().expect("it ends by itself")
}

/// A folder that goes with the test, marked as no part of the repository.
pub(crate) struct Folder(tempfile::TempDir);

impl Folder {
    /// An empty one.
    pub(crate) fn new() -> Self {
        Self(tempfile::tempdir().expect("a folder"))
    }

    /// With these files.
    pub(crate) fn with(files: &[(&str, &str)]) -> Self {
        let folder = Self::new();
        for (path, text) in files {
            folder.write(path, text);
        }
        folder
    }

    /// Its path, every link followed.
    pub(crate) fn path(&self) -> PathBuf {
        self.0.path().canonicalize().expect("the folder")
    }

    /// Writes a file.
    pub(crate) fn write(&self, path: &str, bytes: impl AsRef<[u8]>) {
        let path = self.path().join(path);
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("folders");
        std::fs::write(path, bytes).expect("a file");
    }

    /// Reads a file.
    pub(crate) fn read(&self, path: &str) -> String {
        std::fs::read_to_string(self.path().join(path)).expect("a file")
    }

    /// Runs the program in it.
    pub(crate) fn run(&self, args: &[&str]) -> Output {
        program(&self.path()).args(args).output().expect("it runs")
    }

    /// Runs the program in it and tells what came of it.
    pub(crate) fn transcript(&self, args: &[&str]) -> String {
        told(&self.run(args))
    }
}

/// A sound small boat.
pub(crate) const SOUND: &str = include_str!("../../../../examples/first-light.boat");
