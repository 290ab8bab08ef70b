//! Licences of everything in the program: `docs/licences.txt` is made here and held against the
//! crates that the program is built of. After a change of crates:
//!
//! ```sh
//! cargo test --release --locked licences_are_gathered -- --ignored
//! ```

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

use crate::support::{runs, text};

/// Where the program is built for: the targets that the check of licences and duplicates looks at.
fn targets() -> Vec<String> {
    let settings: toml::Table = text(checkout().join(".ci/deny.toml")).parse().expect("TOML");
    settings["graph"]["targets"].clone().try_into().expect("names of targets")
}

/// Of the licences that a crate offers, the first of these is taken, where all are met by printing
/// them.
const TAKEN: &[&str] = &[
    "MIT",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "Zlib",
    "Unicode-3.0",
    "Apache-2.0",
    "BSL-1.0",
    "Unlicense",
];

/// What marks a file as the text of each of them.
const MARKS: &[&str] =
    &["MIT", "BSD", "BSD", "ISC", "ZLIB", "UNICODE", "APACHE", "BOOST", "UNLICENSE"];

/// Parts of GDAL's source with terms of their own that `LICENSE.TXT` does not give: what they are,
/// a file that says so, and the licence it only names.
const OF_GDAL: &[(&str, &str, &str)] = &[
    ("libtiff", "frmts/gtiff/libtiff/tiff.h", ""),
    ("libgeotiff", "frmts/gtiff/libgeotiff/geotiff.h", "MIT"),
    ("zlib", "frmts/zlib/zlib.h", ""),
    ("libpng", "frmts/png/libpng/png.h", ""),
    (
        "libjpeg, on the work of which this software is based in part: the Independent JPEG Group's",
        "frmts/jpeg/libjpeg/jpeglib.h",
        "",
    ),
    ("json-c", "ogr/ogrsf_frmts/geojson/libjson/json.h", "MIT"),
    ("Lerc", "third_party/LercLib/Lerc.h", "Apache-2.0"),
    ("libdivide", "third_party/libdivide/libdivide.h", "Zlib"),
    ("libertiff", "third_party/libertiff/libertiff.hpp", "MIT"),
    ("FlatGeobuf", "ogr/ogrsf_frmts/flatgeobuf/packedrtree.h", "MIT"),
];

/// The same of PROJ's.
const OF_PROJ: &[(&str, &str, &str)] = &[
    ("JSON for Modern C++", "include/proj/internal/vendor/nlohmann/json.hpp", "MIT"),
    ("LRUCache11", "include/proj/internal/lru_cache.hpp", ""),
    ("geodesic routines", "src/geodesic.h", "MIT"),
];

/// What is in the program beside headfall, crates, GDAL and PROJ.
const MORE: &str = "\
The EPSG Geodetic Parameter Dataset, as PROJ's database holds it, is owned by the International
Association of Oil & Gas Producers (IOGP) and used under its terms of use (epsg.org). Data of IGNF and
Esri in the same database come under the terms that PROJ's COPYING states.

SQLite is in the public domain (sqlite.org/copyright.html).

GDAL's copy of fast_float states no terms; its authors give it out under MIT, Apache-2.0 or BSL-1.0
(copyright the fast_float authors). JSON for Modern C++, in PROJ, holds code under MIT by Florian Loitsch
(copyright 2009) and Bjoern Hoehrmann (copyright 2008-2009).

The Rust standard library: MIT or Apache-2.0, copyright the Rust Project contributors.
";

