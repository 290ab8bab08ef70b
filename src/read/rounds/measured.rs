//! What a row of a round says was measured, once its cells are weighed against each other.

use crate::diag::{Code, Diagnostic, Severity};
use crate::read::table::cells::{Cells, Reported};
use crate::read::table::columns::Column;
use crate::read::table::number::{self, NotNumber, Signed};
use crate::read::table::rows::shown;
use crate::read::table::status;
use crate::read::wells::reading::{Measurement, Status};
use crate::units::{brief, clean};

/// What a row measured, once its cells are weighed against each other.
pub(super) struct Measured {
    pub(super) measurement: Measurement,
    pub(super) written_elevation: Option<f64>,
    pub(super) written_thickness: Option<f64>,
    /// Where the well is dry, the depth down to which it is.
    pub(super) dry_to: Option<f64>,
    pub(super) status: Status,
    /// See [`Reading::written_decimals`](crate::read::Reading::written_decimals).
    pub(super) written_decimals: Option<[u8; 2]>,
    /// The words that were in the place of numbers, as written, each with its column.
    pub(super) kept: Vec<String>,
}

/// What the cells of a row say beside numbers.
#[derive(Default)]
struct Words<'a> {
    /// Words of states, with their columns.
    states: Vec<(Status, Column, &'a str)>,
    /// What is kept of them.
    kept: Vec<String>,
    /// The depth down to which there is no water.
    dry_to: Option<f64>,
}

impl<'a> Words<'a> {
    /// Keeps a word as it is written.
    fn keep(&mut self, column: Column, text: &str) {
        self.kept.push(format!("{} \"{}\"", column.words(), shown(text)));
    }

    /// Notes a word of a state; one that is no name of the state is kept.
    fn state(&mut self, status: Status, column: Column, text: &'a str) {
        if !text.eq_ignore_ascii_case(status.word()) {
            self.keep(column, text);
        }
        self.states.push((status, column, text));
    }
}

