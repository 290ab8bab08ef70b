//! JSON schemas of what is written and printed, made from the very types that are: what is said of a member is said
//! of the field, once.

use schemars::generate::SchemaSettings;
use schemars::transform::transform_subschemas;
use schemars::{JsonSchema, Schema};
use serde_json::Value;

/// A number above 0.
#[derive(Debug, JsonSchema)]
#[schemars(inline, extend("exclusiveMinimum" = 0))]
pub struct Positive(pub f64);

/// A day: year-month-day.
#[derive(Debug, JsonSchema)]
#[schemars(inline, extend("pattern" = r"^-?\d{4,6}-\d{2}-\d{2}$"))]
pub struct Day(pub String);

/// A day, or a time of it.
#[derive(Debug, JsonSchema)]
#[schemars(inline, extend("pattern" = r"^\d{4}-\d{2}-\d{2}(T\d{2}:\d{2}:\d{2})?$"))]
pub struct Moment(pub String);

/// SHA-256, in hexadecimal.
#[derive(Debug, JsonSchema)]
#[schemars(inline, extend("pattern" = "^[0-9a-f]{64}$"))]
pub struct Sha256(pub String);

/// The schema of a type as it is serialized, as indented JSON with a line end: JSON Schema 2020-12. Nothing that it
/// does not describe may be in an object.
///
/// # Panics
/// When a schema is no JSON, which is a bug in headfall.
#[must_use]
pub fn text<T: JsonSchema>(name: &str, title: &str) -> String {
    let settings = SchemaSettings::draft2020_12().for_serialize().with_transform(finish);
    let mut schema = settings.into_generator().into_root_schema_for::<T>();
    schema.insert("$id".to_owned(), format!("urn:headfall:schema:{name}:1").into());
    schema.insert("title".to_owned(), title.into());
    let text = serde_json::to_string_pretty(&schema);
    text.expect("this is a bug in headfall: a schema is no JSON") + "\n"
}

/// Closes objects, leaves out how numbers are held in memory, and makes running text of comments.
fn finish(schema: &mut Schema) {
    transform_subschemas(&mut finish, schema);
    if schema.remove("format").is_some_and(|format| format == "int16") {
        schema.remove("minimum");
        schema.remove("maximum");
    }
    if let Some(comment) = schema.get("description").and_then(Value::as_str) {
        let text = running(comment);
        schema.insert("description".to_owned(), text.into());
    }
    if schema.get("properties").is_none() {
        return;
    }
    // The members of a choice are only known together with those beside it.
    let choices = schema.get_mut("oneOf").and_then(Value::as_array_mut);
    let others = choices.map_or("additionalProperties", |choices| {
        for choice in choices.iter_mut().filter_map(Value::as_object_mut) {
            choice.remove("additionalProperties");
        }
        "unevaluatedProperties"
    });
    schema.insert(others.to_owned(), false.into());
}

/// The paragraphs of a comment, each on one line, without the brackets of links to code.
fn running(comment: &str) -> String {
    let paragraph = |p: &str| p.lines().map(str::trim).collect::<Vec<_>>().join(" ");
    let paragraphs: Vec<String> = comment.trim().split("\n\n").map(paragraph).collect();
    paragraphs.join("\n\n").replace("[`", "`").replace("`]", "`")
}
