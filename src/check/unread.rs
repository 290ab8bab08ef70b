//! Control points that nobody read: along streams, and judged ones.

use geo::Coord;

use super::place::{Placed, from_west};
use super::positions::all_at_once;
use super::types::{Carrier, ControlPoint, Place};
use crate::diag::{Code, Diagnostic, listed};
use crate::geom::Crs;
use crate::read::{Features, Judgement};

impl Placed {
    /// The control points along the streams, in canonical order; those that have no longitude and
    /// latitude carry nothing.
    pub(super) fn stream_points(&self, features: &Features, crs: &Crs) -> Vec<ControlPoint> {
        let given = features.stream_points.iter().enumerate().map(|(point, p)| {
            (Carrier::Stream { stream: p.stream, point }, &*p.name, p.position, p.stage)
        });
        self.unread(given.collect(), crs)
    }

    /// The control points of those judged heads that `apply`, in canonical order.
    pub(super) fn judged_points(
        &self,
        features: &Features,
        crs: &Crs,
        apply: impl Fn(&Judgement) -> bool,
        findings: &mut Vec<Diagnostic>,
    ) -> Vec<ControlPoint> {
        let all = features.judged_points.iter().enumerate();
        let given = all
            .filter(|(_, p)| apply(&p.judgement))
            .map(|(point, p)| (Carrier::Judged { point }, &*p.name, p.position, p.head));
        let given: Vec<_> = given.collect();
        let names: Vec<&str> = given.iter().map(|g| g.1).collect();
        let placed = self.unread(given, crs);
        if placed.len() < names.len() {
            let missing = names.into_iter().filter(|name| placed.iter().all(|p| p.id != *name));
            let text = format!("judged heads have no longitude and latitude: {}", listed(missing));
            let told = Diagnostic::new(Code::OutsideArea, text);
            findings.push(told.advice("check their coordinates").refused());
        }
        placed
    }

    /// Control points that nobody read, in canonical order.
    fn unread(&self, given: Vec<(Carrier, &str, Coord, f64)>, crs: &Crs) -> Vec<ControlPoint> {
        let positions: Vec<Coord> = given.iter().map(|g| g.2).collect();
        let places = all_at_once(crs, None, &positions);
        let of =
            |((carrier, name, _, head), place): ((Carrier, &str, Coord, f64), Option<Place>)| {
                let Place { crs, lon_lat } = place?;
                Some(ControlPoint {
                    id: name.to_owned(),
                    carrier,
                    crs,
                    local: self.frame.to_local(crs),
                    lon_lat,
                    head,
                    depth: None,
                    measuring_point: None,
                    product_thickness: None,
                    moment: None,
                    leave_one_out: None,
                    from_doubtful: false,
                    beside_pumping: None,
                })
            };
        let mut points: Vec<ControlPoint> = given.into_iter().zip(places).filter_map(of).collect();
        points.sort_by(|a, b| from_west(a.crs, b.crs));
        points
    }
}
