//! The properties of a feature as a row of columns.
//!
//! A row is made from the very struct that the GeoJSON layer is written from, so that the two hold
//! the same values. Tables of a GIS have no lists: an array of fixed length takes a column for each
//! entry, a list of words one column with the words in it.

use std::iter::repeat_n;

use serde::Serialize;
use serde_json::Value as Json;

use super::fields::Field;

/// What stands in a column.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Value {
    Null,
    Text(String),
    Integer(i64),
    Real(f64),
    Flag(bool),
}

/// The columns of `properties`, in the order of `fields`; those of one member stand together.
///
/// # Panics
/// When the struct has other members than the fields say.
pub(super) fn row(properties: &impl Serialize, fields: &[Field]) -> Vec<Value> {
    let Ok(Json::Object(mut members)) = serde_json::to_value(properties) else {
        panic!("this is a bug in headfall: a layer is no table");
    };
    let mut values = Vec::with_capacity(fields.len());
    for columns in fields.chunk_by(|a, b| a.of == b.of) {
        match members.remove(columns[0].of) {
            Some(Json::Null) => values.extend(repeat_n(Value::Null, columns.len())),
            Some(Json::Array(entries)) if columns.len() > 1 => {
                values.extend(entries.into_iter().map(cell));
            }
            Some(entry) => values.push(cell(entry)),
            None => {}
        }
    }
    let whole = members.is_empty() && values.len() == fields.len();
    assert!(whole, "this is a bug in headfall: a layer has other members than columns");
    values
}

fn cell(entry: Json) -> Value {
    match entry {
        Json::Null => Value::Null,
        Json::Bool(flag) => Value::Flag(flag),
        Json::Number(number) => match (number.as_i64(), number.as_f64()) {
            (Some(whole), _) => Value::Integer(whole),
            (None, real) => Value::Real(real.expect("a number of a layer fits into 64 bits")),
        },
        Json::String(text) => Value::Text(text),
        Json::Array(words) => {
            let words: Option<Vec<&str>> = words.iter().map(Json::as_str).collect();
            let words = words.expect("this is a bug in headfall: a list of other than words");
            Value::Text(words.join(" "))
        }
        Json::Object(_) => panic!("this is a bug in headfall: a layer is no table"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::triangulate::Mark;
    use crate::write::vector::fields::Kind;

    #[derive(Serialize)]
    struct Properties<'a> {
        id: usize,
        wells: [&'a str; 2],
        range: Option<[f64; 2]>,
        head: Option<f64>,
        used: bool,
        marks: &'a [Mark],
    }

    const fn field(of: &'static str, name: &'static str, kind: Kind) -> Field {
        Field { of, name, short: name, kind, about: "" }
    }

    const FIELDS: [Field; 8] = [
        field("id", "id", Kind::Integer),
        field("wells", "well_1", Kind::Text),
        field("wells", "well_2", Kind::Text),
        field("range", "low", Kind::Real),
        field("range", "high", Kind::Real),
        field("head", "head", Kind::Real),
        field("used", "used", Kind::Flag),
        field("marks", "marks", Kind::Text),
    ];

    #[test]
    fn arrays_take_a_column_each_and_lists_one() {
        let text = |t: &str| Value::Text(t.to_owned());
        let all = Properties {
            id: 3,
            wells: ["a", "b"],
            range: Some([1.5, 2.5]),
            head: None,
            used: true,
            marks: &[Mark::Sliver, Mark::LongHullEdge],
        };
        let found = row(&all, &FIELDS);
        let range = [Value::Real(1.5), Value::Real(2.5)];
        let mut expected = vec![Value::Integer(3), text("a"), text("b")];
        expected.extend(range);
        expected.extend([Value::Null, Value::Flag(true), text("sliver long-hull-edge")]);
        assert_eq!(found, expected);
        let found = row(&Properties { range: None, head: Some(3.0), marks: &[], ..all }, &FIELDS);
        assert_eq!(found[3..6], [Value::Null, Value::Null, Value::Real(3.0)]);
        assert_eq!(found[7], text(""));
    }

    #[test]
    #[should_panic(expected = "this is a bug in headfall")]
    fn a_member_without_a_field_is_a_bug() {
        #[derive(Serialize)]
        struct More {
            id: usize,
            other: f64,
        }
        row(&More { id: 1, other: 2.0 }, &FIELDS[..1]);
    }
}
