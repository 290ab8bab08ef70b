//! Depths, elevations, stages and times that cannot be, as they come out of loggers and databases.

use std::fmt::Write as _;

use headfall::diag::{Code, Diagnostic};
use headfall::read::Overrides;
use headfall::reduce::Fate;
use headfall::run::Map;

use crate::support::{EAST, Folder, NORTH, gives, map, of, of_wells, text, told};

/// Six invented wells in feet, places in m, heads near 840 ft.
const PLACES: [(f64, f64); 6] =
    [(0.0, 0.0), (150.0, 12.0), (301.0, -8.0), (20.0, 160.0), (171.0, 148.0), (310.0, 166.0)];

/// A site whose third well has another depth and measuring point, with more rows of the round.
fn site(point: &str, depth: &str, more_rows: &str) -> Folder {
    let folder = Folder::new();
    folder.file(
        "site.toml",
        "[site]\nname = \"Low Ings (invented)\"\ncrs = \"EPSG:26915\"\nelevation_unit = \"ft\"\n\
         vertical_datum = \"NAVD 88\"\n",
    );
    let mut register = "id,easting,northing,measuring_point_elevation\n".to_owned();
    let mut round = "id,datetime,reading,depth_to_water\n".to_owned();
    for (i, (x, y)) in PLACES.iter().enumerate() {
        let (own_point, own_depth) = if i == 2 { (point, depth) } else { ("", "") };
        let or = |own: &str, usual: f64| {
            if own.is_empty() { format!("{usual:.2}") } else { own.to_owned() }
        };
        let point = or(own_point, 852.0);
        let depth = or(own_depth, 12.0 - 0.01 * y + 0.004 * x);
        writeln!(register, "W{i},{},{},{point}", EAST + x, NORTH + y).expect("text");
        writeln!(round, "W{i},2026-04-14T0{i}:00,,{depth}").expect("text");
    }
    folder.file("wells.csv", register);
    folder.file("rounds/spring.csv", round + more_rows);
    folder
}

fn drawn(folder: &Folder) -> (Option<Map>, Vec<Diagnostic>) {
    let (map, findings) = map(folder.path(), &Overrides::default());
    (map.ok(), findings)
}

#[test]
fn numbers_that_stand_for_nothing_are_not_used() {
    for number in ["-9999", "99999", "-999", "-999.99", "9999.0", "-99999.9", "999999"] {
        let (map, findings) = drawn(&site("", number, ""));
        let map = map.expect("the others make a map");
        assert_eq!(map.control.points().len(), 5, "without the well");
        told(&findings, Code::MissingValue).at("rounds/spring.csv", 4).about("W2").once();
        let aside = |fate: &Fate| {
            matches!(fate, Fate::NotUsed { code: Some(Code::MissingValue), reason }
                if reason.contains("missing"))
        };
        assert_eq!(map.control.accounts().iter().filter(|a| aside(&a.fate)).count(), 1);
        assert!(of(Code::NegativeDepth, &findings).is_empty(), "one finding is enough");
    }
}

/// 999.0 ft is a depth that deep basins have, and 9999 ft an elevation that mountains have.
#[test]
fn a_few_nines_that_can_be_are_kept() {
    let (_, findings) = drawn(&site("1839.0", "999", ""));
    assert!(of(Code::MissingValue, &findings).is_empty(), "{findings:#?}");
    let (_, findings) = drawn(&site("9999.0", "", ""));
    assert!(of(Code::Implausible, &findings).is_empty(), "{findings:#?}");
}

#[test]
fn a_depth_that_cannot_be_is_refused() {
    // 1500 m are 4921 ft, 300 m are 984 ft.
    for (depth, bound) in
        [("5012.4", "above the limit of 4921 ft"), ("-1012.4", "below the limit of -984 ft")]
    {
        let (map, findings) = drawn(&site("", depth, ""));
        assert!(map.is_none(), "refused");
        let told = of(Code::Implausible, &findings);
        assert_eq!(told.len(), 1, "{findings:#?}");
        gives(told[0], &["well W2", depth, bound]);
        assert_eq!(told[0].wells, ["W2"]);
    }
    for depth in ["4900", "-970"] {
        let (_, findings) = drawn(&site("", depth, ""));
        assert!(of(Code::Implausible, &findings).is_empty(), "within the bounds: {findings:#?}");
    }
}

#[test]
fn a_measuring_point_that_cannot_be_is_refused_once() {
    let again = "W2,2026-04-14T08:00,,12\n";
    for (point, part) in [
        ("-9999", "missing"),
        ("31000", "above the limit of 29528 ft"),
        ("-5000", "below the limit of -4921"),
    ] {
        let (map, findings) = drawn(&site(point, "", again));
        assert!(map.is_none(), "refused");
        let told = of(Code::Implausible, &findings);
        assert_eq!(told.len(), 1, "once for two readings: {findings:#?}");
        gives(told[0], &["well W2", part]);
        let place = format!("{}", told[0].origins[0]);
        assert!(place.contains("wells.csv") && place.contains("line 4"), "{place}");
    }
}

