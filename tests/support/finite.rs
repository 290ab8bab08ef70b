//! Numbers in files that are none, or that nobody can read.

use std::path::Path;

/// More digits in a row than this are no number that a person or a program wants: a double has 17.
const DIGITS: usize = 20;

/// What is wrong with the numbers in the text files and rasters of a folder, and in those of the
/// folders in it: each with its file.
pub(crate) fn absurd_numbers(folder: &Path) -> Vec<String> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            found.extend(absurd_numbers(&path));
            continue;
        }
        let name = path.display().to_string();
        let complaints = match path.extension().and_then(|e| e.to_str()) {
            Some("json" | "geojson" | "csv" | "svg" | "html") => {
                absurd_in(&std::fs::read_to_string(&path).expect("text"))
            }
            Some("tif") => infinite_nodes(&path),
            _ => Vec::new(),
        };
        found.extend(complaints.into_iter().map(|complaint| format!("{name}: {complaint}")));
    }
    found
}

/// The same of a text.
pub(crate) fn absurd_in(text: &str) -> Vec<String> {
    let mut text = text.to_owned();
    for (from, to) in [("<script", "</script>"), ("<style", "</style>"), ("base64,", "\"")] {
        while let Some(start) = text.find(from) {
            let end = text[start..].find(to).map_or(text.len(), |end| start + end + to.len());
            text.replace_range(start..end, "");
        }
    }
    let part = |c: char| c.is_alphanumeric() || matches!(c, '.' | '_');
    let words = text.split(|c| !part(c)).filter(|w| !w.is_empty());
    words.filter(|w| is_absurd(w)).map(str::to_owned).collect()
}

fn is_absurd(word: &str) -> bool {
    let nothing = ["nan", "inf", "infinity"].iter().any(|w| word.eq_ignore_ascii_case(w));
    let runs = word.split(|c: char| !c.is_ascii_digit());
    let long = runs.map(str::len).max() > Some(DIGITS);
    nothing || long && word.parse::<f64>().is_ok()
}

fn infinite_nodes(path: &Path) -> Vec<String> {
    let raster = gdal::Dataset::open(path).expect("a raster");
    let (columns, rows) = raster.raster_size();
    let band = raster.rasterband(1).expect("a band");
    let nodes = band.read_as::<f64>((0, 0), (columns, rows), (columns, rows), None).expect("nodes");
    let infinite = nodes.data().iter().filter(|v| v.is_infinite()).count();
    (infinite > 0).then(|| format!("{infinite} infinite nodes")).into_iter().collect()
}

#[test]
fn what_is_no_number_is_seen_and_words_are_not() {
    for bad in [
        "gradient 0.1 to NaN",
        "{\"a\":inf}",
        "l NaN 3",
        "-Infinity",
        "0.0000000000000000000000003",
    ] {
        assert_eq!(absurd_in(bad).len(), 1, "{bad}");
    }
    for good in ["inferred", "information", "banana", "1.5e-12", "<script>NaN</script>"] {
        assert!(absurd_in(good).is_empty(), "{good}");
    }
    assert!(absurd_in("a base64,inf+nan/\" b").is_empty());
}
