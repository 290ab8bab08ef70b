//! What lies about on a machine does not reach a map: files in the working folder, settings in the
//! environment. The library keeps to it as the program does.

use std::path::Path;
use std::process::{Command, Output};

use geo::Coord;
use headfall::geom::Crs;
use headfall::read::{Overrides, VectorFormat};

use crate::support::{Folder, Sample, contents, ends, program, sample, text};

/// Settings of GDAL, of its drivers and of PROJ that would change what is read or written, or
/// write beside what is read.
const HOSTILE: &[(&str, &str)] = &[
    ("AAIGRID_FORCE_CELLSIZE", "YES"),
    ("CPL_DEBUG", "ON"),
    ("DXF_INLINE_BLOCKS", "NO"),
    ("GDAL_GEOREF_SOURCES", "NONE"),
    ("GDAL_PAM_ENABLED", "YES"),
    ("GTIFF_POINT_GEO_IGNORE", "YES"),
    ("HFA_USE_RRD", "YES"),
    ("MITAB_BOUNDS_FILE", "bounds.txt"),
    ("OGR_CT_FORCE_TRADITIONAL_GIS_ORDER", "NO"),
    ("OPENFILEGDB_DEFAULT_STRING_WIDTH", "3"),
    ("OSR_DEFAULT_AXIS_MAPPING_STRATEGY", "AUTHORITY_COMPLIANT"),
    ("SHAPE_2GB_LIMIT", "YES"),
    ("SHAPE_ENCODING", "LATIN1"),
    ("SHAPE_RESTORE_SHX", "YES"),
    ("SQLITE_USE_OGR_VFS", "YES"),
    ("VSI_CACHE", "YES"),
];

/// The program in a folder, with more variables.
fn run(folder: &Path, arguments: &[&str], site: &Path, set: &[(&str, &str)]) -> Output {
    program()
        .args(arguments)
        .arg(site)
        .envs(set.iter().copied())
        .current_dir(folder)
        .output()
        .expect("the program runs")
}

/// An invented datum grid in the NTv2 format (Geodetic Survey of Canada, NTv2 User's Guide): a
/// shift of 3.6 seconds to the north and to the west, everywhere between 46 and 56 degrees north, 5
/// and 16 degrees east, in cells of one degree.
fn shifting_grid() -> Vec<u8> {
    const DEGREE: f64 = 3600.0;
    let (south, north, east, west) = (46.0, 56.0, -16.0, -5.0);
    // Eleven parallels by twelve meridians.
    let nodes = 11 * 12;
    let mut grid = Vec::new();
    let mut record = |name: &str, value: &[u8]| {
        grid.extend(format!("{name:8}").bytes());
        grid.extend(value);
        grid.extend(vec![0; 8 - value.len()]);
    };
    let whole = |n: i32| n.to_le_bytes().to_vec();
    let real = |x: f64| x.to_le_bytes().to_vec();
    record("NUM_OREC", &whole(11));
    record("NUM_SREC", &whole(11));
    record("NUM_FILE", &whole(1));
    for (name, value) in [("GS_TYPE", "SECONDS "), ("VERSION", "NTv2.0  ")] {
        record(name, value.as_bytes());
    }
    for (name, value) in [("SYSTEM_F", "DHDN90  "), ("SYSTEM_T", "ETRS89  ")] {
        record(name, value.as_bytes());
    }
    for name in ["F", "T"] {
        record(&format!("MAJOR_{name}"), &real(6_378_137.0));
        record(&format!("MINOR_{name}"), &real(6_356_752.314));
    }
    let text = [("SUB_NAME", "A"), ("PARENT", "NONE"), ("CREATED", "2026"), ("UPDATED", "2026")];
    for (name, value) in text {
        record(name, format!("{value:8}").as_bytes());
    }
    let edges = [("S_LAT", south), ("N_LAT", north), ("E_LONG", east), ("W_LONG", west)];
    for (name, value) in edges.into_iter().chain([("LAT_INC", 1.0), ("LONG_INC", 1.0)]) {
        record(name, &real(value * DEGREE));
    }
    record("GS_COUNT", &whole(nodes));
    for _ in 0..nodes {
        for value in [3.6_f32, 3.6, 0.1, 0.1] {
            grid.extend(value.to_le_bytes());
        }
    }
    grid.extend(b"END     ");
    grid.extend([0; 8]);
    grid
}

