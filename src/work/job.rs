//! One job: its files, its plan, what is written of it.

use std::path::{Path, PathBuf};

use super::files::{name, stem, unicode};
use super::layers::{layers, set_rates, site};
use super::{Files, Inputs, WorkError};
use crate::field::{Field, FieldOutline, exclude};
use crate::job::{Job, TaskDataEntry};
use crate::landing::{Landing, LandingSettings};
use crate::path_text::shown;
use crate::plan::{MoreSamples, Plan, Settings, Surfaced, Zoned};
use crate::read::{self, OtherFields};
use crate::report::BesidePlan;
use crate::spreader::constant::{Scatter, WeighTestLog};
use crate::spreader::machine::ConstantKind;
use crate::spreader::pans::{self, DEFAULT_LIMIT, DrivingPattern, PanReport};
use crate::spreader::{Machine, machine};
use crate::units::Length;
use crate::warning::{Elsewhere, Warning, by_gravity};
use crate::write::{self, Extras, Output};

/// What is written only when it is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OnRequest {
    /// The field's task for a rate controller (ISO 11783-10).
    TaskData,
    /// The map in pixels, for messages.
    Png,
    /// Zones, unspread ground, samples, piles and layers in one GeoPackage.
    #[cfg(feature = "geopackage")]
    GeoPackage,
}

/// A job with what its messages and paths go by.
///
/// ```
/// use std::path::Path;
///
/// use landplaster::work::{Memory, Work, WorkError};
///
/// # let field = r#"{"type": "Polygon", "coordinates": [[[-85.2, 40.4],
/// #     [-85.1976, 40.4], [-85.1976, 40.4018], [-85.2, 40.4018], [-85.2, 40.4]]]}"#;
/// # let samples = "id,longitude,latitude,cec\n\
/// #     A1,-85.1996,40.4004,6\nA2,-85.1988,40.4004,9\nA3,-85.1980,40.4004,13\n\
/// #     B1,-85.1996,40.4014,8\nB2,-85.1988,40.4014,14\nB3,-85.1980,40.4014,19\n";
/// let job = "boundary = \"field.geojson\"\nsamples = \"samples.csv\"\nswath = \"40 ft\"\n";
/// let work = Work::of_file(Path::new("north/corner.toml"), job)?;
/// assert_eq!(work.name, "corner");
///
/// // The paths of a job start from its folder; a file that is not there is told.
/// let mut files = Memory::default();
/// files.put("north/field.geojson", field);
/// assert!(work.plan(&files).unwrap_err().to_string().contains("north/samples.csv"));
/// files.put("north/samples.csv", samples);
/// let (plan, output) = work.plan(&files)?;
/// assert_eq!(output.totals.zones.len(), plan.zones.len());
/// # Ok::<(), WorkError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Work {
    /// The job.
    pub job: Job,
    /// What messages call the job file.
    pub file: String,
    /// What the job is called unless it says.
    pub name: String,
    /// The folder that its paths start from.
    pub folder: PathBuf,
    /// What is written beside the usual files.
    pub also: Vec<OnRequest>,
}

/// A job whose files have all been read.
#[derive(Clone, Debug)]
pub struct Prepared {
    /// The field.
    pub field: Field,
    /// What it is planned by.
    pub settings: Settings,
    /// What goes into its files beside the plan.
    pub extras: Extras,
    /// How it is driven when what lands is reckoned.
    pub landing: LandingSettings,
}

impl Work {
    /// The work of a job file's text; its paths start from the file's folder.
    ///
    /// # Errors
    /// When the text is no job.
    pub fn of_file(path: &Path, text: &str) -> Result<Self, WorkError> {
        let file = shown(path);
        let job = Job::read(&file, text)?;
        let folder = path.parent().unwrap_or(Path::new("")).to_owned();
        Ok(Self { job, file, name: stem(path), folder, also: Vec::new() })
    }

    /// Asks for what is written only when it is asked for.
    pub fn also(&mut self, also: &[OnRequest]) {
        if also.contains(&OnRequest::TaskData) {
            self.job.taskdata.get_or_insert(TaskDataEntry::default());
        }
        self.also.extend(also);
    }

    /// Reads all that the job names, and checks it.
    ///
    /// # Errors
    /// When a file or a setting is at fault.
    pub fn prepare(&self, files: &dyn Files) -> Result<Prepared, WorkError> {
        self.prepare_noting(&mut Inputs::new(files, &self.folder))
    }

