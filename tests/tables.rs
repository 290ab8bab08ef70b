//! Tables as people have them: many dates in one table, dates for headings, a register apart, titles and
//! notes, encodings and workbooks. `tests/data/tables` is invented; `make_workbooks.py` there wrote the
//! workbooks.
//!
//! What a form must give is what the plain table of one round gives, cut out by hand: the same heads.

use std::collections::BTreeMap;
use std::path::Path;

use headfall::LengthUnit;
use headfall::diag::{Code, Diagnostic, Severity};
use headfall::read::Overrides;
use proptest::prelude::*;

use crate::support::{Folder, gives, map, of, runs, stderr, told};

const LONG: &str = include_str!("data/tables/long.csv");
const WIDE: &str = include_str!("data/tables/wide.csv");
const REGISTER: &str = include_str!("data/tables/register.csv");
const LEVELS: &str = include_str!("data/tables/levels.csv");

/// Ten rounds of twelve wells each.
const ROUNDS: [&str; 10] = [
    "2023-03-14",
    "2023-06-13",
    "2023-09-12",
    "2023-12-12",
    "2024-03-12",
    "2024-06-11",
    "2024-09-10",
    "2024-12-10",
    "2025-03-11",
    "2025-06-10",
];

fn asked(round: Option<&str>) -> Overrides {
    Overrides {
        crs: Some("EPSG:32633".to_owned()),
        elevation_unit: Some(LengthUnit::Metre),
        round: round.map(str::to_owned),
        ..Overrides::default()
    }
}

/// A round's name and its heads by well.
type Heads = (String, BTreeMap<String, f64>);

/// The name of the round and its heads by well, and what was found.
fn heads(source: &Path, overrides: &Overrides) -> (Option<Heads>, Vec<Diagnostic>) {
    let (map, findings) = map(source, overrides);
    let read = map.ok().map(|map| {
        let heads = map.surfaced.control.points().iter();
        let heads = heads.map(|p| (p.id.clone(), p.head)).collect();
        (map.surfaced.round.name.clone(), heads)
    });
    (read, findings)
}

#[track_caller]
fn read(source: &Path, overrides: &Overrides) -> (String, BTreeMap<String, f64>, Vec<Diagnostic>) {
    let (read, findings) = heads(source, overrides);
    let Some((name, heads)) = read else { panic!("no map: {findings:#?}") };
    (name, heads, findings)
}

/// The rows of one round, cut out of the long table.
fn by_hand(round: &str) -> String {
    let rows = LONG.lines().enumerate().filter(|(i, l)| *i == 0 || l.contains(round));
    rows.flat_map(|(_, l)| [l, "\n"]).collect()
}

#[track_caller]
fn heads_by_hand(round: &str) -> BTreeMap<String, f64> {
    let folder = Folder::new();
    let (_, heads, findings) = read(&folder.file("levels.csv", by_hand(round)), &asked(None));
    assert!(of(Code::RoundOfSeveral, &findings).is_empty());
    heads
}

// Several rounds in one table.

#[test]
fn each_round_of_a_long_a_wide_and_a_parted_table_is_that_round_cut_out_by_hand() {
    let folder = Folder::new();
    let long = folder.file("long.csv", LONG);
    let wide = folder.file("wide.csv", WIDE);
    folder.file("parted/levels.csv", LEVELS);
    folder.file("parted/register.csv", REGISTER);
    let parted = folder.at("parted");
    for round in ROUNDS {
        let expected = heads_by_hand(round);
        assert_eq!(expected.len(), 12);
        for source in [&long, &wide, &parted] {
            let (name, heads, findings) = read(source, &asked(Some(round)));
            assert_eq!((name.as_str(), &heads), (round, &expected), "{}", source.display());
            told(&findings, Code::RoundOfSeveral).giving(&["10 rounds", "2023-03-14 (12 wells)"]);
            // A month that has one round names it too.
            assert_eq!(read(source, &asked(Some(&round[..7]))).1, expected);
        }
    }
    for source in [&long, &wide, &parted] {
        let (name, heads, _) = read(source, &asked(None));
        assert_eq!((name.as_str(), heads), ("2025-06-10", heads_by_hand("2025-06-10")));
    }
    told(&read(&parted, &asked(None)).2, Code::TablesTaken).giving(&["register.csv", "levels.csv"]);
}

