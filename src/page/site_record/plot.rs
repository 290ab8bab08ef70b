//! A plot with time across: where a value of a day lies, and the ticks of both axes.

use serde::Serialize;

use super::time::TimeAxis;
use crate::page::axis;
use crate::page::drawing::number;

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

/// One of the small plots that stand beside each other.
pub(super) const SMALL: Size =
    Size { width: 380.0, height: 186.0, left: 58.0, right: 12.0, top: 16.0, bottom: 26.0 };

/// A plot by itself.
pub(super) const LARGE: Size =
    Size { width: 560.0, height: 300.0, left: 66.0, right: 14.0, top: 16.0, bottom: 30.0 };

/// A plot.
#[derive(Debug)]
pub(super) struct Plot<'t> {
    size: Size,
    time: &'t TimeAxis,
    low: f64,
    high: f64,
}

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

impl<'t> Plot<'t> {
    /// One that shows values from `low` to `high`.
    pub(super) const fn of(size: Size, time: &'t TimeAxis, low: f64, high: f64) -> Self {
        Self { size, time, low, high }
    }

    /// Where a day lies across, drawing units.
    pub(super) fn x(&self, day: f64) -> f64 {
        let inner = self.size.width - self.size.left - self.size.right;
        self.size.left + self.time.part(day) * inner
    }

    /// Where a value lies, drawing units from the top; what is beyond the axis at its end.
    pub(super) fn y(&self, value: f64) -> f64 {
        let inner = self.size.height - self.size.top - self.size.bottom;
        let part = (self.high - value) / (self.high - self.low).max(f64::MIN_POSITIVE);
        self.size.top + part.clamp(0.0, 1.0) * inner
    }

    /// Whether a value lies within the axis.
    pub(super) fn has(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }

    /// Whether a day is in the right part of the plot, where names stand to the left of their mark.
    pub(super) fn is_late(&self, day: f64) -> bool {
        self.time.part(day) > 0.62
    }

    /// The lower end of the frame, drawing units.
    pub(super) fn bottom(&self) -> f64 {
        self.size.height - self.size.bottom
    }

    /// The axes with about so many ticks up.
    pub(super) fn axes(&self, count: f64) -> Axes {
        let up = axis::ticks(self.low, self.high, count);
        let tick = |at: f64, text: String| Tick { at: number(at), text };
        Axes {
            width: self.size.width,
            height: self.size.height,
            left: self.size.left,
            right: self.size.width - self.size.right,
            top: self.size.top,
            bottom: self.bottom(),
            up: up.iter().map(|v| tick(self.y(*v), axis::tick(*v, &up))).collect(),
            across: self
                .time
                .ticks
                .iter()
                .map(|(day, text)| tick(self.x(*day), text.clone()))
                .collect(),
        }
    }
}
