//! What can be asked on the command line, and what `--help` says of it.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

/// Reads, checks and explains plans of a boat's low-voltage wiring.
///
/// A plan is a text file, NAME.boat. Start with `ampwright check` on one, or on a folder of them.
#[derive(Debug, Parser)]
#[command(name = "ampwright", version, max_term_width = 100)]
pub(crate) struct Cli {
    /// When to colour what is printed; `NO_COLOR` and a redirected output are heeded by `auto`
    #[arg(long, global = true, value_enum, default_value_t = Colour::Auto, value_name = "WHEN")]
    pub(crate) color: Colour,
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// When to colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Colour {
    /// On a terminal, unless `NO_COLOR` is set
    Auto,
    /// Even where the output is no terminal
    Always,
    /// Not at all
    Never,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    Check(CheckArgs),
    Format(FormatArgs),
    Explain(ExplainArgs),
    Follow(FollowArgs),
    Serve(ServeArgs),
    Replay(ReplayArgs),
}

/// Checks plans and shows every finding on the words that cause it
#[derive(Args, Debug)]
#[command(after_long_help = CHECK_HELP)]
pub(crate) struct CheckArgs {
    /// Plans, or folders: every file below a folder that has a `boat` in it is a plan
    #[arg(required = true, value_name = "PATH")]
    pub(crate) paths: Vec<PathBuf>,
    /// How to print
    #[arg(long, value_enum, default_value_t = Shape::Human)]
    pub(crate) format: Shape,
    /// The mildest finding that makes the exit code 1
    #[arg(long, value_enum, default_value_t = FailOn::Warning, value_name = "SEVERITY")]
    pub(crate) fail_on: FailOn,
}

/// How findings are printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Shape {
    /// With the lines underlined, and a summary of each plan
    Human,
    /// One line a finding: `path:line:column: severity: message [code]`; an accepted one says so
    Plain,
    /// One JSON document, described below
    Json,
}

/// The mildest finding that fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum FailOn {
    /// Any finding
    Advice,
    /// A warning or an error
    Warning,
    /// An error
    Error,
}

const CHECK_HELP: &str = "\
Exit codes: 0 nothing at or above the chosen severity; 1 findings at or above it; 2 something
could not be read. A finding that an `allow` line accepts is shown as accepted and does not fail.

A `use` line reads only files inside the workspace: the nearest folder above the plan that holds
`.git` or `ampwright.toml`, else the plan's own folder. Files above 8 MiB are refused.

With --format json the output is one document, the same bytes for the same plans:
  plans     one entry a plan: `plan` (path), `files` (paths), `counts` (of each severity, and
            accepted), `findings`
  findings  `code`, `family`, `severity`, `message`, `at`, `related` (each `at` and `message`),
            `figure` (`measured`, `allowed`, `unit`) or null, `fixes` (each `label`, `at`, the new
            `text`), `accepted` (`reason`, `by`, `at`) or null
  at        `file`, `start` and `end` (`line` and `column` from 1, columns in characters), `bytes`
            (from and to, from 0)
  unused    paths of files that belong to no plan
  unread    what could not be read: `path`, `why`
  caution   the line that goes with every result";

/// Brings plans into the written form, in place
///
/// Four spaces, one space between words, units in ASCII. Lines are never joined, split, moved or
/// aligned; text that cannot be read stays as it is; the meaning never changes.
#[derive(Args, Debug)]
pub(crate) struct FormatArgs {
    /// Files, or folders: every .boat file below them
    #[arg(required = true, value_name = "PATH")]
    pub(crate) paths: Vec<PathBuf>,
    /// Change nothing: print the difference, and exit with 1 where there is one
    #[arg(long)]
    pub(crate) check: bool,
}

/// Explains a finding's code or any word of the notation; or unfolds a plan's computed values
///
/// `explain WORD` knows every code, such as `unfused-run`, and every word, such as `fuse` or `class-t`.
/// `explain PLAN NAME` takes a value apart: each formula, the same with its numbers, and the document of
/// every constant in it, with a word on how well it is known. NAME is a conductor's mark, a run, a
/// part, a place, or a way as `"cabin-panel way 2"`.
#[derive(Args, Debug)]
pub(crate) struct ExplainArgs {
    /// A code or a word; or a plan, where a name follows
    #[arg(value_name = "WORD-OR-PLAN")]
    pub(crate) word: String,
    /// What of the plan: a mark, a run, a part, a place or a way
    #[arg(value_name = "NAME")]
    pub(crate) name: Option<String>,
    /// How to print what is unfolded
    #[arg(long, value_enum, default_value_t = Told::Human, requires = "name")]
    pub(crate) format: Told,
}

/// How an unfolding is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Told {
    /// For people
    Human,
    /// One JSON document: a list of things, each with `title` and `sections`; a section has `title`
    /// and `steps`, a step `what`, `formula`, `worked`, `value`, `cited` (`source`, `tag`) and `found`
    Json,
}

/// Follows a load's circuit from its source to the load and back, with the volts at each step
#[derive(Args, Debug)]
pub(crate) struct FollowArgs {
    /// The plan
    pub(crate) plan: PathBuf,
    /// The load, as the plan names it
    pub(crate) load: String,
    /// In this case, in `everything`, or `alone`; without it, where the load loses the most
    #[arg(long, value_name = "NAME")]
    pub(crate) case: Option<String>,
}

/// Serves an editor over the standard streams (the language server protocol)
#[derive(Args, Debug)]
pub(crate) struct ServeArgs {
    /// Over the standard streams: what happens anyway, for editors that always say so
    #[arg(long)]
    pub(crate) stdio: bool,
    /// Write every message down in a new file, to be replayed. It holds the text of the plans, at
    /// most 64 MiB; a file that is there is not overwritten
    #[arg(long, value_name = "FILE")]
    pub(crate) record: Option<PathBuf>,
}

/// Has a recorded session again and prints what the server now says differently
///
/// The record is one that `ampwright serve --record FILE` wrote: JSON lines with every message and its
/// time, the text of the plans among them. Nothing in it is changed. What plans read from the disk is
/// not in the record: where they use other files, those have to lie where they lay then.
///
/// Exit codes: 0 all as recorded; 1 something differs; 2 the record could not be read.
#[derive(Args, Debug)]
pub(crate) struct ReplayArgs {
    /// The record
    #[arg(value_name = "FILE")]
    pub(crate) record: PathBuf,
}
