//! The wells that the site's plane is fitted to.

use geo::Coord;

use crate::check::ControlSet;
use crate::geom::{FittedPlane, fit_plane_known_to};

/// Places and heads of wells and gauges: dozens of points on a stream would outvote them.
pub(super) struct Wells {
    local: Vec<Coord>,
    heads_m: Vec<f64>,
    rounding_m: f64,
}

impl Wells {
    pub(super) fn of(control: &ControlSet) -> Self {
        let metres = control.elevation_unit().metres();
        let points = control.points();
        let (local, heads_m) =
            control.wells().iter().map(|i| (points[*i].local, points[*i].head * metres)).unzip();
        Self { local, heads_m, rounding_m: control.frame().rounding_m() }
    }

    /// The plane through them, and through others; heads in m.
    pub(super) fn plane_with(&self, more: &[(Coord, f64)]) -> Option<FittedPlane> {
        let (places, heads): (Vec<Coord>, Vec<f64>) = more.iter().copied().unzip();
        let local = [&self.local[..], &places].concat();
        let heads_m = [&self.heads_m[..], &heads].concat();
        fit_plane_known_to(&local, &heads_m, self.rounding_m)
    }
}
