//! What the tables print: rows that add up, tables for a report, wells as they are built.

/// Decimals as people reckon with them.
mod exact;

/// Rows worked out again from their own cells.
mod rows;

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

use calamine::{Data, Reader as _, Xlsx, open_workbook};
use headfall::diag::Code;
use headfall::read::Overrides;
use proptest::prelude::*;

use crate::support::{
    Folder, Random, SITES, contents, json, map, of, runs, sample, scatter, table, text, told,
};
use rows::{Row, Sums, adds_up, cell, mapped, unit};

/// Draws a site without sheet and page.
fn drawn(site: &Path, options: &[&str], out: &Path) {
    runs(&[&["draw", "--quiet", "--data-only"], options, &["--out"]].concat(), &[out, site]);
}

/// Draws a site and holds every row of its table of heads to its own cells.
#[track_caller]
fn all_add_up(site: &Path, sums: &mut Sums) -> Vec<Row> {
    let folder = Folder::new();
    let out = folder.path().join("map");
    drawn(site, &[], &out);
    let rows = table(out.join("heads.csv"));
    for row in &rows {
        adds_up(row, sums);
    }
    // The head of the layer has four decimals, in metres.
    let layer = json(out.join("wells.geojson"));
    let used = layer["features"].as_array().expect("wells").iter().map(|f| &f["properties"]);
    let used: BTreeMap<&str, f64> = used
        .filter(|p| p["used"] == true)
        .map(|p| (p["id"].as_str().expect("a name"), p["head_m"].as_f64().expect("a head")))
        .collect();
    let mapped = mapped(&rows);
    assert_eq!(mapped.keys().collect::<Vec<_>>(), used.keys().collect::<Vec<_>>());
    for (well, row) in mapped {
        let head: f64 = row["head_m"].parse().expect("a head");
        assert!((head - used[well]).abs() < 0.000_051, "{well}: {head} is not {}", used[well]);
    }
    rows
}

#[test]
fn every_row_of_the_sample_sites_adds_up() {
    let mut sums = Sums::default();
    let rows: usize = SITES.iter().map(|site| all_add_up(&sample(site), &mut sums).len()).sum();
    assert!(sums.heads > rows / 2, "{sums:?} of {rows}");
    assert!(sums.tapes >= 3 && sums.products == 3 && sums.means >= 6, "{sums:?}");
}

/// A site drawn by lot: every way to measure, two tapes, readings with 0 to 4 decimals, measuring points that
/// changed, units of depth and elevation that differ.
fn by_lot(seed: u64, (depth, elevation): (&str, &str)) -> Folder {
    let mut random = Random::new(seed);
    let mut pick = |n: u32| u32::try_from(random.below(n as usize)).expect("small");
    let decimal = |whole: u32, part: u32, places: u32| match places {
        0 => whole.to_string(),
        _ => format!("{whole}.{:0width$}", part % 10_u32.pow(places), width = places as usize),
    };
    let (mut wells, mut points, mut round) = (
        "id,easting,northing,kind,measuring_point_elevation,specific_gravity\n".to_owned(),
        "id,valid_from,measuring_point_elevation\n".to_owned(),
        "id,date,reading,depth_to_product,depth_to_water,hold,cut,pressure_head,stage,elevation,status,\
         instrument\n"
            .to_owned(),
    );
    for (i, (x, y)) in scatter().into_iter().take(16).enumerate() {
        let way = if i < 9 { u32::try_from(i).expect("small") } else { pick(9) };
        let kind = if way == 4 { "gauge" } else { "well" };
        let places = pick(5);
        let point = decimal(100 + pick(3), pick(10_000), places);
        let gravity = decimal(0, 60 + pick(39), 2);
        writeln!(wells, "W-{i},{},{},{kind},{point},{gravity}", 500_000.0 + x, 4_980_000.0 + y)
            .expect("text");
        if pick(3) == 0 {
            let moved = decimal(100 + pick(3), pick(10_000), places);
            writeln!(points, "W-{i},2026-02-03,{moved}").expect("text");
        }
        let tape = ["", "a", "b"][pick(3) as usize];
        let places = pick(5);
        let (deep, part) = (3 + pick(2), pick(10_000));
        let water = decimal(deep, part, places);
        let product = decimal(deep - 1, part, places);
        let cut = decimal(0, pick(10_000), places);
        let mut row = |number: &str, cells: &str, status: &str, tape: &str| {
            writeln!(round, "W-{i},2026-05-04,{number},{cells},{status},{tape}").expect("text");
        };
        match way {
            0 => row("", &format!(",{water},,,,,"), "", tape),
            1 => row("", &format!(",,{water},{cut},,,"), "", tape),
            2 => row("", &format!("{product},{water},,,,,"), "", tape),
            3 => row("", &format!(",,,,{cut},,"), "flowing", ""),
            4 => row("", &format!(",,,,,{cut},"), "", ""),
            5 => row("", &format!(",,,,,,{point}"), "", ""),
            6 | 7 => {
                let product = if way == 7 { product.as_str() } else { "" };
                let again = format!("{deep}.{:04}", part / 10 * 10 + pick(10));
                let first = format!("{deep}.{:04}", part / 10 * 10);
                row("1", &format!("{product},{first},,,,,"), "", tape);
                row("2", &format!("{product},{again},,,,,"), "", tape);
            }
            _ => row("", &format!(",{water},,,,,"), "pumping", tape),
        }
    }
    let site = format!(
        "[site]\nname = \"By lot (invented)\"\ncrs = \"EPSG:26915\"\nelevation_unit = \"{elevation}\"\n\
         vertical_datum = \"local\"\n\
         depth_unit = \"{depth}\"\n[instruments.a]\noffset = {}\nstretch = {}\n[instruments.b]\noffset = \
         -{}\nstretch = -{}\n",
        decimal(0, pick(500), 4),
        decimal(0, pick(100), 5),
        decimal(0, pick(500), 4),
        decimal(0, pick(100), 5),
    );
    Folder::new()
        .with("site.toml", site)
        .with("wells.csv", wells)
        .with("measuring-points.csv", points)
        .with("rounds/spring.csv", round)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(20))]

    #[test]
    fn every_row_of_any_site_adds_up(seed in any::<u64>(), units in 0..5_usize) {
        let units = [("m", "m"), ("ft", "ft"), ("ft-us", "ft-us"), ("m", "ft-us"), ("ft", "m")][units];
        let mut sums = Sums::default();
        let rows = all_add_up(by_lot(seed, units).path(), &mut sums);
        prop_assert!(rows.len() >= 16);
        prop_assert!(sums.tapes > 0 && sums.products > 0 && sums.means > 1 && sums.heads > 9, "{:?}", sums);
    }
}

