//! Whole fields: outlines, samples, settings and keep-outs made of the input, planned, and what is
//! written judged without the program's own polygons.

use std::f64::consts::TAU;
use std::fmt::Write as _;
use std::path::Path;

use geo::{Area as _, BooleanOps, Coord, LineString, MapCoords, MultiPolygon, Polygon};
use geo::{Validation as _, Winding as _, unary_union};
use landplaster::work::{Memory, Work};
use libfuzzer_sys::arbitrary::{Result, Unstructured};

pub const TARGETS: &[(&str, fn(&[u8]))] = &[("fields", fields)];

/// Meters in a degree of latitude; the judge needs no better.
const DEGREE_M: f64 = 111_000.0;
const WEST: f64 = -85.2;
const SOUTH: f64 = 40.4;
/// What coordinates rounded to a millimeter, and pieces thinner than that, may move an edge by.
const ROUNDING_M: f64 = 0.003;

/// A place in meters from the south-western corner.
type Place = (f64, f64);

struct Made {
    boundary: String,
    samples: String,
    features: Vec<String>,
    job: String,
}

fn fields(data: &[u8]) {
    let Ok(made) = made(&mut Unstructured::new(data)) else { return };
    let mut files = Memory::default();
    files.put("field.geojson", made.boundary.as_str()).put("samples.csv", made.samples.as_str());
    for (number, features) in made.features.iter().enumerate() {
        files.put(format!("keep-out-{number}.geojson"), features.as_str());
    }
    let work = Work::of_file(Path::new("field.toml"), &made.job);
    let work = work.unwrap_or_else(|error| panic!("{error}\n{}", made.job));
    let Ok((_, output)) = work.plan(&files) else { return };
    let file = |name: &str| output.files.iter().find(|file| file.name == name);
    let zones = file("zones.geojson").map(|file| String::from_utf8_lossy(&file.bytes).into_owned());
    judge(&made.boundary, &zones.expect("zones"));
}

/// A number between two, in 65,536 steps.
fn between(input: &mut Unstructured, least: f64, most: f64) -> Result<f64> {
    let step: u16 = input.arbitrary()?;
    Ok(least + (most - least) * f64::from(step) / f64::from(u16::MAX))
}

/// A ring around a place, that does not cross itself: corners by their angle.
fn star(input: &mut Unstructured, (east, north): Place, size: f64) -> Result<Vec<Place>> {
    let count = input.int_in_range(3..=24)?;
    let mut ring: Vec<Place> = Vec::new();
    for corner in 0..count {
        let angle = (f64::from(corner) + between(input, 0.0, 0.9)?) * TAU / f64::from(count);
        let reach = size * between(input, 0.1, 1.0)?;
        ring.push((east + reach * angle.cos(), north + reach * angle.sin()));
    }
    ring.extend(ring.first().copied());
    Ok(ring)
}

/// A line that may cross itself, there and back.
fn walk(input: &mut Unstructured, width: f64) -> Result<Vec<Place>> {
    let (mut at, count) =
        ((between(input, 0.0, width)?, between(input, 0.0, width)?), input.int_in_range(1..=24)?);
    let step = [0.001, 0.5, 10.0, 0.2 * width][input.choose_index(4)?];
    let mut line = Vec::new();
    for _ in 0..count {
        line.push(at);
        at = (at.0 + between(input, -step, step)?, at.1 + between(input, -step, step)?);
    }
    Ok(line)
}

fn written(line: &[Place]) -> String {
    let place = |(east, north): &Place| {
        let squash = SOUTH.to_radians().cos();
        format!("[{:.9},{:.9}]", WEST + east / DEGREE_M / squash, SOUTH + north / DEGREE_M)
    };
    format!("[{}]", line.iter().map(place).collect::<Vec<_>>().join(","))
}

