use std::collections::BTreeSet;

use geo::Coord;

use super::agreement::Agreement;
use super::cec::CecRule;
use super::columns::{self, ID, have_cec, have_positions};
use super::depth;
use super::fields::{self, OtherFields};
use super::join::join;
use super::position::{Positions, positions};
use super::result::BelowDetection;
use super::sheets::TableSearch;
use super::sodium::Sodium;
use super::table::Table;
use super::{CationSettings, LaboratorySettings, Read, ReadError, SampleSettings, Source, formats};
use crate::faults::Faults;
use crate::field::RawSample;
use crate::warning::Warning;

/// Reads soil samples: a text table, GeoJSON points or shapefile points, and the laboratory's
/// table if the results are in one of their own, joined by id.
///
/// Samples come in the order of the file, with an empty CEC where the file has none. They are
/// checked against the field by [`crate::field::Samples::new`].
///
/// # Errors
/// When a file cannot be read, a column is absent or ambiguous, a cell is not a number, the
/// coordinate system is not known, or no id is in both tables.
pub fn samples(
    source: &Source,
    laboratory: Option<(&Source, &LaboratorySettings)>,
    settings: &SampleSettings,
    cations: &CationSettings,
) -> Result<Read<Vec<RawSample>>, ReadError> {
    samples_among(source, laboratory, settings, cations, None)
}

/// The same of one field among others: samples of the others are left out, before they are joined.
///
/// # Errors
/// As [`samples`].
pub fn samples_among(
    source: &Source,
    laboratory: Option<(&Source, &LaboratorySettings)>,
    settings: &SampleSettings,
    cations: &CationSettings,
    among: Option<OtherFields>,
) -> Result<Read<Vec<RawSample>>, ReadError> {
    let mut table = points(source, settings, laboratory.is_some())?;
    let mut warnings = table.warnings.clone();
    fields::keep_one(&mut table, settings.field.as_deref(), settings.field_column.as_deref())?;
    depth::keep_one(&mut table, settings.depth.as_deref(), &mut warnings)?;
    let (mut positions, coordinates) = positions(&table, settings, &mut warnings)?;
    let of_others = match among.filter(|_| settings.field.is_none()) {
        Some(among) => leave_out_others(&mut table, &mut positions, among, &mut warnings),
        None => BTreeSet::new(),
    };
    let results = match laboratory {
        None => None,
        Some((source, settings)) => {
            let mut results = results(source, settings)?;
            warnings.append(&mut results.warnings);
            let column = settings.field_column.as_deref();
            fields::keep_one(&mut results, settings.field.as_deref(), column)?;
            depth::keep_one(&mut results, settings.depth.as_deref(), &mut warnings)?;
            Some((results, settings))
        }
    };
    let below = match laboratory {
        Some((source, lab)) => BelowDetection::read(&source.name, lab.below_detection.as_deref()),
        None => BelowDetection::read(&source.name, settings.below_detection.as_deref()),
    }?;
    let values = results.as_ref().map_or(&table, |(results, _)| results);
    let cec = match laboratory {
        Some((_, lab)) => lab.cec.as_deref().or(settings.cec.as_deref()),
        None => settings.cec.as_deref(),
    };
    let unit = match laboratory {
        Some((_, lab)) => lab.cec_unit.as_deref().or(settings.cec_unit.as_deref()),
        None => settings.cec_unit.as_deref(),
    };
    // Before the join, so that a table of another kind is told as such.
    let mut rule = CecRule::find(values, (cec, unit), cations, below, &mut warnings)?;
    let mut agreement = Agreement::new(values, cations);
    let sodium = Sodium::find(values, cations);
    let mut value = Vec::new();
    let (id, rows) = match &results {
        None => {
            // Without a join an id is only a label: several candidates are no reason to stop.
            let id = match columns::find(&table, &ID, settings.id.as_deref()) {
                Err(_) if settings.id.is_none() => None,
                found => found?,
            };
            (id, table.rows.iter().map(Some).collect())
        }
        Some((results, lab)) => {
            let ids = (settings.id.as_deref(), lab.id.as_deref());
            let joined = join((&table, ids.0), (results, ids.1), &mut warnings)?;
            without_others(&mut warnings, &of_others);
            let twice = [&table, results].map(|table| columns::find(table, &columns::CEC, None));
            if let [Ok(Some(_)), Ok(Some(_))] = twice {
                let (samples, laboratory) = (table.name.clone(), results.name.clone());
                warnings.push(Warning::CecInBothTables { samples, laboratory });
            }
            (Some(joined.points_id), joined.rows)
        }
    };
    let mut faults = Faults::default();
    for ((row, position), result) in table.rows.iter().zip(positions).zip(rows) {
        let Some(result) = result else { continue };
        let Some(wgs84) = position else {
            warnings.push(Warning::NoPosition { place: row.place.clone() });
            continue;
        };
        let Some((cec, cations)) = faults.of(rule.read(values, result)) else { continue };
        // Bases are no shares of a limit that stands in place of the CEC.
        let measured = cec.filter(|_| !rule.is_limit(result));
        let cations = cations.filter(|_| measured.is_some() || cec.is_none());
        agreement.add(values, result, measured, cations.as_ref());
        let esp = sodium.as_ref().map(|sodium| sodium.read(values, result, measured)).transpose();
        let Some(esp) = faults.of(esp).map(Option::flatten) else { continue };
        let place = if results.is_some() { &result.place } else { &row.place };
        let id = id.map_or("", |id| row.cell(id)).to_owned();
        value.push(RawSample { id, place: place.clone(), wgs84, cec, cations, esp });
    }
    faults.all()?;
    rule.tell(values, &mut warnings)?;
    warnings.extend(agreement.warning(values));
    Ok(Read { value, coordinates, warnings })
}

