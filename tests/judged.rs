//! Heads that somebody judged, and contours that somebody drew: what rests on them and what does not.

use std::fmt::Write as _;
use std::path::Path;
use std::sync::Arc;

use geo::{Coord, Distance, Euclidean, Line, Point};
use headfall::diag::{Code, Diagnostic, Severity};
use headfall::read::{Method, Overrides};
use headfall::report::Results;
use headfall::run::{self, Map};
use headfall::{draw, page};
use serde_json::Value;

use crate::support::{
    self, EAST, Folder, NORTH, gives, json, near, of, of_wells, runs, scatter, told, words,
};

/// A judged point with what it must say.
fn point(x: f64, y: f64, head: f64, more: &str) -> String {
    format!(
        "[[judged_points]]\nname = \"J-1\"\neasting = {}\nnorthing = {}\nhead = {head}\n\
         reason = \"seep in the cutting\"\nby = \"J. Marsh\"\n{more}",
        EAST + x,
        NORTH + y
    )
}

/// 25 wells on a plane that falls 0.002 m/m to the east.
fn site(more: &str) -> Folder {
    of_wells(&scatter(), more, |x, _| 50.0 - 0.002 * x)
}

fn map(site: &Path) -> (Option<Map>, Vec<Diagnostic>) {
    let (map, findings) = support::map(site, &Overrides::default());
    (map.ok(), findings)
}

/// The map by a method.
fn by(site: &Path, method: Method) -> Map {
    let mut findings = Vec::new();
    let mut heads = run::heads(site, &Overrides::default(), &mut findings).expect("heads");
    Arc::make_mut(&mut heads.site).settings.surface.method = method;
    run::map(heads, &mut findings).expect("a map")
}

/// A file of control lines as WKT, each with its head, and what is said of it.
fn with_lines(lines: &[(&[(f64, f64)], f64)], toml: &str) -> Folder {
    let mut table = "WKT,name,level\n".to_owned();
    for (k, (line, head)) in lines.iter().enumerate() {
        let places: Vec<String> =
            line.iter().map(|(x, y)| format!("{} {}", EAST + x, NORTH + y)).collect();
        writeln!(table, "\"LINESTRING ({})\",L{k},{head}", places.join(", ")).expect("text");
    }
    let said = "[features]\ncontrol_lines = { file = \"lines.csv\", crs = \"EPSG:26915\", head = \
                \"level\", reason = \"trend of the terrace\", by = \"J. Marsh\" }\n";
    site(&format!("{said}{toml}")).with("lines.csv", table)
}

/// Known by arithmetic: linear in each triangle, so that the head at a triangle's centroid is the mean of
/// its corners' and half way along a side the mean of its ends'.
#[test]
fn the_surface_between_a_judged_point_and_two_wells_is_the_plane_through_the_three() {
    let wells = [(0.0, 0.0), (100.0, 0.0), (0.0, 100.0), (100.0, 100.0)];
    let judged = point(30.0, 40.0, 25.0, "[grid]\ncell = 1\n");
    let folder = of_wells(&wells, &judged, |x, y| 10.0 + 0.1 * x + 0.2 * y);
    let (map, findings) = map(folder.path());
    let map = map.unwrap_or_else(|| panic!("{findings:#?}"));
    let at =
        |x: f64, y: f64| map.surface.heads.at(Coord { x: EAST + x, y: NORTH + y }).expect("a head");
    // Wells at (0, 0) and (100, 0) have 10 and 20.
    near(at(130.0 / 3.0, 40.0 / 3.0), (10.0 + 20.0 + 25.0) / 3.0, 1e-6);
    // Wells at (0, 0) and (0, 100) have 10 and 30.
    near(at(10.0, 140.0 / 3.0), (10.0 + 30.0 + 25.0) / 3.0, 1e-6);
    // Every triangle has it at a corner, and the site's mean is still that of the wells.
    assert!(map.mesh.triangles().iter().all(headfall::triangulate::Triangle::is_judged));
    near(map.flow.mean.gradient, libm::hypot(0.1, 0.2), 1e-9);
    assert_eq!(map.uncertainty.directions.known(), 0);
}

