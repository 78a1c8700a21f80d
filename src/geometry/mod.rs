//! Plane geometry that a prescription map needs and general crates do not have: polygons that tile
//! an area and share their vertices, the rows of a lattice inside a polygon, how much of a grid's
//! cells a polygon covers, where values on a lattice are above a level, what lies within a distance of features, a quick check of polygons, and the field's own meters.

mod above;
mod averaged;
mod borders;
mod buffer;
mod cell_grid;
mod clip;
pub mod coverage;
mod ellipsoid;
mod feature;
mod frame;
pub mod scanline;
mod simplify;
mod smoothing;
mod soundness;
mod transverse_mercator;

pub use above::rings_above;
pub use buffer::{buffer, on_grid};
pub use cell_grid::CellGrid;
pub use clip::cut;
pub use coverage::{Coverage, Face, FaceIndex, HalfEdge};
pub use ellipsoid::{box_area, degree, geodesic_area};
pub use feature::Feature;
pub use frame::{Frame, OutOfReach};
pub use simplify::{Stubborn, simplify};
pub use smoothing::smoothed;
pub use soundness::{is_right_way_round, is_sound};
pub(crate) use transverse_mercator::TransverseMercator;
