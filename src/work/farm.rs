//! The jobs of a farm file, as many at a time as there are threads.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use super::fields::Fields;
use super::files::{stem, text};
use super::{Files, OnRequest, Work, WorkError};
use crate::job::{Changes, Farm, FarmJob};
use crate::path_text::shown;
use crate::totals::Unmet;

/// A farm file with its jobs.
#[derive(Clone, Debug)]
pub struct FarmWork {
    /// The farm.
    pub farm: Farm,
    /// Each job, what its file or field is called, and the job ready to be planned, or what is wrong
    /// with it.
    pub fields: Vec<(String, Result<FieldWork, WorkError>)>,
    /// What does not meet, where the fields are in one file and the samples of all in another.
    pub unmet: Unmet,
}

/// A job of a farm, ready to be planned.
#[derive(Clone, Debug)]
pub struct FieldWork {
    /// The job with what the farm says for it.
    pub work: Work,
    /// What it and its folder are called.
    pub name: String,
    /// Everything that is set for it, in a form that the same settings always have.
    pub settings: String,
}

impl FarmWork {
    /// The work of a farm file's text; its jobs are read from beside it.
    ///
    /// # Errors
    /// When the text is no farm file, or two of its jobs would write the same folder.
    pub fn of_file(
        path: &Path,
        text: &str,
        also: &[OnRequest],
        files: &dyn Files,
    ) -> Result<Self, WorkError> {
        let farm = Farm::read(&shown(path), text)?;
        let folder = path.parent().unwrap_or(Path::new(""));
        let job = |job: &PathBuf| {
            let work = FieldWork::new(&farm, folder, job, also, files);
            (shown(job), work)
        };
        let mut fields: Vec<_> = farm.jobs.iter().map(job).collect();
        let mut unmet = Unmet::default();
        if let Some(of) = &farm.fields {
            let found = Fields::find(&farm, of, folder, files)?;
            for field in &found.all {
                let label = format!("{}, {}", shown(&of.boundaries.file), field.name);
                let work = farm.field(of, field.as_written(&found)).map_err(WorkError::from);
                let file = format!("{}, field {}", farm.file, field.name);
                let work = work.map(|own| FieldWork::of(own, file, &field.name, folder, also));
                fields.push((label, work));
            }
            unmet = found.unmet;
        }
        let names: Vec<(&str, &str)> = (fields.iter().filter_map(|(_, field)| field.as_ref().ok()))
            .map(|field| (field.work.file.as_str(), field.name.as_str()))
            .collect();
        farm.distinct(&names)?;
        Ok(Self { farm, fields, unmet })
    }
}

/// A farm whose fields are in one file, written as job files and a farm file that names them.
#[derive(Clone, Debug)]
pub struct WrittenFarm {
    /// The farm file.
    pub farm: String,
    /// Each job file and its text.
    pub jobs: Vec<(PathBuf, String)>,
}

impl FarmWork {
    /// Writes the jobs of a farm file's fields out; `text` is the farm file's.
    ///
    /// # Errors
    /// As [`FarmWork::of_file`].
    pub fn written(path: &Path, text: &str, files: &dyn Files) -> Result<WrittenFarm, WorkError> {
        let Self { farm, .. } = Self::of_file(path, text, &[], files)?;
        let folder = path.parent().unwrap_or(Path::new(""));
        let mut jobs = Vec::new();
        if let Some(of) = &farm.fields {
            let found = Fields::find(&farm, of, folder, files)?;
            for field in &found.all {
                let job = farm.written_field(of, field.as_written(&found));
                let name = job.get("name").and_then(toml::Value::as_str).unwrap_or_default();
                jobs.push((folder.join(format!("{name}.toml")), job.to_string()));
            }
        }
        let names = jobs.iter().map(|(path, _)| super::name(path)).collect::<Vec<_>>();
        Ok(WrittenFarm { farm: with_jobs(text, &names), jobs })
    }
}

/// A farm file's text with jobs in place of the lines for fields of one file.
fn with_jobs(text: &str, names: &[String]) -> String {
    let listed: Vec<String> =
        names.iter().map(|name| format!("    {},\n", toml::Value::from(name.as_str()))).collect();
    let mut lines: Vec<String> = Vec::new();
    for line in text.lines() {
        if line.starts_with("boundaries =") {
            lines.push(format!("jobs = [\n{}]", listed.concat()));
        } else if !line.starts_with("samples =") {
            lines.push(line.to_owned());
        }
    }
    lines.join("\n") + "\n"
}

impl FieldWork {
    /// Changes its job, as [`Changes::apply`] does.
    pub fn change(&mut self, changes: &Changes, here: &Path) {
        if !changes.is_empty() {
            changes.apply(&mut self.work.job, here);
            let own = std::mem::take(&mut self.settings);
            self.settings = format!("{own}\nchanged {changes:?}");
        }
    }

    fn new(
        farm: &Farm,
        folder: &Path,
        path: &Path,
        also: &[OnRequest],
        files: &dyn Files,
    ) -> Result<Self, WorkError> {
        let place = folder.join(path);
        let (file, stem) = (shown(&place), stem(path));
        let text = text(files, "job file", &place)?;
        let own = farm.job(path, &file, &text, &stem)?;
        Ok(Self::of(own, file, &stem, folder, also))
    }

    fn of(own: FarmJob, file: String, called: &str, folder: &Path, also: &[OnRequest]) -> Self {
        let (called, folder) = (called.to_owned(), folder.to_owned());
        let name = own.job.name.clone().unwrap_or_else(|| called.clone());
        let mut work = Work { job: own.job, file, name: called, folder, also: Vec::new() };
        work.also(also);
        Self { work, name, settings: format!("{}\nalso {also:?}", own.written) }
    }
}

/// Does `one` for each of `all`, on all threads, and gives what it gave in order.
///
/// A thread takes the next when it is done with the one before. So no more fields are in memory than
/// there are threads; as the items of a parallel iterator, they would also be begun by threads that
/// wait for a part of another field, one upon the other.
pub fn in_turn<F: Sync, T: Send>(all: &[F], one: impl Fn(&F) -> T + Sync) -> Vec<T> {
    let next = AtomicUsize::new(0);
    let done = rayon::broadcast(|_| {
        let numbers = std::iter::repeat_with(|| next.fetch_add(1, Ordering::Relaxed));
        numbers.map_while(|number| Some((number, one(all.get(number)?)))).collect()
    });
    let mut done: Vec<(usize, T)> = done.into_iter().flat_map(|each: Vec<_>| each).collect();
    done.sort_by_key(|(number, _)| *number);
    done.into_iter().map(|(_, what)| what).collect()
}

#[cfg(test)]
mod tests {
    use super::in_turn;

    #[test]
    fn everything_is_done_once_and_in_order() {
        let numbers: Vec<u32> = (0..100).collect();
        let doubled = in_turn(&numbers, |number| number * 2);
        assert_eq!(doubled, (0..200).step_by(2).collect::<Vec<_>>());
        assert!(in_turn(&[], |number: &u32| *number).is_empty());
    }
}
