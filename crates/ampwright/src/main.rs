//! The command line: each subcommand has its file, and this one only chooses.
//!
//! This crate reads the disk ([`disk`], [`gather`]), prints ([`out`], [`visible`]) and gives exit
//! codes. What a plan says and means it asks of the crates below.

mod check;
mod cli;
mod disk;
mod explain;
mod follow;
mod format;
mod gather;
mod out;
mod replay;
mod serve;
mod texts;
mod visible;

use std::{io::Write, process::ExitCode};

use clap::Parser;

use cli::{Cli, Command};
use out::Outcome;

fn main() -> ExitCode {
    let cli = Cli::parse();
    let code = match &cli.command {
        // The protocol's own writer takes the standard output; nobody else may hold its lock.
        Command::Serve(args) => serve::run(args),
        _ => print(&cli),
    };
    match code {
        Ok(code) => code,
        Err(error) => {
            out::complain(&format!("{error:#}"));
            Outcome::Unread.into()
        }
    }
}

fn print(cli: &Cli) -> anyhow::Result<ExitCode> {
    let mut out = out::standard();
    let outcome = run(cli, &mut out)?;
    out.flush()?;
    Ok(outcome.into())
}

fn run(cli: &Cli, out: &mut dyn Write) -> anyhow::Result<Outcome> {
    match &cli.command {
        Command::Check(args) => check::run(args, cli.color, out),
        Command::Format(args) => format::run(args, out),
        Command::Explain(args) => explain::run(args, out),
        Command::Follow(args) => follow::run(args, out),
        Command::Replay(args) => replay::run(args, out),
        Command::Serve(_) => Ok(Outcome::Clean),
    }
}
