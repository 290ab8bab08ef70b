//! The picture below the site plan: an aerial picture or a scanned plan, lightened so that contours stay first.

use super::room::Rect;
use super::scene::{Picture, at};
use super::view::View;
use crate::error::Error;
use crate::report::Results;

/// So much of a colour is its grey.
const GREYED: f64 = 0.5;

/// And so much of what that gives is white.
const WHITENED: f64 = 0.6;

/// A picture has no more dots in an inch, whatever `map.png` has.
const MOST_DPI: u16 = 300;

/// Nor are its dots larger than this, points: half a millimetre, so that its pixels are where they belong.
const LARGEST_DOT: f64 = 72.0 / 25.4 / 2.0;

/// The picture over the frame, and what the legend calls it; nothing where the frame shows none of it.
///
/// # Errors
/// Those of [`crate::read::SitePicture::over`].
pub(super) fn drawn(results: &Results, view: &View) -> Result<Option<(Picture, String)>, Error> {
    let Some(declared) = &results.site.features.picture else { return Ok(None) };
    let Rect { left, top, right, bottom } = view.frame;
    let ground = results.control.frame();
    let corners =
        [at(left, top), at(right, top), at(left, bottom)].map(|p| ground.to_crs(view.to_ground(p)));
    let (width, height) = (view.frame.width(), view.frame.height());
    let finest = 72.0 / f64::from(results.site.settings.sheet.dpi.min(MOST_DPI));
    let on_paper = |length: f64| length * view.enlarged;
    let counts = [finest, LARGEST_DOT]
        .map(|dot| [count(on_paper(width) / dot), count(on_paper(height) / dot)]);
    let found = declared.over(results.control.crs(), corners, counts)?;
    Ok(found.map(|mut found| {
        for dot in found.dots.chunks_exact_mut(4) {
            let [red, green, blue] = lightened([dot[0], dot[1], dot[2]]);
            dot[..3].copy_from_slice(&[red, green, blue]);
        }
        let (columns, rows, dots) = (found.columns, found.rows, found.dots);
        let picture = Picture { at: at(left, top), width, height, columns, rows, dots };
        (picture, declared.words().to_owned())
    }))
}

/// A colour half way to its grey, and then mixed with white.
///
/// # References
/// The weights of red, green and blue in grey: ITU-R BT.601-7, section 2.5.1.
fn lightened(colour: [u8; 3]) -> [u8; 3] {
    let [red, green, blue] = colour.map(f64::from);
    let grey = 0.299 * red + 0.587 * green + 0.114 * blue;
    [red, green, blue].map(|part| {
        let part = part + GREYED * (grey - part);
        byte(part + WHITENED * (255.0 - part))
    })
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "between 0 and 255, and casts of floats saturate"
)]
fn byte(value: f64) -> u8 {
    value.round() as u8
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a sheet has a few thousand dots each way"
)]
fn count(dots: f64) -> usize {
    dots.round() as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::scene::Colour;
    use crate::draw::style;

    /// Relative luminance, IEC 61966-2-1.
    fn luminance(colour: [u8; 3]) -> f64 {
        let [r, g, b] = colour.map(|v| {
            let v = f64::from(v) / 255.0;
            if v <= 0.040_45 { v / 12.92 } else { libm::pow((v + 0.055) / 1.055, 2.4) }
        });
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    #[test]
    fn black_is_light_enough_for_contours_and_white_stays_white() {
        assert_eq!(lightened([255, 255, 255]), [255, 255, 255]);
        // 0.4 of black and 0.6 of white.
        assert_eq!(lightened([0, 0, 0]), [153, 153, 153]);
        // Grey of pure red: 0.299 x 255 = 76.245; half way there 165.6 and 38.1; 0.4 of them and 0.6 x 255.
        assert_eq!(lightened([255, 0, 0]), [219, 168, 168]);
        let Colour(r, g, b) = style::CONTOUR;
        // WCAG 2.2, success criterion 1.4.11: 3 to 1 for parts of graphics; 1.4.3: 4.5 to 1 for text.
        let (ground, ink) = (luminance(lightened([0, 0, 0])), luminance([r, g, b]));
        assert!((ground + 0.05) / (ink + 0.05) >= 3.0, "{ground} {ink}");
        let Colour(r, g, b) = style::INK;
        let ink = luminance([r, g, b]);
        assert!((ground + 0.05) / (ink + 0.05) >= 4.5, "{ground} {ink}");
    }
}
