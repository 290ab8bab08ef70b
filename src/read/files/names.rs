//! The names of a site folder's files.

/// What is declared of the site.
pub(in crate::read) const SITE_TOML: &str = "site.toml";

/// The register.
pub(in crate::read) const WELLS: &str = "wells.csv";

/// Later surveys.
pub(in crate::read) const MEASURING_POINTS: &str = "measuring-points.csv";

/// What workbooks end in.
pub(in crate::read) const WORKBOOKS: [&str; 3] = ["xlsx", "xlsm", "ods"];

/// What vector files end in that may be a register.
pub(in crate::read) const LAYERS: [&str; 5] = ["gpkg", "shp", "fgb", "geojson", "gdb"];

/// What a register may end in besides `csv`.
pub(in crate::read) const REGISTERS: [&[&str]; 2] = [&WORKBOOKS, &LAYERS];

/// The folder of the rounds.
pub(in crate::read) const ROUNDS: &str = "rounds";
