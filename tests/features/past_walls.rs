//! Past the ends of walls: no step without a cause, by every method.
//!
//! The wells are invented. Expected heads are closed forms of flow past walls; whether a wall stands
//! between two nodes is asked of the `geo` library.

use geo::{Coord, Distance, Euclidean, Intersects, Line, LineString, MultiLineString, Point};
use headfall::diag::{Code, Severity};
use headfall::interpolate::Grid;
use headfall::read::Method;

use super::walled::{heads, line, map_by, walled, wells};
use super::{by, from_corner, map_with};
use crate::support::{Folder, of};

/// The largest step along rows and columns that no wall parts: by how much more the head changes
/// over a side than over those before and after it.
fn largest_step(grid: &Grid, walls: &MultiLineString) -> f64 {
    let spec = *grid.spec();
    let mut largest = 0.0_f64;
    for row in 0..spec.rows {
        for column in 0..spec.columns {
            for (r, c) in [(0, 1), (1, 0)] {
                let node = |k: usize| (row + k * r, column + k * c);
                if node(3).0 >= spec.rows || node(3).1 >= spec.columns {
                    continue;
                }
                let [a, b, d, e] = [0, 1, 2, 3].map(node);
                let rise = |a: (usize, usize), b: (usize, usize)| {
                    let [p, q] = [a, b].map(|n| from_corner(spec.node(n.0, n.1)));
                    let free = !walls.intersects(&Line::new(p, q));
                    free.then_some((grid.head(b.0, b.1)? - grid.head(a.0, a.1)?).abs())
                };
                if let (Some(x), Some(y), Some(z)) = (rise(a, b), rise(b, d), rise(d, e)) {
                    largest = largest.max(y - x.max(z));
                }
            }
        }
    }
    largest
}

/// 26 wells about a wall that ends among them, and the wall.
fn hanging() -> (Vec<(f64, f64, f64)>, LineString) {
    (wells("hanging.csv"), line(&[(105.0, 58.0), (106.5, 178.0)]))
}

const UNCONFINED: &str = "[grid]\ncell = 1.5\nunconfined_base = 90.0\n[kriging]\nmodel = \
                          \"exponential\"\nrange = 90.0\npartial_sill = 200.0\n";

#[test]
fn where_a_well_comes_into_sight_the_surface_has_no_step() {
    let (wells, wall) = hanging();
    let folder = walled(&wells, std::slice::from_ref(&wall), UNCONFINED);
    let walls = MultiLineString::new(vec![wall]);
    for method in Method::ALL {
        let map = map_by(&folder, method);
        let interval = map.contours.interval.expect("an interval");
        let step = largest_step(&map.surface.heads, &walls) / interval;
        assert!(step < 0.2, "{method:?}: {step} intervals");
        let told = map.surface.step.map_or(0.0, |s| s.intervals(interval));
        // Nodes about wells are not judged there.
        assert!(told <= step + 1e-12 && told > 0.2 * step, "{method:?}: told {told} of {step}");
    }
}

