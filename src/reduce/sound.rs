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
            "the reading says no measurement and no status",
            "write the depth to water, or the status that explains why there is none",
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
                "write the density of the site's own product over that of water; what sinks in \
                 water is not corrected for",
            )
        }
        Lengths::Product { to_product, to_water, gravity: None } if to_product < to_water => {
            refuse(
                Code::GravityMissing,
                &format!(
                    "{} {unit} of floating product and no specific gravity",
                    show(to_water - to_product)
                ),
                "write specific_gravity into the round, the register or [round] of site.toml; \
             headfall does not assume one",
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
                    "a stage of {} {unit} is given, but the register has it as a well",
                    brief(height)
                ),
                "a stage is read at a gauge: write the kind gauge into the register, or the \
                 reading into the column of what was measured",
            ),
            Measurement::PressureHead(height)
                if height < 0.0 && reading.status != Status::Flowing =>
            {
                refuse(
                    Code::MeasurementUnclear,
                    &format!("the pressure head {} {unit} is negative", brief(height)),
                    "a level below the measuring point goes into depth_to_water, as a positive \
                     depth",
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
                    "a height above the measuring point goes into pressure_head; otherwise take \
                     the status out",
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
        "{what} {} {unit} is negative and was read as {} {unit} above the measuring point",
        brief(depth),
        brief(-depth)
    );
    Some(about(Code::NegativeDepth, well, reading, &text).advice(
        "write the status flowing, or the height under pressure_head, where water stands above \
         the measuring point; otherwise correct the sign",
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
        "depths are counted down from the measuring point: turn the signs where the table counts \
         them upward; where the wells do flow, write the status flowing or the heights under \
         pressure_head",
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
        "the written elevation {} {unit} differs from the computed {} {unit} by {} {unit} (bound \
         {} {unit})",
        brief(written),
        show(head),
        show(difference),
        show(bound)
    );
    Some(about(Code::HeadDisagrees, well, reading, &text).advice(
        "the computed one counts; check the depth, the measuring point elevation and the written \
         value",
    ))
}
