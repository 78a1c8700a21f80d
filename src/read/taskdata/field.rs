//! The fields (PFD) of task data: their outlines, and what else is drawn in them.

use geo::{Area, Contains, Coord, LineString, Polygon};

use super::kinds::{BOUNDARY, OBSTACLE, called};
use super::{Element, Files, MAIN, TREE, root};
use crate::read::budget::Budget;
use crate::read::error::quoted;
use crate::read::format::{Format, Purpose, Tabular, WantedContent};
use crate::read::records::{Record, Records, ShapePart};
use crate::read::reference::Declared;
use crate::read::zone_file::Cell;
use crate::read::{ReadError, Source, modus};
use crate::warning::Warning;

/// The main file of task data, with the others beside it by their names.
pub(in crate::read) const FORMAT: Format = Format {
    called: "task data",
    extensions: &["xml"],
    records: Some(of_source),
    table: Some(Tabular::Perhaps(modus::of_xml)),
    zone_file: None,
};

/// What the columns are called.
const COLUMNS: [&str; 2] = ["field", "name"];

type Ring = Vec<Coord<f64>>;

fn of_source(
    source: &Source,
    wanted: &WantedContent,
    budget: &mut Budget,
) -> Result<Records, ReadError> {
    let mut files: Files = source.sidecars.clone();
    files.insert(MAIN.to_owned(), source.bytes.clone());
    records(&source.name, &files, wanted, budget)
}

/// The shapes of one kind in all fields, each with its field's name and its own: the boundaries, or
/// where features are read the obstacles, unless another kind is wanted.
pub(in crate::read) fn records(
    name: &str,
    files: &Files,
    wanted: &WantedContent,
    budget: &mut Budget,
) -> Result<Records, ReadError> {
    let kind = match wanted.purpose {
        Purpose::Boundary => BOUNDARY,
        Purpose::Features => wanted.layer.unwrap_or(OBSTACLE),
        Purpose::Samples | Purpose::Applied | Purpose::Zones => {
            return Err(unexpected(name, "task data", "a file with points or polygons"));
        }
    };
    let size: usize = files.values().map(Vec::len).sum();
    budget.take(name, size.saturating_mul(TREE))?;
    let (root, mut warnings) = root(name, files)?;
    let (mut records, mut others) = (Vec::new(), Vec::new());
    for field in root.all("PFD") {
        let drawn = Drawn::of(name, field, budget, &mut warnings)?;
        let (found, left): (Vec<_>, Vec<_>) =
            drawn.0.into_iter().partition(|(of, _)| of.eq_ignore_ascii_case(kind.trim()));
        records.extend(found.into_iter().map(|(_, record)| record));
        others.extend(left.into_iter().map(|(of, _)| of));
    }
    others.sort();
    others.dedup();
    if records.is_empty() {
        let others = if others.is_empty() { "nothing".to_owned() } else { quoted(&others) };
        let found = format!("no {kind} in any field (PFD), which have {others}");
        let expected = match wanted.purpose {
            Purpose::Boundary => "a field with a boundary (PLN of type 1)",
            _ => "one of these as layer = \"…\"",
        };
        return Err(unexpected(name, &found, expected));
    }
    let columns = COLUMNS.map(str::to_owned).to_vec();
    Ok(Records { columns, all: records, declared: Some(Declared::rfc7946()), warnings })
}

/// What is drawn in a field, each with its kind.
struct Drawn(Vec<(String, Record)>);