    /// The same, noting what was read.
    ///
    /// # Errors
    /// When a file or a setting is at fault.
    pub fn prepare_noting(&self, inputs: &mut Inputs) -> Result<Prepared, WorkError> {
        let Self { job, file, name, .. } = self;
        let machine = job.spreader.as_ref().map(|path| machine_of(path, inputs)).transpose()?;
        let mut settings = job.settings(file, name, machine.as_ref())?;
        if let (Some(path), Some(machine)) = (&job.weigh_tests, &machine) {
            weigh_tests(path, machine, inputs, &mut settings)?;
        }
        let task_data = job.task_data(file, name)?;
        let pans = job.pans.as_ref().map(|path| pan_test(path, inputs)).transpose()?;
        let field = self.field(inputs)?;
        job.check_entrance(file, &field.boundary)?;
        let extras = Extras {
            task_data,
            png: self.also.contains(&OnRequest::Png),
            #[cfg(feature = "geopackage")]
            geopackage: self.also.contains(&OnRequest::GeoPackage),
            sheet: BesidePlan { machine, pans, inputs: inputs.files(), ..BesidePlan::default() },
        };
        let landing = job.landing(file)?;
        Ok(Prepared { field, settings, extras, landing })
    }

    /// The same job with other settings, ready without reading a file again. It must name the same files
    /// for the field, spreader and tests as the one that `before` was made of, and read them alike.
    ///
    /// # Errors
    /// When a setting is at fault.
    pub fn again(&self, before: &Prepared) -> Result<Prepared, WorkError> {
        let Self { job, file, name, .. } = self;
        let mut settings = job.settings(file, name, before.extras.sheet.machine.as_ref())?;
        let tests = before.settings.order.as_ref().and_then(|order| order.variation.weigh_tests);
        if let Some(order) = &mut settings.order {
            order.variation.weigh_tests = tests;
        }
        let told = before.settings.warnings.iter();
        settings.warnings.extend(
            told.filter(|warning| matches!(warning, Warning::WeighTestsFew { .. })).cloned(),
        );
        job.check_entrance(file, &before.field.boundary)?;
        let task_data = job.task_data(file, name)?;
        let extras = Extras { task_data, ..before.extras.clone() };
        Ok(Prepared { field: before.field.clone(), settings, extras, landing: job.landing(file)? })
    }

    /// Reads and plans the job, and makes what is written of it.
    ///
    /// # Errors
    /// When a file or a setting is at fault, or the field cannot be planned.
    pub fn plan(&self, files: &dyn Files) -> Result<(Plan, Output), WorkError> {
        self.prepare(files)?.plan()
    }

    fn field(&self, inputs: &mut Inputs) -> Result<Field, WorkError> {
        let Self { job, file, .. } = self;
        let source = inputs.source("boundary", &job.boundary.file)?;
        let (boundary, others) = read::boundary_among(&source, &job.boundary.settings)?;
        let source = inputs.source("samples", &job.samples.file)?;
        let laboratory = match &job.laboratory {
            Some(entry) => Some((inputs.source("laboratory", &entry.file)?, &entry.settings)),
            None => None,
        };
        let laboratory = laboratory.as_ref().map(|(source, settings)| (source, *settings));
        let cations = job.cations.clone().unwrap_or_default();
        let settings = &job.samples.settings;
        let own = job.boundary.settings.field.clone().unwrap_or_default();
        let own = FieldOutline { name: own, polygons: boundary.value.wgs84().clone() };
        let outlines: Vec<FieldOutline> = std::iter::once(own).chain(others).collect();
        let among = (outlines.len() > 1).then_some(OtherFields { outlines: &outlines });
        let samples = read::samples_among(&source, laboratory, settings, &cations, among)
            .map_err(|error| read::explained(error, &source, settings, &boundary.value))?;
        let parted = exclude(samples.value, &job.exclude, file)?;
        let mut warnings = [boundary.warnings, samples.warnings, parted.warnings].concat();
        let layers = layers(&job.keep_out, "keep_out", inputs, &mut warnings)?;
        let set_rates = set_rates(&job.set_rate, inputs, &mut warnings)?;
        let site = site(job, inputs, &mut warnings)?;
        let (boundary, samples) =
            ((boundary.value, boundary.coordinates), (parted.kept, samples.coordinates));
        let reach = job.samples_within(file)?;
        let field = Field::with_samples_within(reach, boundary, samples, warnings)?;
        let field = field.with_hole_setback(job.hole_setback).keeping_out(layers)?;
        let mut field = field.setting_rates(set_rates)?;
        if job.keep_out_of_farm {
            field.warnings.iter_mut().for_each(of_another_field);
        }
        if let Some((setbacks, access)) = site {
            field = field.with_site(&setbacks, access.as_ref())?;
        }
        Ok(Field { excluded: parted.excluded, ..field })
    }
}

