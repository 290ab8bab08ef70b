//! Streams and drains as control points.

use std::fmt::Write as _;

use headfall::diag::Code;
use headfall::read::Method;
use headfall::triangulate::Mark;

use super::{EAST, NORTH, by, from_corner, map_with, read, ring, site};
use crate::support::{Folder, gives, near, of, text};

const SURVEY_SD_M: f64 = 0.01;

fn wells() -> Vec<(f64, f64, f64)> {
    (0..20)
        .map(|k| {
            let x = f64::from(k % 5) * 100.0 + f64::from(k * k % 13);
            let y = 60.0 + f64::from(k / 5) * 100.0 + f64::from(k * 7 % 11);
            (x, y, 50.0 - 0.001 * x + 0.006 * y)
        })
        .collect()
}

/// A site with a creek given as one line of WKT, its fields, and what is said about it.
fn beside(creek: &str, fields: &str, values: &str, said: &str, more: &str) -> Folder {
    let toml = format!(
        "[grid]\ncell = 5\n[features]\n{more}\n\
         streams = {{ file = \"creek.csv\", crs = \"EPSG:26915\"{said} }}"
    );
    let folder = site(&wells(), &toml);
    folder.file("creek.csv", format!("WKT,{fields}\n\"{creek}\",{values}\n"));
    folder
}

/// A bent creek of 150 + 250 m: 3-4-5 triangles keep its lengths whole.
const CREEK: [(f64, f64); 3] = [(0.0, 90.0), (120.0, 0.0), (270.0, -200.0)];

fn sloping(spacing: &str) -> Folder {
    beside(
        &format!("LINESTRING ({})", ring(&CREEK)),
        "name,up,down",
        "Creek,50.2,49.8",
        ", stage_start = \"up\", stage_end = \"down\"",
        &format!("stream_spacing = {spacing}\nstream_reach = 1000"),
    )
}

#[test]
fn the_stage_falls_in_proportion_to_the_length() {
    let (site, _) = read(&sloping("50")).expect("a site");
    let points = &site.features.stream_points;
    // 400 m in pieces of 50 m. The bend is at 150 m; 4/5 and 3/5 of a metre east for each metre.
    let expected = (0..=8).map(|k| {
        let s = 50.0 * f64::from(k);
        let (x, y) = if s <= 150.0 {
            (0.8 * s, 90.0 - 0.6 * s)
        } else {
            (120.0 + 0.6 * (s - 150.0), -0.8 * (s - 150.0))
        };
        (format!("Creek @ {s} m"), x, y, 50.2 - 0.001 * s)
    });
    assert_eq!(points.len(), 9);
    for ((name, x, y, stage), point) in expected.zip(points) {
        assert_eq!(point.name, name);
        near(point.position.x - EAST, x, 1e-9);
        near(point.position.y - NORTH, y, 2e-9);
        near(point.stage, stage, 1e-9);
    }
    // Without a spacing the points stand as far apart as the wells usually do: about 100 m.
    let folder = sloping("50");
    folder.change("site.toml", |toml| toml.replace("stream_spacing = 50", ""));
    let (site, _) = read(&folder).expect("a site");
    let count = site.features.stream_points.len();
    assert!((4..=6).contains(&count), "{count} points");
}

#[test]
fn the_stage_is_that_of_the_heights_of_a_field_or_of_a_number() {
    let line = |z: [f64; 3]| {
        let words: Vec<String> = CREEK
            .iter()
            .zip(z)
            .map(|((x, y), z)| format!("{} {} {z}", EAST + x, NORTH + y))
            .collect();
        format!("LINESTRING Z ({})", words.join(", "))
    };
    let heights = line([164.0, 163.5, 163.0]);
    let more = "stream_spacing = 75\nstream_reach = 1000";
    let stages = |folder: &Folder| -> Vec<f64> {
        let (site, _) = read(folder).expect("a site");
        site.features.streams[0].stages.clone()
    };
    // Heights in international feet: 0.3048 m exactly.
    let feet = beside(&heights, "name", "C", ", unit = \"ft\"", more);
    for (found, expected) in stages(&feet).iter().zip([49.9872, 49.8348, 49.6824]) {
        near(*found, expected, 1e-12);
    }
    let field = beside(&heights, "name,st", "C,49.5", ", stage = \"st\"", more);
    assert_eq!(stages(&field), [49.5; 3]);
    let number = beside(&heights, "name", "C", ", stage = 49.25", more);
    assert_eq!(stages(&number), [49.25; 3]);
    // Places whose stage was read, one each.
    let two = format!("MULTIPOINT (({}), ({}))", ring(&CREEK[..1]), ring(&CREEK[1..2]));
    let places = beside(&two, "name,st", "Pond,49.5", ", stage = \"st\"", more);
    let (site, _) = read(&places).expect("a site");
    let names: Vec<&str> = site.features.stream_points.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, ["Pond", "Pond (2)"]);
}

