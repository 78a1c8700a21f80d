//! The published schemas and the reference page, held against the types that they are made from,
//! and by the reference validator against the files of the demo farm.
//!
//! After a change that is meant, `UPDATE_DOCS=1 cargo test --release --test suite schemas` writes
//! them anew.

use std::path::{Path, PathBuf};
use std::{env, fs};

use landplaster::job::{Farm, Job};
use landplaster::schema;
use landplaster::spreader::machine;
use landplaster::totals::{self, FarmFile, Totals};
use serde_json::{Value, json};

use crate::folder::{Folder, demo};
use crate::reference_page;

fn docs() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("docs")
}

fn kept(name: &str, made: &str) {
    let file = docs().join(name);
    if env::var_os("UPDATE_DOCS").is_some() {
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(&file, made).unwrap();
    }
    let kept = fs::read_to_string(&file).unwrap_or_default();
    assert_eq!(kept, made, "docs/{name} is not what the types give; see the head of schemas.rs");
}

#[test]
fn the_published_schemas_are_what_the_types_give() {
    for (name, schema) in schema::all() {
        kept(&format!("schema/{name}"), &totals::text(&schema).unwrap());
    }
}

#[test]
fn the_reference_page_is_what_the_types_give() {
    let page = reference_page::page();
    assert!(
        !page.contains("|  |") && !page.contains("null"),
        "every key has all that is told of it"
    );
    kept("reference.md", &page);
}

fn published(name: &str) -> Value {
    let (_, schema) = schema::all().into_iter().find(|(of, _)| *of == name).unwrap();
    schema.to_value()
}

fn from_toml(text: &str) -> Value {
    serde_json::to_value(toml::from_str::<toml::Table>(text).unwrap()).unwrap()
}

/// Every schema with the demo farm's files that it is of, and the program's own reading of them.
type Reader = fn(&str) -> bool;
const FILES: [(&str, &[&str], Reader); 3] = [
    ("job.schema.json", &["home-lane.toml", "pond-quarter.toml", "creek-bottom.toml"], |text| {
        Job::read("job.toml", text).is_ok()
    }),
    ("farm-file.schema.json", &["farm.toml"], |text| Farm::read("farm.toml", text).is_ok()),
    ("machine.schema.json", &["spreader/machine.toml"], |text| {
        machine::read("machine.toml", text).is_ok()
    }),
];

#[test]
fn the_demo_farm_is_valid_and_a_misspelt_key_in_any_of_its_tables_is_not() {
    let mut refused = 0;
    for (name, files, reads) in FILES {
        let validator = jsonschema::validator_for(&published(name)).unwrap();
        for file in files {
            let text = fs::read_to_string(demo(file)).unwrap();
            let value = from_toml(&text);
            let faults: Vec<_> = validator.iter_errors(&value).map(|e| e.to_string()).collect();
            assert!(faults.is_empty() && reads(&text), "{file}: {faults:?}");
            for misspelt in misspelt(&value) {
                let text = toml::to_string(&misspelt).unwrap();
                assert!(!validator.is_valid(&misspelt), "{file}: {text}");
                assert!(!reads(&text), "{file}: {text}");
                refused += 1;
            }
        }
    }
    assert!(refused > 60, "{refused}");
}

/// The value with one letter more in one key, for each key of each table.
fn misspelt(value: &Value) -> Vec<Value> {
    match value {
        Value::Object(table) => {
            let mut all = Vec::new();
            for (key, inner) in table {
                let with = |key: String, inner: Value| {
                    let others = table.iter().filter(|(other, _)| *other != &key);
                    let mut changed: serde_json::Map<_, _> =
                        others.map(|(key, value)| (key.clone(), value.clone())).collect();
                    changed.insert(key, inner);
                    Value::Object(changed)
                };
                let mut renamed = with(format!("{key}x"), inner.clone());
                renamed.as_object_mut().unwrap().shift_remove(key);
                all.push(renamed);
                all.extend(misspelt(inner).into_iter().map(|inner| with(key.clone(), inner)));
            }
            all
        }
        Value::Array(items) => (0..items.len())
            .flat_map(|i| {
                misspelt(&items[i]).into_iter().map(move |item| {
                    let mut items = items.clone();
                    items[i] = item;
                    Value::Array(items)
                })
            })
            .collect(),
        _ => Vec::new(),
    }
}

