//! `landplaster plan`.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use landplaster::field::{self, Field, Layer};
use landplaster::job::{Farm, Job, KeepOutEntry, TaskDataEntry};
use landplaster::plan::{self, Plan};
use landplaster::read;
use landplaster::spreader::pans::{self, DEFAULT_LIMIT, Driving, Report};
use landplaster::spreader::{Machine, machine};
use landplaster::warning::Warning;
use landplaster::write::{self, Extras, Output};

use super::failure::Failure;
use super::inputs::Inputs;
use super::{disk, farm, load, summary};

/// What was typed.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The job file or the farm file (TOML); paths in it are relative to it
    #[arg(value_name = "JOB.toml", required_unless_present_all = ["boundary", "samples"])]
    job: Option<PathBuf>,
    /// The field boundary (GeoJSON, shapefile, GeoPackage, KML, task data), in place of a job file
    #[arg(long, value_name = "FILE", requires = "samples", conflicts_with = "job")]
    boundary: Option<PathBuf>,
    /// The soil samples (CSV, GeoJSON, shapefile, GeoPackage or KML), in place of a job file
    #[arg(long, value_name = "FILE", requires = "boundary", conflicts_with = "job")]
    samples: Option<PathBuf>,
    /// The laboratory's table, where it is not in the samples file
    #[arg(long, value_name = "FILE", requires = "boundary", conflicts_with = "job")]
    laboratory: Option<PathBuf>,
    /// The coordinate system of the boundary, where its file does not say it, such as EPSG:2965
    #[arg(long, value_name = "CRS", requires = "boundary")]
    boundary_crs: Option<String>,
    /// The coordinate system of the samples, where their file does not say it
    #[arg(long, value_name = "CRS", requires = "samples")]
    samples_crs: Option<String>,
    /// The field, where the boundary's file holds several
    #[arg(long, value_name = "NAME", requires = "boundary")]
    field: Option<String>,
    /// All polygons of the boundary are one field: join those that touch, cut out those inside others
    #[arg(long, requires = "boundary", conflicts_with = "field")]
    merge: bool,
    /// The layer of the boundary, where its file holds several
    #[arg(long, value_name = "NAME", requires = "boundary")]
    boundary_layer: Option<String>,
    /// The layer of the samples, where their file holds several
    #[arg(long, value_name = "NAME", requires = "samples")]
    samples_layer: Option<String>,
    /// The folder that the job's own folder is made in
    #[arg(long, value_name = "DIR", default_value = "plans")]
    pub out: PathBuf,
    /// Write this too; may be given several times
    #[arg(long, value_name = "FORMAT")]
    pub also: Vec<Extra>,
    /// Plan every field of a farm, also where nothing has changed since the last run
    #[arg(long, requires = "job")]
    pub fresh: bool,
    /// Print the content of totals.json, or of a farm's farm.json, instead of a table
    #[arg(long)]
    pub json: bool,
}

/// What is written only when it is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Extra {
    /// The field's task for a rate controller (ISO 11783-10)
    #[value(name = "taskdata")]
    TaskData,
    /// The map as zones.png, for messages
    Png,
    /// Zones, unspread ground, samples, piles and layers in one GeoPackage, zones.gpkg
    #[cfg(feature = "geopackage")]
    #[value(name = "gpkg")]
    GeoPackage,
}

/// A job with what its messages and paths go by.
pub struct Work {
    pub job: Job,
    /// What messages call the job file.
    pub file: String,
    /// What the job is called unless it says.
    pub name: String,
    /// The folder that its paths start from.
    pub folder: PathBuf,
    /// What else is written.
    pub extras: Vec<Extra>,
}

/// Plans a field and writes its folder, or all fields of a farm.
pub fn run(arguments: &Arguments) -> Result<(), Failure> {
    let mut work = match &arguments.job {
        Some(path) => {
            let text = load::text("job file", path)?;
            if Farm::is_one(&text) {
                return farm::run(path, &text, arguments);
            }
            of_file(path, &text)?
        }
        None => of_arguments(arguments)?,
    };
    work.also(&arguments.also);
    let (plan, output) = make(&work, &mut Inputs::new(&work.folder))?;
    let folder = disk::replace(&arguments.out, &plan.settings.job, &output.files)?;
    if arguments.json {
        summary::json(&output.totals)
    } else {
        summary::table(&plan, &folder, &output)
    }
}

impl Work {
    /// Asks for what is written only when it is asked for.
    pub fn also(&mut self, extras: &[Extra]) {
        if extras.contains(&Extra::TaskData) {
            self.job.taskdata.get_or_insert(TaskDataEntry::default());
        }
        self.extras = extras.to_vec();
    }
}

/// The work of a job file.
pub fn of_file(path: &Path, text: &str) -> Result<Work, Failure> {
    let file = path.display().to_string();
    let job = Job::read(&file, text).map_err(Failure::input)?;
    let folder = path.parent().unwrap_or(Path::new("")).to_owned();
    Ok(Work { job, file, name: load::stem(path), folder, extras: Vec::new() })
}

fn of_arguments(arguments: &Arguments) -> Result<Work, Failure> {
    let (Some(boundary), Some(samples)) = (&arguments.boundary, &arguments.samples) else {
        return Err(Failure::Input("found neither a job file nor --boundary and --samples".into()));
    };
    let name = load::stem(boundary);
    let mut job = Job::of_files(boundary.clone(), samples.clone(), arguments.laboratory.clone());
    job.boundary.settings.crs.clone_from(&arguments.boundary_crs);
    job.samples.settings.crs.clone_from(&arguments.samples_crs);
    job.boundary.settings.field.clone_from(&arguments.field);
    job.boundary.settings.merge = arguments.merge;
    job.boundary.settings.layer.clone_from(&arguments.boundary_layer);
    job.samples.settings.layer.clone_from(&arguments.samples_layer);
    Ok(Work { job, file: "command line".into(), name, folder: PathBuf::new(), extras: Vec::new() })
}

