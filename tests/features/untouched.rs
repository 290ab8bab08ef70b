//! Files of features and rasters with all that belongs to them: nothing of them is changed, every
//! byte that counts is on record, and what is no file is not opened. All sites are invented.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use gdal::DriverManager;
use gdal::raster::Buffer;
use gdal::spatial_ref::SpatialRef;
use headfall::diag::Code;
use headfall::read;

use super::files::{Drawn, WELLS, area, write};
use super::{EAST, NORTH, site, wkt};
use crate::inputs::{fifo, has_an_end};
use crate::support::{Folder, ends, gives, of, text};

/// A site with a boundary, and a raster of the ground.
fn with(boundary: &str, raster: &str) -> Folder {
    site(
        &WELLS,
        &format!(
            "[features]\nboundary = {{ file = \"{boundary}\", crs = \"EPSG:26915\" }}\n\
             [ground]\nraster = \"{raster}\"\nunit = \"m\"\n[[sources]]\nwell = \"W3\"\n"
        ),
    )
}

/// A yard around the wells, in any format.
fn boundary(folder: &Folder, driver: &str, file: &str) {
    let path = folder.path().join(file);
    match driver {
        "CSV" => drop(folder.file(file, wkt(&[&area()]))),
        "DXF" => drop(folder.file(
            file,
            format!(
                "0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\nLIMIT\n90\n4\n70\n1\n{}0\nENDSEC\n0\nEOF\n",
                [(-50.0, -50.0), (300.0, -50.0), (300.0, 300.0), (-50.0, 300.0)]
                    .map(|(x, y)| format!("10\n{}\n20\n{}\n", EAST + x, NORTH + y))
                    .concat()
            ),
        )),
        _ => {
            let drawn = [Drawn { wkt: &area(), name: "Yard", stage: 0.0 }];
            write(driver, &path, Some(26915), "yard", &drawn);
        }
    }
}

/// Level ground at 20 m over the wells, in any format.
fn ground(folder: &Folder, driver: &str, file: &str) {
    const SIDE: usize = 40;
    let path = folder.path().join(file);
    if driver == "AAIGrid" {
        let head = format!(
            "ncols {SIDE}\nnrows {SIDE}\nxllcorner {}\nyllcorner {}\ncellsize 10\n",
            EAST - 100.0,
            NORTH - 100.0
        );
        folder.file(file, head + &"20 ".repeat(SIDE * SIDE));
        let crs = SpatialRef::from_epsg(26915).expect("a CRS").to_wkt().expect("WKT");
        std::fs::write(path.with_extension("prj"), crs).expect("a CRS");
        return;
    }
    let driver = DriverManager::get_driver_by_name(driver).expect("a bundled driver");
    let mut data = driver.create_with_band_type::<f32, _>(&path, SIDE, SIDE, 1).expect("a raster");
    data.set_geo_transform(&[EAST - 100.0, 10.0, 0.0, NORTH + 300.0, 0.0, -10.0]).expect("a frame");
    data.set_spatial_ref(&SpatialRef::from_epsg(26915).expect("a CRS")).expect("a CRS");
    let mut level = Buffer::new((SIDE, SIDE), vec![20.0_f32; SIDE * SIDE]);
    let mut band = data.rasterband(1).expect("a band");
    band.write((0, 0), (SIDE, SIDE), &mut level).expect("written");
}

/// Every file below a folder with its bytes, and every folder.
fn everything(folder: &Path) -> BTreeMap<PathBuf, Option<Vec<u8>>> {
    let mut all = BTreeMap::new();
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            all.extend(everything(&path));
            all.insert(path, None);
        } else {
            let bytes = std::fs::read(&path).expect("bytes");
            all.insert(path, Some(bytes));
        }
    }
    all
}

#[test]
fn no_command_changes_a_byte_of_any_format_or_leaves_a_file() {
    let rasters = [("GTiff", "land.tif"), ("AAIGrid", "land.asc"), ("HFA", "land.img")];
    for (i, (driver, file)) in [
        ("GeoJSON", "yard.geojson"),
        ("ESRI Shapefile", "yard.shp"),
        ("GPKG", "yard.gpkg"),
        ("GPKG", "logged.gpkg"),
        ("FlatGeobuf", "yard.fgb"),
        ("OpenFileGDB", "yard.gdb"),
        ("MapInfo File", "yard.tab"),
        ("MapInfo File", "yard.mif"),
        ("DXF", "yard.dxf"),
        ("CSV", "yard.csv"),
    ]
    .into_iter()
    .enumerate()
    {
        let (raster_driver, raster) = rasters[i % rasters.len()];
        let folder = with(file, raster);
        boundary(&folder, driver, file);
        ground(&folder, raster_driver, raster);
        if file == "logged.gpkg" {
            // Bytes 18 and 19 of an SQLite file: changes go through a write-ahead log, which is
            // empty and away here (SQLite, Database File Format, 1.3.3).
            let path = folder.path().join(file);
            let mut bytes = std::fs::read(&path).expect("bytes");
            assert_eq!(&bytes[18..20], [1, 1]);
            bytes[18..20].copy_from_slice(&[2, 2]);
            std::fs::write(path, bytes).expect("written");
        }
        let (before, out) = (everything(folder.path()), Folder::new());
        for command in ["check", "draw", "toward", "cross-validate"] {
            let mut args = vec![command.into(), folder.path().as_os_str().to_owned()];
            if command != "check" {
                args.extend(["--out".into(), out.path().join(command).into_os_string()]);
            }
            let output = has_an_end(&args);
            let said = String::from_utf8_lossy(&output.stderr);
            assert_eq!(output.status.code(), Some(0), "{command} {file} {raster}: {said}");
            assert!(everything(folder.path()) == before, "{command} changed {file} or {raster}");
        }
    }
}

