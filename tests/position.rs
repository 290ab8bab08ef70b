//! Errors of positions: what they make of heads, and whether 95 % intervals hold 95 % with them.

use std::fmt::Write as _;

use headfall::check::ControlSet;
use headfall::diag::{Code, Severity};
use headfall::flow::SiteFlow;
use headfall::geo::Coord;
use headfall::geom::{Slope, fit_plane, slope_of_triangle};
use headfall::read::{HeadErrorTable, Overrides};
use headfall::triangulate::Mesh;
use headfall::uncertainty::{
    Confidence, GradientError, HeadSd, direction_interval, plane_error, triangle_covariance,
};
use headfall::units::Azimuth;
use headfall::{LengthUnit, Measurement, Reading, Round, Settings, Site, Well};
use headfall::{check, flow, reduce, triangulate, uncertainty};

use crate::support::{Folder, Random, documented, gives, map, near, of, of_wells, scatter, told};

/// Standard deviation of every reading, m.
const READING_SD: f64 = 0.003;

/// The slope of the water table, m/m.
const SLOPE: f64 = 0.01;

/// Rounds of every row of the table.
const ROUNDS: usize = 4000;

/// A network, the distance to the nearest well in it, and how much its water table bends, as a part of the
/// slope over 200 m.
struct Network {
    name: &'static str,
    wells: Vec<(f64, f64)>,
    bend: f64,
}

fn networks() -> Vec<Network> {
    let nine = || {
        (0..9_i32)
            .map(|k| {
                let (i, j) = (k / 3, k % 3);
                let x = 100 * i + 7 * ((i * 3 + j * 5) % 4);
                let y = 100 * j + 9 * ((i * 2 + j * 3) % 5);
                (f64::from(x), f64::from(y))
            })
            .collect()
    };
    vec![
        Network {
            name: "triangle",
            wells: vec![(0.0, 0.0), (100.0, 0.0), (50.0, 86.602_540_378)],
            bend: 0.0,
        },
        Network {
            name: "thin triangle",
            wells: vec![(0.0, 0.0), (100.0, 0.0), (50.0, 20.0)],
            bend: 0.0,
        },
        Network {
            name: "four wells",
            wells: vec![(0.0, 0.0), (110.0, 15.0), (100.0, 95.0), (-5.0, 120.0)],
            bend: 0.0,
        },
        Network { name: "nine wells", wells: nine(), bend: 0.0 },
        Network { name: "nine wells, curved", wells: nine(), bend: 0.5 },
    ]
}

fn nearest(wells: &[(f64, f64)]) -> f64 {
    let apart = |(i, a): (usize, &(f64, f64))| {
        let others = wells.iter().enumerate().filter(move |(j, _)| *j != i);
        others.map(|(_, b)| (a.0 - b.0).hypot(a.1 - b.1)).fold(f64::INFINITY, f64::min)
    };
    wells.iter().enumerate().map(apart).fold(f64::INFINITY, f64::min)
}

/// The head of the water table at a place: a slope with a flow direction, and a bend along it.
fn head(p: Coord, azimuth: f64, bend: f64) -> f64 {
    let along = p.x * azimuth.sin() + p.y * azimuth.cos() - 75.0;
    50.0 - SLOPE * along - bend * SLOPE / 400.0 * along * along
}

/// One round of a site in memory, by the stages that lead to the intervals.
struct Stages {
    control: ControlSet,
    mesh: Mesh,
    flow: SiteFlow,
    heads: Vec<HeadSd>,
}

