//! Measuring points: later surveys, and all surveys of a well in order.

use std::collections::BTreeMap;

use crate::diag::{Code, Diagnostic};
use crate::read::table::cells::Cells;
use crate::read::table::columns::Column;
use crate::read::table::layout::Layout;
use crate::read::table::rows::Table;
use crate::read::table::rules::Rules;
use crate::read::wells::well::{MeasuringPoint, Well};
use crate::units::brief;

use super::unknown::Unknown;
use super::wells::Register;

/// Reads `measuring-points.csv` into the register's surveys.
pub(in crate::read) fn read(
    table: &Table,
    layout: &Layout,
    rules: &Rules,
    (register, register_file): (&mut Register, &str),
    said: &mut Vec<Diagnostic>,
) {
    let mut unknown = Unknown::new(register_file);
    table.each_row(said, |row, said| {
        let cells = Cells { row: *row, layout, rules };
        let Ok(id) = cells.id(said) else { return };
        let elevation = cells.needed(Column::MeasuringPointElevation, said);
        let day = cells.day(Column::ValidFrom, said);
        if day == Ok(None) {
            said.push(cells.empty(Column::ValidFrom));
        }
        let Some(&well) = register.index.get(id) else {
            let wells = || register.wells.iter().map(|w| w.id.as_str()).collect();
            said.push(unknown.say(&cells, id, "a measuring point", wells));
            return;
        };
        if let (Ok(elevation), Ok(Some(day))) = (elevation, day) {
            let origin = row.origin();
            register
                .points
                .push((well, MeasuringPoint { valid_from: Some(day), elevation, origin }));
        }
    });
}

/// The surveys by well, sorted by day. Two elevations of one well from one day are R108.
pub(in crate::read) fn by_well(
    register: &mut Register,
    said: &mut Vec<Diagnostic>,
) -> BTreeMap<String, Vec<MeasuringPoint>> {
    let mut points = std::mem::take(&mut register.points);
    points.sort_by(|(a, p), (b, q)| a.cmp(b).then(p.valid_from.cmp(&q.valid_from)));
    let mut sorted: Vec<(String, Vec<MeasuringPoint>)> = Vec::with_capacity(points.len());
    let mut current = None;
    for (well, point) in points {
        // A well whose own row is faulty has no place; that was said already.
        let Some(Well { id, .. }) = register.wells.get(well) else { continue };
        if current != Some(well) {
            current = Some(well);
            sorted.push((id.clone(), vec![point]));
            continue;
        }
        let Some((_, of_well)) = sorted.last_mut() else { continue };
        if let Some(last) = of_well.last()
            && last.valid_from == point.valid_from
        {
            if last.elevation.to_bits() != point.elevation.to_bits() {
                let from = point.valid_from.map_or("the beginning".to_owned(), |d| d.to_string());
                said.push(
                    Diagnostic::new(
                        Code::WellTwice,
                        format!(
                            "well {id} has two measuring point elevations from {from}: {} and {}",
                            brief(last.elevation),
                            brief(point.elevation)
                        ),
                    )
                    .well(id)
                    .at(&last.origin)
                    .at(&point.origin)
                    .advice("keep the correct one, or give each the date of its survey"),
                );
            }
            continue;
        }
        of_well.push(point);
    }
    sorted.into_iter().collect()
}
