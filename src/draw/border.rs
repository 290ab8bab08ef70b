//! The map's frame, with the eastings and northings it stands at.

use geo::Coord;

use super::font::Words;
use super::labels::start;
use super::scene::{Item, Paint, Text, at};
use super::style;
use super::view::View;
use crate::interpolate::RoundNumber;
use crate::report::Results;
use crate::units::grouped;

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
    let points_per_unit = view.points_per_m() * frame.metres_per_unit();
    let step = RoundNumber::at_least(APART / points_per_unit).value();
    let mut items = vec![Item::area(rect.corners(), Paint::stroke(style::FRAME))];
    let corners = [
        [(rect.left, rect.bottom), (rect.right, rect.bottom)],
        [(rect.left, rect.top), (rect.right, rect.top)],
        [(rect.left, rect.bottom), (rect.left, rect.top)],
        [(rect.right, rect.bottom), (rect.right, rect.top)],
    ];
    let inwards = [at(0.0, -MARK), at(0.0, MARK), at(MARK, 0.0), at(-MARK, 0.0)];
    let mut numbers = Vec::new();
    for (edge, (ends, inward)) in corners.into_iter().zip(inwards).enumerate() {
        let [from, to] = ends.map(|(x, y)| at(x, y));
        let (first, last) = (crs(from), crs(to));
        // Along an edge of a map that is turned far northings may change more than eastings.
        let eastings = (last.x - first.x).abs() >= (last.y - first.y).abs();
        let (first, last, side) =
            if eastings { (first.x, last.x, "E") } else { (first.y, last.y, "N") };
        for value in multiples(first.min(last), first.max(last), step) {
            let place = from + (to - from) * ((value - first) / (last - first));
            items.push(Item::line(vec![place, place + inward], style::FRAME));
            let text = number(value, step, side);
            match edge {
                0 => {
                    let below = text.at_level(place.x, rect.bottom + OUTSIDE - 2.2);
                    if below.at.x >= rect.left && below.at.x + below.width() <= rect.right {
                        numbers.push(Item::Text(below));
                    }
                }
                2 => {
                    let beside = text.upward(rect.left - OUTSIDE / 2.0, place.y);
                    let half = beside.width() / 2.0;
                    if place.y - half >= rect.top && place.y + half <= rect.bottom {
                        numbers.push(Item::Text(beside));
                    }
                }
                _ => {}
            }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_stand_at_multiples() {
        assert_eq!(multiples(95.0, 310.0, 100.0).collect::<Vec<_>>(), [100.0, 200.0, 300.0]);
        assert_eq!(multiples(110.0, 190.0, 100.0).count(), 0);
    }
}
