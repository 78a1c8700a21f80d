//! A target for each kind of file that is read. The first byte of an input says which format it is in,
//! by the order of the names here; a shapefile's table follows its shapes, whose length stands before.

use std::collections::BTreeMap;

use landplaster::inspect;
use landplaster::job::{Farm, Job};
use landplaster::read::taskdata::unpack;
use landplaster::read::{
    self, AppliedSettings, BoundarySettings, CationSettings, FeatureSettings, LaboratorySettings,
    Logged, SampleSettings, Source,
};
use landplaster::reconcile::season;
use landplaster::spreader::constant::Log;
use landplaster::spreader::{machine, pans};
use landplaster::totals;

use crate::Target;
use crate::memory::within_rule;

/// The targets by name.
pub const ALL: &[(&str, Target)] = &[
    ("boundary", boundary),
    ("samples", samples),
    ("laboratory", laboratory),
    ("features", features),
    ("zones", zones),
    ("applied", applied),
    ("tickets", tickets),
    ("taskdata", taskdata),
    ("job", job),
    ("farm", farm),
    ("machine", machine_file),
    ("pans", pan_test),
    ("weigh", weigh_tests),
    ("totals", totals_file),
    ("season", season_file),
];

const SHAPES: &[&str] =
    &["f.geojson", "f.kml", "f.shp", "f.gpkg", "TASKDATA.XML", "f.kmz", "f.zip", "f.csv"];
const TABLES: &[&str] =
    &["s.csv", "s.json", "s.xml", "s.xlsx", "s.ods", "s.xls", "s.geojson", "s.shp", "s.kml", "s.gpkg"];

/// The file that an input stands for.
fn source(names: &[&str], data: &[u8]) -> Option<Source> {
    let (format, bytes) = data.split_first()?;
    let name = names.get(usize::from(*format) % names.len())?;
    let mut source =
        Source { name: (*name).to_owned(), bytes: bytes.to_vec(), sidecars: BTreeMap::new() };
    if name.ends_with(".shp") {
        let (length, rest) = bytes.split_first_chunk()?;
        let shapes = usize::from(u16::from_le_bytes(*length)).min(rest.len());
        source.bytes = rest[..shapes].to_vec();
        source.sidecars.insert("dbf".to_owned(), rest[shapes..].to_vec());
    }
    Some(source)
}

fn with(names: &[&str], data: &[u8], work: impl FnOnce(&Source)) {
    if let Some(source) = source(names, data) {
        within_rule(data.len(), || work(&source));
    }
}

fn with_text(data: &[u8], work: impl FnOnce(&str)) {
    if let Ok(text) = str::from_utf8(data) {
        within_rule(data.len(), || work(text));
    }
}

fn boundary(data: &[u8]) {
    with(SHAPES, data, |source| {
        let crs = Some("EPSG:4326".to_owned());
        for merge in [false, true] {
            let settings = BoundarySettings { crs: crs.clone(), merge, ..Default::default() };
            let _ = read::boundary(source, &settings);
        }
    });
}

fn samples(data: &[u8]) {
    with(TABLES, data, |source| {
        let settings =
            SampleSettings { crs: Some("EPSG:4326".to_owned()), ..SampleSettings::default() };
        let _ = read::samples(source, None, &settings, &CationSettings::default());
    });
}

const POINTS: &str = "id,longitude,latitude\nA1,-85.2,40.1\nA2,-85.19,40.1\n3,-85.19,40.11\n";

fn laboratory(data: &[u8]) {
    with(TABLES, data, |source| {
        let points = Source {
            name: "points.csv".to_owned(),
            bytes: POINTS.as_bytes().to_vec(),
            sidecars: BTreeMap::new(),
        };
        let settings = LaboratorySettings::default();
        let _ = read::samples(
            &points,
            Some((source, &settings)),
            &SampleSettings::default(),
            &CationSettings::default(),
        );
    });
}

fn features(data: &[u8]) {
    with(SHAPES, data, |source| {
        let _ = read::features(source, &FeatureSettings::default());
    });
}

/// Zones as a plan wrote them and somebody edited, and as anybody else's for `inspect`.
fn zones(data: &[u8]) {
    with(SHAPES, data, |source| {
        let _ = read::zones(source);
        if let Ok(report) = inspect::zones(source, &inspect::RateSetting::default()) {
            let _ = (report.lines(), report.json());
        }
    });
}

fn applied(data: &[u8]) {
    with(&[TABLES, SHAPES].concat(), data, |source| {
        let settings = AppliedSettings {
            logged: Logged::Mass("mass".to_owned()),
            unit: Some("lb".to_owned()),
            distance: None,
            crs: None,
            layer: None,
        };
        let _ = read::applied(source, &settings);
    });
}

fn tickets(data: &[u8]) {
    with(TABLES, data, |source| {
        let _ = read::tickets(source, None);
    });
}

/// A folder's main file, and an archive.
fn taskdata(data: &[u8]) {
    within_rule(data.len(), || {
        let files = BTreeMap::from([("TASKDATA.XML".to_owned(), data.to_vec())]);
        if let Ok(report) = inspect::folder("TASKDATA", &files) {
            let _ = report.lines();
        }
        let _ = unpack("t.zip", data);
        let _ = inspect::archive("t.zip", data);
    });
}

fn job(data: &[u8]) {
    with_text(data, |text| {
        if let Ok(job) = Job::read("job.toml", text) {
            let _ = job.settings("job.toml", "job", None);
            let _ = job.task_data("job.toml", "job");
        }
    });
}

fn farm(data: &[u8]) {
    with_text(data, |text| {
        if let Ok(farm) = Farm::read("farm.toml", text) {
            let job = "boundary = \"a.shp\"\nsamples = \"a.csv\"\n";
            let _ = farm.job("a.toml".as_ref(), "a.toml", job, "a");
        }
    });
}

fn machine_file(data: &[u8]) {
    with_text(data, |text| drop(machine::read("machine.toml", text)));
}

fn pan_test(data: &[u8]) {
    with_text(data, |text| {
        if let Ok(test) = pans::read("pans.csv", text) {
            let _ = pans::report(test, pans::DEFAULT_LIMIT, pans::Driving::Race);
        }
    });
}

fn weigh_tests(data: &[u8]) {
    with_text(data, |text| {
        if let Ok(log) = Log::read("log.csv", text) {
            let again = Log::read("log.csv", &log.write()).expect("a log reads what it wrote");
            assert!(again == log, "a log reads what it wrote");
        }
    });
}

fn totals_file(data: &[u8]) {
    with_text(data, |text| {
        let _ = totals::Totals::read(text);
        let _ = totals::FarmFile::read(text);
    });
}

fn season_file(data: &[u8]) {
    with_text(data, |text| drop(season::system(text)));
}
