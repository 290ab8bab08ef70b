//! What `headfall toward` knows and what it does not: whichever it is, it is said.

use std::fmt::Write as _;

use geo::{MultiPoint, Point};
use headfall::diag::Code;
use headfall::report::Results;
use headfall::report::TowardSummary;
use headfall::toward::Outcome;
use headfall::triangulate::Triangle;
use serde_json::Value;

use crate::support::{Folder, gives, near, of, of_wells, runs, stdout, text};
use crate::toward_site::{AQUIFER, GROUND, c, followed, ground, line, place, plane, site, tank};

/// Receptors all over the site, some of them at the source.
#[test]
fn every_path_that_reaches_has_a_time() {
    for surface in ["linear", "thin-plate", "natural-neighbour"] {
        let head = |x: f64, y: f64| 840.0 - 0.007 * x + 0.03 * libm::sin(0.07 * x + 0.03 * y);
        let folder = site(&format!("{AQUIFER}[grid]\ncell = 10\nsurface = \"{surface}\"\n"), head);
        let receptors = (0..60)
            .map(|k| {
                let (x, y) = (103.0 + 37.0 * f64::from(k % 10), 20.0 + 61.0 * f64::from(k / 10));
                place(&format!("R{k}"), Point(c(x, y)))
            })
            .collect();
        let sources = vec![tank(), place("edge", line(&[(105.0, 10.0), (95.0, 390.0)]))];
        let (_, toward, _) = followed(&folder, sources, receptors);
        let toward = toward.expect("an answer");
        let reaching: Vec<_> =
            toward.verdicts.iter().filter(|v| v.outcome == Outcome::Reaches).collect();
        assert!(reaching.len() > 30, "{surface}: {}", reaching.len());
        let mut at_once = 0;
        for v in reaching {
            let days = v.days.expect("days");
            if v.length_m == 0.0 {
                at_once += 1;
                assert_eq!((days.low, days.high), (0.0, 0.0));
                continue;
            }
            assert!(days.low > 0.0 && days.high > days.low, "{surface}: {v:?}");
            // The slowest water of the map's own path is among all that may be.
            let slowest = v.length_m / v.velocity_m_per_day.expect("a velocity").low;
            assert!(days.high > 0.99 * slowest, "{surface}: {days:?} against {slowest}");
        }
        assert!(at_once > 0, "{surface}");
    }
}

#[test]
fn a_source_that_stands_in_its_receptor_needs_no_time() {
    let folder = site(AQUIFER, plane);
    let yard = place("yard", geo::Rect::new(c(90.0, 200.0), c(160.0, 260.0)));
    let (_, toward, _) = followed(&folder, vec![tank()], vec![yard]);
    let toward = toward.expect("an answer");
    let v = &toward.verdicts[0];
    assert_eq!((v.outcome, v.length_m), (Outcome::Reaches, 0.0));
    assert_eq!(v.days.map(|d| (d.low, d.high)), Some((0.0, 0.0)));
    assert!(v.gradient.is_none() && v.velocity_m_per_day.is_none());
}

/// The supply well stands straight downgradient, 100 m beyond the last wells.
#[test]
fn whether_water_reaches_what_lies_beyond_the_map_is_not_known() {
    let folder = site(AQUIFER, plane);
    let supply = place("supply", Point(c(600.0, 210.0)));
    let behind = place("behind", Point(c(-100.0, 210.0)));
    let (map, toward, findings) = followed(&folder, vec![tank()], vec![supply, behind]);
    let toward = toward.expect("an answer");
    let [supply, behind] = &toward.verdicts[..] else { panic!("two verdicts") };
    assert_eq!(supply.outcome, Outcome::LeavesMap);
    let rounds = supply.realizations.expect("realizations were drawn");
    assert_eq!((rounds.of, rounds.reaching, rounds.leaving), (1000, 0, 1000));
    assert!(supply.probability().is_none());
    let said = toward.answer(supply, &map.control);
    assert!(said.contains("probability not determined: in 1000 of 1000"), "{said}");
    assert!(!said.contains('%'), "{said}");
    // Upgradient the path never comes nearer than where it begins: that is known.
    assert_eq!(behind.outcome, Outcome::FlowsAway);
    assert_eq!(behind.probability().map(|p| p.count), Some(0));
    let results = Results { toward: Some(&toward), ..Results::of(&map, &findings) };
    let rows = TowardSummary::of(&results).expect("an answer").verdicts;
    let of_supply = (rows[0].probability, rows[0].probability_low, rows[0].probability_high);
    assert_eq!(of_supply, (None, Some(0.0), Some(1.0)));
    assert_eq!(
        (rows[0].realizations_reaching, rows[0].realizations_leaving_first),
        (Some(0), Some(1000))
    );
    // Wilson's interval of none in a thousand ends at z2 / (n + z2), z = 1.960 (any table).
    near(rows[1].probability_high.expect("an interval"), 3.8416 / 1003.8416, 1e-4);
}

