//! What is shown where no map can be made.

use headfall::Error;
use headfall::diag::Diagnostic;

use super::args::How;
use super::exit::Exit;
use super::printed::Refusal;
use super::render;
use super::say;
use super::say::End;

/// Tells all findings, then why there is no map.
pub(super) fn refused(how: &How, findings: &[Diagnostic], error: &Error) -> Exit {
    cannot(how, &error.to_string(), findings, error)
}

/// Tells all findings, then what cannot be done with a site that can be read.
pub(super) fn refused_to(how: &How, what: &str, findings: &[Diagnostic], error: &Error) -> Exit {
    match error {
        Error::Map(_) => cannot(how, what, findings, error),
        _ => refused(how, findings, error),
    }
}

/// The same for people alone.
pub(super) fn told(findings: &[Diagnostic], error: &Error) -> Exit {
    aside(&error.to_string(), findings, error).1
}

fn cannot(how: &How, what: &str, findings: &[Diagnostic], error: &Error) -> Exit {
    let (refused, end) = aside(what, findings, error);
    if !how.json {
        return end;
    }
    let findings = findings.iter().chain(error.diagnostics()).collect();
    let headfall = env!("CARGO_PKG_VERSION");
    let refusal = Refusal { headfall, refused: &refused, findings };
    say::out(&(render::json(&refusal) + "\n"), End { said: end, has_files: false })
}

fn aside(what: &str, findings: &[Diagnostic], error: &Error) -> (String, Exit) {
    render::findings(findings);
    render::findings(error.diagnostics());
    let refused = render::refusal(what, error);
    say::aside(&format!("{refused}; nothing was written\n"));
    (refused, Exit::of(error))
}
