//! Findings that somebody accepted: which they are, and which no longer occur.

use jiff::civil::Date;

use super::bounded::{cut, listed};
use super::code::Code;
use super::diagnostic::{Decision, Diagnostic, Origin};
use super::severity::Severity;

/// A finding that somebody looked into and accepts: `[[accepted]]`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Accepted {
    /// Its code; never that of an error.
    pub code: Code,
    /// The wells it names; none for a finding of the whole site.
    pub wells: Vec<String>,
    /// The round in which it is accepted; `None` in every round.
    pub round: Option<String>,
    /// Why.
    pub reason: String,
    /// Who decided it.
    pub by: String,
    /// When.
    pub date: Option<Date>,
    /// Where it is declared.
    pub origin: Origin,
}

impl Code {
    /// Whether a finding of this code may be accepted: an error never is, and neither is the finding about
    /// decisions.
    #[must_use]
    pub fn may_be_accepted(self) -> bool {
        self.severity() != Severity::Refusal && self != Self::AcceptedGone
    }
}

impl Accepted {
    /// Whether it holds in a round.
    #[must_use]
    pub fn applies_to(&self, round: &str) -> bool {
        self.round.as_deref().is_none_or(|own| own == round)
    }

    /// What it decides about a finding; `None` where it does not speak of it.
    fn on(&self, finding: &Diagnostic) -> Option<Decision> {
        let wells: Vec<String> =
            self.wells.iter().filter(|w| finding.wells.contains(w)).cloned().collect();
        let whole = self.wells.is_empty() && finding.wells.is_empty();
        if finding.code != self.code || (!whole && wells.is_empty()) {
            return None;
        }
        let (mut by, mut reason) = (self.by.clone(), self.reason.clone());
        cut(&mut by);
        cut(&mut reason);
        let date = self.date.map(|d| d.to_string());
        Some(Decision { by, reason, date, wells, at: self.origin.clone() })
    }
}

/// Marks the findings of a round that somebody accepted ([`Diagnostic::accepted`]). One that names several
/// wells is accepted when all of them are: a well that comes to it later was not looked into.
///
/// Has to be done before findings are [bounded](super::bounded), which keeps accepted ones apart and knows
/// no longer what those were that it counts.
pub fn accept(findings: &mut [Diagnostic], accepted: &[Accepted], round: &str) {
    if accepted.is_empty() {
        return;
    }
    let undecided = |f: &&mut Diagnostic| {
        f.severity != Severity::Refusal && f.more == 0 && f.decisions.is_empty()
    };
    for finding in findings.iter_mut().filter(undecided) {
        let here = accepted.iter().filter(|a| a.applies_to(round));
        finding.decisions = here.filter_map(|a| a.on(finding)).collect();
        let covered = |well: &String| finding.decisions.iter().any(|d| d.wells.contains(well));
        finding.accepted = !finding.decisions.is_empty()
            && finding.more_wells == 0
            && finding.wells.iter().all(covered);
    }
}

