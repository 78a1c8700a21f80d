//! Values that other programs or publications give, with their source in `fixtures/`.

mod buffer;
#[cfg(feature = "proj")]
mod geodesy;
mod idw;
mod kriging;
mod sampling;
mod spreader;
