//! Rules of the house that a machine can keep: which module may use which, where borrowed
//! libraries stay, how long a file may grow, that the files of a stage use each other one way, and
//! that documentation and program name the same findings, options, tolerances, equations and methods.
//!
//! Every rule is a function from text to complaints, and is shown below to complain about a text
//! that breaks it. Each complaint says what to do.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use headfall::diag::{Code, Severity};

/// No circles between the files of a stage.
mod circles;

/// What a method of interpolation may do stands in one table.
mod methods;

use crate::support::{runs, stdout};

/// Lines a source file may have before its tests.
const LONGEST: usize = 400;

/// Libraries that can be exchanged in one place because only that place names them.
const HOMES: &[(&str, &[&str])] = &[
    ("calamine", &["src/read/table/workbook.rs"]),
    ("chardetng", &["src/read/files/encoding.rs"]),
    ("encoding_rs", &["src/read/files/encoding.rs"]),
    ("quick_xml", &["src/xml.rs"]),
    ("rust_xlsxwriter", &["src/write/tables/workbook.rs"]),
    ("spade", &["src/triangulate/delaunay.rs"]),
    ("proj", &["src/geom/crs"]),
    ("proj_sys", &["src/sealed/"]),
    (
        "gdal",
        &[
            "src/read/features/vector.rs",
            "src/read/raster/geodetic_tiff.rs",
            "src/read/raster/picture.rs",
            "src/read/raster/pixels.rs",
            "src/write/",
        ],
    ),
    (
        "gdal_sys",
        &["src/sealed/", "src/read/features/vector.rs", "src/read/raster/pixels.rs", "src/write/"],
    ),
    ("gdal_src", &["src/write/"]),
    ("geojson", &["src/write/"]),
    // `main` parses, and needs the trait for it.
    ("clap", &["src/cli/", "src/main.rs"]),
];

/// So many files may speak to GDAL: its seal, what is read, datum grids, rasters, pictures, layers, drawings, how it behaves, and
/// tests.
const GDAL_FILES: usize = 10;

/// The parts of each section of `docs/findings.md`.
const PARTS: &[&str] = &["**What it means**", "**Why it matters for the map**", "**What to do**"];

// What is on disk.

/// A file and its name from the top of the package, with forward slashes.
struct Source {
    path: String,
    text: String,
}

impl Source {
    /// The module of the library it belongs to: `flow` for `src/flow/site.rs`.
    fn module(&self) -> &str {
        let inside = self.path.strip_prefix("src/").unwrap_or(&self.path);
        inside.split('/').next().map_or("", |first| first.trim_end_matches(".rs"))
    }

    fn is_library(&self) -> bool {
        !["main", "cli", "lib"].contains(&self.module())
    }

    /// Its lines without comments, counted from 1.
    fn code(&self) -> impl Iterator<Item = (usize, &str)> {
        let lines = self.text.lines().map(|line| line.split("//").next().unwrap_or_default());
        (1..).zip(lines)
    }
}

fn top() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn read(path: &str) -> String {
    fs::read_to_string(top().join(path)).unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// All files below a folder with an ending, sorted.
fn below(folder: &str, ending: &str) -> Vec<Source> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(top().join(&folder)).expect("a folder of the package") {
            let entry = entry.expect("readable");
            let path = format!("{folder}/{}", entry.file_name().to_string_lossy());
            if entry.path().is_dir() {
                folders.push(path);
            } else if path.ends_with(ending) {
                found.push(Source { text: read(&path), path });
            }
        }
    }
    found.sort_by(|a, b| a.path.cmp(&b.path));
    assert!(!found.is_empty(), "no {ending} below {folder}");
    found
}

/// README.md, where there is one, and everything in docs.
fn documentation() -> String {
    let readme = fs::read_to_string(top().join("README.md")).unwrap_or_default();
    below("docs", ".md").into_iter().map(|s| s.text).fold(readme, |all, text| all + "\n" + &text)
}

