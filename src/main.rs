//! The command line: seal, parse, run, exit code.

mod cli;

use std::process::ExitCode;

use clap::Parser;

#[global_allocator]
static MEMORY: cli::memory::InLargePages = cli::memory::InLargePages;

fn main() -> ExitCode {
    #[expect(unsafe_code, reason = "there is no safe way to change the environment")]
    // SAFETY: this is the first thing the program does, and no other thread runs.
    unsafe {
        headfall::sealed::drop_environment();
    }
    cli::memory::heap_in_large_pages();
    cli::handles::as_many_as_allowed();
    cli::run(&cli::Args::parse()).into()
}
