//! Colours, weights and sizes, in one place.
//!
//! Kinds of things differ by shape and weight first and by colour second, so that the sheet stays
//! legible in grey and for every kind of colour vision. Lengths are points.

use super::scene::{Colour, Stroke};
use crate::read::{Page, Settings};

pub(super) const INK: Colour = Colour(0x1c, 0x1f, 0x26);
pub(super) const WHITE: Colour = Colour(0xff, 0xff, 0xff);
/// What is told and not drawn from: keys in the panel, wells not used.
pub(super) const GREY: Colour = Colour(0x6b, 0x6f, 0x76);
/// Rules and ticks.
pub(super) const PALE: Colour = Colour(0xb4, 0xb8, 0xbd);
/// Lines of equal head.
pub(super) const CONTOUR: Colour = Colour(0x3a, 0x2d, 0x6b);
/// The way water flows.
pub(super) const FLOW: Colour = Colour(0xa8, 0x4a, 0x0c);
/// The site plan below the map, and the sign of a picture below it.
pub(super) const PICTURED: Colour = Colour(0xcc, 0xcf, 0xc8);
pub(super) const PAVED: Colour = Colour(0xe9, 0xe7, 0xe2);
pub(super) const BUILT: Colour = Colour(0xd9, 0xd8, 0xd6);
pub(super) const POND: Colour = Colour(0xe0, 0xee, 0xf5);
/// Water at the surface.
pub(super) const WATER: Colour = Colour(0x1b, 0x7f, 0xb5);
/// What must be kept clean.
pub(super) const RECEPTOR: Colour = Colour(0x00, 0x6b, 0x5b);
/// What somebody judged and nobody measured; and the same below contours.
pub(super) const JUDGED: Colour = Colour(0xc4, 0x16, 0x1c);
pub(super) const JUDGED_PALE: Colour = Colour(0xf4, 0xc3, 0xc0);
/// Where a plume may start.
pub(super) const SOURCE: Colour = Colour(0x8c, 0x1d, 0x5a);

pub(super) const LIGHT_LINE: Stroke = Stroke::new(CONTOUR, 0.55);
pub(super) const INDEX_LINE: Stroke = Stroke::new(CONTOUR, 1.15);
/// Dash and gap of inferred stretches.
pub(super) const INFERRED: [f64; 2] = [4.2, 2.4];
/// Length of the ticks on the low side, and their distance.
pub(super) const TICK: f64 = 3.0;
pub(super) const TICK_STEP: f64 = 11.0;
/// The outline of the wells, beyond which nothing was measured.
pub(super) const OUTLINE: Stroke = Stroke::new(GREY, 0.4).dashed([0.8, 2.0]);
pub(super) const BOUNDARY: Stroke = Stroke::new(INK, 0.9).dashed([9.0, 2.5]);
pub(super) const BARRIER: Stroke = Stroke::new(INK, 2.2);
/// A control line, which its contour runs along.
pub(super) const CONTROL_LINE: Stroke = Stroke::new(JUDGED_PALE, 3.4);
pub(super) const STREAM: Stroke = Stroke::new(WATER, 1.8);
/// Sources and receptors that are lines or areas: blocks and fine dots, which grey print tells
/// apart.
pub(super) const SOURCE_EDGE: Stroke = Stroke::new(SOURCE, 2.2).dashed([2.4, 2.4]);
pub(super) const RECEPTOR_EDGE: Stroke = Stroke::new(RECEPTOR, 1.2).dashed([1.2, 1.8]);
/// A receptor that is a stream: the same dots, wider than the stream's line.
pub(super) const RECEPTOR_ON_STREAM: Stroke = Stroke::new(RECEPTOR, 4.2).dashed([1.2, 3.0]);
pub(super) const ARROW: Stroke = Stroke::new(FLOW, 0.7);
/// The way of the water from a source, and back from a receptor or a pumped well; paper under both,
/// below the contours, which stay whole.
pub(super) const PATH: Stroke = Stroke::new(SOURCE, 1.1);
pub(super) const PATH_BACK: Stroke = Stroke::new(RECEPTOR, 0.8);
pub(super) const PATH_UNDER: Stroke = Stroke::new(WHITE, 2.8);
pub(super) const FRAME: Stroke = Stroke::new(INK, 0.9);
pub(super) const RULE: Stroke = Stroke::new(PALE, 0.5);

/// How much a sheet is enlarged once it is drawn. Its smallest letters are then of 7 points on Letter and A4; larger paper is
/// read from farther off.
pub(super) fn enlarged(settings: &Settings) -> f64 {
    match settings.page() {
        Page::A4 | Page::Letter => 7.0 / SMALLEST,
        Page::A3 | Page::Tabloid => 8.4 / SMALLEST,
    }
}

/// The smallest letters, points before that.
pub(super) const SMALLEST: f64 = 6.2;
/// Text in the panel, and the distance of its lines.
pub(super) const BODY: f64 = 6.6;
pub(super) const LINE: f64 = 8.3;
/// Labels of contours, and the smaller ones where room is short.
pub(super) const LABEL: f64 = 6.4;
pub(super) const SMALL_LABEL: f64 = SMALLEST;
