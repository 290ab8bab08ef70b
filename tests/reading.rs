//! What files say, in every way people write them, and what is refused.
//!
//! The tables are invented. That 7 inches are 0.58 ft, and that field tapes are in decimal feet, is
//! arithmetic and common practice. Sizes of the two feet: 0.3048 m and 1200/3937 m, exactly (US
//! National Geodetic Survey).
#![expect(clippy::float_cmp, reason = "a decimal must be read as exactly that number")]

use std::fs;
use std::path::Path;

use headfall::Error;
use headfall::diag::{Code, Diagnostic, Warned};
use headfall::read::{
    DepthDatum, Measurement, Method, Orientation, Overrides, Page, SheetOverrides, Status,
    WellKind, site_and_round, start,
};
use headfall::units::LengthUnit;
use proptest::prelude::*;

use crate::support::{self, Both, Folder, hold_brief, text, told};

const TOML: &str = "[site]\nname = \"Mill Field\"\ncrs = \"EPSG:26915\"\nelevation_unit = \"ft\"\n\
                    vertical_datum = \"NAVD 88\"\n";
const WELLS: &str = "id,easting,northing,measuring_point_elevation\n\
                     MW-1,478100.5,4977100.25,850.10\n\
                     MW-2,478200,4977100,851.20\n\
                     MW-3,478100,4977200,852.30\n";
const ROUND: &str = "id,date,depth_to_water\nMW-1,2026-04-14,10.01\nMW-2,2026-04-14,10.02\n\
                     MW-3,2026-04-14,10.03\n";

/// A site folder that is in order.
fn mill_field() -> Folder {
    Folder::new().with("site.toml", TOML).with("wells.csv", WELLS).with("rounds/april.csv", ROUND)
}

/// A folder that is read as a site.
trait AsSite {
    fn read_with(&self, overrides: &Overrides) -> Result<Warned<Both>, Error>;

    #[track_caller]
    fn read(&self) -> Both {
        accepted(self.read_with(&Overrides::default())).value
    }

    #[track_caller]
    fn refused(&self) -> Vec<Diagnostic> {
        refusals(self.read_with(&Overrides::default()))
    }
}

/// A site and its round.
fn both(path: &Path, overrides: &Overrides) -> Result<Warned<Both>, Error> {
    let Warned { value, findings } = site_and_round(path, overrides)?;
    Ok(Warned { value: value.into(), findings })
}

impl AsSite for Folder {
    fn read_with(&self, overrides: &Overrides) -> Result<Warned<Both>, Error> {
        let read = both(self.path(), overrides);
        match &read {
            Ok(site) => hold_brief(&site.findings),
            Err(error) => hold_brief(error.diagnostics()),
        }
        read
    }
}

#[track_caller]
fn accepted(read: Result<Warned<Both>, Error>) -> Warned<Both> {
    match read {
        Ok(site) => site,
        Err(e) => panic!("refused: {:#?}", e.diagnostics()),
    }
}

/// The refusals, each of which must give advice.
#[track_caller]
fn refusals(read: Result<Warned<Both>, Error>) -> Vec<Diagnostic> {
    let Err(Error::Read(said)) = read else { panic!("not refused by reading") };
    for d in &said {
        assert!(d.advice.is_some(), "no advice: {d:?}");
        assert!(!d.message.ends_with('.'), "full stop: {d:?}");
    }
    let refusals: Vec<Diagnostic> = said.into_iter().filter(Diagnostic::is_refusal).collect();
    assert!(!refusals.is_empty());
    refusals
}

/// Exactly one refusal: its code, its place, and the values and names that it gives.
#[track_caller]
fn only(said: &[Diagnostic], code: Code, place: &str, facts: &[&str]) {
    assert_eq!(said.len(), 1, "{said:#?}");
    has(said, code, place, facts);
}

#[track_caller]
fn has(said: &[Diagnostic], code: Code, place: &str, facts: &[&str]) {
    told(said, code).within(place).giving(facts);
}

/// A single table, read with a CRS in metres and elevations in feet.
fn table_with(content: impl AsRef<[u8]>, overrides: &Overrides) -> Result<Warned<Both>, Error> {
    let folder = Folder::new().with("levels.csv", content);
    both(&folder.at("levels.csv"), overrides)
}

fn table(content: impl AsRef<[u8]>) -> Result<Warned<Both>, Error> {
    let overrides = Overrides {
        crs: Some("EPSG:26915".to_owned()),
        elevation_unit: Some(LengthUnit::Foot),
        ..Overrides::default()
    };
    table_with(content, &overrides)
}

/// The register of [`WELLS`] with a round of these lines.
#[track_caller]
fn round_refused(lines: &str) -> Vec<Diagnostic> {
    mill_field().with("rounds/april.csv", lines).refused()
}

// What is accepted.

#[test]
fn a_plain_folder_is_read_as_it_stands() {
    let site = mill_field().read();
    assert_eq!(site.settings.name, "Mill Field");
    assert_eq!(site.settings.elevation_unit, LengthUnit::Foot);
    assert_eq!(site.round.depth_unit, LengthUnit::Foot);
    assert_eq!(site.settings.vertical_datum.as_deref(), Some("NAVD 88"));
    assert_eq!(site.settings.depths_from, DepthDatum::MeasuringPoint);
    assert!(!site.settings.elevation_unit_assumed);
    assert_eq!(site.round.name, "april");
    assert_eq!(site.wells.len(), 3);
    assert_eq!(site.wells[0].id, "MW-1");
    assert_eq!((site.wells[0].easting, site.wells[0].northing), (478_100.5, 4_977_100.25));
    assert_eq!(site.wells[1].origin.line, Some(3));
    assert_eq!(site.measuring_points["MW-3"][0].elevation, 852.30);
    assert_eq!(site.round.readings[2].measurement, Measurement::Depth(10.03));
    assert_eq!(site.round.readings[2].moment.expect("a day").to_string(), "2026-04-14");
    let files: Vec<&str> =
        site.inputs.iter().chain(&site.round.inputs).map(|i| i.file.as_str()).collect();
    assert_eq!(files, ["site.toml", "wells.csv", "rounds/april.csv"]);
    assert_eq!(site.rounds.names(), ["april"]);
}

#[test]
fn the_hash_of_a_file_is_its_sha_256() {
    // The digest of the empty message: NIST CAVP, SHA256ShortMsg.rsp, Len = 0 (from memory).
    let folder = Folder::new().with("site.toml", "").with("levels.csv", SINGLE);
    let overrides = Overrides {
        crs: Some("EPSG:26915".to_owned()),
        elevation_unit: Some(LengthUnit::Metre),
        ..Overrides::default()
    };
    let read = accepted(both(&folder.at("levels.csv"), &overrides)).value;
    assert_eq!(read.inputs[0].file, "site.toml");
    assert_eq!(
        read.inputs[0].sha256,
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
    );
}

#[test]
fn every_spelling_of_the_file_itself_reads_alike() {
    let plain = mill_field().read();
    let bom = format!("\u{feff}{ROUND}");
    let crlf = ROUND.replace('\n', "\r\n");
    let semicolon = ROUND.replace(',', ";");
    let tab = ROUND.replace(',', "\t");
    let bar = ROUND.replace(',', "|");
    let quoted = format!("\"{}\"", ROUND.trim().replace(',', "\",\"").replace('\n', "\"\n\""));
    let trailing = format!("{ROUND},,\n;\n").replace("\n;\n", "\n , ,\t\n");
    let surplus = ROUND.replace('\n', ",,\n");
    let spaced = ROUND.replace(',', " , ");
    for (what, text) in [
        ("byte order mark", bom),
        ("CRLF", crlf),
        ("semicolon", semicolon),
        ("tab", tab),
        ("bar", bar),
        ("quoted", quoted),
        ("trailing empty rows", trailing),
        ("surplus empty cells", surplus),
        ("spaces", spaced),
    ] {
        let read = mill_field().with("rounds/april.csv", &text).read();
        assert_eq!(read.round.readings, plain.round.readings, "{what}: {text:?}");
    }
    let read = mill_field().with("rounds/april.csv", ROUND.replace('\n', "\r")).read();
    assert_eq!(read.round.readings, plain.round.readings, "CR alone");
    let toml = format!("\u{feff}{TOML}").replace('\n', "\r\n");
    assert_eq!(mill_field().with("site.toml", toml).read().settings, plain.settings);
    let blank = ROUND.replace('\n', "\n\n");
    let read = mill_field().with("rounds/april.csv", format!("\n\n{blank}")).read();
    let lines: Vec<_> = read.round.readings.iter().map(|r| r.origin.line).collect();
    assert_eq!(lines, [Some(5), Some(7), Some(9)], "blank lines count");
}

#[test]
fn the_delimiter_is_the_one_under_which_headings_are_known() {
    let text = "Well;Easting, m;Northing, m;Water level elevation, ft\n\
                A;478100;4977100;840.5\nB;478200;4977100;840.1\n";
    let site = accepted(table(text)).value;
    assert_eq!(site.round.readings[1].measurement, Measurement::Elevation(840.1));
    assert_eq!(site.settings.length_unit, Some(LengthUnit::Metre));
}

