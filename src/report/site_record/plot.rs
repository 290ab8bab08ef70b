//! Where a value of a day lies on a plot with time across.

use super::time::TimeAxis;

/// The frame of a plot: lengths to the right and down, and the values at its lower and upper end.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Plot<'t> {
    pub(crate) left: f64,
    pub(crate) right: f64,
    pub(crate) top: f64,
    pub(crate) bottom: f64,
    pub(crate) time: &'t TimeAxis,
    pub(crate) low: f64,
    pub(crate) high: f64,
}

impl Plot<'_> {
    /// Where a day lies across.
    pub(crate) fn x(&self, day: f64) -> f64 {
        self.left + self.time.part(day) * (self.right - self.left)
    }

    /// Where a value lies; what is beyond the axis at its end.
    pub(crate) fn y(&self, value: f64) -> f64 {
        let part = (self.high - value) / (self.high - self.low).max(f64::MIN_POSITIVE);
        self.top + part.clamp(0.0, 1.0) * (self.bottom - self.top)
    }

    /// Whether a value lies within the axis.
    pub(crate) fn has(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }

    /// Whether a day is in the right part of the plot, where names stand to the left of their mark.
    pub(crate) fn is_late(&self, day: f64) -> bool {
        self.time.part(day) > 0.62
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_lie_between_the_ends_of_the_frame() {
        let time = TimeAxis::of([0.0, 1000.0].into_iter()).expect("days");
        let plot = Plot {
            left: 10.0,
            right: 110.0,
            top: 5.0,
            bottom: 55.0,
            time: &time,
            low: 40.0,
            high: 42.0,
        };
        for (head, y) in [(42.0, 5.0), (41.0, 30.0), (39.0, 55.0)] {
            assert!((plot.y(head) - y).abs() < 1e-9, "{head}");
        }
        // The days are in the middle, with as much free on either side.
        let (a, b) = (plot.x(0.0), plot.x(1000.0));
        assert!(a > 10.0 && b < 110.0 && (a + b - 120.0).abs() < 1e-9, "{a} {b}");
        assert!(plot.has(41.0) && !plot.has(42.1) && plot.is_late(700.0) && !plot.is_late(500.0));
    }
}
