//! When a reading was taken.

use crate::diag::{Code, Diagnostic};
use crate::read::table::cells::{Cells, Reported};
use crate::read::table::columns::Column;
use crate::read::table::layout::Layout;
use crate::read::table::moment::{self, BadMoment};
use crate::read::table::rows::{Table, shown};
use crate::read::wells::reading::Moment;

/// Whether a table has a column of dates.
fn dated(layout: &Layout) -> bool {
    layout.has(Column::Date) || layout.has(Column::DateTime) || layout.is_wide()
}

/// R103 when a table has times of day and no column of dates: most likely its heading is not known.
pub(in crate::read) fn timeless(table: &Table, layout: &Layout, said: &mut Vec<Diagnostic>) {
    let Some(time) = layout.place(Column::Time).filter(|_| !dated(layout)) else { return };
    let mut times = false;
    table.each_row(&mut Vec::new(), |row, _| times |= !row.cell(time).is_empty());
    if times {
        let more = "; a time of day needs its date";
        said.push(layout.missing(table, &[Column::Date], more));
    }
}

/// When the reading was taken: the day of a wide table's heading, `datetime`, or `date` with or
/// without `time`.
pub(in crate::read) fn moment(
    cells: &Cells<'_>,
    said: &mut Vec<Diagnostic>,
) -> Result<Option<Moment>, Reported> {
    if let Some(day) = cells.layout.day {
        return Ok(Some(Moment::Day(day)));
    }
    let both = cells.text(Column::DateTime);
    let date = cells.text(Column::Date);
    let clock = cells.text(Column::Time);
    let (column, text) = match (both, date) {
        (Some(text), None) => (Column::DateTime, text),
        (None, Some(text)) => (Column::Date, text),
        (Some(text), Some(_)) => {
            let message = format!(
                "datetime \"{}\"{} is given in addition to a date",
                shown(text),
                cells.of_well()
            );
            said.push(
                cells
                    .about(Column::DateTime, Code::BadTime, message)
                    .advice("give the date in one column only"),
            );
            return Err(Reported);
        }
        (None, None) => {
            let Some(text) = clock.filter(|_| dated(cells.layout)) else {
                // A table without any column of dates is refused as a whole.
                return Ok(None);
            };
            let message = format!("time \"{}\"{} has no date", shown(text), cells.of_well());
            said.push(
                cells
                    .about(Column::Time, Code::BadTime, message)
                    .advice("give its date, such as 2026-04-14"),
            );
            return Err(Reported);
        }
    };
    let refused = |said: &mut Vec<Diagnostic>, column, text, why: BadMoment| {
        said.push(cells.bad_moment(column, text, why));
        Reported
    };
    let day = moment::moment(text, cells.dates(column)?);
    let refused_clock = |said: &mut Vec<Diagnostic>, why| {
        refused(said, Column::Time, clock.unwrap_or_default(), why)
    };
    let time = clock.map(|c| moment::time_and_offset(c).map_err(|why| refused_clock(said, why)));
    let day = day.map_err(|why| refused(said, column, text, why))?;
    let time = match time.transpose()? {
        None => None,
        // The day is that of the offset, and may be another one at the site.
        Some((time, offset)) => {
            let at = moment::at_site(day.date().to_datetime(time), offset, cells.dates(column)?);
            Some(at.map_err(|why| refused_clock(said, why))?)
        }
    };
    match (day, time) {
        (day, None) => Ok(Some(day)),
        (Moment::Day(_), Some(t)) => Ok(Some(Moment::Time(t))),
        // A spreadsheet writes a plain date as midnight.
        (Moment::Time(at), Some(t)) if at.time() == jiff::civil::Time::midnight() => {
            Ok(Some(Moment::Time(t)))
        }
        (Moment::Time(at), Some(t)) if at == t => Ok(Some(Moment::Time(at))),
        (Moment::Time(at), Some(t)) => {
            let message = format!(
                "{} \"{}\"{} has the time {}, but the time column says {}",
                column.words(),
                shown(text),
                cells.of_well(),
                at.time(),
                t.time()
            );
            said.push(
                cells
                    .about(column, Code::BadTime, message)
                    .advice("give the time of day in one column only"),
            );
            Err(Reported)
        }
    }
}
