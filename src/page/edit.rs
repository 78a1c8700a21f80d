//! Changes of a job as they are made on the page, put into its text.

use std::collections::BTreeMap;

use serde::Deserialize;
use serde_json::json;
use toml_edit::{Array, DocumentMut, Item, Value};

use super::DraftState;
use super::tier_tables::{self, TierEdit, number};
use super::toml_text::{self, TomlText};
use crate::soil::TierSetting;

/// A change of a job. Places are longitude and latitude, WGS84 degrees.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(tag = "do", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Edit {
    /// Other breaks or rates, more or fewer tiers; all of them, from the lowest CEC.
    Tiers {
        /// The tiers.
        tiers: Vec<TierEdit>,
    },
    /// A sample that does not count.
    LeaveOut {
        /// Its name.
        id: String,
    },
    /// A sample that counts again.
    TakeIn {
        /// Its name.
        id: String,
    },
    /// Nothing is spread within a distance of what is drawn.
    KeepOut {
        /// What is drawn.
        outline: Outline,
        /// How far, such as `35 ft`.
        distance: String,
        /// What it is.
        why: String,
    },
    /// What is drawn gets a rate that the soil test does not give.
    SetRate {
        /// What is drawn.
        outline: Outline,
        /// The rate, such as `0.5 ton/ac`.
        rate: String,
        /// Why.
        why: String,
    },
    /// Takes an entry out of one of the job's lists.
    Remove {
        /// The list: `keep_out` or `set_rate`.
        list: String,
        /// Which, from 0.
        number: usize,
    },
    /// A place for the pile; the best one is found where there is none.
    Pile {
        /// The place.
        place: Option<[f64; 2]>,
    },
    /// Sets one of the other settings, or leaves it to what is usual.
    Set {
        /// Its key.
        key: String,
        /// A number, a text or true or false; as usual when absent.
        value: Option<serde_json::Value>,
    },
}

/// What was drawn.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Outline {
    /// Its corners.
    pub corners: Vec<[f64; 2]>,
    /// Whether it is an area; a line or, with one corner, a point otherwise.
    pub is_area: bool,
}

/// Why a change cannot be made.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[expect(missing_docs, reason = "the fields are what the messages say they are")]
pub enum EditError {
    #[error("the job is no longer TOML: {0}")]
    NoToml(String),
    #[error(
        "{key}: found something else than a list in the job, expected [[{key}]] tables; change it in the file"
    )]
    NoList { key: String },
    #[error("{key}: not a setting of this page")]
    UnknownKey { key: String },
    #[error("the drawing: found {found}, expected {expected}; draw it again")]
    Outline { found: String, expected: &'static str },
    #[error("why: found nothing, expected what it is or why, for the field sheet")]
    NoReason,
    #[error("tiers: found {found}, expected 1 to 12 of them")]
    TierCount { found: usize },
}

/// What the page may set beside lists and places.
const SETTINGS: [&str; 10] = [
    "swath",
    "hole_setback",
    "zones.clean_up",
    "zones.min_zone",
    "zones.min_width",
    "zones.heading",
    "surface.method",
    "order.margin",
    "order.delivery",
    "max_rate",
];
/// The most corners of a drawing.
const MOST_CORNERS: usize = 2000;
/// More tiers than these nobody spreads.
const MOST_TIERS: usize = 12;

impl Edit {
    /// What it does, for undo.
    #[must_use]
    pub fn told(&self) -> String {
        match self {
            Self::Tiers { .. } => "change of rates and breaks".to_owned(),
            Self::LeaveOut { id } => format!("sample {id} left out"),
            Self::TakeIn { id } => format!("sample {id} put back"),
            Self::KeepOut { why, .. } => format!("keep-out area: {why}"),
            Self::SetRate { why, .. } => format!("set rate: {why}"),
            Self::Remove { list, .. } if list == "keep_out" => "keep-out taken away".to_owned(),
            Self::Remove { .. } => "set rate taken away".to_owned(),
            Self::Pile { place: Some(_) } => "pile moved".to_owned(),
            Self::Pile { place: None } => "pile to the best place".to_owned(),
            Self::Set { key, .. } => format!("setting {key}"),
        }
    }

    /// The same with every place put through a map, such as from pixels to degrees.
    ///
    /// # Errors
    /// When the map fails.
    pub fn at<E>(mut self, map: impl Fn([f64; 2]) -> Result<[f64; 2], E>) -> Result<Self, E> {
        match &mut self {
            Self::KeepOut { outline, .. } | Self::SetRate { outline, .. } => {
                for corner in &mut outline.corners {
                    *corner = map(*corner)?;
                }
            }
            Self::Pile { place: Some(place) } => *place = map(*place)?,
            _ => {}
        }
        Ok(self)
    }

