//! Headings that say too little by themselves: their values decide what the column is.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use super::columns::Column;
use super::heading;
use super::rows::Table;
use super::status;
use super::vocabulary;

/// Headings that stand for a column where every one of its cells is what the column holds; a further one
/// is a line more. Written as heading's words leave them.
pub(in crate::read) const HEADINGS: &[(Column, &[&str])] = &[
    (
        Column::AquiferUnit,
        &[
            "zone",
            "aquifer zone",
            "aquifer layer",
            "aquifer name",
            "aquifer unit name",
            "aquifer system",
            "aquifer monitored",
            "aquifer screened",
            "monitored aquifer",
            "screened aquifer",
            "hydro unit",
            "hydrogeological unit",
            "hydrogeologic zone",
            "hydrostratigraphic zone",
            "hydrostratigraphic layer",
            "groundwater zone",
            "flow zone",
            "depth zone",
            "screen zone",
            "screened zone",
            "zone screened",
            "monitored zone",
            "monitoring zone",
            "zone monitored",
            "completion zone",
            "well zone",
            "water bearing zone",
            "water bearing formation",
            "unit",
            "unit screened",
            "unit monitored",
            "stratigraphic unit",
            "layer",
            "stratum",
            "shallow deep",
            "shallow or deep",
            "deep shallow",
            "deep or shallow",
        ],
    ),
    (
        Column::Status,
        &[
            "condition",
            "well condition",
            "water level condition",
            "field condition",
            "state",
            "well state",
            "well status",
            "pump status",
            "pumping status",
            "operating status",
            "static or pumping",
            "static pumping",
            "level type",
        ],
    ),
    (
        Column::Kind,
        &[
            "type",
            "well type",
            "point type",
            "location type",
            "station type",
            "site type",
            "feature type",
            "monitoring point type",
        ],
    ),
    // German and Dutch for date, Portuguese and Italian for date: in English both say something else.
    (Column::Date, &["datum", "data"]),
];

/// So many values of a column are remembered, so that each is looked at once.
const MOST_SEEN: usize = 100;

static COLUMNS: LazyLock<BTreeMap<&str, Column>> = LazyLock::new(|| {
    HEADINGS.iter().flat_map(|(column, all)| all.iter().map(|h| (*h, *column))).collect()
});

/// The column that a heading stands for where its values are the column's.
pub(in crate::read) fn meant(heading: &str) -> Option<Column> {
    COLUMNS.get(heading::words(heading).join(" ").as_str()).copied()
}

/// The columns among `among`, but for those `had` already, whose headings and values go together, with
/// their places among the headings that are `free`.
pub(in crate::read) fn found(
    table: &Table,
    among: &[Column],
    had: impl Fn(Column) -> bool,
    free: impl Fn(usize) -> bool,
) -> Vec<(Column, usize)> {
    let headings = table.headings.iter().enumerate().filter(|(at, _)| free(*at));
    let asked = headings.filter_map(|(at, heading)| Some((meant(heading)?, at)));
    let asked = asked.filter(|(column, _)| among.contains(column) && !had(*column));
    let mut asked: Vec<Asked> =
        asked.map(|(column, at)| Asked { column, at, seen: BTreeSet::new() }).collect();
    if asked.is_empty() {
        return Vec::new();
    }
    table.each_until(|row| {
        asked.retain_mut(|asked| asked.holds(row.cell(asked.at)));
        !asked.is_empty()
    });
    let found = asked.into_iter().filter(|asked| !asked.seen.is_empty());
    found.map(|asked| (asked.column, asked.at)).collect()
}

/// A heading whose values are asked.
struct Asked {
    column: Column,
    at: usize,
    /// Values that are what the column holds; of many some.
    seen: BTreeSet<String>,
}

impl Asked {
    /// Whether a cell is empty or what the column holds.
    fn holds(&mut self, cell: &str) -> bool {
        if cell.is_empty() || self.seen.contains(cell) {
            return true;
        }
        let holds = is(cell, self.column);
        if holds && self.seen.len() < MOST_SEEN {
            self.seen.insert(cell.to_owned());
        }
        holds
    }
}

/// Whether a cell is what a column holds.
fn is(cell: &str, column: Column) -> bool {
    match column {
        Column::Status => status::status(cell).is_some(),
        Column::Kind => status::kind(cell).is_some(),
        Column::Date => is_date(cell),
        _ => is_unit_name(cell),
    }
}

/// Whether a cell looks like a date, whatever comes first in it.
fn is_date(cell: &str) -> bool {
    let marks = cell.chars().filter(|c| matches!(c, '-' | '.' | '/')).count();
    cell.starts_with(|c: char| c.is_ascii_digit()) && marks >= 2
}

/// Whether a cell may name an aquifer unit: not a unit of length, a reference or a datum, a zone of the
/// UTM grid, an interval of depths, a yes or a no.
fn is_unit_name(cell: &str) -> bool {
    let words = heading::words(cell);
    let number = |w: &String| w.chars().all(|c| c.is_ascii_digit());
    let utm = |w: &String| {
        let digits = w.trim_end_matches(|c: char| c.is_ascii_lowercase());
        w.len() == digits.len() + 1 && digits.len() <= 2 && digits.parse::<u8>().is_ok()
    };
    let measure = |w: &String| number(w) || vocabulary::mark_words().any(|m| m == w);
    let layer = words.len() == 1 && number(&words[0]);
    let only_measures = words.iter().all(measure) && !layer;
    let utm = words.iter().all(utm);
    !only_measures
        && !utm
        && !matches!(words.join(" ").as_str(), "yes" | "no" | "y" | "true" | "false")
}

#[cfg(test)]
mod tests {
    use super::*;

    const DOCS: &str = include_str!("../../../docs/site-folder.md");

    #[test]
    fn headings_are_as_they_are_compared_and_stand_for_one_column() {
        for (column, all) in HEADINGS {
            for heading in *all {
                assert_eq!(heading::words(heading).join(" "), *heading);
                assert_eq!(meant(heading), Some(*column), "{heading}");
                assert_eq!(heading::recognise(heading, Column::ALL), None, "{heading}");
                assert!(DOCS.contains(&format!("`{heading}`")), "docs: {heading}");
            }
        }
    }

    #[test]
    fn a_units_name_is_neither_a_measure_nor_an_answer() {
        for cell in ["shallow", "Deep sand", "A", "2", "Layer 1", "upper (unconfined)", "S", "Qal"]
        {
            assert!(is_unit_name(cell), "{cell}");
        }
        for cell in ["ft", "ft NAVD88", "15N", "12-22", "12.5 - 22 ft", "yes", ""] {
            assert!(!is_unit_name(cell), "{cell}");
        }
    }
}