fn checkout() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn cargo(args: &[&str]) -> String {
    let output = Command::new(env!("CARGO"))
        .args(args)
        .args(["--locked", "--offline"])
        .current_dir(checkout())
        .output()
        .expect("cargo runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("text")
}

/// Name and version of each crate in the program, but for those that run while it is compiled.
fn crates(target: Option<&str>) -> BTreeSet<String> {
    let target = target.map_or(vec![], |t| vec!["--target", t]);
    let tree = ["tree", "-e", "normal,no-proc-macro", "--prefix", "none", "--format", "{p}"];
    let all = cargo(&[&tree[..], &target].concat());
    let crates = all.lines().map(|line| line.trim_end_matches(" (*)").to_owned());
    crates.filter(|c| !c.starts_with("headfall v")).collect()
}

#[test]
fn every_crate_in_the_program_stands_among_the_licences() {
    let text = text(checkout().join("docs/licences.txt"));
    let told: BTreeSet<&str> =
        text.lines().filter_map(|l| l.split_once(": ")).map(|l| l.0).collect();
    let missing: Vec<String> =
        crates(None).into_iter().filter(|c| !told.contains(c.as_str())).collect();
    let advice = "cargo test --release --locked licences_are_gathered -- --ignored";
    assert!(missing.is_empty(), "no licence of {missing:?}: run `{advice}`");
    let printed = runs(&["licences"], &[]);
    assert!(printed.stdout == text.as_bytes(), "headfall licences prints another text");
    for part in ["GDAL", "PROJ", "SQLite", "zlib", "libtiff", "EPSG", "Noto Sans", "SIL OPEN FONT"]
    {
        assert!(text.contains(part), "{part}");
    }
}

#[test]
#[ignore = "makes docs/licences.txt; run by hand after a change of crates"]
fn licences_are_gathered() {
    let metadata: Value =
        serde_json::from_str(&cargo(&["metadata", "--format-version", "1"])).expect("JSON");
    let mut wanted = BTreeSet::new();
    for target in targets() {
        wanted.extend(crates(Some(&target)));
    }
    let mut gathered = Gathered::default();
    let mut list = String::new();
    for package in metadata["packages"].as_array().expect("packages") {
        let word = |key: &str| package[key].as_str().unwrap_or_default();
        let name = format!("{} v{}", word("name"), word("version"));
        if !wanted.contains(&name) {
            continue;
        }
        let folder = Path::new(word("manifest_path")).parent().expect("a folder");
        // gdal-src states none for its build script; what it holds is GDAL.
        let licence = if word("name") == "gdal-src" { "MIT" } else { word("license") };
        let _ = writeln!(list, "{name}: {licence}");
        gathered.of_crate(&name, licence, folder, &authors(package));
        wanted.remove(&name);
    }
    assert!(wanted.is_empty(), "not among the packages: {wanted:?}");
    let text = format!(
        "Licences and notices of everything in headfall.\n\n{}headfall\n\n{}\n{}GDAL\n\n{}\n{}{}PROJ\n\n\
         {}\n{}{}Data, SQLite, the standard library\n\n{MORE}\n{}The fonts of sheet and page: Noto Sans\n\n{}\n\
         {}Crates\n\n{list}\n{}",
        RULE,
        read(&checkout().join("LICENSE")),
        RULE,
        read(&source("gdal-src", &metadata).join("source/LICENSE.TXT")),
        noted(OF_GDAL, &source("gdal-src", &metadata).join("source")),
        RULE,
        read(&proj(&metadata).join("COPYING")),
        noted(OF_PROJ, &proj(&metadata)),
        RULE,
        RULE,
        read(&checkout().join("src/draw/fonts/OFL.txt")),
        RULE,
        gathered.text(),
    );
    let lines: Vec<&str> = text.lines().map(str::trim_end).collect();
    fs::write(checkout().join("docs/licences.txt"), lines.join("\n") + "\n").expect("written");
}

const RULE: &str =
    "================================================================================\n";

fn read(path: &Path) -> String {
    let bytes = fs::read(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    String::from_utf8_lossy(&bytes).replace('\r', "")
}

/// The folder of a crate's source.
fn source(name: &str, metadata: &Value) -> PathBuf {
    let packages = metadata["packages"].as_array().expect("packages");
    let package = packages.iter().find(|p| p["name"] == name).expect("the crate");
    let manifest = package["manifest_path"].as_str().expect("a path");
    Path::new(manifest).parent().expect("a folder").to_owned()
}

/// PROJ's source, which its crate holds packed.
fn proj(metadata: &Value) -> PathBuf {
    let folder = source("proj-sys", metadata).join("PROJSRC");
    let packed = fs::read_dir(folder).expect("a folder").map(|e| e.expect("an entry").path());
    let packed = packed.into_iter().find(|p| p.extension().is_some_and(|e| e == "gz"));
    let packed = packed.expect("PROJ's source");
    let beside = std::env::temp_dir().join("headfall-licences");
    fs::create_dir_all(&beside).expect("a folder");
    let done = Command::new("tar").arg("xzf").arg(&packed).arg("-C").arg(&beside).status();
    assert!(done.expect("tar runs").success());
    let name = packed.file_name().expect("a name").to_string_lossy().into_owned();
    beside.join(name.trim_end_matches(".tar.gz"))
}

fn authors(package: &Value) -> String {
    let authors: Vec<&str> =
        package["authors"].as_array().into_iter().flatten().filter_map(Value::as_str).collect();
    let name = package["name"].as_str().expect("a name");
    if authors.is_empty() { format!("the authors of {name}") } else { authors.join(", ") }
}

/// What the heads of files say of copyright, and the licence that they name.
fn noted(parts: &[(&str, &str, &str)], source: &Path) -> String {
    let mut all = String::new();
    for (what, file, named) in parts {
        let text = read(&source.join(file));
        let comment = head(&text).unwrap_or_else(|| panic!("{file} says nothing of copyright"));
        let _ = write!(all, "-- {what}\n\n{comment}\n");
        if !named.is_empty() {
            let _ = writeln!(all, "Its terms are those of {named}, which stand below.");
        }
        all.push('\n');
    }
    all
}

/// The comments at the head of a file that speak of copyright, without the marks of comments.
fn head(text: &str) -> Option<String> {
    let (mut said, mut comment) = (Vec::new(), Vec::new());
    let mut open = false;
    for line in text.lines().take(HEAD).chain([""]) {
        let bare = line.trim();
        if open || bare.starts_with("/*") || bare.starts_with("//") {
            open = (open || bare.starts_with("/*")) && !bare.contains("*/");
            comment.push(bare.trim_matches(['/', '*', ' ', '\t']));
        } else if !comment.is_empty() {
            let whole = comment.join("\n");
            comment.clear();
            if whole.to_lowercase().contains("copyright") {
                said.push(whole.trim_matches('\n').to_owned());
            }
        }
    }
    (!said.is_empty()).then(|| said.join("\n\n"))
}

/// Notices stand in so many first lines of a file.
const HEAD: usize = 400;

/// Texts, and for each the crates that come under it with their copyright lines.
#[derive(Default)]
struct Gathered(BTreeMap<String, Text>);

#[derive(Default)]
struct Text {
    shown: String,
    holders: BTreeMap<Vec<String>, Vec<String>>,
}

impl Gathered {
    fn of_crate(&mut self, name: &str, licence: &str, folder: &Path, authors: &str) {
        let plain = licence.replace('/', " OR ").replace(['(', ')'], "");
        for offered in plain.split(" AND ") {
            let offered: Vec<&str> = offered.split(" OR ").map(str::trim).collect();
            let taken = TAKEN.iter().position(|t| offered.contains(t));
            let taken = taken.unwrap_or_else(|| panic!("{name}: {licence} is none of {TAKEN:?}"));
            let texts = texts(folder, MARKS[taken]);
            if texts.is_empty() {
                assert_eq!(TAKEN[taken], "MIT", "{name} comes without its licence");
                self.add(name, &format!("Copyright (c) {authors}\n\n{}", mit()));
            }
            for text in &texts {
                self.add(name, text);
            }
        }
        for notice in named(folder, &["NOTICE"]) {
            self.add(name, &read(&notice));
        }
    }

    fn add(&mut self, name: &str, text: &str) {
        let (mut holders, mut body): (Vec<String>, Vec<&str>) = (Vec::new(), Vec::new());
        for (number, line) in text.lines().enumerate() {
            let bare = line.trim();
            if number < 20 && is_copyright(bare) {
                holders.push(bare.to_owned());
            } else if !is_title(bare) {
                body.push(line);
            }
        }
        let body = body.join("\n");
        let words: Vec<&str> = body.split_whitespace().collect();
        let told = self.0.entry(words.join(" ")).or_default();
        if told.shown.is_empty() {
            body.trim_matches('\n').clone_into(&mut told.shown);
        }
        told.holders.entry(holders).or_default().push(name.to_owned());
    }

    fn text(&self) -> String {
        let mut all = String::new();
        for text in self.0.values() {
            all += RULE;
            for (holders, names) in &text.holders {
                let _ = writeln!(all, "{}", names.join(", "));
                for holder in holders {
                    let _ = writeln!(all, "    {holder}");
                }
            }
            let _ = write!(all, "\n{}\n\n", text.shown);
        }
        all
    }
}

fn is_copyright(line: &str) -> bool {
    let line = line.trim_start_matches(['*', '/', '-', ' ']).to_lowercase();
    line.strip_prefix("copyright").is_some_and(|rest| {
        let rest = rest.trim_start_matches([':', ' ']);
        rest.starts_with("(c)")
            || rest.starts_with('\u{a9}')
            || rest.starts_with(|c: char| c.is_ascii_digit())
    })
}

fn is_title(line: &str) -> bool {
    let line = line.trim_matches(['#', ' ', '=', '*']).to_lowercase();
    [
        "mit license",
        "the mit license",
        "the mit license (mit)",
        "mit license (mit)",
        "all rights reserved.",
    ]
    .contains(&line.as_str())
}

/// The MIT licence as headfall's own file has it.
fn mit() -> String {
    let own = read(&checkout().join("LICENSE"));
    let start = own.find("Permission is").expect("the licence");
    own[start..].to_owned()
}

/// The licence files of a crate: those marked, else those without any mark.
fn texts(folder: &Path, mark: &str) -> Vec<String> {
    let files = named(folder, &["LICEN", "COPYING", "UNLICENSE"]);
    let upper = |path: &Path| path.file_name().expect("a name").to_string_lossy().to_uppercase();
    let marked: Vec<&PathBuf> = files.iter().filter(|f| upper(f).contains(mark)).collect();
    let plain = files.iter().filter(|f| MARKS.iter().all(|m| !upper(f).contains(m)));
    let chosen = if marked.is_empty() { plain.collect() } else { marked };
    chosen.into_iter().map(|f| read(f)).collect()
}

/// Files of a crate whose names begin so, also those of libraries that it holds.
fn named(folder: &Path, starts: &[&str]) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![(folder.to_owned(), 0)];
    while let Some((next, depth)) = folders.pop() {
        for entry in fs::read_dir(next).expect("a folder") {
            let path = entry.expect("an entry").path();
            let name = path.file_name().expect("a name").to_string_lossy().to_uppercase();
            if path.is_dir() {
                // GDAL's and PROJ's are told for themselves.
                let inside =
                    depth == 0 && !["SOURCE", "PROJSRC", "TESTS", "TARGET"].contains(&&*name);
                folders.extend(inside.then(|| (path, depth + 1)));
            } else if starts.iter().any(|s| name.starts_with(s))
                && path.extension().is_none_or(|ending| ending != "rs")
            {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}