#[test]
fn the_files_of_a_site_folder_may_hold_several_rounds() {
    let site = |name: &str| {
        Folder::new()
            .with(
                "site.toml",
                "[site]\nname = \"Low Ings\"\ncrs = \"EPSG:32633\"\nelevation_unit = \"m\"\n\
                 vertical_datum = \"NHN\"\n",
            )
            .with("wells.csv", REGISTER)
            .with(name, LEVELS)
    };
    let without_places = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        format!("{},{}", cells[0], cells[4..].join(","))
    };
    let wide = WIDE.lines().map(without_places).collect::<Vec<_>>().join("\n");
    for site in [site("rounds/all.csv"), site("rounds/old.csv").with("rounds/new.csv", wide)] {
        // The same round in two files is asked about; in one it is found by its day.
        let both = site.at("rounds/new.csv").exists();
        let (name, heads, findings) = if both {
            read(site.path(), &asked(Some("new")))
        } else {
            read(site.path(), &asked(Some("2024-06")))
        };
        let round = if both { "2025-06-10" } else { "2024-06-11" };
        assert_eq!((name.as_str(), heads), (round, heads_by_hand(round)));
        told(&findings, Code::RoundOfSeveral).giving(&["10 rounds"]);
        let (none, findings) = self::heads(site.path(), &asked(both.then_some("2024-06")));
        assert_eq!(none.is_none(), both);
        assert_eq!(of(Code::RoundUnclear, &findings).len(), usize::from(both));
    }
}

#[test]
fn what_is_wrong_in_other_rounds_is_no_matter_of_this_one() {
    let folder = Folder::new();
    let wrong = LONG.replace("2023-06-13,7.29", "2023-06-13,a tenth more");
    // A measuring point that was surveyed anew.
    let wrong = wrong.replace("104.92,2023-03-14,7.26", "104.80,2023-03-14,7.14");
    let path = folder.file("long.csv", wrong);
    let (_, heads, findings) = read(&path, &asked(None));
    assert_eq!(heads, heads_by_hand("2025-06-10"));
    assert!(
        of(Code::NotANumber, &findings).is_empty() && of(Code::WellTwice, &findings).is_empty()
    );
    let (none, findings) = self::heads(&path, &asked(Some("2023-06")));
    assert!(none.is_none());
    told(&findings, Code::NotANumber).about("MW-01").at("long.csv", 14).once();
}

#[test]
fn r130_warns_where_the_newest_round_is_a_few_wells() {
    let folder = Folder::new();
    let path = folder.file(
        "long.csv",
        by_hand("2025-03-11")
            + &by_hand("2025-06-10")
                .lines()
                .skip(1)
                .take(4)
                .fold(String::new(), |text, line| text + line + "\n"),
    );
    let (name, _, findings) = read(&path, &asked(None));
    assert_eq!(name, "2025-06-10");
    let found = told(&findings, Code::RoundOfSeveral).giving(&["2025-03-11 (12 wells)"]).once();
    assert_eq!(found.severity, Severity::Warning);
    let (_, _, findings) = read(&path, &asked(Some("2025-06-10")));
    let found = told(&findings, Code::RoundOfSeveral).once();
    assert_eq!(found.severity, Severity::Note);
}

#[test]
fn r111_a_round_that_is_not_there_or_is_several() {
    let folder = Folder::new();
    let path = folder.file("long.csv", LONG);
    for (wanted, facts) in [
        ("2022", &["\"2022\"", "2025-06-10 (12 wells)"][..]),
        ("2025", &["\"2025\"", "2025-03-11", "2025-06-10"]),
        ("spring", &["\"spring\""]),
    ] {
        let (none, findings) = heads(&path, &asked(Some(wanted)));
        assert!(none.is_none(), "{wanted}");
        told(&findings, Code::RoundUnclear).giving(facts).once();
    }
    let one = folder.file("one.csv", by_hand("2025-06-10"));
    for (wanted, there) in [("2025-06", true), ("one", true), ("2025-07", false), ("two", false)] {
        assert_eq!(heads(&one, &asked(Some(wanted))).0.is_some(), there, "{wanted}");
    }
}

