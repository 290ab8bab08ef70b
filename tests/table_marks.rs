//! Tables of text with the delimiter and the decimal mark that a site declares for its own, and with a byte order mark.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use crate::support::{Folder, contents, runs, sample};

/// Tables of a map.
const TABLES: [&str; 4] = ["heads.csv", "triangles.csv", "water-levels.csv", "wells.csv"];

const TOML: &str = "[site]\nname = \"Mill; Field\"\ncrs = \"EPSG:26915\"\nelevation_unit = \"m\"\n\
                    depth_unit = \"m\"\nvertical_datum = \"NAVD 88\"\n";

/// With decimal commas and semicolons; a well has the name of a number.
const WELLS: &str = "id;easting;northing;measuring_point_elevation_m\nA;480000,5;4980000;12,5\n\
                     1.5;480100,5;4980000;12,25\nC;480000;4980100,25;12,125\nD;480100;4980100;11,875\n";
const ROUND: &str = "id;date;depth_to_water_m\nA;2026-04-14;2,5\n1.5;2026-04-14;2,75\nC;2026-04-14;2,25\n\
                     D;2026-04-14;2,625\n";

/// The site with tables as they are, or with points and commas, and more lines of `site.toml`.
fn site(has_comma: bool, more: &str) -> Folder {
    let own = |table: &str| {
        if has_comma { table.to_owned() } else { table.replace(',', ".").replace(';', ",") }
    };
    Folder::new()
        .with("site/site.toml", format!("{TOML}{more}"))
        .with("site/wells.csv", own(WELLS))
        .with("site/rounds/spring.csv", own(ROUND))
}

fn drawn(folder: &Folder) -> PathBuf {
    let out = folder.at("out");
    runs(&["draw", "--quiet", "--data-only", "--out"], &[&out, &folder.at("site")]);
    out
}

fn rows(bytes: &[u8], delimiter: u8) -> Vec<csv::StringRecord> {
    let mut reader =
        csv::ReaderBuilder::new().delimiter(delimiter).has_headers(false).from_reader(bytes);
    reader.records().map(|row| row.expect("a row")).collect()
}

/// Holds a table with decimal commas against the same with points; how many cells have another mark.
fn changed(name: &str, commas: &[u8], points: &[u8], delimiter: u8) -> usize {
    let (commas, points) = (rows(commas, delimiter), rows(points, b','));
    assert_eq!(commas.len(), points.len(), "{name}");
    let mut changed = 0;
    for (here, there) in commas.iter().zip(&points) {
        assert_eq!(here.len(), there.len(), "{name}: {here:?}");
        for (here, there) in here.iter().zip(there).filter(|(here, there)| here != there) {
            assert!(there.parse::<f64>().is_ok(), "{name}: {there} is no number");
            assert_eq!(here, there.replace('.', ","), "{name}");
            changed += 1;
        }
    }
    changed
}

#[test]
fn tables_are_written_as_the_sites_own_and_say_the_same() {
    let plain = contents(&drawn(&site(false, "")));
    let tab = "[tables]\ndelimiter = \"\\t\"\ndecimal = \",\"\n";
    for (more, delimiter) in [("[tables]\ndecimal = \",\"\n", b';'), (tab, b'\t')] {
        let folder = match delimiter {
            b';' => site(true, more),
            _ => site(true, more)
                .with("site/wells.csv", WELLS.replace(';', "\t"))
                .with("site/rounds/spring.csv", ROUND.replace(';', "\t")),
        };
        let out = drawn(&folder);
        let files = contents(&out);
        for name in TABLES {
            assert!(changed(name, &files[name], &plain[name], delimiter) > 10, "{name}");
        }
        // A name stays what it is.
        assert!(
            rows(&files["wells.csv"], delimiter).iter().any(|row| row.iter().any(|c| c == "1.5"))
        );
        let verified = runs(&["verify", "--redraw", "--site"], &[&folder.at("site"), &out]);
        assert!(verified.status.success());
    }
}

#[test]
fn tables_of_all_commands_have_the_marks_of_the_site() {
    let folder = site(true, "[tables]\ndecimal = \",\"\n[output]\nbyte_order_mark = true\n")
        .with("site/rounds/autumn.csv", ROUND.replace("2026-04", "2026-10").replace("2,75", "2,5"))
        .with("site/rounds/winter.csv", ROUND.replace("2026-04", "2027-01").replace("2,75", "3,5"));
    let site = folder.at("site");
    for (command, more) in [
        ("draw", &[][..]),
        ("cross-validate", &[]),
        ("record", &[]),
        ("form", &[]),
        ("compare", &["spring", "autumn"]),
    ] {
        let out = folder.at(command);
        let paths = [
            &[out.as_path(), site.as_path()][..],
            &more.iter().map(std::path::Path::new).collect::<Vec<_>>(),
        ]
        .concat();
        runs(&[command, "--quiet", "--out"], &paths);
        let tables: BTreeMap<String, Vec<u8>> = contents(&out)
            .into_iter()
            .filter(|(name, _)| Path::new(name).extension() == Some("csv".as_ref()))
            .collect();
        assert!(!tables.is_empty(), "{command}");
        for (name, bytes) in tables {
            let text = bytes.strip_prefix("\u{feff}".as_bytes());
            let text = text.unwrap_or_else(|| panic!("{command}: {name} has no byte order mark"));
            let first = text.split(|b| *b == b'\n').next().expect("headings");
            assert!(first.contains(&b';') && !first.starts_with(b"\xef"), "{command}: {name}");
            let rows = rows(text, b';');
            let cells = || rows[1..].iter().flat_map(csv::StringRecord::iter);
            let points = cells().filter(|c| c.contains('.') && c.parse::<f64>().is_ok());
            assert_eq!(points.filter(|c| *c != "1.5").count(), 0, "{command}: {name}");
        }
    }
    // The field sheet goes into the rounds as it is.
    std::fs::copy(folder.at("form/form.csv"), folder.at("site/rounds/next.csv")).expect("copied");
    runs(
        &["draw", "--quiet", "--data-only", "--round", "autumn", "--out"],
        &[&folder.at("again"), &site],
    );
}

#[test]
fn answers_have_the_marks_too_and_a_byte_order_mark_is_all_that_is_added() {
    let folder = Folder::new();
    let (plain, marked) = (folder.at("plain"), folder.at("marked"));
    let site = folder.at("landfill");
    for (name, bytes) in contents(&sample("closed-landfill")) {
        folder.file(&format!("landfill/{name}"), bytes);
    }
    runs(&["toward", "--quiet", "--data-only", "--out"], &[&plain, &site]);
    let toml = String::from_utf8(contents(&site)["site.toml"].clone()).expect("text");
    folder.file("landfill/site.toml", format!("{toml}\n[output]\nbyte_order_mark = true\n"));
    runs(&["toward", "--quiet", "--data-only", "--out"], &[&marked, &site]);
    let (plain, marked) = (contents(&plain), contents(&marked));
    for name in TABLES.into_iter().chain(["receptors.csv"]) {
        assert!(marked[name] == ["\u{feff}".as_bytes(), &plain[name]].concat(), "{name}");
    }
}