#[test]
fn a_judged_point_changes_nothing_that_is_said_of_measured_heads() {
    let judged = point(205.0, 160.0, 49.8, "");
    let (plain, with) = (map(site("").path()), map(site(&judged).path()));
    let (plain, (with, findings)) = (plain.0.expect("a map"), with);
    let with = with.unwrap_or_else(|| panic!("{findings:#?}"));
    assert_eq!(with.control.points().len(), plain.control.points().len() + 1);
    assert_eq!(with.control.wells().len(), plain.control.wells().len());
    assert_eq!(with.flow.plane_gradient.to_bits(), plain.flow.plane_gradient.to_bits());
    assert_eq!(with.flow.plane_azimuth_true, plain.flow.plane_azimuth_true);
    assert_eq!((with.flow.mean, with.flow.over_map), (plain.flow.mean, plain.flow.over_map));
    let plane = |map: &Map| map.uncertainty.plane.as_ref().map(|p| format!("{:?}", p.stated));
    assert_eq!(plane(&with), plane(&plain));
    let wells = with.control.points().iter().filter(|p| p.well().is_some());
    for (well, alone) in wells.zip(plain.control.points()) {
        assert_eq!((&well.id, well.leave_one_out), (&alone.id, alone.leave_one_out));
    }
    let told = told(&findings, Code::JudgedHead).about("J-1").once();
    gives(told, &["Marsh", "cutting", "49.80 m", "0.0020"]);
    assert_eq!(told.severity, Severity::Note);
    assert_eq!(of(Code::JudgedTriangles, &findings).len(), 1);
}

#[test]
fn triangles_with_a_judged_corner_have_neither_interval_nor_known_direction() {
    let (map, _) = map(site(&point(205.0, 160.0, 49.8, "")).path());
    let map = map.expect("a map");
    let at = map.control.points().iter().position(|p| p.id == "J-1").expect("the point");
    let (mut judged, mut others) = (0, 0);
    for (i, t) in map.mesh.triangles().iter().enumerate() {
        assert_eq!(t.is_judged(), t.corners.contains(&at), "triangle {i}");
        if t.is_judged() {
            judged += 1;
            assert!(map.uncertainty.triangles[i].is_none());
            assert!(map.uncertainty.directions.triangles[i].is_none());
        } else {
            others += usize::from(map.uncertainty.triangles[i].is_some());
        }
    }
    assert!(judged >= 3 && others > 10, "{judged} and {others}");
}

/// Whether every part of a contour that rests on a judged head is inferred; with how many do.
fn inferred_where(map: &Map, rests: impl Fn(Coord) -> bool) -> usize {
    let mut count = 0;
    for (line, support) in map.contours.lines.iter().zip(&map.uncertainty.contours) {
        for stretch in &support.stretches {
            let points: Vec<Coord> = stretch.points(&line.points).collect();
            for ends in points.windows(2).filter(|ends| rests((ends[0] + ends[1]) / 2.0)) {
                count += 1;
                assert!(stretch.inferred, "{} at {ends:?}", line.level);
            }
        }
    }
    count
}

