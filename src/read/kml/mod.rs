//! KML (OGC 07-147r2, KML 2.2) and its archive, KMZ: placemarks with their shapes, names and
//! extended data, always WGS84.

mod document;
mod placemark;

use std::collections::BTreeMap;

use super::archive::{self, ArchiveFault};
use super::budget::Budget;
use super::error::quoted;
use super::format::{Format, WantedContent};
use super::records::{Record, Records};
use super::reference::Declared;
use super::zone_file::{Cell, ZoneFile};
use super::{ReadError, Source};
use placemark::Placemark;

/// KML.
pub(super) const FORMAT: Format = Format {
    called: "KML",
    extensions: &["kml"],
    records: Some(records),
    table: None,
    zone_file: Some(zone_file),
};

/// KML in an archive.
pub(super) const ARCHIVE: Format = Format {
    called: "KMZ",
    extensions: &["kmz"],
    records: Some(unpacked),
    table: None,
    zone_file: Some(zone_file),
};

/// The column that a placemark's own name is in.
const NAME: &str = "name";

fn zone_file(source: &Source, wanted: &WantedContent) -> Result<ZoneFile, ReadError> {
    let budget = &mut source.budget();
    let (mut records, format) = match source.extension().as_str() {
        "kmz" => (unpacked(source, wanted, budget)?, ARCHIVE.called),
        _ => (records(source, wanted, budget)?, FORMAT.called),
    };
    // KML does not say which of its data are numbers.
    for cell in records.all.iter_mut().flat_map(|record| &mut record.cells) {
        if let Cell::Text(text) = cell
            && let Ok(number) = text.trim().parse()
        {
            *cell = Cell::Number(number);
        }
    }
    Ok(records.zone_file(format, Some(true)))
}

/// The placemarks of all documents of an archive, in the order of their paths: the main one may hold
/// them or only link to the others.
fn unpacked(
    source: &Source,
    wanted: &WantedContent,
    budget: &mut Budget,
) -> Result<Records, ReadError> {
    let name = &source.name;
    let is_kml = |path: &str| path.to_lowercase().ends_with(".kml");
    let mut files = archive::unpack(&source.bytes, budget.left(), is_kml).map_err(|fault| {
        let name = name.clone();
        match fault {
            ArchiveFault::TooLarge => ReadError::TooLarge { name },
            ArchiveFault::Other(reason) => {
                ReadError::NotFormat { name, format: ARCHIVE.called, reason }
            }
        }
    })?;
    budget.take(name, files.iter().map(|(_, bytes)| bytes.len()).sum())?;
    files.sort();
    let (mut placemarks, mut error) = (Vec::new(), None);
    for (path, bytes) in files {
        let inner = Source { name: format!("{name}/{path}"), bytes, ..Source::default() };
        match document::placemarks(&inner, budget) {
            Ok(found) => placemarks.extend(found),
            // Where another document has the places, one of links alone is no fault.
            Err(links @ ReadError::OnlyLinks { .. }) => error = error.or(Some(links)),
            Err(error) => return Err(error),
        }
    }
    match error {
        Some(error) if placemarks.is_empty() => Err(error),
        _ => records_of(source, placemarks, wanted, budget),
    }
}

fn records(
    source: &Source,
    wanted: &WantedContent,
    budget: &mut Budget,
) -> Result<Records, ReadError> {
    let placemarks = document::placemarks(source, budget)?;
    records_of(source, placemarks, wanted, budget)
}

fn records_of(
    source: &Source,
    mut placemarks: Vec<Placemark>,
    wanted: &WantedContent,
    budget: &mut Budget,
) -> Result<Records, ReadError> {
    if let Some(layer) = wanted.layer {
        placemarks = of_folder(source, placemarks, layer)?;
    }
    if placemarks.is_empty() {
        return Err(ReadError::Unexpected {
            place: source.name.clone(),
            found: "no placemarks".to_owned(),
            expected: "places, lines or polygons".to_owned(),
        });
    }
    let columns = columns(&placemarks);
    let number: BTreeMap<&str, usize> =
        columns.iter().enumerate().map(|(number, name)| (name.as_str(), number)).collect();
    let mut records = Vec::new();
    for placemark in placemarks {
        budget.take(&source.name, columns.len() * size_of::<Cell>())?;
        let mut cells = vec![Cell::Empty; columns.len()];
        let own = [(NAME.to_owned(), placemark.name)];
        for (key, value) in own.into_iter().chain(placemark.data) {
            if let Some(cell) = number.get(key.as_str()).and_then(|column| cells.get_mut(*column)) {
                *cell = cell_of(value);
            }
        }
        let (place, kind, pieces) = (placemark.place, placemark.kind, placemark.pieces);
        records.push(Record { place, cells, kind, pieces });
    }
    let declared = Some(Declared::rfc7946());
    Ok(Records { columns, all: records, declared, warnings: Vec::new() })
}

/// The placemark's name where any has one, and the names of the data as they come. Data that are
/// called as the name is stand in for it.
fn columns(placemarks: &[Placemark]) -> Vec<String> {
    let mut columns = Vec::new();
    let mut known = std::collections::BTreeSet::new();
    let named = placemarks.iter().any(|placemark| !placemark.name.is_empty());
    let keys = placemarks.iter().flat_map(|placemark| &placemark.data).map(|(key, _)| key);
    for key in named.then(|| NAME.to_owned()).iter().chain(keys) {
        if known.insert(key) {
            columns.push(key.clone());
        }
    }
    columns
}

fn cell_of(value: String) -> Cell {
    match value.trim() {
        "" => Cell::Empty,
        _ => Cell::Text(value),
    }
}

/// The placemarks that lie in a folder or document of a name.
fn of_folder(
    source: &Source,
    placemarks: Vec<Placemark>,
    layer: &str,
) -> Result<Vec<Placemark>, ReadError> {
    let alike = |folder: &String| folder.trim().to_lowercase() == layer.trim().to_lowercase();
    let mut folders: Vec<String> = Vec::new();
    for folder in placemarks.iter().flat_map(|placemark| placemark.folders.iter()) {
        if !folders.contains(folder) && folders.len() < 100 {
            folders.push(folder.clone());
        }
    }
    let inside: Vec<Placemark> =
        placemarks.into_iter().filter(|p| p.folders.iter().any(alike)).collect();
    if inside.is_empty() {
        return Err(ReadError::NoneOfThatName {
            name: source.name.clone(),
            what: "folder",
            wanted: layer.to_owned(),
            found: if folders.is_empty() { "none".to_owned() } else { quoted(&folders) },
        });
    }
    Ok(inside)
}

#[cfg(test)]
mod tests;
