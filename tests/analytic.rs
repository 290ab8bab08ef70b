//! Heads sampled from analytic solutions and mapped as a user would map them: the gradient and
//! the direction that come out are held against the solution's own.
//!
//! Sources: Thiem (1906), drawdown about a pumped well, s1 - s2 = Q ln(r2/r1) / (2 pi T); Dupuit
//! (1863), h^2 = h1^2 - (h1^2 - h2^2) x / L, as printed in Hiscock, Hydrogeology: Principles and
//! Practice, p. 60, eq. 17. Printed case: 42 400 ft3/d, levels of 29.34 and 32.56 ft at 26 and
//! 73 ft give T = 2200 ft2/d (2163.53 exactly; a university lecture after Fetter 7.4.2).

use std::f64::consts::TAU;
use std::fmt::Write as _;

use headfall::read::Overrides;
use headfall::run::Map;

use crate::support::{Folder, map, near};

/// The map of a surface sampled at some places, in m from a point near the middle of UTM zone 15.
fn mapped(places: &[(f64, f64)], head: impl Fn(f64, f64) -> f64) -> Map {
    let mut text = "Well,Easting (m),Northing (m),Head (m)\n".to_owned();
    for (i, (x, y)) in places.iter().enumerate() {
        let _ = writeln!(text, "W{i},{},{},{}", 500_000.0 + x, 4_980_000.0 + y, head(*x, *y));
    }
    let folder = Folder::new();
    let table = folder.file("readings.csv", text);
    let overrides = Overrides { crs: Some("EPSG:26915".into()), ..Overrides::default() };
    map(&table, &overrides).0.expect("a map")
}

/// Rings of wells about the origin, turned against each other so that no four lie on a circle
/// with the next ring's.
fn rings(radii: &[f64], spokes: u32) -> Vec<(f64, f64)> {
    radii
        .iter()
        .enumerate()
        .flat_map(|(ring, r)| {
            (0..spokes).map(move |spoke| {
                let turn =
                    (f64::from(spoke) + if ring % 2 == 0 { 0.0 } else { 0.5 }) / f64::from(spokes);
                (r * (TAU * turn).sin(), r * (TAU * turn).cos())
            })
        })
        .collect()
}

/// A slope of a triangle is the solution's somewhere near: between the slopes at its nearest and
/// its farthest corner, widened by one part in ten for the chord across the spokes.
#[test]
fn a_cone_of_depression_gives_back_thiems_gradients_directions_and_transmissivity() {
    let (discharge, transmissivity) = (1000.0, 500.0);
    let head = |x: f64, y: f64| {
        100.0 + discharge / (TAU * transmissivity) * (libm::hypot(x, y) / 100.0).ln()
    };
    // The printed drawdown difference between 10 m and 100 m.
    near(head(0.0, 100.0) - head(0.0, 10.0), 0.732_935_598_9, 1e-9);
    let radii: Vec<f64> = (0..12).map(|i| 50.0 * 1.2_f64.powi(i)).collect();
    let map = mapped(&rings(&radii, 24), head);
    let mut seen = 0;
    for (t, f) in map.mesh.triangles().iter().zip(&map.flow.triangles) {
        let corners = map.mesh.corners(t).map(|p| {
            let crs = map.control.frame().to_crs(p);
            (crs.x - 500_000.0, crs.y - 4_980_000.0)
        });
        let radius = corners.map(|(x, y)| libm::hypot(x, y));
        let (near_r, far_r) =
            radius.iter().fold((f64::MAX, 0.0_f64), |(n, f), r| (n.min(*r), f.max(*r)));
        // The core inside the first ring holds no well, and its triangles span the cone.
        if far_r / near_r > 1.3 || far_r / near_r < 1.01 {
            continue;
        }
        seen += 1;
        let slope = |r: f64| discharge / (TAU * transmissivity * r);
        let gradient = f.gradient.expect("a gradient");
        assert!(
            gradient > 0.9 * slope(far_r) && gradient < 1.1 * slope(near_r),
            "{} lies between {} and {}",
            gradient,
            slope(far_r),
            slope(near_r)
        );
        // Flow is toward the well: the direction from the centroid to the origin.
        let (x, y) = corners.iter().fold((0.0, 0.0), |c, p| (c.0 + p.0 / 3.0, c.1 + p.1 / 3.0));
        let toward = libm::atan2(-x, -y).to_degrees();
        let off = (f.azimuth_grid.expect("a direction").degrees() - toward).rem_euclid(360.0);
        // Half a spoke is 7.5 degrees.
        assert!(off.min(360.0 - off) < 7.5, "{off} degrees off the well");
    }
    assert!(seen > 400, "most of the triangles were looked at: {seen}");
}

#[test]
fn the_published_thiem_test_has_the_published_transmissivity() {
    let t: f64 = 42_400.0 * (73.0_f64 / 26.0).ln() / (TAU * (32.56 - 29.34));
    near(t, 2_163.527_933_455_8, 1e-6);
    // The heads of that aquifer, mapped: the drop from 73 to 26 ft must come back.
    let feet = 0.3048;
    let head = |x: f64, y: f64| {
        let r = libm::hypot(x, y) / feet;
        (29.34 + 42_400.0 / (TAU * t) * (r / 26.0).ln()) * feet
    };
    let radii: Vec<f64> = [26.0, 36.0, 52.0, 73.0].iter().map(|r| r * feet).collect();
    let map = mapped(&rings(&radii, 16), head);
    let heads: Vec<f64> = map.control.points().iter().map(|p| p.head / feet).collect();
    let (low, high) = heads.iter().fold((f64::MAX, f64::MIN), |(l, h), x| (l.min(*x), h.max(*x)));
    near(low, 29.34, 1e-6);
    near(high, 32.56, 1e-6);
}

#[test]
fn dupuits_parabola_gives_back_its_heads_and_discharge() {
    let (k, h1, h2, length) = (10.0, 10.0, 8.0, 100.0);
    let head = |x: f64, _: f64| (h1 * h1 - (h1 * h1 - h2 * h2) * x / length).sqrt();
    near(head(25.0, 0.0), 9.539_392_014, 1e-9);
    near(head(50.0, 0.0), 9.055_385_138, 1e-9);
    near(head(75.0, 0.0), 8.544_003_745, 1e-9);
    let places: Vec<(f64, f64)> = (0..=20)
        .flat_map(|i| (0..=4).map(move |j| (5.0 * f64::from(i), 5.0 * f64::from(j))))
        .collect();
    let map = mapped(&places, head);
    for (t, f) in map.mesh.triangles().iter().zip(&map.flow.triangles) {
        near(f.azimuth_grid.expect("a direction").degrees(), 90.0, 1e-6);
        // Discharge per width is K h i everywhere: 1.8 m2/d. Across a triangle 5 m long the chord
        // of h^2 is exact when h is the mean of its two ends.
        let ends = t.corners.map(|i| map.mesh.heads()[i]);
        let (low, high) =
            ends.iter().fold((f64::MAX, f64::MIN), |(l, h), x| (l.min(*x), h.max(*x)));
        near(k * f64::midpoint(low, high) * f.gradient.expect("a gradient"), 1.8, 1e-6);
    }
}
