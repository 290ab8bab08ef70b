//! Every format that the bundled drivers open, written by GDAL and read back; CRS; refusals.

use std::fmt::Write as _;
use std::path::Path;

use gdal::DriverManager;
use gdal::spatial_ref::{AxisMappingStrategy, SpatialRef};
use gdal::vector::{
    Feature, FieldDefn, Geometry, LayerAccess, LayerOptions, OGRFieldType, OGRwkbGeometryType,
};
use geo::{Coord, CoordsIter};
use headfall::diag::{Code, Diagnostic};
use headfall::geom::Crs;
use headfall::read::{Overrides, Site};

use super::{EAST, NORTH, map_with, read, ring, site, wkt};
use crate::support::{Folder, gives, near, of, text};

pub(super) const WELLS: [(f64, f64, f64); 5] = [
    (0.0, 0.0, 10.0),
    (100.0, 5.0, 10.3),
    (7.0, 110.0, 10.6),
    (120.0, 130.0, 10.9),
    (60.0, 55.0, 10.5),
];

const AREA: [(f64, f64); 5] =
    [(-20.25, -30.5), (150.5, -10.0), (160.0, 150.75), (10.0, 170.0), (-20.25, -30.5)];

/// One feature to be written.
pub(crate) struct Drawn<'a> {
    pub(crate) wkt: &'a str,
    pub(crate) name: &'a str,
    pub(crate) stage: f64,
}

/// Writes a layer with the fields `name` and `stage` as a GIS would.
pub(crate) fn write(driver: &str, path: &Path, epsg: Option<u32>, layer: &str, drawn: &[Drawn]) {
    let driver = DriverManager::get_driver_by_name(driver).expect("a bundled driver");
    let mut file = driver.create_vector_only(path).expect("a file");
    let crs = epsg.map(|code| {
        let mut crs = SpatialRef::from_epsg(code).expect("a CRS");
        crs.set_axis_mapping_strategy(AxisMappingStrategy::TraditionalGisOrder);
        crs
    });
    let geometry = |d: &Drawn| Geometry::from_wkt(d.wkt).expect("WKT");
    let layer = file
        .create_layer(LayerOptions {
            name: layer,
            srs: crs.as_ref(),
            ty: drawn
                .first()
                .map_or(OGRwkbGeometryType::wkbUnknown, |d| geometry(d).geometry_type()),
            ..LayerOptions::default()
        })
        .expect("a layer");
    for (name, kind) in [("name", OGRFieldType::OFTString), ("stage", OGRFieldType::OFTReal)] {
        FieldDefn::new(name, kind).expect("a field").add_to_layer(&layer).expect("added");
    }
    for d in drawn {
        let mut feature = Feature::new(layer.defn()).expect("a feature");
        feature.set_geometry(geometry(d)).expect("a geometry");
        feature.set_field_string(0, d.name).expect("a name");
        feature.set_field_double(1, d.stage).expect("a stage");
        feature.create(&layer).expect("written");
    }
}

fn with(features: &str) -> Folder {
    site(&WELLS, &format!("[features]\nstream_spacing = 60\nstream_reach = 900\n{features}"))
}

pub(super) fn area() -> String {
    format!("POLYGON (({}))", ring(&AREA))
}

/// The boundary's one outline from [`EAST`], [`NORTH`].
#[track_caller]
fn holds_the_area(site: &Site, within: f64) {
    assert_eq!(site.features.boundary.len(), 1);
    let mut found: Vec<Coord> = site.features.boundary[0].exterior().0.clone();
    // Formats differ in sense of rotation and in where an outline begins.
    found.pop();
    assert_eq!(found.len(), AREA.len() - 1);
    for (x, y) in &AREA[1..] {
        let nearest = found
            .iter()
            .map(|p| libm::hypot(p.x - EAST - x, p.y - NORTH - y))
            .fold(f64::INFINITY, f64::min);
        assert!(nearest <= within, "({x}, {y}) is missed by {nearest} m");
    }
}

/// Every file below a folder.
fn names_below(folder: &Path) -> Vec<std::path::PathBuf> {
    let mut names = Vec::new();
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            names.extend(names_below(&path));
        }
        names.push(path);
    }
    names.sort();
    names
}

