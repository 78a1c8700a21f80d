//! What a rate controller would see in a file, and everything that departs from its published
//! format: RFC 7946 for GeoJSON, the ESRI Shapefile Technical Description (1998), ISO 11783-10.

mod geometry;
mod rate;
mod report;
mod task;
mod tiling;
mod zones;

pub use rate::RateSetting;
pub use report::{Inspection, SeenZone};
pub use task::{archive, folder};
pub use zones::zones;
