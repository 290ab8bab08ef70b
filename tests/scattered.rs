//! Natural neighbour, thin-plate spline and inverse distance through Franke's node sets, place by
//! place against SciPy and GEOS.
//!
//! Sources: Franke (1979), NPS-53-79-003, for the nodes and the function; `tests/data/franke`
//! has the nodes with their provenance, and the reference values with the script that made them.

use geo::Coord;
use headfall::interpolate::inverse_distance::InverseDistance;
use headfall::interpolate::inverse_distance::Options;
use headfall::interpolate::natural::NaturalNeighbour;
use headfall::interpolate::natural::Variant;
use headfall::interpolate::scattered;
use headfall::interpolate::thin_plate::ThinPlate;
use serde_json::Value;

use crate::support::rows;
use crate::support::{near, text};

/// Franke's principal test function.
fn franke(p: Coord) -> f64 {
    let (x, y) = (9.0 * p.x, 9.0 * p.y);
    let square = |v: f64| v * v;
    0.75 * (-(square(x - 2.0) + square(y - 2.0)) / 4.0).exp()
        + 0.75 * (-square(x + 1.0) / 49.0 - (y + 1.0) / 10.0).exp()
        + 0.5 * (-(square(x - 7.0) + square(y - 3.0)) / 4.0).exp()
        - 0.2 * (-square(x - 4.0) - square(y - 7.0)).exp()
}

struct Set {
    name: &'static str,
    nodes: Vec<Coord>,
    values: Vec<f64>,
    places: Vec<Coord>,
    reference: Value,
}

impl Set {
    fn load(name: &'static str) -> Self {
        let number = |text: &str| text.parse::<f64>().expect("a number");
        let (nodes, values) = rows("franke/nodes.csv")
            .into_iter()
            .filter(|row| row["set"] == name)
            .map(|row| {
                let node = Coord { x: number(&row["x"]), y: number(&row["y"]) };
                (node, number(&row["franke_f1"]))
            })
            .unzip();
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/franke/surfaces.json");
        let text = text(path);
        let all: Value = serde_json::from_str(&text).expect("JSON");
        let reference = all[name].clone();
        let places = reference["at"].as_array().expect("places");
        let place = |p: &Value| Coord {
            x: p[0].as_f64().expect("a number"),
            y: p[1].as_f64().expect("a number"),
        };
        let places = places.iter().map(place).collect();
        Self { name, nodes, values, places, reference }
    }

    fn reference(&self, surface: &str) -> Vec<Option<f64>> {
        let values = self.reference[surface].as_array().expect("values");
        assert_eq!(values.len(), self.places.len(), "{surface}");
        values.iter().map(Value::as_f64).collect()
    }

    /// Fails unless the surface has the reference's values; gives its root mean square error
    /// against the function, and the reference's.
    #[track_caller]
    fn holds(&self, surface: &str, tolerance: f64, at: impl Fn(Coord) -> f64) -> (f64, f64) {
        let (mut ours, mut theirs, mut count) = (0.0, 0.0, 0.0);
        for (p, expected) in self.places.iter().zip(self.reference(surface)) {
            let Some(expected) = expected else { continue };
            let (found, truth) = (at(*p), franke(*p));
            assert!(
                (found - expected).abs() <= tolerance,
                "{}: {surface} at {p:?} is {found}, not {expected}",
                self.name
            );
            ours += (found - truth) * (found - truth);
            theirs += (expected - truth) * (expected - truth);
            count += 1.0;
        }
        assert!(count > 60.0, "only {count} places");
        (f64::sqrt(ours / count), f64::sqrt(theirs / count))
    }
}

const SETS: [&str; 3] = ["ds1", "ds2", "ds3"];

#[test]
fn frankes_function_and_node_sets_are_as_published() {
    for (x, y, value) in [
        (0.0, 0.0, 0.766_420_591_284_923_1),
        (0.5, 0.5, 0.325_762_089_280_684_2),
        (1.0, 1.0, 0.035_869_592_386_104_49),
        (0.25, 0.25, 1.165_283_322_974_661_5),
        (0.2, 0.2, 1.218_580_704_167_981_7),
    ] {
        near(franke(Coord { x, y }), value, 1e-13 * value);
    }
    for (name, count) in SETS.into_iter().zip([100, 33, 25]) {
        let set = Set::load(name);
        assert_eq!(set.nodes.len(), count);
        for (p, value) in set.nodes.iter().zip(&set.values) {
            near(franke(*p), *value, 1e-13);
        }
    }
}

#[test]
fn natural_neighbours_are_those_of_intersected_voronoi_cells() {
    for name in SETS {
        let set = Set::load(name);
        let mesh = scattered::mesh(&set.nodes, &set.values).expect("nodes");
        let surface = |variant| NaturalNeighbour::new(&mesh, variant);
        let plain = surface(Variant::Plain);
        let (ours, theirs) =
            set.holds("natural", 1e-9, |p| plain.at(p).expect("within the outline"));
        near(ours, theirs, 1e-9);
        // What the estimated slopes are for: where nodes are dense enough to estimate them, the
        // smooth surface is nearer to the function.
        let smooth = surface(Variant::Smooth);
        let (smoothed, _) =
            set.holds("natural", 0.5, |p| smooth.at(p).expect("within the outline"));
        assert!(smoothed < theirs, "{name}: {smoothed} is not below {theirs}");
    }
}

#[test]
fn the_spline_is_that_of_scipy() {
    for name in SETS {
        let set = Set::load(name);
        let spline = |smoothing| ThinPlate::new(&set.nodes, &set.values, smoothing).expect("nodes");
        let exact = spline(0.0);
        let (ours, theirs) = set.holds("spline", 1e-8, |p| exact.at(p));
        near(ours, theirs, 1e-8);
        let smoothed = spline(0.01);
        set.holds("spline_smoothed", 1e-8, |p| smoothed.at(p));
        for (p, value) in set.nodes.iter().zip(&set.values) {
            near(exact.at(*p), *value, 1e-10);
        }
    }
}

#[test]
fn twelve_nearest_by_inverse_square_are_those_of_a_tree_and_a_sum() {
    for name in SETS {
        let set = Set::load(name);
        let options = Options { nearest: Some(12), ..Options::default() };
        let surface = InverseDistance::new(&set.nodes, &set.values, options).expect("nodes");
        set.holds("inverse_distance", 1e-10, |p| surface.at(p).expect("a head"));
    }
}
