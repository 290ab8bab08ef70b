//! Lines on grids small enough to draw by hand.
#![expect(clippy::disallowed_methods, reason = "a test may be as exact as the platform")]
#![expect(clippy::float_cmp, reason = "what is promised digit by digit is compared so")]

use geo::Coord;
use proptest::prelude::*;

use crate::contour::ContourLine;
use crate::contour::Contours;
use crate::contour::lines;
use crate::diag::Code;
use crate::diag::Warned;
use crate::geom::Areas;
use crate::geom::doubled_area;
use crate::interpolate::Grid;
use crate::interpolate::GridSpec;
use crate::interpolate::Surface;
use crate::read::Method;
use crate::units::LengthUnit;

const NONE: f64 = f64::NAN;

/// Rows from north to south, as they look on paper; the south-western node at (0, 0), cell 1.
fn grid(rows: &[&[f64]]) -> Grid {
    let heads = rows.iter().rev().flat_map(|r| r.iter().copied()).collect();
    let spec =
        GridSpec { west: 0.0, south: 0.0, cell: 1.0, columns: rows[0].len(), rows: rows.len() };
    Grid::new(spec, heads)
}

fn drawn(grid: &Grid, interval: Option<f64>, base: f64) -> Warned<Contours> {
    let surface = Surface::of_nodes(grid.clone(), Method::default());
    lines(&surface, &Areas::default(), interval, base, 0.0, LengthUnit::Metre)
        .expect("it can be drawn")
}

fn contours(grid: &Grid, interval: f64, base: f64) -> Contours {
    drawn(grid, Some(interval), base).value
}

/// The lines of the one level at `level`: an interval larger than any range used here.
fn at_level(rows: &[&[f64]], level: f64) -> Vec<Vec<(f64, f64)>> {
    let found = contours(&grid(rows), 1000.0, level);
    found.lines.iter().map(|l| l.points.iter().map(|p| (p.x, p.y)).collect()).collect()
}

#[test]
fn one_high_corner_is_cut_off_with_itself_on_the_left() {
    // From the south-west corner counter-clockwise; the level at a quarter of the way up.
    for (rows, line) in [
        ([[0.0, 0.0], [4.0, 0.0]], [(0.75, 0.0), (0.0, 0.75)]),
        ([[0.0, 0.0], [0.0, 4.0]], [(1.0, 0.75), (0.25, 0.0)]),
        ([[0.0, 4.0], [0.0, 0.0]], [(0.25, 1.0), (1.0, 0.25)]),
        ([[4.0, 0.0], [0.0, 0.0]], [(0.0, 0.25), (0.75, 1.0)]),
    ] {
        assert_eq!(at_level(&[&rows[0], &rows[1]], 1.0), [line], "{rows:?}");
        // Upside down the high ground is on the other side, and so the line turns round.
        let (north, south) = (rows[0].map(|h| -h), rows[1].map(|h| -h));
        assert_eq!(at_level(&[&north, &south], -1.0), [[line[1], line[0]]], "{rows:?} reversed");
    }
}

#[test]
fn one_high_side_is_cut_off() {
    assert_eq!(at_level(&[&[0.0, 0.0], &[2.0, 4.0]], 1.0), [[(1.0, 0.75), (0.0, 0.5)]]);
    assert_eq!(at_level(&[&[2.0, 4.0], &[0.0, 0.0]], 1.0), [[(0.0, 0.5), (1.0, 0.25)]]);
    assert_eq!(at_level(&[&[0.0, 4.0], &[0.0, 2.0]], 1.0), [[(0.25, 1.0), (0.5, 0.0)]]);
    assert_eq!(at_level(&[&[4.0, 0.0], &[2.0, 0.0]], 1.0), [[(0.5, 0.0), (0.75, 1.0)]]);
}