#[track_caller]
fn none(complaints: &[String]) {
    assert!(complaints.is_empty(), "\n{}\n", complaints.join("\n"));
}

// How text is taken apart.

fn is_name(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// What follows each place where a prefix stands as the start of a path.
fn after<'a>(line: &'a str, prefix: &'a str) -> impl Iterator<Item = &'a str> {
    line.match_indices(prefix)
        .filter(|(i, _)| !line[..*i].ends_with(is_name))
        .map(move |(i, _)| &line[i + prefix.len()..])
}

fn first_name(text: &str) -> &str {
    text.split(|c| !is_name(c)).next().unwrap_or_default()
}

/// Whether a line of code names a library: `name::` at the start of a path, or `use name`.
fn names_library(line: &str, name: &str) -> bool {
    line.match_indices(name).any(|(i, _)| {
        let (before, rest) = (&line[..i], &line[i + name.len()..]);
        let inside_a_path =
            before.strip_suffix("::").is_some_and(|b| b.ends_with(|c| is_name(c) || c == '>'));
        if before.ends_with(is_name) || rest.starts_with(is_name) || inside_a_path {
            return false;
        }
        let imported = ["use ", "extern crate "].iter().any(|word| before.ends_with(word));
        rest.starts_with("::") || imported
    })
}

/// Long options in a text: `--fail-on` of `[--fail-on <WEIGHT>]`.
fn options(text: &str) -> BTreeSet<String> {
    text.match_indices("--")
        .filter(|(i, _)| !text[..*i].ends_with(|c: char| is_name(c) || c == '-'))
        .map(|(i, _)| &text[i + 2..])
        .filter(|rest| rest.starts_with(|c: char| c.is_ascii_lowercase()))
        .map(|rest| {
            let end = rest.find(|c: char| !c.is_ascii_alphanumeric() && c != '-');
            format!("--{}", rest[..end.unwrap_or(rest.len())].trim_end_matches('-'))
        })
        .collect()
}

// Rule: look upstream only.

/// The modules that `lib.rs` declares, in its order.
fn declared(lib: &str) -> Vec<&str> {
    lib.lines()
        .filter_map(|line| {
            let line = line.trim();
            let line =
                line.strip_prefix("pub ").or(line.strip_prefix("pub(crate) ")).unwrap_or(line);
            line.strip_prefix("mod ")?.strip_suffix(';')
        })
        .collect()
}

fn upstream(lib: &str, sources: &[Source]) -> Vec<String> {
    let order = declared(lib);
    let place = |module: &str| order.iter().position(|m| *m == module);
    let mut complaints = Vec::new();
    for source in sources.iter().filter(|s| s.is_library()) {
        let Some(own) = place(source.module()) else {
            complaints.push(format!(
                "{}: lib.rs does not declare `{}`; declare it where it stands in the data's way",
                source.path,
                source.module()
            ));
            continue;
        };
        for (number, line) in source.code() {
            for name in after(line, "crate::").map(first_name).filter(|name| !name.is_empty()) {
                let complaint = match place(name) {
                    Some(other) if other <= own => continue,
                    Some(_) => format!(
                        "`{}` uses `{name}`, which lib.rs declares below it; move what is shared \
                         to a module above both",
                        source.module()
                    ),
                    None => format!("`crate::{name}` is not a module; name the module it is in"),
                };
                complaints.push(format!("{}:{number}: {complaint}", source.path));
            }
        }
    }
    complaints
}

/// Modules of the library that stand in another order in a text than in `lib.rs`.
fn out_of_order<'a>(lib: &str, named: impl Iterator<Item = &'a str>) -> Vec<String> {
    let order = declared(lib);
    let known: Vec<(usize, &str)> =
        named.filter_map(|name| Some((order.iter().position(|m| *m == name)?, name))).collect();
    let pairs = known.windows(2).filter(|pair| pair[0].0 >= pair[1].0);
    pairs.map(|p| format!("`{}` comes after `{}` in lib.rs", p[0].1, p[1].1)).collect()
}

