//! Published weights, and what Sibson's surfaces promise everywhere.

#![expect(clippy::disallowed_methods, reason = "a test may be as exact as the platform")]

use geo::Coord;
use proptest::prelude::*;
use pulp::WithSimd;

use super::paint::Paint;
use super::paint::Row;
use super::paint::Scratch;
use crate::geom::tolerance::ONE_LINE_HEIGHT_M;
use crate::geom::{Frame, distance, doubled_area};
use crate::interpolate::axis::Axis;
use crate::interpolate::grid::Grid;
use crate::interpolate::grid::GridSpec;
use crate::interpolate::linear::linear;
use crate::interpolate::natural::NaturalNeighbour;
use crate::interpolate::natural::Variant;
use crate::interpolate::scattered;
use crate::interpolate::scattered::ScatteredError;
use crate::triangulate::{Mesh, Triangle};

const BOTH: [Variant; 2] = [Variant::Plain, Variant::Smooth];

const fn at(x: f64, y: f64) -> Coord {
    Coord { x, y }
}

fn mesh(wells: &[Coord], head: impl Fn(Coord) -> f64) -> Mesh {
    let heads: Vec<f64> = wells.iter().map(|p| head(*p)).collect();
    scattered::mesh(wells, &heads).expect("wells that carry a surface")
}

/// The local frame itself.
fn here() -> Frame {
    Frame::new(at(0.0, 0.0), 1.0)
}

fn spec(west: f64, south: f64, cell: f64, columns: usize, rows: usize) -> GridSpec {
    GridSpec { west, south, cell, columns, rows }
}

#[track_caller]
fn near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} is not {expected} +- {tolerance}");
}

/// One weight for each well.
fn weights(mesh: &Mesh, p: Coord) -> Vec<f64> {
    let mut all = vec![0.0; mesh.heads().len()];
    let surface = NaturalNeighbour::new(mesh, Variant::Plain);
    for (i, w) in surface.weights(p).expect("inside") {
        all[i] += w;
    }
    all
}

fn lattice(side: usize) -> Vec<Coord> {
    (0..side * side).map(|i| at((i % side) as f64, (i / side) as f64)).collect()
}

#[test]
fn in_a_rectangle_the_weights_are_bilinear() {
    // Sibson (1981): with four wells at a rectangle's corners the cells cut off are rectangles.
    let corners = [at(0.0, 0.0), at(1.0, 0.0), at(1.0, 1.0), at(0.0, 1.0)];
    let square = mesh(&corners, |_| 0.0);
    for (x, y) in [(0.5, 0.5), (0.25, 0.5), (0.25, 0.25), (0.3, 0.4)] {
        let bilinear = [(1.0 - x) * (1.0 - y), x * (1.0 - y), x * y, (1.0 - x) * y];
        for (found, expected) in weights(&square, at(x, y)).into_iter().zip(bilinear) {
            near(found, expected, 1e-12);
        }
    }
    let heads = [10.0, 12.0, 17.0, 11.0];
    let long = [at(0.0, 0.0), at(40.0, 0.0), at(40.0, 10.0), at(0.0, 10.0)];
    let long = scattered::mesh(&long, &heads).expect("a rectangle");
    let grid = NaturalNeighbour::new(&long, Variant::Plain).grid(&here(), spec(0., 0., 1., 41, 11));
    for r in 0..11 {
        for c in 0..41 {
            let (x, y) = (c as f64 / 40.0, r as f64 / 10.0);
            let bilinear = (1.0 - y) * ((1.0 - x) * heads[0] + x * heads[1])
                + y * ((1.0 - x) * heads[3] + x * heads[2]);
            near(grid.head(r, c).expect("in the rectangle"), bilinear, 1e-12);
        }
    }
}

#[test]
fn on_a_lattice_the_weights_are_those_of_the_cells_cut_by_hand() {
    let lattice = mesh(&lattice(3), |_| 0.0);
    let (a, b) = (4.0 / 9.0, 1.0 / 36.0);
    let on_a_side = [0.0, b, b, 0.0, a, a, 0.0, b, b];
    let in_a_cell = [0.0, 0.0, 0.0, 0.0, 0.375, 0.125, 0.0, 0.375, 0.125];
    for (p, expected) in [(at(1.5, 1.0), on_a_side), (at(1.25, 1.5), in_a_cell)] {
        for (found, expected) in weights(&lattice, p).into_iter().zip(expected) {
            near(found, expected, 1e-12);
        }
    }
}