    /// Makes the change in a state. `job` is what the job is called, for the files of what is drawn;
    /// `tiers` are those that count now; `is_taken` says of a file's name whether there is such a file
    /// beside the job.
    ///
    /// # Errors
    /// When the change does not go with what stands there, or a drawing is none.
    pub fn apply(
        &self,
        state: &DraftState,
        job: &str,
        tiers: &[TierSetting],
        is_taken: &dyn Fn(&str) -> bool,
    ) -> Result<DraftState, EditError> {
        let read = TomlText::read(&state.text);
        let mut text = read.map_err(|error| EditError::NoToml(error.to_string()))?;
        let document = &mut text.document;
        let mut drawn = state.drawn.clone();
        let mut draw = |kind: &str, outline: &Outline| {
            let file = free_name(job, kind, &drawn, is_taken);
            drawn.insert(file.clone(), outline.geojson()?);
            Ok(Value::from(file))
        };
        match self {
            Self::Tiers { tiers: edits } => {
                if !(1..=MOST_TIERS).contains(&edits.len()) {
                    return Err(EditError::TierCount { found: edits.len() });
                }
                let done = tier_tables::write(document, tiers, edits);
                done.ok_or_else(|| no_list("tier"))?;
            }
            Self::LeaveOut { id } => {
                let list = exclude(document)?;
                if !list.iter().any(|other| other.as_str() == Some(id)) {
                    list.push(id.as_str());
                }
            }
            Self::TakeIn { id } => {
                let list = exclude(document)?;
                list.retain(|other| other.as_str() != Some(id));
                if list.is_empty() {
                    document.remove("exclude");
                }
            }
            Self::KeepOut { outline, distance, why } => {
                let file = draw("keep-out", outline)?;
                let distance = Value::from(distance.trim());
                let keys = vec![("file", file), ("distance", distance), ("why", reason(why)?)];
                toml_text::push(document, "keep_out", keys).ok_or_else(|| no_list("keep_out"))?;
            }
            Self::SetRate { outline, rate, why } => {
                let file = draw("set-rate", outline)?;
                let keys =
                    vec![("file", file), ("rate", rate.trim().into()), ("why", reason(why)?)];
                toml_text::push(document, "set_rate", keys).ok_or_else(|| no_list("set_rate"))?;
            }
            Self::Remove { list, number } => {
                if !["keep_out", "set_rate"].contains(&list.as_str()) {
                    return Err(EditError::UnknownKey { key: list.clone() });
                }
                toml_text::remove(document, list, *number).ok_or_else(|| no_list(list))?;
            }
            Self::Pile { place } => {
                let place = place.map(|place| place.into_iter().map(degrees).collect::<Array>());
                let table = toml_text::table(document, "pile").ok_or_else(|| no_list("pile"))?;
                toml_text::set(table, "place", place.map(Value::from));
            }
            Self::Set { key, value } => set(document, key, value.as_ref())?,
        }
        let text = text.text();
        drawn.retain(|file, _| text.contains(file.as_str()));
        Ok(DraftState { text, drawn, done: self.told() })
    }
}

impl Outline {
    /// It as GeoJSON (RFC 7946).
    fn geojson(&self) -> Result<String, EditError> {
        let fault = |found: String, expected| EditError::Outline { found, expected };
        let mut corners: Vec<[f64; 2]> =
            self.corners.iter().map(|place| place.map(degrees)).collect();
        corners.dedup();
        if corners.len() > MOST_CORNERS {
            return Err(fault(format!("{} corners", corners.len()), "at most 2,000"));
        }
        let geometry = match corners.as_slice() {
            [] => return Err(fault("nothing".to_owned(), "at least one corner")),
            _ if self.is_area => {
                if corners.len() > 1 && corners.first() == corners.last() {
                    corners.pop();
                }
                if corners.len() < 3 {
                    return Err(fault(
                        format!("an area of {} corners", corners.len()),
                        "at least three corners",
                    ));
                }
                if doubled_area(&corners) < 0.0 {
                    corners.reverse();
                }
                corners.extend(corners.first().copied());
                json!({ "type": "Polygon", "coordinates": [corners] })
            }
            [only] => json!({ "type": "Point", "coordinates": only }),
            _ => json!({ "type": "LineString", "coordinates": corners }),
        };
        let feature = json!({ "type": "Feature", "properties": {}, "geometry": geometry });
        let all = json!({ "type": "FeatureCollection", "features": [feature] });
        Ok(format!("{all}\n"))
    }
}

/// Twice the area of a ring on the plane, above 0 for one that runs counter-clockwise.
fn doubled_area(corners: &[[f64; 2]]) -> f64 {
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).map(|([ax, ay], [bx, by])| ax * by - bx * ay).sum()
}

/// A drawing is true to a centimeter.
fn degrees(value: f64) -> f64 {
    (value * 1e7).round() / 1e7
}

fn no_list(key: &str) -> EditError {
    EditError::NoList { key: key.to_owned() }
}

fn reason(why: &str) -> Result<Value, EditError> {
    let why = why.trim();
    if why.is_empty() { Err(EditError::NoReason) } else { Ok(why.into()) }
}

