//! Broken zone files and task data are told about or refused; `inspect` is never brought down.

use landplaster::inspect::{RateSetting, archive, folder, zones};

use crate::folder::{FIELD, SAMPLES};
use crate::planned::{bytes, output, plan, shapefile, source, task_files};

/// Files of each kind that are broken.
const ROUNDS: usize = 60;

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

fn broken(bytes: &[u8], random: &mut Random) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    if random.below(4) == 0 {
        bytes.truncate(random.below(bytes.len()));
    }
    // Every third file is broken within its first bytes, where headers are.
    let reach = if random.below(3) == 0 { bytes.len().min(120) } else { bytes.len() };
    for _ in 0..=random.below(4) {
        let at = random.below(reach);
        if let Some(byte) = bytes.get_mut(at) {
            *byte = [0, 0xff, b'9', b'-', b'"', random.next().to_le_bytes()[0]][random.below(6)];
        }
    }
    bytes
}

#[test]
fn nothing_brings_inspect_down() {
    let mut random = Random(11);
    let setting = RateSetting::default();
    let plan = plan("[surface]\ngrid = \"30 ft\"\n", FIELD, SAMPLES);
    let (mut refused, mut told) = (0, 0);
    let mut count = |departures: Option<usize>| match departures {
        None => refused += 1,
        Some(found) => told += usize::from(found > 0),
    };
    for form in ["zones", "zone grid", "rate grid"] {
        let output = output(&plan, &format!("[taskdata]\nform = \"{form}\"\n")).unwrap();
        let whole = task_files(&output);
        for _ in 0..ROUNDS {
            let mut files = whole.clone();
            for content in files.values_mut() {
                *content = broken(content, &mut random);
            }
            count(folder("TASKDATA", &files).ok().map(|report| report.departures.len()));
            let zip = broken(bytes(&output, "taskdata.zip"), &mut random);
            count(archive("a.zip", &zip).ok().map(|report| report.departures.len()));
        }
    }
    let output = output(&plan, "").unwrap();
    for _ in 0..ROUNDS {
        let json = broken(bytes(&output, "zones.geojson"), &mut random);
        let report = zones(&source("zones.geojson", json), &setting);
        count(report.ok().map(|report| report.departures.len()));
        for part in ["shp", "shx", "dbf", "prj", "cpg"] {
            let mut files = shapefile(&output);
            if part == "shp" {
                files.bytes = broken(&files.bytes, &mut random);
            } else {
                let content = files.sidecars.get_mut(part).unwrap();
                *content = broken(content, &mut random);
            }
            // A .prj that says nothing takes PROJ its time; some are enough.
            if part != "prj" || random.below(8) == 0 {
                count(zones(&files, &setting).ok().map(|report| report.departures.len()));
            }
        }
    }
    // A digit changed within a coordinate is no fault: not every broken file can be told.
    assert!(refused > 50 && told > 50, "{refused} refused, {told} told of");
}

/// Numbers that are extreme but well formed.
#[test]
fn extreme_numbers() {
    let ring = |numbers: &str| {
        format!(
            "{{\"type\":\"Feature\",\"properties\":{{\"rate\":1e308,\"unit\":\"ton/ac\"}},\"geometry\":{{\"type\":\"Polygon\",\"coordinates\":[[{numbers}]]}}}}"
        )
    };
    for numbers in [
        "[1e308,1],[-1e308,1],[0,-1],[1e308,1]",
        "[-180,-90],[180,-90],[180,90],[-180,90],[-180,-90]",
        "[1e-320,0],[0,1e-320],[-1e-320,0],[1e-320,0]",
        "[0,0],[0,0],[0,0],[0,0]",
        "[0,0],[1,1],[0,1],[1,0],[0,0]",
        "",
        "[]",
    ] {
        let _ = zones(&source("a.geojson", ring(numbers)), &RateSetting::default());
    }
    let plan = plan("[surface]\ngrid = \"30 ft\"\n", FIELD, SAMPLES);
    let output = output(&plan, "[taskdata]\nform = \"rate grid\"\n").unwrap();
    let files = task_files(&output);
    let text = String::from_utf8(files["TASKDATA.XML"].clone()).unwrap();
    let at = text.find("<GRD").unwrap();
    let grid = text[at..].lines().next().unwrap();
    for (attribute, value) in [
        ("A", "NaN"),
        ("A", "1e300"),
        ("A", "-90"),
        ("C", "1e-320"),
        ("C", "0"),
        ("C", "1"),
        ("D", "inf"),
        ("E", "0"),
        ("E", "18446744073709551615"),
        ("F", "4294967295"),
        ("F", "-1"),
        ("I", "3"),
        ("J", "9"),
        ("G", "../../a"),
        ("H", "x"),
    ] {
        let start = grid.find(&format!(" {attribute}=\"")).unwrap() + 4;
        let end = start + grid[start..].find('"').unwrap();
        let changed = format!("{}{value}{}", &grid[..start], &grid[end..]);
        let mut files = files.clone();
        files.insert("TASKDATA.XML".into(), text.replace(grid, &changed).into_bytes());
        let report = folder("TASKDATA", &files).unwrap();
        assert!(!report.departures.is_empty(), "{changed}");
    }
}
