//! Shading by head.
//!
//! The ramp is a straight line in the colour space OKLab, from a dark blue-green at the lowest head
//! to a pale yellow at the highest: equal steps of head are equal steps of perceived colour, and
//! lightness grows throughout, so that the order survives in grey and in every kind of colour
//! vision.

use super::scene::{Colour, Picture};
use super::view::View;
use crate::report::Results;

/// Lightness, green to red and blue to yellow of the lowest head's colour.
const LOW: [f64; 3] = [0.70, -0.055, -0.065];

/// The same of the highest head's colour.
const HIGH: [f64; 3] = [0.96, -0.012, 0.062];

/// Side of a dot of the shading, points.
const DOT: f64 = 1.0;

/// The ramp's colour, from 0 at the lowest head to 1 at the highest.
///
/// # References
/// Ottosson (2020), "A perceptual color space for image processing", for OKLab and its matrices;
/// IEC 61966-2-1 for the transfer function of sRGB.
pub(super) fn ramp(share: f64) -> Colour {
    let lab = [0, 1, 2].map(|i| LOW[i] + (HIGH[i] - LOW[i]) * share.clamp(0.0, 1.0));
    let cube = |v: f64| v * v * v;
    let l = cube(lab[0] + 0.396_337_777_4 * lab[1] + 0.215_803_757_3 * lab[2]);
    let m = cube(lab[0] - 0.105_561_345_8 * lab[1] - 0.063_854_172_8 * lab[2]);
    let s = cube(lab[0] - 0.089_484_177_5 * lab[1] - 1.291_485_548_0 * lab[2]);
    let red = 4.076_741_662_1 * l - 3.307_711_591_3 * m + 0.230_969_929_2 * s;
    let green = -1.268_438_004_6 * l + 2.609_757_401_1 * m - 0.341_319_396_5 * s;
    let blue = -0.004_196_086_3 * l - 0.703_418_614_7 * m + 1.707_614_701_0 * s;
    Colour(byte(red), byte(green), byte(blue))
}

/// A linear part of light as a byte of sRGB.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held between 0 and 255 before"
)]
fn byte(linear: f64) -> u8 {
    let v = linear.clamp(0.0, 1.0);
    let encoded =
        if v <= 0.003_130_8 { 12.92 * v } else { 1.055 * libm::pow(v, 1.0 / 2.4) - 0.055 };
    (encoded * 255.0).round() as u8
}

/// The heads as a picture over the frame; nothing where there is no support.
pub(super) fn picture(results: &Results, view: &View) -> Option<Picture> {
    let grid = &results.surface.heads;
    let (low, high) = grid.range()?;
    let span = if high > low { high - low } else { 1.0 };
    // 256 colours are more than anyone tells apart.
    let colours: Vec<Colour> = (0..256).map(|i| ramp(f64::from(i) / 255.0)).collect();
    let frame = results.control.frame();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a sheet is a few thousand points wide"
    )]
    let (columns, rows) = ((view.frame.width() / DOT) as u32, (view.frame.height() / DOT) as u32);
    let (width, height) = (f64::from(columns) * DOT, f64::from(rows) * DOT);
    let mut dots = Vec::with_capacity(columns as usize * rows as usize * 4);
    for row in 0..rows {
        for column in 0..columns {
            let p = geo::Coord {
                x: view.frame.left + (f64::from(column) + 0.5) * DOT,
                y: view.frame.top + (f64::from(row) + 0.5) * DOT,
            };
            let head = grid.nearest(frame.to_crs(view.to_ground(p)));
            match head {
                Some(head) => {
                    let share = ((head - low) / span * 255.0).round();
                    #[expect(
                        clippy::cast_possible_truncation,
                        clippy::cast_sign_loss,
                        reason = "between 0 and 255"
                    )]
                    let Colour(red, green, blue) = colours[share as usize];
                    dots.extend([red, green, blue, 255]);
                }
                None => dots.extend([0, 0, 0, 0]),
            }
        }
    }
    let at = geo::Coord { x: view.frame.left, y: view.frame.top };
    Some(Picture { at, width, height, columns, rows, dots })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance, IEC 61966-2-1.
    fn luminance(Colour(r, g, b): Colour) -> f64 {
        let linear = |v: u8| {
            let v = f64::from(v) / 255.0;
            if v <= 0.040_45 { v / 12.92 } else { libm::pow((v + 0.055) / 1.055, 2.4) }
        };
        0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b)
    }

    #[test]
    fn the_ramp_grows_lighter_all_the_way_and_ink_is_legible_on_it() {
        let steps: Vec<f64> = (0..=20).map(|i| luminance(ramp(f64::from(i) / 20.0))).collect();
        assert!(steps.windows(2).all(|w| w[1] > w[0] + 0.01), "{steps:?}");
        // WCAG 2.2, success criterion 1.4.3: contrast of text at least 4.5 to 1.
        let ink = luminance(crate::draw::style::CONTOUR);
        assert!((steps[0] + 0.05) / (ink + 0.05) >= 4.5, "{} {ink}", steps[0]);
    }

    #[test]
    fn every_colour_of_the_ramp_can_be_shown() {
        // No part of light is cut off at its least or most.
        for share in [0.0, 0.25, 0.5, 0.75, 1.0] {
            let Colour(r, g, b) = ramp(share);
            assert!([r, g, b].iter().all(|v| *v > 0 && *v < 255), "{share}: {r} {g} {b}");
        }
    }
}
