use geo::Coord;

use super::{BoundarySettings, Read, ReadError, Source, format, reference};
use crate::field::Boundary;

/// Reads a field boundary: GeoJSON, or a shapefile's polygons. All polygons of the file are parts
/// of one boundary.
///
/// # Errors
/// When the file cannot be read, its coordinate system is not known, or its polygons are not sound.
pub fn boundary(source: &Source, settings: &BoundarySettings) -> Result<Read<Boundary>, ReadError> {
    let mut outlines = format::outlines(source)?;
    let setting = reference::setting(&source.name, settings.crs.as_deref())?;
    let mut warnings = Vec::new();
    let mut coords: Vec<Coord<f64>> = outlines.parts.iter().flatten().flatten().copied().collect();
    let declared = outlines.declared.as_ref();
    let coordinates =
        reference::to_wgs84(&source.name, declared, setting.as_ref(), &mut coords, &mut warnings)?;
    let places = outlines.parts.iter_mut().flatten().flatten();
    places.zip(coords).for_each(|(place, coord)| *place = coord);
    let value = Boundary::from_rings(outlines.parts, &source.name)?;
    Ok(Read { value, coordinates, warnings })
}
