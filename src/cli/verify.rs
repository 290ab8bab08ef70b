//! `headfall verify`.

use std::fmt::Write as _;

use headfall::diag::printable;
use headfall::report::counted;
use headfall::run::{self, Again, Verified};

use super::args::Verify;
use super::exit::Exit;
use super::refused;
use super::render;
use super::results;
use super::say;
use super::say::End;

/// Holds results against their record, their inputs and the same run once more.
pub(super) fn run(args: &Verify) -> Exit {
    let folders = match results::below(&args.dirs) {
        Ok(folders) => folders,
        Err(end) => return end,
    };
    if folders.is_empty() {
        say::aside("there are no results here: no folder has files.sha256\n");
        return Exit::Nothing;
    }
    let mut all = Vec::new();
    for folder in &folders {
        match run::verify(folder, args.site.as_deref(), args.redraw) {
            Ok(verified) => all.extend(verified),
            Err(error) => return refused::told(&[], &error),
        }
    }
    let said = if all.iter().all(Verified::holds) { Exit::Done } else { Exit::Findings };
    let end = End { said, has_files: false };
    if args.json {
        let lines: String = all.iter().map(|one| render::line(one) + "\n").collect();
        say::out(&lines, end)
    } else {
        say::out(&told(&all), end)
    }
}

fn told(all: &[Verified]) -> String {
    let mut text = String::new();
    for one in all {
        let word = if one.holds() { "holds" } else { "DIFFERS" };
        let again =
            if one.again == Again::Same { ", drawn once more with the same bytes" } else { "" };
        let _ = writeln!(
            text,
            "{word}  {}: {}, from {}{again}",
            render::path(&one.folder),
            counted(one.files, "file"),
            counted(one.inputs, "input")
        );
        let mut say = |line: String| {
            let _ = writeln!(text, "    {}", printable(&line));
        };
        for name in &one.changed {
            say(format!("{name} was changed since it was written"));
        }
        for name in &one.missing {
            say(format!("{name} is not there"));
        }
        match (&one.by, &one.site) {
            (None, _) => say("an earlier version made them: what from is not known".to_owned()),
            (_, None) => {
                say("the site they were made from is not above them: give --site".to_owned());
            }
            _ => {}
        }
        for name in &one.inputs_changed {
            say(format!("input {name} is not what it was"));
        }
        for name in &one.inputs_missing {
            say(format!("input {name} is not there"));
        }
        match &one.again {
            Again::NotAsked | Again::Same => {}
            Again::Refused(why) => say(format!("the same run gives no results: {why}")),
            Again::Differs(files) => {
                for file in files {
                    say(format!("{}: {}", file.file, file.what));
                }
            }
        }
    }
    let holds = all.iter().filter(|one| one.holds()).count();
    let _ = writeln!(text, "results that hold: {holds} of {}", all.len());
    text
}