fn made(input: &mut Unstructured) -> Result<Made> {
    // Most are small: they are planned a hundred times as fast.
    let size = [40.0, 60.0, 90.0, 400.0][input.choose_index(4)?];
    let middle = (size, size);
    let outer = star(input, middle, size)?;
    let mut rings = vec![written(&outer)];
    if input.ratio(1, 3)? {
        let reach = between(input, 0.05, 0.1 * size)?;
        rings.push(written(&star(input, middle, reach)?));
    }
    let boundary = format!("{{\"type\":\"Polygon\",\"coordinates\":[{}]}}", rings.join(","));
    let mut samples = String::from("id,longitude,latitude,cec\n");
    let count = input.int_in_range(3..=30)?;
    for number in 0..count {
        // Toward a corner, so that it is in the field.
        let corner = outer[input.choose_index(outer.len())?];
        let share = between(input, 0.0, 0.99)?;
        let east = middle.0 + share * (corner.0 - middle.0);
        let north = middle.1 + share * (corner.1 - middle.1);
        let at = written(&[(east, north)]);
        let cec = between(input, 0.1, 60.0)?;
        let _ = writeln!(samples, "S{number},{},{cec:.1}", at.trim_matches(['[', ']']));
    }
    let mut job = String::from("boundary = \"field.geojson\"\nsamples = \"samples.csv\"\n");
    let (mut tables, mut features) = (String::new(), Vec::new());
    for number in 0..input.int_in_range(0..=3)? {
        let line = match input.int_in_range(0..=2)? {
            0 => format!(
                "{{\"type\":\"LineString\",\"coordinates\":{}}}",
                written(&walk(input, 2.0 * size)?)
            ),
            1 => {
                let place =
                    written(&walk(input, 2.0 * size)?.into_iter().take(1).collect::<Vec<_>>());
                let place = place.trim_start_matches('[').trim_end_matches(']');
                format!("{{\"type\":\"Point\",\"coordinates\":[{place}]}}")
            }
            _ => {
                let at = (between(input, 0.0, 2.0 * size)?, between(input, 0.0, 2.0 * size)?);
                let reach = between(input, 0.1, 0.75 * size)?;
                let ring = written(&star(input, at, reach)?);
                format!("{{\"type\":\"Polygon\",\"coordinates\":[{ring}]}}")
            }
        };
        features.push(line);
        let distance = between(input, 0.0, 0.3 * size)?;
        let _ = writeln!(
            tables,
            "[[keep_out]]\nfile = \"keep-out-{number}.geojson\"\ndistance = \"{distance:.3} m\"\nwhy = \"it\""
        );
    }
    if input.ratio(1, 4)? {
        let at = (between(input, 0.0, 2.0 * size)?, between(input, 0.0, 2.0 * size)?);
        let reach = between(input, 0.1, 0.8 * size)?;
        let ring = written(&star(input, at, reach)?);
        features.push(format!("{{\"type\":\"Polygon\",\"coordinates\":[{ring}]}}"));
        let (number, rate) = (features.len() - 1, between(input, 0.0, 4.0)?);
        let _ = writeln!(
            tables,
            "[[set_rate]]\nfile = \"keep-out-{number}.geojson\"\nrate = \"{rate:.2} ton/ac\"\nwhy = \"known\""
        );
    }
    let grid = [15, 30, 60, 100][input.choose_index(4)?];
    let method = ["inverse distance", "kriging"][input.choose_index(2)?];
    let _ = writeln!(tables, "[surface]\ngrid = \"{grid} ft\"\nmethod = \"{method}\"");
    tables.push_str("[zones]\n");
    match input.int_in_range(0..=2)? {
        0 => tables.push_str("clean_up = false\n"),
        1 => {
            let heading = between(input, 0.0, 180.0)?;
            let _ = writeln!(tables, "heading = {heading:.1}");
            job.push_str("swath = \"50 ft\"\n");
        }
        _ => {}
    }
    if input.ratio(1, 4)? {
        let form = ["zones", "zone grid", "rate grid"][input.choose_index(3)?];
        let _ = writeln!(tables, "[taskdata]\nform = \"{form}\"\ncell = \"40 ft\"");
    }
    Ok(Made { boundary, samples, features, job: job + &tables })
}

/// A geometry of a GeoJSON in meters.
fn metres(geometry: &geojson::Geometry) -> Polygon<f64> {
    let polygon = Polygon::<f64>::try_from(geometry.clone()).expect("a polygon");
    let squash = SOUTH.to_radians().cos();
    polygon.map_coords(|at| Coord {
        x: (at.x - WEST) * DEGREE_M * squash,
        y: (at.y - SOUTH) * DEGREE_M,
    })
}

fn around(polygon: &Polygon<f64>) -> f64 {
    let length = |ring: &LineString<f64>| -> f64 {
        ring.lines().map(|edge| edge.dx().hypot(edge.dy())).sum()
    };
    length(polygon.exterior()) + polygon.interiors().iter().map(length).sum::<f64>()
}

/// Zones are sound, run the right way round, and tile the field; their acres and tons are what their
/// ground and their rate make.
fn judge(boundary: &str, zones: &str) {
    let field: geojson::Geometry = boundary.parse().expect("the boundary");
    let field = metres(&field);
    let zones: geojson::FeatureCollection = zones.parse().expect("zones");
    let mut polygons: Vec<Polygon<f64>> = Vec::new();
    for zone in &zones.features {
        let polygon = metres(zone.geometry.as_ref().expect("a geometry"));
        polygon.check_validation().unwrap_or_else(|error| panic!("a zone is not sound: {error}"));
        assert!(polygon.exterior().is_ccw(), "a zone's outline runs clockwise");
        assert!(polygon.interiors().iter().all(|hole| hole.is_cw()), "a hole runs as its outline");
        let number =
            |key: &str| zone.property(key).and_then(|value| value.as_f64()).expect("a number");
        let (rate, acres, tons) = (number("rate"), number("acres"), number("tons"));
        // Printed to a hundredth: shares of a total may be a few hundredths off their own.
        let off = (rate * acres - tons).abs();
        assert!(off <= 0.03 + 0.02 * rate, "{tons} tons on {acres} acres at {rate}");
        let ground = polygon.unsigned_area() / 4046.856;
        assert!((ground - acres).abs() <= 0.03 + 0.01 * ground, "{acres} acres on {ground}");
        polygons.push(polygon);
    }
    let slack = ROUNDING_M * (around(&field) + polygons.iter().map(around).sum::<f64>()) + 0.01;
    let sum: f64 = polygons.iter().map(Polygon::unsigned_area).sum();
    let whole: MultiPolygon<f64> = unary_union(&polygons);
    let overlap = sum - whole.unsigned_area();
    assert!(overlap.abs() <= slack, "zones overlap by {overlap} m2");
    let off = whole.xor(&field).unsigned_area();
    assert!(off <= slack, "zones and field differ by {off} m2, {slack} allowed");
}
