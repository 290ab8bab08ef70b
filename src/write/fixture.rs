//! A site made by hand for the tests: wells on a square lattice, heads on a plane.

use std::sync::Arc;

use geo::Coord;
use jiff::civil::datetime;

use crate::check::{Carrier, ControlPoint, ControlSet, LeaveOneOut, Place};
use crate::contour::{ContourLine, Contours};
use crate::diag::{Code, Diagnostic, Origin};
use crate::flow::{SiteFlow, TriangleFlow, VectorMean};
use crate::geom::{Crs, Frame, doubled_area, fit_plane, slope_of_triangle};
use crate::interpolate::{Grid, GridSpec, Surface};
use crate::map::{Map, Surfaced};
use crate::read::{
    InputFile, Measurement, Method, Moment, Reading, Round, Settings, Site, Status, Well, WellKind,
};
use crate::reduce::{Fate, ReadingAccount};
use crate::report::Results;
use crate::triangulate::{Mark, Mesh, Triangle};
use crate::uncertainty;
use crate::units::{Azimuth, LengthUnit};

/// Head at the origin, ft.
pub(super) const HEAD: f64 = 900.0;

/// Rise of the head towards the east, ft in m: a gradient of 0.003048, flow due west.
pub(super) const RISE: f64 = 0.01;

#[derive(Debug)]
pub(super) struct Fixture {
    pub(super) map: Map,
    pub(super) findings: Vec<Diagnostic>,
}

impl Fixture {
    pub(super) fn results(&self) -> Results<'_> {
        Results::of(&self.map, &self.findings)
    }
}

