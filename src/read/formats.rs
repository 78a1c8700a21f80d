//! Every format that is read, and the reader that a file's name asks for.

use super::format::{Format, Purpose, WantedContent};
#[cfg(feature = "geopackage")]
use super::geopackage;
use super::layer::Layer;
use super::records::Records;
use super::sheets::TableSearch;
use super::table::Table;
use super::zone_file::ZoneFile;
use super::{ReadError, Source, csv, geojson, kml, shapefile, spreadsheet, taskdata, zipped};

/// Every format that is read.
const FORMATS: &[Format] = &[
    geojson::FORMAT,
    shapefile::FORMAT,
    zipped::FORMAT,
    kml::FORMAT,
    kml::ARCHIVE,
    #[cfg(feature = "geopackage")]
    geopackage::FORMAT,
    taskdata::FORMAT,
    csv::FORMAT,
    spreadsheet::FORMAT,
];

/// Reads the outlines of fields by the reader that the file's name asks for.
pub(super) fn outlines(source: &Source, layer: Option<&str>) -> Result<Records, ReadError> {
    records(source, WantedContent { purpose: Purpose::Boundary, layer })
}

/// Reads the features of a layer by the reader that the file's name asks for.
pub(super) fn features(source: &Source, layer: Option<&str>) -> Result<Records, ReadError> {
    records(source, WantedContent { purpose: Purpose::Features, layer })
}

/// Reads a table of samples by the reader that the file's name asks for.
pub(super) fn table(
    source: &Source,
    layer: Option<&str>,
    sought: &TableSearch,
) -> Result<Table, ReadError> {
    let table = of(source, Purpose::Samples)?.table;
    table.and_then(|table| table.read(source, sought)).unwrap_or_else(|| {
        records(source, WantedContent { purpose: Purpose::Samples, layer })?.table(source)
    })
}

/// Reads rows with what each is about by the reader that the file's name asks for.
pub(super) fn layer(source: &Source, layer: Option<&str>) -> Result<Layer, ReadError> {
    let table = of(source, Purpose::Applied)?.table;
    match table.and_then(|table| table.read(source, &TableSearch::default())) {
        Some(table) => Ok(Layer { table: table?, shapes: None }),
        None => records(source, WantedContent { purpose: Purpose::Applied, layer })?.layer(source),
    }
}

/// Reads the polygons of a file, or of one of its layers.
///
/// # Errors
/// When the file cannot be read as what its name says, or holds something else than polygons.
pub fn zone_file(source: &Source, layer: Option<&str>) -> Result<ZoneFile, ReadError> {
    let wanted = WantedContent { purpose: Purpose::Zones, layer };
    match of(source, Purpose::Zones)?.zone_file {
        Some(read) => read(source, &wanted),
        None => Ok(ZoneFile::default()),
    }
}

/// Whether a file's format can hold shapes.
///
/// # Errors
/// When it is of no known format or empty.
pub(super) fn has_shapes(source: &Source) -> Result<bool, ReadError> {
    of(source, Purpose::Samples).map(|format| format.records.is_some())
}

/// Whether a file may be one that is read, by its name.
#[must_use]
pub fn is_known(name: &str) -> bool {
    let extension = name.rsplit_once('.').map_or("", |(_, extension)| extension).to_lowercase();
    FORMATS.iter().any(|format| format.extensions.contains(&extension.as_str()))
}

fn records(source: &Source, wanted: WantedContent) -> Result<Records, ReadError> {
    match of(source, wanted.purpose)?.records {
        Some(read) => read(source, &wanted, &mut source.budget()),
        None => Ok(Records::default()),
    }
}

/// The format of a file by its name, if it can hold what is wanted and the file is not empty.
fn of(source: &Source, purpose: Purpose) -> Result<&'static Format, ReadError> {
    let name = || source.name.clone();
    let extension = source.extension();
    let known = || {
        let able = FORMATS.iter().filter(|format| format.holds(purpose));
        let dotted = able.flat_map(|format| format.extensions).map(|ext| format!(".{ext}"));
        dotted.collect::<Vec<_>>().join(", ")
    };
    let Some(format) = FORMATS.iter().find(|f| f.extensions.contains(&extension.as_str())) else {
        return Err(ReadError::UnknownFormat { name: name(), known: known() });
    };
    if !format.holds(purpose) {
        let (found, wanted) = (format.called, purpose.called());
        return Err(ReadError::WrongUse { name: name(), found, wanted, known: known() });
    }
    if source.bytes.is_empty() {
        return Err(ReadError::EmptyFile { name: name(), expected: format.called });
    }
    Ok(format)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a build without GeoPackages expects does not name them.
    fn known(text: &str) -> String {
        if cfg!(feature = "geopackage") { text.to_owned() } else { text.replace(" .gpkg,", "") }
    }

    fn said(name: &str, bytes: &str) -> String {
        outlines(&Source::of(name, bytes), None).unwrap_err().to_string()
    }

    #[test]
    fn the_name_decides() {
        assert_eq!(
            said("field.gml", "x"),
            known(
                "field.gml: found an unknown kind of file, expected one that ends in .geojson, .json, .shp, .zip, .kml, .kmz, .gpkg, .xml"
            )
        );
        assert_eq!(
            said("field", "x"),
            known(
                "field: found an unknown kind of file, expected one that ends in .geojson, .json, .shp, .zip, .kml, .kmz, .gpkg, .xml"
            )
        );
        assert_eq!(
            said("field.csv", "x"),
            known(
                "field.csv: found a text table, expected a boundary as .geojson, .json, .shp, .zip, .kml, .kmz, .gpkg, .xml"
            )
        );
    }

    #[test]
    fn empty_files() {
        assert_eq!(said("a.GEOJSON", ""), "a.GEOJSON: the file is empty, expected GeoJSON");
        assert_eq!(said("a.shp", ""), "a.shp: the file is empty, expected a shapefile");
        assert_eq!(
            table(&Source::of("s.csv", ""), None, &TableSearch::default()).unwrap_err().to_string(),
            "s.csv: the file is empty, expected a text table"
        );
    }

    #[test]
    fn content_that_is_not_what_the_name_says() {
        assert_eq!(
            said("a.shp", "{\"type\":\"Polygon\",\"coordinates\":[]}"),
            "a.shp: the content is not a shapefile: it does not begin as one"
        );
        assert_eq!(
            said("a.geojson", "id,lon\n1,2\n"),
            "a.geojson: the content is not GeoJSON: expected value at line 1 column 1"
        );
        assert_eq!(
            table(
                &Source::of("s.csv", b"\0\0\x27\x0a\0\0".as_slice()),
                None,
                &TableSearch::default()
            )
            .unwrap_err()
            .to_string(),
            "s.csv: the content is not a text table: it holds binary data"
        );
    }
}
