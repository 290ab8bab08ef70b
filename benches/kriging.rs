//! Times ordinary kriging on a square grid over synthetic wells, beside
//! `reference/kernel_reference.py krige N CELLS`, which prints the same kind of lines.
//!
//! ```sh
//! python3 benches/reference/make_wells.py 500 42 wells.csv
//! cargo bench --bench kriging -- wells.csv 250000 [PART OF A VARIANT'S NAME]
//! ```

#![expect(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "its result is what it prints"
)]

use std::time::Instant;

use geo::Coord;
use headfall::geom::Frame;
use headfall::interpolate::GridSpec;
use headfall::interpolate::kriging::Covariance;
use headfall::interpolate::kriging::Drift;
use headfall::interpolate::kriging::FitOptions;
use headfall::interpolate::kriging::Heads;
use headfall::interpolate::kriging::Kriging;
use headfall::interpolate::kriging::Model;
use headfall::interpolate::kriging::fit;

fn timed<T>(variant: &str, wells: usize, nodes: usize, mut run: impl FnMut() -> T) {
    let only = std::env::args().skip(1).filter(|a| a != "--bench").nth(2);
    if only.is_some_and(|only| !variant.contains(&only)) {
        return;
    }
    let mut runs: Vec<f64> = (0..3)
        .map(|_| {
            let start = Instant::now();
            std::hint::black_box(run());
            start.elapsed().as_secs_f64()
        })
        .collect();
    runs.sort_by(f64::total_cmp);
    println!(
        "{{\"stage\": \"krige\", \"variant\": \"{variant}\", \"n\": {wells}, \"cells\": {nodes}, \
         \"wall\": {:.4}, \"min\": {:.4}}}",
        runs[1], runs[0]
    );
}

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).filter(|a| a != "--bench").collect();
    let [file, nodes, ..] = &arguments[..] else {
        // Started by a run of all benches: there is no table to work on.
        return;
    };
    let nodes: f64 = nodes.parse().expect("a count of nodes");
    let (mut crs, mut values) = (Vec::new(), Vec::new());
    for row in csv::Reader::from_path(file).expect("a table of wells").deserialize() {
        let (_, x, y, h): (String, f64, f64, f64) = row.expect("id, easting, northing, elevation");
        crs.push(Coord { x, y });
        values.push(h);
    }
    let frame = Frame::new(crs[0], 1.0);
    let wells: Vec<Coord> = crs.iter().map(|p| frame.to_local(*p)).collect();
    let least = |of: fn(&Coord) -> f64| crs.iter().map(of).fold(f64::INFINITY, f64::min);
    let most = |of: fn(&Coord) -> f64| crs.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
    let (west, south) = (least(|p| p.x), least(|p| p.y));
    let side = nodes.sqrt().round();
    let cell = (most(|p| p.x) - west).max(most(|p| p.y) - south) / (side - 1.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small count")]
    let side = side as usize;
    let spec = GridSpec { west, south, cell, columns: side, rows: side };

    let heads = Heads { wells: &wells, values: &values, sd: None };
    let covariance = Covariance { nugget: 0.01, ..Covariance::new(Model::Exponential, 4.0, 500.0) };
    let drifts =
        [("ordinary", Drift::default()), ("universal", Drift { plane: true, cones: vec![] })];
    for (name, drift) in drifts {
        let all = || Kriging::new(&heads, &covariance, &drift).expect("a surface");
        let (n, nodes) = (wells.len(), side * side);
        timed(&format!("{name}, with variance"), n, nodes, || all().grid(&frame, spec, |_| true));
        timed(&format!("{name}, heads alone"), n, nodes, || {
            all().grid_of_heads(&frame, spec, |_| true)
        });
        timed(&format!("{name}, leave one out"), n, n, || all().leave_one_out());
    }
    let options = FitOptions { model: Model::Exponential, nugget: true, anisotropy: false };
    let fitted = || fit(&heads, &Drift::default(), options).expect("a fit").covariance;
    timed("fit alone", wells.len(), wells.len(), fitted);
    timed("fitted, with variance", wells.len(), side * side, || {
        let surface = Kriging::new(&heads, &fitted(), &Drift::default()).expect("a surface");
        surface.grid(&frame, spec, |_| true)
    });
    let all = || Kriging::new(&heads, &covariance, &Drift::default()).expect("a surface");
    let nodes = side * side;
    let places: Vec<Coord> =
        (0..nodes).map(|i| frame.to_local(spec.node(i / side, i % side))).collect();
    timed("ordinary, node by node", wells.len(), nodes, || all().predict(&places));
}
