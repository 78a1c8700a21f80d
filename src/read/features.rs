use geo::Coord;

use super::{Read, ReadError, Source, format, reference};
use crate::geometry::Feature;

/// Reads features that are kept from: points, lines and polygons of GeoJSON or a shapefile, in
/// WGS84 longitude and latitude. `crs` is their coordinate system, such as `EPSG:2965`; what the
/// file itself says if `None`.
///
/// # Errors
/// When the file cannot be read, holds no feature, or its coordinate system is not known.
pub fn features(source: &Source, crs: Option<&str>) -> Result<Read<Vec<Feature>>, ReadError> {
    let mut found = format::features(source)?;
    found.features.retain(|feature| feature.lines.iter().any(|line| !line.is_empty()));
    if found.features.is_empty() {
        return Err(ReadError::Unexpected {
            place: source.name.clone(),
            found: "no features".to_owned(),
            expected: "points, lines or polygons to keep from".to_owned(),
        });
    }
    let setting = reference::setting(&source.name, crs)?;
    let mut warnings = Vec::new();
    let lines = || found.features.iter().flat_map(|feature| &feature.lines);
    let mut coords: Vec<Coord<f64>> = lines().flatten().copied().collect();
    let declared = found.declared.as_ref();
    let coordinates =
        reference::to_wgs84(&source.name, declared, setting.as_ref(), &mut coords, &mut warnings)?;
    let lines = found.features.iter_mut().flat_map(|feature| &mut feature.lines);
    lines.flatten().zip(coords).for_each(|(place, coord)| *place = coord);
    Ok(Read { value: found.features, coordinates, warnings })
}

#[cfg(test)]
mod tests;