#[test]
fn every_bundled_format_is_read_back_with_its_crs_and_its_fields() {
    // TAB and geodatabase keep coordinates on a lattice of their own.
    for (driver, file, within) in [
        ("ESRI Shapefile", "area.shp", 1e-9),
        ("GPKG", "area.gpkg", 1e-9),
        ("FlatGeobuf", "area.fgb", 1e-9),
        ("OpenFileGDB", "area.gdb", 1e-3),
        ("MapInfo File", "area.tab", 1e-2),
    ] {
        let folder = with(&format!("boundary = \"{file}\""));
        let drawn = [Drawn { wkt: &area(), name: "Yard", stage: 0.0 }];
        write(driver, &folder.path().join(file), Some(26915), "area", &drawn);
        let before = names_below(folder.path());
        let (site, findings) = read(&folder).unwrap_or_else(|e| panic!("{driver}: {e:#?}"));
        assert!(findings.is_empty(), "{driver}: {findings:?}");
        assert_eq!(names_below(folder.path()), before, "{driver}: reading leaves no files");
        holds_the_area(&site, within);
        let recorded = site.inputs.iter().filter(|i| i.file.starts_with("area.")).count();
        let expected = match driver {
            "ESRI Shapefile" | "MapInfo File" => 4,
            "OpenFileGDB" => 8,
            _ => 1,
        };
        assert!(recorded >= expected, "{driver}: {:?}", site.inputs);
        assert!(site.inputs.iter().all(|i| i.sha256.len() == 64));

        // Lines with heights and fields.
        let course = format!(
            "LINESTRING Z ({} {} 9.5, {} {} 9.25)",
            EAST,
            NORTH,
            EAST + 100.0,
            NORTH + 30.0
        );
        let creek = file.replace("area", "creek");
        let folder = with(&format!("streams = {{ file = \"{creek}\", name = \"name\" }}"));
        let drawn = [Drawn { wkt: &course, name: "Mill Creek", stage: 9.0 }];
        write(driver, &folder.path().join(&creek), Some(26915), "creek", &drawn);
        if driver == "MapInfo File" {
            // The format has no heights: the stage comes from a field.
            let refused = read(&folder).expect_err("no heights");
            assert_eq!(of(Code::FeatureUnusable, &refused).len(), 1);
        } else {
            let (site, _) = read(&folder).unwrap_or_else(|e| panic!("{driver}: {e:#?}"));
            assert_eq!(site.features.streams[0].name, "Mill Creek", "{driver}");
            near(site.features.streams[0].stages[1], 9.25, 1e-3);
        }
        folder.change("site.toml", |toml| toml.replace("name = \"name\"", "stage = \"stage\""));
        let (site, _) = read(&folder).unwrap_or_else(|e| panic!("{driver}: {e:#?}"));
        assert_eq!(site.features.streams[0].stages, [9.0, 9.0], "{driver}");
    }
}

#[test]
fn geojson_is_in_longitude_and_latitude() {
    let crs = Crs::lookup("EPSG:26915").expect("known");
    let mut corners: Vec<Coord> =
        AREA.iter().map(|(x, y)| Coord { x: EAST + x, y: NORTH + y }).collect();
    crs.to_lon_lat(&mut corners).expect("inside");
    let words: Vec<String> = corners.iter().map(|p| format!("[{:.10},{:.10}]", p.x, p.y)).collect();
    let geometry = format!(r#"{{"type":"Polygon","coordinates":[[{}]]}}"#, words.join(","));
    let folder = with("boundary = \"area.geojson\"");
    for text in [
        format!(r#"{{"type":"Feature","properties":{{}},"geometry":{geometry}}}"#),
        format!(
            r#"{{"type":"FeatureCollection","features":[
                {{"type":"Feature","properties":null,"geometry":{geometry}}}]}}"#
        ),
        geometry.clone(),
    ] {
        folder.file("area.geojson", text);
        let (site, _) = read(&folder).unwrap_or_else(|e| panic!("{e:#?}"));
        holds_the_area(&site, 1e-4);
    }
}