#[test]
fn ten_points_have_the_published_value_and_weights() {
    // The regression value of a general meteorology library: MetPy (BSD-3),
    // tests/interpolate/test_points.py; digits beyond 1.009 recomputed with an independent
    // code that steals areas from clipped polygons.
    let wells = [
        (8.0, 24.0, 0.064),
        (67.0, 87.0, 4.489),
        (79.0, 48.0, 6.241),
        (10.0, 94.0, 0.1),
        (52.0, 98.0, 2.704),
        (53.0, 66.0, 2.809),
        (98.0, 14.0, 9.604),
        (34.0, 24.0, 1.156),
        (15.0, 60.0, 0.225),
        (58.0, 16.0, 3.364),
    ];
    let (places, heads): (Vec<Coord>, Vec<f64>) =
        wells.iter().map(|(x, y, h)| (at(*x, *y), *h)).unzip();
    let mesh = scattered::mesh(&places, &heads).expect("ten points");
    let surface = NaturalNeighbour::new(&mesh, Variant::Plain);
    let head = |x, y| surface.at(at(x, y)).expect("inside");
    near(head(30.0, 30.0), 1.009, 0.0005);
    near(head(30.0, 30.0), 1.009_084_244_5, 1e-7);
    for (x, y, h) in [
        (50.0, 50.0, 2.750_429_345_4),
        (40.0, 60.0, 1.888_163_733_8),
        (60.0, 40.0, 3.837_175_331_3),
        (53.0, 40.0, 3.063_206_458_6),
        (20.0, 40.0, 0.537_230_199_8),
    ] {
        near(head(x, y), h, 1e-7 * h);
    }
    let found = weights(&mesh, at(30.0, 30.0));
    let expected = [(0, 0.099_843), (5, 0.042_816), (7, 0.740_627), (8, 0.116_715)];
    for (i, w) in expected {
        near(found[i], w, 1e-6);
    }
    near(expected.iter().map(|(i, _)| found[*i]).sum(), 1.0, 1e-12);
}

#[test]
fn seven_points_have_the_derived_value() {
    // The wells of Isaaks and Srivastava (1989), ch. 11; 549.637 derived with an independent code.
    let wells = [
        (61.0, 139.0, 477.0),
        (63.0, 140.0, 696.0),
        (64.0, 129.0, 227.0),
        (68.0, 128.0, 646.0),
        (71.0, 140.0, 606.0),
        (73.0, 141.0, 791.0),
        (75.0, 128.0, 783.0),
    ];
    let (places, heads): (Vec<Coord>, Vec<f64>) =
        wells.iter().map(|(x, y, h)| (at(*x, *y), *h)).unzip();
    let mesh = scattered::mesh(&places, &heads).expect("seven points");
    let surface = NaturalNeighbour::new(&mesh, Variant::Plain);
    near(surface.at(at(65.0, 137.0)).expect("inside"), 549.637, 0.0005);
}

#[test]
fn the_smooth_surface_gives_circular_paraboloids_back() {
    // Sibson (1981): exact for c + g·x + m |x|² when the slopes are exact, and his estimate of
    // the slopes is exact for them; the estimate on the outline is not. Inner wells only.
    let wells: Vec<Coord> = (0..121)
        .map(|i| {
            let (c, r) = (f64::from(i % 11), f64::from(i / 11));
            at(10.0 * c + 3.0 * (2.0 * r).sin(), 10.0 * r + 3.0 * (5.0 * c + r).cos())
        })
        .collect();
    let bowl = |p: Coord| 50.0 + 0.1 * p.x - 0.2 * p.y + 0.003 * (p.x * p.x + p.y * p.y);
    let mesh = mesh(&wells, bowl);
    let surface = NaturalNeighbour::new(&mesh, Variant::Smooth);
    let mut inner = 0;
    for (p, slope) in mesh.local().iter().zip(surface.slopes()) {
        if p.x > 9.0 && p.x < 91.0 && p.y > 9.0 && p.y < 91.0 {
            near(slope.east, 0.1 + 0.006 * p.x, 1e-9);
            near(slope.north, -0.2 + 0.006 * p.y, 1e-9);
            inner += 1;
        }
    }
    assert!(inner > 60, "{inner}");
    let grid = surface.grid(&here(), spec(30.0, 30.0, 1.0, 41, 41));
    for r in 0..41 {
        for c in 0..41 {
            near(grid.head(r, c).expect("inside"), bowl(grid.spec().node(r, c)), 1e-9);
        }
    }
}

