//! The farm file: jobs, and what they share.
//!
//! Whatever a job file can say but its name and its two files, a farm file can say for all its
//! jobs. It supplies what a job leaves out; a list, such as the tiers,
//! is taken as a whole. In place of jobs it may name a file with the boundaries of many fields and one
//! with the samples of all of them: then each named field is a job.

mod of_field;
mod shared;

use std::path::{Path, PathBuf};

use schemars::{JsonSchema, Schema, schema_for};
use serde::Deserialize;
use serde::de::IntoDeserializer;
use toml::de::{DeTable, DeValue};
use toml::{Spanned, Table, Value};

use super::checked::checked;
use super::range::fault;
use super::{FieldsEntry, Job, JobError, LaboratoryEntry, SamplesEntry};
use crate::faults::{Fault, Faults};
use crate::toml_fault::{self, Faulty};
use shared::{rebase, stand_in, state_prices};

use crate::units::{Length, System};

/// What each job says for itself.
const OF_A_JOB: [&str; 4] = ["name", "boundary", "samples", "entrance"];

/// A farm as written.
#[derive(Clone, Debug)]
pub struct Farm {
    /// The farm file's name, for messages.
    pub file: String,
    /// What the farm and its folder are called.
    pub name: String,
    /// The job files, relative to the farm file.
    pub jobs: Vec<PathBuf>,
    /// The fields that are no job files.
    pub fields: Option<FarmFields>,
    /// How far outside a boundary samples count, if the farm says it.
    pub samples_within: Option<Length>,
    /// The units that the farm's figures are printed in: what is set or what the farm file is
    /// written in, else US.
    pub system: System,
    shared: Table,
}

/// A farm file: jobs, and what they share. Whatever else stands in it is for every job that does
/// not say it itself, key by key; a list, such as the tiers, is taken as a whole.
#[derive(JsonSchema)]
#[schemars(rename = "Farm", deny_unknown_fields)]
#[expect(dead_code, reason = "it is there for its schema")]
struct OfAFarm {
    /// What the farm and its folder are called.
    farm: String,
    /// The job files, relative to the farm file; none besides the fields of `boundaries` when absent.
    #[schemars(length(min = 1))]
    jobs: Option<Vec<PathBuf>>,
    /// The file with the boundaries of many fields, each of which is planned; none when absent.
    boundaries: Option<FieldsEntry>,
    /// The samples of all fields of `boundaries`: those in a field are of it, or those that say so in
    /// a column; none when absent.
    samples: Option<SamplesEntry>,
}