/// Plans a job, and what is written of it; its files are read by way of `inputs`.
pub fn make(work: &Work, inputs: &mut Inputs) -> Result<(Plan, Output), Failure> {
    let Work { job, file, name, .. } = work;
    let machine = job.spreader.as_ref().map(|path| machine(path, inputs)).transpose()?;
    let settings = job.settings(file, name, machine.as_ref()).map_err(Failure::input)?;
    let task_data = job.task_data(file, name).map_err(Failure::input)?;
    let pans = job.pans.as_ref().map(|path| pan_test(path, inputs)).transpose()?;
    let field = field(work, inputs)?;
    let plan = plan::plan(field, settings).map_err(Failure::input)?;
    let extras = Extras {
        task_data,
        png: work.extras.contains(&Extra::Png),
        #[cfg(feature = "geopackage")]
        geopackage: work.extras.contains(&Extra::GeoPackage),
        machine,
        pans,
        inputs: inputs.files(),
    };
    let output =
        write::output(&plan, &extras).map_err(|error| Failure::Write(error.to_string()))?;
    Ok((plan, output))
}

fn machine(path: &Path, inputs: &mut Inputs) -> Result<Machine, Failure> {
    let source = inputs.source("spreader", path)?;
    let text = load::utf8("spreader", Path::new(&source.name), source.bytes)?;
    machine::read(&source.name, &text).map_err(Failure::input)
}

/// A catch-pan test, judged as `landplaster pans` does unless it is told otherwise.
fn pan_test(path: &Path, inputs: &mut Inputs) -> Result<Report, Failure> {
    let source = inputs.source("pans", path)?;
    let content = load::utf8("pans", Path::new(&source.name), source.bytes)?;
    let mut test = pans::read(&source.name, &content).map_err(Failure::input)?;
    test.name = load::name(path);
    Ok(pans::report(test, DEFAULT_LIMIT, Driving::BackAndForth))
}

fn field(work: &Work, inputs: &mut Inputs) -> Result<Field, Failure> {
    let Work { job, file, .. } = work;
    let source = inputs.source("boundary", &job.boundary.file)?;
    let boundary = read::boundary(&source, &job.boundary.settings).map_err(Failure::input)?;
    let source = inputs.source("samples", &job.samples.file)?;
    let laboratory = match &job.laboratory {
        Some(entry) => Some((inputs.source("laboratory", &entry.file)?, &entry.settings)),
        None => None,
    };
    let laboratory = laboratory.as_ref().map(|(source, settings)| (source, *settings));
    let cations = job.cations.clone().unwrap_or_default();
    let samples = read::samples(&source, laboratory, &job.samples.settings, &cations)
        .map_err(Failure::input)?;
    let parted = field::exclude(samples.value, &job.exclude, file).map_err(Failure::input)?;
    let mut warnings = [boundary.warnings, samples.warnings, parted.warnings].concat();
    let layers = layers(&job.keep_out, "keep_out", inputs, &mut warnings)?;
    let site = site(job, inputs, &mut warnings)?;
    let (boundary, samples) =
        ((boundary.value, boundary.coordinates), (parted.kept, samples.coordinates));
    let field = Field::new(boundary, samples, warnings).map_err(Failure::input)?;
    let mut field = field.keeping_out(layers).map_err(Failure::input)?;
    if let Some((setbacks, access)) = site {
        field = field.with_site(&setbacks, access.as_ref()).map_err(Failure::input)?;
    }
    Ok(Field { excluded: parted.excluded, ..field })
}

fn layers(
    entries: &[KeepOutEntry],
    list: &str,
    inputs: &mut Inputs,
    warnings: &mut Vec<Warning>,
) -> Result<Vec<Layer>, Failure> {
    let mut layers = Vec::new();
    for (number, entry) in (1..).zip(entries) {
        let source = inputs.source(list, &entry.file)?;
        let read = read::features(&source, &entry.settings()).map_err(Failure::input)?;
        warnings.extend(read.warnings);
        layers.push(Layer {
            called: entry.called(list, number),
            why: entry.why.clone(),
            distance: entry.distance,
            features: read.value,
        });
    }
    Ok(layers)
}

/// What piles keep a distance from, and where road trucks reach.
type Site = (Vec<Layer>, Option<Layer>);

fn site(
    job: &Job,
    inputs: &mut Inputs,
    warnings: &mut Vec<Warning>,
) -> Result<Option<Site>, Failure> {
    let Some(pile) = &job.pile else { return Ok(None) };
    let setbacks = layers(&pile.setbacks(), "[[pile.setback]]", inputs, warnings)?;
    let Some(access) = &pile.access else { return Ok(Some((setbacks, None))) };
    let entry = KeepOutEntry {
        file: access.file.clone(),
        distance: pile.reach(),
        why: "the truck access".to_owned(),
        crs: access.settings.crs.clone(),
        layer: access.settings.layer.clone(),
        field: access.settings.field.clone(),
    };
    let called = format!("[pile] access ({})", access.file.display());
    let access = layers(&[entry], "[pile] access", inputs, warnings)?.into_iter().next();
    Ok(Some((setbacks, access.map(|layer| Layer { called, ..layer }))))
}
