//! The job that is open: its draft, its plan, its file.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use landplaster::job::Farm;
use landplaster::page::{
    Draft, DraftState, Edit, KeptStages, LineChange, Planned, Shown, Tried, line_changes,
    written_tiers,
};
use landplaster::path_text::shown;
use landplaster::report::PlanningMap;
use landplaster::work::{self, Disk, Files as _, Work};
use serde::Serialize;

use super::folder::{Inside, OpenedFolder};
use crate::cli::failure::Failure;
use crate::cli::lock::Lock;
use crate::cli::saving;

/// The farm that a job is of, and its path from the farm file.
#[derive(Clone, Debug)]
pub struct OfFarm {
    pub farm: Farm,
    /// The farm file's folder.
    pub folder: PathBuf,
    /// The job file, as the farm names it.
    pub path: PathBuf,
}

/// An open job.
pub struct OpenJob {
    path: PathBuf,
    of_farm: Option<OfFarm>,
    draft: Draft,
    kept: KeptStages,
    work: Work,
    planned: Planned,
    /// What was tried last and is not made.
    tried: Option<Planned>,
}

/// What an open job shows.
#[derive(Serialize)]
pub struct JobState<'a> {
    /// Its file.
    file: String,
    /// What it and its folder are called.
    name: &'a str,
    shown: Shown<'a>,
    undo: Option<&'a str>,
    redo: Option<&'a str>,
    is_changed: bool,
}

/// Why a job was not saved.
#[derive(Debug, Serialize)]
pub struct Conflict {
    error: &'static str,
    /// What somebody else changed meanwhile.
    conflict: Vec<LineChange>,
}

/// What saving came to.
pub enum Saved {
    Done,
    Conflict(Conflict),
}

impl OpenJob {
    /// Opens a job file of a folder, and plans it.
    pub fn open(
        folder: &OpenedFolder,
        path: &Path,
        of_farm: Option<OfFarm>,
    ) -> Result<Self, Failure> {
        let text = read(folder, path)?;
        let draft = Draft::new(text);
        let mut kept = KeptStages::default();
        let (work, planned) = plan(folder, path, of_farm.as_ref(), draft.state(), &mut kept)?;
        Ok(Self { path: path.to_owned(), of_farm, draft, kept, work, planned, tried: None })
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.planned.plan.settings.job
    }

    /// What it is planned by.
    pub fn work(&self) -> &Work {
        &self.work
    }

    /// Its file, as the farm names it.
    pub fn of_farm(&self) -> Option<&OfFarm> {
        self.of_farm.as_ref()
    }

    /// Its plan.
    pub fn planned(&self) -> &Planned {
        &self.planned
    }

    /// Whether saving would change anything.
    pub fn is_changed(&self) -> bool {
        self.draft.is_changed()
    }

