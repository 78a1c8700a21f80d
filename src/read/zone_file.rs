use geo::Coord;

use crate::projection::Crs;

/// Polygons with their attributes as a file holds them. Nothing that can be shown is refused, so
/// that whoever looks at it can say everything that is wrong with it.
#[derive(Clone, Debug, Default)]
pub struct ZoneFile {
    /// What kind of file it is.
    pub format: &'static str,
    /// Whether outer rings run counter-clockwise in this kind of file; `None` where it does not say.
    pub exterior_is_counter_clockwise: Option<bool>,
    /// The names of the attributes.
    pub columns: Vec<String>,
    /// The polygons, in the file's order.
    pub shapes: Vec<ZoneShape>,
    /// Where records stand that are no polygons, such as a pile's point.
    pub no_polygons: Vec<String>,
    /// The coordinate system that the file says it is in.
    pub crs: Option<Crs>,
    /// What departs from the format's own rules.
    pub departures: Vec<String>,
}

/// One polygon, with one or more parts, and its attributes.
#[derive(Clone, Debug, Default)]
pub struct ZoneShape {
    /// Where in the file it is.
    pub place: String,
    /// Parts, each the outer ring and then its holes, as stored.
    pub parts: Vec<Vec<Vec<Coord<f64>>>>,
    /// A cell for each column.
    pub cells: Vec<Cell>,
}

/// The value of an attribute.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Cell {
    /// There is none.
    #[default]
    Empty,
    /// A number, which may be none that can be used, such as NaN.
    Number(f64),
    /// A text.
    Text(String),
}
