//! Plane geometry that a prescription map needs and general crates do not have: polygons that tile
//! an area and share their vertices, the rows of a lattice inside a polygon, and how much of a grid's cells a
//! polygon covers.

mod cell_grid;
pub mod coverage;
mod ellipsoid;
pub mod scanline;
mod simplify;

pub use cell_grid::CellGrid;
pub use coverage::{Coverage, Face, HalfEdge};
pub use ellipsoid::{geodesic_area, square_degree};
pub use simplify::{Stubborn, simplify};
