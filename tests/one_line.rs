//! Three wells on one line beside others: such a triangle has no gradient, and the rest of the map
//! does not suffer from it.

use std::fmt::Write as _;

use headfall::diag::Code;
use headfall::read::Overrides;
use headfall::report::Results;
use headfall::run;
use headfall::triangulate::Mark;
use serde_json::Value;

use crate::support::{EAST, Folder, NORTH, json, map, near, of, of_wells, text, told};

/// Three wells along a fence that bears 71.6 degrees, two beside it, and their heads, m.
const FENCE: [(f64, f64, f64); 5] = [
    (0.0, 0.0, 10.0),
    (100.2, 33.4, 10.9),
    (200.4, 66.8, 9.7),
    (20.0, 150.0, 11.2),
    (180.0, 190.0, 11.0),
];

/// The fence with its middle well moved north.
fn fence(moved: f64) -> Vec<(f64, f64)> {
    FENCE
        .iter()
        .map(|&(x, y, _)| (x, if y.total_cmp(&33.4).is_eq() { y + moved } else { y }))
        .collect()
}

fn folder(moved: f64) -> Folder {
    of_wells(&fence(moved), "[grid]\ncell = 2.0\n", |x, _| {
        FENCE.iter().find(|w| w.0.total_cmp(&x).is_eq()).expect("a well").2
    })
}

/// The mean slope within a ring of wells from the heads along it: the integral of head times the
/// normal over the area, by the divergence theorem.
fn mean_within(ring: &[usize], places: &[(f64, f64)]) -> (f64, f64) {
    let (mut east, mut north, mut area) = (0.0, 0.0, 0.0);
    for (k, i) in ring.iter().enumerate() {
        let j = ring[(k + 1) % ring.len()];
        let ((px, py), (qx, qy)) = (places[*i], places[j]);
        let head = f64::midpoint(FENCE[*i].2, FENCE[j].2);
        east += head * (qy - py);
        north -= head * (qx - px);
        area += (px * qy - qx * py) / 2.0;
    }
    (east / area, north / area)
}

#[test]
fn wells_along_a_fence_do_not_turn_the_mean() {
    for moved in [-0.5, 0.0, 0.5] {
        let folder = folder(moved);
        let (map, findings) = map(folder.path(), &Overrides::default());
        let map = map.expect("a map");
        let lines = map.mesh.triangles().iter().filter(|t| t.is_line()).count();
        // South of the line the middle well is a corner of the outline.
        assert_eq!(lines, usize::from(moved >= 0.0), "{:?}", map.mesh.triangles());
        let told = of(Code::OneLine, &findings);
        assert_eq!(told.len(), lines, "{findings:?}");
        for told in told {
            assert_eq!(told.wells.len(), 3);
        }
        for (t, f) in map.mesh.triangles().iter().zip(&map.flow.triangles) {
            assert_eq!(t.is_line(), f.gradient.is_none());
            assert_eq!(t.is_line(), f.slope.is_none());
            assert!(!t.is_line() || (f.azimuth_grid.is_none() && f.azimuth_true.is_none()));
            assert!(f.gradient.is_none_or(|g| g < 0.05), "{:?}", f.gradient);
        }
        for (error, f) in map.uncertainty.triangles.iter().zip(&map.flow.triangles) {
            assert_eq!(error.is_some(), f.gradient.is_some());
        }
        // All that the wells enclose, along the fence from well to well.
        let (east, north) = mean_within(&[0, 1, 2, 4, 3], &fence(moved));
        near(map.flow.mean.gradient, libm::hypot(east, north), 1e-9);
        let toward = libm::atan2(-east, -north).to_degrees().rem_euclid(360.0);
        near(map.flow.mean.azimuth_grid.expect("a direction").degrees(), toward, 1e-6);
    }
}