    /// What it shows.
    pub fn state(&self) -> Result<JobState<'_>, Failure> {
        let Self { planned, work, .. } = self;
        Ok(JobState {
            file: shown(&self.path),
            name: &planned.plan.settings.job,
            shown: Shown::new(planned, &work.job).map_err(Failure::input)?,
            undo: self.draft.undoable(),
            redo: self.draft.redoable(),
            is_changed: self.draft.is_changed(),
        })
    }

    /// What a change comes to, without making it.
    pub fn try_edit(&mut self, folder: &OpenedFolder, edit: Edit) -> Result<Tried, Failure> {
        let state = self.edited(folder, edit)?;
        let planned = self.plan(folder, &state)?.1;
        let tried = Tried::new(&planned.plan);
        self.tried = Some(planned);
        Ok(tried)
    }

    /// The map of what was tried last.
    pub fn tried_map(&self, with_certainty: bool) -> Result<Option<PlanningMap>, Failure> {
        let drawn = self.tried.as_ref().map(|planned| planned.draw(with_certainty));
        drawn.transpose().map_err(Failure::input)
    }

    /// Makes a change; where a pile may not lie at its new place, the reasons are given and nothing is
    /// changed.
    pub fn edit(&mut self, folder: &OpenedFolder, edit: Edit) -> Result<Vec<String>, Failure> {
        let is_place = matches!(edit, Edit::Pile { place: Some(_) });
        let state = self.edited(folder, edit)?;
        let (work, planned) = self.plan(folder, &state)?;
        let named = planned.plan.stockpile.as_ref().and_then(|stockpile| stockpile.named.as_ref());
        let faults =
            named.filter(|_| is_place).map(|named| named.spot.faults(planned.plan.settings.system));
        if let Some(faults) = faults.filter(|faults| !faults.is_empty()) {
            return Ok(faults);
        }
        self.draft.put(state);
        (self.work, self.planned, self.tried) = (work, planned, None);
        Ok(Vec::new())
    }

    /// The state that a change makes, its pixels put into degrees.
    fn edited(&self, folder: &OpenedFolder, edit: Edit) -> Result<DraftState, Failure> {
        let frame = self.planned.plan.field.boundary.frame();
        let map = self.planned.map().map_err(Failure::input)?;
        let degrees = |[x, y]: [f64; 2]| {
            let at = frame.to_wgs84(map.place(x, y))?;
            Ok::<_, landplaster::geometry::OutOfReach>([at.x, at.y])
        };
        let edit = edit.at(degrees).map_err(Failure::input)?;
        let beside = self.path.parent().unwrap_or(Path::new(""));
        let is_taken = |file: &str| fs::symlink_metadata(beside.join(file)).is_ok();
        // A place that cannot be judged is no free one.
        folder.inside(&self.path).map_err(Failure::input)?;
        let tiers = written_tiers(&self.work.job);
        edit.apply(self.draft.state(), &work::stem(&self.path), &tiers, &is_taken)
            .map_err(Failure::input)
    }

    fn plan(
        &mut self,
        folder: &OpenedFolder,
        state: &DraftState,
    ) -> Result<(Work, Planned), Failure> {
        plan(folder, &self.path, self.of_farm.as_ref(), state, &mut self.kept)
    }

    /// Goes back one state.
    pub fn undo(&mut self, folder: &OpenedFolder) -> Result<(), Failure> {
        let Some(state) = self.draft.before().cloned() else { return Ok(()) };
        (self.work, self.planned) = self.plan(folder, &state)?;
        self.draft.undo();
        Ok(())
    }

    /// Goes forward one state.
    pub fn redo(&mut self, folder: &OpenedFolder) -> Result<(), Failure> {
        let Some(state) = self.draft.after().cloned() else { return Ok(()) };
        (self.work, self.planned) = self.plan(folder, &state)?;
        self.draft.redo();
        Ok(())
    }

    /// What saving would change in the file.
    pub fn changes(&self) -> Vec<LineChange> {
        line_changes(self.draft.saved(), &self.draft.state().text)
    }

    /// Saves the job file in one step, after what was drawn for it. Where somebody changed the file since
    /// it was read, that is told and nothing is saved, unless it is to be written over.
    pub fn save(&mut self, folder: &OpenedFolder, over: bool) -> Result<Saved, Failure> {
        let place = folder.inside(&self.path).map_err(Failure::input)?;
        let _lock = Lock::of_folder(place.parent().unwrap_or(Path::new(".")))?;
        let on_disk = if place.exists() { read(folder, &self.path)? } else { String::new() };
        if on_disk != self.draft.saved() && !over {
            return Ok(Saved::Conflict(Conflict {
                error: "Somebody changed the job file since it was opened here. Nothing was saved.",
                conflict: line_changes(self.draft.saved(), &on_disk),
            }));
        }
        let state = self.draft.state();
        for (name, text) in &state.drawn {
            let file = place.with_file_name(name);
            // What an earlier save wrote.
            let is_there = Disk.bytes(&file).is_ok_and(|bytes| bytes == text.as_bytes());
            if !is_there {
                saving::new(&file, text.as_bytes())?;
            }
        }
        saving::one(&place, state.text.as_bytes())?;
        self.draft.note_saved();
        Ok(Saved::Done)
    }

    /// Files that the job names and that are not on the disk yet.
    pub fn inside<'a>(&'a self, folder: &'a OpenedFolder) -> Inside<'a> {
        with_drawn(folder, &self.path, &self.draft.state().drawn)
    }
}

fn with_drawn<'a>(
    folder: &'a OpenedFolder,
    job: &Path,
    drawn: &'a BTreeMap<String, String>,
) -> Inside<'a> {
    let beside = job.parent().unwrap_or(Path::new("")).to_owned();
    folder.with(drawn.iter().map(|(name, text)| (beside.join(name), text.as_bytes())))
}

/// A text file of a folder.
pub fn read(folder: &OpenedFolder, path: &Path) -> Result<String, Failure> {
    work::text(&folder.with([]), "job file", path).map_err(Failure::input)
}

/// The work of a job's text, by itself or of a farm, and all that it says.
fn work_of(path: &Path, of_farm: Option<&OfFarm>, text: &str) -> Result<(Work, String), Failure> {
    let Some(OfFarm { farm, folder, path: named }) = of_farm else {
        return Ok((Work::of_file(path, text).map_err(Failure::input)?, text.to_owned()));
    };
    let (file, name) = (shown(path), work::stem(path));
    let own = farm.job(named, &file, text, &name).map_err(Failure::input)?;
    let work = Work { job: own.job, file, name, folder: folder.clone(), also: Vec::new() };
    Ok((work, own.written))
}

fn plan(
    folder: &OpenedFolder,
    path: &Path,
    of_farm: Option<&OfFarm>,
    state: &DraftState,
    kept: &mut KeptStages,
) -> Result<(Work, Planned), Failure> {
    let (work, written) = work_of(path, of_farm, &state.text)?;
    // A drawing is never changed: its name says all.
    let drawn: Vec<&str> = state.drawn.keys().map(String::as_str).collect();
    let files = with_drawn(folder, path, &state.drawn);
    let planned = kept.plan(&work, &written, &drawn.join("\n"), &files).map_err(Failure::input)?;
    Ok((work, planned))
}
