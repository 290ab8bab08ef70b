//! Seconds for the surfaces through scattered wells: `cargo bench --bench scattered`, or with
//! `-- WELLS.csv NODES` for wells made by `benches/reference/make_wells.py`, beside a script on the
//! same wells and nodes. Best and median of five runs.

#![expect(clippy::print_stdout, clippy::disallowed_methods, reason = "that is what it is for")]

use std::time::Instant;

use geo::Coord;
use headfall::geom::Frame;
use headfall::interpolate::GridSpec;
use headfall::interpolate::inverse_distance::InverseDistance;
use headfall::interpolate::inverse_distance::Options;
use headfall::interpolate::linear;
use headfall::interpolate::natural::NaturalNeighbour;
use headfall::interpolate::natural::Variant;
use headfall::interpolate::scattered;
use headfall::interpolate::thin_plate::ThinPlate;

/// More wells than this are not solved for a spline here.
const MOST_SPLINE: usize = 5000;

/// A thousand wells, one for each 50 m by 50 m, without a plan.
fn invented() -> Vec<(Coord, f64)> {
    let part = |i: i32, k: f64| (f64::from(i) * k).fract();
    (0..1000)
        .map(|i| {
            let p = Coord { x: part(i, 0.754_877_666_2), y: part(i, 0.569_840_291) } * 1580.0;
            (p, 290.0 - 0.003 * (p.x + p.y) + 0.01 * part(i, 0.618_033_988_7))
        })
        .collect()
}

fn read(file: &str) -> Vec<(Coord, f64)> {
    let text = std::fs::read_to_string(file).expect("a table of wells");
    let number = |field: &str| field.parse::<f64>().expect("a number");
    text.lines()
        .skip(1)
        .map(|line| {
            let field: Vec<&str> = line.split(',').collect();
            (Coord { x: number(field[1]), y: number(field[2]) }, number(field[3]))
        })
        .collect()
}

fn timed<T>(name: &str, run: impl Fn() -> T) -> T {
    let mut seconds: Vec<f64> = (0..5)
        .map(|_| {
            let start = Instant::now();
            drop(run());
            start.elapsed().as_secs_f64()
        })
        .collect();
    seconds.sort_unstable_by(f64::total_cmp);
    println!("{name}: {:.4} s best, {:.4} s median", seconds[0], seconds[2]);
    run()
}

fn main() {
    // Cargo adds `--bench`.
    let given: Vec<String> = std::env::args().skip(1).filter(|a| a != "--bench").collect();
    let mut wells = given.first().map_or_else(invented, |file| read(file));
    let nodes: f64 = given.get(1).map_or(1e6, |n| n.parse().expect("a count of nodes"));
    wells.sort_by(|a, b| a.0.x.total_cmp(&b.0.x).then(a.0.y.total_cmp(&b.0.y)));
    let (west, south) =
        wells.iter().fold((f64::MAX, f64::MAX), |(x, y), (p, _)| (x.min(p.x), y.min(p.y)));
    let east = wells.iter().map(|w| w.0.x).fold(f64::MIN, f64::max);
    let frame = Frame::new(Coord { x: west, y: south }, 1.0);
    let (places, heads): (Vec<Coord>, Vec<f64>) =
        wells.iter().map(|(p, h)| (frame.to_local(*p), *h)).unzip();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small count")]
    let side = nodes.sqrt().round() as usize;
    let cell = (east - west) / (side - 1) as f64;
    let spec = GridSpec { west, south, cell, columns: side, rows: side };
    println!("{} wells, {} nodes", heads.len(), side * side);

    let mesh = scattered::mesh(&places, &heads).expect("wells that carry a surface");
    let outline = timed("linear", || linear(&mesh, &frame, spec));
    for (name, variant) in [("plain", Variant::Plain), ("smooth", Variant::Smooth)] {
        timed(&format!("natural neighbour, {name}"), || {
            NaturalNeighbour::new(&mesh, variant).grid(&frame, spec)
        });
        let surface = NaturalNeighbour::new(&mesh, variant);
        timed("  leave one out", || surface.leave_one_out());
    }
    let options = Options { nearest: Some(12), ..Options::default() };
    timed("inverse distance, 12 nearest", || {
        let surface = InverseDistance::new(&places, &heads, options).expect("wells");
        surface.grid(&frame, spec, Some(&outline))
    });
    if heads.len() <= MOST_SPLINE {
        let solve = || ThinPlate::new(&places, &heads, 0.0).expect("wells");
        let spline = timed("thin-plate spline, equations", solve);
        timed("thin-plate spline, grid", || spline.grid(&frame, spec, Some(&outline)));
        timed("  leave one out", || spline.leave_one_out());
    }
}
