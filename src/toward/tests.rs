//! Paths over triangles whose way is known.

#![expect(clippy::disallowed_methods, reason = "a test may be as exact as the platform")]

use geo::Coord;

use super::field::GridField;
use super::linear::trace;
use super::net::Net;
use super::path::{End, FlowPath, Way};
use super::smooth;
use super::smooth::Field;
use crate::geom::Frame;
use crate::geom::slope_of_triangle;
use crate::interpolate::{Grid, GridSpec};
use crate::triangulate::Mesh;
use crate::triangulate::mesh_of;

fn c(x: f64, y: f64) -> Coord {
    Coord { x, y }
}

fn mesh(wells: &[(f64, f64, f64)]) -> Mesh {
    mesh_of(wells.iter().map(|w| c(w.0, w.1)).collect(), wells.iter().map(|w| w.2).collect())
}

fn walked(mesh: &Mesh, start: Coord, way: Way) -> FlowPath {
    trace(&Net::new(mesh), mesh.heads(), start, way)
}

#[track_caller]
fn same(found: Coord, expected: Coord) {
    assert!(
        (found.x - expected.x).abs() < 1e-9 && (found.y - expected.y).abs() < 1e-9,
        "{found:?} is not {expected:?}"
    );
}

#[test]
fn on_a_plane_the_path_is_a_straight_line_to_the_outline() {
    let at = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0), (40.0, 55.0), (70.0, 20.0)];
    let wells: Vec<_> = at.iter().map(|(x, y)| (*x, *y, 10.0 - 0.02 * x - 0.01 * y)).collect();
    let path = walked(&mesh(&wells), c(10.0, 20.0), Way::Down);
    assert_eq!(path.end, End::LeavesMap { well: None });
    // East 90 m at two to one: north 45 m.
    same(*path.points.last().expect("a path"), c(100.0, 65.0));
    for p in &path.points {
        assert!((p.y - 20.0 - (p.x - 10.0) / 2.0).abs() < 1e-9, "{p:?} is off the line");
    }
    assert!((path.length_m() - libm::hypot(90.0, 45.0)).abs() < 1e-9);
    assert!((path.fall() - (0.02 * 90.0 + 0.01 * 45.0)).abs() < 1e-12);
    // And back again.
    let up = walked(&mesh(&wells), c(100.0, 65.0), Way::Up);
    assert!(up.points.iter().any(|p| (p.x - 10.0).abs() < 100.0));
    same(*up.points.last().expect("a path"), c(0.0, 15.0));
}

/// Two planes that both fall toward the line between (0, 0) and (100, 0), which falls to the east.
fn valley() -> Mesh {
    mesh(&[(0.0, 0.0, 5.0), (100.0, 0.0, 4.0), (50.0, 80.0, 9.0), (50.0, -80.0, 8.0)])
}

#[test]
fn where_two_triangles_flow_toward_their_side_the_path_follows_it_down() {
    let mesh = valley();
    let path = walked(&mesh, c(50.0, 20.0), Way::Down);
    assert_eq!(path.end, End::LeavesMap { well: Some(1) });
    let corners = [c(0.0, 0.0), c(100.0, 0.0), c(50.0, 80.0)];
    let s = slope_of_triangle(corners, [5.0, 4.0, 9.0]).expect("an area");
    // Down the plane to y = 0, then along it.
    let meets = c(50.0 - 20.0 * s.east / s.north, 0.0);
    assert_eq!(path.points.len(), 3, "{path:?}");
    same(path.points[1], meets);
    same(path.points[2], c(100.0, 0.0));
    assert!(path.heads.windows(2).all(|h| h[1] < h[0]));
}

