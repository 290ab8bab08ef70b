//! Vector files of every format through GDAL to features of a site.
#![no_main]

use headfall::read::Overrides;
use headfall_fuzz::{Files, Folder, SITE, heads, parts};

/// What a file is to the map stands in its name.
const ROLES: [&str; 5] = ["boundary", "barriers", "streams", "sources", "receptors"];

/// Endings of files that the settings name.
const NAMED: [&str; 9] = ["geojson", "shp", "gpkg", "fgb", "gdb", "tab", "mif", "dxf", "csv"];

/// Endings of files beside them.
const BESIDE: [&str; 14] = [
    "shx",
    "dbf",
    "prj",
    "cpg",
    "qix",
    "sbn",
    "dat",
    "map",
    "id",
    "ind",
    "mid",
    "csvt",
    "gpkg-wal",
    "shp.aux.xml",
];

/// Files of a geodatabase, which is a folder, have the ending of a kind and a number before it.
const TABLES: [&str; 7] =
    ["gdbtable", "gdbtablx", "gdbindexes", "atx", "spx", "freelist", "horizon"];

const WELLS: &str = "\
id,easting,northing,measuring point elevation
MW-1,478120.40,4977310.25,852.36
MW-2,478280.15,4977295.60,850.91
MW-3,478400.80,4977220.05,849.55
";

const ROUND: &str = "\
id,date,depth to water
MW-1,2026-04-14,11.30
MW-2,2026-04-14,11.51
MW-3,2026-04-14,11.02
";

fn known(name: &str) -> bool {
    let Some((role, ending)) = name.split_once('.') else { return false };
    let of_folder = |file: &str| {
        file == "gdb"
            || file == "timestamps"
            || file.len() < 60
                && !file.contains(['/', '\0'])
                && TABLES.iter().any(|kind| file.ends_with(kind))
    };
    ROLES.contains(&role)
        && (NAMED.contains(&ending)
            || BESIDE.contains(&ending)
            || ending.strip_prefix("gdb/").is_some_and(of_folder))
}

libfuzzer_sys::fuzz_target!(|input: &[u8]| {
    let given = parts(input, "boundary.geojson", known);
    let mut toml = format!("{SITE}[features]\n");
    for role in ROLES {
        let Some(ending) = NAMED.into_iter().find(|ending| {
            let name = format!("{role}.{ending}");
            given.keys().any(|part| *part == name || part.starts_with(&format!("{name}/")))
        }) else {
            continue;
        };
        let crs =
            if ["dxf", "csv", "mif"].contains(&ending) { ", crs = \"EPSG:26915\"" } else { "" };
        toml += &format!("{role} = {{ file = \"{role}.{ending}\"{crs} }}\n");
    }
    let mut files = Files::from([
        ("rounds/2026-04-14.csv", ROUND.as_bytes()),
        ("site.toml", toml.as_bytes()),
        ("wells.csv", WELLS.as_bytes()),
    ]);
    // A geodatabase is a folder: it cannot have the name of a file.
    files.extend(given.iter().filter(|(name, _)| !name.ends_with(".gdb")));
    let folder = Folder::of(&files);
    heads(folder.path(), &Overrides::default());
    folder.untouched(&files);
});
