//! One triangle, row by row.

use std::ops::Range;

use geo::Coord;

use crate::interpolate::axis::Axis;

/// A side of a triangle, from its vertex of the lower index to that of the higher: the two
/// triangles that share it compute the same points on it, digit by digit.
struct Side {
    x: f64,
    y: f64,
    head: f64,
    dx: f64,
    per_dy: f64,
    dh: f64,
}

impl Side {
    fn new(places: &[Coord], heads: &[f64], a: usize, b: usize) -> Self {
        let (a, b) = (a.min(b), a.max(b));
        let (p, q) = (places[a], places[b]);
        Self {
            x: p.x,
            y: p.y,
            head: heads[a],
            dx: q.x - p.x,
            per_dy: 1.0 / (q.y - p.y),
            dh: heads[b] - heads[a],
        }
    }

    /// Where the side meets a row, and the head there. Both by one and the same part of the
    /// side, so that they fit each other however flat the side lies.
    fn at(&self, y: f64) -> (f64, f64) {
        let part = (y - self.y) * self.per_dy;
        // Also where it is not a number, at the start of a side without a rise.
        let part = if part > 0.0 { part.min(1.0) } else { 0.0 };
        (self.x + part * self.dx, self.head + part * self.dh)
    }
}

/// A triangle made ready to give its heads row by row.
pub(super) struct Scan {
    bottom: f64,
    middle: f64,
    top: f64,
    long: Side,
    lower: Side,
    upper: Side,
    lowest: f64,
    highest: f64,
}

impl Scan {
    /// `places` and `heads` are those of all corners, `corners` those of this triangle.
    pub(super) fn new(places: &[Coord], heads: &[f64], corners: [usize; 3]) -> Self {
        let mut by_y = corners;
        let y = |i: usize| places[i].y;
        by_y.sort_unstable_by(|a, b| y(*a).total_cmp(&y(*b)).then(a.cmp(b)));
        let [a, b, c] = by_y;
        let side = |a: usize, b: usize| Side::new(places, heads, a, b);
        let of_corners = by_y.map(|i| heads[i]);
        Self {
            bottom: y(a),
            middle: y(b),
            top: y(c),
            long: side(a, c),
            lower: side(a, b),
            upper: side(b, c),
            lowest: of_corners.into_iter().fold(f64::INFINITY, f64::min),
            highest: of_corners.into_iter().fold(f64::NEG_INFINITY, f64::max),
        }
    }

    /// The triangle's heads at its nodes of one row; the other nodes stay as they are.
    ///
    /// The plane is evaluated between the heads at the row's two ends on the sides, never by its
    /// slope, which is ill-conditioned in a sliver.
    pub(super) fn paint(&self, y: f64, slack: f64, columns: &Axis, row: &mut [f64]) {
        let (left, right) = self.ends(y);
        let within = |h: f64| h.max(self.lowest).min(self.highest);
        let (from, to) = (within(left.1), within(right.1));
        let width = right.0 - left.0;
        let slope = if width > slack { (to - from) / width } else { 0.0 };
        let (low, high) = (from.min(to), from.max(to));
        let nodes = columns.between(left.0 - slack, right.0 + slack);
        if nodes.is_empty() {
            return;
        }
        for (head, x) in row[nodes.clone()].iter_mut().zip(&columns.positions()[nodes]) {
            *head = (from + (x - left.0) * slope).max(low).min(high);
        }
    }

    /// The triangle's nodes of one row.
    pub(super) fn nodes(&self, y: f64, slack: f64, columns: &Axis) -> Range<usize> {
        let (left, right) = self.ends(y);
        columns.between(left.0 - slack, right.0 + slack)
    }

    /// Where a row enters and leaves the triangle, and the heads there.
    #[inline]
    fn ends(&self, y: f64) -> ((f64, f64), (f64, f64)) {
        let y = y.max(self.bottom).min(self.top);
        let short =
            if self.bottom < self.middle && y <= self.middle { &self.lower } else { &self.upper };
        let (left, right) = (self.long.at(y), short.at(y));
        if right.0 < left.0 { (right, left) } else { (left, right) }
    }
}
