//! What was written, read again.

use std::collections::BTreeMap;
use std::path::Path;

use serde_json::Value;

/// Every file in a folder and below, by its name from there.
pub(crate) fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    let Ok(entries) = std::fs::read_dir(folder) else { return files };
    for entry in entries {
        let path = entry.expect("an entry").path();
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        if path.is_dir() {
            let below = contents(&path).into_iter();
            files.extend(below.map(|(file, bytes)| (format!("{name}/{file}"), bytes)));
        } else {
            files.insert(name, std::fs::read(&path).expect("a file"));
        }
    }
    files
}

/// The hashes that the record of a results folder lists, by name.
#[track_caller]
pub(crate) fn recorded(out: &Path) -> BTreeMap<String, String> {
    let record = text(out.join("files.sha256"));
    let (heading, lines) = record.split_once('\n').expect("a heading");
    assert!(heading.starts_with('#'), "{heading}");
    let line = |line: &str| line.split_once("  ").map(|(hash, name)| (name.into(), hash.into()));
    let files = lines.lines().filter(|line| !line.starts_with('#'));
    files.map(|l| line(l).expect("a hash and a name")).collect()
}

/// A file of text.
#[track_caller]
pub(crate) fn text(path: impl AsRef<Path>) -> String {
    let path = path.as_ref();
    std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// A file of JSON.
#[track_caller]
pub(crate) fn json(path: impl AsRef<Path>) -> Value {
    serde_json::from_str(&text(path)).expect("JSON")
}

/// The rows of a table, by heading.
#[track_caller]
pub(crate) fn table(path: impl AsRef<Path>) -> Vec<BTreeMap<String, String>> {
    let text = text(path);
    let heading = text.lines().next().expect("a heading line");
    let has_comma = heading.contains(';');
    let delimiter = if has_comma { b';' } else { b',' };
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let rows = reader.deserialize().collect::<Result<Vec<BTreeMap<String, String>>, _>>();
    let mut rows = rows.expect("rows");
    // Numbers of a site with decimal commas.
    for cell in rows.iter_mut().flat_map(BTreeMap::values_mut).filter(|_| has_comma) {
        let point = cell.replace(',', ".");
        if point.parse::<f64>().is_ok() {
            *cell = point;
        }
    }
    rows
}

/// The head of a row of `heads.csv`, in the site's unit.
#[track_caller]
pub(crate) fn head_of(row: &BTreeMap<String, String>) -> f64 {
    let units = ["head_ft_us", "head_ft", "head_m"];
    let text = units.iter().find_map(|heading| row.get(*heading)).expect("a head");
    text.parse().expect("a number")
}

/// The words of a layer of the sheet, in their order.
#[track_caller]
pub(crate) fn words(svg: &str, layer: &str) -> Vec<String> {
    let tree = roxmltree::Document::parse(svg).expect("SVG");
    let group = tree.descendants().find(|n| n.attribute("id") == Some(layer)).expect("a layer");
    let texts = group.descendants().filter(|n| n.has_tag_name("text"));
    let words = |n: roxmltree::Node<'_, '_>| -> String {
        n.descendants().filter(roxmltree::Node::is_text).filter_map(|t| t.text()).collect()
    };
    texts.map(words).collect()
}

/// The width and the height of a sheet, points.
pub(crate) fn size_of(sheet: &roxmltree::Document) -> [f64; 2] {
    let view = sheet.root_element().attribute("viewBox").expect("a view");
    let numbers: Vec<f64> = view.split(' ').map(|n| n.parse().expect("a number")).collect();
    [numbers[2], numbers[3]]
}