/// Paths in a list.
#[derive(Deserialize)]
struct Paths(#[serde(deserialize_with = "super::path::list")] Vec<PathBuf>);

/// The fields of a farm that are in one file, and the samples of all of them.
#[derive(Clone, Debug)]
pub struct FarmFields {
    /// Where their boundaries are.
    pub boundaries: FieldsEntry,
    /// Where their samples are.
    pub samples: SamplesEntry,
    /// Where the laboratory's table is, if it is apart.
    pub laboratory: Option<LaboratoryEntry>,
    /// The samples as written.
    written: Value,
}

pub use of_field::FieldOfFarm;

/// A job of a farm, with what the farm says for it.
#[derive(Clone, Debug)]
pub struct FarmJob {
    /// The job. Its paths are relative to the farm file.
    pub job: Job,
    /// Everything that it says or the farm says for it, in a form that the same settings always
    /// have.
    pub written: String,
}

impl Farm {
    /// The JSON Schema of farm files: the keys of a farm, and those of a job that are not a job's
    /// own.
    #[must_use]
    pub fn schema() -> Schema {
        let (mut schema, mut job) = (schema_for!(OfAFarm), schema_for!(Job));
        let shared = job.get_mut("properties").and_then(serde_json::Value::as_object_mut);
        let shared = shared.map(std::mem::take).unwrap_or_default().into_iter();
        let own = |key: &str| OF_A_JOB.contains(&key) || key == "farm";
        let shared = shared.filter(|(key, _)| !own(key));
        if let Some(own) = schema.get_mut("properties").and_then(serde_json::Value::as_object_mut) {
            own.extend(shared);
        }
        if let Some(serde_json::Value::Object(of_a_job)) = job.remove("$defs") {
            match schema.get_mut("$defs").and_then(serde_json::Value::as_object_mut) {
                Some(definitions) => definitions.extend(of_a_job),
                None => _ = schema.insert("$defs".to_owned(), serde_json::Value::Object(of_a_job)),
            }
        }
        schema
    }

    /// Whether a file's text is a farm file: it has `jobs` or `boundaries`, or a farm's name and no
    /// boundary of its own.
    #[must_use]
    pub fn is_one(text: &str) -> bool {
        let (table, _) = DeTable::parse_recoverable(bare(text));
        let has = |key: &str| table.get_ref().contains_key(key);
        has("jobs") || has("boundaries") || (has("farm") && !has("boundary"))
    }

    /// Reads a farm file's text; `file` is its name, for messages.
    ///
    /// # Errors
    /// When it is no TOML, `farm` or `jobs` is missing, it says what only a job can say, or what it
    /// shares makes no sense.
    pub fn read(file: &str, text: &str) -> Result<Self, JobError> {
        let text = bare(text);
        let faults = |faulty: Faulty<Job>| Job::faults(file, faulty, "farm");
        let document = toml_fault::document(text).map_err(faults)?;
        let (span, mut shared) = (document.span(), document.into_inner());
        let mut all: Faults<JobError> = Faults::default();
        let of_a_job = |key: &str| OF_A_JOB.contains(&key);
        let has_fields = shared.contains_key("boundaries");
        let of_a_job = |key: &str| of_a_job(key) && !(has_fields && key == "samples");
        for key in shared.keys().filter(|key| of_a_job(key.get_ref())) {
            let line = line(text, key.span().start);
            let reason = format!(
                "found \"{}\", expected it in each job; a farm file says what its jobs share",
                key.get_ref()
            );
            all.push(JobError::Line { file: file.to_owned(), line, reason });
        }
        let misplaced = shared.keys().filter(|key| of_a_job(key.get_ref())).cloned();
        for key in misplaced.collect::<Vec<_>>() {
            shared.remove(&key);
        }
        let wrong = |error| JobError::Line {
            file: file.to_owned(),
            line: toml_fault::told(text, &error).line,
            reason: toml_fault::told(text, &error).reason,
        };
        let name: Option<Option<String>> = all.of(taken(&mut shared, "farm").map_err(wrong));
        let jobs: Option<Option<Paths>> = all.of(taken(&mut shared, "jobs").map_err(wrong));
        let jobs = jobs.map(|jobs| jobs.map(|Paths(jobs)| jobs));
        if let Some(None) = name {
            let expected = "the farm's name, such as farm = \"Home Farm\"";
            all.push(fault(file, "farm", "nothing", expected));
        }
        let boundaries: Option<Option<FieldsEntry>> =
            all.of(taken(&mut shared, "boundaries").map_err(wrong));
        let none = jobs.as_ref().is_some_and(|jobs| jobs.as_ref().is_none_or(Vec::is_empty));
        if none && !has_fields {
            let expected = "paths of job files, such as jobs = [\"field.toml\"], or the file with the fields' boundaries, such as boundaries = \"fields.shp\"";
            all.push(fault(file, "jobs", "none", expected));
        }
        let (name, jobs) = (name.flatten(), jobs.flatten().unwrap_or_default());
        if has_fields && !shared.contains_key("samples") {
            let expected = "the samples of all fields, such as samples = \"samples.csv\"";
            all.push(fault(file, "samples", "nothing", expected));
        }
        // A job's two files are needed; with any, what is shared can be read as a job.
        for key in ["boundary", "samples"] {
            let value = DeValue::String("".into());
            if shared.contains_key(key) {
                continue;
            }
            shared.insert(Spanned::new(0..0, key.into()), Spanned::new(0..0, value));
        }
        let alone = toml_fault::read_table(text, Spanned::new(span, shared));
        let settings = alone.map_err(faults).and_then(|alone: Job| {
            // So it is with the spreader, which each job may have for itself.
            let spreader = alone.spreader.clone().or_else(|| Some(PathBuf::new()));
            let alone = Job { name: name.or(Some("farm".to_owned())), spreader, ..alone };
            let settings = checked(&alone, file, "").map_err(of_the_farm)?;
            Ok((settings, alone))
        });
        all.see(&settings);
        all.all()?;
        let (settings, alone) = settings?;
        let mut shared: Table = toml_fault::read(text).map_err(Self::no_toml(file))?;
        shared.retain(|key, _| !["farm", "jobs", "boundaries"].contains(&key));
        let written = shared.remove("samples");
        let fields = boundaries.flatten().zip(written).map(|(boundaries, written)| FarmFields {
            boundaries,
            written,
            samples: alone.samples.clone(),
            laboratory: alone.laboratory.clone(),
        });
        let samples_within = alone.samples_within(file)?;
        let (name, system) = (settings.job, settings.system);
        state_prices(&mut shared, system);
        Ok(Self { file: file.to_owned(), name, jobs, fields, samples_within, system, shared })
    }

    fn no_toml(file: &str) -> impl Fn(Faulty<Table>) -> JobError {
        move |faulty| JobError::of(JobError::toml(file, faulty.faults))
    }

    /// Reads the text of one of its jobs. `path` is the job file relative to the farm file, `file`
    /// its name for messages, `name` what the job is called unless it says.
    ///
    /// # Errors
    /// When the job file cannot be read as a job, or what it says makes no sense by itself or with
    /// what the farm says.
    pub fn job(
        &self,
        path: &Path,
        file: &str,
        text: &str,
        name: &str,
    ) -> Result<FarmJob, JobError> {
        let own = Job::read(file, text)?;
        let mut table: Table = toml_fault::read(bare(text)).map_err(Self::no_toml(file))?;
        rebase(&mut table, path.parent().unwrap_or(Path::new("")));
        self.completed(table, &own, file, name)
    }

    /// A job with what the farm says for it; `own` is the job without that.
    fn completed(
        &self,
        mut table: Table,
        own: &Job,
        file: &str,
        name: &str,
    ) -> Result<FarmJob, JobError> {
        let keep_out_of_farm = !table.contains_key("keep_out");
        stand_in(&mut table, &self.shared);
        table.entry("farm").or_insert_with(|| self.name.clone().into());
        let both = format!("{file} with {}", self.file);
        let job = Job::deserialize(table.clone()).map_err(|error| JobError::Line {
            file: both.clone(),
            line: 1,
            reason: error.message().to_owned(),
        })?;
        if let Err(fault) = checked(&job, file, name) {
            // The farm's own settings are sound, so the fault is the job's or lies between the two.
            let own = Job { spreader: job.spreader.clone(), ..own.clone() };
            return Err(match checked(&own, file, name) {
                Err(own) if own == fault => own,
                _ => checked(&job, &both, name).err().unwrap_or(fault),
            });
        }
        table.entry("name").or_insert_with(|| name.into());
        let job = Job { keep_out_of_farm, ..job };
        Ok(FarmJob { job, written: table.to_string() })
    }

    /// Checks that every job has a name, and thereby a folder, of its own; `jobs` are their files
    /// and names.
    ///
    /// # Errors
    /// When two have the same name, or one has the farm's; letter case does not count, as it does
    /// not on many a disk.
    pub fn distinct(&self, jobs: &[(&str, &str)]) -> Result<(), JobError> {
        let mut known = vec![(self.file.as_str(), self.name.as_str())];
        known.extend_from_slice(jobs);
        let mut keyed: Vec<(String, (&str, &str))> =
            known.into_iter().map(|(file, name)| (name.to_lowercase(), (file, name))).collect();
        keyed.sort_by(|(a, _), (b, _)| a.cmp(b));
        let twice = keyed.windows(2).find_map(|pair| match pair {
            [(a, (first, name)), (b, (second, _))] if a == b => Some((*first, *second, *name)),
            _ => None,
        });
        let Some((first, second, name)) = twice else { return Ok(()) };
        let [first, second, name] = [first, second, name].map(str::to_owned);
        Err(JobError::SameName { first, second, name })
    }
}

/// A fault of the name that the farm stands in for a job's.
fn of_the_farm(error: JobError) -> JobError {
    let one = |error: JobError| match error {
        JobError::Name { file, name, why } => {
            fault(&file, "farm", format!("{name:?}, {why}"), "a name that a folder can have")
        }
        other => other,
    };
    JobError::of(error.each().into_iter().map(one).collect())
}

/// The text without the mark that some editors put before it.
fn bare(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

/// The line of a place in a text, from 1.
fn line(text: &str, at: usize) -> usize {
    text.get(..at).unwrap_or("").matches('\n').count() + 1
}

/// A key's value, taken out of a table.
fn taken<'de, T: Deserialize<'de>>(
    table: &mut DeTable<'de>,
    key: &str,
) -> Result<Option<T>, toml::de::Error> {
    let value = table.remove(key);
    value.map(|value| T::deserialize(value.into_deserializer())).transpose()
}

#[cfg(test)]
mod tests;
