//! Rule: what a method of interpolation may do is asked of the table of methods, and each method of the
//! table has its file, its sections and its place on the page.

use headfall::read::Method;

use super::{Source, after, below, first_name, none, read};

/// Where methods may be named one by one: the table, and where their surfaces are made.
const HOMES: [&str; 2] = ["src/read/settings/method.rs", "src/interpolate/methods/"];

/// The worked example of DEVELOPERS.md.
const EXAMPLE: &str = "src/interpolate/methods/nearest_well.rs";

fn named_elsewhere(sources: &[Source]) -> Vec<String> {
    let mut complaints = Vec::new();
    for source in sources.iter().filter(|s| !HOMES.iter().any(|home| s.path.starts_with(home))) {
        for (number, line) in source.code() {
            let is_one = |name: &&str| Method::ALL.iter().any(|m| format!("{m:?}") == **name);
            for name in after(line, "Method::").map(first_name).filter(is_one) {
                complaints.push(format!(
                    "{}:{number}: names `Method::{name}`; ask what it may do, with a `Fact` of {}",
                    source.path, HOMES[0]
                ));
            }
        }
    }
    complaints
}

/// Templates that ask for a method instead of taking in what it has of its own.
fn asked_by_templates(templates: &[Source]) -> Vec<String> {
    let asks = |s: &&Source| s.text.contains("surface.method ==");
    let complaint = |s: &Source| {
        format!("{}: asks for a method; put what is its own into methods/NAME.html", s.path)
    };
    templates.iter().filter(asks).map(complaint).collect()
}

#[test]
fn methods_are_named_in_their_table_and_where_they_are_made() {
    none(&named_elsewhere(&below("src", ".rs")));
    none(&asked_by_templates(&below("src/page/templates", ".html")));
}

/// The heading of a section as a link names it.
fn anchor(heading: &str) -> String {
    let kept = heading.trim().to_lowercase();
    let kept = kept.chars().filter(|c| c.is_alphanumeric() || " -_".contains(*c));
    kept.map(|c| if c == ' ' { '-' } else { c }).collect()
}

/// What is wrong with the section that a method's row in docs/surface.md leads to.
fn section(method: &str, surface: &str, document: impl Fn(&str) -> String) -> Option<String> {
    let row = surface.lines().find(|line| line.starts_with(&format!("| `{method}` |")));
    let Some(row) = row else {
        return Some(format!("docs/surface.md has no row `{method}` in its table of methods"));
    };
    let target = row.split_once("](").and_then(|(_, rest)| Some(rest.split_once(')')?.0));
    let Some(target) = target else {
        return Some(format!("docs/surface.md: the row of {method} links to no section"));
    };
    let (file, wanted) = target.split_once('#').unwrap_or((target, ""));
    let text = document(if file.is_empty() { "surface.md" } else { file });
    let headings = || text.lines().filter(|line| line.starts_with('#'));
    let found = headings().any(|line| anchor(line.trim_start_matches('#')) == wanted);
    (!found).then(|| format!("docs/surface.md: {method} leads to {target}, which is no section"))
}

#[test]
fn every_method_has_its_section() {
    let surface = read("docs/surface.md");
    let document = |file: &str| read(&format!("docs/{file}"));
    let missing = |m: Method| section(m.name(), &surface, document);
    none(&Method::ALL.into_iter().filter_map(missing).collect::<Vec<_>>());
}

#[test]
fn every_method_is_named_where_methods_are_listed() {
    let mut complaints = Vec::new();
    for (file, around) in [
        ("docs/command-line.md", "`"),
        ("docs/cross-validate.md", "`"),
        ("docs/site-folder.md", "\""),
        ("src/page/templates.rs", ".html\""),
    ] {
        let text = read(file);
        for method in Method::ALL {
            let name = match around {
                ".html\"" => format!("\"methods/{}{around}", method.name()),
                _ => format!("{around}{}{around}", method.name()),
            };
            if !text.contains(&name) {
                complaints.push(format!("{file} does not list the method {name}"));
            }
        }
    }
    none(&complaints);
}

#[test]
fn the_example_of_developers_md_is_the_one_that_is_tested() {
    let (guide, example) = (read("DEVELOPERS.md"), read(EXAMPLE));
    assert!(
        guide.contains(&format!("```rust\n{example}```")),
        "DEVELOPERS.md does not show {EXAMPLE} as it is; copy it there"
    );
}

/// Each rule complains about a text that breaks it.
mod samples {
    use super::*;

    #[test]
    fn a_method_named_elsewhere_is_caught() {
        let source =
            |path: &str, text: &str| vec![Source { path: path.to_owned(), text: text.to_owned() }];
        let bad = "if surface.method == Method::Kriging {}";
        let found = named_elsewhere(&source("src/draw/words.rs", bad));
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].contains("src/draw/words.rs:1"), "{found:?}");
        none(&named_elsewhere(&source("src/interpolate/methods/mod.rs", bad)));
        let asked = asked_by_templates(&source("x.html", "{% if surface.method == \"kriging\" %}"));
        assert_eq!(asked.len(), 1, "{asked:?}");
        for good in ["Method::ALL", "Method::default()", "// Method::Kriging", "method.has(x)"] {
            none(&named_elsewhere(&source("src/draw/words.rs", good)));
        }
    }

    #[test]
    fn a_method_without_a_section_is_caught() {
        let document = |_: &str| "# A page\n\n## Its `own` section\n".to_owned();
        let found = |row: &str| section("new", row, document);
        assert_eq!(found("| `new` | see [it](new.md#its-own-section) |"), None);
        for (row, complaint) in [
            ("| `old` | see [it](new.md#its-own-section) |", "no row"),
            ("| `new` | nothing |", "no section"),
            ("| `new` | see [it](new.md#other) |", "is no section"),
        ] {
            let found = found(row).expect("a complaint");
            assert!(found.contains(complaint), "{found}");
        }
    }
}
