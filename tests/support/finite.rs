//! Numbers in files that are none, or that nobody can read.

use std::path::Path;

use headfall::diag::{Diagnostic, LONGEST_TEXT, MOST_TOLD};

/// More digits in a row than this are no number that a person or a program wants: a double has 17, and
/// below 0.00001 a power of ten.
const DIGITS: usize = 24;

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

/// Numbers of a message with more than six significant digits: none is known so well. What is quoted
/// is the user's, and whole numbers may be as long as a northing or a count.
fn long_numbers(message: &str) -> Vec<String> {
    let unquoted: String = message.split('"').step_by(2).collect();
    let words = unquoted.split(|c: char| c.is_whitespace() || "()[],:;%²³".contains(c));
    let numbers = words.map(|w| w.trim_matches(['.', '+', '-'])).filter(|w| is_long(w));
    numbers.map(str::to_owned).collect()
}

fn is_long(word: &str) -> bool {
    let number = word.starts_with(|c: char| c.is_ascii_digit()) && word.parse::<f64>().is_ok();
    let mantissa = word.split(['e', 'E']).next().unwrap_or_default();
    let digits = mantissa.replace('.', "");
    let long = if mantissa.contains('.') {
        digits.trim_start_matches('0').len() > 6
    } else {
        digits.len() > 15 || digits.trim_end_matches('0').len() > 12
    };
    number && long
}

/// Every finding that a test provokes passes here: its text is held to what the rules say of
/// messages.
#[track_caller]
pub(crate) fn hold_brief(findings: &[Diagnostic]) {
    for d in findings {
        assert!(d.wells.len() <= MOST_TOLD && d.origins.len() <= MOST_TOLD, "{}", d.code);
        let texts = [Some(&d.message), d.advice.as_ref()];
        for text in texts.into_iter().flatten() {
            assert!(text.chars().count() <= LONGEST_TEXT, "{}: {text}", d.code);
            let mut long = long_numbers(text);
            long.retain(|number| !d.wells.contains(number));
            assert!(long.is_empty(), "{}: {long:?} in \"{text}\"", d.code);
            // What is read may be no number, and is repeated when it is refused.
            let repeated = d.code.id().starts_with('R');
            assert!(repeated || absurd_in(text).is_empty(), "{}: {text}", d.code);
        }
    }
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
        "0.00000000000000000000000003",
    ] {
        assert_eq!(absurd_in(bad).len(), 1, "{bad}");
    }
    for good in ["inferred", "information", "banana", "1.5e-12", "<script>NaN</script>"] {
        assert!(absurd_in(good).is_empty(), "{good}");
    }
    assert!(absurd_in("a base64,inf+nan/\" b").is_empty());
}

#[test]
fn numbers_of_messages_are_counted_by_their_significant_digits() {
    for bad in [
        "head 100.1234 ft",
        "(1.234567e-9)",
        "0.01234567 m",
        "off by +1234567.1",
        "1000000000000000 m",
        "is 100.0000",
    ] {
        assert_eq!(long_numbers(bad).len(), 1, "{bad}");
    }
    for good in [
        "at (480260, 4980020)",
        "0.000123456",
        "8000180000 nodes",
        "\"1.23456789\"",
        "1e300",
        "100.00",
    ] {
        assert!(long_numbers(good).is_empty(), "{good}");
    }
}