#[test]
fn contours_that_rest_on_a_judged_head_are_inferred_whatever_the_method() {
    let more = "[contours]\ninterval = 0.1\n";
    let folder = site(&point(205.0, 160.0, 49.8, more));
    let (plain, linear) =
        (by(site(more).path(), Method::Linear), by(folder.path(), Method::Linear));
    let frame = *linear.control.frame();
    let stars: Vec<[Coord; 3]> = linear
        .mesh
        .triangles()
        .iter()
        .filter(|t| t.is_judged())
        .map(|t| linear.mesh.corners(t))
        .collect();
    let within = |p: Coord| {
        let p = frame.to_local(p);
        stars.iter().any(|corners| {
            headfall::geom::weights(*corners, p).is_some_and(|w| w.iter().all(|w| *w > 0.01))
        })
    };
    assert!(inferred_where(&linear, within) > 3);
    let solid = |map: &Map| {
        let all = map.uncertainty.contours.iter().flat_map(|c| &c.stretches);
        all.filter(|s| !s.inferred).count()
    };
    assert!(solid(&plain) > 0 && solid(&linear) > 0, "far off the contours stay solid");
    // Where the surface without it is off by more than a tenth of the interval.
    for method in [Method::NaturalNeighbour, Method::InverseDistance, Method::Kriging] {
        let (alone, with) = (by(site(more).path(), method), by(folder.path(), method));
        let (a, b) = (&alone.surface.heads, &with.surface.heads);
        let rests = |p: Coord| {
            let off = a.about(p).zip(b.about(p)).map(|(a, b)| (a - b).abs());
            off.is_some_and(|off| off > 0.012)
        };
        let count = inferred_where(&with, rests);
        assert!(count > 3, "{method:?}: {count}");
        let own = with.surface.heads.about(Coord { x: EAST + 205.0, y: NORTH + 160.0 });
        near(own.expect("a head"), 49.8, 0.03);
    }
}

#[test]
fn a_covariance_is_fitted_to_measured_heads_alone() {
    let wavy = |x: f64, y: f64| 50.0 - 0.002 * x + 0.2 * libm::sin(x / 70.0) * libm::cos(y / 90.0);
    let fitted = |more: &str| {
        let map = by(of_wells(&scatter(), more, wavy).path(), Method::Kriging);
        format!("{:?}", map.surface.kriging.as_ref().expect("kriging").covariance)
    };
    assert_eq!(fitted(""), fitted(&point(205.0, 160.0, 49.8, "")));
}

#[test]
fn methods_are_compared_on_measured_heads_alone() {
    let compared = |more: &str| {
        let folder = site(more);
        let all = run::cross_validate(folder.path(), &Overrides::default(), &mut Vec::new());
        let all = all.expect("a comparison");
        assert!(all.control.points().iter().all(|p| p.well().is_some()));
        format!("{:?}", all.comparison)
    };
    assert_eq!(compared(""), compared(&point(205.0, 160.0, 49.8, "")));
}

#[test]
fn it_holds_in_its_round_and_its_unit_alone() {
    let has = |more: &str| {
        let (map, findings) = map(site(&point(205.0, 160.0, 49.8, more)).path());
        (map.map(|m| m.control.has_judged()), findings)
    };
    assert_eq!(has("round = \"spring\"\n").0, Some(true));
    let (none, findings) = has("round = \"sprig\"\n");
    assert_eq!(none, None);
    assert_eq!(of(Code::RoundUnclear, &findings).len(), 1, "{findings:#?}");
    let (none, findings) = has("aquifer_unit = \"Upper sand\"\n");
    assert_eq!(none, None, "the register names no units");
    gives(told(&findings, Code::JudgedUnit).once(), &["\"Upper sand\""]);
    let folder = site(&point(205.0, 160.0, 49.8, "round = \"spring\"\n"));
    folder.file("rounds/summer.csv", support::text(folder.at("rounds/spring.csv")));
    let summer = Overrides { round: Some("summer".to_owned()), ..Overrides::default() };
    let (summer, _) = support::map(folder.path(), &summer);
    assert!(!summer.expect("a map").control.has_judged());
}

#[test]
fn two_units_ask_for_the_one_it_was_judged_for() {
    let folder = |more: &str| {
        let folder = site(&format!("aquifer_unit = \"Sand\"\n{}", point(205.0, 160.0, 49.8, more)));
        let units = |table: String| {
            let mut rows = table.lines().enumerate().map(|(i, row)| match i {
                0 => format!("{row},aquifer_unit"),
                1..=4 => format!("{row},Rock"),
                _ => format!("{row},Sand"),
            });
            let first = rows.next().expect("a heading");
            rows.fold(first, |all, row| all + "\n" + &row)
        };
        folder.change("wells.csv", units);
        map(folder.path())
    };
    let (none, findings) = folder("");
    assert!(none.is_none());
    gives(told(&findings, Code::JudgedUnit).once(), &["\"Sand\"", "\"Rock\""]);
    let judged = |unit: &str| {
        let (map, findings) = folder(&format!("aquifer_unit = \"{unit}\"\n"));
        map.unwrap_or_else(|| panic!("{findings:#?}")).control.has_judged()
    };
    assert!(judged("sand") && !judged("Rock"));
}

