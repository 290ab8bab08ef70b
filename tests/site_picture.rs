//! An aerial picture or a scanned plan below the site plan.

use std::fs;
use std::io::Cursor;
use std::path::Path;

use gdal::raster::{Buffer, ColorEntry, ColorInterpretation, ColorTable, PaletteInterpretation};
use gdal::raster::{RasterCreationOptions, RgbaEntry};
use gdal::spatial_ref::{AxisMappingStrategy, CoordTransform, SpatialRef};
use gdal::{Dataset, DriverManager};
use roxmltree::Document;

use crate::batch::{SPRING, site};
use crate::support::{Folder, ends, headfall, json, runs, text};

/// Where well W-5 is.
const MIDDLE: [f64; 2] = [440_040.0, 4_650_040.0];

/// Pixels along each side of the pictures, and metres of one.
const SIDE: usize = 200;
const PIXEL: f64 = 0.5;

/// The colours of the four quarters, from the upper left: red, green, blue, yellow.
const QUARTERS: [[u8; 3]; 4] = [[255, 0, 0], [0, 160, 0], [0, 0, 255], [255, 255, 0]];

/// The same as `docs/map-sheet.md` lightens them: half way to the grey 0.299 R + 0.587 G + 0.114 B, then 0.4 of that
/// and 0.6 of white.
const LIGHT: [[u8; 3]; 4] = [[219, 168, 168], [172, 204, 172], [159, 159, 210], [249, 249, 198]];

/// Which quarter a pixel is in.
const fn quarter(k: usize) -> usize {
    (if k % SIDE < SIDE / 2 { 0 } else { 1 }) + (if k / SIDE < SIDE / 2 { 0 } else { 2 })
}

/// A raster with bands of given values, its four quarters meeting at a place of its CRS.
struct Raster<'a> {
    crs: Option<u32>,
    middle: [f64; 2],
    pixel: f64,
    framed: bool,
    options: &'a [&'a str],
}

const UTM: Raster<'static> =
    Raster { crs: Some(26915), middle: MIDDLE, pixel: PIXEL, framed: true, options: &[] };

fn crs(code: u32) -> SpatialRef {
    let mut crs = SpatialRef::from_epsg(code).expect("a CRS");
    crs.set_axis_mapping_strategy(AxisMappingStrategy::TraditionalGisOrder);
    crs
}

impl Raster<'_> {
    fn write<T: gdal::raster::GdalType + Copy>(
        &self,
        path: &Path,
        bands: &[&dyn Fn(usize) -> T],
        more: impl Fn(&mut Dataset),
    ) {
        let driver = DriverManager::get_driver_by_name("GTiff").expect("a bundled driver");
        let options: RasterCreationOptions = self.options.iter().copied().collect();
        let mut data = driver
            .create_with_band_type_with_options::<T, _>(path, SIDE, SIDE, bands.len(), &options)
            .expect("a raster");
        if self.framed {
            let half = self.pixel * (SIDE / 2) as f64;
            let [x, y] = self.middle;
            data.set_geo_transform(&[x - half, self.pixel, 0.0, y + half, 0.0, -self.pixel])
                .expect("a frame");
        }
        if let Some(code) = self.crs {
            data.set_spatial_ref(&crs(code)).expect("a CRS");
        }
        more(&mut data);
        for (i, value) in bands.iter().enumerate() {
            let values = (0..SIDE * SIDE).map(value).collect();
            let mut band = data.rasterband(i + 1).expect("a band");
            band.write((0, 0), (SIDE, SIDE), &mut Buffer::new((SIDE, SIDE), values))
                .expect("written");
        }
    }

    fn quarters(&self, path: &Path) {
        let part = |i: usize| move |k: usize| QUARTERS[quarter(k)][i];
        self.write::<u8>(path, &[&part(0), &part(1), &part(2)], |_| ());
    }
}

fn with(folder: &Folder, more: &str) {
    let toml = folder.at("site.toml");
    fs::write(&toml, text(&toml) + more).expect("written");
}

