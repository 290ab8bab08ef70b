//! Nothing of a table is passed over in silence: columns that are not read, nested wells on one map, coordinates
//! whose names do not say which is north, the datum of a heading.
//!
//! The sites are invented. Directions of flow are planes by least squares, numpy 2 (`lstsq`).

use headfall::diag::{Code, Diagnostic, Severity};
use headfall::read::Overrides;
use headfall::run::Map;

use crate::support::{Folder, gives, map, near, of, sample, told};

/// Twelve wells at six places 4 ft apart, shallow ones at the top and deep ones below: `headings` and `cells`
/// follow the screens; deep heads are 1.8 ft lower.
fn nested(headings: &str, cells: &dyn Fn(bool) -> String) -> Folder {
    let places = [(0, 0), (310, 40), (640, -20), (25, 330), (330, 350), (660, 320)];
    let (mut wells, mut round) = (Vec::new(), Vec::new());
    for (i, (x, y)) in places.into_iter().enumerate() {
        for deep in [false, true] {
            let name = format!("GW-{}{}", i + 1, if deep { "D" } else { "S" });
            let (east, screen) =
                (1_312_000 + x + if deep { 4 } else { 0 }, if deep { "48,58" } else { "12,22" });
            let north = 254_000 + y;
            wells.push(format!("{name},{east},{north},311.00,308.70,{screen}{}", cells(deep)));
            let depth = 12.0 + f64::from(x) / 200.0 + if deep { 1.8 } else { 0.0 };
            round.push(format!("{name},2025-10-20,{depth:.2}"));
        }
    }
    let (wells, round) = (wells.join("\n"), round.join("\n"));
    Folder::new()
        .with(
            "site.toml",
            "[site]\nname = \"Cedar Run (invented)\"\ncrs = \"EPSG:2286\"\nelevation_unit = \"ft\"\n\
             vertical_datum = \"NAVD 88\"\ndepths_from = \"ground\"\n",
        )
        .with(
            "wells.csv",
            format!(
                "Well ID,Easting,Northing,TOC Elev (ft),Ground Elev (ft),Top of Screen (ft bgs),Bottom of \
                 Screen (ft bgs){headings}\n{wells}"
            ),
        )
        .with("rounds/2025-10.csv", format!("Well ID,Date,DTW (ft)\n{round}"))
}

fn drawn(folder: &Folder) -> (Option<Map>, Vec<Diagnostic>) {
    let (map, findings) = map(folder.path(), &Overrides::default());
    (map.ok(), findings)
}

fn unit(deep: bool) -> String {
    if deep { ",deep sand" } else { ",shallow alluvium" }.to_owned()
}

#[test]
fn the_usual_headings_of_aquifer_units_are_read_as_such() {
    for heading in [
        "Zone",
        "Aquifer Zone",
        "Screened Zone",
        "Unit",
        "Water-Bearing Zone",
        "Monitored Zone",
        "Hydro Unit",
        "Layer",
        "Shallow/Deep",
        "Hydrostratigraphic unit",
    ] {
        let (map, findings) = drawn(&nested(&format!(",{heading}"), &unit));
        assert!(map.is_none(), "{heading}: units are not mixed");
        told(&findings, Code::UnitUnnamed).giving(&["\"shallow alluvium\"", "\"deep sand\""]);
        assert!(of(Code::ColumnNotRead, &findings).is_empty(), "{heading}");
    }
}

#[test]
fn r126_what_a_column_may_decide_is_asked() {
    // A heading that says nothing, over values that do.
    let (_, findings) = drawn(&nested(",Grp", &unit));
    let found = told(&findings, Code::ColumnNotRead).at("wells.csv", 1).once();
    assert_eq!(found.severity, Severity::Warning);
    gives(found, &["\"Grp\"", "\"deep sand\"", "aquifer_unit = \"Grp\""]);
    // Units of length are none of the aquifer.
    let folder = nested("", &|_| String::new());
    folder.change("rounds/2025-10.csv", |t| {
        t.replacen('\n', ",Unit\n", 1)
            .replace("\nGW", ",ft\nGW")
            .replacen("Unit,ft", "Unit", 1)
            .trim_end()
            .to_owned()
            + ",ft\n"
    });
    let (_, findings) = drawn(&folder);
    let found = told(&findings, Code::ColumnNotRead).at("rounds/2025-10.csv", 1).once();
    gives(found, &["\"Unit\"", "\"ft\""]);
    assert!(!found.message.contains("aquifer"), "{found:?}");
    // A heading that says a unit, over intervals of depth.
    let (_, findings) = drawn(&nested(",Screened zone", &|_| ",12-22 ft".into()));
    let found = told(&findings, Code::ColumnNotRead).once();
    assert_eq!(found.severity, Severity::Warning);
    gives(found, &["aquifer_unit = \"Screened zone\""]);
}

