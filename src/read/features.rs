use geo::Coord;

use super::{FeatureSettings, Read, ReadError, Source, choice, formats, reference};
use crate::geometry::Feature;

/// Reads features that are kept from or driven on: points, lines and polygons of a file or of one of
/// its layers, in WGS84 longitude and latitude; of task data the obstacles.
///
/// # Errors
/// When the file cannot be read, holds no feature, or its coordinate system is not known.
pub fn features(
    source: &Source,
    settings: &FeatureSettings,
) -> Result<Read<Vec<Feature>>, ReadError> {
    let mut records = formats::features(source, settings.layer.as_deref())?;
    choice::of_field(&mut records, &source.name, settings.field.as_deref(), None)?;
    let mut found = records.features();
    found.all.retain(|feature| feature.lines.iter().any(|line| !line.is_empty()));
    if found.all.is_empty() {
        return Err(ReadError::Unexpected {
            place: source.name.clone(),
            found: "no features".to_owned(),
            expected: "points, lines or polygons to keep from".to_owned(),
        });
    }
    let setting = reference::setting(&source.name, settings.crs.as_deref())?;
    let mut warnings = std::mem::take(&mut found.warnings);
    let lines = || found.all.iter().flat_map(|feature| &feature.lines);
    let mut coords: Vec<Coord<f64>> = lines().flatten().copied().collect();
    let declared = found.declared.as_ref();
    let coordinates =
        reference::to_wgs84(&source.name, declared, setting.as_ref(), &mut coords, &mut warnings)?;
    let lines = found.all.iter_mut().flat_map(|feature| &mut feature.lines);
    lines.flatten().zip(coords).for_each(|(place, coord)| *place = coord);
    Ok(Read { value: found.all, coordinates, warnings })
}

#[cfg(test)]
mod tests;
