//! Files that were not read and look as if they should have been: almost named right, a round
//! saved as a workbook, a layer that the settings do not name.

#![expect(
    clippy::disallowed_methods,
    reason = "files that were passed over are found by their names"
)]

use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use serde::Deserialize;

use crate::diag::{Code, Diagnostic, Origin, listed};
use crate::read::files::input;
use crate::read::files::names::{MEASURING_POINTS, REGISTERS, ROUNDS, SITE_TOML, WELLS, WORKBOOKS};
use crate::read::files::record;
use crate::read::rounds::open;
use crate::read::rounds::round_files;
use crate::read::settings::declared::Declared;
use crate::read::table::rows::shown;

/// The folder where layers usually lie.
const FEATURES: &str = "features";

/// The folders of a site that hold its inputs and nothing else.
pub(crate) const OF_INPUTS: [&str; 2] = [ROUNDS, FEATURES];

/// What a table, a workbook, a copy or an archive of one ends in.
const TABLES: [&str; 19] = [
    "csv", "txt", "tsv", "tab", "dat", "prn", "asc", "xls", "xlsx", "xlsm", "xlsb", "ods",
    "numbers", "bak", "old", "orig", "gz", "zip", "toml",
];

/// What a layer or a raster ends in.
const LAYERS: [&str; 13] = [
    "geojson", "shp", "gpkg", "fgb", "gdb", "tab", "mif", "dxf", "csv", "tif", "tiff", "asc", "img",
];

/// What a datum grid ends in.
const GRID: &str = "gsb";

/// What texts about a folder are called, in every ending.
const ABOUT: [&str; 5] = ["readme", "note", "licence", "license", "about"];

/// A file and why it was not read.
type Unread = (String, String);

/// Tells, in one warning, the files of a site folder that were not read and look as if they
/// should have been (R124). `declared` is nothing where the settings could not be read.
pub(in crate::read) fn tell(
    folder: &Path,
    declared: Option<&Declared>,
    said: &mut Vec<Diagnostic>,
) {
    let register = declared.and_then(|d| d.register.as_ref()).map(|r| r.file.as_str());
    let mut found = at_the_top(folder, register);
    found.extend(in_rounds(folder));
    if let Some(declared) = declared {
        found.extend(grids(folder, declared));
        let raster = declared.receptors.ground.as_ref().map(|g| g.raster.as_str());
        let named = declared.features.names().chain(raster).chain(register);
        let named = named.map(|file| folder.join(file));
        // The frame of a raster may be a TAB file, which looks like a layer of its own.
        let with_parts = named.flat_map(|file| {
            let parts = record::together(&file).unwrap_or_default();
            parts.into_iter().chain([file])
        });
        let named = with_parts.filter_map(|file| record::placed(&file)).collect();
        found.extend(in_features(folder, &named));
    }
    warn(found, said);
}

/// The same of settings beside a single table.
pub(in crate::read) fn tell_settings(folder: &Path, said: &mut Vec<Diagnostic>) {
    let settings = |name: &String| looks_like(name, SITE_TOML) && name != SITE_TOML;
    let found = names(folder).into_iter().filter(settings);
    warn(found.map(|name| (name, instead(SITE_TOML))).collect(), said);
}

fn warn(mut found: Vec<Unread>, said: &mut Vec<Diagnostic>) {
    if found.is_empty() {
        return;
    }
    found.sort();
    let message = format!(
        "{} not read: {}",
        if found.len() == 1 {
            "a file that looks like site input was".to_owned()
        } else {
            format!("{} files that look like site input were", found.len())
        },
        listed(found.iter().map(|(name, why)| format!("{} ({why})", shown(name))))
    );
    let mut warning = Diagnostic::new(Code::FileNotRead, message).advice(
        "if the map needs the file, rename it, save it as CSV, declare it in site.toml or move it \
         to its folder; otherwise move it elsewhere",
    );
    for (name, _) in &found {
        warning = warning.at(&Origin::file(name));
    }
    said.push(warning);
}

fn instead(name: &str) -> String {
    format!("only {name} is read")
}

/// What lies in the site folder itself, with a register that the settings name.
fn at_the_top(folder: &Path, register: Option<&str>) -> Vec<Unread> {
    const READ: [&str; 3] = [SITE_TOML, WELLS, MEASURING_POINTS];
    let present = || open::present(folder, WELLS, &REGISTERS);
    let wells = register.map_or_else(present, str::to_owned);
    let points = open::present(folder, MEASURING_POINTS, &[&WORKBOOKS]);
    let results = results(folder);
    let mut found = Vec::new();
    for name in names(folder) {
        let read = [SITE_TOML, &wells, &points].contains(&name.as_str());
        if !read && open::is_layer(Path::new(&wells)) && is_register(&name) {
            found.push((name, instead(&wells)));
            continue;
        }
        if read || name == ROUNDS || results.contains(&name) {
            continue;
        }
        if folder.join(&name).is_dir() {
            if plain(&name) == plain(ROUNDS) {
                found.push((name, instead(ROUNDS)));
            }
            continue;
        }
        let like = READ.into_iter().find(|read| looks_like(&name, read));
        match like {
            // The workbook that the table was saved from, or a copy of it.
            Some(read) if is_other_form(&name, read) && input::there(&folder.join(read)) => {}
            Some(WELLS) => found.push((name, instead(&wells))),
            Some(read) => found.push((name, instead(read))),
            None if is_dated_table(&name) => {
                found.push((name, format!("rounds are read from the folder {ROUNDS}")));
            }
            None => {}
        }
    }
    found
}

/// Whether a name is that of a register, in any of its forms.
fn is_register(name: &str) -> bool {
    let same = |other: &str| Path::new(name) == Path::new(WELLS).with_extension(other);
    REGISTERS.iter().copied().flatten().any(|ending| same(ending))
}

