//! `nest`: the shortest marker for pattern pieces on cloth. Glue only: files, terminal, clock and signals.

// Both panic when nobody listens any more: `commands::print` and `complaint::tell` do not.
#![warn(clippy::print_stderr, clippy::print_stdout)]

mod args;
mod commands;
mod complaint;
mod console;
mod deposit;
mod exit;
mod interrupt;
mod markers;
mod outputs;
mod source;

use std::process::ExitCode;

use clap::Parser;

use args::{Command, CommandLine};

fn main() -> ExitCode {
    let ended = match CommandLine::parse().command {
        Command::Import(args) => commands::import::run(&args),
        Command::Lay(args) => commands::lay::run(&args),
        Command::Check(args) => commands::check::run(&args),
        Command::Guide(args) => commands::guide::run(&args),
        Command::Export(args) => commands::export::run(&args),
        Command::Spreads(args) => commands::spreads::run(&args),
        Command::Compare(args) => commands::compare::run(&args),
        Command::Bench(args) => commands::bench::run(&args),
        Command::Schema(_) => commands::schema::run(),
    };
    ended.unwrap_or_else(|error| complaint::complain(&error)).into()
}
