//! Stages that are given at the vertices of streams, and streams that contradict each other.
//!
//! The wells are invented. Expected stages are those of the vertices, and straight lines between them.

use std::fmt::Write as _;

use geo::Coord;
use headfall::diag::Code;
use headfall::read::Method;
use headfall::run::Map;

use super::{EAST, NORTH, by, from_corner, map_with, read, site};
use crate::support::{Folder, near, of};

fn wells() -> Vec<(f64, f64, f64)> {
    (0..30)
        .map(|k| {
            let x = 15.0 + f64::from(k % 6) * 160.0 + f64::from(k * k % 13);
            let y = 20.0 + f64::from(k / 6) * 190.0 + f64::from(k * 7 % 11);
            (x, y, 18.0 - 0.002 * x + 0.001 * y)
        })
        .collect()
}

/// A course through places with heights.
type Course<'a> = (&'a str, &'a [(f64, f64, f64)]);

/// A site with streams whose vertices carry their stage.
fn streams(courses: &[Course<'_>], spacing: f64) -> Folder {
    let toml = format!(
        "[grid]\ncell = 5\n[features]\nstream_spacing = {spacing}\nstream_reach = 1000\nstreams = {{ \
         file = \"s.csv\", crs = \"EPSG:26915\" }}"
    );
    let folder = site(&wells(), &toml);
    let mut text = "WKT,name\n".to_owned();
    for (name, course) in courses {
        let points: Vec<String> =
            course.iter().map(|(x, y, z)| format!("{} {} {z}", EAST + x, NORTH + y)).collect();
        let _ = writeln!(text, "\"LINESTRING Z ({})\",{name}", points.join(", "));
    }
    folder.file("s.csv", text);
    folder
}

/// The control points of streams: name, place from the corner, stage.
fn points(map: &Map) -> Vec<(String, Coord, f64)> {
    let stream = map.control.points().iter().filter(|p| p.stream().is_some());
    stream.map(|p| (p.id.clone(), from_corner(p.crs), p.head)).collect()
}

/// A brook that falls by 1.5 m over a weir of 20 m, between two points of 60 m.
const WEIR: [(f64, f64, f64); 4] =
    [(100.0, 480.0, 18.9), (480.0, 500.0, 18.7), (500.0, 500.0, 17.2), (900.0, 520.0, 17.0)];

#[test]
fn the_stage_above_and_below_a_weir_is_held_whatever_the_spacing() {
    for spacing in [60.0, 37.0, 400.0] {
        let map = by(&streams(&[("Brook", &WEIR)], spacing), Method::Linear);
        let points = points(&map);
        for (x, y, stage) in WEIR {
            let at = points.iter().find(|(_, p, _)| (p.x - x).hypot(p.y - y) < 1e-6);
            let (name, _, found) =
                at.unwrap_or_else(|| panic!("no point at ({x}, {y}): {points:?}"));
            near(*found, stage, 1e-9);
            // Nodes stand at the vertices.
            let head = map.surface.heads.nearest(Coord { x: EAST + x, y: NORTH + y });
            near(head.unwrap_or_else(|| panic!("{name}: no head")), stage, 1e-9);
        }
        // Between held vertices the pieces are equal and no longer than the spacing.
        let mut along: Vec<f64> = points.iter().map(|(_, p, _)| p.x).collect();
        along.sort_by(f64::total_cmp);
        assert!(along.windows(2).all(|w| w[1] - w[0] <= spacing + 1e-9), "{along:?}");
    }
}

#[test]
fn a_straight_stage_rounded_to_the_centimetre_holds_no_more_points_than_its_ends() {
    // 41 vertices, 20 m apart, falling 1.7 mm a metre, rounded.
    let course: Vec<(f64, f64, f64)> = (0..41)
        .map(|k| {
            let x = 20.0 * f64::from(k);
            (x + 50.0, 500.0, ((19.0 - 0.0017 * x) * 100.0).round() / 100.0)
        })
        .collect();
    let (site, _) = read(&streams(&[("Canal", &course)], 200.0)).expect("a site");
    assert_eq!(site.features.stream_points.len(), 5, "800 m in pieces of 200 m");
    let mut bent = course;
    bent[17].2 += 0.05;
    let (site, _) = read(&streams(&[("Canal", &bent)], 200.0)).expect("a site");
    let names: Vec<&str> = site.features.stream_points.iter().map(|p| p.name.as_str()).collect();
    assert!(names.contains(&"Canal @ 340 m"), "{names:?}");
    // The bend is held by three vertices: at it and at both its feet.
    assert!(names.contains(&"Canal @ 320 m") && names.contains(&"Canal @ 360 m"), "{names:?}");
}

#[track_caller]
fn contradictions(courses: &[Course<'_>]) -> (Map, Vec<String>) {
    let (map, findings) = map_with(&streams(courses, 60.0), |_| ());
    let told = of(Code::StreamsDisagree, &findings);
    (map.expect("a map"), told.iter().map(|d| d.message.clone()).collect())
}

const BROOK: Course = ("Brook", &[(100.0, 150.0, 19.4), (900.0, 850.0, 17.0)]);

#[test]
fn two_streams_that_cross_with_different_stages_are_told_with_both() {
    let drain: Course = ("Drain", &[(100.0, 900.0, 17.2), (800.0, 100.0, 15.4)]);
    let (_, told) = contradictions(&[BROOK, drain]);
    // Brook: y = 150 + 0.875 (x - 100); Drain: y = 900 - 8/7 (x - 100).
    let x = 750.0 / (0.875 + 8.0 / 7.0);
    let brook = 19.4 - 2.4 * x / 800.0;
    let drain = 17.2 - 1.8 * x / 700.0;
    let words = format!(
        "streams Brook and Drain have different stages where they meet, at easting {:.0}, northing \
         {:.0}: {brook:.2} and {drain:.2} m, {:.2} m apart",
        EAST + 100.0 + x,
        NORTH + 150.0 + 0.875 * x,
        brook - drain
    );
    assert_eq!(told.len(), 1);
    assert!(told[0].starts_with(&words), "{told:?}\n{words}");
}

#[test]
fn streams_that_agree_to_within_the_survey_are_not_told() {
    // Declared by default: 0.01 m for each survey. Three standard deviations of the difference are
    // 0.0424 m.
    for (off, count) in [(0.0, 0), (0.04, 0), (0.045, 1), (-0.045, 1)] {
        // The middle of the brook, at a stage of 18.2 m.
        let side: Course = ("Side", &[(200.0, 900.0, 19.2), (500.0, 500.0, 18.2 + off)]);
        let (_, told) = contradictions(&[BROOK, side]);
        assert_eq!(told.len(), count, "{off}: {told:?}");
    }
    // Streams that do not meet are none of each other's business.
    let apart: Course = ("Apart", &[(200.0, 900.0, 12.0), (450.0, 560.0, 12.0)]);
    assert!(contradictions(&[BROOK, apart]).1.is_empty());
}

/// The stage that stays at the middle, and the streams whose points gave way there.
fn stays(courses: &[Course<'_>]) -> (f64, Vec<String>) {
    let (map, findings) = map_with(&streams(courses, 60.0), |_| ());
    let map = map.expect("a map");
    let middle = Coord { x: 500.0, y: 500.0 };
    let points = points(&map);
    let there: Vec<_> =
        points.iter().filter(|(_, p, _)| (*p - middle).x.hypot((*p - middle).y) < 1.0).collect();
    assert_eq!(there.len(), 1, "{there:?}");
    let gave_way = of(Code::StreamGivesWay, &findings);
    let mut gave: Vec<String> = gave_way.iter().flat_map(|d| d.wells.clone()).collect();
    gave.sort();
    (there[0].2, gave)
}

#[test]
fn where_streams_meet_the_stage_of_the_most_stays_then_of_the_longest_then_of_the_first_name() {
    let upper: Course = ("Upper", &[(100.0, 150.0, 19.4), (500.0, 500.0, 18.2)]);
    let lower: Course = ("Lower", &[(500.0, 500.0, 16.2), (900.0, 600.0, 16.0)]);
    let side: Course = ("Side", &[(200.0, 900.0, 19.2), (500.0, 500.0, 18.2)]);
    // Two of three agree; of the two Upper is longer: 531.5 m against 500 m.
    for courses in [[upper, lower, side], [lower, side, upper], [side, upper, lower]] {
        let (stage, gave) = stays(&courses);
        near(stage, 18.2, 1e-9);
        assert_eq!(gave, ["Lower @ 0 m", "Side @ 500 m"]);
        let (_, told) = contradictions(&courses);
        assert_eq!(told.len(), 2, "with each of the two: {told:?}");
        assert!(told.iter().all(|t| t.contains("Lower") && t.contains("16.20")), "{told:?}");
    }
    // One against one: the longer.
    let (stage, gave) = stays(&[lower, upper]);
    near(stage, 18.2, 1e-9);
    assert_eq!(gave, ["Lower @ 0 m"]);
    // As long as each other: the name that comes first.
    let east: Course = ("East", &[(800.0, 900.0, 17.0), (500.0, 500.0, 16.0)]);
    assert_eq!(stays(&[side, east]).1, ["Side @ 500 m"]);
}

#[test]
fn a_stream_with_two_stages_at_one_place_is_told_and_holds_the_first() {
    let weir: Course = (
        "Brook",
        &[(100.0, 480.0, 18.9), (480.0, 500.0, 18.7), (480.0, 500.0, 17.2), (900.0, 520.0, 17.0)],
    );
    let (map, told) = contradictions(&[weir]);
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(
        told[0].starts_with(
            "stream Brook has two different stages at easting 500480, northing 4980500"
        ) && told[0].contains("18.70 and 17.20 m, 1.50 m apart"),
        "{told:?}"
    );
    let head = map.surface.heads.nearest(Coord { x: EAST + 480.0, y: NORTH + 500.0 });
    near(head.expect("a head"), 18.7, 1e-9);
}

#[test]
fn whatever_the_order_of_the_streams_the_map_is_the_same() {
    let drain: Course = ("Drain", &[(100.0, 900.0, 17.2), (800.0, 100.0, 15.4)]);
    let side: Course = ("Side", &[(200.0, 900.0, 19.2), (500.0, 500.0, 18.2)]);
    let points_of = |courses: &[Course<'_>]| {
        let (map, _) = contradictions(courses);
        let mut points: Vec<(String, [u64; 3])> = points(&map)
            .into_iter()
            .map(|(name, p, stage)| (name, [p.x, p.y, stage].map(f64::to_bits)))
            .collect();
        points.sort();
        points
    };
    assert_eq!(points_of(&[BROOK, drain, side]), points_of(&[side, drain, BROOK]));
}
