//! How much is told: the first findings of a kind and how many more there are, lists and texts of a
//! length that can be read. The terminal, the page, `summary.json` and errors all tell what this
//! leaves.

use std::fmt::{Display, Write as _};

use super::code::Code;
use super::diagnostic::{Decision, Diagnostic};
use super::severity::Severity;

/// So many findings of a kind (one code, one weight, one decision) are told one by one, and so many wells, places
/// and entries of a list.
pub const MOST_TOLD: usize = 20;

/// The longest text of a finding, characters.
pub const LONGEST_TEXT: usize = 2_000;

/// Findings as they are told: of each kind the first [`MOST_TOLD`], and after them one that counts
/// the others ([`Diagnostic::more`]); each with at most [`MOST_TOLD`] wells and places and with texts
/// of at most [`LONGEST_TEXT`] characters.
///
/// What is bounded already stays as it is, and more may be added to it and bounded again.
#[must_use]
pub fn bounded(mut findings: Vec<Diagnostic>) -> Vec<Diagnostic> {
    bound_from(&mut findings, 0);
    findings
}

/// Bounds the findings from the one with this number on.
pub(crate) fn bound_from(findings: &mut Vec<Diagnostic>, first: usize) {
    /// What was met of one kind.
    struct Kind {
        code: Code,
        severity: Severity,
        accepted: bool,
        decisions: Vec<Decision>,
        told: usize,
        more: usize,
        /// Where the count stands among what is kept, or belongs.
        at: usize,
    }
    let mut kinds: Vec<Kind> = Vec::new();
    let mut kept: Vec<Option<Diagnostic>> = Vec::new();
    for finding in findings.drain(first..) {
        let (code, severity, accepted) = (finding.code, finding.severity, finding.accepted);
        let known = kinds.iter().position(|k| {
            (k.code, k.severity, k.accepted) == (code, severity, accepted)
                && k.decisions == finding.decisions
        });
        let known = known.unwrap_or_else(|| {
            let decisions = finding.decisions.clone();
            kinds.push(Kind { code, severity, accepted, decisions, told: 0, more: 0, at: 0 });
            kinds.len() - 1
        });
        let kind = &mut kinds[known];
        if finding.more > 0 || kind.told == MOST_TOLD {
            kind.more += finding.count();
            continue;
        }
        kind.told += 1;
        kept.push(Some(shortened(finding)));
        if kind.told == MOST_TOLD {
            kind.at = kept.len();
            kept.push(None);
        }
    }
    for kind in kinds.iter().filter(|k| k.more > 0) {
        let mut count = Diagnostic::new(kind.code, format!("and {} more of this kind", kind.more));
        count.severity = kind.severity;
        count.more = kind.more;
        count.accepted = kind.accepted;
        count.decisions.clone_from(&kind.decisions);
        match kept.get_mut(kind.at).filter(|_| kind.told == MOST_TOLD) {
            Some(place) => *place = Some(count),
            None => kept.push(Some(count)),
        }
    }
    findings.extend(kept.into_iter().flatten());
}

/// A finding whose lists and texts are no longer than they may be.
fn shortened(mut finding: Diagnostic) -> Diagnostic {
    finding.more_wells += finding.wells.len().saturating_sub(MOST_TOLD);
    finding.wells.truncate(MOST_TOLD);
    finding.more_places += finding.origins.len().saturating_sub(MOST_TOLD);
    finding.origins.truncate(MOST_TOLD);
    cut(&mut finding.message);
    finding.advice.iter_mut().for_each(cut);
    finding.wells.iter_mut().for_each(cut);
    finding.origins.iter_mut().filter_map(|origin| origin.column.as_mut()).for_each(cut);
    finding
}

/// Cuts a text that is too long, and has it say how long it was.
pub(super) fn cut(text: &mut String) {
    // No character has fewer than one byte.
    if text.len() <= LONGEST_TEXT {
        return;
    }
    let length = text.chars().count();
    if length > LONGEST_TEXT {
        let mark = format!(" \u{2026} (cut: {length} characters in all)");
        let keep = LONGEST_TEXT - mark.chars().count();
        let end = text.char_indices().nth(keep).map_or(text.len(), |(at, _)| at);
        text.truncate(end);
        text.push_str(&mark);
    }
}

