//! The command line: one file for each command.
//!
//! Every command ends with one of three exit codes: 0 no problems, 1 done but something needs correction, 2 not
//! done.

pub mod backup;
pub mod check;
pub mod data;
pub mod demo;
pub mod doctor;
pub mod export;
pub mod import;
mod open;
mod outcome;
pub mod propose;
mod read;
pub mod restore;
pub mod schema;
pub mod serve;
pub mod tls;
pub mod user;

use std::io::{self, Write};
use std::process::ExitCode;

use clap::{Parser, Subcommand};

pub use outcome::{Error, Outcome};

/// Manages a small boat's strip-out and rewire from intake to the customer's report.
#[derive(Debug, Parser)]
#[command(name = "driploop", version, args_conflicts_with_subcommands = true)]
pub struct Cli {
    /// The command.
    #[command(subcommand)]
    pub command: Option<Command>,
    /// The arguments of `serve`, which is the default command.
    #[command(flatten)]
    pub serve: serve::Args,
}

/// The commands of the program.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Serve the shop's pages (the default)
    Serve(serve::Args),
    /// Print the JSON Schema of the job file
    Schema,
    /// Check a job file: sizes, drops, protection, the solved network, all findings, and what holds the boat
    ///
    /// The history of the file is read as imported. Its releases, waivers and judgments are not confirmed, so they do
    /// not count. The output says how many there are.
    Check(check::Args),
    /// Propose a plan from a boat form and a list of wishes
    Propose(propose::Args),
    /// Import job files as new jobs
    Import(import::Args),
    /// Export a job as its job file
    Export(export::Args),
    /// Add, list and disable people, and give them passphrases
    User(user::Args),
    /// Back the shop's data up, while the server runs or not
    Backup(backup::Args),
    /// Verify a backup and replace the shop's data with it
    Restore(restore::Args),
    /// Examine the shop's data for damage
    Doctor(doctor::Args),
}

/// Runs one command and returns its exit code.
pub fn run(cli: Cli) -> ExitCode {
    let outcome = match cli.command.unwrap_or(Command::Serve(cli.serve)) {
        Command::Serve(args) => serve::run(args),
        Command::Schema => schema::run(&mut io::stdout().lock()),
        Command::Check(args) => check::run(&args, &mut io::stdout().lock()),
        Command::Propose(args) => propose::run(&args, &mut io::stdout().lock()),
        Command::Import(args) => import::run(&args, &mut io::stdout().lock()),
        Command::Export(args) => export::run(&args, &mut io::stdout().lock()),
        Command::User(args) => user::run(&args, &mut io::stdout().lock()),
        Command::Backup(args) => backup::run(&args, &mut io::stdout().lock()),
        Command::Restore(args) => restore::run(&args, &mut io::stdout().lock()),
        Command::Doctor(args) => doctor::run(&args, &mut io::stdout().lock()),
    };
    match outcome {
        Ok(Outcome::Well) => ExitCode::SUCCESS,
        Ok(Outcome::Wrong) => ExitCode::from(1),
        // The reader of the output closed it early; that is not an error.
        Err(Error::Output(error)) if error.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(error) => {
            // If this message cannot be written either, the exit code still reports the error.
            let _ = writeln!(io::stderr(), "driploop: {error}");
            ExitCode::from(2)
        }
    }
}
