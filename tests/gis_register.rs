//! A register, or a table for everything, in a vector file. The layers are written by GDAL from the invented
//! tables of `tests/data/tables`; what they must give is what the tables give.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::LazyLock;

use gdal::DriverManager;
use gdal::spatial_ref::{AxisMappingStrategy, CoordTransform, SpatialRef};
use gdal::vector::{
    Feature, FieldDefn, Geometry, LayerAccess, LayerOptions, OGRFieldType, OGRwkbGeometryType,
};
use headfall::LengthUnit;
use headfall::diag::{Code, Diagnostic, Severity};
use headfall::read::Overrides;

use crate::support::{Folder, contents, gives, map, near, of, runs, told};

const LEVELS: &str = include_str!("data/tables/levels.csv");

const TOML: &str = "[site]\nname = \"Low Ings (invented)\"\ncrs = \"EPSG:32633\"\n\
                    elevation_unit = \"m\"\nvertical_datum = \"NHN\"\n";

/// How a layer is written.
#[derive(Clone, Copy)]
struct As<'a> {
    driver: &'a str,
    epsg: Option<u32>,
    layer: &'a str,
    kind: OGRwkbGeometryType::Type,
}

const GPKG: As<'_> =
    As { driver: "GPKG", epsg: Some(32633), layer: "wells", kind: OGRwkbGeometryType::wkbPoint };

/// A table with headings of at most ten letters, as shapefiles have them.
fn short(table: &str) -> String {
    let names = [
        ("Location ID", "Well"),
        ("TOC Elevation (m)", "TOC_m"),
        ("Date Measured", "Date"),
        ("Depth to Water (m)", "DTW_m"),
    ];
    names.iter().fold(table.to_owned(), |text, (long, short)| text.replacen(long, short, 1))
}

static REGISTER: LazyLock<String> =
    LazyLock::new(|| short(include_str!("data/tables/register.csv")));

static LONG: LazyLock<String> = LazyLock::new(|| short(include_str!("data/tables/long.csv")));

fn system(code: u32) -> SpatialRef {
    let mut crs = SpatialRef::from_epsg(code).expect("a CRS");
    crs.set_axis_mapping_strategy(AxisMappingStrategy::TraditionalGisOrder);
    crs
}

/// The cells of a table.
fn cells(table: &str) -> Vec<Vec<String>> {
    table.lines().map(|l| l.split(',').map(str::to_owned).collect()).collect()
}

/// Writes a table whose second and third columns are eastings and northings in EPSG:32633: these as points, the
/// others as fields, numbers as numbers. `shape` makes the WKT of a feature.
fn write(path: &Path, how: As<'_>, table: &str, shape: &dyn Fn(usize, f64, f64) -> String) {
    let driver = DriverManager::get_driver_by_name(how.driver).expect("a bundled driver");
    let mut file = driver.create_vector_only(path).expect("a file");
    add(&mut file, how, table, shape);
}

fn add(
    file: &mut gdal::Dataset,
    how: As<'_>,
    table: &str,
    shape: &dyn Fn(usize, f64, f64) -> String,
) {
    let crs = how.epsg.map(system);
    let options = LayerOptions {
        name: how.layer,
        srs: crs.as_ref(),
        ty: how.kind,
        ..LayerOptions::default()
    };
    let layer = file.create_layer(options).expect("a layer");
    let rows = cells(table);
    let fields: Vec<usize> = (0..rows[0].len()).filter(|at| !(1..3).contains(at)).collect();
    let is_number = |at: usize| rows[1..].iter().all(|row| row[at].parse::<f64>().is_ok());
    for &at in &fields {
        let kind = if is_number(at) { OGRFieldType::OFTReal } else { OGRFieldType::OFTString };
        FieldDefn::new(&rows[0][at], kind).expect("a field").add_to_layer(&layer).expect("added");
    }
    let turn = crs.as_ref().filter(|_| how.epsg != Some(32633));
    let turn = turn.map(|to| CoordTransform::new(&system(32633), to).expect("a way"));
    for (number, row) in rows[1..].iter().enumerate() {
        let [x, y] = [1, 2].map(|at| row[at].parse::<f64>().expect("a coordinate"));
        let mut geometry = Geometry::from_wkt(&shape(number, x, y)).expect("WKT");
        if let Some(turn) = &turn {
            geometry = geometry.transform(turn).expect("transformed");
        }
        let mut feature = Feature::new(layer.defn()).expect("a feature");
        feature.set_geometry(geometry).expect("a geometry");
        for (place, &at) in fields.iter().enumerate() {
            match row[at].parse::<f64>() {
                Ok(value) if is_number(at) => feature.set_field_double(place, value),
                _ => feature.set_field_string(place, &row[at]),
            }
            .expect("a value");
        }
        feature.create(&layer).expect("written");
    }
}