/// Datum grids in the site folder that the settings do not name.
fn grids(folder: &Path, declared: &Declared) -> Vec<Unread> {
    let named: Vec<_> =
        declared.grids.iter().filter_map(|grid| record::placed(&folder.join(&grid.file))).collect();
    let is_grid = |name: &String| {
        let ending = Path::new(name).extension();
        let is_other =
            || record::placed(&folder.join(name)).is_none_or(|path| !named.contains(&path));
        ending.is_some_and(|ending| ending.eq_ignore_ascii_case(GRID)) && is_other()
    };
    let why = "only datum grids named under [crs] are used";
    names(folder).into_iter().filter(is_grid).map(|name| (name, why.to_owned())).collect()
}

/// What lies in the folder of the rounds.
fn in_rounds(folder: &Path) -> Vec<Unread> {
    let inside = folder.join(ROUNDS);
    let all = names(&inside);
    let (read, others): (Vec<String>, Vec<String>) =
        all.into_iter().partition(|name| round_files::is_round(Path::new(name)));
    let results = results(&inside);
    let mut found = Vec::new();
    for name in others.into_iter().filter(|name| !results.contains(name)) {
        let why = if inside.join(&name).is_dir() {
            if names(&inside.join(&name)).is_empty() {
                continue;
            }
            "folders inside rounds are not searched"
        } else {
            let (stem, endings) = taken_apart(&name);
            let table = !endings.is_empty() || (is_dated(stem) && has_no_ending(&name));
            let other_form = read.iter().any(|read| is_other_form(&name, read));
            if !table || other_form || ABOUT.iter().any(|about| plain(stem).starts_with(about)) {
                continue;
            }
            "a round must be a .csv file or a workbook"
        };
        found.push((format!("{ROUNDS}/{name}"), why.to_owned()));
    }
    found
}

/// Layers and rasters in the folder of features that the settings do not name.
fn in_features(folder: &Path, named: &BTreeSet<PathBuf>) -> Vec<Unread> {
    let mut found = Vec::new();
    for inside in names(folder).into_iter().filter(|name| plain(name) == plain(FEATURES)) {
        let results = results(&folder.join(&inside));
        for name in names(&folder.join(&inside)) {
            let path = folder.join(&inside).join(&name);
            let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase());
            let is_layer = ending.is_some_and(|e| LAYERS.contains(&e.as_str()));
            let declared = record::placed(&path).is_some_and(|path| named.contains(&path));
            if is_layer && !declared && !results.contains(&name) {
                found.push((format!("{inside}/{name}"), format!("{SITE_TOML} does not name it")));
            }
        }
    }
    found
}

/// The names in a folder that nobody hides: editors, spreadsheets and headfall leave hidden and
/// lock files behind. Sorted; none where it cannot be listed.
fn names(folder: &Path) -> Vec<String> {
    let entries = input::or_here(folder).read_dir().into_iter().flatten().flatten();
    let mut names: Vec<String> = entries
        .map(|entry| entry.file_name())
        .map(|name: std::ffi::OsString| OsStr::to_string_lossy(&name).into_owned())
        .filter(|name| !name.starts_with(['.', '~']))
        .collect();
    names.sort();
    names
}

/// The files that results in a folder name as theirs.
fn results(folder: &Path) -> Vec<String> {
    #[derive(Deserialize)]
    struct Summary {
        files: Vec<String>,
    }
    let text = input::load(&folder.join("summary.json"), "summary.json").ok();
    let summary = text.and_then(|t| serde_json::from_str::<Summary>(&t.text).ok());
    summary.map(|s| s.files).unwrap_or_default()
}

/// A name without the endings of tables, and these endings in lower case, the last one first. Some
/// editors end the name of the file as it was before with a tilde.
fn taken_apart(name: &str) -> (&str, Vec<String>) {
    let mut stem = name.trim_end_matches('~');
    let mut endings = Vec::new();
    if stem != name {
        endings.push("~".to_owned());
    }
    while let Some((before, ending)) = stem.rsplit_once('.') {
        let ending = ending.to_lowercase();
        if !TABLES.contains(&ending.as_str()) {
            break;
        }
        stem = before;
        endings.push(ending);
    }
    (stem, endings)
}

/// What is left of a name when case, marks between words and the plural do not count.
fn plain(name: &str) -> String {
    let letters = name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase);
    letters.collect::<String>().trim_end_matches('s').to_owned()
}

/// Whether a name is almost that of a file that is read.
fn looks_like(name: &str, read: &str) -> bool {
    let ((stem, endings), (wanted, _)) = (taken_apart(name), taken_apart(read));
    let settings = read == SITE_TOML;
    // A table may well be called after the site.
    let fits = endings.is_empty() || !settings || endings.iter().any(|e| e == "toml");
    fits && plain(stem) == plain(wanted)
}

/// Whether a name is that of a file that is read but for what it is saved as.
fn is_other_form(name: &str, read: &str) -> bool {
    let ((stem, endings), (wanted, its)) = (taken_apart(name), taken_apart(read));
    stem == wanted && endings.first() != its.first()
}

/// Whether a name begins with the digits of a year.
fn is_dated(name: &str) -> bool {
    name.chars().take_while(char::is_ascii_digit).count() >= 4
}

/// A table in the site folder that is called after a day, as rounds are.
fn is_dated_table(name: &str) -> bool {
    is_dated(name) && !taken_apart(name).1.is_empty()
}

/// Whether what stands behind the last point of a name, if any, is of a date.
fn has_no_ending(name: &str) -> bool {
    name.rsplit_once('.').is_none_or(|(_, e)| e.chars().all(|c| c.is_ascii_digit()))
}