/// The rows of a table by the name of their well, in the column of this heading.
fn by_well<'a>(rows: &'a [Row], heading: &str) -> BTreeMap<&'a str, &'a Row> {
    rows.iter().map(|row| (row[heading].as_str(), row)).collect()
}

// The expected numbers of the sample sites are sums of their tables' numbers, worked out by hand.

#[test]
fn the_mapped_row_of_each_kind_has_the_terms_of_its_head() {
    let folder = Folder::new();
    let depot = folder.at("depot");
    drawn(&sample("fuel-depot"), &[], &depot);
    let rows = table(depot.join("heads.csv"));
    let depot = mapped(&rows);
    let is = |row: &Row, expected: &[(&str, &str)]| {
        for (quantity, value) in expected {
            let found = row.get(*quantity).map_or_else(|| cell(row, quantity), String::as_str);
            assert_eq!(&found, value, "{quantity} of {}", row["well"]);
        }
    };
    assert_eq!([unit(depot["MW-1"], "head"), unit(depot["MW-1"], "stage")], ["ft_us"; 2]);
    is(depot["MW-1"], &[("head", "1251.25"), ("instrument_correction", "0"), ("row", "reading")]);
    is(
        depot["MW-2"],
        &[
            ("row", "mean"),
            ("depth_to_water", "15.785"),
            ("head", "1250.975"),
            ("mean_of", "1250.98 1250.97"),
        ],
    );
    // 0.84 x (13.44 - 13.00) = 0.3696; the gravity is the register's.
    is(
        depot["MW-4"],
        &[
            ("depth_to_product", "13.00"),
            ("depth_to_water", "13.44"),
            ("product_thickness", "0.44"),
            ("specific_gravity", "0.84"),
            ("product_correction", "0.3696"),
            ("corrected_depth", "13.0704"),
            ("head", "1250.4896"),
        ],
    );
    is(
        depot["MW-6"],
        &[
            ("measuring_point_elevation", "1266.18"),
            ("measuring_point_surveyed", "2026-01-20"),
            ("measuring_point_elevation_before", "1266.61"),
        ],
    );
    // 0.02 + 0.0002 x 15.94 = 0.023188, to four decimals; 1250.1768 x 1200 / 3937 m.
    is(
        depot["MW-10"],
        &[
            ("instrument_correction", "0.0232"),
            ("corrected_depth", "15.9632"),
            ("head", "1250.1768"),
            ("head_m", "381.0547"),
        ],
    );
    // The third reading is the last of those that agree; the first is not.
    let six =
        rows.iter().filter(|r| r["well"] == "MW-6").map(|r| r["used_for_contouring"].as_str());
    assert_eq!(six.collect::<Vec<_>>(), ["yes", "no", "in the mean", "in the mean"]);

    let landfill = folder.at("landfill");
    drawn(&sample("closed-landfill"), &[], &landfill);
    let rows = table(landfill.join("heads.csv"));
    let all = by_well(&rows, "well");
    assert!(!all["G1"].contains_key("head_ft"), "one unit and no other");
    is(all["P01S"], &[("depth_to_water", "4.00"), ("head", "808.647")]);
    is(
        all["P03S"],
        &[("hold", "5.00"), ("cut", "0.81"), ("depth_to_water", "4.19"), ("head", "808.363")],
    );
    is(all["P09D"], &[("pressure_head", "0.45"), ("corrected_depth", ""), ("head", "808.630")]);
    is(
        all["G1"],
        &[("stage", "0.68"), ("measuring_point_elevation", "805.600"), ("head", "806.280")],
    );
}

