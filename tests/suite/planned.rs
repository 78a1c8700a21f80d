//! Plans made in memory, without the program.

use std::collections::BTreeMap;

use landplaster::field::{Field, Layer};
use landplaster::job::Job;
use landplaster::plan::{self, Plan};
use landplaster::read::taskdata::Files;
use landplaster::read::{
    self, BoundarySettings, CationSettings, FeatureSettings, SampleSettings, Source,
};
use landplaster::write::{self, Extras, FormatError, Output};

/// The plan of a GeoJSON boundary and a CSV of samples by the rest of a job file.
pub fn plan(job: &str, boundary: &str, samples: &str) -> Plan {
    plan_around(job, boundary, samples, "{\"type\":\"FeatureCollection\",\"features\":[]}")
}

/// The same with the features of a GeoJSON, which every `[[keep_out]]` of the job keeps from.
pub fn plan_around(job: &str, boundary: &str, samples: &str, features: &str) -> Plan {
    let job = Job::read("job.toml", &text(job)).unwrap();
    let settings = job.settings("job.toml", "field", None).unwrap();
    let boundary =
        read::boundary(&source("field.geojson", boundary), &BoundarySettings::default()).unwrap();
    let cations = CationSettings::default();
    let samples =
        read::samples(&source("samples.csv", samples), None, &SampleSettings::default(), &cations)
            .unwrap();
    let field = Field::new(
        (boundary.value, boundary.coordinates),
        (samples.value, samples.coordinates),
        vec![],
    );
    let layers = (1..).zip(&job.keep_out).map(|(number, entry)| Layer {
        called: entry.called("keep_out", number),
        why: entry.why.clone(),
        distance: entry.distance,
        features: read::features(
            &source("keep-out.geojson", features),
            &FeatureSettings::default(),
        )
        .unwrap()
        .value,
    });
    let field = field.unwrap().keeping_out(layers.collect()).unwrap();
    plan::plan(field, settings).unwrap()
}

/// What a plan is written as, with the `[taskdata]` of a job file.
pub fn output(plan: &Plan, job: &str) -> Result<Output, FormatError> {
    let job = Job::read("job.toml", &text(job)).unwrap();
    write::output(
        plan,
        &Extras { task_data: job.task_data("job.toml", "field").unwrap(), ..Extras::default() },
    )
}

fn text(job: &str) -> String {
    format!("boundary = \"field.geojson\"\nsamples = \"samples.csv\"\n{job}")
}

pub fn source(name: &str, bytes: impl Into<Vec<u8>>) -> Source {
    Source { name: name.to_owned(), bytes: bytes.into(), sidecars: BTreeMap::new() }
}

pub fn bytes<'a>(output: &'a Output, name: &str) -> &'a [u8] {
    &output.files.iter().find(|file| file.name == name).unwrap().bytes
}

/// The shapefile of an output.
pub fn shapefile(output: &Output) -> Source {
    let mut source = source("zones.shp", bytes(output, "zones.shp"));
    for extension in ["shx", "dbf", "prj", "cpg"] {
        let content = bytes(output, &format!("zones.{extension}")).to_vec();
        source.sidecars.insert(extension.to_owned(), content);
    }
    source
}

/// The task-data folder of an output.
pub fn task_files(output: &Output) -> Files {
    let inside = |file: &write::OutputFile| {
        Some((file.name.strip_prefix("TASKDATA/")?.to_owned(), file.bytes.clone()))
    };
    output.files.iter().filter_map(inside).collect()
}