impl Prepared {
    /// Plans the field, and makes what is written of it.
    ///
    /// # Errors
    /// When the field cannot be planned, or a value does not fit a format's limits.
    pub fn plan(mut self) -> Result<(Plan, Output), WorkError> {
        let Settings { surface, grid, .. } = self.settings;
        let surfaced = Surfaced::new(self.field, &surface, grid)?;
        let zoned = Zoned::new(&surfaced, &self.settings)?;
        let mut plan = Plan::new(&surfaced, &zoned, self.settings)?;
        let sheet = &mut self.extras.sheet;
        sheet.more_samples = MoreSamples::new(&surfaced, &plan.settings.tiers, plan.total.area);
        if let (Some(machine), Some(pans)) = (&sheet.machine, &sheet.pans) {
            let mut told: Vec<Warning> = off_target(pans).into_iter().collect();
            told.extend(uneven(pans, machine.swath));
            let pattern = Some(&pans.test.pattern);
            let landing = Landing::new(&plan, machine, pattern, &self.landing)?;
            told.splice(..0, landing.warnings(&plan));
            // What lands on water comes first among those of its gravity.
            plan.warnings.splice(..0, told);
            by_gravity(&mut plan.warnings);
            sheet.landing = Some(landing);
        }
        let output = write::output(&plan, &self.extras)?;
        Ok((plan, output))
    }
}

/// What a farm keeps all of its fields from need not be near each; swapped coordinates are a fault.
fn of_another_field(warning: &mut Warning) {
    if let Warning::KeepOutMissing { called, distance, elsewhere: Elsewhere::Away(_) } = warning {
        let (called, distance) = (called.clone(), *distance);
        *warning = Warning::FarmKeepOutElsewhere { called, distance };
    }
}

fn machine_of(path: &Path, inputs: &mut Inputs) -> Result<Machine, WorkError> {
    let source = inputs.source("spreader", path)?;
    let text = unicode("spreader", Path::new(&source.name), source.bytes)?;
    Ok(machine::read(&source.name, &text)?)
}

/// What a log of weigh tests says about the machine with its material.
fn weigh_tests(
    path: &Path,
    machine: &Machine,
    inputs: &mut Inputs,
    settings: &mut Settings,
) -> Result<(), WorkError> {
    let source = inputs.source("weigh tests", path)?;
    let text = unicode("weigh tests", Path::new(&source.name), source.bytes)?;
    let log = WeighTestLog::read(&source.name, &text)?;
    let tests = log.of(&machine.name, &machine.material.name);
    let kind = machine.constant.map_or(ConstantKind::MassPerPulse, |constant| constant.kind);
    let scatter = Scatter::of(kind, &tests);
    if scatter.is_none() {
        settings.warnings.push(Warning::WeighTestsFew {
            file: source.name,
            machine: machine.name.clone(),
            material: machine.material.name.clone(),
            tests: tests.len(),
        });
    }
    if let Some(order) = &mut settings.order {
        order.variation.weigh_tests = scatter;
    }
    Ok(())
}

/// What is said where the pans caught another rate than was meant.
fn off_target(pans: &PanReport) -> Option<Warning> {
    const NEAR: f64 = 10.0;
    let off = pans.off_target()?;
    (off.as_percent().abs() > NEAR).then(|| Warning::PansOffTarget {
        test: pans.test.name.clone(),
        caught: pans.apparent_rate,
        target: pans.test.target.unwrap_or_default(),
        off,
    })
}

/// What is said where the pattern is uneven at the swath that is driven.
fn uneven(pans: &PanReport, swath: Length) -> Option<Warning> {
    let cv = pans.row_at(swath)?.of(pans.driving).cv;
    let (test, limit) = (pans.test.name.clone(), pans.limit);
    (cv > limit).then_some(Warning::PansUneven { test, swath, cv, limit })
}

/// A catch-pan test, judged as `landplaster pans` does unless it is told otherwise.
fn pan_test(path: &Path, inputs: &mut Inputs) -> Result<PanReport, WorkError> {
    let source = inputs.source("pans", path)?;
    let content = unicode("pans", Path::new(&source.name), source.bytes)?;
    let mut test = pans::read(&source.name, &content)?;
    test.name = name(path);
    Ok(pans::report(test, DEFAULT_LIMIT, DrivingPattern::BackAndForth))
}