#[test]
fn on_the_outline_it_is_linear_from_well_to_well() {
    let wells = [at(0.0, 0.0), at(10.0, 1.0), at(11.0, 9.0), at(3.0, 12.0), at(5.0, 5.0)];
    let heads = [1.0, 3.0, 2.0, 7.0, 11.0];
    let mesh = scattered::mesh(&wells, &heads).expect("five wells");
    let surface = NaturalNeighbour::new(&mesh, Variant::Plain);
    for (i, j) in [(0, 1), (1, 2), (2, 3), (3, 0)] {
        for k in 0..=1000 {
            let t = f64::from(k) / 1000.0;
            let p = wells[i] + (wells[j] - wells[i]) * t;
            let head = surface.at(p).expect("on the outline");
            near(head, heads[i] + t * (heads[j] - heads[i]), 1e-6);
        }
    }
    assert_eq!(surface.at(at(5.0, -0.1)), None);
    assert_eq!(surface.at(at(f64::NAN, 1.0)), None);
    assert_eq!(surface.at(at(1e300, 1.0)), None);
}

#[test]
fn a_sliver_on_the_outline_stays_within_the_heads() {
    for height in [1e-2, 1e-5, 1e-8, 1e-11] {
        let wells = [at(0.0, 0.0), at(100.0, 0.0), at(40.0, 80.0), at(55.0, height)];
        let heads = [1.0, 2.0, 3.0, 9.0];
        let mesh = scattered::mesh(&wells, &heads).expect("four wells");
        let surface = NaturalNeighbour::new(&mesh, Variant::Plain);
        for k in 0..=200 {
            for l in 0..=20 {
                let p = at(f64::from(k) * 0.5, f64::from(l) / 10.0 * height);
                if let Some(h) = surface.at(p) {
                    assert!((1.0..=9.0).contains(&h), "{h} at {p:?}, height {height}");
                }
            }
        }
        let plane = |p: Coord| 5.0 + 0.01 * p.x + 0.02 * p.y;
        let flat = self::mesh(&wells, plane);
        let grid = NaturalNeighbour::new(&flat, Variant::Plain)
            .grid(&here(), spec(0.0, 0.0, 0.5, 201, 161));
        for r in 0..161 {
            for c in 0..201 {
                if let Some(h) = grid.head(r, c) {
                    // Beyond the wells' line the head is that of the line, across from there.
                    near(h, plane(grid.spec().node(r, c)), 0.02 * height + 1e-9);
                }
            }
        }
    }
}

#[test]
fn along_the_outline_the_head_runs_from_well_to_well_past_one_that_stands_on_it() {
    // As a CRS in feet leaves three wells on one line: the middle one off it by some roundings.
    for off in [0.0, 1e-13, 1e-10, 1e-6, 1e-3] {
        let wells = [at(0.0, 0.0), at(30.0, 10.0 - off), at(90.0, 30.0), at(70.0, -20.0)];
        let heads = [6.0, 12.0, 9.0, 8.0];
        let mesh = scattered::mesh(&wells, &heads).expect("four wells");
        for surface in BOTH.map(|variant| NaturalNeighbour::new(&mesh, variant)) {
            for k in 0..=120 {
                let t = f64::from(k) / 120.0;
                let along =
                    if t < 1.0 / 3.0 { 6.0 + 18.0 * t } else { 12.0 - 4.5 * (t - 1.0 / 3.0) };
                let found = surface.at(at(90.0 * t, 30.0 * t)).expect("on the outline");
                if surface.variant() == Variant::Plain {
                    near(found, along, 1e-9 + off);
                }
                // A hair within, where the neighbours are the two wells and the one across.
                if let Some(inner) = surface.at(at(90.0 * t, 30.0 * t - 0.01)) {
                    near(inner, found, 0.02);
                }
            }
        }
    }
}

