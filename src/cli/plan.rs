//! `landplaster plan`.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use landplaster::field::{self, Field, Layer};
use landplaster::job::{Job, KeepOutEntry, TaskDataEntry};
use landplaster::plan::{self, Plan};
use landplaster::spreader::{Machine, machine};
use landplaster::{read, write};

use super::failure::Failure;
use super::{disk, load, summary};

/// What was typed.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The job file (TOML); paths in it are relative to it
    #[arg(value_name = "JOB.toml", required_unless_present_all = ["boundary", "samples"])]
    job: Option<PathBuf>,
    /// The field boundary (GeoJSON or shapefile), in place of a job file
    #[arg(long, value_name = "FILE", requires = "samples", conflicts_with = "job")]
    boundary: Option<PathBuf>,
    /// The soil samples (CSV, GeoJSON or shapefile), in place of a job file
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
    /// The folder that the job's own folder is made in
    #[arg(long, value_name = "DIR", default_value = "plans")]
    out: PathBuf,
    /// Write this too: taskdata, the field's task for a rate controller (ISO 11783-10)
    #[arg(long, value_name = "FORMAT")]
    also: Vec<Extra>,
    /// Print the content of totals.json instead of a table
    #[arg(long)]
    json: bool,
}

/// What is written only when it is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Extra {
    #[value(name = "taskdata")]
    TaskData,
}

/// A job with what its messages and paths go by.
pub struct Work {
    pub job: Job,
    /// What messages call the job file.
    file: String,
    /// What the job is called unless it says.
    name: String,
    /// The folder that its paths start from.
    folder: PathBuf,
}

/// Plans a field and writes its folder.
pub fn run(arguments: &Arguments) -> Result<(), Failure> {
    let mut work = work(arguments)?;
    if arguments.also.contains(&Extra::TaskData) {
        work.job.taskdata.get_or_insert(TaskDataEntry::default());
    }
    let task_data = work.job.task_data(&work.file, &work.name).map_err(Failure::input)?;
    let plan = make(&work)?;
    let output = write::output(&plan, task_data.as_ref())
        .map_err(|error| Failure::Write(error.to_string()))?;
    let folder = disk::replace(&arguments.out, &plan.settings.job, &output.files)?;
    if arguments.json {
        summary::json(&output.totals)
    } else {
        summary::table(&plan, &folder, &output)
    }
}

fn work(arguments: &Arguments) -> Result<Work, Failure> {
    if let Some(path) = &arguments.job {
        return job(path);
    }
    let (Some(boundary), Some(samples)) = (&arguments.boundary, &arguments.samples) else {
        return Err(Failure::Input("found neither a job file nor --boundary and --samples".into()));
    };
    let name = load::stem(boundary);
    let mut job = Job::of_files(boundary.clone(), samples.clone(), arguments.laboratory.clone());
    job.boundary.settings.crs.clone_from(&arguments.boundary_crs);
    job.samples.settings.crs.clone_from(&arguments.samples_crs);
    Ok(Work { job, file: "command line".into(), name, folder: PathBuf::new() })
}

/// The work of a job file.
pub fn job(path: &Path) -> Result<Work, Failure> {
    let file = path.display().to_string();
    let job = Job::read(&file, &load::text("job file", path)?).map_err(Failure::input)?;
    let folder = path.parent().unwrap_or(Path::new("")).to_owned();
    Ok(Work { job, file, name: load::stem(path), folder })
}

/// The plan of some work.
pub fn make(work: &Work) -> Result<Plan, Failure> {
    let machine = machine(work)?;
    let settings = work.job.settings(&work.file, &work.name, machine.as_ref());
    let settings = settings.map_err(Failure::input)?;
    let field = field(work)?;
    plan::plan(field, settings).map_err(Failure::input)
}

fn machine(work: &Work) -> Result<Option<Machine>, Failure> {
    let Some(path) = &work.job.spreader else { return Ok(None) };
    let path = work.folder.join(path);
    let text = load::text("spreader", &path)?;
    machine::read(&path.display().to_string(), &text).map(Some).map_err(Failure::input)
}

fn field(work: &Work) -> Result<Field, Failure> {
    let Work { job, file, folder, .. } = work;
    let source = load::source("boundary", &folder.join(&job.boundary.file))?;
    let boundary = read::boundary(&source, &job.boundary.settings).map_err(Failure::input)?;
    let source = load::source("samples", &folder.join(&job.samples.file))?;
    let laboratory = match &job.laboratory {
        Some(entry) => {
            Some((load::source("laboratory", &folder.join(&entry.file))?, &entry.settings))
        }
        None => None,
    };
    let laboratory = laboratory.as_ref().map(|(source, settings)| (source, *settings));
    let cations = job.cations.clone().unwrap_or_default();
    let samples = read::samples(&source, laboratory, &job.samples.settings, &cations)
        .map_err(Failure::input)?;
    let parted = field::exclude(samples.value, &job.exclude, file).map_err(Failure::input)?;
    let mut warnings = [boundary.warnings, samples.warnings, parted.warnings].concat();
    let layers = layers(&job.keep_out, "keep_out", folder, &mut warnings)?;
    let site = site(job, folder, &mut warnings)?;
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
    folder: &Path,
    warnings: &mut Vec<String>,
) -> Result<Vec<Layer>, Failure> {
    let mut layers = Vec::new();
    for (number, entry) in (1..).zip(entries) {
        let source = load::source(list, &folder.join(&entry.file))?;
        let read = read::features(&source, entry.crs.as_deref()).map_err(Failure::input)?;
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

fn site(job: &Job, folder: &Path, warnings: &mut Vec<String>) -> Result<Option<Site>, Failure> {
    let Some(pile) = &job.pile else { return Ok(None) };
    let setbacks = layers(&pile.setbacks(), "[[pile.setback]]", folder, warnings)?;
    let Some(access) = &pile.access else { return Ok(Some((setbacks, None))) };
    let entry = KeepOutEntry {
        file: access.file.clone(),
        distance: pile.reach(),
        why: "the truck access".to_owned(),
        crs: access.settings.crs.clone(),
    };
    let called = format!("[pile] access ({})", access.file.display());
    let access = layers(&[entry], "[pile] access", folder, warnings)?.into_iter().next();
    Ok(Some((setbacks, access.map(|layer| Layer { called, ..layer }))))
}
