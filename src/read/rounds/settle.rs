//! The last step of reading a round: its units agreed with those of the site.

use super::round::Round;
use crate::diag::{Code, Diagnostic, Origin};
use crate::read::files::input_file::InputFile;
use crate::read::files::names::SITE_TOML;
use crate::read::settings::head_errors::{HeadErrorTable, HeadErrors};
use crate::read::settings::of_site::Settings;
use crate::read::settings::units;
use crate::read::table::columns::Quantity;
use crate::read::table::layout::Stated;
use crate::read::wells::order;
use crate::read::wells::reading::Reading;
use crate::units::{LengthUnit, as_given};

/// The rows of a round, before units are agreed.
#[derive(Debug)]
pub(in crate::read) struct Rows {
    pub(in crate::read) name: String,
    pub(in crate::read) readings: Vec<Reading>,
    /// What the round's headings say.
    pub(in crate::read) stated: Vec<Stated>,
    pub(in crate::read) inputs: Vec<InputFile>,
}

/// Puts a round together.
pub(in crate::read) fn round(settings: &Settings, rows: Rows, said: &mut Vec<Diagnostic>) -> Round {
    let Rows { name, mut readings, stated, inputs } = rows;
    let elevation_unit = settings.elevation_unit;
    units::below_ground(&stated, said);
    units::datums(settings.vertical_datum.as_deref(), &stated, said);
    let of = |quantity| units::of(&stated, std::slice::from_ref(quantity));
    units::agree("elevation_unit", Some(elevation_unit), of(&Quantity::Elevation), said);
    let depths = of(&Quantity::ReadingDepth);
    let depths = units::agree("depth_unit", settings.depth_unit, depths, said);
    let depth_unit = match depths.unit {
        None => elevation_unit,
        // A heading's "ft" is the site's own foot.
        Some(headed)
            if settings.depth_unit.is_none() && units::loosely_same(headed, elevation_unit) =>
        {
            elevation_unit
        }
        Some(unit) => unit,
    };
    order::of_readings(&mut readings);
    Round {
        name,
        readings,
        depth_unit,
        repeat_tolerance: settings
            .repeat_tolerance
            .unwrap_or_else(|| Round::usual_tolerance(depth_unit)),
        head_errors: head_errors(
            &settings.uncertainty.head_errors,
            depth_unit,
            elevation_unit,
            said,
        ),
        before: None,
        inputs,
    }
}

/// The parts of a head's error in metres; R102 when no head would have any.
fn head_errors(
    declared: &HeadErrorTable,
    depth_unit: LengthUnit,
    elevation_unit: LengthUnit,
    said: &mut Vec<Diagnostic>,
) -> HeadErrors {
    declared.in_metres(depth_unit, elevation_unit).unwrap_or_else(|bad| {
        let names: Vec<String> =
            bad.iter().map(|(name, value)| format!("{name} = {}", as_given(*value))).collect();
        said.push(
            Diagnostic::new(
                Code::SiteSetting,
                format!("[uncertainty] gives the heads no error: {}", names.join(", ")),
            )
            .at(&Origin::file(SITE_TOML))
            .advice("give at least one of them a value above 0, or remove the lines"),
        );
        HeadErrors::default()
    })
}
