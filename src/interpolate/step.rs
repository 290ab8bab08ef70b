//! The largest step of a surface past barriers.

use std::collections::BTreeSet;

use geo::Coord;

use super::grid::{Grid, GridSpec};
use super::types::{Step, Surface};
use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic, Severity};
use crate::geom::tolerance::{STEP_TOLD, STEP_WARNED};
use crate::geom::{Frame, Obstacles};
use crate::units::{brief_to, place, told_apart};

/// Nodes no farther than this from a well are not judged, in cells: the flank of a cone is bent there
/// from node to node.
const PEAK: f64 = 2.0;

/// The largest step of a grid, the first of equals; `None` of a grid that has none.
///
/// The nodes around each of `peaks` are passed over: at a well the surface bends, and the cone of a
/// pumped well falls by as much as it likes from one node to the next.
///
/// # Units
/// - `barriers`: m in `frame`; `peaks`: CRS units
pub(super) fn largest(
    grid: &Grid,
    barriers: &Obstacles,
    frame: &Frame,
    peaks: impl Iterator<Item = Coord>,
) -> Option<Step> {
    let spec = grid.spec();
    let GridSpec { rows, columns, .. } = *spec;
    let place = |k: usize| spec.node(k / columns, k % columns);
    let peaks: BTreeSet<usize> = peaks.flat_map(|p| around(spec, p)).collect();
    // From a node to the next one to the east or north; NaN where a barrier stands between them.
    let rise = |a: usize, b: usize| {
        let cells = [Some(a), a.checked_sub(if b == a + 1 { columns } else { 1 })];
        let cut = cells.into_iter().flatten().any(|cell| grid.is_cut(cell));
        let parted = || barriers.part(frame.to_local(place(a)), frame.to_local(place(b)));
        let passed_over = peaks.contains(&a) || peaks.contains(&b) || (cut && parted());
        if passed_over { f64::NAN } else { (grid.heads[b] - grid.heads[a]).abs() }
    };
    let steps = |first: usize, by: usize, count: usize| {
        let nodes = (first..).step_by(by).take(count);
        let rises: Vec<f64> = nodes.clone().zip(nodes.skip(1)).map(|(a, b)| rise(a, b)).collect();
        let more = |w: &[f64]| {
            if w.iter().all(|rise| rise.is_finite()) { w[1] - w[0].max(w[2]) } else { 0.0 }
        };
        let heads: Vec<f64> = rises.windows(3).map(more).collect();
        heads.into_iter().enumerate().map(move |(k, head)| (head, first + (k + 1) * by, by))
    };
    let eastward = (0..rows).flat_map(|row| steps(row * columns, 1, columns));
    let northward = (0..columns).flat_map(|column| steps(column, columns, rows));
    let mut largest = (0.0, 0, 0);
    for step in eastward.chain(northward) {
        if step.0 > largest.0 {
            largest = step;
        }
    }
    let (head, node, by) = largest;
    (head > 0.0).then(|| Step { head, at: (place(node) + place(node + by)) / 2.0 })
}

/// The nodes no farther from a place than [`PEAK`] along rows and columns.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "casts of floats saturate, and nodes beyond the grid are none"
)]
fn around(spec: &GridSpec, p: Coord) -> impl Iterator<Item = usize> {
    let near = |from: f64, to: f64, count: usize| {
        let steps = (to - from) / spec.cell;
        (steps - PEAK).ceil().max(0.0) as usize..count.min(((steps + PEAK).floor() + 1.0) as usize)
    };
    let (rows, columns) = (near(spec.south, p.y, spec.rows), near(spec.west, p.x, spec.columns));
    let width = spec.columns;
    rows.flat_map(move |row| columns.clone().map(move |column| row * width + column))
}