#[test]
fn the_table_of_water_levels_is_that_of_a_report() {
    let folder = Folder::new();
    let out = folder.at("map");
    drawn(&sample("fuel-depot"), &[], &out);
    let rows = table(out.join("water-levels.csv"));
    let wells = by_well(&rows, "Well");
    let names: Vec<&str> = rows.iter().map(|r| r["Well"].as_str()).collect();
    assert_eq!(names.len(), 14, "a row for each well of the register");
    assert_eq!(names[..2], ["MW-1", "MW-2"]);
    let row = |well: &str| {
        let of = |heading: &str| wells[well][heading].as_str();
        [
            of("Date"),
            of("Time"),
            of("Measuring point elevation (US survey ft, NAVD 88)"),
            of("Depth to product (US survey ft)"),
            of("Depth to water (US survey ft)"),
            of("Product thickness (US survey ft)"),
            of("Corrected head (US survey ft, NAVD 88)"),
        ]
    };
    let day = "2026-04-14";
    assert_eq!(row("MW-1"), [day, "08:14", "1266.74", "", "15.49", "", "1251.25"]);
    // The mean depth has the decimal that makes it add up.
    assert_eq!(row("MW-2"), [day, "08:26", "1266.76", "", "15.785", "", "1250.975"]);
    assert_eq!(row("MW-4"), [day, "10:40", "1263.56", "13.00", "13.44", "0.44", "1250.49"]);
    assert_eq!(row("MW-9"), [day, "08:50", "1266.00", "", "", "", ""]);
    assert_eq!(row("MW-10"), [day, "10:03", "1266.14", "", "15.94", "", "1250.18"]);
    for (well, words) in [
        ("MW-2", ["mean of 2 readings", "1250.98, 1250.97"]),
        ("MW-4", ["product correction -0.3696 US survey ft", "specific gravity 0.84"]),
        ("MW-6", ["1266.18 US survey ft from 2026-01-20", "before 1266.61 US survey ft"]),
        ("MW-9", ["not accessible", "lid under a parked trailer"]),
        ("MW-10", ["instrument correction +0.0232 US survey ft", "0.0232"]),
        ("MW-13", ["not contoured: dry", "dry to the bottom"]),
    ] {
        for words in words {
            assert!(wells[well]["Note"].contains(words), "{well}: {}", wells[well]["Note"]);
        }
    }
}

#[test]
fn a_well_that_nobody_read_is_in_the_table_of_water_levels_and_no_number_is_made_up() {
    let site = by_lot(7, ("ft", "ft"));
    site.change("wells.csv", |wells| wells + "NEW,500050,4980050,well,101.5,\n");
    let out = site.at("map");
    drawn(site.path(), &[], &out);
    let rows = table(out.join("water-levels.csv"));
    let new = by_well(&rows, "Well")["NEW"];
    // Its name, the note, and what every row says: site, round, first and last reading.
    let filled: Vec<&str> = new.values().map(String::as_str).filter(|c| !c.is_empty()).collect();
    assert_eq!(filled.len(), 2 + 4, "{new:#?}");
    assert_eq!(new["Note"], "no reading in this round");
}