#[test]
fn judged_points_without_a_reason_a_name_a_head_or_a_place_of_their_own_are_refused() {
    let good = point(205.0, 160.0, 49.8, "");
    let (x, y) = scatter()[12];
    let at_well = point(x, y + 0.005, 49.8, "");
    let twice = good.clone() + &good.replace("J-1", "J-2");
    for (toml, code) in [
        (good.replace("seep in the cutting", " "), Code::SiteSetting),
        (good.replace("by = \"J. Marsh\"\n", ""), Code::SiteSetting),
        (good.replace("head = 49.8", "head = 1e9"), Code::SiteSetting),
        (good.replace("J-1", "W-7"), Code::JudgedName),
        (good.clone() + &good, Code::JudgedName),
        (at_well, Code::JudgedContradicts),
        (twice, Code::JudgedContradicts),
    ] {
        let (none, findings) = map(site(&toml).path());
        assert!(none.is_none(), "{toml}");
        let [told] = &of(code, &findings)[..] else { panic!("{code}: {findings:#?}") };
        assert_eq!(told.severity, Severity::Refusal);
        assert!(told.origins.iter().any(|o| &*o.file == "site.toml"), "{told:?}");
    }
}

#[test]
fn a_well_without_a_head_may_have_a_judged_one() {
    let (x, y) = scatter()[12];
    let folder = site(&point(x, y, 49.6, ""));
    folder.change("rounds/spring.csv", |t| {
        t.lines().filter(|l| !l.starts_with("W-12,")).fold(String::new(), |all, l| all + l + "\n")
    });
    let (map, findings) = map(folder.path());
    assert!(map.unwrap_or_else(|| panic!("{findings:#?}")).control.has_judged());
}

#[test]
fn a_judged_head_beyond_the_measured_ones_or_too_steep_beside_a_well_is_a_warning() {
    let (_, findings) = map(site(&point(205.0, 160.0, 50.4, "")).path());
    let beyond = told(&findings, Code::JudgedBeyond).about("J-1").once();
    assert_eq!(beyond.severity, Severity::Warning);
    gives(beyond, &["50.40 m", "0.40 m"]);
    assert_eq!(of(Code::JudgedSteep, &findings).len(), 1, "0.4 m over some metres");
    let (_, findings) = map(site(&point(205.0, 160.0, 49.59, "")).path());
    for code in [Code::JudgedBeyond, Code::JudgedSteep] {
        assert!(of(code, &findings).is_empty(), "on the plane itself: {findings:#?}");
    }
}

/// Between the second and the third column of wells, whose heads are above and below 49.66 m.
const BENT: &[(f64, f64)] = &[(150.0, 20.0), (190.0, 200.0), (150.0, 380.0)];

/// How far a line is from the contours of a level, at most, at places one metre apart.
fn off(map: &Map, line: &[(f64, f64)], level: f64) -> f64 {
    let contours = map.contours.lines.iter().filter(|c| (c.level - level).abs() < 1e-9);
    let pieces: Vec<Line> =
        contours.flat_map(|c| c.points.windows(2)).map(|w| Line::new(w[0], w[1])).collect();
    assert!(!pieces.is_empty(), "a contour of {level}");
    let nearest = |p: Coord| {
        let to = |piece: &Line| Euclidean.distance(&Point::from(p), piece);
        pieces.iter().map(to).fold(f64::INFINITY, f64::min)
    };
    let mut most = 0.0_f64;
    for w in line.windows(2) {
        let [a, b] = [w[0], w[1]].map(|(x, y)| Coord { x: EAST + x, y: NORTH + y });
        for k in 0..=200 {
            most = most.max(nearest(a + (b - a) * (f64::from(k) / 200.0)));
        }
    }
    most
}

