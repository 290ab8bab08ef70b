//! What a code means, as `docs/findings.md` has it.

use std::fmt::Write as _;

use headfall::diag::Code;

use super::exit::Exit;
use super::render::word;
use super::say::{self, End};

/// Prints the sections of codes, or the list of all.
pub(super) fn run(codes: &[Code]) -> Exit {
    let mut text = String::new();
    if codes.is_empty() {
        for code in Code::ALL {
            let _ = writeln!(text, "{code}  {:<7}  {}", word(code.severity()), code.title());
        }
    }
    for (i, code) in codes.iter().enumerate() {
        let gap = if i == 0 { "" } else { "\n" };
        let _ = writeln!(text, "{gap}{code} {}\n\n{}", code.title(), code.section());
    }
    say::out(&text, End { said: Exit::Done, has_files: false })
}
