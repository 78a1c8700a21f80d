//! After the clean-up every zone can be driven, whatever the field and the samples.

use geo::{Area, Coord, Distance, Euclidean, Intersects, Point as At};
use landplaster::geometry::{Coverage, Face};
use landplaster::soil::Tiers;
use landplaster::surface::{Idw, Lattice, Surface};
use landplaster::zones::{Drivable, Mesh, Prefer, Tiered, clean_up};
use proptest::prelude::*;

use super::fields::{Case, case, tiles};

const STEP: f64 = 3.048;
const ACRE: f64 = 4046.856_422_4;

fn zones(case: &Case, drivable: &Drivable) -> Coverage {
    let surface = Surface::new(case.points.clone(), Idw::default()).unwrap();
    let lattice = Lattice::over(&case.field, STEP).unwrap();
    let places: Vec<Coord<f64>> =
        case.points.iter().map(|p| Coord { x: p.easting, y: p.northing }).collect();
    let mesh = Mesh::fill(&case.field, &[], &places, lattice).unwrap();
    let mut values = surface.on_lattice(&lattice);
    values.extend(mesh.extras().iter().map(|at| surface.at(at.x, at.y)));
    let tiers = Tiers::common_practice();
    let classes: Vec<u32> = values.iter().map(|&value| tiers.class(value)).collect();
    let tiered = Tiered { surface: &surface, tiers: &tiers };
    clean_up(&mesh, &values, &classes, &tiered, drivable).coverage
}

/// The borders of a face with other faces.
fn inner_borders(coverage: &Coverage, face: &Face) -> Vec<geo::Line<f64>> {
    let at = |id: u32| coverage.vertices[id as usize];
    let mut theirs = std::collections::HashSet::new();
    for other in coverage.faces.iter().filter(|other| *other != face) {
        theirs.extend(other.edges());
    }
    let edges = face.edges().filter(|[a, b]| theirs.contains(&[*b, *a]));
    edges.map(|[a, b]| geo::Line::new(at(a), at(b))).collect()
}

/// The places along the borders of a face that have no disc of this diameter near them that lies in
/// the face, the ground outside the field counting as free: `near` is how far the disc may be. A
/// disc cannot reach into a corner, and where three zones meet there is always one.
fn narrow_places(coverage: &Coverage, face: &Face, diameter: f64, near: f64) -> Vec<Coord<f64>> {
    let borders = inner_borders(coverage, face);
    let others: Vec<_> = coverage
        .faces
        .iter()
        .filter(|other| *other != face)
        .map(|other| coverage.plane_polygon(other))
        .collect();
    let radius = 0.5 * diameter;
    let fits = |centre: Coord<f64>| {
        let centre = At(centre);
        borders.iter().all(|border| Euclidean.distance(&centre, border) >= radius)
            && !others.iter().any(|other| other.intersects(&centre))
    };
    let mut narrow = Vec::new();
    for border in &borders {
        let along = border.end - border.start;
        let length = along.x.hypot(along.y);
        let count = (length / 2.0).ceil().max(1.0);
        let mut place = 0.5;
        while place < count {
            let at = border.start + along * (place / count);
            place += 1.0;
            let to_left = Coord { x: -along.y / length, y: along.x / length };
            let around = (0..=12).flat_map(|ring| {
                let reach = radius + near * f64::from(ring) / 12.0;
                (-24..=24_i32).map(move |turn| (reach, f64::from(turn) * 0.065))
            });
            let mut centres = around.map(|(reach, turn)| {
                let (sin, cos) = turn.sin_cos();
                let way = Coord {
                    x: to_left.x * cos - to_left.y * sin,
                    y: to_left.x * sin + to_left.y * cos,
                };
                at + way * (reach + 1e-3)
            });
            if !centres.any(fits) {
                narrow.push(at);
            }
        }
    }
    narrow
}

fn drivable() -> impl Strategy<Value = Drivable> {
    let prefer = prop::sample::select(vec![Prefer::Nearest, Prefer::Higher, Prefer::Lower]);
    (0.1..1.5_f64, 9.0..30.0_f64, prefer).prop_map(|(acres, min_width, prefer)| Drivable {
        min_zone: acres * ACRE,
        min_width,
        tolerance: 0.9144,
        prefer,
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn zones_can_be_driven(case in case(), drivable in drivable()) {
        let coverage = zones(&case, &drivable);
        tiles(&coverage, &case.field)?;
        for face in &coverage.faces {
            let borders = inner_borders(&coverage, face);
            let area = coverage.plane_polygon(face).unsigned_area();
            prop_assert!(borders.is_empty() || area >= drivable.min_zone, "{area} m2");
            let narrow = narrow_places(&coverage, face, drivable.min_width - STEP, 1.5 * STEP);
            prop_assert!(narrow.is_empty(), "{} places in tier {}: {narrow:?}", narrow.len(), face.class);
        }
    }
}
