//! What was read, unless something said refuses it.

use crate::diag::{Diagnostic, Warned, bounded};
use crate::error::Error;

/// What was read with what was said of it.
///
/// # Errors
/// [`Error::Read`] with all that was said when a refusal is among it, or nothing could be read.
pub(in crate::read) fn settled<T>(
    read: Option<T>,
    said: Vec<Diagnostic>,
) -> Result<Warned<T>, Error> {
    match read {
        Some(value) if !said.iter().any(Diagnostic::is_refusal) => Ok(Warned::new(value, said)),
        _ => Err(Error::Read(bounded(said))),
    }
}
