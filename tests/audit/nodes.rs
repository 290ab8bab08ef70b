//! The nodes of the linear surface against the planes of the triangles.

use super::net::slope;
use super::site::Site;
use super::written::{Place, Triangle, Written};

/// A plane through the heads of a triangle.
pub(super) struct Plane {
    corners: [Place; 3],
    values: [f64; 3],
    /// How far a corner may be off its place in the file, CRS units.
    rounded: f64,
    /// Whether its corners stand on one line: it has a fall along that line and no rise across.
    pub(super) on_line: bool,
    /// The aquifer's base, where the plane is one of squares of the height above it.
    base: Option<f64>,
    /// The rise to east and north of what is interpolated, per CRS unit.
    pub(super) rise: [f64; 2],
}

impl Plane {
    pub(super) fn all(written: &Written, base: Option<f64>) -> Vec<Self> {
        let plane = |t: &Triangle| {
            let wells = written.corners(t);
            let squared = |head: f64| base.map_or(head, |base| (head - base) * (head - base));
            let (corners, values) = (wells.map(|w| w.place), wells.map(|w| squared(w.head)));
            let on_line = t.marks.contains("one-line");
            // Those of streams are rounded, and wells stand where the table says.
            let rounded = if wells.iter().any(|w| w.of_stream) { 1e-4 } else { 0.0 };
            let rise = if on_line { [0.0; 2] } else { slope(corners, values) };
            Self { corners, values, rounded, on_line, base, rise }
        };
        written.triangles.iter().map(plane).collect()
    }

    /// What it may say of a place: the head of its plane, or where it is on one line no more than
    /// that its heads are not left.
    fn says(&self, place: Place, head: f64) -> bool {
        // 32 bits, and what a plane rises within the width of a side.
        let slack = 1e-6 + 2e-7 * head.abs() + self.rounded * self.steepness(head);
        if self.on_line {
            let held =
                |of: fn(f64, f64) -> f64| self.heads().into_iter().reduce(of).unwrap_or(head);
            return held(f64::min) - slack <= head && head <= held(f64::max) + slack;
        }
        (self.head(place) - head).abs() <= slack
    }

    pub(super) fn head(&self, [x, y]: Place) -> f64 {
        let [a, ..] = self.corners;
        self.back(self.values[0] + self.rise[0] * (x - a[0]) + self.rise[1] * (y - a[1]))
    }

    /// Those of its corners.
    pub(super) fn heads(&self) -> [f64; 3] {
        self.values.map(|value| self.back(value))
    }

    fn back(&self, value: f64) -> f64 {
        self.base.map_or(value, |base| base + value.max(0.0).sqrt())
    }

    /// How steeply the head rises at the place of a head, head unit per CRS unit.
    pub(super) fn steepness(&self, head: f64) -> f64 {
        let rise = self.rise[0].hypot(self.rise[1]);
        self.base.map_or(rise, |base| rise / (2.0 * (head - base)))
    }

    /// How far inside the triangle a place is, CRS units; negative outside.
    pub(super) fn inside(&self, [x, y]: Place) -> f64 {
        let off = |a: Place, b: Place| {
            let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
            (dx * (y - a[1]) - dy * (x - a[0])) / dx.hypot(dy)
        };
        let [a, b, c] = self.corners;
        let sides = [off(a, b), off(b, c), off(c, a)];
        // Either way round.
        let least = |turn: f64| sides.iter().map(|s| turn * s).fold(f64::INFINITY, f64::min);
        least(1.0).max(least(-1.0))
    }

    /// South-western and north-eastern corner of the box around it.
    fn bounds(&self) -> [Place; 2] {
        let fold = |k: usize, start: f64, of: fn(f64, f64) -> f64| {
            self.corners.iter().map(|c| c[k]).fold(start, of)
        };
        let low = [0, 1].map(|k| fold(k, f64::INFINITY, f64::min));
        let high = [0, 1].map(|k| fold(k, f64::NEG_INFINITY, f64::max));
        [low, high]
    }
}

/// Nearer to a side than this a node belongs to both of its sides, CRS units.
const SIDE: f64 = 1e-6;

/// Triangles on one line are no higher, CRS units.
const LINE: f64 = 4.0;

pub(super) fn complaints(site: &Site, written: &Written) -> Vec<String> {
    if site.method != "linear" {
        return Vec::new();
    }
    let grid = &written.grid;
    let planes = Plane::all(written, site.base);
    let mut around: Vec<Vec<usize>> = vec![Vec::new(); grid.heads.len()];
    let mut deep = vec![false; grid.heads.len()];
    for (i, plane) in planes.iter().enumerate() {
        let [low, high] = plane.bounds().map(|p| grid.cells(p));
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "of a grid")]
        let range = |k: usize, count: usize| {
            let from = (low[k] - 1e-6).ceil().max(0.0) as usize;
            from..((high[k] + 1e-6).floor() as usize + 1).min(count)
        };
        for row in range(1, grid.rows) {
            for column in range(0, grid.columns) {
                let inside = plane.inside(grid.node(row, column));
                if inside > -SIDE - plane.rounded {
                    around[row * grid.columns + column].push(i);
                    deep[row * grid.columns + column] |=
                        inside > SIDE + plane.rounded && !plane.on_line;
                }
            }
        }
    }
    let mut found = Vec::new();
    for (k, planes_around) in around.iter().enumerate() {
        let (row, column) = (k / grid.columns, k % grid.columns);
        let at = grid.node(row, column);
        let around: Vec<&Plane> = planes_around.iter().map(|i| &planes[*i]).collect();
        let heads: Vec<f64> = around.iter().map(|plane| plane.head(at)).collect();
        match grid.head(row, column) {
            Some(head) => {
                // A triangle on one line answers for a node where no other does.
                let proper = around.iter().any(|plane| !plane.on_line);
                let mut asked = around.iter().filter(|plane| !(proper && plane.on_line));
                // Of several on one line, one on the other, the last speaks for the first.
                let chain = || planes.iter().filter(|p| p.on_line && p.inside(at) > -LINE);
                let said = asked.any(|plane| plane.says(at, head))
                    || (!proper && !around.is_empty() && chain().any(|plane| plane.says(at, head)));
                if !(said || around.is_empty() && site.barrier) {
                    found.push(format!("the node at {at:?} has {head}, its triangles {heads:?}"));
                }
            }
            None if deep[k] && !site.boundary => {
                found.push(format!("the node at {at:?} has no head, its triangles {heads:?}"));
            }
            None => {}
        }
    }
    found
}
