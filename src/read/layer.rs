use geo::Coord;

use super::reference::Declared;
use super::table::Table;

/// Rows of a file and what each is about, in the file's own coordinates.
#[derive(Debug)]
pub(super) struct Layer {
    /// The rows; their points are in `shapes`.
    pub table: Table,
    /// One a row, `None` where it is empty, and what the file says about its coordinates; for a
    /// format that has shapes.
    pub shapes: Option<(Vec<Option<RowShape>>, Option<Declared>)>,
}

/// A place or an area.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum RowShape {
    /// A place.
    Point(Coord<f64>),
    /// Parts, each the outer ring and then its holes.
    Area(Vec<Vec<Vec<Coord<f64>>>>),
}

impl RowShape {
    /// Its positions.
    pub fn coords(&self) -> Vec<&Coord<f64>> {
        match self {
            RowShape::Point(at) => vec![at],
            RowShape::Area(parts) => parts.iter().flatten().flatten().collect(),
        }
    }

    /// Its positions, to be changed.
    pub fn coords_mut(&mut self) -> Vec<&mut Coord<f64>> {
        match self {
            RowShape::Point(at) => vec![at],
            RowShape::Area(parts) => parts.iter_mut().flatten().flatten().collect(),
        }
    }
}