#[test]
fn d219_rows_without_a_date_belong_to_no_round_of_several() {
    let folder = Folder::new();
    let undated = LONG.replace("104.92,2024-06-11,6.86", "104.92,,6.86");
    let (none, findings) = heads(&folder.file("long.csv", undated), &asked(None));
    assert!(none.is_none());
    told(&findings, Code::SeveralRounds).giving(&["10 rounds", "1 row"]).once();
}

// Dates for headings.

#[test]
fn r104_numbers_below_a_date_may_be_elevations() {
    let folder = Folder::new();
    let lower = |text: &str, by: f64| -> String {
        text.lines()
            .enumerate()
            .map(|(i, line)| {
                let mut cells: Vec<String> = line.split(',').map(str::to_owned).collect();
                for cell in cells.iter_mut().skip(3).filter(|_| i > 0) {
                    let value: f64 = cell.parse().expect("a number");
                    *cell = format!("{:.2}", if value > 50.0 { value - by } else { value });
                }
                cells.join(",") + "\n"
            })
            .collect()
    };
    // Measuring points of 14 m: depths of 7 m might be elevations of 7 m.
    let path = folder.file("wide.csv", lower(WIDE, 90.0));
    let (none, findings) = heads(&path, &asked(None));
    assert!(none.is_none());
    let facts = ["\"2023-03-14\"", "depth_to_water = \"2023-03-14\"", "elevation = \"2023-03-14\""];
    told(&findings, Code::ColumnAmbiguous).giving(&facts).once();
    folder.file("site.toml", "[columns]\ndepth_to_water = \"2023-03-14\"\n");
    let (name, depths, _) = read(&path, &asked(None));
    assert_eq!(name, "2025-06-10");
    folder.file("site.toml", "[columns]\nelevation = \"2023-03-14\"\n");
    let (_, elevations, _) = read(&path, &asked(None));
    assert!((depths["MW-01"] - (14.0 - 7.27)).abs() < 1e-9, "{depths:?}");
    assert!((elevations["MW-01"] - 7.27).abs() < 1e-9, "{elevations:?}");
    std::fs::remove_file(folder.at("site.toml")).expect("the file");
    // A heading that says it needs no question.
    let said = WIDE.replace(",20", ",DTW (m) 20");
    let (_, heads, _) = read(&folder.file("said.csv", said), &asked(None));
    assert_eq!(heads, heads_by_hand("2025-06-10"));
}

#[test]
fn an_empty_cell_of_a_wide_table_is_a_well_that_was_not_read_and_a_word_is_a_state() {
    let folder = Folder::new();
    let wide = WIDE.replace("7.68,7.27\n", "7.68,\n").replace("7.24,6.83\n", "7.24,dry\n");
    let (_, heads, findings) = read(&folder.file("wide.csv", wide), &asked(None));
    assert_eq!(heads.len(), 10);
    assert!(!heads.contains_key("MW-01") && !heads.contains_key("MW-02"));
    told(&findings, Code::WellNotRead).about("MW-01");
    told(&findings, Code::NoStaticLevel).about("MW-02");
}

// A register apart.

#[test]
fn r101_tables_that_do_not_show_which_is_the_register_are_a_question() {
    let folder = Folder::new().with("a.csv", REGISTER).with("b.csv", REGISTER);
    folder.file("levels.csv", LEVELS);
    let (none, findings) = heads(folder.path(), &asked(None));
    assert!(none.is_none());
    let facts = ["a.csv (positions)", "b.csv (positions)", "levels.csv (readings)"];
    told(&findings, Code::FileUnreadable).giving(&facts).once();
    // Without a CRS it is asked for.
    let folder = Folder::new().with("a.csv", REGISTER).with("levels.csv", LEVELS);
    let (none, findings) = heads(folder.path(), &Overrides::default());
    assert!(none.is_none());
    told(&findings, Code::SiteSetting).giving(&["--crs EPSG:26915"]).once();
}

// Dates.