#[test]
fn streams_carry_the_surface_and_neither_the_plane_nor_the_checks_of_wells() {
    let (with, without) = (
        by(&sloping("20"), Method::Linear),
        by(&site(&wells(), "[grid]\ncell = 5"), Method::Linear),
    );
    assert!(with.control.points().len() > without.control.points().len() + 15);
    let bits = |m: &headfall::run::Map| {
        let plane = &m.flow.plane;
        (
            plane.slope.east.to_bits(),
            plane.slope.north.to_bits(),
            plane.residual_sd.map(f64::to_bits),
        )
    };
    assert_eq!(bits(&with), bits(&without), "the plane");
    let stated = |m: &headfall::run::Map| m.uncertainty.plane.as_ref().map(|p| p.stated);
    assert_eq!(stated(&with), stated(&without), "its interval");
    assert_eq!(with.uncertainty.spacing_m.to_bits(), without.uncertainty.spacing_m.to_bits());
    assert_eq!(with.flow.plane.residuals.len(), with.control.points().len());
    let of_wells = |m: &headfall::run::Map| -> Vec<_> {
        m.control.wells().iter().map(|i| m.control.points()[*i].leave_one_out).collect()
    };
    assert_eq!(of_wells(&with), of_wells(&without));
    for (i, p) in with.control.points().iter().enumerate() {
        if p.stream().is_some() {
            assert_eq!(p.leave_one_out, None);
            let head = with.uncertainty.heads[i];
            near(head.sd_m, SURVEY_SD_M, 1e-12);
            // The surface has the stage at the creek.
            assert!(with.mesh.triangles().iter().any(|t| t.corners.contains(&i)));
        }
    }
    let one = |m: &headfall::run::Map| {
        m.mesh.triangles().iter().filter(|t| t.marks.contains(&Mark::OneStream)).count()
    };
    assert_eq!(one(&without), 0);
    let stream = |i: usize| with.control.points()[i].stream().is_some();
    let all_three =
        with.mesh.triangles().iter().filter(|t| t.corners.iter().all(|i| stream(*i))).count();
    assert!(all_three > 0);
    assert_eq!(one(&with), all_three, "the creek is one stream");
    // The vector mean is that of the others, weighted by area.
    let (mut area, mut east) = (0.0, 0.0);
    for (t, flow) in with.mesh.triangles().iter().zip(&with.flow.triangles) {
        if let Some(slope) = flow.slope.filter(|_| !t.corners.iter().all(|i| stream(*i))) {
            area += t.area_m2;
            east += t.area_m2 * slope.east;
        }
    }
    let mean = &with.flow.mean;
    let toward = mean.azimuth_grid.expect("a direction").degrees().to_radians();
    near(-mean.gradient * libm::sin(toward), east / area, 1e-12);
}

#[test]
fn triangles_on_one_stream_are_told() {
    let (_, findings) = map_with(&sloping("20"), |_| ());
    let told = of(Code::OneStream, &findings);
    assert_eq!(told.len(), 1);
}

#[test]
fn the_covariance_is_fitted_to_wells_alone() {
    let fitted = |folder: &Folder| {
        let (map, findings) = map_with(folder, |site| {
            site.settings.surface.method = Method::Kriging;
            site.settings.surface.kriging.drift = Some(true);
        });
        let map = map.unwrap_or_else(|e| panic!("{e:?} {findings:?}"));
        let covariance = &map.surface.kriging.as_ref().expect("a report").covariance;
        (covariance.partial_sill.to_bits(), covariance.range_m.to_bits())
    };
    let bumpy: Vec<_> = wells()
        .into_iter()
        .enumerate()
        .map(|(i, (x, y, h))| (x, y, h + 0.2 * libm::sin(1.7 * i as f64)))
        .collect();
    let plain = site(&bumpy, "[grid]\ncell = 10");
    let beside = sloping("20");
    for file in ["wells.csv", "rounds/spring.csv"] {
        let text = std::fs::read(plain.path().join(file)).expect("a file");
        beside.file(file, text);
    }
    assert_eq!(fitted(&plain), fitted(&beside));
}

