//! `docs/reference.md`: every key of the files that people write, out of their schemas.

use std::fmt::Write as _;

use landplaster::schema;
use serde_json::Value;

/// The files, in the page's order: the schema's name, the heading, and what stands under it.
const FILES: [(&str, &str, &str); 3] = [
    ("job.schema.json", "Job file", ""),
    ("farm-file.schema.json", "Farm file", "job.schema.json"),
    ("machine.schema.json", "Machine file", ""),
];

/// The whole page.
pub fn page() -> String {
    let schemas = schema::all();
    let schema = |name: &str| {
        let found = schemas.iter().find(|(of, _)| *of == name);
        found.map(|(_, schema)| schema.clone().to_value()).unwrap_or_default()
    };
    let mut page = String::from(
        "# All keys\n\n\
         Every key of the files that you write, made from the program itself. All three are TOML. A\n\
         quantity stands in quotes with its unit, such as `\"60 ft\"` or `\"18 m\"`; tons are short tons of\n\
         2,000 lb, `t` is the tonne of 1,000 kg. Paths are relative to the file that names them.\n\n\
         An editor with JSON Schema for TOML completes and checks these files by the schemas in\n\
         [`schema/`](schema): put `#:schema` and the schema's path into the first line.\n",
    );
    for (name, heading, shared) in FILES {
        let known = schema(shared);
        let of_file = Page { schema: schema(name), shared: known };
        of_file.write(&mut page, heading, name);
    }
    page
}

struct Page {
    schema: Value,
    /// A schema whose keys are not told again.
    shared: Value,
}

impl Page {
    fn write(&self, page: &mut String, heading: &str, name: &str) {
        let about = said(&self.schema, "description");
        let _ = write!(page, "\n## {heading}\n\n{about}\n\nSchema: [`{name}`](schema/{name}).\n");
        let mut tables = vec![(String::new(), String::new(), &self.schema)];
        let mut at = 0;
        while let Some((place, about, schema)) = tables.get(at).cloned() {
            at += 1;
            if !place.is_empty() {
                let _ = write!(page, "\n### `{place}`\n\n{about}\n");
            }
            page.push_str("\n| key | what it is | form | when absent |\n|---|---|---|---|\n");
            let told =
                |key: &String| place.is_empty() && self.shared["properties"].get(key).is_some();
            for (key, value) in properties(schema).filter(|(key, _)| !told(key)) {
                let (what, absent) = self.what(schema, key, value);
                let form = form(&self.schema, value);
                let _ = writeln!(page, "| `{key}` | {what} | {form} | {absent} |");
                let inner = inner(&self.schema, value);
                tables.extend(inner.map(|(listed, inner)| {
                    let path = match place.trim_matches(['[', ']']) {
                        "" => key.clone(),
                        outer => format!("{outer}.{key}"),
                    };
                    let place = if listed { format!("[[{path}]]") } else { format!("[{path}]") };
                    (place, what, inner)
                }));
            }
        }
        if !self.shared.is_null() {
            page.push_str(
                "\nAll keys of a job file but `name`, `boundary` and `samples` may stand here too, for all jobs.\n",
            );
        }
    }

    /// What a key is, and what goes when it is absent.
    fn what(&self, table: &Value, key: &str, value: &Value) -> (String, String) {
        let text = said(value, "description");
        let required = table["required"].as_array().is_some_and(|all| all.iter().any(|k| k == key));
        match schema::stated_default(&text) {
            Some(default) => {
                let what = text.rsplit_once("; ").map_or("", |(what, _)| what);
                (format!("{what}."), default.to_owned())
            }
            None if required => (text, "required".to_owned()),
            None => {
                assert!(inner(&self.schema, value).is_some(), "{key}: no default is said");
                (text, "as its keys say".to_owned())
            }
        }
    }
}

fn properties(schema: &Value) -> impl Iterator<Item = (&String, &Value)> {
    schema["properties"].as_object().into_iter().flatten()
}

/// A text on one line, fit for a table's cell.
fn said(schema: &Value, key: &str) -> String {
    let text = schema[key].as_str().unwrap_or_default();
    text.split_whitespace().collect::<Vec<_>>().join(" ").replace('|', "\\|")
}

/// What a reference points at.
fn resolved<'a>(root: &'a Value, value: &'a Value) -> &'a Value {
    let pointer = value["$ref"].as_str().and_then(|at| at.strip_prefix('#'));
    pointer.and_then(|at| root.pointer(at)).unwrap_or(value)
}

/// The table that a key holds, and whether it is a list of such tables.
fn inner<'a>(root: &'a Value, value: &'a Value) -> Option<(bool, &'a Value)> {
    let target = resolved(root, value);
    let of = |value: &'a Value| value["properties"].is_object().then_some(value);
    let among = |list: &'a Value| list.as_array().into_iter().flatten().find_map(of);
    let whole = of(target).or_else(|| among(&target["anyOf"])).or_else(|| among(&target["oneOf"]));
    let items = target.get("items").map(|items| resolved(root, items)).and_then(of);
    whole.map(|table| (false, table)).or_else(|| items.map(|table| (true, table)))
}

/// How a value is written.
fn form(root: &Value, value: &Value) -> String {
    let target = resolved(root, value);
    for list in ["anyOf", "oneOf"] {
        if let Some(choices) = target[list].as_array() {
            if target["properties"].is_object() {
                break;
            }
            let forms: Vec<String> = choices.iter().map(|choice| form(root, choice)).collect();
            return forms.join(" or ");
        }
    }
    if let Some(constant) = target.get("const") {
        return format!("`{constant}`");
    }
    if let Some(values) = target["enum"].as_array() {
        return values.iter().map(|value| format!("`{value}`")).collect::<Vec<_>>().join(" or ");
    }
    if target["pattern"].is_string() {
        let units = said(target, "description");
        let units = units.trim_start_matches("A number and its unit: ").trim_end_matches('.');
        return format!("quantity in {units}");
    }
    match target["type"].as_str() {
        Some("string") => "text".to_owned(),
        Some("boolean") => "`true` or `false`".to_owned(),
        Some("integer") => "whole number".to_owned(),
        Some("number") => "number".to_owned(),
        Some("object") => "table".to_owned(),
        Some("array") => {
            let count = target["minItems"].as_u64().filter(|_| target["maxItems"].is_u64());
            let count = count.map_or("list".to_owned(), |count| format!("list of {count}"));
            match form(root, &target["items"]) {
                form if form == "table" => "list of tables".to_owned(),
                form => format!("{count}: {form}"),
            }
        }
        _ => unreachable!("found no form of {value}"),
    }
}

/// The defaults that a table's schema states, as TOML.
pub fn defaults(root: &Value, table: &str) -> Vec<(String, String)> {
    let Some((_, table)) = inner(root, &root["properties"][table]) else { return Vec::new() };
    let stated = properties(table).filter_map(|(key, value)| {
        let default = value.get("default").filter(|default| !default.is_null())?;
        Some((key.clone(), default.to_string()))
    });
    stated.collect()
}
