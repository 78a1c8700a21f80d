//! What lies within a distance of features, against GEOS: `fixtures/buffer/`.

use std::fs;
use std::path::Path;

use geo::{Area, Coord, Rect, Validation};
use landplaster::geometry::{Feature, buffer};
use serde_json::Value;

fn feature(value: &Value) -> Feature {
    let at = |pair: &Value| Coord { x: pair[0].as_f64().unwrap(), y: pair[1].as_f64().unwrap() };
    let line = |line: &Value| line.as_array().unwrap().iter().map(at).collect();
    Feature {
        lines: value["lines"].as_array().unwrap().iter().map(line).collect(),
        filled: value["filled"].as_bool().unwrap(),
    }
}

#[test]
fn areas_are_those_of_geos() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/buffer/cases.json");
    let cases: Value = serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap();
    let window = Rect::new(Coord { x: -5e3, y: -5e3 }, Coord { x: 5e3, y: 5e3 });
    for (number, case) in cases.as_array().unwrap().iter().enumerate() {
        let features: Vec<Feature> =
            case["features"].as_array().unwrap().iter().map(feature).collect();
        let near = buffer(&features, case["distance"].as_f64().unwrap(), &window);
        assert!(near.is_valid(), "case {number}");
        let over = near.unsigned_area() - case["area"].as_f64().unwrap();
        let around = case["perimeter"].as_f64().unwrap();
        // Never less, but for the grids of both (0.1 mm) and the segments of GEOS; round ends are up
        // to 5 mm too wide.
        assert!((-1e-4 * around..=5e-3 * around).contains(&over), "case {number}: {over} m² over");
    }
}
