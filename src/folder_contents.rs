//! What the files of a folder are for.

use std::path::PathBuf;

use geo::{Contains, Coord};

use crate::read::FileLook;

/// What was found in a file.
#[derive(Clone, Debug)]
pub enum FileContent {
    /// It is a job or farm file.
    Job,
    /// What it holds.
    Look(Box<FileLook>),
    /// Why it is of no use.
    Nothing(String),
}

/// The files that were looked into, by what they are for.
#[derive(Clone, Debug, Default)]
pub struct FolderContents {
    /// Farm and job files.
    pub jobs: Vec<PathBuf>,
    /// The boundary, or the boundaries of several fields.
    pub boundary: Option<(PathBuf, FileLook)>,
    /// The samples: places with results, or places alone.
    pub samples: Option<(PathBuf, FileLook)>,
    /// The results, where they are apart.
    pub laboratory: Option<(PathBuf, FileLook)>,
    /// Others with shapes: ponds, ditches, wells.
    pub layers: Vec<(PathBuf, FileLook)>,
    /// Others, and why they are of no use or which of several they are.
    pub others: Vec<(PathBuf, String)>,
}

impl FolderContents {
    /// Sorts files by what was found in them.
    ///
    /// The samples are the table or the points with CEC and places, else those with places, and then
    /// the laboratory's is the table with CEC. The boundary is the file whose polygons hold most of
    /// the samples. Where several files can be the same thing, none is taken.
    #[must_use]
    pub fn of(files: Vec<(PathBuf, FileContent)>) -> Self {
        let mut seen = Self::default();
        let (mut areas, mut full, mut places, mut results) =
            (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        for (path, found) in files {
            let look = match found {
                FileContent::Job => {
                    seen.jobs.push(path);
                    continue;
                }
                FileContent::Nothing(reason) => {
                    seen.others.push((path, reason));
                    continue;
                }
                FileContent::Look(look) => *look,
            };
            let has_cec = look.cec.is_some();
            let has_places = !look.samples.is_empty();
            let list = if !look.fields.is_empty() {
                &mut areas
            } else if look.points > 0 || look.lines > 0 {
                &mut seen.layers
            } else if has_cec && (has_places || look.without_places.is_some()) {
                &mut full
            } else if has_places {
                &mut places
            } else if has_cec {
                &mut results
            } else {
                let why = "no CEC and no positions found in it".to_owned();
                seen.others.push((path, why));
                continue;
            };
            list.push((path, look));
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
    fn only(
        &mut self,
        mut all: Vec<(PathBuf, FileLook)>,
        what: &str,
    ) -> Option<(PathBuf, FileLook)> {
        if all.len() < 2 {
            return all.pop();
        }
        let several = format!("one of several files with {what}: name the ones that are meant");
        self.others.extend(all.into_iter().map(|(path, _)| (path, several.clone())));
        None
    }

    fn take_boundary(&mut self, mut areas: Vec<(PathBuf, FileLook)>) {
        if areas.len() > 1
            && let Some((_, samples)) = &self.samples
        {
            let held_by =
                |look: &FileLook| samples.samples.iter().filter(|at| holds(look, **at)).count();
            let most = areas.iter().map(|(_, look)| held_by(look)).max().unwrap_or(0);
            let (boundaries, layers): (Vec<_>, Vec<_>) =
                areas.into_iter().partition(|(_, look)| most > 0 && held_by(look) == most);
            self.layers.extend(layers);
            areas = boundaries;
        }
        self.boundary = self.only(areas, "polygons");
    }
}

fn holds(look: &FileLook, at: Coord<f64>) -> bool {
    look.fields.iter().any(|field| field.polygons.contains(&at))
}
