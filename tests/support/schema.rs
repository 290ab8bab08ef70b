//! The schemas that the program prints, and what keeps them.

use serde_json::Value;

use super::cli::{runs, stdout};

/// Members whose own members have names of the site's choosing.
const FREE: &[&str] = &["/instruments", "/sha256"];

/// The schema of a name.
pub(crate) fn schema(name: &str) -> Value {
    serde_json::from_str(&stdout(&runs(&["schema", name], &[]))).expect("a schema")
}

/// Fails unless a value keeps the schema of a name, and no longer does with a member more in any of its objects.
#[track_caller]
pub(crate) fn keeps_schema(name: &str, value: &Value) {
    let validator = jsonschema::draft202012::new(&schema(name)).expect("a schema");
    let faults: Vec<String> =
        validator.iter_errors(value).map(|e| format!("{}: {e}", e.instance_path())).collect();
    assert!(faults.is_empty(), "{name}: {faults:#?}");
    let mut objects = Vec::new();
    objects_in(value, String::new(), &mut objects);
    for object in objects.iter().filter(|object| !FREE.contains(&object.as_str())) {
        let mut more = value.clone();
        more.pointer_mut(object).expect("an object")["ghost"] = 1.into();
        assert!(!validator.is_valid(&more), "{name}: a member more passes in {object:?}");
    }
}

/// JSON pointers to the objects in a value: of an array to those in its first item alone.
fn objects_in(value: &Value, at: String, found: &mut Vec<String>) {
    match value {
        Value::Object(members) => {
            for (name, member) in members {
                objects_in(member, format!("{at}/{}", name.replace('/', "~1")), found);
            }
            found.push(at);
        }
        Value::Array(items) => {
            if let Some(first) = items.first() {
                objects_in(first, format!("{at}/0"), found);
            }
        }
        _ => {}
    }
}
