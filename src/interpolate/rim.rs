//! Where the outline of the wells cuts the grid, and the heads there.
//!
//! A cell that the outline cuts has a corner without a head. Contours are traced on the part of it
//! within the outline, whose corners are nodes, places where the outline crosses sides of the cell,
//! and wells. The outline is convex: what is within of a side of a cell is one stretch, and both
//! cells beside it have the same.

use std::ops::Range;

use geo::Coord;

use super::axis::{Axis, slack};
use super::grid::{Edge, Grid, GridSpec};
use super::linear::support;
use crate::geom::{Frame, distance};
use crate::triangulate::Mesh;
use crate::units::clean;

/// The sides of cells that the outline of the wells crosses, and the wells along it.
#[derive(Debug, Clone, Default)]
pub(crate) struct Rim {
    /// The nodes within in each row.
    within: Vec<Range<usize>>,
    /// By their edge.
    cuts: Vec<Cut>,
    /// The places where the outline crosses, then the wells along it counter-clockwise, m.
    places: Vec<Coord>,
    /// How many of them are no wells.
    crossings: usize,
    /// The same places, CRS units.
    crs: Vec<Coord>,
    /// The head at each place; NaN where there is none.
    heads: Vec<f64>,
    /// Below this distance two places are one, CRS units.
    slack: f64,
}

/// An edge of the grid that is not wholly within.
#[derive(Debug, Clone)]
struct Cut {
    edge: Edge,
    /// The places that bound what is within toward the edge's first and toward its other node;
    /// `None` where that node does.
    ends: [Option<Crossing>; 2],
}

/// The outline crosses an edge of the grid.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Crossing {
    /// Which of the places.
    place: usize,
    /// Between which two wells along the outline, by the first.
    side: usize,
}

/// A corner of the part of a cell that is within the outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Corner {
    /// Where it is, CRS units.
    pub(crate) at: Coord,
    /// Its head, elevation unit; NaN where there is none.
    pub(crate) head: f64,
    on: On,
}

/// What a corner is.
#[derive(Debug, Clone, Copy, PartialEq)]
enum On {
    Node(usize),
    Outline(Crossing),
}

impl Corner {
    /// Whether both are one node.
    pub(crate) fn is_same_node(&self, other: &Self) -> bool {
        matches!(self.on, On::Node(_)) && self.on == other.on
    }
}

impl Rim {
    /// Where the outline of a mesh's wells cuts a grid; heads are not known yet.
    ///
    /// # Units
    /// - `frame`: that of the mesh; `spec`: CRS units
    pub(super) fn new(mesh: &Mesh, frame: &Frame, spec: &GridSpec) -> Self {
        if mesh.hull().is_empty() {
            return Self::default();
        }
        let (columns, rows) = (Axis::of_columns(spec, frame), Axis::of_rows(spec, frame));
        let slack = slack(spec, frame);
        let outline = mesh.outline().feet();
        let within = support(mesh, &columns, &rows, slack);
        let mut cutting = Cutting {
            outline,
            columns: columns.positions(),
            rows: rows.positions(),
            cuts: Vec::new(),
            places: Vec::new(),
        };
        cutting.rows(&within);
        cutting.columns(&within);
        let Cutting { outline, mut cuts, mut places, .. } = cutting;
        cuts.sort_unstable_by_key(|cut| cut.edge);
        let crossings = places.len();
        places.extend(outline);
        let crs = places.iter().map(|p| frame.to_crs(*p)).collect();
        let heads = vec![f64::NAN; places.len()];
        let slack = slack / frame.metres_per_unit();
        Self { within, cuts, places, crossings, crs, heads, slack }
    }

    /// Where heads are wanted, m.
    pub(super) fn places(&self) -> &[Coord] {
        &self.places
    }

    /// Takes the heads at its places, elevation unit; NaN where there is none.
    pub(super) fn take(&mut self, heads: Vec<f64>) {
        debug_assert_eq!(heads.len(), self.places.len(), "one head for each place");
        self.heads = heads;
    }