#[test]
fn a_saddle_is_settled_by_its_mean() {
    // Mean 2 above the level 1.5: the high corners are joined, the low ones cut off.
    let rows: [&[f64]; 2] = [&[1.0, 3.0], &[3.0, 1.0]];
    assert_eq!(at_level(&rows, 1.5), [[(0.75, 0.0), (1.0, 0.25)], [(0.25, 1.0), (0.0, 0.75)]]);
    // Below 2.5: the high corners are parted. Exactly on it counts as below.
    assert_eq!(at_level(&rows, 2.5), [[(0.25, 0.0), (0.0, 0.25)], [(0.75, 1.0), (1.0, 0.75)]]);
    assert_eq!(at_level(&rows, 2.0), [[(0.5, 0.0), (0.0, 0.5)], [(0.5, 1.0), (1.0, 0.5)]]);
    let rows: [&[f64]; 2] = [&[3.0, 1.0], &[1.0, 3.0]];
    assert_eq!(at_level(&rows, 1.5), [[(0.0, 0.25), (0.25, 0.0)], [(1.0, 0.75), (0.75, 1.0)]]);
    assert_eq!(at_level(&rows, 2.5), [[(0.0, 0.75), (0.25, 1.0)], [(1.0, 0.25), (0.75, 0.0)]]);
}

#[test]
fn a_summit_is_ringed_counter_clockwise_and_a_hollow_clockwise() {
    let summit: [&[f64]; 3] = [&[0.0, 0.0, 0.0], &[0.0, 4.0, 0.0], &[0.0, 0.0, 0.0]];
    let ring = [(1.0, 0.25), (1.75, 1.0), (1.0, 1.75), (0.25, 1.0), (1.0, 0.25)];
    assert_eq!(at_level(&summit, 1.0), [ring]);
    let hollow: [&[f64]; 3] = [&[4.0, 4.0, 4.0], &[4.0, 0.0, 4.0], &[4.0, 4.0, 4.0]];
    let ring = [(1.0, 0.75), (0.75, 1.0), (1.0, 1.25), (1.25, 1.0), (1.0, 0.75)];
    assert_eq!(at_level(&hollow, 1.0), [ring]);
    let found = contours(&grid(&hollow), 1.0, 0.0);
    assert!(found.lines.iter().all(ContourLine::is_closed), "{found:?}");
    assert_eq!(found.levels, [1.0, 2.0, 3.0]);
}

#[test]
fn a_level_through_nodes_has_each_of_them_once() {
    // Two cells along a slope whose middle nodes lie on the level.
    let rows: [&[f64]; 3] = [&[1.0, 2.0, 3.0], &[1.0, 2.0, 3.0], &[1.0, 2.0, 3.0]];
    assert_eq!(at_level(&rows, 2.0), [[(1.0, 2.0), (1.0, 1.0), (1.0, 0.0)]]);
    // Across the corner of a cell: one node and no zero-length line.
    let rows: [&[f64]; 2] = [&[2.0, 3.0], &[1.0, 2.0]];
    assert_eq!(at_level(&rows, 2.0), [[(0.0, 1.0), (1.0, 0.0)]]);
}

#[test]
fn a_plateau_on_the_level_is_bounded_on_its_high_side_only() {
    let rows: [&[f64]; 3] = [&[1.0, 2.0, 2.0, 3.0], &[1.0, 2.0, 2.0, 3.0], &[1.0, 2.0, 2.0, 3.0]];
    assert_eq!(at_level(&rows, 2.0), [[(2.0, 2.0), (2.0, 1.0), (2.0, 0.0)]]);
}

#[test]
fn a_hollow_that_just_reaches_the_level_has_no_line() {
    let touch: [&[f64]; 3] = [&[3.0, 3.0, 3.0], &[3.0, 2.0, 3.0], &[3.0, 3.0, 1.0]];
    // The corner is below the level and has its line; the middle node is on it and has none.
    assert_eq!(at_level(&touch, 2.0), [[(1.5, 0.0), (2.0, 0.5)]]);
    // A valley of no width: a line there and straight back would enclose nothing.
    let valley: [&[f64]; 3] =
        [&[3.0, 3.0, 3.0, 3.0, 3.0], &[3.0, 2.0, 2.0, 2.0, 3.0], &[3.0, 3.0, 3.0, 3.0, 1.0]];
    assert_eq!(at_level(&valley, 2.0).len(), 1, "only the corner's");
}