/// `n` by `n` wells `spacing` m apart whose south-western one stands at `origin`, and one more in
/// their middle that was pumped. The CRS is one in metres.
#[expect(clippy::too_many_lines, reason = "a site says everything by hand")]
pub(super) fn lattice(
    definition: &str,
    origin: Coord,
    spacing: f64,
    n: usize,
    cells: usize,
) -> Fixture {
    let crs = Crs::lookup(definition).expect("PROJ knows it");
    let at = |k: usize| Coord {
        x: origin.x + (k % n) as f64 * spacing,
        y: origin.y + (k / n) as f64 * spacing,
    };
    let head = |p: Coord| HEAD + RISE * (p.x - origin.x);
    let count = n * n;
    let middle = Coord { x: origin.x + spacing / 2.0, y: origin.y + spacing / 2.0 };

    let mut wells: Vec<Well> = (0..count).map(|k| well(&format!("W-{k}"), at(k), k)).collect();
    "=W".clone_into(&mut wells[0].id);
    wells[1].kind = WellKind::Gauge;
    wells.push(well("P-1", middle, count));
    let readings: Vec<Reading> = wells.iter().enumerate().map(|(k, w)| reading(w, k)).collect();
    let accounts: Vec<ReadingAccount> =
        (0..wells.len()).map(|k| account(k, (k < count).then(|| head(at(k))))).collect();

    let positions: Vec<Coord> = (0..count).map(at).collect();
    let mut lon_lat = positions.clone();
    crs.to_lon_lat(&mut lon_lat).expect("on the earth");
    let frame = Frame::new(origin, 1.0);
    let points: Vec<ControlPoint> = (0..count)
        .map(|k| ControlPoint {
            id: wells[k].id.clone(),
            carrier: Carrier::Read { well: k, kind: wells[k].kind },
            crs: positions[k],
            local: frame.to_local(positions[k]),
            lon_lat: Some(lon_lat[k]),
            head: head(positions[k]),
            depth: Some(10.0),
            measuring_point: Some(head(positions[k]) + 10.0),
            product_thickness: None,
            moment: readings[k].moment,
            from_doubtful: false,
            leave_one_out: Some(LeaveOneOut {
                predicted: HEAD,
                residual: 0.5,
                score: 1.234_5,
                bound: 3.5,
                off: false,
            }),
            beside_pumping: None,
        })
        .collect();
    let factors = crs.factors(&[origin]).expect("on the earth")[0];
    let local: Vec<Coord> = points.iter().map(|p| p.local).collect();
    let heads: Vec<f64> = points.iter().map(|p| p.head).collect();

    let mut triangles = Vec::new();
    for row in 0..n - 1 {
        for column in 0..n - 1 {
            let k = row * n + column;
            for corners in [[k, k + 1, k + n + 1], [k, k + n + 1, k + n]] {
                triangles.push(Triangle {
                    corners,
                    area_m2: doubled_area(corners.map(|c| local[c])) / 2.0,
                    base_to_height: 2.0,
                    marks: if k == 0 { vec![Mark::Sliver, Mark::LongHullEdge] } else { Vec::new() },
                });
            }
        }
    }
    let flow = site_flow(&triangles, &positions, &local, &heads, factors.convergence_deg);
    let side = (n - 1) as f64 * spacing;
    let cell = side / cells as f64;
    let spec =
        GridSpec { west: origin.x, south: origin.y, cell, columns: cells + 1, rows: cells + 1 };
    let mut nodes: Vec<f64> = (0..spec.rows * spec.columns)
        .map(|k| head(spec.node(k / spec.columns, k % spec.columns)))
        .collect();
    // No support in the south-western corner.
    nodes[0] = f64::NAN;
    let from_to = readings[0].moment.zip(readings[count - 1].moment);
    let given: Vec<Coord> = wells.iter().map(|w| Coord { x: w.easting, y: w.northing }).collect();
    let mut lon_lat = given.clone();
    crs.to_lon_lat(&mut lon_lat).expect("wells inside the CRS");
    let stands = given
        .into_iter()
        .zip(lon_lat)
        .map(|(crs, at)| Some(Place { crs, lon_lat: Some(at) }))
        .collect();
    let control = ControlSet::for_tests(
        points,
        accounts,
        crs,
        frame,
        factors,
        stands,
        LengthUnit::Foot,
        Some("upper sand".to_owned()),
        from_to,
    );
    let site = site(definition, wells);
    let round = Round::new("spring", readings, &site.settings);
    let mesh = Mesh::for_tests(local, heads, triangles, vec![0, n - 1, count - 1, count - n]);
    let mut contours = contours(origin, side);
    let mut surface = Surface::of_nodes(Grid::new(spec, nodes), Method::default());
    "linear".clone_into(&mut surface.words);
    let sds = uncertainty::heads(&site, &round, &control, &mesh, &flow);
    let uncertainty =
        uncertainty::site(&site.settings, &control, &mesh, &flow, &mut contours, &surface, sds)
            .value;
    let surfaced = Surfaced {
        site: Arc::new(site),
        round: Arc::new(round),
        control,
        mesh,
        flow,
        surface,
        across: None,
    };
    Fixture {
        map: Map { surfaced: Arc::new(surfaced), contours, uncertainty },
        findings: vec![
            Diagnostic::new(Code::NoStaticLevel, "well P-1 was pumped")
                .well("P-1")
                .at(&Origin::line("rounds/spring.csv", 7).column("status"))
                .advice("read it again at rest"),
            Diagnostic::new(Code::FlatTriangle, "triangle 1 is flat"),
        ],
    }
}

/// A straight open line and a closed one, whatever the heads.
fn contours(origin: Coord, side: f64) -> Contours {
    let at =
        |east: f64, north: f64| Coord { x: origin.x + east * side, y: origin.y + north * side };
    let levels = [0.25, 0.5].map(|share| HEAD + RISE * share * side);
    Contours {
        interval: Some(levels[1] - levels[0]),
        levels: levels.to_vec(),
        range: Some((HEAD, HEAD + RISE * side)),
        lines: vec![
            ContourLine { level: levels[0], points: vec![at(0.25, 0.0), at(0.25, 1.0)] },
            ContourLine {
                level: levels[1],
                points: vec![at(0.1, 0.1), at(0.9, 0.1), at(0.5, 0.9), at(0.1, 0.1)],
            },
        ],
    }
}

