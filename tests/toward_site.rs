//! `headfall toward` on whole sites: what becomes of the water, and the files that say so.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::sync::Arc;

use geo::{Coord, Geometry, LineString, Point, Rect};
use headfall::Error;
use headfall::diag::{Code, Diagnostic, Origin};
use headfall::read::{Overrides, Place};
use headfall::report::Results;
use headfall::report::TowardSummary;
use headfall::run::{self, Map};
use headfall::toward::{End, Outcome, Sense, Toward, Way};
use headfall::write;
use serde_json::Value;

use crate::support::{EAST, Folder, NORTH, contents, gives, map, near, of, of_wells, scatter};

pub(crate) const AQUIFER: &str = "[aquifer]\nconductivity = [5, 20]\nconductivity_unit = \"m/d\"\n\
                       effective_porosity = [0.2, 0.3]\n";

/// A site of wells 100 m apart over 500 m by 400 m, whose heads follow `head(x, y)`.
pub(crate) fn site(more: &str, head: impl Fn(f64, f64) -> f64) -> Folder {
    let wells: Vec<(f64, f64)> =
        (0..30).map(|k| (100.0 * f64::from(k % 6), 100.0 * f64::from(k / 6))).collect();
    of_wells(&wells, more, head)
}

pub(crate) fn c(x: f64, y: f64) -> Coord {
    Coord { x: EAST + x, y: NORTH + y }
}

pub(crate) fn place(name: &str, geometry: impl Into<Geometry>) -> Place {
    let (name, geometry) = (name.to_owned(), geometry.into());
    Place { name, geometry, aquifer_unit: None, origin: Origin::file("site.toml") }
}

pub(crate) fn line(points: &[(f64, f64)]) -> LineString {
    LineString(points.iter().map(|(x, y)| c(*x, *y)).collect())
}

/// The map of a site with sources and receptors, and where its water goes.
pub(crate) fn followed(
    folder: &Folder,
    sources: Vec<Place>,
    receptors: Vec<Place>,
) -> (Map, Result<Toward, Error>, Vec<Diagnostic>) {
    let (map, mut findings) = map(folder.path(), &Overrides::default());
    let mut map = map.unwrap_or_else(|e| panic!("{e} {findings:#?}"));
    let features = &mut Arc::make_mut(&mut map.site).features;
    features.sources = sources;
    features.receptors = receptors;
    let toward = run::follow(&map, &mut findings);
    (map, toward, findings)
}

/// Water to the east at 0.005: the plane of most of these tests.
pub(crate) fn plane(x: f64, _: f64) -> f64 {
    50.0 - 0.005 * x
}

pub(crate) fn tank() -> Place {
    place("tank", Point(c(100.0, 210.0)))
}

#[test]
fn the_water_of_a_plane_reaches_what_lies_downgradient_in_the_time_of_darcys_law() {
    let folder = site(AQUIFER, plane);
    let receptors = vec![
        place("creek", line(&[(350.0, 0.0), (350.0, 400.0)])),
        place("school", Rect::new(c(200.0, 240.0), c(260.0, 300.0))),
        place("supply", Point(c(450.0, 214.0))),
        place("uphill", line(&[(50.0, 0.0), (50.0, 400.0)])),
    ];
    let (map, toward, findings) = followed(&folder, vec![tank()], receptors);
    let toward = toward.expect("an answer");
    let [creek, school, supply, uphill] = &toward.verdicts[..] else { panic!("four verdicts") };
    assert_eq!(creek.outcome, Outcome::Reaches);
    near(creek.length_m, 250.0 * scale(&map), 1e-3);
    near(creek.gradient.expect("it falls").value, 0.005 / scale(&map), 1e-9);
    // v = K i / n from 5 x 0.005 / 0.3 to 20 x 0.005 / 0.2; 250 m take 500 to 3000 days. The
    // errors of the heads, some 2 % of the fall, make both ranges wider.
    let v = creek.velocity_m_per_day.expect("a velocity");
    let (slow, fast) = (v.low / (5.0 * 0.005 / 0.3), v.high / 0.5);
    assert!(slow > 0.97 && slow < 0.999 && fast > 1.001 && fast < 1.03, "{slow} {fast}");
    let days = creek.days.expect("days");
    // Over the realizations some water is there a little earlier, and some a little later.
    assert!(days.low * fast < 501.0 && days.low * fast > 450.0, "{days:?}");
    assert!(days.high * slow > 2995.0 && days.high * slow < 3300.0, "{days:?}");
    near(creek.bearing_grid.expect("a bearing").degrees(), 90.0, 1e-6);
    assert_eq!(creek.bearing_agrees, Some(true));
    assert_eq!((creek.upgradient.0 > 10, creek.upgradient.1 > 0), (true, true));
    let probability = creek.probability().expect("rounds were drawn");
    assert_eq!((probability.count, probability.of), (1000, 1000));
    // The school lies 30 m to the side.
    assert_eq!(school.outcome, Outcome::Passes);
    near(school.meeting.expect("it passes").nearest.distance_m, 30.0 * scale(&map), 1e-3);
    assert!(school.days.is_none());
    // The well is 4 m from the path; a tenth of 100 m will do.
    assert_eq!(supply.outcome, Outcome::Reaches);
    near(toward.capture_m, 10.0 * scale(&map), 0.01);
    // Nothing flows uphill: the path is nearest where it begins.
    assert_eq!((uphill.outcome, uphill.upgradient.1), (Outcome::FlowsAway, 0));
    assert_eq!(uphill.probability().expect("rounds were drawn").count, 0);
    let path = toward.paths.iter().find(|p| p.path.way == Way::Down).expect("a path");
    assert!(matches!(path.path.end, End::LeavesMap { .. }));
    assert!(toward.on_triangles && of(Code::OffTheMap, &findings).is_empty());
}

