//! Random fields with random samples, and what their zones must be.

use std::collections::BTreeMap;

use geo::{Area, Coord, LineString, MultiPolygon, Polygon, Validation};
use landplaster::geometry::Coverage;
use landplaster::surface::Point;
use proptest::prelude::*;
use proptest::test_runner::TestCaseError;

/// A ring around a center: one distance for each of equally spaced directions.
fn ring(centre: (f64, f64), reach: &[f64]) -> LineString<f64> {
    let turn = std::f64::consts::TAU / reach.len() as f64;
    let corner = |(i, r): (usize, &f64)| Coord {
        x: centre.0 + r * (turn * i as f64).cos(),
        y: centre.1 + r * (turn * i as f64).sin(),
    };
    let mut line: Vec<Coord<f64>> = reach.iter().enumerate().map(corner).collect();
    line.push(line[0]);
    LineString::new(line)
}

fn hole(centre: (f64, f64), reach: &[f64]) -> LineString<f64> {
    let mut line = ring(centre, reach);
    line.0.reverse();
    line
}

#[derive(Clone, Debug)]
pub struct Case {
    pub field: MultiPolygon<f64>,
    pub points: Vec<Point>,
}

pub fn case() -> impl Strategy<Value = Case> {
    let outline = prop::collection::vec(60.0..220.0_f64, 3..40);
    let pond = prop::option::of(prop::collection::vec(4.0..35.0_f64, 3..12));
    let second = prop::option::of(prop::collection::vec(20.0..60.0_f64, 3..9));
    let sample = (-260.0..260.0_f64, -260.0..260.0_f64, 4.0..24.0_f64);
    let samples = prop::collection::vec(sample, 3..60);
    (outline, pond, second, samples).prop_map(|(outline, pond, second, samples)| {
        // Within a ring of three directions or more at 60 m or more, 29 m around the center is field.
        let pond =
            pond.map(|reach| hole((0.0, 0.0), &reach.iter().map(|r| r * 0.8).collect::<Vec<_>>()));
        let mut parts = vec![Polygon::new(ring((0.0, 0.0), &outline), pond.into_iter().collect())];
        parts.extend(second.map(|reach| Polygon::new(ring((300.0, 20.0), &reach), vec![])));
        let points = samples
            .into_iter()
            .map(|(easting, northing, value)| Point { easting, northing, value })
            .collect();
        Case { field: MultiPolygon::new(parts), points }
    })
}

/// Sound polygons, areas that add up, and every inner border in two zones, once each way.
pub fn tiles(coverage: &Coverage, field: &MultiPolygon<f64>) -> Result<(), TestCaseError> {
    let whole = field.unsigned_area();
    let mut sum = 0.0;
    let mut walks: BTreeMap<(u32, u32), i32> = BTreeMap::new();
    for face in &coverage.faces {
        let polygon = coverage.plane_polygon(face);
        prop_assert!(polygon.is_valid(), "{:?}", polygon.check_validation());
        prop_assert!(polygon.signed_area() > 0.0);
        sum += polygon.unsigned_area();
        for ring in std::iter::once(&face.exterior).chain(&face.holes) {
            for (&a, &b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
                let (key, way) = if a < b { ((a, b), 1) } else { ((b, a), -1) };
                let walked = walks.entry(key).or_insert(0);
                *walked += way;
                prop_assert!(walked.abs() <= 1, "an edge is walked twice the same way");
            }
        }
    }
    prop_assert!((sum / whole - 1.0).abs() < 1e-9, "{sum} {whole}");
    // What was walked once only is the boundary: its length is the field's.
    let at = |id: u32| coverage.vertices[id as usize];
    let length = |a: Coord<f64>, b: Coord<f64>| (a - b).x.hypot((a - b).y);
    let open: f64 =
        walks.iter().filter(|(_, n)| **n != 0).map(|((a, b), _)| length(at(*a), at(*b))).sum();
    let rings = field.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
    let around: f64 = rings.flat_map(LineString::lines).map(|l| length(l.start, l.end)).sum();
    prop_assert!((open / around - 1.0).abs() < 1e-9, "{open} {around}");
    Ok(())
}