#[test]
fn decimal_commas_are_read_when_declared() {
    let toml = format!("{TOML}[tables]\ndecimal = \",\"\n");
    let round = "id;date;dtw\nMW-1;2026-04-14;10,01\nMW-2;2026-04-14;-0,5\nMW-3;2026-04-14;11\n";
    let wells = WELLS.replace(',', ";").replace('.', ",");
    let folder = mill_field().with("site.toml", toml).with("wells.csv", wells);
    let site = folder.with("rounds/april.csv", round).read();
    assert_eq!(site.wells[0].easting, 478_100.5);
    let depths: Vec<_> = site.round.readings.iter().map(|r| r.measurement).collect();
    let expected = [10.01, -0.5, 11.0].map(Measurement::Depth);
    assert_eq!(depths, expected);
}

#[test]
fn headings_are_recognised_in_many_spellings() {
    for (id, depth) in [
        ("Well", "DTW"),
        ("WELL ID", "Depth to Water (ft)"),
        ("Well No.", "depth-to-water [ft]"),
        ("WellID", "DepthToWater"),
        ("Location_ID", "DTW_ft"),
        ("Monitoring Well", "Depth to Water, ft below TOC"),
        ("Piezometer", "DTW (ft btoc)"),
        ("  Point  ", "Water Level (feet bmp)"),
        ("Bore", "Depth to ground water ft"),
        ("Station", "Depth"),
    ] {
        let round = format!("\"{id}\",\"{depth}\"\nMW-1,10.01\nMW-2,dry\nMW-3,10.03\n");
        let site = mill_field().with("rounds/april.csv", round).read();
        assert_eq!(site.round.readings[0].measurement, Measurement::Depth(10.01), "{id} {depth}");
        assert_eq!(site.round.readings[1].status, Status::Dry, "{id} {depth}");
    }
    for elevation in [
        "TOC",
        "TOC (ft)",
        "TOC Elev (ft NAVD88)",
        "TOCElev_ft",
        "Top of Casing Elevation (feet)",
        "Elev. TOC",
        "MP Elev",
        "Measuring Point El. [ft, NAVD 88]",
        "Reference Elevation",
        "MPE",
    ] {
        let wells = WELLS.replace("measuring_point_elevation", &format!("\"{elevation}\""));
        let site = mill_field().with("wells.csv", wells).read();
        assert_eq!(site.measuring_points["MW-1"][0].elevation, 850.10, "{elevation}");
    }
    for (x, y) in [
        ("X", "Y"),
        ("E (m)", "N (m)"),
        ("UTM East", "UTM North"),
        ("x_coord", "y_coord"),
        ("Easting (UTM 15N)", "Northing (UTM 15N)"),
        ("eastings", "NORTHINGS"),
    ] {
        let wells = WELLS.replace("easting", x).replace("northing", y);
        let folder = mill_field().with("wells.csv", wells);
        assert_eq!(folder.read().wells[0].easting, 478_100.5, "{x}");
    }
}

#[test]
fn a_declared_heading_is_taken_before_those_recognised() {
    let round = "well,dtw,Tape read (ft)\nMW-1,1,10.01\nMW-2,2,10.02\n";
    let toml = format!("{TOML}[columns]\ndepth_to_water = \"Tape read (ft)\"\n");
    let folder = mill_field().with("site.toml", toml).with("rounds/april.csv", round);
    assert_eq!(folder.read().round.readings[0].measurement, Measurement::Depth(10.01));
}

#[test]
fn every_way_of_measuring_is_read() {
    let round = "id,datetime,number,repeat,dtw,dtp,sg,hold,cut,pressure head,stage,elevation,status,tape,notes\n\
        MW-1,2026-04-14T09:35,x,2,12.50,12.10,0.83,,,,,838.0,,tape-2,\"a, quoted\nremark\"\n\
        MW-1,2026-04-14 09:36,,1,,,,30,17.5,,,,OK,,\n\
        MW-2,2026-04-14,,,,,,,,2.31,,,flowing,,\n\
        MW-2,,,,,,,,,,1.2,,,,\n\
        MW-3,,,,,,,,,,,841.25,,,\n\
        MW-3,,,,,,,,,,,,N/A,,locked\n\
        MW-3,,,,pumping,,,,,,,,,,\n\
        MW-3,,,,30.2,,,,,,,,Dry,,\n";
    let site = mill_field().with("rounds/april.csv", round).read();
    let mut r = site.round.readings;
    r.sort_by_key(|r| r.origin.line);
    assert_eq!(
        r[0].measurement,
        Measurement::Product { to_product: 12.10, to_water: 12.50, specific_gravity: Some(0.83) }
    );
    assert_eq!((r[0].number, r[0].written_elevation), (Some(2), Some(838.0)));
    assert_eq!(r[0].instrument.as_deref(), Some("tape-2"));
    assert_eq!(r[0].remark.as_deref(), Some("a, quoted\nremark"));
    assert_eq!(r[0].moment.expect("a time").to_string(), "2026-04-14T09:35:00");
    assert_eq!(r[1].measurement, Measurement::HoldAndCut { hold: 30.0, cut: 17.5 });
    assert_eq!(r[1].origin.line, Some(4), "a quoted line break counts");
    assert_eq!((r[2].measurement, r[2].status), (Measurement::PressureHead(2.31), Status::Flowing));
    assert_eq!(r[3].measurement, Measurement::Stage(1.2));
    assert_eq!(r[4].measurement, Measurement::Elevation(841.25));
    assert_eq!(r[4].written_elevation, None);
    assert_eq!((r[5].measurement, r[5].status), (Measurement::None, Status::NotMeasured));
    assert_eq!(r[5].remark.as_deref(), Some("locked; status \"N/A\""));
    assert_eq!((r[6].measurement, r[6].status), (Measurement::None, Status::Pumping));
    assert_eq!((r[7].measurement, r[7].status), (Measurement::Depth(30.2), Status::Dry));
}

#[test]
fn surveys_of_a_measuring_point_are_sorted_by_day() {
    let points = "well,from,mp elev\nMW-1,2025-06-01,849.90\nMW-1,2021-03-02,850.00\n";
    let site = mill_field().with("measuring-points.csv", points).read();
    let of: Vec<_> = site.measuring_points["MW-1"]
        .iter()
        .map(|p| (p.valid_from.map(|d| d.to_string()), p.elevation, p.origin.to_string()))
        .collect();
    assert_eq!(
        of,
        [
            (None, 850.10, "wells.csv, line 2".to_owned()),
            (Some("2021-03-02".to_owned()), 850.00, "measuring-points.csv, line 3".to_owned()),
            (Some("2025-06-01".to_owned()), 849.90, "measuring-points.csv, line 2".to_owned()),
        ]
    );
    assert_eq!(site.inputs[2].file, "measuring-points.csv");
}

#[test]
fn every_setting_reaches_the_site() {
    let toml = "[site]\nname = \"A\"\ncrs = \"EPSG:26915\"\nelevation_unit = \"m\"\n\
        depth_unit = \"ft\"\nvertical_datum = \"local\"\naquifer_unit = \"upper sand\"\n\
        depths_from = \"ground\"\n[round]\nwindow_hours = 12\nrepeat_tolerance = 0.05\n\
        measuring_point_age_years = 3\ndate_format = \"%d/%m/%Y\"\nspecific_gravity = 0.8\n\
        [grid]\ncell = 2\n[contours]\ninterval = 0.25\nbase = 0.1\n[tables]\ndelimiter = \",\"\n\
        [sheet]\npage = \"Tabloid\"\norientation = \"landscape\"\nshading = true\ndpi = 72\n\
        [instruments.tape-2]\noffset = 0.02\nstretch = 0.0001\n";
    let folder = mill_field().with("site.toml", toml);
    let site = folder.with("rounds/april.csv", ROUND.replace("2026-04-14", "04/05/2026")).read();
    let s = &site.settings;
    assert_eq!((s.elevation_unit, site.round.depth_unit), (LengthUnit::Metre, LengthUnit::Foot));
    assert_eq!(s.aquifer_unit.as_deref(), Some("upper sand"));
    assert_eq!(s.depths_from, DepthDatum::Ground);
    assert_eq!((s.round_window_h, site.round.repeat_tolerance), (12.0, 0.05));
    assert_eq!((s.measuring_point_age_years, s.specific_gravity), (3.0, Some(0.8)));
    assert_eq!((s.cell, s.interval, s.base_level), (Some(2.0), Some(0.25), 0.1));
    let sheet = (s.sheet.drawn, s.sheet.page, s.sheet.orientation, s.sheet.shading, s.sheet.dpi);
    let landscape = Some(Orientation::Landscape);
    assert_eq!(sheet, (true, Some(Page::Tabloid), landscape, true, 72));
    assert_eq!(site.instruments["tape-2"].stretch, 0.0001);
    assert_eq!(site.round.readings[0].moment.expect("a day").to_string(), "2026-05-04");
}