/// Ground metres in a CRS metre of a map whose scale matters not: 1.
fn scale(map: &Map) -> f64 {
    map.control.frame().metres_per_unit()
}

/// A line that ends on the path is reached in half of the rounds, within four standard errors of
/// a thousand.
#[test]
fn a_receptor_that_ends_on_the_path_is_reached_by_half_of_the_rounds() {
    let folder = site(AQUIFER, plane);
    let north = place("north", line(&[(350.0, 210.0), (350.0, 400.0)]));
    let (_, toward, _) = followed(&folder, vec![tank()], vec![north]);
    let share = toward.expect("an answer").verdicts[0].probability().expect("rounds were drawn");
    assert!((share.share - 0.5).abs() < 0.065, "{share:?}");
    assert!(share.low < share.share && share.share < share.high);
}

/// On a smooth surface the same questions are answered over the grid.
#[test]
fn on_a_smooth_surface_paths_are_followed_over_the_grid() {
    let folder = site(&format!("{AQUIFER}[grid]\nsurface = \"thin-plate\"\n"), plane);
    let creek = place("creek", line(&[(350.0, 0.0), (350.0, 400.0)]));
    let (_, toward, _) = followed(&folder, vec![tank()], vec![creek]);
    let toward = toward.expect("an answer");
    assert!(!toward.on_triangles);
    near(toward.verdicts[0].length_m, 250.0, 0.05);
    // As long as on triangles but for the interval of the gradient.
    let gradient = toward.verdicts[0].gradient.expect("it falls");
    let fastest = gradient.interval.expect("between wells").high / gradient.value;
    let low = toward.verdicts[0].days.expect("days").low * fastest;
    assert!(low < 501.0 && low > 450.0, "{low}");
}

/// Heads `50 - 0.004 x + 1e-5 ((x - 100)^2 + (y - 200)^2)` fall at (150, 210) by 0.003 to the east and by 0.0002 to the
/// south: 93.81 degrees from north. The triangle around that place is a chord of the curve, and well off it.
#[test]
fn on_a_smooth_surface_the_flow_at_a_source_is_the_slope_of_the_surface() {
    let head =
        |x: f64, y: f64| 50.0 - 0.004 * x + 1e-5 * ((x - 100.0).powi(2) + (y - 200.0).powi(2));
    let (east, north) = (0.003, -0.0002);
    let (azimuth, gradient) = (f64::atan2(east, north).to_degrees(), f64::hypot(east, north));
    let off = |found: f64| (found - azimuth + 180.0).rem_euclid(360.0) - 180.0;
    for surface in ["linear", "thin-plate", "kriging", "smooth-natural-neighbour"] {
        let more = format!("{AQUIFER}[grid]\nsurface = \"{surface}\"\ncell = 5\n");
        let folder = of_wells(&scatter(), &more, head);
        let creek = place("creek", line(&[(350.0, 0.0), (350.0, 400.0)]));
        let source = place("tank", Point(c(150.0, 210.0)));
        let (map, toward, _) = followed(&folder, vec![source], vec![creek]);
        let flow = toward.expect("an answer").places[0].flow.expect("a flow");
        let plane = &map.flow.triangles[flow.triangle];
        let of_plane = off(plane.azimuth_grid.expect("it slopes").degrees());
        assert!(of_plane.abs() > 6.0, "{surface}: the triangle would do, {of_plane}");
        let found = flow.azimuth_grid.expect("it slopes");
        if surface == "linear" {
            near(off(found.degrees()), of_plane, 1e-9);
            continue;
        }
        assert!(off(found.degrees()).abs() < 3.0, "{surface}: {found:?}");
        near(flow.gradient, gradient, 0.1 * gradient);
        assert!(flow.direction.expect("an interval").holds(found), "{surface}");
    }
}

