use super::grid::Grid;
use super::layer::Layer;
use super::outlines::{Features, Outlines};
use super::sheets::Sought;
use super::table::Table;
use super::zone_file::ZoneFile;
use super::{ReadError, Source, csv, geojson, modus, shapefile, spreadsheet};

/// Gives what a file holds.
type Reader<T> = fn(&Source) -> Result<T, ReadError>;

/// How to read one kind of file.
pub(super) struct Format {
    /// What it is called in messages.
    pub called: &'static str,
    /// The extensions, lower case, without dot.
    pub extensions: &'static [&'static str],
    /// Reads a boundary, if the format can hold one.
    pub outlines: Option<Reader<Outlines>>,
    /// Reads features, if the format can hold them.
    pub features: Option<Reader<Features>>,
    /// Reads samples, if the format can hold them.
    pub table: Option<Tabular>,
    /// Reads polygons with their attributes, if the format can hold them.
    pub zone_file: Option<Reader<ZoneFile>>,
    /// Reads rows with the place or the area that each is about, if the format can hold them.
    pub layer: Option<Reader<Layer>>,
}

/// How a format gives samples.
#[derive(Clone, Copy)]
pub(super) enum Tabular {
    /// As a table with its columns.
    Table(Reader<Table>),
    /// As cells, one grid a sheet, whose header is still to be found.
    Grids(Reader<Vec<Grid>>),
}

/// Every format that is read.
const FORMATS: &[Format] =
    &[geojson::FORMAT, shapefile::FORMAT, csv::FORMAT, spreadsheet::FORMAT, modus::FORMAT];

/// Reads the outlines of a boundary by the reader that the file's name asks for.
pub(super) fn outlines(source: &Source) -> Result<Outlines, ReadError> {
    reader(source, "a boundary", |format| format.outlines)?(source)
}

/// Reads the features of a layer by the reader that the file's name asks for.
pub(super) fn features(source: &Source) -> Result<Features, ReadError> {
    reader(source, "points, lines or polygons", |format| format.features)?(source)
}

/// Reads a table of samples by the reader that the file's name asks for.
pub(super) fn table(source: &Source, sought: &Sought) -> Result<Table, ReadError> {
    match reader(source, "samples", |format| format.table)? {
        Tabular::Table(read) => read(source),
        Tabular::Grids(read) => sought.table(source, read(source)?),
    }
}

/// Reads polygons with their attributes by the reader that the file's name asks for.
pub(super) fn zone_file(source: &Source) -> Result<ZoneFile, ReadError> {
    reader(source, "zones", |format| format.zone_file)?(source)
}

/// Reads rows with what each is about by the reader that the file's name asks for.
pub(super) fn layer(source: &Source) -> Result<Layer, ReadError> {
    reader(source, "points or polygons", |format| format.layer)?(source)
}

/// The reader that a file's name asks for.
fn reader<R>(
    source: &Source,
    wanted: &'static str,
    reader: impl Fn(&Format) -> Option<R>,
) -> Result<R, ReadError> {
    let name = || source.name.clone();
    let extension = source.extension();
    let known = || {
        let able = FORMATS.iter().filter(|format| reader(format).is_some());
        let dotted = able.flat_map(|format| format.extensions).map(|ext| format!(".{ext}"));
        dotted.collect::<Vec<_>>().join(", ")
    };
    let Some(format) = FORMATS.iter().find(|f| f.extensions.contains(&extension.as_str())) else {
        return Err(ReadError::UnknownFormat { name: name(), known: known() });
    };
    let Some(read) = reader(format) else {
        return Err(ReadError::WrongUse {
            name: name(),
            found: format.called,
            wanted,
            known: known(),
        });
    };
    if source.bytes.is_empty() {
        return Err(ReadError::EmptyFile { name: name(), expected: format.called });
    }
    Ok(read)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(name: &str, bytes: &str) -> String {
        outlines(&Source::of(name, bytes)).unwrap_err().to_string()
    }

    #[test]
    fn the_name_decides() {
        assert_eq!(
            said("field.kmz", "x"),
            "field.kmz: found an unknown kind of file, expected one that ends in .geojson, .json, .shp"
        );
        assert_eq!(
            said("field", "x"),
            "field: found an unknown kind of file, expected one that ends in .geojson, .json, .shp"
        );
        assert_eq!(
            said("field.csv", "x"),
            "field.csv: found a text table, expected a boundary as .geojson, .json, .shp"
        );
    }

    #[test]
    fn empty_files() {
        assert_eq!(said("a.GEOJSON", ""), "a.GEOJSON: the file is empty, expected GeoJSON");
        assert_eq!(said("a.shp", ""), "a.shp: the file is empty, expected a shapefile");
        assert_eq!(
            table(&Source::of("s.csv", ""), &Sought::default()).unwrap_err().to_string(),
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
            table(&Source::of("s.csv", b"\0\0\x27\x0a\0\0".as_slice()), &Sought::default())
                .unwrap_err()
                .to_string(),
            "s.csv: the content is not a text table: it holds binary data"
        );
    }
}