#[test]
fn the_command_line_goes_over_the_file() {
    let overrides = Overrides {
        crs: Some("EPSG:26916".to_owned()),
        elevation_unit: Some(LengthUnit::UsSurveyFoot),
        aquifer_unit: Some(" deep gravel ".to_owned()),
        cell: Some(3.0),
        interval: Some(0.2),
        surface: Some(Method::ThinPlate),
        rasters: true,
        worksheet: None,
        layer: None,
        round: Some("april.csv".to_owned()),
        formats: Vec::new(),
        sheet: SheetOverrides {
            data_only: true,
            page: Some(Page::A3),
            shading: true,
            dpi: Some(200),
        },
        common_frame: None,
        before_first_round: false,
    };
    let site = accepted(mill_field().read_with(&overrides)).value;
    let s = &site.settings;
    assert_eq!(s.aquifer_unit.as_deref(), Some("deep gravel"));
    assert_eq!(s.crs, "EPSG:26916");
    assert_eq!((s.surface.method, s.uncertainty.rasters), (Method::ThinPlate, true));
    assert_eq!(
        (s.elevation_unit, site.round.depth_unit),
        (LengthUnit::UsSurveyFoot, LengthUnit::UsSurveyFoot)
    );
    assert_eq!((s.cell, s.interval), (Some(3.0), Some(0.2)));
    assert_eq!(site.round.repeat_tolerance, 0.02);
    let sheet = (s.sheet.drawn, s.sheet.page, s.sheet.shading, s.sheet.dpi);
    assert_eq!(sheet, (false, Some(Page::A3), true, 200));
}

#[test]
fn the_newest_round_is_the_default() {
    let folder = mill_field()
        .with("rounds/2026-01.csv", ROUND.replace("2026-04-14", "2026-01-20"))
        .with("rounds/old.csv", "id,date,time,dtw\nMW-1,2026-04-14,08:00,\"x\"\n")
        .with("rounds/z-newer.csv", ROUND.replace("2026-04-14", "2026-07-01"))
        .with("rounds/.hidden.csv", "not a round");
    let site = folder.read();
    assert_eq!(site.round.name, "z-newer");
    assert_eq!(
        (site.inputs.len(), site.round.inputs.len()),
        (2, 1),
        "only what the map is drawn from"
    );
    let overrides = Overrides { round: Some("2026-01".to_owned()), ..Overrides::default() };
    assert_eq!(accepted(folder.read_with(&overrides)).value.round.name, "2026-01");
}

#[test]
fn of_two_rounds_of_one_day_the_later_time_decides() {
    let at = |time: &str| format!("id,date,time,dtw\nMW-1,2026-04-14,{time},10\n");
    let folder = mill_field()
        .with("rounds/april.csv", at("09:00"))
        .with("rounds/b.csv", at("17:30"))
        .with("rounds/c.csv", at("12:00"));
    assert_eq!(folder.read().round.name, "b");
}

const SINGLE: &str = "well,x,y,water level elevation\nA,478100,4977100,840.5\n\
                      B,478200,4977100,840.1\nC,478100,4977200,840.9\n";

#[test]
fn a_single_table_needs_no_site_toml() {
    let read = accepted(table(SINGLE));
    assert!(read.findings.is_empty(), "{:?}", read.findings);
    let site = read.value;
    assert_eq!((site.settings.name.as_str(), site.round.name.as_str()), ("levels", "levels"));
    assert_eq!(site.settings.vertical_datum, None);
    assert_eq!(site.wells[2].northing, 4_977_200.0);
    assert_eq!(site.round.readings[2].measurement, Measurement::Elevation(840.9));
    assert_eq!(site.inputs[0].file, "levels.csv");
}

#[test]
fn a_single_table_of_depths_has_its_measuring_points() {
    let text = "Well,Type of point,kind,X,Y,TOC elev (ft),DTW (ft),Elevation\n\
                A,,Monitoring well,478100,4977100,850.5,10.25,840.25\n\
                A,,,,,,10.26,\nG,,staff gauge,478200,4977100,838,dry,\n";
    let site = accepted(table(text)).value;
    assert_eq!(site.wells.len(), 2);
    assert_eq!((site.wells[0].kind, site.wells[1].kind), (WellKind::Well, WellKind::Gauge));
    assert_eq!(site.measuring_points["A"].len(), 1);
    assert_eq!(site.round.readings.len(), 3);
    assert_eq!(site.round.readings[0].written_elevation, Some(840.25));
}

#[test]
fn what_one_row_of_a_well_leaves_open_another_may_say() {
    let rows = ["A,478100,4977100,,5.5,10.25\n", "A,478100,4977100,850.5,,10.26\n"];
    for order in [[0, 1], [1, 0]] {
        let text = format!("id,x,y,toc,td,dtw\n{}{}", rows[order[0]], rows[order[1]]);
        let site = accepted(table(text)).value;
        assert_eq!(site.measuring_points["A"][0].elevation, 850.5);
        assert_eq!(site.wells[0].total_depth, Some(5.5));
    }
}

#[test]
fn the_table_of_the_docs_is_a_single_table() {
    let docs = include_str!("../docs/site-folder.md");
    let example = docs.split("```csv\n").nth(1).and_then(|t| t.split("```").next());
    let overrides = Overrides { crs: Some("EPSG:26915".to_owned()), ..Overrides::default() };
    let read = accepted(table_with(example.expect("the docs have an example"), &overrides));
    assert!(read.findings.is_empty(), "{:?}", read.findings);
    assert_eq!(read.value.settings.elevation_unit, LengthUnit::Foot);
    assert_eq!(read.value.round.readings.len(), 3);
}

#[test]
fn a_site_toml_beside_a_single_table_is_read() {
    let folder = Folder::new().with("levels.csv", SINGLE).with("site.toml", TOML);
    let site = accepted(both(&folder.at("levels.csv"), &Overrides::default())).value;
    assert_eq!(site.settings.name, "Mill Field");
    assert_eq!(site.inputs.len(), 2);
}

#[test]
fn the_folders_site_toml_stands_for_the_folder() {
    let folder = mill_field();
    let site = accepted(both(&folder.at("site.toml"), &Overrides::default())).value;
    assert_eq!(site.wells.len(), 3);
}

// Units.

#[test]
fn an_elevation_unit_that_nothing_states_is_the_crss_with_a_warning() {
    let overrides = Overrides { crs: Some("EPSG:26915".to_owned()), ..Overrides::default() };
    let read = accepted(table_with(SINGLE, &overrides));
    assert!(read.value.settings.elevation_unit_assumed);
    assert_eq!(read.value.settings.elevation_unit, LengthUnit::Metre);
    has(&read.findings, Code::UnitAssumed, "levels.csv", &["EPSG:26915", "--unit"]);
    let headed = SINGLE.replace("water level elevation", "GW Elev (ft NAVD88)");
    let read = accepted(table_with(headed, &overrides));
    assert_eq!(read.value.settings.elevation_unit, LengthUnit::Foot);
    assert!(read.findings.is_empty());
    let geographic = Overrides { crs: Some("EPSG:4326".to_owned()), ..Overrides::default() };
    let said = refusals(table_with(SINGLE, &geographic));
    only(&said, Code::SiteSetting, "levels.csv", &["EPSG:4326"]);
}

#[test]
fn depths_in_feet_beside_an_elevation_of_unknown_unit_are_refused() {
    let overrides = Overrides { crs: Some("EPSG:26915".to_owned()), ..Overrides::default() };
    let said = refusals(table_with("id,x,y,toc,dtw (ft)\nA,1,2,850,10\n", &overrides));
    only(&said, Code::UnitConflict, "levels.csv", &[]);
}

#[test]
fn depth_headings_declare_the_depth_unit() {
    let toml = TOML.replace("\"ft\"", "\"m\"");
    let folder = mill_field().with("site.toml", toml);
    let site = folder.with("rounds/april.csv", ROUND.replace("depth_to_water", "DTW (ft)")).read();
    assert_eq!(site.round.depth_unit, LengthUnit::Foot);
    assert_eq!(site.settings.elevation_unit, LengthUnit::Metre);
    let survey = TOML.replace("\"ft\"", "\"ft-us\"");
    let folder = mill_field().with("site.toml", survey);
    let site = folder.with("rounds/april.csv", ROUND.replace("depth_to_water", "DTW (ft)")).read();
    assert_eq!(site.round.depth_unit, LengthUnit::UsSurveyFoot, "the site's own foot");
}

#[test]
fn coordinates_in_feet_become_the_metres_of_the_crs() {
    let toml = format!(
        "{}\n[grid]\ncell = 10\n",
        TOML.replace("elevation", "length_unit = \"ft\"\nelevation")
    );
    let read = accepted(mill_field().with("site.toml", toml).read_with(&Overrides::default()));
    has(&read.findings, Code::LengthConverted, "wells.csv", &["EPSG:26915", "0.3048"]);
    let site = read.value;
    assert!((site.wells[1].easting - 478_200.0 * 0.3048).abs() < 1e-9);
    assert!((site.settings.cell.expect("a cell") - 3.048).abs() < 1e-12);
    assert_eq!(site.settings.length_unit, Some(LengthUnit::Foot));
}

