//! Seconds for the linear surface and its contours at 25 million nodes: `cargo bench`.
//!
//! 100 000 invented wells on a lattice that is moved about a little, 200 000 triangles, two
//! cones of depression; 180 levels. Best and median of nine runs.

#![expect(clippy::print_stdout, clippy::disallowed_methods, reason = "that is what it is for")]

use std::time::Instant;

use geo::Coord;
use headfall::contour::lines;
use headfall::geom::{Areas, Frame};
use headfall::interpolate::linear;
use headfall::interpolate::{GridSpec, Surface};
use headfall::read::Method;
use headfall::triangulate::Mesh;
use headfall::triangulate::Triangle;

const SIDE: usize = 316;
const SPACING: f64 = 50.0;

fn mesh() -> Mesh {
    let mut local = Vec::new();
    let mut heads = Vec::new();
    for i in 0..SIDE * SIDE {
        let part = |k: f64| ((i as f64 * k).fract() - 0.5) * 0.5 * SPACING;
        let p = Coord {
            x: (i % SIDE) as f64 * SPACING + part(0.754_877_666_2),
            y: (i / SIDE) as f64 * SPACING + part(0.569_840_291_0),
        };
        let cone =
            |x: f64, y: f64, a: f64| a * (libm::hypot(p.x - x, p.y - y).max(5.0) / 1500.0).ln();
        let regional = 290.0 - 0.004 * (p.x + p.y) / 2f64.sqrt();
        local.push(p);
        heads.push(
            regional
                + cone(6300.0, 6300.0, 0.6)
                + cone(10_400.0, 11_000.0, 0.35)
                + part(0.618_033_988_7) * 1e-3,
        );
    }
    let triangles = (0..SIDE * (SIDE - 1))
        .filter(|i| i % SIDE + 1 < SIDE)
        .flat_map(|i| [[i, i + 1, i + SIDE], [i + 1, i + SIDE + 1, i + SIDE]])
        .map(|corners| Triangle { corners, area_m2: 0.0, base_to_height: 0.0, marks: Vec::new() })
        .collect();
    Mesh::from_parts(local, heads, triangles)
}

fn timed<T>(name: &str, run: impl Fn() -> T) -> T {
    let mut seconds: Vec<f64> = (0..9)
        .map(|_| {
            let start = Instant::now();
            let result = run();
            let elapsed = start.elapsed().as_secs_f64();
            drop(result);
            elapsed
        })
        .collect();
    seconds.sort_unstable_by(f64::total_cmp);
    println!("{name}: {:.3} s best, {:.3} s median", seconds[0], seconds[4]);
    run()
}

fn main() {
    let mesh = mesh();
    let frame = Frame::new(Coord { x: 0.0, y: 0.0 }, 1.0);
    let cell = SIDE as f64 * SPACING / 5000.0;
    let spec = GridSpec { west: 0.0, south: 0.0, cell, columns: 5000, rows: 5000 };
    let grid = timed("linear, 25 M nodes, 200 k triangles", || linear(&mesh, &frame, spec));
    let surface = Surface::of_nodes(grid, Method::Linear);
    let range = surface.range().expect("there are heads");
    let interval = (range.1 - range.0) / 181.0;
    let found = timed("contours, 25 M nodes", || {
        let (unit, boundary) = (headfall::units::LengthUnit::Metre, Areas::default());
        lines(&surface, &boundary, Some(interval), 0.0, 0.0, unit)
    })
    .expect("drawn")
    .value;
    let vertices: usize = found.lines.iter().map(|l| l.points.len()).sum();
    println!("{} levels, {} lines, {vertices} vertices", found.levels.len(), found.lines.len());
}