    /// The heads at its places; NaN where there is none.
    pub(super) fn heads(&mut self) -> &mut [f64] {
        &mut self.heads
    }

    /// Takes the dust of the arithmetic off every head; see [`Grid::clean`].
    pub(super) fn clean(&mut self) {
        self.heads.iter_mut().for_each(|h| *h = clean(*h));
    }

    /// Its heads that are known, each with its place, CRS units.
    pub(super) fn known(&self) -> impl Iterator<Item = (Coord, f64)> {
        self.crs.iter().copied().zip(self.heads.iter().copied()).filter(|(_, h)| h.is_finite())
    }

    /// The cells that the outline cuts, by their south-western node, ascending.
    pub(crate) fn cells(&self, spec: &GridSpec) -> Vec<usize> {
        let mut cells = Vec::with_capacity(2 * self.cuts.len());
        for edge in self.cuts.iter().map(|cut| cut.edge) {
            let (row, column) = (edge.node() / spec.columns, edge.node() % spec.columns);
            let (beside, before) =
                if edge.is_northward() { (column, 1) } else { (row, spec.columns) };
            if row + 1 < spec.rows && column + 1 < spec.columns {
                cells.push(edge.node());
            }
            if beside > 0 {
                cells.push(edge.node() - before);
            }
        }
        cells.sort_unstable();
        cells.dedup();
        cells
    }

    /// What is within the outline of an edge of the grid: its two ends, the first node's first.
    pub(crate) fn stretch(&self, grid: &Grid, edge: Edge) -> Option<[Corner; 2]> {
        let spec = grid.spec();
        let nodes = edge.nodes(spec);
        let cut = self.cuts.binary_search_by_key(&edge, |cut| cut.edge).ok();
        let end = |k: usize| {
            let (row, column) = (nodes[k] / spec.columns, nodes[k] % spec.columns);
            if let Some(crossing) = cut.and_then(|cut| self.cuts[cut].ends[k]) {
                return Some(self.corner(crossing.place, crossing.side));
            }
            let head = grid.row(row)[column];
            let within = self.within.get(row).is_some_and(|within| within.contains(&column));
            within.then_some(Corner { at: spec.node(row, column), head, on: On::Node(nodes[k]) })
        };
        Some([end(0)?, end(1)?])
    }

    /// The wells along the outline from one place where it crosses a side of a cell to the next.
    pub(crate) fn between(&self, from: &Corner, to: &Corner) -> Vec<Corner> {
        let (On::Outline(a), On::Outline(b)) = (from.on, to.on) else { return Vec::new() };
        if distance(from.at, to.at) <= self.slack {
            return Vec::new();
        }
        let all = self.places.len() - self.crossings;
        let count = (b.side + all - a.side) % all;
        let passed = (1..=count).map(|k| (a.side + k) % all);
        passed.map(|well| self.corner(self.crossings + well, well)).collect()
    }

    fn corner(&self, place: usize, side: usize) -> Corner {
        let on = On::Outline(Crossing { place, side });
        Corner { at: self.crs[place], head: self.heads[place], on }
    }
}

/// The outline while it is held against rows and columns, all in m.
struct Cutting<'a> {
    outline: Vec<Coord>,
    columns: &'a [f64],
    rows: &'a [f64],
    cuts: Vec<Cut>,
    places: Vec<Coord>,
}

/// Where the outline crosses a row or a column: how far along it, and by which side.
type Ends = [(f64, usize); 2];

