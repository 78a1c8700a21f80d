//! Whole fields: an input is read as corners, samples, settings and keep-outs, planned, and judged by
//! code that the program does not judge itself by.

use std::fmt::Write as _;
use std::path::Path;

use geo::{Area as _, GeodesicArea, LineString, Polygon, Validation, Winding};
use landplaster::plan::PlanError;
use landplaster::work::{Memory, Work, WorkError};
use libfuzzer_sys::arbitrary::{Result, Unstructured};
use serde_json::Value;

use crate::memory::within_rule;

/// Meters in a degree of latitude, about.
const DEGREE: f64 = 111_000.0;
/// What a plan may take beside its input: its lattice has up to millions of nodes.
const PLAN: usize = 1 << 20;

pub fn field(data: &[u8]) {
    let Ok(made) = made(&mut Unstructured::new(data)) else { return };
    within_rule(data.len() + PLAN * 8, || judge(&made));
}

struct Made {
    job: String,
    boundary: String,
    samples: String,
    keep_outs: Vec<String>,
}

/// A number between two, of 16 bits.
fn between(u: &mut Unstructured<'_>, low: f64, high: f64) -> Result<f64> {
    Ok(low + (high - low) * f64::from(u.arbitrary::<u16>()?) / f64::from(u16::MAX))
}

fn made(u: &mut Unstructured<'_>) -> Result<Made> {
    let latitude = *u.choose(&[42.07, -44.9, 0.0, 59.9, 71.9])?;
    let east = DEGREE * f64::to_radians(latitude).cos();
    let place = |[x, y]: [f64; 2]| [-93.31 + x / east, latitude + y / DEGREE];
    let shown = |[x, y]: [f64; 2]| format!("[{x:.8},{y:.8}]");
    let corners = u.int_in_range(3..=12)?;
    let size = between(u, 20.0, 400.0)?;
    let mut ring = Vec::new();
    for corner in 0..corners {
        let turn = std::f64::consts::TAU * (f64::from(corner) + between(u, -0.5, 0.5)?)
            / f64::from(corners);
        let reach = size * between(u, 0.02, 1.0)?;
        ring.push([reach * turn.cos(), reach * turn.sin()]);
    }
    let closed = ring.iter().chain(ring.first()).map(|at| shown(place(*at)));
    let closed = closed.collect::<Vec<_>>().join(",");
    let boundary = format!("{{\"type\":\"Polygon\",\"coordinates\":[[{closed}]]}}");
    let mut samples = String::from("id,longitude,latitude,CEC\n");
    for id in 0..u.int_in_range(3..=20)? {
        let [x, y] = place([between(u, -size, size)?, between(u, -size, size)?]);
        let _ = writeln!(samples, "{id},{x:.7},{y:.7},{:.1}", between(u, 1.0, 40.0)?);
    }
    let mut job = String::from(
        "boundary = \"b.geojson\"\nsamples = \"s.csv\"\nswath = \"40 ft\"\nsamples_within = \"1 mi\"\n[zones]\nunspread = \"rate 0\"\n",
    );
    job.push_str(*u.choose(&[
        "",
        "clean_up = false\n",
        "heading = \"longest\"\n",
        "heading = 33.3\n",
        "min_zone = \"0.01 ac\"\nmin_width = \"1 ft\"\n",
    ])?);
    job.push_str(*u.choose(&["", "[surface]\nneighbors = 1\n", "[surface]\nradius = \"150 ft\"\n"])?);
    let mut keep_outs = Vec::new();
    for number in 0..u.int_in_range(0..=3)? {
        let mut line = Vec::new();
        for _ in 0..u.int_in_range(1..=5)? {
            // At a corner, by a hair or some meters off it, or anywhere.
            let corner = *u.choose(&ring)?;
            let off = *u.choose(&[0.0, 0.0005, 0.002, 0.02, 5.0, size])?;
            let moved = [between(u, -off, off)?, between(u, -off, off)?];
            line.push([corner[0] + moved[0], corner[1] + moved[1]]);
        }
        let coordinates: Vec<String> = line.iter().map(|at| shown(place(*at))).collect();
        let coordinates = coordinates.join(",");
        let (kind, coordinates) = match line.len() {
            1 => ("Point", coordinates),
            3.. if u.arbitrary()? => {
                ("Polygon", format!("[[{coordinates},{}]]", shown(place(line[0]))))
            }
            _ => ("LineString", format!("[{coordinates}]")),
        };
        keep_outs.push(format!("{{\"type\":\"{kind}\",\"coordinates\":{coordinates}}}"));
        let distance = *u.choose(&["0 ft", "0.1 in", "0.4 in", "1 ft", "48 ft", "50 ft", "330 ft"])?;
        let _ = write!(
            job,
            "[[keep_out]]\nfile = \"k{number}.geojson\"\ndistance = \"{distance}\"\nwhy = \"{number}\"\n"
        );
    }
    Ok(Made { job, boundary, samples, keep_outs })
}