#[test]
fn a_well_lower_than_all_around_stops_the_path_and_one_higher_sends_it_everywhere() {
    let mut wells = vec![(0.0, 0.0, 1.0)];
    for k in 0..7 {
        let turn = f64::from(k) / 7.0 * std::f64::consts::TAU;
        wells.push((100.0 * turn.sin(), 100.0 * turn.cos(), 5.0 + 0.1 * f64::from(k)));
    }
    let mesh = mesh(&wells);
    for k in 1..8 {
        let rim = mesh.local()[k];
        let path = walked(&mesh, rim * 0.9, Way::Down);
        assert_eq!(path.end, End::Stops { well: Some(0) }, "{path:?}");
        same(*path.points.last().expect("a path"), c(0.0, 0.0));
        let up = walked(&mesh, rim * 0.1, Way::Up);
        assert!(matches!(up.end, End::LeavesMap { .. }));
    }
    // From the low well nothing goes down, and upgradient the steepest side is taken.
    assert_eq!(walked(&mesh, c(0.0, 0.0), Way::Down).end, End::Stops { well: Some(0) });
    let up = walked(&mesh, c(0.0, 0.0), Way::Up);
    assert!(matches!(up.end, End::LeavesMap { .. }));
    let steepest = (1..8).map(|v| (mesh.heads()[v] - 1.0) / 100.0).fold(0.0, f64::max);
    let taken = -up.fall() / up.length_m();
    assert!(taken >= steepest - 1e-12, "{taken} is less steep than {steepest}");
}

#[test]
fn a_level_triangle_ends_the_path_and_a_place_beyond_the_outline_has_none() {
    let mesh = mesh(&[(0.0, 0.0, 3.0), (100.0, 0.0, 3.0), (50.0, 80.0, 3.0), (50.0, -80.0, 9.0)]);
    assert_eq!(walked(&mesh, c(50.0, 30.0), Way::Down).end, End::Level);
    let path = walked(&mesh, c(50.0, -40.0), Way::Down);
    assert_eq!((path.end, path.points.len()), (End::Level, 2));
    same(path.points[1], c(50.0, 0.0));
    let beyond = walked(&mesh, c(500.0, 0.0), Way::Down);
    assert_eq!((beyond.end, beyond.points.len()), (End::NotOnMap, 0));
}

#[test]
fn a_path_through_a_well_goes_on_from_it() {
    // A lattice on a plane that falls to the east: the path along a row meets every well of it.
    let wells: Vec<_> = (0..25)
        .map(|k| (f64::from(k % 5) * 10.0, f64::from(k / 5) * 10.0, 50.0 - f64::from(k % 5)))
        .collect();
    let path = walked(&mesh(&wells), c(3.0, 20.0), Way::Down);
    assert_eq!(path.end, End::LeavesMap { well: Some(14) });
    same(*path.points.last().expect("a path"), c(40.0, 20.0));
    assert!((path.length_m() - 37.0).abs() < 1e-9);
}

/// Steps that know nothing of sides and neighbours arrive where the exact path does.
#[test]
fn small_steps_down_the_slope_arrive_at_the_same_place() {
    let mut seed = 7_u64;
    let mut random = || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 11) as f64 / 9_007_199_254_740_992.0
    };
    let wells: Vec<_> = (0..60)
        .map(|_| {
            let (x, y) = (1000.0 * random(), 1000.0 * random());
            (x, y, 20.0 - 0.01 * x + 0.3 * libm::sin(x / 180.0) * libm::cos(y / 240.0))
        })
        .collect();
    let mesh = mesh(&wells);
    let net = Net::new(&mesh);
    let mut compared = 0;
    for k in 0..40 {
        let start = c(150.0 + 10.0 * f64::from(k % 8), 200.0 + 120.0 * f64::from(k / 8));
        let exact = trace(&net, mesh.heads(), start, Way::Down);
        assert!(exact.heads.windows(2).all(|h| h[1] <= h[0] + 1e-12), "{start:?}");
        let mut at = start;
        let mut length = 0.0;
        let step = 0.05;
        'walk: while length < 300.0 {
            for t in mesh.triangles() {
                let corners = mesh.corners(t);
                let inside = (0..3).all(|k| {
                    crate::geom::doubled_area([corners[k], corners[(k + 1) % 3], at]) >= 0.0
                });
                if inside {
                    let heads = t.corners.map(|v| mesh.heads()[v]);
                    let s = slope_of_triangle(corners, heads).expect("an area");
                    at = at - c(s.east, s.north) * (step / s.magnitude());
                    length += step;
                    continue 'walk;
                }
            }
            break;
        }
        // Along a valley small steps go to and fro, and length has another meaning.
        let there = exact.first(length);
        let end = there.points[there.points.len() - 1];
        if (there.length_m() - length).abs() < 0.1 {
            let off = libm::hypot(end.x - at.x, end.y - at.y);
            if off < 1.0 {
                compared += 1;
            } else {
                let shorter =
                    exact.points.iter().any(|p| libm::hypot(p.x - at.x, p.y - at.y) < 40.0);
                assert!(shorter, "{start:?} ends at {at:?}, not {end:?}");
            }
        }
    }
    assert!(compared > 20, "only {compared}");
}