impl Drawn {
    fn of(
        name: &str,
        field: &Element,
        budget: &mut Budget,
        warnings: &mut Vec<Warning>,
    ) -> Result<Self, ReadError> {
        let label = [field.get("C"), field.get("B"), field.get("A")];
        let label = label.into_iter().flatten().find(|label| !label.trim().is_empty());
        let label = label.unwrap_or("").trim();
        let place = format!("{name}, field \"{label}\"");
        let record =
            |element: &Element, kind: &str, pieces: Vec<ShapePart>, budget: &mut Budget| {
                let own = element.get("B").unwrap_or("").trim();
                let cells = [label, own].map(|text| match text {
                    "" => Cell::Empty,
                    text => Cell::Text(text.to_owned()),
                });
                let kind = format!("a {kind}");
                let record = Record { place: place.clone(), cells: cells.to_vec(), kind, pieces };
                budget.take(name, record.size())?;
                Ok::<_, ReadError>(record)
            };
        let (mut drawn, mut outline) = (Vec::new(), Vec::new());
        for element in &field.children {
            let tag = element.name.as_str();
            if !["PLN", "LSG", "PNT"].contains(&tag) {
                continue;
            }
            let kind = called(tag, element.get("A"));
            let place = format!("{place}, {kind}");
            match tag {
                "PLN" if kind == BOUNDARY => outline.push(element),
                "PLN" => {
                    let parts = polygons(&place, &[element], warnings)?;
                    let pieces = parts.into_iter().map(ShapePart::Area).collect();
                    drawn.push((kind.clone(), record(element, "PLN", pieces, budget)?));
                }
                "LSG" => {
                    let pieces = vec![ShapePart::Line(line(&place, element)?)];
                    drawn.push((kind.clone(), record(element, "LSG", pieces, budget)?));
                }
                _ => {
                    let pieces = vec![ShapePart::Point(position(&place, element)?)];
                    drawn.push((kind.clone(), record(element, "PNT", pieces, budget)?));
                }
            }
        }
        // However many elements it is written as, a field has one outline.
        if !outline.is_empty() {
            let parts = polygons(&format!("{place}, {BOUNDARY}"), &outline, warnings)?;
            let pieces = parts.into_iter().map(ShapePart::Area).collect();
            drawn.push((BOUNDARY.to_owned(), record(field, "PLN", pieces, budget)?));
        }
        Ok(Self(drawn))
    }
}

/// The polygons of PLN elements that belong together: each outer ring with the holes in it,
/// whichever element they stand in.
fn polygons(
    place: &str,
    elements: &[&Element],
    warnings: &mut Vec<Warning>,
) -> Result<Vec<Vec<Ring>>, ReadError> {
    let (mut outer, mut holes) = (Vec::new(), Vec::new());
    for element in elements.iter().flat_map(|element| element.all("LSG")) {
        let mut ring = line(place, element)?;
        if let (Some(first), Some(last)) = (ring.first().copied(), ring.last().copied())
            && first != last
            && ring.len() > 2
        {
            warnings.push(Warning::RingClosed { place: place.to_owned() });
            ring.push(first);
        }
        match element.get("A") {
            Some("1") => outer.push(vec![ring]),
            Some("2") => holes.push(ring),
            kind => warnings.push(Warning::TaskDataIncomplete {
                place: place.to_owned(),
                reason: format!("found a {} in a polygon; left out", called("LSG", kind)),
            }),
        }
    }
    let shape = |ring: &Ring| Polygon::new(LineString(ring.clone()), Vec::new());
    let shapes: Vec<Polygon<f64>> = outer.iter().flatten().map(shape).collect();
    for hole in holes {
        let around =
            shapes.iter().enumerate().filter(|(_, shape)| hole.iter().any(|at| shape.contains(at)));
        let smallest =
            around.min_by(|(_, a), (_, b)| a.unsigned_area().total_cmp(&b.unsigned_area()));
        match smallest.and_then(|(number, _)| outer.get_mut(number)) {
            Some(part) => part.push(hole),
            None => {
                return Err(unexpected(place, "a hole outside of every outer ring", "one inside"));
            }
        }
    }
    Ok(outer)
}

fn line(place: &str, element: &Element) -> Result<Ring, ReadError> {
    element.all("PNT").map(|point| position(place, point)).collect()
}

/// A point's position: C is its latitude, D its longitude.
fn position(place: &str, point: &Element) -> Result<Coord<f64>, ReadError> {
    if let Some(file) = point.get("J") {
        let found = format!("points in a file of their own, {file} (PNT J)");
        return Err(unexpected(place, &found, "points in the XML; such files are not read"));
    }
    let number = |attribute| {
        let text = point.get(attribute).unwrap_or("");
        text.trim().parse::<f64>().ok().filter(|number| number.is_finite()).ok_or_else(|| {
            let found = format!("\"{text}\" as PNT {attribute}");
            unexpected(place, &found, "degrees, C the latitude and D the longitude")
        })
    };
    Ok(Coord { x: number("D")?, y: number("C")? })
}

fn unexpected(place: &str, found: &str, expected: &str) -> ReadError {
    let (found, expected) = (found.to_owned(), expected.to_owned());
    ReadError::Unexpected { place: place.to_owned(), found, expected }
}

#[cfg(test)]
mod tests;
