//! Coordinates from any coordinate reference system to WGS84: WGS84 and its UTM zones by the
//! crate's own formulas, all others by PROJ (feature `proj`), with its database inside the binary
//! and whatever the environment says.

mod crs;
#[cfg(feature = "compressed-proj")]
mod database;
mod error;
mod prj;
#[cfg(feature = "proj")]
mod proj;
#[cfg(feature = "proj")]
mod registered;
#[cfg(test)]
#[cfg(feature = "proj")]
mod tests;
mod utm;

pub use crs::Crs;
pub use error::CrsError;
pub use prj::wgs84_prj;

/// The coordinate system that a source was taken to be in.
#[derive(Clone, Debug, PartialEq)]
pub struct Coordinates {
    /// Its name.
    pub crs: String,
    /// How good its datum's shift to WGS84 is, in meters, where PROJ knows it.
    pub accuracy: Option<f64>,
}

/// Where a coordinate system is used, degrees. Across the antimeridian west is greater than east.
#[derive(Clone, Copy, Debug)]
struct Area {
    west: f64,
    south: f64,
    east: f64,
    north: f64,
}
