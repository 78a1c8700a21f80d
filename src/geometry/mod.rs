//! Plane geometry that a prescription map needs and general crates do not have: polygons that tile
//! an area and share their vertices, the rows of a lattice inside a polygon, and a quick check of
//! polygons.

pub mod coverage;
mod ellipsoid;
pub mod scanline;
mod soundness;

pub use coverage::{Coverage, Face, HalfEdge};
pub use ellipsoid::geodesic_area;
pub use soundness::is_sound;
