use geo::Coord;

/// A position as the search trees take it.
pub fn pair(at: Coord<f64>) -> [f64; 2] {
    [at.x, at.y]
}