fn stages(wells: &[Coord], heads: &[f64], position_sd: f64) -> Option<Stages> {
    let mut settings = Settings::local("Low Field", LengthUnit::Metre, LengthUnit::Metre);
    settings.uncertainty.position_sd = position_sd;
    settings.uncertainty.head_errors = HeadErrorTable {
        reading_sd: Some(READING_SD),
        survey_sd: Some(0.0),
        ..HeadErrorTable::default()
    };
    let name = |i: usize| format!("MW-{i}");
    let readings = heads.iter().enumerate();
    let readings =
        readings.map(|(i, h)| Reading::new(&name(i), Measurement::Elevation(*h))).collect();
    let mut round = Round::new("spring", readings, &settings);
    let errors = settings.uncertainty.head_errors.in_metres(LengthUnit::Metre, LengthUnit::Metre);
    round.head_errors = errors.expect("errors");
    let wells = wells.iter().enumerate().map(|(i, p)| Well::new(&name(i), p.x, p.y)).collect();
    let site = Site::new(settings, wells);
    let reduced = reduce::round(&site, &round).expect("heads").value;
    // Errors of positions may bring wells onto one line.
    let control = check::control(&site, &round, &reduced).ok()?.value;
    let mesh = triangulate::mesh(&control).value;
    let flow = flow::site(&control, &mesh).expect("a flow").value;
    let heads = uncertainty::heads(&site, &round, &control, &mesh, &flow);
    Some(Stages { control, mesh, flow, heads })
}

/// How often something was held.
#[derive(Default)]
struct Held(usize, usize);

impl Held {
    fn count(&mut self, held: bool) {
        self.0 += usize::from(held);
        self.1 += 1;
    }

    fn percent(&self) -> f64 {
        100.0 * self.0 as f64 / self.1 as f64
    }
}

/// Direction and magnitude of planes, directions of triangles.
#[derive(Default)]
struct Counts {
    direction: Held,
    magnitude: Held,
    triangles: Held,
}

fn toward(slope: Slope) -> Azimuth {
    Azimuth::of_vector(-slope.east, -slope.north).expect("it slopes")
}

fn holds(error: &GradientError, truth: Slope) -> [bool; 2] {
    let (size, interval) = (truth.magnitude(), error.magnitude);
    [
        !error.resolved || error.direction.holds(toward(truth)),
        interval.low <= size && size <= interval.high,
    ]
}

/// Wells at known places on a water table that is known, put into the register with errors.
fn count(network: &Network, part: f64, declared: bool) -> Counts {
    let sd = part * nearest(&network.wells);
    let mut random = Random::new(29);
    let mut counts = Counts::default();
    for _ in 0..ROUNDS {
        let azimuth = random.between(0.0, std::f64::consts::TAU);
        let (mut register, mut heads) = (Vec::new(), Vec::new());
        for (x, y) in &network.wells {
            let place = Coord { x: *x, y: *y };
            heads.push(head(place, azimuth, network.bend) + READING_SD * random.normal());
            register.push(Coord { x: x + sd * random.normal(), y: y + sd * random.normal() });
        }
        let given = if declared { sd } else { 0.0 };
        let Some(found) = stages(&register, &heads, given) else { continue };
        let local = found.mesh.local();
        let crs: Vec<Coord> = found.control.points().iter().map(|p| p.crs).collect();
        let truth: Vec<f64> = crs.iter().map(|p| head(*p, azimuth, network.bend)).collect();
        let sds: Vec<f64> = found.heads.iter().map(|h| h.sd_m).collect();
        let plane = plane_error(&found.flow.plane, local, &sds).expect("a plane");
        let true_plane = fit_plane(local, &truth).expect("a plane").slope;
        let [direction, magnitude] = holds(&plane.from_head_errors, true_plane);
        counts.direction.count(direction);
        counts.magnitude.count(magnitude);
        for t in found.mesh.triangles().iter().filter(|t| !t.is_thin()) {
            let corners = t.corners.map(|i| local[i]);
            let slope = |heads: &[f64]| slope_of_triangle(corners, t.corners.map(|i| heads[i]));
            let (Some(found), Some(truth)) = (slope(found.mesh.heads()), slope(&truth)) else {
                continue;
            };
            let covariance = triangle_covariance(corners, t.corners.map(|i| sds[i]));
            let interval =
                direction_interval(found, covariance.expect("an area"), &Confidence::known());
            counts.triangles.count(interval.holds(toward(truth)));
        }
    }
    counts
}

