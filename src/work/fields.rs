//! The fields of one file and the samples of all of them: who belongs to whom.

use std::collections::BTreeMap;
use std::path::Path;

use super::files::source;
use super::{Files, InTwoFields, WorkError};
use crate::faults::nearest;
use crate::field::{FieldOfSample, FieldOutline, belongs};
use crate::job::{Farm, FarmFields, FieldOfFarm};
use crate::path_text::shown;
use crate::read::{self, BoundarySettings, FarmSamples};
use crate::totals::Unmet;
use crate::units::Length;

/// The fields that have samples.
#[derive(Clone, Debug)]
pub(super) struct Fields {
    /// In the order of their file.
    pub all: Vec<FieldFound>,
    /// Who has nobody.
    pub unmet: Unmet,
    column: String,
    samples: Option<String>,
    laboratory: Option<String>,
}

/// A field, and what the tables call it.
#[derive(Clone, Debug)]
pub(super) struct FieldFound {
    /// What it is called.
    pub name: String,
    samples: Option<String>,
    laboratory: Option<String>,
}

impl FieldFound {
    /// How its job is written.
    pub fn as_written<'a>(&'a self, of: &'a Fields) -> FieldOfFarm<'a> {
        let both = |column: &'a Option<String>, name: &'a Option<String>| {
            Some((column.as_deref()?, name.as_deref()?))
        };
        FieldOfFarm {
            name: &self.name,
            column: &of.column,
            samples: both(&of.samples, &self.samples),
            laboratory: both(&of.laboratory, &self.laboratory),
        }
    }
}

impl Fields {
    /// Reads the boundaries and the samples of a farm.
    ///
    /// # Errors
    /// When a file is at fault, or a sample lies in two fields.
    pub fn find(
        farm: &Farm,
        of: &FarmFields,
        folder: &Path,
        files: &dyn Files,
    ) -> Result<Self, WorkError> {
        let file = source(files, "boundaries", &folder.join(&of.boundaries.file))?;
        let settings = of.boundaries.settings.clone();
        let settings = BoundarySettings {
            crs: settings.crs,
            layer: settings.layer,
            field_column: settings.names,
            ..BoundarySettings::default()
        };
        let found = read::outlines(&file, &settings)?;
        let samples = source(files, "samples", &folder.join(&of.samples.file))?;
        let with_laboratory = of.laboratory.is_some();
        let samples = read::samples_of_fields(&samples, &of.samples.settings, with_laboratory)?;
        let results = match &of.laboratory {
            Some(entry) => {
                let file = source(files, "laboratory", &folder.join(&entry.file))?;
                Some(read::results_of_fields(&file, &entry.settings)?)
            }
            None => None,
        };
        let names: Vec<&str> = found.fields.iter().map(|field| field.name.as_str()).collect();
        let mut unmet = Unmet::default();
        unmet
            .notes
            .extend(found.nameless.iter().map(|place| format!("{place}: no name; left out")));
        unmet.notes.extend(found.others.iter().map(|place| {
            format!("{place}: a line or a point, no boundary; add a [[keep_out]] with this file if it is water, a well or a lane")
        }));
        let columns = [Some(&samples), results.as_ref()]
            .map(|table| table.and_then(|table| Said::of(table, &names, &mut unmet)));
        let [by_samples, by_results] = columns;
        let asked = of.samples.settings.field_column.as_ref();
        if let Some(column) = asked.filter(|_| by_samples.is_none()) {
            return Err(WorkError::OtherFields {
                file: shown(&of.samples.file),
                column: column.clone(),
                names: names.iter().map(|name| (*name).to_owned()).collect(),
            });
        }
        // Where neither says the field, samples are of the field that they lie in.
        let counts = match by_samples.as_ref().or(by_results.as_ref()) {
            Some(said) => said.counts.clone(),
            None => lying(&found.fields, &samples, farm.samples_within, &mut unmet)?,
        };
        let name = |said: &Option<Said>, at: usize| {
            said.as_ref().and_then(|said| said.names.get(at)?.clone())
        };
        let mut all = Vec::new();
        for (at, field) in found.fields.iter().enumerate() {
            if counts.get(at).is_none_or(|count| *count == 0) {
                unmet.fields.push(field.name.clone());
                continue;
            }
            let (samples, laboratory) = (name(&by_samples, at), name(&by_results, at));
            all.push(FieldFound { name: field.name.clone(), samples, laboratory });
        }
        let column = |said: Option<Said>| said.map(|said| said.column);
        let (samples, laboratory) = (column(by_samples), column(by_results));
        Ok(Self { all, unmet, column: found.column, samples, laboratory })
    }
}

/// What a column says about whose the rows are.
struct Said {
    column: String,
    /// What it calls each field.
    names: Vec<Option<String>>,
    /// How many rows each field has.
    counts: Vec<usize>,
}

