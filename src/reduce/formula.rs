//! The arithmetic of reduction. Every function takes one unit and gives the same unit; conversion
//! between depth unit and elevation unit is the caller's.

use crate::read::Calibration;
use crate::units::{HEIGHT_DECIMALS, round_half};

/// What is to be added to a tape reading: offset + stretch x reading, to 0.0001 of the unit, so that who adds
/// what the tables print has the head.
///
/// # Units
/// - `reading`, `calibration.offset`, returns: one unit of length
/// - `calibration.stretch`: length per length
///
/// # References
/// As [`corrected_depth`].
#[must_use]
pub(crate) fn tape_correction(reading: f64, calibration: Calibration) -> f64 {
    round_half(calibration.offset + calibration.stretch * reading, HEIGHT_DECIMALS)
}

/// A tape reading corrected for its calibration: reading + offset + stretch x reading, the correction to 0.0001
/// of the unit.
///
/// # Units
/// - `reading`, `calibration.offset`, returns: one unit of length
/// - `calibration.stretch`: length per length
///
/// # Example
/// A tape with offset 0.02 ft and stretch 0.0001 that reads 50.00 ft has measured 50.025 ft.
///
/// # References
/// US Geological Survey, Techniques and Methods 1-A1 (2011), GWPD 4: electric tapes are checked
/// against a steel tape and their difference is applied. The linear form is common practice, no
/// source. `docs/reduction.md`, eq. 2.
#[must_use]
pub fn corrected_depth(reading: f64, calibration: Calibration) -> f64 {
    reading + tape_correction(reading, calibration)
}

/// Depth to water from a chalked tape: the length held at the measuring point less the wetted
/// length.
///
/// # Units
/// - `hold`, `cut`, returns: one unit of length
///
/// # Example
/// A tape held at 30.00 ft and wetted to 1.37 ft stands for a depth of 28.63 ft.
///
/// # References
/// US Geological Survey, Techniques and Methods 1-A1 (2011), GWPD 1 (number from memory).
/// `docs/reduction.md`, eq. 3.
#[must_use]
pub(crate) fn hold_less_cut(hold: f64, cut: f64) -> f64 {
    hold - cut
}

/// Head of a well from its depth to water: measuring point less depth. A negative depth gives
/// a head above the measuring point.
///
/// # Units
/// - `measuring_point`, `depth`, returns: one unit of length
///
/// # Example
/// A measuring point at 1000 m and a depth to water of 100 m give a head of 900 m.
///
/// # References
/// The definition of head in an open well: any text on hydrogeology. `docs/reduction.md`, eq. 1.
#[must_use]
pub fn head_of_depth(measuring_point: f64, depth: f64) -> f64 {
    measuring_point - depth
}

/// Head from a height above a mark: a pressure head above the measuring point of a flowing well,
/// or a stage above a gauge's reference mark.
///
/// # Units
/// - `mark`, `height`, returns: one unit of length
///
/// # References
/// Head is elevation head plus pressure head: any text on hydrogeology. `docs/reduction.md`, eq. 5.
#[must_use]
pub fn head_above(mark: f64, height: f64) -> f64 {
    mark + height
}

/// What floating product takes off the depth to water, SG x (DTW - DTP), to 0.0001 of the unit: the water would
/// stand that much higher if the product on it were water of the same weight.
///
/// # Units
/// - `thickness` (DTW - DTP), returns: one unit of length
/// - `gravity`: density of the product over that of water, dimensionless
///
/// # Example
/// Product at 8.75 ft, water at 9.08 ft, specific gravity 0.83: the correction is 0.2739 ft, the corrected depth
/// 8.8061 ft, and with the measuring point at 100.00 ft the head is 91.1939 ft.
///
/// # References
/// Hydrostatics; worked in this form in San Joaquin County EHD public file 471029, p. 11.
/// `docs/reduction.md`, eq. 4.
#[must_use]
pub fn product_correction(thickness: f64, gravity: f64) -> f64 {
    round_half(gravity * thickness, HEIGHT_DECIMALS)
}

/// Equivalent freshwater head of a measured head in water of another density:
/// hf = (d / df) h - ((d - df) / df) z.
///
/// Reduction does not apply it by itself; it is here for those who compare heads of a saline
/// aquifer at one depth.
///
/// # Units
/// - `head`, `elevation` (of the point where the well is open), returns: one unit of length
/// - `density`, `fresh_density`: one unit of density, `fresh_density` above zero
///
/// # Example
/// A head of 1 m in a well open at -30 m in water of 1025 kg/m³ is a freshwater head of 1.775 m.
///
/// # References
/// Guo and Langevin (2002); Post, Kooi and Simmons (2007). `docs/reduction.md`, eq. 6.
#[must_use]
pub fn freshwater_head(head: f64, elevation: f64, density: f64, fresh_density: f64) -> f64 {
    let ratio = density / fresh_density;
    ratio * head - (ratio - 1.0) * elevation
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn near(found: f64, expected: f64, tolerance: f64) {
        assert!((found - expected).abs() <= tolerance, "{found} is not {expected}");
    }

    #[test]
    fn a_tape_with_no_error_changes_nothing() {
        let exact = Calibration { offset: 0.0, stretch: 0.0 };
        assert_eq!(corrected_depth(12.34, exact).to_bits(), 12.34_f64.to_bits());
    }

    #[test]
    fn offset_and_stretch_are_added_to_the_reading() {
        let tape = Calibration { offset: 0.02, stretch: 0.0001 };
        near(corrected_depth(50.0, tape), 50.025, 1e-12);
        near(corrected_depth(0.0, tape), 0.02, 1e-12);
    }

    #[test]
    fn corrections_have_four_decimals() {
        // 0.0002 x 15.94 + 0.02 is 0.023188.
        let tape = Calibration { offset: 0.02, stretch: 0.0002 };
        near(tape_correction(15.94, tape), 0.0232, 1e-12);
        near(product_correction(0.123, 0.777), 0.0956, 1e-12);
        // A half in decimals, which 0.5 x 0.0001 in binary digits need not be.
        near(product_correction(0.0001, 0.5), 0.0001, 1e-12);
    }

    #[test]
    fn product_without_thickness_corrects_nothing() {
        near(product_correction(0.0, 0.83), 0.0, 0.0);
    }

    #[test]
    fn fresh_water_keeps_its_head() {
        near(freshwater_head(12.5, -30.0, 1000.0, 1000.0), 12.5, 1e-12);
    }
}
