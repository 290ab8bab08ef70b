//! A round: rows to readings.

use std::collections::HashMap;

use crate::diag::{Code, Diagnostic};
use crate::read::register::unknown::Unknown;
use crate::read::register::wells::names_in_order;
use crate::read::table::cells::{Cells, Reported};
use crate::read::table::columns::Column;
use crate::read::table::rows::{Table, shown};
use crate::read::table::rules::Rules;
use crate::read::wells::reading::{Measurement, Reading, Status};

use super::measured::measured;
use super::part::{Part, Readings, not_read};
use super::times;

/// The columns of which a round must have one.
pub(in crate::read) const MEASUREMENTS: [Column; 5] =
    [Column::DepthToWater, Column::Hold, Column::PressureHead, Column::Stage, Column::Elevation];

/// The names that the register knows, each with the place of its well there, and its file.
pub(in crate::read) type Known<'a> = (&'a HashMap<String, usize>, &'a str);

/// Reads every row of a part of a round's table in a site folder. Names are held against the register
/// where there is one.
pub(in crate::read) fn read(
    table: &Table,
    part: &Part,
    rules: &Rules,
    known: Option<Known<'_>>,
    said: &mut Vec<Diagnostic>,
) -> Readings {
    let mut found = Readings::with_room(table.rows_ahead());
    let mut unknown = Unknown::new(known.map_or("", |(_, file)| file));
    part.each_row(table, rules, said, |cells, said| {
        if not_read(cells) {
            return;
        }
        let Ok(id) = cells.id(said) else { return };
        if let Some((names, _)) = known
            && !names.contains_key(id)
        {
            said.push(unknown.say(cells, id, "a reading", || names_in_order(names)));
        }
        found.add(cells, reading(cells, id, said));
    });
    found
}

/// Whether a head of the round has to be worked out from its measuring point.
pub(in crate::read) fn from_measuring_points(readings: &[Reading]) -> bool {
    readings.iter().any(|r| {
        matches!(r.status, Status::Static | Status::Flowing)
            && !matches!(r.measurement, Measurement::None | Measurement::Elevation(_))
    })
}

/// Reads one row. All that is wrong in it is said.
pub(in crate::read) fn reading(
    cells: &Cells<'_>,
    id: &str,
    said: &mut Vec<Diagnostic>,
) -> Result<Reading, Reported> {
    let moment = times::moment(cells, said);
    let number = repeat(cells, said);
    let measured = measured(cells, said);
    let measured = measured?;
    Ok(Reading {
        well: id.to_owned(),
        moment: moment?,
        number: number?,
        measurement: measured.measurement,
        written_elevation: measured.written_elevation,
        written_thickness: measured.written_thickness,
        written_decimals: measured.written_decimals,
        dry_to: measured.dry_to,
        status: measured.status,
        instrument: cells.owned(Column::Instrument),
        remark: remark(cells, measured.status, measured.kept),
        origin: cells.row.origin(),
    })
}

/// The remark, and behind it the words that were in the place of numbers. Why a level is not to be used
/// is said by the remark alone.
fn remark(cells: &Cells<'_>, status: Status, kept: Vec<String>) -> Option<String> {
    let own = cells.owned(Column::Remark);
    if own.is_none() && status == Status::NotUsed {
        return None;
    }
    let all: Vec<String> = own.into_iter().chain(kept).collect();
    (!all.is_empty()).then(|| all.join("; "))
}

/// The number of a repeated reading.
fn repeat(cells: &Cells<'_>, said: &mut Vec<Diagnostic>) -> Result<Option<u32>, Reported> {
    let Some(text) = cells.text(Column::Reading) else { return Ok(None) };
    text.parse::<u32>().ok().filter(|n| *n > 0).map(Some).ok_or_else(|| {
        let message =
            format!("reading \"{}\"{} is not a whole number", shown(text), cells.of_well());
        said.push(cells.about(Column::Reading, Code::NotANumber, message).advice(
            "number the readings of a well 1, 2, 3; if the column holds depths, declare it under \
             [columns] in site.toml",
        ));
        Reported
    })
}