/// From one well to another the fall is the difference of two heads: its variance is the sum of
/// theirs, and 95 % of a normal distribution lie within 1.960 standard deviations (any table).
#[test]
fn the_errors_of_the_heads_widen_velocities_and_times() {
    let folder = site(AQUIFER, plane);
    let from = || vec![place("tank", Point(c(100.0, 200.0)))];
    let creek = || vec![place("creek", line(&[(300.0, 0.0), (300.0, 400.0)]))];
    let (map, toward, findings) = followed(&folder, from(), creek());
    let toward = toward.expect("an answer");
    let sd = |x: f64| {
        let at = |p: &headfall::check::ControlPoint| p.crs == c(x, 200.0);
        let i = map.control.points().iter().position(at).expect("a well");
        map.uncertainty.heads[i].sd_m
    };
    let half = 1.960 * (sd(100.0).powi(2) + sd(300.0).powi(2)).sqrt();
    let length = 200.0 * scale(&map);
    let (low, high) = ((1.0 - half) / length, (1.0 + half) / length);
    let verdict = &toward.verdicts[0];
    let interval = verdict.gradient.and_then(|g| g.interval).expect("an interval");
    near(interval.low, low, 1e-7);
    near(interval.high, high, 1e-7);
    let v = verdict.velocity_m_per_day.expect("a velocity");
    near(v.low, 5.0 * low / 0.3, 1e-5);
    near(v.high, 20.0 * high / 0.2, 1e-5);
    let days = verdict.days.expect("days");
    // Over the realizations some water is there earlier and some later.
    assert!(days.low <= length / v.high + 0.01 && days.low > 0.9 * length / v.high, "{days:?}");
    assert!(days.high >= length / v.low - 0.1 && days.high < 1.1 * length / v.low, "{days:?}");
    // Every path of the answer says so, those that leave the map too.
    assert!(toward.paths.iter().all(|p| p.gradient.is_none_or(|g| g.interval.is_some())));
    assert!(of(Code::DirectionOpen, &findings).is_empty());
    // Where the fall is within the errors, the slowest water stands still and no time has an end.
    let folder = site(AQUIFER, |x, _| 50.0 - 1e-5 * x);
    let (map, toward, findings) = followed(&folder, from(), creek());
    let toward = toward.expect("an answer");
    let verdict = &toward.verdicts[0];
    assert_eq!(verdict.outcome, Outcome::Reaches);
    assert_eq!(verdict.velocity_m_per_day.map(|v| v.low), Some(0.0));
    assert!(verdict.unresolved && verdict.days.is_none(), "no time where the direction is open");
    let results = Results { toward: Some(&toward), ..Results::of(&map, &findings) };
    let row = &TowardSummary::of(&results).expect("an answer").verdicts[0];
    assert_eq!((row.outcome, row.outcome_on_map), ("not resolved", "reaches"));
    assert_eq!(row.gradient_low, Some(0.0));
}

/// A creek that is the outline of the map: the map knows it by its control points, every 91 m, and
/// cuts its bend off. Paths end on that chord, and have reached the creek.
#[test]
fn a_creek_on_the_outline_is_reached_where_the_map_has_it() {
    let bend = [(540.0, -20.0), (600.0, 200.0), (540.0, 420.0)];
    let wkt: Vec<String> =
        bend.iter().map(|(x, y)| format!("{} {}", EAST + x, NORTH + y)).collect();
    let more = format!(
        "{AQUIFER}[features]\nstreams = {{ file = \"creek.csv\", crs = \"EPSG:26915\", stage = \
         47.0 }}\nreceptors = {{ file = \"creek.csv\", crs = \"EPSG:26915\" }}\n[[sources]]\nname \
         = \"tank\"\neasting = 500100\nnorthing = 4980190\n"
    );
    let folder = site(&more, plane);
    folder.file("creek.csv", format!("name,WKT\nCreek,\"LINESTRING ({})\"\n", wkt.join(",")));
    let (map, mut findings) = map(folder.path(), &Overrides::default());
    let map = map.unwrap_or_else(|e| panic!("{e} {findings:#?}"));
    let toward = run::follow(&map, &mut findings).expect("an answer");
    let verdict = &toward.verdicts[0];
    assert_eq!(verdict.outcome, Outcome::Reaches, "{verdict:?}");
    let at = verdict.meeting.expect("it reaches").nearest.at;
    let short = map.control.frame().to_crs(at).x - EAST;
    assert!((570.0..599.0).contains(&short), "short of the digitised bend: {short}");
    assert!(verdict.probability().expect("rounds were drawn").share > 0.99);
    // Its pairs of levels are those of the creek alone, with its stage.
    assert_eq!(toward.lines.len(), 1);
    assert!(toward.lines[0].staged);
}