/// C347 for each finding accepted in this round that is not among those that were found. Asked about the
/// codes that what was run can find.
#[must_use]
pub fn no_longer_found(
    findings: &[Diagnostic],
    accepted: &[Accepted],
    round: &str,
    asked: impl Fn(Code) -> bool,
) -> Vec<Diagnostic> {
    let gone = |a: &Accepted| {
        let same = || findings.iter().filter(|f| f.code == a.code && !f.is_refusal());
        let here = || same().flat_map(|f| &f.decisions).filter(|d| d.at == a.origin);
        let absent: Vec<&String> =
            a.wells.iter().filter(|w| !here().any(|d| d.wells.contains(w))).collect();
        if absent.is_empty() && (!a.wells.is_empty() || here().next().is_some()) {
            return None;
        }
        let (code, title) = (a.code, a.code.title());
        let of = match absent.as_slice() {
            [] => "of the whole site".to_owned(),
            wells => format!("of {}", listed(wells)),
        };
        let mut others: Vec<&String> =
            same().filter(|f| f.decisions.is_empty()).flat_map(|f| &f.wells).collect();
        others.sort_unstable();
        others.dedup();
        let others = match others.as_slice() {
            [] => String::new(),
            wells => format!("; {code} names {}", listed(wells)),
        };
        let mut told = Diagnostic::new(
            Code::AcceptedGone,
            format!(
                "{code} ({title}) {of} is accepted, and this round has no such finding{others}"
            ),
        )
        .at(&a.origin)
        .advice(
            "correct or remove the entry under [[accepted]]; one that is meant for a single round \
             needs `round`",
        );
        told.wells = absent.into_iter().cloned().collect();
        Some(told)
    };
    accepted.iter().filter(|a| a.applies_to(round) && asked(a.code)).filter_map(gone).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::{MOST_TOLD, bounded};

    fn accepted(line: u64, code: Code, wells: &[&str]) -> Accepted {
        Accepted {
            code,
            wells: wells.iter().map(|w| (*w).to_owned()).collect(),
            round: None,
            reason: "read twice".to_owned(),
            by: "J. Marsh".to_owned(),
            date: None,
            origin: Origin::line("site.toml", line),
        }
    }

    fn found(code: Code, wells: &[&str]) -> Diagnostic {
        let mut found = Diagnostic::new(code, "x");
        found.wells = wells.iter().map(|w| (*w).to_owned()).collect();
        found
    }

    #[test]
    fn a_finding_is_accepted_when_all_its_wells_are() {
        for (entries, wells, expected) in [
            (vec![vec!["A"]], vec!["A"], (true, 1)),
            (vec![vec!["A"]], vec!["B"], (false, 0)),
            (vec![vec!["A"]], vec!["A", "B"], (false, 1)),
            (vec![vec!["A"], vec!["B"]], vec!["A", "B"], (true, 2)),
            (vec![vec!["A", "B", "C"]], vec!["A", "B"], (true, 1)),
            (vec![vec![]], vec![], (true, 1)),
            (vec![vec![]], vec!["A"], (false, 0)),
            (vec![vec!["A"]], vec![], (false, 0)),
        ] {
            let lines = (1..).zip(&entries);
            let all: Vec<_> = lines.map(|(n, w)| accepted(n, Code::Silted, w)).collect();
            let mut findings = [found(Code::Silted, &wells), found(Code::BelowBottom, &wells)];
            accept(&mut findings, &all, "spring");
            let given = (findings[0].accepted, findings[0].decisions.len());
            assert_eq!(given, expected, "{entries:?} {wells:?}");
            assert!(!findings[1].accepted, "another code");
        }
    }

    #[test]
    fn errors_and_other_rounds_are_never_accepted() {
        let mut findings = [found(Code::BarrierCut, &[]), found(Code::BarrierCut, &[])];
        findings[0].severity = Severity::Refusal;
        let entry =
            Accepted { round: Some("spring".to_owned()), ..accepted(1, Code::BarrierCut, &[]) };
        accept(&mut findings, std::slice::from_ref(&entry), "autumn");
        assert!(findings.iter().all(|f| !f.accepted));
        accept(&mut findings, std::slice::from_ref(&entry), "spring");
        assert_eq!(findings.map(|f| f.accepted), [false, true]);
        assert!(!Code::FewWells.may_be_accepted() && !Code::AcceptedGone.may_be_accepted());
        assert!(Code::OffNeighbours.may_be_accepted());
    }

    /// Fifty findings of a kind, of which the last is accepted, and then half of them.
    #[test]
    fn what_is_accepted_takes_no_place_of_what_is_not() {
        let name = |n: usize| format!("W{n}");
        for accept_from in [49, 25] {
            let names: Vec<String> = (accept_from..50).map(name).collect();
            let names: Vec<&str> = names.iter().map(String::as_str).collect();
            let entry = accepted(1, Code::Silted, &names);
            let mut findings: Vec<_> = (0..50).map(|n| found(Code::Silted, &[&name(n)])).collect();
            accept(&mut findings, std::slice::from_ref(&entry), "spring");
            let told = bounded(findings);
            let of = |accepted| {
                let these = told.iter().filter(move |f| f.accepted == accepted);
                (these.clone().filter(|f| f.more == 0).count(), these.map(Diagnostic::count).sum())
            };
            assert_eq!(of(false), (MOST_TOLD, accept_from));
            assert_eq!(of(true), (50 - accept_from, 50 - accept_from));
            assert_eq!(bounded(told.clone()), told);
            let gone = no_longer_found(&told, std::slice::from_ref(&entry), "spring", |_| true);
            assert!(gone.is_empty(), "{gone:?}");
        }
    }

    #[test]
    fn what_no_longer_occurs_is_found_with_the_wells_that_do() {
        let entries = [accepted(1, Code::Silted, &["A", "B"]), accepted(2, Code::ThinNetwork, &[])];
        let mut findings = vec![found(Code::Silted, &["A"]), found(Code::Silted, &["C"])];
        accept(&mut findings, &entries, "spring");
        let gone = no_longer_found(&findings, &entries, "spring", |_| true);
        let [wells, site] = &gone[..] else { panic!("{gone:?}") };
        assert_eq!(
            (wells.wells.as_slice(), wells.code),
            (&["B".to_owned()][..], Code::AcceptedGone)
        );
        assert!(wells.message.contains("C305 names C"), "{wells:?}");
        assert!(site.wells.is_empty() && site.message.contains("C315"), "{site:?}");
        let asked = |code| code != Code::ThinNetwork;
        assert_eq!(no_longer_found(&findings, &entries, "spring", asked).len(), 1);
    }
}
