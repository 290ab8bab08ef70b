//! Text that a spreadsheet must not run.

use std::borrow::Cow;

use serde::{Serialize, Serializer};

use crate::diag::printable;
use crate::units::finite;

/// A number cell: the shortest text that reads back the same, in half the time that the writer of
/// CSV takes for it.
#[derive(Debug, Default, Clone, Copy)]
pub(in crate::write) struct Number(pub(in crate::write) f64);

/// Its name, by which it is known in a row.
pub(super) const NUMBER: &str = "Number";

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_newtype_struct(NUMBER, zmij::Buffer::new().format(finite(self.0)))
    }
}

/// A text cell. Spreadsheets run a cell that begins with `=`, `+`, `-` or `@`, narrow or wide, a
/// tab, a line feed or a carriage return as a formula; a leading apostrophe makes it text again. A
/// text that begins with an apostrophe gets another, so that taking one off gives back every text.
/// Numbers are not text and keep their sign.
///
/// What steers is replaced as [`printable`] says, but for tabs and line ends: readers of CSV end a
/// text at a zero byte or refuse the file.
///
/// # References
/// OWASP, "CSV Injection" (from memory).
pub(in crate::write) fn text(value: &str) -> Cow<'_, str> {
    let shown = match printable(value) {
        Cow::Borrowed(value) => Cow::Borrowed(value),
        Cow::Owned(_) => Cow::Owned(value.split_inclusive(['\t', '\n', '\r']).map(shown).collect()),
    };
    if shown.starts_with(RUN) { Cow::Owned(format!("'{shown}")) } else { shown }
}

/// As [`text`], for texts that are handed on.
pub(in crate::write) fn safe(value: &str) -> String {
    text(value).into_owned()
}

/// What a cell must not begin with.
const RUN: [char; 12] = ['=', '+', '-', '@', '＝', '＋', '－', '＠', '\t', '\n', '\r', '\''];

/// A line of a text with its end, which stays.
fn shown(line: &str) -> String {
    let body = line.trim_end_matches(['\t', '\n', '\r']);
    format!("{}{}", printable(body), &line[body.len()..])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_spreadsheet_would_run_gets_an_apostrophe() {
        for bad in ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\rx", "\nx", "＝1", "'=1", "'a"] {
            assert_eq!(text(bad), format!("'{bad}"));
        }
        for good in ["MW-1", "", "a=b", " =1", "a\r\nb\tc"] {
            assert_eq!(text(good), good);
        }
    }

    #[test]
    fn control_characters_are_shown_and_lines_stay() {
        assert_eq!(text("a\0b\r\nc\u{1b}\t\u{9b}"), "a␀b\r\nc␛\t\u{fffd}");
        assert_eq!(text("\0=1"), "␀=1");
    }
}