#[test]
fn r126_columns_of_no_matter_are_a_note_and_can_be_declared_as_not_used() {
    let folder = nested(",Driller,Casing dia,", &|_| ",Smith,2,".into());
    let (_, findings) = drawn(&folder);
    let found = told(&findings, Code::ColumnNotRead).once();
    gives(found, &["\"Driller\""]);
    assert!(!found.message.contains("aquifer"), "{found:?}");
    let (_, findings) = drawn(&nested(",Driller,Lock", &|_| ",Smith,yes".into()));
    assert_eq!(told(&findings, Code::ColumnNotRead).once().severity, Severity::Note);
    let folder = nested(",Driller,Zone", &|d| format!(",Smith{}", unit(d)));
    folder.change("site.toml", |t| t + "[columns]\nnot_used = [\"Driller\", \"zone\"]\n");
    let (map, findings) = drawn(&folder);
    assert!(map.is_some() && of(Code::ColumnNotRead, &findings).is_empty(), "{findings:#?}");
    folder.change("site.toml", |t| t.replace("Driller", "Drillers"));
    told(&drawn(&folder).1, Code::ColumnMissing).giving(&["\"Drillers\"", "not_used"]);
    folder.change("site.toml", |t| {
        t.replace("not_used = [\"Drillers\", \"zone\"]", "id = [\"a\", \"b\"]")
    });
    told(&drawn(&folder).1, Code::SiteSetting).giving(&["not_used"]);
}

#[test]
fn r126_states_and_uses_under_other_headings() {
    let depot = |file: &str, change: &dyn Fn(String) -> String| {
        let site = sample("fuel-depot");
        let path = site.join(file);
        let text = std::fs::read_to_string(&path).expect("a table");
        std::fs::write(path, change(text)).expect("a table");
        let (map, findings) = map(&site, &Overrides::default());
        (map.ok(), findings)
    };
    let pumping = |t: String, heading: &str| {
        let row = t.lines().find(|l| l.starts_with("MW-8,")).expect("a row of MW-8").to_owned();
        let cells: Vec<&str> = row.split(',').collect();
        let status = [&cells[..6], &["PUMPING"], &cells[7..]].concat().join(",");
        t.replace(&row, &status).replacen(",status,", &format!(",{heading},"), 1)
    };
    let (_, findings) = depot("rounds/2026-04.csv", &|t| pumping(t, "Condition"));
    told(&findings, Code::NoStaticLevel).about("MW-8");
    // Not all are states: it is asked.
    let odd = |t: String| pumping(t, "Condition").replacen(",PUMPING,", ",PUMPING?? lid bent,", 1);
    let (_, findings) = depot("rounds/2026-04.csv", &odd);
    let found = told(&findings, Code::ColumnNotRead).at("rounds/2026-04.csv", 1).once();
    assert_eq!(found.severity, Severity::Warning);
    gives(found, &["\"Condition\"", "status = \"Condition\""]);
    // Yes and no about the use.
    let used = |t: String| {
        let rows = t.lines().enumerate().map(|(i, l)| {
            format!(
                "{l},{}\n",
                if i == 0 {
                    "Use in contours"
                } else if i == 8 {
                    "NO"
                } else {
                    "yes"
                }
            )
        });
        rows.collect::<String>()
    };
    let (_, findings) = depot("wells.csv", &used);
    let found = told(&findings, Code::ColumnNotRead).at("wells.csv", 1).once();
    assert_eq!(found.severity, Severity::Warning);
    gives(found, &["\"Use in contours\"", "\"NO\"", "\"yes\""]);
    // What a well is.
    let typed = |t: String| t.replacen(",kind,", ",Type,", 1);
    let (_, findings) = depot("wells.csv", &typed);
    assert!(of(Code::ColumnNotRead, &findings).is_empty(), "{findings:#?}");
    // A measuring point in a round is not that of the register.
    let points = |t: String| {
        let rows = t
            .lines()
            .enumerate()
            .map(|(i, l)| format!("{l},{}\n", if i == 0 { "TOC elevation" } else { "1266.00" }));
        rows.collect::<String>()
    };
    let (_, findings) = depot("rounds/2026-04.csv", &points);
    let found = told(&findings, Code::ColumnNotRead).once();
    assert_eq!(found.severity, Severity::Warning);
    gives(found, &["\"TOC elevation\"", "measuring_point_elevation"]);
}

