//! The two streams a program speaks on, which may be closed, full or gone.

#![expect(clippy::disallowed_methods, reason = "the only place that prints")]

use std::io::ErrorKind;
use std::io::Write as _;

use headfall::diag::printable;

use super::args::How;
use super::exit::Exit;

/// How a job ends, and whether it has written files by then.
#[derive(Debug, Clone, Copy)]
pub(super) struct End {
    pub(super) said: Exit,
    pub(super) has_files: bool,
}

/// Prints the result of a job as asked for: as JSON, for people, or not at all.
pub(super) fn result(
    how: &How,
    json: impl FnOnce() -> String,
    people: impl FnOnce() -> String,
    end: End,
) -> Exit {
    if how.json {
        out(&(json() + "\n"), end)
    } else if how.quiet {
        end.said
    } else {
        out(&people(), end)
    }
}

/// Prints on standard output. A reader that has read enough is no fault; anything else that keeps it
/// from being written is said.
pub(super) fn out(text: &str, end: End) -> Exit {
    let mut stdout = std::io::stdout().lock();
    match stdout.write_all(text.as_bytes()).and_then(|()| stdout.flush()) {
        Ok(()) => end.said,
        Err(e) if e.kind() == ErrorKind::BrokenPipe => end.said,
        Err(e) => {
            let files = if end.has_files { "; the files were written" } else { "" };
            aside(&format!("standard output cannot be written: {e}{files}\n"));
            Exit::NotWritten
        }
    }
}

/// Tells what became of files that stood where results went.
pub(super) fn kept(told: &[String]) {
    for sentence in told {
        aside(&format!("{}\n", printable(sentence)));
    }
}

/// Prints on standard error. Where that cannot be written there is nobody to tell.
pub(super) fn aside(text: &str) {
    let _ = anstream::stderr().lock().write_all(text.as_bytes());
}
