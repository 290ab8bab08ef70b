//! What a row of a round says was measured, once its cells are weighed against each other.

use crate::diag::{Code, Diagnostic, Severity};
use crate::read::table::cells::{Cells, Reported};
use crate::read::table::columns::Column;
use crate::read::table::number::{self, NotNumber};
use crate::read::table::rows::shown;
use crate::read::table::status;
use crate::read::wells::reading::{Measurement, Status};
use crate::units::{brief, clean};

/// What a row measured, once its cells are weighed against each other.
pub(super) struct Measured {
    pub(super) measurement: Measurement,
    pub(super) written_elevation: Option<f64>,
    pub(super) written_thickness: Option<f64>,
    pub(super) status: Status,
}

pub(super) fn measured(
    cells: &Cells<'_>,
    said: &mut Vec<Diagnostic>,
) -> Result<Measured, Reported> {
    let mut words: Vec<(Status, Column, &str)> = Vec::new();
    let status_cell = status_cell(cells, said);
    if let Ok(Some((status, text))) = status_cell {
        words.push((status, Column::Status, text));
    }
    let mut value = |column| value_or_word(cells, column, &mut words, said);
    let to_water = value(Column::DepthToWater);
    let to_product = value(Column::DepthToProduct);
    let thickness = value(Column::ProductThickness);
    let hold = value(Column::Hold);
    let cut = value(Column::Cut);
    let pressure = value(Column::PressureHead);
    let stage = value(Column::Stage);
    let elevation = value(Column::Elevation);
    let specific_gravity = cells.number(Column::SpecificGravity, said);
    status_cell?;
    let (to_water, hold, cut) = (to_water?, hold?, cut?);
    let (to_product, thickness) = (to_product?, thickness?);
    let (pressure, stage, elevation) = (pressure?, stage?, elevation?);
    let specific_gravity = specific_gravity?;
    let status = one_status(cells, &words, said)?;

    let to_product = match thickness {
        Some(thickness) => over_water(cells, to_product, thickness, to_water, said)?,
        None => to_product,
    };
    let written_thickness = thickness.filter(|_| to_product.is_some());
    let mut ways: Vec<(&str, Measurement)> = Vec::new();
    match (to_product, to_water) {
        (None, Some(depth)) => ways.push(("depth_to_water", Measurement::Depth(depth))),
        (Some(to_product), Some(to_water)) => ways.push((
            "depth_to_product with depth_to_water",
            Measurement::Product { to_product, to_water, specific_gravity },
        )),
        (Some(_), None) => {
            return unclear(
                cells,
                Column::DepthToProduct,
                "has a depth to product but no depth to water (leave the cell empty where there \
                 is no product)",
                said,
            );
        }
        (None, None) => {}
    }
    match (hold, cut) {
        (Some(hold), Some(cut)) => {
            ways.push(("hold and cut", Measurement::HoldAndCut { hold, cut }));
        }
        (Some(_), None) => return unclear(cells, Column::Hold, "has a hold but no cut", said),
        (None, Some(_)) => return unclear(cells, Column::Cut, "has a cut but no hold", said),
        (None, None) => {}
    }
    if let Some(height) = pressure {
        ways.push(("pressure_head", Measurement::PressureHead(height)));
    }
    if let Some(height) = stage {
        ways.push(("stage", Measurement::Stage(height)));
    }
    match (ways.as_slice(), elevation) {
        ([(_, measurement)], written_elevation) => {
            let measurement = *measurement;
            Ok(Measured { measurement, written_elevation, written_thickness, status })
        }
        ([], Some(elevation)) => Ok(Measured {
            measurement: Measurement::Elevation(elevation),
            written_elevation: None,
            written_thickness,
            status,
        }),
        ([], None) if status == Status::Static => unclear(
            cells,
            Column::Id,
            "has neither a measurement nor a status that explains why",
            said,
        ),
        ([], None) => Ok(Measured {
            measurement: Measurement::None,
            written_elevation: None,
            written_thickness,
            status,
        }),
        (several, _) => {
            let names: Vec<&str> = several.iter().map(|(name, _)| *name).collect();
            let says =
                format!("gives its measurement in {} ways: {}", names.len(), names.join(", "));
            unclear(cells, Column::Id, &says, said)
        }
    }
}

