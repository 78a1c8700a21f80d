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
    /// The number of neighbors is zero.
    #[error("0 neighbors: expected at least 1, or all")]
    NoNeighbors,
    /// The radius is not a positive finite number of meters.
    #[error("radius {0} m: expected a distance above 0")]
    Radius(f64),
    /// The lattice's origin or step is not a usable number.
    #[error("a surface with a grid of {0} m, expected one above 0")]
    Step(f64),
    /// The lattice has more nodes than can be held.
    #[error(
        "a surface of {columns} by {rows} points, expected at most 2000000000 in all; set a wider [surface] grid"
    )]
    TooManyNodes {
        /// Nodes from west to east.
        columns: usize,
        /// Nodes from south to north.
        rows: usize,
    },
    /// The samples' variogram cannot be made.
    #[error(
        "samples at {places} places, their pairs in {classes} classes of distance: expected at least 8 places and 3 classes for a variogram; use inverse distance"
    )]
    NoVariogram {
        /// Places that have a sample.
        places: usize,
        /// Classes that have a pair.
        classes: usize,
    },
    /// A variogram that is none.
    #[error(
        "variogram with nugget {nugget}, partial sill {partial_sill} and range {range} m: expected 0 or more, 0 or more and above 0"
    )]
    Variogram {
        /// The nugget.
        nugget: f64,
        /// The partial sill.
        partial_sill: f64,
        /// The range in meters.
        range: f64,
    },
    /// Kriging needs too large a matrix.
    #[error("kriging through {found} samples: expected at most 1000; use inverse distance")]
    TooManySamples {
        /// The samples, those that share a place counted once.
        found: usize,
    },
    /// The kriging matrix is singular in the precision of numbers.
    #[error(
        "kriging through samples nearly at one place: expected them farther apart or with one position; use inverse distance"
    )]
    TooClose,
}