#[test]
fn the_lowest_and_the_highest_head_are_no_levels() {
    let rows: [&[f64]; 2] = [&[1.0, 1.0], &[4.0, 4.0]];
    assert_eq!(contours(&grid(&rows), 1.0, 0.0).levels, [2.0, 3.0]);
    assert_eq!(at_level(&rows, 1.0).len(), 0, "the lowest");
    assert_eq!(at_level(&rows, 4.0).len(), 0, "the highest");
}

#[test]
fn lines_end_where_support_ends() {
    let rows: [&[f64]; 3] = [&[0.0, 0.0, 0.0], &[2.0, 2.0, 2.0], &[4.0, 4.0, NONE]];
    // The south-eastern cell has no lines, the one north of it has.
    let found = contours(&grid(&rows), 1.0, 0.0);
    let points: Vec<Vec<(f64, f64)>> =
        found.lines.iter().map(|l| l.points.iter().map(|p| (p.x, p.y)).collect()).collect();
    assert_eq!(found.levels, [1.0, 2.0, 3.0]);
    assert_eq!(
        points,
        [
            vec![(2.0, 1.5), (1.0, 1.5), (0.0, 1.5)],
            vec![(1.0, 1.0), (0.0, 1.0)],
            vec![(1.0, 0.5), (0.0, 0.5)],
        ]
    );
    assert!(found.lines.iter().all(|l| !l.is_closed()), "{found:?}");
}

#[test]
fn grids_without_cells_or_heads_give_no_lines_but_a_note() {
    for rows in [
        &[&[1.0, 5.0][..]][..],
        &[&[1.0], &[5.0]],
        &[&[NONE, NONE], &[NONE, NONE]],
        &[&[3.0, 3.0], &[3.0, 3.0]],
        &[&[1.1, 1.2], &[1.3, 1.4]],
    ] {
        let found = drawn(&grid(rows), Some(1.0), 0.0);
        assert!(found.value.lines.is_empty(), "{rows:?}");
        let codes: Vec<Code> = found.findings.iter().map(|f| f.code).collect();
        let crossed = !found.value.levels.is_empty();
        assert_eq!(codes, if crossed { vec![] } else { vec![Code::NoContours] }, "{rows:?}");
    }
}

#[test]
fn the_note_names_interval_and_heads() {
    let grid = grid(&[&[1.1, 1.2], &[1.3, 1.4]]);
    let found = drawn(&grid, Some(0.5), 0.0);
    for part in ["0.5", "1.1", "1.4"] {
        assert!(found.findings[0].message.contains(part), "{}", found.findings[0].message);
    }
    assert!(drawn(&grid, None, 0.0).findings.is_empty());
}

#[test]
fn lines_are_in_order_of_level_and_grid() {
    let rows: [&[f64]; 3] =
        [&[0.0, 0.0, 0.0, 0.0, 0.0], &[0.0, 9.0, 0.0, 9.0, 0.0], &[0.0, 0.0, 0.0, 0.0, 0.0]];
    let found = contours(&grid(&rows), 3.0, 0.0);
    let order: Vec<(f64, f64)> = found.lines.iter().map(|l| (l.level, l.points[0].x)).collect();
    assert_eq!(order, [(3.0, 1.0), (3.0, 3.0), (6.0, 1.0), (6.0, 3.0)]);
}

#[test]
fn threads_leave_no_trace() {
    let heads = (0..300 * 200).map(|i| f64::from(i * 7919 % 1009)).collect();
    let spec = GridSpec { west: 0.0, south: 0.0, cell: 1.0, columns: 300, rows: 200 };
    let grid = Grid::new(spec, heads);
    let draw = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        pool.install(|| contours(&grid, 100.0, 0.0))
    };
    let one = draw(1);
    assert!(one.lines.len() > 1000, "{}", one.lines.len());
    assert_eq!(one, draw(3));
}

/// Heads with gaps, some of them exactly on levels.
fn heads() -> impl Strategy<Value = (usize, Vec<f64>)> {
    let head = prop_oneof![
        6 => 0.0..5.0,
        4 => (0..6i32).prop_map(f64::from),
        1 => Just(NONE),
    ];
    (2usize..7, 2usize..7).prop_flat_map(move |(columns, rows)| {
        (Just(columns), prop::collection::vec(head.clone(), columns * rows))
    })
}