const BY_NAME: &str = "DHDN / 3-degree Gauss-Kruger zone 3";

/// What PROJ and GDAL would take for their own if they saw it.
fn litter(folder: &Folder) {
    // DHDN to ETRS89 in Germany, under the two names that PROJ's database knows it by.
    for name in ["BETA2007.gsb", "de_adv_BETA2007.tif"] {
        folder.file(name, shifting_grid());
    }
    folder.file("proj.db", "not a database");
    folder.file("proj.ini", "[general]\ntmerc_default_algo = evenden_snyder\nnetwork = on\n");
    folder.file("gdalrc", "[configoptions]\nSHAPE_ENCODING=LATIN1\n");
    folder.file(".gdal/gdalrc", "[configoptions]\nSHAPE_ENCODING=LATIN1\n");
    folder.file(".local/share/proj/BETA2007.gsb", shifting_grid());
    // A CRS by its name, which GDAL takes for that of a file.
    folder.file(BY_NAME, "+proj=utm +zone=15 +datum=NAD83");
    folder.file("disable/gdal_wells.py", "open('loaded', 'w')\n");
}

const TABLE: &str = "id,easting,northing,elevation,date\n\
                     GW-1,3500100,5600100,101.2,2026-01-20\n\
                     GW-2,3500300,5600120,101.0,2026-01-20\n\
                     GW-3,3500180,5600290,100.8,2026-01-20\n";

#[test]
fn files_in_the_working_folder_do_not_reach_the_map() {
    let grid = "+proj=tmerc +lon_0=9 +x_0=3500000 +ellps=bessel +nadgrids=./BETA2007.gsb +type=crs";
    let file = "+init=./BETA2007.gsb:1";
    let plain = [("EPSG:31467", 0), ("EPSG:31467+5783", 0)];
    for (crs, code) in plain.into_iter().chain([(grid, 2), (file, 2), (BY_NAME, 2)]) {
        let (clean, littered) = (Folder::new(), Folder::new());
        litter(&littered);
        let home = littered.path().to_str().expect("text").to_owned();
        let draw = |folder: &Folder, set: &[(&str, &str)]| {
            let table = folder.file("site/heads.csv", TABLE);
            let arguments = ["draw", "--crs", crs, "--unit", "m", "--out", "map"];
            let output = run(folder.path(), &arguments, &table, set);
            // Some of them only GDAL asks for, when layers are written.
            let is_refused = code == 2 && output.status.code() == Some(3);
            ends(&output, if is_refused { 3 } else { code });
            let mut files = contents(folder.path());
            files.retain(|name, _| name.starts_with("map/"));
            (output.stderr, files)
        };
        let set = [("HOME", &*home), ("PROJ_DATA", &*home), ("PROJ_LIB", &*home)];
        let ((said, a), (said_too, b)) = (draw(&clean, &[]), draw(&littered, &set));
        assert!(a == b, "{crs}: the same bytes");
        let text = |bytes| String::from_utf8(bytes).expect("text");
        assert_eq!(text(said), text(said_too), "{crs}");
        assert_eq!(a.is_empty(), code != 0, "{crs}");
    }
}

