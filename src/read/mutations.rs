//! Files that are cut off or have bytes changed are refused or read, and never bring anything down.

use super::shapefile::tests::{dbf_bytes, point_shp, polygon_shp};
use super::spreadsheet::tests::{BOOKS, changed};
use super::{
    BoundarySettings, CationSettings, FeatureSettings, LaboratorySettings, SampleSettings, Source,
    boundary, features, samples,
};
use crate::projection::wgs84_prj;
use crate::sampling::Generator;

const ROUNDS: u64 = 400;

fn mutated(bytes: &[u8], random: &mut Generator) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    if random.below(3) == 0 {
        bytes.truncate(random.below(bytes.len()));
    }
    for _ in 0..random.below(4) {
        let at = random.below(bytes.len());
        if let Some(byte) = bytes.get_mut(at) {
            *byte = [0, 0xff, b'9', b',', b'[', random.next().to_le_bytes()[0]][random.below(6)];
        }
    }
    bytes
}

/// A system by name spares PROJ the time to read a `.prj`.
const WGS84: &str = "EPSG:4326";

fn try_boundary(source: &Source) {
    let _read = boundary(
        source,
        &BoundarySettings { crs: Some(WGS84.to_owned()), ..BoundarySettings::default() },
    );
    let _read = features(
        source,
        &FeatureSettings { crs: Some(WGS84.to_owned()), ..FeatureSettings::default() },
    );
}

fn try_samples(source: &Source) {
    let settings = SampleSettings { crs: Some(WGS84.to_owned()), ..SampleSettings::default() };
    let (lab, cations) = (LaboratorySettings::default(), CationSettings::default());
    let _read = samples(source, None, &settings, &cations);
    let _read = samples(source, Some((source, &lab)), &settings, &cations);
}

#[test]
fn shapefiles() {
    let mut random = Generator::new(1);
    let (polygons, points) = (polygon_shp(), point_shp(&[(-85.2, 40.1), (-85.19, 40.11)]));
    let dbf = dbf_bytes(
        &[("ID", b'C', 6), ("CEC", b'N', 8), ("N", b'I', 4)],
        &[&["A1", "12.500", "aaaa"], &["A2", "", "bbbb"]],
    );
    for _ in 0..ROUNDS {
        try_boundary(&Source::of("f.shp", mutated(&polygons, &mut random)));
        let source = Source::of("s.shp", mutated(&points, &mut random));
        try_samples(&source.with("dbf", dbf.clone()));
        let source = Source::of("s.shp", points.clone());
        try_samples(&source.with("dbf", mutated(&dbf, &mut random)));
    }
}

#[test]
fn prj_texts() {
    let mut random = Generator::new(2);
    for _ in 0..ROUNDS / 8 {
        let prj = mutated(wgs84_prj().as_bytes(), &mut random);
        try_boundary(&Source::of("f.shp", polygon_shp()).with("prj", prj));
    }
}

#[test]
fn geojson() {
    let mut random = Generator::new(3);
    let boundary = "{\"type\":\"Polygon\",\"coordinates\":[[[-85.2,40.1],[-85.19,40.1],[-85.19,40.11],[-85.2,40.1]]]}";
    let points = "{\"type\":\"FeatureCollection\",\"features\":[{\"type\":\"Feature\",\"properties\":{\"id\":7.0,\"CEC\":12.50},\"geometry\":{\"type\":\"Point\",\"coordinates\":[-85.2,40.1,230]}}]}";
    for _ in 0..ROUNDS {
        try_boundary(&Source::of("f.geojson", mutated(boundary.as_bytes(), &mut random)));
        try_samples(&Source::of("s.geojson", mutated(points.as_bytes(), &mut random)));
    }
    let deep = "[".repeat(100_000);
    try_boundary(&Source::of("f.geojson", deep));
}

