//! What is made of the command line's definition: completions for shells and man pages.

#![expect(clippy::disallowed_methods, reason = "man pages are written here")]

use std::fmt::Write as _;
use std::fs::{self, OpenOptions};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use clap::CommandFactory;
use clap_complete::Shell;
use clap_mangen::Man;
use headfall::Error;

use super::args::Args;
use super::exit::Exit;
use super::say::{self, End};
use super::{refused, render};

const NAME: &str = env!("CARGO_PKG_NAME");

/// Prints the completions for a shell.
pub(super) fn completions(shell: Shell) -> Exit {
    let mut made = Vec::new();
    clap_complete::generate(shell, &mut Args::command(), NAME, &mut made);
    let text = String::from_utf8_lossy(&made);
    say::out(&text, End { said: Exit::Done, has_files: false })
}

/// Writes the man pages into a folder: one of the program and one of each command. A page that is there is not
/// overwritten.
pub(super) fn man(dir: &Path) -> Exit {
    match pages().and_then(|pages| written(dir, &pages)) {
        Ok(files) => {
            let mut text = format!("in {}:\n", render::path(dir));
            for name in files {
                let _ = writeln!(text, "  {name}");
            }
            say::out(&text, End { said: Exit::Done, has_files: true })
        }
        Err(error) => refused::told(&[], &error),
    }
}

/// The pages, by the names of their files.
fn pages() -> Result<Vec<(String, Vec<u8>)>, Error> {
    let mut program = Args::command().disable_help_subcommand(true);
    program.build();
    let commands = std::iter::once(&program).chain(program.get_subcommands());
    let page = |command: &clap::Command| {
        let man = Man::new(command.clone());
        let mut page = Vec::new();
        let name = man.get_filename();
        man.render(&mut page).map_err(|e| failed(Path::new(&name), e))?;
        Ok((name, page))
    };
    commands.map(page).collect()
}

/// Writes all pages, or none.
fn written(dir: &Path, pages: &[(String, Vec<u8>)]) -> Result<Vec<String>, Error> {
    fs::create_dir_all(dir).map_err(|e| failed(dir, e))?;
    let mut made: Vec<PathBuf> = Vec::new();
    for (name, page) in pages {
        let path = dir.join(name);
        let file = OpenOptions::new().write(true).create_new(true).open(&path);
        let done = file.and_then(|mut file| {
            made.push(path.clone());
            file.write_all(page)
        });
        if let Err(e) = done {
            for path in &made {
                let _ = fs::remove_file(path);
            }
            return Err(failed(&path, e));
        }
    }
    Ok(pages.iter().map(|(name, _)| name.clone()).collect())
}

fn failed(path: &Path, source: io::Error) -> Error {
    let what = "the man page cannot be written".to_owned();
    Error::Write { what, path: path.to_owned(), source }
}