#[test]
fn intervals_hold_the_truth_in_95_of_100_rounds_with_errors_of_positions() {
    let mut rows = Vec::new();
    for network in &networks() {
        for part in [0.05, 0.1, 0.2] {
            let Counts { direction, magnitude, triangles } = count(network, part, true);
            let [direction, magnitude, triangles] =
                [direction, magnitude, triangles].map(|held| held.percent());
            let name = network.name;
            if part <= 0.05 {
                // A count of 4000 has a standard deviation of 0.34. One of three wells is the plane.
                let few = network.wells.len() == 3;
                for held in [direction, magnitude, if few { direction } else { triangles }] {
                    assert!((93.5..97.0).contains(&held), "{name} {part}: {held}");
                }
            }
            rows.push(format!("| {name} | {part} | {direction:.1} | {magnitude:.1} |"));
        }
    }
    let nine = &networks()[3];
    let Counts { direction, magnitude, .. } = count(nine, 0.05, false);
    let [direction, magnitude] = [direction, magnitude].map(|held| held.percent());
    assert!(direction < 80.0 && magnitude < 80.0, "without it: {direction} {magnitude}");
    rows.push(format!("| nine wells, not declared | 0.05 | {direction:.1} | {magnitude:.1} |"));
    documented(&rows);
}

/// U8 on a plane, where the slope is the same everywhere: by hand.
#[test]
fn the_position_is_a_part_of_the_head_s_error() {
    let plane = |x: f64, y: f64| 50.0 - 0.003 * x + 0.004 * y;
    let folder = of_wells(&scatter(), "[uncertainty]\nposition_sd = 2.5\n", plane);
    folder.change("wells.csv", |t| {
        let rows = t.lines().enumerate().map(|(i, row)| match i {
            0 => format!("{row},GPS accuracy (ft)\n"),
            1 => format!("{row},10\n"),
            2 => format!("{row},0\n"),
            _ => format!("{row},\n"),
        });
        rows.collect()
    });
    let (map, findings) = map(folder.path(), &Overrides::default());
    let map = map.expect("a map");
    let mut seen = 0;
    for (point, sd) in map.control.points().iter().zip(&map.uncertainty.heads) {
        let own = match point.id.as_str() {
            "W-0" => 10.0 * 0.3048,
            "W-1" => 0.0,
            _ => 2.5,
        };
        near(sd.position_m, 0.005 * own, 1e-9);
        // Read as an elevation: the reading's 0.01 ft and the survey's 0.010 m besides.
        let all = (0.003_048_f64.powi(2) + 0.01_f64.powi(2) + (0.005 * own).powi(2)).sqrt();
        near(sd.sd_m, all, 1e-9);
        seen += 1;
    }
    assert_eq!(seen, 25);
    assert!(of(Code::PositionsRough, &findings).is_empty(), "{findings:#?}");
    let without = of_wells(&scatter(), "", plane);
    let (old, _) = crate::support::map(without.path(), &Overrides::default());
    let old = old.expect("a map");
    assert!(old.uncertainty.heads.iter().all(|h| h.position_m == 0.0));
    let width = |map: &headfall::Map| {
        map.uncertainty.plane.as_ref().expect("a plane").from_head_errors.direction.width_deg()
    };
    assert!(width(&map) > 1.3 * width(&old), "{} {}", width(&map), width(&old));
    let spread =
        |map: &headfall::Map| map.uncertainty.spreads.iter().map(|s| s.sd_deg).fold(0.0, f64::max);
    assert!(spread(&map) > spread(&old), "realizations have it too");
}