#[test]
fn coordinates_headed_ft_are_whichever_foot_the_crs_has() {
    // EPSG:2277 is in US survey feet.
    let folder = mill_field()
        .with("site.toml", TOML.replace("26915", "2277"))
        .with("wells.csv", WELLS.replace("easting,northing", "\"Easting (ft)\",\"Northing (ft)\""));
    let read = accepted(folder.read_with(&Overrides::default()));
    assert!(read.findings.is_empty(), "{:?}", read.findings);
    assert_eq!(read.value.wells[0].easting, 478_100.5);
    let folder = folder.with(
        "site.toml",
        TOML.replace("26915", "2277").replace("elevation", "length_unit = \"ft\"\nelevation"),
    );
    let read = accepted(folder.read_with(&Overrides::default()));
    let ratio = 0.3048 / (1200.0 / 3937.0);
    assert!((read.value.wells[0].easting - 478_100.5 * ratio).abs() < 1e-6);
    has(&read.findings, Code::LengthConverted, "wells.csv", &["ft-us"]);
}

#[test]
fn longitudes_and_latitudes_stay_as_they_are() {
    let toml = TOML.replace("elevation", "coordinates_crs = \"EPSG:4326\"\nelevation");
    let wells = "id,lat,lon (dd),toc\nMW-1,44.95,-93.28,850\nMW-2,44.951,-93.281,851\n\
                 MW-3,44.952,-93.28,852\n";
    let site = mill_field().with("site.toml", toml).with("wells.csv", wells).read();
    assert_eq!((site.wells[0].easting, site.wells[0].northing), (-93.28, 44.95));
}

#[test]
fn statements_about_units_that_disagree_are_refused() {
    let r = |name: &str, text: String| mill_field().with(name, text).refused();
    let said = r("wells.csv", WELLS.replace("measuring_point_elevation", "\"TOC (m)\""));
    only(&said, Code::UnitConflict, "wells.csv, line 1, column \"TOC (m)\"", &[]);
    let said = r("rounds/april.csv", "id,DTW (ft),stage (m)\nMW-1,1,\n".to_owned());
    only(&said, Code::UnitConflict, "rounds/april.csv, line 1", &["stage (m)", "DTW (ft)"]);
    let said = r("rounds/april.csv", "id,DTW (ft bgs)\nMW-1,1\n".to_owned());
    only(&said, Code::UnitConflict, "rounds/april.csv, line 1", &[]);
    let said = r("wells.csv", WELLS.replace("measuring_point_elevation", "\"TOC (ft NGVD29)\""));
    only(&said, Code::UnitConflict, "wells.csv, line 1", &["NGVD", "NAVD 88"]);
    let bgs = "id,easting,northing,toc,\"screen top (ft bgs)\"\nMW-1,478100,4977100,850,5\n\
               MW-2,478200,4977100,851,5\nMW-3,478100,4977200,852,5\n";
    assert_eq!(mill_field().with("wells.csv", bgs).read().settings.depths_from, DepthDatum::Ground);
    let toml = TOML.replace("vertical", "depths_from = \"measuring-point\"\nvertical");
    let said = mill_field().with("wells.csv", bgs).with("site.toml", toml).refused();
    only(&said, Code::UnitConflict, "wells.csv, line 1", &["screen top (ft bgs)", "depths_from"]);
    let toml = TOML.replace("elevation", "length_unit = \"m\"\nelevation");
    let wells = WELLS.replace("easting", "easting (ft)");
    let said = mill_field().with("wells.csv", wells).with("site.toml", toml).refused();
    only(&said, Code::UnitConflict, "wells.csv, line 1", &["easting (ft)", "length_unit"]);
}

// What is refused, by code.

#[test]
fn r101_files_that_cannot_be_read() {
    let nowhere = Path::new("no-such-place");
    let said = refusals(both(nowhere, &Overrides::default()));
    only(&said, Code::FileUnreadable, "no-such-place", &["no-such-place"]);
    let said = refusals(both(Folder::new().path(), &Overrides::default()));
    only(&said, Code::FileUnreadable, "site.toml", &["site.toml", "wells.csv"]);
    let folder = Folder::new().with("site.toml", TOML);
    let said = folder.refused();
    has(&said, Code::FileUnreadable, "wells.csv", &[]);
    has(&said, Code::FileUnreadable, "rounds", &[]);
    let mut latin = b"id,remark,dtw\nMW-1,\xc3\xbc,10\nMW-2,\xfcber,10\n".to_vec();
    let said = mill_field().with("rounds/april.csv", &latin).refused();
    only(&said, Code::FileUnreadable, "rounds/april.csv, line 3", &["0xFC", "UTF-8"]);
    let toml: Vec<u8> = TOML.replace("Field", "F\u{fc}ld").chars().map(|c| c as u8).collect();
    let said = mill_field().with("site.toml", toml).refused();
    only(&said, Code::FileUnreadable, "site.toml, line 2", &["0xFC", "UTF-8"]);
    latin[20] = 0;
    let said = mill_field().with("rounds/april.csv", &latin).refused();
    only(&said, Code::FileUnreadable, "rounds/april.csv, line 2", &["NUL"]);
    let wide: Vec<u8> = [0xFF, 0xFE].into_iter().chain(TOML.bytes().flat_map(|b| [b, 0])).collect();
    let said = mill_field().with("site.toml", wide).refused();
    only(&said, Code::FileUnreadable, "site.toml, line 1", &["UTF-16", "CSV UTF-8"]);
    let broken = [&[0xFF, 0xFE][..], &[0, 0xD8].repeat(9)].concat();
    let said = mill_field().with("rounds/april.csv", broken).refused();
    only(&said, Code::FileUnreadable, "rounds/april.csv, line 1", &["UTF-16"]);
}

/// Every number of the settings has bounds, so that none of them can make a number of no meaning.
#[test]
fn r102_settings_out_of_this_world() {
    for (table, keys, bound) in [
        ("grid", &["cell"][..], "to 100000000 in the length unit of the site"),
        ("grid", &["unconfined_base"], "from -100000 to 100000 in the elevation unit"),
        ("contours", &["interval"], "to 100000 in the elevation unit"),
        ("contours", &["base"], "from -100000 to 100000 in the elevation unit"),
        ("round", &["window_hours"], "to 1000000 hours"),
        ("round", &["repeat_tolerance"], "to 1000 in the depth unit"),
        ("round", &["measuring_point_age_years"], "to 1000000 years"),
        ("uncertainty", &["reading_sd"], "from 0 to 1000 in the depth unit"),
        ("uncertainty", &["survey_sd"], "from 0 to 1000 in the elevation unit"),
        ("uncertainty", &["tape_sd_per_length", "lean_per_length"], "from 0 to 10"),
        ("uncertainty", &["level_change_per_hour"], "to 1000 in the elevation unit per hour"),
        ("uncertainty", &["specific_gravity_sd"], "from 0 to 1 without a unit"),
        ("uncertainty", &["inferred_spacings", "inferred_interval_part"], "to 1000000"),
        ("thin_plate", &["smoothing"], "from 0 to 1e20"),
        ("inverse_distance", &["power"], "from 0.01 to 100"),
        ("inverse_distance", &["radius"], "to 100000000 in the length unit"),
        ("features", &["stream_spacing", "stream_reach"], "to 100000000 in the length unit"),
        ("toward", &["capture_distance", "pair_distance"], "to 100000000 in the length unit"),
        ("toward", &["nested_distance", "water_distance"], "to 100000000 in the length unit"),
    ] {
        for key in keys {
            let toml = format!("{TOML}[{table}]\n{key} = 1e300\n");
            let said = mill_field().with("site.toml", toml).refused();
            let start = format!("{key} = 1e300 is not a number from ");
            only(&said, Code::SiteSetting, "site.toml, line 7", &[&start, bound]);
        }
    }
    let covariance = |key: &str| {
        let other = if key == "range" { "partial_sill = 2.0" } else { "range = 90.0" };
        let toml = format!("{TOML}[kriging]\n{key} = 1e300\n{other}\n");
        let said = mill_field().with("site.toml", toml).refused();
        only(&said, Code::SiteSetting, "site.toml, line 7", &[key]);
    };
    covariance("range");
    covariance("partial_sill");
    let small = format!("{TOML}[features]\nstream_spacing = 0.000001\n");
    let said = mill_field().with("site.toml", small).refused();
    only(
        &said,
        Code::SiteSetting,
        "site.toml, line 7",
        &["stream_spacing = 0.000001 is not", "0.001"],
    );
}

