use geo::Coord;

/// Something on the ground as a map holds it: a point, a line or a polygon.
#[derive(Clone, Debug, PartialEq)]
pub struct Feature {
    /// Its lines: one vertex alone is a point. Of a polygon every ring, outer ones and holes alike,
    /// closed or not.
    pub lines: Vec<Vec<Coord<f64>>>,
    /// Whether what the lines enclose belongs to it. What an even number of rings encloses does not:
    /// it is a hole.
    pub filled: bool,
}

impl Feature {
    /// A point.
    #[must_use]
    pub fn point(at: Coord<f64>) -> Self {
        Self { lines: vec![vec![at]], filled: false }
    }

    /// A line.
    #[must_use]
    pub fn line(line: Vec<Coord<f64>>) -> Self {
        Self { lines: vec![line], filled: false }
    }

    /// A polygon of rings.
    #[must_use]
    pub fn polygon(rings: Vec<Vec<Coord<f64>>>) -> Self {
        Self { lines: rings, filled: true }
    }
}
