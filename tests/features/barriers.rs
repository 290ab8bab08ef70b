//! Two compartments with a plane of heads in each, and a slurry wall between them.

use geo::{Coord, Intersects, Line, LineString, Triangle};
use headfall::diag::Code;
use headfall::read::Method;

use super::{EAST, NORTH, by, from_corner, map_with, ring, site, wkt};
use crate::support::{Folder, gives, of};

/// The wall: from beyond the wells in the south to beyond them in the north, with two bends.
const WALL: [(f64, f64); 4] = [(205.0, -50.0), (195.0, 120.0), (215.0, 260.0), (200.0, 450.0)];

const TOML: &str = "[grid]\ncell = 5\n[contours]\ninterval = 0.25\n\
                    [features]\nbarriers = { file = \"wall.csv\", crs = \"EPSG:26915\" }";

/// Heads west and east of the wall, m: 5 m apart and sloping different ways.
fn west(p: Coord) -> f64 {
    100.0 + 0.004 * p.x - 0.002 * p.y
}

fn east(p: Coord) -> f64 {
    105.0 - 0.003 * p.x + 0.005 * p.y
}

fn wall() -> LineString {
    WALL.iter().copied().collect()
}

/// Which side a place is on: the wall is a graph over northing.
fn is_west(p: Coord) -> bool {
    let k = WALL.windows(2).find(|w| p.y <= w[1].1).expect("within the wall's reach");
    let ((x0, y0), (x1, y1)) = (k[0], k[1]);
    p.x < x0 + (x1 - x0) * (p.y - y0) / (y1 - y0)
}

fn positions() -> Vec<Coord> {
    (0..36)
        .map(|k| Coord {
            x: 7.0 + f64::from(k % 6) * 75.0 + f64::from(k * k % 13),
            y: 5.0 + f64::from(k / 6) * 70.0 + f64::from(k * 7 % 11),
        })
        .collect()
}

fn wells(lift_east: f64) -> Vec<(f64, f64, f64)> {
    positions()
        .into_iter()
        .map(|p| (p.x, p.y, if is_west(p) { west(p) } else { east(p) + lift_east }))
        .collect()
}

fn parted(lift_east: f64) -> Folder {
    let folder = site(&wells(lift_east), TOML);
    folder.file("wall.csv", wkt(&[&format!("LINESTRING ({})", ring(&WALL))]));
    folder
}

#[test]
fn no_triangle_and_no_contour_crosses_the_wall_and_all_others_stay() {
    let map = by(&parted(0.0), Method::Linear);
    let open = by(&site(&wells(0.0), "[grid]\ncell = 5"), Method::Linear);
    let corners = |map: &headfall::run::Map, t: &headfall::triangulate::Triangle| {
        let p = t.corners.map(|i| from_corner(map.control.points()[i].crs));
        Triangle::new(p[0], p[1], p[2])
    };
    let crossed = |map: &headfall::run::Map| -> Vec<bool> {
        map.mesh.triangles().iter().map(|t| wall().intersects(&corners(map, t))).collect()
    };
    let open_crossed = crossed(&open).iter().filter(|c| **c).count();
    assert!(open_crossed >= 10, "the wall would cross triangles: {open_crossed}");
    assert!(crossed(&map).iter().all(|c| !c), "no triangle crosses");
    assert_eq!(map.mesh.triangles().len() + open_crossed, open.mesh.triangles().len());
    assert!(map.contours.lines.len() > 4, "there are contours");
    for method in [Method::Linear, Method::NaturalNeighbour, Method::Kriging] {
        for line in by(&parted(0.0), method).contours.lines {
            let points = line.points.windows(2);
            for piece in points.map(|w| Line::new(from_corner(w[0]), from_corner(w[1]))) {
                assert!(!wall().intersects(&piece), "{method:?}: {piece:?}");
            }
        }
    }
}

#[test]
fn every_method_keeps_the_step_and_the_closed_form_on_both_sides() {
    for method in Method::ALL {
        let map = by(&parted(0.0), method);
        let spec = *map.surface.heads.spec();
        let (mut nodes, mut both) = (0, [0, 0]);
        for row in 0..spec.rows {
            for column in 0..spec.columns {
                let Some(head) = map.surface.heads.head(row, column) else { continue };
                let p = from_corner(spec.node(row, column));
                let expected = if is_west(p) { west(p) } else { east(p) };
                // Inverse distance is no plane's method: it keeps to its side's heads.
                let bound = if method == Method::InverseDistance { 1.2 } else { 1e-6 };
                assert!(
                    (head - expected).abs() < bound,
                    "{method:?} at {p:?}: {head} is not {expected}"
                );
                nodes += 1;
                both[usize::from(is_west(p))] += 1;
            }
        }
        assert!(nodes > 2500 && both.iter().all(|n| *n > 1000), "{method:?}: {both:?}");
    }
}

