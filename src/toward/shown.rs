//! Which paths a drawing shows.

use geo::Coord;
use rstar::primitives::Line;
use rstar::{PointDistance, RTree};

use super::path::Way;
use super::place::Role;
use super::types::Toward;
use crate::geom::Frame;
use crate::geom::distance;
use crate::read::Site;

/// More paths than this are not shown.
const MOST: usize = 400;

/// A path that speaks for a source and a receptor is shown unless another begins this many times
/// nearer than the usual distance.
const SPEAKING: f64 = 0.1;

/// A path keeps to a stream as long as it is no farther from it than this part of that distance.
const BESIDE: f64 = 0.5;

/// A path that is shown.
#[derive(Debug, Clone, PartialEq)]
pub struct ShownPath {
    /// Its places in the direction of the water, m in the local frame.
    pub points: Vec<Coord>,
    /// Its index among all paths.
    pub path: usize,
    /// Whether it was followed back from a receptor or a pumped well.
    pub back: bool,
}

impl Toward {
    /// The paths that a drawing shows: first those that speak for a source and a receptor, then the
    /// longest of the others, each beginning no nearer than `apart_m` to those before it. Paths back
    /// from pumped wells are shown too, and those from receptors on a site without sources.
    ///
    /// A path that comes to a stream and runs along it to its end is shown as far as the stream:
    /// there the groundwater has become surface water, or goes on unseen below it.
    ///
    /// # Units
    /// - `apart_m`: m on the ground
    #[must_use]
    pub fn shown(&self, site: &Site, frame: &Frame, apart_m: f64) -> Vec<ShownPath> {
        let streams = lines(site.features.streams.iter().flat_map(|s| {
            s.line.lines().map(|l| [l.start, l.end].map(|p| frame.to_local(p))).collect::<Vec<_>>()
        }));
        let speaking: Vec<usize> = self.verdicts.iter().filter_map(|v| v.path).collect();
        let mut others: Vec<usize> = self.may_be_shown().collect();
        let length = |i: &usize| self.paths[*i].path.length_m();
        others.sort_by(|a, b| length(b).total_cmp(&length(a)).then(a.cmp(b)));
        let ranked = speaking
            .iter()
            .map(|i| (*i, SPEAKING * apart_m))
            .chain(others.into_iter().map(|i| (i, apart_m)));
        let mut shown: Vec<ShownPath> = Vec::new();
        let mut taken = RTree::new();
        for (i, clear_m) in ranked {
            let path = &self.paths[i].path;
            let mut points = path.points.clone();
            let back = path.way == Way::Up;
            if back {
                points.reverse();
            }
            leave_at_stream(&mut points, &streams, BESIDE * apart_m);
            let Some(start) = points.first().filter(|_| points.len() > 1) else { continue };
            if nearest(&taken, *start) < clear_m {
                continue;
            }
            for w in points.windows(2) {
                taken.insert(Line::new([w[0].x, w[0].y], [w[1].x, w[1].y]));
            }
            shown.push(ShownPath { points, path: i, back });
            if shown.len() == MOST {
                break;
            }
        }
        shown
    }

    /// Paths that may be shown, by their index.
    fn may_be_shown(&self) -> impl Iterator<Item = usize> {
        let sources = self.places.iter().any(|p| p.role == Role::Source);
        let role = |i: usize| self.places[self.paths[i].place].role;
        (0..self.paths.len()).filter(move |i| match role(*i) {
            Role::Source | Role::PumpedWell => true,
            Role::Receptor => !sources,
        })
    }

    /// Whether a drawing shows paths down from sources, and paths back from receptors or pumped
    /// wells.
    #[must_use]
    pub fn shows(&self) -> [bool; 2] {
        [Way::Down, Way::Up].map(|way| self.may_be_shown().any(|i| self.paths[i].path.way == way))
    }
}

fn lines(all: impl Iterator<Item = [Coord; 2]>) -> RTree<Line<[f64; 2]>> {
    RTree::bulk_load(all.map(|[a, b]| Line::new([a.x, a.y], [b.x, b.y])).collect())
}

/// The distance from a place to the nearest line, m; infinite without lines.
fn nearest(lines: &RTree<Line<[f64; 2]>>, p: Coord) -> f64 {
    let p = [p.x, p.y];
    lines.nearest_neighbor(&p).map_or(f64::INFINITY, |l| l.distance_2(&p).sqrt())
}

/// Cuts off the end of a path that keeps to a stream.
fn leave_at_stream(points: &mut Vec<Coord>, streams: &RTree<Line<[f64; 2]>>, beside_m: f64) {
    let off: Vec<f64> = points.iter().map(|p| nearest(streams, *p)).collect();
    let along = off.iter().rev().take_while(|d| **d < beside_m).count();
    // Up to where it is at the stream, and not only near it.
    let mut last = points.len() - along;
    let nears = |i: usize| off[i] - off[i + 1] > 0.3 * distance(points[i], points[i + 1]);
    while last + 1 < points.len() && nears(last) {
        last += 1;
    }
    points.truncate(last + 1);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_shown_as_far_as_the_stream_it_then_keeps_to() {
        let c = |x: f64, y: f64| Coord { x, y };
        let stream = lines([[c(0.0, 0.0), c(100.0, 0.0)]].into_iter());
        let mut path = vec![c(5.0, 50.0), c(10.0, 0.9), c(12.0, 0.0), c(60.0, 0.2), c(99.0, 0.0)];
        leave_at_stream(&mut path, &stream, 1.0);
        assert_eq!(path, [c(5.0, 50.0), c(10.0, 0.9), c(12.0, 0.0)]);
        // One that crosses goes on, and without streams all is shown.
        let mut across = vec![c(5.0, 50.0), c(12.0, 0.0), c(12.0, -30.0)];
        leave_at_stream(&mut across, &stream, 1.0);
        assert_eq!(across.len(), 3);
        leave_at_stream(&mut across, &RTree::new(), 1.0);
        assert_eq!(across.len(), 3);
    }
}
