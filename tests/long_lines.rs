//! Lines of very many vertices: how densely a line was digitised changes no answer.

use std::path::Path;

use headfall::read::Overrides;
use headfall::run;
use headfall::toward::Toward;
use serde_json::{Value, json};

use crate::support::{map, near, sample, text};

/// How far a vertex between those of the sample lies off its straight line, m: by wiggles of two
/// millionths of a degree, and by what a straight line in longitude and latitude bends in the CRS.
const OFF_M: f64 = 0.04;

/// A line through the same vertices with others between them, `count` in all; these are moved by a
/// part of `wiggle`.
fn denser(course: &Value, count: usize, wiggle: f64) -> Value {
    let corners: Vec<Vec<f64>> = serde_json::from_value(course.clone()).expect("positions");
    let long = |w: &[Vec<f64>]| libm::hypot(w[1][0] - w[0][0], w[1][1] - w[0][1]);
    let whole: f64 = corners.windows(2).map(long).sum();
    let mut line = Vec::new();
    for w in corners.windows(2) {
        let parts = (count as f64 * long(w) / whole).ceil();
        let mut k = 0.0;
        while k < parts {
            let off = if k > 0.0 { wiggle * libm::sin(12.9898 * line.len() as f64) } else { 0.0 };
            let at = |i: usize| w[0][i] + (w[1][i] - w[0][i]) * (k / parts) + off;
            line.push(json!([at(0), at(1)]));
            k += 1.0;
        }
    }
    line.push(json!(corners[corners.len() - 1]));
    json!(line)
}

/// The sample with all lines and outlines of a file made denser.
fn made_denser(site: &Path, name: &str, count: usize, wiggle: f64) {
    let path = site.join("features").join(name);
    let text = text(&path);
    let mut file: Value = serde_json::from_str(&text).expect("GeoJSON");
    for feature in file["features"].as_array_mut().expect("features") {
        let geometry = &mut feature["geometry"];
        let old = geometry["coordinates"].clone();
        geometry["coordinates"] = match geometry["type"].as_str() {
            Some("Polygon") => {
                let rings = old.as_array().expect("rings").iter();
                rings.map(|ring| denser(ring, count, wiggle)).collect()
            }
            _ => denser(&old, count, wiggle),
        };
    }
    std::fs::write(path, file.to_string()).expect("a file");
}

fn answers(site: &Path) -> Toward {
    let (map, mut findings) = map(site, &Overrides::default());
    let map = map.unwrap_or_else(|e| panic!("{e} {findings:#?}"));
    run::follow(&map, &mut findings).expect("an answer")
}

/// Everything said of the water in two runs, with distances to within `OFF_M` and what follows from
/// them.
fn same(a: &Toward, b: &Toward) {
    assert_eq!(a.verdicts.len(), b.verdicts.len());
    for (a, b) in a.verdicts.iter().zip(&b.verdicts) {
        assert_eq!(a.outcome, b.outcome);
        assert_eq!((a.paths, a.reaching, a.upgradient), (b.paths, b.reaching, b.upgradient));
        assert_eq!((a.realizations, a.bearing_agrees), (b.realizations, b.bearing_agrees));
        let (p, q) = (a.meeting.expect("a meeting"), b.meeting.expect("a meeting"));
        near(p.nearest.distance_m, q.nearest.distance_m, OFF_M);
        near(a.length_m, b.length_m, 3.0 * OFF_M);
    }
    assert_eq!(a.lines.len(), b.lines.len());
    for (a, b) in a.lines.iter().zip(&b.lines) {
        assert_eq!((&a.name, a.staged), (&b.name, b.staged));
        assert_eq!(a.reaches.len(), b.reaches.len(), "{}", a.name);
        for (a, b) in a.reaches.iter().zip(&b.reaches) {
            assert_eq!((a.side, a.sense), (b.side, b.sense));
            near(a.azimuth_grid.degrees(), b.azimuth_grid.degrees(), 0.1);
            near(a.mean.value, b.mean.value, 0.002);
        }
    }
}

/// Each file of the sample in 10,000 vertices, straight between those it has. The boundary is the
/// same area, the creek carries the map by the same points, waste and property line are where they
/// were.
#[test]
fn ten_thousand_vertices_on_straight_lines_say_what_a_few_do() {
    let plain = answers(&sample("closed-landfill"));
    for name in ["boundary.geojson", "creek.geojson", "waste.geojson", "property-line.geojson"] {
        let site = sample("closed-landfill");
        made_denser(&site, name, 10_000, 0.0);
        same(&plain, &answers(&site));
    }
}

/// A hand that trembles by two centimetres.
#[test]
fn a_line_that_wiggles_within_the_bound_says_what_a_straight_one_does() {
    let plain = answers(&sample("closed-landfill"));
    let site = sample("closed-landfill");
    made_denser(&site, "property-line.geojson", 10_000, 2e-7);
    same(&plain, &answers(&site));
}
