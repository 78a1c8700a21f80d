//! What is typed after `landplaster plan`, and the job or the farm file that it stands for.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use landplaster::job::{Changes, Job, KeepOutText, LaboratoryEntry};
use landplaster::read::{LaboratorySettings, SampleSettings};
use landplaster::soil::TierSetting;
use landplaster::units::{Length, Written};
use landplaster::work::{OnRequest, Work};

use super::failure::Failure;
use super::load;

/// What was typed.
#[derive(Clone, Debug, Args)]
pub struct Arguments {
    /// The job file or the farm file (TOML); paths in it are relative to it
    #[arg(value_name = "JOB.toml")]
    pub job: Option<PathBuf>,
    /// The boundaries of several named fields, all of which are planned with the samples of all
    #[arg(long, value_name = "FILE", requires = "samples", conflicts_with_all = ["job", "boundary"])]
    pub boundaries: Option<PathBuf>,
    /// The column with the fields' names, of --boundaries
    #[arg(long, value_name = "COLUMN", requires = "boundaries")]
    names: Option<String>,
    /// The column of the samples, or of the laboratory's table, that says the field; where they lie if none
    #[arg(long, value_name = "COLUMN", requires = "boundaries")]
    field_column: Option<String>,
    /// The field boundary (GeoJSON, shapefile, GeoPackage, KML, task data), in place of a job file
    #[arg(long, value_name = "FILE", requires = "samples", conflicts_with = "job")]
    pub boundary: Option<PathBuf>,
    /// The soil samples (CSV, GeoJSON, shapefile, GeoPackage or KML), in place of a job file
    #[arg(long, value_name = "FILE", conflicts_with = "job")]
    pub samples: Option<PathBuf>,
    /// The laboratory's table, where it is not in the samples file
    #[arg(long, value_name = "FILE", requires = "samples", conflicts_with = "job")]
    laboratory: Option<PathBuf>,
    /// The coordinate system of the boundary, where its file does not say it, such as EPSG:2965
    #[arg(long, value_name = "CRS", requires = "samples")]
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
    #[arg(long, value_name = "NAME", requires = "samples")]
    boundary_layer: Option<String>,
    /// The layer of the samples, where their file holds several
    #[arg(long, value_name = "NAME", requires = "samples")]
    samples_layer: Option<String>,
    /// A tier in place of the job's or the usual ones, from the lowest CEC; give one for each tier: "under 10: 0.5 ton/ac"
    #[arg(long = "tier", value_name = "BOUNDS: RATE")]
    tiers: Vec<TierSetting>,
    /// The distance between two passes of the machine, such as 60ft, in place of the job's
    #[arg(long, value_name = "LENGTH", value_parser = Written::<Length>::read)]
    swath: Option<Written<Length>>,
    /// What nothing is spread near, and how far from it: pond.kml=35ft; may be given several times
    #[arg(long, value_name = "FILE=DISTANCE")]
    keep_out: Vec<KeepOutText>,
    /// The folder that the job's own folder is made in
    #[arg(long, value_name = "DIR", default_value = "plans")]
    pub out: PathBuf,
    /// Write one more format; may be given several times
    #[arg(long, value_name = "FORMAT")]
    pub also: Vec<Extra>,
    /// Plan every field of a farm, also where nothing has changed since the last run
    #[arg(long)]
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
    /// What is changed about the job, or all jobs of a farm.
    pub fn changes(&self) -> Changes {
        let Self { tiers, keep_out, swath, .. } = self.clone();
        Changes { tiers, swath, keep_out }
    }

    /// What is asked for beside the usual files.
    pub fn extras(&self) -> Vec<OnRequest> {
        let also = |extra: &Extra| match extra {
            Extra::TaskData => OnRequest::TaskData,
            Extra::Png => OnRequest::Png,
            #[cfg(feature = "geopackage")]
            Extra::GeoPackage => OnRequest::GeoPackage,
        };
        self.also.iter().map(also).collect()
    }
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

/// The job of two files and what is said of them.
pub fn of_arguments(arguments: &Arguments) -> Result<Work, Failure> {
    let (Some(boundary), Some(samples)) = (&arguments.boundary, &arguments.samples) else {
        let (found, lacking) = match &arguments.boundary {
            Some(_) => ("--boundary", "--samples"),
            None => ("--samples", "--boundary or --boundaries"),
        };
        return Err(Failure::Input(format!("found {found} alone, expected {lacking} with it")));
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

/// The farm file of several fields, as `landplaster start --farm` would write it.
pub fn of_fields(arguments: &Arguments) -> String {
    let Arguments { boundaries, samples, laboratory, .. } = arguments.clone();
    let name = boundaries.as_deref().map(load::stem).unwrap_or_default();
    let entry = |file: Option<PathBuf>, keys: &[(&str, &Option<String>)]| {
        let mut table = toml::Table::new();
        let file = file?.to_string_lossy().into_owned();
        table.insert("file".to_owned(), file.into());
        for (key, value) in keys {
            table.extend(value.iter().map(|value| ((*key).to_owned(), value.clone().into())));
        }
        Some(toml::Value::Table(table))
    };
    let Arguments { cec, id, depth, sheet, field_column, .. } = arguments;
    let results = [
        ("cec", cec),
        ("id", id),
        ("depth", depth),
        ("sheet", sheet),
        ("field_column", field_column),
    ];
    let alone = [("crs", &arguments.samples_crs), ("layer", &arguments.samples_layer)];
    let boundaries = entry(
        boundaries,
        &[
            ("crs", &arguments.boundary_crs),
            ("layer", &arguments.boundary_layer),
            ("names", &arguments.names),
        ],
    );
    let (of_samples, of_laboratory): (Vec<_>, Vec<_>) = if laboratory.is_some() {
        (alone.to_vec(), results.to_vec())
    } else {
        (alone.into_iter().chain(results).collect(), Vec::new())
    };
    let entries = [
        ("farm", Some(name.into())),
        ("boundaries", boundaries),
        ("samples", entry(samples, &of_samples)),
        ("laboratory", entry(laboratory, &of_laboratory)),
    ];
    let farm: toml::Table =
        entries.into_iter().filter_map(|(key, value)| Some((key.to_owned(), value?))).collect();
    farm.to_string()
}
