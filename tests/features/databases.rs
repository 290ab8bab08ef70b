//! GeoPackages whose tables are queries: they are named and not run, however long they would take.
//! All sites are invented; the tables are made with SQL through GDAL.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use gdal::vector::sql::Dialect;
use gdal::{Dataset, DatasetOptions, GdalOpenFlags};
use headfall::diag::Code;

use super::files::{Drawn, WELLS, area, write};
use super::{read, site};
use crate::support::{Folder, gives, of};

/// A query of a few words that nobody waits for.
const ENDLESS: &str = "(WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < \
                       1000000000000) SELECT count(*) FROM n)";

/// Much longer than a refusal takes.
const SOON: Duration = Duration::from_secs(20);

/// A site with a boundary in a GeoPackage, which has the layer `yard` and what the statements make.
fn with(file: &str, layer: Option<&str>, statements: &[&str]) -> (Folder, PathBuf) {
    let layer = layer.map_or_else(String::new, |name| format!(", layer = \"{name}\""));
    let folder = site(&WELLS, &format!("[features]\nboundary = {{ file = \"{file}\"{layer} }}\n"));
    let path = folder.path().join(file);
    std::fs::create_dir_all(path.parent().expect("a folder")).expect("made");
    let made = folder.path().join("made.gpkg");
    write("GPKG", &made, Some(26915), "yard", &[Drawn { wkt: &area(), name: "Yard", stage: 0.0 }]);
    change(&made, statements);
    std::fs::rename(made, &path).expect("moved");
    (folder, path)
}

fn change(path: &Path, statements: &[&str]) {
    let options = DatasetOptions {
        open_flags: GdalOpenFlags::GDAL_OF_VECTOR | GdalOpenFlags::GDAL_OF_UPDATE,
        ..DatasetOptions::default()
    };
    let data = Dataset::open_ex(path, options).expect("opened");
    for statement in statements {
        data.execute_sql(statement, None, Dialect::DEFAULT)
            .unwrap_or_else(|e| panic!("{statement}: {e}"));
    }
    data.close().expect("closed");
}

/// Makes a view known as a layer, as a GIS does.
const KNOWN: [&str; 2] = [
    "INSERT INTO gpkg_contents (table_name, data_type, identifier, srs_id) \
     VALUES ('shown', 'features', 'shown', 26915)",
    "INSERT INTO gpkg_geometry_columns VALUES ('shown', 'geom', 'POLYGON', 26915, 0, 0)",
];

#[test]
fn r119_a_view_is_named_and_not_run() {
    let endless = format!("CREATE VIEW shown AS SELECT * FROM yard WHERE {ENDLESS} > 0");
    let of_format = format!("CREATE VIEW gpkg_contents AS SELECT * FROM c WHERE {ENDLESS} > 0");
    let view = [endless.as_str(), KNOWN[0], KNOWN[1]];
    // What the format itself has to say is a query.
    let format = ["ALTER TABLE gpkg_contents RENAME TO c", of_format.as_str()];
    let column = ["ALTER TABLE yard ADD COLUMN slow TEXT AS (hex(zeroblob(stage + 9))) VIRTUAL"];
    let none_else = [endless.as_str(), KNOWN[0], KNOWN[1], "DELETE FROM yard"];
    for (layer, statements, told_of) in [
        (Some("shown"), &view[..], "shown"),
        (None, &none_else[..], "shown"),
        (None, &format[..], "gpkg_contents"),
        (None, &column[..], "yard"),
        (Some("yard"), &column[..], "yard"),
    ] {
        let (folder, path) = with("yard.gpkg", layer, statements);
        let before = std::fs::read(&path).expect("bytes");
        let begun = Instant::now();
        let refused = read(&folder).expect_err("refused");
        assert!(begun.elapsed() < SOON, "{statements:?}: {:?}", begun.elapsed());
        let told = of(Code::FeatureUnusable, &refused);
        let [told] = told[..] else { panic!("{statements:?}: {refused:?}") };
        let start = format!("layer \"{told_of}\" of yard.gpkg is a view or has computed columns");
        assert!(told.message.starts_with(&start), "{}", told.message);
        assert!(told.advice.is_some());
        assert_eq!(told.origins.len(), 2, "the file and its line in site.toml: {told:?}");
        assert!(before == std::fs::read(&path).expect("bytes"), "{statements:?}");
    }
}

#[test]
fn tables_beside_views_and_with_triggers_are_read() {
    let endless = format!("CREATE VIEW shown AS SELECT * FROM yard WHERE {ENDLESS} > 0");
    let view = [endless.as_str(), KNOWN[0], KNOWN[1]];
    let trigger =
        ["CREATE TRIGGER t AFTER INSERT ON yard BEGIN DELETE FROM yard WHERE stage = 7; END"];
    let stored = ["CREATE TABLE other (a INTEGER, b INTEGER AS (a + 1) VIRTUAL)"];
    for (layer, statements) in
        [(None, &view[..]), (Some("yard"), &view[..]), (None, &trigger[..]), (None, &stored[..])]
    {
        let (folder, _) = with("yard.gpkg", layer, statements);
        let begun = Instant::now();
        let (site, findings) = read(&folder).unwrap_or_else(|e| panic!("{statements:?}: {e:?}"));
        assert!(begun.elapsed() < SOON);
        assert_eq!(site.features.boundary.len(), 1, "{findings:?}");
    }
}

/// SQLite takes % in a name for an escape: such a file is opened by its own name, and not at all
/// where that would lay a log beside it.
#[test]
fn a_name_with_a_percent_sign_is_read_and_leaves_nothing() {
    for (file, logged) in
        [("50%25 yards/yard.gpkg", false), ("a b#c?d/y%rd.gpkg", false), ("y%20.gpkg", true)]
    {
        let (folder, path) = with(file, None, &[]);
        if logged {
            // Bytes 18 and 19 of an SQLite file: changes go through a write-ahead log (SQLite,
            // Database File Format, 1.3.3).
            let mut bytes = std::fs::read(&path).expect("bytes");
            bytes[18..20].copy_from_slice(&[2, 2]);
            std::fs::write(&path, bytes).expect("written");
        }
        let before = std::fs::read(&path).expect("bytes");
        match read(&folder) {
            Ok((site, _)) => {
                assert!(!logged);
                assert_eq!(site.features.boundary.len(), 1);
            }
            Err(refused) => {
                assert!(logged, "{refused:?}");
                gives(&refused[0], &["%"]);
            }
        }
        assert!(before == std::fs::read(&path).expect("bytes"));
        let beside = std::fs::read_dir(path.parent().expect("a folder")).expect("entries");
        let beside = beside.filter(|e| {
            let name = e.as_ref().expect("an entry").file_name();
            name.to_string_lossy().contains(".gpkg")
        });
        assert_eq!(beside.count(), 1, "{file}");
    }
    // A view is seen there too.
    let endless = format!("CREATE VIEW shown AS SELECT * FROM yard WHERE {ENDLESS} > 0");
    let view = [endless.as_str(), KNOWN[0], KNOWN[1]];
    let (folder, _) = with("50%25 yards/y#?%41.gpkg", Some("shown"), &view);
    let refused = read(&folder).expect_err("refused");
    assert_eq!(of(Code::FeatureUnusable, &refused).len(), 1, "{refused:?}");
}
