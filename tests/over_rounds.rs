//! `headfall toward --round all`: the answers of every round of a site.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;

use geo::{Contains, Distance, Euclidean, Geometry, Point, Polygon};
use headfall::read::Overrides;
use headfall::run;
use headfall::toward::KnownBy;

use crate::support::{Folder, ends, headfall, json, keeps_schema, near, runs, stderr, table, text};
use crate::toward_site::{AQUIFER, plane, site};

const ASKED: &str = "[[sources]]\nname = \"tank\"\neasting = 500100\nnorthing = 4980210\n\
    [[receptors]]\nname = \"east line\"\nline = [[500400, 4980000], [500400, 4980400]]\n\
    [[receptors]]\nname = \"north line\"\nline = [[500000, 4980380], [500500, 4980380]]\n";

/// Another round of a site of [`site`]'s wells.
fn round(folder: &Folder, name: &str, day: &str, head: impl Fn(f64, f64) -> f64) {
    let mut text = "id,date,elevation\n".to_owned();
    for k in 0..30 {
        let (x, y) = (100.0 * f64::from(k % 6), 100.0 * f64::from(k / 6));
        writeln!(text, "W-{k},{day},{}", head(x, y)).expect("text");
    }
    folder.file(&format!("rounds/{name}.csv"), text);
}

/// Three rounds: to the east (spring), to the north (autumn), and one that cannot be mapped.
fn three() -> Folder {
    let folder = site(&format!("{AQUIFER}{ASKED}"), plane);
    round(&folder, "autumn", "2025-10-08", |_, y| 50.0 - 0.005 * y);
    folder.file("rounds/broken.csv", "id,date,elevation\nW-1,2025-12-01,49\nW-2,2025-12-01,48\n");
    folder
}

#[test]
fn every_round_has_its_answer_and_one_that_fails_stops_no_other() {
    let folder = three();
    let mut findings = Vec::new();
    let all =
        run::over_rounds(folder.path(), &Overrides::default(), &mut findings).expect("a site");
    let names: Vec<&str> = all.rounds.iter().map(|r| r.name.as_str()).collect();
    assert_eq!(names, ["broken", "autumn", "spring"], "those without a map first, then by day");
    assert!(all.rounds[0].answers.as_ref().is_err_and(|why| why.starts_with('C')));
    let known = |round: usize| -> Vec<Option<KnownBy>> {
        let answers = all.rounds[round].answers.as_ref().expect("answers");
        answers.verdicts.iter().map(|v| v.known_by).collect()
    };
    let reached = Some(KnownBy::MapAndRealizations);
    assert_eq!(known(1)[1], reached, "in autumn to the north");
    assert_eq!(known(2)[0], reached, "in spring to the east");
    let pairs = all.pairs();
    for pair in &pairs {
        assert_eq!((pair.rounds, pair.reached, pair.reached_surely), (2, 1, 1), "{pair:?}");
        assert_eq!(pair.open + pair.not_reached, 1, "{pair:?}");
    }
    // 170 m to the north at 0.005: from 0.2 x 170 / (20 x 0.005) to 0.3 x 170 / (5 x 0.005) days, and a little beyond.
    let (low, high) = (pairs[1].earliest_d.expect("days"), pairs[1].latest_d.expect("days"));
    assert!((300.0..340.0).contains(&low) && (2040.0..2300.0).contains(&high), "{low} {high}");
    // East and north: the mean is northeast, half of them agree by cos 45 degrees.
    let swing = all.swing().expect("directions");
    assert_eq!(swing.rounds, 2);
    near(swing.mean_grid_deg.expect("a mean"), 45.0, 0.2);
    near(swing.agreement, std::f64::consts::FRAC_1_SQRT_2, 1e-3);
    near(swing.from_grid_deg, 0.0, 0.2);
    near(swing.width_deg, 90.0, 0.3);
}

