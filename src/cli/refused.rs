//! What is shown where no map can be made.

use headfall::Error;
use headfall::diag::Diagnostic;

use super::exit::Exit;
use super::render;

/// Tells all findings, then why there is no map.
pub(super) fn refused(findings: &[Diagnostic], error: &Error) -> Exit {
    cannot(&error.to_string(), findings, error)
}

/// Tells all findings, then what cannot be done with a site that can be read.
pub(super) fn refused_to(what: &str, findings: &[Diagnostic], error: &Error) -> Exit {
    match error {
        Error::Map(_) => cannot(what, findings, error),
        _ => refused(findings, error),
    }
}

fn cannot(what: &str, findings: &[Diagnostic], error: &Error) -> Exit {
    render::findings(findings);
    render::findings(error.diagnostics());
    render::refusal(what, error);
    Exit::Refused
}
