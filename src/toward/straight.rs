//! Straight on from where a path leaves the mapped area: what a reviewer works out by hand.

use super::answer::Beyond;
use super::path::{End, FlowPath};
use super::target::Target;
use super::travel::Conductor;
use crate::geom::distance;
use crate::units::{Azimuth, Span};

/// The last gradient and direction of a path are those of its last part, as long as this many usual spacings.
const LAST_SPACINGS: f64 = 0.5;

/// No farther on than this many times the distance of the receptor.
const PAST: f64 = 2.0;

/// What goes straight on.
pub(super) struct Straight<'a> {
    pub(super) capture_m: f64,
    pub(super) spacing_m: f64,
    /// Metres in one unit of head.
    pub(super) metres: f64,
    pub(super) conductor: Option<&'a Conductor>,
}

impl Straight<'_> {
    /// The way straight on from the end of a path at its last gradient; `None` where it has none.
    pub(super) fn on(&self, path: &FlowPath, receptor: &Target) -> Option<Beyond> {
        let (end, head) = (*path.points.last()?, *path.heads.last()?);
        let long = path.length_m();
        let last = (LAST_SPACINGS * self.spacing_m).min(long);
        let before = path.first(long - last);
        let (from, above) = (*before.points.last()?, *before.heads.last()?);
        let straight = distance(from, end);
        let fall = (above - head) * self.metres;
        if straight <= 0.0 || fall <= 0.0 {
            return None;
        }
        let (way, gradient) = ((end - from) / straight, fall / last);
        let far = PAST * receptor.distance(end) + self.capture_m;
        let on = FlowPath {
            way: path.way,
            points: vec![end, end + way * far],
            heads: vec![head, head - gradient * far / self.metres],
            end: End::LeavesMap { well: None },
        };
        let met = receptor.meet(&on, self.capture_m)?;
        let to_receptor_m = met.reached.map(|reached| reached.along_m);
        let days = self.conductor.zip(to_receptor_m).and_then(|(conductor, m)| {
            let along = conductor.days(path, self.metres)?;
            let velocity = conductor.velocity(Span { low: gradient, high: gradient });
            Some(Span { low: along.low + m / velocity.high, high: along.high + m / velocity.low })
        });
        let azimuth_grid = Azimuth::of_vector(way.x, way.y)?;
        Some(Beyond { azimuth_grid, to_receptor_m, off_m: met.nearest.distance_m, days })
    }
}

#[cfg(test)]
mod tests {
    use geo::{Coord, Geometry, LineString, Point};

    use super::*;
    use crate::geom::Frame;
    use crate::toward::path::Way;

    /// 100 m east at 0.01, then a fence 300 m on: K 10 m/d and n 0.25 make 0.4 m/d, 1000 days in all.
    #[test]
    fn the_way_goes_on_straight_at_the_last_gradient() {
        let c = |x: f64, y: f64| Coord { x, y };
        let path = FlowPath {
            way: Way::Down,
            points: vec![c(0.0, 0.0), c(100.0, 0.0)],
            heads: vec![20.0, 19.0],
            end: End::LeavesMap { well: None },
        };
        let (k, n) = (10.0, 0.25);
        let conductor = Conductor {
            conductivity_m_per_day: Span { low: k, high: k },
            effective_porosity: Span { low: n, high: n },
            retardation: None,
        };
        let straight =
            Straight { capture_m: 5.0, spacing_m: 40.0, metres: 1.0, conductor: Some(&conductor) };
        let target = |geometry: Geometry| Target::new(&geometry, &Frame::new(c(0.0, 0.0), 1.0));
        let fence = target(LineString(vec![c(400.0, -50.0), c(400.0, 50.0)]).into());
        let on = straight.on(&path, &fence).expect("a way");
        assert!((on.azimuth_grid.degrees() - 90.0).abs() < 1e-9 && on.off_m == 0.0);
        assert!((on.to_receptor_m.expect("met") - 300.0).abs() < 0.02);
        let days = on.days.expect("a time");
        assert!((days.low - 1000.0).abs() < 0.1 && (days.high - 1000.0).abs() < 0.1, "{days:?}");
        let on = straight.on(&path, &target(Point::new(300.0, 60.0).into())).expect("a way");
        assert!(on.to_receptor_m.is_none() && (on.off_m - 60.0).abs() < 1e-9);
    }
}