#[test]
fn c330_nested_wells_screened_apart_are_told_wherever_a_map_is_drawn() {
    let (map, findings) = drawn(&nested("", &|_| String::new()));
    assert!(map.is_some());
    let found = told(&findings, Code::NestedTogether).about("GW-1S").about("GW-6D").once();
    // 4 ft apart; 48 less 22 ft between the screens; the deep head 1.8 ft lower.
    gives(found, &["4", "26", "1.8"]);
    assert_eq!((found.severity, found.wells.len()), (Severity::Warning, 12));
    // One unit at a time: nothing to tell. Their distance is a setting.
    let folder = nested(",Zone", &unit);
    folder.change("site.toml", |t| t + "aquifer_unit = \"deep sand\"\n");
    assert!(of(Code::NestedTogether, &drawn(&folder).1).is_empty());
    let folder = nested("", &|_| String::new());
    folder.change("site.toml", |t| t + "[toward]\nnested_distance = 3.9\n");
    assert!(of(Code::NestedTogether, &drawn(&folder).1).is_empty());
    // Without a reference the depths tell.
    let folder = nested("", &|_| String::new());
    folder.change("wells.csv", |t| t.replace(",308.70,", ",,"));
    gives(told(&drawn(&folder).1, Code::NestedTogether).once(), &["26"]);
    // Screens that share a depth are one interval.
    let folder = nested("", &|_| String::new());
    folder.change("wells.csv", |t| t.replace(",48,58", ",20,58"));
    assert!(of(Code::NestedTogether, &drawn(&folder).1).is_empty());
}

#[test]
fn r112_the_datum_of_longitudes_is_that_of_their_crs() {
    let text = "Well,Longitude (NAD83),Latitude (NAD83),TOC (m),DTW (m)\nA,-93.2,44.9,100.00,9.41\n\
        B,-93.199,44.9,99.00,9.02\nC,-93.2,44.901,98.50,8.71\n";
    for (crs, agrees) in [("EPSG:4269", true), ("EPSG:4326", false)] {
        let toml = format!("[site]\ncoordinates_crs = \"{crs}\"\n");
        let (map, findings) = table(text, "EPSG:26915", &toml);
        assert_eq!(map.is_some(), agrees, "{crs}: {findings:#?}");
        if !agrees {
            told(&findings, Code::UnitConflict).giving(&["\"Longitude (NAD83)\"", "WGS 84"]);
        }
    }
}

const POLAND: &str = "id,X,Y,TOC elevation (m),depth to water (m),date\n\
    P-1,487020.4,637310.2,101.44,3.21,2025-10-02\nP-2,487080.9,637420.7,101.10,3.40,2025-10-02\n\
    P-3,486950.1,637455.3,100.72,3.35,2025-10-02\nP-4,486930.8,637330.0,101.05,3.26,2025-10-02\n\
    P-5,487000.0,637380.0,101.00,3.24,2025-10-02\n";

const JAPAN: &str = "id,X (m),Y (m),TOC elevation (m),depth to water (m),date\n\
    P-1,-35420.12,-8120.55,12.34,3.21,2025-10-02\nP-2,-35480.66,-8040.10,12.10,3.15,2025-10-02\n\
    P-3,-35530.00,-8105.22,11.72,2.98,2025-10-02\nP-4,-35455.90,-8180.31,12.05,3.10,2025-10-02\n";

fn table(text: &str, crs: &str, toml: &str) -> (Option<Map>, Vec<Diagnostic>) {
    let folder = Folder::new().with("levels.csv", text);
    if !toml.is_empty() {
        folder.file("site.toml", toml);
    }
    let overrides = Overrides { crs: Some(crs.into()), ..Overrides::default() };
    let (map, findings) = map(&folder.at("levels.csv"), &overrides);
    (map.ok(), findings)
}

fn direction(map: &Map) -> f64 {
    let slope = map.flow.plane.slope;
    (-slope.east).atan2(-slope.north).to_degrees().rem_euclid(360.0)
}