#[test]
fn a_drawing_is_read_by_its_layers_and_needs_a_crs() {
    let outline: String = AREA[..4]
        .iter()
        .fold(String::new(), |all, (x, y)| all + &format!("10\n{}\n20\n{}\n", EAST + x, NORTH + y));
    let text = format!(
        "0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\nLIMIT\n90\n4\n70\n1\n{outline}\
         0\nLINE\n8\nTREES\n10\n1.0\n20\n2.0\n11\n3.0\n21\n4.0\n0\nENDSEC\n0\nEOF\n"
    );
    let folder =
        with("boundary = { file = \"plan.dxf\", layer = \"LIMIT\", crs = \"EPSG:26915\" }");
    folder.file("plan.dxf", &text);
    let (site, _) = read(&folder).unwrap_or_else(|e| panic!("{e:#?}"));
    holds_the_area(&site, 1e-9);

    let folder = with("boundary = { file = \"plan.dxf\", layer = \"LIMIT\" }");
    folder.file("plan.dxf", &text);
    let refused = read(&folder).expect_err("no CRS");
    let told = of(Code::CrsUnknown, &refused)[0];
    gives(told, &["plan.dxf", "crs = \"EPSG:...\""]);

    let folder =
        with("boundary = { file = \"plan.dxf\", layer = \"FENCE\", crs = \"EPSG:26915\" }");
    folder.file("plan.dxf", &text);
    let refused = read(&folder).expect_err("no such layer");
    let told = of(Code::FeatureUnusable, &refused)[0];
    gives(told, &["\"FENCE\"", "\"LIMIT\", \"TREES\""]);
}

#[test]
fn the_layer_of_a_file_with_several_is_named() {
    let folder = with("boundary = { file = \"all.gpkg\", layer = \"limit\" }");
    let path = folder.path().join("all.gpkg");
    let drawn = [Drawn { wkt: &area(), name: "Yard", stage: 0.0 }];
    write("GPKG", &path, Some(26915), "limit", &drawn);
    // A second layer beside it, as a project file of a GIS has.
    let mut file = gdal::Dataset::open_ex(
        &path,
        gdal::DatasetOptions {
            open_flags: gdal::GdalOpenFlags::GDAL_OF_UPDATE | gdal::GdalOpenFlags::GDAL_OF_VECTOR,
            ..gdal::DatasetOptions::default()
        },
    )
    .expect("it opens");
    let crs = SpatialRef::from_epsg(26915).expect("a CRS");
    let layer = file
        .create_layer(LayerOptions { name: "roads", srs: Some(&crs), ..LayerOptions::default() })
        .expect("a layer");
    let mut feature = Feature::new(layer.defn()).expect("a feature");
    feature.set_geometry(Geometry::from_wkt("POINT (1 2)").expect("WKT")).expect("set");
    feature.create(&layer).expect("written");
    drop(feature);
    drop(file);
    let (site, _) = read(&folder).unwrap_or_else(|e| panic!("{e:#?}"));
    holds_the_area(&site, 1e-9);
    folder.change("site.toml", |toml| toml.replace(", layer = \"limit\"", ""));
    let refused = read(&folder).expect_err("which?");
    let told = of(Code::FeatureUnusable, &refused)[0];
    gives(told, &["2 layers"]);
    gives(told, &["\"limit\", \"roads\""]);
}

#[test]
fn positions_are_those_of_the_guidance_note() {
    // IOGP/EPSG Guidance Note 7-2: British National Grid 577274.99, 69740.50 of 0.5 E, 50.5 N
    // (0.011 m against the printed pair: the note rounds its intermediates); Texas South Central
    // 2963503.91, 254759.80 US survey feet of 96 W, 28.5 N.
    for (project, layer, lon, lat, east, north, within) in [
        ("EPSG:27700", "EPSG:4277", 0.5, 50.5, 577_274.99, 69_740.50, 0.011),
        ("EPSG:32040", "EPSG:4267", -96.0, 28.5, 2_963_503.91, 254_759.80, 0.006),
    ] {
        let folder = with(&format!("receptors = {{ file = \"spring.csv\", crs = \"{layer}\" }}"));
        folder.file("spring.csv", wkt(&[&format!("POINT ({lon} {lat})")]));
        folder.change("site.toml", |toml| toml.replace("EPSG:26915", project));
        let (site, _) = read(&folder).unwrap_or_else(|e| panic!("{e:#?}"));
        let p = site.features.receptors[0].geometry.coords_iter().next().expect("a point");
        near(p.x, east, within);
        near(p.y, north, within);
    }
}