#[test]
fn both_tables_of_the_stages_are_in_their_order() {
    let (lib, developers) = (read("src/lib.rs"), read("DEVELOPERS.md"));
    let rows = lib.lines().filter_map(|line| line.strip_prefix("//! | [`"));
    none(&out_of_order(&lib, rows.map(|row| first_name(row.trim_start_matches("mod@")))));
    let (_, list) = developers.split_once("```\nread ").expect("the list of stages");
    let (list, _) = list.split_once("```").expect("its end");
    none(&out_of_order(&lib, list.lines().map(first_name)));
    let other = "pub mod read;\npub mod check;\n";
    assert_eq!(out_of_order(other, ["check", "read"].into_iter()).len(), 1);
}

/// Ways round the rule above, which a reader of single lines would not see.
fn roundabout(sources: &[Source]) -> Vec<String> {
    let mut complaints = Vec::new();
    for source in sources {
        for (number, line) in source.code() {
            let joined: String = line.split_whitespace().collect();
            for (way, instead) in [
                ("crate::{", "write one `use crate::module::Name` for each module"),
                ("crate::*", "write one `use crate::module::Name` for each module"),
                ("super::super::", "write `crate::module::Name`"),
            ] {
                if joined.contains(way) {
                    complaints.push(format!("{}:{number}: `{way}`: {instead}", source.path));
                }
            }
        }
    }
    complaints
}

#[test]
fn modules_use_only_modules_declared_above_them() {
    none(&upstream(&read("src/lib.rs"), &below("src", ".rs")));
}

#[test]
fn paths_are_written_so_that_the_order_of_modules_can_be_checked() {
    none(&roundabout(&below("src", ".rs")));
}

// Rule: borrowed libraries stay home.

fn away_from_home(sources: &[Source]) -> Vec<String> {
    let mut complaints = Vec::new();
    for (library, homes) in HOMES {
        for source in sources {
            if homes.iter().any(|home| source.path.starts_with(home)) {
                continue;
            }
            for (number, line) in source.code().filter(|(_, line)| names_library(line, library)) {
                complaints.push(format!(
                    "{}:{number}: `{}` names {library}, whose home is {}; call a function from \
                     there instead",
                    source.path,
                    line.trim(),
                    homes.join(" and ")
                ));
            }
        }
    }
    complaints
}

fn too_many_gdal_files(sources: &[Source]) -> Vec<String> {
    let speaks = |s: &&Source| {
        s.code().any(|(_, l)| ["gdal", "gdal_sys", "gdal_src"].iter().any(|g| names_library(l, g)))
    };
    let files: Vec<&str> = sources.iter().filter(speaks).map(|s| s.path.as_str()).collect();
    if files.len() <= GDAL_FILES {
        return Vec::new();
    }
    vec![format!(
        "{} files name gdal, at most {GDAL_FILES} may: {}; bring their calls together",
        files.len(),
        files.join(", ")
    )]
}

#[test]
fn libraries_are_named_in_their_home_files_only() {
    let sources = below("src", ".rs");
    none(&away_from_home(&sources));
    none(&too_many_gdal_files(&sources));
}

// Rule: files stay short.

fn too_long(sources: &[Source]) -> Vec<String> {
    sources
        .iter()
        .filter(|s| !s.path.ends_with("/tests.rs"))
        .map(|s| (&s.path, lines_before_tests(&s.text)))
        .filter(|(_, lines)| *lines > LONGEST)
        .map(|(path, lines)| {
            format!("{path}: {lines} lines before its tests (bound {LONGEST}); split it")
        })
        .collect()
}

/// Lines above `#[cfg(test)]` and the module that it opens.
fn lines_before_tests(text: &str) -> usize {
    let lines: Vec<&str> = text.lines().collect();
    let opens_tests = |pair: &[&str]| {
        pair[0].trim() == "#[cfg(test)]" && pair[1].starts_with("mod ") && pair[1].ends_with('{')
    };
    lines.windows(2).position(opens_tests).unwrap_or(lines.len())
}