#[test]
fn heads_beyond_the_wall_weigh_nothing() {
    for method in Method::ALL {
        let (low, high) = (by(&parted(0.0), method), by(&parted(7.0), method));
        let spec = *low.surface.heads.spec();
        let mut moved = 0;
        for row in 0..spec.rows {
            for column in 0..spec.columns {
                let both = [&low, &high].map(|m| m.surface.heads.head(row, column));
                let sds = [&low, &high].map(|m| m.surface.sd.as_ref()?.head(row, column));
                assert_eq!(sds[0].map(f64::to_bits), sds[1].map(f64::to_bits), "{method:?}");
                assert_eq!(both[0].is_some(), both[1].is_some(), "{method:?}");
                let [Some(a), Some(b)] = both else { continue };
                if is_west(from_corner(spec.node(row, column))) {
                    assert_eq!(a.to_bits(), b.to_bits(), "{method:?}: the east is felt");
                } else {
                    assert!((b - a - 7.0).abs() < 1e-6, "{method:?}: the west is felt");
                    moved += 1;
                }
            }
        }
        assert!(moved > 1000, "{method:?}");
    }
}

#[test]
fn a_wall_that_ends_among_the_wells_lets_water_round_its_end() {
    let folder = site(&wells(0.0), TOML);
    folder.file("wall.csv", wkt(&[&format!("LINESTRING ({})", ring(&WALL[..2]))]));
    for method in Method::ALL {
        let map = by(&folder, method);
        // North of the wall's end the nodes between the compartments have heads again.
        let spec = *map.surface.heads.spec();
        let supported = |from: f64, to: f64| {
            let between = |p: Coord| (190.0..=210.0).contains(&p.x) && p.y > from && p.y < to;
            (0..spec.rows * spec.columns)
                .map(|k| (k / spec.columns, k % spec.columns))
                .filter(|(r, c)| between(from_corner(spec.node(*r, *c))))
                .filter(|(r, c)| map.surface.heads.head(*r, *c).is_some())
                .count()
        };
        assert!(supported(220.0, 320.0) > 60, "{method:?}: past the wall's end");
        assert!(supported(20.0, 80.0) < 45, "{method:?}: beside the wall");
    }
}

#[test]
fn any_number_of_threads_draws_the_same_surface_beside_a_wall() {
    let folder = site(&wells(0.0), TOML);
    folder.file("wall.csv", wkt(&[&format!("LINESTRING ({})", ring(&WALL[..2]))]));
    for method in Method::ALL {
        let drawn = [1, 3].map(|threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
            pool.expect("threads").install(|| by(&folder, method).surface.clone())
        });
        let spec = *drawn[0].heads.spec();
        for k in 0..spec.rows * spec.columns {
            let at = |grid: &headfall::interpolate::Grid| {
                grid.head(k / spec.columns, k % spec.columns).map(f64::to_bits)
            };
            assert_eq!(at(&drawn[0].heads), at(&drawn[1].heads), "{method:?}, node {k}");
        }
    }
}

#[test]
fn what_a_wall_does_to_triangles_and_plane_is_told() {
    let (map, findings) = map_with(&parted(0.0), |_| ());
    let map = map.expect("a map");
    let cut = of(Code::BarrierCut, &findings);
    assert_eq!(cut.len(), 1);
    let parted = of(Code::Parted, &findings);
    assert_eq!(parted.len(), 1);
    gives(parted[0], &["2 groups"]);
    assert_eq!(parted[0].wells.len() + parted[0].more_wells, map.control.points().len());
    // A wall that ends among the wells parts nothing.
    let folder = site(&wells(0.0), TOML);
    folder.file("wall.csv", wkt(&[&format!("LINESTRING ({})", ring(&WALL[..2]))]));
    let (_, findings) = map_with(&folder, |_| ());
    assert!(of(Code::Parted, &findings).is_empty());
    assert_eq!(of(Code::BarrierCut, &findings).len(), 1);
}

#[test]
fn the_neighbours_a_well_is_judged_by_stand_on_its_side() {
    let (map, findings) = map_with(&parted(0.0), |_| ());
    let map = map.expect("a map");
    // Each side is a plane, so no head is off its own neighbours, 5 m off the others or not.
    for p in map.control.points() {
        let loo = p.leave_one_out.expect("enough wells");
        assert!(loo.residual.abs() < 1e-6, "{}: {loo:?}", p.id);
    }
    assert!(of(Code::OffNeighbours, &findings).is_empty());
}

#[test]
fn a_well_on_a_wall_is_refused_by_name() {
    let mut wells = wells(0.0);
    wells.push((195.004, 120.0, 101.0));
    let folder = site(&wells, TOML);
    folder.file("wall.csv", wkt(&[&format!("LINESTRING ({})", ring(&WALL))]));
    let (map, findings) = map_with(&folder, |_| ());
    assert!(map.is_err());
    let told = of(Code::OnBarrier, &findings);
    assert_eq!(told.len(), 1);
    assert!(told[0].message.contains("well W36") && told[0].message.contains("0.004 m"));
}

