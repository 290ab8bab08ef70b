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

use crate::support::{Folder, gives, map, of, runs, stderr, told, xlsx};

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
fn r111_a_mistyped_round_lists_the_rounds_within_each_file() {
    let site = Folder::new()
        .with(
            "site.toml",
            "[site]\nname = \"Low Ings\"\ncrs = \"EPSG:32633\"\nelevation_unit = \"m\"\n\
             vertical_datum = \"NHN\"\n",
        )
        .with("wells.csv", REGISTER)
        .with("rounds/database.csv", LEVELS)
        .with(
            "rounds/autumn.csv",
            LEVELS.replace("2025-06-10", "2025-10-14").lines().fold(String::new(), |text, line| {
                let kept = line.starts_with("Location") || line.contains("2025-10-14");
                if kept { text + line + "\n" } else { text }
            }),
        );
    let (none, findings) = heads(site.path(), &asked(Some("2025-06-1O")));
    assert!(none.is_none());
    let facts = ["\"2025-06-1O\"", "(2025-06-10", "2023-03-14)"];
    told(&findings, Code::RoundUnclear).giving(&facts).once();
    let read = headfall::read::site(site.path(), &asked(None)).expect("read").value;
    let names = read.rounds.names();
    let expected: Vec<&str> = ["autumn"].into_iter().chain(ROUNDS).collect();
    assert_eq!(names, expected);
    for name in names {
        let round = read.round(Some(&name)).unwrap_or_else(|e| panic!("{name}: {e:?}")).value;
        assert_eq!((round.name.as_str(), round.readings.len()), (name.as_str(), 12));
    }
}

#[test]
fn a_well_may_be_left_out_in_one_round_of_a_table() {
    let decision = |round: &str| {
        format!(
            "[site]\nname = \"Low Ings\"\ncrs = \"EPSG:32633\"\nelevation_unit = \"m\"\n\
             vertical_datum = \"NHN\"\n[[left_out]]\nwell = \"MW-03\"\nround = \"{round}\"\n\
             reason = \"cap was open\"\nby = \"J. Marsh\"\n"
        )
    };
    let table = Folder::new().with("long.csv", LONG);
    let folder = Folder::new().with("wells.csv", REGISTER).with("rounds/all.csv", LEVELS);
    for (site, path) in [(&table, table.at("long.csv")), (&folder, folder.path().to_owned())] {
        site.file("site.toml", decision("2024-06-11"));
        for (round, count) in [("2024-06-11", 11), ("2025-06-10", 12)] {
            assert_eq!(read(&path, &asked(Some(round))).1.len(), count, "{}", path.display());
        }
        site.file("site.toml", decision("2024-06-12"));
        let (none, findings) = heads(&path, &asked(None));
        assert!(none.is_none());
        told(&findings, Code::RoundUnclear).giving(&["\"2024-06-12\"", "2024-06-11"]).once();
    }
}