#[test]
fn source_files_stay_short() {
    none(&too_long(&below("src", ".rs")));
}

// Rule: numbers are formatted in one place, which refuses what is no number.

/// Places that are given so many decimals by the language instead of by `units`.
fn formatted_elsewhere(sources: &[Source]) -> Vec<String> {
    let mut complaints = Vec::new();
    for source in sources.iter().filter(|s| !s.path.starts_with("src/units/")) {
        let before_tests = lines_before_tests(&source.text);
        for (number, line) in source.code().take(before_tests) {
            let precise = |placeholder: &str| {
                let spec = placeholder.split_once(':').map_or("", |(_, spec)| spec);
                !placeholder.contains(char::is_whitespace) && spec.contains('.')
            };
            let mut placeholders =
                line.split('{').skip(1).filter_map(|rest| Some(rest.split_once('}')?.0));
            if let Some(found) = placeholders.find(|p| precise(p)) {
                complaints.push(format!(
                    "{}:{number}: {{{found}}} formats a number; use `fixed`, `significant`, `brief` \
                     or `brief_to` of `units`, which refuse what is not finite",
                    source.path
                ));
            }
        }
    }
    complaints
}

#[test]
fn numbers_are_formatted_by_units_alone() {
    none(&formatted_elsewhere(&below("src", ".rs")));
}

// Rule: every finding is explained.

fn word(severity: Severity) -> &'static str {
    match severity {
        Severity::Note => "note",
        Severity::Warning => "warning",
        Severity::Refusal => "error",
    }
}

/// Headings of the second level and what stands below each.
fn sections(document: &str) -> Vec<(&str, &str)> {
    let mut parts =
        format!("\n{document}").match_indices("\n## ").map(|(i, _)| i).collect::<Vec<_>>();
    parts.push(document.len());
    parts
        .windows(2)
        .map(|w| {
            let section = &document[w[0]..w[1]];
            let section = section.strip_prefix("## ").unwrap_or(section);
            section.split_once('\n').unwrap_or((section, ""))
        })
        .collect()
}

/// What is wrong with the explanations of these codes: id, title, severity.
fn unexplained(codes: &[(&str, &str, Severity)], document: &str) -> Vec<String> {
    let sections = sections(document);
    let expected: Vec<String> =
        codes.iter().map(|(id, title, _)| format!("{id} {title}")).collect();
    let mut complaints = Vec::new();
    for (heading, (_, _, severity)) in expected.iter().zip(codes) {
        let Some((_, body)) = sections.iter().find(|(found, _)| found == heading) else {
            complaints.push(format!(
                "docs/findings.md has no section `## {heading}`; write one with the parts {}",
                PARTS.join(", ")
            ));
            continue;
        };
        let said = format!("Severity: {}", word(*severity));
        if !body.lines().any(|l| l.starts_with(&said) && !l[said.len()..].starts_with(is_name)) {
            complaints.push(format!("section `{heading}`: a line must start with `{said}`"));
        }
        for part in PARTS {
            // A part's text stands in its own paragraph, behind its name and a colon.
            let text = body.split_once(part).map(|(_, rest)| rest.split("\n\n").next());
            let text = text.flatten().unwrap_or_default();
            if !text.starts_with(':') || text.trim_matches(|c| !is_name(c)).is_empty() {
                complaints.push(format!("section `{heading}`: write the part {part}: ..."));
            }
        }
    }
    let found: Vec<&str> = sections.iter().map(|(heading, _)| *heading).collect();
    for heading in found.iter().filter(|h| !expected.iter().any(|e| e == **h)) {
        complaints.push(format!(
            "docs/findings.md explains `{heading}`, which src/diag/code.rs does not have; correct \
             the heading or remove the section"
        ));
    }
    if complaints.is_empty() && found != expected {
        complaints.push(
            "docs/findings.md: bring the sections into the order of src/diag/code.rs, one for each \
             code"
                .to_owned(),
        );
    }
    complaints
}

