//! Every reader of bytes: it gives a value or an error, within its memory.

use std::path::Path;

use landplaster::job::{Farm, Job};
use landplaster::read::{
    self, AppliedSettings, BoundarySettings, CationSettings, FeatureSettings, LaboratorySettings,
    LoggedQuantity, SampleSettings, Source, taskdata,
};
use landplaster::reconcile::{Application, PlannedField, reconcile};
use landplaster::report::charts;
use landplaster::spreader::pans::{self, DEFAULT_LIMIT, DrivingPattern};
use landplaster::spreader::{constant, gate, machine};
use landplaster::totals::{FarmFile, Totals};
use landplaster::units::{Area, Mass, Share, System};
use landplaster::work::{self, FarmWork, Memory, Work};
use landplaster::{inspect, report};

use crate::memory::bounded;
use crate::parts::{folder, parts};

pub const TARGETS: &[(&str, fn(&[u8]))] = &[
    ("boundary", boundary),
    ("features", features),
    ("samples", samples),
    ("laboratory", laboratory),
    ("zone_file", zone_file),
    ("task_data", task_data),
    ("time_log", time_log),
    ("tickets", tickets),
    ("applied", applied),
    ("job", job),
    ("farm", farm),
    ("machine", machine_file),
    ("pans", pan_test),
    ("weigh_tests", weigh_tests),
    ("totals", totals),
];

fn size(files: &[(String, Vec<u8>)]) -> usize {
    files.iter().map(|(_, bytes)| bytes.len()).sum()
}

/// The input as one file with its sidecars, and how many bytes it has.
fn source(data: &[u8]) -> Option<(Source, usize)> {
    let (files, first) = folder(data)?;
    let source = work::source(&files, "file", Path::new(&first)).ok()?;
    Some((source, size(&parts(data))))
}

fn text(data: &[u8]) -> Option<&str> {
    str::from_utf8(data).ok()
}

fn boundary(data: &[u8]) {
    let Some((source, bytes)) = source(data) else { return };
    for merge in [false, true] {
        let settings = BoundarySettings { merge, ..BoundarySettings::default() };
        let _ = bounded(bytes, || read::boundary(&source, &settings));
    }
    let _ = bounded(bytes, || read::outlines(&source, &BoundarySettings::default()));
    let _ = bounded(bytes, || read::look_into(&source));
}

fn features(data: &[u8]) {
    let Some((source, bytes)) = source(data) else { return };
    let _ = bounded(bytes, || read::features(&source, &FeatureSettings::default()));
}

fn samples(data: &[u8]) {
    let Some((source, bytes)) = source(data) else { return };
    let (settings, cations) = (SampleSettings::default(), CationSettings::default());
    let _ = bounded(bytes, || read::samples(&source, None, &settings, &cations));
    let _ = bounded(bytes, || read::samples_of_fields(&source, &settings, true));
}

/// A table of results; the points are those that the corpus is of.
fn laboratory(data: &[u8]) {
    const POINTS: &str = "id,longitude,latitude\nA1,-85.1996,40.4004\nA2,-85.1988,40.4004\n\
        A3,-85.1980,40.4004\nPQ001,-85.1996,40.4014\nPQ002,-85.1988,40.4014\nPQ003,-85.1980,40.4014\n";
    let Some((results, bytes)) = source(data) else { return };
    let points = Source { name: "points.csv".into(), bytes: POINTS.into(), ..Source::default() };
    let (settings, cations) = (SampleSettings::default(), CationSettings::default());
    let of = (&results, &LaboratorySettings::default());
    let _ = bounded(bytes, || read::samples(&points, Some(of), &settings, &cations));
}

