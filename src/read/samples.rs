use super::cec::Rule;
use super::columns::{self, ID};
use super::join::{id_column, join};
use super::position::positions;
use super::sodium::Sodium;
use super::{CationSettings, LaboratorySettings, Read, ReadError, SampleSettings, Source, format};
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
    let table = format::table(source, settings.layer.as_deref())?;
    if table.rows.is_empty() {
        return Err(ReadError::NoRows { name: source.name.clone() });
    }
    let mut warnings = table.warnings.clone();
    let (positions, coordinates) = positions(&table, settings, &mut warnings)?;
    let results = match laboratory {
        None => None,
        Some((source, settings)) => Some((format::table(source, None)?, settings)),
    };
    let mut value = Vec::new();
    let (id, values, rows) = match &results {
        None => {
            // Without a join an id is only a label: several candidates are no reason to stop.
            let id = match columns::find(&table, &ID, settings.id.as_deref()) {
                Err(_) if settings.id.is_none() => None,
                found => found?,
            };
            (id, &table, table.rows.iter().map(Some).collect())
        }
        Some((results, lab)) => {
            warnings.extend(results.warnings.iter().cloned());
            let id = id_column(&table, settings.id.as_deref())?;
            let results_id = id_column(results, lab.id.as_deref())?;
            let rows = join(&table, id, results, results_id, &mut warnings)?;
            let twice = [&table, results].map(|table| columns::find(table, &columns::CEC, None));
            if let [Ok(Some(_)), Ok(Some(_))] = twice {
                let (samples, laboratory) = (table.name.clone(), results.name.clone());
                warnings.push(Warning::CecInBothTables { samples, laboratory });
            }
            (Some(id), results, rows)
        }
    };
    let cec = match laboratory {
        Some((_, lab)) => lab.cec.as_deref().or(settings.cec.as_deref()),
        None => settings.cec.as_deref(),
    };
    let rule = Rule::find(values, cec, cations, &mut warnings)?;
    let sodium = Sodium::find(values, cations);
    for ((row, position), result) in table.rows.iter().zip(positions).zip(rows) {
        let Some(result) = result else { continue };
        let Some(wgs84) = position else {
            warnings.push(Warning::NoPosition { place: row.place.clone() });
            continue;
        };
        let (cec, cations) = rule.read(values, result)?;
        let esp = match &sodium {
            Some(sodium) => sodium.read(values, result, cec)?,
            None => None,
        };
        let place = if results.is_some() { &result.place } else { &row.place };
        let id = id.map_or("", |id| row.cell(id)).to_owned();
        value.push(RawSample { id, place: place.clone(), wgs84, cec, cations, esp });
    }
    Ok(Read { value, coordinates, warnings })
}

#[cfg(test)]
mod tests;