fn yard() -> Folder {
    let folder = Folder::new();
    site(folder.path(), "Yard", &[SPRING]);
    with(
        &folder,
        "\n[[base]]\nfile = \"aerial.tif\"\nstyle = \"picture\"\nname = \"Flight of 2024\"\n",
    );
    folder
}

/// A sheet as dots, and where the middle of well W-5 is in them.
struct Drawn {
    columns: usize,
    dots: Vec<u8>,
    well: [f64; 2],
    svg: String,
}

/// Dots in a millimetre at 150 in an inch.
const PER_MM: f64 = 150.0 / 25.4;

impl Drawn {
    fn of(folder: &Folder) -> Self {
        let out = folder.at("out");
        runs(&["draw", "--quiet", "--out"], &[&out, folder.path()]);
        let png = fs::read(out.join("map.png")).expect("a picture");
        let mut reader = png::Decoder::new(Cursor::new(&png)).read_info().expect("a PNG");
        let mut dots = vec![0; reader.output_buffer_size().expect("a size")];
        let info = reader.next_frame(&mut dots).expect("dots");
        let svg = text(out.join("map.svg"));
        let well = wells(&svg)[5].map(|points| points / 72.0 * 150.0);
        Self { columns: info.width as usize, dots, well, svg }
    }

    /// The colour at so many millimetres to the east and to the south of the well.
    fn at(&self, east: f64, south: f64) -> [u8; 3] {
        let [x, y] = [self.well[0] + east * PER_MM, self.well[1] + south * PER_MM];
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "on the sheet")]
        let k = (y as usize * self.columns + x as usize) * 3;
        [self.dots[k], self.dots[k + 1], self.dots[k + 2]]
    }

    /// How far from the well the colour changes along lines at several distances from it, in the middle of all, mm:
    /// to the east of it, and to the south.
    fn edges(&self) -> [f64; 2] {
        let edge = |of: &dyn Fn(f64, f64) -> [u8; 3]| {
            let mut found = Vec::new();
            for away in (-240..240).map(|i| f64::from(i) / 15.0).filter(|a| a.abs() > 4.0) {
                let steps: Vec<f64> = (-90..=90).map(|i| f64::from(i) / 30.0).collect();
                let known = |s: &f64| LIGHT.iter().position(|light| close(of(*s, away), *light));
                let first = known(&steps[0]);
                let last = known(&steps[steps.len() - 1]);
                if first.is_none() || last.is_none() || first == last {
                    continue;
                }
                let ends = steps.iter().rposition(|s| known(s) == first);
                let begins = steps.iter().position(|s| known(s) == last);
                let (ends, begins) = (steps[ends.expect("seen")], steps[begins.expect("seen")]);
                // Where a line or a label is across it, nobody sees where.
                if begins - ends < 2.0 {
                    found.push(f64::midpoint(ends, begins));
                }
            }
            assert!(found.len() > 40, "{}", found.len());
            found.sort_by(f64::total_cmp);
            found[found.len() / 2]
        };
        [edge(&|along, away| self.at(along, away)), edge(&|along, away| self.at(away, along))]
    }
}

fn close(a: [u8; 3], b: [u8; 3]) -> bool {
    a.iter().zip(b).all(|(a, b)| a.abs_diff(b) <= 2)
}

/// The middles of the wells' rings on a sheet by the order of the register, points: from west to east, then to the north.
fn wells(svg: &str) -> Vec<[f64; 2]> {
    let svg = Document::parse(svg).expect("XML");
    let layer = svg.descendants().find(|n| n.attribute("id") == Some("wells")).expect("wells");
    let circles = layer.descendants().filter(|n| n.tag_name().name() == "circle");
    let place = |n: roxmltree::Node, name: &str| -> f64 {
        n.attribute(name).expect("a place").parse().expect("a number")
    };
    let mut found: Vec<[f64; 2]> = circles
        .filter(|n| n.attribute("fill") != Some("none"))
        .map(|n| [place(n, "cx"), place(n, "cy")])
        .collect();
    found.sort_by(|a, b| (-a[1]).round().total_cmp(&(-b[1]).round()).then(a[0].total_cmp(&b[0])));
    found.dedup();
    assert_eq!(found.len(), 12, "{found:?}");
    found
}

