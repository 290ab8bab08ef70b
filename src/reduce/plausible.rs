//! Numbers that no level and no measuring point can have.

use crate::diag::{Code, Diagnostic, Origin};
use crate::geom::tolerance::{
    DEEPEST_LEVEL_M, DEEPEST_WATER_M, DEEPEST_WELL_M, HIGHEST_ABOVE_POINT_M, HIGHEST_ELEVATION_M,
};
use crate::read::{Measurement, MeasuringPoint, Reading, Well};
use crate::reduce::words::{about, name};
use crate::units::{HeightUnits, LengthUnit, as_given, brief_to};

/// The lengths and elevations that a reading gives, as they were written, and their names.
fn written(measurement: Measurement) -> impl Iterator<Item = (&'static str, f64, Kind)> {
    let (first, second) = match measurement {
        Measurement::None => (None, None),
        Measurement::Depth(depth) => (Some(("depth to water", depth, Kind::Down)), None),
        Measurement::HoldAndCut { hold, cut } => {
            (Some(("length held", hold, Kind::Down)), Some(("length wetted", cut, Kind::Down)))
        }
        Measurement::Product { to_product, to_water, .. } => (
            Some(("depth to product", to_product, Kind::Down)),
            Some(("depth to water", to_water, Kind::Down)),
        ),
        Measurement::PressureHead(height) => (Some(("pressure head", height, Kind::Up)), None),
        Measurement::Stage(height) => (Some(("stage", height, Kind::Up)), None),
        Measurement::Elevation(elevation) => (Some(("elevation", elevation, Kind::Level)), None),
    };
    first.into_iter().chain(second)
}

/// Which way a number counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// Down from the measuring point, depth unit.
    Down,
    /// Up from it, depth unit.
    Up,
    /// Above the datum, elevation unit.
    Level,
    /// Down to a part of the well, depth unit.
    Built,
}

impl Kind {
    /// The lowest and the highest number of the kind, m.
    const fn bounds(self) -> (f64, f64) {
        match self {
            Self::Down => (-HIGHEST_ABOVE_POINT_M, DEEPEST_WATER_M),
            Self::Up => (-DEEPEST_WATER_M, HIGHEST_ABOVE_POINT_M),
            Self::Level => (-DEEPEST_LEVEL_M, HIGHEST_ELEVATION_M),
            Self::Built => (-HIGHEST_ABOVE_POINT_M, DEEPEST_WELL_M),
        }
    }

    const fn unit(self, units: HeightUnits) -> LengthUnit {
        match self {
            Self::Level => units.elevation,
            Self::Down | Self::Up | Self::Built => units.depth,
        }
    }
}

/// Whether a number is one that loggers and databases write where there is none: three or more
/// nines, below zero, or above it where no level of its kind could be.
fn stands_for_nothing(value: f64, kind: Kind, unit: LengthUnit) -> bool {
    const NINES: [f64; 4] = [999.0, 9999.0, 99999.0, 999_999.0];
    let size = value.abs();
    let nines = NINES.iter().any(|n| {
        // 999 and 999.9, 999.99, 999.999.
        (size - n).abs() < 1e-9
            || [0.1, 0.01, 0.001].iter().any(|step| (size - (n + 1.0 - step)).abs() < 1e-9)
    });
    nines && (value < 0.0 || outside(value, kind, unit).is_some())
}

/// The bound that a number is beyond, in its unit.
fn outside(value: f64, kind: Kind, unit: LengthUnit) -> Option<f64> {
    let (low, high) = kind.bounds();
    let (low, high) = (low / unit.metres(), high / unit.metres());
    if value < low {
        Some(low)
    } else if value > high || value.is_nan() {
        Some(high)
    } else {
        None
    }
}

/// D217: a reading whose number stands for a missing one, and the reason to set it aside.
pub(super) fn missing(
    reading: &Reading,
    well: &Well,
    units: HeightUnits,
) -> Option<(Diagnostic, String)> {
    let (what, value, kind) = written(reading.measurement)
        .find(|(_, value, kind)| stands_for_nothing(*value, *kind, kind.unit(units)))?;
    let unit = kind.unit(units);
    let reason = format!("{what} {} {unit} is a code for a missing value", as_given(value));
    let told = about(Code::MissingValue, well, reading, &format!("{reason}, not used")).advice(
        "loggers and databases write such numbers for missing values: leave the cell empty and \
         give a status, or correct the number",
    );
    Some((told, reason))
}

/// D218: the refusal of a reading that no well can give.
pub(super) fn impossible(reading: &Reading, well: &Well, units: HeightUnits) -> Option<Diagnostic> {
    let (what, value, bound, unit) =
        written(reading.measurement).find_map(|(what, value, kind)| {
            let unit = kind.unit(units);
            Some((what, value, outside(value, kind, unit)?, unit))
        })?;
    Some(
        about(Code::Implausible, well, reading, &beyond(what, value, bound, unit))
            .advice("correct the number, its unit or its decimal point, or leave the cell empty"),
    )
}

/// D218: the refusal of a measuring point that cannot be.
pub(super) fn impossible_point(
    point: &MeasuringPoint,
    well: &Well,
    units: HeightUnits,
) -> Option<Diagnostic> {
    let told = ("measuring point elevation", point.elevation, Kind::Level);
    impossible_part(told, &point.origin, well, units)
}

/// D218: the refusals of the ground and of the depths of a well that cannot be.
pub(super) fn impossible_well(well: &Well, units: HeightUnits) -> Vec<Diagnostic> {
    let parts = [
        ("ground elevation", well.ground_elevation, Kind::Level),
        ("total depth", well.total_depth, Kind::Built),
        ("sounded depth", well.sounded_depth, Kind::Built),
        ("screen top", well.screen_top, Kind::Built),
        ("screen bottom", well.screen_bottom, Kind::Built),
    ];
    let told = parts.into_iter().filter_map(|(what, value, kind)| Some((what, value?, kind)));
    told.filter_map(|part| impossible_part(part, &well.origin, well, units)).collect()
}

fn impossible_part(
    (what, value, kind): (&str, f64, Kind),
    origin: &Origin,
    well: &Well,
    units: HeightUnits,
) -> Option<Diagnostic> {
    let unit = kind.unit(units);
    let text = if stands_for_nothing(value, kind, unit) {
        format!("{what} {} {unit} is a code for a missing value", as_given(value))
    } else {
        beyond(what, value, outside(value, kind, unit)?, unit)
    };
    Some(
        Diagnostic::new(Code::Implausible, format!("{}: {text}", name(well)))
            .well(&well.id)
            .at(origin)
            .advice(
                "correct the number, its unit or its decimal point, or leave the cell empty if \
                 unknown",
            ),
    )
}

fn beyond(what: &str, value: f64, bound: f64, unit: LengthUnit) -> String {
    let side = if bound < 0.0 { "below" } else { "above" };
    let [value, bound] = [as_given(value), brief_to(bound, 0)];
    format!("{what} {value} {unit} is {side} the limit of {bound} {unit}")
}