fn of(columns: usize, heads: &[f64]) -> Grid {
    let rows = heads.len() / columns;
    let spec = GridSpec { west: 0.0, south: 0.0, cell: 1.0, columns, rows };
    Grid::new(spec, heads.to_vec())
}

/// The head at a place on an edge or at a node of the grid.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small grid")]
fn head_at(grid: &Grid, p: Coord) -> Option<f64> {
    let (c, r) = (p.x.floor() as usize, p.y.floor() as usize);
    let (u, v) = (p.x.fract(), p.y.fract());
    assert!(u == 0.0 || v == 0.0, "{p:?} is on no edge");
    let here = grid.head(r, c)?;
    let next = match (u > 0.0, v > 0.0) {
        (true, _) => grid.head(r, c + 1)?,
        (_, true) => grid.head(r + 1, c)?,
        _ => here,
    };
    Some(here + (next - here) * (u + v))
}

/// Whether the edge at `p` borders a cell without lines or the end of the grid.
#[expect(clippy::cast_possible_truncation, reason = "a small grid")]
fn at_the_edge_of_support(grid: &Grid, p: Coord) -> bool {
    let whole = |c: i64, r: i64| {
        let node = |c: i64, r: i64| {
            let (c, r) = (usize::try_from(c).ok()?, usize::try_from(r).ok()?);
            (c < grid.spec().columns && r < grid.spec().rows).then(|| grid.head(r, c))?
        };
        [(0, 0), (1, 0), (0, 1), (1, 1)].iter().all(|(i, j)| node(c + i, r + j).is_some())
    };
    let touching = |v: f64| [v.floor() as i64, v.ceil() as i64 - 1];
    touching(p.x).iter().any(|c| touching(p.y).iter().any(|r| !whole(*c, *r)))
}

fn pieces(found: &Contours) -> Vec<(f64, Coord, Coord)> {
    let of = |l: &ContourLine| -> Vec<(f64, Coord, Coord)> {
        l.points.windows(2).map(|w| (l.level, w[0], w[1])).collect()
    };
    found.lines.iter().flat_map(of).collect()
}