/// Inverse distances have a flat place at every well, whatever the water does: there is nothing to
/// follow on them.
#[test]
fn no_water_is_followed_over_inverse_distances() {
    let surface = "[grid]\ncell = 5\nsurface = \"inverse-distance\"\n";
    let folder = site(&format!("{AQUIFER}{surface}"), plane);
    let creek = || vec![place("creek", line(&[(470.0, 0.0), (470.0, 400.0)]))];
    for (sources, receptors) in [(vec![tank()], creek()), (vec![], creek())] {
        let (_, toward, _) = followed(&folder, sources, receptors);
        let error = toward.expect_err("T515");
        let told = of(Code::NoDirections, error.diagnostics());
        assert_eq!(told.len(), 1, "{error:?}");
        assert!(told[0].advice.as_deref().unwrap_or_default().contains("--surface linear"));
    }
    let (_, toward, _) = followed(&site(AQUIFER, plane), vec![tank()], creek());
    assert!(toward.is_ok(), "on triangles");
}

/// Kriging with a range far below the distance of wells falls back to the mean between them: a low
/// at every well below the mean, where paths of the plane stop.
#[test]
fn realizations_that_contradict_the_map_are_told() {
    let wells: Vec<(f64, f64)> =
        (0..30).map(|k| (100.0 * f64::from(k % 6), 100.0 * f64::from(k / 6))).collect();
    let creek = || vec![place("creek", line(&[(470.0, 0.0), (470.0, 400.0)]))];
    let tank = || vec![place("tank", Point(c(130.0, 205.0)))];
    let head = |x: f64, _: f64| 50.0 - 0.005 * x;
    let short = "[kriging]\npartial_sill = 1.0\nrange = 50.0\n";
    let smooth = of_wells(
        &wells,
        &format!("{AQUIFER}[grid]\ncell = 5\nsurface = \"kriging\"\n{short}"),
        head,
    );
    let (map, toward, findings) = followed(&smooth, tank(), creek());
    let toward = toward.expect("an answer");
    let v = &toward.verdicts[0];
    assert_ne!(v.outcome, Outcome::Reaches);
    assert_eq!(v.realizations_agree(), Some(false));
    let told = of(Code::RoundsDisagree, &findings);
    assert_eq!(told.len(), 1, "T511");
    gives(told[0], &["tank", "creek", "1000 of 1000"]);
    let said = toward.answer(v, &map.control);
    assert!(said.contains("but reached in over 99 %"), "{said}");
    assert!(v.unresolved && v.days.is_none());
    // On planes there is nothing to contradict.
    let linear = of_wells(&wells, AQUIFER, head);
    let (_, toward, findings) = followed(&linear, tank(), creek());
    let toward = toward.expect("an answer");
    assert_eq!(toward.verdicts[0].outcome, Outcome::Reaches);
    assert_eq!(toward.verdicts[0].realizations_agree(), Some(true));
    assert!(of(Code::RoundsDisagree, &findings).is_empty());
}

/// 20 m at 0.0005 take longer than 140 m at 0.01: the water of the long path is there first.
#[test]
fn the_path_that_speaks_is_the_earliest_and_not_the_shortest() {
    let head = |x: f64, _: f64| if x < 200.0 { 50.0 - 0.01 * x } else { 48.1 - 0.0005 * x };
    for aquifer in [AQUIFER, ""] {
        let folder = site(aquifer, head);
        let tanks = place("tanks", MultiPoint(vec![c(330.0, 110.0).into(), c(50.0, 310.0).into()]));
        let bend = line(&[(190.0, 400.0), (190.0, 205.0), (350.0, 205.0), (350.0, 0.0)]);
        let (map, toward, _) = followed(&folder, vec![tanks], vec![place("creek", bend)]);
        let toward = toward.expect("an answer");
        let v = &toward.verdicts[0];
        assert_eq!((v.paths, v.reaching), (2, 2));
        near(v.length_m, 140.0 * map.control.frame().metres_per_unit(), 1e-3);
        // 140 m at v = K i / n, 20 x 0.01 / 0.2 at most and 5 x 0.01 / 0.3 at least.
        if let Some(days) = v.days {
            assert!(days.low < 140.0 && days.low > 120.0, "{days:?}");
            assert!(days.high > 840.0 && days.high < 950.0, "{days:?}");
        }
        assert_eq!(v.days.is_some(), !aquifer.is_empty());
    }
}

