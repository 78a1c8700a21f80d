use geo::{Coord, MultiPolygon};

use super::records::{Parts, Record, Records, ShapePart};
use super::reference::Declared;
use super::zones::polygons;
use super::{BoundarySettings, Read, ReadError, Source, choice, formats, reference};
use crate::field::{Boundary, FieldOutline};
use crate::projection::Crs;
use crate::warning::Warning;

/// Reads a field boundary: the polygons of a file, of one of its layers, or of one of its fields.
///
/// # Errors
/// When the file cannot be read, its coordinate system is not known, it holds several fields and
/// nothing says which is meant, or the polygons are not sound.
pub fn boundary(source: &Source, settings: &BoundarySettings) -> Result<Read<Boundary>, ReadError> {
    boundary_among(source, settings).map(|(boundary, _)| boundary)
}

/// The same with the outlines of the file's other fields, where it is one of several.
///
/// # Errors
/// As [`boundary`].
pub fn boundary_among(
    source: &Source,
    settings: &BoundarySettings,
) -> Result<(Read<Boundary>, Vec<FieldOutline>), ReadError> {
    let mut found = formats::outlines(source, settings.layer.as_deref())?;
    let name = source.name.as_str();
    let others_than_fields = without_other_shapes(&mut found);
    let (field, column) = (settings.field.as_deref(), settings.field_column.as_deref());
    let mut warnings = std::mem::take(&mut found.warnings);
    if !others_than_fields.is_empty() {
        let (file, shapes) = (name.to_owned(), others_than_fields);
        warnings.push(Warning::OtherShapes { file, shapes });
    }
    let others = choice::of_field(&mut found, name, field, column)?;
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
    let setting = reference::setting(name, settings.crs.as_deref())?;
    let system = System { name, declared: found.declared.as_ref(), setting: setting.as_ref() };
    let called = |record: &Record| choice::called(&found, record, column);
    let others = others.into_iter().filter_map(|record| {
        // What is wrong with another field is told when that one is planned.
        let (name, mut parts) = (called(&record), record.polygons().ok()??);
        system.to_wgs84(&mut parts, &mut Vec::new()).ok()?;
        Some(FieldOutline { name, polygons: polygons(parts) })
    });
    let others: Vec<FieldOutline> = others.collect();
    let mut parts = Vec::new();
    for record in found.all.iter().cloned() {
        parts.extend(record.polygons()?.unwrap_or_default());
    }
    let coordinates = system.to_wgs84(&mut parts, &mut warnings)?;
    let value = if settings.merge {
        let (boundary, told) = Boundary::merged(parts, name)?;
        warnings.extend(told);
        boundary
    } else {
        Boundary::from_rings(parts, name)?
    };
    Ok((Read { value, coordinates, warnings }, others))
}

/// All fields of a file, and by which of its columns they are told apart.
#[derive(Clone, Debug)]
pub struct Outlines {
    /// The column with their names.
    pub column: String,
    /// The fields, in the order in which they come up.
    pub fields: Vec<FieldOutline>,
    /// Where polygons are that have no name.
    pub nameless: Vec<String>,
    /// Where lines and points are, which are no boundary.
    pub others: Vec<String>,
}

/// Reads the outlines of all fields of a file or of one of its layers; polygons of one name are one
/// field.
///
/// # Errors
/// When the file cannot be read, no column has names, or its coordinate system is not known.
pub fn outlines(source: &Source, settings: &BoundarySettings) -> Result<Outlines, ReadError> {
    let mut found = formats::outlines(source, settings.layer.as_deref())?;
    let name = source.name.as_str();
    let others = without_other_shapes(&mut found);
    let column = choice::names(&found, name, settings.field_column.as_deref())?;
    let setting = reference::setting(name, settings.crs.as_deref())?;
    let Records { columns, all, declared, .. } = found;
    let system = System { name, declared: declared.as_ref(), setting: setting.as_ref() };
    let (mut fields, mut nameless) = (Vec::<FieldOutline>::new(), Vec::new());
    for record in all {
        let (called, place) = (record.text(column), record.place.clone());
        let Some(mut parts) = record.polygons()? else { continue };
        if called.is_empty() {
            nameless.push(place);
            continue;
        }
        system.to_wgs84(&mut parts, &mut Vec::new())?;
        let MultiPolygon(parts) = polygons(parts);
        match fields.iter_mut().find(|field| field.name == called) {
            Some(field) => field.polygons.0.extend(parts),
            None => fields.push(FieldOutline { name: called, polygons: MultiPolygon(parts) }),
        }
    }
    let column = columns.get(column).map_or("", |header| header.trim()).to_owned();
    Ok(Outlines { column, fields, nameless, others })
}

/// Takes lines and points out, where there are polygons too; gives their places.
fn without_other_shapes(records: &mut Records) -> Vec<String> {
    let is_area = |piece: &ShapePart| matches!(piece, ShapePart::Area(_) | ShapePart::Rings(_));
    let has_area = |record: &Record| record.pieces.iter().any(is_area);
    if !records.all.iter().any(has_area) {
        return Vec::new();
    }
    let is_other = |record: &mut Record| !record.pieces.is_empty() && !has_area(record);
    let others = records.all.extract_if(.., is_other).map(|record| record.place);
    others.collect()
}

/// The coordinate system that a file is taken to be in.
struct System<'a> {
    name: &'a str,
    declared: Option<&'a Declared>,
    setting: Option<&'a Crs>,
}

impl System<'_> {
    fn to_wgs84(
        &self,
        parts: &mut Parts,
        warnings: &mut Vec<Warning>,
    ) -> Result<super::Coordinates, ReadError> {
        let mut coords: Vec<Coord<f64>> = parts.iter().flatten().flatten().copied().collect();
        let Self { name, declared, setting } = *self;
        let coordinates = reference::to_wgs84(name, declared, setting, &mut coords, warnings)?;
        let places = parts.iter_mut().flatten().flatten();
        places.zip(coords).for_each(|(place, coord)| *place = coord);
        Ok(coordinates)
    }
}
