//! Plane geometry that a prescription map needs and general crates do not have: polygons that tile
//! an area and share their vertices, and the rows of a lattice inside a polygon.

mod borders;
pub mod coverage;
mod ellipsoid;
pub mod scanline;
mod smoothing;

pub use coverage::{Coverage, Face, HalfEdge};
pub use ellipsoid::geodesic_area;
pub use smoothing::smoothed;
