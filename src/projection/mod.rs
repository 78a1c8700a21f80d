//! Coordinates from any coordinate reference system to WGS84, and from there to the field's own
//! metres. PROJ does every conversion to WGS84, with its database inside the binary and no network.

mod crs;
mod error;
mod frame;
mod prj;
mod quiet;
mod transverse_mercator;

pub use crs::Crs;
pub use error::CrsError;
pub use frame::Frame;
pub use prj::wgs84_prj;

/// The coordinate system that a source was taken to be in.
#[derive(Clone, Debug, PartialEq)]
pub struct Coordinates {
    /// Its name.
    pub crs: String,
    /// How good its datum's shift to WGS84 is, in metres, where PROJ knows it.
    pub accuracy: Option<f64>,
}