/// The depth to product of a row with a thickness: the one that is written, else what the thickness
/// leaves of the depth to water. None where the thickness is 0, which is no product.
fn over_water(
    cells: &Cells<'_>,
    to_product: Option<f64>,
    thickness: f64,
    to_water: Option<f64>,
    said: &mut Vec<Diagnostic>,
) -> Result<Option<f64>, Reported> {
    if thickness < 0.0 {
        let message =
            format!("product thickness {}{} is negative", brief(thickness), cells.of_well());
        said.push(cells.about(Column::ProductThickness, Code::ProductImpossible, message).advice(
            "give it as a positive length, or leave the cell empty where there is no \
                         product",
        ));
        return Err(Reported);
    }
    match (to_product, to_water) {
        (Some(_), _) => Ok(to_product),
        (None, Some(to_water)) if thickness > 0.0 => Ok(Some(clean(to_water - thickness))),
        (None, None) if thickness > 0.0 => unclear(
            cells,
            Column::ProductThickness,
            "has a product thickness but no depth to water (if the elevation is already corrected \
             for product, leave the thickness empty)",
            said,
        ),
        (None, _) => Ok(None),
    }
}

/// The status column's word.
fn status_cell<'a>(
    cells: &Cells<'a>,
    said: &mut Vec<Diagnostic>,
) -> Result<Option<(Status, &'a str)>, Reported> {
    let Some(text) = cells.text(Column::Status) else { return Ok(None) };
    status::status(text).map(|s| Some((s, text))).ok_or_else(|| {
        let message = format!("status \"{}\"{} is not recognised", shown(text), cells.of_well());
        said.push(cells.about(Column::Status, Code::StatusUnknown, message).advice(format!(
            "use one of: {}; anything else belongs in the remark",
            status::known(status::STATUS_WORDS)
        )));
        Reported
    })
}

/// A number, or a status word that stands in its place.
fn value_or_word<'a>(
    cells: &Cells<'a>,
    column: Column,
    words: &mut Vec<(Status, Column, &'a str)>,
    said: &mut Vec<Diagnostic>,
) -> Result<Option<f64>, Reported> {
    let Some(text) = cells.text(column) else { return Ok(None) };
    match number::parse(text, cells.rules.decimal_comma) {
        Ok(value) => Ok(Some(value)),
        Err(why) => {
            let of_product = matches!(column, Column::DepthToProduct | Column::ProductThickness);
            let measured = || {
                let water = cells.text(Column::DepthToWater);
                water.is_some_and(|w| number::parse(w, cells.rules.decimal_comma).is_ok())
            };
            if let Some(status) = status::status(text).filter(|_| !(of_product && measured())) {
                words.push((status, column, text));
                return Ok(None);
            }
            let mut diagnostic = cells.not_a_number(column, text, why);
            if of_product {
                diagnostic = diagnostic.advice(
                    "write a plain decimal number, or leave the cell empty where there is no \
                     product; put the state of the well in the status column and a sheen in the \
                     remark",
                );
            } else if why == NotNumber::Text {
                diagnostic = diagnostic.advice(format!(
                    "write a plain decimal number or a status word ({}), or leave the cell empty",
                    status::known(status::STATUS_WORDS)
                ));
            }
            said.push(diagnostic);
            Err(Reported)
        }
    }
}

/// The one status that all words of a row agree on.
fn one_status(
    cells: &Cells<'_>,
    words: &[(Status, Column, &str)],
    said: &mut Vec<Diagnostic>,
) -> Result<Status, Reported> {
    let Some((status, _, word)) = words.first() else { return Ok(Status::Static) };
    match words.iter().find(|(s, _, _)| s != status) {
        None => {
            for (status, column, word) in words.iter().filter(|(.., w)| !status::is_plain(w)) {
                said.push(taken_for(cells, *column, word, *status));
            }
            Ok(*status)
        }
        Some((_, column, other)) => {
            let says = format!("has both \"{}\" and \"{}\"", shown(word), shown(other));
            unclear(cells, *column, &says, said)
        }
    }
}

/// The note of a word that was read although other signs stand about it.
fn taken_for(cells: &Cells<'_>, column: Column, word: &str, status: Status) -> Diagnostic {
    let (word, name) = (shown(word), status::name(status));
    let message = format!("\"{word}\"{} was read as the status \"{name}\"", cells.of_well());
    let mut told = cells.about(column, Code::StatusUnknown, message).advice(
        "write the status word alone and any doubt in the remark; correct a spreadsheet error in \
         the spreadsheet",
    );
    told.severity = Severity::Note;
    told
}

/// D206: the row does not say its measurement in exactly one way.
fn unclear<T>(
    cells: &Cells<'_>,
    column: Column,
    says: &str,
    said: &mut Vec<Diagnostic>,
) -> Result<T, Reported> {
    let message = format!("the row{} {says}", cells.of_well());
    said.push(cells.about(column, Code::MeasurementUnclear, message).advice(format!(
        "give exactly one of depth_to_water (with or without depth_to_product), hold with cut, \
         pressure_head, stage or elevation, or a status: {}",
        status::known(status::STATUS_WORDS)
    )));
    Err(Reported)
}
