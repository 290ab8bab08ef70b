//! Whether the numbers below a date are depths to water or elevations.

use crate::diag::{Code, Diagnostic};
use crate::read::table::columns::Column;
use crate::read::table::layout::{Layout, Stated};
use crate::read::table::rows::{Row, Table};
use crate::units::{LengthUnit, median};

/// Numbers below a date are depths to water where most are at most this, m, and most would lie deeper than
/// this below the measuring point if they were elevations. Common practice, no source.
const USUAL_DEPTH_M: f64 = 60.0;

/// The unit that the heading of the measuring points gives.
pub(in crate::read) fn headed(stated: &[Stated]) -> Option<LengthUnit> {
    stated.iter().find(|s| s.column == Column::MeasuringPointElevation)?.marks.unit
}

/// Whether columns that are headed with a date alone hold depths for certain: R104 where the same
/// numbers may be elevations of the water. They are depths where most are within the usual depth, and
/// the water would stand deeper below most measuring points if they were elevations.
pub(in crate::read) fn depths_are_clear(
    table: &Table,
    layout: &Layout,
    unit: Option<LengthUnit>,
    elevation: impl Fn(&Row<'_>) -> Option<f64>,
    said: &mut Vec<Diagnostic>,
) -> bool {
    let bare: Vec<usize> = layout.bare_days();
    let Some(first) = bare.first() else { return true };
    let (mut depths, mut below) = (Vec::new(), Vec::new());
    table.each_until(|row| {
        for &at in &bare {
            if let Ok(value) = row.number(at) {
                depths.push(value);
                below.extend(elevation(row).map(|point| point - value));
            }
        }
        true
    });
    // Without the unit of elevations, a number is only deep where it is in feet too.
    let in_unit = |unit: LengthUnit| USUAL_DEPTH_M / unit.metres();
    let (shallow, deep) = match unit {
        Some(unit) => (in_unit(unit), in_unit(unit)),
        None => (in_unit(LengthUnit::Metre), in_unit(LengthUnit::Foot)),
    };
    let (depths, below) = (median(depths), median(below));
    if depths.is_some_and(|d| d <= shallow) && below.is_some_and(|b| b > deep) {
        return true;
    }
    let heading = &table.headings[*first];
    said.push(
        Diagnostic::new(
            Code::ColumnAmbiguous,
            format!(
                "column \"{heading}\" of {} and others headed with a date do not say whether they \
                 hold depths to water or groundwater elevations",
                table.file
            ),
        )
        .at(&table.heading_origin().column(heading))
        .advice(format!(
            "write under [columns] in site.toml depth_to_water = \"{heading}\" or elevation = \
             \"{heading}\", which counts for all of them; or state it in the headings, such as \
             \"DTW {heading}\""
        )),
    );
    false
}
