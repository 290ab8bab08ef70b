//! From the ground to the sheet: a round scale, and where the map's frame looks.

use geo::Coord;

use super::room::Rect;
use super::scene::at;
use crate::read::NorthUp;
use crate::report::{Norths, Results};
use crate::units::{LengthUnit, grouped};

/// Points in a metre of paper.
const POINTS_PER_METRE: f64 = 72.0 / 0.0254;

/// The room kept between the outermost well and the frame, for labels, points.
const MARGIN: f64 = 24.0;

/// The steps of metric scales: 1:1000, 1:1250, 1:1500 ...
const METRIC: [f64; 10] = [1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.5];

/// The steps of scales in feet: an inch on paper is 10, 12.5, 15, 20, 25, 30, 40, 50, 60, 80 ... feet.
const FEET: [f64; 10] = [1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0];

/// How a map is turned for its north to be up.
#[derive(Debug, Clone, Copy)]
pub(super) struct Turn {
    sin: f64,
    cos: f64,
}

impl Turn {
    /// That of a map.
    pub(super) fn of(results: &Results) -> Self {
        let turn = match results.site.settings.sheet.north {
            NorthUp::Grid => 0.0,
            NorthUp::True => Norths::of(&results.control).turn_deg().to_radians(),
        };
        Self { sin: libm::sin(turn), cos: libm::cos(turn) }
    }

    /// A place or a direction, east and north, as it is right and up on the sheet.
    pub(super) fn turned(self, p: Coord) -> Coord {
        at(p.x * self.cos + p.y * self.sin, p.y * self.cos - p.x * self.sin)
    }

    /// What is there on the sheet, right and up, in east and north.
    pub(super) fn back(self, p: Coord) -> Coord {
        at(p.x * self.cos - p.y * self.sin, p.y * self.cos + p.x * self.sin)
    }
}

/// What the map's frame shows, and how large.
#[derive(Debug, Clone, Copy)]
pub(super) struct View {
    /// The frame on the sheet, points.
    pub(super) frame: Rect,
    /// The scale is one in this.
    pub(super) denominator: f64,
    /// What stands in the frame's middle, local m, turned.
    middle: Coord,
    turn: Turn,
    /// Points for a metre on the ground.
    per_m: f64,
    /// How much the sheet is enlarged once it is drawn: a point of the frame is so many of the paper.
    pub(super) enlarged: f64,
}

impl View {
    /// A view of a box of the ground at the largest round scale that shows it.
    ///
    /// `low` and `high` are local m, turned.
    pub(super) fn new(
        frame: Rect,
        (low, high): (Coord, Coord),
        turn: Turn,
        unit: LengthUnit,
        enlarged: f64,
    ) -> Self {
        let room = frame.inset(MARGIN);
        let needed = ((high.x - low.x) / room.width()).max((high.y - low.y) / room.height());
        let denominator = round_scale(needed * POINTS_PER_METRE / enlarged, unit.is_foot());
        Self::about(frame, (low + high) / 2.0, turn, denominator, enlarged)
    }

    /// A view of the ground about a place, local m, turned, at a scale of one in `denominator`.
    pub(super) const fn about(
        frame: Rect,
        middle: Coord,
        turn: Turn,
        denominator: f64,
        enlarged: f64,
    ) -> Self {
        let per_m = POINTS_PER_METRE / denominator / enlarged;
        Self { frame, denominator, middle, turn, per_m, enlarged }
    }

    /// Where a place on the ground, local m, stands on the sheet.
    pub(super) fn to_sheet(self, p: Coord) -> Coord {
        let (middle, p) = (self.frame.middle(), self.turn.turned(p));
        at(
            middle.x + (p.x - self.middle.x) * self.per_m,
            middle.y - (p.y - self.middle.y) * self.per_m,
        )
    }

    /// Which place on the ground, local m, stands there on the sheet.
    pub(super) fn to_ground(self, p: Coord) -> Coord {
        let middle = self.frame.middle();
        self.turn.back(at(
            self.middle.x + (p.x - middle.x) / self.per_m,
            self.middle.y - (p.y - middle.y) / self.per_m,
        ))
    }

    /// A direction on the ground, east and north, as it is on the sheet, right and down.
    pub(super) fn direction(self, way: Coord) -> Coord {
        let turned = self.turn.turned(way);
        at(turned.x, -turned.y)
    }

    /// How it is turned.
    pub(super) const fn turn(&self) -> Turn {
        self.turn
    }

    /// Points for a metre on the ground.
    pub(super) const fn points_per_m(&self) -> f64 {
        self.per_m
    }

    /// The scale in words: `1:1000`, or `1 inch = 50 ft (1:600)`.
    pub(super) fn scale_words(&self, unit: LengthUnit) -> String {
        // Four digits are one group.
        let scale = match self.denominator {
            small if small < 1e4 => format!("1:{small}"),
            large => format!("1:{}", grouped(large, 0)),
        };
        if unit.is_foot() {
            format!("1 inch = {} ft ({scale})", self.denominator / 12.0)
        } else {
            scale
        }
    }
}

/// The smallest round denominator that is not below the one needed.
fn round_scale(needed: f64, feet: bool) -> f64 {
    let (steps, whole) = if feet { (&FEET[..], 12.0) } else { (&METRIC[..], 1.0) };
    let needed = needed / whole;
    let decade = libm::floor(libm::log10(needed.max(1e-6)));
    let power = libm::pow(10.0, decade);
    let ten = [10.0];
    let step = steps.iter().chain(&ten).find(|s| **s * power >= needed * (1.0 - 1e-12));
    step.unwrap_or(&10.0) * power * whole
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_are_round_and_large_enough() {
        for (needed, metric, feet) in [
            (1000.0, 1000.0, 1200.0),
            (1001.0, 1250.0, 1200.0),
            (590.0, 600.0, 600.0),
            (7600.0, 10_000.0, 9600.0),
        ] {
            assert!((round_scale(needed, false) - metric).abs() < 1e-6, "{needed}");
            assert!((round_scale(needed, true) - feet).abs() < 1e-6, "{needed}");
        }
    }

    #[test]
    fn the_sheet_and_the_ground_are_each_others_inverse() {
        let frame = Rect { left: 50.0, top: 60.0, right: 450.0, bottom: 660.0 };
        // Grid north 30 degrees east of true north: what is grid north stands 30 degrees to the right of up.
        let (sin, cos) = (0.5, 0.75_f64.sqrt());
        let turned = Turn { sin, cos };
        let corners = (at(-100.0, -50.0), at(140.0, 350.0));
        let north =
            View::new(frame, corners, turned, LengthUnit::Metre, 1.25).direction(at(0.0, 1.0));
        assert!((north.x - 0.5).abs() < 1e-12 && north.y < 0.0, "{north:?}");
        let view = View::new(frame, corners, turned, LengthUnit::Metre, 1.25);
        let p = at(17.0, 42.0);
        let back = view.to_ground(view.to_sheet(p));
        assert!((back.x - p.x).abs() < 1e-9 && (back.y - p.y).abs() < 1e-9);
        // A metre is a metre over the scale.
        let (south, north) = (view.to_sheet(at(0.0, 0.0)), view.to_sheet(at(0.0, 100.0)));
        let on_paper = libm::hypot(south.x - north.x, south.y - north.y);
        let on_paper_m = 1.25 * on_paper / 72.0 * 0.0254;
        assert!((on_paper_m * view.denominator - 100.0).abs() < 1e-9);
    }
}