/// M421: the surface has a step that is larger than [`STEP_TOLD`] contour intervals; a warning when
/// it is larger than [`STEP_WARNED`].
///
/// # Units
/// - `interval`: of the contours, elevation unit
#[must_use]
pub(crate) fn step_told(
    surface: &Surface,
    control: &ControlSet,
    interval: f64,
) -> Option<Diagnostic> {
    let step = surface.step?;
    let intervals = step.intervals(interval);
    if intervals <= STEP_TOLD {
        return None;
    }
    let unit = control.elevation_unit();
    let mut told = Diagnostic::new(
        Code::SurfaceStep,
        format!(
            "the surface has a step of {} {unit}, {} contour intervals, between two nodes that no \
             barrier separates, at {}",
            brief_to(step.head, 2),
            told_apart(intervals, STEP_TOLD, 1).0,
            place(step.at.x, step.at.y)
        ),
    )
    .advice(
        "do not take a gradient from the contours there: heads on the two sides of the barrier \
         disagree beyond its end; check where the barrier ends, and measure a well near the end",
    );
    if intervals > STEP_WARNED {
        told.severity = Severity::Warning;
    }
    Some(told)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::interpolate::clip::at_barriers;

    const SPEC: GridSpec = GridSpec { west: 0.0, south: 0.0, cell: 2.0, columns: 12, rows: 9 };

    fn step(head: impl Fn(f64, f64) -> f64, wall: &[(f64, f64)], peaks: &[Coord]) -> Option<Step> {
        let frame = Frame::new(Coord { x: 0.0, y: 0.0 }, 1.0);
        let node = |k: usize| SPEC.node(k / SPEC.columns, k % SPEC.columns);
        let heads = (0..SPEC.rows * SPEC.columns).map(|k| head(node(k).x, node(k).y)).collect();
        let walls = Obstacles::new(&[wall.iter().copied().collect()]);
        let mut grid = Grid::new(SPEC, heads);
        at_barriers(&mut grid, &walls, &frame);
        largest(&grid, &walls, &frame, peaks.iter().copied())
    }

    const FAR: &[(f64, f64)] = &[(-50.0, 0.0), (-50.0, 9.0)];

    #[test]
    fn a_step_on_sloping_ground_is_found_where_it_is() {
        // Up by 0.4 between x = 10 and x = 12, on ground that falls by 0.1 from node to node.
        let head = |x: f64, _| if x > 11.0 { 0.4 } else { 0.0 } - 0.05 * x;
        let found = step(head, FAR, &[]).expect("a step");
        assert!((found.head - (0.4 - 0.1 - 0.1)).abs() < 1e-12, "{found:?}");
        assert_eq!(found.at, Coord { x: 11.0, y: 0.0 });
    }

    #[test]
    fn ground_however_steep_bends_and_what_a_wall_parts_are_no_steps() {
        assert!(step(|x, y| 3.0 * x - 5.0 * y, FAR, &[]).is_none_or(|s| s.head < 1e-12));
        assert!(step(|x, y| (x - 7.0).abs() + y, FAR, &[]).is_none_or(|s| s.head < 1e-12));
        let compartments = |x: f64, _| if x > 11.0 { 5.0 } else { 0.0 };
        assert_eq!(step(compartments, &[(11.0, -9.0), (11.0, 99.0)], &[]), None);
        // A wall to the middle parts the nodes south of its end alone.
        let found = step(compartments, &[(11.0, -9.0), (11.0, 9.0)], &[]).expect("past its end");
        assert!((found.head - 5.0).abs() < 1e-12 && found.at.y > 9.0, "{found:?}");
    }

    #[test]
    fn the_cone_of_a_well_is_none() {
        let cone = |x: f64, y: f64| libm::log(libm::hypot(x - 10.0, y - 8.0).max(0.1)) - 0.3 * x;
        let well = Coord { x: 10.0, y: 8.0 };
        assert!(step(cone, FAR, &[]).is_some_and(|s| s.head > 0.5));
        assert!(step(cone, FAR, &[well]).is_none_or(|s| s.head < 0.05));
    }
}
