use thiserror::Error;

use super::Point;

/// Why there can be no such surface.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum SurfaceError {
    /// There are no samples.
    #[error("no samples to interpolate")]
    NoSamples,
    /// A sample has a coordinate or a value that is not a finite number.
    #[error(
        "sample at easting {}, northing {} with value {}: expected finite numbers",
        .0.easting, .0.northing, .0.value
    )]
    NotFinite(Point),
    /// The power is not a positive finite number.
    #[error("power {0}: expected a number above 0, such as 2")]
    Power(f64),
    /// The number of neighbours is zero.
    #[error("0 neighbors: expected at least 1, or all")]
    NoNeighbors,
    /// The radius is not a positive finite number of metres.
    #[error("radius {0} m: expected a distance above 0")]
    Radius(f64),
    /// The lattice's origin or step is not a usable number.
    #[error("lattice with a step of {0} m: expected a step above 0 and a finite origin")]
    Step(f64),
    /// The lattice has more nodes than can be held.
    #[error(
        "lattice of {columns} by {rows} nodes: expected at most 2000000000 nodes; use a wider step"
    )]
    TooManyNodes {
        /// Nodes from west to east.
        columns: usize,
        /// Nodes from south to north.
        rows: usize,
    },
}