fn point(_: usize, x: f64, y: f64) -> String {
    format!("POINT ({x} {y})")
}

fn asked() -> Overrides {
    Overrides {
        crs: Some("EPSG:32633".to_owned()),
        elevation_unit: Some(LengthUnit::Metre),
        ..Overrides::default()
    }
}

/// The heads and places by well, and what was found.
type Read = (BTreeMap<String, (f64, [f64; 2])>, Vec<Diagnostic>);

#[track_caller]
fn read(source: &Path, overrides: &Overrides) -> Read {
    let (map, findings) = map(source, overrides);
    let map = map.unwrap_or_else(|e| panic!("no map: {e:?} {findings:#?}"));
    let points = map.surfaced.control.points().iter();
    (points.map(|p| (p.id.clone(), (p.head, [p.crs.x, p.crs.y]))).collect(), findings)
}

fn refused(source: &Path, overrides: &Overrides) -> Vec<Diagnostic> {
    let (map, findings) = map(source, overrides);
    assert!(map.is_err(), "a map: {findings:#?}");
    findings
}

fn site(toml: &str) -> Folder {
    Folder::new().with("site.toml", format!("{TOML}{toml}")).with("rounds/all.csv", LEVELS)
}

#[track_caller]
fn same(found: &Read, expected: &Read, within: f64) {
    assert_eq!(found.0.len(), expected.0.len());
    for (well, (head, [x, y])) in &expected.0 {
        let (found_head, [found_x, found_y]) = found.0[well];
        assert_eq!(found_head.to_bits(), head.to_bits(), "{well}");
        near(found_x, *x, within);
        near(found_y, *y, within);
    }
}

#[test]
fn a_register_in_every_format_gives_the_heads_of_the_table() {
    let expected = read(site("").with("wells.csv", &*REGISTER).path(), &Overrides::default());
    assert_eq!(expected.0.len(), 12);
    // A geodatabase keeps coordinates on a lattice of its own; GeoJSON is in degrees, to a few digits.
    for (driver, ending, epsg, within) in [
        ("GPKG", "gpkg", 32633, 1e-9),
        ("ESRI Shapefile", "shp", 32633, 1e-9),
        ("FlatGeobuf", "fgb", 32633, 1e-9),
        ("OpenFileGDB", "gdb", 32633, 1e-3),
        ("GeoJSON", "geojson", 4326, 0.01),
        ("GPKG", "gpkg", 4326, 1e-6),
    ] {
        let how = As { driver, epsg: Some(epsg), ..GPKG };
        let folder = site("");
        write(&folder.at(&format!("wells.{ending}")), how, &REGISTER, &point);
        let before = contents(folder.path());
        let found = read(folder.path(), &Overrides::default());
        same(&found, &expected, within);
        let note = told(&found.1, Code::LayerRead).giving(&["12 points", "\"wells\""]).once();
        assert_eq!(note.severity, Severity::Note);
        assert!(of(Code::FileNotRead, &found.1).is_empty(), "{ending}");
        assert_eq!(contents(folder.path()), before, "{ending}");
        // Named, and somewhere else.
        let named = site(&format!("[tables]\nregister = \"maps/site.{ending}\"\n"));
        std::fs::create_dir_all(named.at("maps")).expect("a folder");
        write(&named.at(&format!("maps/site.{ending}")), how, &REGISTER, &point);
        same(&read(named.path(), &Overrides::default()), &expected, within);
    }
}

