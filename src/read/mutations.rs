//! Files that are cut off or have bytes changed are refused or read, and never bring anything down.

use super::shapefile::tests::{dbf_bytes, point_shp, polygon_shp};
use super::spreadsheet::tests::{BOOKS, changed};
use super::{
    BoundarySettings, CationSettings, LaboratorySettings, SampleSettings, Source, boundary,
    features, samples,
};
use crate::projection::wgs84_prj;

const ROUNDS: u64 = 400;

/// Steele, Lea and Flood's SplitMix64, so that a failure can be run again.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, end: usize) -> usize {
        usize::try_from(self.next() % end.max(1) as u64).unwrap()
    }
}

fn mutated(bytes: &[u8], random: &mut Random) -> Vec<u8> {
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
    let _read = boundary(source, &BoundarySettings { crs: Some(WGS84.to_owned()) });
    let _read = features(source, Some(WGS84));
}

fn try_samples(source: &Source) {
    let settings = SampleSettings { crs: Some(WGS84.to_owned()), ..SampleSettings::default() };
    let (lab, cations) = (LaboratorySettings::default(), CationSettings::default());
    let _read = samples(source, None, &settings, &cations);
    let _read = samples(source, Some((source, &lab)), &settings, &cations);
}

#[test]
fn shapefiles() {
    let mut random = Random(1);
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
    let mut random = Random(2);
    for _ in 0..ROUNDS / 8 {
        let prj = mutated(wgs84_prj().as_bytes(), &mut random);
        try_boundary(&Source::of("f.shp", polygon_shp()).with("prj", prj));
    }
}

#[test]
fn geojson() {
    let mut random = Random(3);
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
    let mut random = Random(4);
    let csv = "id,lon,lat,CEC,\"K (ppm)\"\nA1,-85.2,40.1,12.5,100\nA2,-85.19,40.11,9,\n";
    for _ in 0..ROUNDS {
        try_samples(&Source::of("s.csv", mutated(csv.as_bytes(), &mut random)));
    }
}

/// Archives are broken inside, since their checksums tell of all else.
#[test]
fn spreadsheets() {
    let mut random = Random(5);
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

#[test]
fn modus() {
    let mut random = Random(6);
    let xml = include_bytes!("../../fixtures/laboratory/modus_result.xml").get(..6000).unwrap();
    let json = include_bytes!("../../fixtures/laboratory/modus_result.json");
    for _ in 0..ROUNDS / 4 {
        try_samples(&Source::of("lab.xml", mutated(xml, &mut random)));
        try_samples(&Source::of("lab.json", mutated(json, &mut random)));
    }
}
