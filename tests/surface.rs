//! The linear surface and its contours against reference libraries and against theory.
//!
//! The fixtures under `tests/data/surface/` were made by `make.py` there, with
//! scipy (`LinearNDInterpolator`, Qhull) and contourpy (serial); each file names the versions. The
//! Wolfcamp wells have their source in their own file. The same triangles are given to both
//! sides, so that only the surface is compared.
#![expect(clippy::float_cmp, reason = "levels are compared digit by digit")]

use std::collections::BTreeMap;
use std::path::Path;

use geo::Coord;
use headfall::contour::ContourLine;
use headfall::contour::lines;
use headfall::geom::{Areas, Frame};
use headfall::interpolate::linear;
use headfall::interpolate::{Grid, GridSpec, Surface};
use headfall::read::Method;
use headfall::triangulate::Mesh;
use headfall::triangulate::Triangle;
use serde::Deserialize;

#[derive(Deserialize)]
struct Nodes {
    west: f64,
    south: f64,
    cell: f64,
    columns: usize,
    rows: usize,
}

impl Nodes {
    fn spec(&self) -> GridSpec {
        let Self { west, south, cell, columns, rows } = *self;
        GridSpec { west, south, cell, columns, rows }
    }
}

#[derive(Deserialize)]
struct LinearCase {
    #[serde(default)]
    wells: Vec<[f64; 3]>,
    origin: [f64; 2],
    metres_per_unit: f64,
    grid: Nodes,
    triangles: Vec<[usize; 3]>,
    heads: Vec<Option<f64>>,
    near_outline: Vec<usize>,
}

#[derive(Deserialize)]
struct ReferenceLine {
    level: f64,
    closed: bool,
    points: Vec<[f64; 2]>,
}

#[derive(Deserialize)]
struct ContourCase {
    grid: Nodes,
    heads: Vec<Option<f64>>,
    interval: f64,
    base: f64,
    levels: Vec<f64>,
    lines: Vec<ReferenceLine>,
}