/// 1e38, as a table must have it.
const LONG: &str = "100000000000000000000000000000000000000";

#[test]
fn d218_the_ground_and_the_depths_of_a_well_that_cannot_be() {
    for (heading, value, texts) in [
        ("ground_elevation", LONG, ["ground elevation 1e38 m", "9000 m"]),
        ("ground_elevation", "-1600", ["ground elevation -1600 m", "below the limit of -1500 m"]),
        ("ground_elevation", "-9999", ["ground elevation -9999 m", "missing"]),
        ("total_depth", "14000", ["total depth 14000 m", "above the limit of 13000 m"]),
        ("sounded_depth", "14001", ["sounded depth 14001 m", "above the limit of 13000 m"]),
        ("screen_bottom", "99999", ["screen bottom 99999 m", "missing"]),
    ] {
        let folder = of_wells(&PLACES, "", |x, y| 50.0 + 0.01 * y - 0.002 * x);
        let path = folder.path().join("wells.csv");
        let register = text(&path);
        let rows: Vec<String> = register
            .lines()
            .enumerate()
            .map(|(i, row)| match i {
                0 => format!("{row},{heading}"),
                3 => format!("{row},{value}"),
                _ => format!("{row},"),
            })
            .collect();
        std::fs::write(&path, rows.join("\n")).expect("written");
        let (map, findings) = drawn(&folder);
        assert!(map.is_none(), "{heading} {value}");
        let told = of(Code::Implausible, &findings);
        assert_eq!(told.len(), 1, "{heading} {value}: {findings:#?}");
        gives(told[0], &["well W-2", texts[0], texts[1]]);
        assert_eq!(told[0].origins[0].to_string(), "wells.csv, line 4");
    }
}

#[test]
fn an_elevation_with_too_many_digits_is_refused_in_few() {
    let places: Vec<(f64, f64)> = PLACES.to_vec();
    let folder = of_wells(&places, "", |x, y| {
        if x > 300.0 && x < 305.0 { 1e300 } else { 50.0 + 0.01 * y - 0.002 * x }
    });
    let (map, findings) = drawn(&folder);
    assert!(map.is_none(), "refused");
    let told = of(Code::Implausible, &findings);
    assert_eq!(told.len(), 1, "{findings:#?}");
    gives(told[0], &["well W-2", "1e300 m", "9000 m"]);
    assert!(told[0].message.len() < 120, "{}", told[0].message);
}

/// Two readings that agree are no moment: the earlier one counts for the length of the round, and one
/// of six weeks before is of another round.
#[test]
fn every_used_reading_counts_for_the_window() {
    let mut folder = site("", "12.00", "");
    let text = |first: &str| {
        let path = folder.path().join("rounds/spring.csv");
        let round = text(path);
        round.replace("W2,2026-04-14T02:00,,12.00", &format!("W2,{first},1,12.00"))
            + "W2,2026-04-14T02:10,2,12.01\n"
    };
    let (apart, together) = (text("2026-04-13T04:00"), text("2026-04-14T02:00"));
    let six_weeks = text("2026-03-01T10:00");
    folder.file("rounds/spring.csv", &apart);
    let (map, findings) = drawn(&folder);
    let told = of(Code::RoundTooLong, &findings);
    assert_eq!(told.len(), 1, "{findings:#?}");
    gives(told[0], &["25 h", "2026-04-13T04:00:00 (W2)", "2026-04-14T05:00:00 (W5)"]);
    let (from, to) = map.expect("a map").control.from_to().expect("times");
    assert_eq!(from.to_string(), "2026-04-13T04:00:00");
    assert_eq!(to.to_string(), "2026-04-14T05:00:00");
    folder = site("", "12.00", "");
    folder.file("rounds/spring.csv", &six_weeks);
    let (map, findings) = drawn(&folder);
    let (from, _) = map.expect("a map").control.from_to().expect("times");
    assert_eq!(from.date().to_string(), "2026-04-14");
    gives(of(Code::RoundOfSeveral, &findings)[0], &["2026-03-01 (1 well)", "2026-04-14 (6 wells"]);
    folder.file("rounds/spring.csv", &together);
    let (_, findings) = drawn(&folder);
    assert!(of(Code::RoundTooLong, &findings).is_empty(), "{findings:#?}");
}

/// A creek between the wells at one stage, ft.
fn creek(stage: &str) -> Folder {
    let folder = site("", "", "");
    let toml = text(folder.path().join("site.toml"));
    folder.file(
        "site.toml",
        toml + &format!(
            "[features]\nstreams = {{ file = \"creek.csv\", crs = \"EPSG:26915\", stage = {stage} \
             }}\nstream_spacing = 20.0\n"
        ),
    );
    let (x, y) = (EAST, NORTH);
    folder.file(
        "creek.csv",
        format!("WKT,name\n\"LINESTRING ({} {},{} {})\",Creek\n", x, y + 40.0, x + 300.0, y + 40.0),
    );
    folder
}