#[test]
fn where_a_well_stands_or_two_streams_meet_a_point_gives_way() {
    let mut wells = wells();
    // A gauge in the creek, 0.5 m from the point at 100 m of 50 m pieces.
    wells.push((80.3, 30.4, 50.1));
    let toml = "[grid]\ncell = 5\n[features]\nstream_spacing = 50\nstream_reach = 1000\n\
                streams = { file = \"creek.csv\", crs = \"EPSG:26915\", stage = \"st\" }";
    let folder = site(&wells, toml);
    let side = [(120.0, 0.0), (220.0, 0.0)];
    folder.file(
        "creek.csv",
        format!(
            "WKT,name,st\n\"LINESTRING ({})\",Creek,50.0\n\"LINESTRING ({})\",Ditch,50.0\n",
            ring(&CREEK),
            ring(&side)
        ),
    );
    let (map, findings) = map_with(&folder, |_| ());
    let map = map.expect("no two control points at one position");
    let told = of(Code::StreamGivesWay, &findings);
    let messages: Vec<&str> = told.iter().map(|d| d.message.as_str()).collect();
    assert_eq!(told.len(), 2, "{messages:?}");
    assert!(messages.iter().any(|m| m.contains("Creek @ 100 m")));
    assert!(messages.iter().any(|m| m.contains("@ 0 m") || m.contains("Creek @ 150 m")));
    let named: Vec<&String> = told.iter().flat_map(|d| &d.wells).collect();
    assert_eq!(named.len(), 2, "each is named: {named:?}");
    let kept = map.control.points().iter().filter(|p| named.contains(&&p.id));
    assert_eq!(kept.count(), 0, "and carries nothing");
}

#[test]
fn a_stream_beyond_the_wells_reach_or_of_another_unit_carries_nothing() {
    let folder = sloping("50");
    folder.change("site.toml", |toml| toml.replace("stream_reach = 1000", "stream_reach = 120"));
    let (site, findings) = read(&folder).expect("a site");
    let told = of(Code::StreamShortened, &findings);
    assert_eq!(told.len(), 1);
    let kept = site.features.stream_points.len();
    assert!((2..9).contains(&kept), "{kept}");
    for p in &site.features.stream_points {
        let nearest = site
            .wells
            .iter()
            .map(|w| libm::hypot(w.easting - p.position.x, w.northing - p.position.y))
            .fold(f64::INFINITY, f64::min);
        assert!(nearest <= 120.0, "{} is {nearest} m away", p.name);
    }
    assert!(told[0].message.contains(&format!("{kept} of 9 points")), "{}", told[0].message);

    folder.change("site.toml", |toml| {
        let toml = toml.replace("stream_reach = 120", "stream_reach = 1000");
        let toml = toml.replace("vertical_datum", "aquifer_unit = \"deep gravel\"\nvertical_datum");
        toml.replace("stage_start", "aquifer_unit = \"Sand\", stage_start")
    });
    let (site, findings) = read(&folder).expect("a site");
    assert!(site.features.stream_points.is_empty());
    let told = of(Code::StreamShortened, &findings);
    gives(told[0], &["\"Sand\"", "\"deep gravel\""]);
}

#[test]
fn fewer_than_three_wells_are_too_few_however_many_points_a_stream_has() {
    let folder = sloping("20");
    for (file, lines) in [("wells.csv", 3), ("rounds/spring.csv", 3)] {
        let text = text(folder.path().join(file));
        let text: Vec<&str> = text.lines().take(lines).collect();
        folder.file(file, text.join("\n"));
    }
    let (map, findings) = map_with(&folder, |_| ());
    assert!(map.is_err());
    gives(of(Code::FewWells, &findings)[0], &["2 usable"]);
}

#[test]
fn a_register_in_degrees_takes_streams_too() {
    // The wells as longitude and latitude, the creek in the project CRS.
    let folder = sloping("50");
    let (plain, _) = read(&folder).expect("a site");
    let crs = headfall::geom::Crs::lookup("EPSG:26915").expect("known");
    let mut text = "id,longitude,latitude\n".to_owned();
    for w in &plain.wells {
        let mut p = [geo::Coord { x: w.easting, y: w.northing }];
        crs.to_lon_lat(&mut p).expect("inside");
        let _ = writeln!(text, "{},{:.10},{:.10}", w.id, p[0].x, p[0].y);
    }
    folder.file("wells.csv", text);
    folder.change("site.toml", |toml| {
        toml.replace("elevation_unit", "coordinates_crs = \"EPSG:4326\"\nelevation_unit")
    });
    let (map, findings) = map_with(&folder, |_| ());
    let map = map.unwrap_or_else(|e| panic!("{e:?} {findings:?}"));
    let creek: Vec<_> = map.control.points().iter().filter(|p| p.stream().is_some()).collect();
    assert_eq!(creek.len(), 9);
    let first = creek.iter().find(|p| p.id == "Creek @ 0 m").expect("the first");
    let at = from_corner(first.crs);
    near(at.x, 0.0, 1e-4);
    near(at.y, 90.0, 1e-4);
}
