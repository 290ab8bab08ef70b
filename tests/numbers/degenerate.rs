//! Networks and heads on which arithmetic leaves nothing but its dust: rectangles with the flow
//! along a side, level water tables, two levels, one odd well, saddles.

use std::fmt::Write as _;

use geo::Coord;
use headfall::geom::Slope;
use headfall::geom::{Frame, fit_plane_known_to};
use headfall::uncertainty::{
    Confidence, Covariance, DirectionInterval, GradientError, plane_error, triangle_errors,
};
use serde_json::Value;

use crate::support::{Folder, Random, absurd_in, absurd_numbers, headfall, near};

/// What a water table of nothing but dust looks like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Table {
    /// Falling along one side of the network.
    Along,
    Level,
    /// One half higher than the other.
    TwoLevels,
    /// Level but for one well on a side of the network.
    OneOdd,
    /// Higher at two opposite corners than at the others: the plane through it is level.
    Saddle,
    /// Higher in the middle, the same to all sides: its plane and the mean of its triangles are level.
    Mound,
}

pub(super) const TABLES: [Table; 6] =
    [Table::Along, Table::Level, Table::TwoLevels, Table::OneOdd, Table::Saddle, Table::Mound];

/// Places and heads of a rectangle of wells, in one unit each, to 0.01.
pub(super) struct Network {
    pub(super) table: Table,
    pub(super) places: Vec<Coord>,
    pub(super) heads: Vec<f64>,
}

