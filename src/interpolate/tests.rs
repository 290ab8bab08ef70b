//! The grid and the linear surface on small meshes.

use geo::Coord;
use proptest::prelude::*;

use crate::diag::Code;
use crate::diag::Diagnostic;
use crate::geom::Frame;
use crate::geom::doubled_area;
use crate::interpolate::grid::Grid;
use crate::interpolate::grid::GridSpec;
use crate::interpolate::linear;
use crate::triangulate::Mesh;
use crate::triangulate::Triangle;

const fn at(x: f64, y: f64) -> Coord {
    Coord { x, y }
}

fn mesh(wells: &[(f64, f64, f64)], triangles: &[[usize; 3]]) -> Mesh {
    Mesh::from_parts(
        wells.iter().map(|(x, y, _)| at(*x, *y)).collect(),
        wells.iter().map(|(_, _, h)| *h).collect(),
        triangles
            .iter()
            .map(|corners| Triangle {
                corners: *corners,
                area_m2: 0.0,
                base_to_height: 0.0,
                marks: Vec::new(),
            })
            .collect(),
    )
}

/// The local frame itself.
fn here() -> Frame {
    Frame::new(at(0.0, 0.0), 1.0)
}

fn spec(west: f64, south: f64, cell: f64, columns: usize, rows: usize) -> GridSpec {
    GridSpec { west, south, cell, columns, rows }
}

fn rows(grid: &Grid) -> Vec<Vec<Option<f64>>> {
    let GridSpec { columns, rows, .. } = *grid.spec();
    (0..rows).map(|r| (0..columns).map(|c| grid.head(r, c)).collect()).collect()
}

#[test]
fn one_triangle_gives_its_plane_and_its_outline_belongs_to_it() {
    // h = 10 + 2x + 3y.
    let mesh = mesh(&[(0.0, 0.0, 10.0), (2.0, 0.0, 14.0), (0.0, 2.0, 16.0)], &[[0, 1, 2]]);
    let grid = linear(&mesh, &here(), spec(-1.0, -1.0, 1.0, 5, 5));
    let none = vec![None; 5];
    assert_eq!(
        rows(&grid),
        [
            none.clone(),
            vec![None, Some(10.0), Some(12.0), Some(14.0), None],
            vec![None, Some(13.0), Some(15.0), None, None],
            vec![None, Some(16.0), None, None, None],
            none,
        ]
    );
    assert_eq!(grid.supported(), 6);
    assert_eq!(grid.range(), Some((10.0, 16.0)));
}

#[test]
fn a_grid_beside_the_wells_has_no_heads_and_no_range() {
    let mesh = mesh(&[(0.0, 0.0, 1.0), (1.0, 0.0, 2.0), (0.0, 1.0, 3.0)], &[[0, 1, 2]]);
    for (west, south) in [(10.0, 0.0), (-10.0, 0.0), (0.0, 10.0), (0.0, -10.0)] {
        let grid = linear(&mesh, &here(), spec(west, south, 0.5, 5, 5));
        assert_eq!((grid.supported(), grid.range()), (0, None), "{west}, {south}");
    }
}

#[test]
fn a_node_at_a_well_has_its_head_even_where_coordinates_are_not_exact() {
    // 0.1 and its multiples are no doubles, and a node's are not the wells' either.
    let frame = Frame::new(at(480_000.0, 4_980_000.0), 0.3048);
    let wells = [
        (480_000.3, 4_980_000.1, 99.37),
        (480_000.9, 4_980_000.1, 99.41),
        (480_000.3, 4_980_000.7, 98.03),
        (480_000.9, 4_980_000.7, 97.77),
    ];
    let local: Vec<(f64, f64, f64)> = wells
        .iter()
        .map(|(x, y, h)| {
            let p = frame.to_local(at(*x, *y));
            (p.x, p.y, *h)
        })
        .collect();
    let spec = GridSpec::choose(
        at(480_000.3, 4_980_000.1),
        at(480_000.9, 4_980_000.7),
        Some(0.1),
        "metre",
    )
    .expect("it can be drawn");
    let grid = linear(&mesh(&local, &[[0, 1, 2], [1, 2, 3]]), &frame, spec);
    for (x, y, h) in wells {
        let nodes: Vec<f64> = (0..spec.rows)
            .flat_map(|r| (0..spec.columns).map(move |c| (r, c)))
            .filter(|(r, c)| {
                let p = spec.node(*r, *c);
                (p.x - x).abs() < 1e-6 && (p.y - y).abs() < 1e-6
            })
            .filter_map(|(r, c)| grid.head(r, c))
            .collect();
        assert_eq!(nodes, [h], "the head of the well at {x}, {y}");
    }
    assert_eq!(grid.supported(), 49, "the sides of the outline belong to it");
}