#[test]
fn r102_settings_that_cannot_be_used() {
    let with = |more: &str| mill_field().with("site.toml", format!("{TOML}{more}")).refused();
    for (more, line, texts) in [
        ("colour = 1\n", 6, ["colour", "elevation_unit"]),
        ("[grid]\ncel = 1\n", 7, ["cel", "cell"]),
        ("[grids]\n", 6, ["grids", "contours"]),
        (
            "[grid]\ncell = 0\n",
            7,
            ["cell = 0 is not", "from 0.001 to 100000000 in the length unit"],
        ),
        ("[grid]\ncell = -5.5\n", 7, ["cell = -5.5", "from 0.001"]),
        ("[grid]\ncell = nan\n", 7, ["cell = NaN", "from 0.001"]),
        ("[grid]\ncell = \"5\"\n", 7, ["string", "quotes"]),
        (
            "[contours]\ninterval = 0.0\n",
            7,
            ["interval = 0", "from 0.000001 to 100000 in the elevation unit"],
        ),
        ("[contours]\nbase = inf\n", 7, ["base = inf", "from -100000 to 100000"]),
        ("[round]\nwindow_hours = 0\n", 7, ["window_hours = 0", "to 1000000 hours"]),
        (
            "[round]\nrepeat_tolerance = -1\n",
            7,
            ["repeat_tolerance = -1", "from 0 to 1000 in the depth unit"],
        ),
        (
            "[round]\nmeasuring_point_age_years = 0\n",
            7,
            ["measuring_point_age_years", "1000000 years"],
        ),
        ("[round]\nspecific_gravity = 1.2\n", 7, ["specific_gravity = 1.2", "floats"]),
        ("[round]\ndate_format = \"%m/%d\"\n", 7, ["%m/%d", "year"]),
        ("[tables]\ndelimiter = \"x\"\n", 7, ["delimiter", "\"x\""]),
        ("[tables]\ndecimal = \"'\"\n", 7, ["decimal", "\"'\""]),
        ("[columns]\n\ndtw = \"Tape\"\n", 8, ["dtw", "depth_to_water"]),
        ("[instruments.tape-2]\nstretch = 10.0\n", 6, ["tape-2", "stretch = 10"]),
        ("[instruments.tape-2]\nlength = 10.0\n", 7, ["length", "stretch"]),
        ("aquifer_unit = sand\n", 6, ["quotes", "quotes"]),
    ] {
        only(&with(more), Code::SiteSetting, &format!("site.toml, line {line}"), &texts);
    }
    let said = mill_field().with("site.toml", TOML.replace("\"ft\"", "\"yards\"")).refused();
    only(&said, Code::SiteSetting, "site.toml, line 4", &["yards", "ft-us"]);
    let said = mill_field().with("site.toml", "[site]\nname = \" \"\n").refused();
    for texts in
        [["name", "empty"], ["crs", "EPSG"], ["elevation_unit", "ft"], ["vertical_datum", "NAVD"]]
    {
        has(&said, Code::SiteSetting, "site.toml", &texts);
    }
    let overrides =
        Overrides { cell: Some(-1.0), interval: Some(f64::NAN), ..Overrides::default() };
    let Err(Error::Read(said)) = mill_field().read_with(&overrides) else { panic!("accepted") };
    assert_eq!(said.len(), 2);
    assert!(said[0].message.contains("cell -1") && said[1].message.contains("interval NaN"));
    let said = refusals(table_with(SINGLE, &Overrides::default()));
    has(&said, Code::SiteSetting, "levels.csv", &["CRS", "--crs"]);
}

#[test]
fn r103_columns_that_are_missing() {
    let said = round_refused("id,date,tape read,oxygen\nMW-1,2026-04-14,10.01,3\n");
    only(
        &said,
        Code::ColumnMissing,
        "rounds/april.csv, line 1",
        &["\"tape read\", \"oxygen\"", "depth_to_water = \"tape read\"", "[columns]"],
    );
    let said = mill_field().with("wells.csv", "what,x,toc\nMW-1,1,2\n").refused();
    has(&said, Code::ColumnMissing, "wells.csv, line 1", &["\"what\""]);
    has(&said, Code::ColumnMissing, "wells.csv, line 1", &["northing"]);
    assert_eq!(said.len(), 2, "unknown names are not told without a register: {said:#?}");
    let said = mill_field().with("wells.csv", "id,lon,lat,toc\nMW-1,-93,44,2\n").refused();
    has(&said, Code::ColumnMissing, "wells.csv, line 1", &["easting", "coordinates_crs"]);
    let said = mill_field().with("measuring-points.csv", "id,mpe\nMW-1,850\n").refused();
    only(&said, Code::ColumnMissing, "measuring-points.csv, line 1", &["valid_from"]);
    let toml = format!("{TOML}[columns]\nstatus = \"State\"\n");
    let said = mill_field().with("site.toml", toml).refused();
    only(&said, Code::ColumnMissing, "site.toml, line 7", &["State", "status", "wells.csv"]);
    let folder = mill_field();
    let said = refusals(both(&folder.at("rounds/april.csv"), &Overrides::default()));
    has(&said, Code::ColumnMissing, "april.csv", &["--round april"]);
}

#[test]
fn r103_names_the_heading_that_was_most_likely_meant() {
    let text = "Bore ID,E of datum,Northing (km),RLTOC,Measured tape\nA,478100,4977,850,10\n";
    let said = refusals(table(text));
    has(&said, Code::ColumnMissing, "levels.csv, line 1", &["northing = \"Northing (km)\""]);
    has(&said, Code::ColumnMissing, "levels.csv, line 1", &["depth_to_water = \"Measured tape\""]);
    assert!(
        said.iter().all(|d| !d.advice.as_deref().unwrap_or_default().contains("= \"RLTOC\"")),
        "{said:#?}"
    );
    let said = refusals(table("id,x,y,toc,Tape reading\nA,478100,4977100,850,10\n"));
    only(&said, Code::ColumnMissing, "levels.csv", &["such as depth_to_water = \"Tape reading\""]);
    let said = refusals(table("id,x,oxygen,toc,dtw\nA,478100,3,850,10\n"));
    only(&said, Code::ColumnMissing, "levels.csv, line 1", &["northing = \"the heading\""]);
}

#[test]
fn r103_a_table_of_depths_without_measuring_points_shows_its_headings() {
    for heading in ["Wellhead elevation", "Datum elevation"] {
        let said =
            refusals(table(format!("Bore ID,Easting,Northing,{heading},DTW\nA,1,2,850,10\n")));
        only(
            &said,
            Code::ColumnMissing,
            "levels.csv, line 1",
            &["\"Bore ID\"", &format!("measuring_point_elevation = \"{heading}\"")],
        );
        let wells = WELLS.replace("measuring_point_elevation", heading);
        let said = mill_field().with("wells.csv", wells).refused();
        only(
            &said,
            Code::ColumnMissing,
            "wells.csv, line 1",
            &[heading.split(' ').next().expect("a word"), "[columns]"],
        );
    }
    // Where nothing hangs on a measuring point it is not missed.
    let wells = "id,easting,northing\nMW-1,478100,4977100\n";
    let round = "id,date,elevation\nMW-1,2026-04-14,840\n";
    mill_field().with("wells.csv", wells).with("rounds/april.csv", round).read();
}

#[test]
fn r104_a_level_is_a_depth_or_an_elevation_only_where_it_says_so() {
    for heading in ["SWL", "Water level (ft)", "Static Water Level", "Piezometric level"] {
        let said = refusals(table(format!("id,x,y,RL TOC,{heading}\nA,1,2,850,10\n")));
        let line = format!("depth_to_water = \"{heading}\" or elevation = \"{heading}\"");
        only(&said, Code::ColumnAmbiguous, "levels.csv, line 1", &["depth", "elevation", &line]);
    }
}

#[test]
fn r112_a_utm_zone_in_a_heading_must_be_that_of_the_crs() {
    let wells = WELLS.replace("easting", "Easting (UTM 16N)");
    let said = mill_field().with("wells.csv", wells).refused();
    only(&said, Code::UnitConflict, "wells.csv, line 1", &["zone 16", "UTM zone 15N"]);
}

#[test]
fn r104_columns_that_could_both_be_meant() {
    let said = round_refused("well,name,dtw\nMW-1,a,10\n");
    only(
        &said,
        Code::ColumnAmbiguous,
        "rounds/april.csv, line 1",
        &["\"well\", \"name\"", "id = \"well\"", "[columns]"],
    );
    let said = round_refused("well,dtw,DTW\nMW-1,10,11\n");
    only(&said, Code::ColumnAmbiguous, "rounds/april.csv, line 1", &["\"dtw\", \"DTW\"", "change"]);
    let wells = WELLS.replace("measuring_point_elevation", "Elevation (ft)");
    let said = mill_field().with("wells.csv", &wells).refused();
    only(
        &said,
        Code::ColumnAmbiguous,
        "wells.csv, line 1",
        &["measuring_point_elevation = \"Elevation (ft)\"", "ground_elevation"],
    );
    let toml = format!("{TOML}[columns]\nmeasuring_point_elevation = \"Elevation (ft)\"\n");
    let site = mill_field().with("wells.csv", &wells).with("site.toml", toml).read();
    assert_eq!(site.measuring_points["MW-1"][0].elevation, 850.10);
    let said = refusals(table("id,x,y,elevation,dtw\nA,1,2,850,10\n"));
    only(&said, Code::ColumnAmbiguous, "levels.csv, line 1", &["elevation"]);
}