#[test]
fn its_quarters_meet_at_the_well_where_they_meet_on_the_ground() {
    let folder = yard();
    UTM.quarters(&folder.at("aerial.tif"));
    let drawn = Drawn::of(&folder);
    let [east, south] = drawn.edges();
    assert!(east.abs() < 0.5 && south.abs() < 0.5, "{east} {south} mm");
    for ([east, south], light) in
        [[-6.0, -6.0], [6.0, -6.0], [-6.0, 6.0], [6.0, 6.0]].into_iter().zip(LIGHT)
    {
        // A little farther where a line or a label is.
        let seen = [0.0, 2.0, 4.0].map(|more| {
            drawn.at(east + more * f64::signum(east), south + more * f64::signum(south))
        });
        assert!(seen.iter().any(|dot| close(*dot, light)), "{seen:?} {light:?}");
    }
    // It is clipped to the frame, is below everything but the paper, and has its row in the legend.
    let svg = Document::parse(&drawn.svg).expect("XML");
    let groups: Vec<&str> = svg.descendants().filter_map(|n| n.attribute("id")).collect();
    assert_eq!(groups[..2], ["paper", "site-picture"], "{groups:?}");
    assert!(svg.descendants().any(|n| n.text() == Some("Flight of 2024")));
    // The file is among the inputs.
    let inputs = json(folder.at("out/summary.json"))["inputs"].clone();
    let inputs = inputs.as_array().expect("a list");
    assert!(inputs.iter().any(|i| i["file"] == "aerial.tif"), "{inputs:?}");
    // And in the PDF.
    let pdf = lopdf::Document::load(folder.at("out/map.pdf")).expect("a PDF");
    let is_image = |object: &lopdf::Object| {
        let stream = object.as_stream().ok();
        stream.is_some_and(|s| {
            s.dict.get(b"Subtype").and_then(|n| n.as_name()).ok() == Some(b"Image")
        })
    };
    assert!(pdf.objects.values().any(is_image));
}

#[test]
fn a_picture_in_another_crs_is_where_it_belongs() {
    for (code, pixel) in [(4326, 5e-6), (3857, 0.7), (26852, 1.5)] {
        let way = CoordTransform::new(&crs(26915), &crs(code)).expect("a way");
        let (mut x, mut y) = ([MIDDLE[0]], [MIDDLE[1]]);
        way.transform_coords(&mut x, &mut y, &mut []).expect("a place");
        let folder = yard();
        let raster = Raster { crs: Some(code), middle: [x[0], y[0]], pixel, ..UTM };
        raster.quarters(&folder.at("aerial.tif"));
        let [east, south] = Drawn::of(&folder).edges();
        assert!(east.abs() < 0.5 && south.abs() < 0.5, "EPSG:{code}: {east} {south} mm");
    }
}

#[test]
fn coarse_pixels_stay_where_they_are() {
    // 20 m are 20 mm and more on this sheet; the quarters are ten pixels wide.
    let folder = yard();
    let part = |i: usize| move |k: usize| QUARTERS[quarter(k)][i];
    let raster = Raster { pixel: 20.0, ..UTM };
    raster.write::<u8>(&folder.at("aerial.tif"), &[&part(0), &part(1), &part(2)], |_| ());
    let drawn = Drawn::of(&folder);
    // Between the middles of two pixels colours change evenly: half way is at the edge.
    let seen: Vec<[u8; 3]> = (-20..=20).map(|i| drawn.at(f64::from(i) / 2.0, 6.0)).collect();
    let half = [(159.0, 249.0), (159.0, 249.0), (210.0, 198.0)].map(|(a, b)| f64::midpoint(a, b));
    let middle = seen[20];
    for (part, half) in middle.iter().zip(half) {
        assert!((f64::from(*part) - half).abs() < 12.0, "{middle:?} {half}");
    }
    assert!(seen.windows(2).filter(|w| w[1][0] > w[0][0]).count() > 10, "{seen:?}");
}

