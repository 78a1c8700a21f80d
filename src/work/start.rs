//! What the files of a folder are for.

use std::path::{Path, PathBuf};

use geo::{Contains, Coord};

use super::files::source;
use super::{FileError, Files};
use crate::job::{Farm, Job};
use crate::read::{self, Look};

/// The files that were looked into, by what they are for.
#[derive(Clone, Debug, Default)]
pub struct Seen {
    /// Farm and job files.
    pub jobs: Vec<PathBuf>,
    /// The boundary, or the boundaries of several fields.
    pub boundary: Option<(PathBuf, Look)>,
    /// The samples: places with results, or places alone.
    pub samples: Option<(PathBuf, Look)>,
    /// The results, where they are apart.
    pub laboratory: Option<(PathBuf, Look)>,
    /// Others with shapes: ponds, ditches, wells.
    pub layers: Vec<(PathBuf, Look)>,
    /// Others, and why they are of no use or which of several they are.
    pub others: Vec<(PathBuf, String)>,
}

impl Seen {
    /// Looks into files.
    ///
    /// The samples are the table or the points with CEC and places, else those with places, and then
    /// the laboratory's is the table with CEC. The boundary is the file whose polygons hold most of
    /// the samples. Where several files can be the same thing, none is taken.
    #[must_use]
    pub fn of(paths: &[PathBuf], files: &dyn Files) -> Self {
        let mut seen = Self::default();
        let (mut areas, mut full, mut places, mut results) =
            (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        for path in paths {
            if extension(path) == "toml" {
                seen.jobs.extend(is_job(path, files).then(|| path.clone()));
                continue;
            }
            match look(path, files) {
                Err(reason) => seen.others.push((path.clone(), reason)),
                Ok(look) if !look.fields.is_empty() => areas.push((path.clone(), look)),
                Ok(look) if look.points > 0 || look.lines > 0 => {
                    seen.layers.push((path.clone(), look));
                }
                Ok(look) => match (look.cec.is_some(), !look.samples.is_empty()) {
                    (true, true) => full.push((path.clone(), look)),
                    (true, false) if look.without_places.is_some() => {
                        full.push((path.clone(), look));
                    }
                    (false, true) => places.push((path.clone(), look)),
                    (true, false) => results.push((path.clone(), look)),
                    (false, false) => {
                        let why = "no CEC and no positions found in it".to_owned();
                        seen.others.push((path.clone(), why));
                    }
                },
            }
        }
        if full.is_empty() {
            seen.samples = seen.only(places, "positions of samples");
            seen.laboratory = seen.only(results, "laboratory results");
        } else {
            seen.samples = seen.only(full, "samples with CEC");
            let unused = places.into_iter().chain(results);
            seen.others
                .extend(unused.map(|(path, _)| (path, "not needed beside the samples".to_owned())));
        }
        seen.take_boundary(areas);
        seen
    }

    /// The only one of some files; of several none is taken.
    fn only(&mut self, mut all: Vec<(PathBuf, Look)>, what: &str) -> Option<(PathBuf, Look)> {
        if all.len() < 2 {
            return all.pop();
        }
        let several = format!("one of several files with {what}: name the ones that are meant");
        self.others.extend(all.into_iter().map(|(path, _)| (path, several.clone())));
        None
    }

    fn take_boundary(&mut self, mut areas: Vec<(PathBuf, Look)>) {
        if areas.len() > 1
            && let Some((_, samples)) = &self.samples
        {
            let held_by =
                |look: &Look| samples.samples.iter().filter(|at| holds(look, **at)).count();
            let most = areas.iter().map(|(_, look)| held_by(look)).max().unwrap_or(0);
            let (boundaries, layers): (Vec<_>, Vec<_>) =
                areas.into_iter().partition(|(_, look)| most > 0 && held_by(look) == most);
            self.layers.extend(layers);
            areas = boundaries;
        }
        self.boundary = self.only(areas, "polygons");
    }
}

fn holds(look: &Look, at: Coord<f64>) -> bool {
    look.fields.iter().any(|field| field.polygons.contains(&at))
}

/// The files in a folder that may be read, in the order of their names.
#[must_use]
pub fn readable(folder: &Path, files: &dyn Files) -> Vec<PathBuf> {
    let is_hidden = |path: &Path| super::name(path).starts_with('.');
    let known = |path: &PathBuf| extension(path) == "toml" || read::is_known(&super::name(path));
    let mut all: Vec<PathBuf> = files.folder(folder);
    all.retain(|path| known(path) && !is_hidden(path));
    all.sort();
    all
}

fn look(path: &Path, files: &dyn Files) -> Result<Look, String> {
    let source = source(files, "file", path).map_err(|error: FileError| error.to_string())?;
    read::look(&source).map_err(|error| error.to_string())
}

fn is_job(path: &Path, files: &dyn Files) -> bool {
    let Ok(text) = super::text(files, "file", path) else { return false };
    Farm::is_one(&text) || Job::read("", &text).is_ok()
}

fn extension(path: &Path) -> String {
    path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default()
}
