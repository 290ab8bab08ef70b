//! The surface and its contours end at the boundary.

use geo::{Coord, Intersects, Point, Polygon, Triangle};
use headfall::diag::Code;
use headfall::read::Method;
use headfall::triangulate::Mark;

use super::{by, from_corner, map_with, ring, site, wkt};
use crate::support::{Folder, of};

const OUTLINE: [(f64, f64); 6] =
    [(40.0, 40.0), (360.0, 60.0), (340.0, 250.0), (200.0, 180.0), (70.0, 300.0), (40.0, 40.0)];
const HOLE: [(f64, f64); 4] = [(100.0, 80.0), (160.0, 90.0), (120.0, 150.0), (100.0, 80.0)];
const APART: [(f64, f64); 4] = [(300.0, 300.0), (380.0, 310.0), (350.0, 380.0), (300.0, 300.0)];

const TOML: &str = "[grid]\ncell = 5\n[features]\n\
                    boundary = { file = \"site.csv\", crs = \"EPSG:26915\" }";

fn wells() -> Vec<(f64, f64, f64)> {
    (0..25)
        .map(|k| {
            let x = f64::from(k % 5) * 95.0 + f64::from(k * k % 13);
            let y = f64::from(k / 5) * 98.0 + f64::from(k * 7 % 11);
            (x, y, 50.0 - 0.006 * x + 0.003 * y + 1e-6 * x * y)
        })
        .collect()
}

fn bounded() -> Folder {
    let folder = site(&wells(), TOML);
    let polygon =
        format!("MULTIPOLYGON ((({}),({})),(({})))", ring(&OUTLINE), ring(&HOLE), ring(&APART));
    folder.file("site.csv", wkt(&[&polygon]));
    folder
}

fn areas() -> [Polygon; 2] {
    let line = |points: &[(f64, f64)]| points.iter().copied().collect();
    [Polygon::new(line(&OUTLINE), vec![line(&HOLE)]), Polygon::new(line(&APART), Vec::new())]
}

fn inside(p: Coord) -> bool {
    areas().iter().any(|a| a.intersects(&Point(p)))
}

#[test]
fn nodes_outside_have_no_head_and_those_inside_have_the_same_as_without() {
    for method in Method::ALL {
        let (map, open) = (by(&bounded(), method), by(&site(&wells(), "[grid]\ncell = 5"), method));
        let spec = *map.surface.heads.spec();
        assert_eq!(spec, *open.surface.heads.spec());
        let mut kept = 0;
        for row in 0..spec.rows {
            for column in 0..spec.columns {
                let at = |m: &headfall::run::Map| m.surface.heads.head(row, column);
                let held = inside(from_corner(spec.node(row, column)));
                let expected = at(&open).filter(|_| held);
                assert_eq!(at(&map).map(f64::to_bits), expected.map(f64::to_bits), "{method:?}");
                let sd = map.surface.sd.as_ref().map(|sd| sd.head(row, column).is_some());
                assert!(sd.is_none_or(|sd| sd == expected.is_some()), "{method:?}: sd");
                kept += usize::from(expected.is_some());
            }
        }
        assert!(kept > 1500, "{method:?}: {kept}");
        assert!(map.contours.lines.len() > 3, "{method:?}");
    }
}

#[test]
fn the_rasters_of_uncertainty_end_where_the_surface_does() {
    let (map, _) = map_with(&bounded(), |site| site.settings.uncertainty.rasters = true);
    let map = map.expect("a map");
    let rasters = map.uncertainty.rasters.as_ref().expect("asked for");
    let sd = rasters.head_sd.as_ref().expect("a linear surface");
    let spec = *map.surface.heads.spec();
    for k in 0..spec.rows * spec.columns {
        let (row, column) = (k / spec.columns, k % spec.columns);
        let head = map.surface.heads.head(row, column).is_some();
        assert_eq!(sd.head(row, column).is_some(), head, "node {k}");
        assert_eq!(rasters.direction_spread.head(row, column).is_some(), head, "node {k}");
    }
}

#[test]
fn triangles_beyond_are_marked_and_stay() {
    let map = by(&bounded(), Method::Linear);
    let open = by(&site(&wells(), "[grid]\ncell = 5"), Method::Linear);
    assert_eq!(map.mesh.triangles().len(), open.mesh.triangles().len());
    let mut marked = 0;
    for t in map.mesh.triangles() {
        let [a, b, c] = t.corners.map(|i| from_corner(map.control.points()[i].crs));
        let centroid = geo::Centroid::centroid(&Triangle::new(a, b, c));
        let outside = !inside(centroid.0);
        assert_eq!(t.marks.contains(&Mark::OutsideBoundary), outside, "{a:?} {b:?} {c:?}");
        marked += usize::from(outside);
    }
    assert!(marked > 3, "{marked}");
}

#[test]
fn wells_outside_are_named() {
    let (map, findings) = map_with(&bounded(), |_| ());
    let map = map.expect("a map");
    let outside: Vec<&str> = map
        .control
        .points()
        .iter()
        .filter(|p| !inside(from_corner(p.crs)))
        .map(|p| p.id.as_str())
        .collect();
    let told = of(Code::OutsideBoundary, &findings);
    assert_eq!(told.len(), 1);
    assert_eq!(told[0].wells, outside);
    assert!(outside.len() > 3 && told[0].message.contains("of 25 wells"));
}

#[test]
fn a_boundary_that_holds_no_node_is_refused() {
    let folder = site(&wells(), TOML);
    let away = [(201.0, 201.0), (202.0, 201.0), (202.0, 202.0), (201.0, 201.0)];
    folder.file("site.csv", wkt(&[&format!("POLYGON (({}))", ring(&away))]));
    let (map, findings) = map_with(&folder, |_| ());
    assert!(map.is_err());
    assert_eq!(of(Code::SurfaceRefused, &findings).len(), 1, "{findings:?}");
}