proptest! {
    #[test]
    fn lines_are_sound((columns, heads) in heads()) {
        let grid = of(columns, &heads);
        let found = contours(&grid, 1.0, 0.0);
        for line in &found.lines {
            prop_assert!(line.points.len() >= 2);
            for p in &line.points {
                let h = head_at(&grid, *p).expect("no vertex without support");
                prop_assert!((h - line.level).abs() < 1e-9, "{h} at {p:?}, not {}", line.level);
            }
            for w in line.points.windows(2) {
                prop_assert_ne!(w[0], w[1]);
            }
            for w in line.points.windows(3) {
                prop_assert!(w[0] != w[2] || line.points.len() == 3, "{:?}", line);
            }
            if line.is_closed() {
                prop_assert!(line.points.len() >= 4, "{:?}", line);
            } else {
                for end in [line.points[0], line.points[line.points.len() - 1]] {
                    prop_assert!(at_the_edge_of_support(&grid, end), "{end:?} of {line:?}");
                }
            }
        }
    }

    #[test]
    fn lines_never_cross((columns, heads) in heads()) {
        let pieces = pieces(&contours(&of(columns, &heads), 1.0, 0.0));
        for (i, (level, a, b)) in pieces.iter().enumerate() {
            for (other, c, d) in &pieces[..i] {
                let side = |p, q, r| doubled_area([p, q, r]);
                let crosses = side(*a, *b, *c) * side(*a, *b, *d) < -1e-18
                    && side(*c, *d, *a) * side(*c, *d, *b) < -1e-18;
                prop_assert!(!crosses, "{a:?}-{b:?} at {level}, {c:?}-{d:?} at {other}");
                if level != other {
                    prop_assert!(a != c && a != d && b != c && b != d, "levels {level}, {other} meet");
                }
            }
        }
    }

    #[test]
    fn every_crossed_edge_between_whole_cells_has_a_vertex((columns, heads) in heads()) {
        let grid = of(columns, &heads);
        let found = contours(&grid, 1.0, 0.5);
        let vertices: Vec<(f64, Coord)> =
            found.lines.iter().flat_map(|l| l.points.iter().map(|p| (l.level, *p))).collect();
        for r in 0..grid.spec().rows - 1 {
            for c in 0..columns - 1 {
                let corners: Vec<f64> = [(0, 0), (0, 1), (1, 0), (1, 1)]
                    .iter()
                    .filter_map(|(i, j)| grid.head(r + i, c + j))
                    .collect();
                if let [sw, se, _, _] = corners[..] {
                    for level in &found.levels {
                        // The southern edge; a level that equals a node's head is seen to elsewhere.
                        if (sw < *level) != (se < *level) && sw != *level && se != *level {
                            let x = c as f64 + (level - sw) / (se - sw);
                            let on = |(l, p): &(f64, Coord)| {
                                l == level && p.y == r as f64 && (p.x - x).abs() < 1e-9
                            };
                            prop_assert!(vertices.iter().any(on), "{level} at {x}, {r}");
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn higher_ground_is_on_the_left((columns, heads) in heads()) {
        let grid = of(columns, &heads);
        for (level, a, b) in pieces(&contours(&grid, 1.0, 0.5)) {
            // Each piece lies in one cell; every corner next to its ends and off its level is on
            // the side that its head says.
            for end in [a, b] {
                for node in [
                    Coord { x: end.x.floor(), y: end.y.floor() },
                    Coord { x: end.x.ceil(), y: end.y.ceil() },
                ] {
                    let h = head_at(&grid, node).expect("supported");
                    let side = doubled_area([a, b, node]);
                    prop_assert!(h == level || side.abs() < 1e-12 || (h > level) == (side > 0.0));
                }
            }
        }
    }

    #[test]
    fn a_plane_has_straight_lines_at_right_angles_to_its_slope(
        east in -1.0..1.0f64,
        north in -1.0..1.0f64,
    ) {
        prop_assume!(east.abs() + north.abs() > 0.05);
        let heads: Vec<f64> =
            (0..70).map(|i| east * f64::from(i % 10) + north * f64::from(i / 10)).collect();
        let found = contours(&of(10, &heads), 0.1, 0.033);
        let mut seen = std::collections::BTreeSet::new();
        for line in &found.lines {
            prop_assert!(seen.insert(line.level.to_bits()), "one line for each level");
            let (a, b) = (line.points[0], line.points[line.points.len() - 1]);
            let length = (b.x - a.x).hypot(b.y - a.y);
            for p in &line.points {
                let off = (east * p.x + north * p.y - line.level) / east.hypot(north);
                prop_assert!(off.abs() < 1e-11, "{off} off the plane's line");
            }
            let along = (east * (b.x - a.x) + north * (b.y - a.y)) / (length * east.hypot(north));
            prop_assert!(length < 1e-6 || along.abs() < 1e-9 / length, "{along}");
            // Left of the line is up.
            prop_assert!(length < 1e-6 || (b.x - a.x) * north - (b.y - a.y) * east > 0.0);
        }
        prop_assert_eq!(seen.len(), found.levels.len());
    }

    #[test]
    fn shift_and_scale_move_the_lines_and_no_more((columns, heads) in heads()) {
        let here = contours(&of(columns, &heads), 1.0, 0.0);
        let spec = GridSpec {
            west: 512.0, south: -256.0, cell: 4.0, columns, rows: heads.len() / columns,
        };
        // Powers of two, so that every step is exact.
        let there = Grid::new(spec, heads.iter().map(|h| h * 2.0).collect());
        let there = contours(&there, 2.0, 0.0);
        prop_assert_eq!(here.lines.len(), there.lines.len());
        for (a, b) in here.lines.iter().zip(&there.lines) {
            prop_assert_eq!(a.level * 2.0, b.level);
            let moved: Vec<Coord> = a
                .points
                .iter()
                .map(|p| Coord { x: 512.0 + 4.0 * p.x, y: -256.0 + 4.0 * p.y })
                .collect();
            prop_assert_eq!(&moved, &b.points);
        }
    }
}
