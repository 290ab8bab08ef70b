//! What floating product cannot be, and what deserves a second look.

use crate::diag::{Code, Diagnostic, listed};
use crate::geom::tolerance::WRITTEN_HEAD_M;
use crate::read::{Measurement, Reading, Status, Well, by_name};
use crate::reduce::words::{about, show};
use crate::units::{HeightUnits, LengthUnit, brief, clean};

/// Whether a depth to product says that product stands up to the measuring point, or above it over
/// water below it in a well that does not flow. Forms are filled with 0 where there is none.
pub(super) fn to_the_top(reading: &Reading) -> bool {
    let Measurement::Product { to_product, to_water, .. } = reading.measurement else {
        return false;
    };
    let flowing = reading.status == Status::Flowing;
    (to_product == 0.0 && to_water != 0.0) || (to_product < 0.0 && to_water > 0.0 && !flowing)
}

/// D205: one refusal of all readings with product [`to_the_top`].
pub(super) fn all_to_the_top(
    mut readings: Vec<(&Reading, &Well)>,
    unit: LengthUnit,
) -> Option<Diagnostic> {
    readings
        .sort_by(|(a, _), (b, _)| by_name(&a.well, &b.well).then_with(|| a.origin.cmp(&b.origin)));
    let list: Vec<String> = readings
        .iter()
        .filter_map(|(reading, well)| match reading.measurement {
            Measurement::Product { to_product, to_water, .. } => {
                let [product, water] = [to_product, to_water].map(brief);
                Some(format!("{} (product {product} {unit}, water {water} {unit})", well.id))
            }
            _ => None,
        })
        .collect();
    let text = format!("depths to product at or above the measuring point: {}", listed(list));
    let mut refusal = Diagnostic::new(Code::ProductImpossible, text).advice(
        "leave the cell empty where there is no product: a depth to product of 0 means product up \
         to the measuring point and raises the head by most of the depth to water",
    );
    for (reading, well) in &readings {
        refusal = refusal.well(&well.id).at(&reading.origin);
    }
    refusal.wells.dedup();
    (!readings.is_empty()).then_some(refusal)
}

/// D205: a written thickness that is not the difference of the two depths.
pub(super) fn thickness_otherwise(
    reading: &Reading,
    well: &Well,
    units: HeightUnits,
) -> Option<Diagnostic> {
    let Measurement::Product { to_product, to_water, .. } = reading.measurement else {
        return None;
    };
    let (written, unit) = (reading.written_thickness?, units.depth);
    let bound = LengthUnit::Metre.convert(WRITTEN_HEAD_M, unit);
    let between = clean(to_water - to_product);
    if clean((written - between).abs()) <= bound {
        return None;
    }
    let text = format!(
        "the recorded product thickness {} {unit} is not the {} {unit} between product at {} \
         {unit} and water at {} {unit} (bound {} {unit})",
        brief(written),
        brief(between),
        brief(to_product),
        brief(to_water),
        show(bound)
    );
    Some(
        about(Code::ProductImpossible, well, reading, &text)
            .advice("check the three numbers against the field sheet and clear the wrong one"),
    )
}
