//! Register, surveys of measuring points and rounds, from bytes to heads; and one table or workbook alone.
#![no_main]

use headfall::read::Overrides;
use headfall::units::LengthUnit;
use headfall_fuzz::{Files, Folder, SITE, heads, parts};

/// One table with everything in it.
const SINGLE: &str = "levels.csv";

/// The same as a workbook: both kinds begin as an archive does.
const WORKBOOKS: [&str; 2] = ["levels.xlsx", "levels.ods"];

const NAMES: [&str; 5] =
    ["site.toml", "wells.csv", "measuring-points.csv", "rounds/r1.csv", "rounds/r2.csv"];

libfuzzer_sys::fuzz_target!(|input: &[u8]| {
    let alone = |name: &str, bytes: &[u8]| {
        let folder = Folder::of(&Files::from([(name, bytes)]));
        let overrides = Overrides {
            crs: Some("EPSG:26915".to_owned()),
            elevation_unit: Some(LengthUnit::Foot),
            ..Overrides::default()
        };
        heads(&folder.path().join(name), &overrides);
    };
    if input.starts_with(b"PK") {
        WORKBOOKS.iter().for_each(|name| alone(name, input));
        return;
    }
    let given = parts(input, SINGLE, |name| NAMES.contains(&name));
    if let Some(table) = given.get(SINGLE) {
        alone(SINGLE, table);
    }
    if given.keys().any(|name| *name != SINGLE) {
        let mut files = Files::from([("site.toml", SITE.as_bytes())]);
        files.extend(given.into_iter().filter(|(name, _)| *name != SINGLE));
        heads(Folder::of(&files).path(), &Overrides::default());
    }
});
