//! The findings, those of one code together, each with what the documentation says about it.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::diag::Code;
use crate::diag::Diagnostic;
use crate::diag::Severity;
use crate::page::plain;

/// Findings of one code.
#[derive(Debug, Serialize)]
pub(super) struct Group {
    code: &'static str,
    title: &'static str,
    severity: Severity,
    meaning: Option<String>,
    matters: Option<String>,
    findings: Vec<Finding>,
}

/// One finding.
#[derive(Debug, Serialize)]
struct Finding {
    message: String,
    places: String,
    advice: Option<String>,
    /// Who accepted it, when and why, or which of its wells.
    decisions: Vec<String>,
}

/// All findings: warnings before notes, then by code; of a code those first that nobody accepted.
pub(super) fn groups(findings: &[Diagnostic]) -> Vec<Group> {
    let mut by_code: BTreeMap<(bool, Code), Vec<&Diagnostic>> = BTreeMap::new();
    for finding in findings {
        by_code
            .entry((finding.severity == Severity::Note, finding.code))
            .or_default()
            .push(finding);
    }
    for of_code in by_code.values_mut() {
        of_code.sort_by_key(|f| f.accepted);
    }
    by_code.into_iter().map(|((_, code), findings)| group(code, &findings)).collect()
}

fn group(code: Code, findings: &[&Diagnostic]) -> Group {
    let section = code.section();
    let told = |d: &&Diagnostic| Finding {
        message: plain::text(&d.message),
        places: plain::text(&places(d)),
        advice: d.advice.as_deref().map(plain::text),
        decisions: d.decision_words().iter().map(|words| plain::text(words)).collect(),
    };
    Group {
        code: code.id(),
        title: code.title(),
        severity: findings[0].severity,
        meaning: part(section, "What it means"),
        matters: part(section, "Why it matters for the map"),
        findings: findings.iter().map(told).collect(),
    }
}

fn places(finding: &Diagnostic) -> String {
    let places: Vec<String> = finding.origins.iter().map(ToString::to_string).collect();
    let more = match finding.more_places {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    places.join("; ") + &more
}

/// A part's paragraph as plain text: a printed page has no links to follow.
fn part(section: &str, name: &str) -> Option<String> {
    let (_, rest) = section.split_once(&format!("**{name}**:"))?;
    let paragraph = rest.split("\n\n").next()?;
    let words: Vec<&str> = paragraph.split_whitespace().collect();
    Some(without_links(&words.join(" ")).replace(['`', '*'], ""))
}

/// `[text](target)` as `text`.
fn without_links(text: &str) -> String {
    let mut plain = String::new();
    let mut rest = text;
    while let Some((before, link)) = rest.split_once('[') {
        let Some((name, after)) = link.split_once("](") else { break };
        let Some((_, after)) = after.split_once(')') else { break };
        plain.push_str(before);
        plain.push_str(name);
        rest = after;
    }
    plain + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_code_that_a_map_may_carry_is_explained() {
        for code in Code::ALL {
            let group = group(*code, &[&Diagnostic::new(*code, "x")]);
            let explained = group.meaning.is_some_and(|m| m.len() > 20)
                && group.matters.is_some_and(|m| m.len() > 20);
            assert!(explained, "{} has no explanation", code.id());
        }
    }

    #[test]
    fn links_and_marks_become_plain_text() {
        assert_eq!(without_links("see [methods](methods.md#a) and [b](c)."), "see methods and b.");
        assert_eq!(without_links("heads [m]"), "heads [m]");
        assert_eq!(part("**A**: x `y`\nz\n\nother", "A").as_deref(), Some("x y z"));
    }

    #[test]
    fn warnings_come_before_notes_and_codes_stay_together() {
        let found = [Code::NoStaticLevel, Code::OffNeighbours, Code::NoStaticLevel]
            .map(|c| Diagnostic::new(c, "m"));
        let groups = groups(&found);
        let told: Vec<_> = groups.iter().map(|g| (g.code, g.findings.len())).collect();
        assert_eq!(told, [("C308", 1), ("D210", 2)]);
    }
}
