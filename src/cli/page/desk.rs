//! What is open on the page, and what is done with it.

use std::path::{Path, PathBuf};

use landplaster::job::Farm;
use landplaster::page::{AtPlace, Edit, FitOffer, FitWanted};
use landplaster::path_text::shown;
use landplaster::work::readable;
use serde::Deserialize;
use serde_json::json;

use super::answer::Answer;
use super::farm::OpenFarm;
use super::folder::{OpenedFolder, file_name};
use super::job::{OpenJob, Saved, read};
use super::start::{Start, Started};
use super::written;
use crate::cli::failure::Failure;

type Answered = Result<Answer, Failure>;

/// The folder that is open, and what of it is worked on.
pub struct Desk {
    folder: OpenedFolder,
    /// Where plans are written.
    out: PathBuf,
    /// Whether that was said on the command line, and may be anywhere.
    is_out_said: bool,
    job: Option<OpenJob>,
    farm: Option<OpenFarm>,
    start: Start,
}

/// A file of the folder, or a field of the farm.
#[derive(Deserialize)]
pub struct Wanted {
    name: String,
    /// Whether unsaved changes may be lost.
    #[serde(default)]
    drop: bool,
}

/// How a job is saved.
#[derive(Clone, Copy, Deserialize)]
pub struct HowSaved {
    /// Whether what somebody else changed is written over.
    over: bool,
}

impl Desk {
    /// Opens a folder with a job or farm file in it, or with nothing.
    pub fn open(
        folder: OpenedFolder,
        name: Option<&str>,
        out: Option<PathBuf>,
    ) -> Result<Self, Failure> {
        let is_out_said = out.is_some();
        let out = out.unwrap_or_else(|| folder.place("plans"));
        let start = Start::default();
        let mut desk = Self { folder, out, is_out_said, job: None, farm: None, start };
        match name {
            Some(name) => desk.open_file(name)?,
            // The only job of a folder is what is meant.
            None => {
                if let [only] = desk.jobs().as_slice() {
                    // What is wrong with it is told where it is chosen.
                    let _ = desk.open_file(only);
                }
            }
        }
        Ok(desk)
    }

    fn jobs(&self) -> Vec<String> {
        let files = readable(&self.folder.shown, &self.folder.with([]));
        let names = files.iter().map(|path| landplaster::work::name(path));
        names
            .filter(|name| {
                Path::new(name).extension() == Some("toml".as_ref()) && self.is_job(name)
            })
            .collect()
    }

    fn is_job(&self, name: &str) -> bool {
        let Ok(text) = read(&self.folder, &self.folder.place(name)) else { return false };
        Farm::is_one(&text) || text.contains("boundary")
    }

    fn open_file(&mut self, name: &str) -> Result<(), Failure> {
        let path = self.folder.place(name);
        let text = read(&self.folder, &path)?;
        if Farm::is_one(&text) {
            let farm = OpenFarm::open(&self.folder, &path, &text)?;
            let first = farm.first_job();
            (self.job, self.farm) = (None, Some(farm));
            if let Some(first) = first {
                // A field that cannot be planned is told in the list of fields.
                let _ = self.open_field(&first);
            }
        } else {
            self.job = Some(OpenJob::open(&self.folder, &path, None)?);
            self.farm = None;
        }
        Ok(())
    }

    fn open_field(&mut self, file: &str) -> Result<(), Failure> {
        let Some(farm) = &self.farm else { return Ok(()) };
        let of_farm = farm.of(file)?;
        let path = of_farm.folder.join(&of_farm.path);
        self.job = Some(OpenJob::open(&self.folder, &path, Some(of_farm))?);
        Ok(())
    }

    /// Everything that the page shows.
    pub fn state(&mut self) -> Answered {
        let understood = if self.job.is_none() && self.farm.is_none() {
            Some(self.start.understood(&self.folder))
        } else {
            None
        };
        let job = self.job.as_ref().map(OpenJob::state).transpose()?;
        let farm = self.farm.as_ref().map(OpenFarm::names);
        let written = self.job.as_ref().is_some_and(|job| written::is_there(&self.out, job.name()));
        let folder = shown(&self.folder.real);
        let out = shown(&self.out);
        Ok(Answer::json(&json!({
            "job": job, "farm": farm, "start": understood, "is_written": written,
            "folder": folder, "out": out,
        })))
    }

    /// Takes a file to start from.
    pub fn upload(&mut self, name: &str, bytes: Vec<u8>) -> Answered {
        self.start.take(&self.folder, name, bytes)?;
        self.state()
    }

    /// Makes a job of the files that are there, and opens it.
    pub fn begin(&mut self, started: Started) -> Answered {
        let path = self.start.begin(&self.folder, started)?;
        self.job = Some(OpenJob::open(&self.folder, &path, None)?);
        self.state()
    }

    fn job(&mut self) -> Result<(&OpenedFolder, &mut OpenJob), Failure> {
        match &mut self.job {
            Some(job) => Ok((&self.folder, job)),
            None => Err(Failure::Input("no job is open; choose one".to_owned())),
        }
    }

    /// What is known of a place on the map.
    pub fn at(&mut self, x: f64, y: f64) -> Answered {
        let (_, job) = self.job()?;
        Ok(Answer::json(&AtPlace::new(job.planned(), x, y).map_err(Failure::input)?))
    }

