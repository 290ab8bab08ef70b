//! One thing worth telling.

use std::sync::Arc;

use schemars::JsonSchema;
use serde::Serialize;

use crate::schema::Day;

use super::code::Code;
use super::severity::Severity;

/// Where in the user's files a fact came from.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
pub struct Origin {
    /// The file, as the user would name it inside the site folder.
    pub file: Arc<str>,
    /// The line, counted from 1, where the fact has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(required, range(min = 1))]
    pub line: Option<u64>,
    /// The number of the feature, counted from 1, where the file is a vector file.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(required, range(min = 1))]
    pub feature: Option<u64>,
    /// The column's heading, where the fact is one cell.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(required)]
    pub column: Option<String>,
}

impl Origin {
    /// A place in a table: file and line.
    #[must_use]
    pub fn line(file: &str, line: u64) -> Self {
        Self { line: Some(line), ..Self::file(file) }
    }

    /// A whole file.
    #[must_use]
    pub fn file(file: &str) -> Self {
        Self { file: file.into(), line: None, feature: None, column: None }
    }

    /// A feature of a vector file.
    #[must_use]
    pub fn feature(file: &str, number: u64) -> Self {
        Self { feature: Some(number), ..Self::file(file) }
    }

    /// Its line, or the number of its feature.
    #[must_use]
    pub fn row(&self) -> Option<u64> {
        self.line.or(self.feature)
    }

    /// The same place, narrowed to one column.
    #[must_use]
    pub fn column(&self, heading: &str) -> Self {
        Self { column: Some(heading.to_owned()), ..self.clone() }
    }
}

impl std::fmt::Display for Origin {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.file)?;
        if let Some(line) = self.line {
            write!(f, ", line {line}")?;
        }
        if let Some(number) = self.feature {
            write!(f, ", feature {number}")?;
        }
        if let Some(column) = &self.column {
            write!(f, ", column \"{column}\"")?;
        }
        Ok(())
    }
}

/// What somebody decided about a finding.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Decision {
    /// Who decided it.
    pub by: String,
    /// Why.
    pub reason: String,
    /// When: year-month-day.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Day")]
    pub date: Option<String>,
    /// Those of the finding's wells that it covers.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub wells: Vec<String>,
    /// Where it is declared.
    pub at: Origin,
}

/// A finding or a refusal.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Diagnostic {
    /// The stable code, explained in `docs/findings.md`.
    pub code: Code,
    /// How much it weighs.
    pub severity: Severity,
    /// One sentence, lower case, no full stop: the user's object, the value, the bound, the unit.
    pub message: String,
    /// The wells it speaks of.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub wells: Vec<String>,
    /// Where the facts are, in the user's files.
    #[serde(rename = "at", skip_serializing_if = "Vec::is_empty")]
    pub origins: Vec<Origin>,
    /// What to do about it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(required)]
    pub advice: Option<String>,
    /// Where it represents the findings of its code and severity beyond the first twenty: how many they are;
    /// otherwise 0, which is left out.
    #[serde(skip_serializing_if = "is_zero")]
    #[schemars(range(min = 1))]
    pub more: usize,
    /// How many more wells it speaks of than it names.
    #[serde(skip_serializing_if = "is_zero")]
    #[schemars(range(min = 1))]
    pub more_wells: usize,
    /// How many more places it has than it names.
    #[serde(skip_serializing_if = "is_zero")]
    #[schemars(range(min = 1))]
    pub more_places: usize,
    /// Whether somebody accepted it: it does not count for `--fail-on`.
    #[serde(skip_serializing_if = "is_false")]
    #[schemars(extend("const" = true))]
    pub accepted: bool,
    /// The entries of `[[accepted]]` about it, also where they do not cover all its wells.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub decisions: Vec<Decision>,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands over references")]
const fn is_zero(count: &usize) -> bool {
    *count == 0
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands over references")]
const fn is_false(value: &bool) -> bool {
    !*value
}

impl Diagnostic {
    /// A diagnostic with the code's usual severity and nothing but a message.
    #[must_use]
    pub fn new(code: Code, message: impl Into<String>) -> Self {
        Self {
            code,
            severity: code.severity(),
            message: message.into(),
            wells: Vec::new(),
            origins: Vec::new(),
            advice: None,
            more: 0,
            more_wells: 0,
            more_places: 0,
            accepted: false,
            decisions: Vec::new(),
        }
    }

    /// Names a well it speaks of.
    #[must_use]
    pub fn well(mut self, name: &str) -> Self {
        self.wells.push(name.to_owned());
        self
    }

    /// Names a place it was found at.
    #[must_use]
    pub fn at(mut self, origin: &Origin) -> Self {
        self.origins.push(origin.clone());
        self
    }

    /// Names all places it was found at, if any.
    #[must_use]
    pub(crate) fn at_each<'a>(mut self, origins: impl IntoIterator<Item = &'a Origin>) -> Self {
        self.origins.extend(origins.into_iter().cloned());
        self
    }

    /// Forbids a map, whatever its code's usual severity.
    #[must_use]
    pub(crate) fn refused(mut self) -> Self {
        self.severity = Severity::Refusal;
        self
    }

    /// Says what to do about it.
    #[must_use]
    pub fn advice(mut self, advice: impl Into<String>) -> Self {
        self.advice = Some(advice.into());
        self
    }

    /// How many findings it is: one, or all that it stands for.
    #[must_use]
    pub const fn count(&self) -> usize {
        if self.more == 0 { 1 } else { self.more }
    }

    /// Who accepted it, when and why, each decision by itself: `accepted by J. Marsh, 2026-05-04: read
    /// twice`. Where not all its wells are accepted, it says for which ones.
    #[must_use]
    pub fn decision_words(&self) -> Vec<String> {
        let words = |d: &Decision| {
            let date = d.date.as_ref().map(|d| format!(", {d}")).unwrap_or_default();
            let part = match d.wells.as_slice() {
                _ if self.accepted => String::new(),
                wells => format!(" for {} alone", wells.join(", ")),
            };
            format!("accepted{part} by {}{date}: {}", d.by, d.reason)
        };
        self.decisions.iter().map(words).collect()
    }

    /// Whether it is a warning that nobody accepted.
    #[must_use]
    pub fn is_open_warning(&self) -> bool {
        self.severity == Severity::Warning && !self.accepted
    }

    /// Whether it forbids a map.
    #[must_use]
    pub fn is_refusal(&self) -> bool {
        self.severity == Severity::Refusal
    }
}