#[test]
fn a_shapefile_in_another_crs_is_moved_into_the_projects() {
    let (project, other) = (Crs::lookup("EPSG:26915"), Crs::lookup("EPSG:3857"));
    let (project, other) = (project.expect("known"), other.expect("known"));
    let mut corners: Vec<Coord> =
        AREA.iter().map(|(x, y)| Coord { x: EAST + x, y: NORTH + y }).collect();
    other.convert_from(&project, &mut corners).expect("inside");
    let words: Vec<String> = corners.iter().map(|p| format!("{} {}", p.x, p.y)).collect();
    let folder = with("boundary = \"area.shp\"");
    let drawn =
        [Drawn { wkt: &format!("POLYGON (({}))", words.join(",")), name: "Yard", stage: 0.0 }];
    write("ESRI Shapefile", &folder.path().join("area.shp"), Some(3857), "area", &drawn);
    let (site, _) = read(&folder).unwrap_or_else(|e| panic!("{e:#?}"));
    holds_the_area(&site, 1e-4);
}

#[test]
fn sources_and_receptors_stand_in_the_settings_too() {
    let folder = with("");
    let toml = text(folder.path().join("site.toml"));
    let toml = toml.replace("crs = ", "length_unit = \"ft\"\ncrs = ")
        + "\n[[receptors]]\nwell = \"W3\"\n\
           [[receptors]]\nname = \"House well\"\neasting = 1000.0\nnorthing = 2000.0\n\
           [[sources]]\nname = \"Line\"\nline = [[0.0, 0.0], [10.0, 20.0]]\n";
    folder.file("site.toml", toml);
    let (site, _) = read(&folder).unwrap_or_else(|e| panic!("{e:#?}"));
    let at =
        |place: &headfall::read::Place| -> Vec<Coord> { place.geometry.coords_iter().collect() };
    let [well, house] = &site.features.receptors[..] else { panic!("two receptors") };
    assert_eq!((well.name.as_str(), house.name.as_str()), ("W3", "House well"));
    // Positions are in international feet, as the register's: 0.3048 m exactly.
    near(at(well)[0].x, (EAST + 120.0) * 0.3048, 1e-6);
    near(at(house)[0].y, 609.6, 1e-9);
    near(at(&site.features.sources[0])[1].y, 6.096, 1e-9);

    folder.file(
        "site.toml",
        text(folder.path().join("site.toml"))
            + "[[receptors]]\nwell = \"W9\"\n[[sources]]\nname = \"x\"\neasting = 1.0\n\
               [[sources]]\neasting = 1.0\nnorthing = 2.0\n",
    );
    let refused = read(&folder).expect_err("three mistakes");
    assert_eq!(refused.iter().filter(|d| d.is_refusal()).count(), 3, "{refused:#?}");
    assert!(refused.iter().any(|d| d.message.contains("\"W9\"")), "{refused:#?}");
}

#[test]
fn a_single_table_takes_the_features_of_the_settings_beside_it() {
    let folder = Folder::new();
    folder.file(
        "site.toml",
        "[features]\nboundary = { file = \"maps/area.csv\", crs = \"EPSG:26915\" }\n",
    );
    folder.file("maps/area.csv", wkt(&[&area()]));
    let mut table = "id,easting,northing,water level elevation (m),date\n".to_owned();
    for (i, (x, y, h)) in WELLS.iter().enumerate() {
        let _ = writeln!(table, "W{i},{},{},{h},2026-04-14", EAST + x, NORTH + y);
    }
    let table = folder.file("round.csv", table);
    let overrides = Overrides { crs: Some("EPSG:26915".to_owned()), ..Overrides::default() };
    let site = headfall::read::site(&table, &overrides).expect("a site").value;
    holds_the_area(&site, 1e-9);
    assert!(site.inputs.iter().any(|i| i.file == "maps/area.csv"));
}

#[test]
fn a_file_outside_the_site_folder_is_recorded_by_its_name_alone() {
    let outside = Folder::new();
    let path = outside.file("secret/area.csv", wkt(&[&area()]));
    let folder =
        with(&format!("boundary = {{ file = \"{}\", crs = \"EPSG:26915\" }}", path.display()));
    let (site, _) = read(&folder).unwrap_or_else(|e| panic!("{e:#?}"));
    holds_the_area(&site, 1e-9);
    assert!(site.inputs.iter().any(|i| i.file == "area.csv"), "{:?}", site.inputs);
    assert!(site.inputs.iter().all(|i| !i.file.contains("secret")));
    let bytes = std::fs::read(&path).expect("bytes");
    let hash = sha2::Digest::finalize(<sha2::Sha256 as sha2::Digest>::new_with_prefix(&bytes));
    let hash = hash.iter().fold(String::new(), |all, b| all + &format!("{b:02x}"));
    assert!(site.inputs.iter().any(|i| i.file == "area.csv" && i.sha256 == hash));
    let plain = outside.file("abc.csv", "abc");
    folder.file(
        "site.toml",
        text(folder.path().join("site.toml"))
            .replace(&*path.to_string_lossy(), &plain.to_string_lossy()),
    );
    let refused = read(&folder).expect_err("no features");
    assert!(
        refused.iter().all(|d| !d.message.contains('/')),
        "no path of this machine: {refused:?}"
    );
}