#[test]
fn walls_that_leave_no_triangle_are_refused() {
    let three = [(0.0, 0.0, 10.0), (100.0, 0.0, 10.1), (0.0, 100.0, 10.2)];
    let folder = site(&three, TOML);
    let course = [(10.0, -10.0), (20.0, 120.0)];
    folder.file("wall.csv", wkt(&[&format!("LINESTRING ({})", ring(&course))]));
    let (map, findings) = map_with(&folder, |_| ());
    assert!(map.is_err());
    assert!(
        of(Code::BarrierCut, &findings).iter().any(|d| d.is_refusal()),
        "{findings:#?}, about {EAST} {NORTH}"
    );
}

#[test]
fn the_outline_of_an_area_is_a_wall_all_around() {
    let folder = site(&wells(0.0), TOML);
    let around = [(100.0, 100.0), (300.0, 100.0), (300.0, 300.0), (100.0, 300.0), (100.0, 100.0)];
    folder.file("wall.csv", wkt(&[&format!("POLYGON (({}))", ring(&around))]));
    let (map, findings) = map_with(&folder, |_| ());
    let map = map.expect("a map");
    assert_eq!(map.site.features.barriers.len(), 1);
    assert_eq!(of(Code::Parted, &findings).len(), 1);
}

/// Whether the contour of 101 m is inferred all about a place, or nowhere about it.
#[track_caller]
fn inferred_about(folder: &Folder, place: (f64, f64)) -> bool {
    let map = by(folder, Method::Linear);
    let contours = map.contours.lines.iter().zip(&map.uncertainty.contours);
    let passes = |stretch: LineString| {
        let place = geo::Point::new(place.0, place.1);
        geo::Distance::distance(&geo::Euclidean, &place, &stretch) < 8.0
    };
    let mut found: Vec<bool> = contours
        .filter(|(line, _)| (line.level - 101.0).abs() < 1e-9)
        .flat_map(|(line, support)| support.stretches.iter().map(move |s| (line, s)))
        .filter(|(line, s)| passes(s.points(&line.points).map(from_corner).collect()))
        .map(|(_, s)| s.inferred)
        .collect();
    found.dedup();
    assert_eq!(found.len(), 1, "one answer at {place:?}");
    found[0]
}

#[test]
fn a_well_behind_a_barrier_does_not_support_a_contour() {
    // A triangle 800 m long whose short side faces wells 40 m apart; the wall stands between. The
    // contour runs along northing 198, some 200 m from the triangle's wells where it nears the wall
    // and 65 m from the well beyond.
    let mut wells = Vec::from([(190.0, 0.0), (190.0, 400.0), (-610.0, 200.0)]);
    wells.extend([(-300.0, -500.0), (-300.0, 900.0)]);
    let mut wells: Vec<(f64, f64, f64)> =
        wells.into_iter().map(|(x, y)| (x, y, 100.01 + 0.005 * y)).collect();
    for k in 0..26 {
        let (x, y) = (f64::from(245 + 40 * (k % 2)), f64::from(40 * (k / 2) - 40));
        wells.push((x, y, 105.0 - 0.003 * x + 0.005 * y));
    }
    let toml = "[grid]\ncell = 5\n[contours]\ninterval = 0.25\n[uncertainty]\n\
                inferred_spacings = 0.6\ninferred_interval_part = 1e9\n";
    let barrier = "[features]\nbarriers = { file = \"wall.csv\", crs = \"EPSG:26915\" }";
    let with_wall = |lines: &[&[(f64, f64)]]| {
        let folder = site(&wells, &format!("{toml}{barrier}"));
        let lines: Vec<String> =
            lines.iter().map(|l| format!("LINESTRING ({})", ring(l))).collect();
        folder.file("wall.csv", wkt(&lines.iter().map(String::as_str).collect::<Vec<_>>()));
        folder
    };
    let open = site(&wells, toml);
    let whole = with_wall(&[&[(220.0, -600.0), (220.0, 1000.0)]]);
    let gap = with_wall(&[&[(220.0, -600.0), (220.0, 190.0)], &[(220.0, 210.0), (220.0, 1000.0)]]);
    for (folder, inferred) in [(&open, false), (&whole, true), (&gap, false)] {
        assert_eq!(inferred_about(folder, (180.0, 198.0)), inferred);
        assert!(!inferred_about(folder, (-540.0, 198.0)), "near a well that is seen");
        assert!(inferred_about(folder, (-200.0, 198.0)), "far from every well");
    }
    let rule = |folder| by(folder, Method::Linear).uncertainty.inferred_rule;
    assert!(
        rule(&whole).contains("nearest well or gauge that no barrier hides"),
        "{}",
        rule(&whole)
    );
    assert!(!rule(&open).contains("barrier"), "{}", rule(&open));
}