#[test]
fn a_stage_off_the_wells_beside_it_is_told() {
    // 840 ft are 256.0 m.
    let (map, findings) = drawn(&creek("255.7"));
    assert!(map.is_some(), "a warning");
    let told = of(Code::StageOffWells, &findings);
    assert_eq!(told.len(), 1, "{findings:#?}");
    gives(told[0], &["255.70 ft", "bound 0.1 m/m"]);
    let (_, findings) = drawn(&creek("862"));
    let told = of(Code::StageOffWells, &findings);
    assert_eq!(told.len(), 1, "{findings:#?}");

    assert!(!told[0].message.contains("in metres"), "{}", told[0].message);
    for stage in ["839.5", "845", "832"] {
        let (_, findings) = drawn(&creek(stage));
        assert!(of(Code::StageOffWells, &findings).is_empty(), "{stage}: {findings:#?}");
    }
}

#[test]
fn a_stage_that_cannot_be_is_refused() {
    let (map, findings) = drawn(&creek("-9999"));
    assert!(map.is_none(), "refused");
    let told = of(Code::Implausible, &findings);
    assert_eq!(told.len(), 1, "once for the stream: {findings:#?}");
    gives(told[0], &["-4921", "29528 ft"]);
}

/// EPSG:2048 (Hartebeesthoek94 / Lo19) counts to the west and to the south, after the EPSG registry.
#[test]
fn a_grid_that_counts_to_west_and_south_is_refused_and_can_be_used_all_the_same() {
    let toml = |crs: &str| {
        format!(
            "[site]\nname = \"Low Ings (invented)\"\n{crs}elevation_unit = \"m\"\nvertical_datum = \
             \"invented\"\n"
        )
    };
    let folder = of_wells(&[], "", |_, _| 0.0);
    let (mut register, mut round) =
        ("id,easting,northing\n".to_owned(), "id,date,elevation\n".to_owned());
    for (i, (x, y)) in PLACES.iter().enumerate() {
        // Westing and southing: what is larger lies farther west and south.
        writeln!(register, "W{i},{},{}", -20_000.0 + x, 3_753_000.0 + y).expect("text");
        writeln!(round, "W{i},2026-05-04,{}", 50.0 - 0.01 * y).expect("text");
    }
    folder.file("wells.csv", register);
    folder.file("rounds/spring.csv", round);
    folder.file("site.toml", toml("crs = \"EPSG:2048\"\n"));
    let (map, findings) = drawn(&folder);
    assert!(map.is_none(), "refused");
    let told = of(Code::AxesTurned, &findings);
    assert_eq!(told.len(), 1, "{findings:#?}");
    gives(told[0], &["EPSG:2048", "west"]);
    let advice = told[0].advice.as_deref().unwrap_or_default();
    assert!(advice.contains("EPSG:32734") && advice.contains("coordinates_crs"), "{advice}");
    folder.file("site.toml", toml("crs = \"EPSG:32734\"\ncoordinates_crs = \"EPSG:2048\"\n"));
    let (map, findings) = drawn(&folder);
    let flow = &map.unwrap_or_else(|| panic!("as advised: {findings:#?}")).flow;
    // The head falls to the south, with growing southings.
    let toward = flow.plane_azimuth_true.expect("a direction").degrees();
    assert!((toward - 180.0).abs() < 0.2, "{toward}");
}

/// Messages of the grid and the contours say the unit and no more digits than a level has.
#[test]
fn messages_of_grid_and_contours_name_their_unit() {
    let folder = site("", "", "");
    let with = |interval, cell| Overrides { interval, cell, ..Overrides::default() };
    let (_, findings) = map(folder.path(), &with(Some(100.0), None));
    let told = of(Code::NoContours, &findings);
    assert_eq!(told.len(), 1, "{findings:#?}");
    gives(told[0], &["interval 100 ft"]);
    let (_, findings) = map(folder.path(), &with(Some(1e-6), None));
    gives(of(Code::TooManyLevels, &findings)[0], &["interval 0.000001 ft"]);
    let (_, findings) = map(folder.path(), &with(None, Some(1e6)));
    gives(of(Code::GridTooLarge, &findings)[0], &["(metre)"]);
}

#[test]
fn one_simulated_round_is_refused() {
    for (rounds, refused) in [("1", true), ("2", false)] {
        let more = format!("[uncertainty]\nrealizations = {rounds}\n");
        let folder = of_wells(&PLACES, &more, |x, y| 50.0 + 0.01 * y - 0.002 * x);
        let (_, findings) = drawn(&folder);
        assert_eq!(!of(Code::SiteSetting, &findings).is_empty(), refused, "{findings:#?}");
    }
}