#[test]
fn a_low_stops_the_water_and_is_named() {
    let head = |x: f64, y: f64| 50.0 + 0.01 * libm::hypot(x - 300.0, y - 200.0);
    let folder = site(AQUIFER, head);
    let creek = place("creek", line(&[(450.0, 0.0), (450.0, 400.0)]));
    let (map, toward, _) = followed(&folder, vec![tank()], vec![creek]);
    let toward = toward.expect("an answer");
    assert_eq!(toward.verdicts[0].outcome, Outcome::Low);
    let path = &toward.paths[toward.verdicts[0].path.expect("a path")].path;
    let End::Low { well: Some(well) } = path.end else { panic!("{:?}", path.end) };
    assert_eq!(map.control.points()[well].id, "W-15");
}

#[test]
fn along_a_creek_the_pairs_say_where_it_gains_and_where_it_loses() {
    // A trough along y = 200 whose southern side falls away from it beyond x = 250.
    let head = |x: f64, y: f64| {
        let aside = y - 200.0;
        50.0 + if aside > 0.0 || x < 250.0 { 0.01 * aside.abs() } else { 0.01 * aside }
    };
    let folder = site("", head);
    let creek = place("creek", line(&[(10.0, 200.0), (490.0, 200.0)]));
    let (_, toward, findings) = followed(&folder, Vec::new(), vec![creek]);
    let toward = toward.expect("an answer");
    let left: Vec<_> = toward.lines[0].reaches.iter().filter(|r| r.side.word() == "left").collect();
    assert_eq!(left.len(), 1, "{left:?}");
    assert_eq!(left[0].sense, Sense::Toward);
    near(left[0].mean.value, 0.25, 0.01);
    let right: Vec<_> =
        toward.lines[0].reaches.iter().filter(|r| r.side.word() == "right").collect();
    assert_eq!(right.first().map(|r| r.sense), Some(Sense::Toward));
    assert_eq!(right.last().map(|r| r.sense), Some(Sense::Away));
    assert!(right.iter().any(|r| r.to_m > 150.0 && r.from_m < 300.0));
    assert!(of(Code::NoVelocity, &findings).is_empty(), "no source, no velocities to miss");
}

#[test]
fn findings_say_what_is_missing_or_doubtful() {
    let folder = site("", plane);
    let far = place("far", Point(c(900.0, 900.0)));
    let (_, toward, findings) = followed(&folder, vec![tank(), far], vec![]);
    toward.expect("an answer");
    assert_eq!(of(Code::NoVelocity, &findings).len(), 1, "T504");
    let told = of(Code::OffTheMap, &findings);
    assert_eq!(told.len(), 1, "T502");
    gives(told[0], &["far"]);
    // A gradient of a hundredth of a millimetre in a metre is within the errors.
    let folder = site("[aquifer]\nmaterial = \"medium sand\"\n", |x, _| 50.0 - 1e-5 * x);
    let (_, toward, findings) = followed(&folder, vec![tank()], vec![]);
    assert_eq!(of(Code::DirectionOpen, &findings).len(), 1, "T503");
    // Heads that go up and down by 0.3 m from well to well, read to some millimetres: every triangle
    // has a direction, and between the wells the water may flow any way.
    let rough =
        site("", |x, y| 50.0 - 1e-4 * x + 0.3 * (x * x * 0.0137 + y * 1.73 + x * 0.61).sin());
    let (map, _, told) = followed(&rough, vec![tank()], vec![]);
    let readings: Vec<_> = map.uncertainty.triangles.iter().flatten().collect();
    assert!(readings.iter().filter(|e| e.resolved).count() > readings.len() / 2);
    let told = of(Code::DirectionOpen, &told);
    assert_eq!(told.len(), 1, "T503");
    let told = of(Code::PublishedRange, &findings);
    gives(told[0], &["Domenico and Schwartz (1990)"]);
    // Check 10.4 (from memory): medium sand 9e-7 to 5e-4 m/s.
    let conductor = toward.expect("an answer").conductor.expect("a published range");
    near(conductor.conductivity_m_per_day.low, 9e-7 * 86_400.0, 1e-9);
    near(conductor.conductivity_m_per_day.high, 43.2, 1e-9);
}