#[test]
fn every_finding_has_its_section_and_every_section_its_finding() {
    let codes: Vec<_> = Code::ALL.iter().map(|c| (c.id(), c.title(), c.severity())).collect();
    none(&unexplained(&codes, &read("docs/findings.md")));
}

// Rule: every option is documented.

/// What the program prints for `--help`, and for that of each of its commands.
fn helps() -> Vec<String> {
    let help = |arguments: &[&str]| stdout(&runs(arguments, &[]));
    let whole = help(&["--help"]);
    // `help` is clap's own: it has the help of the others.
    let own = commands(&whole).into_iter().filter(|command| *command != "help");
    let mut helps: Vec<String> = own.map(|command| help(&[command, "--help"])).collect();
    assert!(!helps.is_empty(), "no commands in the help:\n{whole}");
    helps.push(whole);
    helps
}

/// The commands that a help text lists below `Commands:`.
fn commands(help: &str) -> Vec<&str> {
    help.lines()
        .skip_while(|line| line.trim() != "Commands:")
        .skip(1)
        .take_while(|line| !line.trim().is_empty())
        // Lines further in continue a description.
        .filter(|line| line.len() - line.trim_start().len() == 2)
        .filter_map(|line| line.split_whitespace().next())
        .collect()
}

fn undocumented(helps: &[String], documents: &str) -> Vec<String> {
    let offered: BTreeSet<String> = helps.iter().flat_map(|help| options(help)).collect();
    let documented = options(documents);
    offered
        .iter()
        // Every program has these two.
        .filter(|option| !["--help", "--version"].contains(&option.as_str()))
        .filter(|option| !documented.contains(*option))
        .map(|option| {
            format!("neither README.md nor docs/ says what {option} is for; write it there")
        })
        .collect()
}

#[test]
fn every_option_is_documented() {
    none(&undocumented(&helps(), &documentation()));
}

// Rule: every tolerance is documented with its value.

/// Names and values of the constants of a source text.
fn constants(source: &str) -> Vec<(&str, f64)> {
    source
        .lines()
        .filter_map(|line| {
            let (name, rest) = line.trim().strip_prefix("pub const ")?.split_once(':')?;
            let value = rest.split_once('=')?.1.trim().trim_end_matches(';');
            Some((name, value.replace('_', "").parse().ok()?))
        })
        .collect()
}

/// Whether a line holds a number of this value.
fn holds(line: &str, value: f64) -> bool {
    line.split(|c: char| !c.is_ascii_digit() && c != '.')
        .filter_map(|n| n.trim_end_matches('.').parse::<f64>().ok())
        .any(|n| n.total_cmp(&value).is_eq())
}

fn unstated(source: &str, documents: &str) -> Vec<String> {
    let constants = constants(source);
    constants
        .iter()
        .filter(|(name, value)| {
            let name = format!("`{name}`");
            !documents.lines().any(|line| line.contains(&name) && holds(line, *value))
        })
        .map(|(name, value)| {
            format!(
                "no line of docs/ has `{name}` and its value {value}; bring the table of \
                 tolerances in docs/methods.md up to date"
            )
        })
        .collect()
}

#[test]
fn every_tolerance_is_documented_with_its_value() {
    let source = read("src/geom/tolerance.rs");
    let found = constants(&source);
    let public = source.lines().filter(|l| l.starts_with("    pub const ")).count();
    assert!(found.len() == public && public > 60, "a tolerance could not be read");
    // The summary has them all: what it holds and this list are compared by its schema.
    let schema = read("docs/summary.schema.json");
    for (name, _) in found {
        let member = format!("\"{}\": {{", name.to_lowercase());
        assert!(schema.contains(&member), "docs/summary.schema.json has no {member}");
    }
    none(&unstated(&source, &documentation()));
}

