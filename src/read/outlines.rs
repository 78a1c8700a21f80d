use geo::Coord;

use super::reference::Declared;
use crate::geometry::Feature;

/// The rings of a boundary as a file gives them, in the file's own coordinates.
#[derive(Debug)]
pub(super) struct Outlines {
    /// Parts, each the outer ring and then its holes.
    pub parts: Vec<Vec<Vec<Coord<f64>>>>,
    /// What the file says about its coordinates.
    pub declared: Option<Declared>,
}

/// The features of a layer as a file gives them, in the file's own coordinates.
#[derive(Debug)]
pub(super) struct Features {
    /// The features; those without a place are left out.
    pub features: Vec<Feature>,
    /// What the file says about its coordinates.
    pub declared: Option<Declared>,
}