#[test]
fn a_site_without_anything_to_follow_is_refused() {
    let folder = site("", plane);
    let (_, toward, _) = followed(&folder, vec![], vec![]);
    let error = toward.expect_err("T501");
    assert_eq!(of(Code::NothingToFollow, error.diagnostics()).len(), 1);
}

/// Heads of check 5.7 (T 200 m²/d, Q 500 m³/d, i 0.002) in rings about the well: the mapped zone
/// beside the closed form of EPA 600/R-08/003.
#[test]
fn a_pumped_well_captures_about_what_the_closed_form_says() {
    let mut wells = vec![(0.0, 0.0)];
    for ring in 0..11 {
        let radius = 25.0 * 1.45_f64.powi(ring);
        for spoke in 0..18 {
            let turn = (f64::from(spoke) + 0.5 * f64::from(ring % 2)) / 18.0;
            let (sin, cos) = (turn * std::f64::consts::TAU).sin_cos();
            wells.push((radius * sin, radius * cos));
        }
    }
    let head = |x: f64, y: f64| {
        let r2 = (x * x + y * y).max(1.0);
        50.0 - 0.002 * x + 500.0 / (4.0 * std::f64::consts::PI * 200.0) * (r2 / 1e6).ln()
    };
    let more = "[[pumped_wells]]\nwell = \"W-0\"\nrate = 500\n[aquifer]\ntransmissivity = [150, \
                250]\ntransmissivity_unit = \"m2/d\"\nregional_gradient = [0.0019, \
                0.0021]\npumping_rate_unit = \"m3/d\"\n[grid]\ncell \
                = 20\n";
    let folder = of_wells(&wells, more, head);
    let (_, toward, findings) = followed(&folder, vec![], vec![]);
    let toward = toward.expect("an answer");
    let zone = &toward.pumped[0];
    // Planes do not know the flow without the well: it is declared.
    let closed = zone.closed_form.expect("T, Q and i are given");
    near(closed.width_far.low, 500.0 / (250.0 * 0.0021), 1e-6);
    near(closed.width_far.high, 500.0 / (150.0 * 0.0019), 1e-6);
    // At x = -1027, the farthest ring: y / tan(2 pi T i y / Q) = -1027 at 530.2 (SciPy's brentq).
    near(zone.mapped.width_m, 2.0 * 530.2, 60.0);
    near(zone.mapped.downgradient_m, 198.9, 40.0);
    assert_eq!(of(Code::PumpedLevelUsed, &findings).len(), 1, "T506");
    assert!(of(Code::NoCone, &findings).is_empty());
    let back = toward.paths.iter().filter(|p| p.path.way == Way::Up).count();
    assert_eq!(back, 36);
    // A pumped well that no head shows.
    let more = more.replace("well = \"W-0\"", "well = \"X\"\neasting = 500300\nnorthing = 4980300");
    let folder = of_wells(&wells[1..], &more, |x, _| 50.0 - 0.002 * x);
    let (_, toward, findings) = followed(&folder, vec![], vec![]);
    assert!(toward.expect("an answer").pumped[0].mapped.captured.is_empty());
    assert_eq!(of(Code::NoCone, &findings).len(), 1, "T507");
}