/// A list as a message gives it: the first [`MOST_TOLD`] entries, and how many more there are.
///
/// ```
/// use headfall::diag::listed;
///
/// assert_eq!(listed(["MW-1", "MW-2"]), "MW-1, MW-2");
/// assert_eq!(listed(1..=23), format!("{} and 3 more", listed(1..=20)));
/// ```
#[must_use]
pub fn listed<T: Display>(entries: impl IntoIterator<Item = T>) -> String {
    let mut entries = entries.into_iter();
    let mut text = String::new();
    for (number, entry) in entries.by_ref().take(MOST_TOLD).enumerate() {
        let gap = if number == 0 { "" } else { ", " };
        let _ = write!(text, "{gap}{entry}");
    }
    match entries.count() {
        0 => text,
        more => format!("{text} and {more} more"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::{Code, Origin};

    fn found(code: Code, text: &str) -> Diagnostic {
        Diagnostic::new(code, text)
    }

    fn told(findings: &[Diagnostic]) -> Vec<(Code, &str, usize)> {
        findings.iter().map(|d| (d.code, d.message.as_str(), d.more)).collect()
    }

    #[test]
    fn the_first_of_a_kind_are_told_and_the_others_counted_after_them() {
        let mut findings = vec![found(Code::Silted, "before")];
        for n in 0..50 {
            findings.push(found(Code::NotANumber, &format!("cell {n}")));
        }
        // The same code with another weight is another kind.
        let mut lighter = found(Code::NotANumber, "a note of it");
        lighter.severity = Severity::Note;
        findings.insert(3, lighter);
        findings.push(found(Code::Silted, "behind"));
        let short = bounded(findings);
        assert_eq!(short.len(), 1 + 20 + 1 + 1 + 1);
        let told = told(&short);
        assert_eq!(told[3].1, "a note of it");
        assert_eq!(told[21], (Code::NotANumber, "cell 19", 0));
        assert_eq!(told[22], (Code::NotANumber, "and 30 more of this kind", 30));
        assert_eq!(told[23], (Code::Silted, "behind", 0));
        assert_eq!(short.iter().map(Diagnostic::count).sum::<usize>(), 53);
        assert_eq!(short[22].severity, Severity::Refusal);
    }

    #[test]
    fn what_is_bounded_stays_and_more_is_added_to_the_count() {
        let many = |n| (0..n).map(|i| found(Code::CellMissing, &format!("{i}"))).collect();
        let once: Vec<_> = bounded(many(25));
        assert_eq!(bounded(once.clone()), once);
        let mut again = once;
        again.extend(many(3));
        let again = bounded(again);
        assert_eq!((again.len(), again[20].more), (21, 8));
        assert_eq!(again[20].message, "and 8 more of this kind");
        // Those of one table, bounded for themselves, behind those of another.
        let mut two: Vec<_> = many(2);
        two.extend(many(30));
        bound_from(&mut two, 2);
        assert_eq!((two.len(), two[22].more), (2 + 21, 10));
        let two = bounded(two);
        assert_eq!((two.len(), two[20].more), (21, 12));
    }

    #[test]
    fn lists_and_texts_are_cut_and_say_so() {
        let mut finding = found(Code::SharedPosition, &"\u{4e95} and ".repeat(1000)).advice("do");
        for n in 0..23 {
            let name = if n == 3 { "w".repeat(5000) } else { n.to_string() };
            finding = finding.well(&name).at(&Origin::line("wells.csv", n));
        }
        let origin = Origin::line("wells.csv", 1).column(&"c".repeat(3000));
        finding.origins.insert(0, origin);
        let short = &bounded(vec![finding])[0];
        assert_eq!(short.message.chars().count(), LONGEST_TEXT);
        assert!(short.message.ends_with(" \u{2026} (cut: 6000 characters in all)"));
        assert_eq!((short.wells.len(), short.more_wells), (20, 3));
        assert_eq!((short.origins.len(), short.more_places), (20, 4));
        assert_eq!(short.wells[3].chars().count(), LONGEST_TEXT);
        let column = short.origins[0].column.as_ref().expect("a column");
        assert_eq!(column.chars().count(), LONGEST_TEXT);
        assert_eq!(bounded(vec![short.clone()])[0], *short);
        let mut just = "\u{e4}".repeat(LONGEST_TEXT);
        cut(&mut just);
        assert_eq!(just, "\u{e4}".repeat(LONGEST_TEXT));
    }
}
