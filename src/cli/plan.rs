//! `landplaster plan`.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use landplaster::job::{Farm, Job, LaboratoryEntry};
use landplaster::read::{LaboratorySettings, SampleSettings};
use landplaster::report::summary::plan_summary;
use landplaster::work::{Also, Disk, Work};
use landplaster::write::taskdata::Report;

use super::failure::Failure;
use super::{disk, farm, load, print};

/// What was typed.
#[derive(Clone, Debug, Args)]
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
    /// The column with the CEC, of the laboratory's table or else of the samples
    #[arg(long, value_name = "COLUMN", requires = "samples")]
    cec: Option<String>,
    /// The column with the samples' names, of the laboratory's table or else of the samples
    #[arg(long, value_name = "COLUMN", requires = "samples")]
    id: Option<String>,
    /// The depth to take, where there are several, such as 0-6; the top one if not given
    #[arg(long, value_name = "DEPTH", requires = "samples")]
    depth: Option<String>,
    /// The sheet of a spreadsheet, of the laboratory's or else of the samples
    #[arg(long, value_name = "SHEET", requires = "samples")]
    sheet: Option<String>,
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
    /// Write one more format; may be given several times
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

impl Arguments {
    /// What is asked for beside the usual files.
    pub fn extras(&self) -> Vec<Also> {
        let also = |extra: &Extra| match extra {
            Extra::TaskData => Also::TaskData,
            Extra::Png => Also::Png,
            #[cfg(feature = "geopackage")]
            Extra::GeoPackage => Also::GeoPackage,
        };
        self.also.iter().map(also).collect()
    }
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
    work.also(&arguments.extras());
    let (plan, output) = work.plan(&Disk).map_err(Failure::input)?;
    let folder = disk::replace(&arguments.out, &plan.settings.job, &output.files)?;
    if arguments.json {
        print::json(&output.totals)
    } else {
        let told: Vec<String> = output.task_data.iter().flat_map(Report::lines).collect();
        let names: Vec<&str> = output.files.iter().map(|file| file.name.as_str()).collect();
        print::text(&plan_summary(&plan, &told, folder.display(), &names))
    }
}

/// The work of a job file.
pub fn of_file(path: &Path, text: &str) -> Result<Work, Failure> {
    Work::of_file(path, text).map_err(Failure::input)
}

/// How the results are read, which are in the laboratory's table or else with the samples.
fn results_settings(job: &mut Job, arguments: &Arguments) {
    let Arguments { cec, id, depth, sheet, .. } = arguments.clone();
    if let Some(LaboratoryEntry { settings, .. }) = &mut job.laboratory {
        *settings = LaboratorySettings { cec, id, depth, sheet, ..LaboratorySettings::default() };
    } else {
        let crs = job.samples.settings.crs.take();
        job.samples.settings =
            SampleSettings { crs, cec, id, depth, sheet, ..SampleSettings::default() };
    }
}

fn of_arguments(arguments: &Arguments) -> Result<Work, Failure> {
    let (Some(boundary), Some(samples)) = (&arguments.boundary, &arguments.samples) else {
        return Err(Failure::Input("found neither a job file nor --boundary and --samples".into()));
    };
    let name = arguments.field.clone().unwrap_or_else(|| load::stem(boundary));
    let mut job = Job::of_files(boundary.clone(), samples.clone(), arguments.laboratory.clone());
    job.boundary.settings.crs.clone_from(&arguments.boundary_crs);
    job.samples.settings.crs.clone_from(&arguments.samples_crs);
    results_settings(&mut job, arguments);
    job.boundary.settings.field.clone_from(&arguments.field);
    job.boundary.settings.merge = arguments.merge;
    job.boundary.settings.layer.clone_from(&arguments.boundary_layer);
    job.samples.settings.layer.clone_from(&arguments.samples_layer);
    Ok(Work { job, file: "command line".into(), name, folder: PathBuf::new(), also: Vec::new() })
}