#[test]
fn r131_dates_that_can_be_read_in_one_way_are_read_so() {
    let folder = Folder::new();
    let plain = by_hand("2025-06-10");
    for (written, order) in [
        ("6/30/2025", "month, day, year"),
        ("30-Jun-25", "day, month, year"),
        ("30.06.2025", "day, month, year"),
        ("30 June 2025", "day, month, year"),
        ("2025/06/30", "year, month, day"),
    ] {
        let path = folder.file("levels.csv", plain.replace("2025-06-10", written));
        let (_, heads, findings) = read(&path, &asked(None));
        assert_eq!(heads, heads_by_hand("2025-06-10"), "{written}");
        let found = told(&findings, Code::DatesRead).within("levels.csv, line 2").once();
        gives(found, &[&format!("\"{written}\""), "2025-06-30"]);
        assert!(found.message.contains(order), "{}", found.message);
    }
    // One date settles the others.
    let path = folder.file(
        "levels.csv",
        plain.replace("2025-06-10", "6/10/2025").replacen("6/10/2025", "6/13/2025", 1),
    );
    let overrides = Overrides { round: None, ..asked(None) };
    let (_, _, findings) = read(&path, &overrides);
    told(&findings, Code::DatesRead).giving(&["\"6/13/2025\"", "2025-06-13"]).once();
}

#[test]
fn r107_day_and_month_that_cannot_be_told_apart_are_refused_once() {
    let folder = Folder::new();
    let path = folder.file("levels.csv", by_hand("2025-06-10").replace("2025-06-10", "06/10/2025"));
    let (none, findings) = heads(&path, &asked(None));
    assert!(none.is_none());
    let found = told(&findings, Code::BadTime).within("levels.csv, line 2").once();
    gives(found, &["\"06/10/2025\"", "date_format = \"%m/%d/%Y\" or \"%d/%m/%Y\""]);
    folder.file("site.toml", "[round]\ndate_format = \"%d/%m/%Y\"\n");
    let (_, heads, findings) = read(&path, &asked(Some("2025-10-06")));
    assert_eq!(heads, heads_by_hand("2025-06-10"));
    assert!(of(Code::DatesRead, &findings).is_empty());
}

// Around the rows.

#[test]
fn r132_titles_units_and_notes_are_named_and_not_read() {
    let plain = "Well,Easting,Northing,TOC (ft NAVD88),DTW (ft btoc),Date\n\
                 MW-1,523310.21,1514102.55,98.62,9.41,2025-10-14\n\
                 MW-2,523398.44,1514088.10,98.10,9.02,2025-10-14\n\
                 MW-3,523441.90,1514041.37,97.44,8.71,2025-10-14\n";
    let framed = "\"Station 14, gauging\",,,,,\n4th Quarter 2025\n\n\
                  Well,Easting,Northing,TOC,DTW,Date\n\
                  ,,,(ft NAVD88),(ft btoc),\n\n\
                  MW-1,523310.21,1514102.55,98.62,9.41,2025-10-14\n,,,,,\n\
                  MW-2,523398.44,1514088.10,98.10,9.02,2025-10-14\n\
                  MW-3,523441.90,1514041.37,97.44,8.71,2025-10-14\n\n\
                  Notes: TOC = top of casing, surveyed in 2019\n* sheen on the probe,,,,,\n";
    let folder = Folder::new();
    let overrides = Overrides { crs: Some("EPSG:32617".to_owned()), ..Overrides::default() };
    let (_, expected, _) = read(&folder.file("plain.csv", plain), &overrides);
    let path = folder.file("framed.csv", framed);
    let (_, heads, findings) = read(&path, &overrides);
    assert_eq!(heads, expected);
    told(&findings, Code::RowsNotRead)
        .at("framed.csv", 1)
        .giving(&["\"4th Quarter 2025\"", "line 4"]);
    told(&findings, Code::RowsNotRead)
        .at("framed.csv", 5)
        .giving(&["\"(ft NAVD88)\"", "\"(ft btoc)\""]);
    told(&findings, Code::RowsNotRead).at("framed.csv", 12).giving(&["lines 12 to 13"]);
    // The row of units is one: in another unit than declared it is refused as a heading's would be.
    let metres = Overrides { elevation_unit: Some(LengthUnit::Metre), ..overrides };
    let (none, findings) = self::heads(&path, &metres);
    assert!(none.is_none());
    told(&findings, Code::UnitConflict).at("framed.csv", 4);
}

