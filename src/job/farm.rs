//! The farm file: jobs, and what they share.
//!
//! Whatever a job file can say but its name and its two files, a farm file can say for all its
//! jobs. It supplies what a job leaves out; a list, such as the tiers,
//! is taken as a whole.

mod shared;

use std::path::{Path, PathBuf};

use schemars::{JsonSchema, Schema, schema_for};
use serde::Deserialize;
use serde::de::IntoDeserializer;
use toml::de::{DeTable, DeValue, Deserializer};
use toml::{Spanned, Table};

use super::range::fault;
use super::{Job, JobError};
use shared::{rebase, stand_in, state_prices};

use crate::plan::Settings;
use crate::units::System;

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
    /// The job files, relative to the farm file.
    #[schemars(length(min = 1))]
    jobs: Vec<PathBuf>,
}

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
        if let Some(definitions) = job.remove("$defs") {
            schema.insert("$defs".to_owned(), definitions);
        }
        schema
    }

    /// Whether a file's text is a farm file: it has `jobs`.
    #[must_use]
    pub fn is_one(text: &str) -> bool {
        DeTable::parse(bare(text)).is_ok_and(|table| table.get_ref().contains_key("jobs"))
    }

    /// Reads a farm file's text; `file` is its name, for messages.
    ///
    /// # Errors
    /// When it is no TOML, `farm` or `jobs` is missing, it says what only a job can say, or what it
    /// shares makes no sense.
    pub fn read(file: &str, text: &str) -> Result<Self, JobError> {
        let text = bare(text);
        let toml = |error: toml::de::Error| JobError::toml(file, text, &error);
        let document = DeTable::parse(text).map_err(toml)?;
        let span = document.span();
        let mut shared = document.into_inner();
        if let Some(key) = shared.keys().find(|key| OF_A_JOB.contains(&key.get_ref().as_ref())) {
            let line = line(text, key.span().start);
            let reason = format!(
                "found \"{}\", expected it in each job; a farm file says what its jobs share",
                key.get_ref()
            );
            return Err(JobError::Line { file: file.to_owned(), line, reason });
        }
        let name: Option<String> = taken(&mut shared, "farm").map_err(toml)?;
        let jobs: Vec<PathBuf> = taken(&mut shared, "jobs").map_err(toml)?.unwrap_or_default();
        // A job's two files are needed; with any, what is shared can be read as a job.
        for key in ["boundary", "samples"] {
            let value = DeValue::String("".into());
            shared.insert(Spanned::new(0..0, key.into()), Spanned::new(0..0, value));
        }
        let alone = Job::deserialize(Deserializer::from(Spanned::new(span, shared)));
        let alone = alone.map_err(toml)?;
        // So it is with the spreader, which each job may have for itself.
        let spreader = alone.spreader.clone().or_else(|| Some(PathBuf::new()));
        let alone = Job { name, spreader, ..alone };
        if alone.name.is_none() {
            let expected = "the farm's name, such as farm = \"Home Farm\"";
            return Err(fault(file, "farm", "nothing", expected));
        }
        if jobs.is_empty() {
            let expected = "paths of job files, such as jobs = [\"field.toml\"]";
            return Err(fault(file, "jobs", "none", expected));
        }
        let settings = checked(&alone, file, "").map_err(|error| match error {
            JobError::Name { file, name } => {
                let expected =
                    "a name that a folder can have: at most 250 bytes, no / or \\ and not . or ..";
                fault(&file, "farm", format!("{name:?}"), expected)
            }
            other => other,
        })?;
        let mut shared: Table = toml::from_str(text).map_err(toml)?;
        shared.retain(|key, _| !["farm", "jobs"].contains(&key));
        let (name, system) = (settings.job, settings.system);
        state_prices(&mut shared, system);
        Ok(Self { file: file.to_owned(), name, jobs, system, shared })
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
        let toml = |error: toml::de::Error| JobError::toml(file, bare(text), &error);
        let mut table: Table = toml::from_str(bare(text)).map_err(toml)?;
        rebase(&mut table, path.parent().unwrap_or(Path::new("")));
        stand_in(&mut table, &self.shared);
        table.entry("farm").or_insert_with(|| self.name.clone().into());
        let job = Job::deserialize(table.clone()).map_err(toml)?;
        if let Err(fault) = checked(&job, file, name) {
            // The farm's own settings are sound, so the fault is the job's or lies between the two.
            let both = format!("{file} with {}", self.file);
            let own = Job { spreader: job.spreader.clone(), ..own };
            return Err(match checked(&own, file, name) {
                Err(own) if own == fault => own,
                _ => checked(&job, &both, name).err().unwrap_or(fault),
            });
        }
        table.entry("name").or_insert_with(|| name.into());
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

/// What a job comes to as far as its spreader's file has no part in it: what has is checked when the
/// field is planned.
fn checked(job: &Job, file: &str, name: &str) -> Result<Settings, JobError> {
    let order = match &job.order {
        Some(order) if job.spreader.is_some() => Some(order.without_spreader(file)?),
        order => order.clone(),
    };
    Job { order, ..job.clone() }.settings(file, name, None)
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
