//! Segments joined to lines.

use geo::Coord;
use rayon::prelude::*;

use crate::contour::clean;
use crate::contour::types::ContourLine;

/// No segment.
const NONE: u32 = u32::MAX;

/// A level's way through one cell or triangle, high ground on the left.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Segment<E> {
    /// Index of the level.
    pub(super) level: u16,
    /// The edge it comes from.
    pub(super) start: E,
    /// The edge it goes to.
    pub(super) end: E,
}

/// What lines run from and to: each is between two cells or triangles, or on the outline.
pub(super) trait Side: Copy + Ord + Send + Sync {}

impl<E: Copy + Ord + Send + Sync> Side for E {}

/// The lines of all levels, by level and by their first edge in the order of edges. `place` says
/// where a level, by its index, crosses an edge, CRS units.
pub(super) fn trace<E: Side>(
    levels: &[f64],
    mut segments: Vec<Segment<E>>,
    place: impl Fn(usize, E) -> Coord + Sync,
) -> Vec<ContourLine> {
    segments.par_sort_unstable();
    let by_level: Vec<&[Segment<E>]> = segments.chunk_by(|a, b| a.level == b.level).collect();
    let lines: Vec<Vec<ContourLine>> = by_level
        .into_par_iter()
        .map(|segments| {
            let level = usize::from(segments[0].level);
            of_level(levels[level], segments, |edge| place(level, edge))
        })
        .collect();
    lines.into_iter().flatten().collect()
}

/// The lines of one level from its segments in the order of their starts.
fn of_level<E: Side>(
    level: f64,
    segments: &[Segment<E>],
    place: impl Fn(E) -> Coord,
) -> Vec<ContourLine> {
    let mut chain = Chain::new(segments);
    let mut found: Vec<(E, Vec<Coord>)> = Vec::new();
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
            points.push(place(segments[segment].start));
            last = segment;
        }
        let line = if open {
            points.push(place(segments[last].end));
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
/// High ground on the left settles which of an edge's two neighbours a line leaves by it and which
/// it enters: each edge is the start of at most one segment of a level and the end of at most
/// one.
struct Chain {
    next: Vec<u32>,
    has_previous: Vec<bool>,
    taken: Vec<bool>,
}

impl Chain {
    fn new<E: Side>(segments: &[Segment<E>]) -> Self {
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
