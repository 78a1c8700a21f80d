//! A farm on the page: its fields with their figures, and its order.

use std::path::{Path, PathBuf};

use landplaster::farm::{FarmTotals, FieldMap, FieldOutcome, Figures};
use landplaster::path_text::shown;
use landplaster::plan::plan;
use landplaster::report::farm_order;
use landplaster::work::{FarmWork, in_turn, name};
use landplaster::write::{farm_totals, plan_totals};
use serde_json::{Value, json};

use super::folder::OpenedFolder;
use super::job::{OfFarm, OpenJob, read};
use crate::cli::failure::Failure;

/// A farm file that is open.
pub struct OpenFarm {
    path: PathBuf,
    work: FarmWork,
    /// Each field's figures as its file says, or why it has none; none where they were not asked for yet.
    saved: Vec<Option<Result<Figures, String>>>,
}

impl OpenFarm {
    /// Opens a farm file of a folder.
    pub fn open(folder: &OpenedFolder, path: &Path, text: &str) -> Result<Self, Failure> {
        let work = FarmWork::of_file(path, text, &[], &folder.with([])).map_err(Failure::input)?;
        let saved = vec![None; work.fields.len()];
        Ok(Self { path: path.to_owned(), work, saved })
    }

    fn folder(&self) -> PathBuf {
        self.path.parent().unwrap_or(Path::new("")).to_owned()
    }

    /// What the farm and its fields are called.
    pub fn names(&self) -> Value {
        let job = |file: &String| self.work.farm.jobs.iter().any(|job| shown(job) == *file);
        let field = |(file, work): &(String, Result<landplaster::work::FieldWork, _>)| {
            let name = work.as_ref().map_or_else(|_| file.clone(), |work| work.name.clone());
            json!({ "file": file, "name": name, "has_file": job(file) })
        };
        let fields: Vec<Value> = self.work.fields.iter().map(field).collect();
        json!({ "name": self.work.farm.name, "file": name(&self.path), "fields": fields })
    }

    /// Its first field that is a job file.
    pub fn first_job(&self) -> Option<String> {
        self.work.farm.jobs.first().map(shown)
    }

    /// A job of it by its file, as the farm names it.
    pub fn of(&self, file: &str) -> Result<OfFarm, Failure> {
        let found = self.work.farm.jobs.iter().find(|job| shown(job) == file);
        let path = found.cloned().ok_or_else(|| {
            Failure::Input(format!(
                "{file}: this field has no job file of its own that the page could change; landplaster start --farm --jobs writes one for each field"
            ))
        })?;
        Ok(OfFarm { farm: self.work.farm.clone(), folder: self.folder(), path })
    }

    /// The figures of all fields, that of the open one as it is now, and what the order for all is; with
    /// what it is without the changes that are not saved.
    pub fn figures(&mut self, folder: &OpenedFolder, open: Option<&OpenJob>) -> Value {
        let system = self.work.farm.system;
        let files = folder.with([]);
        let missing = self.saved.iter().enumerate().filter(|(_, saved)| saved.is_none());
        let missing: Vec<usize> = missing.map(|(number, _)| number).collect();
        let planned = in_turn(&missing, |number| {
            let (_, field) = self.work.fields.get(*number)?;
            Some(field.as_ref().map_err(ToString::to_string).and_then(|field| {
                let prepared = field.work.prepare(&files).map_err(|error| error.to_string())?;
                let plan =
                    plan(prepared.field, prepared.settings).map_err(|error| error.to_string())?;
                Ok(Figures::of(&plan_totals(&plan), system))
            }))
        });
        for (number, planned) in missing.into_iter().zip(planned) {
            if let Some(saved) = self.saved.get_mut(number) {
                *saved = planned;
            }
        }
        let open_file = open.and_then(OpenJob::of_farm).map(|of| shown(&of.path));
        let before = self.totals(|_, saved| saved);
        let now =
            self.totals(|file, saved| match open.filter(|_| open_file.as_ref() == Some(file)) {
                Some(job) => Ok(Figures::of(&plan_totals(&job.planned().plan), system)),
                None => saved,
            });
        json!({
            "totals": farm_totals(&now), "order": farm_order(&now),
            "saved_order": farm_order(&before), "is_changed": farm_order(&now) != farm_order(&before),
        })
    }

    /// Notes that the open field is saved as it is now.
    pub fn note_saved(&mut self, job: &OpenJob) {
        let file = job.of_farm().map(|of| shown(&of.path));
        let fields = self.work.fields.iter().zip(&mut self.saved);
        for (_, saved) in fields.filter(|((name, _), _)| Some(name) == file.as_ref()) {
            let totals = plan_totals(&job.planned().plan);
            *saved = Some(Ok(Figures::of(&totals, self.work.farm.system)));
        }
    }

    fn totals(
        &self,
        figures: impl Fn(&String, Result<Figures, String>) -> Result<Figures, String>,
    ) -> FarmTotals {
        let farm = &self.work.farm;
        let fields = self.work.fields.iter().zip(&self.saved).map(|((file, _), saved)| {
            let saved = saved.clone().unwrap_or_else(|| Err("not planned yet".to_owned()));
            FieldOutcome {
                file: file.clone(),
                figures: figures(file, saved),
                map: FieldMap::default(),
            }
        });
        FarmTotals::new(farm.name.clone(), farm.system, fields.collect())
    }

    /// Writes the folders of all fields and the farm's own, as `landplaster plan` of the farm file does.
    pub fn write(&mut self, folder: &OpenedFolder, out: &Path) -> Result<Value, Failure> {
        let text = read(folder, &self.path)?;
        *self = Self::open(folder, &self.path, &text)?;
        let work = self.work.clone();
        let written = crate::cli::farm::write(work, &folder.with([]), out, false, || {})?;
        let failed: Vec<String> =
            written.totals.failures().map(|(file, why)| format!("{file}: {why}")).collect();
        let kept = written.kept.iter().filter(|kept| **kept).count();
        Ok(json!({
            "folder": shown(out), "farm": shown(&written.folder),
            "fields": written.kept.len(), "kept": kept, "failed": failed,
        }))
    }
}