/// All that belongs to the file is an input, with its hash.
#[test]
fn a_shapefile_with_all_that_belongs_to_it_is_on_record() {
    let folder = site("");
    write(&folder.at("wells.shp"), As { driver: "ESRI Shapefile", ..GPKG }, &REGISTER, &point);
    let site = headfall::read::site(folder.path(), &Overrides::default()).expect("read").value;
    let names: Vec<&str> = site.inputs.iter().map(|i| i.file.as_str()).collect();
    for part in ["site.toml", "wells.shp", "wells.shx", "wells.dbf", "wells.prj"] {
        assert!(names.contains(&part), "{part} in {names:?}");
    }
}

#[test]
fn a_vector_file_with_readings_is_a_table_for_everything() {
    let folder = Folder::new();
    let expected = read(&folder.file("long.csv", &*LONG), &asked());
    let path = folder.at("gauging.gpkg");
    write(&path, GPKG, &LONG, &point);
    same(&read(&path, &asked()), &expected, 1e-9);
    // Its own CRS is the map's where nothing else is said.
    let bare = Overrides { crs: None, ..asked() };
    same(&read(&path, &bare), &expected, 1e-9);
    runs(&["check", "--quiet", "--unit", "m"], &[&path]);
    // Degrees are no map.
    let globe = folder.at("globe.fgb");
    write(&globe, As { driver: "FlatGeobuf", epsg: Some(4326), ..GPKG }, &LONG, &point);
    told(&refused(&globe, &bare), Code::SiteSetting).giving(&["--crs"]);
    same(&read(&globe, &asked()), &expected, 1e-6);
}

#[test]
fn a_folder_without_settings_may_have_its_register_in_a_vector_file() {
    let plain = Folder::new().with("reg.csv", &*REGISTER).with("lev.csv", LEVELS);
    let expected = read(plain.path(), &asked());
    let folder = Folder::new().with("lev.csv", LEVELS);
    write(&folder.at("reg.gpkg"), GPKG, &REGISTER, &point);
    let found = read(folder.path(), &Overrides { crs: None, ..asked() });
    same(&found, &expected, 1e-9);
    told(&found.1, Code::TablesTaken).giving(&["reg.gpkg", "lev.csv"]);
}

#[test]
fn coordinates_in_fields_do_not_count_and_are_named() {
    let table: String = REGISTER
        .lines()
        .enumerate()
        .map(|(i, l)| l.to_owned() + if i == 0 { ",East,North\n" } else { ",1.5,2.5\n" })
        .collect();
    let expected = read(site("").with("wells.csv", &*REGISTER).path(), &Overrides::default());
    let folder = site("");
    let height = |_: usize, x: f64, y: f64| format!("POINT Z ({x} {y} 99)");
    let how = As { kind: OGRwkbGeometryType::wkbPoint25D, ..GPKG };
    write(&folder.at("wells.gpkg"), how, &table, &height);
    let found = read(folder.path(), &Overrides::default());
    same(&found, &expected, 1e-9);
    told(&found.1, Code::LayerRead).giving(&["\"East\"", "\"North\""]).once();
}

#[test]
fn r119_a_well_is_one_point() {
    let of_kind = |kind, shape: &dyn Fn(usize, f64, f64) -> String| {
        let folder = site("");
        write(&folder.at("wells.gpkg"), As { kind, ..GPKG }, &REGISTER, shape);
        refused(folder.path(), &Overrides::default())
    };
    let line = |_: usize, x: f64, y: f64| format!("LINESTRING ({x} {y}, {} {y})", x + 5.0);
    let findings = of_kind(OGRwkbGeometryType::wkbLineString, &line);
    assert_eq!(of(Code::FeatureUnusable, &findings).iter().map(|d| d.count()).sum::<usize>(), 12);
    let several = |number: usize, x: f64, y: f64| match number {
        4 => format!("MULTIPOINT (({x} {y}), ({} {y}))", x + 5.0),
        _ => format!("MULTIPOINT (({x} {y}))"),
    };
    let findings = of_kind(OGRwkbGeometryType::wkbMultiPoint, &several);
    let one = told(&findings, Code::FeatureUnusable).giving(&["\"wells\""]).once();
    assert_eq!(one.origins[0].to_string(), "wells.gpkg, feature 5");
    let empty = |number: usize, x: f64, y: f64| match number {
        2 => "POINT EMPTY".to_owned(),
        _ => point(number, x, y),
    };
    let findings = of_kind(OGRwkbGeometryType::wkbPoint, &empty);
    assert_eq!(
        told(&findings, Code::FeatureUnusable).once().origins[0].to_string(),
        "wells.gpkg, feature 3"
    );
}

