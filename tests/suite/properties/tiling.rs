//! Zones tile the field, whatever the field and the samples.

use std::collections::BTreeMap;

use geo::{Area, Coord, LineString, MultiPolygon, Polygon, Validation};
use landplaster::geometry::Coverage;
use landplaster::soil::Tiers;
use landplaster::surface::{Idw, Lattice, Point, Surface};
use landplaster::zones::{Between, Mesh, Tiered, partition};
use proptest::prelude::*;

/// A ring around a centre: one distance for each of equally spaced directions.
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
struct Case {
    field: MultiPolygon<f64>,
    points: Vec<Point>,
}

fn case() -> impl Strategy<Value = Case> {
    let outline = prop::collection::vec(60.0..220.0_f64, 3..40);
    let pond = prop::option::of(prop::collection::vec(4.0..35.0_f64, 3..12));
    let second = prop::option::of(prop::collection::vec(20.0..60.0_f64, 3..9));
    let sample = (-260.0..260.0_f64, -260.0..260.0_f64, 4.0..24.0_f64);
    let samples = prop::collection::vec(sample, 3..60);
    (outline, pond, second, samples).prop_map(|(outline, pond, second, samples)| {
        // Within a ring of three directions or more at 60 m or more, 29 m around the centre is field.
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

struct Made {
    coverage: Coverage,
    surface: Surface,
    corners: usize,
}

fn made(case: &Case, step: f64) -> Made {
    let surface = Surface::new(case.points.clone(), Idw::default()).unwrap();
    let lattice = Lattice::over(&case.field, step).unwrap();
    let places: Vec<Coord<f64>> =
        case.points.iter().map(|p| Coord { x: p.easting, y: p.northing }).collect();
    let mesh = Mesh::fill(&case.field, &[], &places, lattice).unwrap();
    let mut values = surface.on_lattice(&lattice);
    values.extend(mesh.extras().iter().map(|at| surface.at(at.x, at.y)));
    let tiers = Tiers::common_practice();
    let classes: Vec<u32> = values.iter().map(|&value| tiers.class(value)).collect();
    let tiered = Tiered { surface: &surface, tiers: &tiers };
    let coverage = partition(&mesh, &values, &classes, Between::Strips, &tiered).coverage;
    let corners = mesh.corner_vertices().count();
    Made { coverage, surface, corners }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Sound polygons, areas that add up, and every inner border in two zones, once each way.
    #[test]
    fn zones_tile_the_field(case in case()) {
        let Made { coverage, .. } = made(&case, 3.048);
        let field = case.field.unsigned_area();
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
        prop_assert!((sum / field - 1.0).abs() < 1e-9, "{sum} {field}");
        // What was walked once only is the boundary: its length is the field's.
        let at = |id: u32| coverage.vertices[id as usize];
        let length = |a: Coord<f64>, b: Coord<f64>| (a - b).x.hypot((a - b).y);
        let open: f64 =
            walks.iter().filter(|(_, n)| **n != 0).map(|((a, b), _)| length(at(*a), at(*b))).sum();
        let rings = case.field.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
        let around: f64 = rings.flat_map(LineString::lines).map(|l| length(l.start, l.end)).sum();
        prop_assert!((open / around - 1.0).abs() < 1e-9, "{open} {around}");
    }

    /// Every vertex of a level line has the surface on both sides of a break within 0.25 m.
    #[test]
    fn level_lines_follow_the_surface(case in case()) {
        let Made { coverage, surface, corners } = made(&case, 3.048);
        let tiers = Tiers::common_practice();
        let mut inner = 0;
        for face in &coverage.faces {
            for &id in face.exterior.iter().skip(1).step_by(7) {
                if (id as usize) < corners {
                    continue;
                }
                inner += 1;
                let at = coverage.vertices[id as usize];
                let mut classes: Vec<u32> = (0_u8..48).map(|i| {
                    let turn = f64::from(i % 16) * std::f64::consts::TAU / 16.0;
                    let reach = [0.25, 0.12, 0.05][usize::from(i / 16)];
                    tiers.class(surface.at(at.x + reach * turn.cos(), at.y + reach * turn.sin()))
                }).collect();
                classes.sort_unstable();
                classes.dedup();
                prop_assert!(classes.len() > 1, "{at:?} is no crossing");
            }
        }
        prop_assume!(inner > 0);
    }
}