#[test]
fn a_pumped_well_without_rate_or_transmissivity_is_told_and_an_empty_zone_has_no_width() {
    let pumped = "[[pumped_wells]]\nwell = \"X\"\neasting = 500250\nnorthing = 4980250\n";
    let transmissivity = "[aquifer]\ntransmissivity = [150, 250]\ntransmissivity_unit = \"m2/d\"\n";
    let unit = "pumping_rate_unit = \"m3/d\"\n";
    for (more, missing) in [
        (format!("{pumped}{transmissivity}{unit}"), "rate"),
        (format!("{pumped}rate = 50\n{transmissivity}"), "pumping_rate_unit"),
        (format!("{pumped}rate = 50\n[aquifer]\n{unit}"), "transmissivity"),
    ] {
        let (map, toward, findings) = followed(&site(&more, plane), vec![], vec![]);
        let toward = toward.expect("an answer");
        let told = of(Code::NoClosedForm, &findings);
        assert_eq!(told.len(), 1, "T512 {missing}");
        gives(told[0], &[missing]);
        let results = Results { toward: Some(&toward), ..Results::of(&map, &findings) };
        let row = &TowardSummary::of(&results).expect("an answer").pumped_wells[0];
        assert_eq!(row.nodes_captured, 0);
        assert_eq!((row.mapped_width_m, row.mapped_area_m2), (None, None));
    }
    // A well that recharges captures nothing, and lacks nothing.
    let more = format!("{pumped}rate = -50\n{transmissivity}{unit}");
    let (_, _, findings) = followed(&site(&more, plane), vec![], vec![]);
    assert!(of(Code::NoClosedForm, &findings).is_empty());
}

#[test]
fn a_land_surface_in_the_wrong_unit_or_place_is_told() {
    let wells = "id,easting,northing,measuring_point_elevation,ground_elevation\n";
    let register = |folder: &Folder, ground: f64| {
        let mut text = wells.to_owned();
        for k in 0..30 {
            let (x, y) = (100 * (k % 6), 100 * (k / 6));
            writeln!(text, "W-{k},{},{},56.0,{ground}", 500_000 + x, 4_980_000 + y).expect("text");
        }
        folder.file("wells.csv", text);
    };
    let told = |ground_m: f64, raster: f64| {
        let folder = site(GROUND, plane);
        register(&folder, ground_m);
        ground(&folder, 60, |_, _| raster);
        let (_, toward, findings) = followed(&folder, vec![tank()], vec![]);
        toward.expect("an answer");
        let told = of(Code::GroundUnlikeWells, &findings);
        told.first().map(|t| (*t).clone())
    };
    // The raster is declared in feet: 55 m are 180 ft.
    assert_eq!(told(55.0, 55.0 / 0.3048), None);
    assert_eq!(told(55.0, 57.9 / 0.3048), None);
    gives(&told(55.0, 55.0).expect("T513: metres under feet"), &["38.2 m", "30 wells"]);
    gives(&told(55.0, 60.0 / 0.3048).expect("T513: 5 m above"), &["5.0 m"]);
    // Far from the site.
    let folder = site(GROUND, plane);
    ground(&folder, 60, |_, _| 180.0);
    let text = text(folder.path().join("land.asc"));
    folder.file("land.asc", text.replace("xllcorner 499950", "xllcorner 599950"));
    let (_, toward, _) = followed(&folder, vec![tank()], vec![]);
    let error = toward.expect_err("T514");
    assert_eq!(of(Code::GroundElsewhere, error.diagnostics()).len(), 1, "{error}");
}

