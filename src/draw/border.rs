//! The map's frame, with the eastings and northings it stands at.

use geo::Coord;

use super::font::Words;
use super::labels::start;
use super::scene::{Item, Paint, Text, at};
use super::style;
use super::view::View;
use crate::interpolate::RoundNumber;
use crate::report::Results;
use crate::units::fixed;

/// Marks along the frame are at least this far from each other, points.
const APART: f64 = 70.0;

/// Room outside the frame for its numbers, points.
pub(super) const OUTSIDE: f64 = 9.8;

const SIZE: f64 = style::SMALLEST;
const MARK: f64 = 3.5;

/// The frame and its marks.
pub(super) fn items(results: &Results, view: &View) -> Vec<Item> {
    let frame = results.control.frame();
    let rect = view.frame;
    let crs = |p: Coord| frame.to_crs(view.to_ground(p));
    let (low, high) = (crs(at(rect.left, rect.bottom)), crs(at(rect.right, rect.top)));
    let points_per_unit = view.points_per_m() * frame.metres_per_unit();
    let step = RoundNumber::at_least(APART / points_per_unit).value();
    let mut items = vec![Item::area(rect.corners(), Paint::stroke(style::FRAME))];
    let mut mark = |from: Coord, to: Coord| items.push(Item::line(vec![from, to], style::FRAME));
    let mut numbers = Vec::new();
    for easting in multiples(low.x, high.x, step) {
        let x = rect.left + (easting - low.x) * points_per_unit;
        mark(at(x, rect.bottom), at(x, rect.bottom - MARK));
        mark(at(x, rect.top), at(x, rect.top + MARK));
        let text = number(easting, step, "E");
        let below = text.at_level(x, rect.bottom + OUTSIDE - 2.2);
        if below.at.x >= rect.left && below.at.x + below.width() <= rect.right {
            numbers.push(Item::Text(below));
        }
    }
    for northing in multiples(low.y, high.y, step) {
        let y = rect.bottom - (northing - low.y) * points_per_unit;
        mark(at(rect.left, y), at(rect.left + MARK, y));
        mark(at(rect.right, y), at(rect.right - MARK, y));
        let beside = number(northing, step, "N").upward(rect.left - OUTSIDE / 2.0, y);
        let half = beside.width() / 2.0;
        if y - half >= rect.top && y + half <= rect.bottom {
            numbers.push(Item::Text(beside));
        }
    }
    items.append(&mut numbers);
    items
}

/// The multiples of a step between two numbers.
fn multiples(low: f64, high: f64, step: f64) -> impl Iterator<Item = f64> {
    let (first, last) = ((low / step).ceil(), (high / step).floor());
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "casts of floats saturate, and the marks are some tens"
    )]
    let count = (last - first + 1.0).max(0.0) as usize;
    (0..count).map(move |i| (first + i as f64) * step)
}

struct Number(Text);

/// An easting or a northing, with as many decimals as its step.
fn number(value: f64, step: f64, side: &str) -> Number {
    let fits = |(_, least): &(i32, f64)| step >= *least;
    let decimals =
        (0..).zip([1.0, 0.1, 0.01, 0.001]).find(fits).map_or(4, |(decimals, _)| decimals);
    let words = Words::new(&format!("{} {side}", grouped(value, decimals)));
    Number(Text::new(at(0.0, 0.0), words, SIZE, false, style::GREY))
}

impl Number {
    fn at_level(self, x: f64, y: f64) -> Text {
        Text { at: at(x, y), ..self.0 }.centred()
    }

    fn upward(self, x: f64, y: f64) -> Text {
        let at = start(at(x, y), -90.0, self.0.width(), SIZE);
        Text { at, angle_deg: -90.0, ..self.0 }
    }
}

/// A number with spaces between thousands.
pub(super) fn grouped(value: f64, decimals: i32) -> String {
    let text = fixed(value, decimals);
    let (sign, text) = text.strip_prefix('-').map_or(("", text.as_str()), |t| ("-", t));
    let (whole, rest) = text.split_once('.').map_or((text, None), |(w, r)| (w, Some(r)));
    let mut grouped = String::from(sign);
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) {
            grouped.push('\u{a0}');
        }
        grouped.push(digit);
    }
    if let Some(rest) = rest {
        grouped.push('.');
        grouped.push_str(rest);
    }
    grouped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_stand_apart() {
        for (value, decimals, text) in [
            (4_980_000.0, 0, "4\u{a0}980\u{a0}000"),
            (999.5, 1, "999.5"),
            (-1234.0, 0, "-1\u{a0}234"),
            (12.0, 0, "12"),
        ] {
            assert_eq!(grouped(value, decimals), text);
        }
    }

    #[test]
    fn marks_stand_at_multiples() {
        assert_eq!(multiples(95.0, 310.0, 100.0).collect::<Vec<_>>(), [100.0, 200.0, 300.0]);
        assert_eq!(multiples(110.0, 190.0, 100.0).count(), 0);
    }
}
