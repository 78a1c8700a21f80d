use geo::{Coord, CoordsIter, LineString, MultiPolygon, Polygon};

/// The coordinate system of all layers: EPSG's number of WGS84.
pub(super) const WGS84: i32 = 4326;

/// A geometry of a row.
#[derive(Clone, Debug)]
pub(super) enum WkbShape {
    Point(Coord<f64>),
    Line(LineString<f64>),
    Polygon(Polygon<f64>),
    MultiPolygon(MultiPolygon<f64>),
}

impl WkbShape {
    /// Its positions.
    pub fn coords(&self) -> Vec<Coord<f64>> {
        match self {
            WkbShape::Point(at) => vec![*at],
            WkbShape::Line(line) => line.0.clone(),
            WkbShape::Polygon(polygon) => polygon.coords_iter().collect(),
            WkbShape::MultiPolygon(polygons) => polygons.coords_iter().collect(),
        }
    }

    /// As a package has it (OGC 12-128r18, 2.1.3): its header, little-endian and without an
    /// envelope, and well-known binary.
    pub fn bytes(&self) -> Vec<u8> {
        let mut bytes = vec![b'G', b'P', 0, 1];
        bytes.extend(WGS84.to_le_bytes());
        match self {
            WkbShape::Point(at) => {
                begin(&mut bytes, 1);
                position(&mut bytes, *at);
            }
            WkbShape::Line(line) => {
                begin(&mut bytes, 2);
                positions(&mut bytes, line);
            }
            WkbShape::Polygon(one) => polygon(&mut bytes, one),
            WkbShape::MultiPolygon(parts) => {
                begin(&mut bytes, 6);
                count(&mut bytes, parts.0.len());
                parts.iter().for_each(|part| polygon(&mut bytes, part));
            }
        }
        bytes
    }
}

/// The byte order, 1 for little-endian, and the kind of a geometry.
fn begin(bytes: &mut Vec<u8>, kind: u32) {
    bytes.push(1);
    bytes.extend(kind.to_le_bytes());
}

fn polygon(bytes: &mut Vec<u8>, polygon: &Polygon<f64>) {
    begin(bytes, 3);
    count(bytes, 1 + polygon.interiors().len());
    positions(bytes, polygon.exterior());
    polygon.interiors().iter().for_each(|hole| positions(bytes, hole));
}

fn positions(bytes: &mut Vec<u8>, line: &LineString<f64>) {
    count(bytes, line.0.len());
    line.0.iter().for_each(|at| position(bytes, *at));
}

fn position(bytes: &mut Vec<u8>, at: Coord<f64>) {
    bytes.extend(at.x.to_le_bytes());
    bytes.extend(at.y.to_le_bytes());
}

fn count(bytes: &mut Vec<u8>, count: usize) {
    bytes.extend(u32::try_from(count).unwrap_or(u32::MAX).to_le_bytes());
}