#[test]
fn a_thousand_wells_on_a_circle_are_all_neighbours_of_its_middle() {
    let wells: Vec<Coord> = (0..1000)
        .map(|i| {
            let a = f64::from(i) * std::f64::consts::TAU / 1000.0;
            at(100.0 * libm::cos(a), 100.0 * libm::sin(a))
        })
        .collect();
    let mesh = mesh(&wells, |p| 3.0 + p.x - 2.0 * p.y);
    let surface = NaturalNeighbour::new(&mesh, Variant::Plain);
    near(surface.at(at(0.0, 0.0)).expect("inside"), 3.0, 1e-9);
    near(surface.at(at(60.0, 20.0)).expect("inside"), 23.0, 1e-9);
    assert!(surface.leave_one_out().iter().all(Option::is_none), "all lie on the outline");
}

#[test]
fn wells_that_carry_no_surface_are_refused_with_all_reasons_of_one_kind() {
    let p = |n: usize| lattice(n);
    let refused = |wells: &[Coord], heads: &[f64]| {
        scattered::mesh(wells, heads).expect_err("must be refused")
    };
    assert_eq!(refused(&p(2), &[1.0]), ScatteredError::Unequal { positions: 4, heads: 1 });
    assert_eq!(refused(&p(1), &[1.0]), ScatteredError::Few { found: 1, needed: 3 });
    assert_eq!(
        refused(&p(2), &[1.0, f64::NAN, 2.0, f64::INFINITY]),
        ScatteredError::NotFinite { wells: vec![1, 3] }
    );
    let twice = [at(0.0, 0.0), at(5.0, 0.0), at(0.0, 0.0), at(5.0, 5.0), at(5.0, 1e-9)];
    assert_eq!(
        refused(&twice, &[1.0; 5]),
        ScatteredError::SamePosition { pairs: vec![(0, 2), (1, 4)] }
    );
    let line = [at(0.0, 0.0), at(1.0, 2.0), at(2.0, 4.0)];
    assert_eq!(refused(&line, &[1.0; 3]), ScatteredError::OneLine);
}

/// Scattered wells; some of them on a lattice, so that circles of four and nodes on sides occur.
fn wells() -> impl Strategy<Value = Vec<Coord>> {
    let free = prop::collection::vec((0.0..100.0, 0.0..100.0), 4..40);
    let fixed = prop::collection::vec((0..6, 0..6), 4..25);
    let fixed = fixed.prop_map(|v| {
        v.into_iter().map(|(x, y)| (f64::from(x) * 20.0, f64::from(y) * 20.0)).collect::<Vec<_>>()
    });
    prop_oneof![free.clone(), fixed.clone(), (free, fixed).prop_map(|(a, b)| [a, b].concat())]
        .prop_map(|places| {
            let mut wells: Vec<Coord> = places.into_iter().map(|(x, y)| at(x, y)).collect();
            wells.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
            wells.dedup();
            wells
        })
        .prop_filter("on one line", |wells| scattered::mesh(wells, &vec![0.0; wells.len()]).is_ok())
}

/// A head for each well that has no plan.
fn rough(p: Coord) -> f64 {
    (p.x * 12.9898 + p.y * 78.233).sin() * 10.0 + 100.0
}

/// How far a place may be from the wells that have its head, in or on a triangle of three wells on one line: the heights of
/// such triangles add up where they lie behind each other along the outline. Nothing elsewhere.
fn across(mesh: &Mesh, p: Coord) -> f64 {
    let lines: Vec<_> = mesh.triangles().iter().filter(|t| t.is_line()).collect();
    let holds = lines.iter().any(|t| {
        let corners = mesh.corners(t);
        (0..3).all(|k| {
            let [a, b] = [corners[k], corners[(k + 1) % 3]];
            doubled_area([a, b, p]) >= -1e-6 * distance(a, b)
        })
    });
    if holds { lines.len() as f64 * ONE_LINE_HEIGHT_M } else { 0.0 }
}