#[test]
fn the_surface_honours_a_control_line_and_its_contour_runs_along_it() {
    let toml = "[grid]\ncell = 4\n[contours]\nlevels = [49.5, 49.66, 49.8]\n";
    let folder = with_lines(&[(BENT, 49.66)], toml);
    for method in [Method::Linear, Method::NaturalNeighbour, Method::ThinPlate] {
        let map = by(folder.path(), method);
        let points: Vec<_> = map.control.points().iter().filter(|p| p.is_judged()).collect();
        assert!(points.len() > 8, "{} points", points.len());
        assert!(points.iter().all(|p| p.head.to_bits() == 49.66_f64.to_bits()));
        let most = off(&map, BENT, 49.66);
        assert!(most <= 4.0, "{method:?}: {most} m");
        let judged = map.control.judged();
        assert_eq!((judged.len(), judged[0].crs, judged[0].points.len()), (1, None, points.len()));
        // All of it is inferred.
        let near_line = |p: Coord| {
            BENT.windows(2).any(|w| {
                let [a, b] = [w[0], w[1]].map(|(x, y)| Coord { x: EAST + x, y: NORTH + y });
                Euclidean.distance(&Point::from(p), &Line::new(a, b)) < 1.0
            })
        };
        assert!(inferred_where(&map, near_line) > 8);
    }
}

#[test]
fn control_points_are_at_the_ends_and_bends_and_no_farther_apart_than_asked() {
    let folder = with_lines(&[(BENT, 49.66)], "control_line_spacing = 40\n");
    let (map, findings) = map(folder.path());
    let map = map.unwrap_or_else(|| panic!("{findings:#?}"));
    let points = &map.site.features.judged_points;
    // Twice 184.39 m in pieces of 40 m at the most: five of each.
    assert_eq!(points.len(), 11);
    for (k, (x, y)) in [(0, BENT[0]), (5, BENT[1]), (10, BENT[2])] {
        near(points[k].position.x - EAST, x, 1e-9);
        near(points[k].position.y - NORTH, y, 2e-9);
    }
    assert_eq!(points[0].name, "L0 @ 0 m");
    assert_eq!(points[10].name, "L0 @ 369 m");
}

#[test]
fn control_lines_that_contradict_each_other_or_a_well_are_refused() {
    let cross: &[(f64, f64)] = &[(100.0, 200.0), (300.0, 210.0)];
    let (none, findings) = map(with_lines(&[(BENT, 49.66), (cross, 49.7)], "").path());
    assert!(none.is_none());
    let told = of(Code::JudgedContradicts, &findings);
    assert_eq!(told.len(), 1, "{findings:#?}");
    gives(told[0], &["L0", "L1", "49.66 m", "49.70 m"]);
    // Of one head they may.
    let (some, findings) = map(with_lines(&[(BENT, 49.66), (cross, 49.66)], "").path());
    assert!(some.is_some(), "{findings:#?}");
    let (x, y) = scatter()[12];
    let head = 50.0 - 0.002 * x;
    let through: &[(f64, f64)] = &[(x - 30.0, y - 40.0), (x + 30.0, y + 40.0)];
    let (none, findings) = map(with_lines(&[(through, head + 0.2)], "").path());
    assert!(none.is_none());
    let told = of(Code::JudgedContradicts, &findings);
    assert_eq!(told.len(), 1, "{findings:#?}");
    assert_eq!(told[0].wells, ["W-12"]);
    // Within the error of the well's head, which is 12 mm or so, the well has its own head.
    let (some, findings) = map(with_lines(&[(through, head + 0.01)], "").path());
    let some = some.unwrap_or_else(|| panic!("{findings:#?}"));
    let nearest = |p: &&headfall::check::ControlPoint| {
        libm::hypot(p.crs.x - EAST - x, p.crs.y - NORTH - y) < 0.5
    };
    let there: Vec<_> = some.control.points().iter().filter(nearest).collect();
    assert_eq!(there.iter().map(|p| p.id.as_str()).collect::<Vec<_>>(), ["W-12"]);
}