#[test]
fn nested_wells_of_other_units_give_vertical_gradients() {
    let folder = Folder::new();
    folder.file(
        "site.toml",
        "[site]\nname = \"Nest (invented)\"\ncrs = \"EPSG:26915\"\nelevation_unit = \
         \"m\"\nvertical_datum = \"NAVD 88\"\naquifer_unit = \"sand\"\n",
    );
    folder.file(
        "wells.csv",
        "id,easting,northing,aquifer_unit,measuring_point_elevation,screen_top,screen_bottom\n\
         A,500000,4980000,sand,100,4,6\nB,500100,4980000,sand,100,4,6\n\
         C,500000,4980100,sand,100,4,6\nD,500100,4980100,sand,100,,\n\
         AD,500001,4980000,gravel,100.5,19.5,21.5\nCD,500000,4980101,gravel,100,5,9\n\
         DD,500100,4980101,gravel,100,20,21\n",
    );
    folder.file(
        "rounds/spring.csv",
        "id,date,depth_to_water\nA,2026-05-04,3\nB,2026-05-04,3.1\nC,2026-05-04,3.05\n\
         D,2026-05-04,3.2\nAD,2026-05-04,2\nCD,2026-05-04,2\nDD,2026-05-04,2\n",
    );
    let (map, toward, findings) = followed(&folder, vec![], vec![]);
    let toward = toward.expect("an answer");
    // Heads 97.0 and 98.5; screens' midpoints 95.0 and 80.0: 1.5 m up over 15 m.
    assert_eq!(toward.vertical.len(), 1, "{:?}", toward.vertical);
    let g = toward.vertical[0];
    assert_eq!((map.site.wells[g.upper].id.as_str(), g.direction()), ("A", "up"));
    near(g.gradient, 0.1, 1e-12);
    assert!(g.low > 0.097 && g.high < 0.103 && g.low < g.high, "{g:?}");
    let told = of(Code::NoVerticalGradient, &findings);
    assert_eq!(told.len(), 2, "T508: C and CD overlap, D has no screen: {told:?}");
}

/// An ASCII grid of the land surface in UTM zone 15, 10 m cells, with its CRS beside it.
pub(crate) fn ground(folder: &Folder, columns: usize, elevation: impl Fn(f64, f64) -> f64) {
    let mut text = format!(
        "ncols {columns}\nnrows 60\nxllcorner {}\nyllcorner {}\ncellsize 10\nNODATA_value -9999\n",
        EAST - 50.0,
        NORTH - 100.0
    );
    for row in 0..60 {
        for column in 0..columns {
            let y = 500.0 - 10.0 * f64::from(row) - 5.0;
            let x = -50.0 + 10.0 * column as f64 + 5.0;
            write!(text, "{} ", elevation(x, y)).expect("text");
        }
        text.push('\n');
    }
    folder.file("land.asc", text);
    folder.file(
        "land.prj",
        "PROJCS[\"NAD83 / UTM zone 15N\",GEOGCS[\"NAD83\",DATUM[\"North_American_Datum_1983\",\
         SPHEROID[\"GRS 1980\",6378137,298.257222101]],PRIMEM[\"Greenwich\",0],UNIT[\"degree\",\
         0.0174532925199433]],PROJECTION[\"Transverse_Mercator\"],PARAMETER[\"latitude_of_origin\"\
         ,0],PARAMETER[\"central_meridian\",-93],PARAMETER[\"scale_factor\",0.9996],PARAMETER[\
         \"false_easting\",500000],PARAMETER[\"false_northing\",0],UNIT[\"metre\",1]]",
    );
}

pub(crate) const GROUND: &str =
    "[grid]\ncell = 10\n[ground]\nraster = \"land.asc\"\nunit = \"ft\"\n";

#[test]
fn depths_to_water_are_ground_less_surface_between_pixels() {
    let folder = site(GROUND, plane);
    // A plane, in feet: bilinear interpolation keeps it.
    ground(&folder, 60, |x, y| (52.0 + 0.01 * x - 0.004 * y) / 0.3048);
    let (map, toward, findings) = followed(&folder, vec![tank()], vec![]);
    let toward = toward.expect("an answer");
    let compared = toward.ground.as_ref().expect("a raster");
    let spec = *compared.depth.spec();
    let mut seen = 0;
    for row in 0..spec.rows {
        for column in 0..spec.columns {
            let Some(depth) = compared.depth.head(row, column) else { continue };
            let p = spec.node(row, column);
            let (x, y) = (p.x - EAST, p.y - NORTH);
            // GDAL reads an ASCII grid in 32 bits.
            near(depth, 2.0 + 0.015 * x - 0.004 * y, 1e-5);
            seen += 1;
        }
    }
    assert_eq!(seen, 51 * 41);
    assert_eq!((compared.unknown, compared.above), (0, 0));
    assert!(of(Code::AboveGround, &findings).is_empty());
    // Written, and read again.
    let results = Results { toward: Some(&toward), ..Results::of(&map, &findings) };
    let out = folder.path().join("out");
    write::write(&results, &out).expect("written");
    let file = gdal::Dataset::open(out.join("depth-to-water.tif")).expect("a raster");
    let band = file.rasterband(1).expect("a band");
    let value = band.read_as::<f64>((0, 0), (1, 1), (1, 1), None).expect("a pixel").data()[0];
    near(value, 2.0 - 0.004 * 400.0, 1e-5);
}