fn data(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(name);
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

fn case<T: for<'a> Deserialize<'a>>(name: &str) -> T {
    serde_json::from_str(&data(&format!("surface/{name}.json"))).expect("the fixture is sound")
}

fn mesh(local: Vec<Coord>, heads: Vec<f64>, triangles: &[[usize; 3]]) -> Mesh {
    let triangles = triangles
        .iter()
        .map(|c| Triangle { corners: *c, area_m2: 0.0, base_to_height: 0.0, marks: Vec::new() })
        .collect();
    Mesh::from_parts(local, heads, triangles)
}

fn heads_of(grid: &Grid) -> Vec<Option<f64>> {
    let GridSpec { rows, columns, .. } = *grid.spec();
    (0..rows * columns).map(|i| grid.head(i / columns, i % columns)).collect()
}

/// Node by node within 1e-9 of the head; nodes within 1e-6 m of the outline may differ in
/// support.
fn agrees_with_scipy(name: &str, wells: &[[f64; 3]], case: &LinearCase) {
    let frame = Frame::new(Coord { x: case.origin[0], y: case.origin[1] }, case.metres_per_unit);
    let local = wells.iter().map(|w| frame.to_local(Coord { x: w[0], y: w[1] })).collect();
    let mesh = mesh(local, wells.iter().map(|w| w[2]).collect(), &case.triangles);
    let found = heads_of(&linear(&mesh, &frame, case.grid.spec()));
    assert_eq!(found.len(), case.heads.len(), "{name}");
    let mut compared = 0;
    for (node, (ours, theirs)) in found.iter().zip(&case.heads).enumerate() {
        match (ours, theirs) {
            (Some(a), Some(b)) => {
                assert!((a - b).abs() <= 1e-9 * b.abs(), "{name}, node {node}: {a} is not {b}");
                compared += 1;
            }
            (None, None) => {}
            _ => assert!(
                case.near_outline.contains(&node),
                "{name}, node {node}: {ours:?} is not {theirs:?}"
            ),
        }
    }
    assert!(compared > 1000, "{name}: only {compared} nodes compared");
}

#[test]
fn sixty_irregular_wells_have_scipys_heads_at_every_node() {
    let case: LinearCase = case("linear_sixty");
    agrees_with_scipy("sixty", &case.wells, &case);
}

#[test]
fn the_wolfcamp_wells_have_scipys_heads_at_every_node() {
    let wells: Vec<[f64; 3]> = data("wolfcamp/wolfcamp_85.csv")
        .lines()
        .filter(|l| !l.starts_with('#') && !l.starts_with("id"))
        .map(|l| {
            let cells: Vec<f64> = l.split(',').map(|c| c.parse().expect("a number")).collect();
            [cells[1], cells[2], cells[3]]
        })
        .collect();
    assert_eq!(wells.len(), 85);
    agrees_with_scipy("Wolfcamp", &wells, &case("linear_wolfcamp"));
}

/// A grid of given heads by the public way: a well on every node that has one.
fn grid_of(nodes: &Nodes, heads: &[Option<f64>]) -> Grid {
    let spec = nodes.spec();
    let frame = Frame::new(Coord { x: spec.west, y: spec.south }, 1.0);
    let (mut local, mut given, mut well_of) = (Vec::new(), Vec::new(), BTreeMap::new());
    for (i, h) in heads.iter().enumerate() {
        if let Some(h) = h {
            well_of.insert(i, local.len());
            local.push(frame.to_local(spec.node(i / spec.columns, i % spec.columns)));
            given.push(*h);
        }
    }
    let triangles: Vec<[usize; 3]> = (0..heads.len())
        .filter(|i| i % spec.columns + 1 < spec.columns)
        .filter_map(|i| {
            let of = |i: usize| well_of.get(&i).copied();
            Some([of(i)?, of(i + 1)?, of(i + spec.columns)?])
        })
        .collect();
    let grid = linear(&mesh(local, given, &triangles), &frame, spec);
    assert_eq!(heads_of(&grid), heads, "the wells' heads, digit by digit");
    grid
}

const fn xy(p: &[f64; 2]) -> Coord {
    Coord { x: p[0], y: p[1] }
}

fn near(a: Coord, b: Coord) -> bool {
    let close = |a: f64, b: f64| (a - b).abs() <= 1e-9 * b.abs().max(1.0);
    close(a.x, b.x) && close(a.y, b.y)
}

/// The same vertices in the same direction; a closed line may start anywhere.
fn same_line(ours: &ContourLine, theirs: &ReferenceLine) -> bool {
    let points = &ours.points;
    if ours.level != theirs.level || points.len() != theirs.points.len() {
        return false;
    }
    if ours.is_closed() != theirs.closed {
        return false;
    }
    let round = points.len() - usize::from(theirs.closed);
    let starts = if theirs.closed { 0..round } else { 0..1 };
    starts
        .into_iter()
        .any(|start| (0..round).all(|i| near(points[i], xy(&theirs.points[(start + i) % round]))))
}

/// How often each piece of line is walked forward more than backward, by its two ends in
/// micrometres. Lines with the same result run along the same places in the same direction,
/// however they are cut, and whatever they walk there and straight back.
fn walked(pieces: impl Iterator<Item = (f64, Coord, Coord)>) -> BTreeMap<[i64; 5], i32> {
    let mut net = BTreeMap::new();
    #[expect(clippy::cast_possible_truncation, reason = "small numbers")]
    let whole = |v: f64| (v * 1e6).round() as i64;
    for (level, a, b) in pieces {
        let (p, q) = ([whole(a.x), whole(a.y)], [whole(b.x), whole(b.y)]);
        let (p, q, way) = if p < q { (p, q, 1) } else { (q, p, -1) };
        if p != q {
            *net.entry([whole(level), p[0], p[1], q[0], q[1]]).or_insert(0) += way;
        }
    }
    net.retain(|_, n| *n != 0);
    net
}

fn agrees_with_contourpy(name: &str, line_by_line: bool) {
    let case: ContourCase = case(name);
    let grid = grid_of(&case.grid, &case.heads);
    let surface = Surface::of_nodes(grid, Method::Linear);
    let (interval, unit) = (Some(case.interval), headfall::units::LengthUnit::Metre);
    let found = lines(&surface, &Areas::default(), interval, case.base, 0.0, unit)
        .expect("it can be drawn")
        .value;
    assert_eq!(found.levels, case.levels, "{name}");
    let ours = found.lines.iter().flat_map(|l| l.points.windows(2).map(|w| (l.level, w[0], w[1])));
    let theirs = case
        .lines
        .iter()
        .flat_map(|l| l.points.windows(2).map(|w| (l.level, xy(&w[0]), xy(&w[1]))));
    let (ours, theirs) = (walked(ours), walked(theirs));
    assert!(theirs.len() > 300, "{name}: only {} pieces", theirs.len());
    assert_eq!(ours, theirs, "{name}");
    if line_by_line {
        assert_eq!(found.lines.len(), case.lines.len(), "{name}");
        for line in &found.lines {
            let matches = case.lines.iter().filter(|l| same_line(line, l)).count();
            assert_eq!(matches, 1, "{name}: {line:?}");
        }
    }
}

#[test]
fn contours_of_a_surface_over_wells_are_contourpys() {
    agrees_with_contourpy("contours_sixty", true);
}

#[test]
fn contours_of_a_rough_field_with_saddles_are_contourpys() {
    agrees_with_contourpy("contours_rough", true);
}

#[test]
fn contours_through_nodes_run_where_contourpys_do() {
    // contourpy keeps repeated vertices and ways there and back at nodes on a level, so lines
    // cannot be compared vertex by vertex.
    agrees_with_contourpy("contours_whole", false);
    agrees_with_contourpy("contours_holes", false);
}

/// Wells on a lattice that is moved about a little, `n` by `n` over a square of 1 km, and the
/// head there.
fn sampled(n: usize, head: impl Fn(Coord) -> f64) -> Mesh {
    let cell = 1000.0 / (n - 1) as f64;
    let local: Vec<Coord> = (0..n * n)
        .map(|i| {
            // Any irregular pattern: fractions of multiples of irrational numbers.
            let part = |k: f64| ((i as f64 * k).fract() - 0.5) * 0.5 * cell;
            Coord {
                x: (i % n) as f64 * cell + part(0.754_877_666_2) - 500.0,
                y: (i / n) as f64 * cell + part(0.569_840_291_0) - 500.0,
            }
        })
        .collect();
    let triangles: Vec<[usize; 3]> = (0..n * (n - 1))
        .filter(|i| i % n + 1 < n)
        .flat_map(|i| [[i, i + 1, i + n], [i + 1, i + n + 1, i + n]])
        .collect();
    let heads = local.iter().map(|p| head(*p)).collect();
    mesh(local, heads, &triangles)
}

/// The triangle a place lies in, its corners, and the weights of their heads there.
fn place(mesh: &Mesh, p: Coord) -> Option<([Coord; 3], [f64; 3])> {
    mesh.triangles().iter().find_map(|t| {
        let [a, b, c] = mesh.corners(t);
        let area =
            |a: Coord, b: Coord, c: Coord| (b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y);
        let w = [area(p, b, c), area(a, p, c), area(a, b, p)].map(|s| s / area(a, b, c));
        w.iter().all(|w| *w >= 0.0).then_some(([a, b, c], w))
    })
}

/// The spread of a triangle's corners about a place in it: sum of weight times distance squared.
fn spread(p: Coord, corners: [Coord; 3], weights: [f64; 3]) -> f64 {
    let squared = |c: Coord| (c.x - p.x) * (c.x - p.x) + (c.y - p.y) * (c.y - p.y);
    corners.iter().zip(weights).map(|(c, w)| w * squared(*c)).sum()
}

fn nodes() -> GridSpec {
    GridSpec { west: -480.0, south: -480.0, cell: 20.0, columns: 49, rows: 49 }
}

fn everywhere(mesh: &Mesh, mut check: impl FnMut(Coord, f64, [Coord; 3], [f64; 3])) {
    let grid = linear(mesh, &Frame::new(Coord { x: 0.0, y: 0.0 }, 1.0), nodes());
    for (i, head) in heads_of(&grid).into_iter().enumerate() {
        let p = nodes().node(i / 49, i % 49);
        if let (Some(head), Some((corners, weights))) = (head, place(mesh, p)) {
            check(p, head, corners, weights);
        }
    }
}

// Derivation for the two tests below. Let f be twice differentiable, v_i the corners of the
// triangle with x in it, w_i >= 0 the weights with sum w_i = 1 and sum w_i v_i = x; the linear
// surface is s(x) = sum w_i f(v_i). Taylor's theorem at x gives
//     f(v_i) = f(x) + f'(x)(v_i - x) + 1/2 (v_i - x)' H(y_i) (v_i - x)
// with y_i between x and v_i. Weighted and summed, the first-order terms vanish:
//     s(x) - f(x) = 1/2 sum w_i (v_i - x)' H(y_i) (v_i - x),
// so |s - f| <= 1/2 M sum w_i |v_i - x|^2 where M bounds the second derivatives in the triangle.
// The sum is R^2 - d^2, with R the circumradius and d the distance of x from the circumcentre
// (Waldron 1998, SIAM Journal on Numerical Analysis 35(3), 1191-1200: the sharp bound); on an
// edge of length l it is at most l^2 / 4, the familiar M l^2 / 8.

#[test]
fn a_paraboloid_is_missed_by_exactly_what_taylors_theorem_says() {
    // Its second derivatives are constant and the same in all directions, so equality holds.
    let m = 2e-5;
    let head = |p: Coord| 100.0 + 0.5 * m * (p.x * p.x + p.y * p.y);
    let mesh = sampled(12, head);
    let mut nodes = 0;
    everywhere(&mesh, |p, found, corners, weights| {
        let expected = 0.5 * m * spread(p, corners, weights);
        assert!((found - head(p) - expected).abs() < 1e-11, "at {p:?}");
        nodes += 1;
    });
    assert!(nodes > 2000, "{nodes}");
}

#[test]
fn a_cone_of_depression_is_met_within_taylors_bound() {
    // Thiem (1906): confined steady flow to a well at the origin, h = h_R + a ln(r / R) with
    // a = Q / (2 pi T). Its second derivatives are a / r^2 along the radius and -a / r^2 across.
    let a = 0.8;
    let head = |p: Coord| 100.0 + a * libm::log(libm::hypot(p.x, p.y) / 500.0);
    let mut worst = Vec::new();
    for n in [12, 23] {
        let mesh = sampled(n, head);
        let (mut nodes, mut largest, mut nearest_to_bound) = (0, 0.0f64, 0.0f64);
        everywhere(&mesh, |p, found, corners, weights| {
            // The triangle's distance from the pumped well, from below.
            let reach = corners.iter().map(|c| libm::hypot(c.x - p.x, c.y - p.y));
            let r = libm::hypot(p.x, p.y) - reach.fold(0.0, f64::max);
            if r > 100.0 {
                let bound = 0.5 * a / (r * r) * spread(p, corners, weights);
                let error = (found - head(p)).abs();
                assert!(error <= bound + 1e-12, "{error} at {p:?}, more than {bound}");
                if libm::hypot(p.x, p.y) > 300.0 {
                    largest = largest.max(error);
                }
                nearest_to_bound = nearest_to_bound.max(error / bound);
                nodes += 1;
            }
        });
        assert!(nodes > 1500, "{nodes}");
        assert!(nearest_to_bound > 0.3, "the bound is no test: {nearest_to_bound}");
        worst.push(largest);
    }
    // Half the distance of wells is a quarter of the bound, and of the error but for the pattern
    // of the wells: an order of convergence of 2, where 1.5 tells it from first order.
    let order = libm::log2(worst[0] / worst[1]);
    assert!(order > 1.5, "order {order} from {worst:?}");
}
