/// What of a record lies on no zone, as printed in one system.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OffTheZones {
    /// Rows of which nothing lies on a zone.
    pub rows: usize,
    /// The ground, parts of polygons with it.
    pub area: f64,
    /// What the controller says was spread there.
    pub applied: f64,
}