#[test]
fn r105_cells_that_are_no_numbers() {
    for (cell, hint) in [
        ("ten", "decimal"),
        ("\"10,5\"", "comma"),
        ("\"1,234.5\"", "thousands"),
        ("\"1,234,567\"", "thousands"),
        ("10.5 ft", "unit"),
        ("10.5*", "remark"),
        (">30 ft", "decimal"),
        ("NaN", "decimal"),
        ("inf", "decimal"),
        ("-Infinity", "decimal"),
        ("1e999", "digits"),
        ("1.2E+06", "spreadsheet"),
        ("0x10", "unit"),
        ("1.2.3", "thousands"),
        ("\u{2212}", "decimal"),
        ("7-May", "decimal"),
    ] {
        let said = round_refused(&format!("id,dtw\nMW-1,10\nMW-2,{cell}\n"));
        only(
            &said,
            Code::NotANumber,
            "rounds/april.csv, line 3, column \"dtw\"",
            &["MW-2", cell.trim_matches('"'), hint],
        );
        assert_eq!(said[0].wells, ["MW-2"]);
    }
    let digits = "9".repeat(400);
    let said = round_refused(&format!("id,dtw\nMW-1,{digits}\n"));
    only(&said, Code::NotANumber, "rounds/april.csv, line 2", &["MW-1", "9\u{2026}"]);
    assert!(said[0].message.len() < 200);
    let said = round_refused("id,dtw,reading\nMW-1,10,first\nMW-1,10,1.5\nMW-1,10,0\n");
    only(&said, Code::NotANumber, "rounds/april.csv, line 2, column \"reading\"", &["\"first\""]);
    assert_eq!(said[0].origins.len(), 3);
    let toml = format!("{TOML}[tables]\ndecimal = \",\"\n");
    let said = mill_field().with("site.toml", toml).refused();
    has(&said, Code::NotANumber, "wells.csv, line 2", &["478100.5", "MW-1", "decimal = \",\""]);
    let wells = WELLS.replace("easting,northing", "lon,lat").replace("478100.5", "93°16'");
    let toml = TOML.replace("elevation", "coordinates_crs = \"EPSG:4326\"\nelevation");
    let said = mill_field().with("wells.csv", wells).with("site.toml", toml).refused();
    only(&said, Code::NotANumber, "wells.csv, line 2", &["MW-1"]);
}

#[test]
fn r106_feet_and_inches() {
    for cell in [
        "\"5'7\"\"\"",
        "5' 7\"",
        "5'7",
        "5'-7\"",
        "5\u{2032}7\u{2033}",
        "5\u{2019}7\u{201d}",
        "5-7",
        "5 - 7",
        "5 ft 7 in",
        "5ft7in",
        "5 FT 7 IN.",
        "5 feet 7 inches",
        "5' 7'' ",
    ] {
        let said = round_refused(&format!("id,dtw\nMW-1,10\nMW-3,{cell}\n"));
        only(
            &said,
            Code::FeetAndInches,
            "rounds/april.csv, line 3, column \"dtw\"",
            &["MW-3", "7 in = 0.58 ft", "5.58"],
        );
    }
    // 7 1/2 in = 0.625 ft.
    let said = round_refused("id,dtw\nMW-1,5' 7 1/2\"\n");
    only(&said, Code::FeetAndInches, "rounds/april.csv, line 2", &["5.63"]);
}

#[test]
fn r107_dates_and_times() {
    for (date, time, hint) in [
        ("04/05/2026", "", "May"),
        ("2026-04-14T09:35Z", "", "clock"),
        ("2026-04-14T09:35+02:00", "", "clock"),
        ("46126", "", "number"),
        ("2026-02-30", "", "2026-04-14"),
        ("04.05.2026", "", "date_format"),
        ("2026-04-14", "2 PM", "24-hour"),
        ("2026-04-14", "14:05 PM", "24-hour"),
        ("2026-04-14", "25:00", "09:35"),
        ("2026-04-14", "935", "09:35"),
        ("", "09:35", "date"),
        ("2026-04-14T10:00", "09:35", "column"),
    ] {
        let said = round_refused(&format!("id,date,time,dtw\nMW-2,{date},{time},10\n"));
        only(&said, Code::BadTime, "rounds/april.csv, line 2", &["MW-2", hint]);
    }
    let said = round_refused("id,date,datetime,dtw\nMW-2,2026-04-14,2026-04-14T09:35,10\n");
    only(&said, Code::BadTime, "rounds/april.csv, line 2", &["MW-2"]);
    let midnight = "id,date,time,dtw\nMW-2,2026-04-14 00:00:00,9:35,10\n";
    let site = mill_field().with("rounds/april.csv", midnight).read();
    assert_eq!(site.round.readings[0].moment.expect("a time").to_string(), "2026-04-14T09:35:00");
    let wells =
        WELLS.replace("elevation\n", "elevation,survey date\n").replace("10\n", "10,5/6/2020\n");
    let wells = wells.replace("20\n", "20,\n").replace("30\n", "30,\n").replace("2020,", "2020");
    let said = mill_field().with("wells.csv", wells).refused();
    only(&said, Code::BadTime, "wells.csv, line 2, column \"survey date\"", &["MW-1", "5/6/2020"]);
}

#[test]
fn r108_wells_that_stand_twice() {
    let said = mill_field().with("wells.csv", format!("{WELLS}MW-2,1,2,3\n")).refused();
    only(&said, Code::WellTwice, "wells.csv, line 3", &["MW-2", "measuring-points.csv"]);
    assert_eq!(said[0].origins[1].line, Some(5));
    let points = "id,from,mpe\nMW-1,2025-06-01,849.9\nMW-1,2025-06-01,848.9\n";
    let said = mill_field().with("measuring-points.csv", points).refused();
    only(&said, Code::WellTwice, "measuring-points.csv, line 2", &["MW-1", "849.9", "2025-06-01"]);
    let rows = "id,x,y,toc,dtw\nA,1,2,850,10\nB,5,6,850,10\nA,1,2.5,850.5,10\n";
    let said = refusals(table(rows));
    assert_eq!(said.len(), 2, "{said:#?}");
    has(&said, Code::WellTwice, "levels.csv, line 4", &["y", "2.5", "2 in an earlier row"]);
    has(&said, Code::WellTwice, "levels.csv, line 2", &["850.5"]);
}

#[test]
fn r109_wells_that_the_register_does_not_have() {
    let said = round_refused("id,dtw\nMW-1,10\nmw 02,10\nP-9,10\n");
    assert_eq!(said.len(), 2);
    has(&said, Code::WellUnknown, "rounds/april.csv, line 3", &["mw 02", "has MW-2"]);
    has(&said, Code::WellUnknown, "rounds/april.csv, line 4", &["P-9", "wells.csv"]);
    let points = "id,from,mpe\nP-9,2025-06-01,849.9\n";
    let said = mill_field().with("measuring-points.csv", points).refused();
    only(&said, Code::WellUnknown, "measuring-points.csv, line 2", &["P-9"]);
}

#[test]
fn r110_words_that_are_not_known() {
    let said = round_refused("id,dtw,status\nMW-1,10,fine\nMW-2,10,DRY?\n");
    only(&said, Code::StatusUnknown, "rounds/april.csv, line 2", &["MW-1", "fine", "cascading"]);
    let wells = WELLS.replace("id,", "kind,id,").replace("MW-", "tower,MW-");
    let said = mill_field().with("wells.csv", wells).refused();
    only(&said, Code::StatusUnknown, "wells.csv, line 2", &["MW-1", "tower", "gauge"]);
    assert_eq!((&said[0].wells[2], said[0].origins[2].line), (&"MW-3".to_owned(), Some(4)));
}

#[test]
fn r111_rounds_that_are_not_clear() {
    let twins = mill_field().with("rounds/b.csv", ROUND);
    only(&twins.refused(), Code::RoundUnclear, "rounds", &["2026-04-14", "--round"]);
    let undated = "id,dtw\nMW-1,10\n";
    let folder = mill_field().with("rounds/april.csv", undated).with("rounds/b.csv", undated);
    let said = folder.refused();
    has(&said, Code::RoundUnclear, "rounds/april.csv, line 1", &["\"dtw\"", "date", "--round"]);
    has(&said, Code::RoundUnclear, "rounds/b.csv, line 1", &["\"dtw\"", "date", "--round"]);
    // A round that says no date may be the newest: it is never passed over.
    for (text, says) in [
        ("id,day of visit,dtw\nMW-1,2026-05-14,10\n", "date = \"day of visit\""),
        ("id,date,dtw\nMW-1,,10\n", "column"),
        ("id,date,dtw\n", "rows"),
    ] {
        let said = mill_field().with("rounds/may.csv", text).refused();
        only(&said, Code::RoundUnclear, "rounds/may.csv, line 1", &[says, "--round"]);
    }
    let two = "id,date,date gauged,dtw\nMW-1,2026-01-01,2026-05-14,10\n";
    let said = mill_field().with("rounds/may.csv", two).refused();
    has(&said, Code::ColumnAmbiguous, "rounds/may.csv, line 1", &["\"date gauged\""]);
    has(&said, Code::RoundUnclear, "rounds", &["--round"]);
    let torn = "id,date,dtw\nMW-1,2026-05-14,10,2\n";
    let said = mill_field().with("rounds/may.csv", torn).refused();
    has(&said, Code::RowMalformed, "rounds/may.csv, line 2", &["MW-1"]);
    let broken = mill_field().with("rounds/b.csv", ROUND.replace("2026-04-14", "4/5/2026"));
    let said = broken.refused();
    has(&said, Code::RoundUnclear, "rounds", &["--round"]);
    has(&said, Code::BadTime, "rounds/b.csv, line 2", &["4/5/2026"]);
    let overrides = Overrides { round: Some("may".to_owned()), ..Overrides::default() };
    let said = refusals(mill_field().read_with(&overrides));
    only(&said, Code::RoundUnclear, "rounds", &["may", "april"]);
    let empty = mill_field();
    fs::remove_file(empty.at("rounds/april.csv")).expect("removed");
    only(&empty.refused(), Code::RoundUnclear, "rounds", &[]);
    let folder = Folder::new().with("levels.csv", SINGLE).with("site.toml", TOML);
    let said = refusals(both(&folder.at("levels.csv"), &overrides));
    only(&said, Code::RoundUnclear, "levels.csv", &["may"]);
}

