use std::rc::Rc;

use geo::Coord;

use crate::read::ReadError;
use crate::read::records::ShapePart;

/// A placemark as it stands in the file.
#[derive(Debug, Default)]
pub(super) struct Placemark {
    /// Where it is, for messages.
    pub place: String,
    /// Its name; may be empty.
    pub name: String,
    /// Its extended data, names and values.
    pub data: Vec<(String, String)>,
    /// The names of the folders and documents around it.
    pub folders: Rc<[String]>,
    /// What its shape is called, such as `a Polygon`.
    pub kind: String,
    /// What its shape is made of.
    pub pieces: Vec<ShapePart>,
    /// The outer ring of the polygon that is being read, and its holes.
    pub outer: Option<Vec<Coord<f64>>>,
    pub holes: Vec<Vec<Coord<f64>>>,
}

impl Placemark {
    /// Notes the outermost element of its shape.
    pub fn shape(&mut self, tag: &str) {
        if self.kind.is_empty() {
            self.kind = format!("a {tag}");
        }
    }

    /// Takes the coordinates of an element; `around` are the elements around it, the nearest last.
    pub fn coordinates(&mut self, around: &[String], text: &str) -> Result<(), ReadError> {
        let coords = coordinates(text, &self.place)?;
        let up = |levels: usize| {
            let at = around.len().checked_sub(levels + 1);
            at.and_then(|at| around.get(at)).map_or("", String::as_str)
        };
        match (up(0), up(1)) {
            ("Point", _) => {
                let [at] = coords.as_slice() else {
                    let found = format!("a Point of {} positions", coords.len());
                    return Err(self.unexpected(found, "one position"));
                };
                self.pieces.push(ShapePart::Point(*at));
            }
            ("LinearRing", "outerBoundaryIs") if self.outer.is_some() => {
                return Err(self.unexpected("a Polygon with two outer rings".into(), "one"));
            }
            ("LinearRing", "outerBoundaryIs") => self.outer = Some(coords),
            ("LinearRing", "innerBoundaryIs") => self.holes.push(coords),
            ("LineString" | "LinearRing", _) => self.pieces.push(ShapePart::Line(coords)),
            _ => {}
        }
        Ok(())
    }

    /// Ends a polygon.
    pub fn polygon(&mut self) -> Result<(), ReadError> {
        let holes = std::mem::take(&mut self.holes);
        let Some(outer) = self.outer.take() else {
            return Err(self.unexpected("a Polygon without an outer ring".into(), "one"));
        };
        self.pieces.push(ShapePart::Area(std::iter::once(outer).chain(holes).collect()));
        Ok(())
    }

    fn unexpected(&self, found: String, expected: &str) -> ReadError {
        ReadError::Unexpected { place: self.place.clone(), found, expected: expected.to_owned() }
    }
}

/// Positions parted by blanks, each longitude, latitude and perhaps a height, parted by commas.
fn coordinates(text: &str, place: &str) -> Result<Vec<Coord<f64>>, ReadError> {
    let position = |tuple: &str| {
        let mut numbers = tuple.split(',').map(|number| number.parse::<f64>().ok());
        match (numbers.next().flatten(), numbers.next().flatten(), numbers.next(), numbers.next()) {
            (Some(x), Some(y), None | Some(Some(_)), None) => Ok(Coord { x, y }),
            _ => Err(ReadError::Unexpected {
                place: place.to_owned(),
                found: format!("the position \"{}\"", tuple.chars().take(60).collect::<String>()),
                expected: "longitude,latitude or longitude,latitude,height without blanks in it"
                    .to_owned(),
            }),
        }
    };
    text.split_ascii_whitespace().map(position).collect()
}