    /// What a change would come to.
    pub fn try_edit(&mut self, edit: Edit) -> Answered {
        let (folder, job) = self.job()?;
        Ok(Answer::json(&json!({ "tried": job.try_edit(folder, edit)? })))
    }

    /// The map of what was tried last.
    pub fn tried_map(&mut self, with_certainty: bool) -> Answered {
        let (_, job) = self.job()?;
        Ok(Answer::json(&json!({ "map": job.tried_map(with_certainty)? })))
    }

    /// Makes a change.
    pub fn edit(&mut self, edit: Edit) -> Answered {
        let (folder, job) = self.job()?;
        let faults = job.edit(folder, edit)?;
        if faults.is_empty() {
            return self.state();
        }
        let error = format!("The pile cannot lie there: {}.", faults.join("; "));
        Ok(Answer::told(&error))
    }

    /// Rates and breaks that come to an amount.
    pub fn fit(&mut self, wanted: FitWanted) -> Answered {
        let (_, job) = self.job()?;
        let offer =
            FitOffer::new(job.planned(), &job.work().job, wanted).map_err(Failure::input)?;
        match offer {
            Some(offer) => Ok(Answer::json(&offer)),
            None => Err(Failure::Input("a number above 0 is needed, and for trucks what a truck brings: set the payload under Order".to_owned())),
        }
    }

    /// Takes the last change back.
    pub fn undo(&mut self) -> Answered {
        let (folder, job) = self.job()?;
        job.undo(folder)?;
        self.state()
    }

    /// Makes it again.
    pub fn redo(&mut self) -> Answered {
        let (folder, job) = self.job()?;
        job.redo(folder)?;
        self.state()
    }

    /// What saving would change.
    pub fn changes(&mut self) -> Answered {
        let (_, job) = self.job()?;
        Ok(Answer::json(&json!({ "changes": job.changes() })))
    }

    /// Saves the job.
    pub fn save(&mut self, how: HowSaved) -> Answered {
        let (folder, job) = self.job()?;
        if let Saved::Conflict(conflict) = job.save(folder, how.over)? {
            return Ok(Answer::json(&conflict));
        }
        self.note_saved();
        self.state()
    }

    fn note_saved(&mut self) {
        if let (Some(farm), Some(job)) = (&mut self.farm, &self.job) {
            farm.note_saved(job);
        }
    }

    /// Reads the job and its files again, and drops what was not saved.
    pub fn reload(&mut self) -> Answered {
        let field = self.job.as_ref().and_then(OpenJob::of_farm).map(|of| shown(&of.path));
        let file = self.job.as_ref().map(|job| job.work().file.clone());
        match (field, file) {
            (Some(field), _) => self.open_field(&field)?,
            (None, Some(file)) => {
                self.job = Some(OpenJob::open(&self.folder, Path::new(&file), None)?);
            }
            (None, None) => {}
        }
        self.note_saved();
        self.state()
    }

    /// Opens another file of the folder, or another field of the farm; without a name, none.
    pub fn open_named(&mut self, wanted: Wanted) -> Answered {
        let Wanted { name, drop } = wanted;
        if self.job.as_ref().is_some_and(OpenJob::is_changed) && !drop {
            return Ok(Answer::json(
                &json!({ "error": "There are changes that are not saved.", "unsaved": true }),
            ));
        }
        if name.is_empty() {
            (self.job, self.farm) = (None, None);
        } else if self.farm.is_some() {
            self.open_field(&name)?;
        } else {
            self.open_file(file_name(&name)?)?;
        }
        self.state()
    }

    /// Writes what `landplaster plan` would write of what is saved.
    pub fn write(&mut self) -> Answered {
        if self.job.as_ref().is_some_and(OpenJob::is_changed) {
            return Ok(Answer::json(
                &json!({ "error": "Save the changes first: plans are made of what is saved.", "unsaved": true }),
            ));
        }
        if !self.is_out_said {
            self.folder
                .inside(&self.out)
                .map_err(|error| Failure::input(error.of("", &self.out)))?;
        }
        let told = match (&mut self.farm, &self.job) {
            (Some(farm), _) => farm.write(&self.folder, &self.out)?,
            (None, Some(job)) => {
                let files = job.inside(&self.folder);
                let (_, output, folder) = crate::cli::plan::write(job.work(), &files, &self.out)?;
                let names: Vec<&str> = output.files.iter().map(|file| file.name.as_str()).collect();
                json!({ "folder": shown(&folder), "files": names, "landed": output.landed })
            }
            (None, None) => return Err(Failure::Input("no job is open; choose one".to_owned())),
        };
        Ok(Answer::json(&told))
    }

    /// The field sheet that was written.
    pub fn sheet(&mut self) -> Answered {
        let out = self.out.clone();
        let (_, job) = self.job()?;
        written::sheet(&out, job.name())
    }

    /// The files that were written, as one.
    pub fn archive(&mut self) -> Answered {
        let out = self.out.clone();
        let (_, job) = self.job()?;
        written::archive(&out, job.name())
    }

    /// The farm's figures and its order, with the open field as it is now.
    pub fn farm(&mut self) -> Answered {
        let Some(farm) = &mut self.farm else {
            return Err(Failure::Input("no farm is open; choose one".to_owned()));
        };
        Ok(Answer::json(&farm.figures(&self.folder, self.job.as_ref())))
    }
}
