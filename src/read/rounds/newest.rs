//! Which round of a site folder is the newest.

use jiff::civil::{Date, Time};

use crate::diag::{Code, Diagnostic, Origin, listed};
use crate::read::files::input_file::InputFile;
use crate::read::table::cells::Cells;
use crate::read::table::columns::{self, Column};
use crate::read::table::layout::Layout;
use crate::read::table::rows::{Table, shown};
use crate::read::table::rules::How;
use crate::read::table::suggest::suggested;
use crate::read::wells::reading::Moment;

use super::one_of;
use super::open::open;
use super::round_files::{RoundFile, unclear};
use super::spans::is_date;
use super::times;

/// The columns that say when.
const WHEN: [Column; 3] = [Column::Date, Column::Time, Column::DateTime];

/// The day of a round's newest reading, with its time where the newest day has one.
type Newest = (Date, Option<Time>);

/// The round with the newest reading. R111 when that is not clear.
pub(in crate::read) fn of(
    rounds: &[RoundFile],
    how: &How,
    said: &mut Vec<Diagnostic>,
) -> Option<RoundFile> {
    let mut dated: Vec<(Newest, &RoundFile)> = Vec::new();
    let mut undated: Vec<Undated> = Vec::new();
    let mut faults = Vec::new();
    for round in rounds {
        match newest(round, how, &mut faults) {
            Some(Ok(newest)) => dated.push((newest, round)),
            Some(Err(why)) => undated.push(why),
            None => {}
        }
    }
    if !faults.is_empty() {
        said.append(&mut faults);
        said.push(unclear(
            "the newest round cannot be determined: some dates cannot be read".to_owned(),
            "correct the dates, or name the round with --round",
        ));
        return None;
    }
    if !undated.is_empty() {
        said.extend(undated.into_iter().map(Undated::diagnostic));
        return None;
    }
    let day = dated.iter().map(|((day, _), _)| *day).max()?;
    dated.retain(|((d, _), _)| *d == day);
    if dated.iter().all(|((_, time), _)| time.is_some()) {
        let time = dated.iter().filter_map(|((_, time), _)| *time).max();
        dated.retain(|((_, t), _)| *t == time);
    }
    if let [(_, round)] = dated.as_slice() {
        return Some((*round).clone());
    }
    let names: Vec<&str> = dated.iter().map(|(_, r)| r.name.as_str()).collect();
    said.push(unclear(
        format!("rounds {} have the same newest date: {day}", listed(names)),
        "name the round with --round",
    ));
    None
}

/// The rounds with a reading of a day, a month or a year. Where the dates of a round cannot be read,
/// it has none.
pub(in crate::read) fn of_day<'a>(
    rounds: &'a [RoundFile],
    how: &How,
    wanted: &str,
) -> Vec<&'a RoundFile> {
    let has = |round: &&RoundFile| {
        let mut meant = false;
        let _ = each_moment(round, how, &mut Vec::new(), |m| {
            meant |= m.date().to_string().starts_with(wanted);
        });
        meant
    };
    if is_date(wanted) { rounds.iter().filter(has).collect() } else { Vec::new() }
}

/// The last day before `first` on which any round has a reading, with the files that say so. A round whose dates
/// cannot be read has none.
pub(in crate::read) fn before(
    rounds: &[RoundFile],
    how: &How,
    first: Date,
) -> Option<(Date, Vec<InputFile>)> {
    let mut found: Option<(Date, Vec<InputFile>)> = None;
    for round in rounds {
        let mut last: Option<Date> = None;
        let read = each_moment(round, how, &mut Vec::new(), |moment| {
            last = last.max(Some(moment.date()).filter(|day| *day < first));
        });
        if let Some((day, (table, ..))) = last.zip(read)
            && found.as_ref().is_none_or(|(other, _)| *other < day)
        {
            found = Some((day, table.inputs));
        }
    }
    found
}

/// A round without any date, which may be the newest.
struct Undated {
    file: String,
    headings: Origin,
    why: NoDate,
}