#[test]
fn a_well_without_anything_is_no_note() {
    let folder = Folder::new();
    let text = by_hand("2025-06-10") + "MW-13,,,,,\n";
    let (none, findings) = heads(&folder.file("levels.csv", text), &asked(None));
    assert!(none.is_none());
    told(&findings, Code::CellMissing).about("MW-13").at("levels.csv", 14);
    assert!(of(Code::RowsNotRead, &findings).is_empty());
}

#[test]
fn many_rows_with_one_cause_are_one_message() {
    let folder = Folder::new();
    let text = by_hand("2025-06-10").replace("06-10,", "06-10,about ");
    let (none, findings) = heads(&folder.file("levels.csv", text), &asked(None));
    assert!(none.is_none());
    let found = told(&findings, Code::NotANumber).once();
    gives(found, &["MW-01", "11 more rows"]);
    assert_eq!((found.wells.len(), found.origins.len()), (12, 12));
}

// Encodings.

#[test]
fn r133_tables_in_other_encodings_are_read_in_them() {
    let utf8 = LONG.replace("MW-01", "Br\u{fc}cke-01");
    let columns = "[columns]\nid = \"Grundwassermessstelle\"\neasting = \"Rechtswert\"\nnorthing = \
                   \"Hochwert\"\nmeasuring_point_elevation = \"MP-H\u{f6}he (m NHN)\"\n\
                   depth_to_water = \"Abstich (m)\"\ndate = \"Datum\"\n[tables]\ndecimal = \",\"\n\
                   [round]\ndate_format = \"%d.%m.%Y\"\n";
    let folder = Folder::new().with("site.toml", columns);
    let latin1 = folder.file("latin1.csv", include_bytes!("data/tables/latin1.csv"));
    let (_, heads, findings) = read(&latin1, &asked(None));
    assert_eq!(heads, heads_by_hand("2025-06-10"));
    told(&findings, Code::EncodingRead).giving(&["windows-1252", "MP-H\u{f6}he"]).once();
    let folder = Folder::new();
    let (_, expected, findings) = read(&folder.file("utf8.csv", &utf8), &asked(None));
    assert!(of(Code::EncodingRead, &findings).is_empty());
    let le: Vec<u8> = utf8.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let be: Vec<u8> = utf8.encode_utf16().flat_map(u16::to_be_bytes).collect();
    let marked = |mark: [u8; 2], bytes: &[u8]| [&mark[..], bytes].concat();
    for bytes in [marked([0xff, 0xfe], &le), marked([0xfe, 0xff], &be), le, be] {
        let (_, heads, findings) = read(&folder.file("wide.csv", bytes), &asked(None));
        assert_eq!(heads, expected);
        told(&findings, Code::EncodingRead).giving(&["UTF-16"]).once();
    }
    // Damage is no encoding.
    let mut damaged = utf8.into_bytes();
    let at = damaged.len() - 3;
    damaged[at] = 0xff;
    let (none, findings) = self::heads(&folder.file("damaged.csv", damaged), &asked(None));
    assert!(none.is_none());
    told(&findings, Code::FileUnreadable).giving(&["0xFF"]).once();
}

// Workbooks.