#[test]
fn text_tables() {
    let mut random = Generator::new(4);
    let csv = "id,lon,lat,CEC,\"K (ppm)\"\nA1,-85.2,40.1,12.5,100\nA2,-85.19,40.11,9,\n";
    for _ in 0..ROUNDS {
        try_samples(&Source::of("s.csv", mutated(csv.as_bytes(), &mut random)));
    }
}

/// Archives are broken inside, since their checksums tell of all else.
#[test]
fn spreadsheets() {
    let mut random = Generator::new(5);
    for round in 0..ROUNDS / 4 {
        for (name, bytes) in BOOKS {
            let broken = if name.ends_with("xls") || round % 8 == 0 {
                mutated(bytes, &mut random)
            } else {
                changed(bytes, |_, content| {
                    if random.below(4) == 0 { mutated(&content, &mut random) } else { content }
                })
            };
            try_samples(&Source::of(name, broken));
        }
    }
}

/// See fixtures/formats/README.md.
const FARM_KML: &[u8] = include_bytes!("../../fixtures/formats/farm.kml");
const FARM_KMZ: &[u8] = include_bytes!("../../fixtures/formats/farm.kmz");
const FARM_ZIP: &[u8] = include_bytes!("../../fixtures/formats/farm-4326.zip");

#[test]
fn kml_and_archives() {
    let mut random = Generator::new(5);
    for _ in 0..ROUNDS {
        for (name, bytes) in [("f.kml", FARM_KML), ("f.kmz", FARM_KMZ), ("f.zip", FARM_ZIP)] {
            let source = Source::of(name, mutated(bytes, &mut random));
            try_boundary(&source);
            try_samples(&source);
            let _read = super::zone_file(&source, None);
        }
    }
}

#[cfg(feature = "geopackage")]
#[test]
fn geopackages() {
    let mut random = Generator::new(6);
    for round in 0..ROUNDS {
        let mut bytes = mutated(super::geopackage::tests::FARM, &mut random);
        // Most of its bytes are empty pages: every other file is broken where something stands.
        for _ in 0..(round % 2) * 40 {
            let at = random.below(bytes.len());
            if let Some(byte) = bytes.get_mut(at).filter(|byte| **byte != 0) {
                *byte = random.next().to_le_bytes()[0];
            }
        }
        let source = Source::of("f.gpkg", bytes);
        for layer in ["fields", "samples", "ditches"] {
            let layer = Some(layer.to_owned());
            let crs = Some(WGS84.to_owned());
            let _read = boundary(
                &source,
                &BoundarySettings { crs, layer: layer.clone(), ..BoundarySettings::default() },
            );
            let settings = SampleSettings { layer, ..SampleSettings::default() };
            let _read = samples(&source, None, &settings, &CationSettings::default());
        }
    }
}

#[test]
fn modus() {
    let mut random = Generator::new(6);
    let xml = include_bytes!("../../fixtures/laboratory/modus_result.xml").get(..6000).unwrap();
    let json = include_bytes!("../../fixtures/laboratory/modus_result.json");
    for _ in 0..ROUNDS / 4 {
        try_samples(&Source::of("lab.xml", mutated(xml, &mut random)));
        try_samples(&Source::of("lab.json", mutated(json, &mut random)));
    }
}

#[test]
fn task_data() {
    let mut random = Generator::new(7);
    let text = "<ISO11783_TaskData VersionMajor=\"3\"><PFD A=\"PFD1\" C=\"N\" D=\"1\"><PLN A=\"1\"><LSG A=\"1\"><PNT A=\"2\" C=\"40.1\" D=\"-85.2\"/><PNT A=\"2\" C=\"40.1\" D=\"-85.1\"/><PNT A=\"2\" C=\"40.2\" D=\"-85.1\"/></LSG></PLN><PNT A=\"5\" C=\"40.1\" D=\"-85.1\"/></PFD></ISO11783_TaskData>";
    for _ in 0..ROUNDS {
        try_boundary(&Source::of("TASKDATA.XML", mutated(text.as_bytes(), &mut random)));
    }
}
