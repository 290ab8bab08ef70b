//! `paths.geojson`, `receptors.geojson` and `reaches.geojson`.

use std::io;
use std::path::Path;

use geo::{Coord, CoordsIter, Geometry, LineString};
use serde::Serialize;

use crate::report::{OfRound, PlaceRow, Rows};
use crate::write::antimeridian;
use crate::write::layers::layer;

/// Longitude and latitude of local positions.
fn on_earth(rows: &Rows, mut points: Vec<Coord>) -> io::Result<Vec<Coord>> {
    let control = &rows.results.control;
    for p in &mut points {
        *p = control.frame().to_crs(*p);
    }
    control.crs().to_lon_lat(&mut points).map_err(io::Error::other)?;
    Ok(points)
}

/// Lines one after another, as where each begins in the whole.
fn starts<'a>(lines: impl Iterator<Item = &'a [Coord]>) -> (Vec<usize>, Vec<Coord>) {
    let (mut starts, mut all) = (vec![0], Vec::new());
    for line in lines {
        all.extend_from_slice(line);
        starts.push(all.len());
    }
    (starts, all)
}

/// Writes the paths, one feature each; one that is a point alone is left out.
pub(super) fn paths(rows: &Rows, of: &OfRound, path: &Path) -> io::Result<()> {
    let paths = &rows.toward.paths;
    let (starts, all) = starts(paths.iter().map(|p| p.path.points.as_slice()));
    let all = on_earth(rows, all)?;
    layer(path, of, paths.len(), |i| {
        Some((antimeridian::line(&all[starts[i]..starts[i + 1]])?, rows.path(i)?))
    })
}

/// Writes the reaches of all lines, one feature each.
pub(super) fn reaches(rows: &Rows, of: &OfRound, path: &Path) -> io::Result<()> {
    let lines = &rows.toward.lines;
    let flat: Vec<_> = lines
        .iter()
        .enumerate()
        .flat_map(|(i, line)| line.reaches.iter().map(move |reach| (i, reach)))
        .collect();
    let parts: Vec<Vec<Coord>> =
        flat.iter().map(|(i, reach)| lines[*i].part(reach.from_m, reach.to_m)).collect();
    let (starts, all) = starts(parts.iter().map(Vec::as_slice));
    let all = on_earth(rows, all)?;
    layer(path, of, flat.len(), |i| {
        let geometry = antimeridian::line(&all[starts[i]..starts[i + 1]])?;
        Some((geometry, rows.reach(flat[i].0, flat[i].1)))
    })
}

/// Writes sources, receptors and pumped wells, one feature each.
pub(super) fn receptors(rows: &Rows, of: &OfRound, path: &Path) -> io::Result<()> {
    #[derive(Serialize)]
    struct Properties<'a> {
        #[serde(flatten)]
        place: PlaceRow<'a>,
    }
    let results = &rows.results;
    let features = &results.site.features;
    let declared = features.sources.iter().chain(&features.receptors).map(|p| p.geometry.clone());
    let frame = results.control.frame();
    let pumped = rows.toward.pumped.iter().map(|z| Geometry::from(geo::Point(frame.to_crs(z.at))));
    let mut shapes: Vec<Geometry> = declared.chain(pumped).map(plain).collect();
    let mut all: Vec<Coord> = shapes.iter().flat_map(CoordsIter::coords_iter).collect();
    results.control.crs().to_lon_lat(&mut all).map_err(io::Error::other)?;
    antimeridian::place(&mut shapes, &all);
    layer(path, of, shapes.len(), |i| {
        Some((antimeridian::cut(&shapes[i])?, Properties { place: rows.place(i) }))
    })
}

/// A geometry of one of the kinds whose vertices can be moved one by one.
fn plain(geometry: Geometry) -> Geometry {
    match geometry {
        Geometry::Rect(r) => r.to_polygon().into(),
        Geometry::Triangle(t) => t.to_polygon().into(),
        Geometry::Line(l) => LineString::from(l).into(),
        other => other,
    }
}