/// A sample's id, and where it was taken: WGS84 longitude and latitude.
pub type NamedPlace = (String, Coord<f64>);

/// Where samples were taken, with their ids, whatever else their file says: one that [`samples`] reads, or
/// the points of a laboratory's table. A row without a position is told and left out.
///
/// # Errors
/// When the file cannot be read, or its columns of positions or their coordinate system are not known.
pub fn sample_places(
    source: &Source,
    settings: &SampleSettings,
) -> Result<Read<Vec<NamedPlace>>, ReadError> {
    let table = points(source, settings, true)?;
    let mut warnings = table.warnings.clone();
    let (positions, coordinates) = positions(&table, settings, &mut warnings)?;
    let id = columns::find(&table, &ID, settings.id.as_deref()).ok().flatten();
    let mut value = Vec::new();
    for (row, position) in table.rows.iter().zip(positions) {
        match position {
            Some(at) => value.push((id.map_or("", |id| row.cell(id)).to_owned(), at)),
            None => warnings.push(Warning::NoPosition { place: row.place.clone() }),
        }
    }
    Ok(Read { value, coordinates, warnings })
}

/// The table of the samples' places, and of their results where these have no table of their own.
pub(super) fn points(
    source: &Source,
    settings: &SampleSettings,
    with_laboratory: bool,
) -> Result<Table, ReadError> {
    let SampleSettings { id, cec, longitude, latitude, easting, northing, .. } = settings;
    let all: fn(&[String]) -> bool = |headers| have_positions(headers) && have_cec(headers);
    let fits = if with_laboratory { have_positions } else { all };
    let results = if with_laboratory { &None } else { cec };
    let named = [id, results, longitude, latitude, easting, northing];
    let sought = TableSearch::by(settings.sheet.as_deref(), named, fits);
    let table = formats::table(source, settings.layer.as_deref(), &sought)?;
    if table.rows.is_empty() {
        return Err(ReadError::NoRows { name: source.name.clone() });
    }
    Ok(table)
}

/// Leaves out the samples of other fields, and gives what stands in their rows.
fn leave_out_others(
    table: &mut Table,
    positions: &mut Positions,
    among: OtherFields,
    warnings: &mut Vec<Warning>,
) -> BTreeSet<String> {
    let other = |at: &Option<_>| at.and_then(|at| among.is_of_another(at));
    let others: Vec<Option<&str>> = positions.iter().map(other).collect();
    let keep: Vec<bool> = others.iter().map(Option::is_none).collect();
    let mut fields: Vec<String> = others.iter().flatten().map(|name| (*name).to_owned()).collect();
    let samples = fields.len();
    if samples == 0 {
        return BTreeSet::new();
    }
    fields.sort();
    fields.dedup();
    warnings.push(Warning::SamplesOfOtherFields { file: table.name.clone(), samples, fields });
    let left_out = table.rows.iter().zip(&keep).filter(|(_, keep)| !**keep);
    let cells = left_out.flat_map(|(row, _)| &row.cells).map(|cell| cell.trim().to_lowercase());
    let cells = cells.collect();
    table.keep(&keep);
    let mut kept = keep.iter();
    positions.retain(|_| kept.next().is_none_or(|keep| *keep));
    cells
}

/// Takes the results of other fields out of those that have no point.
fn without_others(warnings: &mut Vec<Warning>, of_others: &BTreeSet<String>) {
    for warning in warnings.iter_mut() {
        if let Warning::NoPoint { ids, .. } = warning {
            ids.retain(|id| !of_others.contains(&id.trim().to_lowercase()));
        }
    }
    warnings.retain(|warning| !matches!(warning, Warning::NoPoint { ids, .. } if ids.is_empty()));
}

/// The laboratory's table.
pub(super) fn results(source: &Source, settings: &LaboratorySettings) -> Result<Table, ReadError> {
    let named = [&settings.id, &settings.cec];
    formats::table(source, None, &TableSearch::by(settings.sheet.as_deref(), named, have_cec))
}

#[cfg(test)]
mod tests;