#[test]
fn what_is_written_is_valid_and_read_back_the_same() {
    let folder = Folder::empty();
    let farm = demo("farm.toml");
    assert_eq!(folder.run(&["plan", farm.to_str().unwrap()]).code, 0);
    let validator = jsonschema::validator_for(&published("totals.schema.json")).unwrap();
    for job in ["home-lane", "pond-quarter", "creek-bottom"] {
        let text = folder.read(&format!("plans/{job}/totals.json"));
        let mut value: Value = serde_json::from_str(&text).unwrap();
        let faults: Vec<_> = validator.iter_errors(&value).map(|e| e.to_string()).collect();
        assert!(faults.is_empty(), "{job}: {faults:?}");
        assert_eq!(totals::text(&Totals::read(&text).unwrap()).unwrap(), text);
        value["total"] = json!({ "acres": 1.0 });
        assert!(!validator.is_valid(&value), "tons are missing");
    }
    let text = folder.read("plans/Sorrel Kettle Farm/farm.json");
    let validator = jsonschema::validator_for(&published("farm.schema.json")).unwrap();
    let mut value: Value = serde_json::from_str(&text).unwrap();
    let faults: Vec<_> = validator.iter_errors(&value).map(|e| e.to_string()).collect();
    assert!(faults.is_empty(), "{faults:?}");
    assert_eq!(totals::text(&FarmFile::read(&text).unwrap()).unwrap(), text);
    value["schema"] = json!(2);
    assert!(!validator.is_valid(&value) && FarmFile::read(&value.to_string()).is_err());
}

/// Quantities: what the pattern takes and what the program reads.
#[test]
fn a_quantity_needs_its_unit_in_the_schema_too() {
    let validator = jsonschema::validator_for(&published("job.schema.json")).unwrap();
    for (swath, good) in [
        ("\"60 ft\"", true),
        ("\"60ft\"", true),
        ("\" 18.5 M \"", true),
        ("\"6e1 feet\"", true),
        ("\".5 mi\"", true),
        ("\"60\"", false),
        ("\"ft\"", false),
        ("\"60 acres\"", false),
        ("60", false),
    ] {
        let text = format!("boundary = \"b\"\nsamples = \"s\"\nswath = {swath}\n");
        assert_eq!(validator.is_valid(&from_toml(&text)), good, "{swath}");
        assert_eq!(Job::read("job.toml", &text).is_ok(), good, "{swath}");
    }
}

/// A job that says every default that the schema states comes to the very settings of a job that
/// says none.
#[test]
fn the_defaults_that_are_stated_are_those_that_go() {
    const TABLES: [&str; 4] = ["surface", "zones", "order", "sodic"];
    let schema = published("job.schema.json");
    let job = |stated: bool| {
        let mut text = String::from("boundary = \"b\"\nsamples = \"s\"\n");
        for table in TABLES {
            text.extend(["[", table, "]\n"]);
            let defaults = reference_page::defaults(&schema, table);
            assert!(!defaults.is_empty(), "{table}");
            // What no spreader is known for cannot be said.
            let spreader = ["first_loads", "first_load_share", "turn", "refill"];
            let said = defaults.iter().filter(|(key, _)| !spreader.contains(&key.as_str()));
            for (key, value) in said.filter(|_| stated) {
                text.extend([key.as_str(), " = ", value.as_str(), "\n"]);
            }
        }
        let job = Job::read("job.toml", &text).unwrap();
        format!("{:?}", job.settings("job.toml", "home", None).unwrap())
    };
    assert_eq!(job(true), job(false));
}