#[test]
fn a_sliver_keeps_to_its_heads() {
    // 1 km long and 1 mm high: its slope is huge, its heads are not.
    let mesh = mesh(&[(0.0, 0.0, 5.0), (1000.0, 0.3, 6.0), (500.0, 0.151, 7.0)], &[[0, 1, 2]]);
    let grid = linear(&mesh, &here(), spec(0.0, 0.0, 0.01, 100_001, 31));
    assert!(grid.supported() > 20, "{}", grid.supported());
    let (low, high) = grid.range().expect("there are heads");
    assert!(low >= 5.0 && high <= 7.0, "{low} to {high}");
    // At its node (500, 0.15) the sliver is met in its base, halfway between 5 and 6.
    let middle = grid.head(15, 50_000).expect("on the base");
    assert!((middle - 5.5).abs() < 1e-6, "{middle}");
}

#[test]
fn nodes_are_multiples_of_the_cell_and_cover_the_site() {
    let g = GridSpec::choose(at(-12.0, 103.0), at(988.0, 507.0), None, "metre")
        .expect("it can be drawn");
    assert_eq!(g, spec(-15.0, 100.0, 5.0, 202, 83));
    let g = GridSpec::choose(at(0.0, 0.0), at(1000.0, 10.0), Some(2.5), "metre")
        .expect("it can be drawn");
    assert_eq!(g, spec(0.0, 0.0, 2.5, 401, 5));
}

#[test]
fn a_thin_site_still_has_nodes_across_it() {
    let g =
        GridSpec::choose(at(0.0, 0.0), at(1000.0, 3.0), None, "metre").expect("it can be drawn");
    assert_eq!((g.cell, g.columns, g.rows), (0.5, 2001, 7));
}

fn refusal(min: Coord, max: Coord, cell: f64) -> Diagnostic {
    let e = GridSpec::choose(min, max, Some(cell), "metre").expect_err("must refuse");
    assert_eq!(e.diagnostics().len(), 1, "{e:?}");
    let d = e.diagnostics()[0].clone();
    assert_eq!(d.code, Code::GridTooLarge);
    d
}

#[test]
fn cells_too_small_and_too_large_are_refused_with_a_cell_that_works() {
    let (min, max) = (at(480_000.5, 4_980_000.5), at(481_000.5, 4_980_800.5));
    for (cell, parts) in [
        (0.01, ["1000 by 800", "8000180000 nodes", "100000000"]),
        (900.0, ["1000 by 800", "1 by 1 nodes", "needs 2 by 2"]),
        (1e9, ["1000 by 800", "0 by 0 nodes", "needs 2 by 2"]),
    ] {
        let d = refusal(min, max, cell);
        for part in parts {
            assert!(d.message.contains(part), "{part} in {}", d.message);
        }
        let advice = d.advice.expect("there is advice");
        assert!(advice.contains(" (metre)"), "{advice}");
        let advised = advice.split_whitespace().find_map(|w| w.parse().ok());
        assert!(GridSpec::choose(min, max, advised, "metre").is_ok(), "{advice}");
    }
}

#[test]
fn impossible_cells_and_sites_are_refused() {
    for cell in [0.0, -5.0, f64::NAN, f64::INFINITY] {
        let d = refusal(at(0.0, 0.0), at(10.0, 10.0), cell);
        assert!(d.message.contains("not a positive length"), "{}", d.message);
    }
    for max in [at(0.0, 10.0), at(10.0, -1.0), at(f64::NAN, 10.0), at(f64::INFINITY, 10.0)] {
        let d = refusal(at(0.0, 0.0), max, 1.0);
        assert!(d.message.contains("no area"), "{}", d.message);
    }
}

/// A lattice of wells, each moved a little, two triangles to a cell: a valid mesh without a
/// Delaunay library.
fn lattice(columns: usize, moves: &[(f64, f64)], heads: &[f64]) -> Mesh {
    let wells: Vec<(f64, f64, f64)> = moves
        .iter()
        .zip(heads)
        .enumerate()
        .map(|(i, ((dx, dy), h))| {
            ((i % columns) as f64 * 10.0 + dx, (i / columns) as f64 * 10.0 + dy, *h)
        })
        .collect();
    let mut triangles = Vec::new();
    for r in 0..wells.len() / columns - 1 {
        for c in 0..columns - 1 {
            let i = r * columns + c;
            triangles.push([i, i + 1, i + columns]);
            triangles.push([i + 1, i + columns + 1, i + columns]);
        }
    }
    mesh(&wells, &triangles)
}

/// Barycentric coordinates, by areas: an independent way to the same plane.
fn weights(corners: [Coord; 3], p: Coord) -> [f64; 3] {
    let [a, b, c] = corners;
    let all = doubled_area(corners);
    [doubled_area([p, b, c]) / all, doubled_area([a, p, c]) / all, doubled_area([a, b, p]) / all]
}

