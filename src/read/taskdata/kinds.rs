//! What the shapes of a field are, by attribute A of their elements: `PolygonType`, `LineStringType`
//! and `PointType` of ISO 11783-10. The numbers stand in its public data dictionary, version 4.3, and in
//! the schema that the Python package isoxml 0.0.4 carries; version 3 has the first eight.

/// The outline of a field.
pub(super) const BOUNDARY: &str = "boundary";
/// What a machine cannot drive over.
pub(super) const OBSTACLE: &str = "obstacle";

const POLYGONS: [&str; 12] = [
    BOUNDARY,
    "treatment zone",
    "water surface",
    "building",
    "road",
    OBSTACLE,
    "flag",
    "other",
    "mainfield",
    "headland",
    "buffer zone",
    "windbreak",
];

/// The first two are the rings of polygons.
const LINES: [&str; 9] = [
    "outer ring",
    "hole",
    "tramline",
    "sampling route",
    "guidance pattern",
    "drainage",
    "fence",
    "flag",
    OBSTACLE,
];

const POINTS: [&str; 11] = [
    "flag",
    "other",
    "field access",
    "storage",
    OBSTACLE,
    "guidance reference A",
    "guidance reference B",
    "guidance reference center",
    "guidance point",
    "field reference point",
    "homebase",
];

/// What an element of a tag and a type is.
pub(super) fn called(tag: &str, kind: Option<&str>) -> String {
    let names: &[&str] = match tag {
        "PLN" => &POLYGONS,
        "LSG" => &LINES,
        _ => &POINTS,
    };
    let number = kind.and_then(|kind| kind.trim().parse::<usize>().ok());
    let name = number.and_then(|number| names.get(number.checked_sub(1)?));
    name.map_or_else(
        || format!("{tag} of type {}", kind.unwrap_or("none")),
        |name| (*name).to_owned(),
    )
}
