//! The published JSON Schemas: what a job, a farm and a machine file may say, which editors
//! complete and check by, and what `totals.json` and `farm.json` hold. Made from the very types that
//! read and write these files.

use schemars::generate::SchemaSettings;
use schemars::transform::{RecursiveTransform, Transform};
use schemars::{JsonSchema, Schema, schema_for};
use serde_json::{Value, json};

use crate::job::{Farm, Job};
use crate::spreader::machine;
use crate::totals::{FarmFile, Totals};

/// Each published schema: its file's name and its content.
#[must_use]
pub fn all() -> [(&'static str, Schema); 5] {
    [
        ("job.schema.json", read_file(schema_for!(Job))),
        ("farm-file.schema.json", read_file(Farm::schema())),
        ("machine.schema.json", read_file(machine::schema())),
        ("totals.schema.json", written::<Totals>()),
        ("farm.schema.json", written::<FarmFile>()),
    ]
}

/// The schema of a file that the program writes: every key that is always there is required.
fn written<T: JsonSchema>() -> Schema {
    SchemaSettings::default().for_serialize().into_generator().into_root_schema_for::<T>()
}

/// The schema of a file that people write, without what says nothing to them.
fn read_file(mut schema: Schema) -> Schema {
    RecursiveTransform(plain).transform(&mut schema);
    schema
}

/// Takes out null, which TOML does not have, and how wide a number is in memory; and takes a default that the description states in TOML, as in
/// ``the grid; `"10 ft"` when absent``, for the schema's default.
fn plain(schema: &mut Schema) {
    if let Some(Value::Array(types)) = schema.get("type") {
        let types: Vec<Value> = types.iter().filter(|of| **of != json!("null")).cloned().collect();
        if let [one] = types.as_slice() {
            schema.insert("type".to_owned(), one.clone());
        }
    }
    if let Some(Value::Array(values)) = schema.get_mut("enum") {
        values.retain(|value| !value.is_null());
    }
    if let Some(Value::Array(choices)) = schema.get_mut("anyOf") {
        choices.retain(|choice| *choice != json!({ "type": "null" }));
        if let [one] = choices.as_slice() {
            let one = one.as_object().cloned().unwrap_or_default();
            schema.remove("anyOf");
            for (key, value) in one {
                schema.insert(key, value);
            }
        }
    }
    if schema.get("default") == Some(&Value::Null) {
        schema.remove("default");
    }
    if schema.remove("format").is_some() && schema.get("type") == Some(&json!("integer")) {
        schema.remove("maximum");
    }
    let description = schema.get("description").and_then(Value::as_str).unwrap_or_default();
    if let Some(default) = stated_default(description).and_then(toml_value) {
        schema.insert("default".to_owned(), default);
    }
}

/// What a description says goes when a key is absent: the text between the last semicolon and
/// "when absent".
#[must_use]
pub fn stated_default(description: &str) -> Option<&str> {
    let (_, last) = description.rsplit_once("; ")?;
    last.trim_end_matches('.').strip_suffix(" when absent")
}

/// A TOML value in backticks.
fn toml_value(text: &str) -> Option<Value> {
    let value = text.strip_prefix('`')?.strip_suffix('`')?;
    let table: toml::Table = toml::from_str(&format!("value = {value}")).ok()?;
    serde_json::to_value(table.get("value")?).ok()
}