#[test]
fn messages_name_the_feature_and_the_field() {
    let folder = site("");
    let wrong = REGISTER.replacen("104.92", "a metre", 1);
    let row = wrong.lines().position(|l| l.contains("a metre")).expect("a row");
    write(&folder.at("wells.gpkg"), GPKG, &wrong, &point);
    let findings = refused(folder.path(), &Overrides::default());
    let bad = told(&findings, Code::NotANumber).once();
    let place = bad.origins[0].to_string();
    assert!(place.starts_with(&format!("wells.gpkg, feature {row}, column ")), "{place}");
    assert_eq!((bad.origins[0].line, bad.origins[0].feature), (None, Some(row as u64)));
}

#[test]
fn r101_a_layer_that_is_not_clear_is_asked_about() {
    let folder = site("");
    let driver = DriverManager::get_driver_by_name("GPKG").expect("a driver");
    let mut file = driver.create_vector_only(folder.at("wells.gpkg")).expect("a file");
    add(&mut file, GPKG, &REGISTER, &point);
    let moved = |number: usize, x: f64, y: f64| point(number, x + 1000.0, y);
    add(&mut file, As { layer: "old", ..GPKG }, &REGISTER, &moved);
    drop(file);
    let findings = refused(folder.path(), &Overrides::default());
    told(&findings, Code::FileUnreadable).giving(&["\"wells\"", "\"old\"", "--layer"]).once();
    let expected = read(site("").with("wells.csv", &*REGISTER).path(), &Overrides::default());
    let layer = |name: &str| Overrides { layer: Some(name.to_owned()), ..Overrides::default() };
    same(&read(folder.path(), &layer("wells")), &expected, 1e-9);
    told(&refused(folder.path(), &layer("new")), Code::FileUnreadable).giving(&["\"new\""]);
    folder.file("site.toml", format!("{TOML}[tables]\nlayer = \"wells\"\n"));
    same(&read(folder.path(), &Overrides::default()), &expected, 1e-9);
    // A view is a query, and is not run.
    let view = site("[tables]\nlayer = \"seen\"\n");
    let mut file = driver.create_vector_only(view.at("wells.gpkg")).expect("a file");
    add(&mut file, GPKG, &REGISTER, &point);
    for query in [
        "CREATE VIEW seen AS SELECT * FROM wells",
        "INSERT INTO gpkg_contents (table_name, data_type, identifier, srs_id) VALUES ('seen', \
         'features', 'seen', 32633)",
        "INSERT INTO gpkg_geometry_columns VALUES ('seen', 'geom', 'POINT', 32633, 0, 0)",
    ] {
        let _ = file.execute_sql(query, None, gdal::vector::sql::Dialect::DEFAULT);
    }
    drop(file);
    let findings = refused(view.path(), &Overrides::default());
    told(&findings, Code::FileUnreadable).giving(&["\"seen\""]).once();
}

