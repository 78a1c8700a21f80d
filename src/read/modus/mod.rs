//! Modus 1.0, the open standard for laboratory results, in XML and in JSON.
//!
//! Both forms are read into one tree (`xml` makes it of XML); every depth of a sample is a row, every
//! result a column that is headed as its element and unit: `CEC (meq/100g)`.

mod xml;

use geo::Coord;
use serde_json::Value;

use super::format::{Format, Tabular};
use super::reference::Declared;
use super::table::{Points, Row, Table};
use super::{ReadError, Source, text};

/// Modus in XML. Its JSON has the ending of GeoJSON, whose reader hands it over.
pub(super) const FORMAT: Format = Format {
    called: "Modus XML",
    extensions: &["xml"],
    outlines: None,
    features: None,
    table: Some(Tabular::Table(of_xml)),
    zone_file: None,
    layer: None,
};

/// The names of a sample, as columns.
const NAMES: [&str; 3] = ["SampleNumber", "FMISSampleID", "SampleContainerID"];
const DEPTH: usize = NAMES.len();

/// Whether JSON is Modus: GeoJSON has no such member.
pub(super) fn is_json(json: &str) -> bool {
    json.contains("\"EventSamples\"")
}

/// Reads Modus in JSON.
pub(super) fn of_json(name: &str, json: &str) -> Result<Table, ReadError> {
    let tree: Value = serde_json::from_str(json).map_err(|error| ReadError::NotFormat {
        name: name.to_owned(),
        format: "Modus JSON",
        reason: error.to_string(),
    })?;
    table(name, &tree)
}

fn of_xml(source: &Source) -> Result<Table, ReadError> {
    let name = &source.name;
    let tree = xml::tree(&text::decode(&source.bytes)).map_err(|reason| ReadError::NotFormat {
        name: name.clone(),
        format: FORMAT.called,
        reason,
    })?;
    let Some(result) = tree.get("ModusResult") else {
        let root = tree.as_object().and_then(|root| root.keys().next()).cloned();
        return Err(unexpected(
            name,
            format!("the element {}", root.unwrap_or_default()),
            "ModusResult",
        ));
    };
    match string(result.get("Version")) {
        version if version.is_empty() || version.starts_with('1') => table(name, result),
        version => Err(unexpected(name, format!("Modus version {version}"), "version 1.0")),
    }
}

fn unexpected(place: &str, found: String, expected: &str) -> ReadError {
    ReadError::Unexpected { place: place.to_owned(), found, expected: expected.to_owned() }
}

/// What a result is of: element, unit, test.
type Kind = (String, String, String);

fn table(name: &str, tree: &Value) -> Result<Table, ReadError> {
    let (mut kinds, mut rows, mut coords) = (Vec::<Kind>::new(), Vec::new(), Vec::new());
    let mut number = 0;
    for event in list(tree, "Events", "Event") {
        let Some(soil) = event.get("EventSamples").and_then(|samples| samples.get("Soil")) else {
            continue;
        };
        let depths = list(soil, "DepthRefs", "DepthRef");
        for sample in list(soil, "SoilSamples", "SoilSample") {
            number += 1;
            let place = format!("{name}, sample {number}");
            let names = sample.get("SampleMetaData").unwrap_or(&Value::Null);
            let at = position(names, &place)?;
            for depth in list(sample, "Depths", "Depth") {
                let mut cells: Vec<String> =
                    NAMES.iter().map(|key| string(names.get(key))).collect();
                cells.push(depth_of(depth, &depths));
                results(depth, &place, &mut kinds, &mut cells)?;
                rows.push(Row { place: place.clone(), cells });
                coords.push(at);
            }
        }
    }
    if rows.is_empty() {
        return Err(unexpected(name, "no soil sample".to_owned(), "results of soil samples"));
    }
    let points = coords.iter().any(Option::is_some);
    let points = points.then(|| Points { coords, declared: Some(Declared::rfc7946()) });
    let names = NAMES.iter().map(|&name| name.to_owned()).chain(["Depth".to_owned()]);
    let columns = names.chain(kinds.iter().map(|kind| header(kind, &kinds))).collect();
    let warnings = Vec::new();
    let mut table =
        Table { name: name.to_owned(), columns, rows, points, decimal_comma: false, warnings };
    drop_repeated_names(&mut table);
    Ok(table)
}

