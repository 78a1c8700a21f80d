use std::io::Cursor;

use geo::Coord;
use shapefile::{Shape, ShapeReader};

use super::FORMAT;
use crate::read::budget::Budget;
use crate::read::records::{Record, ShapePart};
use crate::read::{ReadError, Source};

/// The first four bytes of every shapefile: file code 9994, big-endian.
const MAGIC: [u8; 4] = [0, 0, 0x27, 0x0a];

/// The rings of one shape as stored, holes and outer rings alike.
pub(super) type Rings = Vec<Vec<Coord<f64>>>;

/// The rings of every polygon; `None` for an empty shape.
pub(super) fn all_polygons(source: &Source) -> Result<Vec<Option<Rings>>, ReadError> {
    let polygon = |(number, shape)| match shape {
        Shape::NullShape => Ok(None),
        Shape::Polygon(p) => Ok(Some(rings(p.rings(), |p| Coord { x: p.x, y: p.y }))),
        Shape::PolygonM(p) => Ok(Some(rings(p.rings(), |p| Coord { x: p.x, y: p.y }))),
        Shape::PolygonZ(p) => Ok(Some(rings(p.rings(), |p| Coord { x: p.x, y: p.y }))),
        other => Err(unexpected(source, number, &other, "polygons")),
    };
    (1..).zip(shapes(source)?).map(polygon).collect()
}

/// Every shape as a record without attributes; an empty one has no pieces.
pub(super) fn records(source: &Source, budget: &mut Budget) -> Result<Vec<Record>, ReadError> {
    // Points with and without Z and M are types of their own that have nothing in common.
    macro_rules! lines {
        ($parts:expr) => {
            $parts
                .iter()
                .map(|part| {
                    ShapePart::Line(part.iter().map(|p| Coord { x: p.x, y: p.y }).collect())
                })
                .collect()
        };
    }
    macro_rules! points {
        ($points:expr) => {
            $points.iter().map(|p| ShapePart::Point(Coord { x: p.x, y: p.y })).collect()
        };
    }
    macro_rules! areas {
        ($rings:expr) => {
            vec![ShapePart::Rings(rings($rings, |p| Coord { x: p.x, y: p.y }))]
        };
    }
    let mut records = Vec::new();
    for (number, shape) in (1..).zip(shapes(source)?) {
        let kind = format!("a {}", shape.shapetype());
        let place = format!("{}, record {number}", source.name);
        let pieces: Vec<ShapePart> = match shape {
            Shape::NullShape => Vec::new(),
            Shape::Point(p) => points!([p]),
            Shape::PointM(p) => points!([p]),
            Shape::PointZ(p) => points!([p]),
            Shape::Multipoint(p) => points!(p.points()),
            Shape::MultipointM(p) => points!(p.points()),
            Shape::MultipointZ(p) => points!(p.points()),
            Shape::Polyline(p) => lines!(p.parts()),
            Shape::PolylineM(p) => lines!(p.parts()),
            Shape::PolylineZ(p) => lines!(p.parts()),
            Shape::Polygon(p) => areas!(p.rings()),
            Shape::PolygonM(p) => areas!(p.rings()),
            Shape::PolygonZ(p) => areas!(p.rings()),
            other @ Shape::Multipatch(_) => {
                return Err(unexpected(source, number, &other, "points, lines or polygons"));
            }
        };
        let record = Record { place, kind, pieces, ..Record::default() };
        budget.take(&source.name, record.size())?;
        records.push(record);
    }
    Ok(records)
}

fn rings<P>(rings: &[shapefile::PolygonRing<P>], coord: impl Fn(&P) -> Coord<f64>) -> Rings {
    rings.iter().map(|ring| ring.points().iter().map(&coord).collect()).collect()
}

fn shapes(source: &Source) -> Result<Vec<Shape>, ReadError> {
    let fault = |reason: String| {
        let (name, format) = (source.name.clone(), FORMAT.called);
        ReadError::NotFormat { name, format, reason }
    };
    if !source.bytes.starts_with(&MAGIC) {
        return Err(fault("it does not begin as one".to_owned()));
    }
    let reader =
        ShapeReader::new(Cursor::new(source.bytes.as_slice())).map_err(|e| fault(e.to_string()))?;
    // The header counts 16-bit words; the reader would take a file that is cut off as shorter.
    let promised = usize::try_from(reader.header().file_length).unwrap_or(0).saturating_mul(2);
    if source.bytes.len() < promised {
        let found = source.bytes.len();
        return Err(fault(format!("it is cut off, {found} bytes of {promised}")));
    }
    let (header, mut rest) = source.bytes.split_at(HEADER.min(source.bytes.len()));
    rest = rest.get(..promised.saturating_sub(HEADER)).unwrap_or(rest);
    let mut shapes = Vec::new();
    while !rest.is_empty() {
        let length = big_endian(rest, 4).map_or(rest.len(), |words| words.saturating_mul(2));
        let (record, after) = rest.split_at(length.saturating_add(RECORD_HEADER).min(rest.len()));
        rest = after;
        let number = shapes.len() + 1;
        let fault = |reason: &str| fault(format!("shape {number}: {reason}"));
        if !holds_its_points(record) {
            return Err(fault("it promises more points than it has"));
        }
        // Each alone, so that none is read beyond its own end.
        let alone = Cursor::new([header, record].concat());
        let read =
            ShapeReader::new(alone).and_then(|mut reader| reader.iter_shapes().next().transpose());
        shapes.extend(read.map_err(|e| fault(&e.to_string()))?);
    }
    Ok(shapes)
}

/// Bytes of a file's header, and of a record's.
const HEADER: usize = 100;
const RECORD_HEADER: usize = 8;

fn big_endian(bytes: &[u8], at: usize) -> Option<usize> {
    let word = bytes.get(at..)?.first_chunk()?;
    usize::try_from(u32::from_be_bytes(*word)).ok()
}

fn little_endian(bytes: &[u8], at: usize) -> Option<usize> {
    let word = bytes.get(at..)?.first_chunk()?;
    usize::try_from(u32::from_le_bytes(*word)).ok()
}

/// Whether a record is as long as the parts and points that it counts, for the reader takes memory
/// for them first. Where they stand is that of "ESRI Shapefile Technical Description", July 1998.
fn holds_its_points(record: &[u8]) -> bool {
    let content = record.get(RECORD_HEADER..).unwrap_or_default();
    let count = |at| little_endian(content, at).unwrap_or(0);
    // After the type and a box of 36 bytes; a multipatch has a kind for each part too.
    let (parts, points, first) = match count(0) {
        3 | 5 | 13 | 15 | 23 | 25 | 31 => (count(36), count(40), 44),
        8 | 18 | 28 => (0, count(36), 40),
        _ => return true,
    };
    let needed = parts.saturating_mul(4).saturating_add(points.saturating_mul(16)) + first;
    needed <= content.len() && (0..parts).all(|part| count(first + 4 * part) <= points)
}

fn unexpected(source: &Source, number: usize, shape: &Shape, expected: &str) -> ReadError {
    ReadError::Unexpected {
        place: format!("{}, record {number}", source.name),
        found: format!("a {}", shape.shapetype()),
        expected: expected.to_owned(),
    }
}
