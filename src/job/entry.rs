//! Inputs as a job writes them: a path, or a table with a path and how to read the file.

use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;
use std::path::PathBuf;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::value::MapAccessDeserializer;
use serde::de::{self, Deserialize, Deserializer, MapAccess, Visitor};
use serde_json::{Map, Value, json};

use crate::read::{
    BoundarySettings, FeatureSettings, FieldsSettings, LaboratorySettings, SampleSettings,
};

macro_rules! entry {
    ($(#[$doc:meta])* $name:ident: $settings:ident { $($key:ident),* $(; $flag:ident)? }, $example:literal) => {
        $(#[$doc])*
        #[derive(Clone, Debug, Default)]
        pub struct $name {
            /// The file.
            pub file: PathBuf,
            /// How it is read.
            pub settings: $settings,
        }

        impl $name {
            /// The entry of a path alone.
            #[must_use]
            pub fn of(file: PathBuf) -> Self {
                Self { file, ..Self::default() }
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                /// One flat table, so that an unknown key is told with all the known ones.
                #[derive(serde::Deserialize)]
                #[serde(deny_unknown_fields)]
                struct Table {
                    #[serde(deserialize_with = "super::path::path")]
                    file: PathBuf,
                    $($key: Option<String>,)*
                    $(#[serde(default)] $flag: bool,)?
                }
                let expected = concat!("a path in quotes, or a table such as ", $example);
                path_or_table(deserializer, expected, |file| Table { file, $($key: None,)* $($flag: false,)? })
                    .map(|Table { file, $($key,)* $($flag,)? }| {
                        Self { file, settings: $settings { $($key,)* $($flag,)? } }
                    })
            }
        }

        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(generator: &mut SchemaGenerator) -> Schema {
                path_or_table_schema($settings::json_schema(generator))
            }
        }
    };
}

entry! {
    /// Where a boundary is.
    BoundaryEntry: BoundarySettings { crs, layer, field, field_column; merge }, "{ file = \"field.shp\", crs = \"EPSG:2965\" }"
}

entry! {
    /// Where the boundaries of several fields are.
    FieldsEntry: FieldsSettings { crs, layer, names }, "{ file = \"fields.shp\", names = \"FIELD\" }"
}

entry! {
    /// Where lines are on which road trucks can stand.
    AccessEntry: FeatureSettings { crs, layer, field }, "{ file = \"lane.geojson\", crs = \"EPSG:2965\" }"
}

entry! {
    /// Where samples are.
    SamplesEntry: SampleSettings {
        crs, layer, id, cec, cec_unit, longitude, latitude, easting, northing, sheet, field, field_column, depth,
        below_detection
    },
    "{ file = \"samples.csv\", cec = \"CEC\" }"
}

entry! {
    /// Where a laboratory's table is.
    LaboratoryEntry: LaboratorySettings { id, cec, cec_unit, sheet, field, field_column, depth, below_detection },
    "{ file = \"laboratory.csv\", id = \"Sample ID\" }"
}

/// A path alone, or a table of `file` and the keys of `settings`.
fn path_or_table_schema(mut settings: Schema) -> Schema {
    let keys = settings.get("properties").and_then(Value::as_object).cloned().unwrap_or_default();
    let mut properties = Map::new();
    properties.insert("file".to_owned(), json!({ "type": "string", "description": "The file." }));
    properties.extend(keys);
    settings.insert("properties".to_owned(), Value::Object(properties));
    settings.insert("required".to_owned(), json!(["file"]));
    settings.remove("description");
    json_schema!({ "anyOf": [{ "type": "string", "description": "The file." }, settings] })
}

/// Reads a string as a path, or a table as itself; so that a fault inside the table is said as the
/// table's own, not as "matches no variant".
fn path_or_table<'de, D, T>(
    deserializer: D,
    expected: &'static str,
    of_path: impl FnOnce(PathBuf) -> T,
) -> Result<T, D::Error>
where
    D: Deserializer<'de>,
    T: Deserialize<'de>,
{
    struct PathOrTable<T, F>(&'static str, F, PhantomData<T>);

    impl<'de, T: Deserialize<'de>, F: FnOnce(PathBuf) -> T> Visitor<'de> for PathOrTable<T, F> {
        type Value = T;

        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str(self.0)
        }

        fn visit_str<E: de::Error>(self, path: &str) -> Result<T, E> {
            super::path::of_text(path).map(self.1).map_err(E::custom)
        }

        fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<T, A::Error> {
            T::deserialize(MapAccessDeserializer::new(map))
        }
    }

    deserializer.deserialize_any(PathOrTable(expected, of_path, PhantomData))
}
