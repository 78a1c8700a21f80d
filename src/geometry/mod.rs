//! Plane geometry that a prescription map needs and general crates do not have: polygons that tile
//! an area and share their vertices, the rows of a lattice inside a polygon, what lies within a
//! distance of features, and a quick check of polygons.

mod borders;
mod buffer;
mod clip;
pub mod coverage;
mod ellipsoid;
mod feature;
pub mod scanline;
mod smoothing;
mod soundness;

pub use buffer::{buffer, on_grid};
pub use clip::cut;
pub use coverage::{Coverage, Face, HalfEdge};
pub use ellipsoid::geodesic_area;
pub use feature::Feature;
pub use smoothing::smoothed;
pub use soundness::is_sound;
