//! The sizes of plots with time across, and their axes.

use serde::Serialize;

use crate::page::drawing::number;
use crate::report::{Plot, TimeAxis, axis};

/// The size of a plot and what lies about its frame, drawing units.
#[derive(Debug, Clone, Copy, Serialize)]
pub(super) struct Size {
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
}

/// A small plot, one of several in a row.
pub(super) const SMALL: Size =
    Size { width: 380.0, height: 186.0, left: 58.0, right: 12.0, top: 16.0, bottom: 26.0 };

/// A plot by itself.
pub(super) const LARGE: Size =
    Size { width: 560.0, height: 300.0, left: 66.0, right: 14.0, top: 16.0, bottom: 30.0 };

/// The axes of a plot, ready to be drawn.
#[derive(Debug, Serialize)]
pub(super) struct Axes {
    width: f64,
    height: f64,
    left: f64,
    /// Right end of the frame.
    right: f64,
    top: f64,
    /// Lower end of the frame.
    bottom: f64,
    up: Vec<Tick>,
    across: Vec<Tick>,
}

#[derive(Debug, Serialize)]
struct Tick {
    at: String,
    text: String,
}

impl Size {
    /// A plot of this size that shows values from `low` to `high`.
    pub(super) const fn plot(self, time: &TimeAxis, low: f64, high: f64) -> Plot<'_> {
        Plot {
            left: self.left,
            right: self.width - self.right,
            top: self.top,
            bottom: self.height - self.bottom,
            time,
            low,
            high,
        }
    }
}

impl Axes {
    /// The axes of a plot of this size, with about so many ticks up.
    pub(super) fn of(size: Size, plot: &Plot<'_>, count: f64) -> Self {
        let up = axis::ticks(plot.low, plot.high, count);
        let tick = |at: f64, text: String| Tick { at: number(at), text };
        let across = plot.time.ticks.iter();
        Self {
            width: size.width,
            height: size.height,
            left: plot.left,
            right: plot.right,
            top: plot.top,
            bottom: plot.bottom,
            up: up.iter().map(|v| tick(plot.y(*v), axis::tick(*v, &up))).collect(),
            across: across.map(|(day, text)| tick(plot.x(*day), text.clone())).collect(),
        }
    }
}