/// Two rounds on one day have the time in their names, and are found by them.
#[test]
fn rounds_of_one_day_are_found_by_their_names() {
    let rows = |time: &str, deeper: f64| {
        (0..4).fold(String::new(), |text, i| {
            text + &format!(
                "MW-0{},2025-06-10T{time},{:.2}\n",
                i + 1,
                7.0 + 0.1 * f64::from(i) + deeper
            )
        })
    };
    let levels = format!("id,date,dtw\n{}{}", rows("06:00", 0.0), rows("18:30", 0.5));
    let site = Folder::new()
        .with(
            "site.toml",
            "[site]\nname = \"Low Ings\"\ncrs = \"EPSG:32633\"\nelevation_unit = \"m\"\n\
             vertical_datum = \"NHN\"\n[round]\nwindow_hours = 6\n",
        )
        .with("wells.csv", REGISTER)
        .with("rounds/tide.csv", levels);
    let both = ["2025-06-10T0600", "2025-06-10T1830"];
    let read = headfall::read::site(site.path(), &asked(None)).expect("read").value;
    assert_eq!(read.rounds.names(), both);
    for name in both {
        assert_eq!(self::read(site.path(), &asked(Some(name))).0, name);
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

/// Abstich of the invented export: the same numbers as in the plain tables.
#[test]
fn r146_decimal_commas_are_read_where_all_numbers_show_them() {
    let folder = Folder::new();
    let text = LONG.lines().filter(|l| l.starts_with("Loc") || l.contains("2025-06-10"));
    let export: String = text
        .map(|l| l.replace(',', ";").replace('.', ",").replace("2025-06-10", "10.06.2025") + "\r\n")
        .collect();
    let path = folder.file("export.csv", &export);
    let (_, heads, findings) = read(&path, &asked(None));
    assert_eq!(heads, heads_by_hand("2025-06-10"));
    let found = told(&findings, Code::DecimalComma).giving(&["\"637435,76\" in"]).once();
    assert_eq!((found.severity, found.origins[0].line), (Severity::Note, Some(2)));
    // Where commas are decimal marks, days come first before points.
    told(&findings, Code::DatesRead).giving(&["\"10.06.2025\"", "2025-06-10"]).once();
    let tabs = folder.file("tabs.txt", export.replace(';', "\t"));
    assert_eq!(read(&tabs, &asked(None)).1, heads);

    // One number with a point, commas that may be between thousands, a declared point: still asked.
    let one_point = export.replacen("7,27", "7.27", 1);
    let (none, findings) = self::heads(&folder.file("point.csv", one_point), &asked(None));
    assert!(none.is_none() && of(Code::DecimalComma, &findings).is_empty());
    told(&findings, Code::NotANumber).within("point.csv");
    let thousands = "id;easting;northing;elevation (ft)\nA;1,200;2,100;1,250\nB;1,300;2,150;1,251\n\
                     C;1,250;2,300;1,249\n";
    let (none, findings) = self::heads(&folder.file("thousands.csv", thousands), &asked(None));
    assert!(none.is_none() && of(Code::DecimalComma, &findings).is_empty());
    told(&findings, Code::NotANumber).within("thousands.csv");
    folder.file("site.toml", "[tables]\ndecimal = \".\"\n");
    let (none, findings) = self::heads(&path, &asked(None));
    assert!(none.is_none() && of(Code::DecimalComma, &findings).is_empty());
    told(&findings, Code::NotANumber).within("export.csv");
    folder.file("site.toml", "[tables]\ndecimal = \",\"\n");
    let (_, declared, findings) = read(&path, &asked(None));
    assert_eq!(declared, heads);
    assert!(of(Code::DecimalComma, &findings).is_empty());
}

/// IANA time zone database: Denver is at UTC-6 in June.
#[test]
fn r145_times_with_an_offset_are_converted_where_the_zone_is_declared() {
    let written = |date: &dyn Fn(usize) -> String| {
        let rows = (0..4).map(|i| {
            let [x, y] = [[0.0, 0.0], [120.0, 10.0], [15.0, 140.0], [130.0, 160.0]][i];
            format!("W{i},{},{},{:.2},{}\n", 500_000.0 + x, 5e6 + y, 10.0 + 0.01 * x, date(i))
        });
        rows.collect::<String>()
    };
    let times = |headings: &str, date: &dyn Fn(usize) -> String, toml: &str| {
        let folder = Folder::new().with("site.toml", toml);
        let text = format!("id,easting,northing,elevation,{headings}\n{}", written(date));
        let read = headfall::read::site_and_round(&folder.file("t.csv", text), &asked(None));
        read.map(|read| {
            let moments =
                read.value.1.readings.iter().map(|r| r.moment.expect("a time").to_string());
            (moments.collect::<Vec<_>>(), read.findings)
        })
    };
    let denver = "[round]\ntime_zone = \"America/Denver\"\n";
    let expected = [
        "2025-06-10T09:35:00",
        "2025-06-10T09:36:00",
        "2025-06-10T21:37:00",
        "2025-06-10T09:38:00",
    ];
    let dates = |i: usize| {
        ["2025-06-10T15:35Z", "2025-06-10 17:36+02:00", "2025-06-11T03:37:00Z", "2025-06-10T09:38"]
            [i]
            .to_owned()
    };
    let (read, findings) = times("date", &dates, denver).expect("read");
    assert_eq!(read, expected);
    let note =
        told(&findings, Code::TimesConverted).giving(&["\"2025-06-10T15:35Z\"", "America/Denver"]);
    let note = note.once();
    assert_eq!((note.severity, note.origins[0].line), (Severity::Note, Some(2)));
    // Day and time in two cells, and days that are not ISO 8601.
    let apart = |i: usize| {
        ["6/10/2025,15:35Z", "6/10/2025,17:36+02:00", "6/11/2025,3:37 AM Z", "6/10/2025,9:38"][i]
            .to_owned()
    };
    let american = format!("{denver}date_format = \"%m/%d/%Y\"\n");
    assert_eq!(times("date,time", &apart, &american).expect("read").0, expected);
    let german = |i: usize| {
        ["10.06.2025 15:35Z", "10.06.2025 17:36 +0200", "11.06.2025 03:37+00", "13.06.2025 09:38"]
            [i]
            .to_owned()
    };
    let (read, _) = times("date", &german, denver).expect("read");
    assert_eq!(read[..3], expected[..3]);
    let fixed = times("date", &dates, "[round]\ntime_zone = \"-06:00\"\n").expect("read").0;
    assert_eq!(fixed, expected);
    // Nothing declared: refused, in whatever form the day is.
    for dates in [&dates as &dyn Fn(usize) -> String, &german] {
        let refused = times("date", dates, "").expect_err("refused");
        told(refused.diagnostics(), Code::BadTime).within("t.csv").giving(&["time_zone"]);
    }
    let named = |i: usize| format!("1{i}.06.2025 09:35 {}", if i > 2 { "EST" } else { "MEZ" });
    assert!(times("date", &named, denver).is_err());
    for zone in ["Mountain", "MST7MDT8", ""] {
        let refused = times("date", &dates, &format!("[round]\ntime_zone = \"{zone}\"\n"));
        told(refused.expect_err("refused").diagnostics(), Code::SiteSetting).at("site.toml", 2);
    }
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
    /// Semicolons, decimal commas, days before months.
    Commas,
    Workbook,
    Offsets,
    Turned,
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
        Form::Commas => {
            let rows = plain("14.10.2025", 0).replace(',', ";").replace('.', ",");
            let rows = rows.replace("14,10,2025", "14.10.2025");
            folder.file("t.csv", format!("{}{rows}", headings.replace(',', ";")))
        }
        Form::Workbook => {
            let text = format!("Gauging,,,,,\n{headings}{rows}");
            let cells = |line: &str| line.split(',').map(str::to_owned).collect();
            folder.file("t.xlsx", xlsx(&text.lines().map(cells).collect::<Vec<_>>()))
        }
        Form::Offsets => {
            folder.file("z/site.toml", "[round]\ntime_zone = \"Europe/Berlin\"\n");
            let rows = plain("2025-10-14T06:30Z", 0);
            folder.file("z/t.csv", format!("{headings}{rows}"))
        }
        Form::Turned => {
            let mut lines: Vec<&str> = rows.lines().collect();
            lines.reverse();
            folder.file("t.csv", format!("{headings}{}\n", lines.join("\n")))
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
            let name = |well: usize| read.0.wells[well].id.clone();
            heads.map(|h| h.iter().map(|h| (name(h.well), h.head.to_bits())).collect::<Vec<_>>()).ok()
        };
        let expected = of(&path);
        prop_assert!(expected.as_ref().is_some_and(|e| e.len() == wells.len()));
        for form in [
            Form::Long, Form::Wide, Form::Framed, Form::Units, Form::Dates, Form::Utf16, Form::Apart,
            Form::Commas, Form::Workbook, Form::Offsets, Form::Turned,
        ] {
            prop_assert_eq!(&of(&written(form, &wells, &folder)), &expected, "{:?}", form);
        }
    }
}

// What is no table of any form: refused with its place, and never the end of the program.

/// What people, spreadsheets and faults put into cells.
const CELLS: [&str; 40] = [
    "",
    "-",
    "--",
    "dry",
    "DRY?",
    ">9.5",
    ">9,5",
    "<0.01",
    "~9.4",
    "ca. 9,4",
    "NM",
    "#N/A",
    "#REF!",
    "1,234",
    "1.234,5",
    "1.2E+06",
    "12,5",
    "12.5",
    "5'7\"",
    "\"",
    "\"\"",
    "'",
    "14.10.2025",
    "10/14/2025",
    "04/05/2026",
    "14-Oct-25",
    "2025-10-14T06:30Z",
    "2025-10-14 06:30-07",
    "06:30+25:00",
    "45944",
    "2025-10-14",
    "\u{2212}3",
    "\u{ff11}\u{ff12}",
    "\u{feff}",
    "m",
    "ft NAVD88",
    "MW-1",
    "inf",
    "NaN",
    "a remark of several words: and more",
];

/// What headings become.
const HEADINGS: [&str; 16] = [
    "",
    "Well",
    "Date",
    "Time",
    "DTW",
    "Depth to Water (ft)",
    "Product",
    "Status",
    "Zone",
    "2025-10-14",
    "14.10.2025",
    "DTW 04/05/2026",
    "X",
    "Elevation",
    "Water level",
    "Remarks",
];

/// One thing that is done to the cells of a table.
#[derive(Debug, Clone)]
enum Change {
    Cell(usize, usize, usize),
    Heading(usize, usize),
    Twice(usize),
    Gone(usize),
    Note(usize),
    Wider(usize),
    Narrower(usize),
}

fn change() -> impl Strategy<Value = Change> {
    let any = 0..100_usize;
    prop_oneof![
        4 => (any.clone(), any.clone(), any.clone()).prop_map(|(r, c, t)| Change::Cell(r, c, t)),
        2 => (any.clone(), any.clone()).prop_map(|(c, t)| Change::Heading(c, t)),
        1 => any.clone().prop_map(Change::Twice),
        1 => any.clone().prop_map(Change::Gone),
        1 => any.clone().prop_map(Change::Note),
        1 => any.clone().prop_map(Change::Wider),
        1 => any.prop_map(Change::Narrower),
    ]
}

fn changed(table: &str, changes: &[Change]) -> Vec<Vec<String>> {
    let mut rows: Vec<Vec<String>> =
        table.lines().map(|l| l.split(',').map(str::to_owned).collect()).collect();
    for change in changes {
        let count = rows.len();
        match *change {
            Change::Cell(row, column, text) => {
                let row = &mut rows[row % count];
                let column = column % row.len().max(1);
                if let Some(cell) = row.get_mut(column) {
                    CELLS[text % CELLS.len()].clone_into(cell);
                }
            }
            Change::Heading(column, text) => {
                let column = column % rows[0].len().max(1);
                if let Some(heading) = rows[0].get_mut(column) {
                    HEADINGS[text % HEADINGS.len()].clone_into(heading);
                }
            }
            Change::Twice(row) => rows.push(rows[row % count].clone()),
            Change::Gone(row) if count > 1 => {
                rows.remove(row % count);
            }
            Change::Gone(_) => {}
            Change::Note(row) => {
                let text = if row % 2 == 0 { "* read again the next day" } else { "m" };
                rows.insert(row % (count + 1), vec![text.to_owned()]);
            }
            Change::Wider(row) => rows[row % count].push("more".to_owned()),
            Change::Narrower(row) => {
                rows[row % count].pop();
            }
        }
    }
    rows
}

/// Reads a table, and holds what is refused to its place.
fn hold(path: &Path) {
    let Err(error) = headfall::read::site_and_round(path, &asked(None)) else { return };
    let refusals: Vec<&Diagnostic> =
        error.diagnostics().iter().filter(|d| d.is_refusal()).collect();
    assert!(!refusals.is_empty(), "no reason: {error:?}");
    for refusal in refusals {
        let of_a_file = matches!(
            refusal.code,
            Code::FileUnreadable | Code::TableEmpty | Code::RoundUnclear | Code::SeveralRounds
        );
        let placed = refusal.origins.iter().any(|o| o.row().is_some() || of_a_file);
        assert!(placed, "without a place: {refusal:#?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 160, ..ProptestConfig::default() })]

    #[test]
    fn a_table_with_anything_in_it_is_read_or_refused_with_a_place(
        wide in any::<bool>(),
        delimiter in prop::sample::select(vec![',', ';', '\t']),
        changes in prop::collection::vec(change(), 1..7),
        ending in prop::sample::select(vec!["csv", "xlsx"]),
    ) {
        let folder = Folder::new();
        let table = if wide { WIDE } else { LONG };
        let rows = changed(&table.lines().take(40).fold(String::new(), |t, l| t + l + "\n"), &changes);
        let path = if ending == "xlsx" {
            folder.file("t.xlsx", xlsx(&rows))
        } else {
            let join = |row: &Vec<String>| row.join(&delimiter.to_string());
            folder.file("t.csv", rows.iter().map(join).collect::<Vec<_>>().join("\n"))
        };
        hold(&path);
    }

    #[test]
    fn a_damaged_workbook_or_text_is_read_or_refused(
        at in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6),
        cut in prop::option::of(any::<prop::sample::Index>()),
        kind in 0..3_usize,
    ) {
        let folder = Folder::new();
        let rows: Vec<Vec<String>> = LONG
            .lines()
            .take(20)
            .map(|l| l.split(',').map(str::to_owned).collect())
            .collect();
        let (name, mut bytes) = match kind {
            0 => ("t.xlsx", xlsx(&rows)),
            1 => ("t.ods", include_bytes!("data/tables/gauging.ods").to_vec()),
            _ => ("t.csv", LONG.as_bytes()[..1000].to_vec()),
        };
        for (place, byte) in &at {
            let place = place.index(bytes.len());
            bytes[place] = *byte;
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()));
        }
        hold(&folder.file(name, bytes));
    }
}