/// A site in feet on a grid in metres: what is printed is in feet throughout, and the bearing stands
/// beside the direction of flow and its interval, on paper and in the table.
#[test]
fn a_site_in_feet_is_told_in_feet_with_bearings_beside_the_flow() {
    let folder = Folder::new();
    folder.file(
        "site.toml",
        "[site]\nname = \"Low Ings (invented)\"\ncrs = \"EPSG:26915\"\nelevation_unit = \
         \"ft\"\nvertical_datum = \"NAVD 88\"\n[[sources]]\nname = \"tank\"\neasting = \
         500110\nnorthing = 4980210\n[[receptors]]\nname = \"line\"\nline = [[500350, 4980040], \
         [500350, 4980360]]\n[[pumped_wells]]\nwell = \"W-8\"\n",
    );
    let mut register = "id,easting,northing\n".to_owned();
    let mut round = "id,date,elevation\n".to_owned();
    for k in 0..30 {
        let (x, y) = (100 * (k % 6), 100 * (k / 6));
        writeln!(register, "W-{k},{},{}", 500_000 + x, 4_980_000 + y).expect("text");
        writeln!(round, "W-{k},2026-05-04,{}", 150.0 - 0.016 * f64::from(x)).expect("text");
    }
    folder.file("wells.csv", register);
    folder.file("rounds/spring.csv", round);
    let out = folder.path().join("toward");
    let told = stdout(&runs(&["toward", "--out"], &[&out, folder.path()]));
    for heading in ["from ft", "to ft", "over ft", "mapped width ft", "flow at the source"] {
        assert!(told.contains(heading), "no {heading} in {told}");
    }
    for heading in ["from m ", "over m ", "width m ", "area m2"] {
        assert!(!told.contains(heading), "{heading} in {told}");
    }
    // The line is 320 m long: 1050 ft.
    let reach = told.lines().find(|l| l.trim_start().starts_with("line ")).expect("a reach");
    let heading = told.lines().find(|l| l.contains("from ft")).expect("a heading");
    assert!(heading.contains("level on it ft"), "{heading}");
    assert!(reach.contains("1050") || told.contains(" 1050 "), "{told}");
    let mut table = csv::Reader::from_path(out.join("receptors.csv")).expect("a table");
    let row: std::collections::BTreeMap<String, String> =
        table.deserialize().next().expect("a row").expect("a row");
    let json: Value =
        serde_json::from_slice(&std::fs::read(out.join("summary.json")).expect("a file"))
            .expect("JSON");
    let source = &json["toward"]["sources"][0];
    for member in ["flow_azimuth_true_deg", "flow_from_true_deg", "flow_to_true_deg"] {
        let of_source = source[member].as_f64().expect("a direction");
        assert_eq!(row[member].parse::<f64>(), Ok(of_source), "{member}");
        let printed = format!("{of_source:.0}°");
        assert!(told.contains(&printed), "no {printed} in {told}");
    }
    assert_eq!(row["bearing_in_flow_interval"], "true");
}

/// Three wells along a fence, the middle one a little inside and higher: the triangle between them
/// falls out of the map at 1.8, and all around it the water flows to the north.
#[test]
fn a_source_in_a_triangle_on_one_line_has_the_flow_of_its_neighbours() {
    let wells = [(0.0, 0.0), (100.0, 0.5), (200.0, 0.0), (20.0, 150.0), (180.0, 150.0)];
    let folder = of_wells(&wells, "[grid]\ncell = 2\n", |x, y| match (x, y) {
        (100.0, _) => 10.9,
        (_, 0.0) => 10.0,
        _ => 6.0,
    });
    let sources = vec![
        place("pit", Point(c(90.0, 0.2))),
        // The well in the middle itself, from which the fence's triangle is the steepest way.
        place("well", Point(c(100.0, 0.5))),
    ];
    let north = place("north", line(&[(0.0, 140.0), (200.0, 140.0)]));
    let (map, toward, findings) = followed(&folder, sources, vec![north]);
    assert!(map.mesh.triangles().iter().any(Triangle::is_line));
    let toward = toward.expect("an answer");
    for (k, verdict) in toward.verdicts.iter().enumerate() {
        assert_eq!(verdict.outcome, Outcome::Reaches, "{k}");
        assert!(toward.paths[k].path.heads.windows(2).all(|h| h[1] < h[0]), "{k}");
        let flow = toward.places[k].flow.expect("a flow");
        let azimuth = flow.azimuth_grid.expect("a direction").degrees();
        assert!(!(60.0..300.0).contains(&azimuth), "{k}: {azimuth}");
    }
    // Not farther than the triangle is high.
    let begin = map.control.frame().to_crs(toward.paths[0].path.points[0]);
    near(begin.x, c(90.0, 0.0).x, 0.01);
    near(begin.y, c(0.0, 0.45).y, 0.01);
    assert!(of(Code::OffTheMap, &findings).is_empty());
}