#[test]
fn the_environment_does_not_reach_the_map() {
    let folder = Folder::new();
    litter(&folder);
    let here = folder.path().to_str().expect("text");
    let names = ["PROJ_DATA", "PROJ_LIB", "PROJ_AUX_DB", "GDAL_DATA", "GDAL_DRIVER_PATH", "HOME"];
    let rc = folder.path().join("gdalrc");
    let mut hostile: Vec<(&str, &str)> = names.iter().map(|name| (*name, here)).collect();
    hostile.push(("GDAL_CONFIG_FILE", rc.to_str().expect("text")));
    hostile.extend(HOSTILE);
    let site = sample("closed-landfill");
    let before = contents(&site);
    let draw = |out: &str, set: &[(&str, &str)]| {
        let formats = ["shapefile", "flatgeobuf", "csv", "dxf"];
        let formats = formats.iter().flat_map(|format| ["--format", format]);
        let arguments: Vec<&str> =
            ["toward", "--rasters", "--out", out].into_iter().chain(formats).collect();
        let output = run(folder.path(), &arguments, &site, set);
        ends(&output, 0);
        (output.stdout.len(), output.stderr, contents(&folder.path().join(out)))
    };
    let (plain, set) = (draw("a", &[]), draw("b", &hostile));
    assert!(plain.2.len() > 20);
    assert_eq!(String::from_utf8_lossy(&plain.1), String::from_utf8_lossy(&set.1));
    assert_eq!(plain.0, set.0, "as many bytes are said");
    for (name, bytes) in &plain.2 {
        assert!(set.2.get(name) == Some(bytes), "{name} has the same bytes");
    }
    assert_eq!(plain.2.len(), set.2.len());
    assert!(contents(&site) == before, "the inputs stand as they were");
}

/// The closed landfill with its boundary in another file.
fn with_boundary(boundary: &str) -> Sample {
    let site = sample("closed-landfill");
    let text = text(site.join("site.toml"));
    let own = "boundary = \"features/boundary.geojson\"";
    assert!(text.contains(own), "{text}");
    std::fs::write(site.join("site.toml"), text.replace(own, boundary)).expect("site.toml");
    site
}

/// The same said by `check` whatever is set, and the site folder as it was.
#[track_caller]
fn checks_alike(site: &Path, code: i32) -> String {
    let before = contents(site);
    let check = |set: &[(&str, &str)]| {
        let output = run(site, &["check"], site, set);
        ends(&output, code);
        assert!(contents(site) == before, "check leaves the site as it was, with {set:?}");
        String::from_utf8([output.stdout, output.stderr].concat()).expect("text")
    };
    let said = check(&[]);
    for &one in HOSTILE {
        assert_eq!(check(&[one]), said, "{one:?}");
    }
    said
}

/// The closed landfill with its boundary in a shapefile.
fn with_shapefile() -> Sample {
    let folder = Folder::new();
    let arguments = ["draw", "--format", "shapefile", "--out", "map"];
    ends(&run(folder.path(), &arguments, &sample("closed-landfill"), &[]), 0);
    let site = with_boundary("boundary = \"features/boundary.shp\"");
    for end in ["shp", "shx", "dbf", "prj", "cpg"] {
        let from = folder.path().join(format!("map/layers-shapefile/boundary.{end}"));
        std::fs::copy(from, site.join(format!("features/boundary.{end}"))).expect("a part");
    }
    site
}

#[test]
fn a_shapefile_without_its_index_is_left_as_it_is() {
    let site = with_shapefile();
    checks_alike(&site, 0);
    std::fs::remove_file(site.join("features/boundary.shx")).expect("the index");
    let said = checks_alike(&site, 2);
    assert!(said.contains("boundary.shp"), "{said}");
}

#[test]
fn a_drawing_made_of_blocks_is_read_whatever_is_set() {
    // The outline stands in a block about its own corner, inserted once where the site is.
    let corners = [(0, 0), (2000, 0), (2000, 2000), (0, 2000)];
    let outline = corners.map(|(x, y)| format!("10\n{x}\n20\n{y}\n")).concat();
    let drawing = format!(
        "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n0\nENDSEC\n\
         0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n8\n0\n2\nLIMITS\n70\n0\n10\n0\n20\n0\n\
         0\nLWPOLYLINE\n8\nLIMIT\n90\n4\n70\n1\n{outline}0\nENDBLK\n0\nENDSEC\n\
         0\nSECTION\n2\nENTITIES\n0\nINSERT\n8\nLIMIT\n2\nLIMITS\n10\n389000\n20\n5778000\n\
         0\nENDSEC\n0\nEOF\n"
    );
    let site = with_boundary("boundary = { file = \"features/plan.dxf\", crs = \"EPSG:26912\" }");
    std::fs::write(site.join("features/plan.dxf"), drawing).expect("a drawing");
    checks_alike(&site, 0);
}

