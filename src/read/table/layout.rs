//! Which column of a table holds what.

use jiff::civil::Date;

use super::rules::DeclaredColumn;
use crate::diag::{Code, Diagnostic, Origin};
use crate::read::files::names::SITE_TOML;

use super::by_values;
use super::columns::Column;
use super::heading::{self, Marks};
use super::moment::DateRule;
use super::rows::{Table, shown};
use super::suggest::{MOST_LISTED, suggested};
use super::wide::WideDay;

/// Headings that are the water's elevation beside other elevations only if somebody says so.
const BARE_ELEVATION: &[&str] = &["elevation", "z"];

/// What a heading states about units and references.
#[derive(Debug, Clone)]
pub(in crate::read) struct Stated {
    /// Our column.
    pub(in crate::read) column: Column,
    /// The heading as written.
    pub(in crate::read) heading: String,
    /// Its marks.
    pub(in crate::read) marks: Marks,
    /// Where it stands.
    pub(in crate::read) origin: Origin,
}

/// The places of our columns in one table.
#[derive(Debug, Clone)]
pub(in crate::read) struct Layout {
    pub(super) places: Vec<(Column, usize)>,
    pub(super) by_column: [Option<usize>; Column::ALL.len()],
    /// What the headings of the columns found state.
    pub(in crate::read) stated: Vec<Stated>,
    /// The dated columns of a wide table, the earliest day first.
    pub(super) wide: Vec<WideDay>,
    /// The day of a wide table whose columns these are.
    pub(in crate::read) day: Option<Date>,
    /// The places of that day's columns.
    pub(super) of_day: Vec<usize>,
    /// How the dates of a column are written, where they show it; nothing where that was refused.
    pub(super) dates: Vec<(Column, Option<DateRule>)>,
}

impl Layout {
    /// Finds the columns of a table among those it may have: those that `[columns]` names
    /// first, then by heading. Two headings for one column are said as R104.
    pub(in crate::read) fn of(
        table: &Table,
        among: &[Column],
        declared: &mut [DeclaredColumn],
        said: &mut Vec<Diagnostic>,
    ) -> Self {
        let mut found: Vec<(Column, usize, Marks)> = Vec::new();
        let mut taken = vec![false; table.headings.len()];
        let mut settled: Vec<Column> = Vec::new();
        for d in declared.iter_mut().filter(|d| d.column.is_none_or(|c| among.contains(&c))) {
            for (at, heading) in table.headings.iter().enumerate() {
                if d.is(heading) {
                    (taken[at], d.found) = (true, true);
                    let Some(column) = d.column else { continue };
                    let marks = heading::marks_for(&table.with_unit(at), column);
                    found.push((column, at, marks));
                    settled.push(column);
                }
            }
        }
        for (at, taken) in taken.iter().enumerate() {
            if *taken {
                continue;
            }
            if let Some((column, marks)) = heading::recognise(&table.with_unit(at), among)
                && !settled.contains(&column)
            {
                found.push((column, at, marks));
            }
        }
        let had = |column| settled.contains(&column) || found.iter().any(|(c, ..)| *c == column);
        let free = |at: usize| !taken[at] && found.iter().all(|(_, other, _)| *other != at);
        let more = by_values::found(table, among, had, free);
        found.extend(more.into_iter().map(|(column, at)| (column, at, Marks::default())));
        let mut layout = Self {
            places: Vec::new(),
            by_column: [None; Column::ALL.len()],
            stated: Vec::new(),
            wide: Vec::new(),
            day: None,
            of_day: Vec::new(),
            dates: Vec::new(),
        };
        let origin = table.heading_origin();
        for &column in among {
            let of_column: Vec<_> = found.iter().filter(|(c, _, _)| *c == column).collect();
            let Some((_, at, marks)) = of_column.first() else { continue };
            if of_column.len() > 1 {
                let headings: Vec<&str> =
                    of_column.iter().map(|(_, at, _)| table.headings[*at].as_str()).collect();
                said.push(ambiguous(table, column, &headings));
            }
            layout.by_column[column as usize] = Some(*at);
            layout.places.push((column, *at));
            layout.stated.push(Stated {
                column,
                heading: table.with_unit(*at).into_owned(),
                marks: *marks,
                origin: origin.column(&table.headings[*at]),
            });
        }
        layout
    }

