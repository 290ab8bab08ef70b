//! The first inputs of the fuzz targets (`fuzz/`), made from the sample sites, and from features and
//! ground about an invented site in every format. By hand:
//!
//! ```sh
//! cargo test --release --locked seeds_are_laid -- --ignored
//! ```

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use gdal::DriverManager;
use gdal::raster::{Buffer, RasterCreationOptions};
use gdal::spatial_ref::SpatialRef;
use geo::Coord;
use headfall::geom::Crs;

use self::input::{SITE, parts, together};
use crate::features::files::{Drawn, write};
use crate::support::{Folder, SITES, contents, text};

/// How bytes stand for files; the targets share it.
#[path = "../fuzz/src/input.rs"]
#[expect(unreachable_pub, reason = "the targets use it")]
mod input;

/// Wells of an invented site in feet on EPSG:26915, as the targets have them.
const WELLS: &[(&str, f64, f64, f64)] = &[
    ("MW-1", 478_120.4, 4_977_310.25, 11.30),
    ("MW-2", 478_280.15, 4_977_295.6, 11.51),
    ("MW-3", 478_400.8, 4_977_220.05, 11.02),
    ("MW-4", 478_330.0, 4_977_090.0, 12.75),
    ("MW-5", 478_150.0, 4_977_120.0, 12.10),
    ("MW-6", 478_260.0, 4_977_200.0, 11.80),
];

const OUTLINE: [(f64, f64); 4] = [
    (478_050.0, 4_977_000.0),
    (478_450.0, 4_977_010.0),
    (478_470.0, 4_977_380.0),
    (478_050.0, 4_977_000.0),
];
const AREA: &str = "POLYGON ((478050 4977000, 478450 4977010, 478470 4977380, 478060 4977390, \
                    478050 4977000), (478200 4977150, 478215 4977150, 478210 4977165, 478200 4977150))";
const AREAS: &str = "MULTIPOLYGON (((478050 4977000, 478450 4977010, 478470 4977380, \
                     478050 4977000)), ((477000 4976000, 477100 4976000, 477100 4976100, 477000 4976000)))";
const COURSE: &str =
    "LINESTRING Z (478060 4977030 839.5, 478250 4977060 839.1, 478440 4977040 838.8)";
const COURSES: &str = "MULTILINESTRING ((478180 4977200, 478220 4977330), (478300 4977150, \
                       478360 4977180))";
const PLACE: &str = "POINT (478400 4977050)";

/// The role of a file, its geometry.
const DRAWN: &[(&str, &str)] = &[
    ("boundary", AREA),
    ("boundary", AREAS),
    ("streams", COURSE),
    ("barriers", COURSES),
    ("receptors", PLACE),
];

/// GDAL's name of a format's driver, and the ending of its files.
const FORMATS: &[(&str, &str)] = &[
    ("ESRI Shapefile", "shp"),
    ("GPKG", "gpkg"),
    ("FlatGeobuf", "fgb"),
    ("OpenFileGDB", "gdb"),
    ("MapInfo File", "tab"),
    ("MapInfo File", "mif"),
];