#[test]
fn r114_tables_without_rows() {
    for (text, says) in
        [("", "empty"), ("\n\n", "empty"), ("id,dtw\n", "rows"), ("id,dtw\n,\n", "rows")]
    {
        only(&round_refused(text), Code::TableEmpty, "rounds/april.csv", &["april.csv", says]);
    }
    let said = mill_field().with("wells.csv", "id,x,y\n").refused();
    only(&said, Code::TableEmpty, "wells.csv", &["wells.csv"]);
}

#[test]
fn r115_cells_that_must_not_be_empty() {
    let said = mill_field()
        .with("wells.csv", "id,x,y,toc\nMW-1,1,,2\n,1,2,3\nMW-2,1,2,3\nMW-3,3,4,\n")
        .refused();
    assert_eq!(said.len(), 2, "{said:#?}");
    has(&said, Code::CellMissing, "wells.csv, line 2, column \"y\"", &["MW-1", "northing"]);
    has(&said, Code::CellMissing, "wells.csv, line 3", &["well"]);
    let points = "id,from,mpe\nMW-1,,849.9\nMW-2,2025-01-01,\n";
    let said = mill_field().with("measuring-points.csv", points).refused();
    has(&said, Code::CellMissing, "measuring-points.csv, line 2", &["MW-1"]);
    has(&said, Code::CellMissing, "measuring-points.csv, line 3", &["MW-2", "elevation"]);
}

#[test]
fn r116_rows_with_too_few_or_too_many_cells() {
    let said = round_refused("id,dtw,remark\nMW-1,10\nMW-2,10,5,x\nMW-3,10,\n");
    assert_eq!(said.len(), 2);
    has(&said, Code::RowMalformed, "rounds/april.csv, line 2", &["MW-1", "2 cells", "3 headings"]);
    has(&said, Code::RowMalformed, "rounds/april.csv, line 3", &["MW-2"]);
    let torn = "id,remark,dtw\nMW-1,\"6 in casing,10\nMW-2,b,10\nMW-3,c,11\n";
    only(
        &round_refused(torn),
        Code::RowMalformed,
        "rounds/april.csv, line 2",
        &["MW-1", "quotation"],
    );
}

#[test]
fn r117_a_crs_that_proj_does_not_know() {
    let said = mill_field().with("site.toml", TOML.replace("26915", "999999")).refused();
    only(&said, Code::CrsUnknown, "site.toml", &["EPSG:999999", "EPSG:26915"]);
    let toml = TOML.replace("elevation", "coordinates_crs = \"somewhere\"\nelevation");
    let said = mill_field().with("site.toml", toml).refused();
    only(&said, Code::CrsUnknown, "site.toml", &["coordinates_crs", "somewhere"]);
}

#[test]
fn r122_numbers_of_one_well_that_cannot_all_be_true() {
    let heading = "id,easting,northing,toc,ground elevation,total depth,sounded depth,screen top,\
                   screen bottom\n";
    let of = |cells: &str| {
        let wells = format!(
            "{heading}MW-1,478100.5,4977100.25,850.10,{cells}\n\
             MW-2,478200,4977100,851.20,849,40,39.9,20,40\nMW-3,478100,4977200,852.30,,,,,\n"
        );
        let read = mill_field().with("wells.csv", wells).read_with(&Overrides::default());
        let said = accepted(read).findings;
        said.into_iter().filter(|d| d.code == Code::RegisterContradicts).collect::<Vec<_>>()
    };
    for (cells, says) in [
        (
            "848,40,,40,20",
            "screens with their top below their bottom, treated as unknown: MW-1 (40 to 20 ft)",
        ),
        (
            "848,40,,20,45",
            "screens that end more than 0.49 ft below the bottom of the well: MW-1 (screen to 45 ft, depth 40 ft)",
        ),
        ("848,-40,,,", "depths not above 0, treated as unknown: MW-1 (total depth -40 ft)"),
        (
            "848,40,42,,",
            "wells sounded more than 0.49 ft deeper than built: MW-1 (sounded 42 ft, \
             built 40 ft)",
        ),
        (
            "898,40,,,",
            "measuring points more than 9.8 ft above or below the ground: MW-1 (measuring point \
             850.1 ft, ground 898 ft)",
        ),
    ] {
        let said = of(cells);
        assert_eq!(said.len(), 1, "{cells}: {said:#?}");
        assert_eq!(
            (said[0].message.as_str(), &said[0].wells[..]),
            (says, &["MW-1".to_owned()][..])
        );
        assert!(said[0].advice.is_some());
    }
    assert!(of("848,40,40.4,20,40").is_empty());
    // 0.15 m is 0.492 ft, for the screen as for the sounding.
    assert!(of("848,40,,20,40.49").is_empty());
    assert_eq!(of("848,40,,20,40.50").len(), 1);
    assert!(of(",,,0,5").is_empty());
}

#[test]
fn r123_longitudes_that_contradict_eastings() {
    // UTM zone 15N: the central meridian 93 W is easting 500 000; 45 N on it is northing
    // 4 982 950.40 (central meridian's arc to 45 N on GRS 80, 4 984 944.378 m, times 0.9996: NGA
    // TM 8358.2, from memory).
    let of = |toml: &str, rows: [&str; 3]| {
        let wells = format!("id,easting,northing,toc,longitude,latitude\n{}\n", rows.join("\n"));
        let folder = mill_field().with("wells.csv", wells).with("site.toml", toml);
        let said = accepted(folder.read_with(&Overrides::default())).findings;
        support::of(Code::PositionTwice, &said).into_iter().cloned().collect::<Vec<_>>()
    };
    let near = "MW-1,500000,4982950.4,850,-93,45";
    let also = "MW-2,500000,4982980,850,-93,45";
    assert!(of(TOML, [near, also, "MW-3,500100,4982950,850,,"]).is_empty());
    // 80 m off: the third decimal rounds by up to 0.0005 degrees, 56 m of the meridian and 39 m of
    // the parallel (68 m together); the fifth by less than 1 m.
    let coarse = "MW-3,500000,4983030.4,850,-93,45.000";
    assert!(of(TOML, [near, also, coarse]).is_empty());
    let fine = "MW-3,500000,4983030.4,850,-93.00001,45.00001";
    assert_eq!(of(TOML, [near, also, fine]).len(), 1);
    let said = of(TOML, [near, also, "MW-3,500000,4983950.4,850,-93.0,45.0"]);
    assert_eq!(said.len(), 1);
    assert_eq!(said[0].wells, ["MW-3"]);
    assert!(
        said[0].message.starts_with("easting and northing are used, and lie more than 164 ft"),
        "{said:?}"
    );
    let feet: f64 = said[0]
        .message
        .split_once("MW-3 (")
        .and_then(|(_, m)| m.strip_suffix(" ft)"))
        .and_then(|m| m.parse().ok())
        .expect("feet");
    assert!((feet * 0.3048 - 1000.0).abs() < 10.0, "{feet}");
    let globe = TOML.replace("elevation_unit", "coordinates_crs = \"EPSG:4326\"\nelevation_unit");
    assert_eq!(of(&globe, [near, also, coarse]).len(), 1, "the degrees are what is mapped");
    let said = of(&globe, [near, also, "MW-3,500000,4983950.4,850,-93.0,45.0"]);
    assert_eq!(said[0].wells, ["MW-3"]);
}

#[test]
fn d206_rows_that_say_their_measurement_twice_or_not_at_all() {
    let head = "id,dtw,dtp,hold,cut,stage,elevation,status\n";
    for (row, says) in [
        ("MW-1,,,,,,,", "MW-1"),
        ("MW-1,,,,,,,ok", "MW-1"),
        ("MW-1,10,,20,10,,,", "2 ways: depth_to_water, hold and cut"),
        ("MW-1,10,,,,1,840,", "2 ways: depth_to_water, stage"),
        ("MW-1,,10,,,,,", "MW-1"),
        ("MW-1,,,20,,,,", "cut"),
        ("MW-1,,,,20,,,", "hold"),
        ("MW-1,dry,,,,,,pumping", "both \"pumping\" and \"dry\""),
    ] {
        let said = round_refused(&format!("{head}{row}\nMW-2,10,,,,,,\n"));
        only(&said, Code::MeasurementUnclear, "rounds/april.csv, line 2", &["MW-1", says]);
    }
}

