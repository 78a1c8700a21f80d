use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{Error, Unexpected};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// The number of the form of `totals.json` and `farm.json`.
pub const SCHEMA: u64 = 1;

/// [`SCHEMA`] in a file: a file with another number is not read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct SchemaNumber;

impl Serialize for SchemaNumber {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_u64(SCHEMA)
    }
}

impl<'de> Deserialize<'de> for SchemaNumber {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        match u64::deserialize(deserializer)? {
            SCHEMA => Ok(Self),
            other => Err(D::Error::invalid_value(Unexpected::Unsigned(other), &"schema number 1")),
        }
    }
}

impl JsonSchema for SchemaNumber {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "SchemaNumber".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "const": SCHEMA })
    }
}