#[test]
fn a_wall_moved_by_a_metre_moves_the_surface_by_little() {
    // On the way from 2 m to 3 m east, and from 3 m to 4 m north, the walls meet a side of two
    // triangles more.
    let walls = |east: f64, north: f64| {
        let bent = [(655.0, 444.0), (1105.0, 519.0), (1180.0, 1044.0), (1555.0, 1074.0)];
        let short = [(505.0, 1194.0), (805.0, 1344.0)];
        [&bent[..], &short[..]]
            .map(|wall| wall.iter().map(|(x, y)| (x + east, y + north)).collect::<LineString>())
    };
    let wells = wells("bent.csv");
    let toml = "[grid]\ncell = 15\n[kriging]\nmodel = \"exponential\"\nrange = 900.0\npartial_sill \
                = 0.5\n";
    for method in Method::ALL {
        for (from, to) in [((2.0, 0.0), (3.0, 0.0)), ((0.0, 3.0), (0.0, 4.0))] {
            let maps = [from, to].map(|(x, y)| map_by(&walled(&wells, &walls(x, y), toml), method));
            let [before, after] = maps.each_ref().map(|m| &m.surface.heads);
            let (low, high) = before.range().expect("heads");
            let spec = *before.spec();
            let (mut come_or_gone, mut all) = (0_u32, 0_u32);
            for k in 0..spec.rows * spec.columns {
                let (row, column) = (k / spec.columns, k % spec.columns);
                let p = Point(from_corner(spec.node(row, column)));
                let wall = walls(from.0, from.1);
                if wall.iter().any(|w| Euclidean.distance(&p, w) < 2.0) {
                    continue;
                }
                let heads = (before.head(row, column), after.head(row, column));
                all += u32::from(heads.0.is_some());
                come_or_gone += u32::from(heads.0.is_some() != heads.1.is_some());
                if let (Some(a), Some(b)) = heads {
                    let moved = (a - b).abs() / (high - low);
                    assert!(moved < 0.015, "{method:?} at {p:?}: {moved} of the range");
                }
            }
            let part = f64::from(come_or_gone) / f64::from(all);
            assert!(part < 0.01, "{method:?}: {part} of the nodes come or go");
        }
    }
}

#[test]
fn a_plane_past_the_end_of_a_wall_stays_a_plane() {
    let plane = |p: Coord| 100.0 + 0.004 * p.x - 0.002 * p.y;
    let wells: Vec<(f64, f64, f64)> =
        wells("wells.csv").into_iter().map(|(x, y, _)| (x, y, plane(Coord { x, y }))).collect();
    let wall = line(&[(290.0, -60.0), (330.0, 230.0)]);
    let folder = walled(&wells, &[wall], "[grid]\ncell = 5");
    for method in Method::ALL {
        let map = by(&folder, method);
        let heads = heads(&map.surface.heads);
        assert!(heads.len() > 6000, "{method:?}: {}", heads.len());
        if method != Method::InverseDistance {
            for (p, head) in heads {
                assert!((head - plane(p)).abs() < 1e-6, "{method:?} at {p:?}: {head}");
            }
            assert!(map.surface.step.is_none_or(|s| s.head < 1e-6), "{method:?}");
        }
    }
}

/// Steady flow past the end of a wall along x = 200, y up to `end`, and uniform flow along it.
fn past_an_end(p: Coord, end: f64) -> f64 {
    let (x, y) = (p.x - 200.0, p.y - end);
    let from_ahead = libm::atan2(x, y);
    100.0 + 0.002 * p.y + 0.09 * libm::hypot(x, y).sqrt() * libm::sin(from_ahead / 2.0)
}

/// Steady flow round a plate along x = 200 of half length `half` about y = 200: the real part of
/// sqrt(z² + half²), of the sign of x (Milne-Thomson, Theoretical Hydrodynamics; from memory).
fn round_a_plate(p: Coord, half: f64) -> f64 {
    let (x, y) = (p.x - 200.0, p.y - 200.0);
    let (re, im) = (x * x - y * y + half * half, 2.0 * x * y);
    let root = f64::midpoint(libm::hypot(re, im), re).max(0.0).sqrt();
    100.0 + 0.006 * root.copysign(x)
}

