//! The `driploop` program: reads the command line and starts.

use std::process::ExitCode;

use clap::Parser;
use driploop::cli::{self, Cli};

fn main() -> ExitCode {
    cli::run(Cli::parse())
}
