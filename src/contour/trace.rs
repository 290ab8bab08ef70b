//! Segments joined to lines.

use geo::Coord;
use rayon::prelude::*;

use crate::contour::ContourLine;
use crate::contour::clean;
use crate::contour::segments::Edge;
use crate::contour::segments::Segment;
use crate::interpolate::Grid;

/// No segment.
const NONE: u32 = u32::MAX;

/// The lines of all levels, by level and by their first edge in grid order. `segments` are sorted
/// by level and start.
pub(super) fn trace(grid: &Grid, levels: &[f64], segments: &[Segment]) -> Vec<ContourLine> {
    let by_level: Vec<&[Segment]> = segments.chunk_by(|a, b| a.level == b.level).collect();
    let lines: Vec<Vec<ContourLine>> = by_level
        .into_par_iter()
        .map(|segments| of_level(grid, levels[usize::from(segments[0].level)], segments))
        .collect();
    lines.into_iter().flatten().collect()
}

fn of_level(grid: &Grid, level: f64, segments: &[Segment]) -> Vec<ContourLine> {
    let mut chain = Chain::new(segments);
    let mut found: Vec<(Edge, Vec<Coord>)> = Vec::new();
    // Open lines first: what they leave over is closed. A closed line is met at its smallest
    // edge, because segments are in order of their starts.
    for (open, i) in
        [true, false].into_iter().flat_map(|o| (0..segments.len()).map(move |i| (o, i)))
    {
        if chain.taken[i] || (open && chain.has_previous[i]) {
            continue;
        }
        let (mut points, mut last) = (Vec::new(), i);
        for segment in chain.from(i) {
            points.push(crossing(grid, level, segments[segment].start));
            last = segment;
        }
        let line = if open {
            points.push(crossing(grid, level, segments[last].end));
            clean::open(&points)
        } else {
            clean::closed(&points)
        };
        found.extend(line.map(|points| (segments[i].start, points)));
    }
    found.sort_unstable_by_key(|(first, _)| *first);
    found.into_iter().map(|(_, points)| ContourLine { level, points }).collect()
}

/// Which segment of a level follows which.
///
/// High ground on the left settles which of an edge's two cells a line leaves by it and which
/// it enters: each edge is the start of at most one segment of a level and the end of at most
/// one.
struct Chain {
    next: Vec<u32>,
    has_previous: Vec<bool>,
    taken: Vec<bool>,
}

impl Chain {
    fn new(segments: &[Segment]) -> Self {
        let mut has_previous = vec![false; segments.len()];
        let next = segments
            .iter()
            .map(|s| {
                let Ok(i) = segments.binary_search_by_key(&s.end, |next| next.start) else {
                    return NONE;
                };
                has_previous[i] = true;
                #[expect(clippy::cast_possible_truncation, reason = "fewer than there are edges")]
                {
                    i as u32
                }
            })
            .collect();
        Self { next, has_previous, taken: vec![false; segments.len()] }
    }

    /// The segments from one on, each taken, to the end of the line or back to the first.
    fn from(&mut self, first: usize) -> impl Iterator<Item = usize> {
        let mut at = first;
        std::iter::from_fn(move || {
            if at == NONE as usize || std::mem::replace(&mut self.taken[at], true) {
                return None;
            }
            let here = at;
            at = self.next[here] as usize;
            Some(here)
        })
    }
}

/// Where a level crosses an edge, CRS units: linear between the edge's nodes, always counted
/// from the southern or western one, so that both neighbouring cells have the same vertex.
fn crossing(grid: &Grid, level: f64, edge: Edge) -> Coord {
    let spec = grid.spec();
    let (row, column) = (edge.node() / spec.columns, edge.node() % spec.columns);
    let (row_step, column_step) = if edge.is_northward() { (1, 0) } else { (0, 1) };
    let from = grid.row(row)[column];
    let to = grid.row(row + row_step)[column + column_step];
    let part = (level - from) / (to - from);
    // Counted in cells first: a part of 1 gives the next node's own coordinate.
    Coord {
        x: spec.west + (column as f64 + part * column_step as f64) * spec.cell,
        y: spec.south + (row as f64 + part * row_step as f64) * spec.cell,
    }
}
