//! `landplaster plan`.

use std::path::{Path, PathBuf};

use clap::Args;
use landplaster::field::{self, Field, Layer};
use landplaster::job::{Farm, Job};
use landplaster::plan::{self, Plan};
use landplaster::{read, write};

use super::failure::Failure;
use super::inputs::Inputs;
use super::{disk, farm, load, summary};

/// What was typed.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The job file or the farm file (TOML); paths in it are relative to it
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
    pub out: PathBuf,
    /// Plan every field of a farm, also where nothing has changed since the last run
    #[arg(long, requires = "job")]
    pub fresh: bool,
    /// Print the content of totals.json, or of a farm's farm.json, instead of a table
    #[arg(long)]
    pub json: bool,
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
}

/// Plans a field and writes its folder, or all fields of a farm.
pub fn run(arguments: &Arguments) -> Result<(), Failure> {
    let work = match &arguments.job {
        Some(path) => {
            let text = load::text("job file", path)?;
            if Farm::is_one(&text) {
                return farm::run(path, &text, arguments);
            }
            of_file(path, &text)?
        }
        None => of_arguments(arguments)?,
    };
    let plan = make(&work, &mut Inputs::new(&work.folder))?;
    let files = write::files(&plan).map_err(|error| Failure::Write(error.to_string()))?;
    let folder = disk::replace(&arguments.out, &plan.settings.job, &files)?;
    if arguments.json { summary::json(&plan) } else { summary::table(&plan, &folder, &files) }
}

fn of_file(path: &Path, text: &str) -> Result<Work, Failure> {
    let file = path.display().to_string();
    let job = Job::read(&file, text).map_err(Failure::input)?;
    let folder = path.parent().unwrap_or(Path::new("")).to_owned();
    Ok(Work { job, file, name: load::stem(path), folder })
}

fn of_arguments(arguments: &Arguments) -> Result<Work, Failure> {
    let (Some(boundary), Some(samples)) = (&arguments.boundary, &arguments.samples) else {
        return Err(Failure::Input("found neither a job file nor --boundary and --samples".into()));
    };
    let name = load::stem(boundary);
    let mut job = Job::of_files(boundary.clone(), samples.clone(), arguments.laboratory.clone());
    job.boundary.settings.crs.clone_from(&arguments.boundary_crs);
    job.samples.settings.crs.clone_from(&arguments.samples_crs);
    Ok(Work { job, file: "command line".into(), name, folder: PathBuf::new() })
}

/// Plans a job; its files are read by way of `inputs`.
pub fn make(work: &Work, inputs: &mut Inputs) -> Result<Plan, Failure> {
    let settings = work.job.settings(&work.file, &work.name).map_err(Failure::input)?;
    let field = field(work, inputs)?;
    plan::plan(field, settings).map_err(Failure::input)
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
    let layers = layers(job, inputs, &mut warnings)?;
    let (boundary, samples) =
        ((boundary.value, boundary.coordinates), (parted.kept, samples.coordinates));
    let field = Field::new(boundary, samples, warnings).map_err(Failure::input)?;
    let field = field.keeping_out(layers).map_err(Failure::input)?;
    Ok(Field { excluded: parted.excluded, ..field })
}

fn layers(
    job: &Job,
    inputs: &mut Inputs,
    warnings: &mut Vec<String>,
) -> Result<Vec<Layer>, Failure> {
    let mut layers = Vec::new();
    for (number, entry) in (1..).zip(&job.keep_out) {
        let source = inputs.source("keep_out", &entry.file)?;
        let read = read::features(&source, entry.crs.as_deref()).map_err(Failure::input)?;
        warnings.extend(read.warnings);
        layers.push(Layer {
            called: entry.called(number),
            why: entry.why.clone(),
            distance: entry.distance,
            features: read.value,
        });
    }
    Ok(layers)
}
