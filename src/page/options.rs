//! Settings and tolerances as rows of name and value, whatever members they have.

use serde::Serialize;
use serde_json::Value;

use crate::page::plain;
use crate::units::round_to_significant;

/// A setting by its full name.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub(super) struct Setting {
    name: String,
    value: String,
}

/// Every member of a value, those of inner values behind a point, in the order of their names.
pub(super) fn settings(value: &impl Serialize) -> Vec<Setting> {
    let value = serde_json::to_value(value).expect("this is a bug in headfall: settings have keys");
    let mut rows = Vec::new();
    add(&mut rows, "", &value);
    rows.sort_by(|a, b| a.name.cmp(&b.name));
    rows
}

fn add(rows: &mut Vec<Setting>, name: &str, value: &Value) {
    let value = match value {
        Value::Object(members) => {
            for (member, value) in members {
                let dot = if name.is_empty() { "" } else { "." };
                add(rows, &format!("{name}{dot}{}", plain::text(member)), value);
            }
            return;
        }
        Value::Null => "not set".to_owned(),
        Value::Bool(true) => "yes".to_owned(),
        Value::Bool(false) => "no".to_owned(),
        Value::Array(items) if items.is_empty() => "none".to_owned(),
        Value::String(text) => plain::text(text),
        Value::Number(number) => {
            // Without the dust of a conversion of units.
            let shown = |v: f64| round_to_significant(v, 12).to_string();
            number.as_f64().map_or_else(|| number.to_string(), shown)
        }
        other => plain::text(&other.to_string()),
    };
    rows.push(Setting { name: name.to_owned(), value });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inner_members_stand_behind_a_point_and_every_kind_of_value_is_told() {
        let value = serde_json::json!({
            "b": { "y": null, "x": 10.0, "z": 0.003_048_000_000_000_000_4 },
            "a": true, "c": [], "d": ["k", 1], "e": "text\u{0}"
        });
        let rows: Vec<_> =
            settings(&value).into_iter().map(|s| format!("{}={}", s.name, s.value)).collect();
        assert_eq!(
            rows,
            ["a=yes", "b.x=10", "b.y=not set", "b.z=0.003048", "c=none", "d=[\"k\",1]", "e=text␀"]
        );
    }
}