impl Said {
    /// By a column whose names are the fields'; none where it has other names.
    fn of(table: &FarmSamples, fields: &[&str], unmet: &mut Unmet) -> Option<Self> {
        let (column, texts) = table.fields.as_ref()?;
        let mut rows: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
        // As the first row of it writes a name: letter case does not count.
        let mut written: BTreeMap<String, &str> = BTreeMap::new();
        for (row, text) in texts.iter().enumerate() {
            let text = *written.entry(text.to_lowercase()).or_insert(text.as_str());
            rows.entry(text).or_default().push(row);
        }
        let said: Vec<&str> = rows.keys().copied().filter(|name| !name.is_empty()).collect();
        let file = table.places.first().and_then(|place| place.split_once(", "));
        let file = file.map_or("", |(file, _)| file);
        let Some(same) = read::same_names(fields, &said) else {
            unmet.notes.push(format!(
                "{file}: the column \"{column}\" does not count: its names are not the boundaries'"
            ));
            return None;
        };
        if let Some(rule) = same.rule {
            unmet.notes.push(format!("{file}: fields matched {rule}"));
        }
        let as_said = |at: &Option<usize>| at.and_then(|at| said.get(at)).copied();
        let names: Vec<Option<&str>> = same.found.iter().map(as_said).collect();
        let met = fields.iter().zip(&names);
        let without: Vec<&str> =
            met.filter(|(_, said)| said.is_none()).map(|(field, _)| *field).collect();
        for (name, rows) in &rows {
            if !names.contains(&Some(name)) {
                let place = rows.first().and_then(|row| table.places.get(*row));
                let (place, count) = (place.map_or("", String::as_str), rows.len());
                unmet.samples.push(match nearest(name, &without).or_else(|| begins(name, &without)) {
                    _ if name.is_empty() => format!("{place}: {count} samples without a field's name count for none"),
                    Some(near) => format!(
                        "{place}: {count} samples of \"{name}\" count for no field, as no boundary is called that; is \"{near}\" meant?"
                    ),
                    None => format!(
                        "{place}: {count} samples of \"{name}\" count for no field, as no boundary is called that"
                    ),
                });
            }
        }
        let count = |name: Option<&str>| name.and_then(|name| rows.get(name)).map_or(0, Vec::len);
        Some(Self {
            column: column.clone(),
            counts: names.iter().copied().map(count).collect(),
            names: names.into_iter().map(|name| name.map(str::to_owned)).collect(),
        })
    }
}

/// The one field that a name is the beginning of, or that is the beginning of it.
fn begins<'a>(name: &str, fields: &[&'a str]) -> Option<&'a str> {
    let name = name.to_lowercase();
    let mut found = fields.iter().filter(|field| {
        let field = field.to_lowercase();
        field.starts_with(&name) || name.starts_with(&field)
    });
    found.next().filter(|_| found.next().is_none()).copied()
}

/// How many samples lie in each field or are counted with it; those of none are noted.
///
/// # Errors
/// When one lies in two fields.
fn lying(
    fields: &[FieldOutline],
    samples: &FarmSamples,
    within: Option<Length>,
    unmet: &mut Unmet,
) -> Result<Vec<usize>, WorkError> {
    let place = |row: usize| samples.places.get(row).cloned().unwrap_or_default();
    let mut counts = vec![0; fields.len()];
    let (mut near, mut twice) = (Vec::new(), Vec::new());
    for (row, at) in samples.at.iter().enumerate() {
        // One without a position is told where it is read.
        let Some(at) = at else { continue };
        match belongs(*at, fields) {
            FieldOfSample::In(of) => {
                if let [one] = of.as_slice() {
                    counts.get_mut(*one).into_iter().for_each(|count| *count += 1);
                } else {
                    let names = of.iter().filter_map(|&field| fields.get(field));
                    let names = names.map(|field| field.name.clone()).collect();
                    twice.push((place(row), names));
                }
            }
            FieldOfSample::Near(field, away) => near.push((row, field, away)),
            FieldOfSample::Nowhere => {
                unmet.samples.push(format!("{}: no place on Earth", place(row)));
            }
        }
    }
    if !twice.is_empty() {
        return Err(WorkError::SampleInTwoFields(InTwoFields(twice)));
    }
    for (row, field, away) in near {
        let inside = counts.get(field).copied().unwrap_or(0);
        let reach = fields
            .get(field)
            .map_or(Length::ZERO, |field| within.unwrap_or_else(|| field.reach(inside)));
        if inside == 0 || away > reach {
            let name = fields.get(field).map_or("", |field| field.name.as_str());
            let away = away.in_feet_and_metres();
            unmet.samples.push(format!("{}: {away} from the nearest field, {name}", place(row)));
        }
    }
    Ok(counts)
}