// Rule: equations that the code names exist.

fn missing_equations(sources: &[Source], methods: &str) -> Vec<String> {
    let mut complaints = Vec::new();
    for source in sources {
        for (number, line) in (1..).zip(source.text.lines()) {
            for rest in line.split("docs/methods.md`, eq. ").skip(1) {
                let equation = format!("(eq. {})", first_name(rest));
                if !methods.contains(&equation) {
                    complaints.push(format!(
                        "{}:{number}: docs/methods.md has no {equation}; correct the number",
                        source.path
                    ));
                }
            }
        }
    }
    complaints
}

#[test]
fn equations_that_the_code_names_exist() {
    none(&missing_equations(&below("src", ".rs"), &read("docs/methods.md")));
}

/// Each rule complains about a text that breaks it, and not about one that keeps it.
mod samples {
    use super::*;

    fn source(path: &str, text: &str) -> Vec<Source> {
        vec![Source { path: path.to_owned(), text: text.to_owned() }]
    }

    /// Just one complaint, which holds these words.
    #[track_caller]
    fn one(complaints: &[String], words: &[&str]) {
        assert_eq!(complaints.len(), 1, "{complaints:?}");
        for word in words {
            assert!(complaints[0].contains(word), "no \"{word}\" in {complaints:?}");
        }
    }

    const LIB: &str = "/// Files.\npub mod read;\n\npub(crate) mod check;\n\nmod write;\n";

    #[test]
    fn a_module_that_looks_downstream_is_caught() {
        let bad = source("src/check/mod.rs", "\nuse crate::write::Table;\n");
        one(&upstream(LIB, &bad), &["src/check/mod.rs:2", "`check` uses `write`"]);
        let bad = source("src/read.rs", "fn f() { if x(crate::check::ok) {} }");
        one(&upstream(LIB, &bad), &["`read` uses `check`"]);
        let good = "use crate::read::A;\nuse crate::check::B;\n/// See [`crate::write::C`].\n";
        none(&upstream(LIB, &source("src/check/mod.rs", good)));
    }

    #[test]
    fn a_name_or_a_file_outside_the_order_of_modules_is_caught() {
        let bad = source("src/write/mod.rs", "use crate::Error;");
        one(&upstream(LIB, &bad), &["`crate::Error` is not a module"]);
        let bad = source("src/draw/mod.rs", "");
        one(&upstream(LIB, &bad), &["lib.rs does not declare `draw`"]);
    }

    #[test]
    fn ways_round_the_order_are_caught() {
        for bad in ["use crate::{read, write};", "use crate::*;", "use super::super::write::X;"] {
            one(&roundabout(&source("src/read/x.rs", bad)), &["src/read/x.rs:1", "write"]);
        }
        none(&roundabout(&source("src/read/x.rs", "use super::types::X; // not super::super::")));
    }

    #[test]
    fn a_library_away_from_home_is_caught() {
        for bad in ["use spade::Point2;", "let x: ::spade::Point2<f64>;", "pub use spade as net;"] {
            let found = away_from_home(&source("src/flow/site.rs", bad));
            one(&found, &["src/flow/site.rs:1", "src/triangulate/delaunay.rs"]);
        }
        one(&away_from_home(&source("src/read/x.rs", "use gdal_src as _;")), &["gdal_src"]);
        one(&away_from_home(&source("src/read/x.rs", "clap::value_parser!(u16)")), &["src/cli/"]);
        for good in ["let proj = 1; proj.convert(p)", "crate::geojson::f()", "// use spade::X;"] {
            none(&away_from_home(&source("src/flow/site.rs", good)));
        }
        none(&away_from_home(&source("src/triangulate/delaunay.rs", "use spade::Point2;")));
    }

