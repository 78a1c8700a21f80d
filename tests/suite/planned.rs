//! Plans made in memory, without the program.

use std::collections::BTreeMap;
use std::path::Path;

use landplaster::plan::{self, Plan};
use landplaster::read::Source;
use landplaster::read::taskdata::Files;
use landplaster::work::{Memory, Prepared, Work};
use landplaster::write::{self, FormatError, Output};

/// A square field of about 10 acres in WGS84, the corners in order.
pub const FIELD: &str = r#"{"type": "Polygon", "coordinates": [[
    [-85.2, 40.4], [-85.1976, 40.4], [-85.1976, 40.4018], [-85.2, 40.4018], [-85.2, 40.4]]]}"#;

/// Samples in it that cross two breaks.
pub const SAMPLES: &str = "id,longitude,latitude,cec\n\
    A1,-85.1996,40.4004,6\nA2,-85.1988,40.4004,9\nA3,-85.1980,40.4004,13\n\
    B1,-85.1996,40.4014,8\nB2,-85.1988,40.4014,14\nB3,-85.1980,40.4014,19\n";

/// The smallest job.
pub const JOB: &str = "boundary = \"field.geojson\"\nsamples = \"samples.csv\"\n";

/// The plan of a GeoJSON boundary and a CSV of samples by the rest of a job file.
pub fn plan(job: &str, boundary: &str, samples: &str) -> Plan {
    plan_around(job, boundary, samples, NO_FEATURES)
}

/// The same with the features of a GeoJSON, `keep-out.geojson`, for every `[[keep_out]]` of the job.
pub fn plan_around(job: &str, boundary: &str, samples: &str, features: &str) -> Plan {
    let Prepared { field, settings, .. } = prepared(job, boundary, samples, features);
    plan::plan(field, settings).unwrap()
}

/// The field and the settings of a job in memory.
pub fn prepared(job: &str, boundary: &str, samples: &str, features: &str) -> Prepared {
    let mut files = Memory::default();
    files
        .put("field.geojson", boundary)
        .put("samples.csv", samples)
        .put("keep-out.geojson", features);
    let mut work = Work::of_file(Path::new("field.toml"), &text(job)).unwrap();
    for entry in &mut work.job.keep_out {
        entry.file = "keep-out.geojson".into();
    }
    work.prepare(&files).unwrap()
}

/// What a plan is written as, with the `[taskdata]` of a job file.
pub fn output(plan: &Plan, job: &str) -> Result<Output, FormatError> {
    let work = Work::of_file(Path::new("field.toml"), &text(job)).unwrap();
    let task_data = work.job.task_data("field.toml", "field").unwrap();
    write::output(plan, &write::Extras { task_data, ..write::Extras::default() })
}

const NO_FEATURES: &str = "{\"type\":\"FeatureCollection\",\"features\":[]}";

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
