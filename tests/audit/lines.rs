//! Contours: every vertex on its level, higher ground to the left, no crossing without a line.

use std::collections::BTreeMap;

use super::nodes::Plane;
use super::site::Site;
use super::written::{Grid, Line, Place, Written};

/// A cell between four nodes, by its south-western one.
type Cell = (usize, usize);

/// Shorter pieces than this of a cell have no direction in coordinates of 0.0001 units.
const SHORT: f64 = 0.02;

/// So far to both sides of a line the surface is looked at, cells.
const BESIDE: f64 = 0.02;

pub(super) fn complaints(site: &Site, written: &Written) -> Vec<String> {
    // Beside barriers the linear surface is known at nodes, as the others are.
    let linear = site.method == "linear" && !site.barrier;
    let planes = Plane::all(written, site.base.filter(|_| linear));
    let overshoots = ["smooth-natural-neighbour", "thin-plate", "kriging"].contains(&site.method);
    let surface = Surface { grid: &written.grid, planes, linear, overshoots };
    let levels: Vec<f64> = written.summary["contours"]["levels"]
        .as_array()
        .expect("levels")
        .iter()
        .filter_map(serde_json::Value::as_f64)
        .collect();
    let mut found = Vec::new();
    for (i, line) in written.lines.iter().enumerate() {
        let complaint = |c: String| format!("contour {} of {}: {c}", i + 1, line.level);
        if !levels.iter().any(|level| (level - line.level).abs() < 1e-9) {
            found.push(complaint("it is not among the levels".to_owned()));
        }
        if line.closed != (line.points.first() == line.points.last()) {
            found.push(complaint(format!("closed is {}", line.closed)));
        }
        found.extend(surface.of_line(line).into_iter().map(complaint));
    }
    // A barrier parts the cells that it crosses, and no line stands for the step at it.
    if !site.barrier {
        found.extend(crossed(&written.grid, &written.lines, &levels));
    }
    found
}

struct Surface<'a> {
    grid: &'a Grid,
    planes: Vec<Plane>,
    /// Whether the planes are the surface.
    linear: bool,
    /// Whether it leaves the heads of the wells around.
    overshoots: bool,
}

/// The four corners of a cell that all have a head.
fn whole(grid: &Grid, (row, column): Cell) -> Option<[f64; 4]> {
    let head = |r: usize, c: usize| grid.head(row + r, column + c);
    Some([head(0, 0)?, head(0, 1)?, head(1, 0)?, head(1, 1)?])
}

/// The head at a place, in shares of a cell from its south-western node, along rows and columns.
fn bilinear([sw, se, nw, ne]: [f64; 4], [x, y]: [f64; 2]) -> f64 {
    (1.0 - y) * ((1.0 - x) * sw + x * se) + y * ((1.0 - x) * nw + x * ne)
}

/// Whether both nodes on one diagonal are higher than both on the other.
fn is_saddle([sw, se, nw, ne]: [f64; 4]) -> bool {
    sw.min(ne) > se.max(nw) || se.min(nw) > sw.max(ne)
}

fn range(of: [f64; 4]) -> [f64; 2] {
    [
        of.iter().copied().fold(f64::INFINITY, f64::min),
        of.iter().copied().fold(f64::NEG_INFINITY, f64::max),
    ]
}

/// What 32 bits leave open of a head.
fn bits(head: f64) -> f64 {
    2e-7 * head.abs() + 1e-8
}