fn judge(made: &Made) {
    let mut files = Memory::default();
    files.put("b.geojson", made.boundary.as_str()).put("s.csv", made.samples.as_str());
    for (number, keep_out) in made.keep_outs.iter().enumerate() {
        files.put(format!("k{number}.geojson"), keep_out.as_str());
    }
    let work = Work::of_file(Path::new("job.toml"), &made.job).expect("a sound job");
    let (plan, output) = match work.plan(&files) {
        Ok(planned) => planned,
        // A sound boundary that cannot be cut into zones is a fault of the program.
        Err(WorkError::Plan(error @ (PlanError::Mesh(_) | PlanError::Zones { .. }))) => {
            panic!("{error}\n{}\n{}\n{:?}", made.job, made.boundary, made.keep_outs)
        }
        Err(_) => return,
    };
    let zones = output.files.iter().find(|file| file.name == "zones.geojson").expect("zones");
    let zones: Value = serde_json::from_slice(&zones.bytes).expect("JSON");
    let (mut area, mut plane, mut tons) = (0.0, 0.0, 0.0);
    for zone in zones["features"].as_array().expect("zones") {
        let polygon = polygon(&zone["geometry"]["coordinates"]);
        assert!(polygon.is_valid(), "{zone}");
        assert!(polygon.exterior().is_ccw(), "{zone}");
        assert!(polygon.interiors().iter().all(Winding::is_cw), "{zone}");
        area += polygon.geodesic_area_signed();
        plane += polygon.unsigned_area();
        tons += zone["properties"]["tons"].as_f64().expect("tons");
    }
    let field = plan.field.boundary.wgs84();
    let around = field.geodesic_perimeter();
    let allowed = (1e-6 * field.geodesic_area_signed()).max(0.001 * around);
    assert!((area - field.geodesic_area_signed()).abs() <= allowed, "zones of {area} m2");
    // Pieces that tile have the area of their union, whatever the projection.
    let union = geo::unary_union(&polygons(&zones)).unsigned_area();
    assert!((plane - union).abs() <= 1e-6 * plane + 1e-13, "zones overlap");
    assert!((tons - plan.total.printed_mass).abs() < 0.005, "{tons} tons");
}

fn polygons(zones: &Value) -> Vec<Polygon<f64>> {
    let all = zones["features"].as_array().into_iter().flatten();
    all.map(|zone| polygon(&zone["geometry"]["coordinates"])).collect()
}

fn polygon(rings: &Value) -> Polygon<f64> {
    let ring = |ring: &Value| -> LineString<f64> {
        let places = ring.as_array().into_iter().flatten();
        places.map(|at| (at[0].as_f64().unwrap_or(f64::NAN), at[1].as_f64().unwrap_or(f64::NAN))).collect()
    };
    let mut rings = rings.as_array().into_iter().flatten().map(ring);
    let outer = rings.next().unwrap_or_else(|| LineString(vec![]));
    Polygon::new(outer, rings.collect())
}