/// Spreadsheets drop zeros at the end of numbers: where no number has one, all have the decimals of the longest.
#[test]
fn decimals_are_those_that_were_written_or_those_that_a_spreadsheet_left() {
    for (depths, expected) in [
        (["9.31", "9.4", "9", "9.25"], ["9.31", "9.40", "9.00", "9.25"]),
        (["9.31", "9.4", "9.30", "9"], ["9.31", "9.4", "9.30", "9"]),
        (["9", "8", "7", "9"], ["9", "8", "7", "9"]),
        (["9.123456", "8", "7", "9"], ["9.123456", "8.000", "7.000", "9.000"]),
    ] {
        let mut rows = "Well,Easting,Northing,TOC (ft),Date,Depth to Water\n".to_owned();
        for (i, depth) in depths.iter().enumerate() {
            let (x, y) = scatter()[i * 3];
            writeln!(rows, "W-{i},{},{},101.5,2026-05-04,{depth}", 500_000.0 + x, 4_980_000.0 + y)
                .expect("text");
        }
        let folder = Folder::new();
        let (site, out) = (folder.file("levels.csv", rows), folder.at("map"));
        drawn(&site, &["--crs", "EPSG:26915"], &out);
        let rows = table(out.join("water-levels.csv"));
        let printed: Vec<&str> = rows.iter().map(|r| r["Depth to water (ft)"].as_str()).collect();
        assert_eq!(printed, expected);
        for row in &table(out.join("heads.csv")) {
            adds_up(row, &mut Sums::default());
        }
    }
}

#[test]
fn the_workbook_has_the_numbers_of_the_table_and_the_same_bytes_on_every_run() {
    let folder = Folder::new();
    let (a, b) = (folder.at("a"), folder.at("b"));
    for out in [&a, &b] {
        runs(&["draw", "--quiet", "--out"], &[out, &sample("fuel-depot")]);
    }
    let bytes = |out: &Path| std::fs::read(out.join("water-levels.xlsx")).expect("a workbook");
    // A run takes longer than the seconds in which files of this kind would hold its time.
    assert!(bytes(&a) == bytes(&b));
    let mut book: Xlsx<_> = open_workbook(a.join("water-levels.xlsx")).expect("a workbook");
    let names = book.sheet_names();
    assert_eq!(names, ["Water levels"]);
    let sheet = book.worksheet_range("Water levels").expect("a sheet");
    let text = text(a.join("water-levels.csv"));
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes());
    let mut numbers = 0;
    for (line, record) in (0_u32..).zip(reader.records()) {
        // Site, round, unit and times are above each printed page of the workbook.
        let record = record.expect("a row");
        assert_eq!(record.len(), sheet.width() + 5);
        for (column, cell) in (0_u32..).zip(record.iter().take(sheet.width())) {
            match sheet.get_value((line, column)) {
                None | Some(Data::Empty) => assert_eq!(cell, ""),
                Some(Data::String(words)) => assert_eq!(words, cell),
                Some(Data::Float(number)) => {
                    let printed: f64 = cell.parse().expect("a number");
                    assert!((number - printed).abs() < 1e-12, "{number} is not {cell}");
                    numbers += 1;
                }
                other => panic!("{other:?} for {cell}"),
            }
        }
    }
    // 13 measuring points but that of the well nobody reached, 12 depths, 3 times product, 12 heads.
    assert!(numbers > 35, "{numbers} numbers");
    drawn(&sample("fuel-depot"), &[], &folder.at("data"));
    let files = contents(&folder.at("data"));
    assert!(files.contains_key("water-levels.csv") && !files.contains_key("water-levels.xlsx"));
}

#[test]
fn the_table_of_wells_has_depths_and_elevations() {
    let folder = Folder::new();
    let out = folder.at("map");
    drawn(&sample("fuel-depot"), &[], &out);
    let rows = table(out.join("wells.csv"));
    let wells = by_well(&rows, "well");
    assert_eq!(wells.len(), 14);
    let has = |well: &str, expected: &[(&str, &str)]| {
        for (column, value) in expected {
            assert_eq!(&wells[well][*column].as_str(), value, "{column} of {well}");
        }
    };
    // Depths count from the ground at 1263.21.
    has(
        "MW-13",
        &[
            ("easting_ft_us", "1800541.8"),
            ("northing_ft_us", "7065587.6"),
            ("register_easting", "1800541.8"),
            ("ground_elevation_ft_us", "1263.21"),
            ("measuring_point_elevation_ft_us", "1265.52"),
            ("measuring_point_surveyed", "2019-05-14"),
            ("vertical_datum", "NAVD 88"),
            ("depths_from", "ground"),
            ("total_depth_ft_us", "10.5"),
            ("screen_top_depth_ft_us", "5.5"),
            ("screen_bottom_depth_ft_us", "10.5"),
            ("bottom_elevation_ft_us", "1252.71"),
            ("screen_top_elevation_ft_us", "1257.71"),
            ("screen_bottom_elevation_ft_us", "1252.71"),
        ],
    );
    has(
        "MW-6",
        &[
            ("measuring_point_elevation_ft_us", "1266.18"),
            ("measuring_point_surveyed", "2026-01-20"),
            ("measuring_point_elevation_before_ft_us", "1266.61"),
        ],
    );
    // Nobody reached it: the measuring point is that of the day all the same.
    has("MW-9", &[("measuring_point_elevation_ft_us", "1266.00")]);
    let out = folder.at("landfill");
    drawn(&sample("closed-landfill"), &[], &out);
    let rows = table(out.join("wells.csv"));
    let silted = by_well(&rows, "well")["P06S"];
    // 809.050 less 4.76.
    assert_eq!(silted["sounded_depth_m"], "4.76");
    assert_eq!(silted["sounded_bottom_elevation_m"], "804.290");
    assert_eq!(silted["sounded_from"], "measuring point");
    let gauge = by_well(&rows, "well")["G1"];
    assert_eq!([&gauge["kind"], &gauge["depths_from"]], ["gauge", ""]);
}

