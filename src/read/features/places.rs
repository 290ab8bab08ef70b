//! Sources and receptors of `site.toml` itself, and features that lie far away.

use geo::{Coord, CoordsIter, Geometry, LineString, Point};

use super::around::Surroundings;
use super::types::{Features, Place};
use crate::diag::{Code, Diagnostic, Origin, did_you_mean};
use crate::geom::tolerance::FAR_FEATURE_M;
use crate::read::settings::features::{At, DeclaredPlace};
use crate::read::table::rows::shown;
use crate::units::GroundUnit;

/// A source or receptor of `site.toml` in the project CRS.
pub(super) fn placed(
    place: &DeclaredPlace,
    around: &Surroundings<'_>,
) -> Result<Place, Box<Diagnostic>> {
    let key = place.role.key();
    let refuse = |message: String, advice: &str| {
        let told = Diagnostic::new(Code::FeatureUnusable, message).at(&place.origin);
        Box::new(told.advice(advice))
    };
    let of_site = |p: &Coord| {
        around.of_settings(*p).ok_or_else(|| {
            refuse(
                format!(
                    "{key} \"{}\": the position ({}, {}) cannot be transformed to the CRS of \
                         the site",
                    shown(&place.name),
                    p.x,
                    p.y
                ),
                "give the coordinates in the CRS of the register",
            )
        })
    };
    let mut aquifer_unit = place.aquifer_unit.clone();
    let geometry = match &place.at {
        At::Well(id) => {
            let well = around.wells.iter().find(|w| w.id == *id).ok_or_else(|| {
                let names = around.wells.iter().map(|w| w.id.as_str());
                let otherwise = "use a well name from the register, or give easting and northing";
                refuse(
                    format!("{key}: well \"{}\" is not in the register", shown(id)),
                    &did_you_mean(id, names, otherwise),
                )
            })?;
            let p = Coord { x: well.easting, y: well.northing };
            let p = around.of_register(p).ok_or_else(|| {
                refuse(
                    format!("{key}: well \"{}\" has no usable position", shown(id)),
                    "check its coordinates in the register",
                )
            })?;
            aquifer_unit = aquifer_unit.or_else(|| well.aquifer_unit.clone());
            Geometry::Point(Point(p))
        }
        At::Point(p) => Geometry::Point(Point(of_site(p)?)),
        At::Line(line) => {
            let line: Vec<Coord> = line.iter().map(of_site).collect::<Result<_, _>>()?;
            Geometry::LineString(LineString::new(line))
        }
    };
    Ok(Place { name: place.name.clone(), geometry, aquifer_unit, origin: place.origin.clone() })
}

/// Tells features farther from the wells than [`FAR_FEATURE_M`].
pub(in crate::read) fn tell_far(
    features: &Features,
    around: &Surroundings<'_>,
    said: &mut Vec<Diagnostic>,
) {
    let wells: Vec<Coord> = around.positions().into_iter().flatten().collect();
    let Some(first) = wells.first() else { return };
    let metres = around.project.metres_per_unit();
    let nearest = |points: &mut dyn Iterator<Item = Coord>| {
        points
            .map(|p| libm::hypot(p.x - first.x, p.y - first.y) * metres)
            .fold(f64::INFINITY, f64::min)
    };
    let mut tell = |what: &str, origin: Option<&Origin>, metres: f64| {
        if metres <= FAR_FEATURE_M {
            return;
        }
        let told = Diagnostic::new(
            Code::FeatureFar,
            format!(
                "{what} lies {} from the wells",
                GroundUnit::of(around.elevation_unit).away(metres)
            ),
        )
        .advice("check the CRS of the file and of the register");
        said.push(origin.into_iter().fold(told, Diagnostic::at));
    };
    for area in &features.boundary {
        tell("the boundary", None, nearest(&mut area.coords_iter()));
    }
    for b in &features.barriers {
        let far = nearest(&mut b.line.coords_iter());
        tell(&format!("barrier {}", shown(&b.name)), Some(&b.origin), far);
    }
    for s in &features.streams {
        let far = nearest(&mut s.line.coords_iter());
        tell(&format!("stream {}", shown(&s.name)), Some(&s.origin), far);
    }
    for l in &features.control_lines {
        let far = nearest(&mut l.line.coords_iter());
        tell(&format!("control line {}", shown(&l.name)), Some(&l.judgement.origin), far);
    }
    for p in features.judged_points.iter().filter(|p| p.line.is_none()) {
        let far = nearest(&mut std::iter::once(p.position));
        tell(&format!("judged point {}", shown(&p.name)), Some(&p.judgement.origin), far);
    }
    for (what, places) in [("source", &features.sources), ("receptor", &features.receptors)] {
        for p in places {
            let far = nearest(&mut p.geometry.coords_iter());
            tell(&format!("{what} {}", shown(&p.name)), Some(&p.origin), far);
        }
    }
}