    #[test]
    fn gdal_in_one_file_too_many_is_caught() {
        let files = |names: &[&str]| -> Vec<Source> {
            names.iter().flat_map(|n| source(n, "use gdal::Dataset;")).collect()
        };
        let names: Vec<String> = (0..=GDAL_FILES).map(|k| format!("src/write/{k}.rs")).collect();
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        none(&too_many_gdal_files(&files(&names[1..])));
        let count = format!("{} files", GDAL_FILES + 1);
        one(&too_many_gdal_files(&files(&names)), &[&count, names[GDAL_FILES]]);
    }

    #[test]
    fn decimals_by_the_language_are_caught() {
        for bad in [
            "format!(\"{:.2} m\", h)",
            "write!(f, \"{x:+.3}{y}\")",
            "\"{v:.places$}\"",
            "\"{:>8.1e}\"",
        ] {
            one(&formatted_elsewhere(&source("src/flow/site.rs", bad)), &["src/flow/site.rs:1"]);
            none(&formatted_elsewhere(&source("src/units/number.rs", bad)));
        }
        for good in ["Coord { x: 1.0 }", "\"{a} to {b:e}\"", "\"{id:>4}\" // {:.2}"] {
            none(&formatted_elsewhere(&source("src/flow/site.rs", good)));
        }
        let tested = "#[cfg(test)]\nmod tests {\nformat!(\"{:.2}\", 1.0)\n}\n";
        none(&formatted_elsewhere(&source("src/flow/site.rs", tested)));
    }

    #[test]
    fn a_long_file_is_caught_and_long_tests_are_not() {
        let long = "x\n".repeat(LONGEST + 1);
        one(&too_long(&source("src/a.rs", &long)), &["src/a.rs", &(LONGEST + 1).to_string()]);
        let tested = "x\n".repeat(LONGEST) + "#[cfg(test)]\nmod tests {\n" + &long;
        none(&too_long(&source("src/a.rs", &tested)));
        none(&too_long(&source("src/a/tests.rs", &long)));
        for early in ["#[cfg(test)]\nmod tests;\n", "#[cfg(test)]\nuse x::Y;\n"] {
            one(
                &too_long(&source("src/a.rs", &(early.to_owned() + &long))),
                &[&(LONGEST + 3).to_string()],
            );
        }
    }

    const CODES: [(&str, &str, Severity); 2] =
        [("R1", "no file", Severity::Refusal), ("C2", "odd head", Severity::Note)];

    fn section(heading: &str, severity: &str) -> String {
        let parts = PARTS.iter().map(|part| [part, ": text.\n\n"].concat()).collect::<String>();
        format!("## {heading}\n\nSeverity: {severity}.\n\n{parts}")
    }

    fn page() -> String {
        format!("# All\n\n{}{}", section("R1 no file", "error"), section("C2 odd head", "note"))
    }

    #[test]
    fn a_full_page_of_findings_is_accepted() {
        none(&unexplained(&CODES, &page()));
    }

    #[test]
    fn a_finding_without_its_section_is_caught() {
        let bad = page().replace("## C2 odd head", "### C2 odd head");
        one(&unexplained(&CODES, &bad), &["no section `## C2 odd head`"]);
        let bad = page().replace("C2 odd head", "C2 a head that is odd");
        let found = unexplained(&CODES, &bad);
        assert_eq!(found.len(), 2, "{found:?}");
    }

    #[test]
    fn a_section_without_a_finding_is_caught() {
        let bad = page() + &section("C9 gone", "note");
        one(&unexplained(&CODES, &bad), &["`C9 gone`", "does not have"]);
    }

    #[test]
    fn a_section_without_a_part_or_with_an_empty_one_is_caught() {
        let bad = page().replacen(PARTS[1], "**Why**", 1);
        one(&unexplained(&CODES, &bad), &["`R1 no file`", PARTS[1]]);
        let bad = page().replacen("**What to do**: text.", "**What to do**: ", 1);
        one(&unexplained(&CODES, &bad), &["`R1 no file`", PARTS[2]]);
    }