/// A register in longitude and latitude: both positions are in the table of wells.
#[test]
fn positions_are_in_the_table_of_wells_as_the_register_gives_them() {
    let mut wells = "id,longitude,latitude\n".to_owned();
    let mut round = "id,date,elevation\n".to_owned();
    for (i, (lon, lat)) in
        [("-93.0100", "44.9800"), ("-93.0120", "44.9815"), ("-93.0095", "44.9830")]
            .into_iter()
            .enumerate()
    {
        writeln!(wells, "W-{i},{lon},{lat}").expect("text");
        writeln!(round, "W-{i},2026-05-04,{}.5", 100 + i).expect("text");
    }
    let site = Folder::new()
        .with(
            "site.toml",
            "[site]\nname = \"Low Ings (invented)\"\ncrs = \"EPSG:26915\"\ncoordinates_crs = \
             \"EPSG:4269\"\nelevation_unit = \"m\"\nvertical_datum = \"local\"\n",
        )
        .with("wells.csv", wells)
        .with("rounds/spring.csv", round);
    let out = site.at("map");
    drawn(site.path(), &[], &out);
    let rows = table(out.join("wells.csv"));
    let first = &rows[0];
    assert_eq!(first["register_crs"], "EPSG:4269");
    assert_eq!([&first["register_easting"], &first["register_northing"]], ["-93.0100", "44.9800"]);
    assert_eq!(first["crs"], "NAD83 / UTM zone 15N");
    // The central meridian of the zone is at 93 degrees west, 500 000 m: 0.01 degrees at 45 degrees of latitude
    // are 788 m (USGS, a degree of longitude there is 78.85 km).
    let easting: f64 = first["easting_m"].parse().expect("a number");
    assert!((easting - 499_212.0).abs() < 2.0, "{easting}");
}

#[test]
fn a_measuring_point_that_changed_since_the_round_before_is_told_with_both_elevations() {
    let site = sample("fuel-depot");
    let found = |round: Option<&str>| {
        let overrides = Overrides { round: round.map(str::to_owned), ..Overrides::default() };
        map(&site, &overrides).1
    };
    let findings = found(None);
    let changed = told(&findings, Code::MeasuringPointChanged)
        .about("MW-6")
        .at("measuring-points.csv", 2)
        .giving(&["1266.61 ft-us", "1266.18 ft-us", "2026-01-20", "2025-10-21"])
        .once();
    assert_eq!(changed.wells, ["MW-6"]);
    assert!(of(Code::MeasuringPointChanged, &found(Some("2025-10"))).is_empty());
    // The round that says when the one before was is among the inputs.
    let folder = Folder::new();
    drawn(&site, &[], &folder.at("map"));
    let inputs = json(folder.at("map/summary.json"))["inputs"].clone();
    let files: Vec<&str> =
        inputs.as_array().expect("files").iter().filter_map(|f| f["file"].as_str()).collect();
    assert!(files.contains(&"rounds/2025-10.csv"), "{files:?}");
    // A round after the survey has it already.
    let late = text(site.join("rounds/2025-10.csv")).replace("2025-10-21", "2026-02-10");
    std::fs::write(site.join("rounds/2026-02.csv"), late).expect("a file");
    assert!(of(Code::MeasuringPointChanged, &found(None)).is_empty());
    // Without any earlier round the survey before is what is known.
    for round in ["2025-10", "2026-02"] {
        std::fs::remove_file(site.join(format!("rounds/{round}.csv"))).expect("it was there");
    }
    let findings = found(None);
    told(&findings, Code::MeasuringPointChanged).about("MW-6").giving(&["1266.61 ft-us"]);
}