fn zone_file(data: &[u8]) {
    let Some((source, bytes)) = source(data) else { return };
    let _ = bounded(bytes, || read::zone_file(&source, None));
    let _ = bounded(bytes, || inspect::zones(&source, &inspect::RateSetting::default()));
    let Ok(zones) = bounded(bytes, || read::zones(&source)) else { return };
    let field = PlannedField {
        name: "home".into(),
        area: Area::acres(10.0),
        mass: Mass::tons(10.0),
        loss: Share::ZERO,
        zones,
    };
    let fields = [(field, Mass::ZERO)];
    let record = Source {
        name: "applied.csv".into(),
        bytes: b"longitude,latitude,rate (ton/ac)\n-85.2,40.4,1\n-85.1988,40.4004,2\n".to_vec(),
        ..Source::default()
    };
    if let Ok(record) = read::applied(&record, &rate("rate (ton/ac)")) {
        let _ = reconcile(&fields, &[], Application::Rows(&record.value.rows), None, System::Us);
    }
}

fn task_files(data: &[u8]) -> (taskdata::Files, usize) {
    let parts = parts(data);
    let bytes = size(&parts);
    (parts.into_iter().collect(), bytes)
}

fn task_data(data: &[u8]) {
    let (files, bytes) = task_files(data);
    let _ = bounded(bytes, || inspect::folder("TASKDATA", &files));
    for (name, content) in &files {
        if name.ends_with(".zip") {
            let _ = bounded(bytes, || inspect::archive(name, content));
        }
    }
}

fn time_log(data: &[u8]) {
    let (files, bytes) = task_files(data);
    let _ = bounded(bytes, || read::logs("TASKDATA", &files, None));
}

fn tickets(data: &[u8]) {
    let Some((source, bytes)) = source(data) else { return };
    let _ = bounded(bytes, || read::tickets(&source, None));
}

fn rate(column: &str) -> AppliedSettings {
    let logged = LoggedQuantity::Rate(column.into());
    AppliedSettings { logged, unit: None, distance: None, crs: None, layer: None }
}

fn applied(data: &[u8]) {
    let Some((source, bytes)) = source(data) else { return };
    let _ = bounded(bytes, || read::applied(&source, &rate("rate (ton/ac)")));
    let mass = AppliedSettings { logged: LoggedQuantity::Mass("mass (lb)".into()), ..rate("") };
    let _ = bounded(bytes, || read::applied(&source, &mass));
}

fn job(data: &[u8]) {
    let Some(text) = text(data) else { return };
    let _ = bounded(data.len(), || Job::read("job.toml", text));
    let Ok(work) = Work::of_file(Path::new("job.toml"), text) else { return };
    let _ = work.prepare(&Memory::default());
}

fn farm(data: &[u8]) {
    let Some(text) = text(data) else { return };
    let _ = bounded(data.len(), || Farm::read("farm.toml", text));
    let _ =
        bounded(data.len(), || FarmWork::written(Path::new("farm.toml"), text, &Memory::default()));
}

fn machine_file(data: &[u8]) {
    let Some(text) = text(data) else { return };
    let _ = bounded(data.len(), || machine::read("machine.toml", text));
}

fn pan_test(data: &[u8]) {
    let Some(text) = text(data) else { return };
    let Ok(test) = bounded(data.len(), || pans::read("pans.csv", text)) else { return };
    for driving in [DrivingPattern::Race, DrivingPattern::BackAndForth] {
        let report = pans::report(test.clone(), DEFAULT_LIMIT, driving);
        let _ = pans::remedies(&report);
        let _ = report::pan_table(&report);
        let _ = charts::cv_against_swath(&report);
        let _ = charts::single_pass(&report);
    }
}

fn weigh_tests(data: &[u8]) {
    let Some(text) = text(data) else { return };
    let _ = bounded(data.len(), || constant::WeighTestLog::read("weigh-tests.csv", text));
}

fn totals(data: &[u8]) {
    let Some(text) = text(data) else { return };
    let _ = bounded(data.len(), || FarmFile::read(text));
    let _ = bounded(data.len(), || gate::read_totals("totals.json", text));
    if let Ok(totals) = bounded(data.len(), || Totals::read(text)) {
        let _ = landplaster::totals::text(&totals);
    }
}
