//! Datum grids that a site declares, against a PROJ that reads them by itself
//! (`tests/data/datum-grids/make.py`).

use std::fmt::Write as _;
use std::path::Path;
use std::process::Output;

use headfall::check;
use headfall::read::Overrides;
use headfall::run;
use serde_json::Value;
use sha2::{Digest, Sha256};

use crate::support::{Folder, ends, headfall, stderr, text};

/// An invented grid between DHDN and WGS 84, with a finer one inside it, as geodetic TIFF.
const TIFF: &[u8] = include_bytes!("data/datum-grids/de_adv_BETA2007.tif");

/// Where PROJ puts some places with it.
const POSITIONS: &str = include_str!("data/datum-grids/positions.json");

const NAME: &str = "de_adv_BETA2007.tif";

/// A site whose wells stand at those places.
fn site(grids: &str, crs: &str) -> Folder {
    let folder = Folder::new();
    let places: Value = serde_json::from_str(POSITIONS).expect("JSON");
    let mut wells = "id,easting,northing,measuring point elevation\n".to_owned();
    let mut round = "id,date,depth to water\n".to_owned();
    for (k, place) in places["places"].as_array().expect("places").iter().enumerate() {
        let (east, north) = (&place["easting"], &place["northing"]);
        writeln!(wells, "GW-{k},{east},{north},103").expect("memory");
        writeln!(round, "GW-{k},2026-01-20,1.{k}").expect("memory");
    }
    let settings = format!(
        "[site]\nname = \"Invented\"\n{crs}\nvertical_datum = \"DHHN2016\"\nelevation_unit = \"m\"\n\
         {grids}"
    );
    folder.file("site.toml", settings);
    folder.file("wells.csv", wells);
    folder.file("rounds/2026-01.csv", round);
    folder.file(&format!("grids/{NAME}"), TIFF);
    folder
}

const DHDN: &str = "crs = \"EPSG:31467\"";

fn declared(names: &str) -> String {
    format!("\n[crs]\ngrids = [{names}]\n")
}

fn draw(site: &Path) -> Output {
    headfall(&["draw", "--data-only", "--out"], &[&site.join("map"), site])
}

fn json(site: &Path, name: &str) -> Value {
    let text = text(site.join("map").join(name));
    serde_json::from_str(&text).expect("JSON")
}

/// The wells' longitudes and latitudes, in order of their names.
fn positions(site: &Path) -> Vec<(f64, f64)> {
    let layer = json(site, "wells.geojson");
    let mut wells: Vec<(String, f64, f64)> = layer["features"]
        .as_array()
        .expect("features")
        .iter()
        .map(|well| {
            let at = &well["geometry"]["coordinates"];
            let id = well["properties"]["id"].as_str().expect("a name").to_owned();
            (id, at[0].as_f64().expect("a longitude"), at[1].as_f64().expect("a latitude"))
        })
        .collect();
    wells.sort_by(|a, b| a.0.cmp(&b.0));
    wells.into_iter().map(|(_, lon, lat)| (lon, lat)).collect()
}

#[test]
fn a_declared_grid_puts_wells_where_a_proj_that_reads_it_puts_them() {
    let folder = site(&declared("\"grids/de_adv_BETA2007.tif\""), DHDN);
    let output = draw(folder.path());
    ends(&output, 0);
    assert!(stderr(&output).contains("note C328 longitude and latitude of the wells were computed with de_adv_BETA2007.tif, which shifts them by up to"), "{}", stderr(&output));
    assert!(!stderr(&output).contains("C317"), "{}", stderr(&output));
    let expected: Value = serde_json::from_str(POSITIONS).expect("JSON");
    for (place, (lon, lat)) in
        expected["places"].as_array().expect("places").iter().zip(positions(folder.path()))
    {
        let off = |key: &str, value: f64| (place[key].as_f64().expect("a number") - value).abs();
        // Eight decimals stand in the file.
        assert!(off("lon", lon) < 0.6e-8, "{place}: {lon}");
        assert!(off("lat", lat) < 0.6e-8, "{place}: {lat}");
    }
    // It is an input like any other.
    let inputs = json(folder.path(), "summary.json")["inputs"].clone();
    let hash = base16(&Sha256::digest(TIFF));
    let name = "grids/de_adv_BETA2007.tif";
    let recorded = inputs.as_array().expect("inputs").iter().find(|input| input["file"] == name);
    assert_eq!(recorded.expect("the grid")["sha256"], hash);
}