    /// The place of a column.
    #[inline]
    pub(in crate::read) fn place(&self, column: Column) -> Option<usize> {
        self.by_column[column as usize]
    }

    /// Whether the column at a place is read.
    pub(in crate::read) fn reads(&self, at: usize) -> bool {
        let of_days = self.wide.iter().flat_map(|d| &d.places);
        self.places.iter().any(|(_, place)| *place == at) || of_days.into_iter().any(|p| p.at == at)
    }

    /// Whether the table has a column.
    pub(in crate::read) fn has(&self, column: Column) -> bool {
        self.place(column).is_some()
    }

    /// Says R103 for each of `columns` that the table does not have. Whether it has all.
    pub(in crate::read) fn require(
        &self,
        table: &Table,
        columns: &[Column],
        said: &mut Vec<Diagnostic>,
    ) -> bool {
        let missing: Vec<Column> = columns.iter().copied().filter(|c| !self.has(*c)).collect();
        for column in &missing {
            said.push(self.missing(table, &[*column], ""));
        }
        missing.is_empty()
    }

    /// R103: none of these columns was found. `more` is added to the advice.
    pub(in crate::read) fn missing(
        &self,
        table: &Table,
        columns: &[Column],
        more: &str,
    ) -> Diagnostic {
        let names: Vec<String> =
            columns.iter().map(|c| format!("{} ({})", c.name(), c.what())).collect();
        let free: Vec<&str> = self.free(table).map(|(_, h)| h).filter(|h| !h.is_empty()).collect();
        let lines: Vec<String> = columns
            .iter()
            .filter_map(|c| Some((c, suggested(*c, free.iter().copied())?)))
            .map(|(c, heading)| format!("{} = {}", c.name(), quoted(heading)))
            .collect();
        let lines = if lines.is_empty() {
            columns.iter().map(|c| format!("{} = \"the heading\"", c.name())).collect()
        } else {
            lines
        };
        let known: Vec<String> =
            self.places.iter().map(|(_, at)| quoted(&table.headings[*at])).collect();
        let found = match (known.is_empty(), free.is_empty()) {
            (true, true) => "no headings".to_owned(),
            (true, false) => format!("{} (none recognised)", list(&free)),
            (false, true) => format!("{} (all recognised)", known.join(", ")),
            (false, false) => format!("{}; not recognised {}", known.join(", "), list(&free)),
        };
        let advice = format!(
            "declare the column under [columns] in site.toml, such as {}, or change the \
             heading{more}",
            lines.join(" or ")
        );
        Diagnostic::new(
            Code::ColumnMissing,
            format!("{} has no column {}; headings found: {found}", table.file, names.join(" or ")),
        )
        .at(&table.heading_origin())
        .advice(advice)
    }

    /// R104 when a heading names a level that is a depth or an elevation, and the table has no
    /// other column of measurements.
    pub(in crate::read) fn bare_level(&self, table: &Table) -> Option<Diagnostic> {
        let (_, heading) = self.free(table).find(|(_, h)| heading::is_level(h))?;
        let what = "whether it is a depth to water or a groundwater elevation";
        let columns = [Column::DepthToWater, Column::Elevation];
        let instead = "state it in the heading, such as \"Water level (m btoc)\" or \
                       \"Water level (m amsl)\"";
        Some(unclear(table, heading, what, &columns, instead))
    }

    /// R104 when a heading names the product alone, over numbers that may be its depth or its
    /// thickness, and the table has no column for either.
    pub(in crate::read) fn bare_product(&self, table: &Table, said: &mut Vec<Diagnostic>) {
        let columns = [Column::DepthToProduct, Column::ProductThickness];
        if columns.iter().any(|c| self.has(*c)) {
            return;
        }
        let Some((at, heading)) = self.free(table).find(|(_, h)| heading::is_product(h)) else {
            return;
        };
        let mut numbers = false;
        table.each_until(|row| {
            numbers = row.number(at).is_ok_and(|v| v != 0.0);
            !numbers
        });
        if numbers {
            let what = "whether it is a depth to product or a product thickness";
            said.push(unclear(table, heading, what, &columns, "change the heading"));
        }
    }