/// First inputs by target and name.
#[derive(Default)]
struct Seeds(BTreeMap<(&'static str, String), Vec<u8>>);

fn seeds() -> Seeds {
    let mut seeds = Seeds::default();
    seeds.tables();
    seeds.settings();
    seeds.features();
    seeds.rasters();
    seeds.chain();
    seeds
}

fn checkout() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A file of a sample site.
fn sampled(name: &str) -> Vec<u8> {
    fs::read(checkout().join("sample-sites").join(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
}

impl Seeds {
    fn seed(&mut self, target: &'static str, name: impl Into<String>, bytes: impl Into<Vec<u8>>) {
        let twice = self.0.insert((target, name.into()), bytes.into());
        assert!(twice.is_none(), "two seeds of one name");
    }

    fn tables(&mut self) {
        for (site, round, surveys) in [
            ("fuel-depot", "2025-10", true),
            ("fuel-depot", "2026-04", true),
            ("closed-landfill", "2026-05", false),
        ] {
            let (settings, wells) =
                (sampled(&format!("{site}/site.toml")), sampled(&format!("{site}/wells.csv")));
            let round_text = sampled(&format!("{site}/rounds/{round}.csv"));
            let points = surveys.then(|| sampled(&format!("{site}/measuring-points.csv")));
            let settings = before(&settings, "[features]");
            let mut files = vec![
                ("site.toml", settings),
                ("wells.csv", &wells),
                ("rounds/r1.csv", &round_text),
            ];
            files.extend(points.as_deref().map(|p| ("measuring-points.csv", p)));
            self.seed("tables", format!("{site}-{round}"), together(&files));
        }
        let long = sampled("river-valley/wells.csv");
        let lines: Vec<&[u8]> = long.split_inclusive(|b| *b == b'\n').take(12).collect();
        self.seed("tables", "river-valley", together(&[("wells.csv", &lines.concat())]));
        for name in
            ["long.csv", "wide.csv", "latin1.csv", "gauging.xlsx", "apart.xlsx", "gauging.ods"]
        {
            let path = checkout().join("tests/data/tables").join(name);
            self.seed("tables", name, fs::read(path).expect("a table"));
        }
        self.seed("tables", "single", single(',', "."));
        self.seed("tables", "single-semicolon", single(';', "."));
        self.seed("tables", "single-tab", single('\t', "."));
        let comma = single(';', ",");
        let settings =
            settings("[tables]\ndecimal = \",\"\n[round]\ndate_format = \"%d.%m.%Y %H:%M\"\n");
        let files = [
            ("site.toml", settings.as_bytes()),
            ("wells.csv", comma.as_bytes()),
            (
                "rounds/r1.csv",
                b"id;datetime;hold;cut;status\nMW-1;14.04.2026 09:10;20,00;8,70;\nMW-2;;;;dry\n",
            ),
        ];
        self.seed("tables", "comma", together(&files));
    }

    fn settings(&mut self) {
        for &site in SITES {
            self.seed("settings", site, sampled(&format!("{site}/site.toml")));
        }
        for &(name, more) in MORE {
            self.seed("settings", name, settings(more));
        }
    }

    fn features(&mut self) {
        for &(driver, ending) in FORMATS {
            for (number, (role, wkt)) in DRAWN.iter().enumerate() {
                let folder = Folder::new();
                let path = folder.path().join(format!("{role}.{ending}"));
                let drawn = ["First", "Second"].map(|name| Drawn { wkt, name, stage: 839.25 });
                write(driver, &path, Some(26915), role, &drawn);
                let files = contents(folder.path());
                let parts: Vec<(&str, &[u8])> =
                    files.iter().map(|(name, bytes)| (name.as_str(), &bytes[..])).collect();
                self.seed("features", format!("{ending}-{number}"), together(&parts));
            }
        }
        let crs = Crs::lookup("EPSG:26915").expect("PROJ knows it");
        let mut corners = OUTLINE.map(|(x, y)| Coord { x, y });
        crs.to_lon_lat(&mut corners).expect("on the earth");
        let corners = corners.map(|c| format!("[{:.7},{:.7}]", c.x, c.y)).join(",");
        let area = format!(
            r#"{{"type":"Feature","properties":{{"name":"Yard"}},"geometry":{{"type":"Polygon","coordinates":[[{corners}]]}}}}"#
        );
        self.seed("features", "geojson", area);
        for name in ["boundary", "creek", "property-line", "waste"] {
            let text = sampled(&format!("closed-landfill/features/{name}.geojson"));
            self.seed("features", name, together(&[("receptors.geojson", &text)]));
        }
        let table = format!("WKT,name,stage\n\"{AREA}\",Yard,1\n\"{AREAS}\",Yards,2\n");
        self.seed("features", "csv-area", together(&[("boundary.csv", table.as_bytes())]));
        let table = format!("WKT,name,stage\n\"{COURSE}\",Mill Creek,839\n");
        self.seed("features", "csv-course", together(&[("streams.csv", table.as_bytes())]));
        self.seed("features", "dxf", together(&[("barriers.dxf", DRAWING.as_bytes())]));
    }

    fn rasters(&mut self) {
        let folder = Folder::new();
        for (name, options) in [
            ("plain", &[][..]),
            ("deflate", &["COMPRESS=DEFLATE", "PREDICTOR=3"]),
            ("lzw-tiled", &["COMPRESS=LZW", "TILED=YES", "BLOCKXSIZE=16", "BLOCKYSIZE=16"]),
            ("packbits", &["COMPRESS=PACKBITS"]),
            ("big", &["BIGTIFF=YES"]),
        ] {
            raster("GTiff", &folder.path().join(format!("{name}.tif")), options);
            let bytes = fs::read(folder.path().join(format!("{name}.tif"))).expect("a raster");
            self.seed("rasters", format!("tif-{name}"), together(&[("land.tif", &bytes)]));
        }
        for (name, options) in [("plain", &[][..]), ("compressed", &["COMPRESSED=YES"])] {
            raster("HFA", &folder.path().join(format!("{name}.img")), options);
            let bytes = fs::read(folder.path().join(format!("{name}.img"))).expect("a raster");
            self.seed("rasters", format!("img-{name}"), together(&[("land.img", &bytes)]));
        }
        let crs = SpatialRef::from_epsg(26915).expect("a CRS").to_wkt().expect("WKT");
        for (name, cell) in [("asc", "cellsize 50"), ("asc-two", "dx 50\ndy 40")] {
            let grid = format!(
                "ncols 8\nnrows 6\nxllcorner 478000\nyllcorner 4977000\n{cell}\nNODATA_value -9999\n{}",
                "840 841.5 -9999 842 843 844 845.25 846\n".repeat(6)
            );
            let files = [("land.asc", grid.as_bytes()), ("land.prj", crs.as_bytes())];
            self.seed("rasters", name, together(&files));
        }
    }

    fn chain(&mut self) {
        let round =
            WELLS.iter().fold("id,date,time,depth to water\n".to_owned(), |all, (id, _, _, d)| {
                all + &format!("{id},2026-04-14,09:10,{d}\n")
            });
        let table = format!("WKT,name,stage\n\"{COURSE}\",Mill Creek,838\n");
        for &(name, more) in MORE {
            let (settings, wells) = (settings(more), single(',', "."));
            let files = [
                ("site.toml", settings.as_bytes()),
                ("wells.csv", wells.as_bytes()),
                ("rounds/r1.csv", round.as_bytes()),
                ("features.csv", table.as_bytes()),
            ];
            self.seed("chain", name, together(&files));
        }
    }
}

/// What stands before a heading.
fn before<'a>(text: &'a [u8], heading: &str) -> &'a [u8] {
    let at = text.windows(heading.len()).position(|w| w == heading.as_bytes());
    &text[..at.unwrap_or(text.len())]
}

/// Settings of the invented site with more in them.
fn settings(more: &str) -> String {
    format!("{SITE}[sheet]\ndpi = 50\n{more}")
}

/// What else settings may say; each has its seed.
const MORE: &[(&str, &str)] = &[
    ("plain", ""),
    ("sheets", "page = \"A3\"\norientation = \"landscape\"\nshading = true\n"),
    (
        "grid",
        "[grid]\ncell = 20\nsurface = \"natural-neighbour\"\n[contours]\ninterval = 0.5\nbase = 0.25\n",
    ),
    ("smooth", "[grid]\nsurface = \"smooth-natural-neighbour\"\nunconfined_base = 800\n"),
    (
        "kriging",
        "[grid]\nsurface = \"kriging\"\n[kriging]\nmodel = \"matern-3/2\"\ndrift = \"linear\"\n\
         partial_sill = 0.5\nrange = 200\nnugget = 0.01\nanisotropy_azimuth = 30\nanisotropy_ratio = 0.5\n",
    ),
    (
        "pumped",
        "[grid]\nsurface = \"kriging\"\n[[pumped_wells]]\nwell = \"MW-6\"\nrate = 40\nradius = 0.5\n\
         [aquifer]\npumping_rate_unit = \"gpm\"\ntransmissivity = [100, 300]\ntransmissivity_unit = \"ft2/d\"\n",
    ),
    ("plate", "[grid]\nsurface = \"thin-plate\"\n[thin_plate]\nsmoothing = 1\n"),
    (
        "distance",
        "[grid]\nsurface = \"inverse-distance\"\n[inverse_distance]\npower = 3\nnearest = 4\nradius = 900\n",
    ),
    (
        "uncertainty",
        "[uncertainty]\nreading_sd = 0.02\nsurvey_sd = 0.05\nseed = 7\nrealizations = 20\nrasters = true\n\
         [output]\nformats = [\"csv\"]\n[instruments.tape-1]\noffset = 0.02\nstretch = 0.0002\n",
    ),
    (
        "features",
        "[features]\nstreams = { file = \"features.csv\", stage = \"stage\", crs = \"EPSG:26915\" }\n\
         stream_spacing = 60\nstream_reach = 900\n[[sources]]\nwell = \"MW-1\"\n[[receptors]]\n\
         name = \"Creek\"\nline = [[478060, 4977030], [478440, 4977040]]\n[aquifer]\nmaterial = \"fine sand\"\n\
         [toward]\ncapture_distance = 10\n",
    ),
];

/// One table with the wells and their readings.
fn single(delimiter: char, point: &str) -> String {
    let mut text = "id,easting,northing,top of casing (ft),depth to water (ft),date\n".to_owned();
    for (id, easting, northing, depth) in WELLS {
        let top = 850.0 + depth / 10.0;
        writeln!(text, "{id},{easting:.2},{northing:.2},{top:.2},{depth:.2},2026-04-14")
            .expect("memory");
    }
    let text = text.replace(',', &delimiter.to_string());
    if point == "." { text } else { text.replace('.', point) }
}

/// Sloping ground over the wells.
fn raster(driver: &str, path: &Path, options: &[&str]) {
    const SIDE: usize = 32;
    let driver = DriverManager::get_driver_by_name(driver).expect("a bundled driver");
    let options: RasterCreationOptions = options.iter().copied().collect();
    let mut data = driver
        .create_with_band_type_with_options::<f32, _>(path, SIDE, SIDE, 1, &options)
        .expect("a raster");
    data.set_geo_transform(&[478_000.0, 15.0, 0.0, 4_977_400.0, 0.0, -15.0]).expect("a frame");
    data.set_spatial_ref(&SpatialRef::from_epsg(26915).expect("a CRS")).expect("a CRS");
    let values = (0..SIDE * SIDE).map(|k| 256.0 + (k % SIDE) as f32 / 8.0).collect();
    let mut band = data.rasterband(1).expect("a band");
    band.set_no_data_value(Some(-9999.0)).expect("a value");
    band.write((0, 0), (SIDE, SIDE), &mut Buffer::new((SIDE, SIDE), values)).expect("written");
}

/// A drawing with the kinds of lines that plans have.
const DRAWING: &str = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n\
0\nBLOCK\n8\n0\n2\nPILE\n10\n0\n20\n0\n0\nLINE\n8\nWALL\n10\n0\n20\n0\n11\n5\n21\n5\n0\nENDBLK\n0\nENDSEC\n\
0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\nWALL\n90\n3\n70\n0\n10\n478180\n20\n4977200\n42\n0.5\n10\n478220\n\
20\n4977330\n10\n478240\n20\n4977340\n0\nLINE\n8\nWALL\n10\n478300\n20\n4977150\n11\n478360\n21\n4977180\n\
0\nARC\n8\nWALL\n10\n478300\n20\n4977150\n40\n30\n50\n10\n51\n90\n0\nSPLINE\n8\nWALL\n70\n8\n71\n3\n72\n8\n\
73\n4\n40\n0\n40\n0\n40\n0\n40\n0\n40\n1\n40\n1\n40\n1\n40\n1\n10\n478180\n20\n4977200\n10\n478190\n20\n4977230\n\
10\n478200\n20\n4977210\n10\n478220\n20\n4977240\n0\nINSERT\n8\nWALL\n2\nPILE\n10\n478250\n20\n4977250\n\
0\nENDSEC\n0\nEOF\n";

/// What is put together is taken apart again by the targets.
#[test]
fn seeds_are_what_the_targets_read() {
    let files: [(&str, &[u8]); 3] =
        [("site.toml", SITE.as_bytes()), ("empty.csv", b""), ("rounds/r1.csv", b"id\n\nMW-1\n")];
    let input = together(&files);
    // Each file is followed by a line end.
    let input = input.strip_suffix(b"\n").expect("the last one's");
    assert_eq!(parts(input, "levels.csv", |_| true), BTreeMap::from(files));
}

#[test]
fn every_fuzz_target_has_seeds_and_a_dictionary() {
    let manifest = text(checkout().join("fuzz/Cargo.toml"));
    let manifest: toml::Table = manifest.parse().expect("TOML");
    let targets: BTreeSet<&str> = manifest["bin"]
        .as_array()
        .expect("targets")
        .iter()
        .map(|bin| bin["name"].as_str().expect("a name"))
        .collect();
    let seeded: BTreeSet<&str> = seeds().0.keys().map(|(target, _)| *target).collect();
    assert_eq!(seeded, targets);
    for target in targets {
        let dictionary = checkout().join(format!("fuzz/dictionaries/{target}.dict"));
        let text = text(dictionary);
        let words = text.lines().filter(|line| !line.is_empty() && !line.starts_with('#'));
        for word in words {
            let quoted = word.len() > 2 && word.starts_with('"') && word.ends_with('"');
            assert!(quoted, "{target}: {word}");
        }
    }
}

#[test]
#[ignore = "writes fuzz/corpus, for whoever is going to fuzz"]
fn seeds_are_laid() {
    for ((target, name), bytes) in seeds().0 {
        let folder = checkout().join("fuzz/corpus").join(target);
        fs::create_dir_all(&folder).expect("a folder");
        fs::write(folder.join(name), bytes).expect("a seed");
    }
}