/// The library in this very process, which another test starts again in a littered folder.
#[test]
fn the_library_knows_what_is_built_in() {
    let mut well = [Coord { x: 3_500_100.0, y: 5_600_100.0 }];
    Crs::lookup("EPSG:31467").expect("known").to_lon_lat(&mut well).expect("in Germany");
    // Transverse Mercator on Bessel 1841 by Krueger's series to the fourth order (Karney 2011, "Transverse
    // Mercator with an accuracy of a few nanometers"), then the seven parameters of EPSG:1777, computed
    // apart. The grid would move the well by 0.002 degrees.
    let expected = Coord { x: 9.000_366_501_1, y: 50.536_640_900_8 };
    let off = (well[0].x - expected.x).abs().max((well[0].y - expected.y).abs());
    assert!(off < 1e-8, "{:?}", well[0]);
}

/// As above.
#[test]
fn the_library_writes_no_index() {
    let site = with_shapefile();
    std::fs::remove_file(site.join("features/boundary.shx")).expect("the index");
    let before = contents(&site);
    headfall::read::site_and_round(&site, &Overrides::default()).expect_err("the index is missing");
    assert!(contents(&site) == before, "the site stands as it was");
}

/// As above: the program has dropped what is set before it does anything, the library has not.
#[test]
fn the_library_writes_what_the_program_writes() {
    let (folder, site) = (Folder::new(), sample("closed-landfill"));
    let [by_library, by_program] = ["library", "program"].map(|name| folder.path().join(name));
    let formats = vec![VectorFormat::Shapefile, VectorFormat::FlatGeobuf, VectorFormat::Csv];
    let overrides = Overrides { rasters: true, formats, ..Overrides::default() };
    let out = Some(&*by_library);
    headfall::run::toward(&site, &overrides, out, &mut Vec::new()).expect("a map");
    let formats = ["shapefile", "flatgeobuf", "csv"].iter().flat_map(|name| ["--format", name]);
    let arguments: Vec<&str> = ["toward", "--rasters"].into_iter().chain(formats).collect();
    let paths = ["--out".as_ref(), &*by_program, &*site];
    ends(&program().args(arguments).args(paths).output().expect("the program runs"), 0);
    let (library, program) = (contents(&by_library), contents(&by_program));
    assert!(library.len() > 20);
    for (name, bytes) in &program {
        assert!(library.get(name) == Some(bytes), "{name} has the same bytes");
    }
    assert_eq!(library.len(), program.len());
}

#[test]
fn the_library_alone_is_sealed_too() {
    let folder = Folder::new();
    litter(&folder);
    let here = folder.path().to_str().expect("text");
    let output = Command::new(std::env::current_exe().expect("this test"))
        .args(["--exact", "sealed::the_library_knows_what_is_built_in"])
        .arg("sealed::the_library_writes_no_index")
        .arg("sealed::the_library_writes_what_the_program_writes")
        .envs(HOSTILE.iter().copied())
        // The one that GDAL asks while it passes the others over.
        .env_remove("CPL_DEBUG")
        .envs([("PROJ_DATA", here), ("PROJ_LIB", here)])
        .current_dir(folder.path())
        .output()
        .expect("this test runs");
    ends(&output, 0);
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(said.contains("3 passed"), "{said}");
}

#[test]
fn the_library_runs_while_gdal_is_watched() {
    let output = Command::new(std::env::current_exe().expect("this test"))
        .args(["--exact", "sealed::the_library_knows_what_is_built_in"])
        .env("CPL_DEBUG", "ON")
        .output()
        .expect("this test runs");
    ends(&output, 0);
}