/// A name that no file beside the job has.
fn free_name(
    job: &str,
    kind: &str,
    drawn: &BTreeMap<String, String>,
    is_taken: &dyn Fn(&str) -> bool,
) -> String {
    let plain = |letter: char| if letter.is_alphanumeric() { letter } else { '-' };
    let job: String = job.chars().take(60).map(plain).collect();
    let name = |number: usize| format!("{job}-{kind}-{number}.geojson");
    let free = |name: &String| !drawn.contains_key(name) && !is_taken(name);
    (1..10_000).map(name).find(free).unwrap_or_else(|| name(10_000))
}

fn exclude(document: &mut DocumentMut) -> Result<&mut Array, EditError> {
    let list = document.entry("exclude").or_insert(Item::Value(Value::Array(Array::new())));
    list.as_array_mut().ok_or_else(|| no_list("exclude"))
}

fn set(
    document: &mut DocumentMut,
    key: &str,
    value: Option<&serde_json::Value>,
) -> Result<(), EditError> {
    let unknown = || EditError::UnknownKey { key: key.to_owned() };
    if !SETTINGS.contains(&key) {
        return Err(unknown());
    }
    let value = value.map(|value| match value {
        serde_json::Value::Bool(yes) => Ok(Value::from(*yes)),
        serde_json::Value::Number(figure) => figure.as_f64().map(number).ok_or_else(unknown),
        serde_json::Value::String(text) => Ok(Value::from(text.trim())),
        _ => Err(unknown()),
    });
    let value = value.transpose()?;
    match key.split_once('.') {
        None => toml_text::set(document.as_table_mut(), key, value),
        Some((name, key)) => {
            let table = toml_text::table(document, name).ok_or_else(unknown)?;
            toml_text::set(table, key, value);
            toml_text::drop_empty(document, name);
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    const JOB: &str = "# The north field.\nboundary = \"b.shp\"\nsamples = \"s.csv\"\n\n# Nothing near it.\n[[keep_out]]\nfile = \"pond.geojson\"\ndistance = \"35 ft\"\nwhy = \"pond\"\n";

    fn after(text: &str, edit: &serde_json::Value) -> DraftState {
        let edit: Edit = serde_json::from_value(edit.clone()).unwrap();
        let state = DraftState { text: text.to_owned(), ..DraftState::default() };
        edit.apply(&state, "north", &[], &|_| false).unwrap()
    }

    #[test]
    fn samples_go_out_and_come_in() {
        let out = after(JOB, &json!({ "do": "leave-out", "id": "A \"1\"" })).text;
        assert_eq!(out, JOB.replace("\"s.csv\"\n", "\"s.csv\"\nexclude = ['A \"1\"']\n"));
        assert_eq!(after(&out, &json!({ "do": "take-in", "id": "A \"1\"" })).text, JOB);
    }

    #[test]
    fn what_is_drawn_is_a_file_of_its_own() {
        let outline =
            json!({ "corners": [[-85.2, 40.4], [-85.2, 40.5], [-85.1, 40.4]], "is_area": true });
        let edit =
            json!({ "do": "keep-out", "outline": outline, "distance": "0 ft", "why": "wet" });
        let state = after(JOB, &edit);
        let expected = "\n[[keep_out]]\nfile = \"north-keep-out-1.geojson\"\ndistance = \"0 ft\"\nwhy = \"wet\"\n";
        assert_eq!(state.text, format!("{JOB}{expected}"));
        // RFC 7946: the outer ring runs counter-clockwise and is closed.
        let ring = "[[-85.1,40.4],[-85.2,40.5],[-85.2,40.4],[-85.1,40.4]]";
        let drawn = &state.drawn["north-keep-out-1.geojson"];
        assert!(drawn.contains(ring), "{drawn}");
        let gone = after(&state.text, &json!({ "do": "remove", "list": "keep_out", "number": 1 }));
        assert_eq!((gone.text.as_str(), gone.drawn.len()), (JOB, 0));
        let edit: Edit = serde_json::from_value(json!({ "do": "keep-out", "outline": { "corners": [[1.0, 2.0], [1.0, 3.0]], "is_area": true }, "distance": "0 ft", "why": "x" })).unwrap();
        let refused = edit.apply(&state, "north", &[], &|_| false).unwrap_err().to_string();
        assert_eq!(
            refused,
            "the drawing: found an area of 2 corners, expected at least three corners; draw it again"
        );
    }

    #[test]
    fn settings_are_those_of_a_list() {
        let set = after(JOB, &json!({ "do": "set", "key": "zones.heading", "value": 90 }));
        assert_eq!(set.text, format!("{JOB}\n[zones]\nheading = 90\n"));
        let usual = after(&set.text, &json!({ "do": "set", "key": "zones.heading" }));
        assert_eq!(usual.text, JOB);
        let edit: Edit = serde_json::from_value(
            json!({ "do": "set", "key": "boundary", "value": "/etc/passwd" }),
        )
        .unwrap();
        let state = DraftState { text: JOB.to_owned(), ..DraftState::default() };
        let refused = edit.apply(&state, "north", &[], &|_| false).unwrap_err();
        assert_eq!(refused.to_string(), "boundary: not a setting of this page");
    }
}
