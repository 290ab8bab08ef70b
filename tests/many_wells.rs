//! Sites of more wells than are worked on all at once: what is told, how good it is, and that it
//! depends on nothing but the wells.

use headfall::diag::Code;
use headfall::read::Overrides;

use crate::support::{
    EAST, Folder, NORTH, Random, ends, gives, json, limited, map, near, of, of_wells, runs, stderr,
    text,
};

/// Wells over a square, at random; no two nearer than some centimetres.
fn wells(count: usize, side: f64) -> Vec<(f64, f64)> {
    let mut random = Random::new(11);
    let mut coordinate = || (side * 100.0 * random.uniform()).round() / 100.0;
    (0..count).map(|_| (coordinate(), coordinate())).collect()
}

/// A water table of hills and hollows on a slope.
fn rolling(x: f64, y: f64) -> f64 {
    100.0 - 0.002 * x + 1.3 * (x / 170.0).sin() + 0.8 * (y / 210.0).cos()
}

/// Rows of a table of such wells.
fn table_rows(count: usize, side: f64) -> Vec<String> {
    let row = |(i, (x, y)): (usize, (f64, f64))| {
        format!("W{i},{},{},{:.3}\n", EAST + x, NORTH + y, rolling(x, y))
    };
    wells(count, side).into_iter().enumerate().map(row).collect()
}

#[test]
fn kriging_of_many_wells_says_how_and_is_the_surface_nearly_everywhere() {
    for (count, fitted) in [(430, true), (2040, false)] {
        let side = 30.0 * f64::from(u32::try_from(count).expect("few")).sqrt();
        let given = if fitted { "" } else { "partial_sill = 1.0\nrange = 400.0\nnugget = 0.0\n" };
        let more = format!(
            "[grid]\nsurface = \"kriging\"\ncell = 25.0\n[kriging]\nmodel = \"matern-5/2\"\n{given}"
        );
        let site = of_wells(&wells(count, side), &more, rolling);
        let (map, findings) = map(site.path(), &Overrides::default());
        let map = map.unwrap_or_else(|e| panic!("{e}"));
        let told = of(Code::ManyWells, &findings);
        assert_eq!(told.len(), 1, "{findings:#?}");
        let message = &told[0].message;
        assert!(message.contains(&format!("kriging of {count} control points")), "{message}");
        assert_eq!(message.contains("fitted to heads in blocks"), fitted, "{message}");
        assert_eq!(message.contains("in overlapping patches"), !fitted, "{message}");
        assert_eq!(map.surface.words.contains("in patches of 750 wells"), !fitted);
        let report = map.surface.kriging.as_ref().expect("a report");
        assert_eq!(report.patches.is_some(), !fitted);
        assert_eq!(report.fit.as_ref().is_some_and(|fit| fit.in_blocks), fitted);
        let grid = &map.surface.heads;
        let (mut seen, mut sum) = (0, 0.0);
        for row in 0..grid.spec().rows {
            for column in 0..grid.spec().columns {
                let Some(head) = grid.head(row, column) else { continue };
                let p = grid.spec().node(row, column);
                let off = head - rolling(p.x - EAST, p.y - NORTH);
                seen += 1;
                sum += off * off;
            }
        }
        let rms = (sum / f64::from(seen)).sqrt();
        // The wells are some 30 m apart, the waves 1000 m long.
        assert!(seen > 400 && rms < 0.02, "{seen} nodes, {rms} m");
    }
}

#[test]
fn few_wells_are_worked_on_all_at_once_and_nothing_is_told() {
    let more = "[grid]\nsurface = \"kriging\"\ncell = 50.0\n";
    let site = of_wells(&wells(60, 300.0), more, rolling);
    let (map, findings) = map(site.path(), &Overrides::default());
    let map = map.unwrap_or_else(|e| panic!("{e}"));
    assert!(of(Code::ManyWells, &findings).is_empty(), "{findings:#?}");
    let kept = serde_json::to_string(&map.surface.kriging).expect("JSON");
    assert!(!kept.contains("in_blocks") && !kept.contains("patches"), "{kept}");
}

#[test]
fn the_spline_of_many_wells_goes_through_them_and_says_how() {
    let wells = wells(2030, 1500.0);
    let more = "[grid]\nsurface = \"thin-plate\"\ncell = 25.0\n";
    let site = of_wells(&wells, more, rolling);
    let (map, findings) = map(site.path(), &Overrides::default());
    let map = map.unwrap_or_else(|e| panic!("{e}"));
    let told = of(Code::ManyWells, &findings);
    assert_eq!(told.len(), 1, "{findings:#?}");
    gives(told[0], &["thin-plate", "2030"]);
    let spec = map.surface.heads.spec();
    let middle = (spec.rows / 2, spec.columns / 2);
    let p = spec.node(middle.0, middle.1);
    let head = map.surface.heads.head(middle.0, middle.1).expect("a head");
    near(head, rolling(p.x - EAST, p.y - NORTH), 0.02);
}

/// Maps and comparisons of more wells than are fitted to, and solved for, all at once.
#[test]
fn the_same_bytes_whatever_the_threads_and_the_order_of_rows() {
    let folder = Folder::new();
    let table = |name: &str, mut rows: Vec<String>, reversed: bool| {
        if reversed {
            rows.reverse();
        }
        folder.file(name, format!("Well,Easting,Northing,Elevation\n{}\n", rows.concat()))
    };
    let rows = table_rows(2020, 1400.0);
    for surface in ["kriging", "thin-plate"] {
        let mut found = Vec::new();
        for (k, threads) in ["1", "3", "2"].into_iter().enumerate() {
            let source = table(&format!("{surface}-{k}/wells.csv"), rows.clone(), k == 2);
            let out = folder.path().join(format!("{surface}-{k}/out"));
            let asked = ["draw", "--crs", "EPSG:26915", "--unit", "m", "--data-only", "--quiet"];
            let surface = ["--surface", surface, "--cell", "20", "--threads", threads, "--out"];
            runs(&[&asked[..], &surface].concat(), &[&out, &source]);
            let summary = json(out.join("summary.json"));
            found.push((
                std::fs::read(out.join("surface.tif")).expect("a raster"),
                text(out.join("contours.geojson")),
                summary["kriging"].to_string(),
            ));
        }
        assert!(found[0] == found[1], "{surface}: threads leave no trace");
        assert!(found[0] == found[2], "{surface}: the order of rows leaves no trace");
    }
}

/// A tenth of the memory that the equations need: a refusal that says so, and no panic.
#[cfg(target_os = "linux")]
#[test]
fn too_little_memory_is_a_refusal() {
    let folder = Folder::new();
    let rows = table_rows(12_000, 3300.0).concat();
    let source = folder.file("wells.csv", format!("Well,Easting,Northing,Elevation\n{rows}"));
    for surface in ["kriging", "thin-plate"] {
        let asked = ["draw", "--crs", "EPSG:26915", "--unit", "m", "--data-only", "--quiet"];
        let surface = ["--surface", surface, "--cell", "50", "--threads", "2", "--out"];
        let paths = [folder.path().join("out"), source.clone()].map(|p| p.display().to_string());
        let paths = paths.each_ref().map(String::as_str);
        let run = limited("-v 600000", &[&asked[..], &surface, &paths].concat());
        ends(&run, 2);
        let told = stderr(&run);
        for part in ["M407", "equations of 12000 wells need", "allow more memory"] {
            assert!(told.contains(part), "{part}: {told}");
        }
        assert!(!told.contains("panicked"), "{told}");
        assert!(!folder.path().join("out").exists(), "nothing is written");
    }
}
