//! The axes of a plot with time across.

use crate::draw::items::Items;
use crate::draw::scene::{Stroke, at};
use crate::draw::style::{GREY, PALE};
use crate::report::{Plot, axis};

/// Height of the letters of ticks, points.
const SMALL: f64 = 6.0;

/// Draws grid and ticks, about so many of them up.
pub(super) fn axes(items: &mut Items, plot: &Plot<'_>, count: f64) {
    let up = axis::ticks(plot.low, plot.high, count);
    let grid = Stroke::new(PALE, 0.35);
    for value in &up {
        let y = plot.y(*value);
        items.line([at(plot.left, y), at(plot.right, y)], grid);
        items.ending(at(plot.left - 3.0, y + 2.1), SMALL, GREY, &axis::tick(*value, &up));
    }
    for (day, text) in &plot.time.ticks {
        let x = plot.x(*day);
        items.line([at(x, plot.top), at(x, plot.bottom + 2.5)], grid);
        items.centred(at(x, plot.bottom + 9.0), SMALL, text);
    }
    let frame = Stroke::new(GREY, 0.6);
    items.line([at(plot.left, plot.top), at(plot.left, plot.bottom)], frame);
    items.line([at(plot.left, plot.bottom), at(plot.right, plot.bottom)], frame);
}
