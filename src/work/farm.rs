//! The jobs of a farm file, as many at a time as there are threads.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use super::files::{stem, text};
use super::{Also, Files, Work, WorkError};
use crate::job::Farm;

/// A farm file with its jobs.
#[derive(Clone, Debug)]
pub struct FarmWork {
    /// The farm.
    pub farm: Farm,
    /// Each job, ready to be planned, or what is wrong with it.
    pub fields: Vec<Result<FieldWork, WorkError>>,
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
        also: &[Also],
        files: &dyn Files,
    ) -> Result<Self, WorkError> {
        let farm = Farm::read(&path.display().to_string(), text)?;
        let folder = path.parent().unwrap_or(Path::new(""));
        let field = |job: &PathBuf| FieldWork::new(&farm, folder, job, also, files);
        let fields: Vec<_> = farm.jobs.iter().map(field).collect();
        let names: Vec<(&str, &str)> = (fields.iter().flatten())
            .map(|field| (field.work.file.as_str(), field.name.as_str()))
            .collect();
        farm.distinct(&names)?;
        Ok(Self { farm, fields })
    }
}

impl FieldWork {
    fn new(
        farm: &Farm,
        folder: &Path,
        path: &Path,
        also: &[Also],
        files: &dyn Files,
    ) -> Result<Self, WorkError> {
        let place = folder.join(path);
        let (file, stem) = (place.display().to_string(), stem(path));
        let text = text(files, "job file", &place)?;
        let own = farm.job(path, &file, &text, &stem)?;
        let name = own.job.name.clone().unwrap_or_else(|| stem.clone());
        let folder = folder.to_owned();
        let mut work = Work { job: own.job, file, name: stem, folder, also: Vec::new() };
        work.also(also);
        Ok(Self { work, name, settings: format!("{}\nalso {also:?}", own.written) })
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
