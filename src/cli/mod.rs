//! The command line: one file for each command.
//!
//! Every command answers with one of three exit codes: 0 well, 1 done and something has to be put
//! right, 2 not done.

pub mod backup;
pub mod check;
pub mod data;
pub mod demo;
pub mod doctor;
pub mod export;
pub mod import;
mod open;
mod outcome;
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

/// Carries a small boat's strip-out and rewire from intake to the manager's report.
#[derive(Debug, Parser)]
#[command(name = "driploop", version, args_conflicts_with_subcommands = true)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Option<Command>,
    /// What `serve` takes: without a command the program serves.
    #[command(flatten)]
    pub serve: serve::Args,
}

/// What the program can be asked to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Serve the shop's pages (the default)
    Serve(serve::Args),
    /// Print the JSON Schema of the job file
    Schema,
    /// Check a job file: sizes, drops, protection, the solved network and all findings
    Check(check::Args),
    /// Take in job files as new jobs
    Import(import::Args),
    /// Write a job as its job file
    Export(export::Args),
    /// Add, list and disable people, and give them passphrases
    User(user::Args),
    /// Back the shop's data up, while the server runs or not
    Backup(backup::Args),
    /// Put a backup in the place of the shop's data, after it is proven
    Restore(restore::Args),
    /// Look the shop's data over for damage
    Doctor(doctor::Args),
}

/// Runs one command and tells the system how it ended.
pub fn run(cli: Cli) -> ExitCode {
    let outcome = match cli.command.unwrap_or(Command::Serve(cli.serve)) {
        Command::Serve(args) => serve::run(args),
        Command::Schema => schema::run(&mut io::stdout().lock()),
        Command::Check(args) => check::run(&args, &mut io::stdout().lock()),
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
        // Whoever reads the output has seen enough.
        Err(Error::Output(error)) if error.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(error) => {
            // Without anywhere to complain, the exit code still tells.
            let _ = writeln!(io::stderr(), "driploop: {error}");
            ExitCode::from(2)
        }
    }
}