fn well(id: &str, p: Coord, k: usize) -> Well {
    Well {
        aquifer_unit: Some("upper sand".to_owned()),
        origin: Origin::line("wells.csv", k as u64 + 2),
        ..Well::new(id, p.x, p.y)
    }
}

fn reading(well: &Well, k: usize) -> Reading {
    let minute = i8::try_from(k % 60).expect("below 60");
    Reading {
        well: well.id.clone(),
        moment: Some(Moment::Time(datetime(2026, 4, 14, 9, minute, 0, 0))),
        number: None,
        measurement: match k % 4 {
            0 => Measurement::Depth(9.98),
            1 => Measurement::HoldAndCut { hold: 12.5, cut: 2.52 },
            2 => Measurement::Product {
                to_product: 9.0,
                to_water: 10.0,
                specific_gravity: Some(0.8),
            },
            _ => Measurement::Stage(-0.25),
        },
        written_elevation: None,
        written_thickness: None,
        written_decimals: None,
        dry_to: None,
        status: if well.id == "P-1" { Status::Pumping } else { Status::Static },
        instrument: Some("tape-2".to_owned()),
        remark: (k == 0).then(|| "@cap, \"loose\"".to_owned()),
        origin: Origin::line("rounds/spring.csv", k as u64 + 2),
    }
}

fn account(k: usize, head: Option<f64>) -> ReadingAccount {
    ReadingAccount {
        measuring_point: head.map(|h| h + 10.0),
        corrected_depth: Some(10.0),
        head,
        behind: head.is_some(),
        fate: match head {
            Some(_) => Fate::Used,
            None => Fate::NotUsed {
                code: Some(Code::NoStaticLevel),
                reason: "pumping: not a static level".to_owned(),
            },
        },
        ..ReadingAccount::blank(k, k)
    }
}

fn site(crs: &str, wells: Vec<Well>) -> Site {
    let settings = Settings {
        vertical_datum: Some("NAVD 88".to_owned()),
        aquifer_unit: Some("upper sand".to_owned()),
        ..Settings::new("Test Meadow (invented)", crs, LengthUnit::Foot)
    };
    let inputs = vec![InputFile { file: "wells.csv".to_owned(), sha256: "0".repeat(64) }];
    Site { inputs, ..Site::new(settings, wells) }
}

/// The first triangle is made flat, whatever its heads.
fn site_flow(
    triangles: &[Triangle],
    positions: &[Coord],
    local: &[Coord],
    heads: &[f64],
    convergence_deg: f64,
) -> SiteFlow {
    let metres: Vec<f64> = heads.iter().map(|h| h * 0.3048).collect();
    let flows = triangles
        .iter()
        .enumerate()
        .map(|(i, t)| {
            let [a, b, c] = t.corners.map(|k| positions[k]);
            let flat = if i == 0 { 0.0 } else { 1.0 };
            let slope =
                slope_of_triangle(t.corners.map(|k| local[k]), t.corners.map(|k| flat * metres[k]))
                    .expect("it has an area");
            let azimuth_grid = Azimuth::of_vector(-slope.east, -slope.north);
            TriangleFlow {
                slope: Some(slope),
                gradient: Some(slope.magnitude()),
                azimuth_grid,
                azimuth_true: azimuth_grid.map(|a| a.turned(convergence_deg)),
                convergence_deg: Some(convergence_deg),
                centroid: (a + b + c) / 3.0,
            }
        })
        .collect();
    let plane = fit_plane(local, &metres).expect("not on one line");
    let west = Azimuth::of_vector(-plane.slope.east, -plane.slope.north);
    SiteFlow {
        triangles: flows,
        plane_gradient: plane.slope.magnitude(),
        plane_azimuth_grid: west,
        plane_azimuth_true: west.map(|a| a.turned(convergence_deg)),
        mean: VectorMean {
            gradient: plane.slope.magnitude(),
            azimuth_grid: west,
            azimuth_true: west.map(|a| a.turned(convergence_deg)),
            agreement: 1.0,
        },
        over_map: None,
        plane,
    }
}