#[test]
fn a_file_of_control_lines_says_head_reason_and_by() {
    let said = |from: &str, to: &str| {
        let folder = with_lines(&[(BENT, 49.66)], "");
        folder.change("site.toml", |toml| toml.replace(from, to));
        map(folder.path())
    };
    for (from, to, code) in [
        (", head = \"level\"", "", Code::SiteSetting),
        ("head = \"level\"", "head = \"depth\"", Code::SiteSetting),
        ("head = \"level\"", "head = \"name\"", Code::FeatureUnusable),
        ("reason = \"trend of the terrace\", ", "", Code::SiteSetting),
        ("J. Marsh", " ", Code::SiteSetting),
        ("control_lines", "barriers", Code::SiteSetting),
    ] {
        let (none, findings) = said(from, to);
        assert!(none.is_none(), "{to}");
        assert!(!of(code, &findings).is_empty(), "{to}: {findings:#?}");
    }
    let (some, findings) = said("head = \"level\"", "head = 49.6, unit = \"m\"");
    let some = some.unwrap_or_else(|| panic!("{findings:#?}"));
    near(some.control.judged()[0].head, 49.6, 1e-12);
    // 162.73 ft are 49.600 m.
    let (some, _) = said("head = \"level\"", "head = 162.73, unit = \"ft\"");
    near(some.expect("a map").control.judged()[0].head, 162.73 * 0.3048, 1e-9);
}

#[test]
fn levels_that_are_listed_are_drawn_and_no_others() {
    let folder = site("[contours]\nlevels = [49.25, 49.5, 49.62, 61.0]\n");
    let (map, findings) = map(folder.path());
    let map = map.unwrap_or_else(|| panic!("{findings:#?}"));
    assert_eq!(map.contours.levels, [49.25, 49.5, 49.62]);
    assert_eq!(map.contours.interval, None);
    let unmet = told(&findings, Code::LevelsUnmet).once();
    assert_eq!(unmet.severity, Severity::Note);
    gives(unmet, &["61 m", "50.0000 m"]);
    // A plane that falls 0.002 m/m to the east: the level 49.5 is at 250 m.
    let half = map.contours.lines.iter().filter(|l| (l.level - 49.5).abs() < 1e-9);
    let xs: Vec<f64> = half.flat_map(|l| &l.points).map(|p| p.x - EAST).collect();
    assert!(xs.len() > 2 && xs.iter().all(|x| (x - 250.0).abs() < 1e-3), "{xs:?}");
    let svg = draw::sheet(&Results::of(&map, &findings)).expect("a sheet").svg();
    let labels = words(&svg, "contour-labels");
    assert!(
        ["49.25", "49.50", "49.62"].iter().all(|l| labels.iter().any(|t| t == l)),
        "{labels:?}"
    );
    assert!(words(&svg, "panel").join(" ").contains("49.25, 49.5, 49.62"));
    assert!(page::report(&Results::of(&map, &findings)).contains("49.25, 49.5, 49.62"));
}

#[test]
fn lists_of_levels_that_cannot_be_meant_are_refused() {
    for levels in ["[]", "[49.5, 49.5]", "[49.6, 49.5]", "[nan]", "[1e9]"] {
        let (none, findings) = map(site(&format!("[contours]\nlevels = {levels}\n")).path());
        assert!(none.is_none(), "{levels}");
        told(&findings, Code::SiteSetting).within("site.toml, line").once();
    }
    for more in ["interval = 0.1", "base = 0.05"] {
        let toml = format!("[contours]\nlevels = [49.5]\n{more}\n");
        let (none, findings) = map(site(&toml).path());
        assert!(none.is_none(), "{more}");
        told(&findings, Code::SiteSetting).once();
    }
}