impl Cutting<'_> {
    /// What is cut of the edges along rows.
    fn rows(&mut self, within: &[Range<usize>]) {
        let all = self.columns.len();
        for (row, nodes) in within.iter().enumerate() {
            let Some(ends) = self.ends(self.rows[row], |p| (p.y, p.x), !nodes.is_empty()) else {
                continue;
            };
            let edge = |column: usize| Edge::eastward(row * all + column);
            if nodes.is_empty() {
                let column = cell(self.columns, ends);
                self.cut(edge(column), ends.map(Some));
                continue;
            }
            if nodes.start > 0 {
                self.cut(edge(nodes.start - 1), [Some(ends[0]), None]);
            }
            if nodes.end < all {
                self.cut(edge(nodes.end - 1), [None, Some(ends[1])]);
            }
        }
    }

    /// What is cut of the edges along columns.
    fn columns(&mut self, within: &[Range<usize>]) {
        let all = self.columns.len();
        // The first and the last node within of each column; they follow each other, as a row's do.
        let mut spans: Vec<Option<[usize; 2]>> = vec![None; all];
        for (row, nodes) in within.iter().enumerate() {
            for span in &mut spans[nodes.clone()] {
                *span = Some([span.map_or(row, |span| span[0]), row]);
            }
        }
        for (column, span) in spans.into_iter().enumerate() {
            let Some(ends) = self.ends(self.columns[column], |p| (p.x, p.y), span.is_some()) else {
                continue;
            };
            let edge = |row: usize| Edge::northward(row * all + column);
            let Some([first, last]) = span else {
                self.cut(edge(cell(self.rows, ends)), ends.map(Some));
                continue;
            };
            if first > 0 {
                self.cut(edge(first - 1), [Some(ends[0]), None]);
            }
            if last + 1 < within.len() {
                self.cut(edge(last), [None, Some(ends[1])]);
            }
        }
    }

    /// Where the outline crosses the line at `level`, lower end first. `split` gives the coordinate
    /// that is compared with the level and the one along the line. Where nodes of the line are
    /// within, the outline is crossed though rounding has it beyond.
    fn ends(&self, level: f64, split: impl Fn(&Coord) -> (f64, f64), within: bool) -> Option<Ends> {
        let across = || self.outline.iter().map(|p| split(p).0);
        let (low, high) =
            (across().fold(f64::INFINITY, f64::min), across().fold(f64::NEG_INFINITY, f64::max));
        let crossed = low < level && level < high;
        if !(within || crossed) {
            return None;
        }
        let level = level.max(low).min(high);
        let (mut first, mut last) = ((f64::INFINITY, 0), (f64::NEG_INFINITY, 0));
        let all = self.outline.len();
        for side in 0..all {
            let next = (side + 1) % all;
            let ((a, from), (b, to)) = (split(&self.outline[side]), split(&self.outline[next]));
            if level < a.min(b) || level > a.max(b) {
                continue;
            }
            let share = if a < b || b < a { (level - a) / (b - a) } else { 0.0 };
            // The end of a side is the start of the next.
            let (along, side) =
                if share < 1.0 { (from + share * (to - from), side) } else { (to, next) };
            if along < first.0 {
                first = (along, side);
            }
            if along > last.0 {
                last = (along, side);
            }
        }
        Some([first, last])
    }

    /// Keeps a cut edge, its crossings held between its nodes.
    fn cut(&mut self, edge: Edge, ends: [Option<(f64, usize)>; 2]) {
        let all = self.columns.len();
        let (row, column) = (edge.node() / all, edge.node() % all);
        let along = if edge.is_northward() { &self.rows[row..] } else { &self.columns[column..] };
        let (from, to) = (along[0], along[1]);
        let ends = ends.map(|end| {
            end.map(|(along, side)| {
                let along = along.max(from).min(to);
                self.places.push(if edge.is_northward() {
                    Coord { x: self.columns[column], y: along }
                } else {
                    Coord { x: along, y: self.rows[row] }
                });
                Crossing { place: self.places.len() - 1, side }
            })
        });
        self.cuts.push(Cut { edge, ends });
    }
}

/// The cell of a row or a column, by its first node, in which the outline crosses it twice.
fn cell(nodes: &[f64], ends: Ends) -> usize {
    let middle = f64::midpoint(ends[0].0, ends[1].0);
    nodes.partition_point(|node| *node <= middle).clamp(1, nodes.len() - 1) - 1
}