#[test]
fn the_unit_is_that_of_the_heading_or_of_the_site_s_lengths() {
    // A CRS in US survey feet: 2.5 of its units are 0.762 m.
    let wells: Vec<Coord> = scatter().into_iter().map(|(x, y)| Coord { x, y }).collect();
    let heads: Vec<f64> = wells.iter().map(|p| 50.0 - 0.01 * p.x).collect();
    let found = stages(&wells, &heads, 2.0).expect("a map");
    for sd in &found.heads {
        near(sd.position_m, 0.02, 1e-9);
    }
    let folder = |heading: &str, more: &str| {
        let settings = format!(
            "[site]\nname = \"Low Ings (invented)\"\ncrs = \"EPSG:2236\"\nlength_unit = \
             \"ft-us\"\nelevation_unit = \"ft-us\"\nvertical_datum = \"NAVD 88\"\n{more}"
        );
        let (mut register, mut round) =
            (format!("id,easting,northing,{heading}\n"), "id,date,elevation\n".to_owned());
        for (i, (x, y)) in scatter().into_iter().enumerate() {
            let _ = writeln!(register, "W-{i},{},{},3", 800_000.0 + x, 500_000.0 + y);
            let _ = writeln!(round, "W-{i},2026-05-04,{}", 50.0 - 0.01 * x);
        }
        Folder::new()
            .with("site.toml", settings)
            .with("wells.csv", register)
            .with("rounds/spring.csv", round)
    };
    let us_foot = 1200.0 / 3937.0;
    for (heading, metres) in [
        ("position sd", 3.0 * us_foot),
        ("horizontal accuracy (m)", 3.0),
        ("XY accuracy ft", 3.0 * 0.3048),
    ] {
        let (map, findings) = map(folder(heading, "").path(), &Overrides::default());
        let map = map.unwrap_or_else(|e| panic!("{heading}: {e} {findings:#?}"));
        for sd in &map.uncertainty.heads {
            near(sd.position_m, 0.01 * metres, 2e-6);
        }
    }
}

#[test]
fn errors_of_positions_that_are_no_small_part_of_the_spacing_are_told() {
    let plane = |x: f64, _: f64| 50.0 - 0.005 * x;
    let wells = scatter();
    let part = |declared: f64| {
        let folder = of_wells(&wells, &format!("[uncertainty]\nposition_sd = {declared}\n"), plane);
        map(folder.path(), &Overrides::default()).1
    };
    let nearest = nearest(&wells);
    assert!(of(Code::PositionsRough, &part(0.099 * nearest)).is_empty());
    let findings = part(0.101 * nearest);
    let found = told(&findings, Code::PositionsRough).once();
    assert_eq!(found.severity, Severity::Warning);
    assert!(found.wells.len() >= 2 && found.wells.len() < 25, "{found:?}");
    gives(found, &["0.1"]);
    let all = part(nearest);
    let found = told(&all, Code::PositionsRough).once();
    assert_eq!(found.wells.len() + found.more_wells, 25, "{found:?}");
}

#[test]
fn standard_deviations_below_0_are_unknown_or_refused() {
    let plane = |x: f64, _: f64| 50.0 - 0.005 * x;
    let folder = of_wells(&scatter(), "[uncertainty]\nposition_sd = 1.0\n", plane);
    folder.change("wells.csv", |t| {
        let cell = |i: usize| if i == 0 { "position_sd" } else { "-1" };
        let rows: Vec<String> =
            t.lines().enumerate().map(|(i, row)| format!("{row},{}", cell(i))).collect();
        rows.join("\n") + "\n"
    });
    let (map, findings) = map(folder.path(), &Overrides::default());
    told(&findings, Code::RegisterContradicts).about("W-3").once();
    let map = map.expect("a map");
    assert!(map.uncertainty.heads.iter().all(|h| (h.position_m - 0.005).abs() < 1e-9));
    let folder = of_wells(&scatter(), "[uncertainty]\nposition_sd = -1.0\n", plane);
    let (map, findings) = crate::support::map(folder.path(), &Overrides::default());
    assert!(map.is_err());
    gives(told(&findings, Code::SiteSetting).once(), &["position_sd"]);
}