pub(super) fn hundredths(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

impl Network {
    /// One by chance, in CRS coordinates. Mounds have an odd count of wells each way.
    pub(super) fn draw(random: &mut Random, table: Table) -> Self {
        let odd = usize::from(table == Table::Mound);
        let [columns, rows] = [(); 2].map(|()| 2 + odd + random.below(3) * (1 + odd));
        let [wide, high] = [(); 2].map(|()| hundredths(random.between(5.0, 200.0)));
        let corner = Coord {
            x: hundredths(random.one_of(&[0.0, 478_580.0, 2_000_000.0]) + random.uniform()),
            y: hundredths(random.one_of(&[0.0, 4_967_690.0, 700_000.0]) + random.uniform()),
        };
        let level = random.one_of(&[0.0, 0.3, 100.0, 853.27, -12.5]);
        let (step, turned) = (random.one_of(&[0.01, 0.02, 0.5, 1.37]), random.chance(0.5));
        let picked = random.below(columns);
        let mut places = Vec::new();
        let mut heads = Vec::new();
        for i in 0..columns * rows {
            let (column, row) = (i % columns, i / columns);
            places.push(Coord {
                x: hundredths(corner.x + column as f64 * wide),
                y: hundredths(corner.y + row as f64 * high),
            });
            let along = if turned { row } else { column } as f64;
            // In steps from the middle, which may lie between two wells.
            let middle = |at: usize, count: usize| (2 * at) as f64 - (count - 1) as f64;
            let (x, y) = (middle(column, columns), middle(row, rows));
            let up = match table {
                Table::Along => -along,
                Table::Level => 0.0,
                Table::TwoLevels => {
                    f64::from(along < if turned { rows } else { columns } as f64 / 2.0)
                }
                Table::OneOdd => f64::from(i == picked),
                Table::Saddle => x * y,
                Table::Mound => -(x * x + y * y),
            };
            heads.push(hundredths(level + step * up));
        }
        Self { table, places, heads }
    }
}

/// Whether the plane through it is level.
pub(super) const fn has_level_plane(table: Table) -> bool {
    matches!(table, Table::Level | Table::Saddle | Table::Mound)
}

fn assert_sound(error: &GradientError, gradient: f64, what: &str) {
    let c = &error.covariance;
    for value in [c.east_east, c.east_north, c.north_north, error.magnitude.high] {
        assert!(value.is_finite(), "{what}: {error:?}");
    }
    let (low, high) = (error.magnitude.low, error.magnitude.high);
    assert!(0.0 <= low && low <= gradient && gradient <= high, "{what}: {gradient} in {error:?}");
    if let DirectionInterval::Arc { from, to } = error.direction {
        assert!(from.degrees().is_finite() && to.degrees().is_finite(), "{what}: {error:?}");
    }
}

#[test]
fn six_thousand_networks_have_finite_intervals_and_level_planes_where_they_are_level() {
    let mut random = Random::new(11);
    for i in 0..6000 {
        let network = Network::draw(&mut random, TABLES[i % TABLES.len()]);
        let metres = random.one_of(&[1.0, 0.3048, 1200.0 / 3937.0]);
        let what = format!("{i} {:?}", network.table);
        let frame = Frame::new(network.places[0], random.one_of(&[1.0, 0.3048]));
        let local: Vec<Coord> = network.places.iter().map(|p| frame.to_local(*p)).collect();
        let heads_m: Vec<f64> = network.heads.iter().map(|h| h * metres).collect();
        let sds: Vec<f64> =
            (0..local.len()).map(|_| random.one_of(&[0.0105, 0.0105, 0.02])).collect();
        let plane = fit_plane_known_to(&local, &heads_m, frame.rounding_m()).expect("no line");
        let gradient = plane.slope.magnitude();
        assert_eq!(gradient == 0.0, has_level_plane(network.table), "{what}: {:?}", plane.slope);
        let error = plane_error(&plane, &local, &sds).expect("heads with errors");
        assert_sound(&error.from_head_errors, gradient, &what);
        if let Some(residuals) = &error.from_residuals {
            assert_sound(residuals, gradient, &what);
        }
        // Heads that lie on a plane have no residuals, and nothing follows from them.
        let flat = matches!(network.table, Table::Along | Table::Level);
        if flat {
            assert_eq!(error.from_residuals, None, "{what}");
            assert!(
                plane.residual_sd.is_none_or(|sd| sd == 0.0),
                "{what}: {:?}",
                plane.residual_sd
            );
        }
        if network.table == Table::Level {
            assert_eq!((plane.r_squared, error.from_head_errors.resolved), (None, false), "{what}");
        }
        // Two triangles of each corner of the rectangle.
        let corners = [[0, 1, local.len() - 1], [0, 1, local.len() - 2]];
        for error in triangle_errors(&local, &network.heads, &sds, metres, &corners) {
            let Some(error) = error else { continue };
            assert!(error.magnitude.low.is_finite() && error.magnitude.high.is_finite(), "{what}");
        }
    }
}

/// Heads that are equal but for the last binary digit, as sums of decimals are, are equal.
#[test]
fn heads_equal_to_the_last_digit_are_level() {
    let mut random = Random::new(12);
    for i in 0..500 {
        let network = Network::draw(&mut random, Table::Level);
        let heads: Vec<f64> = network
            .heads
            .iter()
            .map(|h| f64::from_bits(h.to_bits() + u64::from(*h != 0.0) * random.below(2) as u64))
            .collect();
        let plane = fit_plane_known_to(&network.places, &heads, 0.0).expect("no line");
        assert_eq!((plane.slope.magnitude(), plane.r_squared), (0.0, None), "{i}: {heads:?}");
    }
    // And no more than that: a thousandth of a millimetre in a kilometre is a slope.
    let places = [(0.0, 0.0), (1000.0, 0.0), (1000.0, 1000.0), (0.0, 1000.0)];
    let places = places.map(|(x, y)| Coord { x, y });
    let plane = fit_plane_known_to(&places, &[100.0, 100.000_001, 100.000_001, 100.0], 1e-9);
    near(plane.expect("no line").slope.east, 1e-9, 1e-13);
}

/// SciPy, by brute force: `tests/data/uncertainty/make_on_axis.py`. Exactly along an axis of the
/// errors, and off it by dust of every size that arithmetic leaves.
#[test]
fn intervals_along_an_axis_are_those_of_brute_force_whatever_dust_lies_across() {
    let cases: Value =
        serde_json::from_str(include_str!("../data/uncertainty/on_axis.json")).expect("it parses");
    for case in cases.as_array().expect("a list") {
        let number = |v: &Value| v.as_f64().expect("a number");
        let [sd, other] = [0, 1].map(|i| number(&case["sds"][i]));
        let [along, across] = [0, 1].map(|i| number(&case["estimate"][i]));
        let c = Covariance { east_east: sd * sd, east_north: 0.0, north_north: other * other };
        for dust in [0.0, 5e-324, 1e-300, 1e-40, 1e-17, 3e-16, 1e-14, 1e-9] {
            for side in [dust, -dust] {
                let off = |v: f64| if v == 0.0 { side } else { v };
                let slope = Slope { east: off(along), north: off(across) };
                let found = GradientError::new(slope, c, &Confidence::known()).expect("errors");
                let (low, high) = (number(&case["low"]), number(&case["high"]));
                // The lattice of the fixture is good for a part in a thousand of the probability.
                near(found.magnitude.low, low, 0.01 * (high - low));
                near(found.magnitude.high, high, 0.01 * (high - low));
            }
        }
    }
}

/// Where the water goes on a site, with a pumped well whose capture zone is worked out from the slope
/// of the plane, which may be none.
const TOWARD: &str = "
[[sources]]
well = \"W0\"
[[receptors]]
well = \"W-last\"
[aquifer]
material = \"medium sand\"
thickness = 5.0
thickness_unit = \"m\"
pumping_rate_unit = \"m3/d\"
[[pumped_wells]]
well = \"W-last\"
rate = 10.0
";

/// Through the program, with everything that it writes and says: no number that is not finite, no
/// direction of what is level.
#[test]
fn maps_of_them_have_no_absurd_number_in_any_file() {
    let mut random = Random::new(13);
    let folder = Folder::new();
    for (i, table) in TABLES.into_iter().cycle().take(4 * TABLES.len()).enumerate() {
        let network = Network::draw(&mut random, table);
        // State plane coordinates of the trial in feet are at home in North Carolina.
        let (crs, corner) = match i % 2 {
            0 => ("EPSG:26915", Coord { x: 478_580.35, y: 4_967_690.17 }),
            _ => ("EPSG:2264", Coord { x: 2_000_060.35, y: 700_060.17 }),
        };
        let unit = random.one_of(&["m", "ft", "ft-us"]);
        let site = format!("{i}");
        let mut text = format!("id,easting,northing,elevation ({unit})\n");
        for (k, (p, h)) in network.places.iter().zip(&network.heads).enumerate() {
            let at = *p - network.places[0] + corner;
            writeln!(text, "W{k},{:.2},{:.2},{h}", at.x, at.y).expect("text");
        }
        let last = network.places.len() - 1;
        let toml = format!("[site]\ncrs = \"{crs}\"\nelevation_unit = \"{unit}\"\n{TOWARD}")
            .replace("W-last", &format!("W{last}"));
        folder.file(&format!("{site}/site.toml"), toml);
        let source = folder.file(&format!("{site}/wells.csv"), text);
        let what = format!("{i} {table:?} {unit} {}", source.display());
        for command in ["draw", "cross-validate", "toward"] {
            let out = folder.path().join(format!("{i}-{command}"));
            let output = headfall(&[command, "--out"], &[&out, &source]);
            let told = [output.stdout, output.stderr].concat();
            let told = String::from_utf8(told).expect("text");
            assert_eq!(output.status.code(), Some(0), "{what}: {told}");
            assert_eq!(absurd_in(&told), Vec::<String>::new(), "{what}: {told}");
            assert_eq!(absurd_numbers(&out), Vec::<String>::new(), "{what}");
        }
        let summary = std::fs::read(folder.path().join(format!("{i}-draw/summary.json")));
        let summary: Value = serde_json::from_slice(&summary.expect("a file")).expect("JSON");
        let plane = &summary["flow"]["plane"];
        for end in ["gradient", "gradient_low", "gradient_high"] {
            assert!(plane[end].is_number(), "{what}: {plane}");
        }
        let level = has_level_plane(table);
        assert_eq!(plane["gradient"].as_f64() == Some(0.0), level, "{what}: {plane}");
        assert_eq!(plane["flow_azimuth_true_deg"].is_null(), level, "{what}: {plane}");
    }
}