#[test]
fn a_database_with_changes_beside_it_is_refused() {
    for ending in ["-wal", "-shm", "-journal"] {
        let folder = with("yard.gpkg", "land.asc");
        boundary(&folder, "GPKG", "yard.gpkg");
        folder.file(&format!("yard.gpkg{ending}"), "");
        let before = everything(folder.path());
        let refused = super::read(&folder).expect_err(ending);
        let told = of(Code::FileUnreadable, &refused);
        assert_eq!(told.len(), 1, "{refused:?}");
        let beside = format!("yard.gpkg{ending} beside it");
        assert!(told[0].message.contains(&beside), "{}", told[0].message);
        assert!(told[0].origins[0].line.is_some(), "where it is declared: {told:?}");
        assert!(told[0].advice.is_some());
        assert!(everything(folder.path()) == before, "{ending}");
    }
    // A link to the file is no way around its journal.
    let (folder, elsewhere) = (with("yard.gpkg", "land.asc"), Folder::new());
    boundary(&elsewhere, "GPKG", "real.gpkg");
    elsewhere.file("real.gpkg-wal", "");
    std::os::unix::fs::symlink(elsewhere.path().join("real.gpkg"), folder.path().join("yard.gpkg"))
        .expect("a link");
    let refused = super::read(&folder).expect_err("a journal");
    gives(of(Code::FileUnreadable, &refused)[0], &["real.gpkg-wal"]);
}

/// The names on record below a stem.
fn recorded(inputs: &[read::InputFile], stem: &str) -> Vec<String> {
    inputs.iter().map(|i| i.file.clone()).filter(|f| f.starts_with(stem)).collect()
}

#[test]
fn what_says_more_about_a_file_is_on_record_with_it() {
    let folder = with("yard.shp", "land.asc");
    boundary(&folder, "ESRI Shapefile", "yard.shp");
    ground(&folder, "AAIGrid", "land.asc");
    // Of the same name and another kind, and of a name that only begins alike.
    for other in ["yard.shp.bak", "yard.pdf", "yards.prj", "land.asc.bak", "land.csv"] {
        folder.file(other, "");
    }
    folder.file("yard.CPG", "UTF-8");
    let (site, _) = super::read(&folder).unwrap_or_else(|e| panic!("{e:#?}"));
    let parts = ["yard.shp", "yard.CPG", "yard.dbf", "yard.prj", "yard.shx"];
    assert_eq!(recorded(&site.inputs, "yard"), parts);

    let summary = |out: &str| -> serde_json::Value {
        let (out, site) = (folder.path().join(out), folder.path().as_os_str().to_owned());
        let output =
            has_an_end(&["toward".into(), site, "--out".into(), out.clone().into_os_string()]);
        ends(&output, 0);
        let text = std::fs::read(out.join("summary.json")).expect("a summary");
        serde_json::from_slice(&text).expect("JSON")
    };
    let of_ground = |summary: &serde_json::Value| -> BTreeMap<String, String> {
        let inputs = summary["inputs"].as_array().expect("inputs");
        let text = |i: &serde_json::Value, key: &str| i[key].as_str().expect("text").to_owned();
        let all = inputs.iter().map(|i| (text(i, "file"), text(i, "sha256")));
        all.filter(|(file, _)| file.starts_with("land")).collect()
    };
    let plain = of_ground(&summary("out/plain"));
    assert_eq!(plain.keys().collect::<Vec<_>>(), ["land.asc", "land.prj"]);
    // What a GIS writes beside a raster: it lifts the ground by 100 m, and is read.
    folder.file(
        "land.asc.aux.xml",
        "<PAMDataset><PAMRasterBand band=\"1\"><Offset>100</Offset></PAMRasterBand></PAMDataset>",
    );
    let with_offset = of_ground(&summary("out/lifted"));
    assert_eq!(with_offset.len(), 3, "{with_offset:?}");
    assert!(with_offset.contains_key("land.asc.aux.xml"));
    assert!(plain.iter().all(|(file, hash)| with_offset.get(file) == Some(hash)));
    let deepest = |out: &str| {
        let file = folder.path().join(out).join("depth-to-water.tif");
        let data = gdal::Dataset::open(file).expect("a raster");
        let band = data.rasterband(1).expect("a band");
        let depths = band.read_band_as::<f32>().expect("depths");
        depths.data().iter().copied().filter(|d| *d > -1000.0).fold(f32::NEG_INFINITY, f32::max)
    };
    assert!(deepest("out/plain") < 15.0, "{}", deepest("out/plain"));
    assert!(deepest("out/lifted") > 100.0, "{}", deepest("out/lifted"));
}