#[test]
fn greys_colour_tables_and_opacity_are_read() {
    // Grey 80 is 0.4 x 80 + 153 = 185.
    let grey = |k: usize| if quarter(k) == 3 { 80 } else { 255 };
    let at = |folder: &Folder| {
        let drawn = Drawn::of(folder);
        let found =
            [[8.0, 8.0], [11.0, 6.0], [5.0, 9.0], [-8.0, -8.0], [-11.0, -6.0], [-5.0, -9.0]];
        found.map(|[east, south]| drawn.at(east, south))
    };
    let has = |seen: &[[u8; 3]], colour: [u8; 3]| seen.iter().any(|s| close(*s, colour));
    let white = [255, 255, 255];
    let folder = yard();
    let path = folder.at("aerial.tif");
    UTM.write::<u8>(&path, &[&grey], |_| ());
    let seen = at(&folder);
    assert!(has(&seen[..3], [185; 3]) && has(&seen[3..], white), "{seen:?}");
    // A scan of black and white.
    let folder = yard();
    let path = folder.at("aerial.tif");
    let bit = |k: usize| u8::from(quarter(k) != 3);
    let raster = Raster { options: &["NBITS=1"], ..UTM };
    raster.write::<u8>(&path, &[&bit], |_| ());
    let seen = at(&folder);
    assert!(has(&seen[..3], [153; 3]) && has(&seen[3..], white), "{seen:?}");
    // A colour table: 7 is pure blue, 9 is white.
    let folder = yard();
    let path = folder.at("aerial.tif");
    let index = |k: usize| if quarter(k) == 3 { 7 } else { 9 };
    UTM.write::<u8>(&path, &[&index], |data| {
        let mut table = ColorTable::new(PaletteInterpretation::Rgba);
        let blue = RgbaEntry { r: 0, g: 0, b: 255, a: 255 };
        table.set_color_entry(7, &ColorEntry::Rgba(blue));
        table.set_color_entry(9, &ColorEntry::Rgba(RgbaEntry { r: 255, g: 255, b: 255, a: 255 }));
        data.rasterband(1).expect("a band").set_color_table(&table);
    });
    let seen = at(&folder);
    assert!(has(&seen[..3], LIGHT[2]) && has(&seen[3..], white), "{seen:?}");
    // Black that is not opaque is paper; black that is, is 153.
    let folder = yard();
    let path = folder.at("aerial.tif");
    let black = |_: usize| 0;
    let opaque = |k: usize| if quarter(k) == 3 { 255 } else { 0 };
    UTM.write::<u8>(&path, &[&black, &black, &black, &opaque], |data| {
        let mut band = data.rasterband(4).expect("a band");
        band.set_color_interpretation(ColorInterpretation::AlphaBand).expect("set");
    });
    let seen = at(&folder);
    assert!(has(&seen[..3], [153; 3]) && has(&seen[3..], white), "{seen:?}");
    // A pixel is missing where all bands have the value that means so, not where one has it.
    let folder = yard();
    let path = folder.at("aerial.tif");
    let red = |k: usize| if quarter(k) == 3 { 255 } else { 0 };
    UTM.write::<u8>(&path, &[&red, &black, &black], |data| {
        for i in 1..=3 {
            data.rasterband(i).expect("a band").set_no_data_value(Some(0.0)).expect("set");
        }
    });
    let seen = at(&folder);
    assert!(has(&seen[..3], LIGHT[0]) && has(&seen[3..], white), "{seen:?}");
}

