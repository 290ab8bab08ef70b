//! What cannot stand like that, and what deserves a second look.

use crate::diag::{Code, Diagnostic, Severity};
use crate::geom::tolerance::{HEAVIEST_PRODUCT, LIGHTEST_PRODUCT, WRITTEN_HEAD_M};
use crate::read::{Measurement, Reading, Status, Well, WellKind};
use crate::reduce::lengths::Lengths;
use crate::reduce::words::{about, show};
use crate::units::{HeightUnits, LengthUnit, as_given, brief, clean};

/// The refusal of a reading that contradicts itself or lacks what its head needs.
pub(super) fn contradiction(
    reading: &Reading,
    well: &Well,
    lengths: Lengths,
    units: HeightUnits,
) -> Option<Diagnostic> {
    let unit = units.depth;
    let refuse =
        |code, text: &str, advice: &str| Some(about(code, well, reading, text).advice(advice));
    match lengths {
        Lengths::Nothing => refuse(
            Code::MeasurementUnclear,
            "the reading has no measurement and no status",
            "give the depth to water, or the status that explains why there is none",
        ),
        Lengths::Product { to_product, to_water, .. } if to_product > to_water => refuse(
            Code::ProductImpossible,
            &format!(
                "depth to product {} {unit} is more than depth to water {} {unit}",
                show(to_product),
                show(to_water)
            ),
            "product floats on the water: the two depths are probably swapped",
        ),
        Lengths::Product { gravity: Some(gravity), .. }
            if !(gravity > LIGHTEST_PRODUCT && gravity < HEAVIEST_PRODUCT) =>
        {
            refuse(
                Code::ProductImpossible,
                &format!(
                    "specific gravity {} of the floating product is not between {} and {}",
                    as_given(gravity),
                    LIGHTEST_PRODUCT,
                    HEAVIEST_PRODUCT
                ),
                "give the density of the site's product divided by that of water; product denser \
                 than water is not corrected for",
            )
        }
        Lengths::Product { to_product, to_water, gravity: None } if to_product < to_water => {
            refuse(
                Code::GravityMissing,
                &format!(
                    "{} {unit} of floating product, but no specific gravity",
                    show(to_water - to_product)
                ),
                "give specific_gravity in the round, in the register or under [round] in \
                 site.toml; headfall does not assume one",
            )
        }
        _ => match reading.measurement {
            Measurement::HoldAndCut { hold, cut } if cut > hold => refuse(
                Code::MeasurementUnclear,
                &format!(
                    "the wetted length {} {unit} is more than the length held {} {unit}",
                    brief(cut),
                    brief(hold)
                ),
                "hold and cut are probably swapped",
            ),
            Measurement::Stage(height) if well.kind == WellKind::Well => refuse(
                Code::MeasurementUnclear,
                &format!(
                    "a stage of {} {unit} is given, but the register lists it as a well",
                    brief(height)
                ),
                "a stage is read at a gauge: set kind to gauge in the register, or move the \
                 reading to the correct column",
            ),
            Measurement::PressureHead(height)
                if height < 0.0 && reading.status != Status::Flowing =>
            {
                refuse(
                    Code::MeasurementUnclear,
                    &format!("the pressure head {} {unit} is negative", brief(height)),
                    "give a level below the measuring point as depth_to_water, positive downward",
                )
            }
            _ => below_though_flowing(reading).and_then(|depth| {
                refuse(
                    Code::MeasurementUnclear,
                    &format!(
                        "the status is flowing, but the level is {} {unit} below the measuring \
                         point",
                        brief(depth)
                    ),
                    "give a height above the measuring point as pressure_head; otherwise remove \
                     the status",
                )
            }),
        },
    }
}

/// The depth of a level that should stand above the measuring point, depth unit.
fn below_though_flowing(reading: &Reading) -> Option<f64> {
    let depth = match reading.measurement {
        Measurement::PressureHead(height) => -height,
        _ => depth_read(reading)?.1,
    };
    (reading.status == Status::Flowing && depth > 0.0).then_some(depth)
}

/// The shallowest depth of a reading as it was read, before any correction, and its name.
pub(super) fn depth_read(reading: &Reading) -> Option<(&'static str, f64)> {
    match reading.measurement {
        Measurement::Depth(depth) => Some(("depth to water", depth)),
        Measurement::HoldAndCut { hold, cut } => Some(("depth to water", clean(hold - cut))),
        Measurement::Product { to_product, .. } => Some(("depth to product", to_product)),
        _ => None,
    }
}

/// The warning of a depth that was read as a head above the measuring point, though nothing says
/// that the well flows.
pub(super) fn negative_depth(
    reading: &Reading,
    well: &Well,
    units: HeightUnits,
) -> Option<Diagnostic> {
    let (what, depth) = depth_read(reading)?;
    if depth >= 0.0 || reading.status == Status::Flowing {
        return None;
    }
    let unit = units.depth;
    let text = format!(
        "{what} {} {unit} is negative and was taken as {} {unit} above the measuring point",
        brief(depth),
        brief(-depth)
    );
    Some(about(Code::NegativeDepth, well, reading, &text).advice(
        "if the water level is above the measuring point, give the status flowing or the height \
         as pressure_head; otherwise correct the sign",
    ))
}

/// Negative depths as warnings, or as one refusal where they are more than half of all depths:
/// then the whole table counts upward.
pub(super) fn negative_depths(mut negative: Vec<Diagnostic>, depths: usize) -> Vec<Diagnostic> {
    if negative.len() * 2 <= depths {
        return negative;
    }
    negative.sort_by(|a, b| (&a.wells, &a.origins).cmp(&(&b.wells, &b.origins)));
    let text = format!("{} of {depths} depths are negative", negative.len());
    let mut refusal = Diagnostic::new(Code::NegativeDepth, text).advice(
        "depths are positive downward from the measuring point: change the signs if the table has \
         them positive upward; if the wells are flowing, give the status flowing or the heights \
         as pressure_head",
    );
    refusal.severity = Severity::Refusal;
    for finding in negative {
        refusal.wells.extend(finding.wells);
        refusal.origins.extend(finding.origins);
    }
    refusal.wells.dedup();
    vec![refusal]
}

/// The warning of an elevation written beside a depth that is not the computed head.
pub(super) fn written_otherwise(
    reading: &Reading,
    well: &Well,
    head: f64,
    units: HeightUnits,
) -> Option<Diagnostic> {
    let written = reading.written_elevation?;
    let unit = units.elevation;
    let bound = LengthUnit::Metre.convert(WRITTEN_HEAD_M, unit);
    let difference = clean((written - head).abs());
    if difference <= bound {
        return None;
    }
    let text = format!(
        "the recorded elevation {} {unit} differs from the computed {} {unit} by {} {unit} (bound \
         {} {unit})",
        brief(written),
        show(head),
        show(difference),
        show(bound)
    );
    Some(about(Code::HeadDisagrees, well, reading, &text).advice(
        "the computed elevation is used; check the depth, the measuring point elevation and the \
         recorded value",
    ))
}