    #[test]
    fn a_wrong_severity_order_or_repetition_is_caught() {
        let bad = page().replace("Severity: note", "Severity: noteworthy");
        one(&unexplained(&CODES, &bad), &["`C2 odd head`", "Severity: note"]);
        let bad = section("C2 odd head", "note") + &section("R1 no file", "error");
        one(&unexplained(&CODES, &bad), &["order"]);
        one(&unexplained(&CODES, &(page() + &section("R1 no file", "error"))), &["one for each"]);
    }

    const HELP: &str = "\
Draws.

Usage: x <COMMAND>

Commands:
  draw   Draw it
         well
  check  Check it

Options:
  -q, --quiet        Less
      --fail-on <W>  Exit
  -h, --help
";

    #[test]
    fn commands_and_options_are_read_from_a_help_text() {
        assert_eq!(commands(HELP), ["draw", "check"]);
        let found: Vec<String> = options(HELP).into_iter().collect();
        assert_eq!(found, ["--fail-on", "--help", "--quiet"]);
        assert_eq!(options("a--b ---c -- d `--e`, --f-g=1").len(), 2);
    }

    #[test]
    fn an_option_that_no_document_names_is_caught() {
        let helps = [HELP.to_owned()];
        none(&undocumented(&helps, "`--quiet` and `--fail-on note`"));
        one(&undocumented(&helps, "`--quiet` and `--fail-on-all`"), &["--fail-on is"]);
        one(&undocumented(&helps, "`--fail-on` and quiet"), &["--quiet"]);
    }

    #[test]
    fn a_tolerance_with_another_value_or_none_is_caught() {
        let source = "/// m\npub const SAME_M: f64 = 0.01;\npub const MOST: usize = 2_000;\n\
                      pub const ALL: All = All { same: SAME_M };\n";
        assert_eq!(constants(source), [("SAME_M", 0.01), ("MOST", 2000.0)]);
        none(&unstated(source, "| `SAME_M` | 0.01 m |\n| `MOST` | 2000. |"));
        let bad = "`SAME_M` is 0.012 m\n0.01\n`MOST` 2000";
        one(&unstated(source, bad), &["`SAME_M`", "0.01"]);
        one(&unstated(source, "`SAME_M` 0.01"), &["`MOST`", "2000"]);
    }

    #[test]
    fn an_equation_that_does_not_exist_is_caught() {
        let named = source("src/a.rs", "/// Some (1900). `docs/methods.md`, eq. 5.");
        none(&missing_equations(&named, "h = 1   (eq. 5)"));
        one(&missing_equations(&named, "h = 1   (eq. 50)"), &["src/a.rs:1", "(eq. 5)"]);
    }
}

#[test]
fn ci_runs_the_commands_of_the_readme_and_then_the_checks_for_developers() {
    let (readme, developers) = (read("README.md"), read("DEVELOPERS.md"));
    let commands: Vec<&str> = readme.lines().filter(|l| l.starts_with("sh .ci/needs")).collect();
    let cargo: toml::Table = read("Cargo.toml").parse().expect("TOML");
    let rust =
        format!("Rust {} or newer", cargo["package"]["rust-version"].as_str().expect("text"));
    assert!(readme.contains(&rust), "README.md says {rust}");
    assert_eq!(commands.len(), 2, "README.md has two commands, one draws a map and one tests");
    assert!(commands[0].contains("draw sample-sites/"), "the first draws: {}", commands[0]);
    let checks = developers.lines().skip_while(|l| !l.ends_with("--no-default-features"));
    let checks: Vec<&str> = checks.take_while(|l| *l != "```").collect();
    assert_eq!(checks.len(), 5, "DEVELOPERS.md lists five checks, the first of the core alone");
    // The shell's `set -e` overlooks what fails before an `&&`.
    let ci = read(".ci/run");
    let called: Vec<&str> = ci.lines().filter_map(|l| l.strip_suffix(" || exit")).collect();
    assert_eq!(
        called,
        [commands, checks].concat(),
        ".ci/run calls these, each ending with || exit"
    );
}