#[test]
fn the_surface_keeps_the_head_of_the_well_in_the_middle() {
    let folder = folder(0.0);
    let (map, _) = map(folder.path(), &Overrides::default());
    let map = map.expect("a map");
    let spec = *map.surface.heads.spec();
    let mut near_middle = 0;
    for row in 0..spec.rows {
        for column in 0..spec.columns {
            let (at, head) = (spec.node(row, column), map.surface.heads.head(row, column));
            let Some(head) = head else { continue };
            assert!((9.7..=11.2).contains(&head), "{head} at {at:?}");
            if libm::hypot(at.x - EAST - 100.2, at.y - NORTH - 33.4) < 3.0 {
                near_middle += 1;
                near(head, 10.9, 0.05);
            }
        }
    }
    assert!(near_middle > 0, "there are nodes beside the well");
}

#[test]
fn a_triangle_on_one_line_stays_in_the_files_with_its_mark() {
    let folder = folder(0.0);
    let mut findings = Vec::new();
    let out = folder.path().join("results");
    run::draw(folder.path(), &Overrides::default(), Some(&out), &mut findings).expect("files");
    let text = |name: &str| text(out.join(name));
    for layer in ["triangles.geojson", "flow.geojson"] {
        let layer = json(out.join(layer));
        let features = layer["features"].as_array().expect("features");
        assert_eq!(features.len(), 4);
        let on_line: Vec<&Value> = features
            .iter()
            .map(|f| &f["properties"])
            .filter(|p| p["marks"] == serde_json::json!(["one-line"]))
            .collect();
        let [one] = on_line[..] else { panic!("one triangle is marked: {features:#?}") };
        for nothing in ["gradient", "flow_azimuth_true_deg", "flow_azimuth_grid_deg"] {
            assert_eq!(one[nothing], Value::Null, "{nothing}");
        }
        assert_eq!(one["direction_resolved"], Value::Bool(false));
    }
    let table = text("triangles.csv");
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    let headings = rows.headers().expect("headings").clone();
    let of = |row: &csv::StringRecord, name: &str| {
        let at = headings.iter().position(|h| h == name).expect("a column");
        row[at].to_owned()
    };
    let rows: Vec<csv::StringRecord> = rows.records().map(|r| r.expect("a row")).collect();
    assert_eq!(rows.len(), 4);
    let on_line = rows.iter().find(|r| of(r, "marks") == "one-line").expect("its row");
    for nothing in ["gradient", "gradient_low", "direction_spread_deg", "base_to_height"] {
        assert_eq!(of(on_line, nothing), "", "{nothing}");
    }
    let summary = json(out.join("summary.json"));
    assert_eq!(summary["counts"]["marks"]["one-line"], 1);
    assert_eq!(summary["counts"]["marks"]["sliver"], 0);
    assert_eq!(summary["counts"]["flat_triangles"], 0, "it is not flat, it has no gradient");
}

/// Five wells by lot, three of them on a diagonal to the last digit, beside a barrier: positions on
/// the ground leave the triangle of the three no height at all, and its base over its height is no
/// number.
#[test]
fn a_triangle_without_any_height_is_told_in_words() {
    let folder = Folder::new();
    folder.file(
        "site.toml",
        "[site]\nname = \"Diagonal (invented)\"\ncrs = \"EPSG:3857\"\nelevation_unit = \"ft\"\n\
         [features]\nbarriers = { file = \"barriers.csv\", crs = \"EPSG:3857\" }\n",
    );
    folder.file(
        "barriers.csv",
        "name,WKT\nwall,\"LINESTRING(1447165.80 5941947.52,1447229.91 5941941.88,1447289.21 5941947.52)\"\n",
    );
    folder.file(
        "wells.csv",
        "id,easting,northing,elevation\nW0,1447100,5942000,100.04\nW1,1447205,5941895,100.62\n\
         W2,1447310,5941790,101.2\nW3,1447205,5942105,100\nW4,1447310,5942000,100.38\n",
    );
    let mut findings = Vec::new();
    let table = folder.path().join("wells.csv");
    let out = folder.path().join("out");
    // The barrier crosses the other triangles.
    run::draw(&table, &Overrides::default(), Some(&out), &mut findings).expect_err("no map");
    told(&findings, Code::Sliver);
}