#[test]
fn r134_workbooks_are_read_as_the_table_that_they_show() {
    let folder = Folder::new();
    let plain = "Well,Easting,Northing,TOC (ft NAVD88),DTW (ft btoc),Date,Time\n\
                 MW-1,523310.21,1514102.55,98.62,9.41,2025-10-14,08:05\n\
                 MW-2,523398.44,1514088.10,98.10,9.02,2025-10-14,08:12\n\
                 MW-3,523441.90,1514041.37,97.44,8.71,2025-10-14,08:20\n";
    let overrides = Overrides { crs: Some("EPSG:2236".to_owned()), ..Overrides::default() };
    let (_, expected, _) = read(&folder.file("plain.csv", plain), &overrides);
    let xlsx = folder.file("gauging.xlsx", include_bytes!("data/tables/gauging.xlsx"));
    let ods = folder.file("gauging.ods", include_bytes!("data/tables/gauging.ods"));
    for (path, file) in [(&xlsx, "gauging.xlsx"), (&ods, "gauging.ods")] {
        for worksheet in [None, Some("gauging".to_owned())] {
            let overrides = Overrides { worksheet, ..overrides.clone() };
            let (map, findings) = map(path, &overrides);
            let Ok(map) = map else { panic!("{findings:#?}") };
            let surfaced = &map.surfaced;
            let heads = surfaced.control.points().iter();
            let heads: BTreeMap<_, _> = heads.map(|p| (p.id.clone(), p.head)).collect();
            assert_eq!(heads, expected, "{file}");
            let at: Vec<String> = surfaced
                .round
                .readings
                .iter()
                .map(|r| r.moment.expect("a time").to_string())
                .collect();
            assert_eq!(at, ["2025-10-14T08:05:00", "2025-10-14T08:12:00", "2025-10-14T08:20:00"]);
            told(&findings, Code::WorksheetRead).giving(&["\"Gauging\"", "\"Cover\""]).once();
            // The title, the units and the note are where they are in the sheet.
            told(&findings, Code::RowsNotRead).at(file, 1);
            told(&findings, Code::RowsNotRead).at(file, 4);
            told(&findings, Code::RowsNotRead).at(file, 10);
            // Its bytes are on record as they are.
            let bytes = std::fs::read(path).expect("the file");
            let hash = <sha2::Sha256 as sha2::Digest>::digest(&bytes);
            let hash = hash.iter().fold(String::new(), |all, b| all + &format!("{b:02x}"));
            let input = surfaced.site.inputs.iter().find(|i| i.file == file).expect("on record");
            assert_eq!(input.sha256, hash);
        }
    }
    // The wells on one sheet and the readings on the other.
    let path = folder.file("apart.xlsx", include_bytes!("data/tables/apart.xlsx"));
    let (_, heads, findings) = read(&path, &overrides);
    assert_eq!(heads, expected);
    told(&findings, Code::TablesTaken).giving(&["\"Wells\"", "\"Levels\""]).once();
    let other = Overrides { worksheet: Some("Levels".to_owned()), ..overrides.clone() };
    let (none, findings) = self::heads(&xlsx, &other);
    assert!(none.is_none());
    told(&findings, Code::FileUnreadable)
        .giving(&["\"Levels\"", "\"Cover\"", "\"Gauging\""])
        .once();
    // In a site folder workbooks stand for tables.
    let site = Folder::new().with(
        "site.toml",
        "[site]\nname = \"Station 14\"\ncrs = \"EPSG:2236\"\nelevation_unit = \"ft\"\n\
         vertical_datum = \"NAVD 88\"\n",
    );
    site.file("wells.xlsx", include_bytes!("data/tables/apart.xlsx"));
    site.file("rounds/autumn.xlsx", include_bytes!("data/tables/apart.xlsx"));
    let (name, heads, findings) = read(site.path(), &Overrides::default());
    assert_eq!((name.as_str(), heads), ("autumn", expected));
    assert_eq!(of(Code::WorksheetRead, &findings).len(), 2);
    // Damaged ones are refused, wherever the damage is.
    let bytes = include_bytes!("data/tables/gauging.xlsx");
    for at in (0..bytes.len()).step_by(97) {
        let mut damaged = bytes.to_vec();
        damaged[at] ^= 0x5a;
        let path = folder.file("damaged.xlsx", &damaged);
        let _ = self::heads(&path, &overrides);
        let _ = self::heads(&folder.file("cut.xlsx", &bytes[..at]), &overrides);
    }
}

// On the command line.

#[test]
fn check_lists_the_rounds_and_draw_puts_each_into_its_own_folder() {
    let folder = Folder::new();
    let path = folder.file("long.csv", LONG);
    let site = ["--crs", "EPSG:32633", "--unit", "m"];
    let checked = runs(&[&["check", "--quiet"], &site[..]].concat(), &[&path]);
    let text = stderr(&checked);
    assert!(ROUNDS.iter().all(|round| text.contains(round)), "{text}");
    runs(&[&["draw", "--round", "2024-06", "--data-only"], &site[..]].concat(), &[&path]);
    assert!(folder.at("out/2024-06-11/summary.json").exists());
}

// Any round in any form.

/// A round of some wells: easting, northing, measuring point, depth.
fn wells() -> impl Strategy<Value = Vec<(u32, u32, u32, u32)>> {
    prop::collection::vec((0..90_000_u32, 0..90_000_u32, 11_000..13_000_u32, 100..3_000_u32), 3..9)
}