#[test]
fn everything_wrong_in_all_files_is_listed_at_once() {
    let said = mill_field()
        .with("site.toml", format!("{TOML}[grid]\ncell = 0\n"))
        .with("wells.csv", WELLS.replace("478200", "far").replace("852.30", "?"))
        .with("measuring-points.csv", "id,from,mpe\nP-1,01/02/2020,1\n")
        .with("rounds/april.csv", "id,dtw\nMW-2,5'7\nMW-9,1\nMW-3\n")
        .refused();
    let codes: Vec<&str> = said.iter().map(|d| d.code.id()).collect();
    assert_eq!(
        codes,
        ["R102", "R105", "R105", "R107", "R109", "R106", "R109", "R116"],
        "{said:#?}"
    );
}

// Hostile input.

#[test]
fn long_and_strange_cells_do_no_harm() {
    let long = "x".repeat(3_000_000);
    let quotes = "\"".repeat(99_999);
    let units = "ft ".repeat(5_000);
    for text in [
        format!("id,dtw\nMW-1,{long}\n"),
        format!("id,{long}\nMW-1,10\n"),
        format!("{units},dtw\nMW-1,10\n"),
        format!("id,dtw\n{long},10\n"),
        format!("id,dtw\n{quotes},10\n"),
        format!("id,dtw\nMW-1,{}\n", ",".repeat(100_000)),
        format!("{}\n", ",".repeat(100_000)),
        "\"id,dtw\nMW-1,10\n".to_owned(),
    ] {
        if let Err(e) = mill_field().with("rounds/april.csv", text).read_with(&Overrides::default())
        {
            assert!(e.diagnostics().iter().all(|d| d.message.len() < 6_000 && d.advice.is_some()));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let _ = table(&bytes);
        let _ = mill_field().with("site.toml", &bytes).read_with(&Overrides::default());
    }

    #[test]
    fn random_tables_never_panic(
        text in "((id|x|y|toc|dtw|date|time|status|,|;|\n|\"|'|-|[0-9]|\\.|ft|m| |\u{e9}|\u{2032}){0,120})"
    ) {
        let _ = table(&text);
        let _ = table(format!("id,x,y,toc,dtw,date,time\n{text}"));
    }

    #[test]
    fn a_decimal_is_read_as_the_number_it_is(value in -1.0e6..1.0e6_f64) {
        let cell = format!("{value:.3}");
        let read = table(format!("id,x,y,toc,dtw\nA,1,2,3,{cell}\n")).expect("read").value;
        let expected: f64 = cell.parse().expect("a number");
        prop_assert_eq!(read.round.readings[0].measurement, Measurement::Depth(expected));
    }
}

// The folder to start from.

#[test]
fn the_started_folder_is_read_without_a_finding() {
    let parent = Folder::new();
    let dir = parent.at("new site");
    let written = start(&dir).expect("written");
    assert_eq!(written.len(), 4);
    assert!(written.iter().all(|p| p.is_file()));
    let read = accepted(both(&dir, &Overrides::default()));
    assert!(read.findings.is_empty(), "{:?}", read.findings);
    let site = read.value;
    assert_eq!((site.wells.len(), site.round.readings.len()), (6, 7));
    assert_eq!(site.round.name, "2026-04-14");
    assert!(site.settings.name.contains("invented"));
    let toml = text(&written[0]);
    assert!(toml.contains("invented"));
}

#[test]
fn every_commented_key_of_the_started_folder_is_a_key() {
    let parent = Folder::new();
    let dir = parent.at("new");
    let written = start(&dir).expect("written");
    let toml = text(&written[0]);
    let is_key = |l: &str| l.starts_with("# [instr") || l[2..].split(' ').nth(1) == Some("=");
    let live: String = toml
        .lines()
        .map(|l| match l.strip_prefix("# ") {
            // Declarations of other data than the folder's, and of files that it does not have.
            Some(k)
                if [
                    "coordinates_crs",
                    "date_format",
                    "depth_to_water",
                    "delimiter",
                    "boundary",
                    "streams",
                ]
                .iter()
                .any(|s| k.starts_with(s)) =>
            {
                "\n".to_owned()
            }
            Some(key) if l.len() > 2 && is_key(l) => format!("{key}\n"),
            _ => format!("{l}\n"),
        })
        .collect();
    assert!(live.contains("\nwindow_hours = 24") && live.contains("\n[instruments.tape-2]"));
    fs::write(&written[0], live).expect("written");
    let site = accepted(both(&dir, &Overrides::default())).value;
    assert_eq!(site.settings.cell, Some(5.0));
    assert_eq!(site.instruments.len(), 1);
}

#[test]
fn nothing_is_started_where_something_is() {
    let folder = Folder::new().with("notes.txt", "mine");
    let refused = start(folder.path());
    assert!(matches!(&refused, Err(Error::Write { path, .. }) if path == folder.path()));
    assert_eq!(fs::read_dir(folder.path()).expect("read").count(), 1);
    assert!(matches!(start(&folder.at("notes.txt")), Err(Error::Write { .. })));
    assert_eq!(text(folder.at("notes.txt")), "mine");
}

#[test]
fn settings_of_the_surface_are_read_with_their_lengths_in_crs_units() {
    // The site counts in international feet, the CRS in metres.
    let more = "length_unit = \"ft\"\n[grid]\nsurface = \"kriging\"\nunconfined_base = \
                800.5\n[kriging]\nmodel = \"matern-5/2\"\ndrift = \"linear\"\npartial_sill = \
                0.4\nrange = 250.0\nanisotropy_ratio = 0.5\n[[pumped_wells]]\nwell = \
                \"MW-1\"\nradius = 0.5\n[thin_plate]\nsmoothing = 2.0\n[inverse_distance]\n\
                nearest = 8\n[uncertainty]\nreading_sd = 0.02\nrealizations = 200\nseed = 7\n\
                inferred_spacings = 2.0\ninferred_interval_part = 0.8\n";
    let site = mill_field().with("site.toml", format!("{TOML}{more}")).read();
    let s = &site.settings;
    assert_eq!((s.surface.method, s.surface.unconfined_base), (Method::Kriging, Some(800.5)));
    let kriging = &s.surface.kriging;
    assert_eq!((kriging.model.name(), kriging.drift), ("matern-5/2", Some(true)));
    assert_eq!((kriging.partial_sill, kriging.range), (Some(0.4), Some(250.0 * 0.3048)));
    assert_eq!(site.pumped_wells[0].radius, 0.5 * 0.3048);
    assert_eq!(site.pumped_wells[0].rate, None);
    assert_eq!(s.surface.thin_plate.smoothing, 2.0 * 0.3048 * 0.3048);
    assert_eq!(s.surface.inverse_distance.nearest, Some(8));
    assert_eq!(site.round.head_errors.reading_sd_m, 0.02 * 0.3048);
    assert_eq!((s.uncertainty.ensemble.members, s.uncertainty.ensemble.seed), (200, 7));
    let rule = s.uncertainty.inferred;
    assert_eq!((rule.spacings, rule.interval_part), (2.0, 0.8));
}

#[test]
fn settings_of_the_surface_that_do_not_fit_together_are_refused_with_their_line() {
    // TOML has four lines of its own before these.
    for (more, place, texts) in [
        ("[grid]\nsurface = \"spline\"\n", "site.toml, line 8", ["spline", "kriging"]),
        ("[kriging]\nrange = 90.0\n", "site.toml, line 8", ["partial_sill", "both"]),
        ("[kriging]\nnugget = 0.1\n", "site.toml, line 8", ["nugget", "fit"]),
        ("[kriging]\nanisotropy_azimuth = 9.0\n", "site.toml, line 8", ["without", "ratio"]),
        ("[inverse_distance]\nnearest = 2.5\n", "site.toml, line 8", ["2.5", "whole"]),
        (
            "[uncertainty]\nreading_sd = -1.0\n",
            "site.toml, line 8",
            ["-1", "from 0 to 1000 in the depth unit"],
        ),
        (
            "[uncertainty]\ninferred_interval_part = 0.0\n",
            "site.toml, line 8",
            ["inferred_interval_part = 0", "from 0.000000001 to 1000000000"],
        ),
        (
            "[[pumped_wells]]\nwell = \"P\"\neasting = 3.0\n",
            "site.toml, line 8",
            ["northing", "register"],
        ),
        ("[uncertainty]\nreading_sd = 0.0\nsurvey_sd = 0.0\n", "site.toml", ["error", "above 0"]),
    ] {
        let said = mill_field().with("site.toml", format!("{TOML}\n{more}")).refused();
        only(&said, Code::SiteSetting, place, &texts);
    }
}