#[test]
fn the_interval_of_the_command_line_goes_over_listed_levels() {
    let folder = site("[contours]\nlevels = [49.5]\n");
    let overrides = Overrides { interval: Some(0.2), ..Overrides::default() };
    let (map, _) = support::map(folder.path(), &overrides);
    assert_eq!(map.expect("a map").contours.interval, Some(0.2));
}

#[test]
fn a_control_line_whose_level_is_not_drawn_is_named() {
    let (_, findings) = map(with_lines(&[(BENT, 49.63)], "[contours]\ninterval = 0.1\n").path());
    gives(told(&findings, Code::LineOffLevels).about("L0").once(), &["49.63 m"]);
    let toml = "[contours]\nlevels = [49.5, 49.63]\n";
    let (_, findings) = map(with_lines(&[(BENT, 49.63)], toml).path());
    assert!(of(Code::LineOffLevels, &findings).is_empty(), "{findings:#?}");
}

/// What a reviewer has: sheet, page, summary, layers.
#[test]
fn sheet_page_summary_and_layers_say_what_is_judged() {
    let toml = point(20.0, 330.0, 49.97, "");
    let folder = with_lines(&[(BENT, 49.66)], &toml);
    let out = folder.at("out");
    runs(&["draw", "--quiet", "--out"], &[&out, folder.path()]);
    let summary = json(out.join("summary.json"));
    let judged = summary["judged"].as_array().expect("a list");
    let kinds: Vec<(&str, &str)> = judged
        .iter()
        .map(|j| (j["name"].as_str().expect("text"), j["kind"].as_str().expect("text")))
        .collect();
    assert_eq!(kinds, [("J-1", "point"), ("L0", "control-line")]);
    assert_eq!(judged[0]["by"], "J. Marsh");
    assert_eq!(judged[1]["reason"], "trend of the terrace");
    let wells = summary["wells"].as_array().expect("wells");
    assert!(wells.iter().all(|w| w["well"].as_str().is_some_and(|w| w.starts_with("W-"))));
    let count = summary["counts"]["judged_points"].as_u64().expect("a count");
    let layer = json(out.join("judged-points.geojson"));
    let features = layer["features"].as_array().expect("features");
    assert_eq!(features.len() as u64, count);
    let basis = |f: &Value| f["properties"]["basis"].as_str().map(str::to_owned);
    let interpreted = features.iter().filter(|f| basis(f).as_deref() == Some("interpreted"));
    assert_eq!(interpreted.count() as u64, count - 1);
    let svg = support::text(out.join("map.svg"));
    let panel = words(&svg, "panel").join(" ");
    for said in ["J. Marsh: seep in the cutting", "J. Marsh: trend of the terrace", "not measured"]
    {
        assert!(panel.contains(said), "{said} in {panel}");
    }
    assert!(words(&svg, "well-labels").iter().any(|w| w == "49.97 judged"));
    let page = support::text(out.join("report.html"));
    for said in ["id=\"judged\"", "seep in the cutting", "trend of the terrace", "class=\"judged\""]
    {
        assert!(page.contains(said), "{said}");
    }
    let cautions = summary["cautions"].as_array().expect("cautions");
    assert!(cautions.iter().any(|c| c.as_str().is_some_and(|c| c.contains("judged points"))));
}

/// A site without judgement has no word of it.
#[test]
fn a_map_without_judgement_does_not_speak_of_it() {
    let folder = site("");
    let out = folder.at("out");
    runs(&["draw", "--quiet", "--out"], &[&out, folder.path()]);
    assert!(!out.join("judged-points.geojson").exists());
    let summary = json(out.join("summary.json"));
    assert_eq!(summary["judged"], Value::Array(Vec::new()));
    assert!(!words(&support::text(out.join("map.svg")), "panel").join(" ").contains("judged"));
    assert!(!support::text(out.join("report.html")).contains("id=\"judged\""));
}
