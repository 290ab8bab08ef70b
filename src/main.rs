//! The command line: seal, parse, run, exit code.

mod cli;

use std::path::Path;
use std::process::ExitCode;

use clap::Parser;

#[global_allocator]
static MEMORY: cli::memory::InLargePages = cli::memory::InLargePages;

fn main() -> ExitCode {
    seal();
    cli::memory::heap_in_large_pages();
    let args = cli::Args::parse();
    match TAKEN_FROM_HERE.iter().find(|file| Path::new(file).exists()) {
        Some(file) => cli::refuse_stray(file).into(),
        None => cli::run(&args).into(),
    }
}

/// Files that PROJ takes from the working folder whatever it is told.
const TAKEN_FROM_HERE: [&str; 2] = ["proj.db", "proj.ini"];

/// Makes a map depend on its inputs alone. PROJ and GDAL would read databases, datum grids and
/// settings from wherever the environment points; what is built in is all that is used, so that
/// the same inputs give the same bytes on another machine.
fn seal() {
    const SPOKEN_TO: [&str; 6] = ["PROJ_", "GDAL_", "GTIFF_", "CPL_", "OGR_", "OSR_"];
    let set: Vec<_> = std::env::vars_os()
        .map(|(name, _)| name)
        .filter(|name| SPOKEN_TO.iter().any(|p| name.to_string_lossy().starts_with(p)))
        .collect();
    #[expect(unsafe_code, reason = "there is no safe way to change the environment")]
    // SAFETY: this is the first thing the program does, and no other thread runs.
    unsafe {
        for name in set {
            std::env::remove_var(name);
        }
        std::env::set_var("PROJ_DATA", "/dev/null");
        // PROJ's own log repeats on standard error what is told as a finding.
        std::env::set_var("PROJ_DEBUG", "0");
        std::env::set_var("PROJ_SKIP_READ_USER_WRITABLE_DIRECTORY", "YES");
        std::env::set_var("GDAL_CONFIG_FILE", "/dev/null");
        std::env::set_var("GDAL_DRIVER_PATH", "disable");
    }
}
