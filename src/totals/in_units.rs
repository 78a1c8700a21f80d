use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{Error, IgnoredAny, MapAccess, Visitor};
use serde::ser::SerializeMap;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::units::{Quantity, System};

/// A key that names its unit.
pub trait Key: 'static {
    /// What is measured.
    type Quantity: Quantity;
    /// The key in US customary and in metric units.
    const NAMES: &'static [&'static str; 2];
    /// What it says.
    const ABOUT: &'static str;
}

/// A number under a key that names its unit, such as `tons` or `tonnes`: to be flattened into what
/// has it. `T` is `Option<f64>` where the number may be null.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InUnits<K, T = f64> {
    /// The number as printed.
    pub value: T,
    /// The units that its key is in.
    pub system: System,
    key: PhantomData<K>,
}

impl<K: Key, T> InUnits<K, T> {
    /// A number in a system's unit.
    #[must_use]
    pub fn new(value: T, system: System) -> Self {
        Self { value, system, key: PhantomData }
    }
}

impl<K: Key> InUnits<K> {
    /// The number in a system's unit: as it is in its own, converted in the other.
    #[must_use]
    pub fn value_in(&self, system: System) -> f64 {
        if self.system == system { self.value } else { self.quantity().value_in(system) }
    }

    /// What the number stands for.
    #[must_use]
    pub fn quantity(&self) -> K::Quantity {
        K::Quantity::from_si(self.value * K::Quantity::unit(self.system).si)
    }
}

impl<K: Key> InUnits<K, Option<f64>> {
    /// The number, where there is one.
    #[must_use]
    pub fn known(&self) -> Option<InUnits<K>> {
        self.value.map(|value| InUnits::new(value, self.system))
    }
}

impl<K: Key, T: Serialize> Serialize for InUnits<K, T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let [us, metric] = K::NAMES;
        let mut map = serializer.serialize_map(Some(1))?;
        map.serialize_entry(if self.system == System::Us { us } else { metric }, &self.value)?;
        map.end()
    }
}

impl<'de, K: Key, T: Deserialize<'de>> Deserialize<'de> for InUnits<K, T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct OneOfTwo<K, T>(PhantomData<(K, T)>);

        impl<'de, K: Key, T: Deserialize<'de>> Visitor<'de> for OneOfTwo<K, T> {
            type Value = InUnits<K, T>;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                let [us, metric] = K::NAMES;
                write!(f, "{us} or {metric}")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let [us, metric] = K::NAMES;
                let mut found = None;
                while let Some(key) = map.next_key::<Cow<'_, str>>()? {
                    let system = match key.as_ref() {
                        key if key == *us => System::Us,
                        key if key == *metric => System::Metric,
                        _ => {
                            map.next_value::<IgnoredAny>()?;
                            continue;
                        }
                    };
                    if found.replace(InUnits::new(map.next_value()?, system)).is_some() {
                        return Err(A::Error::custom(format!(
                            "found both {us} and {metric}, expected one of them"
                        )));
                    }
                }
                found.ok_or_else(|| A::Error::custom(format!("found no {us} and no {metric}")))
            }
        }

        deserializer.deserialize_struct("InUnits", K::NAMES, OneOfTwo(PhantomData))
    }
}

impl<K: Key, T: JsonSchema> JsonSchema for InUnits<K, T> {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        K::NAMES.concat().into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let number = generator.subschema_for::<T>();
        let one = |name: &str| {
            let mut about = number.clone();
            about.insert("description".into(), K::ABOUT.into());
            json_schema!({ "type": "object", "properties": { name: about }, "required": [name] })
        };
        let [us, metric] = K::NAMES.map(one);
        json_schema!({ "oneOf": [us, metric] })
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::super::{Acres, Tons, TonsPerDelivery};
    use super::*;

    #[derive(Debug, PartialEq, Serialize, Deserialize)]
    struct Both {
        name: String,
        #[serde(flatten)]
        area: InUnits<Acres>,
        #[serde(flatten)]
        load: InUnits<TonsPerDelivery, Option<f64>>,
        more: bool,
    }

    #[test]
    fn the_key_names_the_unit_and_is_read_back() {
        for (system, area, load) in [
            (System::Us, "acres", "tons_per_delivery"),
            (System::Metric, "hectares", "tonnes_per_delivery"),
        ] {
            for payload in [None, Some(24.25)] {
                let both = Both {
                    name: "a".into(),
                    area: InUnits::new(1.5, system),
                    load: InUnits::new(payload, system),
                    more: true,
                };
                let written = serde_json::to_string(&both).unwrap();
                let payload = payload.map_or("null".to_owned(), |value| value.to_string());
                assert_eq!(
                    written,
                    format!(r#"{{"name":"a","{area}":1.5,"{load}":{payload},"more":true}}"#)
                );
                assert_eq!(serde_json::from_str::<Both>(&written).unwrap(), both);
            }
        }
    }

    #[test]
    fn a_key_that_is_not_there_or_there_twice_is_told() {
        let said = |value| serde_json::from_value::<InUnits<Tons>>(value).unwrap_err().to_string();
        assert_eq!(said(json!({ "acres": 1.0 })), "found no tons and no tonnes");
        assert_eq!(
            said(json!({ "tons": 1.0, "tonnes": 1.0 })),
            "found both tons and tonnes, expected one of them"
        );
    }

    /// NIST Handbook 44, appendix C: 1 ha = 2.47104 ac.
    #[test]
    fn the_other_unit_is_converted_and_its_own_is_not() {
        let area = InUnits::<Acres>::new(0.1 + 0.2, System::Metric);
        assert_eq!(area.value_in(System::Metric), 0.1 + 0.2);
        assert!((area.value_in(System::Us) - 0.741_312).abs() < 1e-5);
    }
}
