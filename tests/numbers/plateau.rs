//! A plateau of equal heads, at any level and on every surface.

use std::collections::BTreeMap;

use headfall::contour::Contours;
use headfall::read::{Method, Overrides};
use headfall::run::Map;

use crate::support::{EAST, Folder, NORTH, map, near, of_wells, rows, scatter};

/// Zero is where nothing is larger than the dust of the arithmetic; 0.3 and 853.27 are no sums of
/// powers of two.
const LEVELS: [f64; 6] = [-3.0, 0.0, 0.3, 100.0, 853.27, 2500.7];

/// A covariance, so that none is fitted.
fn settings(method: Method, level: f64) -> String {
    format!(
        "[contours]\ninterval = 0.25\nbase = {level:?}\n[grid]\nsurface = \"{}\"\ncell = 2.0\n\
         [kriging]\nmodel = \"spherical\"\npartial_sill = 0.5\nrange = 300.0\nnugget = 0.0\n",
        method.name()
    )
}

fn drawn(folder: &Folder) -> Map {
    let (map, findings) = map(folder.path(), &Overrides::default());
    map.unwrap_or_else(|e| panic!("{e} {findings:#?}"))
}

/// The invented wells of the plateau, relative to the corner that sites count from, with their heads
/// above it.
fn wells() -> (Vec<(f64, f64)>, Vec<f64>) {
    let number =
        |row: &BTreeMap<String, String>, key: &str| -> f64 { row[key].parse().expect("a number") };
    let place = |row| (number(row, "easting") - EAST, number(row, "northing") - NORTH);
    let rows = rows("numbers/plateau.csv");
    rows.iter().map(|row| (place(row), number(row, "elevation (m)"))).unzip()
}

/// The lines with their levels above the plateau.
fn lines(contours: &Contours, level: f64) -> Vec<(f64, &[geo::Coord])> {
    let above = |l: f64| ((l - level) * 4.0).round() / 4.0;
    contours.lines.iter().map(|l| (above(l.level), l.points.as_slice())).collect()
}

#[test]
fn a_plateau_has_the_same_lines_at_every_level() {
    for method in Method::ALL {
        let (wells, above) = wells();
        let at = |level: f64| {
            // To 0.01 m, as heads are read.
            let head = |x: f64, y: f64| {
                let i = wells.iter().position(|w| *w == (x, y)).expect("a well");
                ((level + above[i]) * 100.0).round() / 100.0
            };
            drawn(&of_wells(&wells, &settings(method, level), head))
        };
        let name = method.name();
        let first = at(LEVELS[3]);
        let expected = lines(&first.contours, LEVELS[3]);
        assert!((4..60).contains(&expected.len()), "{name}: {} lines", expected.len());
        for level in LEVELS {
            let map = at(level);
            let found = lines(&map.contours, level);
            assert_eq!(found.len(), expected.len(), "{name} at {level}");
            for ((above, line), (expected_above, expected)) in found.iter().zip(&expected) {
                near(*above, *expected_above, 0.0);
                assert_eq!(line.len(), expected.len(), "{name} at {level}: a line of {above}");
                for (p, q) in line.iter().zip(expected.iter()) {
                    // Where the surface is flat a head of 1e-9 m moves a line by far more than that.
                    near(p.x, q.x, 1e-3);
                    near(p.y, q.y, 1e-3);
                }
            }
        }
    }
}

/// Heads that are all equal give that very head by every method, and no line: the weights of a node
/// sum to one, and kriging and the spline have the constant in their drift. Pairs of wells a metre
/// apart within kilometres make the systems of equations as bad as they get on a site.
#[test]
fn equal_heads_are_that_head_at_every_node() {
    let mut wells: Vec<(f64, f64)> =
        scatter().into_iter().map(|(x, y)| (10.0 * x, 10.0 * y)).collect();
    wells.extend(wells.clone().into_iter().map(|(x, y)| (x + 0.8, y + 0.6)));
    for method in Method::ALL {
        for level in LEVELS {
            let settings = settings(method, level).replace("cell = 2", "cell = 70");
            let map = drawn(&of_wells(&wells, &settings, |_, _| level));
            let (low, high) = map.surface.heads.range().expect("heads");
            near(low, level, 0.0);
            near(high, level, 0.0);
            assert!(map.contours.lines.is_empty(), "{} at {level}", method.name());
        }
    }
}
