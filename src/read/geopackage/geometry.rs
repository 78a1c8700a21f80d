//! The geometry of a row: GeoPackage's own header, then well-known binary (ISO 13249-3), with or
//! without heights and measures, which are left out.

use geo::Coord;

use crate::read::ReadError;
use crate::read::budget::Budget;
use crate::read::records::ShapePart;

/// The deepest nesting of collections.
const DEEPEST: usize = 8;
/// What a ring or a part takes beside its positions, in bytes.
const PART_BYTES: usize = 64;

/// What a geometry is called, and what it is made of.
pub(super) fn read(
    place: &str,
    bytes: &[u8],
    budget: &mut Budget,
) -> Result<(String, Vec<ShapePart>), ReadError> {
    let mut input = Input { place, rest: bytes, little: true, budget };
    let header = input.bytes(8)?;
    let [b'G', b'P', 0, flags, ..] = header else {
        return Err(input.fault("its geometry does not begin as GeoPackage's do"));
    };
    let envelope = match (flags >> 1) & 7 {
        0 => 0,
        1 => 32,
        2 | 3 => 48,
        4 => 64,
        _ => return Err(input.fault("the envelope of its geometry is of no known kind")),
    };
    if flags & 0x20 != 0 {
        return Err(input.fault("its geometry is of an extension; save it as a plain one"));
    }
    input.bytes(envelope)?;
    let mut pieces = Vec::new();
    let kind = input.geometry(&mut pieces, 0)?;
    if !input.rest.is_empty() {
        return Err(input.fault("there are bytes behind its geometry"));
    }
    Ok((format!("a {kind}"), pieces))
}

struct Input<'a> {
    place: &'a str,
    rest: &'a [u8],
    little: bool,
    budget: &'a mut Budget,
}

impl<'a> Input<'a> {
    /// One geometry, whose pieces are added; its name.
    fn geometry(
        &mut self,
        pieces: &mut Vec<ShapePart>,
        depth: usize,
    ) -> Result<&'static str, ReadError> {
        if depth > DEEPEST {
            return Err(self.fault("its geometry lies too deep in collections"));
        }
        self.little = match self.bytes(1)? {
            [0] => false,
            [1] => true,
            _ => return Err(self.fault("the byte order of its geometry is neither 0 nor 1")),
        };
        let code = self.number()?;
        let more = match code / 1000 {
            0 => 0,
            1 | 2 => 1,
            3 => 2,
            _ => return Err(self.fault("its geometry is of no known kind")),
        };
        let kind = match code % 1000 {
            1 => {
                let at = self.position(more)?;
                // An empty point has no numbers.
                if !(at.x.is_nan() && at.y.is_nan()) {
                    pieces.push(ShapePart::Point(at));
                }
                "Point"
            }
            2 => {
                let line = self.line(more)?;
                if !line.is_empty() {
                    pieces.push(ShapePart::Line(line));
                }
                "LineString"
            }
            3 => {
                let rings = self.count(4)?;
                let rings = (0..rings).map(|_| self.line(more)).collect::<Result<Vec<_>, _>>()?;
                if !rings.is_empty() {
                    pieces.push(ShapePart::Area(rings));
                }
                "Polygon"
            }
            kind @ 4..=7 => {
                for _ in 0..self.count(5)? {
                    self.geometry(pieces, depth + 1)?;
                }
                match kind {
                    4 => "MultiPoint",
                    5 => "MultiLineString",
                    6 => "MultiPolygon",
                    _ => "GeometryCollection",
                }
            }
            8..=14 => {
                return Err(self.fault("its geometry has curves; save it with straight edges"));
            }
            _ => return Err(self.fault("its geometry is of no known kind")),
        };
        Ok(kind)
    }

    fn line(&mut self, more: usize) -> Result<Vec<Coord<f64>>, ReadError> {
        let count = self.count((2 + more) * 8)?;
        (0..count).map(|_| self.position(more)).collect()
    }

    fn position(&mut self, more: usize) -> Result<Coord<f64>, ReadError> {
        let [x, y] = [self.double()?, self.double()?];
        self.bytes(more * 8)?;
        Ok(Coord { x, y })
    }

    /// A number of things, each of so many bytes or more, for which there is room.
    fn count(&mut self, each: usize) -> Result<usize, ReadError> {
        let count = self.number()? as usize;
        if count.saturating_mul(each) > self.rest.len() {
            return Err(self.fault("its geometry is cut off"));
        }
        self.budget.take(self.place, count * PART_BYTES.min(each * 4))?;
        Ok(count)
    }

    fn number(&mut self) -> Result<u32, ReadError> {
        let four = self.array::<4>()?;
        Ok(if self.little { u32::from_le_bytes(four) } else { u32::from_be_bytes(four) })
    }

    fn double(&mut self) -> Result<f64, ReadError> {
        let eight = self.array::<8>()?;
        Ok(if self.little { f64::from_le_bytes(eight) } else { f64::from_be_bytes(eight) })
    }

    fn array<const N: usize>(&mut self) -> Result<[u8; N], ReadError> {
        let bytes = self.bytes(N)?;
        bytes.try_into().map_err(|_| self.fault("its geometry is cut off"))
    }

    fn bytes(&mut self, count: usize) -> Result<&'a [u8], ReadError> {
        let Some((taken, rest)) = self.rest.split_at_checked(count) else {
            return Err(self.fault("its geometry is cut off"));
        };
        self.rest = rest;
        Ok(taken)
    }

    fn fault(&self, reason: &str) -> ReadError {
        super::database::not_format(self.place, reason.to_owned())
    }
}