/// A boundary, barrier, stream or receptor in a CSV file, and what is said of it.
#[track_caller]
fn refused(role: &str, geometry: &str, facts: &[&str]) {
    let folder = with(&format!("{role} = {{ file = \"bad.csv\", crs = \"EPSG:26915\" }}"));
    folder.file("bad.csv", wkt(&[geometry]));
    let refused = read(&folder).expect_err(geometry);
    let told = of(Code::FeatureUnusable, &refused);
    assert_eq!(told.len(), 1, "{refused:#?}");
    gives(told[0], &["bad.csv"]);
    gives(told[0], facts);
    assert!(told[0].is_refusal() && told[0].advice.is_some());
    assert!(told[0].origins.iter().any(|o| &*o.file == "site.toml" && o.line.is_some()));
}

#[test]
fn what_does_not_fit_its_role_is_refused_with_file_layer_and_feature() {
    let line = format!("LINESTRING ({})", ring(&AREA[..3]));
    refused("boundary", "POINT (1 2)", &["feature 1 of layer \"bad\""]);
    refused("boundary", &line, &[]);
    let bow = [(0.0, 0.0), (100.0, 100.0), (100.0, 0.0), (0.0, 100.0), (0.0, 0.0)];
    refused("boundary", &format!("POLYGON (({}))", ring(&bow)), &["self-intersection"]);
    refused("boundary", "POLYGON ((1 2, 3 4, 1 2))", &[]);
    refused("boundary", "POLYGON EMPTY", &[]);
    refused("boundary", "no geometry at all", &[]);
    refused("boundary", "POLYGON ((0 0, nan 1, 1 1, 0 0))", &["feature 1"]);
    refused("barriers", "POINT (1 2)", &[]);
    refused("barriers", "LINESTRING (1 2, 1 2)", &[]);
    refused("barriers", "CIRCULARSTRING (0 0, 1 1, 2 0)", &[]);
    refused("streams", &area(), &[]);
    refused("streams", &line, &[]);
    refused("streams", "LINESTRING Z (1 2 0, 3 4 0)", &["stage 0 at every vertex"]);
    refused(
        "receptors",
        "GEOMETRYCOLLECTION (POINT (1 2), LINESTRING (1 2, 3 4))",
        &["feature 1 of layer \"bad\""],
    );
    refused("sources", "POINT (1e400 2)", &["feature 1"]);
}

#[test]
fn stages_that_cannot_be_read_are_refused_by_feature() {
    let line = format!("LINESTRING ({})", ring(&AREA[..3]));
    let two = format!("MULTILINESTRING (({}), ({}))", ring(&AREA[..2]), ring(&AREA[2..]));
    let folder = with(
        "streams = { file = \"c.csv\", crs = \"EPSG:26915\", stage_start = \"a\", stage_end = \"b\" }",
    );
    folder.file(
        "c.csv",
        format!("WKT,a,b\n\"{line}\",1.5,\n\"{line}\",high,2\n\"{two}\",2,1\n\"{line}\",2,1\n"),
    );
    let refused = read(&folder).expect_err("three bad features");
    let told = of(Code::FeatureUnusable, &refused);
    assert_eq!(told.len(), 3, "{told:?}");
    for (told, facts) in told.iter().zip([
        ["feature 1", "c.csv"],
        ["feature 2", "\"high\""],
        ["feature 3", "2 parts"],
    ]) {
        gives(told, &facts);
    }

    let folder = with("streams = { file = \"c.csv\", crs = \"EPSG:26915\", stage = \"level\" }");
    folder.file("c.csv", format!("WKT,a,b\n\"{line}\",1.5,2\n"));
    let refused = read(&folder).expect_err("no field");
    gives(&refused[0], &["\"level\""]);
    gives(&refused[0], &["\"a\", \"b\""]);

    let folder = with(
        "stream_spacing = 0.001\nstreams = { file = \"c.csv\", crs = \"EPSG:26915\", stage = 5.5 }",
    );
    folder.file("c.csv", format!("WKT,a\n\"{line}\",1\n"));
    folder.change("site.toml", |toml| toml.replace("stream_spacing = 60\n", ""));
    let refused = read(&folder).expect_err("too many");
    gives(&refused[0], &["20000"]);
}