/// Why a round has no date.
enum NoDate {
    /// It has no rows.
    Empty,
    /// Its date cells are empty.
    Blank,
    /// None of these headings is known to be a date's.
    NoColumn(Vec<String>),
}

impl Undated {
    /// R111 about this round.
    fn diagnostic(self) -> Diagnostic {
        let (why, advice) = match self.why {
            NoDate::Empty => (
                "has headings and no rows".to_owned(),
                "fill it in, remove it from the folder, or name the round to map with --round"
                    .to_owned(),
            ),
            NoDate::Blank => (
                "has no date in its date column".to_owned(),
                "fill in the date column, or name the round with --round".to_owned(),
            ),
            NoDate::NoColumn(headings) => {
                let example = suggested(Column::Date, headings.iter().map(String::as_str))
                    .unwrap_or("the heading of the dates");
                let headings: Vec<String> =
                    headings.iter().map(|h| format!("\"{}\"", shown(h))).collect();
                (
                    format!("has no date column; headings found: {}", headings.join(", ")),
                    format!(
                        "declare the column under [columns] in site.toml, such as date = \"{}\", \
                         or name the round with --round",
                        shown(example)
                    ),
                )
            }
        };
        Diagnostic::new(
            Code::RoundUnclear,
            format!("the newest round cannot be determined: {} {why}", self.file),
        )
        .at(&self.headings)
        .advice(advice)
    }
}

/// The newest reading of a round, or why it has none; nothing where a fault was said. Only what
/// hides a date is said.
fn newest(
    round: &RoundFile,
    how: &How,
    faults: &mut Vec<Diagnostic>,
) -> Option<Result<Newest, Undated>> {
    let mut newest: Option<Newest> = None;
    let (table, layout, rows) = each_moment(round, how, faults, |moment| {
        let key = match moment {
            Moment::Time(t) => (t.date(), Some(t.time())),
            Moment::Day(d) => (d, None),
        };
        newest = newest.max(Some(key));
    })?;
    Some(newest.ok_or_else(|| {
        let has_column = layout.has(Column::Date) || layout.has(Column::DateTime);
        let why = match (rows, has_column) {
            (false, _) => NoDate::Empty,
            (true, true) => NoDate::Blank,
            (true, false) => {
                NoDate::NoColumn(table.headings.iter().filter(|h| !h.is_empty()).cloned().collect())
            }
        };
        Undated { file: round.file.clone(), headings: table.heading_origin(), why }
    }))
}

/// Visits when the readings of a round were taken. Gives its table and columns, and whether it has
/// rows; nothing where something hides a date, which is said.
fn each_moment(
    round: &RoundFile,
    how: &How,
    faults: &mut Vec<Diagnostic>,
    mut visit: impl FnMut(Moment),
) -> Option<(Table, Layout, bool)> {
    // What else is wrong with a round that is not mapped is nobody's concern here.
    let mut ignored = Vec::new();
    let mut opened = how.clone();
    let Some((table, layout)) =
        open(&round.path, &round.file, columns::ROUND, &mut opened, &mut ignored)
    else {
        faults.extend(ignored.into_iter().filter(Diagnostic::is_refusal));
        return None;
    };
    let before = faults.len();
    let date = |d: &Diagnostic| d.code == Code::BadTime && d.is_refusal();
    faults.extend(ignored.drain(..).filter(date));
    Layout::of(&table, &WHEN, &mut how.columns.clone(), faults);
    let mut rows = false;
    if layout.is_wide() {
        let visits = one_of::visits(&table, &layout);
        rows = !visits.is_empty();
        for v in visits {
            visit(v.moment);
        }
    } else {
        table.each_row(&mut ignored, |row, said| {
            rows = true;
            let cells = Cells { row: *row, layout: &layout, rules: &how.rules };
            if let Ok(Some(moment)) = times::moment(&cells, said) {
                visit(moment);
            }
        });
        let hides = |d: &Diagnostic| matches!(d.code, Code::RowMalformed | Code::BadTime);
        // A row that cannot be read hides its date.
        faults.extend(ignored.into_iter().filter(hides));
    }
    (faults.len() == before).then_some((table, layout, rows))
}
