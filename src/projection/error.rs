/// Why a coordinate reference system cannot be used, or coordinates cannot be converted.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CrsError {
    /// PROJ does not know the name or cannot read the text.
    #[error(
        "\"{definition}\": found no coordinate system of that name, expected one such as \"EPSG:4326\" or \"EPSG:2965\"; check the code"
    )]
    Unknown {
        /// What was written, cut to one line.
        definition: String,
    },
    /// It is a coordinate system, but not one for positions on the Earth's surface.
    #[error(
        "\"{definition}\": found a {kind} coordinate system, expected a geographic or projected one"
    )]
    WrongKind {
        /// What was written, cut to one line.
        definition: String,
        /// What PROJ says that it is, such as `VerticalCRS`.
        kind: String,
    },
    /// Only PROJ knows it, and this build has no PROJ.
    #[error(
        "\"{definition}\": this build of landplaster has no PROJ and knows WGS 84 (EPSG:4326) and its UTM zones (EPSG:32601 to 32660, 32701 to 32760) alone; give coordinates in one of these, or build with the feature \"proj\""
    )]
    NoProj {
        /// What was written, cut to one line.
        definition: String,
    },
    /// PROJ does not find the database that it was built with.
    #[error(
        "PROJ has no database of coordinate systems: the program was not built as it should be"
    )]
    NoDatabase,
    /// A coordinate has no counterpart.
    #[error(
        "{first}, {second} in {crs}: this point has no longitude and latitude; check the coordinate system and the order of the coordinates"
    )]
    Outside {
        /// The coordinate system.
        crs: String,
        /// Easting or longitude as given.
        first: f64,
        /// Northing or latitude as given.
        second: f64,
    },
    /// A coordinate comes out far from where its coordinate system is used.
    #[error(
        "{first}, {second} in {crs}: this is longitude {longitude:.4}, latitude {latitude:.4}, far outside the area where that coordinate system is used; check the coordinate system and the order of the coordinates"
    )]
    FarOutside {
        /// The coordinate system.
        crs: String,
        /// Easting or longitude as given.
        first: f64,
        /// Northing or latitude as given.
        second: f64,
        /// Longitude that it converts to, degrees.
        longitude: f64,
        /// Latitude that it converts to, degrees.
        latitude: f64,
    },
}

/// What was written, cut to one line.
pub(super) fn first_line(definition: &str) -> String {
    definition.lines().next().unwrap_or("").chars().take(60).collect()
}