#[test]
fn two_files_of_one_name_outside_the_site_are_both_on_record() {
    let (folder, outside) = (with("yard.csv", "land.asc"), Folder::new());
    let walls = ["a", "b"].map(|inside| {
        let course = if inside == "a" { "0 0, 1 1" } else { "0 0, 2 2" };
        outside.file(&format!("{inside}/wall.csv"), wkt(&[&format!("LINESTRING ({course})")]))
    });
    boundary(&folder, "CSV", "yard.csv");
    let toml = text(folder.path().join("site.toml"));
    let entry = |p: &PathBuf| format!("{{ file = \"{}\", crs = \"EPSG:26915\" }}", p.display());
    let barriers = format!("barriers = [{}, {}]\n[ground]", entry(&walls[0]), entry(&walls[1]));
    folder.file("site.toml", toml.replace("[ground]", &barriers));
    let (site, _) = super::read(&folder).unwrap_or_else(|e| panic!("{e:#?}"));
    assert_eq!(recorded(&site.inputs, "wall.csv").len(), 2, "{:?}", site.inputs);
}

#[test]
fn what_is_no_regular_file_is_refused_before_it_is_opened() {
    // A pipe as the layer itself, as a part of it, in a geodatabase, as the ground, beside it.
    for (boundary_file, raster, pipe) in [
        ("yard.geojson", "land.asc", "yard.geojson"),
        ("yard.shp", "land.asc", "yard.dbf"),
        ("yard.gdb", "land.asc", "yard.gdb/a00000001.gdbtable"),
        ("yard.csv", "land.asc", "land.asc"),
        ("yard.csv", "land.asc", "land.prj"),
        ("yard.csv", "land.asc", "land.asc.aux.xml"),
    ] {
        let folder = with(boundary_file, raster);
        let driver = match boundary_file {
            "yard.shp" => "ESRI Shapefile",
            "yard.gdb" => "OpenFileGDB",
            "yard.csv" => "CSV",
            _ => "GeoJSON",
        };
        boundary(&folder, driver, boundary_file);
        ground(&folder, "AAIGrid", raster);
        fifo(&folder.path().join(pipe));
        let out = folder.path().join("out").into_os_string();
        let site = folder.path().as_os_str().to_owned();
        let output = has_an_end(&["toward".into(), site, "--out".into(), out]);
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{pipe}: {said}");
        let words = format!("{pipe}, the ");
        assert!(said.contains(&words) && said.contains("a pipe, a socket or a device"), "{said}");
    }
    for (folder, what) in [
        (with("/dev/zero", "land.asc"), "boundary"),
        (with("yard", "land.asc"), "boundary"),
        (with("yard.csv", "/dev/zero"), "raster"),
        (with("yard.csv", "yard"), "raster"),
    ] {
        std::fs::create_dir(folder.path().join("yard")).expect("a folder");
        boundary(&folder, "CSV", "yard.csv");
        boundary(&folder, "CSV", "yard/yard.csv");
        ground(&folder, "AAIGrid", "land.asc");
        let out = folder.path().join("out").into_os_string();
        let site = folder.path().as_os_str().to_owned();
        let output = has_an_end(&["toward".into(), site, "--out".into(), out]);
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{what}: {said}");
        assert!(said.contains("R101") && said.contains(&format!("the {what} of ")), "{said}");
    }
}

#[test]
fn a_feature_whose_name_is_no_text_is_refused() {
    let folder = with("yard.csv", "land.asc");
    boundary(&folder, "CSV", "yard.csv");
    folder.file("wells.geojson", "{}");
    folder.change("site.toml", |toml| {
        toml.replace("[ground]", "receptors = \"taps.geojson\"\n[ground]")
    });
    let point = |name: &str| {
        format!(
            "{{\"type\":\"Feature\",\"properties\":{{\"name\":\"{name}\"}},\
             \"geometry\":{{\"type\":\"Point\",\"coordinates\":[-93.2,45.0]}}}}"
        )
    };
    let collection = format!(
        "{{\"type\":\"FeatureCollection\",\"features\":[{},{}]}}",
        point("tap 1"),
        point("tap\\uffff")
    );
    folder.file("taps.geojson", collection);
    let refused = super::read(&folder).expect_err("no character");
    let told = of(Code::FeatureUnusable, &refused);
    assert_eq!(told.len(), 1, "{refused:?}");
    gives(told[0], &["feature 2"]);
    gives(told[0], &["U+FFFF"]);
}