#[test]
fn water_above_the_ground_and_ground_that_is_not_known_are_told() {
    let folder = site(GROUND, plane);
    // A pit of 3 m in the middle; the raster ends at x = 400.
    ground(&folder, 45, |x, y| {
        let pit = libm::hypot(x - 255.0, y - 205.0) < 31.0;
        (if pit { 47.0 } else { 55.0 }) / 0.3048
    });
    let (_, toward, findings) = followed(&folder, vec![tank()], vec![]);
    let compared = toward.expect("an answer").ground.expect("a raster");
    let told = of(Code::AboveGround, &findings);
    assert_eq!(told.len(), 1, "T509");
    // Nodes stand where four pixels meet: at 16 of them the mean of the four is below the water,
    // counted over the same circle by a few lines of Python.
    assert_eq!(compared.above, 16);
    let (at, by) = compared.highest.expect("the pit");
    assert!(libm::hypot(at.x - EAST - 255.0, at.y - NORTH - 205.0) < 45.0);
    near(by, 1.8, 0.25);
    assert_eq!(of(Code::GroundMissing, &findings).len(), 1, "T510");
    // 45 columns of 10 m from -50 reach to 400; ten columns of nodes lie beyond.
    assert_eq!(compared.unknown, 10 * 41);
}

#[test]
fn a_raster_that_cannot_be_used_is_refused() {
    let refused = |folder: &Folder| {
        let (_, toward, _) = followed(folder, vec![tank()], vec![]);
        toward.expect_err("refused").diagnostics().to_vec()
    };
    let folder = site(GROUND, plane);
    assert_eq!(of(Code::FileUnreadable, &refused(&folder)).len(), 1, "no file");
    ground(&folder, 45, |_, _| 55.0);
    std::fs::remove_file(folder.path().join("land.prj")).expect("removed");
    assert_eq!(of(Code::CrsUnknown, &refused(&folder)).len(), 1, "no CRS");
    folder.file("land.asc", "no raster at all");
    assert_eq!(of(Code::FileUnreadable, &refused(&folder)).len(), 1, "no raster");
}

/// Pixels that a fault on the way has left with numbers of no ground. They would be averaged with
/// their neighbours.
#[test]
fn d218_a_raster_with_damaged_pixels_is_named_and_not_averaged() {
    let told = |place: (f64, f64), value: f64| {
        let folder = site(GROUND, plane);
        let damaged = |x: f64, y: f64| (x - place.0).abs() < 10.0 && (y - place.1).abs() < 1.0;
        ground(&folder, 60, |x, y| if damaged(x, y) { value } else { 55.0 / 0.3048 });
        let (_, toward, _) = followed(&folder, vec![tank()], vec![]);
        toward.map_err(|refused| refused.diagnostics().to_vec())
    };
    // Columns 25 and 26 from -50, row 30 from 500.
    for (value, shown) in [(1e38, "1e38"), (-9990.0, "-9990"), (29_600.0, "29600")] {
        let refused = told((200.0, 205.0), value).expect_err("refused");
        let refusals = of(Code::Implausible, &refused);
        let [refusal] = refusals[..] else { panic!("{refused:?}") };
        let value = format!("{shown} ft");
        gives(refusal, &["land.asc", "2", "column 25 and row 30", &value, "-4921", "29528 ft"]);
        assert!(refusal.origins[0].to_string().starts_with("site.toml, line "), "{refusal:?}");
    }
    // High land is land, and what stands for no data is none.
    assert!(told((200.0, 205.0), 29_000.0).is_ok());
    assert!(told((200.0, 205.0), -9999.0).is_ok());
    // Where nothing is mapped nobody looks.
    assert!(told((-40.0, -95.0), 1e38).is_ok());
}