impl Surface<'_> {
    /// The cells that a place lies in, one, or more where it is on a side.
    fn cells(&self, p: Place) -> Vec<Cell> {
        let slack = 1e-6 + 1e-4 / self.grid.cell;
        let [x, y] = self.grid.cells(p);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "of a grid")]
        let of = |v: f64| {
            let mut of: Vec<usize> = [v - slack, v + slack]
                .iter()
                .filter(|v| **v >= 0.0)
                .map(|v| v.floor() as usize)
                .collect();
            of.dedup();
            of
        };
        of(y)
            .into_iter()
            .flat_map(|row| of(x).into_iter().map(move |column| (row, column)))
            .collect()
    }

    fn shares(&self, (row, column): Cell, p: Place) -> [f64; 2] {
        let [x, y] = self.grid.cells(p);
        [x - column as f64, y - row as f64]
    }

    fn of_line(&self, line: &Line) -> Vec<String> {
        let on_level = line.points.iter().filter_map(|p| {
            self.off_level(*p, line.level)
                .map(|off| format!("its vertex at {p:?} is off its level by {off}"))
        });
        let left = line.points.windows(2).filter_map(|pair| self.wrong_side(pair[0], pair[1]));
        on_level.chain(left).collect()
    }

    /// How far the surface at a vertex is off the level, where it is more than rounding.
    fn off_level(&self, p: Place, level: f64) -> Option<f64> {
        /// Digits of a coordinate in the file.
        const DIGIT: f64 = 1e-4;
        let beyond = |off: f64, slack: f64| (off.abs() - slack).max(0.0);
        let mut offs: Vec<f64> = Vec::new();
        for cell in self.cells(p) {
            let Some(corners) = whole(self.grid, cell) else { continue };
            let [low, high] = range(corners);
            let slack = bits(level) + 2.0 * DIGIT / self.grid.cell * (high - low);
            offs.push(beyond(bilinear(corners, self.shares(cell, p)) - level, slack));
        }
        for plane in self.surface_around(p, 2.0 * DIGIT) {
            let slack = 2.0 * DIGIT * plane.steepness(level) + 1e-8;
            offs.push(beyond(plane.head(p) - level, slack));
        }
        if offs.is_empty() {
            // A cell cut by the outline, whose nodes the file has not all: there the head lies about
            // those of the nodes and the wells around, as far as the surface keeps to them.
            let heads = self.around(p);
            let low = heads.iter().copied().fold(f64::INFINITY, f64::min);
            let high = heads.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let width = match (self.linear, self.overshoots) {
                (true, _) => 1e-6,
                (false, false) => high - low,
                (false, true) => f64::INFINITY,
            };
            offs.push(beyond((low - level).max(level - high).max(0.0), width));
        }
        offs.into_iter().min_by(f64::total_cmp).filter(|off| *off > 0.0)
    }

    /// The planes that are the surface at a place.
    fn surface_around(&self, p: Place, slack: f64) -> impl Iterator<Item = &Plane> {
        let all = self.planes.iter().filter(|_| self.linear);
        all.filter(move |plane| !plane.on_line && plane.inside(p) > -slack)
    }

    /// The heads of the nodes within two cells and of the corners of the triangles within one.
    fn around(&self, p: Place) -> Vec<f64> {
        let [x, y] = self.grid.cells(p).map(f64::round);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "of a grid")]
        let near = |v: f64| (v - 2.0).max(0.0) as usize..(v + 3.0).max(0.0) as usize;
        let nodes = near(y).flat_map(|r| near(x).map(move |c| (r, c)));
        let nodes = nodes.filter_map(|(r, c)| self.grid.head(r, c));
        let planes = self.planes.iter().filter(|plane| plane.inside(p) > -self.grid.cell);
        nodes.chain(planes.flat_map(Plane::heads)).collect()
    }

    /// Where the ground to the right of a piece is the higher one.
    fn wrong_side(&self, from: Place, to: Place) -> Option<String> {
        let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
        let length = dx.hypot(dy);
        if length < SHORT * self.grid.cell {
            return None;
        }
        let middle = [f64::midpoint(from[0], to[0]), f64::midpoint(from[1], to[1])];
        let left = [-dy / length, dx / length];
        let mut seen = false;
        for cell in self.cells(middle) {
            // What a cell that the outline cuts holds is not in the file; and on a saddle the
            // straight piece is not where the bilinear surface has its level.
            let corners = match whole(self.grid, cell) {
                Some(corners) if !is_saddle(corners) => corners,
                _ if self.linear => continue,
                _ => return None,
            };
            let [x, y] = self.shares(cell, middle);
            let at = |side: f64| {
                bilinear(corners, [x + side * BESIDE * left[0], y + side * BESIDE * left[1]])
            };
            if at(1.0) - at(-1.0) >= -bits(corners[0]) {
                return None;
            }
            seen = true;
        }
        for plane in self.surface_around(middle, 1e-4) {
            let rise = plane.rise[0] * left[0] + plane.rise[1] * left[1];
            if rise >= -1e-3 * plane.rise[0].hypot(plane.rise[1]) {
                return None;
            }
            seen = true;
        }
        seen.then(|| format!("the higher ground lies on its right at {middle:?}"))
    }
}

