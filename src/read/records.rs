//! What a file with shapes holds, whatever its format: records, each with a shape and attributes.

use geo::Coord;

use super::layer::{Layer, RowShape};
use super::nest::nest;
use super::reference::Declared;
use super::table::{Points, Row, Table};
use super::zone_file::{Cell, ZoneFile, ZoneShape};
use super::{ReadError, Source};
use crate::geometry::Feature;
use crate::warning::Warning;

/// Memory that a record takes beside what its cells and shapes do, in bytes.
const RECORD_BYTES: usize = 160;
/// Memory of a cell beside its text, and of a coordinate.
const CELL_BYTES: usize = 32;

/// The records of a file or of one of its layers, in the file's own coordinates.
#[derive(Debug, Default)]
pub(super) struct Records {
    /// The names of the attributes.
    pub columns: Vec<String>,
    /// The records, in the file's order.
    pub all: Vec<Record>,
    /// What the file says about its coordinates.
    pub declared: Option<Declared>,
    /// What came up while reading.
    pub warnings: Vec<Warning>,
}

/// The features of a layer, in the file's own coordinates.
#[derive(Debug)]
pub(super) struct Features {
    /// The features; those without a place are left out.
    pub all: Vec<Feature>,
    /// What the file says about its coordinates.
    pub declared: Option<Declared>,
    /// What came up while reading.
    pub warnings: Vec<Warning>,
}

/// Polygons, each the outer ring and then its holes.
pub(super) type Parts = Vec<Vec<Vec<Coord<f64>>>>;

/// One record.
#[derive(Clone, Debug, Default)]
pub(super) struct Record {
    /// Where it is, such as `farm.kml, placemark 3 ("Well")`.
    pub place: String,
    /// Its attributes; missing ones at the end are empty.
    pub cells: Vec<Cell>,
    /// What the file calls its shape, such as `a Polygon`.
    pub kind: String,
    /// What the shape is made of; empty where there is none.
    pub pieces: Vec<ShapePart>,
}

/// A part of a shape.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum ShapePart {
    /// A place.
    Point(Coord<f64>),
    /// A line.
    Line(Vec<Coord<f64>>),
    /// One polygon: its outer ring, then its holes.
    Area(Vec<Vec<Coord<f64>>>),
    /// The rings of any number of polygons, which file does not say.
    Rings(Vec<Vec<Coord<f64>>>),
}

impl Record {
    /// The memory that it takes, in bytes, about.
    pub fn size(&self) -> usize {
        let text = |cell: &Cell| match cell {
            Cell::Text(text) => CELL_BYTES + text.len(),
            _ => CELL_BYTES,
        };
        let line = |line: &Vec<Coord<f64>>| CELL_BYTES + size_of_val(line.as_slice());
        let piece = |piece: &ShapePart| match piece {
            ShapePart::Point(_) => 2 * CELL_BYTES,
            ShapePart::Line(coords) => CELL_BYTES + line(coords),
            ShapePart::Area(rings) | ShapePart::Rings(rings) => {
                CELL_BYTES + rings.iter().map(line).sum::<usize>()
            }
        };
        RECORD_BYTES
            + self.place.len()
            + self.cells.iter().map(text).sum::<usize>()
            + self.pieces.iter().map(piece).sum::<usize>()
    }

    /// An attribute as text, without the blanks around it.
    pub fn text(&self, column: usize) -> String {
        self.cells.get(column).map_or_else(String::new, text)
    }

    /// Its polygons, each the outer ring and then its holes; `None` where it has no shape.
    pub fn polygons(self) -> Result<Option<Parts>, ReadError> {
        let mut parts = Vec::new();
        for piece in self.pieces {
            match piece {
                ShapePart::Area(rings) => parts.push(rings),
                ShapePart::Rings(rings) => parts.extend(nest(&rings)),
                ShapePart::Point(_) | ShapePart::Line(_) => {
                    return Err(unexpected(&self.place, &self.kind, "polygons"));
                }
            }
        }
        Ok((!parts.is_empty()).then_some(parts))
    }