    /// R104 when a heading that says only "elevation" could be the measuring point's: in a
    /// register, or in a single table that has depths but no measuring point.
    pub(in crate::read) fn bare_elevation(
        &self,
        table: &Table,
        declared: &[DeclaredColumn],
        said: &mut Vec<Diagnostic>,
    ) {
        let settled = |c: Column| declared.iter().any(|d| d.column == Some(c) && d.found);
        if self.has(Column::MeasuringPointElevation) || settled(Column::Elevation) {
            return;
        }
        let of_water = self.place(Column::Elevation);
        let bare = table.headings.iter().enumerate().find(|(at, h)| {
            (!self.reads(*at) || of_water == Some(*at))
                && heading::recognise(h, &[Column::Elevation]).is_some()
                && is_bare(h)
        });
        if let Some((_, heading)) = bare {
            let what = "which elevation it is: measuring point, ground or groundwater";
            let mut columns = vec![Column::MeasuringPointElevation, Column::GroundElevation];
            columns.extend(of_water.map(|_| Column::Elevation));
            said.push(unclear(table, heading, what, &columns, "change the heading"));
        }
    }

    /// The columns of a table that are not read, with their headings.
    fn free<'t>(&'t self, table: &'t Table) -> impl Iterator<Item = (usize, &'t str)> {
        let all = table.headings.iter().enumerate().map(|(at, heading)| (at, heading.as_str()));
        all.filter(|(at, _)| !self.reads(*at))
    }
}

/// R104: a heading does not say `what`, and may be one of some columns.
fn unclear(
    table: &Table,
    heading: &str,
    what: &str,
    columns: &[Column],
    instead: &str,
) -> Diagnostic {
    let heading = quoted(heading);
    let lines: Vec<String> = columns.iter().map(|c| format!("{} = {heading}", c.name())).collect();
    Diagnostic::new(
        Code::ColumnAmbiguous,
        format!("column {heading} of {} does not say {what}", table.file),
    )
    .at(&table.heading_origin())
    .advice(format!("write under [columns] in site.toml {}; or {instead}", lines.join(" or ")))
}

/// R103 for each heading of `[columns]` that no table had.
pub(in crate::read) fn unused(
    declared: &[DeclaredColumn],
    files: &[&str],
    said: &mut Vec<Diagnostic>,
) {
    for d in declared.iter().filter(|d| !d.found) {
        said.push(
            Diagnostic::new(
                Code::ColumnMissing,
                format!(
                    "[columns] in {SITE_TOML} gives the heading {} for {}, but it is not in {}",
                    quoted(&d.heading),
                    d.name(),
                    files.join(", ")
                ),
            )
            .at(&d.origin)
            .advice("write the heading exactly as in the file, or remove the line"),
        );
    }
}

/// Whether the heading says elevation and not of what.
fn is_bare(heading: &str) -> bool {
    let words = heading::words(heading);
    let first = words.first().map_or("", String::as_str);
    BARE_ELEVATION.contains(&first)
        && !words.iter().any(|w| matches!(w.as_str(), "water" | "groundwater"))
}

fn ambiguous(table: &Table, column: Column, headings: &[&str]) -> Diagnostic {
    let alike = headings.iter().all(|h| heading::words(h) == heading::words(headings[0]));
    let advice = if alike {
        "change one of the headings".to_owned()
    } else {
        format!(
            "declare one under [columns] in site.toml: {} = {}",
            column.name(),
            quoted(headings[0])
        )
    };
    Diagnostic::new(
        Code::ColumnAmbiguous,
        format!(
            "{} has {} columns for {}: {}",
            table.file,
            headings.len(),
            column.name(),
            list(headings)
        ),
    )
    .at(&table.heading_origin())
    .advice(advice)
}

fn list(headings: &[&str]) -> String {
    let mut listed: Vec<String> = headings.iter().take(MOST_LISTED).map(|h| quoted(h)).collect();
    if headings.len() > MOST_LISTED {
        listed.push(format!("and {} more", headings.len() - MOST_LISTED));
    }
    listed.join(", ")
}

pub(super) fn quoted(heading: &str) -> String {
    format!("\"{}\"", shown(heading))
}
