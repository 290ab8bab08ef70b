//! What of a table is read.

use crate::diag::Diagnostic;
use crate::read::table::cells::{Cells, Reported};
use crate::read::table::layout::{Layout, Stated};
use crate::read::table::rows::Table;
use crate::read::table::rules::Rules;
use crate::read::wells::reading::{Moment, Reading};

use super::spans::Span;
use super::times;

/// What of a table is read: all its rows, or those of one round; of a wide table the columns of the
/// days of one round.
#[derive(Debug)]
pub(in crate::read) struct Part {
    /// The columns, for each day of a wide table on their own.
    pub(in crate::read) layouts: Vec<Layout>,
    pub(super) span: Option<Span>,
}

/// The readings of a part.
#[derive(Debug, Default)]
pub(in crate::read) struct Readings {
    pub(in crate::read) readings: Vec<Reading>,
    /// When the readings were taken in rows that could not be read.
    pub(in crate::read) faulty: Vec<Moment>,
}

impl Part {
    /// All of a table.
    pub(in crate::read) fn whole(layout: Layout) -> Self {
        Self { layouts: vec![layout], span: None }
    }

    /// What the headings of its columns state.
    pub(in crate::read) fn stated(&self) -> Vec<Stated> {
        self.layouts.iter().flat_map(|l| l.stated.iter().cloned()).collect()
    }

    /// Whether a row of this moment is of the part. Rows that do not say when are, so that what is
    /// wrong with them is said.
    pub(super) fn holds(&self, moment: impl FnOnce() -> Option<Moment>) -> bool {
        let Some(span) = &self.span else { return true };
        moment().is_none_or(|m| span.holds(m))
    }

    /// Visits the rows of the part, those of a wide table once for each of its days.
    pub(in crate::read) fn each_row(
        &self,
        table: &Table,
        rules: &Rules,
        said: &mut Vec<Diagnostic>,
        mut visit: impl FnMut(&Cells<'_>, &mut Vec<Diagnostic>),
    ) {
        table.each_row(said, |row, said| {
            for layout in &self.layouts {
                let cells = Cells { row: *row, layout, rules };
                if self.holds(|| times::moment(&cells, &mut Vec::new()).ok().flatten()) {
                    visit(&cells, said);
                }
            }
        });
    }
}

impl Readings {
    /// Room for so many.
    pub(in crate::read) fn with_room(rows: usize) -> Self {
        Self { readings: Vec::with_capacity(rows), faulty: Vec::new() }
    }

    /// Adds what a row says.
    pub(in crate::read) fn add(&mut self, cells: &Cells<'_>, reading: Result<Reading, Reported>) {
        match reading {
            Ok(reading) => self.readings.push(reading),
            Err(Reported) => {
                self.faulty.extend(times::moment(cells, &mut Vec::new()).ok().flatten());
            }
        }
    }
}

/// Whether a row of a wide table has nothing for the day of its columns: the well was not read.
pub(in crate::read) fn not_read(cells: &Cells<'_>) -> bool {
    cells.layout.is_without(|at| cells.row.cell(at).is_empty())
}