#[test]
fn files_that_are_broken_missing_or_empty_are_refused() {
    let said = |features: &str, files: &[(&str, &[u8])]| -> Vec<Diagnostic> {
        let folder = with(features);
        for (name, bytes) in files {
            folder.file(name, bytes);
        }
        read(&folder).expect_err(features)
    };
    let missing = said("barriers = \"walls.shp\"", &[]);
    gives(of(Code::FileUnreadable, &missing)[0], &["walls.shp", "[features]"]);

    for (file, bytes) in [
        ("x.shp", &b"not a shapefile"[..]),
        ("x.gpkg", b"SQLite format 3\0 and then nothing"),
        ("x.geojson", b"{\"type\":\"FeatureCollection\",\"features\":["),
        ("x.fgb", b"fgb\x03fgb\0"),
        ("x.tab", b"!table\n!version 300\n"),
        ("x.txt", b"just words"),
        // A virtual file would name others; it is none of the formats.
        ("x.vrt", b"<OGRVRTDataSource><OGRVRTLayer name=\"a\"><SrcDataSource>/etc/hosts</SrcDataSource></OGRVRTLayer></OGRVRTDataSource>"),
    ] {
        let refused = said(&format!("boundary = \"{file}\""), &[(file, bytes)]);
        assert_eq!(refused[0].code, Code::FeatureUnusable, "{file}: {refused:?}");
        assert!(refused[0].message.starts_with(file), "{file}: {refused:?}");
        assert!(!refused[0].message.contains("/tmp"), "{}", refused[0].message);
    }

    let empty =
        said("boundary = { file = \"x.csv\", crs = \"EPSG:26915\" }", &[("x.csv", b"WKT,name\n")]);
    let table =
        said("boundary = { file = \"x.csv\", crs = \"EPSG:26915\" }", &[("x.csv", b"a,b\n1,2\n")]);
    for refused in [empty, table] {
        assert_eq!(of(Code::FeatureUnusable, &refused).len(), 1, "{refused:?}");
    }
    let crs = said(
        "boundary = { file = \"x.csv\", crs = \"EPSG:5703\" }",
        &[("x.csv", wkt(&[&area()]).as_bytes())],
    );
    assert_eq!(crs[0].code, Code::CrsUnknown, "{crs:?}");
}

#[test]
fn a_shapefile_cut_short_loses_no_feature_in_silence() {
    let folder = with("barriers = \"walls.shp\"");
    let course = format!("LINESTRING ({})", ring(&AREA[..4]));
    let drawn: Vec<Drawn> =
        (0..5).map(|_| Drawn { wkt: &course, name: "wall", stage: 0.0 }).collect();
    let path = folder.path().join("walls.shp");
    write("ESRI Shapefile", &path, Some(26915), "walls", &drawn);
    let bytes = std::fs::read(&path).expect("bytes");
    std::fs::write(&path, &bytes[..bytes.len() - 150]).expect("cut short");
    let refused = read(&folder).expect_err("broken");
    assert_eq!(refused[0].code, Code::FeatureUnusable, "{refused:?}");
    assert!(refused.iter().any(|d| d.message.contains("damaged") || d.message.contains("feature")));
}

#[test]
fn many_bad_features_are_told_and_counted() {
    let folder = with("barriers = { file = \"x.csv\", crs = \"EPSG:26915\" }");
    folder.file("x.csv", wkt(&vec!["POINT (1 2)"; 50]));
    let refused = read(&folder).expect_err("all bad");
    assert_eq!(refused.len(), 21);
    assert_eq!((refused[20].more, &*refused[20].message), (30, "and 30 more of this kind"));
}