#[test]
fn the_files_hold_every_round_and_the_envelope_holds_every_path() {
    let folder = three();
    let out = folder.path().join("seasons");
    runs(&["toward", "--round", "all", "--quiet", "--out"], &[&out, folder.path()]);
    let rows = table(out.join("over-rounds.csv"));
    assert_eq!(rows.len(), 5, "two pairs in two rounds, and the one refused");
    let refused: Vec<&BTreeMap<String, String>> =
        rows.iter().filter(|r| !r["refused"].is_empty()).collect();
    assert_eq!((refused.len(), refused[0]["round"].as_str()), (1, "broken"));
    let account = json(out.join("over-rounds.json"));
    keeps_schema("over-rounds", &account);
    assert_eq!(account["rounds"].as_array().map(Vec::len), Some(3));
    assert_eq!(account["pairs"][0]["reached"], 1);
    // Both rounds and the register are among the inputs, with their hashes.
    let inputs = account["inputs"].to_string();
    for name in ["wells.csv", "rounds/spring.csv", "rounds/autumn.csv", "site.toml"] {
        assert!(inputs.contains(name), "no {name} in {inputs}");
    }
    let layer = |name: &str| -> geojson::FeatureCollection {
        text(out.join(name)).parse().expect("GeoJSON")
    };
    let envelope = layer("envelopes.geojson").features.remove(0);
    let envelope: Geometry = envelope.geometry.expect("a geometry").try_into().expect("a shape");
    let envelope = Polygon::try_from(envelope).expect("a polygon");
    let mut count = 0;
    for feature in layer("paths-of-rounds.geojson").features {
        let shape: Geometry = feature.geometry.expect("a geometry").try_into().expect("a shape");
        for p in geo::CoordsIter::coords_iter(&shape) {
            count += 1;
            // Coordinates are rounded to 1e-9 degrees; what lies on the outline is no farther outside.
            let outside = Euclidean.distance(&Point(p), &envelope);
            assert!(envelope.contains(&Point(p)) || outside < 1e-8, "{p:?}");
        }
    }
    assert!(count > 10, "{count}");
}

/// A table with all its rounds: each is asked for by its name.
#[test]
fn a_table_of_several_rounds_has_all_of_them() {
    let folder = site(&format!("{AQUIFER}{ASKED}"), plane);
    fs::remove_file(folder.path().join("rounds/spring.csv")).expect("removed");
    let mut text = "id,date,elevation\n".to_owned();
    for (day, turn) in [("2025-04-07", 0.0), ("2025-07-08", 0.002), ("2025-10-06", 0.004)] {
        for k in 0..30 {
            let (x, y) = (100.0 * f64::from(k % 6), 100.0 * f64::from(k / 6));
            let head = 50.0 - 0.005 * x - turn * y;
            writeln!(text, "W-{k},{day},{head}").expect("text");
        }
    }
    folder.file("rounds/database.csv", text);
    let mut findings = Vec::new();
    let all = run::over_rounds(folder.path(), &Overrides::default(), &mut findings)
        .unwrap_or_else(|e| panic!("{e} {:#?}", e.diagnostics()));
    assert_eq!(all.answered().count(), 3, "{:#?}", all.rounds);
    let gradients: Vec<f64> = all.answered().map(|(_, a)| a.flow.plane.gradient).collect();
    for (found, expected) in gradients.iter().zip([0.005, 0.005_385, 0.006_403]) {
        near(*found, expected, 1e-5);
    }
}

#[test]
fn a_site_none_of_whose_rounds_has_a_map_is_refused_with_every_reason() {
    let folder = three();
    for name in ["spring", "autumn"] {
        fs::remove_file(folder.path().join(format!("rounds/{name}.csv"))).expect("removed");
    }
    let ended = headfall(&["toward", "--round", "all"], &[folder.path()]);
    ends(&ended, 2);
    assert!(stderr(&ended).contains("C3"), "{}", stderr(&ended));
    assert!(!folder.path().join("out").exists(), "nothing is written");
}