/// The grid's surface ends up to a cell within the outline: what lies within a cell of a path's end
/// there is reached, and said to be so as far as the grid can tell. Triangles are exact.
#[test]
fn a_receptor_at_the_edge_is_reached_as_far_as_the_grid_can_tell() {
    let surface = |method: &str| format!("{AQUIFER}[grid]\ncell = 6\nsurface = \"{method}\"\n");
    let at = |x: f64| place("creek", line(&[(x, 0.0), (x, 400.0)]));
    for method in ["thin-plate", "natural-neighbour"] {
        let folder = site(&surface(method), plane);
        // The last column of nodes is 2 m within the outline at 500 m.
        let (map, toward, findings) = followed(&folder, vec![tank()], vec![at(500.0), at(506.0)]);
        let toward = toward.expect("an answer");
        let [edge, beyond] = &toward.verdicts[..] else { panic!("two verdicts") };
        assert_eq!((edge.outcome, edge.reaching, edge.at_edge), (Outcome::Reaches, 1, 1));
        let off = edge.meeting.expect("a meeting").nearest.distance_m;
        assert!(off > 0.5 && off <= 6.0, "{off}");
        near(edge.length_m + off, 400.0 * map.control.frame().metres_per_unit(), 0.05);
        assert!(edge.days.is_some(), "reached in some time");
        assert_eq!((beyond.outcome, beyond.at_edge), (Outcome::LeavesMap, 0));
        let said = toward.answer(edge, &map.control);
        assert!(said.contains("at the edge of the map within one cell, 6"), "{said}");
        let results = Results { toward: Some(&toward), ..Results::of(&map, &findings) };
        let summary = TowardSummary::of(&results).expect("an answer");
        assert!(summary.paths_by.contains("within one cell (6"), "{}", summary.paths_by);
        assert_eq!(summary.verdicts[0].paths_reaching_at_edge, 1);
        near(summary.distances.edge_m.expect("a cell"), 6.0, 0.01);
    }
    let (map, toward, _) =
        followed(&site(AQUIFER, plane), vec![tank()], vec![at(500.0), at(501.0)]);
    let toward = toward.expect("an answer");
    let [edge, beyond] = &toward.verdicts[..] else { panic!("two verdicts") };
    assert_eq!((edge.outcome, edge.at_edge), (Outcome::Reaches, 0));
    near(edge.length_m, 400.0 * map.control.frame().metres_per_unit(), 1e-3);
    assert_eq!(beyond.outcome, Outcome::LeavesMap);
    assert!(toward.edge_m.is_none() && !toward.answer(edge, &map.control).contains("grid"));
}

/// Distances by Pythagoras, 3, 4, 5: 300 m beyond one side and 400 m beyond the other of the wells'
/// corner.
#[test]
fn how_far_a_place_lies_off_the_map_and_why_is_told() {
    let off = |folder: &Folder, x: f64, y: f64| {
        let (_, _, findings) = followed(folder, vec![tank()], vec![place("inn", Point(c(x, y)))]);
        let told = of(Code::OffTheMap, &findings);
        assert_eq!(told.len(), 1, "{findings:#?}");
        told[0].clone()
    };
    let open = site(AQUIFER, plane);
    gives(&off(&open, 800.0, 800.0), &["inn", "500 m"]);
    // Wells span 500 by 400 m, 640 m: a hundred kilometres are no part of that.
    gives(&off(&open, 100_500.0, 200.0), &["100 km", "640 m"]);
    // A wall along x = 250 takes out the triangles between the wells at 200 and at 300 m.
    let features = "[features]\nbarriers = { file = \"wall.csv\", crs = \"EPSG:26915\" }\n";
    let parted = site(&format!("{AQUIFER}{features}"), plane);
    let [a, b] = [c(250.0, -50.0), c(250.0, 450.0)];
    let wall = format!("LINESTRING ({} {}, {} {})", a.x, a.y, b.x, b.y);
    parted.file("wall.csv", format!("WKT,name\n\"{wall}\",wall\n"));
    gives(&off(&parted, 240.0, 200.0), &["40 m"]);
}