/// A form of the table, made of the plain one.
#[derive(Debug, Clone, Copy)]
enum Form {
    Long,
    Wide,
    Framed,
    Units,
    Dates,
    Utf16,
    Apart,
}

/// Easting, northing, measuring point and depth of a well, hundredths.
type Numbers = (u32, u32, u32, u32);

fn written(form: Form, wells: &[Numbers], folder: &Folder) -> std::path::PathBuf {
    let hundredths = |n: u32| format!("{}.{:02}", n / 100, n % 100);
    let place = |i: usize, e: u32, n: u32| {
        format!("MW-{i},{},{}", hundredths(50_000_000 + e), hundredths(498_000_000 + n))
    };
    let each = |row: &dyn Fn(usize, &Numbers) -> String| -> String {
        wells.iter().enumerate().map(|(i, w)| row(i, w) + "\n").collect()
    };
    let plain = |date: &str, deeper: u32| {
        each(&|i, (e, n, p, d)| {
            format!("{},{},{},{date}", place(i, *e, *n), hundredths(*p), hundredths(*d + deeper))
        })
    };
    let headings = "Well,Easting,Northing,TOC (m),DTW (m),Date\n";
    let rows = plain("2025-10-14", 0);
    match form {
        Form::Long => folder.file("t.csv", format!("{headings}{rows}{}", plain("2024-10-15", 55))),
        Form::Wide => {
            let rows = each(&|i, (e, n, p, d)| {
                let (now, before) = (hundredths(*d), hundredths(*d + 55));
                format!("{},{},{before},{now}", place(i, *e, *n), hundredths(*p))
            });
            let headings = "Well,Easting,Northing,TOC (m),DTW 2024-10-15,DTW 2025-10-14\n";
            folder.file("t.csv", format!("{headings}{rows}"))
        }
        Form::Framed => folder.file(
            "t.csv",
            format!("Gauging of the site\n,,,,,\n{headings}{rows}\nRead by the same two people\n"),
        ),
        Form::Units => {
            folder.file("t.csv", format!("Well,Easting,Northing,TOC,DTW,Date\n,m,m,m,m,\n{rows}"))
        }
        Form::Dates => folder.file("t.csv", format!("{headings}{}", plain("10/14/2025", 0))),
        Form::Utf16 => {
            let text = format!("{headings}{rows}").replace(',', "\t");
            folder
                .file("t.csv", text.encode_utf16().flat_map(u16::to_le_bytes).collect::<Vec<u8>>())
        }
        Form::Apart => {
            let register =
                each(&|i, (e, n, p, _)| format!("{},{}", place(i, *e, *n), hundredths(*p)));
            let readings = each(&|i, (.., d)| format!("MW-{i},{},2025-10-14", hundredths(*d)));
            folder.file("a/reg.csv", format!("Well,Easting,Northing,TOC (m)\n{register}"));
            folder.file("a/lev.csv", format!("Well,DTW (m),Date\n{readings}"));
            folder.at("a")
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn every_form_gives_the_readings_of_the_plain_table(wells in wells()) {
        let folder = Folder::new();
        let plain = "Well,Easting,Northing,TOC (m),DTW (m),Date\n".to_owned();
        let rows = wells.iter().enumerate().map(|(i, (e, n, p, d))| {
            format!(
                "MW-{i},{}.{:02},{}.{:02},{}.{:02},{}.{:02},2025-10-14\n",
                500_000 + e / 100, e % 100, 4_980_000 + n / 100, n % 100,
                p / 100, p % 100, d / 100, d % 100
            )
        });
        let path = folder.file("plain.csv", plain + &rows.collect::<String>());
        let of = |path: &Path| {
            let read = headfall::read::site_and_round(path, &asked(None)).expect("read").value;
            let heads = headfall::reduce::round(&read.0, &read.1).map(|r| r.value.heads);
            heads.map(|h| h.iter().map(|h| (h.well, h.head.to_bits())).collect::<Vec<_>>()).ok()
        };
        let expected = of(&path);
        prop_assert!(expected.as_ref().is_some_and(|e| e.len() == wells.len()));
        for form in [
            Form::Long, Form::Wide, Form::Framed, Form::Units, Form::Dates, Form::Utf16, Form::Apart,
        ] {
            prop_assert_eq!(&of(&written(form, &wells, &folder)), &expected, "{:?}", form);
        }
    }
}