fn same(a: &Grid, b: &Grid, tolerance: f64) -> Result<(), TestCaseError> {
    for r in 0..a.spec().rows {
        for c in 0..a.spec().columns {
            match (a.head(r, c), b.head(r, c)) {
                (Some(x), Some(y)) => {
                    prop_assert!((x - y).abs() <= tolerance, "{} and {} at {}, {}", x, y, r, c);
                }
                (x, y) => prop_assert_eq!(x, y),
            }
        }
    }
    Ok(())
}

proptest! {
    #[test]
    fn the_grid_has_the_linear_surfaces_nodes_and_the_places_heads(wells in wells()) {
        let mesh = mesh(&wells, rough);
        let spec = spec(-5.0, -5.0, 2.5, 44, 44);
        let supported = linear(&mesh, &here(), spec);
        for variant in BOTH {
            let surface = NaturalNeighbour::new(&mesh, variant);
            let grid = surface.grid(&here(), spec);
            for r in 0..44 {
                for c in 0..44 {
                    prop_assert_eq!(grid.head(r, c).is_some(), supported.head(r, c).is_some());
                    if let (Some(g), Some(h)) = (grid.head(r, c), surface.at(spec.node(r, c))) {
                        prop_assert!((g - h).abs() < 1e-8, "{} and {} at {}, {}", g, h, r, c);
                    }
                }
            }
        }
    }

    #[test]
    fn planes_come_back(wells in wells(), east in -0.1..0.1, north in -0.1..0.1) {
        let plane = |p: Coord| 250.0 + east * p.x + north * p.y;
        let mesh = mesh(&wells, plane);
        for variant in BOTH {
            let surface = NaturalNeighbour::new(&mesh, variant);
            let grid = surface.grid(&here(), spec(-4.0, -4.0, 2.0, 60, 60));
            for r in 0..60 {
                for c in 0..60 {
                    if let Some(h) = grid.head(r, c) {
                        let node = grid.spec().node(r, c);
                        // Of three wells on one line the head holds across to the outline.
                        let bound = 1e-9 + libm::hypot(east, north) * across(&mesh, node);
                        let expected = plane(node);
                        prop_assert!((h - expected).abs() < bound, "{} not {}", h, expected);
                    }
                }
            }
            for (found, p) in surface.leave_one_out().into_iter().zip(&wells) {
                prop_assert!(found.is_none_or(|h| (h - plane(*p)).abs() < 1e-6));
            }
        }
    }

    #[test]
    fn every_well_has_its_head_and_no_place_leaves_the_heads_around(wells in wells()) {
        let mesh = mesh(&wells, rough);
        for variant in BOTH {
            let surface = NaturalNeighbour::new(&mesh, variant);
            for (p, h) in mesh.local().iter().zip(mesh.heads()) {
                prop_assert_eq!(surface.at(*p), Some(*h));
            }
        }
        let surface = NaturalNeighbour::new(&mesh, Variant::Plain);
        for i in 0..400 {
            let p = at(f64::from(i % 20) * 5.0 + 0.1, f64::from(i / 20) * 5.0 + 0.3);
            if let (Some(h), Some(weights)) = (surface.at(p), surface.weights(p)) {
                let around = weights.iter().map(|(i, _)| mesh.heads()[*i]);
                prop_assert!(around.clone().any(|a| a <= h) && around.clone().any(|a| a >= h));
                let sum: f64 = weights.iter().map(|(_, w)| w).sum();
                prop_assert!((sum - 1.0).abs() < 1e-9 && weights.iter().all(|(_, w)| *w >= 0.0));
                // Sibson's identity, but for what lies beyond wells on one line along the outline.
                let x: f64 = weights.iter().map(|(i, w)| w * mesh.local()[*i].x).sum();
                let y: f64 = weights.iter().map(|(i, w)| w * mesh.local()[*i].y).sum();
                let off = distance(p, at(x, y));
                prop_assert!(off < 1e-6 + across(&mesh, p), "{:?} is {} m off", p, off);
            }
        }
    }

    #[test]
    fn the_order_of_wells_and_the_frame_do_not_matter(wells in wells()) {
        let mesh = mesh(&wells, rough);
        let turned: Vec<Coord> = wells.iter().rev().copied().collect();
        let turned = self::mesh(&turned, rough);
        let grid_spec = spec(-5.0, -5.0, 5.0, 23, 23);
        let far = Frame::new(at(480_000.0, 4_980_000.0), 0.5);
        let far_spec = spec(479_990.0, 4_979_990.0, 10.0, 23, 23);
        for variant in BOTH {
            let surface = NaturalNeighbour::new(&mesh, variant);
            let grid = surface.grid(&here(), grid_spec);
            same(&grid, &NaturalNeighbour::new(&turned, variant).grid(&here(), grid_spec), 1e-7)?;
            // The CRS counts half metres far from its zero: nodes move by some 1e-10 m.
            let moved = surface.grid(&far, far_spec);
            for r in 0..23 {
                for c in 0..23 {
                    if let (Some(a), Some(b)) = (grid.head(r, c), moved.head(r, c)) {
                        prop_assert!((a - b).abs() < 1e-6);
                    }
                }
            }
        }
    }

    #[test]
    fn leaving_a_well_out_is_the_surface_through_the_others(wells in wells()) {
        let mesh = mesh(&wells, rough);
        for variant in BOTH {
            let found = NaturalNeighbour::new(&mesh, variant).leave_one_out();
            for (i, p) in wells.iter().enumerate() {
                let mut others = wells.clone();
                others.remove(i);
                let heads: Vec<f64> = others.iter().map(|p| rough(*p)).collect();
                let Ok(rest) = scattered::mesh(&others, &heads) else { continue };
                // Beside wells on one line the others may form a line that all together do not.
                let mut triangles = mesh.triangles().iter().chain(rest.triangles());
                if triangles.any(Triangle::is_line) {
                    continue;
                }
                let rest = NaturalNeighbour::new(&rest, variant);
                if let (Some(found), Some(expected)) = (found[i], rest.at(*p)) {
                    prop_assert!(
                        (found - expected).abs() < 1e-6,
                        "{} not {} for {:?} without well {}", found, expected, variant, i
                    );
                } else if !mesh.hull().contains(&i) {
                    prop_assert!(found[i].is_some(), "no head at {:?}", p);
                }
            }
        }
    }
}

