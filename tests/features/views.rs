//! Views past a wall, against general-purpose libraries that work every place out anew:
//! `tests/data/barriers/make.py` with shapely, SciPy and NumPy.

use geo::{Coord, Intersects, Line, LineString};
use headfall::cross_validate::LeftOut;
use headfall::read::{Method, Overrides};
use headfall::run::{self, Map};
use headfall::toward::Way;
use serde_json::Value;

use super::walled::{heads, line, map_by, walled, wells};
use super::{EAST, NORTH, from_corner, map_with};
use crate::support::{Folder, gives, near};

fn reference() -> Value {
    let file =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/barriers/past.json");
    serde_json::from_slice(&std::fs::read(file).expect("values")).expect("JSON")
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

/// The reference's site.
fn past(reference: &Value) -> Folder {
    let points = reference["wall"].as_array().expect("a wall");
    let wall = points.iter().map(|p| (number(&p[0]), number(&p[1]))).collect::<LineString>();
    let toml = format!(
        "[grid]\ncell = 10\n[uncertainty]\nreading_sd = 0.0\nsurvey_sd = {}\n[kriging]\nmodel = \
         \"exponential\"\ndrift = \"linear\"\nrange = {}\npartial_sill = {}\n",
        reference["sd"], reference["range"], reference["sill"]
    );
    let pumped = reference["pumped"].as_array().expect("wells").iter().map(|p| {
        let more = format!("rate = {}\nradius = {}", p["rate"], p["radius"]);
        (number(&p["x"]), number(&p["y"]), more)
    });
    let toml = toml + &tables("pumped_wells", "well", pumped);
    walled(&wells("wells.csv"), &[wall], &toml)
}

/// Tables of site.toml with a name and a place each, and what else is to stand in them.
fn tables(table: &str, key: &str, rows: impl Iterator<Item = (f64, f64, String)>) -> String {
    let row = |(k, (x, y, more)): (usize, (f64, f64, String))| {
        let (east, north) = (EAST + x, NORTH + y);
        format!("[[{table}]]\n{key} = \"P-{k}\"\neasting = {east}\nnorthing = {north}\n{more}\n")
    };
    rows.enumerate().map(row).collect::<Vec<_>>().concat()
}

/// The methods that the reference has, by its names.
const METHODS: [(&str, Method, f64); 5] = [
    ("linear", Method::Linear, 1e-6),
    ("natural-neighbour", Method::NaturalNeighbour, 1e-6),
    ("inverse-distance", Method::InverseDistance, 1e-6),
    ("thin-plate", Method::ThinPlate, 1e-6),
    ("kriging", Method::Kriging, 1e-6),
];

#[test]
fn nodes_have_the_heads_of_the_views_worked_out_one_by_one() {
    let reference = reference();
    let folder = past(&reference);
    for (name, method, tolerance) in METHODS {
        let map = map_by(&folder, method);
        let mut compared = 0;
        for node in reference["nodes"].as_array().expect("nodes") {
            let p = Coord { x: EAST + number(&node["x"]), y: NORTH + number(&node["y"]) };
            let (found, expected) = (map.surface.heads.nearest(p), node[name].as_f64());
            assert_eq!(found.is_some(), expected.is_some(), "{name} at {:?}", from_corner(p));
            let (Some(found), Some(expected)) = (found, expected) else { continue };
            near(found, expected, tolerance);
            compared += 1;
            if let Some(sd) = map.surface.sd.as_ref().and_then(|sd| sd.nearest(p)) {
                near(sd, number(&node["kriging-variance"]).sqrt(), tolerance);
            }
        }
        assert!(compared > 150, "{name}: {compared}");
    }
}

#[test]
fn a_pumped_well_has_the_factor_of_the_whole_site_on_the_whole_map() {
    let reference = reference();
    let map = map_by(&past(&reference), Method::Kriging);
    let trend = &map.surface.kriging.as_ref().expect("a report").trend;
    let names: Vec<&str> = trend.iter().map(|t| t.name.as_str()).collect();
    assert_eq!(
        names,
        ["constant", "slope to the east", "slope to the north", "cone of pumped wells 1"]
    );
    near(trend[3].factor, number(&reference["factor"]), 1e-9);
    near(trend[3].standard_error, number(&reference["factor_sd"]), 1e-9);
}

/// With the cone taken from the heads by hand, and added again by hand to the map of the rest.
#[test]
fn the_cone_on_the_map_is_the_one_told() {
    const SITE: &str = "[grid]\ncell = 4\n[kriging]\nmodel = \"exponential\"\ndrift = \
                        \"linear\"\nrange = 240.0\npartial_sill = 5.381955208354861\n";
    let pumped = [(72.0, 396.0, 50.0), (188.0, 288.0, -20.0)];
    let wall = line(&[(108.0, 88.0), (112.0, 408.0)]);
    let rows = pumped.iter().map(|(x, y, rate)| (*x, *y, format!("rate = {rate}")));
    let stated = tables("pumped_wells", "well", rows);
    let wells = wells("pumped.csv");
    let folder = walled(&wells, std::slice::from_ref(&wall), &format!("{SITE}{stated}"));
    let whole = map_by(&folder, Method::Kriging);
    let radius = whole.site.pumped_wells[0].radius;
    let factor = whole.surface.kriging.as_ref().expect("a report").trend[3].factor;
    let cone = |x: f64, y: f64| -> f64 {
        let part =
            |(px, py, rate): &(f64, f64, f64)| rate * (x - px).hypot(y - py).max(radius).ln();
        factor * pumped.iter().map(part).sum::<f64>()
    };
    let rest: Vec<(f64, f64, f64)> =
        wells.iter().map(|(x, y, h)| (*x, *y, h - cone(*x, *y))).collect();
    let rest = map_by(&walled(&rest, std::slice::from_ref(&wall), SITE), Method::Kriging);
    let seen = |p: Coord| {
        let to = |(x, y, _): &(f64, f64, f64)| Line::new(p, Coord { x: *x, y: *y });
        pumped.iter().all(|w| !wall.intersects(&to(w)))
    };
    let (mut both, all) = (0, heads(&whole.surface.heads));
    for ((p, head), (q, rest)) in all.iter().zip(heads(&rest.surface.heads)) {
        assert_eq!(*p, q);
        if seen(*p) {
            near(*head, rest + cone(p.x, p.y), 1e-6);
            both += 1;
        }
    }
    assert!(both > 1500, "{both} of {}", all.len());
}

/// What a method says of the wells left out, by the wells' names.
fn left_out(folder: &Folder, name: &str) -> (LeftOut, Vec<String>) {
    let compared = run::cross_validate(folder.path(), &Overrides::default(), &mut Vec::new());
    let compared = compared.expect("a comparison");
    let names = compared.control.points().iter().map(|p| p.id.clone()).collect();
    let found = compared.comparison.methods.into_iter().find(|m| m.candidate.name() == name);
    (found.expect("a method").outcome.expect("usable"), names)
}

#[test]
fn each_well_left_out_has_the_head_of_everything_worked_out_anew_without_it() {
    let reference = reference();
    let folder = past(&reference);
    let sd = number(&reference["sd"]);
    for (name, _, tolerance) in METHODS {
        let compared = if name == "kriging" { "kriging-with-drift" } else { name };
        let (found, names) = left_out(&folder, compared);
        let mut inside = 0;
        for row in reference["left_out"].as_array().expect("wells") {
            let well = row["well"].as_str().expect("a name");
            let i = names.iter().position(|n| n == well).expect("the well");
            let Some(expected) = row[name].as_f64() else {
                // Triangles and natural neighbours do not extrapolate.
                let extrapolates = !["linear", "natural-neighbour"].contains(&name);
                assert!(extrapolates || found.predictions[i].is_none(), "{name} at {well}");
                continue;
            };
            let prediction = found.predictions[i].unwrap_or_else(|| panic!("{name} at {well}"));
            near(prediction.head, expected, tolerance);
            inside += 1;
            if name == "kriging" {
                let own = (number(&row["kriging-variance"]) + sd * sd).sqrt();
                near(prediction.standardised.expect("known"), prediction.residual / own, 1e-5);
            }
        }
        assert!(inside >= 16, "{name}: {inside}");
    }
}

/// 36 wells on nodes of a grid of 10 m, and a wall with two ends and a bend among them.
fn on_nodes() -> (Vec<(f64, f64, f64)>, LineString) {
    let well = |k: i32| {
        let x = f64::from(10 * (1 + (k % 6) * 7 + k * k % 5));
        let y = f64::from(10 * ((k / 6) * 7 + k * 3 % 5));
        (x, y, 50.0 + 0.01 * x + if x > 215.0 { 0.8 } else { 0.0 } + 0.3 * (y / 70.0).sin())
    };
    let wall = line(&[(213.0, 67.0), (218.0, 194.0), (302.0, 243.0)]);
    ((0..36).map(well).collect(), wall)
}

#[test]
fn a_well_is_predicted_where_the_map_without_it_has_a_head_and_nowhere_else() {
    let (wells, wall) = on_nodes();
    let toml = "[grid]\ncell = 10\n[kriging]\nrange = 300.0\npartial_sill = 2.0\n";
    let folder = walled(&wells, std::slice::from_ref(&wall), toml);
    for method in Method::ALL {
        let (found, names) = left_out(&folder, method.name());
        let mut predicted = 0;
        for (k, (x, y, _)) in wells.iter().enumerate() {
            let mut others = wells.clone();
            let (x, y) = (*x, *y);
            others.remove(k);
            let map = map_by(&walled(&others, std::slice::from_ref(&wall), toml), method);
            let at = Coord { x: EAST + x, y: NORTH + y };
            let head = map.surface.heads.nearest(at);
            let i = names.iter().position(|n| *n == format!("W{k}")).expect("the well");
            let prediction = found.predictions[i].map(|p| p.head);
            match (head, prediction) {
                (Some(head), Some(prediction)) => {
                    near(prediction, head, 1e-7);
                    predicted += 1;
                }
                // On the outline.
                (None, Some(_)) => assert!(
                    !["linear", "natural-neighbour", "smooth-natural-neighbour"]
                        .contains(&method.name()),
                    "{method:?} at W{k}"
                ),
                (Some(head), None) => panic!("{method:?} at W{k}: no word of {head}"),
                (None, None) => {}
            }
        }
        assert!(predicted >= 20, "{method:?}: {predicted}");
    }
}

#[test]
fn a_well_that_sees_two_others_alone_is_predicted_by_no_method() {
    // Three wells in a ring, twenty about it.
    let mut wells = vec![(190.0, 190.0, 50.0), (210.0, 195.0, 50.1), (200.0, 212.0, 50.2)];
    wells.extend((0..20).map(|k| {
        let (x, y) = (f64::from(k % 5) * 100.0 + f64::from(k * k % 7), f64::from(k / 5) * 130.0);
        (x, y, 49.0 + 0.003 * x + 0.2 * f64::from(k % 3))
    }));
    let ring =
        line(&[(170.0, 170.0), (230.0, 170.0), (230.0, 230.0), (170.0, 230.0), (170.0, 170.0)]);
    let toml = "[grid]\ncell = 5\n[kriging]\nrange = 300.0\npartial_sill = 2.0\n";
    let folder = walled(&wells, &[ring], toml);
    for method in Method::ALL {
        let (found, names) = left_out(&folder, method.name());
        for (i, name) in names.iter().enumerate() {
            let inside = ["W0", "W1", "W2"].contains(&name.as_str());
            assert!(!inside || found.predictions[i].is_none(), "{method:?} at {name}");
        }
        assert!(found.predictions.iter().flatten().count() > 3, "{method:?}");
    }
}

#[test]
fn no_flow_path_crosses_a_wall() {
    // Water that falls to the east, held up by a wall with wells close to both sides of it.
    let mut wells = Vec::new();
    for k in 0..8 {
        let y = f64::from(k) * 40.0;
        wells.extend([(0.0, y), (100.6, y + 9.0), (101.4, y + 4.0), (200.0, y + 1.0)]);
    }
    let head = |x: f64| 60.0 - 0.01 * x - if x > 101.0 { 3.0 } else { 0.0 };
    let wells: Vec<(f64, f64, f64)> = wells.into_iter().map(|(x, y)| (x, y, head(x))).collect();
    let wall = line(&[(101.0, -60.0), (101.0, 230.0)]);
    let starts = (0..6).map(|k| (40.0, 30.0 + 30.0 * f64::from(k), String::new()));
    let sources = tables("sources", "name", starts);
    // 0.8 m behind the wall, within a cell of where the paths end.
    let receptor =
        "[[receptors]]\nname = \"Drain\"\nline = [[480101.8, 4980000], [480101.8, 4980220]]\n";
    let toml = format!("[grid]\ncell = 2\n{sources}{receptor}");
    let folder = walled(&wells, std::slice::from_ref(&wall), &toml);
    for method in [Method::Linear, Method::NaturalNeighbour, Method::ThinPlate] {
        let map: Map = map_by(&folder, method);
        let found = run::follow(&map, &mut Vec::new()).expect("paths");
        assert!(found.verdicts.iter().all(|v| v.reaching == 0), "{method:?}: through the wall");
        let down = found.paths.into_iter().filter(|p| p.path.way == Way::Down);
        for path in down {
            let frame = map.control.frame();
            let course: Vec<Coord> =
                path.path.points.iter().map(|p| from_corner(frame.to_crs(*p))).collect();
            let last = course[course.len() - 1];
            if method != Method::ThinPlate {
                assert!(last.x > 97.0, "{method:?}: up to the wall, {last:?}");
            }
            let crosses = course.windows(2).any(|w| wall.intersects(&Line::new(w[0], w[1])));
            assert!(!crosses, "{method:?}: {course:?}");
        }
    }
}

#[test]
fn a_pumped_well_that_no_well_sees_is_refused_by_name() {
    let ring = line(&[(250.0, 60.0), (280.0, 60.0), (280.0, 90.0), (250.0, 90.0), (250.0, 60.0)]);
    let toml = format!(
        "[grid]\ncell = 10\n[kriging]\nrange = 300.0\npartial_sill = 2.0\n[[pumped_wells]]\nwell = \
         \"Sump\"\neasting = {}\nnorthing = {}\n",
        EAST + 265.0,
        NORTH + 75.0
    );
    let folder = walled(&wells("wells.csv"), &[ring], &toml);
    let (map, findings) = map_with(&folder, |site| site.settings.surface.method = Method::Kriging);
    assert!(map.is_err());
    let told: Vec<_> = findings.iter().filter(|d| d.is_refusal()).collect();
    assert_eq!(told.len(), 1, "{findings:#?}");
    gives(told[0], &["Sump"]);
}
