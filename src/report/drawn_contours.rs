//! Lines of equal head as sheet and page draw them.

use super::results::Results;
use crate::contour;
use crate::contour::{DrawnLine, Ground, WITHIN};
use crate::interpolate::{Relief, Sloping};
use crate::read::ContourDrawing;
use crate::units::round_to_significant;

impl Results<'_> {
    /// Each line as it is drawn.
    pub(crate) fn drawn_contours(&self) -> Vec<DrawnLine> {
        let lines = &self.contours.lines;
        let Some(planes) = self.rounded_on() else { return contour::as_computed(lines) };
        let ground = Ground {
            frame: self.control.frame(),
            known: self.mesh.local(),
            lines: self.control.beside().lines(),
        };
        contour::rounded(lines, planes, &self.contours.spacings(), ground)
    }

    /// The planes on which the corners of lines are rounded, where they are.
    fn rounded_on(&self) -> Option<&Sloping> {
        let asked = self.site.settings.contour_drawing == ContourDrawing::Smooth;
        match self.surface.relief() {
            Relief::Planes(planes) if asked => Some(planes),
            _ => None,
        }
    }

    /// What sheet and page say of rounded lines.
    pub(crate) fn rounding_words(&self) -> Option<String> {
        let within = match self.contours.interval {
            Some(interval) => format!(
                "{} {}",
                round_to_significant(WITHIN * interval, 6),
                self.control.elevation_unit().in_words()
            ),
            None => format!("{WITHIN} of the distance between levels"),
        };
        self.rounded_on().map(|_| format!("smoothed within {within}"))
    }
}