#[test]
fn threads_leave_no_trace() {
    let wells: Vec<Coord> = (0..200)
        .map(|i| at((f64::from(i) * 0.754_877_666).fract(), (f64::from(i) * 0.569_840_29).fract()))
        .map(|p| p * 1000.0)
        .collect();
    let mesh = mesh(&wells, rough);
    for variant in BOTH {
        let grid = |threads: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("pool");
            pool.install(|| {
                let surface = NaturalNeighbour::new(&mesh, variant);
                (surface.grid(&here(), spec(0.0, 0.0, 2.0, 501, 501)), surface.leave_one_out())
            })
        };
        let (one, three) = (grid(1), grid(3));
        for r in 0..501 {
            for c in 0..501 {
                assert_eq!(one.0.head(r, c), three.0.head(r, c), "{r}, {c}");
            }
        }
        assert_eq!(one.1, three.1);
    }
}

#[test]
fn every_processor_paints_the_same_bytes() {
    let wells: Vec<Coord> = (0..100)
        .map(|i| at((f64::from(i) * 0.754_877_666).fract(), (f64::from(i) * 0.569_840_29).fract()))
        .map(|p| p * 100.0)
        .collect();
    let mesh = mesh(&wells, rough);
    let surface = NaturalNeighbour::new(&mesh, Variant::Plain);
    let spec = spec(0.0, 0.0, 1.0, 101, 101);
    let (columns, rows) = (Axis::of_columns(&spec, &here()), Axis::of_rows(&spec, &here()));
    let paint = Paint::new(&surface.net, mesh.heads(), &columns);
    let painted = |row: usize, y: f64, one_by_one: bool| {
        let (mut heads, mut scratch) = (vec![0.0; 101], Scratch::default());
        let row = Row {
            paint: &paint,
            number: row,
            y,
            reaching: &paint.reaching(y, y),
            support: 3..98,
            scratch: &mut scratch,
            heads: &mut heads,
        };
        if one_by_one {
            row.with_simd(pulp::Scalar::new());
        } else {
            pulp::Arch::new().dispatch(row);
        }
        heads.into_iter().map(f64::to_bits).collect::<Vec<_>>()
    };
    for (row, y) in rows.positions().iter().enumerate() {
        assert_eq!(painted(row, *y, true), painted(row, *y, false), "row {row}");
    }
}
