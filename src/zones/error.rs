/// Why a mesh could not be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RimError {
    /// Two edges of the boundary cross.
    #[error("boundary: two edges cross near easting {easting:.2} m, northing {northing:.2} m")]
    Crossing {
        /// Easting on the field's own projection.
        easting: f64,
        /// Northing on the field's own projection.
        northing: f64,
    },
    /// The triangulation refused a position.
    #[error("boundary: a position is not usable: {0}")]
    Position(String),
}