pub(super) fn measured(
    cells: &Cells<'_>,
    said: &mut Vec<Diagnostic>,
) -> Result<Measured, Reported> {
    let mut words = Words::default();
    let status_cell = status_cell(cells, said);
    if let Ok(Some((status, text))) = status_cell {
        words.state(status, Column::Status, text);
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
    let status = one_status(cells, &words.states, said)?;

    let to_product = if filled(to_product, to_water, thickness) {
        words.keep(Column::DepthToProduct, cells.text(Column::DepthToProduct).unwrap_or_default());
        None
    } else {
        to_product
    };
    let to_product = match thickness {
        Some(thickness) => over_water(cells, to_product, thickness, to_water, said)?,
        None => to_product,
    };
    let written_thickness = thickness.filter(|_| to_product.is_some());
    let by_depth = match (to_product, to_water) {
        (None, Some(depth)) => Some(("depth_to_water", Measurement::Depth(depth))),
        (Some(to_product), Some(to_water)) => Some((
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
        (None, None) => None,
    };
    let by_tape = match (hold, cut) {
        (Some(hold), Some(cut)) => Some(("hold and cut", Measurement::HoldAndCut { hold, cut })),
        (Some(_), None) => return unclear(cells, Column::Hold, "has a hold but no cut", said),
        (None, Some(_)) => return unclear(cells, Column::Cut, "has a cut but no hold", said),
        (None, None) => None,
    };
    let by_pressure = pressure.map(|height| ("pressure_head", Measurement::PressureHead(height)));
    let by_stage = stage.map(|height| ("stage", Measurement::Stage(height)));
    let ways = || [by_depth, by_tape, by_pressure, by_stage].into_iter().flatten();
    // A remark alone says why there is no level, and so does a word for product alone. A field sheet has a row for each
    // well before any is read.
    let remarked = words.states.is_empty()
        && (cells.text(Column::Remark).is_some()
            || !words.kept.is_empty()
            || cells.layout.has(Column::WalkingOrder));
    let (measurement, written_elevation) = match (ways().count(), ways().next(), elevation) {
        (1, Some((_, measurement)), written_elevation) => (measurement, written_elevation),
        (_, None, Some(elevation)) => (Measurement::Elevation(elevation), None),
        (_, None, None) if status == Status::Static && !remarked => {
            let says = "has neither a measurement nor a status that explains why";
            return unclear(cells, Column::Id, says, said);
        }
        (_, None, None) => (Measurement::None, None),
        (_, Some(_), _) => {
            let names: Vec<&str> = ways().map(|(name, _)| name).collect();
            let says =
                format!("gives its measurement in {} ways: {}", names.len(), names.join(", "));
            return unclear(cells, Column::Id, &says, said);
        }
    };
    let by_remark = measurement == Measurement::None && remarked;
    let status = if by_remark { of_remark(cells) } else { status };
    let dry_to = words.dry_to.filter(|_| status == Status::Dry);
    Ok(Measured {
        measurement,
        written_elevation,
        written_thickness,
        dry_to,
        status,
        written_decimals: written_decimals(cells, measurement),
        kept: words.kept,
    })
}

/// The decimals that the numbers of a measurement are written with.
fn written_decimals(cells: &Cells<'_>, measurement: Measurement) -> Option<[u8; 2]> {
    let of = |column| cells.text(column).map_or(0, number::decimals);
    let water = of(Column::DepthToWater);
    Some(match measurement {
        Measurement::None => return None,
        Measurement::Depth(_) => [water, 0],
        Measurement::HoldAndCut { .. } => [of(Column::Hold), of(Column::Cut)],
        Measurement::Product { .. } => {
            // Where it is not written, it is had from the thickness.
            let product = cells.text(Column::DepthToProduct).map(number::decimals);
            [product.unwrap_or_else(|| water.max(of(Column::ProductThickness))), water]
        }
        Measurement::PressureHead(_) => [of(Column::PressureHead), 0],
        Measurement::Stage(_) => [of(Column::Stage), 0],
        Measurement::Elevation(_) => [of(Column::Elevation), 0],
    })
}

/// Whether a depth to product of 0 says that there is none, as forms are filled: product stands up to the
/// measuring point only where a thickness says so.
fn filled(to_product: Option<f64>, to_water: Option<f64>, thickness: Option<f64>) -> bool {
    to_product == Some(0.0)
        && to_water.is_some_and(|depth| depth > 0.0)
        && thickness.is_none_or(|thickness| thickness == 0.0)
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

/// The state that a remark gives in place of a level.
fn of_remark(cells: &Cells<'_>) -> Status {
    let said = cells.text(Column::Remark).and_then(status::status);
    said.filter(|s| *s != Status::Static).unwrap_or(Status::NotMeasured)
}

/// A number, or what stands in its place: a status word, a word for no product, a bound.
fn value_or_word<'a>(
    cells: &Cells<'a>,
    column: Column,
    words: &mut Words<'a>,
    said: &mut Vec<Diagnostic>,
) -> Result<Option<f64>, Reported> {
    let Some(text) = cells.text(column) else { return Ok(None) };
    let decimal_comma = cells.row.decimal_comma();
    let why = match number::parse(text, decimal_comma) {
        Ok(value) => return Ok(Some(value)),
        Err(why) => why,
    };
    let of_product = matches!(column, Column::DepthToProduct | Column::ProductThickness);
    let signed = number::signed(text, decimal_comma);
    if let Some(Signed::About(value)) = signed {
        words.keep(column, text);
        said.push(about_so(cells, column, text));
        return Ok(Some(value));
    }
    if of_product {
        if status::no_product(text).is_some() || matches!(signed, Some(Signed::Below(_))) {
            words.keep(column, text);
            return Ok(None);
        }
        // Beside a level it is no state of the well.
        let water = cells.text(Column::DepthToWater);
        let measured = water.is_some_and(|w| {
            number::parse(w, decimal_comma).is_ok() || number::signed(w, decimal_comma).is_some()
        });
        if let Some(status) = status::status(text).filter(|_| !measured) {
            words.state(status, column, text);
            return Ok(None);
        }
    } else {
        let bound = match signed.filter(|_| column == Column::DepthToWater) {
            // No water down to that depth.
            Some(Signed::Above(depth)) => {
                words.dry_to = Some(depth);
                Some(Status::Dry)
            }
            Some(Signed::Below(_)) => Some(Status::NotMeasured),
            _ => None,
        };
        if let Some(status) = bound.or_else(|| status::status(text)) {
            words.state(status, column, text);
            return Ok(None);
        }
    }
    let mut diagnostic = cells.not_a_number(column, text, why);
    if of_product {
        diagnostic = diagnostic.advice(format!(
            "write a plain decimal number or a word for no product ({}), or leave the cell empty; put \
             the state of the well in the status column",
            status::known(status::PRODUCT_WORDS)
        ));
    } else if why == NotNumber::Text {
        diagnostic = diagnostic.advice(format!(
            "write a plain decimal number or a status word ({}), or leave the cell empty",
            status::known(status::STATUS_WORDS)
        ));
    }
    said.push(diagnostic);
    Err(Reported)
}

/// R128 about a number that is only near.
fn about_so(cells: &Cells<'_>, column: Column, text: &str) -> Diagnostic {
    let message = format!(
        "{} \"{}\"{} is used as if it were exact",
        column.words(),
        shown(text),
        cells.of_well()
    );
    cells.about(column, Code::NumberApproximate, message).advice(
        "read it again; if nobody knows how near it is, clear the cell and give the row the status not measured",
    )
}

/// The one status that all words of a row agree on.
fn one_status(
    cells: &Cells<'_>,
    words: &[(Status, Column, &str)],
    said: &mut Vec<Diagnostic>,
) -> Result<Status, Reported> {
    // That nothing was measured is true of every other state without a level.
    let telling = || words.iter().filter(|(s, ..)| *s != Status::NotMeasured);
    let Some((status, _, word)) = telling().next().or(words.first()) else {
        return Ok(Status::Static);
    };
    let bare = |s: &Status| *s == Status::NotMeasured && *status != Status::Static;
    match words.iter().find(|(s, ..)| s != status && !bare(s)) {
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