#[test]
fn columns_that_hold_nothing_do_not_take_the_memory() {
    let folder = with("barriers = { file = \"x.csv\", crs = \"EPSG:26915\" }");
    let columns = ",c".repeat(1500);
    let row = format!("\"LINESTRING (0 0, 1 1)\"{}\n", ",".repeat(1500));
    folder.file("x.csv", format!("WKT{columns}\n{}", row.repeat(7000)));
    let refused = read(&folder).expect_err("too many cells");
    gives(of(Code::FeatureUnusable, &refused)[0], &["x.csv", "1000000", "10000000"]);
}

#[test]
fn keys_that_make_no_sense_are_refused_with_their_line() {
    for features in [
        "boundary = 5",
        "boundary = { fill = \"x\" }",
        "boundary = { file = \"x\", stage = 5.0 }",
        "boundary = \"\"",
        "streams = { file = \"x\", stage_start = 5.0 }",
        "streams = { file = \"x\", stage = nan }",
        "fences = \"x\"",
    ] {
        let refused = read(&with(features)).expect_err(features);
        let refused = of(Code::SiteSetting, &refused);
        assert!(refused[0].is_refusal(), "{features}: {refused:?}");
        assert!(refused[0].origins[0].line.is_some_and(|l| l > 5), "{features}");
    }
    let folder = with("");
    folder.change("site.toml", |toml| toml.replace("stream_reach = 900", "stream_reach = -1.0"));
    let refused = read(&folder).expect_err("below zero");
    assert!(
        refused[0].message.contains("stream_reach = -1 is not a number from 0.001 to 100000000")
    );
}

#[test]
fn a_feature_on_another_continent_is_told() {
    let folder = with("receptors = { file = \"r.csv\", crs = \"EPSG:4326\" }");
    folder.file("r.csv", wkt(&["POINT (-93.2 60.0)", "POINT (-93.2 45.0)"]));
    let (map, findings) = map_with(&folder, |_| ());
    assert!(map.is_ok());
    let told = of(Code::FeatureFar, &findings);
    assert_eq!(told.len(), 1);
    gives(told[0], &["16"]);
}

#[test]
fn files_with_any_bytes_changed_or_cut_are_read_or_refused_in_words() {
    // A seeded sequence: Knuth's MMIX multiplier and increment.
    let mut state = 20_260_414_u64;
    let mut next = |below: usize| {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(state >> 33).expect("31 bits") % below
    };
    let course = format!("LINESTRING ({})", ring(&AREA[..4]));
    let drawn: Vec<Drawn> =
        (0..3).map(|_| Drawn { wkt: &course, name: "wall", stage: 1.5 }).collect();
    let (mut sound, mut refused) = (0, 0);
    for (driver, file, within) in [
        ("ESRI Shapefile", "x.shp", "x.shp"),
        ("ESRI Shapefile", "x.shp", "x.shx"),
        ("ESRI Shapefile", "x.shp", "x.dbf"),
        ("GPKG", "x.gpkg", "x.gpkg"),
        ("FlatGeobuf", "x.fgb", "x.fgb"),
        ("OpenFileGDB", "x.gdb", "x.gdb/a00000009.gdbtable"),
        ("MapInfo File", "x.tab", "x.map"),
        ("GeoJSON", "x.geojson", "x.geojson"),
    ] {
        let folder = with(&format!("barriers = \"{file}\""));
        // Positions in degrees for GeoJSON are not meant: it is the bytes that count.
        write(driver, &folder.path().join(file), Some(26915), "x", &drawn);
        let path = folder.path().join(within);
        let whole = std::fs::read(&path).unwrap_or_else(|e| panic!("{within}: {e}"));
        for round in 0..40 {
            let mut bytes = whole.clone();
            if round % 4 == 0 {
                bytes.truncate(next(whole.len()));
            } else {
                for _ in 0..=next(6) {
                    let at = next(bytes.len().min(if round % 2 == 0 { 400 } else { usize::MAX }));
                    bytes[at] = u8::try_from(next(256)).expect("a byte");
                }
            }
            std::fs::write(&path, bytes).expect("written");
            match read(&folder) {
                Ok((site, _)) => {
                    let lines = site.features.barriers.iter().flat_map(|b| &b.line.0);
                    assert!(lines.into_iter().all(|p| p.x.is_finite() && p.y.is_finite()));
                    sound += 1;
                }
                Err(told) => {
                    assert!(told.iter().any(Diagnostic::is_refusal), "{told:?}");
                    refused += 1;
                }
            }
        }
    }
    assert!(sound > 20 && refused > 100, "{sound} read, {refused} refused");
}