/// Drops columns of names that say nothing, or the same as one before them.
fn drop_repeated_names(table: &mut Table) {
    for column in (0..NAMES.len()).rev() {
        let same = |other: usize| table.rows.iter().all(|row| row.cell(column) == row.cell(other));
        let empty = table.rows.iter().all(|row| row.cell(column).is_empty());
        if empty || (0..column).any(same) {
            table.columns.remove(column);
            table.rows.iter_mut().for_each(|row| drop(row.cells.remove(column)));
        }
    }
}

/// Puts the results of one depth into their columns.
fn results(
    depth: &Value,
    place: &str,
    kinds: &mut Vec<Kind>,
    cells: &mut Vec<String>,
) -> Result<(), ReadError> {
    for result in list(depth, "NutrientResults", "NutrientResult") {
        let part = |key: &str| string(result.get(key));
        let kind = (part("Element"), part("ValueUnit"), part("ModusTestID"));
        let column = kinds.iter().position(|known| *known == kind).unwrap_or(kinds.len());
        if column == kinds.len() {
            kinds.push(kind.clone());
        }
        let column = DEPTH + 1 + column;
        if cells.len() <= column {
            cells.resize(column + 1, String::new());
        }
        let Some(cell) = cells.get_mut(column) else { continue };
        let value = part("Value");
        if !cell.is_empty() && *cell != value {
            return Err(unexpected(
                &format!("{place}, {}", kind.0),
                format!("\"{cell}\" and \"{value}\""),
                "one result of a test for each depth",
            ));
        }
        *cell = value;
    }
    Ok(())
}

/// A column's header: the element and its unit, and the test where others are of the same.
fn header(kind: &Kind, kinds: &[Kind]) -> String {
    let (element, unit, test) = kind;
    let several = kinds.iter().filter(|(e, u, _)| (e, u) == (element, unit)).count() > 1;
    let test = if several { format!(" {test}") } else { String::new() };
    match unit.as_str() {
        "" | "none" => format!("{element}{test}"),
        unit => format!("{element}{test} ({unit})"),
    }
}

/// The depth of some results, by its reference.
fn depth_of(depth: &Value, references: &[&Value]) -> String {
    let id = string(depth.get("DepthID"));
    let reference = references.iter().find(|reference| string(reference.get("DepthID")) == id);
    let end = |key| reference.map_or_else(String::new, |reference| string(reference.get(key)));
    match (end("StartingDepth"), end("EndingDepth")) {
        (top, bottom) if top.is_empty() || bottom.is_empty() => end("Name"),
        (top, bottom) => format!("{top}-{bottom}"),
    }
}

/// A sample's place, in well-known text: `POINT(-87.43 40.59)`.
fn position(names: &Value, place: &str) -> Result<Option<Coord<f64>>, ReadError> {
    let geometry = names.get("Geometry").unwrap_or(&Value::Null);
    let text = string(geometry.get("wkt").or(Some(geometry)));
    if text.is_empty() {
        return Ok(None);
    }
    let inner = text.trim().to_uppercase();
    let inner = inner.strip_prefix("POINT").and_then(|rest| rest.trim().strip_prefix('('));
    let numbers = inner.and_then(|rest| rest.strip_suffix(')')).unwrap_or_default();
    let numbers: Option<Vec<f64>> =
        numbers.split_whitespace().map(|number| super::number::parse(number, false)).collect();
    match numbers.as_deref() {
        Some([x, y, ..]) => Ok(Some(Coord { x: *x, y: *y })),
        _ => Err(unexpected(
            place,
            format!("the geometry \"{text}\""),
            "a point such as POINT(-87.43 40.59)",
        )),
    }
}

/// The items of a list: an array in JSON, elements of the singular's name in XML.
fn list<'a>(value: &'a Value, plural: &str, singular: &str) -> Vec<&'a Value> {
    let items = |value: Option<&'a Value>| match value {
        Some(Value::Array(items)) => items.iter().collect(),
        Some(Value::Null) | None => Vec::new(),
        Some(one) => vec![one],
    };
    match value.get(plural) {
        Some(Value::Array(all)) => all.iter().collect(),
        Some(inner) => items(inner.get(singular)),
        None => items(value.get(singular)),
    }
}

/// A text or number as text; empty where there is neither.
fn string(value: Option<&Value>) -> String {
    match value {
        Some(Value::String(text)) => text.trim().to_owned(),
        Some(Value::Number(number)) => number.to_string(),
        _ => String::new(),
    }
}

#[cfg(test)]
mod tests;
