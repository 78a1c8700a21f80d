use crate::geometry::Feature;
use crate::units::{Length, Written};

/// Features that are kept from, as read.
#[derive(Clone, Debug)]
pub struct KeepOutLayer {
    /// What messages call it.
    pub called: String,
    /// What the features are.
    pub why: String,
    /// How far from them nothing is spread; 0 or more.
    pub distance: Written<Length>,
    /// The features, WGS84 longitude and latitude in degrees.
    pub features: Vec<Feature>,
}
