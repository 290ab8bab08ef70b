//! From the ground to the drawing on the screen, grid north up.

use std::fmt::Write;

use crate::units::finite;
use geo::{Coord, LineString, Simplify};

/// Width of the drawing, drawing units: pixels where the page is wide enough.
const WIDTH: f64 = 1000.0;

/// The lowest and the tallest drawing, drawing units.
const HEIGHTS: (f64, f64) = (460.0, 860.0);

/// Free space about the site, as a part of the drawing.
const MARGIN: f64 = 0.07;

/// Where the ground lies on the drawing.
#[derive(Debug, Clone, Copy)]
pub(super) struct Drawing {
    west: f64,
    north: f64,
    /// Drawing units in one CRS unit.
    scale: f64,
    /// Height, drawing units.
    pub(super) height: f64,
}

impl Drawing {
    /// A drawing that shows the box between two corners, CRS units.
    pub(super) fn of(low: Coord, high: Coord) -> Self {
        let least = f64::MIN_POSITIVE.max((high.x - low.x).max(high.y - low.y) * 1e-3);
        let (wide, tall) = ((high.x - low.x).max(least), (high.y - low.y).max(least));
        let free = 1.0 - 2.0 * MARGIN;
        let height = (WIDTH * tall / wide).clamp(HEIGHTS.0, HEIGHTS.1).round();
        let scale = (WIDTH * free / wide).min(height * free / tall);
        Self {
            west: f64::midpoint(low.x, high.x) - WIDTH / 2.0 / scale,
            north: f64::midpoint(low.y, high.y) + height / 2.0 / scale,
            scale,
            height,
        }
    }

    /// A place on the drawing, drawing units.
    pub(super) fn at(&self, p: Coord) -> Coord {
        Coord { x: (p.x - self.west) * self.scale, y: (self.north - p.y) * self.scale }
    }

    /// CRS units in one drawing unit.
    pub(super) fn crs_units(&self) -> f64 {
        1.0 / self.scale
    }

    /// A line on the drawing without the vertices that move it by less than `tolerance`, drawing
    /// units.
    pub(super) fn line(&self, points: &[Coord], tolerance: f64) -> Vec<Coord> {
        let line: LineString = points.iter().map(|p| self.at(*p)).collect();
        line.simplify(tolerance).into_inner()
    }
}

/// A coordinate on the drawing: hundredths, as short as they can be written.
pub(super) fn number(value: f64) -> String {
    hundredths(in_hundredths(value))
}

/// A path through points of the drawing. A line that ends where it begins is closed.
pub(super) fn path(points: &[Coord]) -> String {
    let mut text = String::new();
    let closed = points.len() > 3 && points.first() == points.last();
    let end = points.len() - usize::from(closed);
    let mut last = (0, 0);
    for (i, p) in points[..end].iter().enumerate() {
        let here = (in_hundredths(p.x), in_hundredths(p.y));
        if i == 0 {
            let _ = write!(text, "M{} {}", hundredths(here.0), hundredths(here.1));
        } else if here != last {
            let (x, y) = (hundredths(here.0 - last.0), hundredths(here.1 - last.1));
            let _ = write!(text, "l{x} {y}");
        }
        last = here;
    }
    if closed {
        text.push('Z');
    }
    text
}

/// A place on a circle about the origin, by its azimuth: grid or true north is up.
pub(super) fn on_circle(radius: f64, degrees: f64) -> Coord {
    let angle = degrees.to_radians();
    Coord { x: radius * libm::sin(angle), y: -radius * libm::cos(angle) }
}

/// An arc clockwise from one azimuth to another, begun with a command of its own.
pub(super) fn arc(radius: f64, from: f64, to: f64, begin: &str) -> String {
    let at = |degrees: f64| {
        let p = on_circle(radius, degrees);
        format!("{} {}", number(p.x), number(p.y))
    };
    let r = number(radius);
    let large = i32::from(to - from > 180.0);
    format!("{begin}{}A{r} {r} 0 {large} 1 {}", at(from), at(to))
}

#[expect(clippy::cast_possible_truncation, reason = "held to what a drawing can show")]
fn in_hundredths(value: f64) -> i64 {
    (finite(value) * 100.0).round().clamp(-1e12, 1e12) as i64
}

fn hundredths(value: i64) -> String {
    let (sign, value) = (if value < 0 { "-" } else { "" }, value.unsigned_abs());
    let (whole, part) = (value / 100, value % 100);
    match (part, part % 10) {
        (0, _) => format!("{sign}{whole}"),
        (_, 0) => format!("{sign}{whole}.{}", part / 10),
        _ => format!("{sign}{whole}.{part:02}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64) -> Coord {
        Coord { x, y }
    }

    #[test]
    fn the_site_lies_in_the_middle_with_north_up_and_one_scale() {
        for (low, high) in [
            (at(500_000.0, 4_000_000.0), at(501_000.0, 4_000_500.0)),
            (at(500_000.0, 4_000_000.0), at(500_010.0, 4_024_000.0)),
            (at(0.0, 0.0), at(24_000.0, 3.0)),
        ] {
            let drawing = Drawing::of(low, high);
            let (a, b) = (drawing.at(low), drawing.at(high));
            assert!(a.x < b.x && a.y > b.y, "east is right, north is up");
            assert!(a.x >= 69.9 && b.x <= 930.1, "{a:?} {b:?}");
            assert!(b.y >= 0.0 && a.y <= drawing.height, "{a:?} {b:?}");
            assert!((a.x + b.x - 1000.0).abs() < 1e-6, "in the middle");
            let unit = (b.x - a.x) * drawing.crs_units() / (high.x - low.x);
            assert!((unit - 1.0).abs() < 1e-9, "scale");
        }
    }

    #[test]
    fn a_path_is_short_and_exact_to_a_hundredth() {
        let open = [at(1.0, 2.0), at(2.5, 1.994), at(2.5, 1.994), at(0.254, 2.0)];
        assert_eq!(path(&open), "M1 2l1.5 -0.01l-2.25 0.01");
        let closed = [at(0.0, 0.0), at(1.0, 0.0), at(0.0, 1.0), at(0.0, 0.0)];
        assert_eq!(path(&closed), "M0 0l1 0l-1 1Z");
        assert_eq!((number(-0.001), number(10.10)), ("0".to_owned(), "10.1".to_owned()));
    }

    #[test]
    fn azimuths_run_clockwise_from_up() {
        assert_eq!(arc(100.0, 0.0, 90.0, "M"), "M0 -100A100 100 0 0 1 100 0");
        assert_eq!(arc(10.0, 90.0, 300.0, "M"), "M10 0A10 10 0 1 1 -8.66 -5");
    }

    #[test]
    fn a_straight_line_keeps_its_ends_only() {
        let drawing = Drawing::of(at(0.0, 0.0), at(100.0, 100.0));
        let points: Vec<Coord> = (0..=50).map(|k| at(f64::from(k), f64::from(k))).collect();
        assert_eq!(drawing.line(&points, 0.1).len(), 2);
    }
}
