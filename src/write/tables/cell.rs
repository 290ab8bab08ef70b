//! Text that a spreadsheet must not run.

use std::borrow::Cow;

/// A text cell. Spreadsheets run a cell that begins with `=`, `+`, `-`, `@`, a tab or a carriage
/// return as a formula; a leading apostrophe makes it text again. Numbers are not text and keep
/// their sign.
///
/// # References
/// OWASP, "CSV Injection" (from memory).
pub(in crate::write) fn text(value: &str) -> Cow<'_, str> {
    if value.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        Cow::Owned(format!("'{value}"))
    } else {
        Cow::Borrowed(value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_spreadsheet_would_run_gets_an_apostrophe() {
        for bad in ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\rx"] {
            assert_eq!(text(bad), format!("'{bad}"));
        }
        for good in ["MW-1", "", "a=b", "'=1", " =1"] {
            assert_eq!(text(good), good);
        }
    }
}