/// Settings that would make a number out of nothing.
#[test]
fn aquifer_settings_that_cannot_be_used_are_refused_with_their_lines() {
    for (lines, key) in [
        ("conductivity = 10\nconductivity_unit = \"m/d\"", "conductivity"),
        ("conductivity = [10, 5]\nconductivity_unit = \"m/d\"", "conductivity"),
        ("conductivity = [5, 10]", "conductivity"),
        ("effective_porosity = [0.2, 1.3]", "1.3"),
        ("effective_porosity = [15, 25]", "25"),
        ("effective_porosity = [0.35, 0.45]\ntotal_porosity = [0.2, 0.3]", "effective_porosity"),
        ("conductivity = [5, 5]\nconductivity_unit = \"m/d\"", "conductivity"),
        ("conductivity = [1, 1e300]\nconductivity_unit = \"cm/s\"", "10000"),
        ("transmissivity = 100\ntransmissivity_unit = \"m2/d\"", "transmissivity"),
        (
            "bulk_density = 1700\ndistribution_coefficient = 0.2\ntotal_porosity = [0.3, 0.4]",
            "bulk_density",
        ),
        ("material = \"chocolate\"", "chocolate"),
        ("distribution_coefficient = 0.2", "bulk_density"),
    ] {
        let folder = site(&format!("[aquifer]\n{lines}\n"), plane);
        let (map, findings) = map(folder.path(), &Overrides::default());
        assert!(map.is_err(), "{lines}");
        let told = of(Code::SiteSetting, &findings);
        assert_eq!(told[0].origins[0].line, Some(7), "{lines}");
        gives(told[0], &[key]);
    }
}

/// Every file of one answer, by name.
fn written(folder: &Folder, threads: usize) -> BTreeMap<String, Vec<u8>> {
    let receptors = vec![
        place("creek", line(&[(350.0, 0.0), (350.0, 400.0)])),
        place("=school", Rect::new(c(200.0, 240.0), c(260.0, 300.0))),
    ];
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
    pool.install(|| {
        let (map, toward, findings) = followed(folder, vec![tank()], receptors);
        let toward = toward.expect("an answer");
        let results = Results { toward: Some(&toward), ..Results::of(&map, &findings) };
        let out = folder.path().join("out").join(threads.to_string());
        write::write(&results, &out).expect("written");
        contents(&out)
    })
}

#[test]
fn the_files_are_valid_the_same_on_any_number_of_threads_and_say_what_was_found() {
    let folder = site(AQUIFER, plane);
    let files = written(&folder, 1);
    assert!(files == written(&folder, 2), "one thread and two write different bytes");
    let of_paths = ["paths.geojson", "reaches.geojson", "receptors.csv", "receptors.geojson"];
    for name in of_paths.iter().chain(&["map.svg", "report.html", "surface.tif"]) {
        assert!(files.contains_key(*name), "no {name} in {:?}", files.keys());
    }
    let json: Value = serde_json::from_slice(&files["summary.json"]).expect("JSON");
    let schema: Value =
        serde_json::from_str(include_str!("../docs/summary.schema.json")).expect("a schema");
    let validator = jsonschema::draft202012::new(&schema).expect("a schema");
    let errors: Vec<String> =
        validator.iter_errors(&json).map(|e| format!("{}: {e}", e.instance_path())).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    let json = &json["toward"];
    let mut less: Value = serde_json::from_slice(&files["summary.json"]).expect("JSON");
    less["toward"].as_object_mut().expect("an object").remove("cautions");
    assert!(!validator.is_valid(&less));
    let cautions = json["cautions"].to_string();
    for word in ["Dispersion", "Preferential", "seasons", "Decay", "licensed"] {
        assert!(cautions.contains(word), "no {word}");
    }
    assert_eq!(json["verdicts"][0]["outcome"], "reaches");
    for name in of_paths.iter().filter(|n| n.ends_with(".geojson")) {
        let text = std::str::from_utf8(&files[*name]).expect("text");
        let layer: geojson::FeatureCollection = text.parse().expect("GeoJSON");
        assert!(!layer.features.is_empty(), "{name}");
        assert!(!text.contains("\"crs\""), "RFC 7946, section 4");
        for feature in &layer.features {
            let geometry = feature.geometry.clone().expect("a geometry");
            let shape: Geometry = geometry.try_into().expect("a shape");
            for p in geo::CoordsIter::coords_iter(&shape) {
                // The middle of UTM zone 15 is 93 degrees west; NORTH is 44.97 degrees north.
                assert!((p.x + 93.0).abs() < 0.02 && (p.y - 44.97).abs() < 0.02, "{name} {p:?}");
            }
        }
    }
    let table = std::str::from_utf8(&files["receptors.csv"]).expect("text");
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    let rows: Vec<BTreeMap<String, String>> =
        rows.deserialize().collect::<Result<_, _>>().expect("rows");
    assert_eq!((rows[0]["outcome"].as_str(), rows[1]["outcome"].as_str()), ("reaches", "passes"));
    assert_eq!(rows[1]["receptor"], "'=school", "a spreadsheet must not run it");
    assert_eq!((rows[0]["travel_low_d"].len() > 2, rows[1]["travel_low_d"].as_str()), (true, ""));
}
