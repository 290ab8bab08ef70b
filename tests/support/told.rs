//! Findings as tests look at them: by code, well, place and value. How they are worded stands in
//! `tests/data/messages.txt` (see `messages`) and is no matter of any single test.

use headfall::diag::{Code, Diagnostic};

use super::finite::hold_brief;
use super::messages::hold_reviewed;

/// The findings of one code.
#[track_caller]
pub(crate) fn of(code: Code, findings: &[Diagnostic]) -> Vec<&Diagnostic> {
    hold_brief(findings);
    let found: Vec<&Diagnostic> = findings.iter().filter(|d| d.code == code).collect();
    for d in &found {
        hold_reviewed(d);
    }
    found
}

/// The findings of one code, of which there is at least one.
#[track_caller]
pub(crate) fn told(findings: &[Diagnostic], code: Code) -> Told<'_> {
    let found = of(code, findings);
    assert!(!found.is_empty(), "no {code} in {findings:#?}");
    Told(found)
}

/// Findings of one code, of which each question leaves those that answer it; fails where none does.
#[derive(Debug)]
pub(crate) struct Told<'a>(Vec<&'a Diagnostic>);

impl<'a> Told<'a> {
    #[track_caller]
    fn keep(self, what: &str, keep: impl Fn(&Diagnostic) -> bool) -> Self {
        let kept: Vec<&Diagnostic> = self.0.iter().copied().filter(|d| keep(d)).collect();
        assert!(!kept.is_empty(), "none {what}: {:#?}", self.0);
        Self(kept)
    }

    /// Those found at this line of this file.
    #[track_caller]
    pub(crate) fn at(self, file: &str, line: u64) -> Self {
        self.keep(&format!("at {file}, line {line}"), |d| {
            d.origins.iter().any(|o| &*o.file == file && o.line == Some(line))
        })
    }

    /// Those with a place that begins so: `wells.csv, line 3, column "y"`.
    #[track_caller]
    pub(crate) fn within(self, place: &str) -> Self {
        self.keep(&format!("at {place}"), |d| {
            d.origins.iter().any(|o| o.to_string().starts_with(place))
        })
    }

    /// Those that speak of this well.
    #[track_caller]
    pub(crate) fn about(self, well: &str) -> Self {
        self.keep(&format!("about {well}"), |d| d.wells.iter().any(|w| w == well))
    }

    /// Those that give these values and names, in the message or in the advice.
    #[track_caller]
    pub(crate) fn giving(self, facts: &[&str]) -> Self {
        self.keep(&format!("giving {facts:?}"), |d| gives_all(d, facts))
    }

    /// The only one.
    #[track_caller]
    pub(crate) fn once(self) -> &'a Diagnostic {
        assert_eq!(self.0.len(), 1, "more than one: {:#?}", self.0);
        self.0[0]
    }
}

/// Fails unless a finding gives these values and names, in its message or its advice.
#[track_caller]
pub(crate) fn gives(found: &Diagnostic, facts: &[&str]) {
    assert!(gives_all(found, facts), "{facts:?} in {found:#?}");
}

/// Whether it gives them all. Facts are numbers with their units, names, and words of a file or of the command
/// line; wording is held in `messages`.
#[track_caller]
fn gives_all(found: &Diagnostic, facts: &[&str]) -> bool {
    facts.iter().all(|fact| {
        let mark = |c: char| c.is_ascii_digit() || "\"(=".contains(c);
        let is_fact = !fact.contains(' ') || fact.contains(mark) || fact.starts_with("--");
        assert!(is_fact, "\"{fact}\" is wording, which tests/data/messages.txt holds");
        let texts = [Some(&found.message), found.advice.as_ref()];
        texts.into_iter().flatten().any(|text| text.contains(fact))
    })
}