#[test]
fn r127_bare_x_and_y_are_asked_about_where_x_is_north() {
    // Where P-1 is by each reading of EPSG:2180: Snyder (1987), eqs. 8-12 to 8-25.
    told(&table(POLAND, "EPSG:2180", "").1, Code::AxesUnclear)
        .giving(&["18.8038", "53.6005", "21.0113", "52.2321"]);
    for (text, crs, toward) in [(POLAND, "EPSG:2180", 113.905), (JAPAN, "EPSG:6677", 189.949)] {
        let (map, findings) = table(text, crs, "");
        assert!(map.is_none(), "{crs}");
        let found = told(&findings, Code::AxesUnclear).about("P-1").once();
        assert_eq!(found.severity, Severity::Refusal);
        let heading = text.split(',').nth(1).expect("a heading");
        gives(found, &[&format!("northing = \"{heading}\"")]);
        let columns = text.replacen('X', "Northing", 1).replacen('Y', "Easting", 1);
        let (map, _) = table(&columns, crs, "");
        near(direction(&map.expect("a map")), toward, 0.01);
        let [_, x, y, ..] = text.split(',').collect::<Vec<_>>()[..] else { panic!("headings") };
        let toml = format!("[columns]\nnorthing = \"{x}\"\neasting = \"{y}\"\n");
        let (map, _) = table(text, crs, &toml);
        near(direction(&map.expect("a map")), toward, 0.01);
        let toml = format!("[columns]\nnorthing = \"{y}\"\neasting = \"{x}\"\n");
        let (map, _) = table(text, crs, &toml);
        near(direction(&map.expect("a map")), (450.0 - toward).rem_euclid(360.0), 0.01);
    }
    // Where X is east by the CRS, or the wells would lie elsewhere the other way round, nothing is asked.
    for (text, crs) in [
        (POLAND, "EPSG:32634"),
        (&POLAND.replace("6373", "57123").replace("6374", "57124"), "EPSG:31467"),
    ] {
        assert!(of(Code::AxesUnclear, &table(text, crs, "").1).is_empty(), "{crs}");
    }
}

#[test]
fn c312_says_where_the_wells_would_be() {
    let text = "Well,Easting,Northing,TOC Elevation (ft),Depth to Water (ft),Date\n\
        B-1,2103120.1,611240.4,742.18,14.22,2025-08-06\nB-2,2103298.7,611188.0,740.95,13.61,2025-08-06\n\
        B-3,2103190.2,611070.9,741.30,14.39,2025-08-06\n";
    let (_, findings) = table(text, "EPSG:3435", "");
    // Snyder (1987), eqs. 8-12 to 8-25, with the parameters of EPSG:3435: -84.43629, 38.28055.
    told(&findings, Code::OutsideArea).about("B-1").giving(&["-84.436", "38.281"]);
}

#[test]
fn the_datum_of_a_heading_is_the_sites() {
    let text = |toc: &str, ground: &str| {
        format!(
            "Well,Easting,Northing,{toc},{ground},DTW (ft)\nA,500000,4000000,100.00,98.00,9.41\n\
             B,500100,4000010,99.00,97.50,9.02\nC,500040,4000100,98.50,97.00,8.71\n"
        )
    };
    let datum = |toc: &str, ground: &str| {
        let (map, findings) = table(&text(toc, ground), "EPSG:26915", "");
        (map.and_then(|m| m.site.settings.vertical_datum.clone()), findings)
    };
    for (toc, ground, expected) in [
        ("TOC Elev (ft NAVD88)", "Ground Elev (ft)", Some("NAVD 88")),
        ("TOC Elev (ft NAVD)", "Ground Elev (ft NAVD 88)", Some("NAVD 88")),
        ("TOC Elev (ft amsl)", "Ground Elev (ft)", Some("mean sea level")),
        ("TOC Elev (ft amsl)", "Ground Elev (ft NGVD29)", Some("NGVD 29")),
        ("TOC Elev (ft)", "Ground Elev (ft)", None),
    ] {
        assert_eq!(datum(toc, ground).0.as_deref(), expected, "{toc}, {ground}");
    }
    let (none, findings) = datum("TOC Elev (ft NAVD88)", "Ground Elev (ft NGVD29)");
    assert_eq!(none, None);
    told(&findings, Code::UnitConflict).giving(&["\"Ground Elev (ft NGVD29)\""]);
}
