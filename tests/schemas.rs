//! The schemas that the program prints: the pages that hold them, and what they refuse.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use serde_json::{Value, json};

use crate::support::{Folder, headfall, keeps_schema, runs, sample, schema, stderr, stdout};

/// Their names, as the program lists them.
fn names() -> Vec<String> {
    let said = stderr(&headfall(&["schema", "no such schema"], &[]));
    let (_, list) = said.split_once("[possible values: ").expect("a list of names");
    let (list, _) = list.split_once(']').expect("its end");
    list.split(',').map(|name| name.trim().to_owned()).collect()
}

/// Once a type that is written has changed, `UPDATE_SCHEMAS=1 cargo test --release --locked pages_of_schemas` makes the
/// pages anew, and the difference is reviewed.
#[test]
fn pages_of_schemas_are_what_the_program_prints() {
    let docs = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs");
    let names: BTreeSet<String> =
        names().into_iter().map(|name| format!("{name}.schema.json")).collect();
    assert!(names.len() > 5, "{names:?}");
    for page in &names {
        let name = page.trim_end_matches(".schema.json");
        let printed = stdout(&runs(&["schema", name], &[]));
        if std::env::var_os("UPDATE_SCHEMAS").is_some() {
            fs::write(docs.join(page), &printed).expect("a page");
        }
        assert!(
            fs::read_to_string(docs.join(page)).is_ok_and(|page| page == printed),
            "docs/{page} is not what `headfall schema {name}` prints; run UPDATE_SCHEMAS=1 cargo test --release --locked \
             pages_of_schemas, and review what it changes there"
        );
    }
    let files = fs::read_dir(&docs).expect("docs").map(|f| f.expect("a file").file_name());
    let files = files.map(|name| name.to_string_lossy().into_owned());
    let pages: BTreeSet<String> = files.filter(|f| f.ends_with(".schema.json")).collect();
    assert_eq!(pages, names, "a page for each schema, and no other");
}

#[test]
fn schemas_say_which_they_are_and_what_each_member_is() {
    for name in names() {
        let schema = schema(&name);
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
        assert_eq!(schema["$id"], format!("urn:headfall:schema:{name}:1"));
        assert!(schema["title"].as_str().is_some_and(|t| t.starts_with("headfall ")), "{name}");
        let mut without = Vec::new();
        undescribed(&schema, &name, &mut without);
        assert!(without.is_empty(), "say in comments of the fields what they are: {without:#?}");
    }
}

/// Members without a description, and descriptions that no reader of JSON follows.
fn undescribed(schema: &Value, at: &str, found: &mut Vec<String>) {
    let Some(parts) = schema.as_object() else {
        schema.as_array().into_iter().flatten().for_each(|part| undescribed(part, at, found));
        return;
    };
    let members = parts.get("properties").and_then(Value::as_object);
    for (name, member) in members.into_iter().flatten() {
        // What a choice is called by has no more to it than the choice.
        let is_tag = member.get("const").is_some_and(Value::is_string)
            || parts["required"] == json!([name]) && parts.get("description").is_some();
        if !is_tag && member.get("description").is_none() {
            found.push(format!("{at}: {name}"));
        }
    }
    let said = parts.get("description").and_then(Value::as_str).unwrap_or_default();
    if ["`None`", "`Some", "](", "crate::"].iter().any(|code| said.contains(code)) {
        found.push(format!("{at}: {said}"));
    }
    for (name, part) in parts {
        undescribed(part, &format!("{at}/{name}"), found);
    }
}

#[test]
fn no_object_of_a_summary_takes_a_member_more_and_none_does_without_one() {
    let folder = Folder::new();
    let out = folder.at("out");
    let output = runs(&["toward", "--json", "--out"], &[&out, &sample("closed-landfill")]);
    let summary: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert!(summary["toward"].is_object());
    keeps_schema("summary", &summary);
    let validator = jsonschema::draft202012::new(&schema("summary")).expect("a schema");
    for (at, member) in [
        ("", "crs"),
        ("/options", "cell"),
        ("/options/surface/kriging", "range"),
        ("/tolerances", "same_position_m"),
        ("/flow/plane", "gradient_low"),
        ("/toward/verdicts/0", "probability"),
        ("/findings/0", "code"),
    ] {
        let mut less = summary.clone();
        let object = less.pointer_mut(at).and_then(Value::as_object_mut).expect("an object");
        assert!(object.remove(member).is_some(), "{at} {member}");
        assert!(!validator.is_valid(&less), "{at} without {member} passes");
    }
    for (at, wrong) in [
        ("/from", json!("14 April 2026")),
        ("/elevation_unit", json!("yd")),
        ("/foot/unit", json!("m")),
        ("/foot/metres", json!(0)),
        ("/inputs/0/sha256", json!("ABC")),
        ("/sha256/heads.csv", json!("abc")),
        ("/options/sheet/dpi", json!(601)),
        ("/options/surface/method", json!("guess")),
        ("/counts/readings", json!(-1)),
        ("/flow/plane/gradient", json!(-0.1)),
        ("/flow/plane/flow_azimuth_grid_deg", json!(360)),
        ("/flow/vector_mean/agreement", json!(1.1)),
        ("/findings/0/code", json!("X101")),
        ("/findings/0/severity", json!("fatal")),
        ("/cautions", json!([])),
    ] {
        let mut worse = summary.clone();
        *worse.pointer_mut(at).unwrap_or_else(|| panic!("{at}")) = wrong;
        assert!(!validator.is_valid(&worse), "{at} passes: {}", worse.pointer(at).expect("it"));
    }
}
