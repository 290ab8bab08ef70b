//! A whole small site from bytes to the report: the map with its paths, and the comparison.
#![no_main]

use headfall::Error;
use headfall::read::Overrides;
use headfall::run;
use headfall_fuzz::{Files, Folder, SITE, parts, refused, told};

const NAMES: [&str; 7] = [
    "site.toml",
    "wells.csv",
    "measuring-points.csv",
    "rounds/r1.csv",
    "rounds/r2.csv",
    "features.csv",
    "features.geojson",
];

/// Few rounds and dots, for speed.
const SMALL: &str = "[uncertainty]\nrealizations = 8\n[sheet]\ndpi = 50\n";

libfuzzer_sys::fuzz_target!(|input: &[u8]| {
    let settings = format!("{SITE}{SMALL}");
    let mut files = Files::from([("site.toml", settings.as_bytes())]);
    files.extend(parts(input, "rounds/r1.csv", |name| NAMES.contains(&name)));
    let (folder, results) = (Folder::of(&files), Folder::of(&Files::new()));
    let overrides = Overrides::default();

    // Where the water goes is asked too; a site without sources and receptors is refused that.
    for way in [run::draw, run::toward] {
        let (out, mut findings) = (results.path().join("map"), Vec::new());
        let drawn = way(folder.path(), &overrides, Some(&out), &mut findings);
        told(&findings);
        match drawn {
            Ok(drawn) => {
                for file in &drawn.files {
                    assert!(file.exists(), "{} was not written", file.display());
                }
                std::fs::remove_dir_all(out).expect("results");
            }
            Err(error) => {
                refused(&error);
                assert!(!matches!(error, Error::Write { .. }), "{error:?}");
                assert!(!out.exists(), "refused, and something was written");
            }
        }
    }
    let mut findings = Vec::new();
    if let Err(error) = run::cross_validate(folder.path(), &overrides, &mut findings) {
        refused(&error);
    }
    folder.untouched(&files);
});