fn base16(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        write!(text, "{byte:02x}").expect("memory");
        text
    })
}

#[test]
fn a_grid_that_is_not_declared_is_not_seen() {
    let (with, without) = (site("", DHDN), site("", DHDN));
    std::fs::remove_dir_all(without.path().join("grids")).expect("a folder");
    std::fs::copy(with.path().join("grids").join(NAME), with.path().join(NAME)).expect("a copy");
    with.file("BETA2007.GSB", "a grid");
    for (folder, told_of) in [(&with, true), (&without, false)] {
        let output = draw(folder.path());
        let why = "BETA2007.GSB (only datum grids named under [crs] are used)";
        assert_eq!(stderr(&output).contains(why), told_of, "{}", stderr(&output));
        ends(&output, 0);
        assert!(stderr(&output).contains("note C317"), "{}", stderr(&output));
    }
    assert_eq!(positions(with.path()), positions(without.path()));
    // A site without grids that is read after one with them in one process is told apart.
    let map = |folder: &Folder| {
        let heads =
            run::heads(folder.path(), &Overrides::default(), &mut Vec::new()).expect("heads");
        let control =
            check::control(&heads.site, &heads.round, &heads.reduced).expect("control").value;
        control.points().iter().map(|p| p.lon_lat).collect::<Vec<_>>()
    };
    let gridded = site(&declared("\"grids/de_adv_BETA2007.tif\""), DHDN);
    let before = map(&without);
    assert_ne!(map(&gridded), before);
    assert_eq!(map(&without), before);
}

#[test]
fn positions_of_the_register_are_moved_by_it_too() {
    let crs = "crs = \"EPSG:25832\"\ncoordinates_crs = \"EPSG:31467\"";
    let moved = [declared("\"grids/de_adv_BETA2007.tif\""), String::new()].map(|grids| {
        let folder = site(&grids, crs);
        let output = draw(folder.path());
        ends(&output, 0);
        assert_eq!(stderr(&output).contains("note C328"), !grids.is_empty(), "{}", stderr(&output));
        positions(folder.path())
    });
    assert_ne!(moved[0], moved[1]);
}

#[test]
fn c329_a_grid_that_proj_does_not_ask_for_is_named() {
    let folder = site(&declared("\"grids/local.gsb\""), DHDN);
    // As it would be written by an agency, under a name that PROJ does not know.
    folder.file("grids/local.gsb", [b"NUM_OREC".as_slice(), &[0; 400]].concat());
    let output = draw(folder.path());
    ends(&output, 0);
    let said = "warning C329 no position was transformed with the datum grid local.gsb";
    assert!(stderr(&output).contains(said), "{}", stderr(&output));
    assert!(stderr(&output).contains("note C317"), "{}", stderr(&output));
}

#[test]
fn r125_what_is_no_datum_grid_is_refused() {
    let refused = |names: &str, why: &str| {
        let folder = site(&declared(names), DHDN);
        folder.file("grids/notes.gsb", "eastings and northings");
        folder.file("grids/cut.tif", &TIFF[..200]);
        folder.file(&format!("old/{NAME}"), TIFF);
        let output = draw(folder.path());
        ends(&output, 2);
        assert!(stderr(&output).contains(why), "{}", stderr(&output));
        assert!(stderr(&output).contains("at site.toml, line 8"), "{}", stderr(&output));
        assert!(!folder.path().join("map").exists());
    };
    let no_grid = "R125 grids/notes.gsb is not a datum grid that headfall can read";
    refused("\"grids/notes.gsb\"", no_grid);
    refused("\"grids/cut.tif\"", "R125 grids/cut.tif, a datum grid of [crs], ");
    let twice = format!("R125 two datum grids are called {NAME}");
    refused("\"grids/de_adv_BETA2007.tif\", \"old/de_adv_BETA2007.tif\"", &twice);
    refused("\"grids/gone.gsb\"", "R101 grids/gone.gsb, a datum grid of [crs], cannot be read");
    refused("\"grids\"", "R101 grids, a datum grid of [crs], cannot be read: it is a folder");
}
