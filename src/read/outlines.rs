use super::reference::Declared;
use crate::geometry::Feature;
use crate::warning::Warning;

/// The features of a layer as a file gives them, in the file's own coordinates.
#[derive(Debug)]
pub(super) struct Features {
    /// The features; those without a place are left out.
    pub all: Vec<Feature>,
    /// What the file says about its coordinates.
    pub declared: Option<Declared>,
    /// What came up while reading.
    pub warnings: Vec<Warning>,
}
