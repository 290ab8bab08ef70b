//! What is different in a file, and by how much.

use std::collections::BTreeMap;

use serde::Serialize;
use serde_json::Value;

use crate::units::significant;

/// What is different in a file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Difference {
    /// The file.
    pub file: String,
    /// What is different: numbers that moved, and by how much; other words; other bytes.
    pub what: String,
}

/// What is different in a file of which there are two, or one.
pub(super) fn difference(file: &str, before: Option<&[u8]>, now: Option<&[u8]>) -> Difference {
    let what = match (before, now) {
        (Some(before), Some(now)) => match file.rsplit('.').next() {
            Some("csv") => cells(before).zip(cells(now)).map(|(a, b)| told(&a, &b)),
            Some("json" | "geojson") => {
                members(before).zip(members(now)).map(|(a, b)| told(&a, &b))
            }
            _ => None,
        }
        .unwrap_or_else(|| format!("other bytes: {} before, {} now", before.len(), now.len())),
        (Some(_), None) => "it is not made any more".to_owned(),
        _ => "it was not there".to_owned(),
    };
    Difference { file: file.to_owned(), what }
}

/// What a file says at each of its places, and the name of such places: a column, a member.
type Places = BTreeMap<String, (String, String)>;

fn told(before: &Places, now: &Places) -> String {
    // By name: how many numbers moved, and how far at most.
    let mut moved: BTreeMap<&str, (usize, f64)> = BTreeMap::new();
    let mut other = before.keys().filter(|place| !now.contains_key(*place)).count();
    for (place, (name, text)) in now {
        let Some((_, was)) = before.get(place) else {
            other += 1;
            continue;
        };
        if was == text {
            continue;
        }
        match number(was).zip(number(text)) {
            Some((a, b)) => {
                let of = moved.entry(name).or_default();
                *of = (of.0 + 1, of.1.max((a - b).abs()));
            }
            None => other += 1,
        }
    }
    let mut words: Vec<String> = moved
        .iter()
        .map(|(name, (count, far))| {
            format!("{name}: {count} moved by up to {}", significant(*far, 3))
        })
        .collect();
    if other > 0 || words.is_empty() {
        words.push(format!("{other} other values"));
    }
    words.join("; ")
}

/// A number with either decimal mark.
fn number(text: &str) -> Option<f64> {
    text.replace(',', ".").parse().ok()
}

/// The cells of a table, which are parted as the site declares: by what parts the heading line most.
fn cells(bytes: &[u8]) -> Option<Places> {
    let reader = |delimiter| csv::ReaderBuilder::new().delimiter(delimiter).from_reader(bytes);
    let parts = |delimiter: &u8| reader(*delimiter).headers().map_or(0, csv::StringRecord::len);
    let mut reader = reader(b",|\t;".iter().copied().max_by_key(parts)?);
    let headings = reader.headers().ok()?.clone();
    let mut places = Places::new();
    for (i, row) in reader.records().enumerate() {
        for (heading, cell) in headings.iter().zip(row.ok()?.iter()) {
            places.insert(format!("{i} {heading}"), (heading.to_owned(), cell.to_owned()));
        }
    }
    Some(places)
}

/// The values of JSON.
fn members(bytes: &[u8]) -> Option<Places> {
    let mut places = Places::new();
    let value: Value = serde_json::from_slice(bytes).ok()?;
    walk(&value, "", "", &mut places);
    Some(places)
}

fn walk(value: &Value, place: &str, name: &str, places: &mut Places) {
    match value {
        Value::Object(members) => {
            for (member, value) in members {
                walk(value, &format!("{place}/{member}"), member, places);
            }
        }
        Value::Array(values) => {
            for (i, value) in values.iter().enumerate() {
                walk(value, &format!("{place}/{i}"), name, places);
            }
        }
        Value::String(text) => {
            places.insert(place.to_owned(), (name.to_owned(), format!("\"{text}\"")));
        }
        value => {
            places.insert(place.to_owned(), (name.to_owned(), value.to_string()));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn what(file: &str, before: &str, now: &str) -> String {
        difference(file, Some(before.as_bytes()), Some(now.as_bytes())).what
    }

    #[test]
    fn numbers_that_moved_are_counted_with_how_far() {
        let table = "id,head_m\na,1.5\nb,2.5\n";
        assert_eq!(
            what("heads.csv", table, "id,head_m\na,1.25\nb,2.625\n"),
            "head_m: 2 moved by up to 0.250"
        );
        assert_eq!(what("heads.csv", table, "id,head_m\na,1.5\nc,2.5\n"), "1 other values");
        let marked = "\u{feff}id;head (m, NAVD 88)\na;1,5\nb;2,5\n";
        assert_eq!(
            what("heads.csv", marked, "\u{feff}id;head (m, NAVD 88)\na;1,25\nb;2,625\n"),
            "head (m, NAVD 88): 2 moved by up to 0.250"
        );
        let json = r#"{"a": [1, 2.5], "b": {"c": "x"}}"#;
        assert_eq!(
            what("summary.json", json, r#"{"a": [1, 2.25], "b": {"c": "y"}, "d": 1}"#),
            "a: 1 moved by up to 0.250; 2 other values"
        );
        assert_eq!(what("map.png", "ab", "a"), "other bytes: 2 before, 1 now");
        assert_eq!(difference("a.csv", None, Some(b"")).what, "it was not there");
        assert_eq!(difference("a.csv", Some(b""), None).what, "it is not made any more");
    }
}
