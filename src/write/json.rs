//! JSON as text: of files, and of what `--json` prints.

use minijinja::Value;
use minijinja::value::{Serde, ValueKind};
use serde::Serialize;

use crate::units::finite;

/// A value as indented JSON without a line end.
///
/// # Panics
/// When a number in it is not finite, which JSON would hold as `null`: nothing told it from what is
/// not known. And when it has a key that is not text. Both are bugs in headfall.
#[must_use]
pub fn json(value: &impl Serialize) -> String {
    hold_finite(&Value::from(Serde(value)));
    serde_json::to_string_pretty(value)
        .expect("this is a bug in headfall: a result has a key that is not text")
}

/// The same on one line.
///
/// # Panics
/// As [`json`] does.
#[must_use]
pub fn json_line(value: &impl Serialize) -> String {
    hold_finite(&Value::from(Serde(value)));
    serde_json::to_string(value)
        .expect("this is a bug in headfall: a result has a key that is not text")
}

/// Every number in a value passes the border of [`finite`].
fn hold_finite(value: &Value) {
    match value.kind() {
        ValueKind::Number => {
            // Whole numbers beyond what a float holds are no floats.
            let _ = f64::try_from(value.clone()).map(finite);
        }
        ValueKind::Seq => value.try_iter().into_iter().flatten().for_each(|v| hold_finite(&v)),
        ValueKind::Map => {
            let keys = value.try_iter().into_iter().flatten();
            keys.filter_map(|key| value.get_item(&key).ok()).for_each(|v| hold_finite(&v));
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Serialize)]
    struct Told {
        known: Vec<Option<f64>>,
        deep: std::collections::BTreeMap<&'static str, (u8, f32)>,
    }

    #[test]
    fn no_number_that_is_not_finite_becomes_null() {
        let told = |known, deep| Told { known: vec![None, known], deep: [("a", (1, deep))].into() };
        let text = json(&told(Some(0.5), -2.0));
        let read: serde_json::Value = serde_json::from_str(&text).expect("JSON");
        assert_eq!(read, serde_json::json!({"known": [null, 0.5], "deep": {"a": [1, -2.0]}}));
        for (known, deep) in [(f64::NAN, 1.0), (f64::INFINITY, 1.0), (1.0, f32::NEG_INFINITY)] {
            let told = told(Some(known), deep);
            let text = std::panic::catch_unwind(|| json(&told));
            assert!(text.is_err(), "{known} {deep}: {text:?}");
        }
    }
}