#[test]
fn files_that_give_no_wells_are_refused() {
    let write_as = |how, table: &str| {
        let folder = site("");
        write(&folder.at("wells.gpkg"), how, table, &point);
        folder
    };
    // No CRS, unless it is declared.
    let folder = site("");
    let how = As { driver: "ESRI Shapefile", epsg: None, ..GPKG };
    write(&folder.at("wells.shp"), how, &REGISTER, &point);
    told(&refused(folder.path(), &Overrides::default()), Code::CrsUnknown).giving(&["wells.shp"]);
    let declared =
        TOML.replace("elevation_unit", "coordinates_crs = \"EPSG:32633\"\nelevation_unit");
    folder.file("site.toml", declared);
    assert_eq!(read(folder.path(), &Overrides::default()).0.len(), 12);
    // No features, no wells' names, no file, no vector file.
    let headings = REGISTER.lines().next().expect("headings");
    let folder = write_as(GPKG, &format!("{headings}\n"));
    told(&refused(folder.path(), &Overrides::default()), Code::TableEmpty).giving(&["\"wells\""]);
    let folder = write_as(GPKG, &REGISTER.replacen("Well,", "colour,", 1));
    let findings = refused(folder.path(), &Overrides::default());
    let missing = told(&findings, Code::ColumnMissing).giving(&["id"]).once();
    assert_eq!(missing.origins[0].to_string(), "wells.gpkg");
    let folder = site("[tables]\nregister = \"maps/none.gpkg\"\n");
    let findings = refused(folder.path(), &Overrides::default());
    told(&findings, Code::FileUnreadable).at("site.toml", 7).giving(&["none.gpkg"]);
    let folder = site("").with("wells.gpkg", "id,easting,northing\nA,1,2\n");
    told(&refused(folder.path(), &Overrides::default()), Code::FileUnreadable);
    // A register beside the one that is named would be passed over.
    let folder = site("[tables]\nregister = \"site.gpkg\"\n").with("wells.csv", &*REGISTER);
    write(&folder.at("site.gpkg"), GPKG, &REGISTER, &point);
    let (_, findings) = read(folder.path(), &Overrides::default());
    let passed_over = told(&findings, Code::FileNotRead).once();
    gives(passed_over, &["wells.csv", "site.gpkg"]);
}

/// Points are in the unit of their CRS, whatever unit eastings of tables are declared to have.
#[test]
fn a_declared_length_unit_is_not_that_of_points() {
    let expected = read(site("").with("wells.csv", &*REGISTER).path(), &Overrides::default());
    let folder = site("");
    write(&folder.at("wells.gpkg"), GPKG, &REGISTER, &point);
    folder
        .file("site.toml", TOML.replace("elevation_unit", "length_unit = \"ft\"\nelevation_unit"));
    let found = read(folder.path(), &Overrides::default());
    same(&found, &expected, 1e-6);
    assert!(of(Code::LengthConverted, &found.1).is_empty());
}

#[test]
fn r101_what_is_no_character_is_refused_with_its_feature() {
    let folder = site("");
    write(&folder.at("wells.gpkg"), GPKG, &REGISTER.replace("MW-02", "MW-\u{ffff}"), &point);
    let findings = refused(folder.path(), &Overrides::default());
    let found = told(&findings, Code::FileUnreadable).giving(&["U+FFFF"]).once();
    assert_eq!(found.origins[0].to_string(), "wells.gpkg, feature 2");
}

/// Times with a date and an offset, from a field of dates and times.
#[test]
fn fields_of_dates_and_times_are_read() {
    let folder = Folder::new();
    let path = folder.at("t.gpkg");
    let driver = DriverManager::get_driver_by_name("GPKG").expect("a driver");
    let mut file = driver.create_vector_only(&path).expect("a file");
    let crs = system(32633);
    let options = LayerOptions {
        name: "wells",
        srs: Some(&crs),
        ty: OGRwkbGeometryType::wkbPoint,
        ..LayerOptions::default()
    };
    let layer = file.create_layer(options).expect("a layer");
    for (name, kind) in [
        ("id", OGRFieldType::OFTString),
        ("elevation", OGRFieldType::OFTReal),
        ("date", OGRFieldType::OFTDate),
    ] {
        FieldDefn::new(name, kind).expect("a field").add_to_layer(&layer).expect("added");
    }
    for (i, (x, y)) in [(0.0, 0.0), (100.0, 0.0), (0.0, 100.0), (120.0, 130.0)].iter().enumerate() {
        let mut feature = Feature::new(layer.defn()).expect("a feature");
        let place = format!("POINT ({} {})", 500_000.0 + x, 5_000_000.0 + y);
        feature.set_geometry(Geometry::from_wkt(&place).expect("WKT")).expect("a geometry");
        feature.set_field_string(0, &format!("W{i}")).expect("a name");
        feature.set_field_double(1, 10.0 + 0.01 * x).expect("a head");
        feature.set_field_string(2, "2026/04/14").expect("a day");
        feature.create(&layer).expect("written");
    }
    drop(file);
    let read = headfall::read::site_and_round(&path, &asked()).expect("read").value;
    let days: Vec<String> =
        read.1.readings.iter().map(|r| r.moment.expect("a day").to_string()).collect();
    assert_eq!(days, ["2026-04-14"; 4]);
}
