//! Paths along a barrier: water that comes to a wall goes along it.

use geo::Coord;

use super::field::GridField;
use super::path::{Detour, End, FlowPath};
use super::smooth::Field as _;
use crate::geom::{Course, Obstacles, at, distance, foot};

/// Flow that leads away from a wall by more than this part of its direction has left it.
const AWAY: f64 = 0.1;

/// The barriers of a map, as paths are led along them.
#[derive(Debug)]
pub(super) struct Walls<'a> {
    lines: &'a Obstacles,
    cell_m: f64,
    /// A path that ends no farther from a wall comes to it, m: between the wells nearest to it and the wall there is
    /// no surface.
    beside_m: f64,
}

impl<'a> Walls<'a> {
    pub(super) const fn new(lines: &'a Obstacles, cell_m: f64, beside_m: f64) -> Self {
        Self { lines, cell_m, beside_m }
    }

    pub(super) const fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }

    pub(super) fn part(&self, a: Coord, b: Coord) -> bool {
        !self.is_empty() && self.lines.part(a, b)
    }

    /// The way on of a path that ends at a wall: along it where the head falls, to where the flow leads away
    /// from it or round its end. `None` where the path does not end at a wall, and where no way leads on; that
    /// the path comes to the wall is then its end.
    pub(super) fn along(&self, path: &mut FlowPath, field: &GridField<'_>) -> Option<Detour> {
        let (start, sign) = (*path.points.last()?, path.way.sign());
        let (piece, there) = self.nearest(start)?;
        let off = distance(start, there);
        let bare = |part: f64| field.at(start + (there - start) * part).is_none();
        if off > self.beside_m || !(off <= 2.0 * self.cell_m || [0.4, 0.7].into_iter().all(bare)) {
            return None;
        }
        path.end = End::Barrier;
        let line = self.line_of(piece);
        let whole = Course::new(&line);
        let along = whole.way_to(whole.nearest(there)?);
        let side = side_of(&whole, along, start);
        let length = whole.length();
        let beside = |along: f64| self.beside(&whole, along, side, field);
        let here = beside(along)?;
        let step = self.cell_m;
        let ways = [1.0, -1.0].map(|way| {
            let next = beside((along + way * step).clamp(0.0, length));
            next.map(|(_, head)| sign * (here.1 - head))
                .filter(|fall| *fall > 0.0)
                .map(|f| (f, way))
        });
        let (_, way) = ways.into_iter().flatten().max_by(|a, b| a.0.total_cmp(&b.0))?;
        let mut places = Vec::new();
        let mut last = path.heads.last().copied()?;
        let mut now = along;
        loop {
            now += way * step;
            if now < 0.0 || now > length {
                // Round the end of the wall, straight on and then as the surface leads.
                let tip = if way > 0.0 { *line.last()? } else { *line.first()? };
                let inner = whole.place(if way > 0.0 { length - step } else { step });
                let ahead = (tip - inner) / distance(tip, inner).max(f64::MIN_POSITIVE);
                let beyond = self.distances().find_map(|far| {
                    let p = tip + ahead * far;
                    field.at(p).map(|(head, _)| (p, head))
                });
                let (p, head) = beyond.filter(|(_, head)| sign * (last - head) > 0.0)?;
                places.push((p, head));
                return Some(Detour { places, goes_on: true });
            }
            let (p, head) = beside(now)?;
            if sign * (last - head) <= 0.0 {
                // The first place beside the wall may be a little higher than where the path came to it.
                if places.is_empty() && (now - along).abs() < 3.0 * step {
                    continue;
                }
                return None;
            }
            places.push((p, head));
            last = head;
            let (_, slope) = field.at(p)?;
            let steep = libm::hypot(slope.east, slope.north);
            let (_, normal) = place_and_normal(&whole, now);
            let away = -sign * side * (slope.east * normal.x + slope.north * normal.y);
            if steep > 0.0 && away / steep > AWAY {
                return Some(Detour { places, goes_on: true });
            }
        }
    }

    /// How far from a wall the surface is looked for, m: by cells.
    fn distances(&self) -> impl Iterator<Item = f64> {
        let count = (self.beside_m / self.cell_m).ceil().clamp(2.0, 100.0);
        (1..).map(f64::from).take_while(move |k| *k <= count).map(|k| k * self.cell_m)
    }

    /// The nearest piece and its nearest place.
    fn nearest(&self, p: Coord) -> Option<(usize, Coord)> {
        let off = |piece: &[Coord; 2]| distance(p, at(*piece, foot(*piece, p)));
        let pieces = self.lines.pieces();
        let best =
            (0..pieces.len()).min_by(|a, b| off(&pieces[*a]).total_cmp(&off(&pieces[*b])))?;
        Some((best, at(pieces[best], foot(pieces[best], p))))
    }

    /// The line that a piece is of, vertex by vertex.
    fn line_of(&self, piece: usize) -> Vec<Coord> {
        let pieces = self.lines.pieces();
        let mut first = piece;
        while first > 0 && pieces[first - 1][1] == pieces[first][0] {
            first -= 1;
        }
        let mut line = vec![pieces[first][0], pieces[first][1]];
        for next in &pieces[first + 1..] {
            if line[line.len() - 1] != next[0] {
                break;
            }
            line.push(next[1]);
        }
        line
    }

    /// The surface beside a wall on one side: the nearest place that has a head, and the head.
    fn beside(
        &self,
        line: &Course<'_>,
        along: f64,
        side: f64,
        field: &GridField<'_>,
    ) -> Option<(Coord, f64)> {
        let (on, normal) = place_and_normal(line, along);
        self.distances().find_map(|far| {
            let p = on + normal * (side * far);
            field.at(p).map(|(head, _)| (p, head))
        })
    }
}

/// The place at a way along a line, and the unit normal to its left.
fn place_and_normal(line: &Course<'_>, way: f64) -> (Coord, Coord) {
    let along = line.direction(way);
    (line.place(way), Coord { x: -along.y, y: along.x })
}

/// 1 to the left of a line, -1 to its right.
fn side_of(line: &Course<'_>, way: f64, p: Coord) -> f64 {
    let (on, normal) = place_and_normal(line, way);
    let d = p - on;
    if d.x * normal.x + d.y * normal.y >= 0.0 { 1.0 } else { -1.0 }
}