#[test]
fn a_picture_that_is_none_is_refused_and_nothing_is_written() {
    let refused = |folder: &Folder, said: &[&str]| {
        let out = folder.at("out");
        let output = headfall(&["draw", "--out"], &[&out, folder.path()]);
        let words = String::from_utf8_lossy(&output.stderr).into_owned();
        ends(&output, 2);
        let words: String = words.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.iter().all(|part| words.contains(part)), "{said:?}: {words}");
        assert!(!out.exists());
    };
    let value = |k: usize| QUARTERS[quarter(k)][0];
    let folder = yard();
    refused(&folder, &["R101", "aerial.tif"]);
    Raster { framed: false, ..UTM }.quarters(&folder.at("aerial.tif"));
    refused(&folder, &["R119", "nothing says where on the ground aerial.tif is", "world file"]);
    let folder = yard();
    Raster { crs: None, ..UTM }.quarters(&folder.at("aerial.tif"));
    refused(&folder, &["R117", "does not state the CRS", "beside file in site.toml"]);
    // The CRS said beside it.
    with(&folder, "crs = \"EPSG:26915\"\n");
    let [east, south] = Drawn::of(&folder).edges();
    assert!(east.abs() < 0.5 && south.abs() < 0.5, "{east} {south} mm");
    let folder = yard();
    UTM.write::<u16>(&folder.at("aerial.tif"), &[&|k| u16::from(value(k))], |_| ());
    refused(&folder, &["R119", "and not of 8 bits", "of 8 bits each"]);
    let folder = yard();
    UTM.write::<u8>(&folder.at("aerial.tif"), &[&value, &value], |_| ());
    refused(&folder, &["R119", "has 2 bands"]);
    let folder = yard();
    folder.file("aerial.tif", "no picture");
    refused(&folder, &["R119", "cannot be opened as a picture", "give a GeoTIFF"]);
    // 30 km to the east: 60 000 pixels, of which the picture has 100 to its own middle.
    let folder = yard();
    let far = Raster { middle: [MIDDLE[0] + 30_000.0, MIDDLE[1]], ..UTM };
    far.quarters(&folder.at("aerial.tif"));
    refused(&folder, &["R119", "shows no part of the site", "200 by 200 pixels", "column -59860"]);
    // Half of the file is lost: what it is can be read, its pixels not.
    let folder = yard();
    let path = folder.at("aerial.tif");
    UTM.quarters(&path);
    let bytes = fs::read(&path).expect("read");
    fs::write(&path, &bytes[..bytes.len() / 2]).expect("written");
    refused(&folder, &["R119", "aerial.tif is damaged"]);
    let folder = yard();
    UTM.quarters(&folder.at("aerial.tif"));
    with(&folder, "[[base]]\nfile = \"b.tif\"\nstyle = \"picture\"\n");
    refused(&folder, &["R102", "b.tif is a second picture", "site.toml, line 12"]);
    let folder = yard();
    with(&folder, "label = \"kind\"\n");
    refused(&folder, &["R102", "neither layers nor labels"]);
    // A raster where a vector file is meant.
    let folder = Folder::new();
    site(folder.path(), "Yard", &[SPRING]);
    UTM.quarters(&folder.at("aerial.tif"));
    with(&folder, "\n[[base]]\nfile = \"aerial.tif\"\n");
    refused(&folder, &["R119", "cannot be opened as a vector file", "style = \"picture\""]);
}

#[test]
fn the_same_bytes_come_from_any_number_of_threads() {
    let folder = yard();
    UTM.quarters(&folder.at("aerial.tif"));
    let bytes = ["1", "3"].map(|threads| {
        let out = folder.at("out").join(threads);
        runs(&["draw", "--quiet", "--threads", threads, "--out"], &[&out, folder.path()]);
        ["map.svg", "map.png", "map.pdf"].map(|name| fs::read(out.join(name)).expect("a file"))
    });
    assert!(bytes[0] == bytes[1]);
}
