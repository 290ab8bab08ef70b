//! Triangles against streams, judged heads and the boundary: marked, never dropped.

use geo::Coord;
use rayon::prelude::*;

use super::types::{Mark, Mesh};
use crate::check::{ControlPoint, ControlSet};

/// Marks triangles whose corners are all on one stream, those with a judged head at a corner, and those
/// whose centroid lies outside the boundary.
pub(super) fn mark(control: &ControlSet, mesh: &mut Mesh) {
    let (beside, points, frame) = (control.beside(), control.points(), control.frame());
    let streams: Vec<Option<usize>> = points.iter().map(ControlPoint::stream).collect();
    let (any, local) = (streams.iter().any(Option::is_some), &mesh.local);
    let judged = control.has_judged();
    if !any && !judged && beside.boundary().is_empty() {
        return;
    }
    mesh.triangles.par_iter_mut().for_each(|t| {
        let [a, b, c] = t.corners;
        if any && streams[a].is_some() && streams[a] == streams[b] && streams[b] == streams[c] {
            t.marks.push(Mark::OneStream);
        }
        if judged && t.corners.iter().any(|i| points[*i].is_judged()) {
            t.marks.push(Mark::Judged);
        }
        let [a, b, c] = t.corners.map(|i| local[i]);
        let middle = Coord { x: (a.x + b.x + c.x) / 3.0, y: (a.y + b.y + c.y) / 3.0 };
        if !beside.boundary().hold(frame.to_crs(middle)) {
            t.marks.push(Mark::OutsideBoundary);
        }
    });
}
