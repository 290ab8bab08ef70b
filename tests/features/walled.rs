//! Sites with walls, from the wells of `tests/data/barriers`.

use std::collections::BTreeMap;

use geo::{Coord, LineString};
use headfall::interpolate::Grid;
use headfall::read::Method;
use headfall::run::Map;

use super::{from_corner, map_with, ring, site, wkt};
use crate::support::{Folder, rows};

/// The wells of a file below `tests/data/barriers`: east, north, head.
pub(crate) fn wells(file: &str) -> Vec<(f64, f64, f64)> {
    let number =
        |row: &BTreeMap<String, String>, key: &str| row[key].parse::<f64>().expect("a number");
    let rows = rows(&format!("barriers/{file}"));
    rows.iter().map(|r| (number(r, "x"), number(r, "y"), number(r, "head"))).collect()
}

const BARRIERS: &str = "[features]\nbarriers = { file = \"wall.csv\", crs = \"EPSG:26915\" }\n";

/// A site with walls.
pub(crate) fn walled(wells: &[(f64, f64, f64)], walls: &[LineString], toml: &str) -> Folder {
    let folder = site(wells, &format!("{toml}\n{BARRIERS}"));
    let line = |wall: &LineString| {
        let points: Vec<(f64, f64)> = wall.0.iter().map(|p| (p.x, p.y)).collect();
        format!("LINESTRING ({})", ring(&points))
    };
    let lines: Vec<String> = walls.iter().map(line).collect();
    folder.file("wall.csv", wkt(&lines.iter().map(String::as_str).collect::<Vec<_>>()));
    folder
}

pub(crate) fn line(points: &[(f64, f64)]) -> LineString {
    points.iter().copied().collect()
}

/// As the site asks for it, by one method.
pub(crate) fn map_by(folder: &Folder, method: Method) -> Map {
    let (map, findings) = map_with(folder, |site| site.settings.surface.method = method);
    map.unwrap_or_else(|e| panic!("{method:?}: {e:?}\n{findings:#?}"))
}

/// Every node with a head: its place from the corner, and the head.
pub(crate) fn heads(grid: &Grid) -> Vec<(Coord, f64)> {
    let spec = *grid.spec();
    (0..spec.rows * spec.columns)
        .map(|k| (k / spec.columns, k % spec.columns))
        .filter_map(|(r, c)| Some((from_corner(spec.node(r, c)), grid.head(r, c)?)))
        .collect()
}
