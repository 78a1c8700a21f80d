use geo::Coord;

use super::{BoundarySettings, Read, ReadError, Source, choice, format, reference};
use crate::field::Boundary;
use crate::warning::Warning;

/// Reads a field boundary: the polygons of a file, of one of its layers, or of one of its fields.
///
/// # Errors
/// When the file cannot be read, its coordinate system is not known, it holds several fields and
/// nothing says which is meant, or the polygons are not sound.
pub fn boundary(source: &Source, settings: &BoundarySettings) -> Result<Read<Boundary>, ReadError> {
    let mut found = format::outlines(source, settings.layer.as_deref())?;
    let name = source.name.as_str();
    let (field, column) = (settings.field.as_deref(), settings.field_column.as_deref());
    let mut warnings = std::mem::take(&mut found.warnings);
    choice::of_field(&mut found, name, field, column)?;
    found.all.retain(|record| {
        if record.pieces.is_empty() {
            warnings.push(Warning::NoShape { place: record.place.clone() });
        }
        !record.pieces.is_empty()
    });
    if field.is_none() && !settings.merge {
        choice::one_field(&found, name, column)?;
        let polygons = found.all.len();
        if polygons > 1 && found.columns.is_empty() {
            warnings.push(Warning::PolygonsWithoutNames { file: name.to_owned(), polygons });
        }
    }
    let mut parts = Vec::new();
    for record in found.all {
        parts.extend(record.polygons()?.unwrap_or_default());
    }
    let setting = reference::setting(name, settings.crs.as_deref())?;
    let mut coords: Vec<Coord<f64>> = parts.iter().flatten().flatten().copied().collect();
    let declared = found.declared.as_ref();
    let coordinates =
        reference::to_wgs84(name, declared, setting.as_ref(), &mut coords, &mut warnings)?;
    let places = parts.iter_mut().flatten().flatten();
    places.zip(coords).for_each(|(place, coord)| *place = coord);
    let value = if settings.merge {
        let (boundary, told) = Boundary::merged(parts, name)?;
        warnings.extend(told);
        boundary
    } else {
        Boundary::from_rings(parts, name)?
    };
    Ok(Read { value, coordinates, warnings })
}