const WELLS: std::ops::Range<usize> = 0..20;

proptest! {
    #[test]
    fn every_node_has_the_head_of_the_triangle_it_lies_in_and_of_no_other_place(
        moves in prop::collection::vec((-2.4..2.4, -2.4..2.4), WELLS.len()),
        heads in prop::collection::vec(90.0..110.0, WELLS.len()),
        cell in 0.7..9.0,
    ) {
        let mesh = lattice(5, &moves, &heads);
        let grid = linear(&mesh, &here(), spec(-3.0, -3.0, cell, 66, 56));
        for r in 0..56 {
            for c in 0..66 {
                let p = grid.spec().node(r, c);
                let mut inside = None;
                let mut near = false;
                for t in mesh.triangles() {
                    let w = weights(mesh.corners(t), p);
                    near |= w.iter().all(|w| *w > -1e-9);
                    if w.iter().all(|w| *w >= 1e-9) {
                        inside = Some(t.corners.iter().zip(w).map(|(i, w)| heads[*i] * w).sum::<f64>());
                    }
                }
                match (grid.head(r, c), inside) {
                    (Some(found), Some(expected)) => prop_assert!((found - expected).abs() < 1e-10),
                    (None, Some(_)) => prop_assert!(false, "no head at {p:?}"),
                    (Some(_), None) => prop_assert!(near, "a head beyond the outline at {p:?}"),
                    (None, None) => {}
                }
            }
        }
    }

    #[test]
    fn heads_stay_within_those_of_the_wells(
        moves in prop::collection::vec((-2.4..2.4, -2.4..2.4), WELLS.len()),
        heads in prop::collection::vec(prop::sample::select(vec![3.0, 3.1, 3.3, 7.7]), WELLS.len()),
    ) {
        let grid = linear(&lattice(5, &moves, &heads), &here(), spec(-3.0, -3.0, 0.9, 50, 40));
        let (low, high) = grid.range().expect("there are heads");
        prop_assert!(low >= heads.iter().copied().fold(f64::INFINITY, f64::min));
        prop_assert!(high <= heads.iter().copied().fold(f64::NEG_INFINITY, f64::max));
    }

    #[test]
    fn a_plane_comes_back(
        moves in prop::collection::vec((-2.4..2.4, -2.4..2.4), WELLS.len()),
        east in -0.1..0.1,
        north in -0.1..0.1,
    ) {
        let flat = lattice(5, &moves, &[0.0; 20]);
        let plane = |p: Coord| 250.0 + east * p.x + north * p.y;
        let heads: Vec<f64> = flat.local().iter().map(|p| plane(*p)).collect();
        let grid = linear(&lattice(5, &moves, &heads), &here(), spec(-3.0, -3.0, 0.9, 50, 40));
        for r in 0..40 {
            for c in 0..50 {
                if let Some(h) = grid.head(r, c) {
                    prop_assert!((h - plane(grid.spec().node(r, c))).abs() < 1e-11);
                }
            }
        }
    }

    #[test]
    fn the_frame_and_the_order_of_triangles_do_not_matter(
        moves in prop::collection::vec((-2.4..2.4, -2.4..2.4), WELLS.len()),
        heads in prop::collection::vec(90.0..110.0, WELLS.len()),
    ) {
        let mesh = lattice(5, &moves, &heads);
        let grid = linear(&mesh, &here(), spec(-4.0, -4.0, 1.0, 50, 40));
        let mut turned = mesh.triangles().to_vec();
        turned.reverse();
        let turned = Mesh::from_parts(mesh.local().to_vec(), heads, turned);
        let far = Frame::new(at(480_000.0, 4_980_000.0), 0.5);
        // The same wells in a CRS of half metres, far from its zero.
        let other = linear(&turned, &far, spec(479_992.0, 4_979_992.0, 2.0, 50, 40));
        for r in 0..40 {
            for c in 0..50 {
                match (grid.head(r, c), other.head(r, c)) {
                    (Some(a), Some(b)) => prop_assert!((a - b).abs() < 1e-6),
                    (a, b) => prop_assert_eq!(a, b),
                }
            }
        }
    }
}

#[test]
fn bands_and_threads_leave_no_trace() {
    // Wide enough for several bands; nodes on shared sides belong to two triangles.
    let heads: Vec<f64> = (0..20).map(|i| f64::from(i * 7 % 13)).collect();
    let mesh = lattice(5, &[(0.0, 0.0); 20], &heads);
    let grid = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        pool.install(|| linear(&mesh, &here(), spec(0.0, 0.0, 0.02, 2001, 1501)))
    };
    let (one, three) = (grid(1), grid(3));
    assert_eq!(one.supported(), 2001 * 1501);
    for r in 0..1501 {
        assert_eq!(one.row(r), three.row(r), "row {r}");
    }
}