#[test]
fn flow_round_the_end_of_a_wall_and_round_a_plate_is_met() {
    // Where a wall hides all of a well or nothing of it, the steps are six to ten times as large.
    for (method, error, step) in [
        (Method::Linear, 0.05, 0.04),
        (Method::NaturalNeighbour, 0.05, 0.03),
        (Method::SmoothNaturalNeighbour, 0.05, 0.03),
        (Method::ThinPlate, 0.05, 0.04),
        (Method::Kriging, 0.05, 0.03),
        (Method::InverseDistance, 0.15, 0.06),
    ] {
        let mut next = 20_260_414_u64;
        // Numerical Recipes' quick generator.
        let mut draw = |low: f64, high: f64| {
            next = next.wrapping_mul(1_664_525).wrapping_add(1_013_904_223) % (1 << 32);
            low + (high - low) * next as f64 / f64::from(u32::MAX)
        };
        let (mut squares, mut nodes, mut steps) = (0.0, 0, Vec::new());
        for k in 0..12 {
            let plate = k % 2 == 0;
            let length = if plate { draw(50.0, 150.0) } else { draw(120.0, 280.0) };
            let truth = |p| if plate { round_a_plate(p, length) } else { past_an_end(p, length) };
            let ends = if plate { [200.0 - length, 200.0 + length] } else { [-50.0, length] };
            let wells: Vec<(f64, f64, f64)> = (0..20 + 3 * k)
                .map(|_| {
                    let p = Coord { x: draw(0.0, 400.0), y: draw(0.0, 400.0) };
                    let p = if (p.x - 200.0).abs() < 2.0 { Coord { x: p.x + 5.0, ..p } } else { p };
                    (p.x, p.y, truth(p))
                })
                .collect();
            let wall = line(&ends.map(|y| (200.0, y)));
            let folder = walled(&wells, std::slice::from_ref(&wall), "[grid]\ncell = 4");
            let map = by(&folder, method);
            for (p, head) in heads(&map.surface.heads) {
                squares += (head - truth(p)) * (head - truth(p));
                nodes += 1;
            }
            steps.push(largest_step(&map.surface.heads, &MultiLineString::new(vec![wall])));
        }
        steps.sort_by(f64::total_cmp);
        let rms = (squares / f64::from(nodes)).sqrt();
        assert!(rms < error, "{method:?}: {rms} m");
        assert!(steps[6] < step, "{method:?}: {steps:?} m");
    }
}

/// Two planes 5 m apart on the two sides of a wall that ends among the wells, `lift` of it past its
/// end.
fn torn(lift: f64) -> Folder {
    let wells: Vec<(f64, f64, f64)> = wells("wells.csv")
        .into_iter()
        .map(|(x, y, _)| (x, y, 100.0 + 0.004 * x + if x > 320.0 { lift } else { 0.0 }))
        .collect();
    let wall = line(&[(290.0, -60.0), (330.0, 230.0)]);
    walled(&wells, &[wall], "[grid]\ncell = 10\n[contours]\ninterval = 0.25")
}

#[test]
fn the_largest_step_left_is_told_by_its_size() {
    let told = |lift: f64| {
        let (map, findings) = map_with(&torn(lift), |site| {
            site.settings.surface.method = Method::NaturalNeighbour;
        });
        let found = of(Code::SurfaceStep, &findings);
        assert!(found.len() <= 1);
        let step = map.expect("a map").surface.step.expect("a wall").head;
        (step, found.first().map(|d| (d.severity, d.message.clone())))
    };
    let (small, nothing) = told(0.05);
    assert!(small < 0.025 && nothing.is_none(), "{small} {nothing:?}");
    for (lift, severity) in [(2.0, Severity::Note), (8.0, Severity::Warning)] {
        let (step, found) = told(lift);
        let (found, message) = found.expect("told");
        assert_eq!(found, severity, "{message}");
        assert!(message.contains(&format!("a step of {step:.2} m, ")), "{message} for {step}");
        let intervals = message.split(", ").nth(1).and_then(|w| w.split(' ').next());
        let intervals: f64 = intervals.expect("a number").parse().expect("a number");
        assert!((intervals - step / 0.25).abs() < 0.06, "{message} for {step}");
    }
}

#[test]
fn a_map_without_barriers_has_no_step_to_tell() {
    let wells = wells("wells.csv");
    let map = by(&super::site(&wells, "[grid]\ncell = 10"), Method::InverseDistance);
    assert_eq!(map.surface.step, None);
}