/// Sides of whole cells whose ends lie on both sides of a level, and which no line of it crosses.
fn crossed(grid: &Grid, lines: &[Line], levels: &[f64]) -> Vec<String> {
    let mut found = Vec::new();
    for level in levels {
        let pieces = pieces_by_cell(grid, lines.iter().filter(|l| (l.level - level).abs() < 1e-9));
        let above = |r: usize, c: usize| {
            let head = grid.head(r, c)?;
            ((head - level).abs() > bits(head)).then_some(head > *level)
        };
        for row in 0..grid.rows {
            for column in 0..grid.columns {
                for (r, c) in [(row, column + 1), (row + 1, column)] {
                    let (Some(a), Some(b)) = (above(row, column), above(r, c)) else { continue };
                    // The cell on the other side of the side, where there is one.
                    let other = match (r == row, row, column) {
                        (true, 0, _) | (false, _, 0) => None,
                        (true, row, column) => Some((row - 1, column)),
                        (false, row, column) => Some((row, column - 1)),
                    };
                    let beside = [Some((row, column)), other];
                    let is_whole = |cell: &Cell| whole(grid, *cell).is_some();
                    if a == b || !beside.iter().flatten().any(is_whole) {
                        continue;
                    }
                    let side = [grid.node(row, column), grid.node(r, c)].map(|p| grid.cells(p));
                    let pieces = beside.iter().flatten().filter_map(|cell| pieces.get(cell));
                    if !pieces.flatten().any(|piece| meet(*piece, side)) {
                        let at = grid.node(row, column);
                        found.push(format!("no line of {level} crosses the side at {at:?}"));
                    }
                }
            }
        }
    }
    found
}

type Piece = [[f64; 2]; 2];

/// The pieces of lines in cells of the grid, by the cells that their boxes touch.
fn pieces_by_cell<'l>(
    grid: &Grid,
    lines: impl Iterator<Item = &'l Line>,
) -> BTreeMap<Cell, Vec<Piece>> {
    let mut pieces: BTreeMap<Cell, Vec<Piece>> = BTreeMap::new();
    for pair in lines.flat_map(|line| line.points.windows(2)) {
        let piece = [grid.cells(pair[0]), grid.cells(pair[1])];
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "of a grid")]
        let touched = |k: usize| {
            let (low, high) = (piece[0][k].min(piece[1][k]), piece[0][k].max(piece[1][k]));
            (low - SHORT).max(0.0) as usize..=(high + SHORT).max(0.0) as usize
        };
        for row in touched(1) {
            for column in touched(0) {
                pieces.entry((row, column)).or_default().push(piece);
            }
        }
    }
    pieces
}

/// Whether two pieces cross or come nearer to each other than rounding.
fn meet([a, b]: Piece, [c, d]: Piece) -> bool {
    let turn = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| {
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    let across = |p, q, r, s| turn(p, q, r) * turn(p, q, s) <= 0.0;
    if across(a, b, c, d) && across(c, d, a, b) {
        return true;
    }
    let near = |p: [f64; 2], [q, r]: Piece| {
        let (dx, dy) = (r[0] - q[0], r[1] - q[1]);
        let along = ((p[0] - q[0]) * dx + (p[1] - q[1]) * dy) / (dx * dx + dy * dy).max(1e-300);
        let share = along.clamp(0.0, 1.0);
        (q[0] + share * dx - p[0]).hypot(q[1] + share * dy - p[1]) < 1e-2
    };
    near(a, [c, d]) || near(b, [c, d])
}