/// A straight creek beside the wells puts many points on one line.
#[test]
fn a_straight_creek_makes_no_endless_gradients() {
    let wells: Vec<(f64, f64)> =
        (0..9).map(|k| (f64::from(k % 3) * 150.3, f64::from(k / 3) * 140.7)).collect();
    let more = "[features]\nstreams = { file = \"creek.csv\", crs = \"EPSG:26915\", stage_start = \
                \"up\", stage_end = \"down\" }\nstream_spacing = 23.0\n";
    let folder = of_wells(&wells, more, |x, y| 50.0 - 0.002 * x + 0.003 * y);
    let mut creek = "WKT,name,up,down\n".to_owned();
    let (x, y) = (EAST, NORTH);
    writeln!(
        creek,
        "\"LINESTRING ({} {},{} {})\",Creek,49.9,49.1",
        x - 10.0,
        y - 15.0,
        x + 310.0,
        y - 17.7
    )
    .expect("text");
    folder.file("creek.csv", creek);
    let (map, findings) = map(folder.path(), &Overrides::default());
    let map = map.expect("a map");
    let lines = map.mesh.triangles().iter().filter(|t| t.marks.contains(&Mark::OneLine)).count();
    assert!(lines > 0, "the creek has triangles on one line");
    for f in &map.flow.triangles {
        assert!(f.gradient.is_none_or(|g| g < 0.1), "{:?}", f.gradient);
    }
    let longest = findings.iter().map(|f| f.message.len()).max().unwrap_or(0);
    assert!(longest < 400, "no number runs on: {findings:#?}");
}

/// Leaving the middle well out counts the fall along the fence between its neighbours.
#[test]
fn leaving_a_well_on_the_line_out_is_counted() {
    let folder = folder(0.0);
    let mut findings = Vec::new();
    let compared = run::cross_validate(folder.path(), &Overrides::default(), &mut findings)
        .expect("a comparison");
    let middle = compared.control.points().iter().position(|p| p.id == "W-1").expect("the well");
    let without = compared.comparison.without[middle].mean.expect("a mean");
    let (east, north) = mean_within(&[0, 2, 4, 3], &fence(0.0));
    near(without.gradient, libm::hypot(east, north), 1e-9);
}

/// A base of 100 m and a height of 100/5.02 m: a value is told so that it exceeds its bound, and one
/// triangle in the singular.
#[test]
fn the_thinnest_triangle_is_told_so_that_it_is_thinner_than_the_bound() {
    let wells = [(0.0, 0.0), (100.0, 0.0), (50.0, 100.0 / 5.02), (50.0, 200.0)];
    let (_, findings) =
        map(of_wells(&wells, "", |x, y| 10.0 - 0.01 * x + 0.02 * y).path(), &Overrides::default());
    let told = of(Code::Sliver, &findings);
    assert_eq!(told.len(), 1, "{findings:#?}");
    let said = &told[0].message;
    assert!(said.starts_with("1 of 3 triangles has a base more than 5 times its height"), "{said}");
    assert!(said.ends_with("has 5.02"), "{said}");
}

/// Flow along a long triangle: the heads tell that it flows, and hardly whereto. By Fieller the half
/// width is asin(1.96/R) in components over their standard deviations, of which the one across is
/// some ten times the other.
#[test]
fn the_readings_may_resolve_a_wide_direction_but_a_marked_triangle_counts_for_nothing() {
    let wells = [(0.0, 0.0), (1000.0, 0.0), (500.0, 60.0)];
    let folder = of_wells(&wells, "", |x, _| 10.0 - 6e-5 * x);
    let (map, findings) = map(folder.path(), &Overrides::default());
    let map = map.unwrap_or_else(|e| panic!("{e} {findings:#?}"));
    let error = map.uncertainty.triangles[0].expect("a gradient");
    assert!(error.resolved && error.direction.width_deg() > 150.0, "{error:?}");
    let results = Results::of(&map, &findings);
    assert!(map.mesh.triangles()[0].is_thin(), "a sliver");
    assert!(!results.resolves(0) && results.known(0).is_none());
    assert_eq!((results.resolved().fit, results.resolved().resolved), (0, 0));
}
