//! The directions of all rounds on one circle: a ring for each, the earliest inside.

use geo::Coord;

use crate::draw::items::Items;
use crate::draw::room::Rect;
use crate::draw::scene::{Item, Paint, Stroke, at};
use crate::draw::style::{CONTOUR, FLOW, GREY, PALE, WHITE};
use crate::report::{Directed, SiteRecord};

/// Radius of the innermost ring, over that of the outermost.
const INNER: f64 = 0.25;

/// From one point of an arc to the next, degrees.
const STEP_DEG: f64 = 2.0;

/// Height of letters, points; width and height that a year takes.
const SMALL: f64 = 6.0;
const YEAR: (f64, f64) = (16.0, 7.0);

/// Draws the compass of a record about the middle of a square, and says whether there was one to draw.
pub(super) fn compass(items: &mut Items, record: &SiteRecord, square: Rect) -> bool {
    let (shown, _) = record.on_rings();
    if shown.is_empty() {
        return false;
    }
    let middle = square.middle();
    let outer = square.width().min(square.height()) / 2.0 - 14.0;
    let step = outer * (1.0 - INNER) / (shown.len() - 1).max(1) as f64;
    let radius =
        |i: usize| if shown.len() == 1 { outer * 0.6 } else { outer * INNER + step * i as f64 };
    let place = |radius: f64, degrees: f64| -> Coord {
        let angle = degrees.to_radians();
        at(middle.x + radius * libm::sin(angle), middle.y - radius * libm::cos(angle))
    };
    let pale = Stroke::new(PALE, 0.35);
    for i in 0..shown.len() {
        items.0.push(Item::Circle(middle, radius(i), Paint::stroke(pale)));
    }
    for (degrees, name) in [(0.0, "N"), (90.0, "E"), (180.0, "S"), (270.0, "W")] {
        items.line([middle, place(outer + 3.0, degrees)], pale);
        let p = place(outer + 9.0, degrees);
        items.centred(at(p.x, p.y + 2.8), 8.0, name);
    }
    let resolved: Vec<Coord> = (0..shown.len())
        .filter(|i| shown[*i].resolved)
        .map(|i| place(radius(i), shown[i].azimuth.degrees()))
        .collect();
    items.0.push(Item::line(resolved, Stroke::new(GREY, 0.5)));
    for (i, of) in shown.iter().enumerate() {
        mark(items, of, |degrees| place(radius(i), degrees));
    }
    for (i, year) in record.years_on_rings(&shown, step, YEAR) {
        let p = place(radius(i), record.away_from_directions());
        let (half, high) = (YEAR.0 / 2.0, YEAR.1 / 2.0);
        let back =
            Rect { left: p.x - half, top: p.y - high, right: p.x + half, bottom: p.y + high };
        items.0.push(Item::area(back.corners(), Paint::fill(WHITE)));
        items.centred(at(p.x, p.y + 2.1), SMALL, year);
    }
    true
}

fn mark(items: &mut Items, of: &Directed, place: impl Fn(f64) -> Coord) {
    if let Some((from, to)) = of.ends() {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 180")]
        let pieces = ((to - from) / STEP_DEG).ceil().max(1.0) as usize;
        let arc = (0..=pieces).map(|k| place(from + (to - from) * k as f64 / pieces as f64));
        items.0.push(Item::line(arc.collect(), Stroke::new(CONTOUR, 1.6)));
    }
    let at_dot = place(of.azimuth.degrees());
    if of.turned {
        let ring = Paint::stroke(Stroke::new(FLOW, 0.9));
        items.0.push(Item::Circle(at_dot, 3.6, ring));
    }
    let fill = if of.resolved { CONTOUR } else { WHITE };
    let paint = Paint::both(fill, Stroke::new(CONTOUR, 0.7));
    items.0.push(if of.doubtful {
        let r = 1.7;
        let square = Rect {
            left: at_dot.x - r,
            top: at_dot.y - r,
            right: at_dot.x + r,
            bottom: at_dot.y + r,
        };
        Item::area(square.corners(), paint)
    } else {
        Item::Circle(at_dot, 1.8, paint)
    });
}