    fn point(self) -> Result<Option<Coord<f64>>, ReadError> {
        match self.pieces.as_slice() {
            [] => Ok(None),
            [ShapePart::Point(at)] => Ok(Some(*at)),
            [ShapePart::Point(_), ..] => {
                let found = format!("{} of {} points", self.kind, self.pieces.len());
                Err(unexpected(&self.place, &found, "one point"))
            }
            _ => Err(unexpected(&self.place, &self.kind, "points")),
        }
    }

    fn place_or_area(self) -> Result<Option<RowShape>, ReadError> {
        let points = !self.pieces.is_empty()
            && self.pieces.iter().all(|piece| matches!(piece, ShapePart::Point(_)));
        if points {
            return Ok(self.point()?.map(RowShape::Point));
        }
        let wrong = unexpected(&self.place, &self.kind, "points or polygons");
        self.polygons().map(|parts| parts.map(RowShape::Area)).map_err(|_| wrong)
    }
}

impl Records {
    /// Everything in the records as features.
    pub fn features(self) -> Features {
        let pieces = self.all.into_iter().flat_map(|record| record.pieces);
        let features = pieces.map(|piece| match piece {
            ShapePart::Point(at) => Feature::point(at),
            ShapePart::Line(line) => Feature::line(line),
            ShapePart::Area(rings) | ShapePart::Rings(rings) => Feature::polygon(rings),
        });
        Features { all: features.collect(), declared: self.declared, warnings: self.warnings }
    }

    /// The attributes as a table, each row with its point.
    ///
    /// # Errors
    /// When a record has something else than one point.
    pub fn table(self, source: &Source) -> Result<Table, ReadError> {
        let (table, coords, declared) = self.rows(source, Record::point)?;
        Ok(Table { points: Some(Points { coords, declared }), ..table })
    }

    /// The attributes as a table, and the place or the area that each row is about.
    ///
    /// # Errors
    /// When a record has something else than one point or polygons.
    pub fn layer(self, source: &Source) -> Result<Layer, ReadError> {
        let (table, shapes, declared) = self.rows(source, Record::place_or_area)?;
        Ok(Layer { table, shapes: Some((shapes, declared)) })
    }

    #[expect(clippy::type_complexity, reason = "three things of one reading")]
    fn rows<S>(
        self,
        source: &Source,
        shape: impl Fn(Record) -> Result<Option<S>, ReadError>,
    ) -> Result<(Table, Vec<Option<S>>, Option<Declared>), ReadError> {
        let (mut rows, mut shapes) = (Vec::new(), Vec::new());
        for mut record in self.all {
            let cells = std::mem::take(&mut record.cells).iter().map(text).collect();
            rows.push(Row { place: record.place.clone(), cells });
            shapes.push(shape(record)?);
        }
        let (name, columns, warnings) = (source.name.clone(), self.columns, self.warnings);
        let table = Table { name, columns, rows, points: None, decimal_comma: false, warnings };
        Ok((table, shapes, self.declared))
    }

    /// The polygons with their attributes; what has another shape is no zone.
    pub fn zone_file(self, format: &'static str, counter_clockwise: Option<bool>) -> ZoneFile {
        let width = self.columns.len();
        let (mut shapes, mut no_polygons) = (Vec::new(), Vec::new());
        for mut record in self.all {
            let (place, mut cells) = (record.place.clone(), std::mem::take(&mut record.cells));
            cells.resize(width, Cell::Empty);
            match record.polygons() {
                Ok(Some(parts)) => shapes.push(ZoneShape { place, parts, cells }),
                _ => no_polygons.push(place),
            }
        }
        ZoneFile {
            format,
            exterior_is_counter_clockwise: counter_clockwise,
            columns: self.columns,
            shapes,
            no_polygons,
            crs: self.declared.map(|declared| declared.crs),
            departures: Vec::new(),
        }
    }
}

/// A cell as a text table has it.
fn text(cell: &Cell) -> String {
    match cell {
        Cell::Empty => String::new(),
        Cell::Number(number) => number.to_string(),
        Cell::Text(text) => text.trim().to_owned(),
    }
}

fn unexpected(place: &str, found: &str, expected: &str) -> ReadError {
    let (found, expected) = (found.to_owned(), expected.to_owned());
    ReadError::Unexpected { place: place.to_owned(), found, expected }
}
