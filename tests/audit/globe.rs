//! RFC 7946: positions in longitude and latitude within their ranges, rings closed and
//! counter-clockwise, nothing across the 180th meridian, no member that names a CRS.

use serde_json::Value;

use super::site::Site;
use super::written::Written;

pub(super) fn complaints(site: &Site, written: &Written) -> Vec<String> {
    let mut found = Vec::new();
    for (name, layer) in &written.layers {
        if layer["type"] != "FeatureCollection" || layer.get("crs").is_some() {
            found.push(format!("{name} is no plain collection of features"));
        }
        for (i, feature) in layer["features"].as_array().expect("features").iter().enumerate() {
            let complaint = |c| format!("{name}, feature {}: {c}", i + 1);
            found.extend(of_geometry(&feature["geometry"]).into_iter().map(complaint));
        }
    }
    found.extend(wells(site, written));
    found
}

/// The parts of a geometry or of its coordinates.
fn parts(of: &Value) -> impl Iterator<Item = &Value> {
    of.as_array().into_iter().flatten()
}

fn of_geometry(geometry: &Value) -> Vec<String> {
    let coordinates = &geometry["coordinates"];
    let (lines, rings): (Vec<&Value>, Vec<&Value>) = match geometry["type"].as_str() {
        Some("Point") => return position(coordinates).err().into_iter().collect(),
        Some("LineString") => (vec![coordinates], Vec::new()),
        Some("MultiLineString") => (parts(coordinates).collect(), Vec::new()),
        Some("Polygon") => (Vec::new(), parts(coordinates).collect()),
        Some("MultiPolygon") => (Vec::new(), parts(coordinates).flat_map(parts).collect()),
        other => return vec![format!("a geometry of type {other:?}")],
    };
    let lines = lines.into_iter().filter_map(|line| path(line, 2).err());
    lines.chain(rings.into_iter().filter_map(|ring| of_ring(ring).err())).collect()
}

fn position(of: &Value) -> Result<[f64; 2], String> {
    let numbers: Vec<f64> = parts(of).filter_map(Value::as_f64).collect();
    match numbers[..] {
        [lon, lat] if (-180.0..=180.0).contains(&lon) && (-90.0..=90.0).contains(&lat) => {
            Ok([lon, lat])
        }
        _ => Err(format!("{of} is no longitude and latitude")),
    }
}

/// The positions of a line of so many at least, no two of them half the world apart.
fn path(of: &Value, least: usize) -> Result<Vec<[f64; 2]>, String> {
    let positions: Vec<[f64; 2]> = parts(of).map(position).collect::<Result<_, _>>()?;
    if positions.len() < least {
        return Err(format!("{} positions are too few", positions.len()));
    }
    match positions.windows(2).find(|pair| (pair[1][0] - pair[0][0]).abs() > 180.0) {
        Some(pair) => Err(format!("{pair:?} crosses the 180th meridian")),
        None => Ok(positions),
    }
}

fn of_ring(of: &Value) -> Result<(), String> {
    let ring = path(of, 4)?;
    if ring.first() != ring.last() {
        return Err("a ring is not closed".to_owned());
    }
    let first = ring[0];
    let doubled: f64 = ring
        .windows(2)
        .map(|pair| {
            let [p, q] = [0, 1].map(|k| [0, 1].map(|axis| pair[k][axis] - first[axis]));
            p[0] * q[1] - q[0] * p[1]
        })
        .sum();
    // A sliver that is thinner than the last decimal has no orientation left.
    if doubled < -1e-12 { Err(format!("a ring runs clockwise: {doubled}")) } else { Ok(()) }
}

/// The wells stand where PROJ puts their eastings and northings.
fn wells(site: &Site, written: &Written) -> Vec<String> {
    let to_globe = proj::Proj::new_known_crs(site.crs, "EPSG:4326", None).expect("a CRS");
    let mut found = Vec::new();
    for feature in parts(&written.layers["wells"]["features"]) {
        let id = feature["properties"]["id"].as_str().expect("a name");
        let Some(well) = written.wells.get(id) else { continue };
        let [x, y] = well.place;
        let (lon, lat) = to_globe.convert((x, y)).expect("on earth");
        let Ok(told) = position(&feature["geometry"]["coordinates"]) else { continue };
        let off = [(told[0] - lon).rem_euclid(360.0), (told[1] - lat).abs()];
        if off[0].min(360.0 - off[0]).max(off[1]) > 1e-8 {
            found.push(format!("well {id} stands at {told:?}, not at {lon} {lat}"));
        }
    }
    found
}
