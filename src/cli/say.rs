//! The two streams a program speaks on, which may be closed, full or gone.

use std::io::ErrorKind;
use std::io::Write as _;

use super::args::Source;
use super::exit::Exit;

/// Prints the result of a job as asked for: as JSON, for people, or not at all.
pub(super) fn result(
    source: &Source,
    json: impl FnOnce() -> String,
    people: impl FnOnce() -> String,
    end: Exit,
) -> Exit {
    if source.json {
        out(&(json() + "\n"), end)
    } else if source.quiet {
        end
    } else {
        out(&people(), end)
    }
}

/// Prints on standard output. The job then ends as `end` says; where standard output cannot be
/// written it ends as refused, with a message. A reader that has read enough is no fault.
pub(super) fn out(text: &str, end: Exit) -> Exit {
    let mut stdout = std::io::stdout().lock();
    match stdout.write_all(text.as_bytes()).and_then(|()| stdout.flush()) {
        Ok(()) => end,
        Err(e) if e.kind() == ErrorKind::BrokenPipe => end,
        Err(e) => {
            aside(&format!("standard output cannot be written: {e}\n"));
            Exit::Refused
        }
    }
}

/// Prints on standard error. Where that cannot be written there is nobody to tell.
pub(super) fn aside(text: &str) {
    let _ = anstream::stderr().lock().write_all(text.as_bytes());
}
