//! Seconds for 10 000 flow paths over 1000 x 1000 nodes: `cargo bench --bench paths [-- FOLDER]`.
//!
//! The surface is that of two pumped wells in uniform flow over 10 km. With a folder, the paths are
//! written there as `paths.csv` for `benches/reference/write_paths.py`. Best and median of nine
//! runs.

#![expect(clippy::print_stdout, clippy::disallowed_methods, reason = "that is what it is for")]

use std::fmt::Write as _;
use std::time::Instant;

use geo::Coord;
use headfall::geom::Frame;
use headfall::interpolate::{GridSpec, linear};
use headfall::toward::{FlowPath, GridField, Way, traces_on_field};
use headfall::triangulate::{Mesh, Triangle};

const NODES: usize = 1000;
const CELL: f64 = 10.0;
const PATHS: usize = 10_000;

fn head(x: f64, y: f64) -> f64 {
    let cone = |east: f64, north: f64, rate: f64| {
        let r2 = (x - east) * (x - east) + (y - north) * (y - north);
        rate * (r2.max(100.0) / 1e8).ln()
    };
    100.0 - 0.002 * x + cone(6000.0, 4000.0, 0.4) + cone(3000.0, 7500.0, 0.2)
}

/// Every node a well of its own: the grid is then the closed form.
fn mesh() -> Mesh {
    let at = |k: usize| Coord { x: (k % NODES) as f64 * CELL, y: (k / NODES) as f64 * CELL };
    let local: Vec<Coord> = (0..NODES * NODES).map(at).collect();
    let heads = local.iter().map(|p| head(p.x, p.y)).collect();
    let mut triangles = Vec::new();
    for row in 0..NODES - 1 {
        for column in 0..NODES - 1 {
            let k = row * NODES + column;
            for corners in [[k, k + 1, k + NODES + 1], [k, k + NODES + 1, k + NODES]] {
                triangles.push(Triangle {
                    corners,
                    area_m2: CELL * CELL / 2.0,
                    base_to_height: 2.0,
                    marks: Vec::new(),
                });
            }
        }
    }
    Mesh::from_parts(local, heads, triangles)
}

fn main() {
    let frame = Frame::new(Coord { x: 0.0, y: 0.0 }, 1.0);
    let spec = GridSpec { west: 0.0, south: 0.0, cell: CELL, columns: NODES, rows: NODES };
    let grid = linear(&mesh(), &frame, spec);
    let field = GridField::new(&grid, &frame);
    let starts: Vec<Coord> = (0..PATHS)
        .map(|k| Coord {
            x: 50.0 + 9900.0 * (k as f64 * 0.754_877_666_2).fract(),
            y: 50.0 + 9900.0 * (k as f64 * 0.569_840_291_0).fract(),
        })
        .collect();
    let mut seconds = Vec::new();
    let mut paths: Vec<FlowPath> = Vec::new();
    for _ in 0..9 {
        let begun = Instant::now();
        paths = traces_on_field(&field, &starts, Way::Down, field.steps());
        seconds.push(begun.elapsed().as_secs_f64());
    }
    seconds.sort_by(f64::total_cmp);
    let vertices: usize = paths.iter().map(|p| p.points.len()).sum();
    println!(
        "{PATHS} paths, {vertices} vertices: best {:.3} s, median {:.3} s",
        seconds[0], seconds[4]
    );
    if let Some(folder) = std::env::args().skip(1).find(|a| !a.starts_with("--")) {
        let mut text = String::new();
        for (i, path) in paths.iter().enumerate() {
            for p in &path.points {
                let _ = writeln!(text, "{i},{},{}", p.x, p.y);
            }
        }
        let file = std::path::Path::new(&folder).join("paths.csv");
        std::fs::write(&file, text).expect("the folder can be written");
        println!("{}", file.display());
    }
}