/// A grid of `f` in CRS units of half a metre; no head where `f` gives none.
fn grid(cell_m: f64, side_m: f64, f: impl Fn(Coord) -> Option<f64>) -> (Grid, Frame) {
    let frame = Frame::new(c(1000.0, 2000.0), 0.5);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small count")]
    let nodes = (side_m / cell_m).round() as usize + 1;
    let corner = frame.to_crs(c(-side_m / 2.0, -side_m / 2.0));
    let spec = GridSpec {
        west: corner.x,
        south: corner.y,
        cell: 2.0 * cell_m,
        columns: nodes,
        rows: nodes,
    };
    let heads = (0..nodes * nodes)
        .map(|k| f(frame.to_local(spec.node(k / nodes, k % nodes))).unwrap_or(f64::NAN))
        .collect();
    (Grid::new(spec, heads), frame)
}

#[test]
fn a_grids_surface_has_the_slopes_of_what_was_sampled() {
    // A quadratic surface is kept exactly where all sixteen nodes are there, Keys (1981).
    let f = |p: Coord| 3.0 + 0.01 * p.x - 0.02 * p.y + 1e-4 * p.x * p.x - 2e-4 * p.x * p.y;
    let (grid, frame) = grid(10.0, 200.0, |p| Some(f(p)));
    let field = GridField::new(&grid, &frame);
    for p in [c(3.3, -7.1), c(-60.0, 41.9), c(79.9, -79.9)] {
        let (h, s) = field.at(p).expect("on the grid");
        assert!((h - f(p)).abs() < 1e-12, "{p:?}");
        assert!((s.east - (0.01 + 2e-4 * p.x - 2e-4 * p.y)).abs() < 1e-12, "{p:?}");
        assert!((s.north - (-0.02 - 2e-4 * p.x)).abs() < 1e-12, "{p:?}");
    }
    // At the rim it is still a surface, and beyond it is none.
    assert!((field.at(c(100.0, 100.0)).expect("the corner").0 - f(c(100.0, 100.0))).abs() < 1e-9);
    assert!(field.at(c(100.1, 0.0)).is_none() && field.at(c(0.0, f64::NAN)).is_none());
}

#[test]
fn on_a_grid_paths_end_at_lows_at_holes_and_at_the_rim() {
    let bowl = |p: Coord| 5.0 + 1e-4 * ((p.x - 13.0).powi(2) + 2.0 * (p.y + 4.0).powi(2));
    let hole = |p: Coord| libm::hypot(p.x + 60.0, p.y) > 25.0;
    let (grid, frame) = grid(5.0, 200.0, |p| hole(p).then(|| bowl(p)));
    let field = GridField::new(&grid, &frame);
    let steps = field.steps();
    let path = smooth::trace(&field, c(70.0, 80.0), Way::Down, steps);
    assert_eq!(path.end, End::Stops { well: None });
    let end = path.points[path.points.len() - 1];
    assert!(libm::hypot(end.x - 13.0, end.y + 4.0) < 0.01, "{end:?}");
    assert!(path.heads.windows(2).all(|h| h[1] < h[0]));
    // Down to the low from the west leads over the hole.
    let path = smooth::trace(&field, c(-97.0, -4.0), Way::Down, steps);
    assert_eq!(path.end, End::LeavesMap { well: None });
    let end = path.points[path.points.len() - 1];
    assert!(end.x > -97.0 && end.x <= -80.0, "{end:?}");
    let up = smooth::trace(&field, c(20.0, 0.0), Way::Up, steps);
    assert!(up.points[up.points.len() - 1].y > 99.9, "{:?}", up.points.last());
    let (level, frame) = self::grid(5.0, 50.0, |_| Some(7.0));
    let field = GridField::new(&level, &frame);
    let path = smooth::trace(&field, c(0.0, 0.0), Way::Down, field.steps());
    assert_eq!(path.end, End::Level);
    assert_eq!(smooth::trace(&field, c(99.0, 0.0), Way::Down, field.steps()).end, End::NotOnMap);
}
