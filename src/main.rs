//! The command line: parse, run, render, exit code.

mod cli;

use std::process::ExitCode;

use clap::Parser;

fn main() -> ExitCode {
    cli::run(&cli::Args::parse()).into()
}
